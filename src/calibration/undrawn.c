/* SPDX-License-Identifier: GPL-3.0-or-later */
/* undrawn.c - what readings say of something that nobody drew: whether, where, how much.
 */
#include <math.h>
#include <stdlib.h>

#include "fitting.h"
#include "quality.h"

static double square(double x) {
    return x * x;
}

static bool same_place(const engine_obstacle *a, const engine_obstacle *b) {
    return a->a.x_m == b->a.x_m && a->a.y_m == b->a.y_m && a->b.x_m == b->b.x_m &&
           a->b.y_m == b->b.y_m && a->level == b->level;
}

/* What the readings leave of an obstacle's loss under its field: as of any normal (read.c). */
static void learn(const engine_reads *reads, const engine_field *field, double *work,
                  double *mean_db, double *db2) {
    const engine_obstacle *obstacle = &field->obstacle;
    *mean_db = obstacle->loss_db;
    for (size_t i = 0; i < reads->n; i++) {
        work[i] = -square(obstacle->sd_db) * engine_obstacle_share(obstacle, &reads->views[i]);
        *mean_db += work[i] * field->pull[i];
    }
    *db2 = square(obstacle->sd_db) - engine_explained_db2(field->lower, reads->n, work);
}

static calibration_place *find_place(calibration_undrawn *undrawn,
                                     const engine_obstacle *obstacle) {
    for (size_t i = 0; i < undrawn->n_places; i++)
        if (same_place(&undrawn->places[i].obstacle, obstacle))
            return &undrawn->places[i];
    calibration_place *place = &undrawn->places[undrawn->n_places++];
    *place = (calibration_place){.obstacle = *obstacle};
    place->obstacle.loss_db = place->obstacle.sd_db = 0;
    return place;
}

static int likelier_first(const void *a, const void *b) {
    const calibration_place *left = a, *right = b;
    return (left->chance < right->chance) - (left->chance > right->chance);
}

/* Sums of weight, mean and square to chance, mean and sd. */
static void finish(calibration_undrawn *undrawn) {
    for (size_t i = 0; i < undrawn->n_places; i++) {
        calibration_place *place = &undrawn->places[i];
        place->obstacle.loss_db /= place->chance;
        place->obstacle.sd_db = sqrt(
            fmax(place->obstacle.sd_db / place->chance - square(place->obstacle.loss_db), 0));
        undrawn->chance += place->chance;
    }
    qsort(undrawn->places, undrawn->n_places, sizeof *undrawn->places, likelier_first);
}

enum earshot_status calibration_undrawn_of(const earshot_belief *belief,
                                           calibration_undrawn *out) {
    const engine_reads *reads = belief->reads;
    *out = (calibration_undrawn){.chance_before = fitting_undrawn_chance};
    double *work = reads ? malloc((reads->n + 1) * sizeof *work) : NULL;
    if (!work)
        return reads ? EARSHOT_NO_MEMORY : EARSHOT_OK;
    for (size_t h = 0; h < reads->n_fields; h++) {
        const engine_field *field = &reads->fields[h];
        double mean_db, db2;
        if (!(field->obstacle.sd_db > 0)) /* there is none */
            continue;
        learn(reads, field, work, &mean_db, &db2);
        calibration_place *place = find_place(out, &field->obstacle);
        place->chance += field->weight;
        place->obstacle.loss_db += field->weight * mean_db;
        place->obstacle.sd_db += field->weight * (db2 + square(mean_db));
    }
    finish(out);
    free(work);
    return EARSHOT_OK;
}

double calibration_undrawn_on(const calibration_undrawn *undrawn, const earshot_link *link) {
    double chance = 0;
    engine_result nothing = {0};
    const engine_view view = engine_view_of(link, &nothing, true);
    for (size_t i = 0; i < undrawn->n_places; i++)
        chance += engine_obstacle_share(&undrawn->places[i].obstacle, &view) > 0
                      ? undrawn->places[i].chance
                      : 0;
    return chance;
}
