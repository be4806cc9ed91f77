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

/* Nothing told: the chance itself, on the side of the verdict. With GSL's normal: mean 12, sd
 * 5, asked 10 at 0.9: P = 0.655 is not firm, so it is wrong as often. Mean 20: P = 0.977 is
 * firm. */
Test(next, nothing_told) {
    cr_expect_float_eq(planning_wrong_chance(12, 0, 25, 10, 0.9), gsl_cdf_ugaussian_P(0.4),
                       1e-6);
    cr_expect_float_eq(planning_wrong_chance(20, 0, 25, 10, 0.9), gsl_cdf_ugaussian_Q(2), 1e-6);
    /* all told: no verdict is wrong */
    cr_expect_float_eq(planning_wrong_chance(12, 25, 0, 10, 0.9), 0, 1e-3);
}

/* Margins drawn in two steps, what is told and what is left: the share of wrong verdicts, to
 * four standard errors of 400,000 draws. */
Test(next, drawn_numbers_agree) {
    static const double cases[][4] = {{12, 9, 16, 0.9}, {15, 16, 9, 0.9}, {8, 20, 5, 0.95}};
    enum { N = 400000 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 3);
    for (size_t i = 0; i < COUNT(cases); i++) {
        const double *of = cases[i];
        double wrong = 0;
        for (int k = 0; k < N; k++) {
            double mean = of[0] + gsl_ran_gaussian(random, sqrt(of[1]));
            double margin = mean + gsl_ran_gaussian(random, sqrt(of[2]));
            bool firm = gsl_cdf_ugaussian_P((mean - 10) / sqrt(of[2])) >= of[3];
            wrong += firm != (margin >= 10);
        }
        double got = planning_wrong_chance(of[0], of[1], of[2], 10, of[3]), share = wrong / N;
        cr_expect_float_eq(got, share, 4 * sqrt(share * (1 - share) / N), "case %zu: %g, %g", i,
                           got, share);
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
    cr_expect_float_eq(worth.wrong_now - settled, worth.wrong_after, 1e-9);
    cr_expect(readings[0].pays && !readings[2].pays);
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
