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

enum { MOST_LINES = 8, MOST_RUNS = 64 };
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
    size_t panel, opening;  /* opening SIZE_MAX: the panel itself */
    shade_line *low, *high; /* at most MOST_LINES of each; the border first */
    size_t n_low, n_high;
    double from_y_m, to_y_m; /* lines along x: only rows between are met */
    double cells_per_m, hair_cells;
    bool snapped;           /* the raster is on the grid as it stands */
    bool nothing, by_cells; /* no cell is met; no line can tell which are */
    geometry_tell tell;
    void *who;
    geometry_run *runs; /* not yet told, at most MOST_RUNS */
    size_t n_runs;
} shade;

geometry_place geometry_raster_place(const geometry_raster *raster, size_t column, size_t row) {
    return (geometry_place){geometry_snap(raster->x0_m + (double)column * raster->step_m),
                            geometry_snap(raster->y0_m + (double)row * raster->step_m),
                            raster->z_m};
}

static bool on_grid(double at_m) {
    const double steps = at_m / GEOMETRY_STEP_M;
    return (double)(int64_t)steps == steps;
}

/* On the grid the raster's cells are where their lines say, else up to half a step off. */
static bool is_snapped(const geometry_raster *raster) {
    return on_grid(raster->x0_m) && on_grid(raster->y0_m) && on_grid(raster->step_m);
}

static inline double at_cell(const shade *shade, double from_m, int32_t cell) {
    const double at_m = from_m + cell * shade->raster->step_m;
    return shade->snapped ? at_m : geometry_snap(at_m);
}

static inline double row_y_m(const shade *shade, int32_t row) {
    return at_cell(shade, shade->raster->y0_m, row);
}

/* The exact answer for one cell. */
static bool is_met(const shade *shade, int32_t column, int32_t row) {
    const geometry_panel *panel = &shade->building->panels[shade->panel];
    const geometry_place place = {at_cell(shade, shade->raster->x0_m, column),
                                  row_y_m(shade, row), shade->raster->z_m};
    const meet_path path = meet_order(shade->fixed, place);
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
            shade->from_y_m = meet_greater(shade->from_y_m, y_m);
        else if (per_y < 0)
            shade->to_y_m = meet_lesser(shade->to_y_m, y_m);
        return;
    }
    const shade_line line = {(x_m - raster->x0_m) * shade->cells_per_m, y_m,
                             -per_y / per_x * shade->cells_per_m};
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
    *first = meet_greater(meet_lesser(one, other), 0);
    *last = meet_lesser(meet_greater(one, other), 1);
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
    bound_heights(shade, panel, meet_greater(panel->bottom_m, opening->bottom_m),
                  meet_lesser(panel->top_m, opening->top_m));
}

/* ---- rows ---- */

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
        *from_y_m = meet_greater(*from_y_m, y_m - shade->raster->step_m);
    else
        *to_y_m = meet_lesser(*to_y_m, y_m + shade->raster->step_m);
}

/* The rows from `*first` to before `*end` that may be met. */
static void narrow_rows(const shade *shade, int32_t *first, int32_t *end) {
    const geometry_raster *raster = shade->raster;
    const double y0_m = row_y_m(shade, *first), y1_m = row_y_m(shade, *end - 1);
    double from_y_m = shade->from_y_m - raster->step_m;
    double to_y_m = shade->to_y_m + raster->step_m;
    for (size_t i = 0; i < shade->n_low; i++)
        for (size_t j = i == 0; j < shade->n_high; j++)
            leave_out(shade, &shade->low[i], &shade->high[j], y0_m, y1_m, &from_y_m, &to_y_m);
    const double low = meet_greater((from_y_m - raster->y0_m) * shade->cells_per_m - 1, *first);
    const double high = meet_lesser((to_y_m - raster->y0_m) * shade->cells_per_m + 2, *end);
    *first = low < *end ? (int32_t)low : *end;
    *end = high > *first ? (int32_t)high : *first;
}

static void tell_runs(shade *shade) {
    if (shade->n_runs)
        shade->tell(shade->who, shade->runs, shade->n_runs);
    shade->n_runs = 0;
}

static inline void keep_run(shade *shade, int32_t row, int32_t first, int32_t last) {
    shade->runs[shade->n_runs++] =
        (geometry_run){(uint32_t)row, (uint32_t)first, (uint32_t)last};
    if (shade->n_runs == MOST_RUNS)
        tell_runs(shade);
}

/* A piece of a row in which no line can tell: cell by cell. */
static void look_at_cells(shade *shade, int32_t row, int32_t first, int32_t last) {
    int32_t begin = -1;
    for (int32_t column = first; column <= last + 1; column++) {
        const bool met = column <= last && is_met(shade, column, row);
        if (met && begin < 0)
            begin = column;
        if (!met && begin >= 0) {
            keep_run(shade, row, begin, column - 1);
            begin = -1;
        }
    }
}

/* Whether a line runs right through a cell's place, or so near that rounding could decide: the
 * cell is asked then. `over`: how far off it is, of one cell. */
static inline bool is_tie(const shade *shade, double over) {
    return fabs(over - 0.5) > 0.5 - shade->hair_cells;
}

/* The first cell at or right of `cell`, the last at or left of it; `cell` not below -0.5. */
static inline int32_t first_from(const shade *shade, double cell, int32_t row) {
    const int32_t first = (int32_t)(cell + 1);
    if (!is_tie(shade, first - cell))
        return first;
    const int32_t near = (int32_t)(cell + 0.5);
    return is_met(shade, near, row) ? near : near + 1;
}

static inline int32_t last_to(const shade *shade, double cell, int32_t row) {
    const int32_t last = (int32_t)(cell + 1) - 1;
    if (!is_tie(shade, cell - last))
        return last;
    const int32_t near = (int32_t)(cell + 0.5);
    return is_met(shade, near, row) ? near : near - 1;
}

/* A row that a line along x runs through, or so near that rounding could decide. */
static void look_at_tied_row(shade *shade, int32_t row, double low, double high) {
    const double y_m = row_y_m(shade, row);
    if (y_m >= shade->from_y_m - rounding_m && y_m <= shade->to_y_m + rounding_m)
        look_at_cells(shade, row, (int32_t)low, (int32_t)(high + shade->hair_cells));
}

static inline void look_at_row(shade *shade, int32_t row) {
    const double y_m = row_y_m(shade, row);
    double low = shade->low[0].cell0, high = shade->high[0].cell0; /* the border */
    for (size_t i = 1; i < shade->n_low; i++)
        low = meet_greater(low, cell_at(&shade->low[i], y_m));
    for (size_t i = 1; i < shade->n_high; i++)
        high = meet_lesser(high, cell_at(&shade->high[i], y_m));
    if (low > high + 2 * shade->hair_cells)
        return;
    if (y_m < shade->from_y_m + rounding_m || y_m > shade->to_y_m - rounding_m) {
        look_at_tied_row(shade, row, low, high);
        return;
    }
    const int32_t first = first_from(shade, low, row), last = last_to(shade, high, row);
    if (first <= last)
        keep_run(shade, row, first, last);
}

/* No path between the two heights comes to the panel: most panels of other storeys. */
static bool beyond_heights(const geometry_panel *panel, double z_m, double other_z_m) {
    return (z_m >= panel->top_m + rounding_m && other_z_m >= panel->top_m + rounding_m) ||
           (z_m < panel->bottom_m - rounding_m && other_z_m < panel->bottom_m - rounding_m);
}

static void look_at_rows(shade *shade, int32_t first_row, int32_t end_row) {
    if (!shade->by_cells)
        narrow_rows(shade, &first_row, &end_row);
    for (int32_t row = first_row; row < end_row; row++)
        if (shade->by_cells)
            look_at_cells(shade, row, 0, (int32_t)shade->raster->nx - 1);
        else
            look_at_row(shade, row);
    tell_runs(shade);
}

void geometry_shade(const geometry_building *building, const geometry_raster *raster,
                    geometry_place fixed, size_t panel, size_t opening, size_t first_row,
                    size_t end_row, geometry_tell tell, void *who) {
    if (first_row >= end_row || raster->nx == 0 ||
        beyond_heights(&building->panels[panel], fixed.z_m, raster->z_m))
        return;
    const bool snapped = is_snapped(raster);
    const double cells_per_m = 1 / raster->step_m;
    geometry_run runs[MOST_RUNS];
    shade_line low[MOST_LINES], high[MOST_LINES];
    /* the border lies between cells, so that it is tied with none */
    low[0] = (shade_line){-0.5, 0, 0};
    high[0] = (shade_line){(double)raster->nx - 0.5, 0, 0};
    shade shade = {.building = building,
                   .raster = raster,
                   .fixed = fixed,
                   .panel = panel,
                   .opening = opening,
                   .low = low,
                   .high = high,
                   .n_low = 1,
                   .n_high = 1,
                   .from_y_m = -INFINITY,
                   .to_y_m = INFINITY,
                   .cells_per_m = cells_per_m,
                   .hair_cells = rounding_cells + (snapped ? 0 : GEOMETRY_STEP_M * cells_per_m),
                   .snapped = snapped,
                   .tell = tell,
                   .who = who,
                   .runs = runs};
    lay_lines(&shade);
    if (!shade.nothing)
        look_at_rows(&shade, (int32_t)first_row, (int32_t)end_row);
}
