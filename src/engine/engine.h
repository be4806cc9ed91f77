/* SPDX-License-Identifier: GPL-3.0-or-later */
/* engine.h - survey + belief + link -> ledger, feature row, margin. Pure functions.
 *
 * One file per published model:
 *
 *     free_space.c   first meter                        ITU-R P.525
 *     penetration.c  one wall at one frequency          the materials tables
 *     walls.c        crossed walls with ways round      multi-wall, saturated as a power law
 *     floors.c       crossed floors together            COST 231
 *     budget.c       needed power, rated open-air range  thermal noise, plane earth
 *     ground.c       long open ways                     two-ray plane earth
 *     slab.c         layers of dielectric               ITU-R P.2040
 *     noise.c        man-made noise                     ITU-R P.372
 *     p1238.c        by distance alone, to compare      ITU-R P.1238
 *     repeats.c      alarms missed over the years       means over the slow state
 *
 *     read.c         what readings say of a link        conditioning of normals
 *
 * walk.c lists what a link crosses, by geometry or by a path row; predict.c puts it together.
 * The margin is linear in the parameters near any belief, and its feature row (the derivatives)
 * comes with it: var = J S J^T.
 */
#ifndef ENGINE_ENGINE_H
#define ENGINE_ENGINE_H

#include <stdbool.h>
#include <stddef.h>

#include "chance.h"
#include "survey.h"

/* What a construction loses at one radio's frequency: by its rows of penetration.csv, or by its
 * layers (loss_db is then that of a path straight through; obliquely it is more). */
typedef struct engine_loss {
    double loss_db, sd_db;
    const char *source;
    bool far;          /* beyond a factor 1.5 of the frequencies it is known for */
    bool by_layers;    /* by slab theory, with an angle term */
    bool extrapolated; /* by layers, and below where their table begins */
} engine_loss;

struct engine_reads;

/* Parameters, in this order: exponent; ways-round power; one per construction and one per
 * mount, in units of the sd of its table row, so that it holds at every frequency; per radio
 * its sent power (or, for a radio with a rated range, its whole budget), dB; per radio the
 * antennas of its listeners, dB; per listener its own antenna, dB; per listener its need, dB.
 * Means of all but the first two are offsets from the tables.
 *
 * Half of the variance of a construction's row is that of the construction, for all that is
 * built of it; the other half is of each wall, opening, floor apart, its own. Likewise half of
 * an antenna's is of its kind and half of the piece and where it hangs. */
struct earshot_belief {
    size_t n;
    double *mean;        /* n */
    double *covariance;  /* n x n, symmetric */
    engine_loss *losses; /* radios x constructions */
    /* What no parameter explains, dB: what is left after walls and floors (shadow); this place
     * and mounting (static); doors, people, stock on the day of a reading (session); a meter's
     * offset. */
    double shadow_sd_db, static_sd_db, session_sd_db, meter_sd_db;
    chance_fade static_fade;           /* whose sd is static_sd_db */
    struct engine_reads *reads;        /* what was read; NULL: the belief of the tables */
    struct calibration_record *record; /* how the readings were fitted, for reports; or NULL */
};

/* The share of a row's variance that each thing built so has for its own. */
static const double engine_own_share = 0.5;

enum { ENGINE_EXPONENT, ENGINE_SATURATION, ENGINE_FIRST_CONSTRUCTION };
size_t engine_n_parameters(const earshot_survey *survey);
size_t engine_mount(const earshot_survey *survey, size_t mount);
size_t engine_radio(const earshot_survey *survey, size_t radio);
size_t engine_antennas(const earshot_survey *survey, size_t radio);
size_t engine_antenna(const earshot_survey *survey, size_t listener);
size_t engine_need(const earshot_survey *survey, size_t listener);

/* The derivatives of a margin, dB per unit of each parameter that it depends on. */
enum { ENGINE_MAX_FEATURES = SURVEY_MAX_CONSTRUCTIONS + 8 };
typedef struct engine_features {
    size_t n;
    size_t parameter[ENGINE_MAX_FEATURES];
    double value[ENGINE_MAX_FEATURES];
} engine_features;

/* How a margin moves with what is each thing's own, in sds of its row. Only of things that some
 * reading's way crosses; of the others nothing can be known but their variance. */
enum { ENGINE_MAX_OWN = 128 }; /* on one link; what is beyond counts as unknown */
typedef struct engine_own {
    size_t n;
    size_t number[ENGINE_MAX_OWN]; /* rising */
    double value[ENGINE_MAX_OWN];
} engine_own;

/* What a link, or a reading on one, hangs on: two of these err together by what they share. */
typedef struct engine_view {
    const size_t *parameter; /* rising */
    const double *value;
    size_t n;
    const size_t *own; /* rising */
    const double *own_value;
    size_t n_own;
    geometry_place from, to; /* as the alarm goes; not a number on a path row */
    size_t device, listener, path;
    double link_share, meter_share; /* how much of what the link, the meter, has for itself */
    unsigned trips, heard;          /* counted; one trip unheard where nothing was shown */
    double level_dbm;               /* shown, at most, a pad added; not a number: none */
    bool doors_open;
    size_t visit;
    size_t moment;             /* of readings that were made at once, by hand: one fade; NONE */
    double apart_db2;          /* variance of this link alone */
    double static_share;       /* of the static fade's variance: 1, or less where several were
                                  averaged */
    bool in_place;             /* the fade of the place is the device's own, and lasting */
    size_t meter, shift, edge; /* whose errors are shared; NONE: none */
    double meter_sd_db, edge_sd_db; /* of a meter's offset, of an edge between its steps */
} engine_view;

/* Something that nobody drew, across the ways over a segment of the plan, on one storey or all.
 * With both ends in one point there is none. */
typedef struct engine_obstacle {
    geometry_point a, b;
    double loss_db, sd_db; /* of a way across it */
    size_t level;          /* NONE: all */
    double low_m, high_m;  /* of that storey; infinite where nothing is below, or above */
} engine_obstacle;

/* What no parameter explains, one of several ways that it may be. */
typedef struct engine_field {
    double weight;
    double sd_db, length_m, static_sd_db;
    engine_obstacle obstacle;
    double *lower; /* n x n: Cholesky factor of what the readings vary by, noise and all */
    double *pull;  /* n: that, inverted, times what the readings are off the tables */
} engine_field;

typedef struct engine_reads {
    size_t n;
    engine_view *views;
    size_t *numbers; /* parameters and own numbers of all views */
    double *values;
    double *prior_db2; /* by parameter: its variance by the tables */
    double shift_db2;  /* of what a later visit's readings share against the first's */
    size_t *own_of;    /* by thing: its number, or NONE */
    size_t n_own;
    /* By number; variance of it and its construction together, and of it alone. */
    double *own_mean, *own_variance, *own_alone;
    size_t meter; /* the one that reads most, whose readings are foretold */
    double meter_mean_db, meter_sd_db;
    engine_field *fields;
    size_t n_fields;
} engine_reads;

/* What readings make of a link: how much more comes in than the parameters say, the variance
 * left without the static fade, and that of the fade of an unread place. */
typedef struct engine_told {
    double shift_db, normal_db2, static_db2;
    bool in_place;         /* read in place: the fade of the place is in what was read */
    unsigned trips, heard; /* on the link itself, on the last visit that counted any */
    /* The least shown there on the last visit that showed any, in place before by hand, the
     * main meter's offset taken off, or not a number; and how far it may be off. */
    double level_dbm, level_slack_db;
} engine_told;

/* ---- free_space.c ---- */

/* Free-space loss over 1 m, dB. ITU-R P.525, 20 log10(4 pi d / lambda) with the exact constant;
 * freq_mhz > 0. */
double engine_first_meter_db(double freq_mhz);

/* Loss from 1 m to distance_m, dB: 10 n log10(d / 1 m); under 1 m counts as 1 m. */
double engine_distance_db(double exponent, double distance_m);

/* ---- budget.c ---- */

/* Power that a listener needs, dBm: its sensitivity, or thermal noise and the ratio needed
 * above it; noise of the surroundings (ITU-R P.372) is added as power; noise that the listener
 * itself has read (-INFINITY: none) counts as it is. Not a number when the radio gives nothing.
 */
double engine_needed_dbm(const survey_radio *radio, enum survey_surroundings surroundings,
                         double read_noise_dbm);

/* What a maker's claim of open-air range says of the loss that still works, dB: the middle
 * between free space and plane earth at that range, and the sd of what lies between. */
typedef struct engine_claim {
    double budget_db, sd_db;
} engine_claim;
engine_claim engine_rated_range(double freq_mhz, double rated_range_m);

/* ---- ground.c ---- */

/* Two-ray loss over plane earth with both ends 1.5 m up, dB, and the distance from which it can
 * count, m. */
double engine_plane_earth_db(double distance_m);
double engine_break_m(double freq_mhz);

/* What plane earth takes beyond a loss that was worked out so far, dB; 0 before the break. */
double engine_ground_db(double freq_mhz, double distance_m, double so_far_db);

/* ---- penetration.c ---- */

/* The loss of a construction at a frequency. By its rows: linear in log f between neighboring
 * ones, flat outside; beyond a factor 1.5 of the nearest row 2 dB are added to the sd. Without
 * rows: by its layers. A construction that has neither loses nothing, and is not in use. */
engine_loss engine_table_loss(const earshot_survey *survey, size_t construction,
                              double freq_mhz);

/* The layers of a construction at a frequency. */
struct engine_layer;
void engine_layers(const earshot_survey *survey, const survey_construction *of, double freq_mhz,
                   struct engine_layer *layers);

/* Whether a layer is used outside the frequencies of its row. */
bool engine_layers_outside(const earshot_survey *survey, const survey_construction *of,
                           double freq_mhz);

/* Loss by layers at an angle from straight through, dB (slab.h). */
double engine_layers_db(const earshot_survey *survey, size_t construction, double freq_mhz,
                        double angle_rad);

/* ---- walls.c, floors.c ---- */

/* A sum over crossed panels: of their losses as they are believed, and as the tables have them
 * the sum and the heaviest. By the latter two it is counted how many there are. */
typedef struct engine_sum {
    double sum_db, table_db, heaviest_db;
    unsigned n;
} engine_sum;

/* What a rule makes of a sum: the loss of all together, and its derivatives. */
typedef struct engine_together {
    double loss_db;
    double per_db;       /* per dB of any crossed panel */
    double per_power_db; /* walls: per unit of the ways-round power */
} engine_together;

/* S N^(p-1) for a sum S of N walls and the tables' power p; another `power` moves it along its
 * tangent. Never under 0. */
engine_together engine_walls(const engine_sum *walls, double table_power, double power);

/* S k^((k+2)/(k+1) - b - 1) for k floors when floors saturate (COST 231 final report, eq.
 * 4.7.2), else S. */
engine_together engine_floors(const engine_sum *floors, bool saturate, double b);

/* ---- walk.c ---- */

/* A straight way through the building. */
typedef struct engine_way {
    geometry_place from, to;
    double length_m;
} engine_way;

/* One thing that a link crosses. */
typedef struct engine_crossing {
    bool floor;
    size_t construction;
    const char *name; /* of the wall, opening or level; of the construction on a path row */
    const engine_way *way;       /* NULL on a path row */
    const geometry_panel *panel; /* NULL of a floor */
    size_t thing;                /* see engine_n_things; NONE: not told apart from its like */
    size_t beside; /* the construction on the other side of an opening's edge so near that part
                      of the signal goes there; NONE: no edge is near */
} engine_crossing;

/* All that can be crossed, each with a number: walls, openings, floors by row, then the
 * crossings of all path rows. */
size_t engine_n_things(const earshot_survey *survey);

/* What is known already of the panels on a way. A fan from one of its ends; or how many
 * crossings of each construction that loses the same at every angle and has no edge, and which
 * panels must still be looked at. */
typedef struct engine_seen {
    const geometry_fan *fan; /* NULL: the rest holds */
    const int *count;        /* by construction */
    const size_t *panels;    /* rising */
    size_t n_panels;
} engine_seen;

/* Calls `meet` for each, walls and openings first, then floors. `seen` NULL: nothing is known.
 */
void engine_walk(const earshot_survey *survey, const earshot_link *link,
                 const engine_seen *seen,
                 void (*meet)(void *who, const engine_crossing *crossing), void *who);

/* The angle of a crossing from straight through, rad; 0 on a path row. */
double engine_angle_rad(const engine_crossing *crossing);

/* ---- predict.c ---- */

/* Everything about a link but its verdict, with the margin's feature row. `need` entries of the
 * row, if any, stand last, so that the received power's row is the same without them:
 * n_power_features says how many those are. */
typedef struct engine_result {
    double distance_m;
    double first_meter_db, distance_db;
    double ground_db; /* on a long open way, beyond these */
    double read_db;   /* what readings say of this place, beyond these */
    engine_sum walls, floors;
    engine_together walls_together, floors_together;
    double mounts_db;
    double loss_db, rx_power_dbm, needed_dbm;
    engine_features features;
    size_t n_power_features;
    engine_own own;
    double apart_power_db2, apart_margin_db2; /* variance beyond the features, of each */
    unsigned notes;
} engine_result;

void engine_solve(const earshot_survey *survey, const earshot_belief *belief,
                  const earshot_link *link, const engine_seen *seen, engine_result *out);

/* The link that is solved: its ends put on the grid of the plan, unless it goes by a path row.
 */
earshot_link engine_on_grid(const earshot_link *link);

/* The same with what was read told of it, which then is a part of loss and power. `link` goes
 * as the alarm does; `back`: what is solved is the answer to it. */
engine_told engine_solve_told(const earshot_survey *survey, const earshot_belief *belief,
                              const earshot_link *link, bool back, const engine_seen *seen,
                              engine_result *out);

/* The prediction, and the result of the alarm's own way with what was read told of it. The link
 * is valid. */
void engine_predict(const earshot_survey *survey, const earshot_belief *belief,
                    const earshot_link *link, engine_result *result, earshot_prediction *out);

/* Margin and its sd alone, as earshot_links_predict gives them; not a number without a budget.
 */
void engine_margin(const earshot_survey *survey, const earshot_belief *belief,
                   const earshot_link *link, const engine_seen *seen, double *margin_db,
                   double *sd_db);

/* Sent power and the listener's antenna, with what was learned of them. */
double engine_sent_dbm(const earshot_survey *survey, const earshot_belief *belief,
                       const earshot_link *link);
double engine_antenna_dbi(const earshot_survey *survey, const earshot_belief *belief,
                          const earshot_link *link);

/* The sd of what the ground takes: the loss lies somewhere between with it and without. */
double engine_ground_sd_db(double ground_db);

/* Whether answers are sent back, and must be heard too. */
bool engine_answers(const earshot_survey *survey, const earshot_link *link);

/* The same link from its other end: what decides when EARSHOT_NOTE_WAY_BACK is set. */
earshot_link engine_way_back(const earshot_link *link);

/* Median loss under the belief of a crossing, were it of `construction`; never below 0. */
double engine_crossing_db(const earshot_survey *survey, const earshot_belief *belief,
                          size_t radio, const engine_crossing *crossing, size_t construction);

/* Variance of a crossed thing's loss, in squares of its row's sd: of its construction and its
 * own.
 */
double engine_thing_variance(const earshot_belief *belief, const engine_crossing *crossing);

/* Variance that a near edge adds to a crossing, dB^2: the loss lies somewhere between that of
 * both sides. */
double engine_edge_variance_db2(const earshot_survey *survey, const earshot_belief *belief,
                                size_t radio, const engine_crossing *crossing);

/* J S J^T over the first `n` features. */
double engine_variance_db2(const earshot_belief *belief, const engine_features *features,
                           size_t n);

/* ---- read.c: what readings say of a link ---- */

enum { ENGINE_MAX_READS = 2048 };

/* What two views share of parameters alone, dB^2. */
double engine_parameters_db2(const engine_reads *reads, const engine_view *a,
                             const engine_view *b);

/* c' K^-1 c, dB^2, by forward substitution with the factor of K (n x n); `c` is used up. */
double engine_explained_db2(const double *lower, size_t n, double *c);

/* Variance of what a view sees before anything was read, without the static fade unless it is
 * the device's own. */
double engine_prior_db2(const engine_reads *reads, const engine_field *field,
                        const engine_view *view);

/* What two views share before anything was read, dB^2: of parameters, things, meters, of what
 * may stand in the way, and of the links themselves. `link_db2`: the last of these alone, or
 * NULL. */
double engine_shared_db2(const earshot_survey *survey, const engine_reads *reads,
                         const engine_field *field, const engine_view *a, const engine_view *b,
                         double *link_db2);

/* How much of an obstacle's loss a view has: as much as of all that its link has for itself, or
 * 0 when it is not on the way. And what two views share by it. */
double engine_obstacle_share(const engine_obstacle *obstacle, const engine_view *view);
double engine_obstacle_db2(const engine_obstacle *obstacle, const engine_view *a,
                           const engine_view *b);

/* `view` of a meter's reading, or of a margin. */
engine_told engine_tell(const earshot_survey *survey, const earshot_belief *belief,
                        const engine_view *view);

/* The view of a solved link: of its margin, or of its received power alone. `link` goes as the
 * alarm does, also where `result` is of the way back. The view borrows from `result`, whose
 * features (those of power and the rest apart) are put into rising order. */
engine_view engine_view_of(const earshot_link *link, engine_result *result, bool margin);

/* Whether rows of the link are within the survey. */
bool engine_link_valid(const earshot_survey *survey, const earshot_link *link);

/* ---- verdict.c ---- */

/* The chance that makes a margin firm: more is asked where it is in great doubt and nobody read
 * it.
 */
double engine_asked_chance(double confidence, double sd_db, bool in_place);

/* The chance of no margin at all from which on such a link is out, and below which it is not
 * judged; 0 where the doubt is not so great. */
double engine_asked_out_chance(double sd_db, bool in_place);

/* Fills margin's sd, required margin, spare, basis, chance and verdict. The static fade is not
 * normal, and comes in by its own factor where the place was not read. */
void engine_judge(const earshot_survey *survey, const earshot_belief *belief,
                  const earshot_link *link, const engine_told *told,
                  earshot_prediction *prediction);

#endif
