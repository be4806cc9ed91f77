/* SPDX-License-Identifier: GPL-3.0-or-later */
/* site.c - site.csv: the keys that hold for the whole building, with their defaults.
 *
 * One list of keys {key, limits, where the default comes from}; the check, the message and the
 * note about a default used all read it.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

struct site_key {
    const char *key;
    size_t offset; /* of the double in survey_site; NONE: handled apart */
    size_t text;   /* of the string there that it fills as it is; NONE: not so */
    double min, max;
    const char *unit;
    enum survey_column preset; /* where its default comes from; SURVEY_N_COLUMNS: from below */
    double otherwise;
    const char *about; /* for somebody who fills the table in */
};

#define AT(field) offsetof(survey_site, field), EARSHOT_NONE
#define PLAIN(field) EARSHOT_NONE, offsetof(survey_site, field), 0, 0, NULL, SURVEY_N_COLUMNS, 0
#define APART EARSHOT_NONE, EARSHOT_NONE, 0, 0, NULL, SURVEY_N_COLUMNS, 0
static const struct site_key keys[] = {
    {"name", PLAIN(name), "what the building is called"},
    {"country", PLAIN(country), "two letters (IE, US); its transmit limits are compared"},
    {"environment", PLAIN(environment), "a row of environments.csv (dwelling, office, ...)"},
    {"use", PLAIN(use), "a row of margins.csv: what is kept in hand for the years"},
    {"surroundings", APART, "noise outside: city, residential, rural or quiet rural"},
    {"wired_zones", APART, "zone numbers that are wired and not judged, like 1-8, 17, 20-24"},
    {"tables", APART, "version of these tables; leave it at 1"},
    {"not_relayed", APART, "types that a repeater does not pass on, like smoke, co"},
    {"length_unit", APART, "of lengths whose column says none: m, cm, mm, ft, in or paces"},
    {"required_margin_db", AT(required_margin_db), 0, 60, "dB", COLUMN_MARGINS_REQUIRED, 0,
     "blank: by use"},
    {"life_safety_margin_db", AT(life_safety_margin_db), 0, 60, "dB",
     COLUMN_MARGINS_LIFE_SAFETY, 0, "blank: by use"},
    {"confidence", AT(confidence), 0.5, 0.999, NULL, COLUMN_MARGINS_CONFIDENCE, 0,
     "how sure a zone must be; blank: by use"},
    {"life_safety_confidence", AT(life_safety_confidence), 0.5, 0.999, NULL,
     COLUMN_MARGINS_LIFE_SAFETY_CONFIDENCE, 0, "blank: by use"},
    /* common practice, no source */
    {"pace_m", AT(pace_m), 0.3, 1.5, "m", SURVEY_N_COLUMNS, 0.75, "your step; blank: 0.75"},
    {"north_deg", AT(north_deg), -360, 360, "degrees", SURVEY_N_COLUMNS, 0,
     "of the plan's y, clockwise; blank: 0"},
    {"zones_per_repeater", AT(zones_per_repeater), 1, 1000, "zones", SURVEY_N_COLUMNS, INFINITY,
     "the most that one repeater passes on, as its maker says; blank: no limit"},
    {"company", PLAIN(company), "who answers for the system; for the reports"},
    {"phone", PLAIN(phone), "whom the customer calls; for the reports"},
    {"technician", PLAIN(technician), "who made the survey; for the reports"},
    {"competence", PLAIN(competence), "a license or a certificate; for the reports"},
    {"meter", PLAIN(meter), "what levels were read with; for the reports"},
    {"decisions", PLAIN(decisions), "what was decided with the customer; for the reports"},
};
#undef AT
#undef PLAIN
#undef APART
enum { N_KEYS = sizeof keys / sizeof *keys };

static const char **text_field(survey_site *site, const struct site_key *key) {
    return (const char **)(void *)((char *)site + key->text);
}

static double *field(survey_site *site, const struct site_key *key) {
    return (double *)(void *)((char *)site + key->offset);
}

static void say_value(survey_load *load, enum findings_code code, const survey_row *row,
                      const char *second, const char *third) {
    survey_say(load, code, row, COLUMN_SITE_VALUE,
               (const char *const[4]){survey_string(row, COLUMN_SITE_VALUE), second, third});
}

static void set_number(survey_load *load, const survey_row *row, const struct site_key *key) {
    bool length = key->unit && strcmp(key->unit, "m") == 0;
    const survey_column_kind wanted = {.name = key->key,
                                       .kind = length ? SURVEY_LENGTH : SURVEY_NUMBER,
                                       .min = key->min,
                                       .max = key->max,
                                       .unit = key->unit};
    if (!survey_blank(row, COLUMN_SITE_VALUE))
        survey_read_value(load, row, COLUMN_SITE_VALUE, &wanted,
                          field(&load->survey->site, key));
}

static bool take_zone(const char **at, unsigned *zone) {
    size_t length = strspn(*at, "0123456789");
    double number = 0;
    if (text_read_number(*at, length, '.', &number) != TEXT_NUMBER_OK || number < 1 ||
        number > 9999)
        return false;
    *zone = (unsigned)number;
    *at += length;
    return true;
}

/* "3" or "1-8", up to what parts it from the next. A dash may have blanks around it, and be the
 * longer one that office programs make of it. */
static bool take_wired(const char **at, survey_wired *wired) {
    static const char en_dash[] = "\xE2\x80\x93";
    if (!take_zone(at, &wired->low))
        return false;
    wired->high = wired->low;
    const char *dash = *at + strspn(*at, " \t");
    size_t length = *dash == '-' ? 1 : strncmp(dash, en_dash, 3) == 0 ? 3 : 0;
    if (length) {
        *at = dash + length;
        *at += strspn(*at, " \t");
        if (!take_zone(at, &wired->high) || wired->high < wired->low)
            return false;
    }
    return **at == '\0' || strchr(",; \t", **at);
}

/* The part between commas or semicolons, which may be several words. */
static void say_wired_unreadable(survey_load *load, const survey_row *row, const char *part) {
    const char *text = survey_string(row, COLUMN_SITE_VALUE);
    char shown[SURVEY_HINT_SIZE] = "";
    while (part > text && !strchr(",;", part[-1]))
        part--;
    part += strspn(part, " \t");
    size_t length = strcspn(part, ",;");
    while (length > 0 && part[length - 1] == ' ')
        length--;
    size_t fits = length < sizeof shown ? length : sizeof shown - 1;
    memcpy(shown, part, text_utf8_valid(part, fits));
    survey_say(load, FINDINGS_WIRED_ZONES_UNREADABLE, row, COLUMN_SITE_VALUE,
               (const char *const[4]){shown});
}

/* "1-8, 17, 20-24": the zone numbers that the site marks as wired. */
static void set_wired(survey_load *load, const survey_row *row) {
    static const char *const between = ",; \t";
    const char *at = survey_string(row, COLUMN_SITE_VALUE);
    survey_wired *wired = survey_take(load->survey->storage, strlen(at) / 2 + 1, sizeof *wired);
    size_t n = 0;
    if (!wired)
        return;
    for (at += strspn(at, between); *at; at += strspn(at, between)) {
        const char *part = at;
        if (!take_wired(&at, &wired[n++])) {
            say_wired_unreadable(load, row, part);
            return;
        }
    }
    load->survey->site.wired = wired;
    load->survey->site.n_wired = n;
}

static void set_surroundings(survey_load *load, const survey_row *row) {
    static const char *const words[] = {"city", "residential", "rural", "quiet rural"};
    const char *value = survey_string(row, COLUMN_SITE_VALUE);
    size_t found = survey_find(value, words, SURVEY_NO_SURROUNDINGS, sizeof *words);
    char hint[SURVEY_HINT_SIZE];
    load->survey->site.surroundings = (enum survey_surroundings)found;
    if (found < SURVEY_NO_SURROUNDINGS)
        return;
    survey_hint(hint, value, words, SURVEY_NO_SURROUNDINGS, sizeof *words);
    say_value(load, FINDINGS_CHOICE_UNKNOWN, row, "surroundings", hint);
}

/* "smoke, co": types, at commas, semicolons or blanks. */
static void set_not_relayed(survey_load *load, const survey_row *row) {
    static const char *const between = ",; \t";
    const char *at = survey_string(row, COLUMN_SITE_VALUE);
    for (at += strspn(at, between); *at; at += strspn(at, between)) {
        char word[SURVEY_HINT_SIZE] = "", hint[SURVEY_HINT_SIZE];
        size_t length = strcspn(at, between);
        memcpy(word, at, length < sizeof word ? length : sizeof word - 1);
        size_t type = survey_type_called(word);
        if (type < SURVEY_N_TYPES) {
            load->survey->site.not_relayed |= 1u << type;
        } else {
            survey_hint(hint, word, survey_types, SURVEY_N_TYPES, sizeof *survey_types);
            survey_say(load, FINDINGS_CHOICE_UNKNOWN, row, COLUMN_SITE_VALUE,
                       (const char *const[4]){word, "not_relayed", hint});
        }
        at += length;
    }
}

/* Of columns whose header says none. */
static void set_length_unit(survey_load *load, const survey_row *row) {
    const char *value = survey_string(row, COLUMN_SITE_VALUE);
    load->length_unit = survey_unit_called(value, strlen(value));
    if (!load->length_unit)
        say_value(load, FINDINGS_CHOICE_UNKNOWN, row, "length_unit",
                  "write m, cm, mm, ft, in or paces");
}

/* Version 1 of the tables; a newer one may mean things this program does not know. */
static void check_version(survey_load *load, const survey_row *row) {
    if (strcmp(survey_string(row, COLUMN_SITE_VALUE), "1") != 0)
        say_value(load, FINDINGS_TABLES_TOO_NEW, row, "", "");
}

static void set_key(survey_load *load, const survey_row *row, const struct site_key *key) {
    const char *value = survey_string(row, COLUMN_SITE_VALUE);
    if (key->offset != EARSHOT_NONE)
        set_number(load, row, key);
    else if (key->text != EARSHOT_NONE)
        *text_field(&load->survey->site, key) = value;
    else if (value[0] == '\0')
        return;
    else if (strcmp(key->key, "surroundings") == 0)
        set_surroundings(load, row);
    else if (strcmp(key->key, "wired_zones") == 0)
        set_wired(load, row);
    else if (strcmp(key->key, "not_relayed") == 0)
        set_not_relayed(load, row);
    else if (strcmp(key->key, "length_unit") == 0)
        set_length_unit(load, row);
    else
        check_version(load, row);
}

/* The keys whose defaults are here, not in a table. */
static void set_plain_defaults(survey_site *site) {
    for (size_t i = 0; i < N_KEYS; i++)
        if (keys[i].offset != EARSHOT_NONE && keys[i].preset == SURVEY_N_COLUMNS &&
            isnan(*field(site, &keys[i])))
            *field(site, &keys[i]) = keys[i].otherwise;
    if (site->name[0] == '\0')
        site->name = "survey";
}

/* The row of margins.csv for the site's use; the first when it names none. */
static const survey_row *preset_row(survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_MARGINS];
    const char *use = load->survey->site.use;
    for (size_t i = 0; i < rows->n; i++)
        if (use[0] == '\0' ||
            survey_same_word(use, survey_string(&rows->rows[i], COLUMN_MARGINS_USE)))
            return &rows->rows[i];
    return NULL;
}

const survey_row *survey_site_row(const survey_load *load, const char *key) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_SITE];
    for (size_t i = 0; i < rows->n; i++)
        if (tables_same_name(survey_string(&rows->rows[i], COLUMN_SITE_KEY), key))
            return &rows->rows[i];
    return NULL;
}

static void say_use_unknown(survey_load *load) {
    const survey_row *row = survey_site_row(load, "use");
    char hint[SURVEY_HINT_SIZE];
    survey_hint_at(load, row, COLUMN_SITE_VALUE, hint, load->survey->site.use,
                   load->tables[SURVEY_TABLE_MARGINS].names);
    say_value(load, FINDINGS_CHOICE_UNKNOWN, row, "use", hint);
}

/* The site gives a value that could not be read, or could not be read itself: to say that a
 * default was used would be wrong. */
static bool tried(const survey_load *load, const char *key) {
    const survey_row *row = survey_site_row(load, key);
    return load->broken[SURVEY_TABLE_SITE] || (row && !survey_blank(row, COLUMN_SITE_VALUE));
}

/* At the low end of its limits a margin keeps nothing, and a confidence asks for no more than a
 * coin does. */
static void check_kept(survey_load *load, const struct site_key *key,
                       const survey_row *preset) {
    double value = *field(&load->survey->site, key);
    const survey_row *row = survey_site_row(load, key->key);
    enum findings_code code = key->unit ? FINDINGS_NOTHING_KEPT : FINDINGS_AS_A_COIN;
    char written[TEXT_NUMBER_SIZE];
    text_write_number(written, value);
    const char *const slots[4] = {key->key, written};
    if (value > key->min || survey_row_bad(preset))
        return;
    if (row && !survey_blank(row, COLUMN_SITE_VALUE))
        survey_say(load, code, row, COLUMN_SITE_VALUE, slots);
    else
        survey_say(load, code, preset, key->preset, slots);
}

/* What the site leaves open is kept as its use asks; where no use is named, that is said, so
 * that nobody takes it for a measured fact. */
void survey_build_margins(survey_load *load) {
    survey_site *site = &load->survey->site;
    const survey_row *row = preset_row(load);
    bool by_preset = false;
    if (!row) {
        if (!load->broken[SURVEY_TABLE_MARGINS])
            say_use_unknown(load);
        return;
    }
    for (size_t i = 0; i < N_KEYS; i++) {
        if (keys[i].preset == SURVEY_N_COLUMNS)
            continue;
        if (isnan(*field(site, &keys[i]))) {
            *field(site, &keys[i]) = survey_number(row, keys[i].preset, 0);
            by_preset = by_preset || !tried(load, keys[i].key);
        }
        check_kept(load, &keys[i], row);
    }
    if (by_preset && site->use[0] == '\0' && !tried(load, "use"))
        findings_add(load->findings, FINDINGS_DEFAULT_USED,
                     survey_place(load, SURVEY_TABLE_SITE),
                     (const char *const[4]){"use", survey_string(row, COLUMN_MARGINS_USE),
                                            survey_string(row, COLUMN_MARGINS_SOURCE)});
}

const char *survey_site_key(size_t i, const char **about) {
    *about = i < N_KEYS ? keys[i].about : NULL;
    return i < N_KEYS ? keys[i].key : NULL;
}

/* A new survey has in its notes what the keys are for; that is nobody's remark. */
static void keep_remark(survey_load *load, const survey_row *row, const struct site_key *key) {
    earshot_survey *survey = load->survey;
    const char *note = survey_string(row, COLUMN_SITE_NOTE);
    if (survey->remarks && note[0] && strcmp(note, key->about) != 0)
        survey->remarks[survey->n_remarks++] =
            (survey_remark){key->key, survey_string(row, COLUMN_SITE_VALUE), note};
}

static void read_key(survey_load *load, const survey_row *row, bool given[N_KEYS]) {
    const char *name = survey_string(row, COLUMN_SITE_KEY);
    char hint[SURVEY_HINT_SIZE];
    size_t key = 0;
    while (key < N_KEYS && !tables_same_name(name, keys[key].key))
        key++;
    if (name[0] == '\0')
        return;
    if (key == N_KEYS) {
        survey_hint(hint, name, keys, N_KEYS, sizeof *keys);
        survey_say(load, FINDINGS_SITE_KEY_UNKNOWN, row, COLUMN_SITE_KEY,
                   (const char *const[4]){name, hint});
    } else if (given[key]) {
        survey_say(load, FINDINGS_NAME_TWICE, row, COLUMN_SITE_KEY,
                   (const char *const[4]){name, "key"});
    } else {
        given[key] = true;
        keep_remark(load, row, &keys[key]);
        set_key(load, row, &keys[key]);
    }
}

void survey_build_site(survey_load *load) {
    survey_site *site = &load->survey->site;
    *site = (survey_site){.surroundings = SURVEY_NO_SURROUNDINGS};
    for (size_t i = 0; i < N_KEYS; i++)
        if (keys[i].offset != EARSHOT_NONE)
            *field(site, &keys[i]) = NAN;
        else if (keys[i].text != EARSHOT_NONE)
            *text_field(site, &keys[i]) = "";
    const survey_rows *rows = &load->tables[SURVEY_TABLE_SITE];
    bool given[N_KEYS] = {false};
    load->survey->remarks =
        survey_take(load->survey->storage, N_KEYS, sizeof *load->survey->remarks);
    for (size_t i = 0; i < rows->n; i++)
        read_key(load, &rows->rows[i], given);
    set_plain_defaults(site);
    load->pace_m = site->pace_m;
}

double survey_asked_db(const earshot_survey *survey, bool life_safety) {
    return life_safety ? survey->site.life_safety_margin_db : survey->site.required_margin_db;
}

double survey_confidence(const earshot_survey *survey, bool life_safety) {
    return life_safety ? survey->site.life_safety_confidence : survey->site.confidence;
}
