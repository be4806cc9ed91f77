/* SPDX-License-Identifier: GPL-3.0-or-later */
/* binomial.c - how many of n tries come through.
 *
 * The number of ways, C(n, k), is at most C(1000, 500) = 2.7e299 and fits a double as it is, so
 * no factorial and no gamma function is needed (C's lgamma writes a global, signgam). Sums run
 * away from k on the side that does not hold the mean: their terms only shrink, so small tails
 * keep their relative accuracy.
 */
#include "chance.h"

#include <math.h>

static double ways(unsigned k, unsigned n) {
    const unsigned fewer = k < n - k ? k : n - k;
    double count = 1.0;
    for (unsigned i = 1; i <= fewer; i++) {
        count = count * (n - fewer + i) / i;
    }
    return count;
}

double chance_binomial(unsigned k, unsigned n, double p) {
    if (k > n) {
        return 0.0;
    }
    if (p <= 0.0) {
        return k == 0 ? 1.0 : 0.0;
    }
    if (p >= 1.0) {
        return k == n ? 1.0 : 0.0;
    }
    return exp(log(ways(k, n)) + k * log(p) + (n - k) * log1p(-p));
}

/* P(k), P(k - 1), ... P(0), added. */
static double sum_down(unsigned k, unsigned n, double p) {
    const double step = (1.0 - p) / p;
    double term = chance_binomial(k, n, p);
    double sum = term;
    for (unsigned j = k; j > 0; j--) {
        term *= step * j / (n - j + 1);
        sum += term;
    }
    return sum;
}

/* P(k), P(k + 1), ... P(n), added. */
static double sum_up(unsigned k, unsigned n, double p) {
    const double step = p / (1.0 - p);
    double term = chance_binomial(k, n, p);
    double sum = term;
    for (unsigned j = k; j < n; j++) {
        term *= step * (n - j) / (j + 1);
        sum += term;
    }
    return sum;
}

double chance_binomial_at_most(unsigned k, unsigned n, double p) {
    if (k >= n || p <= 0.0) {
        return 1.0;
    }
    if (p >= 1.0) {
        return 0.0;
    }
    return k < n * p ? sum_down(k, n, p) : 1.0 - sum_up(k + 1, n, p);
}
