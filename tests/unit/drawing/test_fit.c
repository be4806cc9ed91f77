/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_fit.c - what was read, foretold and believed, measured on paper against the engine.
 */
#include "earshot/earshot.h"
#include "drawing.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Millimeters of a level, by two labels of the scale. */
struct scale {
    double dbm[2], x_mm[2];
};

static struct scale scale_of(const earshot_drawing *drawing) {
    struct scale scale = {{0}, {0}};
    size_t n = 0;
    for (size_t i = 0; i < earshot_drawing_items(drawing) && n < 2; i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (item.kind != EARSHOT_WORDS || strcmp(item.what, "scale") != 0)
            continue;
        scale.dbm[n] = strtod(item.words, NULL);
        scale.x_mm[n++] = item.at.x_mm;
    }
    cr_assert_eq(n, 2);
    return scale;
}

static double on_scale(const struct scale *scale, double dbm) {
    double share = (dbm - scale->dbm[0]) / (scale->dbm[1] - scale->dbm[0]);
    return scale->x_mm[0] + share * (scale->x_mm[1] - scale->x_mm[0]);
}

/* Whether an arc of this sort stands at a level. */
static bool has_dot(const earshot_drawing *drawing, double x_mm, bool full) {
    for (size_t i = 0; i < earshot_drawing_items(drawing); i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (item.kind == EARSHOT_ARC && strcmp(item.what, "foretold") == 0 && item.gray == 0 &&
            item.filled == full && fabs(item.at.x_mm - x_mm) < 1e-6)
            return true;
    }
    return false;
}

static bool has_stroke(const earshot_drawing *drawing, double x_mm) {
    for (size_t i = 0; i < earshot_drawing_items(drawing); i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (item.kind == EARSHOT_LINE && strcmp(item.what, "read") == 0 &&
            fabs(item.points[0].x_mm - x_mm) < 1e-6 && fabs(item.points[1].x_mm - x_mm) < 1e-6)
            return true;
    }
    return false;
}

/* The demo's readings of the last visit, from its table: kitchen window -53 dBm, coal cellar
 * drain -82 as it was left. */
Test(fit, dots_and_strokes_are_where_they_belong) {
    static const struct {
        const char *device;
        double read_dbm;
    } rows[] = {{"kitchen-window", -53}, {"cellar-drain", -82}, {"garden-motion", -88}};
    folder tables = folder_read("surveys/demo");
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL, *prior = NULL;
    earshot_drawing *drawing = NULL;
    earshot_link links[64];
    size_t n = earshot_survey_links(survey, links, 64);
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_belief_prior(survey, &prior), EARSHOT_OK);
    cr_assert_eq(earshot_fit_draw(survey, belief, &drawing), EARSHOT_OK);
    const struct scale scale = scale_of(drawing);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (size_t j = 0; j < n; j++) {
            earshot_prediction before, now;
            if (links[j].device != earshot_survey_find(survey, rows[i].device))
                continue;
            cr_assert_eq(earshot_links_predict(survey, prior, &links[j], 1, &before),
                         EARSHOT_OK);
            cr_assert_eq(earshot_links_predict(survey, belief, &links[j], 1, &now), EARSHOT_OK);
            cr_expect(has_stroke(drawing, on_scale(&scale, rows[i].read_dbm)), "%s read",
                      rows[i].device);
            cr_expect(has_dot(drawing, on_scale(&scale, before.expected_reading_dbm), false),
                      "%s foretold", rows[i].device);
            cr_expect(has_dot(drawing, on_scale(&scale, now.expected_reading_dbm), true),
                      "%s believed", rows[i].device);
        }
    earshot_drawing_free(drawing);
    earshot_belief_free(belief);
    earshot_belief_free(prior);
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* Heard by two: on the plan stands the one that heard it better, wherever it is in the table.
 */
Test(fit, off_by_the_better_listener) {
    static const char *const readings[] = {
        "device,heard_at,reading,scale\ns,p,-70,dbm\ns,q,-50,dbm\n",
        "device,heard_at,reading,scale\ns,q,-70,dbm\ns,p,-50,dbm\n"};
    for (size_t i = 0; i < 2; i++) {
        folder tables = {.n = 0};
        folder_put(&tables, "levels.csv", "level,floor_z_m,ceiling_m\nground,0,2.5\n");
        folder_put(&tables, "devices.csv",
                   "device,role,level,x_m,y_m,height_m,radio\n"
                   "s,sensor,ground,0,0,1,868-10mw\np,receiver,ground,10,0,1,868-10mw\n"
                   "q,receiver,ground,0,20,1,868-10mw\n");
        folder_put(&tables, "readings.csv", readings[i]);
        earshot_survey *survey = folder_load(&tables);
        earshot_belief *prior = NULL;
        earshot_drawing *drawing = NULL;
        earshot_link links[2];
        earshot_prediction tabled[2];
        char expected[16] = "";
        cr_assert_eq(earshot_survey_links(survey, links, 2), 2);
        cr_assert_eq(earshot_belief_prior(survey, &prior), EARSHOT_OK);
        cr_assert_eq(earshot_links_predict(survey, prior, links, 2, tabled), EARSHOT_OK);
        cr_assert_eq(earshot_fit_draw(survey, prior, &drawing), EARSHOT_OK);
        size_t better = links[1].listener == earshot_survey_find(survey, i ? "p" : "q");
        snprintf(expected, sizeof expected, "%+.0f", -50 - tabled[better].expected_reading_dbm);
        bool seen = false;
        for (size_t j = 0; j < earshot_drawing_items(drawing); j++) {
            const earshot_item item = earshot_drawing_item(drawing, j);
            if (item.kind == EARSHOT_WORDS && strcmp(item.what, "off") == 0) {
                cr_expect_str_eq(item.words, expected);
                seen = true;
            }
        }
        cr_expect(seen);
        earshot_drawing_free(drawing);
        earshot_belief_free(prior);
        earshot_survey_free(survey);
        folder_free(&tables);
    }
}
