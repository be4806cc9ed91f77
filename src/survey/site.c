/* SPDX-License-Identifier: GPL-3.0-or-later */
/* site.c - site.csv: the keys that hold for the whole building, with their defaults.
 *
 * One list of keys {key, limits, default, where the default comes from}; the check, the message
 * and the note about a default used all read it.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

struct site_key {
    const char *key;
    size_t offset; /* of the double in survey_site; NONE: text or handled apart */
    double min, max, otherwise;
    const char *unit, *source;
};

#define AT(field) offsetof(survey_site, field)
static const struct site_key keys[] = {
    {"name", EARSHOT_NONE, 0, 0, 0, NULL, NULL},
    {"country", EARSHOT_NONE, 0, 0, 0, NULL, NULL},
    {"environment", EARSHOT_NONE, 0, 0, 0, NULL, NULL},
    {"wired_zones", EARSHOT_NONE, 0, 0, 0, NULL, NULL},
    {"tables", EARSHOT_NONE, 0, 0, 0, NULL, NULL},
    {"required_margin_db", AT(required_margin_db), 0, 60, 10, "dB",
     "ageing and battery 2, slow change 4, noise rise 2, common practice, no standard"},
    {"life_safety_margin_db", AT(life_safety_margin_db), 0, 60, 14, "dB",
     "4 dB more than the rest, common practice, no standard"},
    {"confidence", AT(confidence), 0.5, 0.999, 0.90, "", "common practice, no source"},
    {"life_safety_confidence", AT(life_safety_confidence), 0.5, 0.999, 0.95, "",
     "common practice, no source"},
    {"pace_m", AT(pace_m), 0.3, 1.5, 0.75, "m", "an adult's walking pace, common practice"},
    {"north_deg", AT(north_deg), -360, 360, 0, "degrees", "north is up"},
};
enum { N_KEYS = sizeof keys / sizeof *keys };

static double *field(survey_site *site, const struct site_key *key) {
    return (double *)(void *)((char *)site + key->offset);
}

static void say_value(survey_load *load, enum findings_code code, const survey_row *row,
                      const char *second, const char *third, const char *fourth) {
    survey_say(
        load, code, row, COLUMN_SITE_VALUE,
        (const char *const[4]){survey_string(row, COLUMN_SITE_VALUE), second, third, fourth});
}

static void set_number(survey_load *load, const survey_row *row, const struct site_key *key) {
    const tables_cell *cell = survey_get(row, COLUMN_SITE_VALUE)->cell;
    double number;
    char low[TEXT_NUMBER_SIZE], high[TEXT_NUMBER_SIZE];
    switch (text_read_number(cell->text, cell->length, row->sheet->decimal, &number)) {
    case TEXT_NUMBER_OK:
        break;
    case TEXT_NUMBER_BLANK:
        return;
    case TEXT_NUMBER_COMMA:
        say_value(load, FINDINGS_DECIMAL_COMMA, row, "", "", "");
        return;
    default:
        say_value(load, FINDINGS_NUMBER_UNREADABLE, row, "", "", "");
        return;
    }
    if (number >= key->min && number <= key->max) {
        *field(&load->survey->site, key) = number;
        return;
    }
    text_write_number(low, key->min);
    text_write_number(high, key->max);
    say_value(load, FINDINGS_OUT_OF_RANGE, row, low, high, key->unit);
}

/* "3" or "1-8": the zone numbers that the site marks as wired. */
static void set_wired(survey_load *load, const survey_row *row) {
    const char *text = survey_string(row, COLUMN_SITE_VALUE);
    const char *dash = strchr(text, '-');
    size_t length = strlen(text), first = dash ? (size_t)(dash - text) : length;
    double low = 0, high = 0;
    bool good = text_read_number(text, first, '.', &low) == TEXT_NUMBER_OK;
    high = low;
    if (dash)
        good = good &&
               text_read_number(dash + 1, length - first - 1, '.', &high) == TEXT_NUMBER_OK;
    if (!good || low < 1 || high > 9999 || low > high || low != floor(low) ||
        high != floor(high)) {
        say_value(load, FINDINGS_WIRED_ZONES_UNREADABLE, row, "", "", "");
        return;
    }
    load->survey->site.wired_low = (unsigned)low;
    load->survey->site.wired_high = (unsigned)high;
}

/* Version 1 of the tables; a newer one may mean things this program does not know. */
static void check_version(survey_load *load, const survey_row *row) {
    if (strcmp(survey_string(row, COLUMN_SITE_VALUE), "1") != 0)
        say_value(load, FINDINGS_TABLES_TOO_NEW, row, "", "", "");
}

static void set_key(survey_load *load, const survey_row *row, const struct site_key *key) {
    survey_site *site = &load->survey->site;
    const char *value = survey_string(row, COLUMN_SITE_VALUE);
    if (key->offset != EARSHOT_NONE)
        set_number(load, row, key);
    else if (value[0] == '\0')
        return;
    else if (strcmp(key->key, "name") == 0)
        site->name = value;
    else if (strcmp(key->key, "country") == 0)
        site->country = value;
    else if (strcmp(key->key, "environment") == 0)
        site->environment = value;
    else if (strcmp(key->key, "wired_zones") == 0)
        set_wired(load, row);
    else
        check_version(load, row);
}

/* A default that decides a verdict is said, so that nobody takes it for a measured fact. */
static void say_default(survey_load *load, const struct site_key *key) {
    char value[TEXT_NUMBER_SIZE];
    text_write_number(value, key->otherwise);
    findings_add(load->findings, FINDINGS_DEFAULT_USED, survey_place(load, SURVEY_TABLE_SITE),
                 (const char *const[4]){key->key, value, key->source});
}

static void set_defaults(survey_load *load, const bool given[N_KEYS]) {
    survey_site *site = &load->survey->site;
    for (size_t i = 0; i < N_KEYS; i++) {
        if (keys[i].offset == EARSHOT_NONE || !isnan(*field(site, &keys[i])))
            continue;
        *field(site, &keys[i]) = keys[i].otherwise;
        bool decides =
            strcmp(keys[i].key, "pace_m") != 0 && strcmp(keys[i].key, "north_deg") != 0;
        if (decides && !given[i])
            say_default(load, &keys[i]);
    }
    if (site->name[0] == '\0')
        site->name = "survey";
}

void survey_build_site(survey_load *load) {
    survey_site *site = &load->survey->site;
    *site = (survey_site){.name = "", .country = "", .environment = ""};
    for (size_t i = 0; i < N_KEYS; i++)
        if (keys[i].offset != EARSHOT_NONE)
            *field(site, &keys[i]) = NAN;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_SITE];
    bool given[N_KEYS] = {false};
    for (size_t i = 0; i < rows->n; i++) {
        const survey_row *row = &rows->rows[i];
        const char *name = survey_string(row, COLUMN_SITE_KEY);
        if (name[0] == '\0')
            continue;
        size_t key = survey_find(name, keys, N_KEYS, sizeof *keys);
        char hint[SURVEY_HINT_SIZE];
        if (key == N_KEYS) {
            survey_hint(hint, name, keys, N_KEYS, sizeof *keys);
            survey_say(load, FINDINGS_SITE_KEY_UNKNOWN, row, COLUMN_SITE_KEY,
                       (const char *const[4]){name, hint});
        } else if (given[key]) {
            survey_say(load, FINDINGS_NAME_TWICE, row, COLUMN_SITE_KEY,
                       (const char *const[4]){name, "key"});
        } else {
            given[key] = true;
            set_key(load, row, &keys[key]);
        }
    }
    set_defaults(load, given);
    load->pace_m = site->pace_m;
}
