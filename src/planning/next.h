/* SPDX-License-Identifier: GPL-3.0-or-later */
/* next.h - which reading is worth its minutes.
 */
#ifndef PLANNING_NEXT_H
#define PLANNING_NEXT_H

#include "calibration.h"
#include "earshot/report.h"

/* One reading to make, in walking order of worth. */
typedef struct planning_reading {
    size_t device;   /* that is tripped, or NONE */
    size_t spot;     /* where one is held, or NONE */
    size_t listener; /* device row */
    double minutes;  /* with the way there from the one before */
    double settles;  /* wrong verdicts fewer, with those before it made */
    bool ladder;
    bool pays; /* whether that is worth the minutes */
} planning_reading;

typedef struct planning_worth {
    double wrong_now, wrong_after; /* expected wrong verdicts, of n_zones */
    size_t n_zones;
    size_t n; /* readings chosen */
} planning_worth;

/* Chooses up to `count` readings, one after the other. `in_place`: the devices hang; else they
 * are held where they will. A spot is a candidate too. EARSHOT_OK, EARSHOT_NO_MEMORY,
 * EARSHOT_STOPPED.
 */
enum earshot_status planning_next(const earshot_survey *survey, const earshot_belief *belief,
                                  bool in_place, size_t count, const earshot_watch *watch,
                                  planning_reading *readings, planning_worth *worth);

/* The chance that a verdict is wrong once readings have been made, seen from before: of a
 * margin with this mean, of which `told_db2` of the variance will be told and `left_db2` not.
 * It is wrong when it says firm (the chance of `required_db` reaches `confidence`) and the
 * margin falls short, or the other way round. */
double planning_wrong_chance(double mean_db, double told_db2, double left_db2,
                             double required_db, double confidence);

#endif
