/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.c - the plan of each level with its lines, marks and zones, one below the other, and a
 * key in words at the end.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan.h"
#include "text.h"

static const double most_high_mm = 225; /* of a level: what a page holds */
static const double gap_mm = 9;

/* ---- levels ---- */

size_t earshot_survey_levels(const earshot_survey *survey) {
    return survey->n_levels;
}

const char *earshot_survey_level(const earshot_survey *survey, size_t row) {
    return row < survey->n_levels ? survey->levels[row].name : "";
}

size_t earshot_survey_find_level(const earshot_survey *survey, const char *name) {
    return survey_find(name, survey->levels, survey->n_levels, sizeof *survey->levels);
}

bool earshot_survey_has_plan(const earshot_survey *survey) {
    drawing_extent extent;
    for (size_t i = 0; i < survey->n_levels; i++)
        if (drawing_extent_of(survey, i, &extent))
            return true;
    return false;
}

/* ---- scale ---- */

/* All levels share one left edge and one scale, so that walls stand above each other. */
static void widest(const plan *of, drawing_extent *all, double *deepest_m) {
    *all = (drawing_extent){INFINITY, INFINITY, -INFINITY, -INFINITY};
    *deepest_m = 0;
    for (size_t i = 0; i < of->survey->n_levels; i++) {
        drawing_extent one;
        if ((of->task->level != EARSHOT_NONE && of->task->level != i) ||
            !drawing_extent_of(of->survey, i, &one))
            continue;
        all->x0_m = fmin(all->x0_m, one.x0_m);
        all->x1_m = fmax(all->x1_m, one.x1_m);
        *deepest_m = fmax(*deepest_m, one.y1_m - one.y0_m);
    }
}

static double scale_of(double wide_m, double deep_m) {
    static const double scales[] = {20,   25,   50,   75,    100,   125,  150,  200,
                                    250,  300,  400,  500,   750,   1000, 1500, 2000,
                                    2500, 5000, 7500, 10000, 20000, 25000};
    enum { N_SCALES = sizeof scales / sizeof *scales };
    for (size_t i = 0; i < N_SCALES; i++)
        if (wide_m * 1000 / scales[i] <= PLAN_WIDTH_MM &&
            deep_m * 1000 / scales[i] <= most_high_mm)
            return scales[i];
    return scales[N_SCALES - 1];
}

/* ---- around the plan ---- */

static const drawing_letters heading = {.what = "heading", .size_mm = 3.8, .bold = true};
static const drawing_letters small = {.what = "note", .size_mm = 2.4};

/* A bar of a round length, its ends named. */
static void draw_scale_bar(const plan *of, double right_mm, double y_mm) {
    static const double lengths_m[] = {0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500};
    static const drawing_pen pen = {.what = "scale", .width_mm = 0.3};
    const drawing_letters end = {.what = "scale", .size_mm = 2.2, .anchor = EARSHOT_END};
    double length_m = lengths_m[0];
    for (size_t i = 0; i < sizeof lengths_m / sizeof *lengths_m; i++)
        if (lengths_m[i] * of->mm_per_m <= 36)
            length_m = lengths_m[i];
    double length_mm = length_m * of->mm_per_m;
    char words[TEXT_NUMBER_SIZE + 4];
    strcpy(words + text_write_number(words, length_m), " m");
    drawing_words(of->drawing, &end, (earshot_dot){right_mm, y_mm - 1.4}, words);
    right_mm -= drawing_width_mm(words, 2.2) + 1.2;
    const earshot_dot bar[4] = {{right_mm - length_mm, y_mm - 2.6},
                                {right_mm - length_mm, y_mm - 1.2},
                                {right_mm, y_mm - 1.2},
                                {right_mm, y_mm - 2.6}};
    drawing_line(of->drawing, &pen, bar, 4, false);
    drawing_box(of->drawing, "scale", 0, (earshot_dot){right_mm - length_mm, y_mm - 2.1},
                length_mm / 2, 0.9);
}

/* An arrow to north: north_deg is how far north is turned from the plan's y, as a clock goes.
 */
static void draw_north(const plan *of, earshot_dot at) {
    static const drawing_pen pen = {.what = "north", .width_mm = 0.3};
    double turn = of->survey->site.north_deg * 3.14159265358979323846 / 180;
    double dx = sin(turn), dy = -cos(turn);
    const earshot_dot tail = {at.x_mm - 3.2 * dx, at.y_mm - 3.2 * dy};
    const earshot_dot tip = {at.x_mm + 3.2 * dx, at.y_mm + 3.2 * dy};
    const earshot_dot head[3] = {tip,
                                 {at.x_mm + dx - 1.1 * dy, at.y_mm + dy + 1.1 * dx},
                                 {at.x_mm + dx + 1.1 * dy, at.y_mm + dy - 1.1 * dx}};
    const drawing_letters letters = {.what = "north", .size_mm = 2.4, .anchor = EARSHOT_MIDDLE};
    drawing_segment(of->drawing, &pen, tail, tip);
    drawing_area(of->drawing, "north", 0, head, 3);
    drawing_words(of->drawing, &letters,
                  (earshot_dot){at.x_mm - 3.4 * dx - 2.4 * fabs(dy), at.y_mm - 3.2 * dy + 0.2},
                  "N");
}

static void draw_heading(const plan *of, double top_mm) {
    const survey_level *level = &of->survey->levels[of->level];
    earshot_text *words = earshot_text_new();
    drawing_words_in(of->drawing, &heading, (earshot_dot){PLAN_MARGIN_MM, top_mm + 4}, 90,
                     level->name);
    if (words && of->residual_db) {
        text_add(words, "what was read less what the tables foretell, dB");
    } else if (words) {
        text_add(words, "lines: a sensor ");
        text_add_number(words, drawing_height_m(of->task));
        text_add(words, " m above the floor, radio ");
        text_add(words, of->survey->radios[of->like.radio].name);
    }
    if (!words || earshot_text_cut(words))
        drawing_lose(of->drawing);
    else
        drawing_words_in(of->drawing, &small, (earshot_dot){PLAN_MARGIN_MM, top_mm + 8.2}, 110,
                         earshot_text_data(words));
    earshot_text_free(words);
    draw_scale_bar(of, PLAN_PAGE_MM - PLAN_MARGIN_MM - 9, top_mm + 9);
    draw_north(of, (earshot_dot){PLAN_PAGE_MM - PLAN_MARGIN_MM - 3, top_mm + 5.2});
}

static void draw_outline(const plan *of) {
    static const drawing_pen pen = {.what = "floor", .width_mm = 0.15, .gray = 0.45};
    static const drawing_pen hole = {
        .what = "floor", .width_mm = 0.15, .gray = 0.45, .dash_mm = {0.8, 0.8}, .n_dashes = 2};
    const geometry_building *building = &of->survey->building;
    if (of->survey->levels[of->level].floor == EARSHOT_NONE)
        return;
    const geometry_floor *floor = &building->floors[of->survey->levels[of->level].floor];
    for (size_t i = floor->first_ring; i < floor->first_ring + floor->n_rings; i++) {
        const geometry_ring *ring = &building->rings[i];
        earshot_dot *dots = malloc((ring->n_points + 1) * sizeof *dots);
        if (!dots) {
            drawing_lose(of->drawing);
            return;
        }
        for (size_t j = 0; j < ring->n_points; j++)
            dots[j] = plan_dot(of, building->points[ring->first_point + j].x_m,
                               building->points[ring->first_point + j].y_m);
        drawing_line(of->drawing, ring->hole ? &hole : &pen, dots, ring->n_points, true);
        free(dots);
    }
}

static void draw_frame(const plan *of) {
    static const drawing_pen pen = {.what = "frame", .width_mm = 0.25};
    const earshot_dot corners[4] = {{of->left_mm, of->top_mm},
                                    {of->left_mm + of->wide_mm, of->top_mm},
                                    {of->left_mm + of->wide_mm, of->top_mm + of->high_mm},
                                    {of->left_mm, of->top_mm + of->high_mm}};
    drawing_line(of->drawing, &pen, corners, 4, true);
}

/* Words had better not lie on walls. */
static void shade_walls(const plan *of) {
    for (size_t i = 0; i < of->survey->n_walls; i++) {
        const geometry_panel *panel = &of->survey->building.panels[i];
        if (of->survey->walls[i].level == of->level)
            labels_shade(of->labels, plan_dot(of, panel->a.x_m, panel->a.y_m),
                         plan_dot(of, panel->b.x_m, panel->b.y_m), 1.6, PLAN_WALLS);
    }
}

/* ---- one level ---- */

static void lay_level(plan *of, double top_mm) {
    static const double n_points = 30000, usual_m = 0.2, fine_mm = 1.2;
    double step_m = fmin(usual_m, fine_mm / of->mm_per_m);
    of->field_grid = drawing_grid(&of->extent, of->task->step_m, step_m, n_points, &of->like);
    of->extent.x1_m = of->extent.x0_m + of->field_grid.step_m * (double)(of->field_grid.nx - 1);
    of->extent.y1_m = of->extent.y0_m + of->field_grid.step_m * (double)(of->field_grid.ny - 1);
    of->top_mm = top_mm + 11;
    of->left_mm = PLAN_MARGIN_MM + (of->extent.x0_m - of->least_x_m) * of->mm_per_m;
    of->wide_mm = (of->extent.x1_m - of->extent.x0_m) * of->mm_per_m;
    of->high_mm = (of->extent.y1_m - of->extent.y0_m) * of->mm_per_m;
}

/* Places of marks and names are found first, so that lines keep their labels clear of them;
 * they are drawn last, over walls and lines. */
static enum earshot_status draw_inside(plan *of) {
    of->labels = labels_new((earshot_dot){of->left_mm, of->top_mm}, of->wide_mm, of->high_mm);
    if (!of->labels)
        return EARSHOT_NO_MEMORY;
    shade_walls(of);
    plan_shade_undrawn(of);
    plan_place_devices(of);
    enum earshot_status status = plan_draw_lines(of);
    plan_draw_walls(of);
    plan_draw_undrawn(of);
    plan_draw_devices(of);
    labels_free(of->labels);
    return status;
}

static enum earshot_status draw_level(plan *of, double top_mm, double *bottom_mm) {
    enum earshot_status status = EARSHOT_OK;
    lay_level(of, top_mm);
    draw_heading(of, top_mm);
    draw_outline(of);
    *bottom_mm = of->top_mm + of->high_mm + 1;
    if (of->residual_db) {
        plan_draw_walls(of);
        plan_draw_undrawn(of);
        plan_draw_offs(of);
    } else {
        status = draw_inside(of);
        *bottom_mm = plan_draw_zones(of, *bottom_mm);
    }
    draw_frame(of);
    drawing_panel(of->drawing, of->survey->levels[of->level].name, top_mm, *bottom_mm + 2);
    return status;
}

/* Levels from the highest down, as they stand. */
static size_t next_level(const plan *of, double below_m, size_t after) {
    const earshot_survey *survey = of->survey;
    size_t found = EARSHOT_NONE;
    for (size_t i = 0; i < survey->n_levels; i++) {
        double z_m = survey->levels[i].floor_z_m;
        bool left = z_m < below_m || (z_m == below_m && after != EARSHOT_NONE && i > after);
        if (left && (found == EARSHOT_NONE || z_m > survey->levels[found].floor_z_m))
            found = i;
    }
    return found;
}

static enum earshot_status draw_levels(plan *of, double *bottom_mm) {
    enum earshot_status status = EARSHOT_OK;
    double z_m = INFINITY;
    for (size_t i = next_level(of, z_m, EARSHOT_NONE);
         status == EARSHOT_OK && i != EARSHOT_NONE; i = next_level(of, z_m, i)) {
        z_m = of->survey->levels[i].floor_z_m;
        if ((of->task->level != EARSHOT_NONE && of->task->level != i) ||
            !drawing_extent_of(of->survey, i, &of->extent))
            continue;
        of->level = i;
        of->like = drawing_any_sensor(of->survey, z_m + drawing_height_m(of->task));
        status = draw_level(of, *bottom_mm, bottom_mm);
        *bottom_mm += gap_mm;
    }
    return status;
}

/* ---- the whole page ---- */

static enum earshot_status judge_zones(plan *of, earshot_zone **zones) {
    size_t n = earshot_survey_zones(of->survey);
    *zones = calloc(n + 1, sizeof **zones);
    if (!*zones)
        return EARSHOT_NO_MEMORY;
    of->zones = *zones;
    return earshot_zones_judge(of->survey, of->belief, *zones, n, &of->n_zones);
}

/* What the other arrangement makes of the zones; nothing is said of more than draws can hold.
 */
static enum earshot_status judge_then(plan *of, earshot_fate **fates) {
    enum { N_DRAWS = 1000, SEED = 1 };
    const earshot_plan_task *task = of->task;
    earshot_score score;
    unsigned char *stands = malloc(task->n_posts + 1);
    *fates = calloc(of->n_zones + 1, sizeof **fates);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (stands && *fates) {
        memset(stands, 1, task->n_posts + 1);
        status = earshot_posts_score(of->survey, of->belief, task->posts, task->n_posts, stands,
                                     1, SEED, 0, N_DRAWS, *fates, NULL, &score);
    }
    free(stands);
    of->fates = status == EARSHOT_OK ? *fates : NULL;
    return status == EARSHOT_MISUSE ? EARSHOT_OK : status;
}

static enum earshot_status find_hearers(plan *of, drawing_hearers *now, drawing_hearers *then) {
    size_t n = earshot_survey_posts(of->survey, NULL, 0);
    earshot_post *posts = calloc(n + 1, sizeof *posts);
    if (!posts)
        return EARSHOT_NO_MEMORY;
    earshot_survey_posts(of->survey, posts, n);
    enum earshot_status status = drawing_hearers_of(of->survey, of->belief, posts, n, now);
    of->now = now;
    free(posts);
    if (status != EARSHOT_OK || !of->task->posts)
        return status;
    of->then = then;
    return drawing_hearers_of(of->survey, of->belief, of->task->posts, of->task->n_posts, then);
}

/* One scale for all levels. */
static void find_scale(plan *of) {
    drawing_extent all;
    double deep_m;
    widest(of, &all, &deep_m);
    of->scale = scale_of(all.x1_m - all.x0_m, deep_m);
    of->mm_per_m = 1000 / of->scale;
    of->least_x_m = all.x0_m;
}

static void draw_title(const plan *of) {
    static const drawing_letters title = {.what = "title", .size_mm = 5, .bold = true};
    const drawing_letters scale = {.what = "note", .size_mm = 2.4, .anchor = EARSHOT_END};
    char words[TEXT_NUMBER_SIZE + 32] = "1:";
    drawing_words_in(of->drawing, &title, (earshot_dot){PLAN_MARGIN_MM, 8}, 140,
                     of->survey->site.name);
    text_write_fixed(words + 2, of->scale, 0);
    strcat(words, " where a page is 194 mm");
    drawing_words(of->drawing, &scale, (earshot_dot){PLAN_PAGE_MM - PLAN_MARGIN_MM, 8}, words);
}

static enum earshot_status draw_page(plan *of, double *bottom_mm) {
    find_scale(of);
    draw_title(of);
    *bottom_mm = 13;
    enum earshot_status status = draw_levels(of, bottom_mm);
    if (status == EARSHOT_OK)
        *bottom_mm = plan_draw_key(of, *bottom_mm);
    return status;
}

bool earshot_plan_task_valid(const earshot_survey *survey, const earshot_plan_task *task) {
    static const double most_m = 100, least_step_m = 0.02;
    drawing_extent extent;
    if (!task || fabs(drawing_height_m(task)) > most_m ||
        (task->step_m != 0 && !(task->step_m >= least_step_m && task->step_m <= most_m)))
        return false;
    if (task->level == EARSHOT_NONE)
        return earshot_survey_has_plan(survey);
    return task->level < survey->n_levels && drawing_extent_of(survey, task->level, &extent);
}

static enum earshot_status draw_plan(plan *of, earshot_drawing **out) {
    drawing_hearers now = {0}, then = {0};
    earshot_zone *zones = NULL;
    earshot_fate *fates = NULL;
    calibration_undrawn undrawn;
    double bottom_mm = 0;
    of->undrawn = &undrawn;
    of->places = calloc(of->survey->n_devices + of->survey->n_spots + 1, sizeof *of->places);
    of->drawing = drawing_begin(PLAN_PAGE_MM);
    enum earshot_status status =
        of->places && of->drawing ? find_hearers(of, &now, &then) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = calibration_undrawn_of(of->belief, &undrawn);
    if (status == EARSHOT_OK)
        status = judge_zones(of, &zones);
    if (status == EARSHOT_OK && of->task->posts)
        status = judge_then(of, &fates);
    plan_key_of(of->survey, of->belief, drawing_any_sensor(of->survey, 0).radio,
                of->task->level, &of->key);
    if (status == EARSHOT_OK)
        status = draw_page(of, &bottom_mm);
    drawing_hearers_free(&now);
    drawing_hearers_free(&then);
    free(of->places);
    free(zones);
    free(fates);
    if (status == EARSHOT_OK)
        return drawing_end(of->drawing, bottom_mm, out);
    earshot_drawing_free(of->drawing);
    return status;
}

enum earshot_status plan_draw_residuals(const earshot_survey *survey,
                                        const earshot_belief *belief, const double *residual_db,
                                        earshot_drawing *drawing, double *bottom_mm) {
    const earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN};
    calibration_undrawn undrawn;
    plan of = {.survey = survey,
               .belief = belief,
               .task = &task,
               .residual_db = residual_db,
               .undrawn = &undrawn,
               .drawing = drawing};
    if (!earshot_survey_has_plan(survey))
        return EARSHOT_OK;
    enum earshot_status status = calibration_undrawn_of(belief, &undrawn);
    if (status != EARSHOT_OK)
        return status;
    find_scale(&of);
    plan_key_of(survey, belief, drawing_any_sensor(survey, 0).radio, EARSHOT_NONE, &of.key);
    status = draw_levels(&of, bottom_mm);
    if (plan_names_undrawn(&of)) {
        const double sample_mm = 14;
        static const drawing_letters letters = {.what = "key", .size_mm = 2.5};
        plan_say_undrawn(&of, (earshot_dot){PLAN_MARGIN_MM, *bottom_mm}, sample_mm, &letters);
        *bottom_mm += gap_mm;
    }
    return status;
}

enum earshot_status earshot_plan_draw(const earshot_survey *survey,
                                      const earshot_belief *belief,
                                      const earshot_plan_task *task, earshot_drawing **out) {
    if (!survey || !belief || !out || !earshot_plan_task_valid(survey, task))
        return EARSHOT_MISUSE;
    plan of = {.survey = survey, .belief = belief, .task = task};
    return draw_plan(&of, out);
}
