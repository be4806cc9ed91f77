/* SPDX-License-Identifier: GPL-3.0-or-later */
/* calibration.h - tables and readings to a belief.
 *
 * prior.c: the belief of the tables alone. heard.c: what a count of test trips on one link says
 * of its margin.
 */
#ifndef CALIBRATION_CALIBRATION_H
#define CALIBRATION_CALIBRATION_H

#include "engine.h"

/* Chance that one test trip is heard on a link whose margin in the slow state of the day is
 * `margin_db`: time fading only (Rice, k_db), and a floor of 2 % that fails for other reasons
 * (collision, a sensor still asleep). */
double calibration_heard_chance(double margin_db, double k_db);

/* Chance of as few as `heard` of `trips` or fewer under the prediction. */
double calibration_surprise(const earshot_prediction *prediction, double k_db, unsigned heard,
                            unsigned trips);

#endif
