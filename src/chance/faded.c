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
 */
#include <math.h>

#include "chance.h"

static const double reach_sd = 8;     /* the normal has 1e-15 beyond */
static const double steady_k_db = 50; /* a fade of 0.03 dB: nothing */
static const double fewest_pieces = 12, pieces_per_ratio = 6, most_pieces = 500;

struct faded {
    double mean_db, sd_db, k_db, limit_db, fade_mean_db;
};

static double integrand(double z, void *who) {
    const struct faded *faded = who;
    double level_db = faded->limit_db - faded->mean_db - faded->sd_db * z + faded->fade_mean_db;
    return chance_normal_density(z) * (1 - chance_rice_below(faded->k_db, level_db));
}

static size_t n_pieces(double ratio) {
    return (size_t)fmin(fewest_pieces + pieces_per_ratio * ratio, most_pieces);
}

double chance_faded_above(double mean_db, double sd_db, double k_db, double limit_db) {
    struct faded faded = {mean_db, sd_db, k_db, limit_db, 0};
    double fade_sd_db;
    if (k_db >= steady_k_db && sd_db > 0)
        return chance_normal_below((mean_db - limit_db) / sd_db);
    chance_rice_db(k_db, &faded.fade_mean_db, &fade_sd_db);
    if (sd_db > 0)
        return fmin(chance_integrate(integrand, &faded, -reach_sd, reach_sd,
                                     n_pieces(sd_db / fade_sd_db)),
                    1);
    return 1 - chance_rice_below(k_db, limit_db - mean_db + faded.fade_mean_db);
}
