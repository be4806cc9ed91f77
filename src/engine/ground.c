/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ground.c - what the ground takes on a long open way.
 *
 * In the open the wave that the ground reflects meets the direct one, and beyond a break the
 * loss grows with the fourth power of distance, whatever the frequency. Both ends are taken to
 * be 1.5 m up (held, or on a post: common practice), since a path row says nothing of heights.
 *
 *   [Rappaport] T. S. Rappaport, Wireless Communications, ground reflection (two-ray) model;
 *               from memory: loss = 40 log10 d - 20 log10(h1 h2)
 *   [P.1411]    Recommendation ITU-R P.1411, short-range outdoor systems; from memory: in line
 *               of sight the slope breaks at 4 h1 h2 / lambda
 */
#include <math.h>

#include "engine.h"
#include "light.h"

static const double height_m = 1.5;

double engine_plane_earth_db(double distance_m) {
    return 40 * log10(distance_m) - 20 * log10(height_m * height_m);
}

double engine_break_m(double freq_mhz) {
    return 4 * height_m * height_m * freq_mhz * 1e6 / light_m_per_s;
}

double engine_ground_db(double freq_mhz, double distance_m, double so_far_db) {
    if (distance_m <= engine_break_m(freq_mhz))
        return 0;
    return fmax(engine_plane_earth_db(distance_m) - so_far_db, 0);
}
