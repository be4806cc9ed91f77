/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_section.c - the stair of a link against its ledger: every part is a step of its height,
 * in the order that the signal meets walls, and the end is the margin. What is measured is on
 * paper.
 */
#include "earshot/earshot.h"
#include "drawing.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

enum { MOST_PARTS = 64, MOST_LINKS = 64 };

struct scene {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
};

static void open_tables(struct scene *out) {
    out->survey = folder_load(&out->tables);
    cr_assert_eq(earshot_belief_prior(out->survey, &out->belief), EARSHOT_OK);
}

static void close_scene(struct scene *scene) {
    earshot_belief_free(scene->belief);
    earshot_survey_free(scene->survey);
    folder_free(&scene->tables);
}

/* The first item of a kind of ink; the drawing must have one. */
static earshot_item item_of(const earshot_drawing *drawing, const char *what) {
    for (size_t i = 0; i < earshot_drawing_items(drawing); i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (strcmp(item.what, what) == 0 && item.kind == EARSHOT_LINE)
            return item;
    }
    cr_assert_fail("no %s", what);
    return (earshot_item){.what = ""};
}

/* dB for each millimeter, by the two lines across. */
static double db_per_mm(const earshot_drawing *drawing, double required_db) {
    return required_db / (item_of(drawing, "needed").points[0].y_mm -
                          item_of(drawing, "required").points[0].y_mm);
}

static void check_stair(const struct scene *scene, const earshot_link *link) {
    earshot_part parts[MOST_PARTS];
    earshot_prediction prediction;
    earshot_drawing *drawing = NULL;
    size_t n_parts = 0, n_seen = 0;
    cr_assert_eq(earshot_link_ledger(scene->survey, scene->belief, link, parts, MOST_PARTS,
                                     &n_parts, &prediction),
                 EARSHOT_OK);
    cr_assert_eq(earshot_section_draw(scene->survey, scene->belief, link, NULL, 0, &drawing),
                 EARSHOT_OK);
    const earshot_item stair = item_of(drawing, "stair");
    double per_mm = db_per_mm(drawing, prediction.required_margin_db);
    double needed_mm = item_of(drawing, "needed").points[0].y_mm;
    cr_assert_eq(stair.n_points, 2 * n_parts + 2);
    cr_expect_float_eq((needed_mm - stair.points[stair.n_points - 1].y_mm) * per_mm,
                       prediction.margin_db, 1e-6);
    /* Each part's loss is the height of one step. */
    for (size_t i = 0; i < n_parts; i++)
        for (size_t j = 1; j + 1 < stair.n_points; j += 2) {
            double fall_db = (stair.points[j + 1].y_mm - stair.points[j].y_mm) * per_mm;
            if (fabs(fall_db - parts[i].loss_db) < 1e-6) {
                n_seen++;
                break;
            }
        }
    cr_expect_eq(n_seen, n_parts, "%zu of %zu parts are steps", n_seen, n_parts);
    /* A step that is shown as nothing has no sign, and one that is something has one. */
    for (size_t i = 0; i < earshot_drawing_items(drawing); i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        const char *shown = item.kind == EARSHOT_WORDS && strcmp(item.what, "step") == 0
                                ? strstr(item.words, "0.0 dB")
                                : NULL;
        cr_expect(!shown || shown == item.words || (shown[-1] >= '0' && shown[-1] <= '9'), "%s",
                  item.words);
    }
    earshot_drawing_free(drawing);
}

static void check_survey(const char *path) {
    struct scene scene = {.tables = folder_read(path)};
    earshot_link links[MOST_LINKS];
    open_tables(&scene);
    size_t n = earshot_survey_links(scene.survey, links, MOST_LINKS);
    for (size_t i = 0; i < n && i < MOST_LINKS; i++)
        check_stair(&scene, &links[i]);
    close_scene(&scene);
}

Test(section, steps_are_the_ledger) {
    check_survey("surveys/demo");
    check_survey("surveys/paper");
    check_survey("surveys/no-plan");
}

/* ---- order and hops ---- */

static const char levels[] = "level,floor_z_m,height_m\nground,0,2.5\n";
/* Listed otherwise than they are met from the sensor at x = 9. */
static const char walls[] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                            "second,ground,5,0,5,9,brick\n"
                            "first,ground,7,0,7,9,stud-wall\n"
                            "third,ground,2,0,2,9,concrete\n";
static const char devices[] = "device,role,level,x_m,y_m,height_m,radio\n"
                              "panel,receiver,ground,1,4,1.5,868-10mw\n"
                              "relay,repeater,ground,4,4,1.5,868-10mw\n"
                              "door,sensor,ground,9,4,1.5,868-10mw\n";

static void open_row(struct scene *out) {
    *out = (struct scene){0};
    folder_put(&out->tables, "site.csv", "key,value\nenvironment,dwelling\n");
    folder_put(&out->tables, "levels.csv", levels);
    folder_put(&out->tables, "walls.csv", walls);
    folder_put(&out->tables, "devices.csv", devices);
    open_tables(out);
}

static earshot_link link_between(const struct scene *scene, const char *from, const char *to) {
    earshot_link links[8];
    size_t n = earshot_survey_links(scene->survey, links, 8);
    for (size_t i = 0; i < n; i++)
        if (links[i].device == earshot_survey_find(scene->survey, from) &&
            links[i].listener == earshot_survey_find(scene->survey, to))
            return links[i];
    cr_assert_fail("no link");
    return links[0];
}

Test(section, walls_as_the_signal_meets_them) {
    static const char *const in_order[] = {"wall first, stud-wall", "wall second, brick",
                                           "wall third, concrete"};
    struct scene scene;
    earshot_drawing *drawing = NULL;
    size_t at = 0;
    open_row(&scene);
    const earshot_link link = link_between(&scene, "door", "panel");
    cr_assert_eq(earshot_section_draw(scene.survey, scene.belief, &link, NULL, 0, &drawing),
                 EARSHOT_OK);
    for (size_t i = 0; i < earshot_drawing_items(drawing); i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (item.words && strncmp(item.words, "wall ", 5) == 0) {
            cr_assert_lt(at, 3);
            cr_expect_str_eq(item.words, in_order[at++]);
        }
    }
    cr_expect_eq(at, 3);
    earshot_drawing_free(drawing);
    close_scene(&scene);
}

Test(section, through_a_repeater_both_hops) {
    struct scene scene;
    earshot_drawing *drawing = NULL;
    open_row(&scene);
    const earshot_link link = link_between(&scene, "door", "relay");
    cr_assert_eq(earshot_section_draw(scene.survey, scene.belief, &link, NULL, 0, &drawing),
                 EARSHOT_OK);
    cr_assert_eq(earshot_drawing_panels(drawing), 2);
    cr_expect_str_eq(earshot_drawing_panel(drawing, 0).title, "door to relay");
    cr_expect_str_eq(earshot_drawing_panel(drawing, 1).title, "relay to panel");
    earshot_drawing_free(drawing);
    close_scene(&scene);
}

/* A link whose place nobody knows has no stair, and says so. */
Test(section, of_a_link_that_is_not_judged) {
    struct scene scene = {0};
    earshot_link links[4];
    earshot_drawing *drawing = NULL;
    folder_put(&scene.tables, "site.csv", "key,value\nenvironment,dwelling\n");
    folder_put(&scene.tables, "devices.csv",
               "device,role,radio\npanel,receiver,868-10mw\ndoor,sensor,868-10mw\n");
    scene.survey = NULL;
    earshot_findings *findings = earshot_findings_new();
    if (earshot_survey_load(scene.tables.tables, scene.tables.n, findings, &scene.survey) ==
        EARSHOT_OK) {
        cr_assert_eq(earshot_belief_prior(scene.survey, &scene.belief), EARSHOT_OK);
        cr_assert_eq(earshot_survey_links(scene.survey, links, 4), 1);
        cr_assert_eq(earshot_section_draw(scene.survey, scene.belief, links, NULL, 0, &drawing),
                     EARSHOT_OK);
        cr_expect_eq(earshot_drawing_panels(drawing), 1);
        cr_expect_lt(earshot_drawing_size(drawing).y_mm, 30);
    }
    earshot_drawing_free(drawing);
    earshot_findings_free(findings);
    close_scene(&scene);
}
