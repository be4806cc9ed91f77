/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_walls.c - crossed walls together: what the formula promises, by properties. */
#include "engine.h"

#include <criterion/criterion.h>
#include <gsl/gsl_deriv.h>
#include <gsl/gsl_rng.h>
#include <math.h>

/* Walls that lose what the tables say. */
static engine_sum stack(const double *losses, size_t n) {
    engine_sum sum = {0};
    for (size_t i = 0; i < n; i++) {
        sum.sum_db += losses[i];
        sum.table_db += losses[i];
        sum.heaviest_db = fmax(sum.heaviest_db, losses[i]);
        sum.n++;
    }
    return sum;
}

static double loss_db(const double *losses, size_t n, double power) {
    engine_sum sum = stack(losses, n);
    return engine_walls(&sum, power, power).loss_db;
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

/* Readings may tell of another loss and another power. By hand: two walls of 8 dB by the tables
 * and power 0.5 have N = 2 and lose 16 / sqrt 2 = 11.313708; 2 dB more in one of them is 2 /
 * sqrt 2 more; and a power of 0.6 is 11.313708 x ln 2 x 0.1 more. */
Test(walls, what_readings_tell) {
    engine_sum sum = stack((double[]){8, 8}, 2);
    cr_expect_float_eq(engine_walls(&sum, 0.5, 0.5).loss_db, 11.313708499, 1e-9);
    sum.sum_db += 2;
    cr_expect_float_eq(engine_walls(&sum, 0.5, 0.5).loss_db, 12.727922061, 1e-9);
    cr_expect_float_eq(engine_walls(&sum, 0.5, 0.6).loss_db, 12.727922061 + 0.784206515, 1e-9);
    sum.sum_db = 0;
    cr_expect_eq(engine_walls(&sum, 0.5, 0.4).loss_db, 0, "never a gain");
}

/* The slope of the power is that of S N^(p-1) itself, at the tables' own: GSL's
 * gsl_deriv_central. */
static double powered_loss(double power, void *losses) {
    return loss_db(losses, 4, power);
}

Test(walls, derivatives) {
    double losses[4] = {2, 6.5, 4, 3}, slope, error;
    engine_sum sum = stack(losses, 4), more = sum;
    engine_together together = engine_walls(&sum, 0.9, 0.9);
    gsl_function function = {.function = powered_loss, .params = losses};
    gsl_deriv_central(&function, 0.9, 1e-4, &slope, &error);
    cr_expect_float_eq(together.per_power_db, slope, 1e-7);
    more.sum_db += 1;
    cr_expect_float_eq(engine_walls(&more, 0.9, 0.9).loss_db - together.loss_db,
                       together.per_db, 1e-12);
}
