/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_openings.c - openings of one wall: side by side, on each other, outside; in any order of
 * the rows.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "survey.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define HEADER "opening,wall,from_m,to_m,construction,bottom_m,top_m\n"

/* Loads a house with these openings, in this order or in reverse. */
static earshot_survey *load(const char *const rows[], size_t n, bool reverse,
                            earshot_findings *findings) {
    char text[1000] = HEADER;
    folder tables = {.n = 0};
    earshot_survey *survey = NULL;
    for (size_t i = 0; i < n; i++)
        strcat(strcat(text, rows[reverse ? n - 1 - i : i]), "\n");
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\nuse,lasting\n");
    folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n");
    folder_put(&tables, "walls.csv",
               "wall,level,x1_m,y1_m,x2_m,y2_m,construction,top_m\n"
               "w,ground,0,0,10,0,brick,\nv,ground,0,5,10,5,brick,1.5\n");
    folder_put(&tables, "devices.csv",
               "device,role,x_m,y_m,height_m,radio,type\n"
               "p,receiver,1,1,1,868-10mw,\n");
    folder_put(&tables, "openings.csv", text);
    earshot_survey_load(tables.tables, tables.n, findings, &survey);
    folder_free(&tables);
    return survey;
}

/* What comes of two or three openings, whichever row stands first. */
Test(openings, together) {
    static const struct {
        const char *rows[3];
        const char *code; /* "": nothing wrong */
        unsigned column;
    } table[] = {
        {{"a,w,1,2,glass,,", "b,w,2,3,glass,,", "c,w,0,1,glass,,"}, "", 0},
        {{"a,w,1,2,glass,,", "b,w,1.9995,3,glass,,"}, "", 0}, /* half a millimeter: rounding */
        {{"a,w,1,2,glass,,", "b,w,1.99,3,glass,,"}, "openings-overlap", 5},
        {{"a,w,1,9,glass,,", "b,w,2,3,glass,,"}, "openings-overlap", 5}, /* one in the other */
        {{"a,w,1,2,glass,,", "b,w,1,2,glass,,"}, "openings-overlap", 5}, /* the same */
        {{"a,w,1,2,glass,0,1", "b,w,1,2,glass,1,2"}, "", 0}, /* one above the other */
        {{"a,w,1,2,glass,0,1.1", "b,w,1,2,glass,1,2"}, "openings-overlap", 5},
        {{"a,w,1,2,glass,,", "b,v,1,2,glass,,1.5"}, "", 0}, /* another wall */
        {{"a,w,1,9,glass,0,1", "b,w,2,3,glass,1,2", "c,w,4,5,glass,0.5,2"},
         "openings-overlap",
         5},
        {{"a,v,1,2,glass,,"},
         "opening-outside",
         16}, /* 2.1 m high, blank, in a wall of 1.5 m */
        {{"a,v,1,2,glass,1.5,2"}, "opening-misses-wall", 19},
        {{"a,w,1,2,glass,-1,0"}, "opening-misses-wall", 18},
    };
    for (size_t i = 0; i < COUNT(table); i++)
        for (int reverse = 0; reverse < 2; reverse++) {
            size_t n = 0;
            while (n < 3 && table[i].rows[n])
                n++;
            earshot_findings *findings = earshot_findings_new();
            earshot_survey *survey = load(table[i].rows, n, reverse, findings);
            cr_expect_eq(earshot_findings_count(findings), table[i].code[0] ? 1 : 0, "%zu", i);
            for (size_t j = 0; j < earshot_findings_count(findings); j++) {
                earshot_finding got = earshot_findings_at(findings, j);
                cr_expect_str_eq(got.code, table[i].code, "%zu: %s", i, got.sentence);
                cr_expect_eq(got.column, table[i].column, "%zu: %u", i, got.column);
                if (strcmp(got.code, "openings-overlap") == 0)
                    cr_expect_geq(got.line, 3, "the later row is named");
            }
            earshot_survey_free(survey);
            earshot_findings_free(findings);
        }
}

/* They stand in the survey by where they are, so that no order of rows can matter. */
Test(openings, order_of_rows_does_not_matter) {
    static const char *const rows[] = {"c,w,4,5,glass,,", "a,w,1,2,inside-door,,",
                                       "e,v,1,2,glass,0,1", "b,w,2,3,glass,1,2",
                                       "d,w,2,3,glass,0,1"};
    static const char *const wanted[] = {"a", "d", "b", "c", "e"};
    for (int reverse = 0; reverse < 2; reverse++) {
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = load(rows, COUNT(rows), reverse, findings);
        cr_assert_not_null(survey);
        cr_assert_eq(survey->n_openings, COUNT(wanted));
        for (size_t i = 0; i < COUNT(wanted); i++)
            cr_expect_str_eq(survey->openings[i].name, wanted[i]);
        cr_expect_eq(survey->building.panels[0].first_opening, 0);
        cr_expect_eq(survey->building.panels[0].n_openings, 4);
        cr_expect_eq(survey->building.panels[1].first_opening, 4);
        cr_expect_eq(survey->building.panels[1].n_openings, 1);
        earshot_survey_free(survey);
        earshot_findings_free(findings);
    }
}
