/* SPDX-License-Identifier: GPL-3.0-or-later */
/* aside.c - what a reading that was set aside probably should have said.
 *
 * 71 dBm, -7l or seven bars of five do not count, for nobody knows what they are. Each way to
 * mend the cell gives a level; what is believed of the link foretells one. The way whose level
 * fits is said when it is three times likelier than all others together, with "none of these"
 * among them: any level out of a hundred. Nothing is corrected: who wrote the cell does that.
 */
#include <math.h>
#include <string.h>

#include "chance.h"
#include "mistakes.h"
#include "observations.h"
#include "text.h"

/* How often each is meant before any level is looked at. Judgement, no source. */
static const double mended_share = 0.6, scale_share = 0.3, none_share = 0.1;
static const double none_density = 0.01, least_odds = 3;

struct weighing {
    const earshot_survey *survey;
    double foretold_db, sd_db, sum, best;
    calibration_meant *out;
};

/* The chance of a level; of bars, that it lies between their edges. */
static void weigh(struct weighing *weighing, double low_dbm, double high_dbm, double share,
                  enum calibration_meaning meaning, double shown, size_t scale) {
    double low = (low_dbm - weighing->foretold_db) / weighing->sd_db;
    double high = (high_dbm - weighing->foretold_db) / weighing->sd_db;
    double chance =
        share * (low == high ? chance_normal_density(low) / weighing->sd_db
                             : chance_normal_below(high) - chance_normal_below(low));
    weighing->sum += chance;
    if (!(chance > weighing->best))
        return;
    weighing->best = chance;
    weighing->out->meaning = meaning;
    weighing->out->shown = shown;
    weighing->out->scale = scale;
}

/* A number in the cell, as it stands or with letters taken for the digits that they look like.
 */
static bool read_cell(const char *cell, double *value, bool *letters) {
    static const char letter[] = "lIiOoSBZ", digit[] = "11100582";
    char text[TEXT_NUMBER_SIZE];
    size_t n = strlen(cell);
    *letters = false;
    if (n == 0 || n >= sizeof text)
        return false;
    for (size_t i = 0; i <= n; i++) {
        const char *at = cell[i] ? strchr(letter, cell[i]) : NULL;
        text[i] = at ? digit[at - letter] : cell[i];
        *letters = *letters || at;
    }
    return text_read_number(text, n, '.', value) == TEXT_NUMBER_OK;
}

static bool in_use(const earshot_survey *survey, size_t scale) {
    for (size_t i = 0; i < survey->n_readings; i++)
        if (survey->readings[i].scale == scale)
            return true;
    return false;
}

static void weigh_scales(struct weighing *weighing, const survey_aside *aside, double value) {
    const earshot_survey *survey = weighing->survey;
    for (size_t i = 0; i < survey->n_scales; i++) {
        survey_reading on = aside->reading;
        if (i != aside->reading.scale && survey->scales[i].n_steps && in_use(survey, i) &&
            survey_on_scale(survey, i, value, &on))
            weigh(weighing, on.low_dbm, on.high_dbm, scale_share, CALIBRATION_ON_SCALE, value,
                  i);
    }
}

static void weigh_all(struct weighing *weighing, const survey_aside *aside, double value,
                      bool letters) {
    const survey_reading *reading = &aside->reading;
    bool in_dbm =
        reading->scale == EARSHOT_NONE || !weighing->survey->scales[reading->scale].n_steps;
    enum calibration_meaning meaning = !in_dbm   ? CALIBRATION_IN_DBM
                                       : letters ? CALIBRATION_LETTER
                                                 : CALIBRATION_MINUS_LOST;
    double level_dbm = in_dbm ? -fabs(value) : value;
    if (level_dbm <= 0)
        weigh(weighing, level_dbm, level_dbm, mended_share, meaning, level_dbm, EARSHOT_NONE);
    if (!letters)
        weigh_scales(weighing, aside, value);
}

bool calibration_mean_aside(const earshot_survey *survey, const earshot_belief *belief,
                            const survey_aside *aside, calibration_meant *out) {
    earshot_link link = calibration_link_of(survey, &aside->reading);
    earshot_prediction prediction;
    calibration_meant found = {.scale = EARSHOT_NONE};
    double value;
    bool letters;
    if (!read_cell(aside->cell, &value, &letters) ||
        earshot_links_predict(survey, belief, &link, 1, &prediction) != EARSHOT_OK ||
        !(prediction.reading_sd_db > 0))
        return false;
    found.foretold_db = prediction.expected_reading_dbm - aside->reading.pad_db;
    found.foretold_sd_db = prediction.reading_sd_db;
    struct weighing weighing = {.survey = survey,
                                .foretold_db = found.foretold_db,
                                .sd_db = found.foretold_sd_db,
                                .sum = none_share * none_density,
                                .out = &found};
    weigh_all(&weighing, aside, value, letters);
    found.odds = weighing.best / (weighing.sum - weighing.best);
    if (!(found.odds >= least_odds))
        return false;
    *out = found;
    return true;
}
