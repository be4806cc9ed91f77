/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_fan.c - from one place to many, as by the plain loop: the same things in the same order
 * at the same places to the last bit, from anywhere, on walls and their ends too.
 */
#include "building.h"
#include "shortage.h"

#include <criterion/criterion.h>
#include <string.h>

/* All that was met, in order, in one number that is the same only for the same list. */
static void add(void *who, const geometry_crossing *crossing) {
    double *sum = who;
    *sum = *sum * 0.75 + (double)crossing->index + 4096 * (double)crossing->kind +
           crossing->x_m + crossing->y_m + crossing->z_m + 1;
}

static size_t compare(const geometry_building *building, const geometry_fan *fan,
                      geometry_place from, geometry_place to) {
    double by_loop = 0, by_fan = 0;
    geometry_cross(building, from, to, add, &by_loop);
    geometry_fan_cross(fan, to, add, &by_fan);
    cr_assert_eq(by_loop, by_fan, "from %.17g %.17g %.17g to %.17g %.17g %.17g", from.x_m,
                 from.y_m, from.z_m, to.x_m, to.y_m, to.z_m);
    return by_loop != 0;
}

static const building_plan plans[] = {
    {.n_panels = 8, .n_storeys = 1, .seed = 3},
    {.n_panels = 400, .n_storeys = 3, .turned_rad = 0.3, .seed = 5},
    {.n_panels = 400, .n_storeys = 3, .ties = true, .seed = 6},
    {.n_panels = 3000, .n_storeys = 2, .ties = true, .seed = 8},
};

static size_t look_around(const building *made, geometry_place fixed, uint32_t *random) {
    geometry_fan *fan = geometry_fan_build(&made->geometry, fixed, 0, made->high_m);
    size_t n_met = 0;
    cr_assert_not_null(fan);
    for (int path = 0; path < 400; path++) {
        geometry_place to = building_place(made, random);
        if (path % 5 == 0) /* along x, along y, upright */
            to.y_m = fixed.y_m;
        if (path % 7 == 0)
            to.x_m = fixed.x_m;
        if (path % 3 == 0)
            to.z_m = fixed.z_m;
        n_met += compare(&made->geometry, fan, fixed, to);
    }
    geometry_fan_free(fan);
    return n_met;
}

Test(fan, from_anywhere) {
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        building made = building_make(&plans[i]);
        uint32_t random = 31;
        size_t n_met = 0;
        for (int place = 0; place < 20; place++)
            n_met += look_around(&made, building_place(&made, &random), &random);
        cr_expect_gt(n_met, 2000, "plan %zu", i);
        building_free(&made);
    }
}

Test(fan, from_on_a_wall) {
    building made = building_make(&plans[2]);
    const geometry_panel *panels = made.geometry.panels;
    uint32_t random = 32;
    for (size_t i = 0; i < made.geometry.n_panels; i += 9) {
        geometry_place on_end = {panels[i].a.x_m, panels[i].a.y_m, panels[i].bottom_m};
        geometry_place within = {geometry_snap((panels[i].a.x_m + panels[i].b.x_m) / 2),
                                 geometry_snap((panels[i].a.y_m + panels[i].b.y_m) / 2),
                                 panels[i].bottom_m + 0.5};
        look_around(&made, on_end, &random);
        look_around(&made, within, &random);
    }
    building_free(&made);
}

Test(fan, heights_that_no_path_comes_to_are_left_out) {
    building made = building_make(&plans[1]);
    uint32_t random = 33;
    geometry_place fixed = building_place(&made, &random);
    fixed.z_m = 1.5;
    geometry_fan *fan = geometry_fan_build(&made.geometry, fixed, 0.5, 2.5);
    cr_assert_not_null(fan);
    for (int path = 0; path < 2000; path++) {
        geometry_place to = building_place(&made, &random);
        to.z_m = building_between(&random, 0.5, 2.5);
        compare(&made.geometry, fan, fixed, to);
    }
    geometry_fan_free(fan);
    building_free(&made);
}

Test(fan, out_of_memory) {
    building made = building_make(&plans[0]);
    geometry_fan *fan = NULL;
    geometry_index *index = NULL;
    long n = 0;
    for (; !fan; n++) {
        shortage_begin(n);
        fan = geometry_fan_build(&made.geometry, (geometry_place){1, 1, 1}, 0, 3);
        cr_assert_eq(shortage_end() == 0, fan != NULL);
    }
    cr_expect_geq(n, 5);
    for (n = 0; !index; n++) {
        shortage_begin(n);
        index = geometry_index_build(&made.geometry);
        cr_assert_eq(shortage_end() == 0, index != NULL);
    }
    cr_expect_geq(n, 2);
    geometry_fan_free(fan);
    geometry_fan_free(NULL);
    geometry_index_free(index);
    building_free(&made);
}
