/* SPDX-License-Identifier: GPL-3.0-or-later */
/* chance.h - the distributions the answers rest on. No radio words beyond fading.
 *
 * Everything an engine that runs without GSL needs is here in plain C, checked in the tests
 * against GSL. Probabilities are in [0, 1]; levels are in dB relative to the mean power.
 */
#ifndef CHANCE_CHANCE_H
#define CHANCE_CHANCE_H

#include <stddef.h>

/* P(X < x), X normal with mean 0 and sd 1. Full double accuracy in both tails (C erfc). */
double chance_normal_below(double x);

/* Density of the same. */
double chance_normal_density(double x);

/* The x below which X lies with chance p, 0 < p < 1: within 1e-9 between 1e-12 and 1 - 1e-12.
 */
double chance_normal_quantile(double p);

/* P(T < t), T Student's with `nu` >= 2 degrees of freedom: what a normal deviate is
 * in units of an sd that as many squares told. Relative error of the lower tail below 1e-8 down
 * to chances of 1e-30 (held to GSL in the tests). */
double chance_student_below(double t, double nu);

/* P(k of n), each with chance p. n up to 1,000; by logs, exact at p = 0 and p = 1. */
double chance_binomial(unsigned k, unsigned n, double p);

/* P(k or fewer of n). */
double chance_binomial_at_most(unsigned k, unsigned n, double p);

/* Chance that a fading signal lies below `level_db` relative to its mean power: Rice with
 * factor `k_db` (ratio of the steady part to the scattered part, dB); -INFINITY is Rayleigh. P
 * = 1 - Q1(sqrt(2K), sqrt(2(K+1)x)), Q1 the Marcum function, as a Poisson mixture of gamma
 * distributions: absolute error below 1e-12 for k_db <= 20. */
double chance_rice_below(double k_db, double level_db);

/* Mean and standard deviation of the level in dB relative to the mean power (for Rayleigh
 * -2.507 and 5.570): log moments of the same mixture by digamma and trigamma sums. `k_db` as
 * above. */
void chance_rice_db(double k_db, double *mean_db, double *sd_db);

/* A Rice fade worked out once, for many questions: read-only then, shared by threads. */
enum { CHANCE_FADE_STEPS = 2305 };
typedef struct chance_fade {
    double k_db; /* as above */
    double mean_db, sd_db;
    double low_db, step_db;
    double below[CHANCE_FADE_STEPS]; /* chance_rice_below from low_db on */
} chance_fade;
void chance_fade_make(chance_fade *fade, double k_db);

/* P(X + S >= limit): X normal with mean and sd, S the level in dB of the fade less its own
 * mean, so that it has mean 0 and keeps its skew. Absolute error below 1e-8 (held to GSL in the
 * tests). */
double chance_faded_above(double mean_db, double sd_db, const chance_fade *fade,
                          double limit_db);

/* Integral of f over [low, high] by composite Gauss-Legendre with `n_pieces` pieces of 16
 * nodes. */
double chance_integrate(double (*f)(double x, void *who), void *who, double low, double high,
                        size_t n_pieces);

#endif
