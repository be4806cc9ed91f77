/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_normal.c - the normal distribution against GSL and against printed fade margins. */
#include "chance.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <float.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>

/* GSL: gsl_cdf_ugaussian_P, which answers 0 below -37.519. The tolerance is the one normal.c
 * states, x^2 / 2 units in the last place, twice (GSL rounds as well), and a few units for the
 * two functions themselves. */
Test(normal, below_agrees_with_gsl_in_both_tails) {
    for (int i = -3750; i <= 3800; i++) {
        const double x = i / 100.0;
        const double wanted = gsl_cdf_ugaussian_P(x);
        const double got = chance_normal_below(x);
        const double tolerance = x < 0.0 ? (8.0 + x * x) * DBL_EPSILON : 8.0 * DBL_EPSILON;
        cr_expect(fabs(got - wanted) <= tolerance * wanted, "x %g: wanted %.17g, got %.17g", x,
                  wanted, got);
    }
}

/* GSL: gsl_ran_ugaussian_pdf. exp magnifies the rounding of x^2 / 2 by x^2 / 2. */
Test(normal, density_agrees_with_gsl) {
    for (int i = -3700; i <= 3700; i++) {
        const double x = i / 100.0;
        const double wanted = gsl_ran_ugaussian_pdf(x);
        const double got = chance_normal_density(x);
        cr_expect(fabs(got - wanted) <= (8.0 + x * x) * DBL_EPSILON * wanted,
                  "x %g: wanted %.17g, got %.17g", x, wanted, got);
    }
}

/* GSL: gsl_cdf_ugaussian_Pinv. */
Test(normal, quantile_agrees_with_gsl) {
    for (int i = 1; i < 1000; i++) {
        const double wanted = gsl_cdf_ugaussian_Pinv(i / 1000.0);
        const double got = chance_normal_quantile(i / 1000.0);
        cr_expect(fabs(got - wanted) <= 1e-9, "p %g: wanted %.17g, got %.17g", i / 1000.0,
                  wanted, got);
    }
}

Test(normal, ends) {
    cr_expect(chance_normal_below(-INFINITY) == 0.0);
    cr_expect(chance_normal_below(0.0) == 0.5);
    cr_expect(chance_normal_below(INFINITY) == 1.0);
    cr_expect(chance_normal_density(INFINITY) == 0.0);
    cr_expect(chance_normal_density(-INFINITY) == 0.0);
}

/* A printed margin is right when the coverage lies between those of its rounding's two ends. */
Test(normal, meets_the_printed_margins) {
    vectors *table = vectors_read("lognormal_margin.csv");
    for (size_t row = 0; row < vectors_n_rows(table); row++) {
        const double coverage = vectors_number(table, row, "coverage_pct") / 100.0;
        const double sigma_db = vectors_number(table, row, "sigma_db");
        const double margin_db = vectors_number(table, row, "margin_db");
        const double tol_db = vectors_number(table, row, "tol_db");
        const double low = chance_normal_below((margin_db - tol_db) / sigma_db);
        const double high = chance_normal_below((margin_db + tol_db) / sigma_db);
        cr_expect(low <= coverage && coverage <= high,
                  "row %zu (%s): %g dB at sigma %g: wanted %g, got %.12g to %.12g", row + 2,
                  vectors_text(table, row, "source"), margin_db, sigma_db, coverage, low, high);
    }
    vectors_free(table);
}
