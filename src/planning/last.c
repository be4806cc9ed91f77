/* SPDX-License-Identifier: GPL-3.0-or-later */
/* last.c - what was read at a zone last time, since a day that somebody names.
 *
 * Dates written year first (2026-03-10, with a time behind it or not) compare as text. Others
 * do not compare, and a reading with such a time, or with none, is not told: it may be of any
 * day.
 */
#include <math.h>
#include <string.h>

#include "planning.h"

/* Two digits between these, at `text`. */
static bool two_digits(const char *text, int least, int most) {
    if (text[0] < '0' || text[0] > '9' || text[1] < '0' || text[1] > '9')
        return false;
    int number = 10 * (text[0] - '0') + (text[1] - '0');
    return number >= least && number <= most;
}

bool earshot_date_valid(const char *text) {
    if (!two_digits(text, 0, 99) || !two_digits(text + 2, 0, 99))
        return false;
    if (text[4] == '\0')
        return true;
    if (text[4] != '-' || !two_digits(text + 5, 1, 12))
        return false;
    if (text[7] == '\0')
        return true;
    return text[7] == '-' && two_digits(text + 8, 1, 31) &&
           (text[10] == '\0' || text[10] == 'T' || text[10] == ' ');
}

/* Of bars the middle; of what has no end the end that it has, just inside. */
static double level_of(const survey_reading *reading) {
    static const double inside_db = 1e-3;
    if (isinf(reading->low_dbm))
        return reading->high_dbm - inside_db;
    return isinf(reading->high_dbm) ? reading->low_dbm
                                    : (reading->low_dbm + reading->high_dbm) / 2;
}

/* Whether a reading of this time comes after the one that was found, which may be "". */
static bool later(const survey_reading *reading, const char *found) {
    return strcmp(reading->time, found) >= 0;
}

planning_last planning_last_of(const earshot_survey *survey, const earshot_link *link,
                               bool in_place, const char *since) {
    planning_last last = {.level_dbm = NAN};
    const char *counted = "", *shown = "";
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (reading->device != link->device || reading->heard_at != link->listener ||
            (reading->placed == SURVEY_IN_PLACE) != in_place || reading->pad_db > 0 ||
            !earshot_date_valid(reading->time) || strcmp(reading->time, since) < 0)
            continue;
        if ((reading->trips || reading->none) && later(reading, counted)) {
            last.trips = reading->trips ? reading->trips : 1;
            last.heard = reading->trips ? reading->heard : 0;
            counted = reading->time;
        }
        if (!isnan(reading->low_dbm) && later(reading, shown)) {
            last.level_dbm = level_of(reading);
            shown = reading->time;
        }
    }
    return last;
}

size_t planning_undated(const earshot_survey *survey) {
    size_t n = 0;
    for (size_t i = 0; i < survey->n_readings; i++)
        n += !earshot_date_valid(survey->readings[i].time);
    return n;
}
