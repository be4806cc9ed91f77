/* SPDX-License-Identifier: GPL-3.0-or-later */
/* link.h - one transmitter to one listener: where the signal goes, and what is left.
 *
 *     loss   = first meter + distance + walls, ways round + floors, ground + mounts  (ledger)
 *     margin = sent power + listener's antenna - loss - needed power
 *     spare  = margin - required margin
 *
 * All losses are means of dB. Fading is in the doubt and in the chance, never in the loss.
 */
#ifndef EARSHOT_LINK_H
#define EARSHOT_LINK_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/belief.h"
#include "earshot/survey.h"

#ifdef __cplusplus
extern "C" {
#endif

/* No row: no mount named, no device behind an end. */
#define EARSHOT_NONE ((size_t)-1)

/* One end of a link. Building coordinates, m; not a number: the place is not known.
 * Rows count from 0. */
typedef struct earshot_end {
    double x_m, y_m, z_m;
    size_t radio; /* row of the radios in use, as earshot_survey_links gives it */
    size_t mount; /* likewise, or EARSHOT_NONE */
    size_t bias;  /* of a listener: its number among the listeners; else EARSHOT_NONE */
} earshot_end;

typedef struct earshot_link {
    earshot_end from, to;    /* transmitter, listener */
    size_t device, listener; /* rows of devices.csv, or EARSHOT_NONE for a what-if */
    size_t path;      /* row of paths.csv used in place of coordinates, or EARSHOT_NONE */
    bool doors_open;  /* doors on the way stand open, and lose nothing */
    bool life_safety; /* smoke, heat, CO, flood, panic: more margin, more confidence */
} earshot_link;

enum earshot_verdict { EARSHOT_FIRM, EARSHOT_THIN, EARSHOT_OUT, EARSHOT_NOT_JUDGED };
enum earshot_basis { EARSHOT_PREDICTED, EARSHOT_CORRECTED, EARSHOT_READ_IN_PLACE };

/* Bits of earshot_prediction.notes. */
enum {
    EARSHOT_NOTE_CLOSE = 1, /* ends under 1 m apart: judged as 1 m */
    EARSHOT_NOTE_FAR_FREQUENCY =
        2,                       /* a wall's loss used beyond a factor 1.5 of its frequency */
    EARSHOT_NOTE_NO_PLACE = 4,   /* an end has no coordinates and no path row: not judged */
    EARSHOT_NOTE_NO_BUDGET = 8,  /* the radios give no sent or needed power: not judged */
    EARSHOT_NOTE_BEYOND_SD = 16, /* more than 10 dB give or take, and no reading: not judged */
    EARSHOT_NOTE_FEW_HEARD = 32, /* far fewer trips heard than predicted: thin at best */
    EARSHOT_NOTE_WAY_BACK = 64,  /* two-way: the listener's answer is the weaker way */
    EARSHOT_NOTE_READ_LOW = 256, /* a level read in place is far lower: thin at best */
    EARSHOT_NOTE_FAR = 128       /* more than 60 m: outside what the model is made for */
};

/* Values that are not known are not a number. */
typedef struct earshot_prediction {
    double distance_m;   /* in space, or the walked length of a path row */
    double loss_db;      /* sum of the ledger's parts, in order */
    double rx_power_dbm; /* at the listener's antenna terminals, its gain counted */
    double
        expected_reading_dbm; /* a new, well averaged, hand-held reading at that very place */
    double reading_sd_db;
    double needed_dbm;
    double margin_db, margin_sd_db; /* of the weaker way, where answers are sent back */
    double required_margin_db;
    double spare_db; /* margin less required margin */
    double chance;   /* that the margin is at least the required margin */
    enum earshot_verdict verdict;
    enum earshot_basis basis;
    unsigned notes; /* bits, above */
} earshot_prediction;

enum earshot_part_kind {
    EARSHOT_FIRST_METER,     /* free space over 1 m */
    EARSHOT_DISTANCE,        /* the rest of the way */
    EARSHOT_WALL,            /* one crossed wall */
    EARSHOT_DOOR,            /* one crossed opening with a door in it */
    EARSHOT_WINDOW,          /* one crossed opening with a window in it */
    EARSHOT_WAYS_ROUND,      /* what paths round the walls give back */
    EARSHOT_FLOOR,           /* one crossed floor */
    EARSHOT_FLOORS_TOGETHER, /* what several floors lose less than each alone */
    EARSHOT_MOUNT,           /* how an end is fixed */
    EARSHOT_GROUND,          /* what the ground takes beyond all that, on a long open way */
    EARSHOT_READ             /* what readings say of this place beyond all that */
};

/* One line of the ledger. Strings are borrowed from the survey. */
typedef struct earshot_part {
    enum earshot_part_kind kind;
    const char *name; /* of the wall, opening, level, mount; of the rule otherwise */
    const char *of;   /* what it is built of; of a mount, "sender" or "listener"; or NULL */
    double loss_db;
    double sd_db; /* this part alone; parts of one construction err together */
    const char *source;
} earshot_part;

/* The links of the survey: every sensor, and every repeater, with every listener that hears it,
 * in the order of devices.csv. Writes the first `capacity` of them, returns how many there are.
 */
size_t earshot_survey_links(const earshot_survey *survey, earshot_link *links, size_t capacity);

/* Predicts `n` links; allocates nothing; several threads may share survey and belief, each with
 * its own range of `out`. Returns EARSHOT_OK, or EARSHOT_MISUSE when a row is out of range
 * (nothing is then written). */
enum earshot_status earshot_links_predict(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          const earshot_link *links, size_t n,
                                          earshot_prediction *out);

/* A raster of ends, all alike but for x and y: column i and row j at x0 + i step, y0 + j step,
 * each snapped to 2^-13 m. Steps from 0.01 m; at most 16 million points. */
typedef struct earshot_grid {
    double x0_m, y0_m, step_m;
    size_t nx, ny;
    earshot_end like;
} earshot_grid;

/* A map: margin and its sd from `fixed` to every point of the grid (`fixed_listens` false), or
 * from every point to `fixed`, as earshot_links_predict gives them for ordinary zones (to 1e-9
 * dB). Rows from `first_row`, n_rows of them, nx values each, into the caller's arrays; threads
 * may each take rows of their own. Takes 4 bytes for each construction at each of these points,
 * so that a large map is better asked for in pieces. EARSHOT_MISUSE when an end or the grid is
 * out of range, EARSHOT_NO_MEMORY (nothing is then written), or EARSHOT_OK. */
enum earshot_status earshot_map_predict(const earshot_survey *survey,
                                        const earshot_belief *belief, const earshot_end *fixed,
                                        bool fixed_listens, const earshot_grid *grid,
                                        size_t first_row, size_t n_rows, double *margin_db,
                                        double *sd_db);

/* Many ends against one: margin and its sd from `fixed` to each of `n` ends (`fixed_listens`
 * false), or from each of them to `fixed`, as earshot_links_predict gives them for ordinary
 * zones, to the last bit. For a candidate spot against all zones. EARSHOT_MISUSE when an end is
 * out of range or has no place, EARSHOT_NO_MEMORY (nothing is then written), or EARSHOT_OK. */
enum earshot_status earshot_ends_predict(const earshot_survey *survey,
                                         const earshot_belief *belief, const earshot_end *fixed,
                                         bool fixed_listens, const earshot_end *ends, size_t n,
                                         double *margin_db, double *sd_db);

/* Where the signal goes on one link: writes the first `capacity` parts, and how many there are.
 * `out` is the prediction, as above. A link with no place has no parts. */
enum earshot_status earshot_link_ledger(const earshot_survey *survey,
                                        const earshot_belief *belief, const earshot_link *link,
                                        earshot_part *parts, size_t capacity, size_t *n_parts,
                                        earshot_prediction *out);

/* The prediction of one link corrected by a count of test trips, `heard` of `trips` (1,000 at
 * most) heard, made at the device's own place: the binomial chance of the count integrated over
 * the margin. Loss and powers stay as predicted; margin, its sd, spare, chance, verdict and
 * basis are the corrected ones. EARSHOT_OK, or EARSHOT_MISUSE (nothing written). */
enum earshot_status earshot_link_heard(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_link *link,
                                       unsigned heard, unsigned trips, earshot_prediction *out);

/* Margins of `n` links (2,000 at most) drawn together from what is believed: parameters, walls,
 * places and fades err as they may, together as they would. Draws first_draw to first_draw +
 * n_draws - 1, n values each, into margin_db; of a two-way link the weaker way. The k-th draw
 * depends on the seed and k alone, so that threads may share the work and two arrangements may
 * be compared draw by draw. Not a number where a link cannot be worked out. EARSHOT_MISUSE,
 * EARSHOT_NO_MEMORY (nothing is then written), or EARSHOT_OK. */
enum earshot_status earshot_links_draw(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_link *links,
                                       size_t n, unsigned long long seed, size_t first_draw,
                                       size_t n_draws, double *margin_db);

/* The words that every output uses for these values. */
const char *
earshot_verdict_word(enum earshot_verdict verdict); /* "firm" "thin" "out" "not judged" */
const char *earshot_basis_word(enum earshot_basis basis);
const char *earshot_part_word(enum earshot_part_kind kind);

#ifdef __cplusplus
}
#endif

#endif
