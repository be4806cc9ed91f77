/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_manual.c - each example of the manual does what the manual says: wrong, it makes the
 * finding; mended, it does not, and nothing else is wrong with it.
 *
 * The examples stand in a small house; one table of it is replaced by that of the example.
 */
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <string.h>

static const struct {
    const char *name, *text;
} house[] = {
    {"site.csv", "key,value\nname,example\ncountry,IE\nenvironment,dwelling\nuse,lasting\n"},
    {"levels.csv", "level,floor_z_m,height_m,floor_construction\n"
                   "ground,0,2.6,\nfirst,2.8,2.5,timber-floor\n"},
    {"walls.csv", "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                  "north,ground,0,8,10,8,brick\neast,ground,10,8,10,0,brick\n"
                  "south,ground,10,0,0,0,brick\nwest,ground,0,0,0,8,brick\n"
                  "middle,ground,0,4,10,4,brick\n"},
    {"devices.csv", "device,role,level,x_m,y_m,height_m,radio,type,zone\n"
                    "panel,receiver,ground,5,0.5,1.5,868-10mw,,\n"
                    "hall,sensor,ground,2,7.5,2.2,868-10mw,motion,1\n"},
    {"meter.csv", "Zone,RSSI,SNR\n"},
    {"columns.csv", "file,their_column,our_column,unit_or_scale,value,their_value\n"
                    "meter.csv,Zone,device,zone,,\nmeter.csv,RSSI,reading,dBm,,\n"
                    "meter.csv,,heard_at,,panel,\n"}};

/* Codes that no example can show: they take a page, a broken disk or two files. */
static const char *const without_example[] = {"told-otherwise",
                                              "memory",
                                              "and-more",
                                              "and-more-errors",
                                              "zero-byte",
                                              "too-many-columns",
                                              "too-many-rows",
                                              "table-twice",
                                              "too-many-constructions",
                                              "no-loss",
                                              "extrapolated",
                                              "reading-again",
                                              "log-several",
                                              "repeater-full",
                                              "visit-jammed",
                                              "visit-deaf",
                                              "visit-noisy",
                                              "looks-swapped",
                                              "looks-elsewhere",
                                              "looks-stuck",
                                              "looks-slipped",
                                              "looks-other-scale",
                                              "band-unknown",
                                              "claim-unreadable",
                                              "readings-not-merged",
                                              "too-many-readings",
                                              "plan-too-large",
                                              "plan-too-deep",
                                              "plan-too-many",
                                              "plan-no-scale",
                                              "plan-points-one",
                                              "plan-no-size",
                                              "plan-scale-unwanted",
                                              "carried-none",
                                              "carried-damaged",
                                              "carried-name",
                                              "carried-twice",
                                              "carried-too-many"};

static size_t count(const earshot_findings *findings, const char *code) {
    size_t n = 0;
    for (size_t i = 0; i < earshot_findings_count(findings); i++)
        n += strcmp(earshot_findings_at(findings, i).code, code) == 0;
    return n;
}

static void say_all(const char *code, const earshot_findings *findings) {
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        if (finding.severity == EARSHOT_ERROR)
            cr_expect(false, "%s: %s:%u: %s (%s)", code, finding.file, finding.line,
                      finding.sentence, finding.code);
    }
}

/* All that is ever said of a survey. */
static void say_of_tables(const char *where, const char *text, earshot_findings *findings) {
    folder tables = {.n = 0};
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    for (size_t i = 0; i < sizeof house / sizeof *house; i++)
        folder_put(&tables, house[i].name, house[i].text);
    folder_put(&tables, where, text);
    if (earshot_survey_load(tables.tables, tables.n, findings, &survey) == EARSHOT_OK) {
        cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, findings, &belief), EARSHOT_OK);
        cr_assert_eq(earshot_survey_doubts(survey, belief, findings), EARSHOT_OK);
        cr_assert_eq(earshot_survey_odd(survey, findings), EARSHOT_OK);
    }
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}

enum { MOST_WORDS = 8 };

static size_t break_words(char *text, const char *words[MOST_WORDS]) {
    size_t n = 0;
    for (char *word = strtok(text, " "); word && n < MOST_WORDS; word = strtok(NULL, " "))
        words[n++] = word;
    return n;
}

static void say_of_words(const char *where, const char *text, earshot_findings *findings) {
    char copy[100];
    const char *words[MOST_WORDS];
    size_t n = break_words(strcpy(copy, text), words);
    earshot_survey *survey = NULL;
    earshot_text *out = earshot_text_new();
    earshot_reach reach = {.words = words, .n_words = n};
    earshot_loss_query query = {.low_mhz = 868, .high_mhz = 868};
    if (strcmp(where, "words") == 0)
        earshot_survey_new(&reach, NULL, 0, findings, &survey);
    else
        earshot_materials_load(NULL, 0, findings, &survey);
    if (strcmp(where, "loss") == 0)
        earshot_loss_write(survey, text, &query, findings, EARSHOT_PLAIN, out);
    if (strcmp(where, "look") == 0)
        earshot_looks_write(survey, words, n, 868, findings, EARSHOT_PLAIN, out);
    earshot_text_free(out);
    earshot_survey_free(survey);
}

/* All that is said of a plan, or of a table of layers; a line called scale is one meter long.
 */
static void say_of_plan(const char *where, const char *text, earshot_findings *findings) {
    static const char layered[] =
        "<svg><line id=\"scale\" class=\"outside\" x2=\"10\"/>"
        "<line class=\"outside\" x2=\"50\"/><line class=\"inside\" y2=\"50\"/></svg>";
    bool is_table = strcmp(where, "layers.csv") == 0;
    const char *plan = is_table ? layered : text;
    const earshot_bytes bytes = {is_table ? "plan.svg" : where, plan, strlen(plan)},
                        layers = {where, text, strlen(text)};
    earshot_walls_task task = {.layers = is_table ? &layers : NULL};
    earshot_text *out = earshot_text_new();
    if (!strstr(where, ".geojson"))
        task.scale =
            (earshot_scale){.kind = EARSHOT_SCALE_LINE, .line = "scale", .length_m = 1};
    earshot_walls_read(&bytes, &task, findings, out);
    earshot_text_free(out);
}

static earshot_findings *try_example(const char *where, const char *text) {
    earshot_findings *findings = earshot_findings_new();
    cr_assert_not_null(findings);
    if (strstr(where, ".svg") || strstr(where, ".geojson") || strcmp(where, "layers.csv") == 0)
        say_of_plan(where, text, findings);
    else if (strchr(where, '.'))
        say_of_tables(where, text, findings);
    else
        say_of_words(where, text, findings);
    return findings;
}

Test(manual, the_house_itself_is_in_order) {
    earshot_findings *findings = try_example(house[0].name, house[0].text);
    say_all("house", findings);
    cr_expect_eq(earshot_findings_count(findings), 0);
    earshot_findings_free(findings);
}

Test(manual, wrong_examples_make_their_finding) {
    earshot_manual entry;
    size_t n = 0;
    for (size_t i = 0; earshot_manual_at(i, &entry); i++) {
        if (!entry.wrong)
            continue;
        earshot_findings *findings = try_example(entry.where, entry.wrong);
        cr_expect_gt(count(findings, entry.code), 0, "%s is not found in its example",
                     entry.code);
        if (entry.severity == EARSHOT_NOTE)
            say_all(entry.code, findings);
        earshot_findings_free(findings);
        n++;
    }
    cr_assert_gt(n, 80);
}

Test(manual, mended_examples_are_in_order) {
    earshot_manual entry;
    for (size_t i = 0; earshot_manual_at(i, &entry); i++) {
        if (!entry.mended)
            continue;
        earshot_findings *findings = try_example(entry.where, entry.mended);
        cr_expect_eq(count(findings, entry.code), 0, "%s is still found when mended",
                     entry.code);
        say_all(entry.code, findings);
        earshot_findings_free(findings);
    }
}

Test(manual, every_code_has_an_entry_and_nearly_every_an_example) {
    earshot_manual entry, found;
    size_t n_without = 0;
    for (size_t i = 0; earshot_manual_at(i, &entry); i++) {
        cr_assert(entry.when && entry.when[0], "%s has no entry", entry.code);
        cr_assert(earshot_manual_find(entry.code, &found));
        cr_assert_str_eq(found.code, entry.code);
        bool excused = false;
        for (size_t j = 0; j < sizeof without_example / sizeof *without_example; j++)
            excused = excused || strcmp(without_example[j], entry.code) == 0;
        cr_expect_eq(excused, entry.wrong == NULL, "%s", entry.code);
        n_without += excused;
    }
    cr_expect_eq(n_without, sizeof without_example / sizeof *without_example);
    cr_expect_not(earshot_manual_find("no-such-code", &found));
}

Test(manual, every_entry_is_written_in_lines) {
    earshot_manual entry;
    for (size_t i = 0; earshot_manual_at(i, &entry); i++) {
        earshot_text *out = earshot_text_new();
        cr_assert_eq(earshot_manual_write(entry.code, out), EARSHOT_OK);
        const char *text = earshot_text_data(out);
        cr_expect_eq(strncmp(text, entry.code, strlen(entry.code)), 0);
        cr_expect_not_null(strstr(text, entry.when), "%s", entry.code);
        cr_expect_null(strpbrk(text, "\t\r"), "%s", entry.code);
        for (const char *brace = strchr(text, '{'); brace; brace = strchr(brace + 1, '{'))
            cr_expect_not(brace[1] >= '0' && brace[1] <= '9', "%s", entry.code);
        earshot_text_free(out);
    }
    earshot_text *out = earshot_text_new();
    cr_expect_eq(earshot_manual_write("no-such-code", out), EARSHOT_MISUSE);
    cr_expect_eq(earshot_text_size(out), 0);
    earshot_text_free(out);
}
