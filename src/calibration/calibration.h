/* SPDX-License-Identifier: GPL-3.0-or-later */
/* calibration.h - tables and readings to a belief.
 *
 * prior.c: the belief of the tables alone. fit.c: readings merged into it, with observations.c,
 * likelihood.c, slopes.c, sites.c, means.c, fields.c, doubt.c, by solve.c. draws.c: margins
 * drawn from a belief. quality.c, cause.c: what readings taught, and what a change is due to.
 * heard.c: what a count of test trips on one link says of its margin. left.c: what is still not
 * known after so many readings. mistakes.c: slips in readings. drift.c: what changed between
 * two visits, years.c: over many, with scatter.c. joint.c: many links together.
 */
#ifndef CALIBRATION_CALIBRATION_H
#define CALIBRATION_CALIBRATION_H

#include "engine.h"

/* Variance left in common + own, both unknown, once `n` readings have shown common with noise
 * on each, all normal and independent. A reading in place shows all there is of its place, so
 * its static fade is common; one nearby (by hand, a tenth of a wavelength away) has a fade of
 * its own, which is noise, and leaves the place's fade own. */
double calibration_left_db2(double common_db2, double own_db2, double noise_db2, unsigned n);

/* The sd that one reading in place would leave of a margin known to `margin_sd_db`. */
double calibration_read_sd_db(const earshot_belief *belief, double margin_sd_db);

/* Chance that one test trip is heard on a link whose margin in the slow state of the day is
 * `margin_db`: time fading only (Rice, k_db), and a floor of 2 % that fails for other reasons
 * (collision, a sensor still asleep). */
double calibration_heard_chance(double margin_db, double k_db);

/* Chance of as few as `heard` of `trips` or fewer under the prediction. */
double calibration_surprise(const earshot_prediction *prediction, double k_db, unsigned heard,
                            unsigned trips);

/* The least share of trips that are heard, 95 % sure, when so many of so many were (Clopper and
 * Pearson, one-sided): 0.741 for 10 of 10. 0 for none. */
double calibration_heard_least(unsigned heard, unsigned trips);

/* How much more the readings of a later visit (from 1, by first mention) show than those of the
 * first, as fitted, dB; 0 when none were read. */
double calibration_shift_db(const earshot_belief *belief, size_t visit);

#endif
