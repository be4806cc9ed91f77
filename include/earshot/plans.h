/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plans.h - walls out of a plan that somebody has drawn: SVG or GeoJSON to walls.csv.
 *
 * SVG comes from any drawing program. Its straight lines become walls: line, polyline, polygon,
 * rect and the straight pieces of paths, with all transforms; what is curved, hidden, or no
 * line is left out with a note. GeoJSON (RFC 7946) is in meters of the survey: LineString,
 * Polygon, their Multi forms, alone or in features and collections. Nothing is fetched, no
 * definition in the file is followed, and a file that brings some is refused.
 *
 * The library has this where expat and jansson are; as WebAssembly it has not.
 */
#ifndef EARSHOT_PLANS_H
#define EARSHOT_PLANS_H

#include "earshot/findings.h"
#include "earshot/text.h"

#ifdef __cplusplus
extern "C" {
#endif

/* How large an SVG plan is. GeoJSON is in meters and takes EARSHOT_SCALE_NONE. */
enum earshot_scale_kind {
    EARSHOT_SCALE_NONE,     /* not told */
    EARSHOT_SCALE_DISTANCE, /* two points of the drawing, and how far apart they are */
    EARSHOT_SCALE_LINE,     /* a line of the drawing by its name, and its length; no wall */
    EARSHOT_SCALE_POINTS,   /* two points of the drawing, and where they are in the survey */
    EARSHOT_SCALE_PAPER     /* 1:50 on the paper that the drawing is for */
};

/* Points of the drawing are in the units of its outermost viewBox, y down, as drawing programs
 * show them. In the survey y goes up. The first point, or the beginning of the line, becomes
 * 0, 0; of EARSHOT_SCALE_PAPER the lower left corner does. EARSHOT_SCALE_POINTS may turn the
 * plan too. */
typedef struct earshot_scale {
    enum earshot_scale_kind kind;
    double x1, y1, x2, y2;         /* DISTANCE, POINTS */
    double x1_m, y1_m, x2_m, y2_m; /* POINTS */
    double length_m;               /* DISTANCE, LINE; above 0 */
    const char *line;              /* LINE: id or label */
    double ratio;                  /* PAPER: 50 of 1:50; above 0 */
} earshot_scale;

typedef struct earshot_walls_task {
    earshot_scale scale;
    /* Which layer is which wall, a table: layer, construction (blank: no wall), and if wanted
     * bottom_m, top_m, level. A layer is the id, label or class of a line or of a group around
     * it, the innermost that the table has. NULL: none. */
    const earshot_bytes *layers;
    /* What lines are made of that no row is for. NULL: with a table they are left out, with a
     * note; without one they are made of what their class or their group's name says. */
    const char *construction;
    const char *level; /* of walls that no row gives a level; NULL: "ground" */
} earshot_walls_task;

/* Adds the table walls.csv to `out`. EARSHOT_INVALID: there are errors among the findings, and
 * `out` is as it was; notes say what was left out. */
enum earshot_status earshot_walls_read(const earshot_bytes *plan,
                                       const earshot_walls_task *task,
                                       earshot_findings *findings, earshot_text *out);

#ifdef __cplusplus
}
#endif

#endif
