/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.c - the plan of a survey: its picture as SVG, its numbers as CSV and JSON (schema
 * earshot/draw/1): the margin of a sensor at each place of a grid, and for a receiver there the
 * smallest spare over all zones.
 */
#include <math.h>
#include <stdlib.h>

#include "earshot/earshot.h"
#include "field.h"
#include "write.h"

/* Writes a drawing that could be made, and lets go of it. */
static enum earshot_status write_drawn(enum earshot_status status, earshot_drawing *drawing,
                                       enum earshot_form form, earshot_text *out) {
    if (status == EARSHOT_OK)
        status = earshot_drawing_write(drawing, form, out);
    earshot_drawing_free(drawing);
    return status;
}

enum earshot_status earshot_section_write(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          const earshot_link *link, const earshot_post *posts,
                                          size_t n_posts, earshot_text *out) {
    earshot_drawing *drawing = NULL;
    enum earshot_status status =
        earshot_section_draw(survey, belief, link, posts, n_posts, &drawing);
    return write_drawn(status, drawing, EARSHOT_SVG, out);
}

enum earshot_status earshot_fit_write(const earshot_survey *survey,
                                      const earshot_belief *belief, earshot_text *out) {
    earshot_drawing *drawing = NULL;
    enum earshot_status status = earshot_fit_draw(survey, belief, &drawing);
    return write_drawn(status, drawing, EARSHOT_SVG, out);
}

/* ---- numbers ---- */

/* One level: a sensor, and a receiver, at each point of one grid. */
struct numbers {
    const earshot_survey *survey;
    const char *level;
    double height_m;
    drawing_field field;
    drawing_anywhere anywhere;
};

static const char *zone_at(const struct numbers *of, size_t point) {
    size_t device = of->anywhere.device[point];
    return device == EARSHOT_NONE ? NULL : of->survey->devices[device].name;
}

static void write_row(const struct numbers *of, size_t point, earshot_text *out) {
    const earshot_grid *grid = &of->field.grid;
    const char *zone = zone_at(of, point);
    report_cell(out, of->level, false);
    report_cell_number(out, grid->x0_m + (double)(point % grid->nx) * grid->step_m, false);
    report_cell_number(out, grid->y0_m + (double)(point / grid->nx) * grid->step_m, false);
    report_cell_number(out, of->height_m, false);
    report_cell_number(out, of->field.margin_db[point], false);
    report_cell_number(out, of->field.sd_db[point], false);
    report_cell_number(out, of->anywhere.spare_db[point], false);
    report_cell_number(out, of->anywhere.sd_db[point], false);
    report_cell(out, zone ? zone : "", true);
}

static void write_rows(const struct numbers *of, earshot_text *out) {
    for (size_t i = 0; i < of->field.grid.nx * of->field.grid.ny; i++)
        write_row(of, i, out);
}

static void write_array(report_json *json, const char *key, const double *values, size_t n) {
    report_open(json, key, '[');
    for (size_t i = 0; i < n; i++)
        report_number(json, NULL, values[i]);
    report_close(json, ']');
}

static void write_object(const struct numbers *of, report_json *json) {
    const earshot_grid *grid = &of->field.grid;
    size_t n = grid->nx * grid->ny;
    report_open(json, NULL, '{');
    report_string(json, "level", of->level);
    report_number(json, "height_m", of->height_m);
    report_number(json, "x0_m", grid->x0_m);
    report_number(json, "y0_m", grid->y0_m);
    report_number(json, "step_m", grid->step_m);
    report_number(json, "columns", (double)grid->nx);
    report_number(json, "rows", (double)grid->ny);
    write_array(json, "margin_db", of->field.margin_db, n);
    write_array(json, "margin_sd_db", of->field.sd_db, n);
    write_array(json, "smallest_spare_db", of->anywhere.spare_db, n);
    write_array(json, "smallest_spare_sd_db", of->anywhere.sd_db, n);
    report_open(json, "smallest_zone", '[');
    for (size_t i = 0; i < n; i++)
        report_string(json, NULL, zone_at(of, i));
    report_close(json, ']');
    report_close(json, '}');
}

static enum earshot_status fill(const drawing_extent *extent, const earshot_plan_task *task,
                                double z_m, struct numbers *of) {
    static const double n_points = 2500, usual_m = 0.25;
    const earshot_end sensor = drawing_any_sensor(of->survey, z_m);
    of->field.grid = drawing_grid(extent, task->step_m, usual_m, n_points, &sensor);
    earshot_grid receivers = of->field.grid;
    receivers.like = drawing_any_receiver(of->survey, z_m);
    enum earshot_status status = drawing_field_fill(&of->field);
    return status == EARSHOT_OK
               ? drawing_anywhere_fill(of->survey, of->field.belief, &receivers, &of->anywhere)
               : status;
}

static enum earshot_status hearers_of(const earshot_survey *survey,
                                      const earshot_belief *belief, drawing_hearers *out) {
    size_t n = earshot_survey_posts(survey, NULL, 0);
    earshot_post *posts = calloc(n + 1, sizeof *posts);
    if (!posts)
        return EARSHOT_NO_MEMORY;
    earshot_survey_posts(survey, posts, n);
    enum earshot_status status = drawing_hearers_of(survey, belief, posts, n, out);
    free(posts);
    return status;
}

static enum earshot_status write_level(const earshot_survey *survey,
                                       const earshot_belief *belief,
                                       const earshot_plan_task *task,
                                       const drawing_hearers *hearers, size_t level,
                                       report_json *json, earshot_text *out) {
    drawing_extent extent;
    if ((task->level != EARSHOT_NONE && task->level != level) ||
        !drawing_extent_of(survey, level, &extent))
        return EARSHOT_OK;
    struct numbers of = {.survey = survey,
                         .level = survey->levels[level].name,
                         .height_m = drawing_height_m(task),
                         .field = {.survey = survey, .belief = belief, .hearers = hearers}};
    enum earshot_status status =
        fill(&extent, task, survey->levels[level].floor_z_m + of.height_m, &of);
    if (status == EARSHOT_OK && json)
        write_object(&of, json);
    else if (status == EARSHOT_OK)
        write_rows(&of, out);
    drawing_field_free(&of.field);
    drawing_anywhere_free(&of.anywhere);
    return status;
}

static void begin_json(const earshot_survey *survey, report_json *json) {
    report_open(json, NULL, '{');
    report_string(json, "schema", "earshot/draw/1");
    report_string(json, "version", earshot_version());
    report_string(json, "survey", survey->site.name);
    report_number(json, "required_margin_db", survey->site.required_margin_db);
    report_number(json, "life_safety_margin_db", survey->site.life_safety_margin_db);
    report_open(json, "levels", '[');
}

static enum earshot_status write_numbers(const earshot_survey *survey,
                                         const earshot_belief *belief,
                                         const earshot_plan_task *task, bool as_json,
                                         earshot_text *out) {
    drawing_hearers hearers = {0};
    report_json json = {.out = out};
    enum earshot_status status = hearers_of(survey, belief, &hearers);
    if (status == EARSHOT_OK && as_json)
        begin_json(survey, &json);
    else if (status == EARSHOT_OK)
        text_add(out, "level,x_m,y_m,height_m,margin_db,margin_sd_db,smallest_spare_db,"
                      "smallest_spare_sd_db,smallest_zone\n");
    for (size_t i = 0; status == EARSHOT_OK && i < survey->n_levels; i++)
        status = write_level(survey, belief, task, &hearers, i, as_json ? &json : NULL, out);
    drawing_hearers_free(&hearers);
    if (as_json) {
        report_close(&json, ']');
        report_close(&json, '}');
        text_add(out, "\n");
    }
    return status == EARSHOT_OK && earshot_text_cut(out) ? EARSHOT_NO_MEMORY : status;
}

enum earshot_status earshot_plan_write(const earshot_survey *survey,
                                       const earshot_belief *belief,
                                       const earshot_plan_task *task, enum earshot_form form,
                                       earshot_text *out) {
    bool picture = form == EARSHOT_SVG || form == EARSHOT_HTML;
    if (!survey || !belief || !out || !earshot_plan_task_valid(survey, task) ||
        !(picture || form == EARSHOT_CSV || form == EARSHOT_JSON))
        return EARSHOT_MISUSE;
    if (!picture)
        return write_numbers(survey, belief, task, form == EARSHOT_JSON, out);
    earshot_drawing *drawing = NULL;
    enum earshot_status status = earshot_plan_draw(survey, belief, task, &drawing);
    return write_drawn(status, drawing, form, out);
}
