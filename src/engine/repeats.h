/* SPDX-License-Identifier: GPL-3.0-or-later */
/* repeats.h - one link over the years: alarms missed, and supervision lost for nothing.
 *
 * Transmissions of one alarm share the slow state of the day (doors, furniture, battery,
 * noise): when one is lost the next is likely lost too. So a missed alarm is the mean over slow
 * states of p^n, never (mean p)^n, which is far too small.
 */
#ifndef ENGINE_REPEATS_H
#define ENGINE_REPEATS_H

#include "survey.h"

/* Share of transmissions lost to collisions, whatever the margin; judgement, no source. */
static const double engine_lost_anyway = 0.02;

/* What a link does. The margin is taken as known: what is not known of it today is another
 * matter, and is asked at its median and at its worst tenth. */
typedef struct engine_traffic {
    double margin_db;    /* mean power above need, 0 counts as heard */
    double slow_sd_db;   /* change of that over months */
    double time_k_db;    /* Rice factor of fading from one try to the next */
    double lost_anyway;  /* share lost to collisions whatever the margin */
    unsigned tries;      /* independent ones of one alarm: a burst on one frequency is one */
    double check_in_min; /* interval of supervision; 0: none */
    double trip_h;       /* supervision is lost after this long in silence */
} engine_traffic;

/* The traffic of a link's radio at a margin. */
engine_traffic engine_traffic_of(const earshot_survey *survey, const earshot_link *link,
                                 double margin_db);

/* Chance that one alarm is missed: E[p(Z)^n] over the slow state Z. */
double engine_missed_alarm(const engine_traffic *traffic);

/* False losses of supervision per hour: E[(1-p) p^m] / T + E[p^m] / 24 h, m the check-ins in a
 * row that must be missed. 0 without check-ins. */
double engine_false_losses_per_h(const engine_traffic *traffic);

/* 1 in 1, 10, 100, 1,000 or 10,000: the nearest power of ten, never past 10,000, for nothing
 * here is known better. */
double engine_one_in(double chance);

#endif
