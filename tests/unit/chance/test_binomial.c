/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_binomial.c - the binomial distribution against Pascal's triangle and GSL. */
#include "chance.h"

#include <criterion/criterion.h>
#include <float.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const unsigned tries[] = {1, 2, 3, 10, 47, 200, 999, 1000};
static const double chances[] = {1e-9, 0.001, 0.02, 0.3, 0.5, 0.75, 0.98, 0.9999};

/* By hand: n fair tries, C(n, k) / 2^n, rows of Pascal's triangle, exact in double up to 50. */
Test(binomial, fair_tries_follow_pascals_triangle) {
    double row[51] = {1.0};
    for (unsigned n = 0; n <= 50; n++) {
        double at_most = 0.0;
        for (unsigned k = 0; k <= n; k++) {
            const double wanted = ldexp(row[k], -(int)n);
            at_most += row[k];
            const double wanted_at_most = ldexp(at_most, -(int)n);
            const double got = chance_binomial(k, n, 0.5);
            const double got_at_most = chance_binomial_at_most(k, n, 0.5);
            cr_expect(fabs(got - wanted) <= 1e-14 * wanted, "%u of %u: wanted %.17g, got %.17g",
                      k, n, wanted, got);
            cr_expect(fabs(got_at_most - wanted_at_most) <= 1e-13 * wanted_at_most,
                      "%u of %u: wanted %.17g, got %.17g", k, n, wanted_at_most, got_at_most);
        }
        for (unsigned k = n + 1; k > 0 && k <= 50; k--) {
            row[k] += row[k - 1];
        }
    }
}

/* GSL: gsl_ran_binomial_pdf. Its logs of factorials reach 5,912, which is rounded to 1e-12. */
Test(binomial, agrees_with_gsl) {
    for (size_t i = 0; i < COUNT(tries); i++) {
        for (size_t j = 0; j < COUNT(chances); j++) {
            for (unsigned k = 0; k <= tries[i]; k++) {
                const double wanted = gsl_ran_binomial_pdf(k, chances[j], tries[i]);
                const double got = chance_binomial(k, tries[i], chances[j]);
                cr_expect(fabs(got - wanted) <= 1e-11 * wanted + DBL_MIN,
                          "%u of %u at %g: wanted %.17g, got %.17g", k, tries[i], chances[j],
                          wanted, got);
            }
        }
    }
}

/* GSL: gsl_cdf_binomial_P, by the incomplete beta function. */
Test(binomial, at_most_agrees_with_gsl) {
    for (size_t i = 0; i < COUNT(tries); i++) {
        for (size_t j = 0; j < COUNT(chances); j++) {
            for (unsigned k = 0; k <= tries[i]; k++) {
                const double wanted = gsl_cdf_binomial_P(k, chances[j], tries[i]);
                const double got = chance_binomial_at_most(k, tries[i], chances[j]);
                cr_expect(fabs(got - wanted) <= 1e-11 * wanted + DBL_MIN,
                          "%u or fewer of %u at %g: wanted %.17g, got %.17g", k, tries[i],
                          chances[j], wanted, got);
            }
        }
    }
}

Test(binomial, certain_and_impossible_tries_are_exact) {
    for (size_t i = 0; i < COUNT(tries); i++) {
        const unsigned n = tries[i];
        for (unsigned k = 0; k <= n; k++) {
            cr_expect(chance_binomial(k, n, 0.0) == (k == 0), "%u of %u", k, n);
            cr_expect(chance_binomial(k, n, 1.0) == (k == n), "%u of %u", k, n);
            cr_expect(chance_binomial_at_most(k, n, 0.0) == 1.0, "%u of %u", k, n);
            cr_expect(chance_binomial_at_most(k, n, 1.0) == (k == n), "%u of %u", k, n);
        }
    }
}

Test(binomial, counts_outside_the_tries) {
    cr_expect(chance_binomial(0, 0, 0.3) == 1.0);
    cr_expect(chance_binomial_at_most(0, 0, 0.3) == 1.0);
    cr_expect(chance_binomial(4, 3, 0.3) == 0.0);
    cr_expect(chance_binomial_at_most(4, 3, 0.3) == 1.0);
}
