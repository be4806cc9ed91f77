/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mapping.c - columns.csv: what the columns of a meter's log are in readings.csv.
 *
 * A row names a column of theirs and one of ours, and in what unit or scale it is; or it gives
 * what holds for all rows, where the log has no such column; or what a word of theirs means.
 * What is wrong here would be wrong in every row of the log, so it is an error, said once.
 */
#include <string.h>

#include "logs.h"
#include "text.h"

static const enum survey_column first_ours = COLUMN_READINGS_HEARD_AT;

log_source *log_source_of(log_mapping *log, enum survey_column column) {
    return &log->sources[column - first_ours];
}

struct gathering {
    survey_load *load;
    const struct survey_names *callings;
    log_mapping *log;
};

static void say(struct gathering *at, enum findings_code code, const survey_row *row,
                enum survey_column column, const char *second, const char *third) {
    survey_say(at->load, code, row, column,
               (const char *const[4]){survey_string(row, column), second, third});
    at->log->bad = true;
}

/* ---- units ---- */

static void say_unit(struct gathering *at, const survey_row *row, enum survey_column ours,
                     const char *mend) {
    say(at, FINDINGS_LOG_UNIT, row, COLUMN_COLUMNS_UNIT, survey_column_name(ours), mend);
}

/* The scale that is called so, case aside; NULL: none. */
static const char *scale_called(const earshot_survey *survey, const char *word) {
    if (strcmp(word, "%") == 0)
        word = "percent";
    for (size_t i = 0; i < survey->n_scales; i++)
        if (survey_same_word(word, survey->scales[i].name))
            return survey->scales[i].name;
    return NULL;
}

/* Of levels: a scale, dBm, dBm without minus, or dBuV, which each number is to say for itself.
 */
static void take_scale(struct gathering *at, const survey_row *row, const char *word) {
    static const char microvolts[] = "dBuV";
    const earshot_survey *survey = at->load->survey;
    char hint[SURVEY_HINT_SIZE];
    log_source *reading = log_source_of(at->log, COLUMN_READINGS_READING);
    log_source *scale = log_source_of(at->log, COLUMN_READINGS_SCALE);
    const char *called = scale_called(survey, word);
    if (!called && survey_is_microvolts(word)) {
        reading->suffix = microvolts;
    } else if (!called && survey_same_word(word, "dBm without minus")) {
        reading->negative = true;
    } else if (!called) {
        survey_hint(hint, word, survey->scales, survey->n_scales, sizeof *survey->scales);
        say(at, FINDINGS_LOG_UNIT_UNKNOWN, row, COLUMN_COLUMNS_UNIT, hint, NULL);
    } else if (scale->n_rows || (scale->fixed && strcmp(scale->fixed, called) != 0)) {
        say(at, FINDINGS_LOG_TWICE_MAPPED, row, COLUMN_COLUMNS_UNIT, "scale", NULL);
    } else {
        scale->fixed = called;
    }
}

static const char length_units[] = "write m, cm, mm, ft, in or pace";

static void take_length_unit(struct gathering *at, const survey_row *row,
                             enum survey_column ours, const char *word) {
    const survey_unit *unit = survey_unit_called(word, strlen(word));
    if (unit)
        log_source_of(at->log, ours)->unit = unit;
    else
        say_unit(at, row, ours, length_units);
}

static void take_naming(struct gathering *at, const survey_row *row, enum survey_column ours,
                        const char *word) {
    static const char *const words[LOG_N_NAMINGS] = {"", "device", "zone", "label", "serial"};
    size_t naming = LOG_DEVICE;
    while (naming < LOG_N_NAMINGS && !survey_same_word(word, words[naming]))
        naming++;
    if (naming < LOG_N_NAMINGS)
        log_source_of(at->log, ours)->naming = (enum log_naming)naming;
    else
        say_unit(at, row, ours,
                 "write device, zone, label or serial, whichever of them theirs is, or leave "
                 "it blank for any");
}

static bool is_length(enum survey_column ours) {
    enum survey_kind kind = survey_columns[ours].kind;
    return kind == SURVEY_LENGTH || kind == SURVEY_HEIGHT;
}

static void take_unit(struct gathering *at, const survey_row *row, enum survey_column ours) {
    const char *word = survey_string(row, COLUMN_COLUMNS_UNIT);
    const survey_column_kind *kind = &survey_columns[ours];
    if (word[0] == '\0')
        return;
    if (ours == COLUMN_READINGS_READING)
        take_scale(at, row, word);
    else if (ours == COLUMN_READINGS_DEVICE || ours == COLUMN_READINGS_HEARD_AT)
        take_naming(at, row, ours, word);
    else if (is_length(ours))
        take_length_unit(at, row, ours, word);
    else if (kind->kind != SURVEY_NUMBER)
        say_unit(at, row, ours, "it has none, so leave this blank");
    else if (!survey_same_word(word, kind->unit))
        say_unit(at, row, ours,
                 kind->unit[2] ? "only dBm is known there" : "only dB is known there");
}

/* ---- values of ours ---- */

/* The device that a value names, by its name; NULL, and a finding has been made: none. */
static const char *device_named(struct gathering *at, const survey_row *row,
                                enum survey_column ours) {
    const earshot_survey *survey = at->load->survey;
    size_t meant[LOG_MOST_MEANT];
    const char *word = survey_string(row, COLUMN_COLUMNS_VALUE);
    size_t n = log_meant(at->callings, word, LOG_ANY, meant);
    const survey_device *device = n ? &survey->devices[meant[0]] : NULL;
    if (n == 0)
        survey_refer_name(at->load, row, COLUMN_COLUMNS_VALUE, SURVEY_TABLE_DEVICES, word);
    else if (n > 1)
        say(at, FINDINGS_LOG_SEVERAL, row, COLUMN_COLUMNS_VALUE, device->name,
            survey->devices[meant[1]].name);
    else if (ours == COLUMN_READINGS_HEARD_AT && device->role == SURVEY_SENSOR)
        say(at, FINDINGS_HEARD_AT_SENSOR, row, COLUMN_COLUMNS_VALUE, NULL, NULL);
    else
        return device->name;
    return NULL;
}

/* The table whose rows a column of ours names, or SURVEY_N_TABLES. */
static enum survey_table referred(enum survey_column ours) {
    return ours == COLUMN_READINGS_SCALE   ? SURVEY_TABLE_SCALES
           : ours == COLUMN_READINGS_RADIO ? SURVEY_TABLE_RADIOS
           : ours == COLUMN_READINGS_LEVEL ? SURVEY_TABLE_LEVELS
                                           : SURVEY_N_TABLES;
}

/* What stands in value, as a cell of that column would have it; NULL, and a finding has
 * been made, when it would be bad there. */
static const char *value_of(struct gathering *at, const survey_row *row,
                            enum survey_column ours) {
    const survey_mapping map = {
        .first = ours, .n = 1, .units = {log_source_of(at->log, ours)->unit}};
    survey_value value = {.cell = survey_get(row, COLUMN_COLUMNS_VALUE)->cell};
    enum survey_table of = referred(ours);
    if (value.cell->length == 0)
        return "";
    survey_read_cell(at->load, row->sheet, &map, 0, &value);
    const char *text = value.bad ? NULL : value.cell->text;
    if (text && (ours == COLUMN_READINGS_DEVICE || ours == COLUMN_READINGS_HEARD_AT))
        text = device_named(at, row, ours);
    else if (text && of != SURVEY_N_TABLES &&
             survey_refer_name(at->load, row, COLUMN_COLUMNS_VALUE, of, text) == EARSHOT_NONE)
        text = NULL;
    at->log->bad = at->log->bad || !text;
    return text;
}

/* ---- rows ---- */

/* Where any text will do, several columns of theirs make one of ours, as date and time do. */
static void take_their_column(struct gathering *at, const survey_row *row,
                              enum survey_column ours) {
    log_source *source = log_source_of(at->log, ours);
    const char *theirs = survey_string(row, COLUMN_COLUMNS_THEIRS);
    bool joined = survey_columns[ours].kind == SURVEY_TEXT && source->n_rows < LOG_MOST_JOINED;
    for (size_t i = 0; i < source->n_rows; i++)
        if (tables_same_name(theirs, survey_string(source->rows[i], COLUMN_COLUMNS_THEIRS)))
            return;
    if (source->fixed || (source->n_rows && !joined))
        say(at, FINDINGS_LOG_TWICE_MAPPED, row, COLUMN_COLUMNS_THEIRS, survey_column_name(ours),
            NULL);
    else
        source->rows[source->n_rows++] = row;
}

static void take_fixed(struct gathering *at, const survey_row *row, enum survey_column ours) {
    log_source *source = log_source_of(at->log, ours);
    if (source->fixed || source->n_rows)
        say(at, FINDINGS_LOG_TWICE_MAPPED, row, COLUMN_COLUMNS_VALUE, survey_column_name(ours),
            NULL);
    else
        source->fixed = value_of(at, row, ours);
}

static void take_word(struct gathering *at, const survey_row *row, enum survey_column ours) {
    const char *means = value_of(at, row, ours);
    if (means)
        at->log->words[at->log->n_words++] =
            (log_word){ours, survey_string(row, COLUMN_COLUMNS_THEIR_VALUE), means};
}

/* The column of readings.csv that a row is about; SURVEY_N_COLUMNS with a finding: none. */
static enum survey_column ours_of(struct gathering *at, const survey_row *row) {
    const survey_unit *unit;
    char hint[SURVEY_HINT_SIZE];
    enum survey_column ours = survey_column_called(
        SURVEY_TABLE_READINGS, survey_get(row, COLUMN_COLUMNS_OURS)->cell, &unit);
    if (ours == SURVEY_N_COLUMNS) {
        survey_hint(hint, survey_string(row, COLUMN_COLUMNS_OURS),
                    &survey_columns[first_ours].name,
                    survey_table_columns(SURVEY_TABLE_READINGS), sizeof *survey_columns);
        say(at, FINDINGS_LOG_OUR_COLUMN, row, COLUMN_COLUMNS_OURS, hint, NULL);
    } else if (unit) {
        log_source_of(at->log, ours)->unit = unit;
    }
    return ours;
}

static void take_row(struct gathering *at, const survey_row *row) {
    bool theirs = !survey_blank(row, COLUMN_COLUMNS_THEIRS);
    bool word = !survey_blank(row, COLUMN_COLUMNS_THEIR_VALUE);
    bool value = !survey_blank(row, COLUMN_COLUMNS_VALUE);
    at->log->bad = at->log->bad || survey_row_bad(row);
    enum survey_column ours = survey_row_bad(row) ? SURVEY_N_COLUMNS : ours_of(at, row);
    if (ours == SURVEY_N_COLUMNS)
        return;
    take_unit(at, row, ours);
    if (theirs && value && !word)
        say(at, FINDINGS_LOG_HALF, row, COLUMN_COLUMNS_VALUE, NULL, NULL);
    else if (!theirs && !value && !word)
        say(at, FINDINGS_LOG_BLANK, row, COLUMN_COLUMNS_THEIRS, NULL, NULL);
    else if (!theirs && !word)
        take_fixed(at, row, ours);
    if (theirs)
        take_their_column(at, row, ours);
    if (word)
        take_word(at, row, ours);
}

/* ---- what a log must have ---- */

static bool has(log_mapping *log, enum survey_column ours) {
    const log_source *source = log_source_of(log, ours);
    return source->n_rows || source->fixed;
}

static void say_lacking(struct gathering *at, const survey_row *row, const char *what) {
    say(at, FINDINGS_LOG_LACKS, row, COLUMN_COLUMNS_FILE, what, NULL);
}

/* Where only one hears, it is the one that heard. */
static void default_listener(struct gathering *at) {
    const earshot_survey *survey = at->load->survey;
    const survey_device *only = NULL;
    for (size_t i = 0; i < survey->n_devices; i++) {
        if (survey->devices[i].role == SURVEY_SENSOR)
            continue;
        if (only)
            return;
        only = &survey->devices[i];
    }
    if (!only)
        return;
    log_source_of(at->log, COLUMN_READINGS_HEARD_AT)->fixed = only->name;
    findings_add(at->load->findings, FINDINGS_DEFAULT_USED,
                 survey_place(at->load, SURVEY_TABLE_COLUMNS),
                 (const char *const[4]){"heard_at", only->name,
                                        "the only one that hears, of logs that do not say"});
}

static void check_whole(struct gathering *at, const survey_row *row) {
    log_mapping *log = at->log;
    bool noise = has(log, COLUMN_READINGS_NOISE), any = false;
    for (size_t i = 0; i < survey_table_columns(SURVEY_TABLE_READINGS); i++)
        any = any || log->sources[i].n_rows;
    if (!has(log, COLUMN_READINGS_HEARD_AT))
        default_listener(at);
    if (!has(log, COLUMN_READINGS_HEARD_AT))
        say_lacking(at, row, "heard_at");
    if (!noise && !has(log, COLUMN_READINGS_DEVICE) && !has(log, COLUMN_READINGS_X))
        say_lacking(at, row, "device");
    if (!any ||
        (!noise && !has(log, COLUMN_READINGS_READING) && !has(log, COLUMN_READINGS_HEARD)))
        say_lacking(at, row, "reading (or heard)");
}

/* A length that says no unit, in a survey that says none. */
static void check_units(struct gathering *at, const survey_row *row) {
    for (size_t i = 0; i < survey_table_columns(SURVEY_TABLE_READINGS); i++) {
        enum survey_column ours = (enum survey_column)(first_ours + i);
        log_source *source = &at->log->sources[i];
        if (!is_length(ours) || source->unit || !has(at->log, ours))
            continue;
        source->unit = at->load->length_unit;
        if (source->unit)
            continue;
        survey_say(at->load, FINDINGS_LOG_LENGTH_UNIT, source->n_rows ? source->rows[0] : row,
                   COLUMN_COLUMNS_OURS, (const char *const[4]){survey_column_name(ours)});
        at->log->bad = true;
    }
}

void log_gather(survey_load *load, const struct survey_names *callings, size_t first,
                log_mapping *log) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_COLUMNS];
    struct gathering at = {load, callings, log};
    *log = (log_mapping){
        .file = survey_string(&rows->rows[first], COLUMN_COLUMNS_FILE),
        .words = survey_take(load->survey->storage, rows->n - first, sizeof(log_word))};
    for (size_t i = first; log->words && i < rows->n; i++)
        if (strcmp(survey_string(&rows->rows[i], COLUMN_COLUMNS_FILE), log->file) == 0)
            take_row(&at, &rows->rows[i]);
}

void log_check(survey_load *load, size_t first, log_mapping *log) {
    const survey_row *row = &load->tables[SURVEY_TABLE_COLUMNS].rows[first];
    struct gathering at = {.load = load, .log = log};
    if (log->bad || !log->words)
        return;
    check_units(&at, row);
    check_whole(&at, row);
}
