/* SPDX-License-Identifier: GPL-3.0-or-later */
/* scatter.h - what visits differ by where nothing changed, as stated and as a site shows it.
 */
#ifndef CALIBRATION_SCATTER_H
#define CALIBRATION_SCATTER_H

#include <stddef.h>

/* What a site shows of the scatter, with the stated one as if thirty more links had shown it.
 */
typedef struct calibration_scatter {
    double ratio;   /* to the stated one */
    double degrees; /* of freedom: as many squares told it */
} calibration_scatter;

/* Of n differences from what was fitted, without sign and in units of their stated sd, when
 * n_fitted numbers were fitted to them. Sorts them. */
calibration_scatter calibration_scatter_seen(double *away, size_t n, size_t n_fitted);

/* The chance of a difference as large, either way, when nothing changed; `sd_db` as the scatter
 * makes it. */
double calibration_scatter_chance(const calibration_scatter *scatter, double off_db,
                                  double sd_db);

/* The mean of the middle half; sorts. 0 of none. The same of what a first call sorted, without
 * one that is `own`, for what is itself in the middle draws it along; with it where there are
 * no two others. */
double calibration_middle(double *values, size_t n);
double calibration_middle_of_others(const double *sorted, size_t n, double own);
extern const double calibration_middle_error; /* its standard error, in those of a mean */

#endif
