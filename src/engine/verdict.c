/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verdict.c - margin and doubt to a verdict, and the words for it.
 *
 * firm: the chance that the margin is at least the required margin reaches the asked
 * confidence. out: a margin below nothing is likelier than not. thin: in between. not judged: a
 * value is missing, or nobody has read the link and the doubt is over 10 dB, unless the answer
 * would be the same at 99 % either way: a link 40 dB to the good needs no reading to be
 * believed.
 */
#include <math.h>

#include "chance.h"
#include "engine.h"

static const double most_sd_db = 10, certain = 0.99;

/* What is known of a margin: a normal, and on it the static fade of a place that nobody read.
 */
struct margin {
    double mean_db, normal_sd_db;
    const chance_fade *fade; /* NULL: none */
    double stretch;          /* of the fade */
};

static double chance_above(const struct margin *margin, double limit_db) {
    double stretch = margin->stretch;
    if (margin->fade)
        return chance_faded_above(margin->mean_db / stretch, margin->normal_sd_db / stretch,
                                  margin->fade, limit_db / stretch);
    if (margin->normal_sd_db > 0)
        return chance_normal_below((margin->mean_db - limit_db) / margin->normal_sd_db);
    return margin->mean_db >= limit_db ? 1 : 0;
}

static bool is_doubtful(double sd_db, bool in_place) {
    return !in_place && sd_db > most_sd_db;
}

double engine_asked_chance(double confidence, double sd_db, bool in_place) {
    return is_doubtful(sd_db, in_place) ? fmax(confidence, certain) : confidence;
}

double engine_asked_out_chance(double sd_db, bool in_place) {
    return is_doubtful(sd_db, in_place) ? certain : 0;
}

static enum earshot_verdict verdict_of(const earshot_prediction *prediction,
                                       const struct margin *margin, double confidence) {
    bool in_place = prediction->basis == EARSHOT_READ_IN_PLACE;
    double sd_db = prediction->margin_sd_db;
    if (prediction->chance >= engine_asked_chance(confidence, sd_db, in_place))
        return EARSHOT_FIRM;
    double out_chance = 1 - chance_above(margin, 0);
    if (prediction->chance < certain && out_chance < engine_asked_out_chance(sd_db, in_place))
        return EARSHOT_NOT_JUDGED;
    return out_chance > 0.5 ? EARSHOT_OUT : EARSHOT_THIN;
}

static struct margin margin_of(const earshot_belief *belief, const engine_told *told,
                               double mean_db) {
    struct margin margin = {.mean_db = mean_db, .normal_sd_db = sqrt(told->normal_db2)};
    if (told->static_db2 > 0 && belief->static_sd_db > 0) {
        margin.fade = &belief->static_fade;
        margin.stretch = sqrt(told->static_db2) / belief->static_sd_db;
    }
    return margin;
}

static enum earshot_basis basis_of(const earshot_belief *belief, const engine_told *told) {
    if (told->in_place)
        return EARSHOT_READ_IN_PLACE;
    return belief->reads ? EARSHOT_CORRECTED : EARSHOT_PREDICTED;
}

/* Arithmetic alone would let a strong prediction outvote four misses in ten, by blaming
 * collisions. Fewer than nine of ten heard is no sign of a firm link, and most of three trips
 * or more missed is a sign of a dead one, whatever is predicted; one or two may have met a
 * sensor asleep (common practice, no source). */
static void heed_counts(const engine_told *told, earshot_prediction *prediction) {
    static const unsigned few_trips = 3;
    enum earshot_verdict most = EARSHOT_FIRM;
    if (10 * told->heard < 9 * told->trips)
        most = EARSHOT_THIN;
    if (2 * told->heard < told->trips && told->trips >= few_trips)
        most = EARSHOT_OUT;
    if (prediction->verdict >= most)
        return;
    if (prediction->verdict == EARSHOT_FIRM)
        prediction->notes |= EARSHOT_NOTE_FEW_HEARD;
    prediction->verdict = most;
}

/* Nor may a level shown in place be outvoted as a slip of the pencil: who read that a zone is
 * short reads it again before it is called firm. The day and the meter are allowed for. */
static void heed_level(const engine_told *told, double needed_dbm,
                       earshot_prediction *prediction) {
    double spare_db = told->level_dbm - needed_dbm - prediction->required_margin_db;
    if (prediction->verdict != EARSHOT_FIRM || !(spare_db < -told->level_slack_db))
        return;
    prediction->verdict = EARSHOT_THIN;
    prediction->notes |= EARSHOT_NOTE_READ_LOW;
}

void engine_judge(const earshot_survey *survey, const earshot_belief *belief,
                  const earshot_link *link, const engine_told *told,
                  earshot_prediction *prediction) {
    double confidence = survey_confidence(survey, link->life_safety);
    const struct margin margin = margin_of(belief, told, prediction->margin_db);
    prediction->margin_sd_db = sqrt(told->normal_db2 + told->static_db2);
    prediction->basis = basis_of(belief, told);
    prediction->required_margin_db = survey_asked_db(survey, link->life_safety);
    prediction->spare_db = prediction->margin_db - prediction->required_margin_db;
    prediction->chance = NAN;
    prediction->verdict = EARSHOT_NOT_JUDGED;
    if (isnan(prediction->spare_db) || isnan(told->normal_db2))
        return;
    prediction->chance = chance_above(&margin, prediction->required_margin_db);
    prediction->verdict = verdict_of(prediction, &margin, confidence);
    heed_counts(told, prediction);
    heed_level(told, prediction->needed_dbm, prediction);
    if (prediction->verdict == EARSHOT_NOT_JUDGED)
        prediction->notes |= EARSHOT_NOTE_BEYOND_SD;
}

const char *earshot_verdict_word(enum earshot_verdict verdict) {
    static const char *const words[] = {"firm", "thin", "out", "not judged"};
    return words[verdict];
}

const char *earshot_basis_word(enum earshot_basis basis) {
    static const char *const words[] = {"predicted", "corrected", "read in place"};
    return words[basis];
}

const char *earshot_part_word(enum earshot_part_kind kind) {
    static const char *const words[] = {"first meter", "distance",   "wall",  "door",
                                        "window",      "ways round", "floor", "floors together",
                                        "mount",       "ground",     "read"};
    return words[kind];
}
