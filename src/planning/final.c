/* SPDX-License-Identifier: GPL-3.0-or-later */
/* final.c - the final tests: which zones were tested as they are left, and how it went.
 *
 * A final test is of the device on its final fixing, cover on, doors shut: at least three trips
 * on its last visit, all of them heard, the lowest level that was shown used. A test with a pad
 * in the way then proves the margin itself: what is heard behind a pad of so many dB has so
 * many to lose. Common practice, no source; what a rule or a maker asks for comes first.
 */
#include <math.h>

#include "planning.h"

static const unsigned least_trips = 3;

/* A row of readings as a test of a link, or not one at all. */
static bool tests(const survey_reading *reading, const earshot_link *link) {
    return reading->device == link->device && reading->heard_at == link->listener &&
           reading->placed == SURVEY_IN_PLACE && !reading->doors_open &&
           (reading->trips || reading->none || !isnan(reading->low_dbm));
}

/* A level that was shown was heard, once where no trips are counted beside it. */
static void count(const survey_reading *reading, planning_final *final) {
    final->trips += reading->trips ? reading->trips : 1;
    final->heard += reading->trips ? reading->heard : !reading->none;
    if (isnan(reading->low_dbm))
        return;
    final->lowest_dbm = fmin(final->lowest_dbm, reading->low_dbm);
    final->lowest_high_dbm = fmin(final->lowest_high_dbm, reading->high_dbm);
}

static void count_behind_pad(const survey_reading *reading, planning_final *final) {
    bool all = reading->trips ? reading->heard == reading->trips : !reading->none;
    double *pad_db = all ? &final->pad_heard_db : &final->pad_missed_db;
    if (isnan(*pad_db) || (all ? reading->pad_db > *pad_db : reading->pad_db < *pad_db))
        *pad_db = reading->pad_db;
}

static void add_rows(const earshot_survey *survey, const earshot_link *link,
                     planning_final *final) {
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (!tests(reading, link) || reading->visit != final->visit)
            continue;
        if (reading->pad_db > 0)
            count_behind_pad(reading, final);
        else
            count(reading, final);
    }
}

static bool last_visit(const earshot_survey *survey, const earshot_link *link, size_t *visit) {
    bool any = false;
    for (size_t i = 0; i < survey->n_readings; i++)
        if (tests(&survey->readings[i], link) &&
            (!any || survey->readings[i].visit >= *visit)) {
            *visit = survey->readings[i].visit;
            any = true;
        }
    return any;
}

/* What a level says against what is asked, where it says anything: of a bar its edges do. */
static enum planning_state state_of(const planning_final *final, double required_db) {
    if (final->trips < least_trips)
        return final->trips || !isnan(final->pad_missed_db) ? PLANNING_TOO_FEW
                                                            : PLANNING_PREDICTED;
    if (final->heard < final->trips || final->lowest_high_dbm < final->asked_dbm ||
        final->pad_missed_db <= required_db)
        return PLANNING_NOT_PASSED;
    return final->pad_heard_db >= required_db ? PLANNING_PROVEN : PLANNING_PASSED;
}

planning_final planning_final_of(const earshot_survey *survey, const earshot_link *link,
                                 const earshot_prediction *prediction) {
    planning_final final = {.lowest_dbm = INFINITY,
                            .lowest_high_dbm = INFINITY,
                            .asked_dbm =
                                prediction->needed_dbm + prediction->required_margin_db,
                            .pad_heard_db = NAN,
                            .pad_missed_db = NAN};
    if (link->listener != EARSHOT_NONE && last_visit(survey, link, &final.visit))
        add_rows(survey, link, &final);
    final.state = state_of(&final, prediction->required_margin_db);
    if (!isfinite(final.lowest_dbm))
        final.lowest_dbm = NAN;
    if (!isfinite(final.lowest_high_dbm))
        final.lowest_high_dbm = NAN;
    return final;
}
