/* SPDX-License-Identifier: GPL-3.0-or-later */
/* observations.c - rows of readings.csv, gathered to what a model can be held against.
 *
 * A level is held against the received power; "none" and a count of trips against the margin,
 * unless the meter has a floor of its own. Where fewer than nine of ten trips were heard, the
 * level is a mean of the better ones: with a share q heard of a normal scatter it lies
 * sd phi(z)/q over the mean of all, z the point that a share q is above (mean of a truncated
 * normal; Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1, 2nd ed. 1994,
 * section 13.10, from memory).
 */
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

#include "calibration.h"
#include "drift.h"
#include "observations.h"

/* What a meter scatters by from one reading to the next, beside its lasting offset. Judgement,
 * no source. */
static const double meter_noise_db = 2;

struct observing {
    const earshot_survey *survey;
    const earshot_belief *prior;
    double time_fade_db;
    calibration_observation *all;
    size_t n, capacity;
};

static double square(double x) {
    return x * x;
}

/* Student's t with 4 degrees has twice the variance of its scale. */
double calibration_meter_noise_db2(void) {
    return 2 * square(meter_noise_db);
}

earshot_link calibration_link_of(const earshot_survey *survey, const survey_reading *reading) {
    const survey_device *listener = &survey->devices[reading->heard_at];
    earshot_link link;
    if (reading->device != EARSHOT_NONE) {
        link = survey_link(survey, reading->device, reading->heard_at);
    } else {
        const earshot_end from = {reading->place.x_m, reading->place.y_m, reading->place.z_m,
                                  reading->radio,     EARSHOT_NONE,       EARSHOT_NONE};
        link = (earshot_link){.from = from,
                              .to = survey_end(listener),
                              .device = EARSHOT_NONE,
                              .listener = reading->heard_at,
                              .path = EARSHOT_NONE};
    }
    link.doors_open = reading->doors_open;
    return link;
}

/* ---- one row ---- */

static size_t meter_of(const earshot_survey *survey, const survey_reading *reading) {
    return reading->scale == EARSHOT_NONE ? survey->n_scales : reading->scale;
}

static calibration_observation begin(const struct observing *observing, size_t row,
                                     enum calibration_kind kind) {
    const survey_reading *reading = &observing->survey->readings[row];
    bool in_place = reading->placed == SURVEY_IN_PLACE && reading->device != EARSHOT_NONE;
    return (calibration_observation){.kind = kind,
                                     .reading = row,
                                     .n_rows = 1,
                                     .link = calibration_link_of(observing->survey, reading),
                                     .normal_sd_db = observing->prior->session_sd_db,
                                     .pad_db = reading->pad_db,
                                     .in_place = in_place,
                                     .static_share = 1,
                                     .least_dbm = NAN,
                                     .meter = EARSHOT_NONE,
                                     .shift = EARSHOT_NONE,
                                     .edge = EARSHOT_NONE};
}

/* A later visit may have another hand, battery or meter: its readings share a shift against
 * those of the first. */
static void read_by_meter(const struct observing *observing, const survey_reading *reading,
                          calibration_observation *of) {
    const earshot_survey *survey = observing->survey;
    of->meter = meter_of(survey, reading);
    if (reading->visit > 0)
        of->shift = reading->visit;
    of->meter_sd_db = meter_noise_db;
}

static calibration_observation level_of(const struct observing *observing, size_t row) {
    const survey_reading *reading = &observing->survey->readings[row];
    bool value = reading->low_dbm == reading->high_dbm;
    calibration_observation of =
        begin(observing, row, value ? CALIBRATION_LEVEL : CALIBRATION_BETWEEN);
    read_by_meter(observing, reading, &of);
    double lifted_db = 0;
    if (reading->heard && 10 * reading->heard < 9 * reading->trips) {
        double share = (double)reading->heard / reading->trips;
        double point = gsl_cdf_ugaussian_Qinv(share);
        lifted_db = observing->time_fade_db * chance_normal_density(point) / share;
        of.normal_sd_db =
            sqrt(square(of.normal_sd_db) + square(observing->time_fade_db) / reading->heard);
    }
    of.level_dbm = reading->low_dbm - lifted_db;
    of.low_dbm = reading->low_dbm - lifted_db;
    of.high_dbm = reading->high_dbm - lifted_db;
    of.least_dbm = of.high_dbm;
    of.edge = value ? EARSHOT_NONE : reading->edge;
    return of;
}

static calibration_observation silence_of(const struct observing *observing, size_t row) {
    const earshot_survey *survey = observing->survey;
    const survey_reading *reading = &survey->readings[row];
    calibration_observation of = begin(observing, row, CALIBRATION_SILENT);
    double floor_dbm =
        reading->scale == EARSHOT_NONE ? NAN : survey->scales[reading->scale].floor_dbm;
    of.margin = isnan(floor_dbm);
    of.low_dbm = -INFINITY;
    of.high_dbm = of.margin ? 0 : floor_dbm;
    if (!of.margin)
        read_by_meter(observing, reading, &of);
    return of;
}

static calibration_observation count_of(const struct observing *observing, size_t row) {
    const survey_reading *reading = &observing->survey->readings[row];
    calibration_observation of = begin(observing, row, CALIBRATION_COUNT);
    of.margin = true;
    of.trips = reading->trips;
    of.heard = reading->heard;
    return of;
}

/* ---- rows together ---- */

/* Of one row; or of one link in the same state, on the same visit. */
static bool same_ground(const earshot_survey *survey, const calibration_observation *a,
                        const calibration_observation *b) {
    const survey_reading *first = &survey->readings[a->reading];
    const survey_reading *second = &survey->readings[b->reading];
    return first == second ||
           (first->device != EARSHOT_NONE && first->device == second->device &&
            first->heard_at == second->heard_at && first->visit == second->visit &&
            first->placed == second->placed && first->doors_open == second->doors_open &&
            first->pad_db == second->pad_db);
}

static bool alike(const earshot_survey *survey, const calibration_observation *a,
                  const calibration_observation *b) {
    return a->kind == b->kind && a->meter == b->meter && a->normal_sd_db == b->normal_sd_db &&
           same_ground(survey, a, b);
}

/* Joins a level or a count to one of its like. What is between edges, or was not heard, stays
 * apart. */
static bool join(struct observing *observing, const calibration_observation *of) {
    if (of->kind != CALIBRATION_LEVEL && of->kind != CALIBRATION_COUNT)
        return false;
    for (size_t i = 0; i < observing->n; i++) {
        calibration_observation *with = &observing->all[i];
        if (!alike(observing->survey, with, of) || with->trips + of->trips > 1000)
            continue;
        double n = ++with->n_rows;
        with->least_dbm = fmin(with->least_dbm, of->least_dbm);
        with->level_dbm += (of->level_dbm - with->level_dbm) / n;
        with->low_dbm = with->high_dbm = with->level_dbm;
        with->meter_sd_db = of->meter_sd_db / sqrt(n);
        with->static_share = with->in_place ? 1 : 1 / n;
        with->trips += of->trips;
        with->heard += of->heard;
        return true;
    }
    return false;
}

static bool add(struct observing *observing, calibration_observation of) {
    if (join(observing, &of))
        return true;
    if (observing->n == observing->capacity) {
        size_t capacity = 2 * observing->capacity + 64;
        calibration_observation *all = realloc(observing->all, capacity * sizeof *all);
        if (!all)
            return false;
        observing->all = all;
        observing->capacity = capacity;
    }
    observing->all[observing->n++] = of;
    return true;
}

static bool add_row(struct observing *observing, size_t row) {
    const survey_reading *reading = &observing->survey->readings[row];
    bool good = true;
    if (reading->none && !reading->trips)
        good = add(observing, silence_of(observing, row));
    if (!isnan(reading->low_dbm))
        good = good && add(observing, level_of(observing, row));
    if (reading->trips)
        good = good && add(observing, count_of(observing, row));
    return good;
}

/* ---- heard at all ---- */

/* That something was heard at all, or nobody could have read its level. Without it, what was
 * not heard would speak of the listener's need unopposed.
 *
 * It was heard on the same day t as the level y = u + t + meter was shown, and y tells of t:
 * its mean is k (y - u), k = t^2 / (t^2 + meter^2), and what is left of it is less. So heard
 * means margin + k (y - u) + the rest of t > 0, with u the level itself. */
static calibration_observation hearing_of(const calibration_observation *level) {
    double day_db2 = square(level->normal_sd_db), meter_db2 = square(level->meter_sd_db);
    calibration_observation of = *level;
    of.kind = CALIBRATION_BETWEEN;
    of.least_dbm = NAN;
    of.margin = true;
    of.low_dbm = 0;
    of.high_dbm = INFINITY;
    of.level_share = day_db2 / (day_db2 + meter_db2);
    of.normal_sd_db = sqrt(day_db2 * meter_db2 / (day_db2 + meter_db2));
    of.meter_sd_db = 0;
    return of;
}

static bool was_counted(const struct observing *observing,
                        const calibration_observation *level) {
    for (size_t i = 0; i < observing->n; i++)
        if (observing->all[i].kind == CALIBRATION_COUNT &&
            same_ground(observing->survey, &observing->all[i], level))
            return true;
    return false;
}

/* Well over what is needed it goes without saying; a count says the same, and more. */
static bool hearing_matters(const struct observing *observing,
                            const calibration_observation *level) {
    static const double plain_db = 15;
    engine_result result;
    if (level->kind != CALIBRATION_LEVEL || was_counted(observing, level))
        return false;
    engine_solve(observing->survey, observing->prior, &level->link, NULL, &result);
    return level->level_dbm - result.needed_dbm < plain_db;
}

/* Of levels once their rows are joined, so that one that is read again and again was heard once
 * on that day, in whatever order its rows stand. */
static bool add_hearings(struct observing *observing) {
    bool good = true;
    size_t n = observing->n;
    for (size_t i = 0; good && i < n; i++)
        if (hearing_matters(observing, &observing->all[i]))
            good = add(observing, hearing_of(&observing->all[i]));
    return good;
}

/* ---- all ---- */

/* Whether the model says anything of the link, and of what was observed. */
static bool usable(const earshot_survey *survey, const earshot_belief *belief,
                   const calibration_observation *of) {
    engine_result result;
    engine_solve(survey, belief, &of->link, NULL, &result);
    return !isnan(result.rx_power_dbm) && (!of->margin || !isnan(result.needed_dbm));
}

static void drop_unusable(struct observing *observing) {
    size_t kept = 0;
    for (size_t i = 0; i < observing->n; i++)
        if (usable(observing->survey, observing->prior, &observing->all[i]))
            observing->all[kept++] = observing->all[i];
    observing->n = kept;
}

/* Counts of as many of as many share one table. */
static bool tabulate(const struct observing *observing) {
    for (size_t i = 0; i < observing->n; i++) {
        calibration_observation *of = &observing->all[i];
        if (of->kind != CALIBRATION_COUNT)
            continue;
        for (size_t j = 0; j < i && !of->counted; j++)
            if (observing->all[j].counted && observing->all[j].trips == of->trips &&
                observing->all[j].heard == of->heard)
                of->counted = observing->all[j].counted;
        if (of->counted)
            continue;
        of->counted = malloc(sizeof *of->counted);
        if (!of->counted)
            return false;
        of->owns_counted = true;
        calibration_count_chances(observing->survey->environment.time_k_db,
                                  observing->prior->session_sd_db, of->heard, of->trips,
                                  of->counted);
    }
    return true;
}

enum earshot_status calibration_observe(const earshot_survey *survey,
                                        const earshot_belief *prior, const unsigned char *use,
                                        calibration_observations *out) {
    chance_fade time_fade;
    chance_fade_make(&time_fade, survey->environment.time_k_db);
    struct observing observing = {
        .survey = survey, .prior = prior, .time_fade_db = time_fade.sd_db};
    size_t *since = malloc((survey->n_readings + 1) * sizeof *since);
    bool good = since != NULL;
    if (good)
        calibration_supersede(survey, since);
    for (size_t i = 0; good && i < survey->n_readings; i++)
        good = (use && !use[i]) || since[i] != EARSHOT_NONE || add_row(&observing, i);
    free(since);
    good = good && add_hearings(&observing);
    drop_unusable(&observing);
    calibration_observations observations = {.all = observing.all, .n = observing.n};
    if (observations.n > ENGINE_MAX_READS) {
        observations.n_left_out = observations.n - ENGINE_MAX_READS;
        observations.n = observing.n = ENGINE_MAX_READS;
    }
    if (!good || !tabulate(&observing)) {
        calibration_observations_free(&observations);
        return EARSHOT_NO_MEMORY;
    }
    *out = observations;
    return EARSHOT_OK;
}

void calibration_observations_free(calibration_observations *observations) {
    for (size_t i = 0; i < observations->n; i++)
        if (observations->all[i].owns_counted)
            free(observations->all[i].counted);
    free(observations->all);
    *observations = (calibration_observations){0};
}
