/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_next.c - what a reading is worth: against GSL and drawn numbers, and by properties. How
 * much it helps in the end, tests/recover/chosen.c counts.
 */
#include "next.h"
#include "house.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static planning_asked asked_of(double required_db, double confidence, bool life_safety) {
    return (planning_asked){
        .required_db = required_db, .confidence = confidence, .life_safety = life_safety};
}

/* Nothing told: the chance itself, on the side of the verdict. With GSL's normal: mean 12, sd
 * 5, asked 10 at 0.9: P = 0.655 is not firm, so it is wrong as often. Mean 20: P = 0.977 is
 * firm. Ten times what is short and called firm where it guards life (design, section 6); what
 * is called short and holds costs nobody's life, and counts once. */
Test(next, nothing_told) {
    const planning_asked asked = asked_of(10, 0.9, false), life = asked_of(10, 0.9, true);
    planning_unsettled thin = planning_unsettled_of(12, 0, 25, &asked);
    cr_expect_float_eq(thin.wrong, gsl_cdf_ugaussian_P(0.4), 1e-6);
    cr_expect_float_eq(thin.weight, thin.wrong, 1e-12);
    cr_expect_eq(thin.open, 0);
    cr_expect_float_eq(planning_unsettled_of(20, 0, 25, &asked).wrong, gsl_cdf_ugaussian_Q(2),
                       1e-6);
    /* all told: no verdict is wrong */
    cr_expect_float_eq(planning_unsettled_of(12, 25, 0, &asked).wrong, 0, 1e-3);
    planning_unsettled firm = planning_unsettled_of(20, 0, 25, &life);
    cr_expect_float_eq(firm.wrong, gsl_cdf_ugaussian_Q(2), 1e-6);
    cr_expect_float_eq(firm.weight, 10 * gsl_cdf_ugaussian_Q(2), 1e-5);
    thin = planning_unsettled_of(12, 0, 25, &life);
    cr_expect_float_eq(thin.weight, gsl_cdf_ugaussian_P(0.4), 1e-6);
}

/* An sd of 12 that nobody read: not judged, so not wrong, and open. As sure as 99 in 100 it is
 * judged after all; so it is where it was read in place (design, section 2). */
Test(next, not_judged_is_open) {
    planning_asked asked = asked_of(10, 0.9, true);
    double short_chance = gsl_cdf_ugaussian_Q(0.5);
    planning_unsettled open = planning_unsettled_of(16, 0, 144, &asked);
    cr_expect_float_eq(open.wrong, 0, 1e-9);
    cr_expect_float_eq(open.open, 1, 1e-9);
    cr_expect_float_eq(open.weight, 1 - short_chance + 10 * short_chance, 1e-6);
    asked.life_safety = false;
    cr_expect_float_eq(planning_unsettled_of(16, 0, 144, &asked).weight, 1, 1e-9);
    cr_expect_float_eq(planning_unsettled_of(10 + 12 * 2.5, 0, 144, &asked).open, 0, 1e-9);
    cr_expect_float_eq(planning_unsettled_of(-12 * 2.5, 0, 144, &asked).open, 0, 1e-9);
    cr_expect_float_eq(planning_unsettled_of(-12 * 2.2, 0, 144, &asked).open, 1, 1e-9);
    asked.in_place = true;
    cr_expect_float_eq(planning_unsettled_of(16, 0, 144, &asked).open, 0, 1e-9);
}

enum { FIRM, NOT_FIRM, NOT_JUDGED };

/* The rules of design, section 2, by GSL's normal. */
static int said(double mean, double sd, double confidence) {
    bool doubtful = sd > 10;
    if (gsl_cdf_ugaussian_P((mean - 10) / sd) >=
        (doubtful ? fmax(confidence, 0.99) : confidence))
        return FIRM;
    return doubtful && gsl_cdf_ugaussian_Q(mean / sd) < 0.99 ? NOT_JUDGED : NOT_FIRM;
}

/* Margins drawn in two steps, what is told and what is left: the shares of verdicts wrong and
 * open, to four standard errors of 400,000 draws. */
Test(next, drawn_numbers_agree) {
    static const double cases[][4] = {
        {12, 9, 16, 0.9}, {15, 16, 9, 0.9}, {8, 20, 5, 0.95}, {25, 200, 121, 0.9}};
    enum { N = 400000 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 3);
    for (size_t i = 0; i < COUNT(cases); i++) {
        const double *of = cases[i];
        const planning_asked asked = asked_of(10, of[3], true);
        double wrong = 0, open = 0, weight = 0, weight_squares = 0;
        for (int k = 0; k < N; k++) {
            double mean = of[0] + gsl_ran_gaussian(random, sqrt(of[1]));
            double margin = mean + gsl_ran_gaussian(random, sqrt(of[2]));
            int verdict = said(mean, sqrt(of[2]), of[3]);
            bool holds = margin >= 10;
            double weighs = holds ? verdict != FIRM : 10 * (verdict != NOT_FIRM);
            wrong += verdict != NOT_JUDGED && (verdict == FIRM) != holds;
            open += verdict == NOT_JUDGED;
            weight += weighs;
            weight_squares += weighs * weighs;
        }
        planning_unsettled got = planning_unsettled_of(of[0], of[1], of[2], &asked);
        wrong /= N, open /= N, weight /= N;
        cr_expect_float_eq(got.wrong, wrong, 4 * sqrt(wrong * (1 - wrong) / N),
                           "case %zu: %g, %g", i, got.wrong, wrong);
        cr_expect_float_eq(got.open, open, 4 * sqrt(open * (1 - open) / N) + 1e-9,
                           "case %zu: %g, %g open", i, got.open, open);
        cr_expect_float_eq(got.weight, weight,
                           4 * sqrt((weight_squares / N - weight * weight) / N),
                           "case %zu: weight %g, %g", i, got.weight, weight);
    }
    gsl_rng_free(random);
}

/* The zone in doubt is read first; what readings settle and what is left add up; what is
 * certain without them does not pay. */
Test(next, what_is_chosen) {
    house house;
    planning_reading readings[5];
    planning_worth worth;
    house_open("a,sensor,868-10mw,,motion,\nb,sensor,868-10mw,,motion,\nc,sensor,868-10mw,,"
               "contact,\np,receiver,868-10mw,,,\n",
               "a,p,3,\nb,p,45,\"concrete,concrete,concrete,brick\"\nc,p,2,\n", &house);
    cr_assert_eq(planning_next(house.survey, house.belief, false, 5, NULL, readings, &worth),
                 EARSHOT_OK);
    cr_assert_eq(worth.n, 3);
    cr_assert_eq(worth.n_zones, 3);
    cr_expect_eq(readings[0].device, 1);
    double settled = 0;
    for (size_t i = 0; i < worth.n; i++) {
        settled += readings[i].settles;
        cr_expect_gt(readings[i].minutes, 2);
    }
    cr_expect_gt(readings[0].settles, 0);
    cr_expect_float_eq(worth.now.wrong + worth.now.open - settled,
                       worth.after.wrong + worth.after.open, 1e-9);
    cr_expect(readings[0].pays && !readings[2].pays);
    house_close(&house);
}

/* Of two zones alike, the one that guards life first, though it stands second; the verdicts
 * that it settles are fewer, since more is asked of it. */
Test(next, life_safety_first) {
    house house;
    planning_reading readings[2];
    planning_worth worth;
    house_open(
        "a,sensor,868-10mw,,contact,\nb,sensor,868-10mw,,smoke,\np,receiver,868-10mw,,,\n",
        "a,p,20,brick\nb,p,20,brick\n", &house);
    cr_assert_eq(planning_next(house.survey, house.belief, true, 2, NULL, readings, &worth),
                 EARSHOT_OK);
    cr_assert_eq(worth.n, 2);
    cr_expect_eq(readings[0].device, 1);
    house_close(&house);
}

static bool stop(void *who, double share_done) {
    (void)who;
    (void)share_done;
    return false;
}

Test(next, stopped_and_nothing) {
    house house;
    planning_reading readings[2];
    planning_worth worth = {.n = 7};
    const earshot_watch watch = {stop, NULL};
    house_open("a,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n", "a,p,30,brick\n",
               &house);
    cr_expect_eq(planning_next(house.survey, house.belief, true, 2, &watch, readings, &worth),
                 EARSHOT_STOPPED);
    cr_expect_eq(worth.n, 7, "untouched");
    house_close(&house);
}
