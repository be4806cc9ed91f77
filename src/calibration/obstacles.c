/* SPDX-License-Identifier: GPL-3.0-or-later */
/* obstacles.c - something that nobody drew: a duct, a lift, a mirror, foil, a row of cabinets.
 *
 * It stands across the ways over one segment of the plan, somewhere on a grid, along either
 * axis, on one storey or through all. Each place is weighed by how much better the readings are
 * explained with it than without, and places that explain them are drawn by weight, so that a
 * few stand for all: of most buildings the readings say that something is there before they say
 * where.
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
    const earshot_survey *survey;
    double x_m, y_m, across_m, along_m; /* what the readings' ends span */
    size_t n_x, n_y, n_on_plan;         /* places, each along either axis */
    size_t n;                           /* on all storeys, then on each */
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
    struct laying laying = {.survey = fitting->survey,
                            .x_m = low[0],
                            .y_m = low[1],
                            .across_m = high[0] - low[0],
                            .along_m = high[1] - low[1]};
    if (!(laying.across_m >= 0)) /* no reading by a plan */
        return laying;
    while ((laying.across_m / step + 1) * (laying.along_m / step + 1) > MOST_STEPS)
        step /= closer;
    laying.n_x = (size_t)(laying.across_m / step) + 1;
    laying.n_y = (size_t)(laying.along_m / step) + 1;
    laying.n_on_plan = 2 * laying.n_x * laying.n_y;
    size_t n_levels = fitting->survey->n_levels;
    laying.n = laying.n_on_plan * (n_levels > 1 ? 1 + n_levels : 1);
    return laying;
}

/* From its floor to the next floor above; the lowest and highest have no end. */
static void put_on_level(const earshot_survey *survey, size_t level,
                         engine_obstacle *obstacle) {
    double floor_z_m = survey->levels[level].floor_z_m;
    obstacle->level = level;
    for (size_t i = 0; i < survey->n_levels; i++) {
        double other_z_m = survey->levels[i].floor_z_m;
        if (other_z_m < floor_z_m)
            obstacle->low_m = floor_z_m;
        if (other_z_m > floor_z_m)
            obstacle->high_m = fmin(obstacle->high_m, other_z_m);
    }
}

static engine_obstacle place(const struct laying *laying, size_t number) {
    size_t i = number % laying->n_on_plan, storey = number / laying->n_on_plan;
    bool upright = i % 2 == 1;
    double x_m = laying->x_m +
                 laying->across_m * ((double)(i / 2 % laying->n_x) + 0.5) / (double)laying->n_x;
    double y_m = laying->y_m +
                 laying->along_m * ((double)(i / 2 / laying->n_x) + 0.5) / (double)laying->n_y;
    double half_x_m = upright ? 0 : length_m / 2, half_y_m = upright ? length_m / 2 : 0;
    engine_obstacle obstacle = {
        .a = {geometry_snap(x_m - half_x_m), geometry_snap(y_m - half_y_m)},
        .b = {geometry_snap(x_m + half_x_m), geometry_snap(y_m + half_y_m)},
        .loss_db = loss_db,
        .sd_db = loss_sd_db,
        .level = EARSHOT_NONE,
        .low_m = -INFINITY,
        .high_m = INFINITY};
    if (storey > 0)
        put_on_level(laying->survey, storey - 1, &obstacle);
    return obstacle;
}

/* How likely one is there, of all places, before anything is read: a lift or a duct goes
 * through all storeys, foil or a mirror is on one. Half and half: judgement, no source. */
static double share_of(const struct laying *laying, size_t i) {
    size_t n_levels = laying->n / laying->n_on_plan - 1;
    double share = 1 / (double)laying->n_on_plan;
    if (n_levels == 0)
        return share;
    return i < laying->n_on_plan ? share / 2 : share / 2 / (double)n_levels;
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
    return weighing->fitting->belief->reads->fields[h].weight * fitting_undrawn_chance *
           share_of(&weighing->laying, i) *
           exp(weighing->gain[h * weighing->laying.n + i] - less);
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
    out->weight = log(weight) + gain - weighing->gain[h * weighing->laying.n + i];
    return status;
}

/* Systematic draws, place after place, so that they lie apart where the weight does: one at the
 * middle of each `most`-th of it. Returns how many differ in `n`; their weights are logs. */
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

/* Fields that hardly count cost as much as the others: all that are dropped, 3 in 1,000 at
 * most. Weights sum to 1 again. */
static void drop_light(engine_reads *reads) {
    static const double least_share = 0.0002;
    double sum = 0;
    size_t kept = 0;
    for (size_t h = 0; h < reads->n_fields; h++)
        if (reads->fields[h].weight >= least_share) {
            sum += reads->fields[h].weight;
            reads->fields[kept++] = reads->fields[h];
        }
    reads->n_fields = kept;
    for (size_t h = 0; h < kept; h++)
        reads->fields[h].weight /= sum;
}

/* Weights are logs, of nothing at all too. Left out as long as the readings make it no likelier
 * than it was. */
static void add(engine_reads *reads, const engine_field *drawn, size_t n, double nothing) {
    double most = nothing, with = 0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, drawn[i].weight);
    for (size_t i = 0; i < n; i++)
        with += exp(drawn[i].weight - most);
    double without = exp(nothing - most);
    if (!(with / (with + without) > fitting_undrawn_chance))
        return;
    for (size_t h = 0; h < reads->n_fields; h++)
        reads->fields[h].weight *= without / (with + without);
    for (size_t i = 0; i < n; i++) {
        engine_field *field = &reads->fields[reads->n_fields++];
        *field = drawn[i];
        field->weight = exp(drawn[i].weight - most) / (with + without);
    }
    drop_light(reads);
}

static enum earshot_status weigh(struct weighing *weighing, size_t most) {
    /* as far as the grid of fields came */
    static const double done = (double)FITTING_N_GRID / (FITTING_N_GRID + FITTING_MOST_FIELDS);
    engine_field drawn[CALIBRATION_MOST_OBSTACLES];
    enum earshot_status status = EARSHOT_OK;
    for (size_t h = 0; status == EARSHOT_OK && h < weighing->n_fields; h++) {
        status = weigh_field(weighing, h);
        if (status == EARSHOT_OK && !fitting_go_on(weighing->fitting, done))
            status = EARSHOT_STOPPED;
    }
    if (status != EARSHOT_OK)
        return status;
    double less = highest(weighing), all = sum_up(weighing, less);
    double nothing = log(1 - fitting_undrawn_chance) - less;
    size_t n = 0;
    if (all / (all + exp(nothing)) > fitting_undrawn_chance)
        status = draw(weighing, less, all, most, drawn, &n);
    if (status == EARSHOT_OK)
        add(weighing->fitting->belief->reads, drawn, n, nothing);
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
