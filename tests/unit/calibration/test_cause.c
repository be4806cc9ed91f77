/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_cause.c - the likeliest cause of a change, where somebody put one.
 *
 * Readings are the tables' own expectations, but for what each case takes off. Nothing in them
 * is random, so that the cause is the one that was put there.
 */
#include "calibration.h"
#include "earshot/earshot.h"
#include "folder.h"
#include "quality.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { N = 8 };

/* Eight sensors around one receiver: four behind the east wall, four behind the north one, both
 * of a construction whose loss is doubted by more than a place's (6 dB against 3). */
static folder house(const char *readings) {
    folder tables = {.n = 0};
    char devices[1000] = "device,role,level,x_m,y_m,height_m,radio\n"
                         "panel,receiver,ground,0,0,1.2,868-10mw\n";
    for (int i = 0; i < N; i++)
        sprintf(devices + strlen(devices), "s%d,sensor,ground,%d,%d,1.2,868-10mw\n", i,
                i < 4 ? 9 : 2 * (i - 5), i < 4 ? 2 * (i - 1) : 9);
    folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,3\n");
    folder_put(&tables, "walls.csv",
               "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
               "east,ground,5,-20,5,20,coated-glass\n"
               "north,ground,-20,5,4.9,5,coated-glass\n");
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "readings.csv", readings);
    return tables;
}

/* Readings as foretold, less `taken_db` of each. */
static earshot_survey *read_all(const double *taken_db) {
    static char readings[2000];
    earshot_link links[N];
    earshot_prediction predictions[N];
    earshot_belief *prior = NULL;
    folder tables = house("heard_at,device,reading\n");
    earshot_survey *survey = folder_load(&tables);
    cr_assert_eq(earshot_belief_prior(survey, &prior), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, links, N), N);
    earshot_links_predict(survey, prior, links, N, predictions);
    strcpy(readings, "heard_at,device,reading,placed\n");
    for (int i = 0; i < N; i++)
        sprintf(readings + strlen(readings), "panel,s%d,%.2f,in place\n", i,
                predictions[i].expected_reading_dbm - taken_db[i]);
    earshot_belief_free(prior);
    earshot_survey_free(survey);
    folder_free(&tables);
    tables = house(readings);
    survey = folder_load(&tables);
    folder_free(&tables);
    return survey;
}

static calibration_cause cause_of(const double *taken_db, size_t which) {
    earshot_link links[N];
    calibration_cause cause;
    earshot_belief *belief = NULL;
    earshot_survey *survey = read_all(taken_db);
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, links, N), N);
    cr_assert(
        calibration_likeliest_cause(survey, belief, &links[which], taken_db[which], &cause));
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    return cause;
}

/* All behind the east wall are low: that wall (the first of walls.csv) takes more than its
 * kind. */
Test(cause, one_wall) {
    static const double taken_db[N] = {9, 9, 9, 9, 0, 0, 0, 0};
    calibration_cause cause = cause_of(taken_db, 1);
    cr_expect(cause.kind == CALIBRATION_BY_THING && cause.row == 0, "%d %zu", cause.kind,
              cause.row);
    cr_expect(cause.more_db > 1 && cause.more_db < 9, "%g", cause.more_db);
}

/* One alone is low: its own place, or the device. */
Test(cause, one_place) {
    static const double taken_db[N] = {0, 12, 0, 0, 0, 0, 0, 0};
    calibration_cause cause = cause_of(taken_db, 1);
    cr_expect_eq(cause.kind, CALIBRATION_BY_PLACE);
    cr_expect(cause.more_db > 4 && cause.more_db < 12 && cause.chance > 0.25, "%g, %g",
              cause.more_db, cause.chance);
}

/* All are low alike, near and far: no wall and no place. */
Test(cause, what_all_share) {
    static const double taken_db[N] = {9, 9, 9, 9, 9, 9, 9, 9};
    cr_expect_eq(cause_of(taken_db, 1).kind, CALIBRATION_BY_PARAMETER);
}

Test(cause, nothing_was_read) {
    folder tables = house("heard_at,device,reading\n");
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    earshot_link link;
    calibration_cause cause;
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    earshot_survey_links(survey, &link, 1);
    cr_expect_not(calibration_likeliest_cause(survey, belief, &link, 5, &cause));
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}
