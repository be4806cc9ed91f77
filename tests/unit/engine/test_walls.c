/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_walls.c - crossed walls together: what the formula promises, by properties. */
#include "engine.h"

#include <criterion/criterion.h>
#include <gsl/gsl_deriv.h>
#include <gsl/gsl_rng.h>
#include <math.h>

static engine_sum stack(const double *losses, size_t n) {
    engine_sum sum = {.heaviest = EARSHOT_NONE};
    for (size_t i = 0; i < n; i++) {
        sum.sum_db += losses[i];
        sum.n++;
        if (sum.heaviest == EARSHOT_NONE || losses[i] > sum.heaviest_db) {
            sum.heaviest_db = losses[i];
            sum.heaviest = i;
        }
    }
    return sum;
}

static double loss_db(const double *losses, size_t n, double power) {
    engine_sum sum = stack(losses, n);
    return engine_walls(&sum, power).loss_db;
}

/* The project's rule: N equal walls of loss w lose N w N^(p-1). */
Test(walls, equal_walls) {
    for (int n = 1; n <= 12; n++)
        for (double power = 0.3; power <= 1.001; power += 0.1) {
            double losses[12];
            for (int i = 0; i < n; i++)
                losses[i] = 4.25;
            double p = fmin(power, 1);
            cr_expect_float_eq(loss_db(losses, (size_t)n, p), n * 4.25 * pow(n, p - 1), 1e-11,
                               "%d walls, power %g", n, p);
        }
}

Test(walls, nothing_and_one) {
    cr_expect_eq(loss_db(NULL, 0, 0.9), 0);
    cr_expect_float_eq(loss_db((double[]){7.5}, 1, 0.9), 7.5, 1e-12);
    cr_expect_eq(loss_db((double[]){0, 0}, 2, 0.9), 0);
    cr_expect_float_eq(loss_db((double[]){1, 2, 3}, 3, 1), 6, 1e-12,
                       "power 1 is the plain sum");
}

/* A wall that is added never lowers the loss, whatever it loses: 100,000 random stacks. */
Test(walls, one_more_never_lowers) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    for (int trial = 0; trial < 100000; trial++) {
        double losses[9], power = 0.3 + 0.7 * gsl_rng_uniform(rng);
        size_t n = gsl_rng_uniform_int(rng, 8);
        for (size_t i = 0; i <= n; i++)
            losses[i] = gsl_rng_uniform(rng) < 0.2 ? 1e-9 * gsl_rng_uniform(rng)
                                                   : 26 * gsl_rng_uniform(rng);
        double before = loss_db(losses, n, power), after = loss_db(losses, n + 1, power);
        cr_assert(after >= before - 1e-12, "%zu walls, power %g: %.17g, then %.17g", n, power,
                  before, after);
    }
    gsl_rng_free(rng);
}

/* A wall whose loss goes to nothing leaves no step behind. */
Test(walls, no_step_at_nothing) {
    double with[] = {20, 4, 1e-12}, without[] = {20, 4};
    cr_expect_float_eq(loss_db(with, 3, 0.9), loss_db(without, 2, 0.9), 1e-11);
}

struct moved {
    double losses[4], power;
    size_t which; /* 4: the power */
};

static double moved_loss(double value, void *who) {
    struct moved moved = *(struct moved *)who;
    if (moved.which < 4)
        moved.losses[moved.which] = value;
    else
        moved.power = value;
    return loss_db(moved.losses, 4, moved.power);
}

/* Derivatives against GSL: gsl_deriv_central. */
Test(walls, derivatives) {
    struct moved at = {.losses = {2, 6.5, 4, 3}, .power = 0.9};
    engine_sum sum = stack(at.losses, 4);
    engine_together together = engine_walls(&sum, at.power);
    for (at.which = 0; at.which <= 4; at.which++) {
        gsl_function function = {.function = moved_loss, .params = &at};
        double slope, error;
        gsl_deriv_central(&function, at.which < 4 ? at.losses[at.which] : at.power, 1e-4,
                          &slope, &error);
        double got = at.which == 4   ? together.per_power_db
                     : at.which == 1 ? together.per_db + together.per_heaviest_db
                                     : together.per_db;
        cr_expect_float_eq(got, slope, 1e-7, "%zu", at.which);
    }
}
