/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_cross.c - crossings: each tie that geometry.h rules on by hand, then whole families.
 *
 * Three checks need no copy of the rule. Cutting a wall or a path in two at a common point must
 * neither add nor lose a crossing. A closed ring of walls must be crossed an odd number of
 * times exactly by paths from inside to outside. Away from ties, crossings must be those found
 * by solving the two lines' equations in long double.
 */
#include "geometry.h"

#include <criterion/criterion.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* All that a path met. */
typedef struct record {
    size_t n;
    geometry_crossing met[256];
} record;

static void note(void *who, const geometry_crossing *crossing) {
    record *all = who;
    cr_assert(all->n < COUNT(all->met), "more crossings than the test has room for");
    all->met[all->n++] = *crossing;
}

static record cross(const geometry_building *building, geometry_place from, geometry_place to) {
    record all = {0};
    geometry_cross(building, from, to, note, &all);
    return all;
}

static bool same_bits(double a, double b) {
    return memcmp(&a, &b, sizeof a) == 0;
}

static bool same_crossing(const geometry_crossing *a, const geometry_crossing *b) {
    return a->kind == b->kind && a->index == b->index && a->panel == b->panel &&
           same_bits(a->x_m, b->x_m) && same_bits(a->y_m, b->y_m) && same_bits(a->z_m, b->z_m);
}

static bool same_record(const record *a, const record *b) {
    if (a->n != b->n) {
        return false;
    }
    for (size_t i = 0; i < a->n; i++) {
        if (!same_crossing(&a->met[i], &b->met[i])) {
            return false;
        }
    }
    return true;
}

static gsl_rng *new_generator(unsigned long seed) {
    gsl_rng *generator = gsl_rng_alloc(gsl_rng_mt19937);
    cr_assert(generator != NULL);
    gsl_rng_set(generator, seed);
    return generator;
}

static int draw(gsl_rng *generator, int low, int high) {
    return low + (int)gsl_rng_uniform_int(generator, (unsigned long)(high - low + 1));
}

/* ---- ties by hand ---- */

/* Walls of the cases below stand from 0 to 2 m; a path runs at 1 m unless it says otherwise. */
#define WALL(x1, y1, x2, y2)                                                                   \
    { .a = {x1, y1}, .b = {x2, y2}, .bottom_m = 0.0, .top_m = 2.0 }
#define HIGH(x1, y1, x2, y2)                                                                   \
    { .a = {x1, y1}, .b = {x2, y2}, .bottom_m = 2.0, .top_m = 4.0 }

/* Left and right are seen along the ends in order: along +x left is +y, along +y it is -x. */
static const struct {
    const char *what;
    geometry_panel panels[4];
    size_t n_panels;
    geometry_place from, to;
    size_t n_met, met[4];
} ties[] = {
    {"plainly across", {WALL(0, 0, 4, 0)}, 1, {1, -1, 1}, {1, 1, 1}, 1, {0}},
    {"plainly beside", {WALL(0, 0, 4, 0)}, 1, {5, -1, 1}, {5, 1, 1}, 0, {0}},
    {"plainly short of it", {WALL(0, 0, 4, 0)}, 1, {1, 1, 1}, {1, 2, 1}, 0, {0}},
    /* The joint is left of the path, so the wall to the right owns it. */
    {"a joint in line", {WALL(0, 0, 4, 0), WALL(4, 0, 8, 0)}, 2, {4, -1, 1}, {4, 1, 1}, 1, {1}},
    {"a joint in line, walls turned round",
     {WALL(4, 0, 0, 0), WALL(8, 0, 4, 0)},
     2,
     {4, -1, 1},
     {4, 1, 1},
     1,
     {1}},
    {"a joint in line, aslant",
     {WALL(0, 0, 4, 0), WALL(4, 0, 8, 0)},
     2,
     {2, -1, 1},
     {6, 1, 1},
     1,
     {1}},
    {"a joint in line, aslant the other way",
     {WALL(0, 0, 4, 0), WALL(4, 0, 8, 0)},
     2,
     {6, -1, 1},
     {2, 1, 1},
     1,
     {0}},
    {"a joint of slanting walls",
     {WALL(0, 0, 2, 1), WALL(2, 1, 6, 3)},
     2,
     {2, 0, 1},
     {2, 2, 1},
     1,
     {1}},
    {"the free end of a wall, from the left",
     {WALL(0, 0, 4, 0)},
     1,
     {4, -1, 1},
     {4, 1, 1},
     0,
     {0}},
    {"the free end of a wall, from the right",
     {WALL(4, 0, 8, 0)},
     1,
     {4, -1, 1},
     {4, 1, 1},
     1,
     {0}},
    {"a corner, one wall on each side",
     {WALL(0, 0, 4, 0), WALL(4, 0, 8, 4)},
     2,
     {4, -1, 1},
     {4, 1, 1},
     1,
     {1}},
    {"a corner grazed, both walls left",
     {WALL(4, 0, 0, 4), WALL(4, 0, 0, -4)},
     2,
     {4, -1, 1},
     {4, 1, 1},
     0,
     {0}},
    {"a corner grazed, both walls right",
     {WALL(4, 0, 8, 4), WALL(4, 0, 8, -4)},
     2,
     {4, -1, 1},
     {4, 1, 1},
     2,
     {0, 1}},
    /* The east one alone: two lie along the path, one to its left. */
    {"four walls meet",
     {WALL(4, 4, 8, 4), WALL(4, 4, 4, 8), WALL(4, 4, 0, 4), WALL(4, 4, 4, 0)},
     4,
     {4, 3, 1},
     {4, 5, 1},
     1,
     {0}},
    {"along the wall", {WALL(0, 0, 4, 0)}, 1, {-1, 0, 1}, {5, 0, 1}, 0, {0}},
    {"along the wall and inside it", {WALL(0, 0, 4, 0)}, 1, {1, 0, 1}, {3, 0, 1}, 0, {0}},
    {"along half the wall", {WALL(0, 0, 4, 0)}, 1, {2, 0, 1}, {9, 0, 1}, 0, {0}},
    {"along a slanting wall", {WALL(0, 0, 4, 2)}, 1, {-2, -1, 1}, {2, 1, 1}, 0, {0}},
    {"along a wall and across one that abuts on its right",
     {WALL(0, 0, 4, 0), WALL(2, 0, 2, -3)},
     2,
     {-1, 0, 1},
     {5, 0, 1},
     1,
     {1}},
    {"along a wall and past one that abuts on its left",
     {WALL(0, 0, 4, 0), WALL(2, 0, 2, 3)},
     2,
     {-1, 0, 1},
     {5, 0, 1},
     0,
     {0}},
    {"an end on the wall, from its left", {WALL(0, 0, 4, 0)}, 1, {2, 0, 1}, {2, 1, 1}, 0, {0}},
    {"an end on the wall, from its right",
     {WALL(0, 0, 4, 0)},
     1,
     {2, 0, 1},
     {2, -1, 1},
     1,
     {0}},
    {"an end on an upright wall, from its left",
     {WALL(2, 4, 2, 0)},
     1,
     {2, 2, 1},
     {1, 2, 1},
     0,
     {0}},
    {"an end on an upright wall, from its right",
     {WALL(2, 4, 2, 0)},
     1,
     {2, 2, 1},
     {3, 2, 1},
     1,
     {0}},
    {"both ends on walls",
     {WALL(0, 0, 4, 0), WALL(0, 3, 4, 3)},
     2,
     {2, 0, 1},
     {2, 3, 1},
     1,
     {1}},
    {"at the height of the bottom", {HIGH(0, 0, 4, 0)}, 1, {1, -1, 2}, {1, 1, 2}, 1, {0}},
    {"at the height of the top", {WALL(0, 0, 4, 0)}, 1, {1, -1, 2}, {1, 1, 2}, 0, {0}},
    {"where one wall stands on another",
     {WALL(0, 0, 4, 0), HIGH(0, 0, 4, 0)},
     2,
     {1, -1, 1},
     {1, 1, 3},
     1,
     {1}},
    {"over the wall, though it starts below its top",
     {WALL(0, 0, 4, 0)},
     1,
     {1, -1, 1},
     {1, 1, 3.5},
     0,
     {0}},
    {"a wall of no length", {WALL(1, 0, 1, 0)}, 1, {1, -1, 1}, {1, 1, 1}, 0, {0}},
    {"straight up, beside", {WALL(0, 0, 4, 0)}, 1, {1, 1, 0}, {1, 1, 9}, 0, {0}},
    {"straight up, in the wall", {WALL(0, 0, 4, 0)}, 1, {1, 0, 0}, {1, 0, 9}, 0, {0}},
    {"a path of no length", {WALL(0, 0, 4, 0)}, 1, {1, 0, 1}, {1, 0, 1}, 0, {0}},
    {"in the order of the table, not of the way",
     {WALL(0, 3, 4, 3), WALL(0, 1, 4, 1), WALL(0, 2, 4, 2)},
     3,
     {1, 0, 1},
     {1, 4, 1},
     3,
     {0, 1, 2}},
};

static bool met_as_ruled(const record *got, size_t n_met, const size_t *met) {
    if (got->n != n_met) {
        return false;
    }
    for (size_t i = 0; i < n_met; i++) {
        const geometry_crossing *crossing = &got->met[i];
        if (crossing->kind != GEOMETRY_PANEL || crossing->index != met[i] ||
            crossing->panel != met[i]) {
            return false;
        }
    }
    return true;
}

Test(cross, ties_by_hand) {
    for (size_t i = 0; i < COUNT(ties); i++) {
        const geometry_building building = {.panels = ties[i].panels,
                                            .n_panels = ties[i].n_panels};
        const record forth = cross(&building, ties[i].from, ties[i].to);
        const record back = cross(&building, ties[i].to, ties[i].from);
        cr_expect(met_as_ruled(&forth, ties[i].n_met, ties[i].met), "%s: met %zu", ties[i].what,
                  forth.n);
        cr_expect(met_as_ruled(&back, ties[i].n_met, ties[i].met), "%s, back: met %zu",
                  ties[i].what, back.n);
    }
}

Test(cross, meeting_point_by_hand) {
    const geometry_panel wall = WALL(0, 0, 4, 0);
    const geometry_building building = {.panels = &wall, .n_panels = 1};
    const record got =
        cross(&building, (geometry_place){1, -1, 0.5}, (geometry_place){3, 3, 2.5});
    cr_assert(got.n == 1);
    cr_expect(got.met[0].x_m == 1.5 && got.met[0].y_m == 0.0 && got.met[0].z_m == 1.0,
              "at (%.17g, %.17g, %.17g)", got.met[0].x_m, got.met[0].y_m, got.met[0].z_m);
}

/* One wall, 8 m long and 3 m high, with a door under a lintel, a window that adjoins it over a
 * sill, and a hatch drawn over the door's upper half, which comes later and so never counts. */
static const geometry_opening openings[] = {
    {.a = {1, 0}, .b = {2, 0}, .bottom_m = 0.0, .top_m = 2.0},
    {.a = {3, 0}, .b = {2, 0}, .bottom_m = 1.0, .top_m = 2.5},
    {.a = {1, 0}, .b = {2, 0}, .bottom_m = 1.5, .top_m = 2.25},
};
static const geometry_panel opened_wall = {
    .a = {8, 0}, .b = {0, 0}, .bottom_m = 0.0, .top_m = 3.0, .n_openings = COUNT(openings)};

static const struct {
    const char *what;
    double x_m, z_m;
    enum geometry_kind kind;
    size_t index;
} through[] = {
    {"the wall", 5, 1, GEOMETRY_PANEL, 0},
    {"the door", 1.5, 1, GEOMETRY_OPENING, 0},
    {"the threshold", 1.5, 0, GEOMETRY_OPENING, 0},
    {"the door, where the hatch overlaps it", 1.5, 1.75, GEOMETRY_OPENING, 0},
    {"the door's top edge, which is the hatch", 1.5, 2, GEOMETRY_OPENING, 2},
    {"the lintel", 1.5, 2.5, GEOMETRY_PANEL, 0},
    {"the lintel's lower edge", 1.5, 2.25, GEOMETRY_PANEL, 0},
    {"the window", 2.5, 2, GEOMETRY_OPENING, 1},
    {"the sill", 2.5, 0.5, GEOMETRY_PANEL, 0},
    {"the sill's upper edge", 2.5, 1, GEOMETRY_OPENING, 1},
    {"the window's upper edge", 2.5, 2.5, GEOMETRY_PANEL, 0},
    /* An edge is left of a path that runs along +y: the opening to its right owns it. */
    {"where door and window adjoin", 2, 1, GEOMETRY_OPENING, 1},
    {"the edge of the door", 1, 1, GEOMETRY_OPENING, 0},
    {"the edge of the window", 3, 1, GEOMETRY_PANEL, 0},
};

Test(cross, openings_by_hand) {
    const geometry_building building = {.panels = &opened_wall,
                                        .n_panels = 1,
                                        .openings = openings,
                                        .n_openings = COUNT(openings)};
    for (size_t i = 0; i < COUNT(through); i++) {
        const geometry_place below = {through[i].x_m, -1, through[i].z_m};
        const geometry_place above = {through[i].x_m, 1, through[i].z_m};
        const record got = cross(&building, below, above);
        cr_assert(got.n == 1, "%s: met %zu", through[i].what, got.n);
        cr_expect(got.met[0].kind == through[i].kind && got.met[0].index == through[i].index &&
                      got.met[0].panel == 0,
                  "%s: kind %d, index %zu", through[i].what, (int)got.met[0].kind,
                  got.met[0].index);
        const record back = cross(&building, above, below);
        cr_expect(same_record(&got, &back), "%s, back", through[i].what);
    }
}

/* An opening belongs to its panel: a path that misses the panel does not meet it. */
Test(cross, openings_of_other_panels_are_left_alone) {
    const geometry_panel panels[] = {WALL(0, 3, 8, 3), opened_wall, WALL(0, 6, 8, 6)};
    const geometry_building building = {.panels = panels,
                                        .n_panels = COUNT(panels),
                                        .openings = openings,
                                        .n_openings = COUNT(openings)};
    const record got =
        cross(&building, (geometry_place){1.5, 2, 1}, (geometry_place){1.5, 9, 1});
    static const size_t wanted[] = {0, 2};
    cr_expect(met_as_ruled(&got, 2, wanted), "met %zu", got.n);
}

/* A floor of 8 by 6 m with a stairwell of 2 by 1 m, and a triangle beside it. */
static const geometry_point outline[] = {
    {0, 0},  {8, 0},  {8, 6},  {0, 6}, /* the floor */
    {5, 3},  {5, 2},  {3, 2},  {3, 3}, /* the stairwell, the other way round */
    {10, 0}, {14, 0}, {10, 4},         /* the triangle */
};
static const geometry_ring rings[] = {
    {.first_point = 0, .n_points = 4},
    {.first_point = 4, .n_points = 4, .hole = true},
    {.first_point = 8, .n_points = 3},
};
static const geometry_floor floors[] = {
    {.z_m = 3.0, .first_ring = 0, .n_rings = COUNT(rings)},
    {.z_m = 6.0},
};
static const geometry_building storeys = {.floors = floors,
                                          .n_floors = COUNT(floors),
                                          .rings = rings,
                                          .n_rings = COUNT(rings),
                                          .points = outline,
                                          .n_points = COUNT(outline)};

static const struct {
    double x_m, y_m;
    bool on;
} spots[] = {
    {1, 1, true},
    {9, 1, false},
    {-1, 1, false},
    {1, -1, false},
    {1, 7, false},
    {4, 2.5, false},
    {4, 3.5, true},
    {11, 1, true},
    {13, 3, false},
    /* edges and corners: lower and left belong to a ring, upper and right do not */
    {0, 1, true},
    {8, 1, false},
    {1, 0, true},
    {1, 6, false},
    {0, 0, true},
    {8, 0, false},
    {0, 6, false},
    {8, 6, false},
    {3, 2.5, false},
    {5, 2.5, true},
    {4, 2, false},
    {4, 3, true},
    {3, 2, false},
    {5, 3, true},
    {12, 2, false},
    {10, 2, true},
    /* level with corners, not on them */
    {2, 2, true},
    {6, 3, true},
    {-1, 0, false},
    {-1, 6, false},
};

Test(cross, points_on_a_floor_by_hand) {
    for (size_t i = 0; i < COUNT(spots); i++) {
        const geometry_point at = {spots[i].x_m, spots[i].y_m};
        cr_expect(geometry_on_floor(&storeys, 0, at) == spots[i].on, "(%g, %g)", at.x_m,
                  at.y_m);
        cr_expect(geometry_on_floor(&storeys, 1, at), "no outline reaches everywhere");
    }
}

/* Straight up through each spot: the outlined floor if the spot is on it, then the other. */
Test(cross, floors_with_holes_by_hand) {
    for (size_t i = 0; i < COUNT(spots); i++) {
        const geometry_place low = {spots[i].x_m, spots[i].y_m, 1.0};
        const geometry_place high = {spots[i].x_m, spots[i].y_m, 7.0};
        const record got = cross(&storeys, high, low);
        cr_expect(got.n == (spots[i].on ? 2u : 1u), "(%g, %g): met %zu", low.x_m, low.y_m,
                  got.n);
        for (size_t j = 0; j < got.n; j++) {
            const size_t floor = j + (spots[i].on ? 0 : 1);
            const geometry_crossing wanted = {.kind = GEOMETRY_FLOOR,
                                              .index = floor,
                                              .x_m = low.x_m,
                                              .y_m = low.y_m,
                                              .z_m = floors[floor].z_m};
            cr_expect(same_crossing(&got.met[j], &wanted), "(%g, %g)", low.x_m, low.y_m);
        }
    }
}

static const struct {
    const char *what;
    double from_m, to_m;
    size_t n_met;
} climbs[] = {
    {"below both", 0, 2.9, 0},        {"through one", 2, 4, 1},
    {"through both", 2, 7, 2},        {"up to a floor", 2, 3, 1},
    {"from a floor upward", 3, 5, 0}, {"from floor to floor", 3, 6, 1},
    {"along a floor", 3, 3, 0},       {"above both", 6, 9, 0},
};

Test(cross, floor_heights_by_hand) {
    for (size_t i = 0; i < COUNT(climbs); i++) {
        const geometry_place from = {1, 1, climbs[i].from_m}, to = {2, 1, climbs[i].to_m};
        const record forth = cross(&storeys, from, to), back = cross(&storeys, to, from);
        cr_expect(forth.n == climbs[i].n_met, "%s: met %zu", climbs[i].what, forth.n);
        cr_expect(same_record(&forth, &back), "%s, back", climbs[i].what);
    }
}

/* A third of the way along 1 m is between two steps of the grid: 2,730.67 steps, so 2,731. */
Test(cross, floor_meeting_points_are_on_the_grid) {
    const record got = cross(&storeys, (geometry_place){1, 1, 2}, (geometry_place){2, 1, 5});
    cr_assert(got.n == 1);
    cr_expect(got.met[0].x_m == 1.0 + 2731.0 / 8192.0 && got.met[0].y_m == 1.0 &&
                  got.met[0].z_m == 3.0,
              "at (%.17g, %.17g, %.17g)", got.met[0].x_m, got.met[0].y_m, got.met[0].z_m);
}

/* Panels come before floors, and a floor's outline does not hold up a wall. */
Test(cross, panels_come_before_floors) {
    const geometry_panel wall = {.a = {0, 3.5}, .b = {8, 3.5}, .bottom_m = 0, .top_m = 9};
    geometry_building building = storeys;
    building.panels = &wall;
    building.n_panels = 1;
    const record got = cross(&building, (geometry_place){1, 1, 1}, (geometry_place){1, 5, 8});
    cr_assert(got.n == 3, "met %zu", got.n);
    cr_expect(got.met[0].kind == GEOMETRY_PANEL && got.met[1].kind == GEOMETRY_FLOOR &&
              got.met[1].index == 0 && got.met[2].index == 1);
}

/* ---- families of ties ---- */

static geometry_point step_from(geometry_point at, int times, int dx, int dy) {
    return (geometry_point){at.x_m + GEOMETRY_STEP_M * times * dx,
                            at.y_m + GEOMETRY_STEP_M * times * dy};
}

static geometry_place at_height(geometry_point at, double z_m) {
    return (geometry_place){at.x_m, at.y_m, z_m};
}

static geometry_panel full_wall(geometry_point a, geometry_point b) {
    return (geometry_panel){.a = a, .b = b, .bottom_m = 0.0, .top_m = 2.0};
}

/* A joint anywhere on the grid, two walls in line that meet there, a path through it. */
Test(cross, a_path_through_a_joint_in_line_crosses_one_wall) {
    gsl_rng *generator = new_generator(5);
    for (int i = 0; i < 50000; i++) {
        const geometry_point joint = {GEOMETRY_STEP_M * draw(generator, -99999, 99999),
                                      GEOMETRY_STEP_M * draw(generator, -99999, 99999)};
        const int wx = draw(generator, -99, 99), wy = draw(generator, -99, 99);
        const int px = draw(generator, -99, 99), py = draw(generator, -99, 99);
        if (wx * py == wy * px) {
            continue; /* in line with the walls */
        }
        const geometry_panel walls[] = {
            full_wall(step_from(joint, -draw(generator, 1, 999), wx, wy), joint),
            full_wall(step_from(joint, draw(generator, 1, 999), wx, wy), joint)};
        const geometry_building building = {.panels = walls, .n_panels = 2};
        const geometry_point a = step_from(joint, -draw(generator, 1, 999), px, py);
        const geometry_point b = step_from(joint, draw(generator, 1, 999), px, py);
        const record got = cross(&building, at_height(a, 1.0), at_height(b, 1.0));
        cr_expect(got.n == 1, "draw %d: met %zu", i, got.n);

        /* The two halves of the path cross the walls once between them, too. */
        const size_t n_halves = cross(&building, at_height(a, 1.0), at_height(joint, 1.0)).n +
                                cross(&building, at_height(joint, 1.0), at_height(b, 1.0)).n;
        const geometry_panel whole = full_wall(walls[0].a, walls[1].a);
        const geometry_building uncut = {.panels = &whole, .n_panels = 1};
        const size_t n_halves_uncut =
            cross(&uncut, at_height(a, 1.0), at_height(joint, 1.0)).n +
            cross(&uncut, at_height(joint, 1.0), at_height(b, 1.0)).n;
        cr_expect(n_halves == 1 && n_halves_uncut == 1, "draw %d: halves met %zu and %zu", i,
                  n_halves, n_halves_uncut);
    }
    gsl_rng_free(generator);
}

Test(cross, a_path_along_a_wall_crosses_nothing) {
    gsl_rng *generator = new_generator(6);
    for (int i = 0; i < 50000; i++) {
        const geometry_point origin = {GEOMETRY_STEP_M * draw(generator, -99999, 99999),
                                       GEOMETRY_STEP_M * draw(generator, -99999, 99999)};
        const int dx = draw(generator, -99, 99), dy = draw(generator, -99, 99);
        const geometry_panel wall =
            full_wall(step_from(origin, draw(generator, -999, 999), dx, dy),
                      step_from(origin, draw(generator, -999, 999), dx, dy));
        const geometry_building building = {.panels = &wall, .n_panels = 1};
        const geometry_point a = step_from(origin, draw(generator, -999, 999), dx, dy);
        const geometry_point b = step_from(origin, draw(generator, -999, 999), dx, dy);
        cr_expect(cross(&building, at_height(a, 1.0), at_height(b, 1.0)).n == 0, "draw %d", i);
    }
    gsl_rng_free(generator);
}

/* A closed ring of walls on whole meters, which crosses itself as it likes, is also the outline
 * of a floor. Paths run through a corner of it; their ends lie at quarter meters and an odd
 * step, where no line between whole meters of this square passes. The ring must be crossed an
 * odd number of times when one end alone is on the floor. */
Test(cross, a_ring_of_walls_parts_inside_from_outside) {
    gsl_rng *generator = new_generator(7);
    size_t n_odd = 0, n_through_corners = 0;
    for (int i = 0; i < 20000; i++) {
        geometry_point corners[9];
        geometry_panel walls[9];
        for (size_t j = 0; j < 9; j++) {
            corners[j] = (geometry_point){draw(generator, 0, 6), draw(generator, 0, 6)};
        }
        for (size_t j = 0; j < 9; j++) {
            walls[j] = full_wall(corners[j], corners[(j + 1) % 9]);
        }
        const geometry_ring ring = {.n_points = 9};
        const geometry_floor floor = {.z_m = 9.0, .n_rings = 1};
        const geometry_building building = {.panels = walls,
                                            .n_panels = 9,
                                            .floors = &floor,
                                            .n_floors = 1,
                                            .rings = &ring,
                                            .n_rings = 1,
                                            .points = corners,
                                            .n_points = 9};
        const geometry_point through = corners[draw(generator, 0, 8)];
        const double dx_m = draw(generator, -8, 7) + 0.25 + GEOMETRY_STEP_M;
        const double dy_m = draw(generator, -8, 7) + 0.75 - 2.0 * GEOMETRY_STEP_M;
        const geometry_point a = {through.x_m - dx_m, through.y_m - dy_m};
        const geometry_point b = {through.x_m + dx_m, through.y_m + dy_m};
        const bool parted =
            geometry_on_floor(&building, 0, a) != geometry_on_floor(&building, 0, b);
        const record got = cross(&building, at_height(a, 1.0), at_height(b, 1.0));
        cr_expect((got.n % 2 == 1) == parted, "draw %d: met %zu", i, got.n);
        n_odd += parted;
        n_through_corners += geometry_side(a, b, through) == 0.0;
    }
    cr_expect(n_odd > 500 && n_through_corners == 20000, "%zu odd, %zu through corners", n_odd,
              n_through_corners);
    gsl_rng_free(generator);
}

/* ---- a building where everything is a tie ---- */

enum { N_PANELS = 150, N_OPENINGS = 2 * N_PANELS, N_FLOORS = 4, N_RINGS = 8, N_POINTS = 40 };

typedef struct own_building {
    geometry_panel panels[N_PANELS];
    geometry_opening openings[N_OPENINGS];
    geometry_floor floors[N_FLOORS];
    geometry_ring rings[N_RINGS];
    geometry_point points[N_POINTS];
} own_building;

static geometry_building as_building(const own_building *own) {
    return (geometry_building){.panels = own->panels,
                               .n_panels = N_PANELS,
                               .openings = own->openings,
                               .n_openings = N_OPENINGS,
                               .floors = own->floors,
                               .n_floors = N_FLOORS,
                               .rings = own->rings,
                               .n_rings = N_RINGS,
                               .points = own->points,
                               .n_points = N_POINTS};
}

static geometry_point draw_half_meters(gsl_rng *generator, int reach_m) {
    const int x = draw(generator, 0, 2 * reach_m);
    return (geometry_point){x / 2.0, draw(generator, 0, 2 * reach_m) / 2.0};
}

static geometry_point between(geometry_point a, geometry_point b, double share) {
    return (geometry_point){geometry_snap(a.x_m + share * (b.x_m - a.x_m)),
                            geometry_snap(a.y_m + share * (b.y_m - a.y_m))};
}

/* Walls and outlines in a square of 8 m, on whole and half meters in all three directions. */
static void draw_building(gsl_rng *generator, own_building *own) {
    for (size_t i = 0; i < N_PANELS; i++) {
        const geometry_point a = draw_half_meters(generator, 8),
                             c = draw_half_meters(generator, 8);
        const int way = draw(generator, 0, 2);
        const geometry_point b = way == 0   ? (geometry_point){c.x_m, a.y_m}
                                 : way == 1 ? (geometry_point){a.x_m, c.y_m}
                                            : c;
        const double bottom_m = draw(generator, 0, 8) / 2.0;
        own->panels[i] = (geometry_panel){.a = a,
                                          .b = b,
                                          .bottom_m = bottom_m,
                                          .top_m = bottom_m + draw(generator, 1, 6) / 2.0,
                                          .first_opening = 2 * i,
                                          .n_openings = 2};
        for (size_t j = 0; j < 2; j++) {
            own->openings[2 * i + j] =
                (geometry_opening){.a = between(a, b, draw(generator, 0, 4) / 4.0),
                                   .b = between(a, b, draw(generator, 0, 4) / 4.0),
                                   .bottom_m = bottom_m,
                                   .top_m = bottom_m + draw(generator, 1, 4) / 2.0};
        }
    }
    for (size_t i = 0; i < N_POINTS; i++) {
        own->points[i] = draw_half_meters(generator, 8);
    }
    for (size_t i = 0; i < N_RINGS; i++) {
        own->rings[i] =
            (geometry_ring){.first_point = 5 * i, .n_points = 5, .hole = i % 2 == 1};
    }
    for (size_t i = 0; i < N_FLOORS; i++) {
        own->floors[i] =
            (geometry_floor){.z_m = 1.5 * (double)i, .first_ring = 2 * i, .n_rings = 2};
    }
}

static void swap_points(geometry_point *a, geometry_point *b) {
    const geometry_point kept = *a;
    *a = *b;
    *b = kept;
}

/* The same building, everything drawn from its other end. */
static void turn_building(own_building *own) {
    for (size_t i = 0; i < N_PANELS; i++) {
        swap_points(&own->panels[i].a, &own->panels[i].b);
    }
    for (size_t i = 0; i < N_OPENINGS; i++) {
        swap_points(&own->openings[i].a, &own->openings[i].b);
    }
    for (size_t i = 0; i < N_RINGS; i++) {
        swap_points(&own->points[5 * i], &own->points[5 * i + 4]);
        swap_points(&own->points[5 * i + 1], &own->points[5 * i + 3]);
    }
}

static size_t count_ties(const own_building *own, geometry_place from, geometry_place to) {
    const geometry_point a = {from.x_m, from.y_m}, b = {to.x_m, to.y_m};
    size_t n = 0;
    for (size_t i = 0; i < N_PANELS; i++) {
        const geometry_panel *panel = &own->panels[i];
        n += geometry_side(a, b, panel->a) == 0.0 || geometry_side(a, b, panel->b) == 0.0 ||
             geometry_side(panel->a, panel->b, a) == 0.0 ||
             geometry_side(panel->a, panel->b, b) == 0.0;
    }
    return n;
}

Test(cross, swapping_any_ends_changes_no_bit) {
    gsl_rng *generator = new_generator(8);
    static own_building own, turned;
    draw_building(generator, &own);
    turned = own;
    turn_building(&turned);
    const geometry_building building = as_building(&own), twin = as_building(&turned);
    size_t n_met = 0, n_ties = 0, n_of_kind[3] = {0};
    for (int i = 0; i < 100000; i++) {
        const geometry_place from =
            at_height(draw_half_meters(generator, 8), draw(generator, 0, 14) / 2.0);
        const geometry_place to =
            at_height(draw_half_meters(generator, 8), draw(generator, 0, 14) / 2.0);
        const record forth = cross(&building, from, to), back = cross(&building, to, from);
        const record in_twin = cross(&twin, from, to);
        cr_expect(same_record(&forth, &back), "draw %d: met %zu and %zu", i, forth.n, back.n);
        cr_expect(same_record(&forth, &in_twin), "draw %d: met %zu, in the twin %zu", i,
                  forth.n, in_twin.n);
        n_met += forth.n;
        n_ties += count_ties(&own, from, to);
        for (size_t j = 0; j < forth.n; j++) {
            n_of_kind[forth.met[j].kind]++;
        }
    }
    cr_expect(n_ties > 1000000 && n_of_kind[GEOMETRY_PANEL] > 100000 &&
                  n_of_kind[GEOMETRY_OPENING] > 100000 && n_of_kind[GEOMETRY_FLOOR] > 10000,
              "%zu ties, %zu crossings: the test has lost its point", n_ties, n_met);
    gsl_rng_free(generator);
}

/* ---- away from ties, by solving the equations ---- */

/* What the equations say; `close` when some quantity is too near a tie for them to say it. */
typedef struct verdict {
    bool met, close;
    long double x_m, y_m, z_m;
} verdict;

static bool is_near(long double value, long double edge, long double width) {
    return fabsl(value - edge) < width;
}

/* The path at share t meets the panel at share u of its own length: Cramer's rule. */
static verdict solve(const geometry_panel *panel, geometry_place from, geometry_place to,
                     long double *u) {
    const long double dx = (long double)to.x_m - from.x_m, dy = (long double)to.y_m - from.y_m;
    const long double ex = (long double)panel->b.x_m - panel->a.x_m;
    const long double ey = (long double)panel->b.y_m - panel->a.y_m;
    const long double rx = (long double)panel->a.x_m - from.x_m;
    const long double ry = (long double)panel->a.y_m - from.y_m;
    const long double whole = dx * ey - dy * ex;
    if (whole == 0.0L) {
        return (verdict){.met = false}; /* in line or beside each other, never across */
    }
    const long double t = (rx * ey - ry * ex) / whole;
    *u = (rx * dy - ry * dx) / whole;
    const long double z_m = from.z_m + t * ((long double)to.z_m - from.z_m);
    const long double width = 1e-9L;
    return (verdict){.met = 0.0L < t && t < 1.0L && 0.0L < *u && *u < 1.0L &&
                            panel->bottom_m < z_m && z_m < panel->top_m,
                     .close = is_near(t, 0, width) || is_near(t, 1, width) ||
                              is_near(*u, 0, width) || is_near(*u, 1, width) ||
                              is_near(z_m, panel->bottom_m, width) ||
                              is_near(z_m, panel->top_m, width),
                     .x_m = from.x_m + t * dx,
                     .y_m = from.y_m + t * dy,
                     .z_m = z_m};
}

/* Even-odd along +y, where in_ring looks along +x. */
static bool oracle_in_ring(const geometry_point *points, size_t n, long double x, long double y,
                           bool *close) {
    bool inside = false;
    for (size_t i = 0; i < n; i++) {
        const geometry_point a = points[i], b = points[(i + 1) % n];
        const long double ex = (long double)b.x_m - a.x_m, ey = (long double)b.y_m - a.y_m;
        const long double length = hypotl(ex, ey);
        const long double off =
            length == 0.0L ? 0.0L : (ex * (y - a.y_m) - ey * (x - a.x_m)) / length;
        const bool beside_x =
            x > fmaxl(a.x_m, b.x_m) + 1e-3L || x < fminl(a.x_m, b.x_m) - 1e-3L;
        const bool beside_y =
            y > fmaxl(a.y_m, b.y_m) + 1e-3L || y < fminl(a.y_m, b.y_m) - 1e-3L;
        *close |= (fabsl(off) < 1e-3L && !beside_x && !beside_y) || is_near(x, a.x_m, 1e-9L);
        if ((a.x_m < x) != (b.x_m < x) && a.y_m + (x - a.x_m) / ex * ey > y) {
            inside = !inside;
        }
    }
    return inside;
}

static verdict solve_floor(const own_building *own, size_t floor, geometry_place from,
                           geometry_place to) {
    const geometry_floor *level = &own->floors[floor];
    if ((from.z_m < level->z_m) == (to.z_m < level->z_m)) {
        return (verdict){.met = false};
    }
    const long double t =
        ((long double)level->z_m - from.z_m) / ((long double)to.z_m - from.z_m);
    verdict found = {.x_m = from.x_m + t * ((long double)to.x_m - from.x_m),
                     .y_m = from.y_m + t * ((long double)to.y_m - from.y_m),
                     .z_m = level->z_m};
    bool outer = false, hole = false;
    for (size_t i = level->first_ring; i < level->first_ring + level->n_rings; i++) {
        const geometry_ring *ring = &own->rings[i];
        const bool in = oracle_in_ring(own->points + ring->first_point, ring->n_points,
                                       found.x_m, found.y_m, &found.close);
        outer |= in && !ring->hole;
        hole |= in && ring->hole;
    }
    found.met = outer && !hole;
    return found;
}

/* Any place of the grid within 8 m, at any height. */
static geometry_place draw_place(gsl_rng *generator) {
    const double x_m = GEOMETRY_STEP_M * draw(generator, 0, 65536);
    const double y_m = GEOMETRY_STEP_M * draw(generator, 0, 65536);
    return (geometry_place){x_m, y_m, 7.0 * gsl_rng_uniform(generator)};
}

/* Openings of a panel by its own length: the first in which the share u and the height fall. */
static size_t solve_opening(const own_building *own, const geometry_panel *panel,
                            const verdict *found, geometry_place from, geometry_place to,
                            long double u, bool *close) {
    const long double ex = (long double)panel->b.x_m - panel->a.x_m;
    const long double ey = (long double)panel->b.y_m - panel->a.y_m;
    const long double length = hypotl(ex, ey);
    const long double dx = (long double)to.x_m - from.x_m, dy = (long double)to.y_m - from.y_m;
    /* An end off the wall by a step moves along it by 1 / sine of the angle to the path. */
    const long double sine = fabsl(dx * ey - dy * ex) / hypotl(dx, dy) / length;
    const long double width = 2.0L * GEOMETRY_STEP_M / sine / length;
    size_t first = N_OPENINGS;
    for (size_t i = panel->first_opening; i < panel->first_opening + panel->n_openings; i++) {
        const geometry_opening *opening = &own->openings[i];
        const long double p =
            ((opening->a.x_m - panel->a.x_m) * ex + (opening->a.y_m - panel->a.y_m) * ey) /
            (length * length);
        const long double q =
            ((opening->b.x_m - panel->a.x_m) * ex + (opening->b.y_m - panel->a.y_m) * ey) /
            (length * length);
        *close |= is_near(u, p, width) || is_near(u, q, width) ||
                  is_near(found->z_m, opening->top_m, 1e-9L);
        const bool in = fminl(p, q) < u && u < fmaxl(p, q) && found->z_m < opening->top_m &&
                        opening->bottom_m < found->z_m;
        if (in && first == N_OPENINGS) {
            first = i;
        }
    }
    return first;
}

static void append(record *all, enum geometry_kind kind, size_t index, size_t panel,
                   const verdict *found) {
    const geometry_crossing crossing = {.kind = kind,
                                        .index = index,
                                        .panel = panel,
                                        .x_m = (double)found->x_m,
                                        .y_m = (double)found->y_m,
                                        .z_m = (double)found->z_m};
    note(all, &crossing);
}

static record solve_all(const own_building *own, geometry_place from, geometry_place to,
                        bool *close) {
    record all = {0};
    for (size_t i = 0; i < N_PANELS; i++) {
        long double u = 0.0L;
        const verdict found = solve(&own->panels[i], from, to, &u);
        *close |= found.close;
        if (found.met) {
            const size_t opening =
                solve_opening(own, &own->panels[i], &found, from, to, u, close);
            const bool open = opening != N_OPENINGS;
            append(&all, open ? GEOMETRY_OPENING : GEOMETRY_PANEL, open ? opening : i, i,
                   &found);
        }
    }
    for (size_t i = 0; i < N_FLOORS; i++) {
        const verdict found = solve_floor(own, i, from, to);
        *close |= found.close;
        if (found.met) {
            append(&all, GEOMETRY_FLOOR, i, 0, &found);
        }
    }
    return all;
}

/* Places agree to 1e-9 m, those on floors to half a grid step. */
static bool agree(const record *got, const record *wanted) {
    if (got->n != wanted->n) {
        return false;
    }
    for (size_t i = 0; i < got->n; i++) {
        const geometry_crossing *a = &got->met[i], *b = &wanted->met[i];
        const double width = 1e-9 + (a->kind == GEOMETRY_FLOOR ? GEOMETRY_STEP_M / 2.0 : 0.0);
        if (a->kind != b->kind || a->index != b->index || a->panel != b->panel ||
            !is_near(a->x_m, b->x_m, width) || !is_near(a->y_m, b->y_m, width) ||
            !is_near(a->z_m, b->z_m, 1e-9)) {
            return false;
        }
    }
    return true;
}

Test(cross, away_from_ties_the_equations_agree) {
    gsl_rng *generator = new_generator(9);
    static own_building own;
    size_t n_compared = 0, n_met = 0;
    const int n_draws = 20000;
    for (int i = 0; i < n_draws; i++) {
        if (i % 1000 == 0) {
            draw_building(generator, &own);
        }
        const geometry_building building = as_building(&own);
        const geometry_place from = draw_place(generator), to = draw_place(generator);
        bool close = false;
        const record wanted = solve_all(&own, from, to, &close);
        if (close) {
            continue;
        }
        const record got = cross(&building, from, to);
        cr_expect(agree(&got, &wanted), "draw %d: wanted %zu, met %zu", i, wanted.n, got.n);
        n_compared++;
        n_met += wanted.n;
    }
    cr_expect(n_compared > (size_t)n_draws * 9 / 10 && n_met > n_compared,
              "%zu paths compared, %zu crossings: the test has lost its point", n_compared,
              n_met);
    gsl_rng_free(generator);
}
