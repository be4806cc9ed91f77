/* SPDX-License-Identifier: GPL-3.0-or-later */
/* words.c - "12m brick brick floor" to a survey of one link.
 *
 * The words become the same tables that a survey folder holds, a devices row each for sensor
 * and receiver and a path row between them, and those are loaded like any other: there is no
 * second way to an answer. Words come in any order and need no quotes; a name of several words
 * ("timber floor") is tried longest first.
 */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "rows.h"
#include "text.h"

static const struct {
    const char *word;
    double meters; /* 0: the pace of the site */
} units[] = {{"m", 1},       {"meter", 1},     {"meters", 1},     {"metre", 1},
             {"metres", 1},  {"ft", 0.3048},   {"foot", 0.3048},  {"feet", 0.3048},
             {"yd", 0.9144}, {"yard", 0.9144}, {"yards", 0.9144}, {"cm", 0.01},
             {"mm", 0.001},  {"in", 0.0254},   {"pace", 0},       {"paces", 0},
             {"step", 0},    {"steps", 0}};
enum { N_UNITS = sizeof units / sizeof *units };

enum { LONGEST_NAME = 3, MOST_OF_A_KIND = 9 };
static const double farthest_m = 4096,
                    farthest_claim_m = 50000; /* as in paths.csv, radios.csv */
static const unsigned most_trips = 1000;      /* as in readings.csv */
static const double band_reach = 0.03;        /* "868" means 868.3, "315" means 319.5 too */

/* What the words have said so far. */
struct spoken {
    survey_load load; /* materials only */
    earshot_findings *findings;
    const earshot_reach *reach;
    earshot_text *crossings;
    double length_m;      /* not a number: not said yet */
    double rated_range_m; /* 0: none */
    size_t radio, mount;
    const char *environment;
    bool materials_at_fault;
};

static void say(struct spoken *spoken, enum findings_code code, size_t word, const char *first,
                const char *second) {
    findings_add(spoken->findings, code,
                 (findings_place){.file = "words", .line = 1, .column = (unsigned)word + 1},
                 (const char *const[4]){first, second});
}

/* ---- names ---- */

/* Words `at` to `at + n` as one name: "timber" "floor" -> "timber floor". False when too long.
 */
static bool join(const earshot_reach *reach, size_t at, size_t n, char out[SURVEY_WORD_SIZE]) {
    size_t length = 0;
    for (size_t i = 0; i < n; i++) {
        size_t more = strlen(reach->words[at + i]);
        if (length + more + 2 > SURVEY_WORD_SIZE)
            return false;
        if (i)
            out[length++] = ' ';
        memcpy(out + length, reach->words[at + i], more);
        length += more;
    }
    out[length] = '\0';
    return true;
}

static void add_crossing(struct spoken *spoken, size_t construction, unsigned times) {
    while (times--) {
        if (earshot_text_size(spoken->crossings))
            text_add(spoken->crossings, ", ");
        text_add(spoken->crossings, spoken->load.survey->constructions[construction].name);
    }
}

static const char *environment_called(const struct spoken *spoken, const char *plain) {
    const survey_rows *rows = &spoken->load.tables[SURVEY_TABLE_ENVIRONMENTS];
    for (size_t i = 0; i < rows->n; i++) {
        const char *name = survey_string(&rows->rows[i], COLUMN_ENVIRONMENTS_ENVIRONMENT);
        if (strcmp(name, plain) == 0)
            return name;
    }
    return NULL;
}

/* Takes a name that is not a crossing: a radio, a mount, an environment. */
static bool take_other(struct spoken *spoken, const char *plain) {
    const earshot_survey *survey = spoken->load.survey;
    size_t radio = survey_find(plain, survey->radios, survey->n_radios, sizeof *survey->radios);
    size_t mount = survey_find(plain, survey->mounts, survey->n_mounts, sizeof *survey->mounts);
    const char *environment = environment_called(spoken, plain);
    if (radio < survey->n_radios)
        spoken->radio = radio;
    else if (mount < survey->n_mounts)
        spoken->mount = mount;
    else if (environment)
        spoken->environment = environment;
    else
        return false;
    return true;
}

/* Takes the longest name that begins at word `at`, `times` times over. Returns how many words
 * it was, 0 when there is none. */
static size_t take_name(struct spoken *spoken, size_t at, unsigned times) {
    char name[SURVEY_WORD_SIZE], plain[SURVEY_WORD_SIZE];
    for (size_t n = LONGEST_NAME; n > 0; n--) {
        if (at + n > spoken->reach->n_words || !join(spoken->reach, at, n, name))
            continue;
        size_t construction = survey_pick(spoken->load.survey, name, strlen(name));
        survey_plain_word(plain, name, strlen(name));
        if (construction != EARSHOT_NONE)
            add_crossing(spoken, construction, times);
        else if (times != 1 || !take_other(spoken, plain))
            continue;
        return n;
    }
    return 0;
}

static void say_unknown(struct spoken *spoken, size_t at) {
    const earshot_survey *survey = spoken->load.survey;
    const survey_rows *places = &spoken->load.tables[SURVEY_TABLE_ENVIRONMENTS];
    size_t most = survey->n_names + survey->n_radios + survey->n_mounts + places->n, n = 0;
    const char **names = survey_take(survey->storage, most + 1, sizeof *names);
    char plain[SURVEY_WORD_SIZE], hint[SURVEY_HINT_SIZE];
    const char *word = spoken->reach->words[at];
    if (!names)
        return;
    for (size_t i = 0; i < survey->n_names; i++)
        names[n++] = survey->names[i].name;
    for (size_t i = 0; i < survey->n_radios; i++)
        names[n++] = survey->radios[i].name;
    for (size_t i = 0; i < survey->n_mounts; i++)
        names[n++] = survey->mounts[i].name;
    for (size_t i = 0; i < places->n; i++)
        names[n++] = survey_string(&places->rows[i], COLUMN_ENVIRONMENTS_ENVIRONMENT);
    survey_plain_word(plain, word, strlen(word));
    survey_hint(hint, plain, names, n, sizeof *names);
    say(spoken, FINDINGS_WORD_UNKNOWN, at, word, hint);
}

/* ---- numbers ---- */

/* The number at the beginning of a word, and what follows it; false when there is none. */
static bool split_number(const char *word, double *number, const char **rest) {
    static const char *const spelled[] = {"", "one", "two", "three", "four", "five", "six"};
    size_t length = strspn(word, "0123456789."), count = 1;
    while (count < sizeof spelled / sizeof *spelled && strcmp(word, spelled[count]) != 0)
        count++;
    if (count < sizeof spelled / sizeof *spelled) {
        *number = (double)count;
        *rest = "";
        return true;
    }
    *rest = word + length;
    return length && text_read_number(word, length, '.', number) == TEXT_NUMBER_OK;
}

static bool unit_of(const struct spoken *spoken, const char *word, double *meters) {
    size_t unit = survey_find(word, units, N_UNITS, sizeof *units);
    if (unit == N_UNITS)
        return false;
    *meters = units[unit].meters > 0 ? units[unit].meters : spoken->load.pace_m;
    return true;
}

static void take_length(struct spoken *spoken, size_t at, double length_m) {
    if (!isnan(spoken->length_m))
        say(spoken, FINDINGS_LENGTH_TWICE, at, spoken->reach->words[at], NULL);
    else if (length_m > farthest_m)
        say(spoken, FINDINGS_LENGTH_TOO_FAR, at, spoken->reach->words[at], NULL);
    else
        spoken->length_m = length_m;
}

/* A length in one word: "500m". */
static bool length_of(const struct spoken *spoken, const char *word, double *length_m) {
    double number, meters;
    const char *rest;
    if (!split_number(word, &number, &rest) || !unit_of(spoken, rest, &meters))
        return false;
    *length_m = number * meters;
    return true;
}

/* The radio whose band a number names, "868" or "433"; n_radios when there is none. */
static size_t radio_near(const earshot_survey *survey, double band_mhz) {
    double nearest = band_reach;
    size_t found = survey->n_radios;
    for (size_t i = 0; i < survey->n_radios; i++) {
        double apart = fabs(survey->radios[i].freq_mhz - band_mhz) / band_mhz;
        if (apart < nearest) {
            nearest = apart;
            found = i;
        }
    }
    return found;
}

/* What to say of a number that is no length, count or band. */
static void say_number(struct spoken *spoken, size_t at) {
    const char *word = spoken->reach->words[at];
    bool comma = strchr(word, ',') != NULL;
    say(spoken, comma ? FINDINGS_WORD_COMMA : FINDINGS_NUMBER_WITHOUT_UNIT, at, word, NULL);
}

/* A number at word `at`: "12m", "12" "m", "2" "brick", "2x" "brick", "868". Returns the words
 * taken. */
static size_t take_number(struct spoken *spoken, size_t at, double number, const char *rest) {
    const earshot_reach *reach = spoken->reach;
    bool more = at + 1 < reach->n_words;
    double meters, length_m;
    if (length_of(spoken, reach->words[at], &length_m)) {
        take_length(spoken, at, length_m);
        return 1;
    }
    if (!*rest && more && unit_of(spoken, reach->words[at + 1], &meters)) {
        take_length(spoken, at, number * meters);
        return 2;
    }
    bool counts = (!*rest || strcmp(rest, "x") == 0) && number == floor(number) &&
                  number >= 1 && number <= MOST_OF_A_KIND;
    size_t taken = counts && more ? take_name(spoken, at + 1, (unsigned)number) : 0;
    size_t radio = radio_near(spoken->load.survey, number);
    if (!taken && !*rest && radio < spoken->load.survey->n_radios)
        spoken->radio = radio;
    else if (!taken)
        say_number(spoken, at);
    return 1 + taken;
}

static void take_words(struct spoken *spoken) {
    const earshot_reach *reach = spoken->reach;
    for (size_t at = 0; at < reach->n_words;) {
        double number;
        const char *rest;
        size_t taken = take_name(spoken, at, 1);
        if (!taken && split_number(reach->words[at], &number, &rest))
            taken = take_number(spoken, at, number, rest);
        if (!taken)
            say_unknown(spoken, at);
        at += taken ? taken : 1;
    }
    if (isnan(spoken->length_m))
        say(spoken, FINDINGS_NO_LENGTH, reach->n_words, NULL, NULL);
}

/* ---- options ---- */

static void take_mount(struct spoken *spoken) {
    const earshot_survey *survey = spoken->load.survey;
    char plain[SURVEY_WORD_SIZE], hint[SURVEY_HINT_SIZE];
    const char *mount = spoken->reach->mount;
    if (!mount)
        return;
    survey_plain_word(plain, mount, strlen(mount));
    size_t found = survey_find(plain, survey->mounts, survey->n_mounts, sizeof *survey->mounts);
    if (found < survey->n_mounts) {
        spoken->mount = found;
        return;
    }
    survey_hint(hint, plain, survey->mounts, survey->n_mounts, sizeof *survey->mounts);
    say(spoken, FINDINGS_MOUNT_UNKNOWN, spoken->reach->n_words, mount, hint);
}

static void take_rated_range(struct spoken *spoken) {
    const char *claim = spoken->reach->rated_range;
    if (!claim)
        return;
    if (!length_of(spoken, claim, &spoken->rated_range_m) || spoken->rated_range_m < 1 ||
        spoken->rated_range_m > farthest_claim_m)
        say(spoken, FINDINGS_CLAIM_UNREADABLE, spoken->reach->n_words, claim, NULL);
}

static void take_band(struct spoken *spoken) {
    const earshot_survey *survey = spoken->load.survey;
    double band_mhz = spoken->reach->band_mhz;
    char band[TEXT_NUMBER_SIZE], hint[SURVEY_HINT_SIZE];
    if (band_mhz <= 0)
        return;
    size_t found = radio_near(survey, band_mhz);
    if (found < survey->n_radios) {
        spoken->radio = found;
        return;
    }
    text_write_number(band, band_mhz);
    survey_hint(hint, "", survey->radios, survey->n_radios, sizeof *survey->radios);
    say(spoken, FINDINGS_BAND_UNKNOWN, spoken->reach->n_words, band, hint);
}

/* What was said, word by word; false when something was not understood. */
static bool take_all(struct spoken *spoken) {
    size_t errors_before = earshot_findings_errors(spoken->findings);
    take_words(spoken);
    take_mount(spoken);
    take_rated_range(spoken);
    take_band(spoken);
    return earshot_findings_errors(spoken->findings) == errors_before;
}

/* ---- tables ---- */

static void add_quoted(earshot_text *text, const char *string) {
    text_add(text, "\"");
    for (; *string; string++)
        text_add_bytes(text, *string == '"' ? "\"\"" : string, *string == '"' ? 2 : 1);
    text_add(text, "\"");
}

/* The tables that the words stand for. */
enum { SITE_TABLE, DEVICES_TABLE, PATHS_TABLE, RADIOS_TABLE, READINGS_TABLE, N_TABLES };
static const char *const table_names[N_TABLES] = {"site.csv", "devices.csv", "paths.csv",
                                                  "radios.csv", "readings.csv"};

static void write_site(const struct spoken *spoken, earshot_text *out) {
    text_add(out, "key,value\nname,one link\n");
    if (spoken->environment) {
        text_add(out, "environment,");
        add_quoted(out, spoken->environment);
        text_add(out, "\n");
    }
}

static const survey_radio *radio_in_use(const struct spoken *spoken) {
    return &spoken->load.survey->radios[spoken->radio];
}

static void write_devices(const struct spoken *spoken, earshot_text *out) {
    const earshot_survey *survey = spoken->load.survey;
    const char *radio =
        spoken->rated_range_m > 0 ? "by rated range" : radio_in_use(spoken)->name;
    text_add(out, "device,role,radio,mount\nsensor,sensor,");
    add_quoted(out, radio);
    text_add(out, ",");
    if (spoken->mount != EARSHOT_NONE)
        add_quoted(out, survey->mounts[spoken->mount].name);
    text_add(out, "\nreceiver,receiver,");
    add_quoted(out, radio);
    text_add(out, ",\n");
}

static void write_path(const struct spoken *spoken, earshot_text *out) {
    text_add(out, "device,to,length_m,crossings\nsensor,receiver,");
    text_add_number(out, spoken->length_m);
    text_add(out, ",");
    add_quoted(out, earshot_text_data(spoken->crossings));
    text_add(out, "\n");
}

/* A radio with the power and antenna of the band's, whose need follows from the maker's claim.
 */
static void write_radio(const struct spoken *spoken, earshot_text *out) {
    const survey_radio *radio = radio_in_use(spoken);
    text_add(out, "radio,freq_mhz,eirp_dbm,antenna_dbi,rated_range_m,source\nby rated range,");
    text_add_number(out, radio->freq_mhz);
    text_add(out, ",");
    if (!isnan(radio->eirp_dbm))
        text_add_number(out, radio->eirp_dbm);
    text_add(out, ",");
    text_add_number(out, radio->antenna_dbi);
    text_add(out, ",");
    text_add_number(out, spoken->rated_range_m);
    text_add(out, ",the maker's claim of open-air range\n");
}

static void write_reading(const struct spoken *spoken, earshot_text *out) {
    text_add(out, "heard_at,device,trips,heard,placed\nreceiver,sensor,");
    text_add_count(out, spoken->reach->trips);
    text_add(out, ",");
    text_add_count(out, spoken->reach->heard);
    text_add(out, ",in place\n");
}

static void write_tables(const struct spoken *spoken, earshot_text *const texts[N_TABLES]) {
    write_site(spoken, texts[SITE_TABLE]);
    write_devices(spoken, texts[DEVICES_TABLE]);
    write_path(spoken, texts[PATHS_TABLE]);
    if (spoken->rated_range_m > 0)
        write_radio(spoken, texts[RADIOS_TABLE]);
    if (spoken->reach->trips)
        write_reading(spoken, texts[READINGS_TABLE]);
}

/* Loads the caller's tables and the written ones together. */
static enum earshot_status load_tables(const struct spoken *spoken, earshot_text *const *texts,
                                       const earshot_bytes *tables, size_t n_tables,
                                       earshot_survey **out) {
    earshot_bytes *all =
        survey_take(spoken->load.survey->storage, n_tables + N_TABLES, sizeof *all);
    size_t n = n_tables;
    if (!all)
        return EARSHOT_NO_MEMORY;
    if (n_tables)
        memcpy(all, tables, n_tables * sizeof *all);
    for (size_t i = 0; i < N_TABLES; i++) {
        if (earshot_text_cut(texts[i]))
            return EARSHOT_NO_MEMORY;
        if (earshot_text_size(texts[i]))
            all[n++] = (earshot_bytes){table_names[i], earshot_text_data(texts[i]),
                                       earshot_text_size(texts[i])};
    }
    return earshot_survey_load(all, n, spoken->findings, out);
}

static enum earshot_status make_survey(struct spoken *spoken, const earshot_bytes *tables,
                                       size_t n_tables, earshot_survey **out) {
    earshot_text *texts[N_TABLES] = {NULL};
    enum earshot_status status = EARSHOT_OK;
    for (size_t i = 0; i < N_TABLES; i++)
        if (!(texts[i] = earshot_text_new()))
            status = EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK) {
        write_tables(spoken, texts);
        status = load_tables(spoken, texts, tables, n_tables, out);
    }
    for (size_t i = 0; i < N_TABLES; i++)
        earshot_text_free(texts[i]);
    return status;
}

/* The names that words may use. Faults of the materials are found again, and reported, when
 * they are loaded. */
static bool read_names(struct spoken *spoken, const earshot_bytes *tables, size_t n_tables) {
    struct survey_storage *storage = survey_storage_new();
    earshot_survey *survey = storage ? survey_take(storage, 1, sizeof *survey) : NULL;
    earshot_findings *unused = earshot_findings_new();
    if (!survey || !unused) {
        survey_storage_free(storage);
        earshot_findings_free(unused);
        return false;
    }
    survey->storage = storage;
    spoken->load = (survey_load){.survey = survey, .findings = unused};
    survey_build_site(&spoken->load);
    survey_read_materials(&spoken->load, tables, n_tables);
    survey_build_materials(&spoken->load);
    survey_build_names(&spoken->load);
    spoken->materials_at_fault = earshot_findings_errors(unused) > 0;
    spoken->load.findings = NULL;
    earshot_findings_free(unused);
    if (!survey_storage_failed(storage) && survey->n_radios)
        return true;
    survey_storage_free(storage);
    return false;
}

enum earshot_status earshot_survey_new(const earshot_reach *reach, const earshot_bytes *tables,
                                       size_t n_tables, earshot_findings *findings,
                                       earshot_survey **out) {
    if (!reach || !findings || !out || reach->heard > reach->trips || reach->trips > most_trips)
        return EARSHOT_MISUSE;
    struct spoken spoken = {.findings = findings,
                            .reach = reach,
                            .length_m = NAN,
                            .mount = EARSHOT_NONE,
                            .crossings = earshot_text_new()};
    if (!spoken.crossings || !read_names(&spoken, tables, n_tables)) {
        earshot_text_free(spoken.crossings);
        return EARSHOT_NO_MEMORY;
    }
    enum earshot_status status = EARSHOT_INVALID;
    if (spoken.materials_at_fault) /* a word may be unknown for that reason alone */
        status = earshot_materials_load(tables, n_tables, findings, out);
    else if (take_all(&spoken))
        status = make_survey(&spoken, tables, n_tables, out);
    survey_storage_free(spoken.load.survey->storage);
    earshot_text_free(spoken.crossings);
    return status;
}
