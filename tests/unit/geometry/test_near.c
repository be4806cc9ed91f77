/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_near.c - distances from segments and shared lengths, against right triangles (3-4-5,
 * 5-12-13) worked out by hand.
 */
#include "geometry.h"

#include <criterion/criterion.h>
#include <math.h>

static const struct {
    geometry_point point, a, b;
    double off_m;
} offs[] = {
    {{3, 4}, {0, 0}, {10, 0}, 4},    /* foot inside */
    {{-3, 4}, {0, 0}, {10, 0}, 5},   /* beyond a: 3-4-5 */
    {{15, 12}, {0, 0}, {10, 0}, 13}, /* beyond b: 5-12-13 */
    {{5, 0}, {0, 0}, {10, 0}, 0},    /* on it */
    {{4, -3},
     {0, 0},
     {8, 6},
     4.8},                       /* area of the triangle 0, b, point: 24; twice that over 10 */
    {{3, 4}, {0, 0}, {0, 0}, 5}, /* a segment without length is a point */
};

Test(near, off_segment) {
    for (size_t i = 0; i < sizeof offs / sizeof *offs; i++) {
        double there = geometry_off_segment(offs[i].point, offs[i].a, offs[i].b);
        double back = geometry_off_segment(offs[i].point, offs[i].b, offs[i].a);
        cr_expect_float_eq(there, offs[i].off_m, 1e-12, "row %zu: %g", i, there);
        cr_expect_float_eq(back, offs[i].off_m, 1e-12, "row %zu, swapped: %g", i, back);
    }
}

static const struct {
    geometry_point a, b, c, d;
    double off_m, shared_m;
} shares[] = {
    {{0, 0}, {10, 0}, {4, 0}, {7, 0}, 0.002, 3},     /* inside */
    {{0, 0}, {10, 0}, {7, 0}, {4, 0}, 0.002, 3},     /* the other way round */
    {{0, 0}, {10, 0}, {-5, 0}, {2, 0}, 0.002, 2},    /* over one end */
    {{0, 0}, {10, 0}, {-5, 0}, {20, 0}, 0.002, 10},  /* over both */
    {{0, 0}, {10, 0}, {12, 0}, {20, 0}, 0.002, 0},   /* in line, apart */
    {{0, 0}, {10, 0}, {10, 0}, {20, 0}, 0.002, 0},   /* end to end */
    {{0, 0}, {10, 0}, {4, 0.5}, {7, 0.5}, 0.002, 0}, /* beside it */
    {{0, 0}, {10, 0}, {4, 0}, {4, 3}, 0.002, 0},     /* across */
    {{0, 0}, {6, 8}, {3, 4}, {9, 12}, 0.002, 5},     /* slanting, 3-4-5 */
};

Test(near, shared_length) {
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        double shared = geometry_shared_m(shares[i].a, shares[i].b, shares[i].c, shares[i].d,
                                          shares[i].off_m);
        cr_expect_float_eq(shared, shares[i].shared_m, 1e-12, "row %zu: %g", i, shared);
    }
    geometry_point o = {0, 0};
    cr_expect_eq(geometry_shared_m(o, o, (geometry_point){1, 1}, (geometry_point){2, 2}, 0.1),
                 0);
}
