/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_mistakes.c - slips in readings: what is named, and what is left in peace. How often they
 * are found at all, tests/recover/mistaken.c counts.
 */
#include "folder.h"
#include "mistakes.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

enum { N_ZONES = 12, TEXT = 2000 };

/* Zones at 2, 4, 8, 12 ... m, with two more bricks on the way of the even ones. */
static void write_tables(folder *tables) {
    char devices[TEXT] = "device,role,radio,type\np,receiver,868-10mw,\n", paths[TEXT] = "";
    char row[100];
    strcpy(paths, "device,to,length_m,crossings\n");
    for (int i = 0; i < N_ZONES; i++) {
        snprintf(row, sizeof row, "s%d,sensor,868-10mw,motion\n", i);
        strcat(devices, row);
        snprintf(row, sizeof row, "s%d,p,%d,%s\n", i, 2 + 4 * i,
                 i % 2 ? "" : "\"brick,brick\"");
        strcat(paths, row);
    }
    folder_put(tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(tables, "devices.csv", devices);
    folder_put(tables, "paths.csv", paths);
}

/* What the model foretells of each zone, to a dB, so that clean readings lie right on it. */
static void foretell(const folder *tables, double level_dbm[N_ZONES]) {
    earshot_survey *survey = folder_load(tables);
    earshot_belief *belief = NULL;
    earshot_link links[N_ZONES];
    earshot_prediction predictions[N_ZONES];
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, links, N_ZONES), N_ZONES);
    earshot_links_predict(survey, belief, links, N_ZONES, predictions);
    for (int i = 0; i < N_ZONES; i++)
        level_dbm[i] = (double)(int)predictions[i].expected_reading_dbm;
    earshot_belief_free(belief);
    earshot_survey_free(survey);
}

struct found {
    calibration_suspect first;
    size_t n, n_likely;
};

static struct found search(folder *tables, const double level_dbm[N_ZONES], const char *use) {
    char readings[TEXT] = "heard_at,device,reading,use\n", row[100];
    earshot_belief *belief = NULL;
    calibration_suspect *suspects = NULL;
    struct found found = {.n = 0};
    for (int i = 0; i < N_ZONES; i++) {
        snprintf(row, sizeof row, "p,s%d,%.0f,%s\n", i, level_dbm[i], use);
        strcat(readings, row);
    }
    folder_put(tables, "readings.csv", readings);
    earshot_survey *survey = folder_load(tables);
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    cr_assert_eq(calibration_suspect_all(survey, belief, &suspects, &found.n), EARSHOT_OK);
    for (size_t i = 0; i < found.n; i++)
        found.n_likely += suspects[i].log_odds > 0;
    if (found.n)
        found.first = suspects[0];
    free(suspects);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    return found;
}

Test(mistakes, each_kind_by_itself) {
    folder tables = {0};
    double clean[N_ZONES], level[N_ZONES];
    write_tables(&tables);
    foretell(&tables, clean);
    cr_expect_eq(search(&tables, clean, "").n_likely, 0, "all as foretold");

    memcpy(level, clean, sizeof level); /* s1 without walls at 6 m, s10 with two at 42 m */
    level[1] = clean[10];
    level[10] = clean[1];
    struct found found = search(&tables, level, "");
    cr_expect_eq(found.first.kind, CALIBRATION_SWAPPED);
    cr_expect_eq(found.first.reading + found.first.other, 11);
    cr_expect_gt(found.first.log_odds, 0);
    cr_expect_eq(search(&tables, level, "accept").n, 0, "somebody has looked");

    memcpy(level, clean, sizeof level);
    for (int i = 4; i < 9; i++)
        level[i] = clean[3];
    found = search(&tables, level, "");
    cr_expect_eq(found.first.kind, CALIBRATION_STUCK);
    cr_expect_eq(found.first.reading, 3);
    cr_expect_geq(found.first.n_rows, 6);

    memcpy(level, clean, sizeof level);
    level[5] = -7; /* seventy-something */
    found = search(&tables, level, "");
    cr_expect_eq(found.first.kind, CALIBRATION_SLIP);
    cr_expect_eq(found.first.reading, 5);
    cr_expect_float_eq(found.first.mended_db, -74.5, 1e-12);

    for (int i = 0; i < N_ZONES; i++)
        level[i] = clean[i] - 40;
    found = search(&tables, level, "");
    cr_expect_eq(found.first.kind, CALIBRATION_SCALE);
    cr_expect_lt(found.first.seen_db, -20);
    folder_free(&tables);
}

/* ---- set aside ---- */

/* The rows as given for the first zones, the others as foretold; what the first was taken for.
 */
static bool meant(folder *tables, const double clean[N_ZONES], const char *row,
                  calibration_meant *out) {
    char readings[TEXT] = "heard_at,device,reading,scale\n", other[100];
    earshot_belief *belief = NULL;
    strcat(readings, row);
    for (int i = 2; i < N_ZONES; i++) {
        snprintf(other, sizeof other, i == 11 ? "p,s%d,1,bars-5\n" : "p,s%d,%.0f,\n", i,
                 clean[i]);
        strcat(readings, other);
    }
    folder_put(tables, "readings.csv", readings);
    earshot_survey *survey = folder_load(tables);
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    cr_assert_eq(survey->n_aside, 1, "%s", row);
    bool fits = calibration_mean_aside(survey, belief, &survey->aside[0], out);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    return fits;
}

/* Cells spoiled on purpose, of which the test knows what they were; and some that were nothing:
 * 40 dB off, a word, seven bars. */
Test(mistakes, what_was_set_aside) {
    folder tables = {0};
    double clean[N_ZONES];
    char row[100], digits[10];
    calibration_meant found;
    write_tables(&tables);
    foretell(&tables, clean);

    snprintf(row, sizeof row, "p,s1,%.0f,\n", -clean[1]);
    cr_assert(meant(&tables, clean, row, &found));
    cr_expect_eq(found.meaning, CALIBRATION_MINUS_LOST);
    cr_expect_eq(found.shown, clean[1]);
    cr_expect_float_eq(found.foretold_db, clean[1], 3);
    snprintf(row, sizeof row, "p,s1,%.0f,\n", -clean[1] + 40);
    cr_expect_not(meant(&tables, clean, row, &found));

    snprintf(digits, sizeof digits, "%.0f", clean[1]);
    char *last = digits + strlen(digits) - 1; /* O for 0, and the level as near as that */
    *last = 'O';
    snprintf(row, sizeof row, "p,s1,%s,\n", digits);
    cr_assert(meant(&tables, clean, row, &found));
    cr_expect_eq(found.meaning, CALIBRATION_LETTER);
    cr_expect_float_eq(found.shown, clean[1], 9);
    cr_expect_not(meant(&tables, clean, "p,s1,weak,\n", &found));

    snprintf(row, sizeof row, "p,s1,%.0f,bars-5\n", clean[1]);
    cr_assert(meant(&tables, clean, row, &found));
    cr_expect_eq(found.meaning, CALIBRATION_IN_DBM);
    cr_expect_eq(found.shown, clean[1]);
    cr_expect_not(meant(&tables, clean, "p,s1,7,bars-5\n", &found));

    cr_assert(meant(&tables, clean, "p,s1,5,\n", &found)); /* near: all bars */
    cr_expect_eq(found.meaning, CALIBRATION_ON_SCALE);
    cr_expect_eq(found.shown, 5);
    folder_free(&tables);
}

/* Nothing was read, or one thing alone: nobody can tell. */
Test(mistakes, too_little_to_tell) {
    folder tables = folder_read("surveys/demo");
    calibration_suspect *suspects;
    size_t n = 7;
    for (int rows = 0; rows < 2; rows++) {
        earshot_belief *belief = NULL;
        folder_put(&tables, "readings.csv",
                   rows ? "heard_at,device,reading\npanel,hall-smoke,-36\n"
                        : "heard_at,device,reading\n");
        earshot_survey *survey = folder_load(&tables);
        cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
        cr_assert_eq(calibration_suspect_all(survey, belief, &suspects, &n), EARSHOT_OK);
        cr_expect_eq(n, 0);
        free(suspects);
        earshot_belief_free(belief);
        earshot_survey_free(survey);
    }
    folder_free(&tables);
}
