/* SPDX-License-Identifier: GPL-3.0-or-later */
/* next.h - which reading is worth its minutes.
 */
#ifndef PLANNING_NEXT_H
#define PLANNING_NEXT_H

#include "calibration.h"
#include "earshot/report.h"

/* What is expected of verdicts, in zones. A verdict is wrong that says firm where the margin
 * falls short, or thin or out where it holds. One that is not judged is not wrong, but open. */
typedef struct planning_unsettled {
    double wrong, open;
    double weight; /* of both; of what guards life and may be short unsaid, ten times */
} planning_unsettled;

/* One reading to make, in walking order of worth. */
typedef struct planning_reading {
    size_t device;   /* that is tripped, or NONE */
    size_t spot;     /* where one is held, or NONE */
    size_t listener; /* device row */
    double minutes;  /* with the way there from the one before */
    double settles;  /* verdicts wrong or open fewer, with those before it made */
    double weight;   /* so much less of the weight: by this it was chosen */
    planning_unsettled after;
    bool ladder;
    bool pays; /* whether that is worth the minutes */
} planning_reading;

typedef struct planning_worth {
    planning_unsettled now, after;
    size_t n_zones, n_open; /* that can be judged at all; of them not judged now */
    size_t n;               /* readings chosen */
    size_t n_paying;        /* of them, the first so many, until one does not pay */
    size_t n_settling;      /* and so many with those behind that settle something as shown */
} planning_worth;

/* Where more zones than this were not read, only so many of their readings are weighed: those
 * that do most for their own zone. */
enum { PLANNING_NEXT_MOST = 500 };

/* Chooses up to `count` readings, one after the other. `in_place`: the devices hang; else they
 * are held where they will. A spot is a candidate too. EARSHOT_OK, EARSHOT_NO_MEMORY,
 * EARSHOT_STOPPED.
 */
enum earshot_status planning_next(const earshot_survey *survey, const earshot_belief *belief,
                                  bool in_place, size_t count, const earshot_watch *watch,
                                  planning_reading *readings, planning_worth *worth);

/* What is expected of one verdict once readings have been made, seen from before: of a margin
 * with this mean, of which `told_db2` of the variance will be told and `left_db2` not. */
typedef struct planning_asked {
    double required_db, confidence;
    bool in_place, life_safety;
} planning_asked;
planning_unsettled planning_unsettled_of(double mean_db, double told_db2, double left_db2,
                                         const planning_asked *asked);

#endif
