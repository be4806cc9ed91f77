/* SPDX-License-Identifier: GPL-3.0-or-later */
/* index.c - which panels a path may meet, without looking at all of them.
 *
 * Panels of one height (a storey's walls) share a grid over the plan; a path walks the rows of
 * cells that it passes, and only the part of it that is within the storey's height. In a row
 * the cells of the path are neighbors, and so are their lists in memory: all panels of the
 * first cell are looked at, of the others only those that begin there, so none is looked at
 * twice in a row.
 *
 * Cells are chosen a hair too wide on all sides, in floating point; what is met is decided by
 * the exact tests of meet.h alone.
 */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "looking.h"

enum {
    MOST_GROUPS = 16,    /* heights of their own; what is left shares one */
    FEW = 40,            /* panels that are sooner looked at than looked up */
    MOST_CELLS = 1 << 20 /* of one grid */
};
static const double hair_m = 1e-6;
static const double flat_m = 0.01; /* rise of a piece that counts as level */
static const double panels_a_cell = 4.0;

/* Lists by cell, row by row: `start` has one more at the end. */
typedef struct index_lists {
    uint32_t *start;
    looking_entry *entries;
} index_lists;

typedef struct index_group {
    looking_heights heights; /* of all its panels */
    size_t n;
    looking_entry *panels;
    double x0_m, y0_m, x1_m, y1_m, cell_m, cells_per_m;
    int32_t nx, ny;      /* 0: no grid, look at all */
    index_lists begin;   /* of its row, the panels that begin in the cell */
    index_lists through; /* those that come into it from the cell before */
} index_group;

struct geometry_index {
    const geometry_building *building;
    size_t n_groups;
    index_group groups[MOST_GROUPS + 1];
};

/* ---- cells ---- */

static inline int32_t cell_of(double at_m, double from_m, double cells_per_m, int32_t n) {
    double cell = (at_m - from_m) * cells_per_m;
    return (int32_t)meet_lesser(meet_greater(cell, 0), n - 1);
}

/* A straight piece of the plan, its ends in order of x, on its way through rows of cells. */
typedef struct piece {
    double ax_m, ay_m, bx_m, by_m;
    double slope; /* dx/dy; 0 for one along x, which fills each of its rows */
    int32_t row, last_row;
} piece;

static inline piece make_piece(const index_group *group, double ax_m, double ay_m, double bx_m,
                               double by_m) {
    double dy_m = by_m - ay_m;
    bool along_x = dy_m < flat_m && dy_m > -flat_m;
    return (piece){
        ax_m,
        ay_m,
        bx_m,
        by_m,
        along_x ? 0 : (bx_m - ax_m) / dy_m,
        cell_of(meet_lesser(ay_m, by_m) - hair_m, group->y0_m, group->cells_per_m, group->ny),
        cell_of(meet_greater(ay_m, by_m) + hair_m, group->y0_m, group->cells_per_m, group->ny)};
}

/* The cells that a piece passes in a row of them: first and last. */
static inline void cells_in_row(const index_group *group, const piece *piece, int32_t row,
                                int32_t *first, int32_t *last) {
    double low_x_m = piece->ax_m, high_x_m = piece->bx_m;
    if (piece->slope != 0) {
        double low_y_m = group->y0_m + row * group->cell_m - hair_m;
        double one_m = piece->ax_m + (low_y_m - piece->ay_m) * piece->slope;
        double other_m = one_m + (group->cell_m + 2 * hair_m) * piece->slope;
        low_x_m = meet_greater(low_x_m, meet_lesser(one_m, other_m));
        high_x_m = meet_lesser(high_x_m, meet_greater(one_m, other_m));
    }
    *first =
        row * group->nx + cell_of(low_x_m - hair_m, group->x0_m, group->cells_per_m, group->nx);
    *last = row * group->nx +
            cell_of(high_x_m + hair_m, group->x0_m, group->cells_per_m, group->nx);
}

/* ---- building ---- */

static double meters(int32_t at) {
    return at * GEOMETRY_STEP_M;
}

/* Counts a panel into the lists of the cells it passes; or puts it in, from behind. */
static void list_panel(const index_group *group, const looking_entry *panel, bool put) {
    piece piece = make_piece(group, meters(panel->px), meters(panel->py),
                             meters(panel->px + panel->ex), meters(panel->py + panel->ey));
    int32_t first, last;
    for (; piece.row <= piece.last_row; piece.row++) {
        cells_in_row(group, &piece, piece.row, &first, &last);
        for (int32_t cell = first + 1; cell <= last; cell++)
            if (put)
                group->through.entries[--group->through.start[cell]] = *panel;
            else
                group->through.start[cell]++;
        if (put)
            group->begin.entries[--group->begin.start[first]] = *panel;
        else
            group->begin.start[first]++;
    }
}

/* The box around a group, in cells for about four panels each. */
static void lay_cells(index_group *group) {
    group->x0_m = group->y0_m = INFINITY;
    group->x1_m = group->y1_m = -INFINITY;
    for (size_t k = 0; k < group->n; k++) {
        const looking_entry *panel = &group->panels[k];
        group->x0_m = meet_lesser(group->x0_m, meters(panel->px));
        group->x1_m = meet_greater(group->x1_m, meters(panel->px + panel->ex));
        group->y0_m = meet_lesser(
            group->y0_m, meet_lesser(meters(panel->py), meters(panel->py + panel->ey)));
        group->y1_m = meet_greater(
            group->y1_m, meet_greater(meters(panel->py), meters(panel->py + panel->ey)));
    }
    double wide_m = meet_greater(group->x1_m - group->x0_m, 1);
    double deep_m = meet_greater(group->y1_m - group->y0_m, 1);
    double n_cells = meet_lesser((double)group->n / panels_a_cell, MOST_CELLS);
    group->cells_per_m = sqrt(n_cells / (wide_m * deep_m));
    group->cell_m = 1 / group->cells_per_m;
    group->nx = (int32_t)(wide_m * group->cells_per_m) + 1;
    group->ny = (int32_t)(deep_m * group->cells_per_m) + 1;
}

/* Counts become the ends of lists, and room for them is made. */
static bool make_room(index_lists *lists, size_t n_cells) {
    for (size_t i = 1; i <= n_cells; i++)
        lists->start[i] += lists->start[i - 1];
    lists->entries = malloc((lists->start[n_cells] + 1) * sizeof *lists->entries);
    return lists->entries != NULL;
}

static bool build_grid(index_group *group) {
    lay_cells(group);
    size_t n_cells = (size_t)group->nx * (size_t)group->ny;
    group->through.start = calloc(n_cells + 1, sizeof *group->through.start);
    group->begin.start = calloc(n_cells + 1, sizeof *group->begin.start);
    if (!group->through.start || !group->begin.start)
        return false;
    for (size_t k = 0; k < group->n; k++)
        list_panel(group, &group->panels[k], false);
    if (!make_room(&group->through, n_cells) || !make_room(&group->begin, n_cells))
        return false;
    for (size_t k = group->n; k-- > 0;)
        list_panel(group, &group->panels[k], true);
    return true;
}

/* The group of a panel: of its very heights while there is room, else the last. */
static index_group *group_of(geometry_index *index, const geometry_panel *panel) {
    for (size_t i = 0; i < index->n_groups && i < MOST_GROUPS; i++)
        if (index->groups[i].heights.bottom_m == panel->bottom_m &&
            index->groups[i].heights.top_m == panel->top_m)
            return &index->groups[i];
    index_group *group = &index->groups[index->n_groups];
    if (index->n_groups < MOST_GROUPS) {
        index->n_groups++;
        group->heights.bottom_m = panel->bottom_m;
        group->heights.top_m = panel->top_m;
        return group;
    }
    group = &index->groups[MOST_GROUPS];
    group->heights.bottom_m = meet_lesser(group->heights.bottom_m, panel->bottom_m);
    group->heights.top_m = meet_greater(group->heights.top_m, panel->top_m);
    return group;
}

static bool sort_panels(geometry_index *index) {
    const geometry_building *building = index->building;
    index->groups[MOST_GROUPS].heights = (looking_heights){INFINITY, -INFINITY};
    for (size_t i = 0; i < building->n_panels; i++)
        group_of(index, &building->panels[i])->n++;
    if (index->groups[MOST_GROUPS].n)
        index->n_groups = MOST_GROUPS + 1;
    for (size_t i = 0; i < index->n_groups; i++) {
        index_group *group = &index->groups[i];
        group->panels = malloc((group->n + 1) * sizeof *group->panels);
        if (!group->panels)
            return false;
        group->n = 0;
    }
    for (size_t i = 0; i < building->n_panels; i++) {
        const geometry_panel *panel = &building->panels[i];
        index_group *group = group_of(index, panel);
        group->panels[group->n++] = looking_list(panel, i, group->heights);
    }
    return true;
}

geometry_index *geometry_index_build(const geometry_building *building) {
    geometry_index *index =
        building->n_panels < LOOKING_MOST_PANELS ? calloc(1, sizeof *index) : NULL;
    if (!index)
        return NULL;
    index->building = building;
    bool good = sort_panels(index);
    for (size_t i = 0; good && i < index->n_groups; i++)
        good = index->groups[i].n <= FEW || build_grid(&index->groups[i]);
    if (good)
        return index;
    geometry_index_free(index);
    return NULL;
}

void geometry_index_free(geometry_index *index) {
    for (size_t i = 0; index && i < index->n_groups; i++) {
        index_group *group = &index->groups[i];
        free(group->panels);
        free(group->through.start);
        free(group->through.entries);
        free(group->begin.start);
        free(group->begin.entries);
    }
    free(index);
}

/* ---- crossing ---- */

static inline void look_in_row(looking *looking, const index_group *group, const piece *piece,
                               int32_t row) {
    int32_t first, last;
    cells_in_row(group, piece, row, &first, &last);
    looking_part(looking, group->through.entries + group->through.start[first],
                 group->through.entries + group->through.start[first + 1]);
    looking_part(looking, group->begin.entries + group->begin.start[first],
                 group->begin.entries + group->begin.start[last + 1]);
}

/* The part of the path, as shares of its way, that lies between two heights; a hair more. */
static inline void share_heights(const meet_path *path, looking_heights heights, double *from,
                                 double *to) {
    double dz_m = path->to.z_m - path->from.z_m;
    *from = 0;
    *to = 1;
    if (dz_m < hair_m && dz_m > -hair_m)
        return;
    double per_m = 1 / dz_m, hair = hair_m * (per_m > 0 ? per_m : -per_m);
    double one = (heights.bottom_m - path->from.z_m) * per_m;
    double other = (heights.top_m - path->from.z_m) * per_m;
    *from = meet_greater(meet_lesser(one, other) - hair, 0);
    *to = meet_lesser(meet_greater(one, other) + hair, 1);
}

/* A path that misses the box of a group is not walked along its border. */
static bool misses_box(const index_group *group, const piece *piece) {
    return piece->bx_m < group->x0_m - hair_m || piece->ax_m > group->x1_m + hair_m ||
           meet_greater(piece->ay_m, piece->by_m) < group->y0_m - hair_m ||
           meet_lesser(piece->ay_m, piece->by_m) > group->y1_m + hair_m;
}

static void walk_grid(looking *looking, const index_group *group) {
    const meet_path *path = &looking->path;
    double from, to;
    share_heights(path, group->heights, &from, &to);
    const piece piece = make_piece(group, meet_along(path->a.x_m, path->b.x_m, from),
                                   meet_along(path->a.y_m, path->b.y_m, from),
                                   meet_along(path->a.x_m, path->b.x_m, to),
                                   meet_along(path->a.y_m, path->b.y_m, to));
    if (misses_box(group, &piece))
        return;
    for (int32_t row = piece.row; row <= piece.last_row; row++)
        look_in_row(looking, group, &piece, row);
}

void geometry_index_cross(const geometry_index *index, geometry_place from, geometry_place to,
                          void (*meet)(void *who, const geometry_crossing *crossing),
                          void *who) {
    looking looking;
    looking_begin(&looking, index->building, from, to);
    const double low_m = meet_lesser(from.z_m, to.z_m) - hair_m;
    const double high_m = meet_greater(from.z_m, to.z_m) + hair_m;
    for (const index_group *group = index->groups; group < index->groups + index->n_groups;
         group++) {
        if (group->heights.bottom_m > high_m || group->heights.top_m < low_m)
            continue;
        if (group->nx == 0)
            looking_part(&looking, group->panels, group->panels + group->n);
        else
            walk_grid(&looking, group);
        looking_meet_parted(&looking, group->heights);
    }
    looking_tell(&looking, from, to, meet, who);
}
