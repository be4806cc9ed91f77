/* SPDX-License-Identifier: GPL-3.0-or-later */
/* contours.h - lines of equal value over a raster, chained.
 */
#ifndef DRAWING_CONTOURS_H
#define DRAWING_CONTOURS_H

#include <stdbool.h>
#include <stddef.h>

/* A raster of values, row by row. With one that is not a number there are no lines. */
typedef struct contours_raster {
    const double *value;
    size_t nx, ny;
    double x0_m, y0_m, step_m;
    /* The value at any place, to set crossings right where it jumps; NULL: the raster is all.
     */
    double (*at)(const void *who, double x_m, double y_m);
    const void *who;
} contours_raster;

typedef struct contours_point {
    double x_m, y_m;
} contours_point;

typedef struct contours_chain {
    size_t first_point, n_points; /* into points */
    bool closed;                  /* the last point joins the first */
} contours_chain;

typedef struct contours {
    contours_point *points;
    size_t n_points, point_room;
    contours_chain *chains;
    size_t n_chains, chain_room;
} contours;

/* The lines of one level. A point of the raster counts as inside when its value is at the level
 * or above. At a saddle, where two opposite corners of a cell are inside and two are not, the
 * inside ones are joined when the mean of all four is at the level or above. False when memory
 * ran out; to be freed either way. */
bool contours_trace(const contours_raster *raster, double level, contours *out);
void contours_free(contours *lines);

#endif
