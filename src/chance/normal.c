/* SPDX-License-Identifier: GPL-3.0-or-later */
/* normal.c - the normal distribution.
 *
 * By erfc, not erf: 1 + erf(x) would lose the lower tail, where the chance of a bad link lives.
 * What is lost is the rounding of x / sqrt(2), a relative error of about x^2 / 2 units in the
 * last place.
 */
#include "chance.h"

#include <math.h>

static const double sqrt_half = 0.70710678118654752440;       /* 1 / sqrt(2) */
static const double density_at_zero = 0.39894228040143267794; /* 1 / sqrt(2 pi) */

double chance_normal_below(double x) {
    return 0.5 * erfc(-x * sqrt_half);
}

double chance_normal_density(double x) {
    return density_at_zero * exp(-0.5 * x * x);
}

/* Halving: it is asked a few times for a survey, and every step is sure. */
double chance_normal_quantile(double p) {
    double low = -8, high = 8;
    for (int i = 0; i < 40; i++) {
        double middle = (low + high) / 2;
        *(chance_normal_below(middle) < p ? &low : &high) = middle;
    }
    return (low + high) / 2;
}
