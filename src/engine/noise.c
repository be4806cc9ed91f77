/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noise.c - thermal and man-made noise.
 *
 *   [P.372] Recommendation ITU-R P.372-17, Radio noise, man-made noise: Fam = c - d log f
 *           (f in MHz) with c, d for four kinds of surroundings. The form for cities from
 *           200 to 900 MHz, 44.3 - 12.3 log f, is of edition -8.
 *
 * All alarm bands lie above the 250 MHz that the four rows are stated for.
 */
#include <math.h>

#include "noise.h"

static const double boltzmann_j_per_k = 1.380649e-23; /* SI */
static const double noise_temperature_k = 290;        /* T0 of noise figures, IEEE */

/* [P.372] constants c, d in the order of the enum. */
static const struct {
    double c, d;
} man_made[] = {{76.8, 27.7}, {72.5, 27.7}, {67.2, 27.7}, {53.6, 28.6}};

double engine_man_made_db(enum survey_surroundings surroundings, double freq_mhz) {
    return man_made[surroundings].c - man_made[surroundings].d * log10(freq_mhz);
}

double engine_city_noise_db(double freq_mhz) {
    return 44.3 - 12.3 * log10(freq_mhz); /* [P.372] -8, city, 200 to 900 MHz */
}

double engine_thermal_dbm(double bandwidth_khz) {
    return 10 * log10(boltzmann_j_per_k * noise_temperature_k * 1e3 * bandwidth_khz * 1e3);
}

double engine_add_dbm(double first_dbm, double second_dbm) {
    if (isnan(first_dbm) ||
        isnan(second_dbm)) /* fmax would pass the other one off as the sum */
        return NAN;
    double high_dbm = fmax(first_dbm, second_dbm), low_dbm = fmin(first_dbm, second_dbm);
    if (isinf(low_dbm))
        return high_dbm;
    return high_dbm + 10 * log10(1 + pow(10, (low_dbm - high_dbm) / 10));
}
