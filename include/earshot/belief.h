/* SPDX-License-Identifier: GPL-3.0-or-later */
/* belief.h - what is believed about the parameters of the model, and how surely.
 *
 * The loss of a link is linear in its parameters near any belief: exponent, ways-round power,
 * one loss per construction, mounts, radios, listeners. A belief is their mean and covariance,
 * with the scatter that no parameter explains. What the tables say is the prior; a belief
 * corrected by readings has the same type.
 */
#ifndef EARSHOT_BELIEF_H
#define EARSHOT_BELIEF_H

#include "earshot/survey.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct earshot_belief earshot_belief;

/* The belief of the tables alone. The caller frees it; it does not outlive the survey.
 * Returns EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status earshot_belief_prior(const earshot_survey *survey, earshot_belief **out);

/* The belief of the tables corrected by readings: of those rows of readings.csv that can be
 * used, in order, the i-th where use_reading[i] is not 0 (NULL: all). A reading on one
 * link counts for every link by what both share: parameters, walls, a meter, and the place.
 * Without any reading this is the belief of the tables, and with readings that cannot be merged
 * too, with a finding (`findings` may be NULL). The caller frees it. EARSHOT_OK,
 * EARSHOT_NO_MEMORY, EARSHOT_STOPPED by the watch (which may be NULL), or EARSHOT_MISUSE. */
enum earshot_status earshot_belief_fit(const earshot_survey *survey,
                                       const unsigned char *use_reading,
                                       const earshot_watch *watch, earshot_findings *findings,
                                       earshot_belief **out);

/* Releases a belief. NULL is fine. */
void earshot_belief_free(earshot_belief *belief);

#ifdef __cplusplus
}
#endif

#endif
