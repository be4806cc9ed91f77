/* SPDX-License-Identifier: GPL-3.0-or-later */
/* side.h - the side test, for this room only, where the compiler can put it inside the loop.
 *
 * geometry_side is the same expression for everyone else. Calling it would make a walk past all
 * panels half as long again (measured with gcc 12, -O2).
 */
#ifndef GEOMETRY_SIDE_H
#define GEOMETRY_SIDE_H

#include "geometry.h"

static inline double side_of(geometry_point a, geometry_point b, geometry_point c) {
    return (b.x_m - a.x_m) * (c.y_m - a.y_m) - (b.y_m - a.y_m) * (c.x_m - a.x_m);
}

#endif
