/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_index.c - by the index as by the plain loop: the same panels, openings and floors, in
 * the same order, at the same places to the last bit, whatever is tied.
 */
#include "building.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 4096 };

struct list {
    size_t n;
    geometry_crossing met[MOST];
};

static void meet(void *who, const geometry_crossing *crossing) {
    struct list *list = who;
    if (list->n < MOST)
        list->met[list->n] = *crossing;
    list->n++;
}

static bool same(const struct list *a, const struct list *b) {
    if (a->n != b->n || a->n > MOST)
        return false;
    for (size_t i = 0; i < a->n; i++) {
        const geometry_crossing *one = &a->met[i], *other = &b->met[i];
        if (one->kind != other->kind || one->index != other->index || one->x_m != other->x_m ||
            one->y_m != other->y_m || one->z_m != other->z_m ||
            (one->kind != GEOMETRY_FLOOR && one->panel != other->panel))
            return false;
    }
    return true;
}

static struct list by_loop, by_index;

static size_t compare(const geometry_building *building, const geometry_index *index,
                      geometry_place from, geometry_place to) {
    by_loop.n = by_index.n = 0;
    geometry_cross(building, from, to, meet, &by_loop);
    geometry_index_cross(index, from, to, meet, &by_index);
    cr_assert(same(&by_loop, &by_index),
              "from %.17g %.17g %.17g to %.17g %.17g %.17g: %zu by loop, %zu by index",
              from.x_m, from.y_m, from.z_m, to.x_m, to.y_m, to.z_m, by_loop.n, by_index.n);
    return by_loop.n;
}

static const building_plan plans[] = {
    {.n_panels = 8, .n_storeys = 1, .seed = 3},
    {.n_panels = 40, .n_storeys = 2, .seed = 4},
    {.n_panels = 400, .n_storeys = 3, .turned_rad = 0.3, .seed = 5},
    {.n_panels = 400, .n_storeys = 3, .ties = true, .seed = 6},
    {.n_panels = 1500, .n_storeys = 5, .turned_rad = 0.7853981633974483, .seed = 7},
    {.n_panels = 1500, .n_storeys = 2, .ties = true, .seed = 8},
};

Test(index, random_paths) {
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        building made = building_make(&plans[i]);
        geometry_index *index = geometry_index_build(&made.geometry);
        uint32_t random = 11;
        size_t n_met = 0;
        cr_assert_not_null(index);
        for (int path = 0; path < 4000; path++) {
            geometry_place from = building_place(&made, &random);
            geometry_place to = building_place(&made, &random);
            if (path % 4 == 0) /* level, as in one storey */
                to.z_m = from.z_m;
            if (path % 7 == 0) /* along x, along y, upright */
                to.y_m = from.y_m;
            if (path % 11 == 0)
                to.x_m = from.x_m;
            n_met += compare(&made.geometry, index, from, to);
        }
        cr_expect_gt(n_met, 4000, "hardly anything was met in plan %zu", i);
        geometry_index_free(index);
        building_free(&made);
    }
}

/* From the ends of walls to the ends of walls: every path begins and ends at a tie. */
Test(index, from_joint_to_joint) {
    building made = building_make(&plans[3]);
    geometry_index *index = geometry_index_build(&made.geometry);
    const geometry_panel *panels = made.geometry.panels;
    uint32_t random = 12;
    for (int path = 0; path < 20000; path++) {
        const geometry_panel *one = &panels[building_random(&random) % made.geometry.n_panels];
        const geometry_panel *other =
            &panels[building_random(&random) % made.geometry.n_panels];
        compare(&made.geometry, index, (geometry_place){one->a.x_m, one->a.y_m, one->bottom_m},
                (geometry_place){other->b.x_m, other->b.y_m,
                                 path % 2 ? other->top_m : other->bottom_m});
    }
    geometry_index_free(index);
    building_free(&made);
}

/* Two thousand walls side by side, and each of a height of its own: more than there is room
 * for, and more heights than there are grids. */
Test(index, more_than_it_has_room_for) {
    enum { N = 2000 };
    static geometry_panel panels[N];
    for (int i = 0; i < N; i++)
        panels[i] = (geometry_panel){.a = {i * 0.5 - 500, -100},
                                     .b = {i * 0.5 - 500, 100},
                                     .top_m = 2 + (i % 50) * 0.125};
    const geometry_building building = {.panels = panels, .n_panels = N};
    geometry_index *index = geometry_index_build(&building);
    cr_assert_not_null(index);
    cr_expect_eq(
        compare(&building, index, (geometry_place){-600, 3, 1}, (geometry_place){600, -7, 1}),
        N);
    cr_expect_eq(
        compare(&building, index, (geometry_place){-600, 3, 9}, (geometry_place){600, -7, 9}),
        0);
    cr_expect_gt(
        compare(&building, index, (geometry_place){-600, 99, 0}, (geometry_place){600, -99, 9}),
        N / 2);
    uint32_t random = 14;
    for (int path = 0; path < 4000; path++) { /* short enough for the index */
        double x_m = geometry_snap(building_between(&random, -500, 460));
        compare(&building, index, (geometry_place){x_m, 3, building_between(&random, 0, 9)},
                (geometry_place){x_m + 40, 5, building_between(&random, 0, 9)});
    }
    geometry_index_free(index);
}

Test(index, nothing_to_find) {
    const geometry_building empty = {.n_panels = 0};
    geometry_index *index = geometry_index_build(&empty);
    cr_assert_not_null(index);
    cr_expect_eq(compare(&empty, index, (geometry_place){0, 0, 0}, (geometry_place){5, 5, 5}),
                 0);
    geometry_index_free(index);
    geometry_index_free(NULL);
}

/* Far out, where coordinates have no bits to spare. */
Test(index, at_the_edge_of_the_plan) {
    geometry_panel panels[64];
    for (int i = 0; i < 64; i++) {
        double x_m = i % 2 ? 2048 - GEOMETRY_STEP_M * i : -2048 + GEOMETRY_STEP_M * i;
        panels[i] = (geometry_panel){.a = {x_m, -2048}, .b = {-x_m, 2048}, .top_m = 3};
    }
    const geometry_building building = {.panels = panels, .n_panels = 64};
    geometry_index *index = geometry_index_build(&building);
    uint32_t random = 13;
    for (int path = 0; path < 20000; path++) {
        geometry_place from = {geometry_snap(building_between(&random, -2048, 2048)),
                               geometry_snap(building_between(&random, -2048, 2048)), 1};
        geometry_place to = {path % 2 ? 2048 : -2048,
                             geometry_snap(building_between(&random, -2048, 2048)), 1};
        compare(&building, index, from, to);
    }
    geometry_index_free(index);
}
