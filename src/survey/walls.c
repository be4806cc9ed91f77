/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walls.c - walls.csv and openings.csv: panels, and what is cut out of them.
 *
 * Bottom and top are heights above the level's own floor; blank: the whole storey for a wall, 0
 * to 2.1 m for an opening. An opening's ends are put on the same grid as the walls, so that two
 * openings side by side share their joint exactly.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "text.h"

static const double door_height_m = 2.1; /* an inside door and its frame, common practice */

static bool name_taken(survey_load *load, const survey_row *row, enum survey_column column,
                       const void *names, size_t n, size_t stride, const char *what) {
    const char *name = survey_string(row, column);
    if (survey_find(name, names, n, stride) == n)
        return false;
    survey_say(load, FINDINGS_NAME_TWICE, row, column, (const char *const[4]){name, what});
    return true;
}

/* Not a number where a cell could not be read: then no check of the wall finds fault. */
static geometry_point end_point(const survey_row *row, enum survey_column x,
                                enum survey_column y) {
    return (geometry_point){geometry_snap(survey_number(row, x, NAN)),
                            geometry_snap(survey_number(row, y, NAN))};
}

static bool same_point(geometry_point a, geometry_point b) {
    return a.x_m == b.x_m && a.y_m == b.y_m;
}

static void check_shape(survey_load *load, const survey_row *row, const geometry_panel *panel) {
    const char *const slots[4] = {survey_string(row, COLUMN_WALLS_WALL)};
    if (same_point(panel->a, panel->b))
        survey_say(load, FINDINGS_WALL_NO_LENGTH, row, COLUMN_WALLS_X2, slots);
    if (panel->bottom_m >= panel->top_m)
        survey_say(load, FINDINGS_TOP_BELOW_BOTTOM, row,
                   survey_blank(row, COLUMN_WALLS_TOP) ? COLUMN_WALLS_BOTTOM : COLUMN_WALLS_TOP,
                   slots);
}

/* A wall with a fault keeps its name, so that its openings are not at fault too. */
static void build_wall(survey_load *load, const survey_row *row, geometry_panel *panels) {
    earshot_survey *survey = load->survey;
    survey_wall wall = {.name = survey_string(row, COLUMN_WALLS_WALL), .table_line = row->line};
    if (wall.name[0] == '\0' || name_taken(load, row, COLUMN_WALLS_WALL, survey->walls,
                                           survey->n_walls, sizeof *survey->walls, "wall"))
        return;
    wall.level = survey_refer(load, row, COLUMN_WALLS_LEVEL, SURVEY_TABLE_LEVELS,
                              survey->levels, survey->n_levels, sizeof *survey->levels);
    wall.construction = survey_refer_construction(load, row, COLUMN_WALLS_CONSTRUCTION);
    static const survey_level nowhere = {.height_m = NAN};
    const survey_level *level =
        wall.level == EARSHOT_NONE ? &nowhere : &survey->levels[wall.level];
    geometry_panel panel = {
        .a = end_point(row, COLUMN_WALLS_X1, COLUMN_WALLS_Y1),
        .b = end_point(row, COLUMN_WALLS_X2, COLUMN_WALLS_Y2),
        .bottom_m = level->floor_z_m + survey_sound(row, COLUMN_WALLS_BOTTOM, 0),
        .top_m = level->floor_z_m + survey_sound(row, COLUMN_WALLS_TOP, level->height_m)};
    check_shape(load, row, &panel);
    panels[survey->n_walls] = panel;
    survey->walls[survey->n_walls++] = wall;
}

/* ---- openings ---- */

/* An opening before its panel is known to have all of its own together. */
struct cut {
    survey_opening opening;
    geometry_opening shape;
};

static geometry_point along(const geometry_panel *panel, double distance_m, double length_m) {
    double share = distance_m / length_m;
    return (geometry_point){
        geometry_snap(panel->a.x_m + share * (panel->b.x_m - panel->a.x_m)),
        geometry_snap(panel->a.y_m + share * (panel->b.y_m - panel->a.y_m))};
}

static double wall_length_m(const geometry_panel *panel) {
    return hypot(panel->b.x_m - panel->a.x_m, panel->b.y_m - panel->a.y_m);
}

/* From and to lie on the wall, from before to; a millimeter over is rounding. */
static bool fits(survey_load *load, const survey_row *row, const struct cut *cut,
                 double length_m) {
    double from_m = survey_number(row, COLUMN_OPENINGS_FROM, NAN);
    double to_m = survey_number(row, COLUMN_OPENINGS_TO, NAN);
    char length[TEXT_NUMBER_SIZE];
    text_write_fixed(length, length_m, 3);
    if (to_m > length_m + 0.001) {
        survey_say(load, FINDINGS_OPENING_PAST_WALL, row, COLUMN_OPENINGS_TO,
                   (const char *const[4]){survey_string(row, COLUMN_OPENINGS_TO),
                                          survey_string(row, COLUMN_OPENINGS_WALL), length});
        return false;
    }
    if (from_m >= to_m) {
        survey_say(load, FINDINGS_OPENING_BACKWARD, row, COLUMN_OPENINGS_TO,
                   (const char *const[4]){survey_string(row, COLUMN_OPENINGS_FROM),
                                          survey_string(row, COLUMN_OPENINGS_TO)});
        return false;
    }
    if (cut->shape.bottom_m >= cut->shape.top_m) {
        survey_say(load, FINDINGS_TOP_BELOW_BOTTOM, row,
                   survey_blank(row, COLUMN_OPENINGS_TOP) ? COLUMN_OPENINGS_BOTTOM
                                                          : COLUMN_OPENINGS_TOP,
                   (const char *const[4]){cut->opening.name});
        return false;
    }
    return true;
}

static bool read_opening(survey_load *load, const survey_row *row, struct cut *cuts, size_t n) {
    earshot_survey *survey = load->survey;
    struct cut *cut = &cuts[n];
    cut->opening.name = survey_string(row, COLUMN_OPENINGS_OPENING);
    cut->opening.table_line = row->line;
    if (cut->opening.name[0] &&
        name_taken(load, row, COLUMN_OPENINGS_OPENING, cuts, n, sizeof *cuts, "opening"))
        return false;
    cut->opening.wall = survey_refer(load, row, COLUMN_OPENINGS_WALL, SURVEY_TABLE_WALLS,
                                     survey->walls, survey->n_walls, sizeof *survey->walls);
    cut->opening.construction =
        survey_refer_construction(load, row, COLUMN_OPENINGS_CONSTRUCTION);
    if (cut->opening.name[0] == '\0' || cut->opening.wall == EARSHOT_NONE)
        return false;
    const geometry_panel *panel = &survey->building.panels[cut->opening.wall];
    size_t level = survey->walls[cut->opening.wall].level;
    double floor_z_m = survey->levels[level == EARSHOT_NONE ? 0 : level].floor_z_m;
    double length_m = wall_length_m(panel);
    cut->shape.bottom_m = floor_z_m + survey_sound(row, COLUMN_OPENINGS_BOTTOM, 0);
    cut->shape.top_m = floor_z_m + survey_sound(row, COLUMN_OPENINGS_TOP, door_height_m);
    if (length_m <= 0 || !fits(load, row, cut, length_m))
        return false;
    cut->shape.a = along(panel, survey_number(row, COLUMN_OPENINGS_FROM, NAN), length_m);
    cut->shape.b =
        along(panel, fmin(survey_number(row, COLUMN_OPENINGS_TO, NAN), length_m), length_m);
    return true;
}

/* Puts the openings of each panel together, in table order within it. */
static void gather(earshot_survey *survey, const struct cut *cuts, size_t n,
                   geometry_panel *panels, geometry_opening *shapes) {
    for (size_t i = 0; i < n; i++)
        panels[cuts[i].opening.wall].n_openings++;
    for (size_t wall = 1; wall < survey->n_walls; wall++)
        panels[wall].first_opening =
            panels[wall - 1].first_opening + panels[wall - 1].n_openings;
    for (size_t wall = 0; wall < survey->n_walls; wall++)
        panels[wall].n_openings = 0;
    for (size_t i = 0; i < n; i++) {
        geometry_panel *panel = &panels[cuts[i].opening.wall];
        size_t place = panel->first_opening + panel->n_openings++;
        shapes[place] = cuts[i].shape;
        survey->openings[place] = cuts[i].opening;
    }
    survey->n_openings = n;
}

static void build_openings(survey_load *load, geometry_panel *panels) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_OPENINGS];
    struct cut *cuts = survey_take(survey->storage, rows->n + 1, sizeof *cuts);
    geometry_opening *shapes = survey_take(survey->storage, rows->n + 1, sizeof *shapes);
    survey->openings = survey_take(survey->storage, rows->n + 1, sizeof *survey->openings);
    if (!cuts || !shapes || !survey->openings)
        return;
    size_t n = 0;
    for (size_t i = 0; i < rows->n; i++)
        n += read_opening(load, &rows->rows[i], cuts, n);
    gather(survey, cuts, n, panels, shapes);
    survey->building.openings = shapes;
    survey->building.n_openings = survey->n_openings;
}

void survey_build_walls(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_WALLS];
    geometry_panel *panels = survey_take(survey->storage, rows->n + 1, sizeof *panels);
    survey->walls = survey_take(survey->storage, rows->n + 1, sizeof *survey->walls);
    if (!panels || !survey->walls)
        return;
    for (size_t i = 0; i < rows->n; i++)
        build_wall(load, &rows->rows[i], panels);
    survey->building.panels = panels;
    survey->building.n_panels = survey->n_walls;
    build_openings(load, panels);
}
