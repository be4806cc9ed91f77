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
#include "geometry.h"
#include "side.h"

/* A path with its ends in order, and their places in the plan. */
typedef struct ordered_path {
    geometry_place from, to;
    geometry_point a, b;
} ordered_path;

static bool place_comes_first(geometry_place p, geometry_place q) {
    if (p.x_m != q.x_m) {
        return p.x_m < q.x_m;
    }
    if (p.y_m != q.y_m) {
        return p.y_m < q.y_m;
    }
    return p.z_m < q.z_m;
}

static bool point_comes_first(geometry_point p, geometry_point q) {
    return p.x_m < q.x_m || (p.x_m == q.x_m && p.y_m < q.y_m);
}

static ordered_path order_path(geometry_place one, geometry_place other) {
    const bool swap = place_comes_first(other, one);
    const geometry_place from = swap ? other : one;
    const geometry_place to = swap ? one : other;
    return (ordered_path){
        .from = from, .to = to, .a = {from.x_m, from.y_m}, .b = {to.x_m, to.y_m}};
}

static bool is_left(geometry_point a, geometry_point b, geometry_point c) {
    return side_of(a, b, c) >= 0.0;
}

/* Whether the line from a to b has p and q on different sides. */
static bool line_parts(geometry_point a, geometry_point b, geometry_point p, geometry_point q) {
    return is_left(a, b, p) != is_left(a, b, q);
}

/* The coordinate at share t of the way. The one expression for every meeting point. */
static double along(double from_m, double to_m, double t) {
    return from_m + t * (to_m - from_m);
}

static bool in_height(double z_m, double bottom_m, double top_m) {
    return bottom_m <= z_m && z_m < top_m;
}

/* Fills in where the path meets the panel; false, with nothing filled in, when it does not. */
static bool meets_panel(const geometry_panel *panel, const ordered_path *path,
                        geometry_crossing *met) {
    if (!line_parts(path->a, path->b, panel->a, panel->b)) {
        return false; /* also for a path that stands upright, or a panel of no length */
    }
    const bool swap = point_comes_first(panel->b, panel->a);
    const geometry_point p = swap ? panel->b : panel->a;
    const geometry_point q = swap ? panel->a : panel->b;
    const double side_a = side_of(p, q, path->a);
    const double side_b = side_of(p, q, path->b);
    if ((side_a >= 0.0) == (side_b >= 0.0)) {
        return false;
    }
    const double t = side_a / (side_a - side_b);
    const double z_m = along(path->from.z_m, path->to.z_m, t);
    if (!in_height(z_m, panel->bottom_m, panel->top_m)) {
        return false;
    }
    met->x_m = along(path->a.x_m, path->b.x_m, t);
    met->y_m = along(path->a.y_m, path->b.y_m, t);
    met->z_m = z_m;
    return true;
}

/* Turns a met panel into the first of its openings that the path goes through, if any. */
static void look_for_opening(const geometry_building *building, const geometry_panel *panel,
                             const ordered_path *path, geometry_crossing *met) {
    for (size_t i = panel->first_opening; i < panel->first_opening + panel->n_openings; i++) {
        const geometry_opening *opening = &building->openings[i];
        if (in_height(met->z_m, opening->bottom_m, opening->top_m) &&
            line_parts(path->a, path->b, opening->a, opening->b)) {
            met->kind = GEOMETRY_OPENING;
            met->index = i;
            return;
        }
    }
}

static bool meets_floor(const geometry_building *building, size_t floor,
                        const ordered_path *path, geometry_crossing *met) {
    const double floor_m = building->floors[floor].z_m;
    const double from_m = path->from.z_m;
    const double to_m = path->to.z_m;
    if ((from_m >= floor_m) == (to_m >= floor_m)) {
        return false;
    }
    const double t = (floor_m - from_m) / (to_m - from_m);
    const geometry_point at = {geometry_snap(along(path->a.x_m, path->b.x_m, t)),
                               geometry_snap(along(path->a.y_m, path->b.y_m, t))};
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
        if (low.y_m <= point.y_m && point.y_m < high.y_m && !is_left(high, low, point)) {
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

void geometry_cross(const geometry_building *building, geometry_place from, geometry_place to,
                    void (*meet)(void *who, const geometry_crossing *crossing), void *who) {
    const ordered_path path = order_path(from, to);
    for (size_t i = 0; i < building->n_panels; i++) {
        geometry_crossing met = {.kind = GEOMETRY_PANEL, .index = i, .panel = i};
        if (meets_panel(&building->panels[i], &path, &met)) {
            look_for_opening(building, &building->panels[i], &path, &met);
            meet(who, &met);
        }
    }
    for (size_t i = 0; i < building->n_floors; i++) {
        geometry_crossing met = {.kind = GEOMETRY_FLOOR, .index = i};
        if (meets_floor(building, i, &path, &met)) {
            meet(who, &met);
        }
    }
}
