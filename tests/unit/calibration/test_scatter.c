/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_scatter.c - what visits differ by: by hand, and against what normals were drawn with. */
#include "scatter.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

/* The middle half of 1, 2, 3, 4 is 2 and 3; of 1 ... 5 it is half of it 3, and 0.3 each 2 and
 * 4, for which 90 in place of 5 is the same. Without 90 it is 1 ... 4 again. By hand. */
Test(scatter, middle) {
    double four[] = {4, 1, 3, 2}, five[] = {90, 1, 3, 4, 2};
    cr_expect_float_eq(calibration_middle(four, 4), 2.5, 1e-12);
    cr_expect_float_eq(calibration_middle(five, 5), 3, 1e-12);
    cr_expect_float_eq(calibration_middle_of_others(five, 5, 90), 2.5, 1e-12);
    cr_expect_float_eq(calibration_middle_of_others(five, 2, 1), 1.5, 1e-12);
    cr_expect_eq(calibration_middle(NULL, 0), 0);
}

/* Normals 1.5 times as wide as stated: thirty stated links and 57 seen ones (three fitted) make
 * (30 + 57 x 2.25) / 87; two that are far off change little of it. */
Test(scatter, seen) {
    enum { N = 60, TIMES = 400 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    double sum = 0, sum_far = 0;
    gsl_rng_set(random, 1);
    for (int i = 0; i < TIMES; i++) {
        double away[N], far[N];
        for (int j = 0; j < N; j++)
            far[j] = away[j] = fabs(gsl_ran_gaussian(random, 1.5 * sqrt(57.0 / 60)));
        far[0] = far[1] = 20;
        const calibration_scatter seen = calibration_scatter_seen(away, N, 3);
        cr_expect_leq(seen.degrees, 30 + 57);
        cr_expect_geq(seen.degrees, 30 + 47);
        sum += seen.ratio * seen.ratio;
        sum_far += calibration_scatter_seen(far, N, 3).ratio;
    }
    double wanted = (30 + 57 * 2.25) / 87;
    cr_expect_float_eq(sum / TIMES, wanted, 0.1 * wanted, "%g, %g", sum / TIMES, wanted);
    cr_expect_float_eq(sum_far / TIMES, sqrt(wanted), 0.1, "%g", sum_far / TIMES);
    gsl_rng_free(random);
}

/* Nothing seen: as stated. 2 sds are as seldom as Student's t has it (GSL). */
Test(scatter, stated) {
    double away[] = {1, 2};
    const calibration_scatter stated = calibration_scatter_seen(away, 2, 1);
    cr_expect_eq(stated.ratio, 1);
    cr_expect_float_eq(calibration_scatter_chance(&stated, -7, 3.5), 2 * gsl_cdf_tdist_Q(2, 30),
                       1e-6);
}
