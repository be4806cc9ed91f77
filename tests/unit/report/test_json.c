/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_json.c - reports read back by a general-purpose library (jansson), and as CSV and text.
 *
 * The keys are the project's promise to programs: schema earshot/check/1.
 */
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* One report on a folder's tables. */
static earshot_text *report(const folder *tables, enum earshot_form form) {
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    earshot_findings *findings = earshot_findings_new();
    earshot_text *text = earshot_text_new();
    cr_assert_eq(earshot_survey_load(tables->tables, tables->n, findings, &survey), EARSHOT_OK);
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_doubts(survey, belief, findings), EARSHOT_OK);
    cr_assert_eq(earshot_check_write(survey, belief, findings, form, text), EARSHOT_OK);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return text;
}

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
    static const char *const part_keys[] = {"kind", "name", "loss_db", "sd_db", "source"};
    static const char *const finding_keys[] = {"severity", "code",     "file", "line",
                                               "column",   "sentence", "times"};
    folder tables = folder_read("surveys/demo");
    earshot_text *text = report(&tables, EARSHOT_JSON);
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
    earshot_text *text = report(&tables, EARSHOT_JSON);
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
    earshot_text *text = report(&tables, EARSHOT_JSON);
    json_t *json = parse(text), *zone = json_array_get(json_object_get(json, "zones"), 0);
    cr_expect_str_eq(json_string_value(json_object_get(zone, "device")), nasty);
    cr_expect_str_eq(json_string_value(json_object_get(zone, "label")), "two\nlines");
    cr_expect_str_eq(json_string_value(json_object_get(zone, "room")), "\x01\x7F");
    json_decref(json);
    earshot_text_free(text);
    folder_free(&tables);
}

/* A cell that a spreadsheet would run as a formula is made text; the numbers stay numbers. */
Test(csv, formulas_are_harmless) {
    folder tables = folder_read("surveys/paper");
    folder_put(&tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio,label\n"
               "=1+1,sensor,lower,3,3,1,paper-radio,+a\n-b,sensor,lower,3,3,1,paper-radio,@c\n"
               "p,receiver,lower,2,2,1,paper-radio,\n");
    earshot_text *text = report(&tables, EARSHOT_CSV);
    const char *csv = earshot_text_data(text);
    for (size_t i = 0; i + 1 < strlen(csv); i++)
        if (csv[i] == '\n' || csv[i] == ',')
            cr_expect(!strchr("=+@", csv[i + 1]), "%s", csv + i);
    cr_expect_not_null(strstr(csv, "\n\"'=1+1\","));
    cr_expect_not_null(strstr(csv, "\n\"'-b\","));
    earshot_text_free(text);
    folder_free(&tables);
}

/* CSV and JSON say the same numbers with the same words. */
Test(csv, agrees_with_json) {
    folder tables = folder_read("surveys/demo");
    earshot_text *csv = report(&tables, EARSHOT_CSV), *text = report(&tables, EARSHOT_JSON);
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

/* ---- text ---- */

static void expect_opening(const char *devices, const char *paths, const char *opening) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "paths.csv", paths);
    folder_put(&tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,source\nfaint,868.3,-60,made up: won't reach 10 m\n");
    earshot_text *text = report(&tables, EARSHOT_PLAIN);
    cr_expect_eq(strncmp(earshot_text_data(text), opening, strlen(opening)), 0, "%s",
                 earshot_text_data(text));
    earshot_text_free(text);
    folder_free(&tables);
}

Test(plain, opening_sentence) {
    static const char header[] = "device,role,radio,label,type\np,receiver,868-10mw,,\n";
    char devices[600];
    snprintf(devices, sizeof devices, "%sa,sensor,868-10mw,hall,motion\n", header);
    expect_opening(devices, "device,to,length_m\na,p,10\n", "1 of 1 zone firm.\n");
    snprintf(devices, sizeof devices,
             "%sa,sensor,868-10mw,hall,motion\nb,sensor,faint,garden room,motion\n"
             "c,sensor,868-10mw,cellar pump,flood\n",
             header);
    expect_opening(devices, "device,to,length_m\na,p,10\nb,p,20\nc,p,10\n",
                   "2 of 3 zones firm. Garden room won't reach.\n");
    /* life safety first, though it is the nearer of the two */
    snprintf(devices, sizeof devices,
             "%sa,sensor,868-10mw,hall,motion\nb,sensor,faint,garden room,motion\n"
             "c,sensor,faint,cellar pump,flood\n",
             header);
    expect_opening(
        devices, "device,to,length_m\na,p,10\nb,p,20\nc,p,9\n",
        "1 of 3 zones firm. Cellar pump (life safety) won't reach. Garden room won't "
        "reach.\n");
}

/* More than a third in doubt: the answers that would settle most come first. */
Test(plain, opens_with_questions_when_much_is_thin) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(
        &tables, "devices.csv",
        "device,role,radio\np,receiver,868-10mw\na,sensor,868-10mw\nb,sensor,868-10mw\n");
    folder_put(&tables, "paths.csv",
               "device,to,length_m,crossings\na,p,60,\"foil,foil,foil\"\nb,p,10,\n");
    earshot_text *text = report(&tables, EARSHOT_PLAIN);
    cr_expect_not_null(strstr(earshot_text_data(text), "These answers would settle most"));
    cr_expect_not_null(strstr(earshot_text_data(text), "1. what 'foil-insulation' really is"));
    earshot_text_free(text);
    folder_put(&tables, "paths.csv", "device,to,length_m,crossings\na,p,10,\nb,p,10,\n");
    text = report(&tables, EARSHOT_PLAIN);
    cr_expect_null(strstr(earshot_text_data(text), "These answers"));
    earshot_text_free(text);
    folder_free(&tables);
}

/* Seven lines at most, whatever is asked. */
Test(plain, reach_has_seven_lines_at_most) {
    static const char *const sets[][6] = {{"12m"},
                                          {"12m", "brick", "brick", "floor"},
                                          {"60m", "office", "concrete", "window", "door", "?"},
                                          {"400m", "cladding", "foil", "elevator", "345-us"},
                                          {"3m", "inside-metal", "868-fob"}};
    static const struct {
        const char *claim;
        unsigned heard, trips;
    } trips[] = {{NULL, 0, 0}, {"500m", 0, 0}, {NULL, 10, 10}, {NULL, 5, 10}, {"90m", 0, 10}};
    for (size_t i = 0; i < COUNT(sets); i++)
        for (size_t j = 0; j < COUNT(trips); j++) {
            earshot_reach reach = {.words = sets[i],
                                   .rated_range = trips[j].claim,
                                   .heard = trips[j].heard,
                                   .trips = trips[j].trips};
            earshot_findings *findings = earshot_findings_new();
            earshot_text *text = earshot_text_new();
            earshot_survey *survey = NULL;
            earshot_belief *belief = NULL;
            size_t n_lines = 0;
            while (reach.n_words < 6 && sets[i][reach.n_words])
                reach.n_words++;
            cr_assert_eq(earshot_survey_new(&reach, NULL, 0, findings, &survey), EARSHOT_OK);
            cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
            cr_assert_eq(earshot_reach_write(survey, belief, findings, EARSHOT_PLAIN, text),
                         EARSHOT_OK);
            for (const char *at = earshot_text_data(text); *at; at++)
                n_lines += *at == '\n';
            cr_expect(n_lines >= 5 && n_lines <= 7, "%zu lines:\n%s", n_lines,
                      earshot_text_data(text));
            earshot_text_free(text);
            text = earshot_text_new();
            cr_assert_eq(earshot_reach_write(survey, belief, findings, EARSHOT_JSON, text),
                         EARSHOT_OK);
            json_decref(parse(text));
            earshot_text_free(text);
            earshot_belief_free(belief);
            earshot_survey_free(survey);
            earshot_findings_free(findings);
        }
}
