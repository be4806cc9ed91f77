/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walls.c - crossed walls together: what paths round them give back.
 *
 * Several walls lose less than the sum of each alone, because the more there is in the way, the
 * more of the signal comes by doors, windows and corridors. For N equal walls of loss w the sum
 * is taken as N w N^(p-1). Walls are not equal; N is counted in walls as heavy as the heaviest,
 * N = S / m with the sum S and the heaviest m:
 *
 *     loss = S (S/m)^(p-1) = S^p m^(1-p),   0 < p; by the tables p <= 1, by readings maybe more
 *
 * Counting every wall as one would be simpler and wrong: a pane of glass beside a metal wall
 * would then lower the loss. This form only rises with any wall that is added, and sees no step
 * when a wall's loss goes to nothing. Judgement; compare the saturating floor term of COST 231.
 */
#include <math.h>

#include "engine.h"

engine_together engine_walls(const engine_sum *walls, double power) {
    double sum = walls->sum_db, heaviest = walls->heaviest_db;
    if (sum <= 0)
        return (engine_together){.loss_db = 0, .per_db = 1};
    double loss = pow(sum, power) * pow(heaviest, 1 - power);
    return (engine_together){.loss_db = loss,
                             .per_db = power * loss / sum,
                             .per_heaviest_db = (1 - power) * loss / heaviest,
                             .per_power_db = loss * log(sum / heaviest)};
}
