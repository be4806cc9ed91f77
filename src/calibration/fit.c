/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fit.c - readings and the belief of the tables to a corrected belief.
 *
 * Margins and levels are linear in the parameters near any belief, so that readings,
 * parameters, walls and places are one set of normals:
 *
 *     slopes      at the belief so far (engine)
 *     sites       censored, counted, heavy-tailed readings as plain ones (sites.c)
 *     parameters  their best by least squares, losses and all as they are (solve.c)
 *     again until no parameter moves
 *
 * What no parameter explains has an unknown sd, reach and share that is of one place only: each
 * of a small grid of these is fitted, and weighs by its own chance of the readings. Nothing is
 * plugged in, because few readings tell little of it.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "findings.h"
#include "drift.h"
#include "fitting.h"
#include "solve.h"
#include "text.h"
#include "years.h"

/* A later visit's shift against the first: another hand, battery or meter. Judgement, no
 * source.
 */
static const double shift_sd_db = 3;
static const double settled_sds = 0.02;
/* Of many sites one that moves its level by so little, in sds, settles all: a fortieth of a dB,
 * and a third of the turns. */
static const double settled_of_many = 5e-3;
/* Of more observations than this the first so many give slopes and fields, and only the best
 * few fields are worked out with all: each costs the cube of their number. */
enum { MOST_ROUNDS = 6, MOST_AT_FIRST = 250, FEW_FIELDS = 3, FEW_OBSTACLES = 2 };

static double square(double x) {
    return x * x;
}

/* The meter that reads most, and its offset. */
static void set_meter(struct fitting *fitting) {
    engine_reads *reads = fitting->belief->reads;
    size_t most = 0;
    reads->meter = EARSHOT_NONE;
    for (size_t i = 0; i < fitting->n; i++) {
        size_t n = 0;
        for (size_t j = 0; j < fitting->n; j++)
            n += reads->views[j].meter == reads->views[i].meter;
        if (reads->views[i].meter != EARSHOT_NONE && n > most) {
            most = n;
            reads->meter = reads->views[i].meter;
            reads->meter_sd_db = reads->views[i].meter_sd_db;
        }
    }
    if (reads->meter == EARSHOT_NONE)
        reads->meter_sd_db = fitting->prior->meter_sd_db;
    for (size_t h = 0; h < reads->n_fields; h++)
        for (size_t i = 0; i < fitting->n; i++)
            if (reads->views[i].meter == reads->meter && reads->meter != EARSHOT_NONE)
                reads->meter_mean_db += reads->fields[h].weight * square(reads->meter_sd_db) *
                                        reads->fields[h].pull[i];
}

/* ---- all ---- */

static bool take(struct fitting *fitting, struct calibration_record *record) {
    const earshot_survey *survey = fitting->survey;
    size_t n = fitting->n;
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    fitting->room = survey->n_constructions + 8 + ENGINE_MAX_OWN;
    reads->views = calloc(n, sizeof *reads->views);
    reads->numbers = malloc(n * fitting->room * sizeof *reads->numbers);
    reads->values = malloc(n * fitting->room * sizeof *reads->values);
    reads->prior_db2 = malloc((belief->n + 1) * sizeof *reads->prior_db2);
    reads->fields = calloc(FITTING_N_GRID, sizeof *reads->fields);
    fitting->value = malloc(n * sizeof *fitting->value);
    fitting->foretold = malloc(n * sizeof *fitting->foretold);
    fitting->covariance = malloc(n * n * sizeof *fitting->covariance);
    fitting->before = record->before = malloc(n * sizeof *fitting->before);
    record->site_value = malloc(FITTING_MOST_FIELDS * n * sizeof *record->site_value);
    record->site_variance = malloc(FITTING_MOST_FIELDS * n * sizeof *record->site_variance);
    record->prior_mean = malloc((belief->n + 1) * sizeof *record->prior_mean);
    return reads->views && reads->numbers && reads->values && reads->prior_db2 &&
           reads->fields && fitting->value && fitting->foretold && fitting->covariance &&
           fitting->before && record->site_value && record->site_variance &&
           record->prior_mean && calibration_sites_new(n, &fitting->sites) == EARSHOT_OK &&
           fitting_number_things(fitting);
}

/* Rounds of slopes, sites and parameters with the tables' own field, until nothing moves. */
static enum earshot_status find_means(struct fitting *fitting) {
    const engine_field field = fitting_middle_field(fitting->prior);
    double moved = INFINITY;
    enum earshot_status status = EARSHOT_OK;
    for (int round = 0; round < MOST_ROUNDS && moved > settled_sds; round++) {
        fitting_take_slopes(fitting);
        status = fitting_settle(fitting, &field);
        if (status == EARSHOT_OK)
            status = fitting_solve_means(fitting, &moved);
        if (status != EARSHOT_OK)
            return status;
    }
    fitting_take_slopes(fitting);
    return status;
}

/* Spreads the first so many evenly over all: readings come in the order of a walk. */
static void put_some_first(calibration_observations *observations) {
    for (size_t i = 0; observations->n > MOST_AT_FIRST && i < MOST_AT_FIRST; i++) {
        size_t from = i * observations->n / MOST_AT_FIRST;
        calibration_observation taken = observations->all[from];
        observations->all[from] = observations->all[i];
        observations->all[i] = taken;
    }
}

static void keep_few(engine_reads *reads) {
    double sum = 0;
    if (reads->n_fields > FEW_FIELDS)
        reads->n_fields = FEW_FIELDS;
    for (size_t i = 0; i < reads->n_fields; i++)
        sum += reads->fields[i].weight;
    for (size_t i = 0; i < reads->n_fields; i++)
        reads->fields[i].weight /= sum;
}

static void take_all(struct fitting *fitting) {
    fitting->n = fitting->sites.n = fitting->observations.n;
    fitting->sites.settled = settled_of_many;
    fitting_take_slopes(fitting);
}

static enum earshot_status run(struct fitting *fitting) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    for (size_t i = 0; i < belief->n; i++)
        reads->prior_db2[i] = fitting->prior->covariance[i * belief->n + i];
    reads->shift_db2 = square(shift_sd_db);
    memcpy(belief->record->prior_mean, fitting->prior->mean, belief->n * sizeof(double));
    bool many = fitting->n > MOST_AT_FIRST;
    if (many)
        fitting->n = fitting->sites.n = MOST_AT_FIRST;
    enum earshot_status status = find_means(fitting);
    if (status == EARSHOT_OK)
        status = fitting_weigh_fields(fitting);
    if (status == EARSHOT_OK && many)
        keep_few(reads);
    if (status == EARSHOT_OK)
        status =
            fitting_add_obstacles(fitting, many ? FEW_OBSTACLES : CALIBRATION_MOST_OBSTACLES);
    if (status == EARSHOT_OK && many)
        take_all(fitting);
    if (status == EARSHOT_OK)
        status = fitting_pull_fields(fitting);
    if (status != EARSHOT_OK)
        return status;
    fitting_set_means(fitting);
    set_meter(fitting);
    reads->n = fitting->n;
    return fitting_set_doubts(fitting);
}

static enum earshot_status fit(struct fitting *fitting) {
    earshot_belief *belief = fitting->belief;
    struct calibration_record *record = belief->record = calloc(1, sizeof *record);
    belief->reads = calloc(1, sizeof *belief->reads);
    if (!record || !belief->reads) {
        calibration_observations_free(&fitting->observations);
        return EARSHOT_NO_MEMORY;
    }
    record->observations = fitting->observations;
    enum earshot_status status = take(fitting, record) ? run(fitting) : EARSHOT_NO_MEMORY;
    free(fitting->value);
    free(fitting->foretold);
    free(fitting->covariance);
    calibration_sites_free(&fitting->sites);
    return status;
}

static void say(const earshot_survey *survey, enum findings_code code, const char *what,
                earshot_findings *findings) {
    if (findings)
        findings_add(findings, code, survey->files.readings, (const char *const[4]){what});
}

static void say_left_out(const earshot_survey *survey, size_t n, earshot_findings *findings) {
    char number[TEXT_NUMBER_SIZE];
    text_write_fixed(number, (double)n, 0);
    if (n)
        say(survey, FINDINGS_TOO_MANY_READINGS, number, findings);
}

/* What was read before somebody mended it, once for each link and visit. */
static enum earshot_status say_superseded(const earshot_survey *survey,
                                          earshot_findings *findings) {
    size_t *since = malloc((survey->n_readings + 1) * sizeof *since);
    if (!since)
        return EARSHOT_NO_MEMORY;
    calibration_supersede(survey, since);
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        bool said = since[i] == EARSHOT_NONE;
        for (size_t j = 0; j < i && !said; j++)
            said = since[j] != EARSHOT_NONE && survey->readings[j].device == reading->device &&
                   survey->readings[j].heard_at == reading->heard_at &&
                   survey->readings[j].visit == reading->visit;
        if (!said)
            findings_add(findings, FINDINGS_READ_BEFORE, survey_reading_place(survey, reading),
                         (const char *const[4]){survey->devices[reading->device].name,
                                                survey->visits[since[i]]});
    }
    free(since);
    return EARSHOT_OK;
}

/* Work on one building may take weeks; what is dated further apart is more likely a later visit
 * that nobody named. Judgement, no source. */
static void say_long_visits(const earshot_survey *survey, earshot_findings *findings) {
    static const double most_days = 31;
    for (size_t visit = 0; visit < survey->n_visits; visit++) {
        const survey_reading *first = NULL, *last = NULL;
        for (size_t i = 0; i < survey->n_readings; i++) {
            const survey_reading *reading = &survey->readings[i];
            if (reading->visit != visit)
                continue;
            double days = calibration_days(reading->time);
            if (isnan(days))
                continue;
            first = !first || days < calibration_days(first->time) ? reading : first;
            last = !last || days > calibration_days(last->time) ? reading : last;
        }
        if (!first || calibration_days(last->time) - calibration_days(first->time) <= most_days)
            continue;
        char from[11] = {0}, to[11] = {0};
        memcpy(from, first->time, 10);
        memcpy(to, last->time, 10);
        findings_add(findings, FINDINGS_VISIT_LONG, survey_reading_place(survey, last),
                     (const char *const[4]){from, to});
    }
}

/* Visits on which something else was on the air. They count: who read them decides. */
static void say_faults(const earshot_survey *survey, earshot_findings *findings) {
    for (size_t visit = 0; survey->n_visits > 1 && visit < survey->n_visits; visit++)
        for (size_t i = 0; i < survey->n_devices; i++) {
            if (survey->devices[i].role == SURVEY_SENSOR)
                continue;
            const calibration_visit_fault fault = calibration_judge_visit(survey, i, visit);
            char silent[TEXT_NUMBER_SIZE];
            text_write_fixed(silent, (double)fault.n_silent, 0);
            if (fault.fault == CALIBRATION_JAMMED)
                findings_add(findings, FINDINGS_VISIT_JAMMED, survey->files.readings,
                             (const char *const[4]){survey->visits[visit],
                                                    survey->devices[i].name, silent});
            if (fault.fault == CALIBRATION_DEAF)
                findings_add(findings, FINDINGS_VISIT_DEAF, survey->files.readings,
                             (const char *const[4]){survey->visits[visit],
                                                    survey->devices[i].name, silent});
            if (fault.fault == CALIBRATION_NOISY)
                findings_add(
                    findings, FINDINGS_VISIT_NOISY, survey->files.readings,
                    (const char *const[4]){survey->visits[visit], survey->devices[i].name});
        }
}

enum earshot_status earshot_belief_fit(const earshot_survey *survey, const unsigned char *use,
                                       const earshot_watch *watch, earshot_findings *findings,
                                       earshot_belief **out) {
    if (!survey || !out)
        return EARSHOT_MISUSE;
    earshot_belief *prior = NULL, *belief = NULL;
    struct fitting fitting = {.survey = survey, .watch = watch};
    calibration_quiet_gsl();
    enum earshot_status status = earshot_belief_prior(survey, &prior);
    if (status == EARSHOT_OK)
        status = earshot_belief_prior(survey, &belief);
    if (status == EARSHOT_OK)
        status = calibration_observe(survey, prior, use, &fitting.observations);
    put_some_first(&fitting.observations);
    fitting.prior = prior;
    fitting.belief = belief;
    fitting.n = fitting.observations.n;
    say_left_out(survey, fitting.observations.n_left_out, findings);
    if (status == EARSHOT_OK && findings) {
        say_faults(survey, findings);
        say_long_visits(survey, findings);
        status = say_superseded(survey, findings);
    }
    if (status == EARSHOT_OK && fitting.n)
        status = fit(&fitting);
    if (status == EARSHOT_OK) {
        *out = belief;
        belief = NULL;
    } else if (status == EARSHOT_INVALID) {
        say(survey, FINDINGS_NOT_MERGED, NULL, findings);
        *out = prior;
        prior = NULL;
        status = EARSHOT_OK;
    }
    earshot_belief_free(prior);
    earshot_belief_free(belief);
    return status;
}
