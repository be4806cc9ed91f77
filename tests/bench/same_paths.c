/* SPDX-License-Identifier: GPL-3.0-or-later */
/* same_paths.c - the index against the plain loop on many random paths, and maps against both,
 * with openings, floors and holes; in buildings as they are, and in ones where everything lies
 * on whole and half meters, so that nearly every path meets a tie.
 *
 *     same_paths PATHS MOST_PANELS
 *
 * Ends with 1 when a single sum differs in its last bit.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "building.h"

enum { MAP_SIDE = 96, N_SIZES = 4 };
static const struct {
    size_t n_panels;
    unsigned n_storeys;
} sizes[N_SIZES] = {{40, 2}, {400, 3}, {4000, 4}, {40000, 5}};

/* In order, and weighted so that no two lists of crossings have the same sum but by chance. */
static void add(void *who, const geometry_crossing *crossing) {
    double *sum = who;
    *sum = *sum * 0.75 + (double)(crossing->index % 1009) + 1024 * (double)crossing->kind +
           crossing->x_m + crossing->y_m + crossing->z_m;
}

static size_t compare_paths(const building *made, const geometry_index *index, size_t n_paths) {
    size_t n_off = 0;
    uint32_t random = 5;
    for (size_t i = 0; i < n_paths; i++) {
        geometry_place from = building_place(made, &random), to = building_place(made, &random);
        double by_loop = 0, by_index = 0;
        if (i % 3 == 0)
            to.z_m = from.z_m;
        geometry_cross(&made->geometry, from, to, add, &by_loop);
        geometry_index_cross(index, from, to, add, &by_index);
        n_off += by_loop != by_index;
    }
    return n_off;
}

/* ---- maps ---- */

struct counting {
    unsigned *count; /* by cell: panels, and openings by the thousand */
    size_t nx;
    unsigned each;
};

static void add_runs(void *who, const geometry_run *runs, size_t n_runs) {
    struct counting *counting = who;
    for (size_t i = 0; i < n_runs; i++)
        for (size_t column = runs[i].first; column <= runs[i].last; column++)
            counting->count[runs[i].row * counting->nx + column] += counting->each;
}

static void count(void *who, const geometry_crossing *crossing) {
    unsigned *at = who;
    if (crossing->kind != GEOMETRY_FLOOR)
        *at += crossing->kind == GEOMETRY_OPENING ? 1001 : 1;
}

static size_t compare_map(const building *made, const geometry_index *index) {
    static unsigned counts[MAP_SIDE * MAP_SIDE];
    const geometry_building *building = &made->geometry;
    uint32_t random = 9;
    const geometry_place fixed = building_place(made, &random);
    const geometry_raster raster = {0,   0,        fixed.z_m > 1 ? fixed.z_m - 1 : fixed.z_m,
                                    0.5, MAP_SIDE, MAP_SIDE};
    struct counting counting = {counts, MAP_SIDE, 1};
    size_t n_off = 0;
    for (size_t i = 0; i < MAP_SIDE * MAP_SIDE; i++)
        counts[i] = 0;
    for (size_t i = 0; i < building->n_panels; i++) {
        counting.each = 1;
        geometry_shade(building, &raster, fixed, i, SIZE_MAX, 0, MAP_SIDE, add_runs, &counting);
        counting.each = 1000;
        for (size_t k = 0; k < building->panels[i].n_openings; k++)
            geometry_shade(building, &raster, fixed, i, building->panels[i].first_opening + k,
                           0, MAP_SIDE, add_runs, &counting);
    }
    for (size_t i = 0; i < MAP_SIDE * MAP_SIDE; i++) {
        unsigned by_index = 0;
        geometry_index_cross(index, fixed,
                             geometry_raster_place(&raster, i % MAP_SIDE, i / MAP_SIDE), count,
                             &by_index);
        n_off += by_index != counts[i];
    }
    return n_off;
}

static size_t compare(size_t size, bool ties, size_t n_paths) {
    const building_plan plan = {.n_panels = sizes[size].n_panels,
                                .n_storeys = sizes[size].n_storeys,
                                .turned_rad = size % 2 ? 0.3 : 0,
                                .ties = ties,
                                .seed = 40 + (uint32_t)size};
    building made = building_make(&plan);
    geometry_index *index = geometry_index_build(&made.geometry);
    if (!index)
        exit(1);
    size_t n_off = compare_paths(&made, index, n_paths), n_off_map = compare_map(&made, index);
    printf("%zu panels%s: %zu of %zu paths and %zu of %d points of a map differ\n",
           made.geometry.n_panels, ties ? ", all tied" : "", n_off, n_paths, n_off_map,
           MAP_SIDE * MAP_SIDE);
    geometry_index_free(index);
    building_free(&made);
    return n_off + n_off_map;
}

int main(int argc, char **argv) {
    if (argc != 3) {
        fprintf(stderr, "usage: same_paths PATHS MOST_PANELS\n");
        return 2;
    }
    size_t n_paths = (size_t)strtoul(argv[1], NULL, 10), n_off = 0;
    for (size_t size = 0; size < N_SIZES; size++)
        for (int ties = 0; ties < 2; ties++)
            if (sizes[size].n_panels <= (size_t)strtoul(argv[2], NULL, 10))
                n_off += compare(size, ties, n_paths);
    return n_off > 0;
}
