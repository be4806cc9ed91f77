/* SPDX-License-Identifier: GPL-3.0-or-later */
/* p1238.h - ITU-R P.1238, indoor loss by distance alone: a second opinion beside the walls.
 *
 * Its exponents have ordinary walls in them already, so it never joins the ledger.
 */
#ifndef ENGINE_P1238_H
#define ENGINE_P1238_H

/* The form of editions to -9: 20 log10 f + N log10 d + Lf - 28, f in MHz, d in m (1 m and
 * more). N is the power loss coefficient, floors_db the floor penetration loss. */
double engine_p1238_db(double freq_mhz, double power_loss_n, double distance_m,
                       double floors_db);

/* Power loss coefficient and floor loss for a house and an office, where the Recommendation has
 * them nearest to the alarm bands: a house at 1.8 to 2 GHz (N 28, 4 dB a floor), an office at
 * 900 MHz (N 33, 9, 19 and 24 dB for one, two and three floors, and no more known). */
double engine_p1238_house_db(double freq_mhz, double distance_m, unsigned floors);
double engine_p1238_office_db(double freq_mhz, double distance_m, unsigned floors);

#endif
