/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sites.c - censored, counted and heavy-tailed readings as plain ones, by expectation
 * propagation.
 *
 * Each observation stands for a normal in its own level, such that, with the normals of all the
 * others, it gives the mean and variance that the observation itself gives. Turn by turn until
 * nothing moves. For censored and counted data this is closer to the truth than the curvature
 * at the mode is, which is what lets half of all intervals hold half of the time.
 *
 *   [RW] Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006: section 3.6,
 *        algorithm 3.5; here all sites move at once, and the mean before is not zero
 *
 * A level far outside of what the others say can give a normal of negative precision; it is
 * then held at next to nothing, which sets the reading aside as a slip.
 */
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sites.h"

static const double least_precision = 1e-7; /* per dB^2 */
static const double settled = 1e-3;
enum { MOST_TURNS = 60 };

static double square(double x) {
    return x * x;
}

enum earshot_status calibration_sites_new(size_t n, calibration_sites *out) {
    calibration_sites sites = {.n = n,
                               .settled = settled,
                               .precision = malloc((n + 1) * sizeof(double)),
                               .pull = calloc(n + 1, sizeof(double))};
    if (!sites.precision || !sites.pull) {
        calibration_sites_free(&sites);
        return EARSHOT_NO_MEMORY;
    }
    for (size_t i = 0; i < n; i++)
        sites.precision[i] = least_precision;
    *out = sites;
    return EARSHOT_OK;
}

void calibration_sites_free(calibration_sites *sites) {
    free(sites->precision);
    free(sites->pull);
    *sites = (calibration_sites){0};
}

double calibration_site_value(const calibration_sites *sites, size_t i) {
    return sites->pull[i] / sites->precision[i];
}

double calibration_site_variance(const calibration_sites *sites, size_t i) {
    return 1 / sites->precision[i];
}

struct settling {
    const calibration_observation *observations;
    const double *prior_mean, *prior; /* n, n x n */
    calibration_sites *sites;
    size_t n;
    gsl_matrix *lower;   /* of B = I + S^1/2 K S^1/2 */
    gsl_matrix *inverse; /* of that, to work in */
    gsl_vector *work;
    double *mean, *variance; /* of each level, with all observations */
};

/* ---- what all observations together say ---- */

static bool factor(struct settling *settling) {
    for (size_t i = 0; i < settling->n; i++)
        for (size_t j = 0; j <= i; j++) {
            double root = sqrt(settling->sites->precision[i] * settling->sites->precision[j]);
            gsl_matrix_set(settling->lower, i, j,
                           (i == j) + root * settling->prior[i * settling->n + j]);
        }
    return gsl_linalg_cholesky_decomp1(settling->lower) == 0;
}

/* mean = m0 + K (r - S^1/2 B^-1 S^1/2 K r), r = pull - S m0 */
static void set_means(struct settling *settling) {
    size_t n = settling->n;
    const double *precision = settling->sites->precision;
    double *r = settling->mean, *half = settling->work->data;
    for (size_t i = 0; i < n; i++)
        r[i] = settling->sites->pull[i] - precision[i] * settling->prior_mean[i];
    for (size_t i = 0; i < n; i++) {
        double sum = 0;
        for (size_t j = 0; j < n; j++)
            sum += settling->prior[i * n + j] * r[j];
        half[i] = sqrt(precision[i]) * sum;
    }
    gsl_linalg_cholesky_svx(settling->lower, settling->work);
    for (size_t i = 0; i < n; i++)
        half[i] = r[i] - sqrt(precision[i]) * half[i];
    for (size_t i = 0; i < n; i++) {
        double sum = 0;
        for (size_t j = 0; j < n; j++)
            sum += settling->prior[i * n + j] * half[j];
        settling->mean[i] = settling->prior_mean[i] + sum;
    }
}

/* A^-1 = L^-T L^-1: sums of squares down the columns of L^-1. */
void calibration_inverse_diagonal(const gsl_matrix *lower, gsl_matrix *work, double *diagonal) {
    size_t n = lower->size1;
    gsl_matrix_memcpy(work, lower);
    gsl_linalg_tri_invert(CblasLower, CblasNonUnit, work);
    for (size_t i = 0; i < n; i++)
        diagonal[i] = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j <= i; j++)
            diagonal[j] += square(gsl_matrix_get(work, i, j));
}

/* (K^-1 + S)^-1 = S^-1/2 (I - B^-1) S^-1/2, of which the diagonal is wanted. */
static void set_variances(struct settling *settling) {
    calibration_inverse_diagonal(settling->lower, settling->inverse, settling->variance);
    for (size_t i = 0; i < settling->n; i++)
        settling->variance[i] = (1 - settling->variance[i]) / settling->sites->precision[i];
}

/* ---- one observation ---- */

/* All but the i-th observation's own normal. False when nothing is left of it. */
static bool without(const struct settling *settling, size_t i, double *mean, double *variance) {
    double precision = 1 / settling->variance[i] - settling->sites->precision[i];
    if (!(precision > 0) || !(settling->variance[i] > 0))
        return false;
    *variance = 1 / precision;
    *mean = (settling->mean[i] / settling->variance[i] - settling->sites->pull[i]) * *variance;
    return true;
}

/* Moves a site; returns how far, in sds of its level. */
static double renew(struct settling *settling, size_t i, double share) {
    double mean, variance;
    if (!without(settling, i, &mean, &variance))
        return 0;
    const calibration_observation *of = &settling->observations[i];
    calibration_moments learned = calibration_learn(of, mean, variance);
    double precision = fmax(1 / learned.variance - 1 / variance, least_precision);
    double pull = learned.mean * (precision + 1 / variance) - mean / variance;
    double more = precision - settling->sites->precision[i];
    double turn = pull - settling->sites->pull[i] - more * settling->mean[i];
    settling->sites->precision[i] += share * more;
    settling->sites->pull[i] += share * (pull - settling->sites->pull[i]);
    return fabs(turn) * sqrt(settling->variance[i]) + fabs(more) * settling->variance[i];
}

/* ---- the chance of all that was observed ---- */

/* [RW] eq. (3.65), for sites written exp(pull x - precision x^2 / 2). */
static double log_chance(const struct settling *settling) {
    const calibration_sites *sites = settling->sites;
    double sum = 0;
    for (size_t i = 0; i < settling->n; i++) {
        double mean, variance, precision = sites->precision[i], pull = sites->pull[i];
        double before = settling->prior_mean[i];
        sum += pull * before - 0.5 * precision * square(before) -
               log(gsl_matrix_get(settling->lower, i, i)) +
               0.5 * (pull - precision * before) * (settling->mean[i] - before);
        if (!without(settling, i, &mean, &variance))
            continue;
        sum += calibration_learn(&settling->observations[i], mean, variance).log_chance +
               0.5 * log1p(precision * variance) -
               0.5 * (square(mean / variance + pull) / (1 / variance + precision) -
                      square(mean) / variance);
    }
    return sum;
}

static bool settle(struct settling *settling) {
    for (int turn = 0; turn < MOST_TURNS; turn++) {
        double moved = 0;
        if (!factor(settling))
            return false;
        set_means(settling);
        set_variances(settling);
        if (turn == MOST_TURNS - 1)
            break;
        for (size_t i = 0; i < settling->n; i++)
            moved = fmax(moved, renew(settling, i, turn < 10 ? 1 : 0.5));
        if (moved < settling->sites->settled)
            break;
    }
    settling->sites->log_chance = log_chance(settling);
    return true;
}

enum earshot_status calibration_sites_settle(const calibration_observation *observations,
                                             const double *mean, const double *covariance,
                                             calibration_sites *sites) {
    size_t n = sites->n;
    struct settling settling = {.observations = observations,
                                .prior_mean = mean,
                                .prior = covariance,
                                .sites = sites,
                                .n = n,
                                .lower = gsl_matrix_alloc(n, n),
                                .inverse = gsl_matrix_alloc(n, n),
                                .work = gsl_vector_alloc(n),
                                .mean = calloc(n + 1, sizeof(double)),
                                .variance = calloc(n + 1, sizeof(double))};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (settling.lower && settling.inverse && settling.work && settling.mean &&
        settling.variance)
        status = settle(&settling) ? EARSHOT_OK : EARSHOT_INVALID;
    gsl_matrix_free(settling.lower);
    gsl_matrix_free(settling.inverse);
    gsl_vector_free(settling.work);
    free(settling.mean);
    free(settling.variance);
    return status;
}
