/* SPDX-License-Identifier: GPL-3.0-or-later */
/* years.h - what links lose or gain from visit to visit, beyond what all showed alike.
 */
#ifndef CALIBRATION_YEARS_H
#define CALIBRATION_YEARS_H

#include "drift.h"

/* What the links at a listener showed alike on a visit: another meter, another hand, the
 * receiver. */
typedef struct calibration_alike_level {
    size_t n;        /* links that tell it; 0: too few do */
    double level_db; /* against the mean of the visits that are told; 0 where too few tell */
    double sd_db;
} calibration_alike_level;

typedef struct calibration_years {
    calibration_alike_level *levels; /* [device][visit], of listeners */
    double ratio;                    /* of the scatter seen to the stated one */
} calibration_years;

/* Looks at all visits. `unusable`: of each [device][visit] not 0 where what the listener showed
 * then is none of the building's (NULL: of none). To be freed, also after a failure. EARSHOT_OK
 * or EARSHOT_NO_MEMORY. */
enum earshot_status calibration_look_at_years(const earshot_survey *survey,
                                              const unsigned char *unusable,
                                              calibration_years *out);
void calibration_years_free(calibration_years *years);

/* The line through a link's levels over time, with what all showed alike taken off (`years`
 * NULL: nothing); at least three visits with a date in `time`. `unusable`: as above, of each
 * visit at this listener. */
typedef struct calibration_trend {
    size_t n_visits, n_left_out; /* left out: with a level and a date, but unusable */
    double slope_db_a_year, sd_db_a_year;
    double last_days, last_dbm; /* of the last visit: days since 1970, and what was shown */
} calibration_trend;
calibration_trend calibration_trend_of(const earshot_survey *survey, size_t device,
                                       size_t listener, const unsigned char *unusable,
                                       const calibration_years *years);

/* Days since 1970 of a date that begins like 2026-03-10; not a number otherwise. */
double calibration_days(const char *time);

#endif
