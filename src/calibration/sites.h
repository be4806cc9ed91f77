/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sites.h - many observations of levels that vary together, each as the normal that it comes
 * to.
 */
#ifndef CALIBRATION_SITES_H
#define CALIBRATION_SITES_H

#include <gsl/gsl_matrix.h>

#include "observations.h"

/* For each observation a normal in its level, exp(pull x - precision x^2 / 2). */
typedef struct calibration_sites {
    size_t n;
    double *precision, *pull;
    double log_chance; /* of all that was observed, before it was */
    double settled;    /* sds that no site moves its level any more: when to stop */
} calibration_sites;

enum earshot_status calibration_sites_new(size_t n, calibration_sites *out);
void calibration_sites_free(calibration_sites *sites);

/* Settles the sites from where they are, for levels with this mean and covariance (n x n)
 * before the readings. EARSHOT_OK, EARSHOT_NO_MEMORY, or EARSHOT_INVALID when the covariance is
 * none. */
enum earshot_status calibration_sites_settle(const calibration_observation *observations,
                                             const double *mean, const double *covariance,
                                             calibration_sites *sites);

/* The observations as plain readings of a level: value and variance of the i-th. */
double calibration_site_value(const calibration_sites *sites, size_t i);
double calibration_site_variance(const calibration_sites *sites, size_t i);

/* The diagonal of A^-1 from the Cholesky factor of A (n x n, lower); `work` is as large. */
void calibration_inverse_diagonal(const gsl_matrix *lower, gsl_matrix *work, double *diagonal);

#endif
