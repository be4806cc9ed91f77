/* SPDX-License-Identifier: GPL-3.0-or-later */
/* questions.c - which single answers would settle most of the doubtful zones.
 *
 * For each parameter in turn its doubt is taken away and the mean kept: a thin link is settled
 * when it would then be firm, or out with the same confidence. Answers that are really one
 * question (one construction in many walls) count once for all links they touch.
 */
#include <math.h>
#include <stdlib.h>

#include "chance.h"
#include "planning.h"

/* What one parameter adds to a margin's variance, its share of all covariances included. */
static double share_db2(const earshot_belief *belief, const engine_features *features,
                        size_t at) {
    const double *row = belief->covariance + features->parameter[at] * belief->n;
    double with_others = 0;
    for (size_t j = 0; j < features->n; j++)
        with_others += row[features->parameter[j]] * features->value[j];
    double own = row[features->parameter[at]] * features->value[at];
    return features->value[at] * (2 * with_others - own);
}

static bool settled(const earshot_survey *survey, const earshot_link *link,
                    const earshot_prediction *prediction, double variance_db2) {
    double confidence = survey_confidence(survey, link->life_safety);
    double sd_db = sqrt(fmax(variance_db2, 1e-9));
    return chance_normal_below(prediction->spare_db / sd_db) >= confidence ||
           chance_normal_below(-prediction->margin_db / sd_db) >= confidence;
}

struct tally {
    size_t parameter, n_settled;
    double variance_db2;
};

static void count_link(const earshot_survey *survey, const earshot_belief *belief,
                       const earshot_link *link, struct tally *tallies) {
    earshot_prediction prediction;
    engine_result result;
    if (earshot_links_predict(survey, belief, link, 1, &prediction) != EARSHOT_OK ||
        isnan(prediction.spare_db))
        return;
    earshot_link way = prediction.notes & EARSHOT_NOTE_WAY_BACK ? engine_way_back(link) : *link;
    engine_solve(survey, belief, &way, NULL, &result);
    double variance_db2 = prediction.margin_sd_db * prediction.margin_sd_db;
    for (size_t i = 0; i < result.features.n; i++) {
        double without_db2 = share_db2(belief, &result.features, i);
        struct tally *tally = &tallies[result.features.parameter[i]];
        tally->variance_db2 += without_db2;
        tally->n_settled += settled(survey, link, &prediction, variance_db2 - without_db2);
    }
}

static int by_use(const void *a, const void *b) {
    const struct tally *left = a, *right = b;
    if (left->n_settled != right->n_settled)
        return left->n_settled < right->n_settled ? 1 : -1;
    if (left->variance_db2 != right->variance_db2)
        return left->variance_db2 < right->variance_db2 ? 1 : -1;
    return (left->parameter > right->parameter) - (left->parameter < right->parameter);
}

static size_t device_of_listener(const earshot_survey *survey, size_t listener) {
    size_t row = 0;
    while (row + 1 < survey->n_devices && survey->devices[row].listener != listener)
        row++;
    return row;
}

planning_question planning_about(const earshot_survey *survey, size_t parameter) {
    planning_question question = {.row = 0};
    if (parameter < ENGINE_FIRST_CONSTRUCTION) {
        question.topic = parameter == ENGINE_EXPONENT ? PLANNING_EXPONENT : PLANNING_SATURATION;
    } else if (parameter < engine_mount(survey, 0)) {
        question.topic = PLANNING_CONSTRUCTION;
        question.row = parameter - ENGINE_FIRST_CONSTRUCTION;
    } else if (parameter < engine_radio(survey, 0)) {
        question.topic = PLANNING_MOUNT;
        question.row = parameter - engine_mount(survey, 0);
    } else if (parameter < engine_antennas(survey, 0)) {
        question.topic = PLANNING_RADIO;
        question.row = parameter - engine_radio(survey, 0);
    } else if (parameter < engine_antenna(survey, 0)) {
        question.topic = PLANNING_ANTENNAS;
        question.row = parameter - engine_antennas(survey, 0);
    } else {
        bool need = parameter >= engine_need(survey, 0);
        question.topic = need ? PLANNING_NEED : PLANNING_ANTENNA;
        question.row = device_of_listener(
            survey, parameter - (need ? engine_need(survey, 0) : engine_antenna(survey, 0)));
    }
    return question;
}

enum earshot_status planning_ask(const earshot_survey *survey, const earshot_belief *belief,
                                 const earshot_link *links, size_t n_links,
                                 planning_question questions[PLANNING_MAX_QUESTIONS],
                                 size_t *n_questions) {
    struct tally *tallies = calloc(belief->n, sizeof *tallies);
    if (!tallies)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < belief->n; i++)
        tallies[i].parameter = i;
    for (size_t i = 0; i < n_links; i++)
        count_link(survey, belief, &links[i], tallies);
    qsort(tallies, belief->n, sizeof *tallies, by_use);
    size_t n = 0;
    while (n < PLANNING_MAX_QUESTIONS && n < belief->n && tallies[n].variance_db2 > 0) {
        questions[n] = planning_about(survey, tallies[n].parameter);
        questions[n].n_settled = tallies[n].n_settled;
        questions[n].variance_db2 = tallies[n].variance_db2;
        n++;
    }
    *n_questions = n;
    free(tallies);
    return EARSHOT_OK;
}
