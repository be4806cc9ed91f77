/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walls.c - walls.csv: panels. What is cut out of them: openings.c.
 *
 * Bottom and top are heights above the level's own floor; blank: the whole storey.
 */
#include <math.h>

#include "rows.h"

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
    if (!survey_name_new(load, SURVEY_TABLE_WALLS, row, COLUMN_WALLS_WALL, survey->n_walls,
                         "wall"))
        return;
    wall.level = survey_refer(load, row, COLUMN_WALLS_LEVEL, SURVEY_TABLE_LEVELS);
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

void survey_build_walls(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_WALLS];
    geometry_panel *panels = survey_take(survey->storage, rows->n + 1, sizeof *panels);
    survey->walls = survey_take(survey->storage, rows->n + 1, sizeof *survey->walls);
    survey_begin_names(load, SURVEY_TABLE_WALLS);
    if (!panels || !survey->walls)
        return;
    for (size_t i = 0; i < rows->n; i++)
        build_wall(load, &rows->rows[i], panels);
    survey->building.panels = panels;
    survey->building.n_panels = survey->n_walls;
    survey_build_openings(load, panels);
}
