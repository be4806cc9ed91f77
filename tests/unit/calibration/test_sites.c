/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_sites.c - many observations together, against conditioning of normals worked out with
 * GSL's dense matrices, and against sums over a fine grid in two dimensions.
 */
#include "sites.h"

#include <criterion/criterion.h>
#include <gsl/gsl_blas.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

/* What sites make of levels with this mean and covariance: (K^-1 + S)^-1 and that times
 * (K^-1 m + pull), written as K - K (K + S^-1)^-1 K, with GSL's LU. */
static void condition(const calibration_sites *sites, const double *mean, const gsl_matrix *k,
                      gsl_vector *after, gsl_matrix *left) {
    size_t n = sites->n;
    gsl_matrix *sum = gsl_matrix_alloc(n, n), *inverse = gsl_matrix_alloc(n, n);
    gsl_matrix *gain = gsl_matrix_alloc(n, n);
    gsl_vector *off = gsl_vector_alloc(n);
    gsl_permutation *order = gsl_permutation_alloc(n);
    int sign;
    gsl_matrix_memcpy(sum, k);
    for (size_t i = 0; i < n; i++) {
        *gsl_matrix_ptr(sum, i, i) += calibration_site_variance(sites, i);
        gsl_vector_set(off, i, calibration_site_value(sites, i) - mean[i]);
        gsl_vector_set(after, i, mean[i]);
    }
    gsl_linalg_LU_decomp(sum, order, &sign);
    gsl_linalg_LU_invert(sum, order, inverse);
    gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1, k, inverse, 0, gain);
    gsl_blas_dgemv(CblasNoTrans, 1, gain, off, 1, after);
    gsl_matrix_memcpy(left, k);
    gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, -1, gain, k, 1, left);
    gsl_matrix_free(sum);
    gsl_matrix_free(inverse);
    gsl_matrix_free(gain);
    gsl_vector_free(off);
    gsl_permutation_free(order);
}

/* ---- plain levels ---- */

/* A covariance of as many levels, from random slopes on three shared things. */
static gsl_matrix *make_covariance(gsl_rng *random, size_t n) {
    gsl_matrix *slopes = gsl_matrix_alloc(n, 3), *k = gsl_matrix_alloc(n, n);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < 3; j++)
            gsl_matrix_set(slopes, i, j, gsl_ran_gaussian(random, 4));
    gsl_matrix_set_identity(k);
    gsl_blas_dgemm(CblasNoTrans, CblasTrans, 1, slopes, slopes, 3, k);
    gsl_matrix_free(slopes);
    return k;
}

/* log N(value; mean, K + noise), by GSL. */
static double log_density(const gsl_matrix *k, const double *mean,
                          const calibration_observation *of) {
    size_t n = k->size1;
    gsl_matrix *lower = gsl_matrix_alloc(n, n);
    gsl_vector *value = gsl_vector_alloc(n), *work = gsl_vector_alloc(n);
    gsl_vector_const_view means = gsl_vector_const_view_array(mean, n);
    double result;
    gsl_matrix_memcpy(lower, k);
    for (size_t i = 0; i < n; i++) {
        *gsl_matrix_ptr(lower, i, i) += of[i].normal_sd_db * of[i].normal_sd_db;
        gsl_vector_set(value, i, of[i].level_dbm);
    }
    gsl_linalg_cholesky_decomp1(lower);
    gsl_ran_multivariate_gaussian_log_pdf(value, &means.vector, lower, &result, work);
    gsl_matrix_free(lower);
    gsl_vector_free(value);
    gsl_vector_free(work);
    return result;
}

Test(sites, levels_are_exact) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 1);
    for (size_t n = 1; n <= 40; n += 3) {
        calibration_observation of[40];
        double mean[40];
        calibration_sites sites;
        gsl_matrix *k = make_covariance(random, n);
        for (size_t i = 0; i < n; i++) {
            mean[i] = -70 + gsl_ran_gaussian(random, 10);
            of[i] =
                (calibration_observation){.kind = CALIBRATION_LEVEL,
                                          .level_dbm = mean[i] + gsl_ran_gaussian(random, 7),
                                          .normal_sd_db = 1 + 3 * gsl_rng_uniform(random)};
        }
        cr_assert_eq(calibration_sites_new(n, &sites), EARSHOT_OK);
        cr_assert_eq(calibration_sites_settle(of, mean, k->data, &sites), EARSHOT_OK);
        for (size_t i = 0; i < n; i++) {
            double noise_db2 = of[i].normal_sd_db * of[i].normal_sd_db;
            cr_expect_float_eq(calibration_site_value(&sites, i), of[i].level_dbm, 1e-6,
                               "%zu of %zu: %.12g not %.12g", i, n,
                               calibration_site_value(&sites, i), of[i].level_dbm);
            cr_expect_float_eq(calibration_site_variance(&sites, i), noise_db2, 1e-6,
                               "%zu of %zu: %.12g not %.12g", i, n,
                               calibration_site_variance(&sites, i), noise_db2);
        }
        cr_expect_float_eq(sites.log_chance, log_density(k, mean, of), 1e-6, "%zu: %.12g", n,
                           sites.log_chance);
        calibration_sites_free(&sites);
        gsl_matrix_free(k);
    }
    gsl_rng_free(random);
}

/* ---- two observations between edges ---- */

static const double dead_chance = 0.03; /* as likelihood.c's comment has it */

static double chance_of(const calibration_observation *of, double x) {
    double sd = of->normal_sd_db;
    double between =
        gsl_cdf_gaussian_P(of->high_dbm - x, sd) - gsl_cdf_gaussian_P(of->low_dbm - x, sd);
    return of->kind == CALIBRATION_SILENT ? dead_chance + (1 - dead_chance) * between : between;
}

struct truth {
    double mean[2], variance[2], log_chance;
};

/* Sums over a grid of a twentieth of an sd, 8 sds to both sides. */
static struct truth sum_up(const calibration_observation *of, const double *mean,
                           const double *k) {
    double sd[2] = {sqrt(k[0]), sqrt(k[3])}, total = 0, first[2] = {0}, second[2] = {0};
    double together = k[1] / (sd[0] * sd[1]);
    for (int i = -160; i <= 160; i++)
        for (int j = -160; j <= 160; j++) {
            double off[2] = {i * sd[0] / 20, j * sd[1] / 20};
            double weight =
                gsl_ran_bivariate_gaussian_pdf(off[0], off[1], sd[0], sd[1], together) *
                chance_of(&of[0], mean[0] + off[0]) * chance_of(&of[1], mean[1] + off[1]) *
                sd[0] * sd[1] / 400;
            total += weight;
            for (int m = 0; m < 2; m++) {
                first[m] += weight * off[m];
                second[m] += weight * off[m] * off[m];
            }
        }
    struct truth truth = {.log_chance = log(total)};
    for (int m = 0; m < 2; m++) {
        first[m] /= total;
        truth.mean[m] = mean[m] + first[m];
        truth.variance[m] = second[m] / total - first[m] * first[m];
    }
    return truth;
}

static const calibration_observation silent = {
    .kind = CALIBRATION_SILENT, .low_dbm = -INFINITY, .high_dbm = -100, .normal_sd_db = 2};
static const calibration_observation bar = {
    .kind = CALIBRATION_BETWEEN, .low_dbm = -95, .high_dbm = -85, .normal_sd_db = 2};
static const calibration_observation shown = {
    .kind = CALIBRATION_BETWEEN, .low_dbm = -100, .high_dbm = INFINITY, .normal_sd_db = 2};

Test(sites, two_that_vary_together) {
    static const struct {
        const char *what;
        const calibration_observation *of[2];
        double mean[2], k[4];
    } rows[] = {
        {"two bars", {&bar, &bar}, {-80, -84}, {64, 40, 40, 64}},
        {"two bars apart", {&bar, &bar}, {-90, -98}, {49, 0, 0, 49}},
        {"bar and shown", {&bar, &shown}, {-92, -103}, {64, 45, 45, 81}},
        {"shown twice", {&shown, &shown}, {-104, -104}, {64, 50, 50, 64}},
        {"silent and bar", {&silent, &bar}, {-95, -92}, {64, 30, 30, 64}},
        {"silent twice", {&silent, &silent}, {-96, -97}, {64, 40, 40, 49}},
        {"silent and shown, against each other",
         {&silent, &shown},
         {-98, -98},
         {36, 20, 20, 36}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const calibration_observation of[2] = {*rows[i].of[0], *rows[i].of[1]};
        struct truth truth = sum_up(of, rows[i].mean, rows[i].k);
        calibration_sites sites;
        gsl_matrix_const_view k = gsl_matrix_const_view_array(rows[i].k, 2, 2);
        gsl_vector *after = gsl_vector_alloc(2);
        gsl_matrix *left = gsl_matrix_alloc(2, 2);
        cr_assert_eq(calibration_sites_new(2, &sites), EARSHOT_OK);
        cr_assert_eq(calibration_sites_settle(of, rows[i].mean, rows[i].k, &sites), EARSHOT_OK);
        condition(&sites, rows[i].mean, &k.matrix, after, left);
        for (size_t m = 0; m < 2; m++) {
            /* Normals in place of what is cut off: an approximation. A twentieth of an sd in
             * the mean, a twentieth of the variance: nobody reads a meter so well. */
            double sd = sqrt(truth.variance[m]);
            cr_expect_float_eq(gsl_vector_get(after, m), truth.mean[m], 0.05 * sd,
                               "%s, %zu: mean %g not %g", rows[i].what, m,
                               gsl_vector_get(after, m), truth.mean[m]);
            cr_expect_float_eq(gsl_matrix_get(left, m, m), truth.variance[m],
                               0.05 * truth.variance[m], "%s, %zu: variance %g not %g",
                               rows[i].what, m, gsl_matrix_get(left, m, m), truth.variance[m]);
        }
        cr_expect_float_eq(sites.log_chance, truth.log_chance, 0.02, "%s: %g not %g",
                           rows[i].what, sites.log_chance, truth.log_chance);
        calibration_sites_free(&sites);
        gsl_vector_free(after);
        gsl_matrix_free(left);
    }
}

/* One slip among readings that agree is set aside: the rest say what they would without it. */
Test(sites, one_slip_is_set_aside) {
    calibration_observation of[4];
    double mean[4], k[16], seen_dbm[2];
    for (int slips = 0; slips < 2; slips++) {
        calibration_sites sites;
        for (int i = 0; i < 4; i++) {
            of[i] = (calibration_observation){.kind = CALIBRATION_LEVEL,
                                              .level_dbm = slips && i == 0 ? -20 : -80,
                                              .meter_sd_db = 2};
            mean[i] = -75;
            for (int j = 0; j < 4; j++)
                k[4 * i + j] = 64 + (i == j);
        }
        cr_assert_eq(calibration_sites_new(4, &sites), EARSHOT_OK);
        cr_assert_eq(calibration_sites_settle(of, mean, k, &sites), EARSHOT_OK);
        gsl_matrix_const_view before = gsl_matrix_const_view_array(k, 4, 4);
        gsl_vector *after = gsl_vector_alloc(4);
        gsl_matrix *left = gsl_matrix_alloc(4, 4);
        condition(&sites, mean, &before.matrix, after, left);
        seen_dbm[slips] = gsl_vector_get(after, 3);
        calibration_sites_free(&sites);
        gsl_vector_free(after);
        gsl_matrix_free(left);
    }
    /* normal noise would lift the mean of four by 60 / 4 dB; one good reading is worth 1.5 dB
     */
    cr_expect_float_eq(seen_dbm[1], seen_dbm[0], 0.5, "%g not %g", seen_dbm[1], seen_dbm[0]);
}

/* A covariance that is none is refused. */
Test(sites, no_covariance) {
    const calibration_observation of[2] = {bar, bar};
    static const double mean[2] = {-90, -90}, k[4] = {1, 1e9, 1e9, 1};
    calibration_sites sites;
    gsl_set_error_handler_off();
    cr_assert_eq(calibration_sites_new(2, &sites), EARSHOT_OK);
    cr_expect_eq(calibration_sites_settle(of, mean, k, &sites), EARSHOT_INVALID);
    calibration_sites_free(&sites);
}
