/* SPDX-License-Identifier: GPL-3.0-or-later */
/* floors.c - crossed floors together.
 *
 *   [COST231] COST 231 final report, Digital mobile radio towards future generation
 *             systems (1999), section 4.7, multi-wall model, eq. (4.7.2):
 *             k^((k+2)/(k+1) - b) L_f
 *
 * The report has one kind of floor; ours differ, so k is counted in floors as heavy as the
 * heaviest of them by the tables, as walls are (walls.c), and L_f is their sum over k: equal
 * floors give the report's value exactly. A light floor on top of a heavy one then never lowers
 * the loss, which the mean loss times the report's factor would do.
 */
#include <math.h>

#include "engine.h"

engine_together engine_floors(const engine_sum *floors, bool saturate, double b) {
    double k = floors->heaviest_db > 0 ? floors->table_db / floors->heaviest_db : 1;
    /* [COST231] eq. (4.7.2), over k */
    double factor = saturate ? pow(k, (k + 2) / (k + 1) - b - 1) : 1;
    return (engine_together){.loss_db = floors->sum_db * factor, .per_db = factor};
}
