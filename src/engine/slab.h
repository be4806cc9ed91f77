/* SPDX-License-Identifier: GPL-3.0-or-later */
/* slab.h - plane layers of dielectric in air: what they let through.
 *
 * The theory of ITU-R P.2040 for a flat wall without studs, wires or edges, and a plane wave.
 */
#ifndef ENGINE_SLAB_H
#define ENGINE_SLAB_H

#include <stddef.h>

/* Relative permittivity, at least 1; conductivity, S/m; thickness, m. Air is 1 and 0. */
typedef struct engine_layer {
    double eta_real, sigma_s_per_m, thickness_m;
} engine_layer;

/* Electric field across the plane of incidence (TE) or in it (TM); BOTH is the mean of the two
 * powers. A wave that travels level, upright in its field, meets an upright wall as TE. */
enum engine_polarization { ENGINE_TE, ENGINE_TM, ENGINE_BOTH };

/* Shares of the power, 0 to 1. */
typedef struct engine_shares {
    double through, back;
} engine_shares;

/* A material at a frequency: eta = a f^b, sigma = c f^d, f in GHz; thickness left 0. */
engine_layer engine_dielectric(double a, double b, double c, double d, double freq_mhz);

/* What layers, in order, do to a wave at `angle_rad` from straight on, 0 to less than pi/2. No
 * layers: all through. Polarization TE or TM. */
engine_shares engine_slab_shares(const engine_layer *layers, size_t n, double freq_mhz,
                                 double angle_rad, enum engine_polarization polarization);

/* The loss, dB, 0 to 300 (a thick metal sheet: more cannot be told from nothing). */
double engine_slab_db(const engine_layer *layers, size_t n, double freq_mhz, double angle_rad,
                      enum engine_polarization polarization);

/* The loss that a wall of these layers counts for: both polarizations, the angle taken as 75
 * degrees at most, at most 6 dB more than straight on, at most 26 dB, since ways round it take
 * over. */
double engine_slab_panel_db(const engine_layer *layers, size_t n, double freq_mhz,
                            double angle_rad);

#endif
