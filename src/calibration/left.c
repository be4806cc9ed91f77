/* SPDX-License-Identifier: GPL-3.0-or-later */
/* left.c - what a reading would leave in doubt: conditioning of normals, in closed form.
 *
 * n readings of a common part with variance c, each with noise v, leave c v / (n c + v) of it.
 */
#include <math.h>

#include "calibration.h"

double calibration_left_db2(double common_db2, double own_db2, double noise_db2, unsigned n) {
    double left_db2 = common_db2;
    if (n)
        left_db2 = common_db2 * noise_db2 / (n * common_db2 + noise_db2);
    return left_db2 + own_db2;
}

double calibration_read_sd_db(const earshot_belief *belief, double margin_sd_db) {
    double noise_db2 = belief->session_sd_db * belief->session_sd_db +
                       belief->meter_sd_db * belief->meter_sd_db;
    return sqrt(calibration_left_db2(margin_sd_db * margin_sd_db, 0, noise_db2, 1));
}
