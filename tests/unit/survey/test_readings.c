/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_readings.c - visits: which comes before which, and that many of them cost little.
 */
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "survey.h"

/* Loads a survey with a reading for each of the visits, parted by bars. */
static earshot_survey *visited(const char *visits) {
    char *rows = malloc(64 + 16 * (strlen(visits) + 1)), *end = rows;
    cr_assert_not_null(rows);
    end += sprintf(end, "heard_at,device,reading,visit\n");
    for (const char *at = visits; at; at = strchr(at, '|') ? strchr(at, '|') + 1 : NULL)
        end += sprintf(end, "p,s,-70,%.*s\n", (int)strcspn(at, "|"), at);
    folder tables = {.n = 0};
    folder_put(&tables, "devices.csv",
               "device,role,radio\ns,sensor,868-10mw\np,receiver,868-10mw\n");
    folder_put(&tables, "paths.csv", "device,to,length_m\ns,p,10\n");
    folder_put(&tables, "readings.csv", rows);
    earshot_survey *survey = folder_load(&tables);
    folder_free(&tables);
    free(rows);
    return survey;
}

/* A blank visit was before all; numbers count by value; a name that is none was where it is
 * mentioned. Orders worked out by hand. */
Test(readings, visits_in_order) {
    static const struct {
        const char *mentioned, *in_order;
    } rows[] = {{"1", "1"},
                {"1|2|2|1", "1|2"},
                {"10|9|2", "2|9|10"},
                {"2|1.5|1", "1|1.5|2"},
                {"2||1", "|1|2"},
                {"spring|autumn|spring", "spring|autumn"},
                {"3|2|spring|1|0", "2|3|spring|0|1"},
                {"3||spring||1", "|3|spring|1"},
                {"2|2.0|1", "1|2|2.0"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char got[100] = "";
        earshot_survey *survey = visited(rows[i].mentioned);
        for (size_t visit = 0; visit < survey->n_visits; visit++)
            strcat(strcat(got, visit ? "|" : ""), survey->visits[visit]);
        cr_expect_str_eq(got, rows[i].in_order, "%s: %s", rows[i].mentioned, got);
        const char *at = rows[i].mentioned;
        for (size_t row = 0; row < survey->n_readings; row++, at += strcspn(at, "|") + 1)
            cr_expect_eq(
                strncmp(survey->visits[survey->readings[row].visit], at, strcspn(at, "|")), 0,
                "%s: row %zu", rows[i].mentioned, row);
        earshot_survey_free(survey);
    }
}

/* A log may have a visit of its own for each row, the latest first. With a loop over all rows
 * for each two that change places this took a minute for 6,000. */
Test(readings, many_visits, .timeout = 20) {
    enum { MANY = 20000 };
    char *visits = malloc(MANY * 8), *end = visits;
    cr_assert_not_null(visits);
    for (int i = MANY; i > 0; i--)
        end += sprintf(end, "%s%d", i < MANY ? "|" : "", i);
    earshot_survey *survey = visited(visits);
    cr_expect_eq(survey->n_visits, MANY);
    cr_expect_str_eq(survey->visits[0], "1");
    cr_expect_eq(survey->readings[0].visit, MANY - 1);
    earshot_survey_free(survey);
    free(visits);
}
