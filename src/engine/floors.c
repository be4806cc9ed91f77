/* SPDX-License-Identifier: GPL-3.0-or-later */
/* floors.c - crossed floors together.
 *
 *   [COST231] COST 231 final report, Digital mobile radio towards future generation systems
 * (1999), section 4.7, multi-wall model, eq. (4.7.2): k^((k+2)/(k+1) - b) L_f
 *
 * The report has one kind of floor; ours differ, so k is counted in floors as heavy as the
 * heaviest, k = S / m, and L_f is m: equal floors give the report's value exactly. A light
 * floor on top of a heavy one then never lowers the loss, which the mean loss times the
 * report's factor would do.
 */
#include <math.h>

#include "engine.h"

engine_together engine_floors(const engine_sum *floors, bool saturate, double b) {
    double sum = floors->sum_db, heaviest = floors->heaviest_db;
    if (sum <= 0 || !saturate)
        return (engine_together){.loss_db = sum > 0 ? sum : 0, .per_db = 1};
    double k = sum / heaviest;
    double exponent = (k + 2) / (k + 1) - b; /* [COST231] eq. (4.7.2) */
    double factor = pow(k, exponent);
    /* d factor / dk: the exponent falls with k by 1/(k+1)^2 */
    double slope = factor * (exponent / k - log(k) / ((k + 1) * (k + 1)));
    return (engine_together){
        .loss_db = heaviest * factor, .per_db = slope, .per_heaviest_db = factor - k * slope};
}
