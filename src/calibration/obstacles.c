/* SPDX-License-Identifier: GPL-3.0-or-later */
/* obstacles.c - something that nobody drew: a duct, a lift, a mirror, foil, a row of cabinets.
 *
 * It stands across the ways over one segment of the plan, somewhere on a grid, along either
 * axis. Each place is weighed by how much better the readings are explained with it than
 * without, and places that explain them are drawn by weight, so that a few stand for all: of
 * most buildings the readings say that something is there before they say where.
 *
 * With the sites as a field left them, what an obstacle of loss N(m, s^2) does to the chance of
 * the readings has a closed form. With h its share in each, a = h' K^-1 h and b = -h' K^-1
 * (readings - tables),
 *
 *     log gain = (s^2 b^2 + 2 m b - m^2 a) / (2 (1 + s^2 a)) - log(1 + s^2 a) / 2
 *
 * (normals integrated over the loss; Rasmussen and Williams, Gaussian Processes for Machine
 * Learning, 2006, section 2.7, with one basis function). Sites of slips and of what was not
 * heard move once the obstacle is there, which is why the few that are drawn are settled and
 * weighed anew, as in importance sampling.
 */
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "fitting.h"

/* How long one is, and what it takes: metal takes more, but signals come round it. Judgement,
 * no source. */
static const double length_m = 6, loss_db = 12, loss_sd_db = 6;
static const double step_m = 1, closer = 0.7;
enum { MOST_STEPS = 1000 /* along both axes together: places, each with two obstacles */ };

struct laying {
    double x_m, y_m, across_m, along_m; /* what the readings' ends span */
    size_t n_x, n_y, n;                 /* places, each along either axis */
};

struct weighing {
    struct fitting *fitting;
    struct laying laying;
    size_t n_fields;
    double *gain;    /* n_fields x places: log */
    double *chance;  /* n_fields: log chance of the readings */
    size_t *crosses; /* readings whose way a place is across, and their shares */
    double *share;
};

/* ---- where it may stand ---- */

static struct laying lay(const struct fitting *fitting) {
    const engine_reads *reads = fitting->belief->reads;
    double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY}, step = step_m;
    for (size_t i = 0; i < fitting->n; i++) {
        const engine_view *view = &reads->views[i];
        const double ends[2][2] = {{view->from.x_m, view->to.x_m},
                                   {view->from.y_m, view->to.y_m}};
        for (int axis = 0; axis < 2; axis++)
            for (int end = 0; end < 2; end++) {
                low[axis] = fmin(low[axis], ends[axis][end]);
                high[axis] = fmax(high[axis], ends[axis][end]);
            }
    }
    struct laying laying = {low[0], low[1], high[0] - low[0], high[1] - low[1], 0, 0, 0};
    if (!(laying.across_m >= 0)) /* no reading by a plan */
        return laying;
    while ((laying.across_m / step + 1) * (laying.along_m / step + 1) > MOST_STEPS)
        step /= closer;
    laying.n_x = (size_t)(laying.across_m / step) + 1;
    laying.n_y = (size_t)(laying.along_m / step) + 1;
    laying.n = 2 * laying.n_x * laying.n_y;
    return laying;
}

static engine_obstacle place(const struct laying *laying, size_t i) {
    bool upright = i % 2 == 1;
    double x_m = laying->x_m +
                 laying->across_m * ((double)(i / 2 % laying->n_x) + 0.5) / (double)laying->n_x;
    double y_m = laying->y_m +
                 laying->along_m * ((double)(i / 2 / laying->n_x) + 0.5) / (double)laying->n_y;
    double half_x_m = upright ? 0 : length_m / 2, half_y_m = upright ? length_m / 2 : 0;
    return (engine_obstacle){
        .a = {geometry_snap(x_m - half_x_m), geometry_snap(y_m - half_y_m)},
        .b = {geometry_snap(x_m + half_x_m), geometry_snap(y_m + half_y_m)},
        .loss_db = loss_db,
        .sd_db = loss_sd_db};
}

/* ---- what it explains ---- */

static bool same_way(const engine_view *a, const engine_view *b) {
    return geometry_distance(a->from, b->from) + geometry_distance(a->to, b->to) == 0;
}

/* -INFINITY of one that is across the ways of fewer than two links: what takes of one alone is
 * its place's. */
static double gain_of(const struct weighing *weighing, const gsl_matrix *inverse,
                      const double *pull, size_t i) {
    const engine_view *views = weighing->fitting->belief->reads->views;
    const engine_obstacle obstacle = place(&weighing->laying, i);
    double a = 0, b = 0, loss_db2 = obstacle.sd_db * obstacle.sd_db, mean_db = obstacle.loss_db;
    size_t n = 0, *crosses = weighing->crosses;
    double *share = weighing->share;
    bool several = false;
    for (size_t j = 0; j < weighing->fitting->n; j++) {
        share[n] = engine_obstacle_share(&obstacle, &views[j]);
        if (share[n] == 0)
            continue;
        crosses[n] = j;
        several = several || !same_way(&views[crosses[0]], &views[j]);
        b -= share[n++] * pull[j];
    }
    if (!several)
        return -INFINITY;
    for (size_t j = 0; j < n; j++)
        for (size_t k = 0; k < n; k++)
            a += share[j] * share[k] * gsl_matrix_get(inverse, crosses[j], crosses[k]);
    return (loss_db2 * b * b + 2 * mean_db * b - mean_db * mean_db * a) /
               (2 * (1 + loss_db2 * a)) -
           0.5 * log1p(loss_db2 * a);
}

static enum earshot_status weigh_field(const struct weighing *weighing, size_t h) {
    struct fitting *fitting = weighing->fitting;
    engine_field *field = &fitting->belief->reads->fields[h];
    enum earshot_status status = fitting_settle(fitting, field);
    weighing->chance[h] = fitting->sites.log_chance;
    if (status == EARSHOT_OK)
        status = fitting_pull(fitting, field);
    if (status == EARSHOT_OK) {
        gsl_matrix_view inverse = gsl_matrix_view_array(field->lower, fitting->n, fitting->n);
        gsl_linalg_cholesky_invert(&inverse.matrix);
        for (size_t i = 0; i < weighing->laying.n; i++)
            weighing->gain[h * weighing->laying.n + i] =
                gain_of(weighing, &inverse.matrix, field->pull, i);
    }
    free(field->lower);
    free(field->pull);
    field->lower = field->pull = NULL;
    return status;
}

/* ---- a few for all ---- */

/* So that no exp overflows: the highest gain, or that of nothing at all. */
static double highest(const struct weighing *weighing) {
    double most = 0;
    for (size_t i = 0; i < weighing->n_fields * weighing->laying.n; i++)
        most = fmax(most, weighing->gain[i]);
    return most;
}

static double weight_of(const struct weighing *weighing, size_t h, size_t i, double less) {
    return weighing->fitting->belief->reads->fields[h].weight * fitting_undrawn_chance /
           (double)weighing->laying.n * exp(weighing->gain[h * weighing->laying.n + i] - less);
}

static double sum_up(const struct weighing *weighing, double less) {
    double sum = 0;
    for (size_t h = 0; h < weighing->n_fields; h++)
        for (size_t i = 0; i < weighing->laying.n; i++)
            sum += weight_of(weighing, h, i, less);
    return sum;
}

static enum earshot_status settle_drawn(const struct weighing *weighing, size_t h, size_t i,
                                        double weight, engine_field *out) {
    struct fitting *fitting = weighing->fitting;
    *out = fitting->belief->reads->fields[h];
    out->obstacle = place(&weighing->laying, i);
    enum earshot_status status = fitting_settle(fitting, out);
    double gain = fitting->sites.log_chance - weighing->chance[h];
    out->weight = weight * exp(gain - weighing->gain[h * weighing->laying.n + i]);
    return status;
}

/* Systematic draws, place after place, so that they lie apart where the weight does: one at the
 * middle of each `most`-th of it. Returns how many differ in `n`. */
static enum earshot_status draw(const struct weighing *weighing, double less, double all,
                                size_t most, engine_field *drawn, size_t *n) {
    double passed = 0;
    size_t done = 0;
    *n = 0;
    for (size_t i = 0; i < weighing->laying.n; i++)
        for (size_t h = 0; h < weighing->n_fields; h++) {
            size_t before = done;
            passed += weight_of(weighing, h, i, less) / all * (double)most;
            while (done < most && passed > (double)done + 0.5)
                done++;
            if (done == before)
                continue;
            double weight = all * (double)(done - before) / (double)most;
            enum earshot_status status = settle_drawn(weighing, h, i, weight, &drawn[(*n)++]);
            if (status != EARSHOT_OK)
                return status;
        }
    return EARSHOT_OK;
}

/* With `without` the weight of nothing at all. Left out as long as the readings make it no
 * likelier than it was. */
static void add(engine_reads *reads, const engine_field *drawn, size_t n, double without) {
    double with = 0;
    for (size_t i = 0; i < n; i++)
        with += drawn[i].weight;
    if (!(with / (with + without) > fitting_undrawn_chance))
        return;
    for (size_t h = 0; h < reads->n_fields; h++)
        reads->fields[h].weight *= without / (with + without);
    for (size_t i = 0; i < n; i++) {
        reads->fields[reads->n_fields] = drawn[i];
        reads->fields[reads->n_fields++].weight /= with + without;
    }
}

static enum earshot_status weigh(struct weighing *weighing, size_t most) {
    engine_field drawn[CALIBRATION_MOST_OBSTACLES];
    enum earshot_status status = EARSHOT_OK;
    for (size_t h = 0; status == EARSHOT_OK && h < weighing->n_fields; h++)
        status = weigh_field(weighing, h);
    if (status != EARSHOT_OK)
        return status;
    double less = highest(weighing), all = sum_up(weighing, less);
    double without = (1 - fitting_undrawn_chance) * exp(-less);
    size_t n = 0;
    if (all / (all + without) > fitting_undrawn_chance)
        status = draw(weighing, less, all, most, drawn, &n);
    if (status == EARSHOT_OK)
        add(weighing->fitting->belief->reads, drawn, n, without);
    return status;
}

enum earshot_status fitting_add_obstacles(struct fitting *fitting, size_t most) {
    struct weighing weighing = {.fitting = fitting,
                                .laying = lay(fitting),
                                .n_fields = fitting->belief->reads->n_fields};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    double settled = fitting->sites.settled;
    if (weighing.laying.n == 0)
        return EARSHOT_OK;
    weighing.gain = malloc(weighing.n_fields * weighing.laying.n * sizeof *weighing.gain);
    weighing.chance = malloc(weighing.n_fields * sizeof *weighing.chance);
    weighing.crosses = malloc(fitting->n * sizeof *weighing.crosses);
    weighing.share = malloc(fitting->n * sizeof *weighing.share);
    fitting->sites.settled = fitting_loosely;
    if (weighing.gain && weighing.chance && weighing.crosses && weighing.share)
        status = weigh(&weighing, most);
    fitting->sites.settled = settled;
    free(weighing.gain);
    free(weighing.chance);
    free(weighing.crosses);
    free(weighing.share);
    return status;
}
