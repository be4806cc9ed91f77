/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_questions.c - which single answers would settle most of the doubtful zones.
 */
#include "house.h"
#include "planning.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>

enum { MOST = 16 };

/* Thin zones behind four walls of one construction: it is asked about before anything else. */
Test(questions, the_shared_wall_is_asked_first) {
    house house;
    planning_question questions[PLANNING_MAX_QUESTIONS];
    earshot_link links[MOST];
    size_t n = 0;
    house_open(
        "a,sensor,868-10mw,,motion,\nb,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n",
        "a,p,60,\"foil,foil,foil\"\nb,p,70,\"foil,foil,foil,brick\"\n", &house);
    size_t n_links = earshot_survey_links(house.survey, links, MOST);
    cr_assert_eq(planning_ask(house.survey, house.belief, links, n_links, questions, &n),
                 EARSHOT_OK);
    cr_assert_eq(n, 3);
    cr_expect_eq(questions[0].topic, PLANNING_CONSTRUCTION);
    cr_expect_str_eq(house.survey->constructions[questions[0].row].name, "foil-insulation");
    cr_expect_geq(questions[0].n_settled, questions[1].n_settled);
    cr_expect_geq(questions[1].n_settled, questions[2].n_settled);
    house_close(&house);
}

/* The parameter that a question is about. */
static size_t parameter_of(const house *house, const planning_question *question) {
    const survey_device *device = &house->survey->devices[question->row];
    switch (question->topic) {
    case PLANNING_EXPONENT:
        return ENGINE_EXPONENT;
    case PLANNING_SATURATION:
        return ENGINE_SATURATION;
    case PLANNING_CONSTRUCTION:
        return ENGINE_FIRST_CONSTRUCTION + question->row;
    case PLANNING_MOUNT:
        return engine_mount(house->survey, question->row);
    case PLANNING_RADIO:
        return engine_radio(house->survey, question->row);
    case PLANNING_ANTENNAS:
        return engine_antennas(house->survey, question->row);
    case PLANNING_ANTENNA:
        return engine_antenna(house->survey, device->listener);
    case PLANNING_NEED:
        return engine_need(house->survey, device->listener);
    }
    return EARSHOT_NONE;
}

/* Takes all doubt of a parameter, its covariances too, off a belief; `kept` gets them. */
static void forget_doubt(earshot_belief *belief, size_t parameter, double *kept) {
    for (size_t i = 0; i < belief->n; i++) {
        kept[i] = belief->covariance[parameter * belief->n + i];
        belief->covariance[parameter * belief->n + i] = 0;
        belief->covariance[i * belief->n + parameter] = 0;
    }
}

static void restore_doubt(earshot_belief *belief, size_t parameter, const double *kept) {
    for (size_t i = 0; i < belief->n; i++) {
        belief->covariance[parameter * belief->n + i] = kept[i];
        belief->covariance[i * belief->n + parameter] = kept[i];
    }
}

/* Firm, or out as surely: GSL, gsl_cdf_ugaussian_P. */
static bool settled(const earshot_prediction *prediction) {
    double sd = prediction->margin_sd_db;
    return gsl_cdf_ugaussian_P(prediction->spare_db / sd) >= 0.90 ||
           gsl_cdf_ugaussian_P(-prediction->margin_db / sd) >= 0.90;
}

/* What a question takes off the variance and how many links it settles, against predictions
 * under a belief in which that parameter is known, by brute force. Once with the prior, once
 * with correlated parameters. The sensors do not listen: which way of a two-way link decides is
 * taken as it is, and may change with an answer. */
Test(questions, against_a_belief_that_knows_the_answer) {
    for (int correlated = 0; correlated < 2; correlated++) {
        house house;
        planning_question questions[PLANNING_MAX_QUESTIONS];
        earshot_link links[MOST];
        size_t n = 0, n_settled = 0;
        house_open("a,sensor,868-fob,floor-level,motion,\nb,sensor,868-fob,,motion,\n"
                   "c,sensor,868-25mw,,motion,\np,receiver,868-10mw,,,\n",
                   "a,p,60,\"foil,brick,timber floor\"\nb,p,70,\"foil,foil,brick\"\n"
                   "c,p,80,\"brick,brick,brick\"\n",
                   &house);
        earshot_belief *belief = house.belief;
        double kept[600];
        cr_assert_leq(belief->n, sizeof kept / sizeof *kept);
        for (size_t i = 0; correlated && i < belief->n; i++)
            for (size_t j = 0; j < belief->n; j++)
                if (i != j)
                    belief->covariance[i * belief->n + j] = 0.001 * (double)((i + j) % 5);
        size_t n_links = earshot_survey_links(house.survey, links, MOST);
        cr_assert_eq(planning_ask(house.survey, belief, links, n_links, questions, &n),
                     EARSHOT_OK);
        cr_assert_eq(n, PLANNING_MAX_QUESTIONS);
        for (size_t i = 0; i < n; i++) {
            size_t parameter = parameter_of(&house, &questions[i]), would_settle = 0;
            double less_db2 = 0;
            for (size_t j = 0; j < n_links; j++) {
                earshot_prediction before, after;
                earshot_links_predict(house.survey, belief, &links[j], 1, &before);
                forget_doubt(belief, parameter, kept);
                earshot_links_predict(house.survey, belief, &links[j], 1, &after);
                restore_doubt(belief, parameter, kept);
                less_db2 += before.margin_sd_db * before.margin_sd_db -
                            after.margin_sd_db * after.margin_sd_db;
                would_settle += after.margin_sd_db != before.margin_sd_db && settled(&after);
            }
            cr_expect_float_eq(questions[i].variance_db2, less_db2, 1e-9, "question %zu", i);
            cr_expect_eq(questions[i].n_settled, would_settle, "question %zu", i);
            n_settled += would_settle;
        }
        cr_expect_gt(n_settled, 0, "some answer settles something, else nothing was compared");
        house_close(&house);
    }
}

/* By hand: three walls of foil (8 +- 5 dB, materials/penetration.csv) lose 3 x 8 x 3^-0.1,
 * which moves by 3^0.9 = 2.687875 for each dB of foil: sd 13.439377, variance 180.616851,
 * of which half is of the construction: what one answer about it can take away. */
Test(questions, hand_worked_variance) {
    house house;
    planning_question questions[PLANNING_MAX_QUESTIONS];
    earshot_link link;
    size_t n = 0;
    house_open("a,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n",
               "a,p,60,\"foil,foil,foil\"\n", &house);
    cr_assert_eq(earshot_survey_links(house.survey, &link, 1), 1);
    cr_assert_eq(planning_ask(house.survey, house.belief, &link, 1, questions, &n), EARSHOT_OK);
    cr_assert_gt(n, 0);
    cr_expect_str_eq(house.survey->constructions[questions[0].row].name, "foil-insulation");
    cr_expect_float_eq(questions[0].variance_db2, 90.3084255, 1e-6);
    house_close(&house);
}
