/* SPDX-License-Identifier: GPL-3.0-or-later */
/* likelihood.c - what one observation makes of a normal belief about its level.
 *
 * All forms go through the chance Z(m) of what was seen as a function of the mean m believed
 * before: afterwards, with variance v before,
 *
 *     mean = m + v Z'/Z,   variance = v + v^2 (Z''/Z - (Z'/Z)^2)
 *
 * (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, section 3.9, for the
 * general form). A meter's noise is Student's t with 4 degrees, for slips of the pencil:
 * written as a mixture of normals, chance of the precision w being that of a gamma with shape
 * and rate 2, everything stays in closed form. Only a count of trips is summed over a table.
 *
 * Three devices in a hundred that are not heard are dead, asleep or not enrolled, wherever they
 * stand. Judgement, no source.
 */
#include <math.h>

#include "calibration.h"
#include "observations.h"

static const double dead_chance = 0.03;

static double square(double x) {
    return x * x;
}

/* ---- tails ---- */

/* Steps even in log w: the sum over them is exact to what matters, since the integrand falls
 * off at both ends. The least w decides how far out the tail holds: 1 % at 40 sds, 80 dB. */
static const double least_w = 0.0005, most_w = 6;

void calibration_tails_make(calibration_tails *tails) {
    double sum = 0;
    for (int i = 0; i < CALIBRATION_N_TAILS; i++) {
        double w = least_w * pow(most_w / least_w, (double)i / (CALIBRATION_N_TAILS - 1));
        tails->chance[i] = square(w) * exp(-2 * w); /* gamma density times w, for the log */
        tails->scale[i] = 1 / sqrt(w);
        sum += tails->chance[i];
    }
    for (int i = 0; i < CALIBRATION_N_TAILS; i++)
        tails->chance[i] /= sum;
}

/* ---- levels ---- */

/* Z and its two derivatives, all times exp(-log_scale). */
struct chance {
    double z, first, second, log_scale;
};

static calibration_moments moments_of(const struct chance *chance, double mean,
                                      double variance) {
    double slope = chance->first / chance->z;
    double left = variance + square(variance) * (chance->second / chance->z - square(slope));
    return (calibration_moments){mean + variance * slope, fmax(left, 1e-6 * variance),
                                 log(chance->z) + chance->log_scale};
}

/* Calls `add` for each normal that the noise is made of. */
struct mixing {
    const calibration_observation *of;
    double mean, variance;
    struct chance chance;
};

static void mix(struct mixing *mixing,
                void (*add)(struct mixing *mixing, double chance, double sd_db)) {
    double known_db2 = mixing->variance + square(mixing->of->normal_sd_db);
    calibration_tails tails;
    if (mixing->of->meter_sd_db == 0) {
        add(mixing, 1, sqrt(known_db2));
        return;
    }
    calibration_tails_make(&tails);
    for (int i = 0; i < CALIBRATION_N_TAILS; i++)
        add(mixing, tails.chance[i],
            sqrt(known_db2 + square(mixing->of->meter_sd_db * tails.scale[i])));
}

/* The widest normal decides how small the chance can get, and is what all are measured by. */
static double widest_log(const struct mixing *mixing) {
    double widest_db2 = mixing->variance + square(mixing->of->normal_sd_db);
    if (mixing->of->meter_sd_db > 0)
        widest_db2 += square(mixing->of->meter_sd_db) / least_w;
    return -0.5 * square(mixing->of->level_dbm - mixing->mean) / widest_db2;
}

static void add_level(struct mixing *mixing, double chance, double sd_db) {
    static const double root_two_pi = 2.5066282746310002;
    double off = (mixing->of->level_dbm - mixing->mean) / sd_db;
    double density =
        chance * exp(-0.5 * square(off) - mixing->chance.log_scale) / (sd_db * root_two_pi);
    mixing->chance.z += density;
    mixing->chance.first += density * off / sd_db;
    mixing->chance.second += density * (square(off) - 1) / square(sd_db);
}

static void add_between(struct mixing *mixing, double chance, double sd_db) {
    double low = (mixing->of->low_dbm - mixing->mean) / sd_db;
    double high = (mixing->of->high_dbm - mixing->mean) / sd_db;
    double at_low = chance_normal_density(low), at_high = chance_normal_density(high);
    double below_high = chance_normal_below(high), below_low = chance_normal_below(low);
    if (low > 0) { /* the other tail, where differences are exact */
        below_high = -chance_normal_below(-high);
        below_low = -chance_normal_below(-low);
    }
    mixing->chance.z += chance * (below_high - below_low);
    mixing->chance.first += chance * (at_low - at_high) / sd_db;
    mixing->chance.second +=
        chance * ((isinf(low) ? 0 : low * at_low) - (isinf(high) ? 0 : high * at_high)) /
        square(sd_db);
}

/* An outlier beyond all that the noise allows teaches nothing. */
static calibration_moments learn_level(const calibration_observation *of, double mean,
                                       double variance) {
    struct mixing mixing = {.of = of, .mean = mean, .variance = variance};
    if (of->kind == CALIBRATION_LEVEL) {
        mixing.chance.log_scale = widest_log(&mixing);
        mix(&mixing, add_level);
    } else {
        mix(&mixing, add_between);
    }
    if (of->kind == CALIBRATION_SILENT) {
        mixing.chance.z = dead_chance + (1 - dead_chance) * mixing.chance.z;
        mixing.chance.first *= 1 - dead_chance;
        mixing.chance.second *= 1 - dead_chance;
    }
    if (!(mixing.chance.z > 1e-290))
        return (calibration_moments){mean, variance, -690};
    return moments_of(&mixing.chance, mean, variance);
}

/* ---- counts ---- */

static const double counts_from_db = -35, counts_step_db = 0.25;

static double counts_at_db(int i) {
    return counts_from_db + i * counts_step_db;
}

static double one_count(double k_db, double margin_db, unsigned heard, unsigned trips) {
    return chance_binomial(heard, trips, calibration_heard_chance(margin_db, k_db));
}

void calibration_count_chances(double k_db, double session_sd_db, unsigned heard,
                               unsigned trips, calibration_counted *out) {
    double exact[CALIBRATION_N_COUNTS];
    double dead = heard == 0 ? dead_chance : 0;
    int reach = (int)(6 * session_sd_db / counts_step_db);
    for (int i = 0; i < CALIBRATION_N_COUNTS; i++)
        exact[i] = one_count(k_db, counts_at_db(i), heard, trips);
    for (int i = 0; i < CALIBRATION_N_COUNTS; i++) {
        double sum = 0, weights = 0;
        for (int j = -reach; j <= reach; j++) {
            int at = i + j < 0                      ? 0
                     : i + j < CALIBRATION_N_COUNTS ? i + j
                                                    : CALIBRATION_N_COUNTS - 1;
            double weight = session_sd_db > 0
                                ? chance_normal_density(j * counts_step_db / session_sd_db)
                                : 1;
            sum += weight * exact[at];
            weights += weight;
        }
        out->chance[i] = dead + (1 - dead_chance) * sum / weights;
    }
}

/* Chance, and moments about the mean before, of one piece of the margin with a flat chance. */
struct sums {
    double z, first, second;
};

static void add_piece(struct sums *sums, double chance, double low, double high, double sd) {
    double at_low = isinf(low) ? 0 : chance_normal_density(low);
    double at_high = isinf(high) ? 0 : chance_normal_density(high);
    double inside = low > 0 ? chance_normal_below(-low) - chance_normal_below(-high)
                            : chance_normal_below(high) - chance_normal_below(low);
    double turn = (isinf(low) ? 0 : low * at_low) - (isinf(high) ? 0 : high * at_high);
    sums->z += chance * inside;
    sums->first += chance * sd * (at_low - at_high);
    sums->second += chance * sd * sd * (inside + turn);
}

static calibration_moments learn_count(const calibration_observation *of, double mean,
                                       double variance) {
    double sd = sqrt(variance), from = -INFINITY;
    struct sums sums = {0};
    for (int i = 0; i < CALIBRATION_N_COUNTS; i++) {
        double to = i + 1 == CALIBRATION_N_COUNTS
                        ? INFINITY
                        : (counts_at_db(i) + counts_step_db / 2 - mean) / sd;
        add_piece(&sums, of->counted->chance[i], from, to, sd);
        from = to;
    }
    if (!(sums.z > 1e-290))
        return (calibration_moments){mean, variance, -690};
    double shift = sums.first / sums.z;
    return (calibration_moments){
        mean + shift, fmax(sums.second / sums.z - square(shift), 1e-6 * variance), log(sums.z)};
}

calibration_moments calibration_learn(const calibration_observation *of, double mean,
                                      double variance) {
    return of->kind == CALIBRATION_COUNT ? learn_count(of, mean, variance)
                                         : learn_level(of, mean, variance);
}
