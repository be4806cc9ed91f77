/* SPDX-License-Identifier: GPL-3.0-or-later */
/* scatter.c - what visits differ by where nothing changed.
 *
 * A few links changed by themselves must not hide in a scatter that they made, so it is told in
 * two steps: the median tells roughly which links are far, the mean square of the others how
 * far they scatter. What so few tell is itself in doubt, and a difference is held against
 * Student's t with as many degrees of freedom as links had a say: against a normal, as if the
 * scatter were known, what is asked to be 5 false alarms is 7.
 */
#include "scatter.h"

#include <math.h>
#include <stdlib.h>

#include "chance.h"

static const double stated_counts_as = 30; /* links */

static double square(double x) {
    return x * x;
}

static int upward(const void *a, const void *b) {
    double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

static double median(double *values, size_t n) {
    if (n == 0)
        return 0;
    qsort(values, n, sizeof *values, upward);
    return n % 2 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

/* Of sorted values; the one at `skipped` has no say, n: all have. What a few links did by
 * themselves has no say in it either, and it is surer than the median. As for normals the
 * variance is 4 (the middle half's square sum, 0.0713, + 2 / 4 of 0.6745^2) / n. */
static double middle_sorted(const double *sorted, size_t n, size_t skipped) {
    size_t n_said = n - (skipped < n), at = 0;
    double sum = 0, cut = (double)n_said / 4;
    for (size_t i = 0; i < n; i++) {
        if (i == skipped)
            continue;
        double from = fmax((double)at, cut), to = fmin((double)at + 1, (double)n_said - cut);
        sum += fmax(to - from, 0) * sorted[i];
        at++;
    }
    return n_said ? 2 * sum / (double)n_said : 0;
}

double calibration_middle(double *values, size_t n) {
    if (n == 0) /* qsort wants a place even for nothing */
        return 0;
    qsort(values, n, sizeof *values, upward);
    return middle_sorted(values, n, n);
}

double calibration_middle_of_others(const double *sorted, size_t n, double own) {
    static const size_t least = 3;
    size_t i = 0;
    while (i < n && sorted[i] < own)
        i++;
    return middle_sorted(sorted, n, n < least ? n : i);
}

const double calibration_middle_error = 1.093;

/* The stated square, and a mean square that was seen, each for what it is worth. */
static double joined(double seen, double worth) {
    return (stated_counts_as + worth * seen) / (stated_counts_as + worth);
}

/* By the median: 0.6745 of a normal's sd, and as sure as the mean square of 0.37 as many. */
static double rough_square(double *away, size_t n, double n_free) {
    static const double worth = 0.37;
    double seen = square(median(away, n) / 0.6745) * (double)n / n_free;
    return joined(seen, worth * n_free);
}

/* Normals within c sds have 1 - 2 c phi(c) / (2 Phi(c) - 1) of the mean square of all. Within
 * three nearly all are, so that one is worth one. Nearer a cut finds a few more of several
 * links that fell, and is wrong about the scatter where it is more than stated. */
calibration_scatter calibration_scatter_seen(double *away, size_t n, size_t n_fitted) {
    static const double far_sds = 3;
    if (n < n_fitted + 2)
        return (calibration_scatter){1, stated_counts_as};
    double n_free = (double)(n - n_fitted); /* what was fitted took its share of the squares */
    double far = far_sds * sqrt(rough_square(away, n, n_free) * n_free / (double)n);
    double of_all = 1 - 2 * far_sds * chance_normal_density(far_sds) /
                            (2 * chance_normal_below(far_sds) - 1);
    double sum = 0;
    size_t n_near = 0;
    for (; n_near < n && away[n_near] <= far; n_near++)
        sum += square(away[n_near]);
    double worth = n_near > n_fitted ? (double)(n_near - n_fitted) : 0;
    double seen = worth > 0 ? sum / of_all / worth : 1;
    return (calibration_scatter){sqrt(joined(seen, worth)), stated_counts_as + worth};
}

double calibration_scatter_chance(const calibration_scatter *scatter, double off_db,
                                  double sd_db) {
    return 2 * chance_student_below(-fabs(off_db) / sd_db, scatter->degrees);
}
