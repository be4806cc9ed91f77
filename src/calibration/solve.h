/* SPDX-License-Identifier: GPL-3.0-or-later */
/* solve.h - the one least-squares solver, for every fit there is.
 *
 * GSL ends the program on an error unless told not to, by one handler for the whole process.
 * calibration_quiet_gsl turns it off, once; all that calls GSL calls that first. A host that
 * uses GSL itself, and wants its own handler, sets it after the first fit.
 */
#ifndef CALIBRATION_SOLVE_H
#define CALIBRATION_SOLVE_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/findings.h"

void calibration_quiet_gsl(void);

/* Residuals, already in units of their sds; what is believed before is a row like any other. */
typedef struct calibration_problem {
    size_t n_rows, n_unknowns;
    /* Residuals at `unknowns`, and their derivatives (n_rows x n_unknowns, row by row); either
     * may be NULL: not wanted. False stops the solving. */
    bool (*rows)(void *who, const double *unknowns, double *residuals, double *derivatives);
    void *who;
    /* A step that takes a smaller share off the sum of squares is the last; 0: to the last
     * digit. Where residuals have kinks, steps may creep along one for ever. */
    double content;
} calibration_problem;

/* The unknowns (from a start, in place) that make the sum of squares least. `covariance` (n x
 * n, the inverse of J'J there) and `sum` may be NULL. EARSHOT_OK; EARSHOT_INVALID when it does
 * not converge, or the rows do not fix all unknowns; EARSHOT_STOPPED by `rows`;
 * EARSHOT_NO_MEMORY. Nothing is written unless OK. */
enum earshot_status calibration_solve(const calibration_problem *problem, double *unknowns,
                                      double *covariance, double *sum);

#endif
