/* SPDX-License-Identifier: GPL-3.0-or-later */
/* expect.c - what a meter should show at a zone, in its own scale, and from where on down it is
 * no use to go on.
 *
 * To stop at: the level that, read once on the final fixing, would leave the chance that is
 * asked of a firm zone, with all that is believed now counted in. But what was foretold neither
 * helps below what is needed and the margin kept, for that is what the final test goes by, nor
 * asks for more than a reading that stands alone would have to show: what was bad may have been
 * mended. Below it the zone cannot be firm, and what to try then is what a zone is told that
 * was read and is short. A bar is taken at its middle, for it may be anywhere in it.
 */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "planning.h"

size_t planning_meter(const earshot_survey *survey) {
    static const char usual[] = "bars-5";
    size_t best = EARSHOT_NONE, most = 0, dbm = 0;
    for (size_t i = 0; i < survey->n_readings; i++)
        dbm += survey->readings[i].scale == EARSHOT_NONE && !isnan(survey->readings[i].low_dbm);
    for (size_t scale = 0; scale < survey->n_scales; scale++) {
        size_t n = 0;
        for (size_t i = 0; i < survey->n_readings; i++)
            n += survey->readings[i].scale == scale && !isnan(survey->readings[i].low_dbm);
        if (n > most) {
            most = n;
            best = scale;
        }
    }
    if (dbm > most)
        return EARSHOT_NONE;
    for (size_t i = 0; most == 0 && i < survey->n_scales; i++)
        if (strcmp(survey->scales[i].name, usual) == 0)
            best = i;
    return best;
}

/* The bar whose middle is the first at or above a level; the last where none is. The last has
 * no end, and is taken as wide as the one before it. */
static double stop_bar(const survey_step *steps, size_t n, double level_dbm) {
    for (size_t i = 0; i + 1 < n; i++)
        if ((steps[i].dbm + steps[i + 1].dbm) / 2 >= level_dbm)
            return steps[i].reading;
    return steps[n - 1].reading;
}

/* The least that may be shown, whole. */
static double stop_of(const earshot_survey *survey, size_t meter, double level_dbm) {
    const survey_scale *scale = meter == EARSHOT_NONE ? NULL : &survey->scales[meter];
    if (isnan(level_dbm))
        return NAN;
    if (scale && scale->by_steps && scale->n_steps)
        return stop_bar(survey->steps + scale->first_step, scale->n_steps, level_dbm);
    return ceil(survey_shown(survey, meter, level_dbm));
}

/* As check advises; of a zone that is firm, or wants a reading, as it would once it was read
 * and came out a little short. */
static planning_advice advise(const earshot_survey *survey, const earshot_belief *belief,
                              const earshot_link *link, const earshot_prediction *prediction,
                              const earshot_part *parts, size_t n_parts) {
    static const double little_db = 1;
    planning_advice advice = planning_advise(survey, belief, link, prediction, parts, n_parts);
    if (advice.step != PLANNING_NOTHING && advice.step != PLANNING_READ &&
        advice.step != PLANNING_TRUST)
        return advice;
    earshot_prediction read = *prediction;
    read.verdict = EARSHOT_THIN;
    read.basis = EARSHOT_READ_IN_PLACE;
    read.notes &= ~(unsigned)EARSHOT_NOTE_BEYOND_SD;
    read.spare_db = fmin(read.spare_db, -little_db);
    return planning_advise(survey, belief, link, &read, parts, n_parts);
}

/* How much a reading must show to spare for the zone to be firm after it. The margin believed
 * now and the one read are weighed by their variances, so that what is left is known before;
 * the mean must come to `quantile` of it. */
static double spare_to_show_db(const earshot_belief *belief,
                               const earshot_prediction *prediction, double quantile) {
    double left_db = calibration_read_sd_db(belief, prediction->margin_sd_db);
    double both = 1 / (left_db * left_db);
    double now = 1 / (prediction->margin_sd_db * prediction->margin_sd_db), read = both - now;
    double spare_db = (quantile * left_db * both - prediction->spare_db * now) / read;
    return fmax(fmin(spare_db, quantile / sqrt(read)), 0);
}

planning_expectation planning_expect(const earshot_survey *survey, const earshot_belief *belief,
                                     size_t meter, const earshot_link *link,
                                     const earshot_prediction *prediction,
                                     const earshot_part *parts, size_t n_parts) {
    static const double most_chance = 0.9; /* either way: 4 in 5 between */
    double confidence = survey_confidence(survey, link->life_safety);
    double level_dbm = prediction->expected_reading_dbm;
    double slack_db = chance_normal_quantile(most_chance) * prediction->reading_sd_db;
    planning_expectation expectation = {
        .level_dbm = level_dbm,
        .sd_db = prediction->reading_sd_db,
        .shown = round(survey_shown(survey, meter, level_dbm)),
        .low = round(survey_shown(survey, meter, level_dbm - slack_db)),
        .high = round(survey_shown(survey, meter, level_dbm + slack_db)),
        .advice = advise(survey, belief, link, prediction, parts, n_parts)};
    expectation.stop_dbm =
        level_dbm - prediction->spare_db +
        spare_to_show_db(belief, prediction, chance_normal_quantile(confidence));
    expectation.stop = stop_of(survey, meter, expectation.stop_dbm);
    return expectation;
}
