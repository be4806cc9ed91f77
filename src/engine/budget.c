/* SPDX-License-Identifier: GPL-3.0-or-later */
/* budget.c - what a listener needs, and what a maker's rated range is worth.
 *
 * Rated range: with both ends 1.5 m up, the claim lies between free space and the two-ray model
 * over plane earth, which begins where the two meet. The middle is taken and everything between
 * counts as evenly likely (sd = width / sqrt 12).
 *
 *   [P.525]     Recommendation ITU-R P.525-4 (08/2019)
 *   [Rappaport] T. S. Rappaport, Wireless Communications, ground reflection (two-ray) model;
 * from memory: loss = 40 log10 d - 20 log10(h1 h2)
 */
#include <math.h>

#include "engine.h"

static const double boltzmann_j_per_k = 1.380649e-23; /* SI */
static const double noise_temperature_k = 290;        /* T0 of noise figures, IEEE */
static const double rated_height_m = 1.5;             /* held, or on a post: common practice */

double engine_needed_dbm(const survey_radio *radio) {
    if (!isnan(radio->sensitivity_dbm))
        return radio->sensitivity_dbm;
    double noise_w = boltzmann_j_per_k * noise_temperature_k * radio->bandwidth_khz * 1e3;
    return 10 * log10(noise_w * 1e3) + radio->noise_figure_db + radio->snr_needed_db;
}

engine_claim engine_rated_range(double freq_mhz, double rated_range_m) {
    double low_db = engine_first_meter_db(freq_mhz) + engine_distance_db(2, rated_range_m);
    double plane_earth_db =
        40 * log10(rated_range_m) - 20 * log10(rated_height_m * rated_height_m);
    double high_db = fmax(low_db, plane_earth_db);
    return (engine_claim){.budget_db = (low_db + high_db) / 2,
                          .sd_db = (high_db - low_db) / sqrt(12)};
}
