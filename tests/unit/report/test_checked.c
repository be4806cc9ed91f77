/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_checked.c - one survey among many: its line is JSON (read back by jansson), says what
 * the whole report says of it, and stays one line whatever the folder is called.
 */
#include "earshot/earshot.h"
#include "reported.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* A folder's tables as one of many; not loaded, it is one that was refused. */
struct loaded {
    earshot_findings *findings;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_text *line, *why;
    size_t n_weak;
};

static struct loaded load(const folder *tables) {
    struct loaded loaded = {.findings = earshot_findings_new(),
                            .line = earshot_text_new(),
                            .why = earshot_text_new(),
                            .n_weak = 77};
    if (earshot_survey_load(tables->tables, tables->n, loaded.findings, &loaded.survey) !=
        EARSHOT_OK)
        return loaded;
    cr_assert_eq(earshot_belief_prior(loaded.survey, &loaded.belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_doubts(loaded.survey, loaded.belief, loaded.findings),
                 EARSHOT_OK);
    return loaded;
}

static void write(struct loaded *loaded, const char *name, const char *unread,
                  enum earshot_form form) {
    const earshot_checked checked = {.folder = name,
                                     .survey = loaded->survey,
                                     .belief = loaded->belief,
                                     .findings = loaded->findings,
                                     .unread = unread};
    cr_assert_eq(
        earshot_checked_write(&checked, form, loaded->line, &loaded->n_weak, loaded->why),
        EARSHOT_OK);
}

static void release(struct loaded *loaded) {
    earshot_text_free(loaded->why);
    earshot_text_free(loaded->line);
    earshot_belief_free(loaded->belief);
    earshot_survey_free(loaded->survey);
    earshot_findings_free(loaded->findings);
}

static json_t *parse(const earshot_text *text) {
    json_error_t error;
    json_t *json = json_loadb(earshot_text_data(text), earshot_text_size(text),
                              JSON_REJECT_DUPLICATES, &error);
    cr_assert_not_null(json, "%s at %d:%d", error.text, error.line, error.column);
    return json;
}

static json_int_t number(const json_t *json, const char *key) {
    const json_t *value = json_object_get(json, key);
    cr_assert(json_is_integer(value), "%s", key);
    return json_integer_value(value);
}

static const char *string(const json_t *json, const char *key) {
    const char *value = json_string_value(json_object_get(json, key));
    cr_assert_not_null(value, "%s", key);
    return value;
}

/* Counts zones of the whole report, which has its own tests. */
static void expect_as_in_report(const json_t *line, const json_t *report) {
    static const char *const verdicts[][2] = {
        {"firm", "firm"}, {"thin", "thin"}, {"out", "out"}, {"not judged", "not_judged"}};
    const json_t *zones = json_object_get(report, "zones"), *zone, *least = NULL;
    const json_t *finding;
    json_int_t weak = 0, untested = 0, notes = 0;
    size_t i;
    cr_expect_eq(number(line, "zones"), (json_int_t)json_array_size(zones));
    for (size_t v = 0; v < COUNT(verdicts); v++) {
        json_int_t n = 0;
        json_array_foreach(zones, i, zone) n +=
            strcmp(string(zone, "verdict"), verdicts[v][0]) == 0;
        cr_expect_eq(number(line, verdicts[v][1]), n, "%s", verdicts[v][0]);
    }
    json_array_foreach(zones, i, zone) {
        bool life = json_is_true(json_object_get(zone, "life_safety"));
        bool firm = strcmp(string(zone, "verdict"), "firm") == 0;
        weak += life && !firm;
        untested += life && firm && strcmp(string(zone, "basis"), "read in place") != 0;
        const json_t *spare = json_object_get(zone, "spare_db");
        if (json_is_number(spare) &&
            (!least ||
             json_number_value(spare) < json_number_value(json_object_get(least, "spare_db"))))
            least = zone;
    }
    cr_expect_eq(number(line, "weak_life_safety"), weak);
    cr_expect_eq(number(line, "untested_life_safety"), untested);
    const char *key;
    json_t *value;
    json_t *smallest = json_object_get(line, "smallest_spare");
    cr_assert_not_null(least);
    cr_expect_geq(json_object_size(smallest), 8);
    json_object_foreach(smallest, key, value)
        cr_expect(json_equal(value, json_object_get(least, key)), "%s", key);
    json_array_foreach(json_object_get(report, "findings"), i, finding) notes +=
        strcmp(string(finding, "severity"), "note") == 0;
    cr_expect_eq(number(line, "notes"), notes);
    cr_expect_str_eq(string(line, "survey"), string(report, "survey"));
}

Test(checked, says_what_the_report_says) {
    static const char *const names[] = {"surveys/demo", "surveys/no-plan", "surveys/paper"};
    for (size_t i = 0; i < COUNT(names); i++) {
        folder tables = folder_read(names[i]);
        struct loaded loaded = load(&tables);
        write(&loaded, names[i], NULL, EARSHOT_JSON);
        earshot_text *text = reported(&tables, EARSHOT_JSON);
        json_t *line = parse(loaded.line), *report = parse(text);
        cr_expect_str_eq(string(line, "schema"), "earshot/checked/1");
        cr_expect_str_eq(string(line, "folder"), names[i]);
        cr_expect_str_eq(string(line, "status"), "ok");
        expect_as_in_report(line, report);
        cr_expect_eq(loaded.n_weak, (size_t)(number(line, "zones") - number(line, "firm")));
        cr_expect(json_is_null(json_object_get(line, "why")));
        cr_expect_eq(earshot_text_size(loaded.why), 0);
        json_decref(line);
        json_decref(report);
        earshot_text_free(text);
        release(&loaded);
        folder_free(&tables);
    }
}

static void put_faults(folder *tables, int n) {
    char paths[1000] = "device,to,length_m\n";
    for (int i = 0; i < n; i++)
        snprintf(paths + strlen(paths), sizeof paths - strlen(paths), "z%d,panel,%dx\n", i, i);
    folder_put(tables, "paths.csv", paths);
}

Test(checked, a_refused_one_has_its_first_five_errors) {
    static const int rows[][2] = {{1, 1}, {5, 5}, {7, 5}}; /* faults, and those shown */
    for (size_t i = 0; i < COUNT(rows); i++) {
        folder tables = {.n = 0};
        char begin[40];
        size_t at;
        json_t *finding;
        put_faults(&tables, rows[i][0]);
        struct loaded loaded = load(&tables);
        cr_assert_null(loaded.survey);
        write(&loaded, "x", NULL, EARSHOT_JSON);
        json_t *line = parse(loaded.line);
        cr_expect_str_eq(string(line, "status"), "refused");
        cr_expect_eq(number(line, "errors"), rows[i][0]);
        cr_expect_eq(json_array_size(json_object_get(line, "findings")), (size_t)rows[i][1]);
        json_array_foreach(json_object_get(line, "findings"), at, finding)
            cr_expect_str_eq(string(finding, "severity"), "error");
        cr_expect(json_is_null(json_object_get(line, "zones")));
        cr_expect(json_is_null(json_object_get(line, "smallest_spare")));
        snprintf(begin, sizeof begin, "%d fault%s; paths.csv:2:10: '0x' is", rows[i][0],
                 rows[i][0] == 1 ? "" : "s");
        cr_expect_eq(strncmp(string(line, "why"), begin, strlen(begin)), 0, "%s",
                     string(line, "why"));
        cr_expect_str_eq(string(line, "why"), earshot_text_data(loaded.why));
        cr_expect_eq(loaded.n_weak, 0);
        json_decref(line);
        release(&loaded);
        folder_free(&tables);
    }
}

/* Line ends, quotes and bytes that are no UTF-8 in a folder's name. */
Test(checked, stays_one_line) {
    folder tables = {.n = 0};
    put_faults(&tables, 1);
    struct loaded loaded = load(&tables);
    write(&loaded, "two\nlines \"x\"", "cannot read 'two\nlines \xff': why", EARSHOT_JSON);
    const char *end = strchr(earshot_text_data(loaded.line), '\n');
    cr_assert_not_null(end);
    cr_expect_eq(end[1], '\0');
    json_t *line = parse(loaded.line);
    cr_expect_str_eq(string(line, "folder"), "two\nlines \"x\"");
    cr_expect_str_eq(string(line, "status"), "unread");
    cr_expect_str_eq(string(line, "why"), "cannot read 'two lines ?': why");
    json_decref(line);
    release(&loaded);
    folder_free(&tables);
}

/* As many cells as the header has, and what a spreadsheet would run is made text. */
Test(checked, a_row_under_its_header) {
    folder tables = folder_read("surveys/paper");
    struct loaded loaded = load(&tables);
    write(&loaded, "=cmd", NULL, EARSHOT_CSV);
    const char *row = earshot_text_data(loaded.line);
    const char *header = earshot_checked_header(EARSHOT_CSV);
    size_t cells = 0, columns = 0;
    for (const char *c = header; *c; c++)
        columns += *c == ',' || *c == '\n';
    for (const char *c = row; *c; c++) /* surveys/paper has no comma in a cell */
        cells += *c == ',' || *c == '\n';
    cr_expect_eq(cells, columns);
    cr_expect_eq(strncmp(row, "\"'=cmd\",Paper house,ok,5,3,1,1,0,1,0,", 37), 0, "%s", row);
    cr_expect_eq(loaded.n_weak, 2);
    cr_expect_str_eq(earshot_checked_header(EARSHOT_JSON), "");
    release(&loaded);
    folder_free(&tables);
}
