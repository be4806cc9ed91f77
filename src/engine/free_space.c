/* SPDX-License-Identifier: GPL-3.0-or-later */
/* free_space.c - the first meter, and the distance after it.
 *
 *   [P.525] Recommendation ITU-R P.525-4 (08/2019), Calculation of free-space attenuation; the
 *           equation number is from memory
 */
#include <math.h>

#include "engine.h"
#include "light.h"

static const double pi = 3.14159265358979323846;

double engine_first_meter_db(double freq_mhz) {
    /* [P.525] eq. (3): 20 log10(4 pi d / lambda); its rounded form (32.4 + ...) is 0.05 dB low
     */
    return 20 * log10(4 * pi * freq_mhz * 1e6 / light_m_per_s);
}

double engine_distance_db(double exponent, double distance_m) {
    return 10 * exponent * log10(fmax(distance_m, 1));
}
