/* SPDX-License-Identifier: GPL-3.0-or-later */
/* faded.c - a normal margin with a fade on it that is not normal.
 *
 * The fade of one place is fixed once the sensor hangs there, and unknown before: Rice or
 * Rayleigh in power, so skewed in dB, with deep holes and no high peaks. Its level less its
 * mean has mean 0; the chance that normal and fade together stay above a limit is an integral
 * over the normal,
 *
 *     P = integral of phi(z) P(fade > limit - mean - sd z) dz
 *
 * whose integrand falls from 1 to 0 over the width of the fade. The pieces of 16 nodes are as
 * many as it takes to follow that: 12 over the 16 sd of the normal, and 6 more for each time
 * that the normal is wider than the fade.
 *
 * The fade's own distribution is a sum of some ten to a hundred terms, and a map asks for it
 * millions of times; so it is tabulated once, in steps that are small against its spread, and
 * read between six neighbors. Tests hold the whole to 1e-8 against GSL.
 */
#include <math.h>
#include <stdbool.h>

#include "chance.h"

static const double reach_sd = 8;     /* the normal has 1e-15 beyond */
static const double steady_k_db = 50; /* a fade of 0.03 dB: nothing */
static const double fewest_pieces = 12, pieces_per_ratio = 6, most_pieces = 500;

static const double lowest_db = -95; /* below it lies less than 4e-10 of any fade */
static const double highest_db = 20; /* above it nothing */
static const double nothing = 1e-15; /* left above a level */
static const double sd_below = 60,
                    sd_above = 30; /* further off lies nothing of a steadier one */

void chance_fade_make(chance_fade *fade, double k_db) {
    fade->k_db = k_db;
    chance_rice_db(k_db, &fade->mean_db, &fade->sd_db);
    fade->low_db = fmax(lowest_db, fade->mean_db - sd_below * fade->sd_db);
    double high_db = fmin(highest_db, fade->mean_db + sd_above * fade->sd_db);
    fade->step_db = (high_db - fade->low_db) / (CHANCE_FADE_STEPS - 1);
    bool all = k_db >= steady_k_db; /* no step is read then */
    for (size_t i = 0; i < CHANCE_FADE_STEPS; i++) {
        fade->below[i] =
            all ? 1 : chance_rice_below(k_db, fade->low_db + fade->step_db * (double)i);
        all = all || 1 - fade->below[i] < nothing; /* the steps above take the most terms */
    }
}

/* By the polynomial through the six neighbors, Lagrange's form, t from the third of them. */
static double between_six(const double f[6], double t) {
    double a = t + 2, b = t + 1, c = t, d = t - 1, e = t - 2, g = t - 3;
    return -f[0] * b * c * d * e * g / 120 + f[1] * a * c * d * e * g / 24 -
           f[2] * a * b * d * e * g / 12 + f[3] * a * b * c * e * g / 12 -
           f[4] * a * b * c * d * g / 24 + f[5] * a * b * c * d * e / 120;
}

static double fade_below(const chance_fade *fade, double level_db) {
    double at = (level_db - fade->low_db) / fade->step_db;
    if (at < 2)
        return 0;
    if (at >= CHANCE_FADE_STEPS - 3)
        return 1;
    size_t i = (size_t)at;
    return between_six(&fade->below[i - 2], at - (double)i);
}

struct faded {
    const chance_fade *fade;
    double mean_db, sd_db, limit_db;
};

static double integrand(double z, void *who) {
    const struct faded *faded = who;
    double level_db =
        faded->limit_db - faded->mean_db - faded->sd_db * z + faded->fade->mean_db;
    return chance_normal_density(z) * (1 - fade_below(faded->fade, level_db));
}

static size_t n_pieces(double ratio) {
    return (size_t)fmin(fewest_pieces + pieces_per_ratio * ratio, most_pieces);
}

double chance_faded_above(double mean_db, double sd_db, const chance_fade *fade,
                          double limit_db) {
    struct faded faded = {fade, mean_db, sd_db, limit_db};
    if (fade->k_db >= steady_k_db && sd_db > 0)
        return chance_normal_below((mean_db - limit_db) / sd_db);
    if (sd_db > 0)
        return fmin(chance_integrate(integrand, &faded, -reach_sd, reach_sd,
                                     n_pieces(sd_db / fade->sd_db)),
                    1);
    return 1 - chance_rice_below(fade->k_db, limit_db - mean_db + fade->mean_db);
}
