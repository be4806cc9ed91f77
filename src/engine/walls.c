/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walls.c - crossed walls together: what paths round them give back.
 *
 * Several walls lose less than the sum of each alone, because the more there is in the way, the
 * more of the signal comes by doors, windows and corridors:
 *
 *     loss = S N^(p-1)      p <= 1
 *
 * with the sum S of N walls. Walls are not equal, so N is counted in walls as heavy as the
 * heaviest, N = sum / heaviest of what the tables say of them: counting every wall as one, a
 * pane of glass beside a metal wall would lower the loss. So it only rises with any wall that
 * is added, and sees no step when a wall's loss goes to nothing. Judgement; compare the
 * saturating floor term of COST 231.
 *
 * N is of the tables, not of what was learned, and a power p other than that of the tables, q,
 * moves the loss along its tangent there, T being the sum by the tables:
 *
 *     loss = N^(q-1) (S + (p-q) T ln N)
 *
 * So the loss is linear in what each wall takes and in the power, as a fit wants it.
 */
#include <math.h>

#include "engine.h"

engine_together engine_walls(const engine_sum *walls, double table_power, double power) {
    double n = walls->heaviest_db > 0 ? walls->table_db / walls->heaviest_db : 1;
    double factor = pow(n, table_power - 1), per_power_db = factor * walls->table_db * log(n);
    return (engine_together){
        .loss_db = fmax(0, factor * walls->sum_db + per_power_db * (power - table_power)),
        .per_db = factor,
        .per_power_db = per_power_db};
}
