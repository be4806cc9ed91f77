/* SPDX-License-Identifier: GPL-3.0-or-later */
/* openings.c - openings.csv: what is cut out of the walls.
 *
 * Bottom and top are heights above the level's own floor; blank: 0 to 2.1 m. An opening's ends
 * are put on the same grid as the walls, so that two openings side by side share their joint
 * exactly. Two that overlap are an error: a path can go through one only, and the order of the
 * rows must not say through which. A millimeter is rounding, here and at the wall's end.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"

static const double door_height_m = 2.1; /* an inside door and its frame, common practice */
static const double rounding_m = 0.001;

/* An opening before its panel is known to have all of its own together. */
struct cut {
    survey_opening opening;
    geometry_opening shape;
    double from_m, to_m;
    const survey_row *row;
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

static enum survey_column upright_column(const survey_row *row) {
    return survey_blank(row, COLUMN_OPENINGS_TOP) ? COLUMN_OPENINGS_BOTTOM
                                                  : COLUMN_OPENINGS_TOP;
}

/* From and to lie on the wall, from before to, top above bottom. */
static bool fits(survey_load *load, const struct cut *cut, double length_m) {
    char length[TEXT_NUMBER_SIZE];
    const survey_row *row = cut->row;
    const char *from = survey_string(row, COLUMN_OPENINGS_FROM);
    const char *to = survey_string(row, COLUMN_OPENINGS_TO);
    text_write_fixed(length, length_m, 3);
    if (cut->to_m > length_m + rounding_m)
        survey_say(
            load, FINDINGS_OPENING_PAST_WALL, row, COLUMN_OPENINGS_TO,
            (const char *const[4]){to, survey_string(row, COLUMN_OPENINGS_WALL), length});
    else if (cut->from_m >= cut->to_m)
        survey_say(load, FINDINGS_OPENING_BACKWARD, row, COLUMN_OPENINGS_TO,
                   (const char *const[4]){from, to});
    else if (cut->shape.bottom_m >= cut->shape.top_m)
        survey_say(load, FINDINGS_TOP_BELOW_BOTTOM, row, upright_column(row),
                   (const char *const[4]){cut->opening.name});
    else
        return true;
    return false;
}

/* Only what lies in the wall opens it; an opening with nothing in it is a mistake. */
static void check_upright(survey_load *load, const struct cut *cut,
                          const geometry_panel *panel) {
    const geometry_opening *shape = &cut->shape;
    const char *const slots[4] = {cut->opening.name,
                                  load->survey->walls[cut->opening.wall].name};
    if (shape->bottom_m >= panel->top_m || shape->top_m <= panel->bottom_m)
        survey_say(load, FINDINGS_OPENING_MISSES_WALL, cut->row, upright_column(cut->row),
                   slots);
    else if (shape->top_m > panel->top_m + rounding_m)
        survey_say(load, FINDINGS_OPENING_OUTSIDE, cut->row, COLUMN_OPENINGS_TOP, slots);
    else if (shape->bottom_m < panel->bottom_m - rounding_m)
        survey_say(load, FINDINGS_OPENING_OUTSIDE, cut->row, COLUMN_OPENINGS_BOTTOM, slots);
}

static bool read_opening(survey_load *load, const survey_row *row, struct cut *cuts, size_t n) {
    const earshot_survey *survey = load->survey;
    struct cut *cut = &cuts[n];
    *cut = (struct cut){
        .opening = {.name = survey_string(row, COLUMN_OPENINGS_OPENING),
                    .wall = survey_refer(load, row, COLUMN_OPENINGS_WALL, SURVEY_TABLE_WALLS),
                    .construction =
                        survey_refer_construction(load, row, COLUMN_OPENINGS_CONSTRUCTION),
                    .table_line = row->line},
        .from_m = survey_number(row, COLUMN_OPENINGS_FROM, NAN),
        .to_m = survey_number(row, COLUMN_OPENINGS_TO, NAN),
        .row = row};
    if (!survey_name_new(load, SURVEY_TABLE_OPENINGS, row, COLUMN_OPENINGS_OPENING, n,
                         "opening") ||
        cut->opening.wall == EARSHOT_NONE)
        return false;
    const geometry_panel *panel = &survey->building.panels[cut->opening.wall];
    size_t level = survey->walls[cut->opening.wall].level;
    double floor_z_m = survey->levels[level == EARSHOT_NONE ? 0 : level].floor_z_m;
    double length_m = wall_length_m(panel);
    cut->shape.bottom_m = floor_z_m + survey_sound(row, COLUMN_OPENINGS_BOTTOM, 0);
    cut->shape.top_m = floor_z_m + survey_sound(row, COLUMN_OPENINGS_TOP, door_height_m);
    if (length_m <= 0 || !fits(load, cut, length_m))
        return false;
    if (level != EARSHOT_NONE && panel->bottom_m < panel->top_m)
        check_upright(load, cut, panel);
    cut->shape.a = along(panel, cut->from_m, length_m);
    cut->shape.b = along(panel, fmin(cut->to_m, length_m), length_m);
    return true;
}

/* ---- together ---- */

static int compare_numbers(double a, double b) {
    return (a > b) - (a < b);
}

/* By wall, along it, up it, and by name, so that the order of the rows does not matter. */
static int compare_cuts(const void *a, const void *b) {
    const struct cut *left = a, *right = b;
    int by_wall =
        (left->opening.wall > right->opening.wall) - (left->opening.wall < right->opening.wall);
    int by_from = compare_numbers(left->from_m, right->from_m);
    int by_bottom = compare_numbers(left->shape.bottom_m, right->shape.bottom_m);
    return by_wall     ? by_wall
           : by_from   ? by_from
           : by_bottom ? by_bottom
                       : strcmp(left->opening.name, right->opening.name);
}

/* `left` begins no further along the wall. */
static bool overlap(const struct cut *left, const struct cut *right) {
    return left->to_m > right->from_m + rounding_m &&
           left->shape.top_m > right->shape.bottom_m + rounding_m &&
           right->shape.top_m > left->shape.bottom_m + rounding_m;
}

/* Said of the later row, of one overlap for each opening. */
static void say_overlap(survey_load *load, const struct cut *a, const struct cut *b) {
    bool in_order = a->opening.table_line < b->opening.table_line;
    const struct cut *first = in_order ? a : b, *second = in_order ? b : a;
    survey_say(load, FINDINGS_OPENINGS_OVERLAP, second->row, COLUMN_OPENINGS_FROM,
               (const char *const[4]){second->opening.name, first->opening.name,
                                      load->survey->walls[first->opening.wall].name});
}

/* Openings beyond the furthest end so far overlap none of those before. */
static void check_overlaps(survey_load *load, const struct cut *cuts, size_t n) {
    size_t first = 0;
    double furthest_m = -INFINITY;
    for (size_t i = 0; i < n; i++) {
        if (cuts[i].opening.wall != cuts[first].opening.wall ||
            furthest_m <= cuts[i].from_m + rounding_m) {
            first = i;
            furthest_m = -INFINITY;
        }
        for (size_t j = i; j-- > first;)
            if (overlap(&cuts[j], &cuts[i])) {
                say_overlap(load, &cuts[j], &cuts[i]);
                break;
            }
        furthest_m = fmax(furthest_m, cuts[i].to_m);
    }
}

void survey_build_openings(survey_load *load, geometry_panel *panels) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_OPENINGS];
    struct cut *cuts = survey_take(survey->storage, rows->n + 1, sizeof *cuts);
    geometry_opening *shapes = survey_take(survey->storage, rows->n + 1, sizeof *shapes);
    survey->openings = survey_take(survey->storage, rows->n + 1, sizeof *survey->openings);
    survey_begin_names(load, SURVEY_TABLE_OPENINGS);
    if (survey_storage_failed(survey->storage))
        return;
    size_t n = 0;
    for (size_t i = 0; i < rows->n; i++)
        n += read_opening(load, &rows->rows[i], cuts, n);
    qsort(cuts, n, sizeof *cuts, compare_cuts);
    check_overlaps(load, cuts, n);
    for (size_t i = 0; i < n; i++) {
        geometry_panel *panel = &panels[cuts[i].opening.wall];
        panel->first_opening = panel->n_openings++ ? panel->first_opening : i;
        shapes[i] = cuts[i].shape;
        survey->openings[i] = cuts[i].opening;
    }
    survey->n_openings = n;
    survey->building.openings = shapes;
    survey->building.n_openings = n;
}
