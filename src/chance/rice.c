/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rice.c - fading: a steady part plus many scattered ones; with no steady part, Rayleigh.
 *
 * With K the ratio of the two powers, the power relative to its mean is G / (K + 1), where G is
 * gamma distributed with shape 1 + J and J is Poisson with mean K: half a noncentral chi-square
 * with two degrees of freedom (formula from memory; the tests integrate the Rice density with
 * GSL). A gamma of whole shape 1 + j lies below y exactly when a Poisson count I of mean y
 * exceeds j, so
 *
 *   P(power < x) = P(J < I),  I Poisson with mean y = (K + 1) x
 *
 * a sum of positive terms only: nothing cancels, however deep the fade. Poisson weights are
 * walked upward from well below their mode and divided by their sum at the end, so that no
 * factorial is needed and nothing overflows.
 */
#include "chance.h"

#include <math.h>
#include <stdbool.h>

static const double db_per_neper = 4.34294481903251827651; /* 10 / ln 10 */

/* A steadier signal counts as this steady: it moves by 0.006 dB (4.343 sqrt(2 / K)). */
static const double steadiest_k_db = 60.0;

/* Above this, the chance to be higher is at most exp(-100), for any K. */
static const double surely_below_db = 20.0;

/* Terms below this share of their sum are left out. */
static const double negligible = 1e-18;

static double steady_ratio(double k_db) {
    return pow(10.0, (k_db > steadiest_k_db ? steadiest_k_db : k_db) / 10.0);
}

/* Poisson weights up to a common factor. */
typedef struct poisson_walk {
    double mean, count, weight;
} poisson_walk;

/* Starts 12 standard deviations below the mean, or at 0: the weights left out come to less than
 * exp(-12^2 / 2) = 1e-31. The first weight is exp(-mean) at 0 and else, by Stirling, such that
 * the mode comes out near 1; it is never below exp(-12^2). */
static poisson_walk start_walk(double mean) {
    const double start = floor(mean - 12.0 * sqrt(mean));
    if (start > 0.0) {
        const double weight = exp(start - mean + start * log(mean / start));
        return (poisson_walk){.mean = mean, .count = start, .weight = weight};
    }
    return (poisson_walk){.mean = mean, .count = 0.0, .weight = exp(-mean)};
}

static void step_up(poisson_walk *walk) {
    walk->count += 1.0;
    walk->weight *= walk->mean / walk->count;
}

static bool has_more(const poisson_walk *walk, double sum) {
    return walk->count < walk->mean || walk->weight > negligible * sum;
}

double chance_rice_below(double k_db, double level_db) {
    if (level_db > surely_below_db) {
        return 1.0;
    }
    const double k = steady_ratio(k_db);
    const double y = (k + 1.0) * pow(10.0, level_db / 10.0);
    poisson_walk j = start_walk(k);
    poisson_walk i = start_walk(y);
    double sum_i = 0.0, sum_j = 0.0, sum_both = 0.0, term = 0.0;
    /* From term i to i + 1 the ratio is at most y (i + k) / (i (i + 1)): past where that falls
     * below 1, a negligible term is followed by negligible ones. */
    while (i.count * (i.count - 1.0) <= y * (i.count + k) || term > negligible * sum_both) {
        for (; j.count < i.count; step_up(&j)) {
            sum_j += j.weight;
        }
        term = i.weight * sum_j;
        sum_both += term;
        sum_i += i.weight;
        step_up(&i);
    }
    for (; has_more(&j, sum_j); step_up(&j)) {
        sum_j += j.weight;
    }
    const double chance = sum_both / sum_i / sum_j;
    return chance > 1.0 ? 1.0 : chance;
}

/* Of ln G, G gamma distributed: its digamma and trigamma at the shape. */
typedef struct log_moments {
    double mean, variance;
} log_moments;

/* The asymptotic series at shape + 16, stepped down to shape >= 1.
 * Series: Abramowitz and Stegun, Handbook of Mathematical Functions, 6.3.18 and 6.4.12; steps:
 * 6.3.5 and 6.4.6 (numbers from memory). The first term left out is below 1e-15. */
static log_moments log_gamma_moments(double shape) {
    const double far = shape + 16.0;
    const double r = 1.0 / (far * far);
    log_moments at = {
        .mean = log(far) - 0.5 / far -
                r * (1.0 / 12 - r * (1.0 / 120 - r * (1.0 / 252 - r * (1.0 / 240 - r / 132)))),
        .variance = 0.5 * r +
                    (1.0 + r * (1.0 / 6 - r * (1.0 / 30 -
                                               r * (1.0 / 42 - r * (1.0 / 30 - r * 5 / 66))))) /
                        far};
    for (double z = far - 1.0; z >= shape; z -= 1.0) {
        at.mean -= 1.0 / z;
        at.variance += 1.0 / (z * z);
    }
    return at;
}

static void next_shape(log_moments *at, double shape) {
    at->mean += 1.0 / shape;
    at->variance -= 1.0 / (shape * shape);
}

void chance_rice_db(double k_db, double *mean_db, double *sd_db) {
    const double k = steady_ratio(k_db);
    /* Moments about ln(K + 1), which is near the mean for a steady signal: nothing cancels. */
    const double center = log(k + 1.0);
    poisson_walk j = start_walk(k);
    log_moments given = log_gamma_moments(j.count + 1.0);
    double sum = 0.0, first = 0.0, second = 0.0;
    for (; has_more(&j, sum); step_up(&j)) {
        const double off = given.mean - center;
        sum += j.weight;
        first += j.weight * off;
        second += j.weight * (given.variance + off * off);
        next_shape(&given, j.count + 1.0);
    }
    const double mean = first / sum;
    *mean_db = db_per_neper * mean;
    *sd_db = db_per_neper * sqrt(second / sum - mean * mean);
}
