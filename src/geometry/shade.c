/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shade.c - a whole map at once: which cells of a raster a panel stands before, seen from a
 * fixed place.
 *
 * What a panel hides from a place is the wedge behind it, cut off where the path would pass
 * over or under it: a convex piece of the plan. In a row of the raster that is one run of
 * cells, and its ends are where a few straight lines meet the row:
 *
 *     rays from the fixed place through both ends of the panel (and of the opening in it);
 *     the panel's own line; lines beside it, where the path meets bottom and top.
 *
 * Side tests are linear in the far end, and for the heights the share t of the way at which a
 * path meets the panel follows from the side s of its far end, t = s0 / (s0 - s): a line
 * parallel to the panel. All lines are worked out in floating point; wherever one runs so near
 * to a cell that rounding could decide, the exact test of the plain loop (meet.h) is asked
 * instead. So the map has the plain loop's answer in every cell, ties too.
 */
#include <math.h>
#include <stdint.h>

#include "meet.h"

enum { MOST_LINES = 8 };
static const double rounding_cells = 1e-6; /* of a line's cell, with much to spare */
static const double rounding_m = 1e-9;

/* A line that bounds the runs of all rows: cell = cell0 + per_m (y - y_m). */
typedef struct shade_line {
    double cell0, y_m, per_m;
} shade_line;

typedef struct shade {
    const geometry_building *building;
    const geometry_raster *raster;
    geometry_place fixed;
    size_t panel, opening; /* opening SIZE_MAX: the panel itself */
    shade_line low[MOST_LINES], high[MOST_LINES];
    size_t n_low, n_high;
    double from_y_m, to_y_m; /* lines along x: only rows between are met */
    double hair_cells;
    bool snapped;           /* the raster is on the grid as it stands */
    bool nothing, by_cells; /* no cell is met; no line can tell which are */
} shade;

geometry_place geometry_raster_place(const geometry_raster *raster, size_t column, size_t row) {
    return (geometry_place){geometry_snap(raster->x0_m + (double)column * raster->step_m),
                            geometry_snap(raster->y0_m + (double)row * raster->step_m),
                            raster->z_m};
}

/* The exact answer for one cell. */
static bool is_met(const shade *shade, size_t column, size_t row) {
    const geometry_panel *panel = &shade->building->panels[shade->panel];
    const meet_path path =
        meet_order(shade->fixed, geometry_raster_place(shade->raster, column, row));
    geometry_crossing met = {
        .kind = GEOMETRY_PANEL, .index = shade->panel, .panel = shade->panel};
    if (!meet_panel(panel, &path, &met))
        return false;
    if (shade->opening == SIZE_MAX)
        return true;
    meet_opening(shade->building, &path, &met);
    return met.kind == GEOMETRY_OPENING && met.index == shade->opening;
}

/* ---- the lines ---- */

/* The far end must lie where per_x (x - x_m) + per_y (y - y_m) >= 0. A line along x bounds the
 * rows instead. */
static void bound(shade *shade, double x_m, double y_m, double per_x, double per_y) {
    const geometry_raster *raster = shade->raster;
    if (per_x == 0) {
        if (per_y > 0)
            shade->from_y_m = fmax(shade->from_y_m, y_m);
        else if (per_y < 0)
            shade->to_y_m = fmin(shade->to_y_m, y_m);
        return;
    }
    const shade_line line = {(x_m - raster->x0_m) / raster->step_m, y_m,
                             -per_y / per_x / raster->step_m};
    if (per_x > 0)
        shade->low[shade->n_low++] = line;
    else
        shade->high[shade->n_high++] = line;
}

/* Left of the line from a to b when `left`, else right. */
static void bound_side(shade *shade, geometry_point a, geometry_point b, bool left) {
    const double sign = left ? 1 : -1;
    bound(shade, a.x_m, a.y_m, -(b.y_m - a.y_m) * sign, (b.x_m - a.x_m) * sign);
}

/* Between the rays from the fixed place through p and q. */
static void bound_wedge(shade *shade, geometry_point p, geometry_point q) {
    const geometry_point fixed = {shade->fixed.x_m, shade->fixed.y_m};
    const double turn = side_of(fixed, p, q);
    shade->by_cells = shade->by_cells || turn == 0;
    bound_side(shade, fixed, p, turn > 0);
    bound_side(shade, fixed, q, turn < 0);
}

/* The shares of the way at which the path is between two heights: from the first to the last.
 */
static void share_heights(shade *shade, double bottom_m, double top_m, double *first,
                          double *last) {
    const double rise_m = shade->raster->z_m - shade->fixed.z_m;
    *first = 0;
    *last = 1;
    if (rise_m == 0) {
        shade->nothing = shade->nothing || !meet_height(shade->fixed.z_m, bottom_m, top_m);
        return;
    }
    const double one = (bottom_m - shade->fixed.z_m) / rise_m;
    const double other = (top_m - shade->fixed.z_m) / rise_m;
    *first = fmax(fmin(one, other), 0);
    *last = fmin(fmax(one, other), 1);
    shade->nothing = shade->nothing || *first > *last + rounding_m || *last <= 0;
}

/* Beyond the panel's line, as far as the path meets it between two heights: where the side of
 * the far end lies between side (1 - 1/last) and side (1 - 1/first). Its lines are the panel's,
 * moved along its normal. */
static void bound_heights(shade *shade, const geometry_panel *panel, double bottom_m,
                          double top_m) {
    const geometry_point fixed = {shade->fixed.x_m, shade->fixed.y_m};
    const double side = side_of(panel->a, panel->b, fixed), sign = side > 0 ? -1 : 1;
    const double dx_m = panel->b.x_m - panel->a.x_m, dy_m = panel->b.y_m - panel->a.y_m;
    const double square_m2 = dx_m * dx_m + dy_m * dy_m;
    double first, last;
    share_heights(shade, bottom_m, top_m, &first, &last);
    if (shade->nothing)
        return;
    const double near = side * (1 - 1 / last) / square_m2;
    bound(shade, panel->a.x_m - dy_m * near, panel->a.y_m + dx_m * near, -dy_m * sign,
          dx_m * sign);
    if (first < 1e-6) /* farther off than any raster */
        return;
    const double far = side * (1 - 1 / first) / square_m2;
    bound(shade, panel->a.x_m - dy_m * far, panel->a.y_m + dx_m * far, dy_m * sign,
          -dx_m * sign);
}

static void lay_lines(shade *shade) {
    const geometry_panel *panel = &shade->building->panels[shade->panel];
    const geometry_point fixed = {shade->fixed.x_m, shade->fixed.y_m};
    if (side_of(panel->a, panel->b, fixed) == 0) {
        shade->by_cells =
            meet_stands_on(shade->fixed, panel); /* else in line with it: never met */
        shade->nothing = !shade->by_cells;
        return;
    }
    bound_wedge(shade, panel->a, panel->b);
    if (shade->opening == SIZE_MAX) {
        bound_heights(shade, panel, panel->bottom_m, panel->top_m);
        return;
    }
    const geometry_opening *opening = &shade->building->openings[shade->opening];
    bound_wedge(shade, opening->a, opening->b);
    bound_heights(shade, panel, fmax(panel->bottom_m, opening->bottom_m),
                  fmin(panel->top_m, opening->top_m));
}

/* ---- rows ---- */

static inline double row_y_m(const shade *shade, size_t row) {
    const double y_m = shade->raster->y0_m + (double)row * shade->raster->step_m;
    return shade->snapped ? y_m : geometry_snap(y_m);
}

static inline double cell_at(const shade_line *line, double y_m) {
    return line->cell0 + line->per_m * (y_m - line->y_m);
}

/* Leaves out rows in which a low line runs right of a high one; one more is kept on each side.
 * How far it does is linear in y. */
static void leave_out(const shade *shade, const shade_line *low, const shade_line *high,
                      double y0_m, double y1_m, double *from_y_m, double *to_y_m) {
    const double at0 = cell_at(low, y0_m) - cell_at(high, y0_m) - 1;
    const double at1 = cell_at(low, y1_m) - cell_at(high, y1_m) - 1;
    if (at0 <= 0 && at1 <= 0)
        return;
    if (at0 > 0 && at1 > 0) {
        *to_y_m = -INFINITY;
        return;
    }
    const double y_m = y0_m + (y1_m - y0_m) * at0 / (at0 - at1);
    if (at0 > 0)
        *from_y_m = fmax(*from_y_m, y_m - shade->raster->step_m);
    else
        *to_y_m = fmin(*to_y_m, y_m + shade->raster->step_m);
}

/* The rows from `*first` to before `*end` that may be met. */
static void narrow_rows(const shade *shade, size_t *first, size_t *end) {
    const geometry_raster *raster = shade->raster;
    const double y0_m = row_y_m(shade, *first), y1_m = row_y_m(shade, *end - 1);
    const shade_line left = {0, 0, 0}, right = {(double)raster->nx - 1, 0, 0};
    double from_y_m = shade->from_y_m - raster->step_m;
    double to_y_m = shade->to_y_m + raster->step_m;
    for (size_t i = 0; i < shade->n_low; i++) {
        leave_out(shade, &shade->low[i], &right, y0_m, y1_m, &from_y_m, &to_y_m);
        for (size_t j = 0; j < shade->n_high; j++)
            leave_out(shade, &shade->low[i], &shade->high[j], y0_m, y1_m, &from_y_m, &to_y_m);
    }
    for (size_t j = 0; j < shade->n_high; j++)
        leave_out(shade, &left, &shade->high[j], y0_m, y1_m, &from_y_m, &to_y_m);
    const double low = floor((from_y_m - raster->y0_m) / raster->step_m);
    const double high = ceil((to_y_m - raster->y0_m) / raster->step_m) + 1;
    if (low > (double)*first)
        *first = low < (double)*end ? (size_t)low : *end;
    if (high < (double)*end)
        *end = high > (double)*first ? (size_t)high : *first;
}

/* A row in which no line can tell: cell by cell. */
static void look_at_cells(const shade *shade, size_t row, geometry_run run, void *who) {
    size_t begin = SIZE_MAX;
    for (size_t column = 0; column <= shade->raster->nx; column++) {
        const bool met = column < shade->raster->nx && is_met(shade, column, row);
        if (met && begin == SIZE_MAX)
            begin = column;
        if (!met && begin != SIZE_MAX) {
            run(who, row, begin, column - 1);
            begin = SIZE_MAX;
        }
    }
}

/* A line runs right through a cell's place, or so near that rounding could decide. */
static int64_t decide_tie(const shade *shade, int64_t near, size_t row, bool left) {
    if (near < 0 || near >= (int64_t)shade->raster->nx || is_met(shade, (size_t)near, row))
        return near;
    return left ? near - 1 : near + 1;
}

/* The first cell at or right of `cell`, or with `left` the last at or left of it. From -1 to
 * nx, and so, or one more, is what comes back. Without a call or a branch that nobody can
 * guess. */
static inline int64_t decide(const shade *shade, double cell, size_t row, bool left) {
    const int64_t below = (int64_t)(cell + 1) - 1;
    const double over = cell - (double)below;
    if (over < shade->hair_cells || over > 1 - shade->hair_cells)
        return decide_tie(shade, over < 0.5 ? below : below + 1, row, left);
    return left ? below : below + 1;
}

static inline void look_at_row(const shade *shade, size_t row, geometry_run run, void *who) {
    const double y_m = row_y_m(shade, row);
    const int64_t last_cell = (int64_t)shade->raster->nx - 1;
    double low = -1, high = (double)last_cell + 1;
    if (y_m < shade->from_y_m + rounding_m || y_m > shade->to_y_m - rounding_m) {
        if (y_m >= shade->from_y_m - rounding_m && y_m <= shade->to_y_m + rounding_m)
            look_at_cells(shade, row, run, who);
        return;
    }
    for (size_t i = 0; i < shade->n_low; i++) {
        const double cell = cell_at(&shade->low[i], y_m);
        low = cell > low ? cell : low;
    }
    for (size_t i = 0; i < shade->n_high; i++) {
        const double cell = cell_at(&shade->high[i], y_m);
        high = cell < high ? cell : high;
    }
    if (low > high + 2 * shade->hair_cells || low > (double)last_cell + 1 || high < -1)
        return;
    int64_t first = decide(shade, low, row, false), last = decide(shade, high, row, true);
    first = first < 0 ? 0 : first;
    last = last > last_cell ? last_cell : last;
    if (first <= last)
        run(who, row, (size_t)first, (size_t)last);
}

/* No path between the two heights comes to the panel: most panels of other storeys. */
static bool beyond_heights(const geometry_panel *panel, double z_m, double other_z_m) {
    return (z_m >= panel->top_m + rounding_m && other_z_m >= panel->top_m + rounding_m) ||
           (z_m < panel->bottom_m - rounding_m && other_z_m < panel->bottom_m - rounding_m);
}

void geometry_shade(const geometry_building *building, const geometry_raster *raster,
                    geometry_place fixed, size_t panel, size_t opening, size_t first_row,
                    size_t end_row, geometry_run run, void *who) {
    /* on the grid the raster's cells are where their lines say, else up to half a step off */
    const bool snapped = geometry_snap(raster->x0_m) == raster->x0_m &&
                         geometry_snap(raster->y0_m) == raster->y0_m &&
                         geometry_snap(raster->step_m) == raster->step_m;
    shade shade = {.building = building,
                   .raster = raster,
                   .fixed = fixed,
                   .panel = panel,
                   .opening = opening,
                   .from_y_m = -INFINITY,
                   .to_y_m = INFINITY,
                   .snapped = snapped,
                   .hair_cells =
                       rounding_cells + (snapped ? 0 : GEOMETRY_STEP_M / raster->step_m)};
    if (first_row >= end_row || raster->nx == 0 ||
        beyond_heights(&building->panels[panel], fixed.z_m, raster->z_m))
        return;
    lay_lines(&shade);
    if (shade.nothing)
        return;
    if (!shade.by_cells)
        narrow_rows(&shade, &first_row, &end_row);
    for (size_t row = first_row; row < end_row; row++)
        if (shade.by_cells)
            look_at_cells(&shade, row, run, who);
        else
            look_at_row(&shade, row, run, who);
}
