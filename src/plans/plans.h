/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plans.h - inside the plans room: SVG and GeoJSON bytes to lines with names, lines to walls.
 *
 * Readers (svg.c, geojson.c) know nothing of scale, tables of layers only to look a name up,
 * and put every straight line into a drawing. What becomes a wall, where and of what, is
 * decided afterwards in read.c.
 */
#ifndef PLANS_PLANS_H
#define PLANS_PLANS_H

#include "earshot/plans.h"
#include "findings.h"
#include "tables.h"

/* How much a plan may have; more is refused, with a sentence. A house is a hundredth of it. */
enum {
    PLANS_MOST_BYTES = 16 << 20,
    PLANS_MOST_ELEMENTS = 200000,
    PLANS_MOST_LINES = 100000,
    PLANS_MOST_DEEP = 64
};

static const size_t plans_none = (size_t)-1;

typedef struct plans_point {
    double x, y;
} plans_point;

/* ---- scan.c ---- */

/* Behind blanks. */
const char *plans_skip_blanks(const char *at);
/* Behind blanks, at most one comma, and blanks. */
const char *plans_skip(const char *at);
/* The number at *at as SVG writes it: "1-2" and "1.5.5" are two each. False, *at as it was,
 * when there is none or it is 1e15 and more. */
bool plans_number(const char **at, double *value);
/* A whole attribute: a number and a unit; percents are of `whole`. em and ex cannot be known.
 */
bool plans_length(const char *text, double whole, double *units);
/* The word at *at, which may then be moved behind it; its length, 0 at the end. */
size_t plans_word(const char **at);

/* ---- transform.c ---- */

/* x' = a x + c y + e, y' = b x + d y + f: the letters of [SVG 1.1] sec. 7.4. */
typedef struct plans_matrix {
    double a, b, c, d, e, f;
} plans_matrix;

static const plans_matrix plans_unmoved = {1, 0, 0, 1, 0, 0};

plans_matrix plans_within(plans_matrix outer, plans_matrix inner);
plans_point plans_moved(plans_matrix matrix, plans_point point);
/* A transform attribute. False when it cannot be read. */
bool plans_transform(const char *text, plans_matrix *out);

/* ---- drawing.c ---- */

/* What lines come from: an element or a feature. Strings are kept by the drawing. */
typedef struct plans_source {
    const char *name;       /* its own; "" none */
    const char *layer;      /* what tells its wall where no table does; "" nothing */
    size_t row;             /* of the table of layers; or none */
    const char *level;      /* its own; NULL */
    double bottom_m, top_m; /* its own; not a number: none */
    unsigned line, column;
} plans_source;

typedef struct plans_line {
    plans_point a, b;
    size_t source;
} plans_line;

/* How large the drawing is on paper; not a number: not told. */
typedef struct plans_paper {
    double left, bottom; /* the lower left corner, in the drawing's units */
    double mm_per_unit;
} plans_paper;

typedef struct plans_drawing {
    plans_line *lines;
    size_t n_lines, lines_room;
    plans_source *sources;
    size_t n_sources, sources_room;
    struct plans_kept *kept;
    plans_paper paper;
    bool full; /* more lines than there may be */
    bool lost; /* memory ran out */
} plans_drawing;

/* A copy fit for a cell: a line of UTF-8 without blanks around it, no-break spaces being
 * blanks. It lasts as long as the drawing; "" when memory ran out. */
const char *plans_keep(plans_drawing *drawing, const char *text, size_t length);
/* Lines that follow come from this. */
void plans_begin(plans_drawing *drawing, const plans_source *source);
void plans_add(plans_drawing *drawing, plans_point a, plans_point b);
void plans_close(plans_drawing *drawing);

/* ---- layers.c ---- */

typedef struct plans_layer {
    const char *layer, *construction, *level; /* level "": none */
    double bottom_m, top_m;                   /* not a number: none */
    unsigned line, column;
    bool used;
} plans_layer;

typedef struct plans_layers {
    tables_sheet sheet; /* owns the strings */
    plans_layer *rows;
    size_t n_rows;
    bool given;
} plans_layers;

/* Reads the table; `bytes` NULL: none. */
enum earshot_status plans_layers_read(const earshot_bytes *bytes, earshot_findings *findings,
                                      plans_layers *out);
/* The row for a name, or none. */
size_t plans_layers_find(const plans_layers *layers, const char *name);
/* Notes of rows that no line was on. */
void plans_layers_unused(const plans_layers *layers, const plans_drawing *drawing,
                         earshot_findings *findings);
void plans_layers_close(plans_layers *layers);

/* ---- path.c ---- */

typedef struct plans_pen {
    void (*line)(void *who, plans_point a, plans_point b);
    void (*curve)(void *who); /* from one point to another not by a straight line */
    void *who;
} plans_pen;

/* Draws the data of a path. NULL: all of it; else from where on it cannot be read. */
const char *plans_path(const char *data, const plans_pen *pen);
/* The same for the points of a polyline, or of a polygon, which ends where it began. */
const char *plans_points(const char *points, bool closed, const plans_pen *pen);

/* ---- svg.c, geojson.c ---- */

typedef struct plans_input {
    const earshot_bytes *plan;
    const plans_layers *layers;
    earshot_findings *findings;
    plans_drawing *drawing;
} plans_input;

/* Reads all of it; what is wrong is among the findings. */
void plans_svg(const plans_input *input);
void plans_geojson(const plans_input *input);

/* Adds a finding of the plan with one value, or two. */
void plans_say(const plans_input *input, enum findings_code code, unsigned line,
               unsigned column, const char *first, const char *second);

/* ---- place.c ---- */

/* From the drawing to the survey: a turn and a size, then a shift; y turned up before. */
typedef struct plans_place {
    double along, across, x_m, y_m;
} plans_place;

/* By a scale that needs to know no line. False, with a finding, when it cannot be. */
bool plans_place_by(const plans_input *input, const earshot_scale *scale, plans_place *out);
/* By a line and its length; it lies in the drawing. */
bool plans_place_line(const plans_line *line, double length_m, plans_place *out);
plans_point plans_placed(const plans_place *place, plans_point point);

/* ---- names.c ---- */

/* Names for walls, none twice: the second "north" becomes "north-2". */
typedef struct plans_names {
    struct plans_name *slots;
    size_t n_slots;
} plans_names;

/* Room for so many names. */
bool plans_names_begin(plans_names *names, size_t n);
/* Longest name of a wall, with the NUL. */
enum { PLANS_NAME_SIZE = 96 };
/* Makes `name`, in an array of that size, one of its own; it must last as long as `names`. */
void plans_names_take(plans_names *names, char *name);
void plans_names_end(plans_names *names);

#endif
