/* SPDX-License-Identifier: GPL-3.0-or-later */
/* near.c - how near things in the plan are to each other: for eyes that look a plan over, never
 * for what a path crosses, which is decided by exact side tests.
 */
#include <math.h>

#include "geometry.h"

/* How far along the segment from a to b the foot of the point is: 0 at a, 1 at b. */
static double share_along(geometry_point point, geometry_point a, geometry_point b) {
    double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, square = dx * dx + dy * dy;
    return square > 0 ? ((point.x_m - a.x_m) * dx + (point.y_m - a.y_m) * dy) / square : 0;
}

double geometry_off_segment(geometry_point point, geometry_point a, geometry_point b) {
    double share = fmin(fmax(share_along(point, a, b), 0), 1);
    return hypot(point.x_m - (a.x_m + share * (b.x_m - a.x_m)),
                 point.y_m - (a.y_m + share * (b.y_m - a.y_m)));
}

static double off_line(geometry_point point, geometry_point a, geometry_point b) {
    double length = hypot(b.x_m - a.x_m, b.y_m - a.y_m);
    return length > 0 ? fabs(geometry_side(a, b, point)) / length : INFINITY;
}

double geometry_shared_m(geometry_point a, geometry_point b, geometry_point c, geometry_point d,
                         double off_m) {
    if (off_line(c, a, b) > off_m || off_line(d, a, b) > off_m)
        return 0;
    double from = share_along(c, a, b), to = share_along(d, a, b);
    double shared = fmin(fmax(from, to), 1) - fmax(fmin(from, to), 0);
    return fmax(shared, 0) * hypot(b.x_m - a.x_m, b.y_m - a.y_m);
}
