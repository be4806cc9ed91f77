/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_draft.c - a draft has what the reader reads: each of its tables loads, with no column
 * that nobody knows, in every unit; and filled, it is the survey that was told.
 */
#include "folder.h"
#include "survey.h"
#include "text.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static const char *const units[] = {"m", "ft", "in", "cm", "mm", "pace"};
enum { N_UNITS = sizeof units / sizeof *units };

static folder draft_tables(const earshot_draft *draft) {
    folder tables = {.n = 0};
    const char *name;
    for (size_t i = 0;; i++) {
        earshot_text *text = earshot_text_new();
        cr_assert_not_null(text);
        enum earshot_status status = earshot_draft_write(draft, i, &name, text);
        if (status == EARSHOT_OK)
            folder_put(&tables, name, earshot_text_data(text));
        earshot_text_free(text);
        if (status != EARSHOT_OK) {
            cr_assert_eq(status, EARSHOT_MISUSE);
            return tables;
        }
    }
}

static size_t count(const earshot_findings *findings, const char *code) {
    size_t n = 0;
    for (size_t i = 0; i < earshot_findings_count(findings); i++)
        n += strcmp(earshot_findings_at(findings, i).code, code) == 0;
    return n;
}

Test(draft, every_column_is_known_in_every_unit) {
    static const earshot_draft_zone zone = {.device = "hall-smoke", .type = "smoke"};
    for (size_t i = 0; i < 2 * N_UNITS; i++) {
        earshot_draft draft = {
            .length_unit = units[i / 2], .rooms = i % 2, .zones = &zone, .n_zones = 1};
        folder tables = draft_tables(&draft);
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = NULL;
        cr_assert_eq(tables.n, draft.rooms ? 3 : 7);
        earshot_survey_load(tables.tables, tables.n, findings, &survey);
        cr_expect_eq(count(findings, "column-unknown") + count(findings, "column-missing") +
                         count(findings, "site-key-unknown") + count(findings, "file-unknown"),
                     0, "%s", units[i / 2]);
        /* nothing is wrong but that it is not filled in */
        cr_expect_eq(earshot_findings_errors(findings), count(findings, "cell-blank"), "%s",
                     units[i / 2]);
        earshot_survey_free(survey);
        earshot_findings_free(findings);
        folder_free(&tables);
    }
}

Test(draft, filled_it_is_the_survey_that_was_told) {
    static const earshot_draft_zone zones[] = {
        {"hall-smoke", "smoke", "hall", "12", "brick, timber floor", "ceiling", NULL,
         "433-10mw"},
        {"back \"door\"", "contact", "kitchen, back", "8.5", NULL, "ankle", "metal-frame",
         "433-10mw"}};
    earshot_draft draft = {.name = "Mill, \"old\"",
                           .country = "IE",
                           .receiver = "panel",
                           .length_unit = "m",
                           .rooms = true,
                           .zones = zones,
                           .n_zones = 2};
    folder tables = draft_tables(&draft);
    earshot_survey *survey = folder_load(&tables);
    cr_assert_str_eq(survey->site.name, "Mill, \"old\"");
    cr_assert_str_eq(survey->site.country, "IE");
    cr_assert_eq(survey->n_devices, 3);
    const survey_device *smoke = &survey->devices[0], *door = &survey->devices[1],
                        *panel = &survey->devices[2];
    cr_expect_str_eq(smoke->name, "hall-smoke");
    cr_expect(smoke->life_safety && smoke->role == SURVEY_SENSOR);
    cr_expect_str_eq(door->name, "back \"door\"");
    cr_expect_str_eq(door->room, "kitchen, back");
    cr_expect_str_eq(survey->mounts[door->mount].name, "metal-frame");
    cr_expect_str_eq(panel->name, "panel");
    cr_expect_eq(panel->role, SURVEY_RECEIVER);
    /* the receiver has the radio of what it hears */
    cr_expect_str_eq(survey->radios[panel->radio].name, "433-10mw");
    cr_assert_eq(survey->n_paths, 2);
    cr_expect_eq(survey->paths[0].length_m, 12);
    cr_expect_eq(survey->paths[0].n_crossings, 2);
    cr_expect_eq(survey->paths[1].length_m, 8.5);
    cr_expect_eq(survey->n_readings, 0); /* rows to be filled in yet */
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* Told by paths.csv or written into devices.csv: one survey. */
Test(draft, paths_alone_tell_what_devices_would) {
    folder told = {.n = 0}, written = {.n = 0};
    folder_put(&told, "paths.csv",
               "device,to,length_m,crossings,type,radio,height_m,zone\n"
               "hall,mid,9,brick,smoke,433-10mw,head,3\n"
               "mid,panel,7,,,433-10mw,,\n"
               "hall,panel,16,brick,smoke,433-10mw,head,3\n");
    folder_put(&written, "paths.csv",
               "device,to,length_m,crossings\n"
               "hall,mid,9,brick\nmid,panel,7,\nhall,panel,16,brick\n");
    folder_put(&written, "devices.csv",
               "device,role,type,radio,height_m,zone\n"
               "hall,sensor,smoke,433-10mw,head,3\n"
               "mid,repeater,,433-10mw,,\npanel,receiver,,433-10mw,,\n");
    earshot_survey *one = folder_load(&told), *other = folder_load(&written);
    cr_assert_eq(one->n_devices, other->n_devices);
    for (size_t i = 0; i < one->n_devices; i++) {
        const survey_device *a = &one->devices[i], *b = &other->devices[i];
        cr_expect_str_eq(a->name, b->name);
        cr_expect(a->role == b->role && a->radio == b->radio && a->zone == b->zone &&
                      a->life_safety == b->life_safety && a->mount == b->mount,
                  "%s", a->name);
    }
    earshot_survey_free(one);
    earshot_survey_free(other);
    folder_free(&told);
    folder_free(&written);
}

/* At ankle height the mount is the one that says so, unless another is written. */
Test(draft, ankle_height_counts_as_near_the_floor) {
    folder tables = {.n = 0};
    folder_put(&tables, "paths.csv",
               "device,to,length_m,height_m,mount\n"
               "low,panel,9,ankle,\nframe,panel,9,ankle,metal-frame\nhigh,panel,9,head,\n");
    earshot_survey *survey = folder_load(&tables);
    cr_expect_str_eq(survey->mounts[survey->devices[0].mount].name, "floor-level");
    cr_expect_str_eq(survey->mounts[survey->devices[1].mount].name, "metal-frame");
    cr_expect_eq(survey->devices[2].mount, EARSHOT_NONE);
    earshot_survey_free(survey);
    folder_free(&tables);
}

Test(draft, what_a_path_crosses_reads_back) {
    const char *const words[] = {"40ft", "2", "brick", "timber", "floor"};
    earshot_reach reach = {.words = words, .n_words = 5};
    earshot_findings *findings = earshot_findings_new();
    earshot_text *crossings = earshot_text_new();
    earshot_survey *survey = NULL;
    char length_m[EARSHOT_NUMBER_SIZE], again[200];
    cr_assert_eq(earshot_survey_new(&reach, NULL, 0, findings, &survey), EARSHOT_OK);
    cr_assert_eq(earshot_path_write(survey, 0, length_m, crossings), EARSHOT_OK);
    cr_expect_str_eq(length_m, "12.192"); /* 40 ft of 0.3048 m */
    strcpy(again, "device,to,length_m,crossings\nhall,panel,1,\"");
    strcat(strcat(again, earshot_text_data(crossings)), "\"\n");
    folder tables = {.n = 0};
    folder_put(&tables, "paths.csv", again);
    earshot_survey *read = folder_load(&tables);
    cr_assert_eq(read->paths[0].n_crossings, 3);
    for (size_t i = 0; i < 3; i++)
        cr_expect_str_eq(read->constructions[read->crossings[i]].name,
                         survey->constructions[survey->crossings[i]].name);
    cr_expect_eq(earshot_path_write(survey, 1, length_m, crossings), EARSHOT_MISUSE);
    earshot_survey_free(read);
    earshot_survey_free(survey);
    earshot_text_free(crossings);
    earshot_findings_free(findings);
    folder_free(&tables);
}

Test(draft, misuse_writes_nothing) {
    earshot_text *text = earshot_text_new();
    const char *name = "untouched";
    earshot_draft draft = {.length_unit = "yd"};
    cr_expect_eq(earshot_draft_write(&draft, 0, &name, text), EARSHOT_MISUSE);
    draft.length_unit = "m";
    cr_expect_eq(earshot_draft_write(&draft, 7, &name, text), EARSHOT_MISUSE);
    draft.n_zones = 1;
    cr_expect_eq(earshot_draft_write(&draft, 0, &name, text), EARSHOT_MISUSE);
    cr_expect_eq(earshot_columns_write("curtains", text), EARSHOT_MISUSE);
    cr_expect_eq(earshot_text_size(text), 0);
    cr_expect_str_eq(name, "untouched");
    earshot_text_free(text);
}

/* Every word that the reader takes is told, and every limit. */
Test(draft, columns_are_told_with_limits_and_words) {
    earshot_text *text = earshot_text_new();
    cr_assert_eq(earshot_columns_write("levels", text), EARSHOT_OK);
    cr_expect_not_null(
        strstr(earshot_text_data(text), "  height_m, needed: a number between 1.5 and 50 m\n"));
    cr_assert_eq(earshot_columns_write("devices.csv", text), EARSHOT_OK);
    cr_expect_not_null(
        strstr(earshot_text_data(text), "  role, needed: sensor, receiver or repeater\n"));
    cr_expect_not_null(strstr(earshot_text_data(text), "  supervised: yes or no; whether it "));
    /* materials/mounts.csv, in its order */
    cr_expect_not_null(strstr(earshot_text_data(text),
                              "  mount; one of wall, floor-level, metal-frame, inside-metal, "
                              "body, behind-furniture; blank: wall, "));
    earshot_text_free(text);
}
