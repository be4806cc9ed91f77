/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_budget.c - thermal noise, needed power, and what a rated range is worth. */
#include "engine.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>

Test(budget, thermal_noise) {
    vectors *rows = vectors_read("thermal_noise.csv");
    cr_assert_geq(vectors_n_rows(rows), 10);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        survey_radio radio = {.sensitivity_dbm = NAN,
                              .bandwidth_khz = vectors_number(rows, i, "bandwidth_khz"),
                              .noise_figure_db = vectors_number(rows, i, "noise_figure_db"),
                              .snr_needed_db = 0};
        double noise_dbm = vectors_number(rows, i, "noise_floor_dbm");
        double tol_db = vectors_number(rows, i, "tol_db");
        cr_expect_float_eq(engine_needed_dbm(&radio), noise_dbm, tol_db, "%s",
                           vectors_text(rows, i, "source"));
        radio.snr_needed_db = 12;
        cr_expect_float_eq(engine_needed_dbm(&radio), noise_dbm + 12, tol_db);
        radio.sensitivity_dbm = -105;
        cr_expect_eq(engine_needed_dbm(&radio), -105, "a sensitivity wins");
    }
    vectors_free(rows);
}

/* By hand: free space at 1 m and 868.3 MHz is 31.221179 dB (ITU-R P.525, tests/vectors/
 * free_space_loss.csv), 20 log10 500 = 53.979400, together 85.200579; plane earth at 1.5 m
 * and 1.5 m is 40 log10 500 - 20 log10 2.25 = 107.958800 - 7.043650 = 100.915150 dB.
 * Middle 93.057865, width 15.714571, sd = width / sqrt 12 = 4.536406. */
Test(budget, rated_range) {
    engine_claim claim = engine_rated_range(868.3, 500);
    cr_expect_float_eq(claim.budget_db, 93.057865, 1e-6);
    cr_expect_float_eq(claim.sd_db, 4.536406, 1e-6);
}

/* Inside the distance where plane earth falls below free space, the claim is free space: at
 * 868.3 MHz and 1.5 m that is 4 pi 2.25 / 0.345 = 82 m. */
Test(budget, short_rated_range_is_free_space) {
    engine_claim claim = engine_rated_range(868.3, 50);
    cr_expect_float_eq(claim.budget_db, engine_first_meter_db(868.3) + 20 * log10(50), 1e-12);
    cr_expect_eq(claim.sd_db, 0);
    cr_expect_eq(engine_rated_range(868.3, 81).sd_db, 0);
    cr_expect_gt(engine_rated_range(868.3, 83).sd_db, 0);
}
