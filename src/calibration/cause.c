/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cause.c - what a link's change is likeliest due to.
 *
 * What a parameter, a thing or the place takes of a margin is one more normal that shares
 * something with the readings, so that its mean and variance after them are those of any level
 * (read.c). Its chance to be the cause is that of taking half or more of what the link is off.
 */
#include <math.h>
#include <stdlib.h>

#include "calibration.h"
#include "quality.h"

/* One part of a margin: what it shares with each reading, and its variance before. */
struct part {
    calibration_cause cause;
    size_t own; /* of a thing */
    double slope;
};

struct normal {
    double mean, variance;
};

static double square(double x) {
    return x * x;
}

static double slope_of(const size_t *numbers, const double *values, size_t n, size_t number) {
    for (size_t i = 0; i < n; i++)
        if (numbers[i] == number)
            return values[i];
    return 0;
}

static double shared_db2(const earshot_survey *survey, const engine_reads *reads,
                         const engine_field *field, const struct part *part,
                         const engine_view *view, const engine_view *read) {
    double link_db2;
    switch (part->cause.kind) {
    case CALIBRATION_BY_PARAMETER:
        return part->slope * reads->prior_db2[part->cause.row] *
               slope_of(read->parameter, read->value, read->n, part->cause.row);
    case CALIBRATION_BY_THING:
        return part->slope * engine_own_share *
               slope_of(read->own, read->own_value, read->n_own, part->own);
    case CALIBRATION_BY_UNDRAWN:
        return engine_obstacle_db2(&field->obstacle, view, read);
    case CALIBRATION_BY_PLACE:
        break;
    }
    engine_shared_db2(survey, reads, field, view, read, &link_db2);
    return link_db2;
}

static double before_db2(const engine_reads *reads, const engine_field *field,
                         const struct part *part, const engine_view *view) {
    switch (part->cause.kind) {
    case CALIBRATION_BY_PARAMETER:
        return square(part->slope) * reads->prior_db2[part->cause.row];
    case CALIBRATION_BY_THING:
        return square(part->slope) * engine_own_share;
    case CALIBRATION_BY_UNDRAWN:
        return engine_obstacle_db2(&field->obstacle, view, view);
    case CALIBRATION_BY_PLACE:
        break;
    }
    return square(field->sd_db) + view->apart_db2 +
           (view->in_place ? square(field->static_sd_db) : 0);
}

/* Mean and variance of a part under one field; `work` holds n. */
static struct normal judge_by(const earshot_survey *survey, const engine_reads *reads,
                              const engine_field *field, const engine_view *view,
                              const struct part *part, double *work) {
    struct normal normal = {0, before_db2(reads, field, part, view)};
    if (part->cause.kind == CALIBRATION_BY_UNDRAWN)
        normal.mean = -engine_obstacle_share(&field->obstacle, view) * field->obstacle.loss_db;
    for (size_t i = 0; i < reads->n; i++) {
        work[i] = shared_db2(survey, reads, field, part, view, &reads->views[i]);
        normal.mean += work[i] * field->pull[i];
    }
    normal.variance -= engine_explained_db2(field->lower, reads->n, work);
    return normal;
}

/* All fields together, each with its own chance: with nothing in the way nothing there takes
 * half of anything, however much it would take elsewhere. */
static void judge(const earshot_survey *survey, const engine_reads *reads,
                  const engine_view *view, struct part *part, double off_db, double *work) {
    double sign = off_db < 0 ? 1 : -1; /* what is taken lowers the margin */
    for (size_t h = 0; h < reads->n_fields; h++) {
        const engine_field *field = &reads->fields[h];
        if (before_db2(reads, field, part, view) == 0)
            continue;
        struct normal normal = judge_by(survey, reads, field, view, part, work);
        double sd_db = sqrt(fmax(normal.variance, 1e-9));
        part->cause.more_db -= field->weight * normal.mean;
        part->cause.chance +=
            field->weight *
            chance_normal_below((sign * normal.mean - fabs(off_db) / 2) / sd_db);
    }
}

/* The part whose chance is greatest; the place goes last, as what nothing else explains. */
static bool consider(const struct part *part, calibration_cause *best, bool any) {
    if (any && part->cause.chance <= best->chance)
        return false;
    *best = part->cause;
    return true;
}

bool calibration_likeliest_cause(const earshot_survey *survey, const earshot_belief *belief,
                                 const earshot_link *link, double off_db,
                                 calibration_cause *out) {
    const engine_reads *reads = belief->reads;
    engine_result result;
    if (!reads)
        return false;
    engine_solve(survey, belief, link, NULL, &result);
    double *work = malloc((reads->n + 1) * sizeof *work);
    if (isnan(result.rx_power_dbm - result.needed_dbm) || !work) {
        free(work);
        return false;
    }
    engine_view view = engine_view_of(link, &result, true);
    view.in_place = engine_tell(survey, belief, &view).in_place;
    calibration_cause best = {0};
    bool any = false;
    for (size_t i = 0; i < view.n; i++) {
        struct part part = {.cause = {CALIBRATION_BY_PARAMETER, view.parameter[i], 0, 0},
                            .slope = view.value[i]};
        judge(survey, reads, &view, &part, off_db, work);
        any = consider(&part, &best, any) || any;
    }
    size_t n_things = engine_n_things(survey);
    for (size_t thing = 0; thing < n_things; thing++) {
        double slope =
            reads->own_of[thing] == EARSHOT_NONE
                ? 0
                : slope_of(view.own, view.own_value, view.n_own, reads->own_of[thing]);
        struct part part = {.cause = {CALIBRATION_BY_THING, thing, 0, 0},
                            .own = reads->own_of[thing],
                            .slope = slope};
        if (slope == 0)
            continue;
        judge(survey, reads, &view, &part, off_db, work);
        any = consider(&part, &best, any) || any;
    }
    struct part undrawn = {.cause = {CALIBRATION_BY_UNDRAWN, EARSHOT_NONE, 0, 0}};
    judge(survey, reads, &view, &undrawn, off_db, work);
    if (undrawn.cause.more_db > 0)
        any = consider(&undrawn, &best, any) || any;
    struct part place = {.cause = {CALIBRATION_BY_PLACE, EARSHOT_NONE, 0, 0}};
    judge(survey, reads, &view, &place, off_db, work);
    consider(&place, &best, any);
    free(work);
    *out = best;
    return true;
}
