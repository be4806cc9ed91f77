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
    survey_begin_names(load, SURVEY_TABLE_LEVELS);
    for (size_t i = 0; i < rows->n; i++)
        if (survey_name_new(load, SURVEY_TABLE_LEVELS, &rows->rows[i], COLUMN_LEVELS_LEVEL,
                            survey->n_levels, "level"))
            build_level(load, &rows->rows[i], &survey->levels[survey->n_levels++]);
    if (survey->n_levels == 0) {
        survey_names_put(load->built[SURVEY_TABLE_LEVELS], 0, "ground", 0);
        survey->levels[survey->n_levels++] = (survey_level){.name = "ground",
                                                            .height_m = ground_height_m,
                                                            .construction = EARSHOT_NONE,
                                                            .floor = EARSHOT_NONE};
    }
}

/* ---- outlines ---- */

/* A corner of an outline: which level, which ring, in table order. */
struct corner {
    size_t level;
    const char *ring;
    const survey_row *row;
    geometry_point point;
    size_t next; /* corner of its ring, or NONE */
};

/* A ring of a level, from its first corner to its last. */
struct outline {
    size_t first, last;
    size_t next; /* ring of its level, or NONE */
};

/* The rings of a level in the order of their first corners. */
struct level_outlines {
    size_t first, last;
    bool at_fault; /* a corner of it could not be used and has been spoken of */
};

/* Everything the outlines are gathered into. */
struct outlines {
    struct corner *corners;
    size_t n_corners;
    struct outline *rings;
    size_t n_rings;
    struct level_outlines *levels;
    struct survey_names *names; /* of rings, by level */
    geometry_floor *floors;
    geometry_ring *shapes;
    geometry_point *points;
};

static bool is_hole(const char *ring) {
    return strcmp(ring, "outer") != 0;
}

static bool read_corner(survey_load *load, const survey_row *row, struct corner *corner) {
    double x_m = survey_number(row, COLUMN_FLOORS_X, NAN);
    double y_m = survey_number(row, COLUMN_FLOORS_Y, NAN);
    *corner = (struct corner){
        .level = survey_refer(load, row, COLUMN_FLOORS_LEVEL, SURVEY_TABLE_LEVELS),
        .ring = survey_string(row, COLUMN_FLOORS_RING),
        .row = row,
        .next = EARSHOT_NONE};
    if (corner->ring[0] && is_hole(corner->ring) && strncmp(corner->ring, "hole", 4) != 0) {
        survey_say(load, FINDINGS_RING_UNKNOWN, row, COLUMN_FLOORS_RING,
                   (const char *const[4]){corner->ring});
        return false;
    }
    if (corner->level == EARSHOT_NONE || corner->ring[0] == '\0' || isnan(x_m) || isnan(y_m))
        return false;
    corner->point = (geometry_point){geometry_snap(x_m), geometry_snap(y_m)};
    return true;
}

/* Puts the corner at the end of its ring, and a new ring at the end of its level. */
static void add_corner(struct outlines *all) {
    size_t at = all->n_corners++;
    const struct corner *corner = &all->corners[at];
    size_t ring = survey_names_find(all->names, corner->level, corner->ring);
    if (ring != EARSHOT_NONE) {
        all->corners[all->rings[ring].last].next = at;
        all->rings[ring].last = at;
        return;
    }
    struct level_outlines *level = &all->levels[corner->level];
    ring = all->n_rings++;
    survey_names_put(all->names, corner->level, corner->ring, ring);
    all->rings[ring] = (struct outline){at, at, EARSHOT_NONE};
    if (level->first == EARSHOT_NONE)
        level->first = ring;
    else
        all->rings[level->last].next = ring;
    level->last = ring;
}

/* A corner of an unknown level may be missing on any. */
static void read_corners(survey_load *load, struct outlines *all) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_FLOORS];
    bool any = false;
    for (size_t i = 0; i < rows->n; i++) {
        struct corner *corner = &all->corners[all->n_corners];
        if (read_corner(load, &rows->rows[i], corner))
            add_corner(all);
        else if (corner->level == EARSHOT_NONE)
            any = true;
        else
            all->levels[corner->level].at_fault = true;
    }
    for (size_t i = 0; any && i < load->survey->n_levels; i++)
        all->levels[i].at_fault = true;
}

static void add_ring(survey_load *load, struct outlines *all, size_t ring) {
    geometry_building *building = &load->survey->building;
    const struct corner *first = &all->corners[all->rings[ring].first];
    geometry_ring shape = {.first_point = building->n_points, .hole = is_hole(first->ring)};
    for (size_t i = all->rings[ring].first; i != EARSHOT_NONE; i = all->corners[i].next) {
        all->points[building->n_points++] = all->corners[i].point;
        shape.n_points++;
    }
    all->shapes[building->n_rings++] = shape;
    if (shape.n_points < 3 && !all->levels[first->level].at_fault)
        survey_say(load, FINDINGS_RING_TOO_SHORT, first->row, COLUMN_FLOORS_RING,
                   (const char *const[4]){first->ring});
}

static void add_floor(survey_load *load, struct outlines *all, size_t level) {
    earshot_survey *survey = load->survey;
    geometry_building *building = &survey->building;
    geometry_floor floor = {.z_m = survey->levels[level].floor_z_m,
                            .first_ring = building->n_rings};
    bool outer = false;
    for (size_t i = all->levels[level].first; i != EARSHOT_NONE; i = all->rings[i].next) {
        add_ring(load, all, i);
        outer = outer || !all->shapes[building->n_rings - 1].hole;
    }
    floor.n_rings = building->n_rings - floor.first_ring;
    if (floor.n_rings && !outer && !all->levels[level].at_fault)
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
    struct outlines all = {.corners = survey_take(storage, n, sizeof *all.corners),
                           .rings = survey_take(storage, n, sizeof *all.rings),
                           .levels = survey_take(storage, survey->n_levels, sizeof *all.levels),
                           .names = survey_names_new(storage, n),
                           .floors = survey_take(storage, survey->n_levels, sizeof *all.floors),
                           .shapes = survey_take(storage, n, sizeof *all.shapes),
                           .points = survey_take(storage, n, sizeof *all.points)};
    survey->floor_levels = survey_take(storage, survey->n_levels, sizeof *survey->floor_levels);
    if (survey_storage_failed(storage))
        return;
    for (size_t level = 0; level < survey->n_levels; level++)
        all.levels[level].first = EARSHOT_NONE;
    read_corners(load, &all);
    for (size_t level = 0; level < survey->n_levels; level++)
        add_floor(load, &all, level);
    survey->building.floors = all.floors;
    survey->building.rings = all.shapes;
    survey->building.points = all.points;
}

void survey_build_levels(survey_load *load) {
    build_levels(load);
    if (!survey_storage_failed(load->survey->storage))
        build_floors(load);
}
