/* SPDX-License-Identifier: GPL-3.0-or-later */
/* building.c - see building.h.
 */
#include "building.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static const double room_m2 = 14, piece_m = 6, storey_m = 3;

uint32_t building_random(uint32_t *state) {
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

double building_between(uint32_t *state, double low, double high) {
    return low + (high - low) * (building_random(state) / 4294967296.0);
}

struct making {
    building *building;
    uint32_t random;
    geometry_panel *panels;
    geometry_opening *openings;
    geometry_floor *floors;
    geometry_ring *rings;
    geometry_point *points;
    size_t n_panels, n_openings, n_points, capacity;
};

static void *take(size_t n, size_t size) {
    void *memory = calloc(n + 1, size);
    if (!memory) {
        fprintf(stderr, "memory ran out\n");
        exit(1);
    }
    return memory;
}

static geometry_point turned(const building *building, double x_m, double y_m) {
    double c = cos(building->plan.turned_rad), s = sin(building->plan.turned_rad);
    if (building->plan.ties) {
        c = 1;
        s = 0;
        x_m = round(2 * x_m) / 2;
        y_m = round(2 * y_m) / 2;
    }
    return (geometry_point){geometry_snap(c * x_m - s * y_m), geometry_snap(s * x_m + c * y_m)};
}

/* A door somewhere in the piece. */
static void add_door(struct making *making, geometry_panel *panel, double length_m) {
    double from = building_between(&making->random, 0.1, 0.9 - 0.8 / length_m);
    double to = from + 0.8 / length_m;
    geometry_opening *door = &making->openings[making->n_openings++];
    double dx_m = panel->b.x_m - panel->a.x_m, dy_m = panel->b.y_m - panel->a.y_m;
    *door = (geometry_opening){
        .a = {geometry_snap(panel->a.x_m + from * dx_m),
              geometry_snap(panel->a.y_m + from * dy_m)},
        .b = {geometry_snap(panel->a.x_m + to * dx_m), geometry_snap(panel->a.y_m + to * dy_m)},
        .bottom_m = panel->bottom_m,
        .top_m = panel->bottom_m + 2};
    panel->n_openings = 1;
}

static void add_piece(struct making *making, unsigned storey, double x0_m, double y0_m,
                      double x1_m, double y1_m) {
    const building *building = making->building;
    if (making->n_panels == making->capacity)
        return;
    geometry_panel *panel = &making->panels[making->n_panels++];
    double length_m = hypot(x1_m - x0_m, y1_m - y0_m);
    *panel =
        (geometry_panel){.a = turned(building, x0_m, y0_m),
                         .b = turned(building, x1_m, y1_m),
                         .bottom_m = storey * storey_m,
                         .top_m = (storey + 1) * storey_m - (building->plan.ties ? 0.5 : 0.3),
                         .first_opening = making->n_openings};
    if (length_m > 2 && building_random(&making->random) % 10 < 6)
        add_door(making, panel, length_m);
}

/* A wall in pieces that meet end to end. */
static void add_wall(struct making *making, unsigned storey, double x0_m, double y0_m,
                     double x1_m, double y1_m) {
    double n = ceil(hypot(x1_m - x0_m, y1_m - y0_m) / piece_m);
    for (double i = 0; i < n; i++)
        add_piece(making, storey, x0_m + (x1_m - x0_m) * i / n, y0_m + (y1_m - y0_m) * i / n,
                  x0_m + (x1_m - x0_m) * (i + 1) / n, y0_m + (y1_m - y0_m) * (i + 1) / n);
}

/* Cuts a rectangle across its longer side until rooms are left. */
static void cut(struct making *making, unsigned storey, double x0_m, double y0_m, double x1_m,
                double y1_m) {
    double wide_m = x1_m - x0_m, deep_m = y1_m - y0_m;
    if (wide_m * deep_m < 2 * room_m2 || fmin(wide_m, deep_m) < 2)
        return;
    double share = building_between(&making->random, 0.35, 0.65);
    if (wide_m > deep_m) {
        double x_m = x0_m + share * wide_m;
        add_wall(making, storey, x_m, y0_m, x_m, y1_m);
        cut(making, storey, x0_m, y0_m, x_m, y1_m);
        cut(making, storey, x_m, y0_m, x1_m, y1_m);
    } else {
        double y_m = y0_m + share * deep_m;
        add_wall(making, storey, x0_m, y_m, x1_m, y_m);
        cut(making, storey, x0_m, y0_m, x1_m, y_m);
        cut(making, storey, x0_m, y_m, x1_m, y1_m);
    }
}

static void add_ring(struct making *making, geometry_ring *ring, double x0_m, double y0_m,
                     double x1_m, double y1_m, bool hole) {
    const double corners[4][2] = {{x0_m, y0_m}, {x1_m, y0_m}, {x1_m, y1_m}, {x0_m, y1_m}};
    *ring = (geometry_ring){.first_point = making->n_points, .n_points = 4, .hole = hole};
    for (int i = 0; i < 4; i++)
        making->points[making->n_points++] =
            turned(making->building, corners[i][0], corners[i][1]);
}

static void add_storey(struct making *making, unsigned storey) {
    const building *building = making->building;
    double wide_m = building->wide_m, deep_m = building->deep_m;
    size_t first = 2 * storey;
    add_wall(making, storey, 0, 0, wide_m, 0);
    add_wall(making, storey, wide_m, 0, wide_m, deep_m);
    add_wall(making, storey, wide_m, deep_m, 0, deep_m);
    add_wall(making, storey, 0, deep_m, 0, 0);
    cut(making, storey, 0, 0, wide_m, deep_m);
    add_ring(making, &making->rings[first], 0, 0, wide_m, deep_m, false);
    add_ring(making, &making->rings[first + 1], wide_m / 2, deep_m / 2, wide_m / 2 + 2,
             deep_m / 2 + 3, true);
    making->floors[storey] =
        (geometry_floor){.z_m = storey * storey_m, .first_ring = first, .n_rings = 2};
}

building building_make(const building_plan *plan) {
    size_t n = plan->n_panels, n_storeys = plan->n_storeys;
    /* a room adds about 1.3 pieces at this size of room; the loop below sees to the rest */
    double side_m = sqrt((double)n / (double)n_storeys / 1.3 * room_m2);
    building made = {.wide_m = round(1.2 * side_m),
                     .deep_m = round(side_m / 1.2),
                     .high_m = (double)n_storeys * storey_m,
                     .plan = *plan};
    struct making making = {.building = &made,
                            .random = plan->seed,
                            .capacity = 4 * n,
                            .panels = take(4 * n, sizeof *making.panels),
                            .openings = take(4 * n, sizeof *making.openings),
                            .floors = take(n_storeys, sizeof *making.floors),
                            .rings = take(2 * n_storeys, sizeof *making.rings),
                            .points = take(8 * n_storeys, sizeof *making.points)};
    for (unsigned storey = 0; storey < n_storeys; storey++)
        add_storey(&making, storey);
    made.geometry = (geometry_building){.panels = making.panels,
                                        .n_panels = making.n_panels,
                                        .openings = making.openings,
                                        .n_openings = making.n_openings,
                                        .floors = making.floors,
                                        .n_floors = n_storeys,
                                        .rings = making.rings,
                                        .n_rings = 2 * n_storeys,
                                        .points = making.points,
                                        .n_points = making.n_points};
    return made;
}

void building_free(building *building) {
    free((void *)building->geometry.panels);
    free((void *)building->geometry.openings);
    free((void *)building->geometry.floors);
    free((void *)building->geometry.rings);
    free((void *)building->geometry.points);
    *building = (struct building){0};
}

geometry_place building_place(const building *building, uint32_t *state) {
    double x_m = building_between(state, -2, building->wide_m + 2);
    double y_m = building_between(state, -2, building->deep_m + 2);
    double z_m = building_between(state, 0, building->high_m);
    geometry_point point = turned(building, x_m, y_m);
    return (geometry_place){point.x_m, point.y_m,
                            building->plan.ties ? round(2 * z_m) / 2 : z_m};
}
