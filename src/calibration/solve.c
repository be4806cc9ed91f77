/* SPDX-License-Identifier: GPL-3.0-or-later */
/* solve.c - nonlinear least squares by a trust region, each step by QR of the derivatives.
 *
 * By QR and not by the normal equations, which square the condition: Longley's data have one of
 * 5e9 (NIST StRD), and would keep no digit. Linear problems take the same way; one step lands
 * on the answer and the next one mends its last digits.
 */
#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "solve.h"

enum { MOST_STEPS = 400 };
static const double same_unknowns = 1e-14, same_gradient = 1e-20;
static const double not_fixed = 1e-13; /* of the greatest pivot of columns of length 1 */

/* 0: never called; 1: being set; 2: set. Two threads may come here at once. */
void calibration_quiet_gsl(void) {
    static atomic_int state;
    int never = 0;
    if (atomic_compare_exchange_strong(&state, &never, 1)) {
        gsl_set_error_handler_off();
        atomic_store(&state, 2);
    }
    while (atomic_load(&state) != 2)
        ;
}

/* GSL knows no stopping: it is remembered here. */
struct solving {
    const calibration_problem *problem;
    bool stopped;
};

static int residuals(const gsl_vector *unknowns, void *who, gsl_vector *out) {
    struct solving *solving = who;
    const calibration_problem *problem = solving->problem;
    solving->stopped =
        solving->stopped || !problem->rows(problem->who, unknowns->data, out->data, NULL);
    return solving->stopped ? GSL_EBADFUNC : GSL_SUCCESS;
}

static int derivatives(const gsl_vector *unknowns, void *who, gsl_matrix *out) {
    struct solving *solving = who;
    const calibration_problem *problem = solving->problem;
    solving->stopped =
        solving->stopped || !problem->rows(problem->who, unknowns->data, NULL, out->data);
    return solving->stopped ? GSL_EBADFUNC : GSL_SUCCESS;
}

static bool all_finite(const gsl_vector *vector) {
    for (size_t i = 0; i < vector->size; i++)
        if (!isfinite(gsl_vector_get(vector, i)))
            return false;
    return true;
}

static double squares(gsl_multifit_nlinear_workspace *work) {
    double sum = 0;
    gsl_blas_ddot(gsl_multifit_nlinear_residual(work), gsl_multifit_nlinear_residual(work),
                  &sum);
    return sum;
}

/* Steps until they move nothing, can do no better, or the caller is content; one who can be is
 * content with the last of many, too. */
static bool step(gsl_multifit_nlinear_workspace *work, double content) {
    for (int i = 0; i < MOST_STEPS; i++) {
        int reason = 0;
        double before = squares(work);
        int status = gsl_multifit_nlinear_iterate(work);
        if (status == GSL_ENOPROG)
            return true; /* not even the smallest step is better */
        if (status != GSL_SUCCESS)
            return false;
        if (gsl_multifit_nlinear_test(same_unknowns, same_gradient, 0, &reason, work) ==
                GSL_SUCCESS ||
            before - squares(work) < content * before)
            return true;
    }
    return content > 0;
}

/* Inverse of J'J, by columns brought to length 1, so that what the rows do not fix is told from
 * what is only small. False when something is not fixed. */
static bool invert(const gsl_matrix *slopes, gsl_matrix *unit, gsl_vector *length,
                   gsl_matrix *covariance) {
    gsl_matrix_memcpy(unit, slopes);
    for (size_t i = 0; i < unit->size2; i++) {
        gsl_vector_view column = gsl_matrix_column(unit, i);
        gsl_vector_set(length, i, gsl_blas_dnrm2(&column.vector));
        if (!(gsl_vector_get(length, i) > 0))
            return false;
        gsl_vector_scale(&column.vector, 1 / gsl_vector_get(length, i));
    }
    if (gsl_multifit_nlinear_covar(unit, not_fixed, covariance) != GSL_SUCCESS)
        return false;
    for (size_t i = 0; i < unit->size2; i++) {
        double variance = gsl_matrix_get(covariance, i, i);
        gsl_vector_view row = gsl_matrix_row(covariance, i);
        gsl_vector_view column = gsl_matrix_column(covariance, i);
        if (!(variance > 0) || !isfinite(variance)) /* GSL writes 0 for it */
            return false;
        gsl_vector_scale(&row.vector, 1 / gsl_vector_get(length, i));
        gsl_vector_scale(&column.vector, 1 / gsl_vector_get(length, i));
    }
    return true;
}

enum earshot_status calibration_solve(const calibration_problem *problem, double *unknowns,
                                      double *covariance, double *sum) {
    size_t n = problem->n_unknowns;
    if (n == 0 || problem->n_rows < n)
        return EARSHOT_INVALID;
    calibration_quiet_gsl();
    struct solving solving = {.problem = problem};
    gsl_multifit_nlinear_fdf system = {
        .f = residuals, .df = derivatives, .n = problem->n_rows, .p = n, .params = &solving};
    gsl_multifit_nlinear_parameters ways = gsl_multifit_nlinear_default_parameters();
    ways.solver = gsl_multifit_nlinear_solver_qr;
    ways.scale = gsl_multifit_nlinear_scale_levenberg; /* unknowns come in sds */
    ways.trs = gsl_multifit_nlinear_trs_lmaccel;       /* BoxBOD from its far start needs it */
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &ways, problem->n_rows, n);
    gsl_matrix *left = gsl_matrix_alloc(n, n), *unit = gsl_matrix_alloc(problem->n_rows, n);
    gsl_vector *length = gsl_vector_alloc(n);
    gsl_vector_const_view start = gsl_vector_const_view_array(unknowns, n);
    enum earshot_status status =
        work && left && unit && length ? EARSHOT_INVALID : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_INVALID &&
        gsl_multifit_nlinear_init(&start.vector, &system, work) == GSL_SUCCESS &&
        step(work, problem->content) && all_finite(gsl_multifit_nlinear_position(work)) &&
        invert(gsl_multifit_nlinear_jac(work), unit, length, left))
        status = EARSHOT_OK;
    if (solving.stopped)
        status = EARSHOT_STOPPED;
    if (status == EARSHOT_OK) {
        memcpy(unknowns, gsl_multifit_nlinear_position(work)->data, n * sizeof *unknowns);
        if (covariance)
            memcpy(covariance, left->data, n * n * sizeof *covariance);
        if (sum)
            *sum = squares(work);
    }
    gsl_multifit_nlinear_free(work);
    gsl_matrix_free(left);
    gsl_matrix_free(unit);
    gsl_vector_free(length);
    return status;
}
