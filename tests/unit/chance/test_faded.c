/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_faded.c - a fade on a normal: against GSL by another route, against draws, and at its
 * limits. */
#include "chance.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>

static double above(double mean_db, double sd_db, double k_db, double limit_db) {
    static chance_fade fade = {.k_db = NAN};
    if (fade.k_db != k_db)
        chance_fade_make(&fade, k_db);
    return chance_faded_above(mean_db, sd_db, &fade, limit_db);
}

struct asked {
    double mean, sd, k_db, limit, fade_mean;
};

/* Density of the fade's level in dB times the chance of the normal: the integral is taken over
 * the fade, where faded.c takes it over the normal. Rice density from memory, see test_rice.c.
 */
static double integrand(double level_db, void *who) {
    const struct asked *asked = who;
    double k = pow(10, asked->k_db / 10), x = pow(10, level_db / 10);
    double off = sqrt(k) - sqrt((k + 1) * x);
    double density = (k + 1) * exp(-off * off) *
                     gsl_sf_bessel_I0_scaled(2 * sqrt(k * (k + 1) * x)) * x * M_LN10 / 10;
    return density *
           gsl_cdf_ugaussian_P((asked->mean + level_db - asked->fade_mean - asked->limit) /
                               asked->sd);
}

Test(faded, against_gsl) {
    static const double k_dbs[] = {-INFINITY, 0, 3, 6, 10, 15, 22, 30, 40};
    static const double sds[] = {0.5, 2, 8, 12}, limits[] = {-20, -5, 0, 3, 10};
    gsl_set_error_handler_off();
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(4000);
    for (size_t k = 0; k < 9; k++)
        for (size_t s = 0; s < 4; s++)
            for (size_t l = 0; l < 5; l++) {
                struct asked asked = {5, sds[s], k_dbs[k], limits[l], 0};
                double fade_sd, want, error;
                chance_rice_db(asked.k_db, &asked.fade_mean, &fade_sd);
                gsl_function function = {.function = integrand, .params = &asked};
                gsl_integration_qag(&function, fmax(-120, asked.fade_mean - 60 * fade_sd),
                                    fmin(25, asked.fade_mean + 30 * fade_sd), 0, 1e-11, 4000,
                                    GSL_INTEG_GAUSS61, space, &want, &error);
                cr_expect_float_eq(above(5, asked.sd, asked.k_db, asked.limit), want, 1e-8,
                                   "K %g, sd %g, limit %g", asked.k_db, asked.sd, asked.limit);
            }
    gsl_integration_workspace_free(space);
}

/* Two million seeded draws, within 3 standard errors: the fade as the power of a steady wave
 * and a scattered one, which is what Rice fading is. */
Test(faded, against_draws) {
    enum { N = 2000000 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    double k = pow(10, 0.6), fade_mean, fade_sd, n_above = 0;
    chance_rice_db(6, &fade_mean, &fade_sd);
    for (int i = 0; i < N; i++) {
        double re = sqrt(k) + gsl_ran_gaussian_ziggurat(rng, sqrt(0.5));
        double im = gsl_ran_gaussian_ziggurat(rng, sqrt(0.5));
        double level = 10 * log10((re * re + im * im) / (k + 1)) - fade_mean;
        n_above += 12 + gsl_ran_gaussian_ziggurat(rng, 7) + level >= 4;
    }
    double want = above(12, 7, 6, 4);
    cr_expect_float_eq(n_above / N, want, 3 * sqrt(want * (1 - want) / N));
    gsl_rng_free(rng);
}

Test(faded, limits) {
    /* no normal part: the fade alone */
    double mean, sd;
    chance_rice_db(6, &mean, &sd);
    cr_expect_float_eq(above(0, 0, 6, -4), 1 - chance_rice_below(6, -4 + mean), 1e-12);
    /* a steady signal: the normal alone */
    cr_expect_float_eq(above(5, 3, 60, 2), gsl_cdf_ugaussian_P(1), 1e-6);
    /* a small normal part goes over into none */
    cr_expect_float_eq(above(3, 0.01, 6, 0), above(3, 0, 6, 0), 1e-4);
    cr_expect(above(100, 5, -INFINITY, 0) <= 1);
    cr_expect_geq(above(-200, 5, -INFINITY, 0), 0);
}

/* ---- coverage of a disc: Jakes ---- */

struct disc {
    double exponent, sigma_db, edge_db; /* margin at the edge */
};

/* Share of a thin ring at radius r (of 1): chance of the margin there, weighed with 2 r. */
static double ring(double r, void *who) {
    const struct disc *disc = who;
    return 2 * r *
           chance_normal_below((disc->edge_db - 10 * disc->exponent * log10(r)) /
                               disc->sigma_db);
}

/* Edge to area coverage of a cell, Jakes' formula, values computed apart; here by integrating
 * our normal over the disc with our quadrature. */
Test(faded, area_coverage) {
    vectors *rows = vectors_read("jakes_area_coverage.csv");
    cr_assert_geq(vectors_n_rows(rows), 20);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        struct disc disc = {vectors_number(rows, i, "exponent"),
                            vectors_number(rows, i, "sigma_db"), 0};
        disc.edge_db =
            disc.sigma_db * gsl_cdf_ugaussian_Pinv(vectors_number(rows, i, "edge_probability"));
        cr_expect_float_eq(
            chance_integrate(ring, &disc, 0, 1, 200), vectors_number(rows, i, "area_fraction"),
            vectors_number(rows, i, "tol"), "n %g, sigma %g", disc.exponent, disc.sigma_db);
    }
    vectors_free(rows);
}
