/* SPDX-License-Identifier: GPL-3.0-or-later */
/* p1238.c - indoor loss by distance alone.
 *
 *   [P.1238] Recommendation ITU-R P.1238, editions to -9; the number of the equation is from
 *            memory
 */
#include <math.h>

#include "p1238.h"

double engine_p1238_db(double freq_mhz, double power_loss_n, double distance_m,
                       double floors_db) {
    /* [P.1238] -9 eq. (1) */
    return 20 * log10(freq_mhz) + power_loss_n * log10(fmax(distance_m, 1)) + floors_db - 28;
}

double engine_p1238_house_db(double freq_mhz, double distance_m, unsigned floors) {
    return engine_p1238_db(freq_mhz, 28, distance_m, 4 * (double)floors);
}

double engine_p1238_office_db(double freq_mhz, double distance_m, unsigned floors) {
    static const double floors_db[] = {0, 9, 19, 24};
    return engine_p1238_db(freq_mhz, 33, distance_m, floors_db[floors < 3 ? floors : 3]);
}
