/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_free_space.c - first meter and distance against ITU-R P.525. */
#include "engine.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>

Test(free_space, published_values) {
    vectors *rows = vectors_read("free_space_loss.csv");
    cr_assert_geq(vectors_n_rows(rows), 20);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        double freq_mhz = vectors_number(rows, i, "freq_mhz");
        double distance_m = vectors_number(rows, i, "distance_m");
        double loss_db = engine_first_meter_db(freq_mhz) + engine_distance_db(2, distance_m);
        cr_expect_float_eq(loss_db, vectors_number(rows, i, "loss_exact_db"),
                           vectors_number(rows, i, "tol_db"), "%g MHz, %g m: %s", freq_mhz,
                           distance_m, vectors_text(rows, i, "source"));
        /* the rounded form, 32.4 + 20 log f + 20 log d_km, is 0.05 dB low (same source) */
        cr_expect_float_eq(loss_db - vectors_number(rows, i, "loss_rounded_db"), 0.0478, 5e-5);
    }
    vectors_free(rows);
}

Test(free_space, under_a_meter_counts_as_a_meter) {
    cr_expect_eq(engine_distance_db(2.5, 0), 0);
    cr_expect_eq(engine_distance_db(2.5, 0.3), 0);
    cr_expect_eq(engine_distance_db(2.5, 1), 0);
    cr_expect_float_eq(engine_distance_db(2.5, 10), 25, 1e-12);
}
