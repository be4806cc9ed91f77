/* SPDX-License-Identifier: GPL-3.0-or-later */
/* student.c - Student's t: what a normal is, over an sd that was itself estimated.
 *
 * With t = sqrt(nu) tan(a) the density is the power nu - 1 of cos a, on which a tail and the
 * whole are integrals over an angle: no gamma function, and the tail keeps its digits.
 */
#include "chance.h"

#include <math.h>

static const double quarter_turn = 1.57079632679489661923;

static double density(double angle, void *power) {
    return pow(cos(angle), *(const double *)power);
}

/* The power falls fast beyond either end where it starts, so the pieces double in length. */
static double integral(double from, double power) {
    enum { DOUBLINGS = 10 };
    double sum = 0, length = (quarter_turn - from) / (1 << DOUBLINGS), at = from;
    for (int i = 0; i <= DOUBLINGS; i++) {
        double to = from + length * (double)(1 << i);
        sum += chance_integrate(density, &power, at, to, 1);
        at = to;
    }
    return sum;
}

double chance_student_below(double t, double nu) {
    double tail = 0.5 * integral(atan(fabs(t) / sqrt(nu)), nu - 1) / integral(0, nu - 1);
    return t < 0 ? tail : 1 - tail;
}
