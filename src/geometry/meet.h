/* SPDX-License-Identifier: GPL-3.0-or-later */
/* meet.h - whether a path meets a panel, for this room only: one expression for the plain loop,
 * the index and the map, so that they cannot differ in a single bit.
 */
#ifndef GEOMETRY_MEET_H
#define GEOMETRY_MEET_H

#include "geometry.h"
#include "side.h"

/* A path with its ends in order, and their places in the plan. */
typedef struct meet_path {
    geometry_place from, to;
    geometry_point a, b;
} meet_path;

/* fmin and fmax of the library mind what is not a number, and are calls. */
static inline double meet_lesser(double a, double b) {
    return a < b ? a : b;
}

static inline double meet_greater(double a, double b) {
    return a > b ? a : b;
}

static inline bool meet_place_first(geometry_place p, geometry_place q) {
    if (p.x_m != q.x_m) {
        return p.x_m < q.x_m;
    }
    if (p.y_m != q.y_m) {
        return p.y_m < q.y_m;
    }
    return p.z_m < q.z_m;
}

static inline bool meet_point_first(geometry_point p, geometry_point q) {
    return p.x_m < q.x_m || (p.x_m == q.x_m && p.y_m < q.y_m);
}

static inline meet_path meet_order(geometry_place one, geometry_place other) {
    const bool swap = meet_place_first(other, one);
    const geometry_place from = swap ? other : one;
    const geometry_place to = swap ? one : other;
    return (meet_path){
        .from = from, .to = to, .a = {from.x_m, from.y_m}, .b = {to.x_m, to.y_m}};
}

static inline bool meet_left(geometry_point a, geometry_point b, geometry_point c) {
    return side_of(a, b, c) >= 0.0;
}

/* Whether the line from a to b has p and q on different sides. */
static inline bool meet_parts(geometry_point a, geometry_point b, geometry_point p,
                              geometry_point q) {
    return meet_left(a, b, p) != meet_left(a, b, q);
}

/* The coordinate at share t of the way. The one expression for every meeting point. */
static inline double meet_along(double from_m, double to_m, double t) {
    return from_m + t * (to_m - from_m);
}

static inline bool meet_height(double z_m, double bottom_m, double top_m) {
    return bottom_m <= z_m && z_m < top_m;
}

/* Whether a place in line with the panel lies on it, ends and all: every path from there is
 * tied with it. In line but not on it, no path from there meets it. */
static inline bool meet_stands_on(geometry_place place, const geometry_panel *panel) {
    const geometry_point a = panel->a, b = panel->b;
    return place.x_m >= (a.x_m < b.x_m ? a.x_m : b.x_m) &&
           place.x_m <= (a.x_m < b.x_m ? b.x_m : a.x_m) &&
           place.y_m >= (a.y_m < b.y_m ? a.y_m : b.y_m) &&
           place.y_m <= (a.y_m < b.y_m ? b.y_m : a.y_m);
}

/* Fills in where the path meets the panel; false, with nothing filled in, when it does not. */
static inline bool meet_panel(const geometry_panel *panel, const meet_path *path,
                              geometry_crossing *met) {
    if (!meet_parts(path->a, path->b, panel->a, panel->b)) {
        return false; /* also for a path that stands upright, or a panel of no length */
    }
    const bool swap = meet_point_first(panel->b, panel->a);
    const geometry_point p = swap ? panel->b : panel->a;
    const geometry_point q = swap ? panel->a : panel->b;
    const double side_a = side_of(p, q, path->a);
    const double side_b = side_of(p, q, path->b);
    if ((side_a >= 0.0) == (side_b >= 0.0)) {
        return false;
    }
    const double t = side_a / (side_a - side_b);
    const double z_m = meet_along(path->from.z_m, path->to.z_m, t);
    if (!meet_height(z_m, panel->bottom_m, panel->top_m)) {
        return false;
    }
    met->x_m = meet_along(path->a.x_m, path->b.x_m, t);
    met->y_m = meet_along(path->a.y_m, path->b.y_m, t);
    met->z_m = z_m;
    return true;
}

/* ---- cross.c ---- */

/* Turns a met panel into the first of its openings that the path goes through, if any. */
void meet_opening(const geometry_building *building, const meet_path *path,
                  geometry_crossing *met);

bool meet_floor(const geometry_building *building, size_t floor, const meet_path *path,
                geometry_crossing *met);

#endif
