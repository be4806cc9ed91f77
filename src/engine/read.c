/* SPDX-License-Identifier: GPL-3.0-or-later */
/* read.c - what readings elsewhere, and on the very link, say of a link.
 *
 * Before anything is read, what a link loses and what a reading shows vary together by all they
 * share: parameters, walls, a meter, and the place itself. Given the readings, the mean moves
 * and the variance shrinks as normals do,
 *
 *     mean = tables + c' K^-1 (readings - tables),   variance = v - c' K^-1 c
 *
 * with c what the link shares with each reading and K what readings share with each other,
 * noise on its diagonal (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006,
 * eq. (2.25), (2.26)). Parameters and things carry their part of the mean already, so that only
 * the place's is added here. What no parameter explains may be wide or narrow, near or far
 * reaching: each way has its weight, and answers are means over them.
 *
 * Something that nobody drew may stand across the ways: then each way over it lowers the mean
 * by what such things take, and all of them err together by how much this one takes.
 *
 * Places: g falls off as exp(-(d_sender + d_listener) / length), so that two links are alike
 * only when both their ends are near each other. Links without a plan are alike within a room.
 */
#include <math.h>
#include <string.h>

#include "engine.h"

/* How far apart two places in one room of a survey without a plan are, in lengths of the field.
 * Judgement, no source. */
static const double room_apart = 1;

static double square(double x) {
    return x * x;
}

/* ---- what two views share ---- */

double engine_parameters_db2(const engine_reads *reads, const engine_view *a,
                             const engine_view *b) {
    double sum = 0;
    for (size_t i = 0, j = 0; i < a->n && j < b->n;) {
        if (a->parameter[i] == b->parameter[j]) {
            sum += reads->prior_db2[a->parameter[i]] * a->value[i] * b->value[j];
            i++;
            j++;
        } else if (a->parameter[i] < b->parameter[j]) {
            i++;
        } else {
            j++;
        }
    }
    return sum;
}

static double shared_things_db2(const engine_view *a, const engine_view *b) {
    double sum = 0;
    for (size_t i = 0, j = 0; i < a->n_own && j < b->n_own;) {
        if (a->own[i] == b->own[j])
            sum += a->own_value[i++] * b->own_value[j++];
        else if (a->own[i] < b->own[j])
            i++;
        else
            j++;
    }
    return engine_own_share * sum;
}

static bool both(size_t a, size_t b) {
    return a == b && a != EARSHOT_NONE;
}

static double shared_meter_db2(const engine_reads *reads, const engine_view *a,
                               const engine_view *b) {
    double db2 = (both(a->meter, b->meter) ? a->meter_sd_db * b->meter_sd_db : 0) +
                 (both(a->shift, b->shift) ? reads->shift_db2 : 0) +
                 (both(a->edge, b->edge) ? a->edge_sd_db * b->edge_sd_db : 0);
    return a->meter_share * b->meter_share * db2;
}

static bool same_place(geometry_place a, geometry_place b) {
    return (isnan(a.x_m) && isnan(b.x_m)) ||
           (a.x_m == b.x_m && a.y_m == b.y_m && a.z_m == b.z_m);
}

static bool same_link(const engine_view *a, const engine_view *b) {
    return both(a->device, b->device) && both(a->listener, b->listener) && a->path == b->path &&
           same_place(a->from, b->from) && same_place(a->to, b->to);
}

static bool same_room(const earshot_survey *survey, const engine_view *a,
                      const engine_view *b) {
    if (!both(a->listener, b->listener) || a->device == EARSHOT_NONE ||
        b->device == EARSHOT_NONE)
        return false;
    const char *room = survey->devices[a->device].room;
    return room && *room && strcmp(room, survey->devices[b->device].room) == 0;
}

/* How far apart two links lie, both ends together: in m by a plan; without one in lengths of
 * the field, INFINITY when they have nothing to do with each other. Nothing when they are the
 * same. */
struct apart {
    double distance_m, lengths;
    bool same;
};

static struct apart apart_of(const earshot_survey *survey, const engine_view *a,
                             const engine_view *b) {
    struct apart apart = {.same = same_link(a, b)};
    if (apart.same)
        return apart;
    if (a->path == EARSHOT_NONE && b->path == EARSHOT_NONE)
        apart.distance_m =
            geometry_distance(a->from, b->from) + geometry_distance(a->to, b->to);
    else
        apart.lengths = same_room(survey, a, b) ? room_apart : INFINITY;
    return apart;
}

/* Ends that are not a number (path rows) are on no side of it. */
static bool is_across(const engine_obstacle *obstacle, const engine_view *view) {
    const geometry_point from = {view->from.x_m, view->from.y_m};
    const geometry_point to = {view->to.x_m, view->to.y_m};
    geometry_point a = obstacle->a, b = obstacle->b;
    double left = geometry_side(a, b, from), right = geometry_side(a, b, to);
    if ((left > 0) == (right > 0) ||
        (geometry_side(from, to, a) > 0) == (geometry_side(from, to, b) > 0))
        return false;
    double z_m = view->from.z_m + (view->to.z_m - view->from.z_m) * left / (left - right);
    return z_m >= obstacle->low_m && z_m < obstacle->high_m;
}

double engine_obstacle_share(const engine_obstacle *obstacle, const engine_view *view) {
    return is_across(obstacle, view) ? view->link_share : 0;
}

double engine_obstacle_db2(const engine_obstacle *obstacle, const engine_view *a,
                           const engine_view *b) {
    double share = engine_obstacle_share(obstacle, a);
    return share == 0 ? 0
                      : share * engine_obstacle_share(obstacle, b) * square(obstacle->sd_db);
}

static double link_db2_of(const engine_field *field, const engine_view *a, const engine_view *b,
                          const struct apart *apart) {
    double db2 =
        square(field->sd_db) * exp(-apart->distance_m / field->length_m - apart->lengths);
    if (apart->same && a->in_place && b->in_place)
        db2 += square(field->static_sd_db);
    if (both(a->moment, b->moment))
        db2 += fmin(a->static_share, b->static_share) * square(field->static_sd_db);
    if (apart->same)
        db2 += fmin(a->apart_db2, b->apart_db2);
    return a->link_share * b->link_share * db2;
}

double engine_shared_db2(const earshot_survey *survey, const engine_reads *reads,
                         const engine_field *field, const engine_view *a, const engine_view *b,
                         double *link_db2) {
    struct apart apart = apart_of(survey, a, b);
    double link = link_db2_of(field, a, b, &apart);
    if (link_db2)
        *link_db2 = link;
    return engine_parameters_db2(reads, a, b) + shared_things_db2(a, b) +
           shared_meter_db2(reads, a, b) + link + engine_obstacle_db2(&field->obstacle, a, b);
}

/* ---- what was read, told of a link ---- */

double engine_prior_db2(const engine_reads *reads, const engine_field *field,
                        const engine_view *view) {
    return engine_parameters_db2(reads, view, view) + shared_things_db2(view, view) +
           shared_meter_db2(reads, view, view) +
           square(view->link_share) *
               (square(field->sd_db) + (view->in_place ? square(field->static_sd_db) : 0) +
                view->apart_db2) +
           engine_obstacle_db2(&field->obstacle, view, view);
}

/* Four sums side by side: one alone waits for itself at every step, and most of what a map or
 * many links take is spent here. */
static double product(const double *a, const double *b, size_t n) {
    double sum[4] = {0};
    size_t i = 0;
    for (; i + 4 <= n; i += 4)
        for (size_t k = 0; k < 4; k++)
            sum[k] += a[i + k] * b[i + k];
    for (; i < n; i++)
        sum[0] += a[i] * b[i];
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

double engine_explained_db2(const double *lower, size_t n, double *c) {
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        const double *row = lower + i * n;
        c[i] = (c[i] - product(row, c, i)) / row[i];
        sum += square(c[i]);
    }
    return sum;
}

/* One way that the field may be: shift of the place, of all, and variance left. */
struct answer {
    double place_db, all_db, left_db2;
};

static struct answer answer_by(const engine_reads *reads, const engine_field *field,
                               const engine_view *view, const double *base_db2,
                               const struct apart *apart) {
    double c[ENGINE_MAX_READS];
    const engine_obstacle *obstacle = &field->obstacle;
    double share = engine_obstacle_share(obstacle, view);
    struct answer answer = {-share * obstacle->loss_db, -share * obstacle->loss_db, 0};
    for (size_t i = 0; i < reads->n; i++) {
        double link_db2 = link_db2_of(field, view, &reads->views[i], &apart[i]);
        if (share != 0)
            link_db2 += share * engine_obstacle_share(obstacle, &reads->views[i]) *
                        square(obstacle->sd_db);
        c[i] = base_db2[i] + link_db2;
        answer.place_db += link_db2 * field->pull[i];
        answer.all_db += c[i] * field->pull[i];
    }
    answer.left_db2 = fmax(engine_prior_db2(reads, field, view) -
                               engine_explained_db2(field->lower, reads->n, c),
                           0);
    return answer;
}

static engine_told tell_by_tables(const earshot_belief *belief, const engine_view *view) {
    double db2 = view->apart_db2 + square(belief->shadow_sd_db);
    for (size_t i = 0; i < view->n; i++) {
        const double *row = belief->covariance + view->parameter[i] * belief->n;
        for (size_t j = 0; j < view->n; j++)
            db2 += view->value[i] * row[view->parameter[j]] * view->value[j];
    }
    if (view->meter != EARSHOT_NONE)
        db2 += square(belief->meter_sd_db);
    return (engine_told){
        .normal_db2 = db2, .static_db2 = square(belief->static_sd_db), .level_dbm = NAN};
}

/* What was counted on the very link, doors shut, on the last visit that did. */
static void tell_counts(const engine_reads *reads, const struct apart *apart,
                        engine_told *told) {
    size_t last = 0;
    for (size_t i = 0; i < reads->n; i++) {
        const engine_view *read = &reads->views[i];
        if (!apart[i].same || !read->trips || read->doors_open || read->visit < last)
            continue;
        if (read->visit > last)
            told->trips = told->heard = 0;
        last = read->visit;
        told->trips += read->trips;
        told->heard += read->heard;
    }
}

/* The main meter's offset, once a few readings tell of it: one alone would excuse itself. */
static double trusted_offset_db(const engine_reads *reads) {
    static const size_t few = 4;
    size_t n = 0;
    for (size_t i = 0; i < reads->n; i++)
        n += reads->views[i].meter == reads->meter && reads->views[i].link_share == 1;
    return n < few ? 0 : reads->meter_mean_db;
}

/* The least that was shown on the very link, doors shut, on the last visit that did. By hand
 * the fade of the spot is another's, and more may be off. Judgement, no source. */
static void tell_level(const engine_reads *reads, const struct apart *apart, bool in_place,
                       engine_told *told) {
    static const double slack_in_place_db = 3, slack_by_hand_db = 8;
    size_t last = 0;
    for (size_t i = 0; i < reads->n; i++) {
        const engine_view *read = &reads->views[i];
        if (!apart[i].same || read->in_place != in_place || isnan(read->level_dbm) ||
            read->doors_open || read->visit < last)
            continue;
        double offset_db = read->meter == reads->meter ? trusted_offset_db(reads) : 0;
        double level_dbm = read->level_dbm - offset_db;
        told->level_dbm = read->visit == last ? fmin(told->level_dbm, level_dbm) : level_dbm;
        told->level_slack_db = in_place ? slack_in_place_db : slack_by_hand_db;
        last = read->visit;
    }
}

engine_told engine_tell(const earshot_survey *survey, const earshot_belief *belief,
                        const engine_view *view) {
    const engine_reads *reads = belief->reads;
    if (!reads)
        return tell_by_tables(belief, view);
    double base_db2[ENGINE_MAX_READS];
    struct apart apart[ENGINE_MAX_READS];
    engine_view placed = *view;
    engine_told told = {.level_dbm = NAN};
    for (size_t i = 0; i < reads->n; i++) {
        const engine_view *read = &reads->views[i];
        base_db2[i] = engine_parameters_db2(reads, view, read) + shared_things_db2(view, read) +
                      shared_meter_db2(reads, view, read);
        apart[i] = apart_of(survey, view, read);
        told.in_place = told.in_place || (apart[i].same && read->in_place);
    }
    placed.in_place = told.in_place;
    tell_counts(reads, apart, &told);
    tell_level(reads, apart, true, &told);
    if (isnan(told.level_dbm))
        tell_level(reads, apart, false, &told);
    double mean_db = 0, square_db2 = 0;
    for (size_t i = 0; i < reads->n_fields; i++) {
        const engine_field *field = &reads->fields[i];
        struct answer answer = answer_by(reads, field, &placed, base_db2, apart);
        told.shift_db += field->weight * answer.place_db;
        told.normal_db2 += field->weight * answer.left_db2;
        told.static_db2 += told.in_place ? 0 : field->weight * square(field->static_sd_db);
        mean_db += field->weight * answer.all_db;
        square_db2 += field->weight * square(answer.all_db);
    }
    told.normal_db2 += fmax(square_db2 - square(mean_db), 0);
    return told;
}

/* ---- views ---- */

static void put_in_order(engine_features *features, size_t n) {
    for (size_t i = 1; i < n; i++)
        for (size_t j = i; j > 0 && features->parameter[j - 1] > features->parameter[j]; j--) {
            size_t parameter = features->parameter[j];
            double value = features->value[j];
            features->parameter[j] = features->parameter[j - 1];
            features->value[j] = features->value[j - 1];
            features->parameter[j - 1] = parameter;
            features->value[j - 1] = value;
        }
}

engine_view engine_view_of(const earshot_link *link, engine_result *result, bool margin) {
    size_t n = margin ? result->features.n : result->n_power_features;
    put_in_order(&result->features, n);
    bool plan = link->path == EARSHOT_NONE;
    const geometry_place nowhere = {NAN, NAN, NAN};
    return (engine_view){
        .parameter = result->features.parameter,
        .value = result->features.value,
        .n = n,
        .own = result->own.number,
        .own_value = result->own.value,
        .n_own = result->own.n,
        .from = plan ? (geometry_place){geometry_snap(link->from.x_m),
                                        geometry_snap(link->from.y_m), link->from.z_m}
                     : nowhere,
        .to = plan ? (geometry_place){geometry_snap(link->to.x_m), geometry_snap(link->to.y_m),
                                      link->to.z_m}
                   : nowhere,
        .device = link->device,
        .listener = link->listener,
        .path = link->path,
        .apart_db2 = margin ? result->apart_margin_db2 : result->apart_power_db2,
        .static_share = 1,
        .link_share = 1,
        .meter_share = 1,
        .level_dbm = NAN,
        .moment = EARSHOT_NONE,
        .meter = EARSHOT_NONE,
        .shift = EARSHOT_NONE,
        .edge = EARSHOT_NONE};
}
