/* SPDX-License-Identifier: GPL-3.0-or-later */
/* joint.h - what is believed of many levels and margins together.
 */
#ifndef CALIBRATION_JOINT_H
#define CALIBRATION_JOINT_H

#include "engine.h"

/* Adds to `mean_db` what the readings pull each view by under one field, and sets the lower
 * half and diagonal of `covariance` (n x n): what views share, less what the readings already
 * tell, without the fades of unread places and without any reading's noise. A view that is NULL
 * has a variance of 1 and shares nothing. False: no memory. */
bool calibration_joint(const earshot_survey *survey, const engine_reads *reads,
                       const engine_field *field, const engine_view *const *views, size_t n,
                       double *mean_db, double *covariance);

/* The reads of a belief; of one by the tables alone none, with their field and variances:
 * `room` holds the field, `prior_db2` as many as the belief has parameters. */
engine_reads calibration_reads_of(const earshot_belief *belief, engine_field *room,
                                  double *prior_db2);

/* What the readings leave of many views, over all fields: each view is told by itself once, and
 * what any two still share is then a product, so that nobody has to hold all pairs. With what
 * the fields disagree about: one with something in the way foretells much less than one
 * without. `views` are borrowed. EARSHOT_OK or EARSHOT_NO_MEMORY. */
typedef struct calibration_many calibration_many;
enum earshot_status calibration_many_new(const earshot_survey *survey,
                                         const earshot_belief *belief, const engine_view *views,
                                         size_t n, calibration_many **out);
void calibration_many_free(calibration_many *many);

/* Tells `n` views from `first` on; before anything is asked of them. */
void calibration_many_tell(calibration_many *many, size_t first, size_t n);

/* The variance left of a view; and what one still shares with `n` others from `first` on. */
double calibration_many_db2(const calibration_many *many, size_t view);
void calibration_many_between(const calibration_many *many, size_t view, size_t first, size_t n,
                              double *db2);

#endif
