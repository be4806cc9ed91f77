/* SPDX-License-Identifier: GPL-3.0-or-later */
/* side.c - the exact ground under every tie: the grid, the side test, the distance.
 *
 * On the grid every step of the side test is exact in double (geometry.h gives the bounds), so
 * its sign is the truth and turns over exactly when two of the three points are swapped. No
 * tolerance appears anywhere: a tolerance would only move the ties to where nobody looks for
 * them.
 */
#include "geometry.h"
#include "side.h"

#include <math.h>

double geometry_snap(double value_m) {
    /* Scaling by a power of two is exact. Adding 0 turns -0 into 0. */
    return round(value_m / GEOMETRY_STEP_M) * GEOMETRY_STEP_M + 0.0;
}

double geometry_side(geometry_point a, geometry_point b, geometry_point c) {
    return side_of(a, b, c);
}

double geometry_distance(geometry_place from, geometry_place to) {
    /* Squares forget the sign, which is all that swapping the ends changes. Not hypot: sqrt is
     * rounded the same by every C library. */
    const double dx_m = to.x_m - from.x_m;
    const double dy_m = to.y_m - from.y_m;
    const double dz_m = to.z_m - from.z_m;
    return sqrt(dx_m * dx_m + dy_m * dy_m + dz_m * dz_m);
}
