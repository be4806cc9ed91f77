/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ends.c - many ends against one: the walls around the one are sorted by direction first, where
 * there are ends enough to make up for that.
 */
#include <math.h>
#include <stddef.h>

#include "engine.h"

/* From how many ends on sorting pays: one for each so many walls. Judgement, not measured;
 * either way gives the same answers. */
static const size_t walls_an_end = 3;

static earshot_link link_of(const earshot_end *fixed, bool fixed_listens,
                            const earshot_end *end) {
    return (earshot_link){.from = fixed_listens ? *end : *fixed,
                          .to = fixed_listens ? *fixed : *end,
                          .device = EARSHOT_NONE,
                          .listener = EARSHOT_NONE,
                          .path = EARSHOT_NONE};
}

static bool has_place(const earshot_end *end) {
    return isfinite(end->x_m) && isfinite(end->y_m) && isfinite(end->z_m);
}

static bool valid(const earshot_survey *survey, const earshot_end *fixed,
                  const earshot_end *ends, size_t n) {
    bool good = has_place(fixed);
    for (size_t i = 0; good && i < n; i++) {
        const earshot_link link = link_of(fixed, false, &ends[i]);
        good = has_place(&ends[i]) && engine_link_valid(survey, &link);
    }
    return good;
}

static geometry_fan *build_fan(const earshot_survey *survey, const earshot_end *fixed,
                               const earshot_end *ends, size_t n) {
    double low_m = fixed->z_m, high_m = fixed->z_m;
    for (size_t i = 0; i < n; i++) {
        low_m = fmin(low_m, ends[i].z_m);
        high_m = fmax(high_m, ends[i].z_m);
    }
    const geometry_place place = {geometry_snap(fixed->x_m), geometry_snap(fixed->y_m),
                                  fixed->z_m};
    return geometry_fan_build(&survey->building, place, low_m, high_m);
}

enum earshot_status earshot_ends_predict(const earshot_survey *survey,
                                         const earshot_belief *belief, const earshot_end *fixed,
                                         bool fixed_listens, const earshot_end *ends, size_t n,
                                         double *margin_db, double *sd_db) {
    if (!survey || !belief || !fixed || (n && (!ends || !margin_db || !sd_db)) ||
        !valid(survey, fixed, ends, n))
        return EARSHOT_MISUSE;
    const bool many = n > survey->n_walls / walls_an_end;
    geometry_fan *fan = many ? build_fan(survey, fixed, ends, n) : NULL;
    const engine_seen seen = {.fan = fan};
    if (many && !fan)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < n; i++) {
        const earshot_link link = link_of(fixed, fixed_listens, &ends[i]);
        engine_margin(survey, belief, &link, many ? &seen : NULL, &margin_db[i], &sd_db[i]);
    }
    geometry_fan_free(fan);
    return EARSHOT_OK;
}
