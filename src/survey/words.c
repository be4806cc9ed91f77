/* SPDX-License-Identifier: GPL-3.0-or-later */
/* words.c - "12m brick brick floor" to a survey of one link.
 *
 * The words become the same tables that a survey folder holds, a devices row each for sensor
 * and receiver and a path row between them, and those are loaded like any other: there is no
 * second way to an answer. Words come in any order and need no quotes, commas and blanks part
 * them; a name of several words ("timber floor") is tried longest first. What is said twice and
 * differs is refused: which of the two was meant nobody can tell.
 */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "lengths.h"
#include "rows.h"
#include "text.h"

enum { LONGEST_NAME = 3, MOST_OF_A_KIND = 9 };
static const double farthest_m = 4096,
                    farthest_claim_m = 50000; /* as in paths.csv, radios.csv */
static const unsigned most_trips = 1000;      /* as in readings.csv */
static const double band_reach = 0.03;        /* "868" means 868.3, "315" means 319.5 too */
/* Where people measure in feet, and name no radio: the middle of the bands that alarm sensors
 * use in the US (common practice, no source). */
static const double feet_band_mhz = 345;

/* What the words have said so far. */
struct spoken {
    survey_load load; /* materials only */
    earshot_findings *findings;
    const earshot_reach *reach;
    const char **words; /* parted at blanks and commas */
    size_t *numbers;    /* which of the caller's words each was, from 0 */
    size_t n_words;
    earshot_text *crossings;
    double length_m;      /* not a number: not said yet */
    double rated_range_m; /* 0: none */
    bool feet, meters;    /* what was measured in */
    size_t radio, mount;  /* EARSHOT_NONE: not said */
    double band_mhz;      /* 0: not said */
    const char *band;     /* the word that said it */
    const char *environment, *type;
    bool materials_at_fault;
};

/* A finding of word `at`; of an option when it is behind the last. */
static void say(struct spoken *spoken, enum findings_code code, size_t at, const char *first,
                const char *second, const char *third) {
    size_t number = at < spoken->n_words ? spoken->numbers[at] : spoken->reach->n_words;
    findings_add(spoken->findings, code,
                 (findings_place){.file = "words", .line = 1, .column = (unsigned)number + 1},
                 (const char *const[4]){first, second, third});
}

/* ---- words ---- */

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* Blanks and commas part words, but a comma between digits is a decimal one, to be told. */
static bool parts(const char *text, size_t at) {
    if (text[at] == ',')
        return at == 0 || !is_digit(text[at - 1]) || !is_digit(text[at + 1]);
    return text[at] == ' ' || text[at] == '\t';
}

static void part_word(struct spoken *spoken, size_t number) {
    const char *text = spoken->reach->words[number];
    size_t length = strlen(text);
    for (size_t from = 0, to; from < length; from = to + 1) {
        for (to = from; to < length && !parts(text, to);)
            to++;
        if (to == from)
            continue;
        spoken->numbers[spoken->n_words] = number;
        spoken->words[spoken->n_words++] =
            survey_copy(spoken->load.survey->storage, text + from, to - from);
    }
}

/* False when memory ran out. */
static bool part_words(struct spoken *spoken) {
    struct survey_storage *storage = spoken->load.survey->storage;
    size_t most = 1;
    for (size_t i = 0; i < spoken->reach->n_words; i++)
        most += strlen(spoken->reach->words[i]) / 2 + 1;
    spoken->words = survey_take(storage, most, sizeof *spoken->words);
    spoken->numbers = survey_take(storage, most, sizeof *spoken->numbers);
    for (size_t i = 0; spoken->words && spoken->numbers && i < spoken->reach->n_words; i++)
        part_word(spoken, i);
    return !survey_storage_failed(storage);
}

/* ---- names ---- */

/* Words `at` to `at + n` as one name: "timber" "floor" -> "timber floor". False when too long.
 */
static bool join(const struct spoken *spoken, size_t at, size_t n, char out[SURVEY_WORD_SIZE]) {
    size_t length = 0;
    for (size_t i = 0; i < n; i++) {
        size_t more = strlen(spoken->words[at + i]);
        if (length + more + 2 > SURVEY_WORD_SIZE)
            return false;
        if (i)
            out[length++] = ' ';
        memcpy(out + length, spoken->words[at + i], more);
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
        if (survey_same_word(name, plain))
            return name;
    }
    return NULL;
}

static const char *type_called(const char *plain) {
    size_t type = survey_type_called(plain);
    bool sensor = type < SURVEY_N_TYPES && strcmp(survey_types[type], "receiver") != 0 &&
                  strcmp(survey_types[type], "repeater") != 0;
    return sensor ? survey_types[type] : NULL;
}

/* Says so when `was` was said before and `now` is another. */
static void second(struct spoken *spoken, size_t at, const char *what, const char *now,
                   const char *was) {
    if (was && strcmp(now, was) != 0)
        say(spoken, FINDINGS_SAID_TWICE, at, now, what, was);
}

static void take_mount(struct spoken *spoken, size_t at, size_t mount) {
    const survey_mount *mounts = spoken->load.survey->mounts;
    bool said = spoken->mount != EARSHOT_NONE;
    second(spoken, at, "mount", mounts[mount].name, said ? mounts[spoken->mount].name : NULL);
    spoken->mount = mount;
}

static bool same_band(double mhz, double other_mhz) {
    return fabs(mhz - other_mhz) < band_reach * other_mhz;
}

/* A radio and a band must go together, in whatever order they come. */
static void take_radio(struct spoken *spoken, size_t at, size_t radio) {
    const survey_radio *radios = spoken->load.survey->radios;
    bool said = spoken->radio != EARSHOT_NONE;
    second(spoken, at, "radio", radios[radio].name, said ? radios[spoken->radio].name : NULL);
    if (!said && spoken->band && !same_band(radios[radio].freq_mhz, spoken->band_mhz))
        second(spoken, at, "radio", radios[radio].name, spoken->band);
    spoken->radio = radio;
}

static void take_band(struct spoken *spoken, size_t at, double band_mhz, const char *word) {
    const survey_radio *radios = spoken->load.survey->radios;
    if (spoken->radio != EARSHOT_NONE && !same_band(radios[spoken->radio].freq_mhz, band_mhz))
        second(spoken, at, "radio", word, radios[spoken->radio].name);
    else if (spoken->band && !same_band(spoken->band_mhz, band_mhz))
        second(spoken, at, "radio", word, spoken->band);
    spoken->band_mhz = band_mhz;
    spoken->band = word;
}

/* Takes a name that is not a crossing: a radio, a mount, an environment, a type of device. */
static bool take_other(struct spoken *spoken, size_t at, const char *plain) {
    const earshot_survey *survey = spoken->load.survey;
    size_t radio =
        survey_find_word(plain, survey->radios, survey->n_radios, sizeof *survey->radios);
    size_t mount =
        survey_find_word(plain, survey->mounts, survey->n_mounts, sizeof *survey->mounts);
    const char *environment = environment_called(spoken, plain), *type = type_called(plain);
    if (radio < survey->n_radios) {
        take_radio(spoken, at, radio);
    } else if (mount < survey->n_mounts) {
        take_mount(spoken, at, mount);
    } else if (environment) {
        second(spoken, at, "environment", environment, spoken->environment);
        spoken->environment = environment;
    } else if (type) {
        second(spoken, at, "kind of device", type, spoken->type);
        spoken->type = type;
    } else {
        return false;
    }
    return true;
}

/* Takes the longest name that begins at word `at`, `times` times over. Returns how many words
 * it was, 0 when there is none. */
static size_t take_name(struct spoken *spoken, size_t at, unsigned times) {
    char name[SURVEY_WORD_SIZE], plain[SURVEY_WORD_SIZE];
    for (size_t n = LONGEST_NAME; n > 0; n--) {
        if (at + n > spoken->n_words || !join(spoken, at, n, name))
            continue;
        size_t construction = survey_pick(spoken->load.survey, name, strlen(name));
        survey_plain_word(plain, name, strlen(name));
        if (construction != EARSHOT_NONE)
            add_crossing(spoken, construction, times);
        else if (times != 1 || !take_other(spoken, at, plain))
            continue;
        return n;
    }
    return 0;
}

static void say_unknown(struct spoken *spoken, size_t at) {
    const earshot_survey *survey = spoken->load.survey;
    const survey_rows *places = &spoken->load.tables[SURVEY_TABLE_ENVIRONMENTS];
    size_t most = survey->n_names + survey->n_radios + survey->n_mounts + places->n +
                  SURVEY_N_TYPES + SURVEY_N_TYPE_WORDS,
           n = 0;
    const char **names = survey_take(survey->storage, most + 1, sizeof *names);
    char plain[SURVEY_WORD_SIZE], hint[SURVEY_HINT_SIZE];
    const char *word = spoken->words[at];
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
    for (size_t i = 0; i < SURVEY_N_TYPES; i++)
        if (type_called(survey_types[i]))
            names[n++] = survey_types[i];
    for (size_t i = 0; i < SURVEY_N_TYPE_WORDS; i++)
        if (!survey_row_named(&spoken->load, SURVEY_TABLE_BY_LOOK, survey_type_words[i].word))
            names[n++] = survey_type_words[i].word;
    survey_plain_word(plain, word, strlen(word));
    survey_hint(hint, plain, names, n, sizeof *names);
    say(spoken, FINDINGS_WORD_UNKNOWN, at, word, hint, NULL);
}

/* ---- numbers ---- */

static void note_measure(struct spoken *spoken, enum survey_measure measure) {
    spoken->feet |= measure == SURVEY_FEET;
    spoken->meters |= measure == SURVEY_METRIC;
}

/* A length at word `at`, "12m" or "12" "m"; returns the words taken, 0 when there is none. */
static size_t take_length(struct spoken *spoken, size_t at) {
    survey_length length;
    char said[SURVEY_WORD_SIZE];
    size_t taken = survey_read_length(spoken->words + at, spoken->n_words - at,
                                      spoken->load.pace_m, &length);
    if (!taken)
        return 0;
    if (!join(spoken, at, taken, said))
        said[0] = '\0';
    if (!isnan(spoken->length_m))
        say(spoken, FINDINGS_LENGTH_TWICE, at, said, NULL, NULL);
    else if (!(length.length_m > 0))
        say(spoken, FINDINGS_LENGTH_NONE, at, said, NULL, NULL);
    else if (length.length_m > farthest_m)
        say(spoken, FINDINGS_LENGTH_TOO_FAR, at, said, NULL, NULL);
    spoken->length_m = length.length_m;
    note_measure(spoken, length.measure);
    return taken;
}

/* The radio whose band a number names, "868" or "433"; n_radios when there is none. */
static size_t radio_near(const earshot_survey *survey, double band_mhz) {
    double nearest = band_reach;
    size_t found = survey->n_radios;
    for (size_t i = 0; band_mhz > 0 && i < survey->n_radios; i++) {
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
    const char *word = spoken->words[at];
    bool comma = strchr(word, ',') != NULL;
    say(spoken, comma ? FINDINGS_WORD_COMMA : FINDINGS_NUMBER_WITHOUT_UNIT, at, word, NULL,
        NULL);
}

/* Whether the word says megahertz. */
static bool is_mhz(const char *word) {
    char plain[SURVEY_WORD_SIZE];
    survey_plain_word(plain, word, strlen(word));
    return strcmp(plain, "mhz") == 0;
}

/* A number at word `at` that is no length: "2" "brick", "2x" "brick", "868", "868" "MHz".
 * Returns the words taken. */
static size_t take_number(struct spoken *spoken, size_t at, double number, const char *rest) {
    bool more = at + 1 < spoken->n_words;
    bool counts = (!*rest || strcmp(rest, "x") == 0) && number == floor(number) &&
                  number >= 1 && number <= MOST_OF_A_KIND;
    size_t taken = counts && more ? take_name(spoken, at + 1, (unsigned)number) : 0;
    if (taken)
        return 1 + taken;
    bool unit = !*rest && more && is_mhz(spoken->words[at + 1]);
    if ((!*rest || is_mhz(rest)) &&
        radio_near(spoken->load.survey, number) < spoken->load.survey->n_radios)
        take_band(spoken, at, number, spoken->words[at]);
    else
        say_number(spoken, at);
    return unit ? 2 : 1;
}

/* What stands between the words that count when somebody types as people speak. */
static bool is_filler(const char *word) {
    static const char *const fillers[] = {"a",       "an",   "the",  "and",  "about",
                                          "roughly", "away", "from", "plus", "then",
                                          "through", "with", "of",   "to",   "between"};
    return survey_find(word, fillers, sizeof fillers / sizeof *fillers, sizeof *fillers) <
           sizeof fillers / sizeof *fillers;
}

static void take_words(struct spoken *spoken) {
    for (size_t at = 0; at < spoken->n_words;) {
        double number;
        const char *rest;
        size_t taken = take_name(spoken, at, 1);
        if (!taken)
            taken = take_length(spoken, at);
        if (!taken && survey_split_number(spoken->words[at], &number, &rest))
            taken = take_number(spoken, at, number, rest);
        if (!taken && !is_filler(spoken->words[at]))
            say_unknown(spoken, at);
        at += taken ? taken : 1;
    }
    if (isnan(spoken->length_m))
        say(spoken, FINDINGS_NO_LENGTH, spoken->n_words, NULL, NULL, NULL);
}

/* ---- options ---- */

static void take_mount_option(struct spoken *spoken) {
    const earshot_survey *survey = spoken->load.survey;
    char plain[SURVEY_WORD_SIZE], hint[SURVEY_HINT_SIZE];
    const char *mount = spoken->reach->mount;
    if (!mount)
        return;
    survey_plain_word(plain, mount, strlen(mount));
    size_t found =
        survey_find_word(plain, survey->mounts, survey->n_mounts, sizeof *survey->mounts);
    if (found < survey->n_mounts) {
        take_mount(spoken, spoken->n_words, found);
        return;
    }
    survey_hint(hint, plain, survey->mounts, survey->n_mounts, sizeof *survey->mounts);
    say(spoken, FINDINGS_MOUNT_UNKNOWN, spoken->n_words, mount, hint, NULL);
}

static void take_rated_range(struct spoken *spoken) {
    const char *claim = spoken->reach->rated_range;
    survey_length length;
    if (!claim)
        return;
    if (!survey_read_length(&claim, 1, spoken->load.pace_m, &length) || length.length_m < 1 ||
        length.length_m > farthest_claim_m) {
        say(spoken, FINDINGS_CLAIM_UNREADABLE, spoken->n_words, claim, NULL, NULL);
        return;
    }
    spoken->rated_range_m = length.length_m;
    note_measure(spoken, length.measure);
}

static void take_band_option(struct spoken *spoken) {
    struct survey_storage *storage = spoken->load.survey->storage;
    const earshot_survey *survey = spoken->load.survey;
    double band_mhz = spoken->reach->band_mhz;
    char number[TEXT_NUMBER_SIZE], hint[SURVEY_HINT_SIZE];
    if (band_mhz <= 0)
        return;
    text_write_number(number, band_mhz);
    const char *band = survey_copy(storage, number, strlen(number));
    if (radio_near(survey, band_mhz) < survey->n_radios) {
        take_band(spoken, spoken->n_words, band_mhz, band ? band : "");
        return;
    }
    survey_hint(hint, "", survey->radios, survey->n_radios, sizeof *survey->radios);
    say(spoken, FINDINGS_BAND_UNKNOWN, spoken->n_words, number, hint, NULL);
}

/* The radio of the band; where nothing was said, one that is usual where people measure so. */
static void choose_radio(struct spoken *spoken) {
    const earshot_survey *survey = spoken->load.survey;
    if (spoken->radio != EARSHOT_NONE)
        return;
    bool feet = spoken->feet && !spoken->meters;
    double band_mhz = spoken->band ? spoken->band_mhz : feet ? feet_band_mhz : NAN;
    size_t radio = radio_near(survey, band_mhz);
    bool near = radio < survey->n_radios;
    spoken->radio = near ? radio : 0;
    if (!spoken->band)
        say(spoken, FINDINGS_RADIO_ASSUMED, spoken->n_words, survey->radios[spoken->radio].name,
            near ? "of a band that is usual where people measure in feet"
                 : "the first of the radios table",
            NULL);
}

/* What was said, word by word; false when something was not understood. */
static bool take_all(struct spoken *spoken) {
    size_t errors_before = findings_errors_told(spoken->findings);
    take_words(spoken);
    take_mount_option(spoken);
    take_rated_range(spoken);
    take_band_option(spoken);
    if (findings_errors_told(spoken->findings) != errors_before)
        return false;
    choose_radio(spoken);
    return true;
}

/* ---- tables ---- */

/* The tables that the words stand for. */
enum { SITE_TABLE, DEVICES_TABLE, PATHS_TABLE, RADIOS_TABLE, READINGS_TABLE, N_TABLES };
static const char *const table_names[N_TABLES] = {"site.csv", "devices.csv", "paths.csv",
                                                  "radios.csv", "readings.csv"};

static void write_site(const struct spoken *spoken, earshot_text *out) {
    text_add(out, "key,value\nname,one link\n");
    if (spoken->environment) {
        text_add(out, "environment,");
        text_add_cell(out, spoken->environment);
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
    text_add(out, "device,role,radio,type,mount\nsensor,sensor,");
    text_add_cell(out, radio);
    text_add(out, ",");
    text_add(out, spoken->type ? spoken->type : "");
    text_add(out, ",");
    if (spoken->mount != EARSHOT_NONE)
        text_add_cell(out, survey->mounts[spoken->mount].name);
    text_add(out, "\nreceiver,receiver,");
    text_add_cell(out, radio);
    text_add(out, ",,\n");
}

static void write_path(const struct spoken *spoken, earshot_text *out) {
    text_add(out, "device,to,length_m,crossings\nsensor,receiver,");
    text_add_number(out, spoken->length_m);
    text_add(out, ",");
    text_add_cell(out, earshot_text_data(spoken->crossings));
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
    spoken->materials_at_fault = findings_errors_told(unused) > 0;
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
    if (!reach || (!reach->words && reach->n_words) || !survey_given_whole(tables, n_tables) ||
        !findings || !out || reach->heard > reach->trips || reach->trips > most_trips)
        return EARSHOT_MISUSE;
    struct spoken spoken = {.findings = findings,
                            .reach = reach,
                            .length_m = NAN,
                            .radio = EARSHOT_NONE,
                            .mount = EARSHOT_NONE,
                            .crossings = earshot_text_new()};
    if (!spoken.crossings || !read_names(&spoken, tables, n_tables)) {
        earshot_text_free(spoken.crossings);
        return EARSHOT_NO_MEMORY;
    }
    enum earshot_status status = EARSHOT_INVALID;
    if (!part_words(&spoken))
        status = EARSHOT_NO_MEMORY;
    else if (spoken.materials_at_fault) /* a word may be unknown for that reason alone */
        status = earshot_materials_load(tables, n_tables, findings, out);
    else if (take_all(&spoken))
        status = make_survey(&spoken, tables, n_tables, out);
    survey_storage_free(spoken.load.survey->storage);
    earshot_text_free(spoken.crossings);
    return status;
}
