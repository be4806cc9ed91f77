/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_repeats.c - missed alarms and false losses against a seeded simulation, in the slow
 * state that all tries of one alarm share.
 */
#include "chance.h"
#include "repeats.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

static const engine_traffic weak = {.margin_db = 4,
                                    .slow_sd_db = 4,
                                    .time_k_db = 10,
                                    .lost_anyway = 0.02,
                                    .tries = 3,
                                    .check_in_min = 60,
                                    .trip_h = 4};

/* One try of a steady wave and a scattered one above the need, in the slow state `slow_db`. */
static int lost(gsl_rng *rng, const engine_traffic *traffic, double slow_db) {
    double k = pow(10, traffic->time_k_db / 10);
    double re = sqrt(k) + gsl_ran_gaussian_ziggurat(rng, sqrt(0.5));
    double im = gsl_ran_gaussian_ziggurat(rng, sqrt(0.5));
    double power = (re * re + im * im) / (k + 1);
    return gsl_rng_uniform(rng) < traffic->lost_anyway ||
           power < pow(10, -(traffic->margin_db + slow_db) / 10);
}

/* The same alarm if its tries were independent, (E p)^n: wrong. */
static double missed_if_independent(const engine_traffic *traffic) {
    engine_traffic once = *traffic;
    once.tries = 1;
    return pow(engine_missed_alarm(&once), traffic->tries);
}

/* 3.3 million alarms of three tries each, ten million transmissions, within 3 standard errors;
 * and the formula for independent tries shown to be wrong, by how much. */
Test(repeats, missed_alarms_against_a_simulation) {
    enum { N = 3333334 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    long missed = 0;
    for (int alarm = 0; alarm < N; alarm++) {
        double slow_db = gsl_ran_gaussian_ziggurat(rng, weak.slow_sd_db);
        int all = 1;
        for (unsigned i = 0; i < weak.tries; i++)
            all &= lost(rng, &weak, slow_db);
        missed += all;
    }
    double got = (double)missed / N, want = engine_missed_alarm(&weak);
    double error = sqrt(want * (1 - want) / N), wrong = missed_if_independent(&weak);
    cr_log_info(
        "missed: simulated %.6f, shared slow state %.6f, as if independent %.6f: %.0f times "
        "too few",
        got, want, wrong, want / wrong);
    cr_expect_float_eq(got, want, 3 * error);
    cr_expect_gt(fabs(got - wrong), 100 * error, "independent tries would be wrong");
    cr_expect_gt(want / wrong, 5);
    gsl_rng_free(rng);
}

/* False losses per hour by the formula, its means taken from a simulation of the slow state
 * alone: E[(1-p) p^m] / T + E[p^m] / 24 h with m = 4 check-ins of an hour missed. */
Test(repeats, false_losses_against_a_simulation) {
    enum { N = 2000000 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 2);
    double begun = 0, going = 0, squares = 0;
    for (int i = 0; i < N; i++) {
        double slow_db = gsl_ran_gaussian_ziggurat(rng, weak.slow_sd_db);
        double p =
            1 - 0.98 * (1 - chance_rice_below(weak.time_k_db, -(weak.margin_db + slow_db)));
        double rate = (1 - p) * pow(p, 4) + pow(p, 4) / 24;
        begun += (1 - p) * pow(p, 4);
        going += pow(p, 4) / 24;
        squares += rate * rate;
    }
    double mean = (begun + going) / N;
    cr_expect_float_eq(engine_false_losses_per_h(&weak), mean,
                       3 * sqrt((squares / N - mean * mean) / N));
    gsl_rng_free(rng);
}

Test(repeats, limits) {
    engine_traffic steady = weak;
    steady.slow_sd_db = 0;
    double p = 1 - 0.98 * (1 - chance_rice_below(10, -4));
    cr_expect_float_eq(engine_missed_alarm(&steady), p * p * p, 1e-12);
    cr_expect_float_eq(engine_missed_alarm(&steady), missed_if_independent(&steady), 1e-15);
    engine_traffic strong = weak;
    strong.margin_db = 80;
    cr_expect_float_eq(engine_missed_alarm(&strong), pow(0.02, 3), 1e-9, "collisions remain");
    engine_traffic silent = weak;
    silent.check_in_min = 0;
    cr_expect_eq(engine_false_losses_per_h(&silent), 0);
}

/* Powers of ten, never past 1 in 10,000. */
Test(repeats, words) {
    cr_expect_eq(engine_one_in(0.9), 1);
    cr_expect_eq(engine_one_in(0.1), 10);
    cr_expect_eq(engine_one_in(0.02), 100);
    cr_expect_eq(engine_one_in(0.05), 10);
    cr_expect_eq(engine_one_in(0.005), 100);
    cr_expect_eq(engine_one_in(1e-9), 10000);
    cr_expect_eq(engine_one_in(0), 10000);
}
