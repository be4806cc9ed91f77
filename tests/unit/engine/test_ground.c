/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_ground.c - plane earth, by hand from the two-ray equation, both ends 1.5 m up.
 */
#include "engine.h"

#include <criterion/criterion.h>

/* (d^2 / 2.25)^2 as power: 100^4 at 150 m are 80 dB, 1,000^4 at 1,500 m are 120. */
Test(ground, plane_earth) {
    cr_expect_float_eq(engine_plane_earth_db(1.5), 0, 1e-12);
    cr_expect_float_eq(engine_plane_earth_db(150), 80, 1e-9);
    cr_expect_float_eq(engine_plane_earth_db(1500), 120, 1e-9);
}

/* 4 x 2.25 m^2 over a wave of 1 m is 9 m, over one of 0.345264 m (868.3 MHz) 26.067033 m. */
Test(ground, the_break) {
    cr_expect_float_eq(engine_break_m(299.792458), 9, 1e-9);
    cr_expect_float_eq(engine_break_m(868.3), 26.067033, 1e-5);
}

/* Only what goes beyond the loss so far, and only past the break. */
Test(ground, beyond_what_was_lost) {
    cr_expect_float_eq(engine_ground_db(868.3, 150, 74), 6, 1e-9);
    cr_expect_eq(engine_ground_db(868.3, 150, 81), 0);
    cr_expect_eq(engine_ground_db(868.3, 26, 0), 0);
    cr_expect_gt(engine_ground_db(868.3, 27, 0), 50);
}
