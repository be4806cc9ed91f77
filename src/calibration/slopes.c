/* SPDX-License-Identifier: GPL-3.0-or-later */
/* slopes.c - how each observation hangs on parameters, walls and places, near a belief.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fitting.h"

static void number_thing(void *who, const engine_crossing *crossing) {
    engine_reads *reads = who;
    if (crossing->thing != EARSHOT_NONE && reads->own_of[crossing->thing] == EARSHOT_NONE)
        reads->own_of[crossing->thing] = reads->n_own++;
}

bool fitting_number_things(struct fitting *fitting) {
    engine_reads *reads = fitting->belief->reads;
    size_t n = engine_n_things(fitting->survey);
    reads->own_of = malloc((n + 1) * sizeof *reads->own_of);
    if (!reads->own_of)
        return false;
    for (size_t i = 0; i < n; i++)
        reads->own_of[i] = EARSHOT_NONE;
    for (size_t i = 0; i < fitting->n; i++)
        engine_walk(fitting->survey, &fitting->observations.all[i].link, NULL, number_thing,
                    reads);
    reads->own_mean = calloc(reads->n_own + 1, sizeof *reads->own_mean);
    reads->own_variance = calloc(reads->n_own + 1, sizeof *reads->own_variance);
    reads->own_alone = calloc(reads->n_own + 1, sizeof *reads->own_alone);
    return reads->own_mean && reads->own_variance && reads->own_alone;
}

static double meter_sd_db(const earshot_survey *survey, const earshot_belief *prior,
                          size_t meter) {
    return meter < survey->n_scales ? survey->scales[meter].offset_sd_db : prior->meter_sd_db;
}

/* A view of one observation, its numbers copied to where they last. */
static void keep_view(struct fitting *fitting, size_t i, engine_result *result) {
    engine_reads *reads = fitting->belief->reads;
    const calibration_observation *of = &fitting->observations.all[i];
    engine_view view = engine_view_of(&of->link, result, of->margin);
    size_t *numbers = reads->numbers + i * fitting->room;
    double *values = reads->values + i * fitting->room;
    memcpy(numbers, view.parameter, view.n * sizeof *numbers);
    memcpy(values, view.value, view.n * sizeof *values);
    for (size_t j = 0; j < result->n_power_features; j++)
        values[j] *= 1 - of->level_share;
    memcpy(numbers + view.n, view.own, view.n_own * sizeof *numbers);
    memcpy(values + view.n, view.own_value, view.n_own * sizeof *values);
    for (size_t j = 0; j < view.n_own; j++)
        values[view.n + j] *= 1 - of->level_share;
    view.link_share = 1 - of->level_share;
    view.meter_share = of->level_share > 0 ? -of->level_share : 1;
    if (of->pad_db == 0) { /* behind a pad a miss tells of the margin, and not of the zone */
        view.trips = of->kind == CALIBRATION_SILENT ? 1 : of->trips;
        view.heard = of->heard;
    }
    view.doors_open = of->link.doors_open;
    view.level_dbm = isfinite(of->least_dbm) ? of->least_dbm + of->pad_db : NAN;
    view.visit = fitting->survey->readings[of->reading].visit;
    view.moment = of->in_place ? EARSHOT_NONE : of->reading;
    view.parameter = numbers;
    view.value = values;
    view.own = numbers + view.n;
    view.own_value = values + view.n;
    view.static_share = of->static_share;
    view.in_place = of->in_place;
    view.meter = of->meter;
    view.shift = of->shift;
    view.edge = of->edge;
    if (of->meter != EARSHOT_NONE)
        view.meter_sd_db = meter_sd_db(fitting->survey, fitting->prior, of->meter);
    if (of->edge != EARSHOT_NONE)
        view.edge_sd_db = fitting->survey->readings[of->reading].edge_sd_db;
    reads->views[i] = view;
}

/* What an observation would be by the tables, along the slopes of the belief so far. */
static double before_of(const struct fitting *fitting, size_t i) {
    const engine_reads *reads = fitting->belief->reads;
    const engine_view *view = &reads->views[i];
    double before = fitting->value[i];
    for (size_t j = 0; j < view->n; j++)
        before -= view->value[j] * (fitting->belief->mean[view->parameter[j]] -
                                    fitting->prior->mean[view->parameter[j]]);
    for (size_t j = 0; j < view->n_own; j++)
        before -= view->own_value[j] * reads->own_mean[view->own[j]];
    return before;
}

static double value_of(const calibration_observation *of, const engine_result *result) {
    double power_dbm = result->rx_power_dbm - of->pad_db;
    double value = power_dbm - (of->margin ? result->needed_dbm : 0);
    if (of->level_share > 0) /* an open end has no level, and no share */
        value += of->level_share * (of->level_dbm - power_dbm);
    return value;
}

void fitting_take_slopes(struct fitting *fitting) {
    for (size_t i = 0; i < fitting->n; i++) {
        engine_result result;
        engine_solve(fitting->survey, fitting->belief, &fitting->observations.all[i].link, NULL,
                     &result);
        fitting->value[i] = value_of(&fitting->observations.all[i], &result);
        keep_view(fitting, i, &result);
        fitting->before[i] = before_of(fitting, i);
    }
}

void fitting_take_values(struct fitting *fitting) {
    for (size_t i = 0; i < fitting->n; i++) {
        engine_result result;
        engine_solve(fitting->survey, fitting->belief, &fitting->observations.all[i].link, NULL,
                     &result);
        fitting->value[i] = value_of(&fitting->observations.all[i], &result);
    }
}
