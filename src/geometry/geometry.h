/* SPDX-License-Identifier: GPL-3.0-or-later */
/* geometry.h - which walls, openings and floors a straight path crosses.
 *
 * The building is 2.5-D: vertical panels over a segment of the plan, from a bottom to a top,
 * with openings cut into them, and horizontal floors with outlines and holes.
 *
 * Ties. Plan coordinates are snapped to a grid of 2^-13 m (0.12 mm) and lie within 2,048 m, so
 * every coordinate is an integer below 2^24 grid steps, every difference below 2^25, every
 * product below 2^50, and the side test (a cross product) is exact in double. One half-open
 * rule decides every tie: a point is on the left of a line when side >= 0, on the right when
 * side < 0; a height z is in a panel when bottom <= z < top; a path crosses a floor at height h
 * when one end is at or above h and the other below. So a path through the joint of two walls
 * in line crosses exactly one of them, a path along a wall crosses none, and an end that
 * touches a wall belongs to one stated side. The two ends of a path, and of a wall, are put in
 * order (x, then y, then z) before anything is tested: swapping them changes nothing, not even
 * the last bit of a meeting point.
 */
#ifndef GEOMETRY_GEOMETRY_H
#define GEOMETRY_GEOMETRY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define GEOMETRY_STEP_M (1.0 / 8192.0) /* 2^-13 m */
#define GEOMETRY_REACH_M 2048.0        /* |x|, |y| at most */

typedef struct geometry_point {
    double x_m, y_m; /* on the grid */
} geometry_point;

/* A place in space. x and y on the grid; z as it is. */
typedef struct geometry_place {
    double x_m, y_m, z_m;
} geometry_place;

/* An opening is a piece of its panel's segment. `a` and `b` are its ends on the grid. */
typedef struct geometry_opening {
    geometry_point a, b;
    double bottom_m, top_m; /* heights in the building, half-open */
} geometry_opening;

typedef struct geometry_panel {
    geometry_point a, b;
    double bottom_m, top_m;           /* heights in the building, half-open */
    size_t first_opening, n_openings; /* into geometry_building.openings */
} geometry_panel;

/* A closed ring of points; the last joins the first. */
typedef struct geometry_ring {
    size_t first_point, n_points; /* into geometry_building.points */
    bool hole;
} geometry_ring;

/* A floor. With no ring it reaches everywhere; else a point is on it when it is inside an outer
 * ring and inside no hole. */
typedef struct geometry_floor {
    double z_m;
    size_t first_ring, n_rings; /* into geometry_building.rings */
} geometry_floor;

/* All arrays borrowed. */
typedef struct geometry_building {
    const geometry_panel *panels;
    size_t n_panels;
    const geometry_opening *openings;
    size_t n_openings;
    const geometry_floor *floors;
    size_t n_floors;
    const geometry_ring *rings;
    size_t n_rings;
    const geometry_point *points;
    size_t n_points;
} geometry_building;

enum geometry_kind { GEOMETRY_PANEL, GEOMETRY_OPENING, GEOMETRY_FLOOR };

typedef struct geometry_crossing {
    enum geometry_kind kind;
    size_t index;         /* of the panel, opening or floor */
    size_t panel;         /* for a panel or an opening: the panel */
    double x_m, y_m, z_m; /* where they meet; for a floor, x and y snapped to the grid */
} geometry_crossing;

/* To the grid, halves away from zero. `value_m` finite and within the reach. */
double geometry_snap(double value_m);

/* Twice the signed area of a, b, c: > 0 when c is to the left of a -> b. Exact on the grid. */
double geometry_side(geometry_point a, geometry_point b, geometry_point c);

/* Distance of a point from the segment between a and b, m; and over how much of its length a
 * second segment lies on the first, m: 0 unless they are in line within `off_m`. */
double geometry_off_segment(geometry_point point, geometry_point a, geometry_point b);
double geometry_shared_m(geometry_point a, geometry_point b, geometry_point c, geometry_point d,
                         double off_m);

/* Distance between two places, m. Symmetric to the last bit. */
double geometry_distance(geometry_place from, geometry_place to);

/* Whether the point is on the floor: outlines and holes, half-open, exact on the grid. */
bool geometry_on_floor(const geometry_building *building, size_t floor, geometry_point point);

/* Calls `meet` for everything the straight path between the two places crosses: panels (or the
 * opening in them) in the order of the panels, then floors in the order of the floors.
 * Allocates nothing. The plain loop over all panels, which the index is held to; and its second
 * half alone. */
void geometry_cross(const geometry_building *building, geometry_place from, geometry_place to,
                    void (*meet)(void *who, const geometry_crossing *crossing), void *who);
void geometry_cross_floors(const geometry_building *building, geometry_place from,
                           geometry_place to,
                           void (*meet)(void *who, const geometry_crossing *crossing),
                           void *who);

/* The same for some panels, without floors. */
void geometry_cross_some(const geometry_building *building, const size_t *panels,
                         size_t n_panels, geometry_place from, geometry_place to,
                         void (*meet)(void *who, const geometry_crossing *crossing), void *who);

/* ---- index.c ---- */

/* Finds the panels near a path. Read-only once built, shared by threads. */
typedef struct geometry_index geometry_index;

/* NULL when memory ran out. The building is borrowed for as long as the index is used. */
geometry_index *geometry_index_build(const geometry_building *building);
void geometry_index_free(geometry_index *index); /* NULL is fine */

/* As geometry_cross, to the last bit; allocates nothing. */
void geometry_index_cross(const geometry_index *index, geometry_place from, geometry_place to,
                          void (*meet)(void *who, const geometry_crossing *crossing),
                          void *who);

/* ---- fan.c ---- */

/* Finds the panels between one place and many others. Read-only once built. */
typedef struct geometry_fan geometry_fan;

/* From `fixed`, on the grid, to places at heights from low to high; NULL when memory ran out.
 * The building is borrowed for as long as the fan is used. */
geometry_fan *geometry_fan_build(const geometry_building *building, geometry_place fixed,
                                 double low_m, double high_m);
void geometry_fan_free(geometry_fan *fan); /* NULL is fine */
geometry_place geometry_fan_fixed(const geometry_fan *fan);

/* As geometry_cross from the fixed place to `to`, to the last bit; allocates nothing. */
void geometry_fan_cross(const geometry_fan *fan, geometry_place to,
                        void (*meet)(void *who, const geometry_crossing *crossing), void *who);

/* ---- shade.c ---- */

/* A raster of places at one height: column i and row j at x0 + i step, y0 + j step, snapped,
 * and within the reach. */
typedef struct geometry_raster {
    double x0_m, y0_m, z_m, step_m;
    size_t nx, ny;
} geometry_raster;

geometry_place geometry_raster_place(const geometry_raster *raster, size_t column, size_t row);

/* A run of cells, first to last. */
typedef struct geometry_run {
    uint32_t row, first, last;
} geometry_run;

/* Told of runs, some at a time. */
typedef void (*geometry_tell)(void *who, const geometry_run *runs, size_t n_runs);

/* Which cells, in rows from `first_row` to before `end_row`, have the panel (`opening`
 * SIZE_MAX), or the opening in it, between them and a fixed place on the grid: those for which
 * geometry_cross says so, ties included. Of a panel also the cells that have an opening of it
 * between. Row by row, in a row from left to right, mostly one run. */
void geometry_shade(const geometry_building *building, const geometry_raster *raster,
                    geometry_place fixed, size_t panel, size_t opening, size_t first_row,
                    size_t end_row, geometry_tell tell, void *who);

#endif
