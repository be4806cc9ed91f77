/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_shade.c - a map's runs against the plain loop, cell by cell: every cell has the panels
 * and openings between it and the fixed place that geometry_cross finds, ties too.
 */
#include "building.h"

#include <criterion/criterion.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* How often each panel and opening was told of a cell: [thing][cell], openings behind panels.
 */
struct told {
    const geometry_raster *raster;
    unsigned char *times;
    size_t thing, n_cells;
};

static void add_runs(void *who, const geometry_run *runs, size_t n_runs) {
    struct told *told = who;
    for (size_t i = 0; i < n_runs; i++) {
        cr_assert(runs[i].first <= runs[i].last && runs[i].last < told->raster->nx &&
                  runs[i].row < told->raster->ny);
        for (size_t column = runs[i].first; column <= runs[i].last; column++)
            told->times[told->thing * told->n_cells + runs[i].row * told->raster->nx +
                        column]++;
    }
}

struct cell {
    struct told *told;
    size_t cell, n_panels, n_met;
};

/* Takes one away where the plain loop has met something: nothing must be left. */
static void take_away(void *who, const geometry_crossing *crossing) {
    struct cell *at = who;
    if (crossing->kind == GEOMETRY_FLOOR)
        return;
    at->told->times[crossing->panel * at->told->n_cells + at->cell]--;
    if (crossing->kind == GEOMETRY_OPENING)
        at->told->times[(at->n_panels + crossing->index) * at->told->n_cells + at->cell]--;
    at->n_met++;
}

static void shade_all(const geometry_building *building, const geometry_raster *raster,
                      geometry_place fixed, struct told *told) {
    for (size_t i = 0; i < building->n_panels; i++) {
        const geometry_panel *panel = &building->panels[i];
        told->thing = i;
        /* in two halves, as threads would do it */
        geometry_shade(building, raster, fixed, i, SIZE_MAX, 0, raster->ny / 2, add_runs, told);
        geometry_shade(building, raster, fixed, i, SIZE_MAX, raster->ny / 2, raster->ny,
                       add_runs, told);
        for (size_t k = panel->first_opening; k < panel->first_opening + panel->n_openings;
             k++) {
            told->thing = building->n_panels + k;
            geometry_shade(building, raster, fixed, i, k, 0, raster->ny, add_runs, told);
        }
    }
}

static size_t compare(const geometry_building *building, const geometry_raster *raster,
                      geometry_place fixed) {
    size_t n_cells = raster->nx * raster->ny,
           n_things = building->n_panels + building->n_openings;
    struct told told = {raster, calloc(n_things * n_cells + 1, 1), 0, n_cells};
    struct cell at = {&told, 0, building->n_panels, 0};
    size_t n_wrong = 0;
    cr_assert_not_null(told.times);
    shade_all(building, raster, fixed, &told);
    for (size_t row = 0; row < raster->ny; row++)
        for (size_t column = 0; column < raster->nx; column++) {
            at.cell = row * raster->nx + column;
            geometry_cross(building, fixed, geometry_raster_place(raster, column, row),
                           take_away, &at);
        }
    for (size_t i = 0; i < n_things * n_cells; i++)
        if (told.times[i]) {
            size_t thing = i / n_cells, cell = i % n_cells;
            n_wrong++;
            if (n_wrong < 4)
                cr_expect(
                    false,
                    "%s %zu at column %zu, row %zu: told %d more than met; fixed at %.17g "
                    "%.17g %.17g, z %.17g",
                    thing < building->n_panels ? "panel" : "opening", thing, cell % raster->nx,
                    cell / raster->nx, (signed char)told.times[i], fixed.x_m, fixed.y_m,
                    fixed.z_m, raster->z_m);
        }
    cr_expect_eq(n_wrong, 0, "%zu cells differ", n_wrong);
    free(told.times);
    return at.n_met;
}

static const building_plan plans[] = {
    {.n_panels = 30, .n_storeys = 1, .seed = 3},
    {.n_panels = 60, .n_storeys = 2, .turned_rad = 0.3, .seed = 5},
    {.n_panels = 60, .n_storeys = 2, .ties = true, .seed = 6},
    {.n_panels = 120, .n_storeys = 3, .turned_rad = 0.7853981633974483, .seed = 7},
    {.n_panels = 120, .n_storeys = 3, .ties = true, .seed = 8},
};

/* Rasters on the grid, off it, and on whole and half meters where every wall is; level with the
 * fixed place, above and below it. */
Test(shade, random_maps) {
    static const double steps_m[] = {0.5, 0.25, 0.3, 1};
    size_t n_met = 0;
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        building made = building_make(&plans[i]);
        uint32_t random = 21;
        for (int map = 0; map < 8; map++) {
            geometry_place fixed = building_place(&made, &random);
            geometry_place level = building_place(&made, &random);
            geometry_raster raster = {.x0_m = plans[i].ties ? -4 : -3.7,
                                      .y0_m = plans[i].ties ? -3 : -2.9,
                                      .z_m = map % 2 ? fixed.z_m : level.z_m,
                                      .step_m = steps_m[map % 4]};
            raster.nx = (size_t)((made.wide_m + 8) / raster.step_m);
            raster.ny = (size_t)((made.deep_m + 8) / raster.step_m);
            n_met += compare(&made.geometry, &raster, fixed);
        }
        building_free(&made);
    }
    cr_expect_gt(n_met, 100000);
}

/* Fixed on walls, on their ends, in line with them; and in the very places of cells. */
Test(shade, from_on_a_wall) {
    building made = building_make(&plans[2]);
    const geometry_panel *panels = made.geometry.panels;
    for (size_t i = 0; i < made.geometry.n_panels; i += 5) {
        geometry_raster raster = {-2, -2, panels[i].bottom_m + 1, 0.5, 40, 40};
        geometry_place on_end = {panels[i].a.x_m, panels[i].a.y_m, panels[i].bottom_m + 1};
        geometry_place within = {geometry_snap((panels[i].a.x_m + panels[i].b.x_m) / 2),
                                 geometry_snap((panels[i].a.y_m + panels[i].b.y_m) / 2),
                                 panels[i].bottom_m + 0.5};
        compare(&made.geometry, &raster, on_end);
        compare(&made.geometry, &raster, within);
    }
    building_free(&made);
}
