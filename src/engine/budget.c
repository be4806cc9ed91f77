/* SPDX-License-Identifier: GPL-3.0-or-later */
/* budget.c - what a listener needs, and what a maker's rated range is worth.
 *
 * Rated range: the claim lies between free space and the two-ray model over plane earth
 * (ground.c), which begins where the two meet. The middle is taken and everything between
 * counts as evenly likely (sd = width / sqrt 12).
 *
 *   [P.525]     Recommendation ITU-R P.525-4 (08/2019)
 */
#include <math.h>

#include "engine.h"
#include "noise.h"

/* The form for cities that is meant for the alarm bands (noise.c). */
static const double city_form_low_mhz = 200, city_form_high_mhz = 900;

/* Where a radio does not say: narrow-band receivers of 25 to 100 kHz, and the signal that
 * simple keying needs above the noise. Judgement, no source. */
static const double usual_bandwidth_khz = 50, usual_snr_db = 10;

static double or_usual(double value, double usual) {
    return isnan(value) ? usual : value;
}

/* Power of the surroundings above what a receiver at T0 sees anyway, dBm; -INFINITY: none. */
static double outside_dbm(const survey_radio *radio, enum survey_surroundings surroundings) {
    if (surroundings == SURVEY_NO_SURROUNDINGS)
        return -INFINITY;
    bool city_form = surroundings == SURVEY_CITY && radio->freq_mhz >= city_form_low_mhz &&
                     radio->freq_mhz <= city_form_high_mhz;
    double man_made_db = city_form ? engine_city_noise_db(radio->freq_mhz)
                                   : engine_man_made_db(surroundings, radio->freq_mhz);
    double factor = pow(10, man_made_db / 10);
    double thermal_dbm =
        engine_thermal_dbm(or_usual(radio->bandwidth_khz, usual_bandwidth_khz));
    return factor > 1 ? thermal_dbm + 10 * log10(factor - 1) : -INFINITY;
}

double engine_needed_dbm(const survey_radio *radio, enum survey_surroundings surroundings,
                         double read_noise_dbm) {
    double snr_db = or_usual(radio->snr_needed_db, usual_snr_db);
    double own_dbm = radio->sensitivity_dbm - snr_db;
    if (isnan(radio->sensitivity_dbm)) {
        snr_db = radio->snr_needed_db;
        own_dbm = engine_thermal_dbm(radio->bandwidth_khz) + radio->noise_figure_db;
    }
    double needed_dbm = engine_add_dbm(own_dbm, outside_dbm(radio, surroundings)) + snr_db;
    /* what the listener reads has its own noise in it already: the signal stands on it directly
     */
    if (isinf(read_noise_dbm) || isnan(needed_dbm))
        return needed_dbm;
    return fmax(needed_dbm, read_noise_dbm + snr_db);
}

engine_claim engine_rated_range(double freq_mhz, double rated_range_m) {
    double low_db = engine_first_meter_db(freq_mhz) + engine_distance_db(2, rated_range_m);
    double high_db = fmax(low_db, engine_plane_earth_db(rated_range_m));
    return (engine_claim){.budget_db = (low_db + high_db) / 2,
                          .sd_db = (high_db - low_db) / sqrt(12)};
}
