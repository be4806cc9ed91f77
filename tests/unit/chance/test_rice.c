/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_rice.c - fading against the Rice density integrated by GSL and against printed fade
 * depths.
 *
 * Density of the power x relative to its mean (from memory, see rice.c for the other form):
 *   (K + 1) exp(-K - (K + 1) x) I0(2 sqrt(K (K + 1) x))
 */
#include "chance.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const double k_dbs[] = {-INFINITY, -20, -6, 0, 3, 6, 7.5, 10, 13, 16, 20};

/* Scaled by exp(-argument) of I0, so that nothing overflows. */
static double rice_density(double x, void *who) {
    const double k = *(const double *)who;
    const double off = sqrt(k) - sqrt((k + 1.0) * x);
    return (k + 1.0) * exp(-off * off) * gsl_sf_bessel_I0_scaled(2.0 * sqrt(k * (k + 1.0) * x));
}

typedef struct moment {
    double k, center_db;
    int power;
} moment;

/* (level - center)^power times the density of the level in dB. */
static double moment_density(double level_db, void *who) {
    moment *asked = who;
    const double x = pow(10.0, level_db / 10.0);
    const double density = rice_density(x, &asked->k) * x * M_LN10 / 10.0;
    return gsl_pow_int(level_db - asked->center_db, asked->power) * density;
}

/* GSL's own estimate of its error must stay under `error` for its answer to count. */
static double integral(double (*f)(double, void *), void *who, double low, double high,
                       double error) {
    gsl_set_error_handler_off();
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(2000);
    cr_assert(space != NULL);
    gsl_function wrapped = {.function = f, .params = who};
    double result, left;
    gsl_integration_qag(&wrapped, low, high, 0.0, 1e-13, 2000, GSL_INTEG_GAUSS61, space,
                        &result, &left);
    gsl_integration_workspace_free(space);
    cr_assert(left <= error, "GSL integral from %g to %g is only good to %g", low, high, left);
    return result;
}

/* GSL: gsl_integration_qag, gsl_sf_bessel_I0_scaled. 1e-12 is what chance.h promises. */
Test(rice, below_agrees_with_the_integrated_density) {
    for (size_t i = 0; i < COUNT(k_dbs); i++) {
        double k = pow(10.0, k_dbs[i] / 10.0);
        for (int level_db = -50; level_db <= 15; level_db++) {
            const double x = pow(10.0, level_db / 10.0);
            const double wanted = integral(rice_density, &k, 0.0, x, 2e-13);
            const double got = chance_rice_below(k_dbs[i], level_db);
            cr_expect(fabs(got - wanted) <= 1e-12, "K %g dB, %d dB: wanted %.15g, got %.15g",
                      k_dbs[i], level_db, wanted, got);
            /* Deep fades keep their digits: a chance of 1e-9 is not 1e-9 give or take 1e-12. */
            cr_expect(wanted < 1e-200 || fabs(got / wanted - 1.0) <= 1e-11,
                      "K %g dB, %d dB: wanted %.15g, got %.15g", k_dbs[i], level_db, wanted,
                      got);
        }
    }
}

/* A printed level is right when the chance lies between those of its rounding's two ends. */
Test(rice, meets_the_printed_fade_depths) {
    vectors *table = vectors_read("fade_depth.csv");
    for (size_t row = 0; row < vectors_n_rows(table); row++) {
        const double k_db = vectors_number(table, row, "k_db");
        const double wanted = vectors_number(table, row, "probability_below");
        const double level_db = vectors_number(table, row, "level_db");
        const double tol_db = vectors_number(table, row, "tol_db");
        const double low = chance_rice_below(k_db, level_db - tol_db);
        const double high = chance_rice_below(k_db, level_db + tol_db);
        cr_expect(low <= wanted && wanted <= high,
                  "row %zu (%s): K %g dB, %g dB: wanted %g, got %.12g to %.12g", row + 2,
                  vectors_text(table, row, "source"), k_db, level_db, wanted, low, high);
    }
    vectors_free(table);
}

Test(rice, a_chance_stays_a_chance_and_rises_with_the_level) {
    static const double extreme_k_db[] = {-INFINITY, -400, 0, 25, 40, 60, 300, INFINITY};
    for (size_t i = 0; i < COUNT(extreme_k_db); i++) {
        const double k_db = extreme_k_db[i];
        cr_expect(chance_rice_below(k_db, -INFINITY) == 0.0, "K %g dB", k_db);
        cr_expect(chance_rice_below(k_db, INFINITY) == 1.0, "K %g dB", k_db);
        double before = 0.0;
        for (int level_db = -120; level_db <= 40; level_db += 4) {
            const double got = chance_rice_below(k_db, level_db);
            cr_expect(0.0 <= got && got <= 1.0, "K %g dB, %d dB: got %.17g", k_db, level_db,
                      got);
            cr_expect(got >= before - 1e-12, "K %g dB, %d dB: falls from %.17g to %.17g", k_db,
                      level_db, before, got);
            before = got;
        }
    }
}

/* A signal that is all steady lies at its mean power. */
Test(rice, a_steady_signal_does_not_fade) {
    double mean_db, sd_db;
    chance_rice_db(INFINITY, &mean_db, &sd_db);
    cr_expect(fabs(mean_db) < 0.01 && sd_db < 0.01, "mean %g, sd %g", mean_db, sd_db);
    cr_expect(chance_rice_below(INFINITY, -0.1) < 1e-12);
    cr_expect(chance_rice_below(INFINITY, 0.1) > 1.0 - 1e-12);
}

/* GSL: gsl_integration_qag over the level in dB. Below -200 dB lies less than 1e-19 of it. */
Test(rice, moments_agree_with_the_integrated_density) {
    for (size_t i = 0; i < COUNT(k_dbs); i++) {
        moment asked = {.k = pow(10.0, k_dbs[i] / 10.0), .center_db = 0.0, .power = 1};
        const double wanted_mean_db = integral(moment_density, &asked, -200.0, 20.0, 1e-10);
        asked.center_db = wanted_mean_db;
        asked.power = 2;
        const double wanted_sd_db = sqrt(integral(moment_density, &asked, -200.0, 20.0, 1e-10));
        double mean_db, sd_db;
        chance_rice_db(k_dbs[i], &mean_db, &sd_db);
        cr_expect(fabs(mean_db - wanted_mean_db) <= 1e-9,
                  "K %g dB: mean wanted %.12g, got %.12g", k_dbs[i], wanted_mean_db, mean_db);
        cr_expect(fabs(sd_db - wanted_sd_db) <= 1e-9, "K %g dB: sd wanted %.12g, got %.12g",
                  k_dbs[i], wanted_sd_db, sd_db);
    }
}

/* Rayleigh by hand: ln of an exponential power has mean -gamma and variance pi^2 / 6. The
 * printed planning figures, to half of their last digit: 2.507 and 5.570 (chance.h); one
 * decimal each for Rayleigh, 2.5 and 5.6, and for a K of 6 dB, 1.0 and 3.3 (common practice, no
 * source). */
Test(rice, moments_meet_the_known_figures) {
    double mean_db, sd_db;
    chance_rice_db(-INFINITY, &mean_db, &sd_db);
    cr_expect(fabs(mean_db + 10.0 / M_LN10 * M_EULER) <= 1e-13, "got %.17g", mean_db);
    cr_expect(fabs(sd_db - 10.0 / M_LN10 * M_PI / sqrt(6.0)) <= 1e-13, "got %.17g", sd_db);
    cr_expect(fabs(mean_db + 2.507) <= 0.0005 && fabs(sd_db - 5.570) <= 0.0005);
    cr_expect(fabs(mean_db + 2.5) <= 0.05 && fabs(sd_db - 5.6) <= 0.05);
    chance_rice_db(6.0, &mean_db, &sd_db);
    cr_expect(fabs(mean_db + 1.0) <= 0.05 && fabs(sd_db - 3.3) <= 0.05, "got %g and %g",
              mean_db, sd_db);
}
