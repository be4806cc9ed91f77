/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_integrate.c - the quadrature against GSL's nodes and integrals known in closed form. */
#include "chance.h"

#include <criterion/criterion.h>
#include <float.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdbool.h>

/* Answers 1 at one call only, so that the integral is the weight of that call's node. */
typedef struct probe {
    size_t n_calls, answer_at;
    double place;
} probe;

static double answer_once(double x, void *who) {
    probe *asked = who;
    const bool now = asked->n_calls++ == asked->answer_at;
    if (now) {
        asked->place = x;
    }
    return now ? 1.0 : 0.0;
}

static double weight_in_gsl(const gsl_integration_glfixed_table *table, double place) {
    for (size_t i = 0; i < 16; i++) {
        double x, weight;
        gsl_integration_glfixed_point(-1.0, 1.0, i, &x, &weight, table);
        if (fabs(x - place) <= 2.0 * DBL_EPSILON) {
            return weight;
        }
    }
    return 0.0;
}

/* GSL: gsl_integration_glfixed_table_alloc(16). Each of the 16 nodes must be met once. */
Test(integrate, nodes_and_weights_are_those_of_gsl) {
    gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(16);
    cr_assert(table != NULL);
    double before[16];
    for (size_t i = 0; i < 16; i++) {
        probe asked = {.answer_at = i};
        const double got = chance_integrate(answer_once, &asked, -1.0, 1.0, 1);
        cr_expect(asked.n_calls == 16, "%zu calls", asked.n_calls);
        const double wanted = weight_in_gsl(table, asked.place);
        cr_expect(fabs(got - wanted) <= 2.0 * DBL_EPSILON,
                  "node %.17g: wanted %.17g, got %.17g", asked.place, wanted, got);
        for (size_t j = 0; j < i; j++) {
            cr_expect(before[j] != asked.place, "node %.17g comes twice", asked.place);
        }
        before[i] = asked.place;
    }
    gsl_integration_glfixed_table_free(table);
}

static double power(double x, void *who) {
    return gsl_pow_int(x, *(const int *)who);
}

/* By hand: x^n over [0, 1] is 1 / (n + 1). 16 nodes are exact up to degree 31. */
Test(integrate, polynomials_are_exact) {
    for (int n = 0; n <= 31; n++) {
        for (size_t n_pieces = 1; n_pieces <= 5; n_pieces++) {
            const double got = chance_integrate(power, &n, 0.0, 1.0, n_pieces);
            cr_expect(fabs(got - 1.0 / (n + 1)) <= 4.0 * DBL_EPSILON,
                      "x^%d in %zu pieces: wanted %.17g, got %.17g", n, n_pieces, 1.0 / (n + 1),
                      got);
        }
    }
}

static double wave(double x, void *who) {
    (void)who;
    return sin(x);
}

static double normal_density(double x, void *who) {
    (void)who;
    return exp(-0.5 * x * x) / sqrt(2.0 * M_PI);
}

/* By hand: sin over [0, 30] is 1 - cos 30; the normal density over 8 sds either way is erf. */
Test(integrate, smooth_functions_meet_their_closed_forms) {
    double got = chance_integrate(wave, NULL, 0.0, 30.0, 6);
    cr_expect(fabs(got - (1.0 - cos(30.0))) <= 1e-14, "got %.17g", got);
    got = chance_integrate(normal_density, NULL, -8.0, 8.0, 6);
    cr_expect(fabs(got - erf(8.0 / sqrt(2.0))) <= 1e-14, "got %.17g", got);
}

Test(integrate, limits_may_be_equal_or_turned_round) {
    cr_expect(chance_integrate(wave, NULL, 2.0, 2.0, 3) == 0.0);
    const double forth = chance_integrate(wave, NULL, 0.5, 2.0, 3);
    const double back = chance_integrate(wave, NULL, 2.0, 0.5, 3);
    cr_expect(fabs(forth + back) <= 4.0 * DBL_EPSILON, "%.17g and %.17g", forth, back);
    cr_expect(fabs(forth - (cos(0.5) - cos(2.0))) <= 4.0 * DBL_EPSILON, "got %.17g", forth);
}
