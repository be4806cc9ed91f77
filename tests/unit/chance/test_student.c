/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_student.c - Student's t against GSL, a closed form and printed quantiles. */
#include "chance.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>

/* GSL: the incomplete beta function (Abramowitz and Stegun 26.5.27), for gsl_cdf_tdist_P is an
 * approximation beyond 30 degrees of freedom. */
Test(student, below_agrees_with_gsl) {
    static const double nus[] = {2, 3, 4.5, 8, 30, 41.5, 55, 120, 500, 2000};
    for (size_t i = 0; i < sizeof nus / sizeof *nus; i++)
        for (double t = -40; t < 0; t += 0.25) {
            const double wanted =
                gsl_cdf_beta_P(nus[i] / (nus[i] + t * t), nus[i] / 2, 0.5) / 2;
            const double got = chance_student_below(t, nus[i]);
            if (wanted >= 1e-30)
                cr_expect(fabs(got - wanted) <= 1e-8 * wanted, "t %g, nu %g: %.12g, %.12g", t,
                          nus[i], wanted, got);
            cr_expect_float_eq(chance_student_below(-t, nus[i]), 1 - wanted, 1e-8);
        }
}

/* With two degrees of freedom it is 1/2 + t / (2 sqrt(2 + t^2)), by hand. */
Test(student, two_degrees) {
    for (double t = 0; t < 5; t += 0.5)
        cr_expect_float_eq(chance_student_below(t, 2), 0.5 + t / (2 * sqrt(2 + t * t)), 1e-12);
}

/* Any table of quantiles, 0.975: 2.042 for 30, 2.000 for 60, 1.980 for 120 (from memory). */
Test(student, printed_quantiles) {
    cr_expect_float_eq(chance_student_below(2.042, 30), 0.975, 3e-5);
    cr_expect_float_eq(chance_student_below(2.000, 60), 0.975, 3e-5);
    cr_expect_float_eq(chance_student_below(1.980, 120), 0.975, 3e-5);
    cr_expect(chance_student_below(0, 7) == 0.5);
}
