/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cross.c - what a straight path crosses: panels, the openings in them, floors.
 *
 * Two segments of the plan cross when each one's line has the ends of the other on different
 * sides. A point on the line counts as left of it, so where a path goes through a joint, each
 * of the walls that meet there gets the answer for a path a hair further to the right: no joint
 * is counted twice or lost. Which side is left depends on the way a line runs; the ends of
 * paths and walls are therefore put in order first. The ends of an opening need no order: they
 * are only asked whether the path's line parts them.
 *
 * Where they meet is worked out in floating point, by one expression on the ordered ends, and
 * never enters a side test of a wall.
 */
#include "meet.h"

void meet_opening(const geometry_building *building, const meet_path *path,
                  geometry_crossing *met) {
    const geometry_panel *panel = &building->panels[met->panel];
    for (size_t i = panel->first_opening; i < panel->first_opening + panel->n_openings; i++) {
        const geometry_opening *opening = &building->openings[i];
        if (meet_height(met->z_m, opening->bottom_m, opening->top_m) &&
            meet_parts(path->a, path->b, opening->a, opening->b)) {
            met->kind = GEOMETRY_OPENING;
            met->index = i;
            return;
        }
    }
}

bool meet_floor(const geometry_building *building, size_t floor, const meet_path *path,
                geometry_crossing *met) {
    const double floor_m = building->floors[floor].z_m;
    const double from_m = path->from.z_m;
    const double to_m = path->to.z_m;
    if ((from_m >= floor_m) == (to_m >= floor_m)) {
        return false;
    }
    const double t = (floor_m - from_m) / (to_m - from_m);
    const geometry_point at = {geometry_snap(meet_along(path->a.x_m, path->b.x_m, t)),
                               geometry_snap(meet_along(path->a.y_m, path->b.y_m, t))};
    if (!geometry_on_floor(building, floor, at)) {
        return false;
    }
    met->x_m = at.x_m;
    met->y_m = at.y_m;
    met->z_m = floor_m;
    return true;
}

/* Even-odd, counting the edges to the right of the point. An edge owns its lower end; it is
 * tested from its upper end down, so that a point on it is left of it, which here is the side
 * of larger x: a rectangle holds x0 <= x < x1 and y0 <= y < y1. */
static bool in_ring(const geometry_point *points, size_t n_points, geometry_point point) {
    bool inside = false;
    for (size_t i = 0, before = n_points - 1; i < n_points; before = i++) {
        const bool rises = points[before].y_m <= points[i].y_m;
        const geometry_point low = rises ? points[before] : points[i];
        const geometry_point high = rises ? points[i] : points[before];
        if (low.y_m <= point.y_m && point.y_m < high.y_m && !meet_left(high, low, point)) {
            inside = !inside;
        }
    }
    return inside;
}

bool geometry_on_floor(const geometry_building *building, size_t floor, geometry_point point) {
    const geometry_floor *outline = &building->floors[floor];
    bool on_floor = outline->n_rings == 0;
    for (size_t i = outline->first_ring; i < outline->first_ring + outline->n_rings; i++) {
        const geometry_ring *ring = &building->rings[i];
        if (in_ring(building->points + ring->first_point, ring->n_points, point)) {
            if (ring->hole) {
                return false;
            }
            on_floor = true;
        }
    }
    return on_floor;
}

void geometry_cross_floors(const geometry_building *building, geometry_place from,
                           geometry_place to,
                           void (*meet)(void *who, const geometry_crossing *crossing),
                           void *who) {
    const meet_path path = meet_order(from, to);
    for (size_t i = 0; i < building->n_floors; i++) {
        geometry_crossing met = {.kind = GEOMETRY_FLOOR, .index = i};
        if (meet_floor(building, i, &path, &met)) {
            meet(who, &met);
        }
    }
}

static inline void cross_panel(const geometry_building *building, size_t panel,
                               const meet_path *path,
                               void (*meet)(void *who, const geometry_crossing *crossing),
                               void *who) {
    geometry_crossing met = {.kind = GEOMETRY_PANEL, .index = panel, .panel = panel};
    if (meet_panel(&building->panels[panel], path, &met)) {
        meet_opening(building, path, &met);
        meet(who, &met);
    }
}

void geometry_cross_some(const geometry_building *building, const size_t *panels,
                         size_t n_panels, geometry_place from, geometry_place to,
                         void (*meet)(void *who, const geometry_crossing *crossing),
                         void *who) {
    const meet_path path = meet_order(from, to);
    for (size_t i = 0; i < n_panels; i++) {
        cross_panel(building, panels[i], &path, meet, who);
    }
}

void geometry_cross(const geometry_building *building, geometry_place from, geometry_place to,
                    void (*meet)(void *who, const geometry_crossing *crossing), void *who) {
    const meet_path path = meet_order(from, to);
    for (size_t i = 0; i < building->n_panels; i++) {
        cross_panel(building, i, &path, meet, who);
    }
    geometry_cross_floors(building, from, to, meet, who);
}
