/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_left.c - what readings leave in doubt: the project's worked numbers, and GSL.
 *
 * Worked: parameters 5, field 3 and wholly shared nearby, static fade 5.6, session 2, meter 2
 * dB, all normal, session and meter of each reading its own.
 */
#include "calibration.h"

#include <criterion/criterion.h>
#include <gsl/gsl_linalg.h>
#include <math.h>

static const double shared = 25 + 9, fade = 5.6 * 5.6, noise = 4 + 4;

Test(left, worked_numbers) {
    cr_expect_float_eq(sqrt(calibration_left_db2(shared, fade, 1, 0)), 8.08, 0.005,
                       "never read");
    cr_expect_float_eq(sqrt(calibration_left_db2(shared, fade, fade + noise, 1)), 7.04, 0.005,
                       "one nearby");
    cr_expect_float_eq(sqrt(calibration_left_db2(shared, fade, fade + noise, 4)), 6.24, 0.005,
                       "four nearby");
    cr_expect_float_eq(sqrt(calibration_left_db2(shared + fade, 0, noise, 1)), 2.67, 0.005,
                       "in place");
}

/* The same by conditioning the joint normal of the place and n readings: Schur complement,
 * GSL's Cholesky (gsl_linalg_cholesky_decomp1, gsl_linalg_cholesky_solve). */
Test(left, conditioning) {
    for (unsigned n = 1; n <= 8; n++) {
        gsl_matrix *covariance = gsl_matrix_alloc(n, n);
        gsl_vector *cross = gsl_vector_alloc(n), *weights = gsl_vector_alloc(n);
        for (size_t i = 0; i < n; i++) {
            gsl_vector_set(cross, i, shared);
            for (size_t j = 0; j < n; j++)
                gsl_matrix_set(covariance, i, j, shared + (i == j ? fade + noise : 0));
        }
        gsl_linalg_cholesky_decomp1(covariance);
        gsl_linalg_cholesky_solve(covariance, cross, weights);
        double want = shared + fade;
        for (size_t i = 0; i < n; i++)
            want -= gsl_vector_get(weights, i) * gsl_vector_get(cross, i);
        cr_expect_float_eq(calibration_left_db2(shared, fade, fade + noise, n), want, 1e-10,
                           "%u", n);
        gsl_matrix_free(covariance);
        gsl_vector_free(cross);
        gsl_vector_free(weights);
    }
}

Test(left, a_reading_never_adds_doubt) {
    const earshot_belief belief = {.session_sd_db = 2, .meter_sd_db = 3};
    for (double sd = 0; sd < 20; sd += 0.5) {
        double left = calibration_read_sd_db(&belief, sd);
        cr_expect_leq(left, sd);
        cr_expect_leq(left, sqrt(13), "never worse than the reading itself");
    }
}
