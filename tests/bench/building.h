/* SPDX-License-Identifier: GPL-3.0-or-later */
/* building.h - buildings of any size to measure with: storeys cut into rooms, walls in pieces
 * that meet end to end, doors in most of them, slabs with a stairwell.
 */
#ifndef BENCH_BUILDING_H
#define BENCH_BUILDING_H

#include <stdint.h>

#include "geometry.h"

typedef struct building_plan {
    size_t n_panels; /* about so many */
    unsigned n_storeys;
    double turned_rad; /* of the whole plan, about its corner */
    bool ties;         /* everything on whole and half meters, heights too */
    uint32_t seed;
} building_plan;

/* All arrays in one; to be freed by building_free. Ends the program when memory runs out. */
typedef struct building {
    geometry_building geometry;
    double wide_m, deep_m, high_m; /* before it is turned */
    building_plan plan;
} building;

building building_make(const building_plan *plan);
void building_free(building *building);

/* The same numbers from the same seed, everywhere: xorshift, 32 bits. */
uint32_t building_random(uint32_t *state);
/* From `low` to `high`. */
double building_between(uint32_t *state, double low, double high);
/* A place inside, or on whole and half meters where there are ties. */
geometry_place building_place(const building *building, uint32_t *state);

#endif
