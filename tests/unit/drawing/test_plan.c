/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_plan.c - the plan against the engine: along a drawn line the margin is what its label
 * says, and what lies inside the line of what is asked is what the map has inside; words touch
 * nothing.
 *
 * In the shadow of a wall the margin jumps, and no place there has the margin of the line
 * between; there the line must lie on the jump: within a few centimeters there is more on one
 * side of it and less on the other.
 */
#include "earshot/earshot.h"
#include "drawing.h"
#include "contours.h"
#include "field.h"
#include "folder.h"
#include "labels.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

struct scene {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
    drawing_hearers hearers;
};

static void open_scene(const char *path, bool readings, struct scene *out) {
    earshot_post posts[8];
    *out = (struct scene){.tables = folder_read(path)};
    out->survey = folder_load(&out->tables);
    cr_assert_eq((readings ? earshot_belief_fit(out->survey, NULL, NULL, NULL, &out->belief)
                           : earshot_belief_prior(out->survey, &out->belief)),
                 EARSHOT_OK);
    size_t n = earshot_survey_posts(out->survey, posts, 8);
    cr_assert_eq(drawing_hearers_of(out->survey, out->belief, posts, n, &out->hearers),
                 EARSHOT_OK);
}

static void close_scene(struct scene *scene) {
    drawing_hearers_free(&scene->hearers);
    earshot_belief_free(scene->belief);
    earshot_survey_free(scene->survey);
    folder_free(&scene->tables);
}

static double random_share(uint32_t *state) {
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return (double)*state / 4294967296.0;
}

/* ---- lines ---- */

static drawing_field field_of(const struct scene *scene, size_t level) {
    drawing_extent extent;
    cr_assert(drawing_extent_of(scene->survey, level, &extent));
    const earshot_end like =
        drawing_any_sensor(scene->survey, scene->survey->levels[level].floor_z_m + 1.5);
    drawing_field field = {.survey = scene->survey,
                           .belief = scene->belief,
                           .hearers = &scene->hearers,
                           .grid = drawing_grid(&extent, 0, 0.2, 30000, &like)};
    cr_assert_eq(drawing_field_fill(&field), EARSHOT_OK);
    return field;
}

static double at_place(const void *who, double x_m, double y_m) {
    return drawing_field_at(who, x_m, y_m);
}

static void trace(const drawing_field *field, double level_db, contours *out) {
    const contours_raster raster = {.value = field->margin_db,
                                    .nx = field->grid.nx,
                                    .ny = field->grid.ny,
                                    .x0_m = field->grid.x0_m,
                                    .y0_m = field->grid.y0_m,
                                    .step_m = field->grid.step_m,
                                    .at = at_place,
                                    .who = field};
    cr_assert(contours_trace(&raster, level_db, out));
}

/* What the engine says, asked link by link. */
static double engine_margin_db(const struct scene *scene, const drawing_field *field,
                               double x_m, double y_m) {
    double best_db = NAN;
    for (size_t i = 0; i < scene->hearers.n; i++) {
        earshot_link link = {.from = field->grid.like,
                             .to = scene->hearers.all[i].end,
                             .device = EARSHOT_NONE,
                             .listener = EARSHOT_NONE,
                             .path = EARSHOT_NONE};
        earshot_prediction way;
        link.from.x_m = x_m;
        link.from.y_m = y_m;
        cr_assert_eq(earshot_links_predict(scene->survey, scene->belief, &link, 1, &way),
                     EARSHOT_OK);
        best_db = fmax(best_db, fmin(way.margin_db, scene->hearers.all[i].most_db));
    }
    return best_db;
}

/* Whether there is more and less than the level within so far around. */
static bool on_jump(const struct scene *scene, const drawing_field *field, double level_db,
                    double x_m, double y_m, double off_m) {
    bool more = false, less = false;
    for (int i = 0; i < 24; i++) {
        double margin_db =
            engine_margin_db(scene, field, x_m + off_m * cos(i * pi / 12) * (1 + i % 3) / 3,
                             y_m + off_m * sin(i * pi / 12) * (1 + i % 3) / 3);
        more = more || margin_db >= level_db;
        less = less || margin_db < level_db;
    }
    return more && less;
}

struct count {
    size_t n, n_close, n_jump;
};

static void sample_chain(const struct scene *scene, const drawing_field *field,
                         const contours *lines, size_t chain, double level_db, size_t n,
                         uint32_t *state, struct count *count) {
    const contours_chain *of = &lines->chains[chain];
    const contours_point *points = lines->points + of->first_point;
    for (size_t i = 0; i < n; i++) {
        size_t at = (size_t)(random_share(state) * (double)(of->n_points - 1));
        double share = random_share(state);
        double x_m = points[at].x_m + share * (points[at + 1].x_m - points[at].x_m);
        double y_m = points[at].y_m + share * (points[at + 1].y_m - points[at].y_m);
        double margin_db = engine_margin_db(scene, field, x_m, y_m);
        bool close = fabs(margin_db - level_db) <= 0.5;
        bool jump = !close && on_jump(scene, field, level_db, x_m, y_m, field->grid.step_m / 2);
        cr_expect(close || jump, "%g dB at %.3f %.3f: the engine has %.2f", level_db, x_m, y_m,
                  margin_db);
        count->n++;
        count->n_close += close;
        count->n_jump += jump;
    }
}

/* About 1,000 places of all lines of all levels, more on longer ones. */
static struct count sample_survey(const char *path, bool readings) {
    struct scene scene;
    struct count count = {0};
    uint32_t state = 20260310;
    open_scene(path, readings, &scene);
    double asked_db = scene.survey->site.required_margin_db;
    for (size_t level = 0; level < scene.survey->n_levels; level++) {
        drawing_extent extent;
        if (!drawing_extent_of(scene.survey, level, &extent))
            continue;
        drawing_field field = field_of(&scene, level);
        for (int line = -1; line < 8; line++) {
            contours lines;
            double level_db = asked_db + 10 * line;
            trace(&field, level_db, &lines);
            for (size_t i = 0; i < lines.n_chains; i++)
                sample_chain(&scene, &field, &lines, i, level_db,
                             1 + lines.chains[i].n_points / 2, &state, &count);
            contours_free(&lines);
        }
        drawing_field_free(&field);
    }
    close_scene(&scene);
    return count;
}

Test(plan, lines_are_where_their_margin_is) {
    const struct count count = sample_survey("surveys/demo", false);
    cr_expect_geq(count.n, 1000, "%zu", count.n);
    cr_expect_gt(count.n_close, count.n / 4, "%zu of %zu are no jumps", count.n_close, count.n);
}

Test(plan, with_readings_merged) {
    cr_expect_geq(sample_survey("surveys/demo", true).n, 1000);
}

Test(plan, of_the_house_worked_out_by_hand) {
    cr_expect_gt(sample_survey("surveys/paper", false).n, 50);
}

/* ---- what is inside ---- */

/* Whether a way from a place to a corner of the raster crosses the lines an odd number of
 * times. Both are within it, so that no line's end is passed by. */
static bool odd_crossings(const contours *lines, double x_m, double y_m, double to_x_m,
                          double to_y_m) {
    size_t n = 0;
    double dx = to_x_m - x_m, dy = to_y_m - y_m;
    for (size_t i = 0; i < lines->n_chains; i++) {
        const contours_chain *chain = &lines->chains[i];
        const contours_point *points = lines->points + chain->first_point;
        for (size_t j = 0; j + 1 < chain->n_points + chain->closed; j++) {
            const contours_point a = points[j], b = points[(j + 1) % chain->n_points];
            double side_a = dx * (a.y_m - y_m) - dy * (a.x_m - x_m);
            double side_b = dx * (b.y_m - y_m) - dy * (b.x_m - x_m);
            double ex = b.x_m - a.x_m, ey = b.y_m - a.y_m;
            double side_from = ex * (y_m - a.y_m) - ey * (x_m - a.x_m);
            double side_to = ex * (to_y_m - a.y_m) - ey * (to_x_m - a.x_m);
            n += (side_a >= 0) != (side_b >= 0) && (side_from >= 0) != (side_to >= 0);
        }
    }
    return n % 2;
}

static void compare_inside(const char *path, double level_db) {
    enum { N_PLACES = 4000 };
    struct scene scene;
    uint32_t state = 99;
    open_scene(path, false, &scene);
    for (size_t level = 0; level < scene.survey->n_levels; level++) {
        drawing_extent extent;
        if (!drawing_extent_of(scene.survey, level, &extent))
            continue;
        drawing_field field = field_of(&scene, level);
        const earshot_grid *grid = &field.grid;
        double wide_m = grid->step_m * (double)(grid->nx - 1);
        double deep_m = grid->step_m * (double)(grid->ny - 1);
        bool corner_inside = field.margin_db[0] >= level_db;
        size_t n_wrong = 0;
        contours lines;
        trace(&field, level_db, &lines);
        for (size_t i = 0; i < N_PLACES; i++) {
            double x_m = grid->x0_m + wide_m * random_share(&state);
            double y_m = grid->y0_m + deep_m * random_share(&state);
            bool drawn = odd_crossings(&lines, x_m, y_m, grid->x0_m + 1e-7,
                                       grid->y0_m + 2e-7) != corner_inside;
            n_wrong += drawn != (engine_margin_db(&scene, &field, x_m, y_m) >= level_db);
        }
        cr_expect_leq(n_wrong, N_PLACES / 100, "%s, level %zu, %g dB: %zu of %d", path, level,
                      level_db, n_wrong, N_PLACES);
        contours_free(&lines);
        drawing_field_free(&field);
    }
    close_scene(&scene);
}

Test(plan, inside_a_line_is_what_the_map_has_inside) {
    compare_inside("surveys/demo", 10);
    compare_inside("surveys/demo", 40);
    compare_inside("surveys/paper", 10);
}

/* ---- words ---- */

static earshot_drawing *draw(const struct scene *scene) {
    const earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN};
    earshot_drawing *drawing = NULL;
    cr_assert_eq(earshot_plan_draw(scene->survey, scene->belief, &task, &drawing), EARSHOT_OK);
    return drawing;
}

/* The box of words as they are printed, their ascent and descent guessed as in most fonts. */
static labels_box printed_box(const earshot_item *item) {
    double turn = item->turn_deg * pi / 180, up_mm = 0.36 * item->size_mm;
    return (labels_box){{item->at.x_mm + up_mm * sin(turn), item->at.y_mm - up_mm * cos(turn)},
                        drawing_width_mm(item->words, item->size_mm),
                        0.72 * item->size_mm,
                        item->turn_deg};
}

/* Marks and their names on a plan; not those of the list of zones and of the key. */
static bool is_on_plan(const earshot_item *item) {
    return item->kind == EARSHOT_WORDS &&
           (strcmp(item->what, "label") == 0 || strcmp(item->what, "name") == 0);
}

Test(plan, words_touch_no_words_and_no_marks) {
    static const char *const surveys[] = {"surveys/demo", "surveys/messy", "surveys/paper"};
    for (size_t s = 0; s < 3; s++) {
        struct scene scene;
        size_t n_labels = 0;
        open_scene(surveys[s], true, &scene);
        earshot_drawing *drawing = draw(&scene);
        size_t n = earshot_drawing_items(drawing);
        for (size_t i = 0; i < n; i++) {
            const earshot_item one = earshot_drawing_item(drawing, i);
            if (!is_on_plan(&one))
                continue;
            const labels_box box = printed_box(&one);
            n_labels += strcmp(one.what, "label") == 0;
            for (size_t j = 0; j < n; j++) {
                const earshot_item other = earshot_drawing_item(drawing, j);
                labels_box beside = {other.at, 2 * other.radius_mm, 2 * other.radius_mm, 0};
                if (is_on_plan(&other) && j != i)
                    beside = printed_box(&other);
                else if (other.kind != EARSHOT_ARC || other.gray > 0)
                    continue;
                cr_expect_not(labels_touch(&box, &beside), "%s: '%s' at %.1f %.1f touches %s",
                              surveys[s], one.words, one.at.x_mm, one.at.y_mm,
                              other.words ? other.words : other.what);
            }
        }
        cr_expect_gt(n_labels, 0, "%s has labels", surveys[s]);
        earshot_drawing_free(drawing);
        close_scene(&scene);
    }
}

/* Where one plan has been asked for, the others are not drawn; nor is one of nothing. */
Test(plan, of_one_level_or_none) {
    struct scene scene;
    earshot_drawing *drawing = NULL;
    open_scene("surveys/demo", false, &scene);
    earshot_plan_task task = {.level = earshot_survey_find_level(scene.survey, "first"),
                              .height_m = 2};
    cr_assert_eq(earshot_plan_draw(scene.survey, scene.belief, &task, &drawing), EARSHOT_OK);
    cr_expect_eq(earshot_drawing_panels(drawing), 2);
    cr_expect_str_eq(earshot_drawing_panel(drawing, 0).title, "first");
    cr_expect_str_eq(earshot_drawing_panel(drawing, 1).title, "key");
    earshot_drawing_free(drawing);
    drawing = NULL;
    task.level = 3;
    cr_expect_eq(earshot_plan_draw(scene.survey, scene.belief, &task, &drawing),
                 EARSHOT_MISUSE);
    task = (earshot_plan_task){.level = EARSHOT_NONE, .height_m = NAN, .step_m = 0.001};
    cr_expect_eq(earshot_plan_draw(scene.survey, scene.belief, &task, &drawing),
                 EARSHOT_MISUSE);
    task = (earshot_plan_task){.level = EARSHOT_NONE, .height_m = INFINITY};
    cr_expect_eq(earshot_plan_draw(scene.survey, scene.belief, &task, &drawing),
                 EARSHOT_MISUSE);
    cr_expect_null(drawing);
    task.height_m = NAN;
    close_scene(&scene);
    open_scene("surveys/no-plan", false, &scene);
    task.step_m = 0;
    cr_expect_not(earshot_survey_has_plan(scene.survey));
    cr_expect_eq(earshot_plan_draw(scene.survey, scene.belief, &task, &drawing),
                 EARSHOT_MISUSE);
    close_scene(&scene);
}

/* ---- walls ---- */

/* A wall is one line along its middle, of the layer of its construction, to within a thousandth
 * of a millimeter of paper. */
Test(plan, walls_can_be_traced_back) {
    struct scene scene;
    earshot_drawing *drawing = NULL;
    drawing_extent extent;
    size_t n_walls = 0, n_lines = 0;
    open_scene("surveys/demo", false, &scene);
    const earshot_survey *survey = scene.survey;
    const earshot_plan_task task = {.level = earshot_survey_find_level(survey, "ground"),
                                    .height_m = NAN};
    cr_assert_eq(earshot_plan_draw(survey, scene.belief, &task, &drawing), EARSHOT_OK);
    cr_assert(drawing_extent_of(survey, task.level, &extent));
    earshot_item frame = {.what = ""};
    for (size_t i = 0; i < earshot_drawing_items(drawing); i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (strcmp(item.what, "frame") == 0)
            frame = item;
        n_lines += strcmp(item.what, "wall") == 0;
    }
    cr_assert_eq(frame.n_points, 4);
    /* The frame begins at the extent's left and ends, below, at its lower edge; 1:200. */
    static const double mm_per_m = 5;
    for (size_t i = 0; i < survey->n_walls; i++) {
        const geometry_panel *panel = &survey->building.panels[i];
        const geometry_point ends[2] = {panel->a, panel->b};
        bool found = false;
        if (survey->walls[i].level != task.level)
            continue;
        n_walls++;
        for (size_t j = 0; j < earshot_drawing_items(drawing) && !found; j++) {
            const earshot_item item = earshot_drawing_item(drawing, j);
            if (strcmp(item.what, "wall") != 0)
                continue;
            found = strcmp(item.layer,
                           survey->constructions[survey->walls[i].construction].name) == 0;
            for (int end = 0; end < 2; end++) {
                double x_mm = frame.points[3].x_mm + (ends[end].x_m - extent.x0_m) * mm_per_m;
                double y_mm = frame.points[3].y_mm - (ends[end].y_m - extent.y0_m) * mm_per_m;
                found = found && fabs(item.points[end].x_mm - x_mm) < 1e-3 &&
                        fabs(item.points[end].y_mm - y_mm) < 1e-3;
            }
        }
        cr_expect(found, "%s", survey->walls[i].name);
    }
    cr_expect_eq(n_lines, n_walls);
    earshot_drawing_free(drawing);
    close_scene(&scene);
}

/* ---- a receiver anywhere ---- */

/* Against each zone asked by itself. */
Test(plan, the_smallest_spare_over_zones) {
    struct scene scene;
    drawing_anywhere anywhere = {0};
    open_scene("surveys/demo", false, &scene);
    const earshot_survey *survey = scene.survey;
    const earshot_grid grid = {
        -1, -1, 3.1, 5, 4, drawing_any_receiver(survey, survey->levels[1].floor_z_m + 1.5)};
    cr_assert_eq(drawing_anywhere_fill(survey, scene.belief, &grid, &anywhere), EARSHOT_OK);
    for (size_t i = 0; i < grid.nx * grid.ny; i++) {
        double least_db = INFINITY;
        for (size_t j = 0; j < survey->n_devices; j++) {
            earshot_link link = {.from = survey_end(&survey->devices[j]),
                                 .to = grid.like,
                                 .device = EARSHOT_NONE,
                                 .listener = EARSHOT_NONE,
                                 .path = EARSHOT_NONE,
                                 .life_safety = survey->devices[j].life_safety};
            earshot_prediction way;
            link.to.x_m = grid.x0_m + (double)(i % grid.nx) * grid.step_m;
            link.to.y_m = grid.y0_m + (double)(i / grid.nx) * grid.step_m;
            if (survey->devices[j].role != SURVEY_SENSOR)
                continue;
            cr_assert_eq(earshot_links_predict(survey, scene.belief, &link, 1, &way),
                         EARSHOT_OK);
            least_db = fmin(least_db, way.spare_db);
        }
        cr_expect_float_eq(anywhere.spare_db[i], least_db, 1e-9, "place %zu", i);
    }
    drawing_anywhere_free(&anywhere);
    close_scene(&scene);
}

/* All receivers of a big site count: beside the last of a hundred in a row the margin is what
 * it is beside the first, with its neighbor on the other side. */
Test(plan, of_many_receivers) {
    enum { N = 100, ROW = 60 };
    char devices[64 + N * ROW] = "device,role,level,x_m,y_m,height_m,radio\n";
    for (size_t i = 0, at = strlen(devices); i < N; i++)
        at += (size_t)snprintf(devices + at, ROW, "r%zu,receiver,hall,%zu,0,1,868-10mw\n", i,
                               10 * i);
    struct scene scene = {.survey = NULL};
    earshot_post posts[N];
    folder_put(&scene.tables, "levels.csv", "level,floor_z_m,ceiling_m\nhall,0,5\n");
    folder_put(&scene.tables, "devices.csv", devices);
    scene.survey = folder_load(&scene.tables);
    cr_assert_eq(earshot_belief_prior(scene.survey, &scene.belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_posts(scene.survey, posts, N), N);
    cr_assert_eq(drawing_hearers_of(scene.survey, scene.belief, posts, N, &scene.hearers),
                 EARSHOT_OK);
    const drawing_field field = {.survey = scene.survey,
                                 .belief = scene.belief,
                                 .hearers = &scene.hearers,
                                 .grid.like = drawing_any_sensor(scene.survey, 1.5)};
    cr_expect_float_eq(drawing_field_at(&field, 10 * (N - 1) - 2, 1),
                       drawing_field_at(&field, 2, 1), 1e-9);
    close_scene(&scene);
}
