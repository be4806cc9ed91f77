/* SPDX-License-Identifier: GPL-3.0-or-later */
/* record.h - how a belief came from readings: what reports and tests of it need beyond itself.
 */
#ifndef CALIBRATION_RECORD_H
#define CALIBRATION_RECORD_H

#include "observations.h"

enum { CALIBRATION_MOST_OBSTACLES = 6 }; /* undrawn ones, that stand for all there may be */

struct calibration_record {
    calibration_observations observations;
    double *before; /* n: each level or margin by the tables, at the best fit's slopes */
    double *site_value, *site_variance; /* fields x n: the observations as plain readings */
    double *prior_mean;                 /* by parameter */
};

#endif
