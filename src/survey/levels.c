/* SPDX-License-Identifier: GPL-3.0-or-later */
/* levels.c - levels.csv and floors.csv: storeys, the slabs between them, their outlines and
 * holes.
 *
 * A level's slab lies at its floor_z and is built of floor_construction; blank: there is none
 * (the ground under a house has nothing below it that anybody talks through). With no row in
 * floors.csv a slab reaches everywhere; with outlines it ends at them, and a stair hole lets
 * the signal through.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"

static const double ground_height_m =
    2.5; /* a storey, when no level is given; common practice */

static void build_level(survey_load *load, const survey_row *row, survey_level *level) {
    earshot_survey *survey = load->survey;
    *level = (survey_level){.name = survey_string(row, COLUMN_LEVELS_LEVEL),
                            .floor_z_m = survey_number(row, COLUMN_LEVELS_FLOOR_Z, 0),
                            .height_m = survey_number(row, COLUMN_LEVELS_HEIGHT, NAN),
                            .floor = EARSHOT_NONE,
                            .table_line = row->line};
    level->construction =
        survey_refer_construction(load, row, COLUMN_LEVELS_FLOOR_CONSTRUCTION);
    if (level->construction != EARSHOT_NONE &&
        survey->constructions[level->construction].class != SURVEY_CLASS_FLOOR)
        survey_say(load, FINDINGS_NOT_A_FLOOR, row, COLUMN_LEVELS_FLOOR_CONSTRUCTION,
                   (const char *const[4]){survey->constructions[level->construction].name});
}

static void build_levels(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_LEVELS];
    survey->levels = survey_take(survey->storage, rows->n + 1, sizeof *survey->levels);
    if (!survey->levels)
        return;
    for (size_t i = 0; i < rows->n; i++) {
        const char *name = survey_string(&rows->rows[i], COLUMN_LEVELS_LEVEL);
        if (name[0] == '\0')
            continue;
        if (survey_find(name, survey->levels, survey->n_levels, sizeof *survey->levels) <
            survey->n_levels) {
            survey_say(load, FINDINGS_NAME_TWICE, &rows->rows[i], COLUMN_LEVELS_LEVEL,
                       (const char *const[4]){name, "level"});
            continue;
        }
        build_level(load, &rows->rows[i], &survey->levels[survey->n_levels++]);
    }
    if (survey->n_levels == 0)
        survey->levels[survey->n_levels++] = (survey_level){.name = "ground",
                                                            .height_m = ground_height_m,
                                                            .construction = EARSHOT_NONE,
                                                            .floor = EARSHOT_NONE};
}

/* ---- outlines ---- */

/* A corner of an outline: which level, which ring, in table order. */
struct corner {
    size_t level;
    const char *ring;
    const survey_row *row;
    geometry_point point;
};

static bool read_corner(survey_load *load, const survey_row *row, struct corner *corner) {
    earshot_survey *survey = load->survey;
    double x_m = survey_number(row, COLUMN_FLOORS_X, NAN);
    double y_m = survey_number(row, COLUMN_FLOORS_Y, NAN);
    corner->level = survey_refer(load, row, COLUMN_FLOORS_LEVEL, SURVEY_TABLE_LEVELS,
                                 survey->levels, survey->n_levels, sizeof *survey->levels);
    corner->ring = survey_string(row, COLUMN_FLOORS_RING);
    corner->row = row;
    if (corner->ring[0] && strcmp(corner->ring, "outer") != 0 &&
        strncmp(corner->ring, "hole", 4) != 0) {
        survey_say(load, FINDINGS_RING_UNKNOWN, row, COLUMN_FLOORS_RING,
                   (const char *const[4]){corner->ring});
        return false;
    }
    if (corner->level == EARSHOT_NONE || corner->ring[0] == '\0' || isnan(x_m) || isnan(y_m))
        return false;
    corner->point = (geometry_point){geometry_snap(x_m), geometry_snap(y_m)};
    return true;
}

/* Everything the outlines are gathered into. */
struct outlines {
    const struct corner *corners;
    size_t n_corners;
    bool *at_fault; /* by level: a corner of it could not be used and has been spoken of */
    geometry_floor *floors;
    geometry_ring *rings;
    geometry_point *points;
};

/* A corner of an unknown level may be missing on any. */
static void set_at_fault(struct outlines *all, size_t level, size_t n_levels) {
    for (size_t i = 0; i < n_levels; i++)
        all->at_fault[i] = all->at_fault[i] || level == EARSHOT_NONE || level == i;
}

static void read_corners(survey_load *load, struct corner *corners, struct outlines *all) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_FLOORS];
    for (size_t i = 0; i < rows->n; i++)
        if (read_corner(load, &rows->rows[i], &corners[all->n_corners]))
            all->n_corners++;
        else
            set_at_fault(all, corners[all->n_corners].level, load->survey->n_levels);
}

static bool same_ring(const struct corner *a, const struct corner *b) {
    return a->level == b->level && strcmp(a->ring, b->ring) == 0;
}

static bool first_of_ring(const struct outlines *all, size_t i) {
    for (size_t j = 0; j < i; j++)
        if (same_ring(&all->corners[j], &all->corners[i]))
            return false;
    return true;
}

static void add_ring(survey_load *load, struct outlines *all, size_t start) {
    geometry_building *building = &load->survey->building;
    const struct corner *first = &all->corners[start];
    geometry_ring ring = {.first_point = building->n_points,
                          .hole = strcmp(first->ring, "outer") != 0};
    for (size_t j = start; j < all->n_corners; j++)
        if (same_ring(&all->corners[j], first)) {
            all->points[building->n_points++] = all->corners[j].point;
            ring.n_points++;
        }
    all->rings[building->n_rings++] = ring;
    if (ring.n_points < 3 && !all->at_fault[first->level])
        survey_say(load, FINDINGS_RING_TOO_SHORT, first->row, COLUMN_FLOORS_RING,
                   (const char *const[4]){first->ring});
}

static void add_floor(survey_load *load, struct outlines *all, size_t level) {
    earshot_survey *survey = load->survey;
    geometry_building *building = &survey->building;
    geometry_floor floor = {.z_m = survey->levels[level].floor_z_m,
                            .first_ring = building->n_rings};
    bool outer = false;
    for (size_t i = 0; i < all->n_corners; i++)
        if (all->corners[i].level == level && first_of_ring(all, i)) {
            add_ring(load, all, i);
            outer = outer || !building->n_rings || !all->rings[building->n_rings - 1].hole;
        }
    floor.n_rings = building->n_rings - floor.first_ring;
    if (floor.n_rings && !outer && !all->at_fault[level])
        findings_add(load->findings, FINDINGS_NO_OUTER_RING,
                     survey_place(load, SURVEY_TABLE_FLOORS),
                     (const char *const[4]){survey->levels[level].name});
    if (survey->levels[level].construction == EARSHOT_NONE)
        return;
    survey->levels[level].floor = building->n_floors;
    survey->floor_levels[building->n_floors] = level;
    all->floors[building->n_floors++] = floor;
}

static void build_floors(survey_load *load) {
    earshot_survey *survey = load->survey;
    struct survey_storage *storage = survey->storage;
    size_t n = load->tables[SURVEY_TABLE_FLOORS].n + 1;
    struct corner *corners = survey_take(storage, n, sizeof *corners);
    struct outlines all = {.corners = corners,
                           .at_fault = survey_take(storage, survey->n_levels, 1),
                           .floors = survey_take(storage, survey->n_levels, sizeof *all.floors),
                           .rings = survey_take(storage, n, sizeof *all.rings),
                           .points = survey_take(storage, n, sizeof *all.points)};
    survey->floor_levels = survey_take(storage, survey->n_levels, sizeof *survey->floor_levels);
    if (survey_storage_failed(storage))
        return;
    read_corners(load, corners, &all);
    for (size_t level = 0; level < survey->n_levels; level++)
        add_floor(load, &all, level);
    survey->building.floors = all.floors;
    survey->building.rings = all.rings;
    survey->building.points = all.points;
}

void survey_build_levels(survey_load *load) {
    build_levels(load);
    if (!survey_storage_failed(load->survey->storage))
        build_floors(load);
}
