/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_budget.c - thermal noise, needed power, and what a rated range is worth. */
#include "engine.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>

static double needed(const survey_radio *radio) {
    return engine_needed_dbm(radio, SURVEY_NO_SURROUNDINGS, -INFINITY);
}

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
        cr_expect_float_eq(needed(&radio), noise_dbm, tol_db, "%s",
                           vectors_text(rows, i, "source"));
        radio.snr_needed_db = 12;
        cr_expect_float_eq(needed(&radio), noise_dbm + 12, tol_db);
        radio.sensitivity_dbm = -105;
        cr_expect_eq(needed(&radio), -105, "a sensitivity wins");
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

/* Noise of the surroundings is added as power below the signal: for a sensitivity of -105 dBm
 * and 10 dB needed above the noise, the receiver's own noise is -115 dBm. ITU-R P.372:
 * residential at 315 MHz is 72.5 - 27.7 log10 315 = 3.29680 dB over kT0, a factor 2.136366,
 * so 1.136366 kT0 more than the receiver sees anyway: kT0 over 50 kHz is -126.985487 dBm, and
 * with 0.555182 dB -126.430305. */
Test(budget, noise_of_the_surroundings) {
    const survey_radio radio = {
        .sensitivity_dbm = -105, .bandwidth_khz = 50, .freq_mhz = 315, .snr_needed_db = 10};
    double own_mw = pow(10, -11.5), outside_mw = pow(10, -12.6430305);
    cr_expect_float_eq(engine_needed_dbm(&radio, SURVEY_RESIDENTIAL, -INFINITY),
                       10 * log10(own_mw + outside_mw) + 10, 1e-5);
    /* at 868 MHz the surroundings fall below what any antenna sees, and cost nothing */
    const survey_radio high = {
        .sensitivity_dbm = -105, .bandwidth_khz = 50, .freq_mhz = 868.3, .snr_needed_db = 10};
    cr_expect_float_eq(engine_needed_dbm(&high, SURVEY_RESIDENTIAL, -INFINITY), -105, 1e-9);
}

/* A city at 868.3 MHz by the form of ITU-R P.372 for 200 to 900 MHz: Fam 8.154361 dB
 * (tests/vectors/ p372_man_made_noise.csv), of which one kT0 is there anyway. */
Test(budget, noise_of_a_city) {
    const survey_radio radio = {
        .sensitivity_dbm = -105, .bandwidth_khz = 50, .freq_mhz = 868.3, .snr_needed_db = 10};
    double outside_mw = pow(10, -12.6985487) * (pow(10, 0.8154361) - 1);
    cr_expect_float_eq(engine_needed_dbm(&radio, SURVEY_CITY, -INFINITY),
                       10 * log10(pow(10, -11.5) + outside_mw) + 10, 1e-5);
}

/* Noise that the listener itself reads holds its own already: the signal stands on it directly.
 */
Test(budget, noise_read_by_the_listener) {
    const survey_radio radio = {
        .sensitivity_dbm = -105, .snr_needed_db = 12, .freq_mhz = 868.3};
    cr_expect_float_eq(engine_needed_dbm(&radio, SURVEY_NO_SURROUNDINGS, -100), -88, 1e-9);
    cr_expect_float_eq(engine_needed_dbm(&radio, SURVEY_NO_SURROUNDINGS, -130), -105, 1e-9,
                       "a quiet site is no better than the receiver");
}
