/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_json.c - reports as JSON, read back by a general-purpose library (jansson).
 *
 * The keys are the project's promise to programs: schema earshot/check/1.
 */
#include "earshot/earshot.h"
#include "reported.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static json_t *parse(const earshot_text *text) {
    json_error_t error;
    json_t *json = json_loadb(earshot_text_data(text), earshot_text_size(text),
                              JSON_REJECT_DUPLICATES, &error);
    cr_assert_not_null(json, "%s at %d:%d", error.text, error.line, error.column);
    return json;
}

static void expect_keys(const json_t *object, const char *const *keys, size_t n) {
    for (size_t i = 0; i < n; i++)
        cr_expect_not_null(json_object_get(object, keys[i]), "%s", keys[i]);
}

Test(json, keys_of_the_schema) {
    static const char *const top[] = {"schema", "version", "survey",
                                      "links",  "zones",   "findings"};
    static const char *const link_keys[] = {"device",
                                            "listener",
                                            "distance_m",
                                            "loss_db",
                                            "rx_power_dbm",
                                            "expected_reading",
                                            "reading_sd_db",
                                            "needed_dbm",
                                            "margin_db",
                                            "margin_sd_db",
                                            "required_margin_db",
                                            "spare_db",
                                            "chance",
                                            "verdict",
                                            "basis",
                                            "parts"};
    static const char *const zone_keys[] = {"device",   "zone",         "label",    "room",
                                            "type",     "life_safety",  "listener", "margin_db",
                                            "spare_db", "margin_sd_db", "chance",   "verdict",
                                            "basis",    "cause",        "try"};
    static const char *const part_keys[] = {"kind", "name", "loss_db", "sd_db", "source"};
    static const char *const finding_keys[] = {"severity", "code",     "file", "line",
                                               "column",   "sentence", "times"};
    folder tables = folder_read("surveys/demo");
    earshot_text *text = reported(&tables, EARSHOT_JSON);
    json_t *json = parse(text), *row, *part;
    size_t i, j;
    expect_keys(json, top, COUNT(top));
    cr_expect_str_eq(json_string_value(json_object_get(json, "schema")), "earshot/check/1");
    cr_expect_str_eq(json_string_value(json_object_get(json, "version")), earshot_version());
    cr_expect_gt(json_array_size(json_object_get(json, "links")), 20);
    json_array_foreach(json_object_get(json, "links"), i, row) {
        double sum = 0;
        expect_keys(row, link_keys, COUNT(link_keys));
        json_array_foreach(json_object_get(row, "parts"), j, part) {
            expect_keys(part, part_keys, COUNT(part_keys));
            sum += json_number_value(json_object_get(part, "loss_db"));
        }
        /* nine decimals each: half a unit of the last per part */
        cr_expect_float_eq(sum, json_number_value(json_object_get(row, "loss_db")), 1e-8);
        cr_expect_float_eq(json_number_value(json_object_get(row, "margin_db")),
                           json_number_value(json_object_get(row, "rx_power_dbm")) -
                               json_number_value(json_object_get(row, "needed_dbm")),
                           2e-9);
        cr_expect_float_eq(json_number_value(json_object_get(row, "spare_db")),
                           json_number_value(json_object_get(row, "margin_db")) -
                               json_number_value(json_object_get(row, "required_margin_db")),
                           2e-9);
    }
    json_array_foreach(json_object_get(json, "zones"), i, row)
        expect_keys(row, zone_keys, COUNT(zone_keys));
    json_array_foreach(json_object_get(json, "findings"), i, row)
        expect_keys(row, finding_keys, COUNT(finding_keys));
    json_decref(json);
    earshot_text_free(text);
    folder_free(&tables);
}

/* The expected reading's doubt: what the received power doubts, and on top session 2 dB and
 * meter 3 dB, without the listener's need (2 dB). So its square is the margin's and 4 + 9 - 4
 * more. */
Test(json, reading_sd) {
    folder tables = folder_read("surveys/demo");
    earshot_text *text = reported(&tables, EARSHOT_JSON);
    json_t *json = parse(text), *row;
    size_t i;
    json_array_foreach(json_object_get(json, "links"), i, row) {
        double margin = json_number_value(json_object_get(row, "margin_sd_db"));
        double reading = json_number_value(json_object_get(row, "reading_sd_db"));
        cr_expect_float_eq(reading * reading, margin * margin + 4 + 9 - 4, 1e-6);
    }
    json_decref(json);
    earshot_text_free(text);
    folder_free(&tables);
}

static const char nasty[] = "quote \" back\\slash, comma; \xC3\xBC \xE2\x82\xAC <b> & 'x' {}";

Test(json, any_text_comes_back) {
    char devices[400];
    folder tables = folder_read("surveys/paper");
    snprintf(
        devices, sizeof devices,
        "device,role,level,x_m,y_m,height_m,radio,label,room\n"
        "\"quote \"\" back\\slash, comma; \xC3\xBC \xE2\x82\xAC <b> & 'x' {}\",sensor,lower,"
        "3,3,1,paper-radio,\"two\nlines\",\"\x01\x7F\"\np,receiver,lower,2,2,1,"
        "paper-radio,,\n");
    folder_put(&tables, "devices.csv", devices);
    earshot_text *text = reported(&tables, EARSHOT_JSON);
    json_t *json = parse(text), *zone = json_array_get(json_object_get(json, "zones"), 0);
    cr_expect_str_eq(json_string_value(json_object_get(zone, "device")), nasty);
    cr_expect_str_eq(json_string_value(json_object_get(zone, "label")), "two\nlines");
    cr_expect_str_eq(json_string_value(json_object_get(zone, "room")), "\x01\x7F");
    json_decref(json);
    earshot_text_free(text);
    folder_free(&tables);
}

/* CSV and JSON say the same numbers with the same words. */
Test(csv, agrees_with_json) {
    folder tables = folder_read("surveys/demo");
    earshot_text *csv = reported(&tables, EARSHOT_CSV), *text = reported(&tables, EARSHOT_JSON);
    json_t *json = parse(text), *link;
    char line[2000], *save, *cells[40], *names[40], header[1000];
    const char *at = earshot_text_data(csv);
    size_t n_names = 0, i;
    snprintf(header, sizeof header, "%.*s", (int)strcspn(at, "\n"), at);
    for (char *cell = strtok_r(header, ",", &save); cell; cell = strtok_r(NULL, ",", &save))
        names[n_names++] = cell;
    json_array_foreach(json_object_get(json, "links"), i, link) {
        at = strchr(at, '\n') + 1;
        snprintf(line, sizeof line, "%.*s", (int)strcspn(at, "\n"), at);
        size_t n = 0;
        for (char *cell = line; cell; cell = strchr(cell, ',') ? strchr(cell, ',') + 1 : NULL)
            cells[n++] = cell;
        cr_assert_eq(n, n_names, "%s", line);
        for (size_t j = 0; j < n; j++) {
            json_t *value = json_object_get(link, names[j]);
            if (json_is_number(value))
                cr_expect_float_eq(strtod(cells[j], NULL), json_number_value(value), 1e-9, "%s",
                                   names[j]);
            else if (json_is_null(value))
                cr_expect(cells[j][0] == ',' || !cells[j][0], "%s", names[j]);
            else if (value)
                cr_expect_eq(strncmp(cells[j], json_string_value(value),
                                     strlen(json_string_value(value))),
                             0, "%s", names[j]);
        }
    }
    json_decref(json);
    earshot_text_free(text);
    earshot_text_free(csv);
    folder_free(&tables);
}

static bool among(const json_t *value, const char *const *words, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (json_is_string(value) && strcmp(json_string_value(value), words[i]) == 0)
            return true;
    return false;
}

/* Words that programs branch on, as link.h and findings.h promise them. */
Test(json, words_of_the_schema) {
    static const char *const verdicts[] = {"firm", "thin", "out", "not judged"};
    static const char *const bases[] = {"predicted", "corrected", "read in place"};
    static const char *const kinds[] = {"first meter", "distance",        "wall",
                                        "door",        "window",          "ways round",
                                        "floor",       "floors together", "mount"};
    static const char *const surveys[] = {"surveys/demo", "surveys/no-plan", "surveys/paper"};
    for (size_t s = 0; s < COUNT(surveys); s++) {
        folder tables = folder_read(surveys[s]);
        earshot_text *text = reported(&tables, EARSHOT_JSON);
        json_t *json = parse(text), *row, *part;
        size_t i, j;
        json_array_foreach(json_object_get(json, "links"), i, row) {
            cr_expect(among(json_object_get(row, "verdict"), verdicts, COUNT(verdicts)));
            cr_expect(among(json_object_get(row, "basis"), bases, COUNT(bases)));
            json_array_foreach(json_object_get(row, "parts"), j, part)
                cr_expect(among(json_object_get(part, "kind"), kinds, COUNT(kinds)));
        }
        json_array_foreach(json_object_get(json, "zones"), i, row) {
            cr_expect(among(json_object_get(row, "verdict"), verdicts, COUNT(verdicts)));
            cr_expect(json_is_boolean(json_object_get(row, "life_safety")));
        }
        json_decref(json);
        earshot_text_free(text);
        folder_free(&tables);
    }
}

/* What is not known is null, never a number that could be taken for one. */
Test(json, what_is_not_known_is_null) {
    static const char *const keys[] = {"distance_m", "loss_db",  "rx_power_dbm",
                                       "margin_db",  "spare_db", "chance"};
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n");
    folder_put(&tables, "devices.csv",
               "device,role,x_m,y_m,height_m,radio\ns,sensor,,,1,868-10mw\n"
               "p,receiver,10,0,1,868-10mw\n");
    earshot_text *text = reported(&tables, EARSHOT_JSON);
    json_t *json = parse(text), *link = json_array_get(json_object_get(json, "links"), 0);
    for (size_t i = 0; i < COUNT(keys); i++)
        cr_expect(json_is_null(json_object_get(link, keys[i])), "%s", keys[i]);
    cr_expect_str_eq(json_string_value(json_object_get(link, "verdict")), "not judged");
    cr_expect_eq(json_array_size(json_object_get(link, "parts")), 0);
    json_decref(json);
    earshot_text_free(text);
    folder_free(&tables);
}

/* A survey that cannot be loaded: its findings alone, with every value as in the list. */
Test(json, findings_of_a_broken_survey) {
    static const char devices[] = "device,role,radio\n\"a \"\"b\"\"\",sensor,868-10mww\n"
                                  "a,sensr,868-10mw\n";
    const earshot_bytes table = {"devices.csv", devices, sizeof devices - 1};
    earshot_findings *findings = earshot_findings_new();
    earshot_text *text = earshot_text_new();
    earshot_survey *survey = NULL;
    cr_assert_eq(earshot_survey_load(&table, 1, findings, &survey), EARSHOT_INVALID);
    /* a path in ISO 8859-1; [RFC 8259] sec. 8.1: JSON is UTF-8, and U+FFFD is what Unicode has
     * for what is not */
    cr_assert_eq(
        earshot_findings_write("broken \"house\" gr\xFCn\xC2", findings, EARSHOT_JSON, text),
        EARSHOT_OK);
    json_t *json = parse(text), *rows = json_object_get(json, "findings"), *row;
    size_t i;
    cr_expect_str_eq(json_string_value(json_object_get(json, "schema")), "earshot/check/1");
    cr_expect_str_eq(json_string_value(json_object_get(json, "survey")),
                     "broken \"house\" gr\xEF\xBF\xBDn\xEF\xBF\xBD");
    cr_assert_eq(json_array_size(rows), earshot_findings_count(findings));
    cr_expect_geq(earshot_findings_errors(findings), 2);
    json_array_foreach(rows, i, row) {
        earshot_finding finding = earshot_findings_at(findings, i);
        cr_expect_str_eq(json_string_value(json_object_get(row, "severity")),
                         finding.severity == EARSHOT_ERROR ? "error" : "note");
        cr_expect_str_eq(json_string_value(json_object_get(row, "code")), finding.code);
        cr_expect_str_eq(json_string_value(json_object_get(row, "file")), finding.file);
        cr_expect_str_eq(json_string_value(json_object_get(row, "sentence")), finding.sentence);
        cr_expect_eq(json_integer_value(json_object_get(row, "line")), finding.line);
        cr_expect_eq(json_integer_value(json_object_get(row, "column")), finding.column);
        cr_expect_eq(json_integer_value(json_object_get(row, "times")), finding.times);
    }
    json_decref(json);
    earshot_text_free(text);
    earshot_findings_free(findings);
}

/* One link from words and one of a survey, each with its own schema. */
Test(json, other_reports) {
    static const char *const words[] = {"12m", "brick", "timber", "floor"};
    const earshot_reach reach = {.words = words, .n_words = 4, .heard = 8, .trips = 10};
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    earshot_link link;
    cr_assert_eq(earshot_survey_new(&reach, NULL, 0, findings, &survey), EARSHOT_OK);
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, &link, 1), 1);
    for (int ledger = 0; ledger < 2; ledger++) {
        earshot_text *text = earshot_text_new();
        cr_assert_eq(ledger ? earshot_ledger_write(survey, belief, &link, EARSHOT_JSON, text)
                            : earshot_reach_write(survey, belief, findings, EARSHOT_JSON, text),
                     EARSHOT_OK);
        json_t *json = parse(text), *part;
        size_t i;
        double sum = 0;
        cr_expect_str_eq(json_string_value(json_object_get(json, "schema")),
                         ledger ? "earshot/link/1" : "earshot/reach/1");
        json_array_foreach(json_object_get(json, "parts"), i, part) sum +=
            json_number_value(json_object_get(part, "loss_db"));
        cr_expect_float_eq(sum, json_number_value(json_object_get(json, "loss_db")), 1e-8);
        json_decref(json);
        earshot_text_free(text);
    }
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
}

/* A link that is hardly ever heard loses supervision once and stays lost, so its false losses
 * are few again; the worst tenth of such links is worse than the middle all the same. */
Test(json, the_worst_tenth_is_never_the_better) {
    static const char *const words[] = {"1m",
                                        "30m brick brick",
                                        "60m 5 concrete",
                                        "150m 4 concrete",
                                        "150m 5 concrete",
                                        "400m cladding cladding",
                                        "4000m 5 cladding"};
    for (size_t i = 0; i < COUNT(words); i++) {
        const earshot_reach reach = {.words = &words[i], .n_words = 1};
        earshot_findings *findings = earshot_findings_new();
        earshot_text *text = earshot_text_new();
        earshot_survey *survey = NULL;
        earshot_belief *belief = NULL;
        earshot_link link;
        cr_assert_eq(earshot_survey_new(&reach, NULL, 0, findings, &survey), EARSHOT_OK);
        cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
        cr_assert_eq(earshot_survey_links(survey, &link, 1), 1);
        cr_assert_eq(earshot_ledger_write(survey, belief, &link, EARSHOT_JSON, text),
                     EARSHOT_OK);
        json_t *json = parse(text);
        static const char *const pairs[][2] = {
            {"missed_alarm", "missed_alarm_worst_tenth"},
            {"false_losses_per_year", "false_losses_per_year_worst_tenth"}};
        for (size_t j = 0; j < COUNT(pairs); j++)
            cr_expect_geq(json_number_value(json_object_get(json, pairs[j][1])),
                          json_number_value(json_object_get(json, pairs[j][0])), "%s: %s",
                          words[i], pairs[j][0]);
        json_decref(json);
        earshot_text_free(text);
        earshot_belief_free(belief);
        earshot_survey_free(survey);
        earshot_findings_free(findings);
    }
}
