/* SPDX-License-Identifier: GPL-3.0-or-later */
/* map.c - the margin at every point of a raster, seen from one fixed end.
 *
 * What one panel stands before is worked out for whole rows at once (geometry/shade.c). Panels
 * that lose the same at every angle and have no openings are only counted, by construction:
 * differences at both ends of a run, summed along the row. Of the others, a point knows which
 * stand in its way, and only those are looked at again, with the angle and the edges there.
 * What follows is predict.c's, from the same crossings that it would have found by itself.
 */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "engine.h"

/* A panel that must be looked at again from some cells of a row. */
struct run {
    size_t panel;
    geometry_run at;
};

struct mapping {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_grid *grid;
    const earshot_end *fixed;
    bool fixed_listens;
    geometry_raster raster;
    geometry_place fixed_place;
    size_t first_row, n_rows;

    size_t panel; /* whose runs are being told */
    size_t construction;
    int *steps;       /* [row][construction][nx + 1]: changes of the counts */
    struct run *runs; /* of panels to be looked at, by row and then by panel */
    size_t n_runs, capacity, *row_start;
    bool failed;

    int *count;     /* in a cell: by construction */
    size_t *panels; /* in a cell */
    size_t n_panels;
};

/* ---- what stands in the way ---- */

static int *steps_of(const struct mapping *mapping, size_t row, size_t construction) {
    size_t per_row = mapping->survey->n_constructions * (mapping->grid->nx + 1);
    return mapping->steps + (row - mapping->first_row) * per_row +
           construction * (mapping->grid->nx + 1);
}

static void count_runs(void *who, const geometry_run *runs, size_t n_runs) {
    const struct mapping *mapping = who;
    for (size_t i = 0; i < n_runs; i++) {
        int *steps = steps_of(mapping, runs[i].row, mapping->construction);
        steps[runs[i].first]++;
        steps[runs[i].last + 1]--;
    }
}

static void keep_runs(void *who, const geometry_run *told, size_t n_told) {
    struct mapping *mapping = who;
    if (mapping->capacity - mapping->n_runs < n_told) {
        size_t capacity = 2 * mapping->capacity + 1024;
        struct run *runs = realloc(mapping->runs, capacity * sizeof *runs);
        mapping->failed = mapping->failed || !runs;
        if (!runs)
            return;
        mapping->runs = runs;
        mapping->capacity = capacity;
    }
    for (size_t i = 0; i < n_told; i++)
        mapping->runs[mapping->n_runs++] = (struct run){mapping->panel, told[i]};
}

/* Whether a crossing of the panel is told by its construction alone, whoever sends. */
static bool is_plain(const struct mapping *mapping, size_t panel) {
    const earshot_survey *survey = mapping->survey;
    size_t construction = survey->walls[panel].construction;
    const struct engine_reads *reads = mapping->belief->reads;
    return survey->building.panels[panel].n_openings == 0 &&
           survey->constructions[construction].n_rows > 0 &&
           (!reads || reads->own_of[panel] == EARSHOT_NONE);
}

static void shade_panels(struct mapping *mapping) {
    const earshot_survey *survey = mapping->survey;
    for (size_t i = 0; i < survey->n_walls && !mapping->failed; i++) {
        mapping->panel = i;
        mapping->construction = survey->walls[i].construction;
        geometry_shade(&survey->building, &mapping->raster, mapping->fixed_place, i, SIZE_MAX,
                       mapping->first_row, mapping->first_row + mapping->n_rows,
                       is_plain(mapping, i) ? count_runs : keep_runs, mapping);
    }
}

/* Runs in order of rows, and of panels as they came; where each row's begin. */
static bool sort_runs(struct mapping *mapping) {
    struct run *sorted = malloc((mapping->n_runs + 1) * sizeof *sorted);
    size_t *start = mapping->row_start;
    if (!sorted)
        return false;
    for (size_t i = 0; i < mapping->n_runs; i++)
        start[mapping->runs[i].at.row - mapping->first_row + 1]++;
    for (size_t row = 0; row < mapping->n_rows; row++)
        start[row + 1] += start[row];
    for (size_t i = mapping->n_runs; i-- > 0;)
        sorted[--start[mapping->runs[i].at.row - mapping->first_row + 1]] = mapping->runs[i];
    /* each start has moved to the start of its own row, one place too far up */
    memmove(start, start + 1, mapping->n_rows * sizeof *start);
    start[mapping->n_rows] = mapping->n_runs;
    free(mapping->runs);
    mapping->runs = sorted;
    return true;
}

/* ---- cell by cell ---- */

static earshot_link link_at(const struct mapping *mapping, size_t column, size_t row) {
    geometry_place place = geometry_raster_place(&mapping->raster, column, row);
    earshot_end end = mapping->grid->like;
    end.x_m = place.x_m;
    end.y_m = place.y_m;
    return (earshot_link){.from = mapping->fixed_listens ? end : *mapping->fixed,
                          .to = mapping->fixed_listens ? *mapping->fixed : end,
                          .device = EARSHOT_NONE,
                          .listener = EARSHOT_NONE,
                          .path = EARSHOT_NONE};
}

/* The panels to be looked at from a cell. Returns the next column at which there may be others.
 */
static size_t gather_panels(struct mapping *mapping, size_t column, size_t row) {
    size_t next = mapping->grid->nx;
    mapping->n_panels = 0;
    for (size_t i = mapping->row_start[row]; i < mapping->row_start[row + 1]; i++) {
        const struct run *run = &mapping->runs[i];
        if (run->at.first > column)
            next = run->at.first < next ? run->at.first : next;
        else if (run->at.last >= column) {
            mapping->panels[mapping->n_panels++] = run->panel;
            next = run->at.last + 1 < next ? run->at.last + 1 : next;
        }
    }
    return next;
}

static void map_row(struct mapping *mapping, size_t row, double *margin_db, double *sd_db) {
    size_t n = mapping->survey->n_constructions, next = 0;
    memset(mapping->count, 0, n * sizeof *mapping->count);
    for (size_t column = 0; column < mapping->grid->nx; column++) {
        for (size_t i = 0; i < n; i++)
            mapping->count[i] += steps_of(mapping, row, i)[column];
        if (column == next)
            next = gather_panels(mapping, column, row - mapping->first_row);
        const earshot_link link = link_at(mapping, column, row);
        const engine_seen seen = {
            .count = mapping->count, .panels = mapping->panels, .n_panels = mapping->n_panels};
        engine_margin(mapping->survey, mapping->belief, &link, &seen, &margin_db[column],
                      &sd_db[column]);
    }
}

static bool take(struct mapping *mapping) {
    const earshot_survey *survey = mapping->survey;
    size_t n = survey->n_constructions;
    if (n && mapping->n_rows > SIZE_MAX / sizeof *mapping->steps / n / (mapping->grid->nx + 1))
        return false;
    mapping->steps =
        calloc(mapping->n_rows * n * (mapping->grid->nx + 1) + 1, sizeof *mapping->steps);
    mapping->row_start = calloc(mapping->n_rows + 2, sizeof *mapping->row_start);
    mapping->count = calloc(n + 1, sizeof *mapping->count);
    mapping->panels = calloc(survey->n_walls + 1, sizeof *mapping->panels);
    return mapping->steps && mapping->row_start && mapping->count && mapping->panels;
}

static void release(struct mapping *mapping) {
    free(mapping->steps);
    free(mapping->runs);
    free(mapping->row_start);
    free(mapping->count);
    free(mapping->panels);
}

static bool grid_valid(const earshot_survey *survey, const earshot_end *fixed,
                       const earshot_grid *grid, size_t first_row, size_t n_rows) {
    static const double most_points = 16e6, least_step_m = 0.01;
    double far_x_m = grid->x0_m + (double)grid->nx * grid->step_m;
    double far_y_m = grid->y0_m + (double)grid->ny * grid->step_m;
    earshot_end corner = grid->like;
    corner.x_m = grid->x0_m;
    corner.y_m = grid->y0_m;
    const earshot_link link = {.from = *fixed, .to = corner, .path = EARSHOT_NONE};
    return grid->nx && grid->ny && (double)grid->nx * (double)grid->ny <= most_points &&
           grid->step_m >= least_step_m && first_row <= grid->ny &&
           n_rows <= grid->ny - first_row && far_x_m <= GEOMETRY_REACH_M &&
           far_y_m <= GEOMETRY_REACH_M && isfinite(corner.x_m) && isfinite(corner.y_m) &&
           isfinite(corner.z_m) && isfinite(fixed->x_m) && isfinite(fixed->y_m) &&
           isfinite(fixed->z_m) && engine_link_valid(survey, &link);
}

enum earshot_status earshot_map_predict(const earshot_survey *survey,
                                        const earshot_belief *belief, const earshot_end *fixed,
                                        bool fixed_listens, const earshot_grid *grid,
                                        size_t first_row, size_t n_rows, double *margin_db,
                                        double *sd_db) {
    if (!survey || !belief || !fixed || !grid || !margin_db || !sd_db ||
        !grid_valid(survey, fixed, grid, first_row, n_rows))
        return EARSHOT_MISUSE;
    struct mapping mapping = {
        .survey = survey,
        .belief = belief,
        .grid = grid,
        .fixed = fixed,
        .fixed_listens = fixed_listens,
        .raster = {grid->x0_m, grid->y0_m, grid->like.z_m, grid->step_m, grid->nx, grid->ny},
        .fixed_place = {geometry_snap(fixed->x_m), geometry_snap(fixed->y_m), fixed->z_m},
        .first_row = first_row,
        .n_rows = n_rows};
    bool good = take(&mapping);
    if (good)
        shade_panels(&mapping);
    good = good && !mapping.failed && sort_runs(&mapping);
    for (size_t i = 0; good && i < n_rows; i++)
        map_row(&mapping, first_row + i, margin_db + i * grid->nx, sd_db + i * grid->nx);
    release(&mapping);
    return good ? EARSHOT_OK : EARSHOT_NO_MEMORY;
}
