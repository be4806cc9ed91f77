/* SPDX-License-Identifier: GPL-3.0-or-later */
/* logs.c - what meters and receivers wrote, as rows of readings.csv.
 *
 * A log is read as it is (tables_read_log) and made a sheet in our words: columns of ours,
 * their cells where they stand, devices by their names. That sheet is read as readings.csv is,
 * so that all checks and sentences are the same and point into the log. A receiver hears the
 * neighbors too: rows of devices that the survey does not have are counted and no more.
 */
#include <string.h>

#include "logs.h"
#include "text.h"

enum { N_OURS = COLUMN_READINGS_USE - COLUMN_READINGS_HEARD_AT + 1 };

/* Who is named in a row: both ends. */
static const enum survey_column ends[] = {COLUMN_READINGS_HEARD_AT, COLUMN_READINGS_DEVICE};
enum { N_ENDS = sizeof ends / sizeof *ends };

/* A row of the log, as far as it counts. */
struct kept {
    size_t row;
    const char *ends[N_ENDS]; /* the devices' names; NULL: as it stands there */
};

struct logging {
    survey_load *load;
    const struct survey_names *callings;
    log_mapping *log;
    const tables_sheet *sheet;
    size_t at[N_OURS][LOG_MOST_JOINED]; /* of each of ours: the sheet's columns */
    struct kept *kept;
    size_t n_kept;
    struct survey_names *strangers; /* devices that the survey does not have */
    size_t n_strangers, n_strange_rows;
    const tables_cell *first_stranger;
};

/* ---- which column ---- */

static void say_no_column(struct logging *at, const survey_row *row) {
    const tables_sheet *sheet = at->sheet;
    char hint[SURVEY_HINT_SIZE];
    const char **names =
        survey_take(at->load->survey->storage, sheet->n_columns, sizeof *names);
    size_t n = 0;
    for (size_t i = 0; names && i < sheet->n_columns; i++)
        if (sheet->header[i].length)
            names[n++] = sheet->header[i].text;
    survey_hint(hint, survey_string(row, COLUMN_COLUMNS_THEIRS), names, n, sizeof *names);
    survey_say(
        at->load, FINDINGS_LOG_COLUMN_MISSING, row, COLUMN_COLUMNS_THEIRS,
        (const char *const[4]){survey_string(row, COLUMN_COLUMNS_THEIRS), sheet->file, hint});
}

/* The sheet's column that a row of columns.csv names, or NONE with a finding. */
static size_t find_column(struct logging *at, const survey_row *row) {
    const tables_sheet *sheet = at->sheet;
    char first[TABLES_LETTERS_SIZE], second[TABLES_LETTERS_SIZE];
    size_t again;
    size_t found = tables_column_called(sheet->header, sheet->n_columns,
                                        survey_string(row, COLUMN_COLUMNS_THEIRS), &again);
    if (found == sheet->n_columns) {
        say_no_column(at, row);
        return EARSHOT_NONE;
    }
    if (again == sheet->n_columns)
        return found;
    tables_letters(found, first);
    tables_letters(again, second);
    findings_add(at->load->findings, FINDINGS_LOG_COLUMN_TWICE,
                 tables_place(sheet, &sheet->header[again]),
                 (const char *const[4]){sheet->header[again].text, first, second});
    return found;
}

/* Finds all columns; false, with findings, when one is missing. */
static bool find_columns(struct logging *at) {
    bool found = true;
    for (size_t i = 0; i < N_OURS; i++)
        for (size_t j = 0; j < at->log->sources[i].n_rows; j++) {
            at->at[i][j] = find_column(at, at->log->sources[i].rows[j]);
            found = found && at->at[i][j] != EARSHOT_NONE;
        }
    return found;
}

/* ---- what a cell says ---- */

static const tables_cell *cell_of(const struct logging *at, size_t row, size_t column) {
    return &at->sheet->cells[row * at->sheet->n_columns + column];
}

/* What a word of theirs means, or the word itself. */
static const char *meaning_of(const struct logging *at, enum survey_column ours,
                              const char *word) {
    for (size_t i = 0; i < at->log->n_words; i++)
        if (at->log->words[i].ours == ours && survey_same_word(at->log->words[i].theirs, word))
            return at->log->words[i].means;
    return word;
}

static void set_text(tables_cell *cell, const char *text) {
    cell->text = text ? text : "";
    cell->length = strlen(cell->text);
}

/* `first`, what is between, `second`: a new text; NULL without memory. */
static const char *join(struct logging *at, const char *first, const char *between,
                        const char *second) {
    const char *const parts[] = {first, between, second};
    size_t length = strlen(first) + strlen(between) + strlen(second);
    char *text = survey_take(at->load->survey->storage, length + 1, 1), *end = text;
    for (size_t i = 0; text && i < sizeof parts / sizeof *parts; i++) {
        memcpy(end, parts[i], strlen(parts[i]));
        end += strlen(parts[i]);
    }
    return text;
}

/* The cell of ours number `i` in a row of theirs. What holds for all rows stands where the row
 * begins. */
static tables_cell translated(struct logging *at, size_t row, size_t i) {
    const log_source *source = &at->log->sources[i];
    tables_cell cell = *cell_of(at, row, source->fixed ? 0 : at->at[i][0]);
    if (source->fixed) {
        set_text(&cell, source->fixed);
        return cell;
    }
    for (size_t j = 1; j < source->n_rows; j++) {
        const tables_cell *further = cell_of(at, row, at->at[i][j]);
        if (further->length)
            set_text(&cell, join(at, cell.text, cell.length ? " " : "", further->text));
    }
    set_text(&cell,
             meaning_of(at, (enum survey_column)(COLUMN_READINGS_HEARD_AT + i), cell.text));
    if (source->negative && text_number_span(cell.text, 1))
        set_text(&cell, join(at, "-", "", cell.text));
    if (source->suffix && cell.length &&
        text_number_span(cell.text, cell.length) == cell.length)
        set_text(&cell, join(at, cell.text, " ", source->suffix));
    return cell;
}

/* ---- whose rows ---- */

/* The line with the names of the columns once more, as a log has it that was begun anew. */
static bool is_header(const struct logging *at, size_t row) {
    bool same = true;
    for (size_t i = 0; i < N_OURS && same; i++)
        for (size_t j = 0; j < at->log->sources[i].n_rows && same; j++)
            same = strcmp(cell_of(at, row, at->at[i][j])->text,
                          at->sheet->header[at->at[i][j]].text) == 0;
    return same;
}

static findings_place place_of(const struct logging *at, const tables_cell *cell) {
    findings_place place = tables_place(at->sheet, cell);
    place.aside = true;
    return place;
}

static void count_stranger(struct logging *at, const tables_cell *cell) {
    at->n_strange_rows++;
    if (survey_names_find(at->strangers, 0, cell->text) != EARSHOT_NONE)
        return;
    survey_names_put(at->strangers, 0, cell->text, at->n_strangers++);
    if (!at->first_stranger)
        at->first_stranger = cell;
}

/* The name of the device that a cell means, NULL where it is to stay as it is; false when the
 * row is of somebody else, or nobody can tell. */
static bool find_end(struct logging *at, size_t row, enum survey_column ours,
                     const char **name) {
    const survey_device *devices = at->load->survey->devices;
    const log_source *source = log_source_of(at->log, ours);
    size_t meant[LOG_MOST_MEANT];
    *name = NULL;
    if (!source->n_rows)
        return true;
    const tables_cell *cell = cell_of(at, row, at->at[ours - COLUMN_READINGS_HEARD_AT][0]);
    const char *word = meaning_of(at, ours, cell->text);
    if (word[0] == '\0' || survey_is_rounded(word))
        return true;
    size_t n =
        log_meant(at->callings, word, word == cell->text ? source->naming : LOG_DEVICE, meant);
    if (n == 1)
        *name = devices[meant[0]].name;
    else if (n == 0)
        count_stranger(at, cell);
    else
        findings_add(
            at->load->findings, FINDINGS_LOG_SEVERAL, place_of(at, cell),
            (const char *const[4]){cell->text, devices[meant[0]].name, devices[meant[1]].name});
    return n == 1;
}

static void keep_row(struct logging *at, size_t row) {
    struct kept kept = {.row = row};
    bool ours = !is_header(at, row);
    for (size_t i = 0; i < N_ENDS && ours; i++)
        ours = find_end(at, row, ends[i], &kept.ends[i]);
    if (ours)
        at->kept[at->n_kept++] = kept;
}

/* "1 row", "41 rows" */
enum { COUNT_SIZE = 2 * TEXT_NUMBER_SIZE };
static void count_of(char out[COUNT_SIZE], size_t n, const char *one, const char *many) {
    text_write_fixed(out, (double)n, 0);
    strcat(strcat(out, " "), n == 1 ? one : many);
}

static void say_strangers(struct logging *at) {
    char rows[COUNT_SIZE], devices[COUNT_SIZE];
    if (!at->first_stranger)
        return;
    count_of(rows, at->n_strange_rows, "row", "rows");
    count_of(devices, at->n_strangers, "device", "devices");
    findings_add(at->load->findings, FINDINGS_LOG_STRANGER, place_of(at, at->first_stranger),
                 (const char *const[4]){rows, devices, at->first_stranger->text});
}

/* Keeps the rows that are of devices of the survey; false without memory. */
static bool keep_rows(struct logging *at) {
    struct survey_storage *storage = at->load->survey->storage;
    at->kept = survey_take(storage, at->sheet->n_rows + 1, sizeof *at->kept);
    at->strangers = survey_names_new(storage, at->sheet->n_rows);
    if (!at->kept || !at->strangers)
        return false;
    for (size_t row = 0; row < at->sheet->n_rows; row++)
        keep_row(at, row);
    say_strangers(at);
    return true;
}

/* ---- the sheet in our words ---- */

/* Which of ours there are, and in which order; and the names above them. */
static size_t map_ours(struct logging *at, survey_mapping *map, tables_cell *header) {
    size_t n = 0;
    *map = (survey_mapping){.first = COLUMN_READINGS_HEARD_AT, .n = N_OURS};
    for (size_t i = 0; i < N_OURS; i++) {
        const log_source *source = &at->log->sources[i];
        enum survey_column ours = (enum survey_column)(COLUMN_READINGS_HEARD_AT + i);
        map->units[i] = source->unit;
        map->sheet[i] = EARSHOT_NONE;
        if (!source->n_rows && !source->fixed)
            continue;
        header[n] = at->sheet->header[source->n_rows ? at->at[i][0] : 0];
        if (!source->n_rows)
            set_text(&header[n], survey_column_name(ours));
        map->sheet[i] = n++;
    }
    return n;
}

static void translate_row(struct logging *at, const struct kept *kept,
                          const survey_mapping *map, tables_cell *cells) {
    for (size_t i = 0; i < N_OURS; i++)
        if (map->sheet[i] != EARSHOT_NONE)
            cells[map->sheet[i]] = translated(at, kept->row, i);
    for (size_t i = 0; i < N_ENDS; i++)
        if (kept->ends[i])
            set_text(&cells[map->sheet[ends[i] - COLUMN_READINGS_HEARD_AT]], kept->ends[i]);
}

/* Makes the sheet in our words, and rows of readings of it. */
static void translate(struct logging *at) {
    struct survey_storage *storage = at->load->survey->storage;
    survey_mapping map;
    tables_sheet *sheet = survey_take(storage, 1, sizeof *sheet);
    tables_cell *header = survey_take(storage, N_OURS, sizeof *header);
    if (!sheet || !header)
        return;
    *sheet = *at->sheet;
    sheet->n_columns = map_ours(at, &map, header);
    sheet->header = header;
    sheet->n_rows = at->n_kept;
    sheet->cells =
        survey_take(storage, at->n_kept * sheet->n_columns + 1, sizeof *sheet->cells);
    for (size_t i = 0; sheet->cells && i < at->n_kept; i++)
        translate_row(at, &at->kept[i], &map, sheet->cells + i * sheet->n_columns);
    if (survey_storage_failed(storage))
        return;
    survey_settle_decimal(sheet, &map);
    survey_rows_add(at->load, SURVEY_TABLE_READINGS, sheet, &map);
}

/* ---- the files ---- */

static size_t list_names(const log_mapping *log, const char *names[N_OURS * LOG_MOST_JOINED]) {
    size_t n = 0;
    for (size_t i = 0; i < N_OURS; i++)
        for (size_t j = 0; j < log->sources[i].n_rows; j++)
            names[n++] = survey_string(log->sources[i].rows[j], COLUMN_COLUMNS_THEIRS);
    return n;
}

static void read_log(survey_load *load, const struct survey_names *callings, log_mapping *log,
                     const earshot_bytes *bytes) {
    const char *names[N_OURS * LOG_MOST_JOINED];
    size_t n = list_names(log, names);
    tables_sheet *sheet = survey_storage_sheet(load->survey->storage);
    struct logging at = {.load = load, .callings = callings, .log = log, .sheet = sheet};
    if (sheet &&
        tables_read_log(bytes, SURVEY_TABLE_READINGS, names, n, load->findings, sheet) ==
            EARSHOT_OK &&
        find_columns(&at) && keep_rows(&at))
        translate(&at);
}

static const char *last_part(const char *file) {
    const char *slash = strrchr(file, '/');
    return slash ? slash + 1 : file;
}

/* Whether a name is of the pattern, where * stands for anything; case aside. */
static bool matches(const char *pattern, const char *name) {
    const char *star = NULL, *from = name;
    while (*name) {
        if (*pattern == '*') {
            star = pattern++;
            from = name;
        } else if (text_lower(*pattern) == text_lower(*name)) {
            pattern++;
            name++;
        } else if (star) {
            pattern = star + 1;
            name = ++from;
        } else {
            return false;
        }
    }
    return pattern[strspn(pattern, "*")] == '\0';
}

/* The name in columns.csv that the file goes by: its own, or else the first that matches it;
 * NULL: none. A table of the survey is no log. */
static const char *named_there(const survey_load *load, const char *file) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_COLUMNS];
    const char *name = last_part(file), *found = NULL;
    if (survey_table_of(name) != SURVEY_N_TABLES)
        return NULL;
    for (size_t i = 0; i < rows->n; i++) {
        const char *pattern = survey_string(&rows->rows[i], COLUMN_COLUMNS_FILE);
        if (strcmp(pattern, name) == 0)
            return pattern;
        if (!found && matches(pattern, name))
            found = pattern;
    }
    return found;
}

bool survey_is_log(const survey_load *load, const char *file) {
    return named_there(load, file) != NULL;
}

static void say_no_file(survey_load *load, const survey_row *row, const char *file) {
    const char **names = survey_take(load->survey->storage, load->n_given + 1, sizeof *names);
    char hint[SURVEY_HINT_SIZE];
    size_t n = 0;
    for (size_t i = 0; names && i < load->n_given; i++)
        if (survey_table_of(load->given[i].name) == SURVEY_N_TABLES)
            names[n++] = last_part(load->given[i].name);
    survey_hint(hint, file, names, n, sizeof *names);
    bool table = survey_table_of(file) != SURVEY_N_TABLES;
    survey_say(load, table ? FINDINGS_LOG_IS_TABLE : FINDINGS_LOG_NO_FILE, row,
               COLUMN_COLUMNS_FILE, (const char *const[4]){file, hint});
}

/* Whether the file goes by that name. */
static bool goes_by(const survey_load *load, size_t i, const char *name) {
    const char *there = named_there(load, load->given[i].name);
    return there && strcmp(there, name) == 0;
}

/* Reads the files that go by the name in row number `first`. */
static void read_named(survey_load *load, const struct survey_names *callings, size_t first) {
    earshot_survey *survey = load->survey;
    log_mapping log;
    size_t i = 0;
    log_gather(load, callings, first, &log);
    while (i < load->n_given && !goes_by(load, i, log.file))
        i++;
    if (i == load->n_given) {
        if (log.file[0])
            say_no_file(load, &load->tables[SURVEY_TABLE_COLUMNS].rows[first], log.file);
        return;
    }
    log_check(load, first, &log);
    for (; i < load->n_given && !log.bad; i++) {
        if (!goes_by(load, i, log.file))
            continue;
        survey->logs[survey->n_logs++] =
            survey_copy(survey->storage, load->given[i].name, strlen(load->given[i].name));
        read_log(load, callings, &log, &load->given[i]);
    }
}

void survey_read_logs(survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_COLUMNS];
    struct survey_storage *storage = load->survey->storage;
    load->survey->logs = survey_take(storage, load->n_given + 1, sizeof *load->survey->logs);
    if (!load->survey->logs || rows->n == 0)
        return;
    struct survey_names *callings = log_callings(load);
    struct survey_names *seen = survey_names_new(storage, rows->n);
    for (size_t i = 0; i < rows->n && !survey_storage_failed(storage); i++) {
        const char *file = survey_string(&rows->rows[i], COLUMN_COLUMNS_FILE);
        if (survey_names_find(seen, 0, file) != EARSHOT_NONE)
            continue;
        survey_names_put(seen, 0, file, i);
        read_named(load, callings, i);
    }
}

bool survey_holds_readings(const earshot_survey *survey, const char *file) {
    bool holds = strcmp(file, "readings.csv") == 0;
    for (size_t i = 0; i < survey->n_logs && !holds; i++)
        holds = strcmp(file, survey->logs[i]) == 0;
    return holds;
}
