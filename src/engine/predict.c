/* SPDX-License-Identifier: GPL-3.0-or-later */
/* predict.c - one link, put together: loss, power, margin, and how each parameter moves it.
 *
 * Ends are snapped to the grid of the plan first, so that a what-if end and a device at the
 * same place give the same answer.
 */
#include <math.h>
#include <string.h>

#include "chance.h"
#include "engine.h"

/* The losses by distance come from inside buildings, where ways are shorter (judgement). */
static const double farthest_m = 60;

static double square(double x) {
    return x * x;
}

/* ---- where each parameter stands ---- */

size_t engine_mount(const earshot_survey *survey, size_t mount) {
    return ENGINE_FIRST_CONSTRUCTION + survey->n_constructions + mount;
}

size_t engine_radio(const earshot_survey *survey, size_t radio) {
    return engine_mount(survey, survey->n_mounts) + radio;
}

size_t engine_antennas(const earshot_survey *survey, size_t radio) {
    return engine_radio(survey, survey->n_radios) + radio;
}

size_t engine_antenna(const earshot_survey *survey, size_t listener) {
    return engine_antennas(survey, survey->n_radios) + listener;
}

size_t engine_need(const earshot_survey *survey, size_t listener) {
    return engine_antenna(survey, survey->n_listeners) + listener;
}

size_t engine_n_parameters(const earshot_survey *survey) {
    return engine_need(survey, survey->n_listeners);
}

/* ---- sums over what is crossed ---- */

static size_t own_number(const earshot_belief *belief, const engine_crossing *crossing) {
    if (!belief->reads || crossing->thing == EARSHOT_NONE)
        return EARSHOT_NONE;
    return belief->reads->own_of[crossing->thing];
}

/* What the tables alone say that a crossing loses, were it of `construction`. */
static double table_db(const earshot_survey *survey, const earshot_belief *belief, size_t radio,
                       const engine_crossing *crossing, size_t construction) {
    const engine_loss *loss = &belief->losses[radio * survey->n_constructions + construction];
    if (loss->by_layers && crossing->way)
        return engine_layers_db(survey, construction, survey->radios[radio].freq_mhz,
                                engine_angle_rad(crossing));
    return loss->loss_db;
}

/* What was learned of it beyond that. */
static double learned_db(const earshot_survey *survey, const earshot_belief *belief,
                         size_t radio, const engine_crossing *crossing, size_t construction) {
    double offset = belief->mean[ENGINE_FIRST_CONSTRUCTION + construction];
    size_t own = own_number(belief, crossing);
    if (own != EARSHOT_NONE && construction == crossing->construction)
        offset += belief->reads->own_mean[own];
    return offset * belief->losses[radio * survey->n_constructions + construction].sd_db;
}

double engine_crossing_db(const earshot_survey *survey, const earshot_belief *belief,
                          size_t radio, const engine_crossing *crossing, size_t construction) {
    return fmax(0, table_db(survey, belief, radio, crossing, construction) +
                       learned_db(survey, belief, radio, crossing, construction));
}

double engine_edge_variance_db2(const earshot_survey *survey, const earshot_belief *belief,
                                size_t radio, const engine_crossing *crossing) {
    if (crossing->beside == EARSHOT_NONE)
        return 0;
    double here_db =
        engine_crossing_db(survey, belief, radio, crossing, crossing->construction);
    double there_db = engine_crossing_db(survey, belief, radio, crossing, crossing->beside);
    return (here_db - there_db) * (here_db - there_db) / 12; /* evenly spread between the two */
}

/* What is each thing's own, of things of which readings tell. */
struct known {
    size_t own;
    double sd_db;
    bool floor;
};

struct summing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    size_t radio;
    engine_sum walls, floors;
    unsigned wall_count[SURVEY_MAX_CONSTRUCTIONS], floor_count[SURVEY_MAX_CONSTRUCTIONS];
    double wall_doubts_db2, floor_doubts_db2; /* what crossings do not share */
    struct known known[ENGINE_MAX_OWN];
    size_t n_known;
    bool far;
};

static void add_doubt(struct summing *summing, const engine_crossing *crossing) {
    const earshot_survey *survey = summing->survey;
    size_t row = summing->radio * survey->n_constructions + crossing->construction;
    size_t own = own_number(summing->belief, crossing);
    double sd_db = summing->belief->losses[row].sd_db;
    double *doubts_db2 =
        crossing->floor ? &summing->floor_doubts_db2 : &summing->wall_doubts_db2;
    if (!crossing->floor)
        *doubts_db2 +=
            engine_edge_variance_db2(survey, summing->belief, summing->radio, crossing);
    if (own != EARSHOT_NONE && summing->n_known < ENGINE_MAX_OWN)
        summing->known[summing->n_known++] = (struct known){own, sd_db, crossing->floor};
    else
        *doubts_db2 += engine_own_share * square(sd_db);
}

static void meet(void *who, const engine_crossing *crossing) {
    struct summing *summing = who;
    const earshot_survey *survey = summing->survey;
    size_t construction = crossing->construction;
    engine_sum *sum = crossing->floor ? &summing->floors : &summing->walls;
    double by_table_db =
        table_db(survey, summing->belief, summing->radio, crossing, construction);
    sum->sum_db += fmax(0, by_table_db + learned_db(survey, summing->belief, summing->radio,
                                                    crossing, construction));
    sum->table_db += by_table_db;
    sum->heaviest_db = fmax(sum->heaviest_db, by_table_db);
    sum->n++;
    add_doubt(summing, crossing);
    (crossing->floor ? summing->floor_count : summing->wall_count)[construction]++;
    if (summing->belief->losses[summing->radio * survey->n_constructions + construction].far)
        summing->far = true;
}

/* ---- features ---- */

static void feature(engine_features *features, size_t parameter, double value) {
    if (value == 0)
        return;
    features->parameter[features->n] = parameter;
    features->value[features->n++] = value;
}

static void construction_features(const struct summing *summing, const engine_result *result,
                                  engine_features *features) {
    size_t n = summing->survey->n_constructions;
    const engine_loss *losses = summing->belief->losses + summing->radio * n;
    for (size_t i = 0; i < n; i++) {
        double per_db = summing->wall_count[i] * result->walls_together.per_db +
                        summing->floor_count[i] * result->floors_together.per_db;
        feature(features, ENGINE_FIRST_CONSTRUCTION + i, -per_db * losses[i].sd_db);
    }
}

static void mount_features(const earshot_survey *survey, const earshot_link *link,
                           engine_features *features) {
    size_t first = link->from.mount, second = link->to.mount;
    if (first != EARSHOT_NONE)
        feature(features, engine_mount(survey, first),
                -survey->mounts[first].sd_db * (first == second ? 2 : 1));
    if (second != EARSHOT_NONE && second != first)
        feature(features, engine_mount(survey, second), -survey->mounts[second].sd_db);
}

/* The budget's own doubts. A rated range claims the whole budget at once: power, antenna and
 * need are then one parameter, and only the received power by itself still doubts power and
 * antenna. */
static void budget_features(const earshot_survey *survey, const earshot_link *link,
                            engine_result *result) {
    const survey_radio *from = &survey->radios[link->from.radio];
    const survey_radio *to = &survey->radios[link->to.radio];
    engine_features *features = &result->features;
    double power_db2 = square(from->eirp_sd_db), antenna_db2 = square(to->antenna_sd_db);
    if (from->rated_range_m > 0) {
        result->n_power_features = features->n;
        feature(features, engine_radio(survey, link->from.radio), 1);
        result->apart_power_db2 += power_db2 + antenna_db2;
        return;
    }
    feature(features, engine_radio(survey, link->from.radio), 1);
    feature(features, engine_antennas(survey, link->to.radio), 1);
    if (link->to.bias != EARSHOT_NONE) {
        feature(features, engine_antenna(survey, link->to.bias), 1);
        result->n_power_features = features->n;
        feature(features, engine_need(survey, link->to.bias), -1);
        return;
    }
    result->n_power_features = features->n;
    result->apart_power_db2 += engine_own_share * antenna_db2;
    result->apart_margin_db2 += engine_own_share * antenna_db2 + square(to->sensitivity_sd_db);
}

/* ---- the parts of a result ---- */

static double mounts_db(const earshot_survey *survey, const earshot_belief *belief,
                        const earshot_link *link) {
    double loss_db = 0;
    const size_t mounts[2] = {link->from.mount, link->to.mount};
    for (int end = 0; end < 2; end++)
        if (mounts[end] != EARSHOT_NONE)
            loss_db += survey->mounts[mounts[end]].loss_db +
                       survey->mounts[mounts[end]].sd_db *
                           belief->mean[engine_mount(survey, mounts[end])];
    return loss_db;
}

static double distance_m(const earshot_survey *survey, const earshot_link *link) {
    if (link->path != EARSHOT_NONE)
        return survey->paths[link->path].length_m;
    geometry_place from = {link->from.x_m, link->from.y_m, link->from.z_m};
    geometry_place to = {link->to.x_m, link->to.y_m, link->to.z_m};
    return geometry_distance(from, to);
}

/* Noise that the listener itself has read, dBm; -INFINITY: none. */
static double listener_noise_dbm(const earshot_survey *survey, const earshot_link *link) {
    return link->to.bias == EARSHOT_NONE ? -INFINITY : survey->noise_dbm[link->to.bias];
}

/* What was learned of a radio with a claim of range is of the claim, not of its power. */
double engine_sent_dbm(const earshot_survey *survey, const earshot_belief *belief,
                       const earshot_link *link) {
    const survey_radio *from = &survey->radios[link->from.radio];
    double learned = belief->mean[engine_radio(survey, link->from.radio)];
    return from->eirp_dbm + (from->rated_range_m > 0 ? 0 : learned);
}

double engine_antenna_dbi(const earshot_survey *survey, const earshot_belief *belief,
                          const earshot_link *link) {
    double learned = belief->mean[engine_antennas(survey, link->to.radio)];
    if (link->to.bias != EARSHOT_NONE)
        learned += belief->mean[engine_antenna(survey, link->to.bias)];
    return survey->radios[link->to.radio].antenna_dbi + learned;
}

static void budget(const earshot_survey *survey, const earshot_belief *belief,
                   const earshot_link *link, engine_result *result) {
    const survey_radio *from = &survey->radios[link->from.radio];
    const survey_radio *to = &survey->radios[link->to.radio];
    double arrives_dbm =
        engine_sent_dbm(survey, belief, link) + engine_antenna_dbi(survey, belief, link);
    result->rx_power_dbm = arrives_dbm - result->loss_db;
    if (from->rated_range_m > 0)
        result->needed_dbm = arrives_dbm -
                             engine_rated_range(from->freq_mhz, from->rated_range_m).budget_db -
                             belief->mean[engine_radio(survey, link->from.radio)];
    else
        result->needed_dbm =
            engine_needed_dbm(to, survey->site.surroundings, listener_noise_dbm(survey, link)) +
            (link->to.bias == EARSHOT_NONE ? 0
                                           : belief->mean[engine_need(survey, link->to.bias)]);
}

earshot_link engine_on_grid(const earshot_link *link) {
    earshot_link copy = *link;
    if (link->path != EARSHOT_NONE)
        return copy;
    copy.from.x_m = geometry_snap(copy.from.x_m);
    copy.from.y_m = geometry_snap(copy.from.y_m);
    copy.to.x_m = geometry_snap(copy.to.x_m);
    copy.to.y_m = geometry_snap(copy.to.y_m);
    return copy;
}

static bool placed(const earshot_link *link) {
    return link->path != EARSHOT_NONE ||
           (isfinite(link->from.x_m) && isfinite(link->from.y_m) && isfinite(link->from.z_m) &&
            isfinite(link->to.x_m) && isfinite(link->to.y_m) && isfinite(link->to.z_m));
}

static void own_feature(engine_own *own, const struct known *known, double per_db) {
    size_t at = own->n;
    if (known->sd_db == 0)
        return;
    for (; at > 0 && own->number[at - 1] > known->own; at--) {
        own->number[at] = own->number[at - 1];
        own->value[at] = own->value[at - 1];
    }
    own->number[at] = known->own;
    own->value[at] = -per_db * known->sd_db;
    own->n++;
}

static void own_features(const struct summing *summing, engine_result *out) {
    out->own.n = 0;
    for (size_t i = 0; i < summing->n_known; i++)
        own_feature(&out->own, &summing->known[i],
                    summing->known[i].floor ? out->floors_together.per_db
                                            : out->walls_together.per_db);
}

double engine_ground_sd_db(double ground_db) {
    return ground_db / sqrt(12); /* evenly spread between nothing and all of it */
}

/* Whether plane earth is a limit: where all that stands in the way is drawn, and not in a
 * building that guides the wave, which an exponent under that of free space says. */
static bool has_ground(const survey_environment *environment) {
    return environment->walls_drawn && environment->exponent >= 2;
}

/* On a long way the loss is never under that of plane earth, so that a wall more never lowers
 * it. Where plane earth decides, no parameter moves the loss; but what was not known of them is
 * not known of the place either, and stays in the doubt. */
static void limit_by_ground(const earshot_survey *survey, const earshot_belief *belief,
                            double freq_mhz, engine_result *out) {
    if (!has_ground(&survey->environment))
        return;
    out->ground_db =
        engine_ground_db(freq_mhz, out->distance_m,
                         out->first_meter_db + out->distance_db + out->walls_together.loss_db +
                             out->floors_together.loss_db);
    if (out->ground_db <= 0)
        return;
    double doubt_db2 = engine_variance_db2(belief, &out->features, out->features.n) +
                       square(engine_ground_sd_db(out->ground_db));
    for (size_t i = 0; i < out->own.n; i++)
        doubt_db2 += engine_own_share * square(out->own.value[i]);
    out->features.n = out->own.n = 0;
    out->apart_power_db2 += doubt_db2;
    out->apart_margin_db2 += doubt_db2;
}

static void solve_loss(const earshot_survey *survey, const earshot_belief *belief,
                       const earshot_link *link, const engine_seen *seen, engine_result *out) {
    const survey_environment *environment = &survey->environment;
    double power = belief->mean[ENGINE_SATURATION];
    struct summing summing = {.survey = survey, .belief = belief, .radio = link->from.radio};
    engine_walk(survey, link, seen, meet, &summing);
    double freq_mhz = survey->radios[link->from.radio].freq_mhz;
    out->distance_m = distance_m(survey, link);
    out->first_meter_db = engine_first_meter_db(freq_mhz);
    out->distance_db = engine_distance_db(belief->mean[ENGINE_EXPONENT], out->distance_m);
    out->ground_db = out->read_db = 0;
    out->walls = summing.walls;
    out->floors = summing.floors;
    out->walls_together = engine_walls(&out->walls, environment->wall_saturation, power);
    out->floors_together =
        engine_floors(&out->floors, environment->floors_saturate, environment->floor_b);
    out->apart_power_db2 = out->apart_margin_db2 =
        square(out->walls_together.per_db) * summing.wall_doubts_db2 +
        square(out->floors_together.per_db) * summing.floor_doubts_db2;
    own_features(&summing, out);
    feature(&out->features, ENGINE_EXPONENT, -engine_distance_db(1, out->distance_m));
    feature(&out->features, ENGINE_SATURATION, -out->walls_together.per_power_db);
    construction_features(&summing, out, &out->features);
    limit_by_ground(survey, belief, freq_mhz, out);
    mount_features(survey, link, &out->features);
    out->mounts_db = mounts_db(survey, belief, link);
    out->loss_db = out->first_meter_db + out->distance_db + out->walls_together.loss_db +
                   out->floors_together.loss_db + out->ground_db + out->mounts_db;
    if (summing.far)
        out->notes |= EARSHOT_NOTE_FAR_FREQUENCY;
    if (out->distance_m < 1)
        out->notes |= EARSHOT_NOTE_CLOSE;
    if (out->distance_m > farthest_m)
        out->notes |= EARSHOT_NOTE_FAR;
}

void engine_solve(const earshot_survey *survey, const earshot_belief *belief,
                  const earshot_link *link, const engine_seen *seen, engine_result *out) {
    out->features.n = out->n_power_features = out->own.n = 0;
    out->apart_power_db2 = out->apart_margin_db2 = 0;
    out->notes = 0;
    if (!placed(link)) {
        out->distance_m = out->loss_db = out->rx_power_dbm = out->needed_dbm = NAN;
        out->read_db = 0;
        out->notes = EARSHOT_NOTE_NO_PLACE;
        return;
    }
    const earshot_link on_grid = engine_on_grid(link);
    solve_loss(survey, belief, &on_grid, seen, out);
    budget(survey, belief, &on_grid, out);
    budget_features(survey, &on_grid, out);
    if (isnan(out->rx_power_dbm - out->needed_dbm))
        out->notes |= EARSHOT_NOTE_NO_BUDGET;
}

double engine_thing_variance(const earshot_belief *belief, const engine_crossing *crossing) {
    size_t own = own_number(belief, crossing);
    size_t parameter = ENGINE_FIRST_CONSTRUCTION + crossing->construction;
    if (own != EARSHOT_NONE)
        return belief->reads->own_variance[own];
    return belief->covariance[parameter * belief->n + parameter] + engine_own_share;
}

double engine_variance_db2(const earshot_belief *belief, const engine_features *features,
                           size_t n) {
    double variance = 0;
    for (size_t i = 0; i < n; i++) {
        const double *row = belief->covariance + features->parameter[i] * belief->n;
        double sum = 0;
        for (size_t j = 0; j < n; j++)
            sum += row[features->parameter[j]] * features->value[j];
        variance += features->value[i] * sum;
    }
    return fmax(variance, 0);
}

bool engine_link_valid(const earshot_survey *survey, const earshot_link *link) {
    const earshot_end *ends[2] = {&link->from, &link->to};
    for (int end = 0; end < 2; end++)
        if (ends[end]->radio >= survey->n_radios ||
            (ends[end]->mount != EARSHOT_NONE && ends[end]->mount >= survey->n_mounts) ||
            (ends[end]->bias != EARSHOT_NONE && ends[end]->bias >= survey->n_listeners) ||
            fabs(ends[end]->x_m) > GEOMETRY_REACH_M || fabs(ends[end]->y_m) > GEOMETRY_REACH_M)
            return false;
    if ((link->device != EARSHOT_NONE && link->device >= survey->n_devices) ||
        (link->listener != EARSHOT_NONE && link->listener >= survey->n_devices))
        return false;
    return link->path == EARSHOT_NONE || link->path < survey->n_paths;
}

/* Both ends of a two-way link must hear: the answer of the listener, by its own radio, is
 * judged too. The sensor's antenna and need are then the ones in doubt. */
bool engine_answers(const earshot_survey *survey, const earshot_link *link) {
    return survey->radios[link->from.radio].two_way && survey->radios[link->to.radio].two_way;
}

earshot_link engine_way_back(const earshot_link *link) {
    earshot_link back = *link;
    back.from = link->to;
    back.to = link->from;
    return back;
}

engine_told engine_solve_told(const earshot_survey *survey, const earshot_belief *belief,
                              const earshot_link *link, bool back, const engine_seen *seen,
                              engine_result *out) {
    const earshot_link answer = engine_way_back(link);
    engine_solve(survey, belief, back ? &answer : link, seen, out);
    if (out->notes & EARSHOT_NOTE_NO_PLACE)
        return (engine_told){.normal_db2 = NAN, .static_db2 = NAN};
    const engine_view view = engine_view_of(link, out, true);
    engine_told told = engine_tell(survey, belief, &view);
    out->read_db = -told.shift_db;
    out->loss_db += out->read_db;
    out->rx_power_dbm -= out->read_db;
    return told;
}

/* The margin of one way, judged. Powers and reading stay as they are in `out`. */
static void judge_way(const earshot_survey *survey, const earshot_belief *belief,
                      const earshot_link *link, const engine_result *result,
                      const engine_told *told, earshot_prediction *out) {
    out->margin_db = result->rx_power_dbm - result->needed_dbm;
    out->notes = result->notes;
    engine_judge(survey, belief, link, told, out);
}

static const double chance_alike = 0.01, margin_alike_db = 1e-9;

/* The way less likely to hold is the weaker; of two that hold alike, the one with less margin.
 * Chances within one in a hundred are alike: nobody knows them better. One that cannot be
 * worked out leaves the link not judged. */
static bool weaker(const earshot_prediction *way, const earshot_prediction *other) {
    if (isnan(way->chance) || isnan(other->chance))
        return isnan(way->chance) && !isnan(other->chance);
    if (fabs(way->chance - other->chance) > chance_alike)
        return way->chance < other->chance;
    return way->margin_db < other->margin_db - margin_alike_db;
}

/* The sd of what a meter would show there, well averaged, held by hand. */
static double reading_sd_db(const earshot_survey *survey, const earshot_belief *belief,
                            const earshot_link *link, engine_result *result) {
    if (result->notes & EARSHOT_NOTE_NO_PLACE)
        return NAN;
    engine_view view = engine_view_of(link, result, false);
    view.meter = belief->reads ? belief->reads->meter : 0;
    view.meter_sd_db = belief->reads ? belief->reads->meter_sd_db : belief->meter_sd_db;
    const engine_told told = engine_tell(survey, belief, &view);
    double static_db2 = told.in_place ? square(belief->static_sd_db) : told.static_db2;
    return sqrt(told.normal_db2 + static_db2 + square(belief->session_sd_db));
}

void engine_predict(const earshot_survey *survey, const earshot_belief *belief,
                    const earshot_link *link, engine_result *result, earshot_prediction *out) {
    engine_told told = engine_solve_told(survey, belief, link, false, NULL, result);
    double meter_db = belief->reads ? belief->reads->meter_mean_db : 0;
    *out = (earshot_prediction){.distance_m = result->distance_m,
                                .loss_db = result->loss_db,
                                .rx_power_dbm = result->rx_power_dbm,
                                .expected_reading_dbm = result->rx_power_dbm + meter_db,
                                .reading_sd_db = reading_sd_db(survey, belief, link, result),
                                .needed_dbm = result->needed_dbm};
    judge_way(survey, belief, link, result, &told, out);
    if (!engine_answers(survey, link))
        return;
    engine_result back;
    earshot_prediction other = *out;
    told = engine_solve_told(survey, belief, link, true, NULL, &back);
    judge_way(survey, belief, link, &back, &told, &other);
    if (weaker(&other, out)) {
        *out = other;
        out->notes |= EARSHOT_NOTE_WAY_BACK;
    }
}

/* The doubt of a way, without the static fade. */
struct way {
    double margin_db, normal_sd_db, static_db2;
};

static struct way way_of(const engine_result *result, const engine_told *told) {
    return (struct way){result->rx_power_dbm - result->needed_dbm, sqrt(told->normal_db2),
                        told->static_db2};
}

/* Whether weaker() is true of `a` without its chances being worked out, which is nearly all of
 * the work. With the fade at any level f, less margin is the lesser chance but where the margin
 * plus f passes c = d sd_a / |sd_b - sd_a|, d being what it has less; and where c is so many
 * sds away that the chances there come to less than what is alike, it is the weaker or alike,
 * and has less margin. */
static bool plainly_weaker(const struct way *a, const struct way *b) {
    static const double far_sd = 2.4; /* 0.0082 of a normal lies beyond */
    double less_db = b->margin_db - a->margin_db;
    double more_sd_db = b->normal_sd_db - a->normal_sd_db;
    if (!(less_db > margin_alike_db) || a->static_db2 != b->static_db2)
        return false;
    double passes_db = less_db * a->normal_sd_db / fabs(more_sd_db);
    return more_sd_db > 0 ? passes_db + less_db >= far_sd * b->normal_sd_db
                          : passes_db >= far_sd * a->normal_sd_db;
}

/* The same margin with nearly the same doubt: the chances of normals differ by at most a
 * quarter of what the ratio of their sds is off 1. */
static bool plainly_alike(const struct way *a, const struct way *b) {
    static const double near_ratio = 0.03;
    return fabs(a->margin_db - b->margin_db) <= margin_alike_db &&
           a->static_db2 == b->static_db2 &&
           fabs(a->normal_sd_db - b->normal_sd_db) <= near_ratio * a->normal_sd_db;
}

/* Puts the answer in place of the way there where it is the weaker. */
static void take_weaker(const earshot_survey *survey, const earshot_belief *belief,
                        const earshot_link *link, const engine_seen *seen,
                        const engine_result *result, const engine_told *told,
                        earshot_prediction *way) {
    engine_result returned;
    engine_told back = engine_solve_told(survey, belief, link, true, seen, &returned);
    earshot_prediction other = {.margin_db = returned.rx_power_dbm - returned.needed_dbm,
                                .margin_sd_db = sqrt(back.normal_db2 + back.static_db2)};
    const struct way there = way_of(result, told), and_back = way_of(&returned, &back);
    bool is_weaker = plainly_weaker(&and_back, &there);
    if (!is_weaker && !plainly_weaker(&there, &and_back) && !plainly_alike(&there, &and_back)) {
        judge_way(survey, belief, link, result, told, way);
        judge_way(survey, belief, link, &returned, &back, &other);
        is_weaker = weaker(&other, way);
    }
    if (is_weaker)
        *way = other;
}

void engine_margin(const earshot_survey *survey, const earshot_belief *belief,
                   const earshot_link *link, const engine_seen *seen, double *margin_db,
                   double *sd_db) {
    engine_result result;
    engine_told told = engine_solve_told(survey, belief, link, false, seen, &result);
    earshot_prediction way = {.margin_db = result.rx_power_dbm - result.needed_dbm,
                              .margin_sd_db = sqrt(told.normal_db2 + told.static_db2)};
    if (engine_answers(survey, link))
        take_weaker(survey, belief, link, seen, &result, &told, &way);
    *margin_db = way.margin_db;
    *sd_db = way.margin_sd_db;
}

enum earshot_status earshot_links_predict(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          const earshot_link *links, size_t n,
                                          earshot_prediction *out) {
    for (size_t i = 0; i < n; i++)
        if (!engine_link_valid(survey, &links[i]))
            return EARSHOT_MISUSE;
    engine_result result;
    for (size_t i = 0; i < n; i++)
        engine_predict(survey, belief, &links[i], &result, &out[i]);
    return EARSHOT_OK;
}
