/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rows.c - sheets to typed rows, by the list of columns in columns.h, and what other rows call
 * them.
 *
 * Headers are read in headers.c, cells in cells.c; here rows are put together, those of a
 * survey's own materials over the shipped ones, and references are looked up, with a hint of
 * what was meant where there is no such name.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

#define MUST true
#define MAY false
const survey_column_kind survey_columns[SURVEY_N_COLUMNS] = {
#define TABLE(table, name, kind)
#define COLUMN(table, column, name, kind, needed, min, max, unit)                              \
    {name, SURVEY_TABLE_##table, SURVEY_##kind, needed, min, max, unit, UNREADABLE_##kind},
#define UNREADABLE_HEIGHT FINDINGS_HEIGHT_UNREADABLE
#define UNREADABLE_ID 0
#define UNREADABLE_TEXT 0
#define UNREADABLE_VALUE 0
#define UNREADABLE_NUMBER 0
#define UNREADABLE_COUNT 0
#define UNREADABLE_TALLY 0
#define UNREADABLE_LENGTH 0
#define UNREADABLE_CHOICE 0
#include "columns.h"
#undef TABLE
#undef COLUMN
};

/* Tables and columns counted together: a table stands before its first column. */
enum {
#define TABLE(table, name, kind) BEFORE_##table,
#define COLUMN(table, column, name, kind, needed, min, max, unit) AT_##table##_##column,
#include "columns.h"
#undef TABLE
#undef COLUMN
    N_TOGETHER
};

/* The number of each table's first column, and behind them of the column after the last. */
static const size_t first_columns[SURVEY_N_TABLES + 1] = {
#define TABLE(table, name, kind) BEFORE_##table - SURVEY_TABLE_##table,
#define COLUMN(table, column, name, kind, needed, min, max, unit)
#include "columns.h"
#undef TABLE
#undef COLUMN
    SURVEY_N_COLUMNS};

static const struct {
    const char *name;
    bool materials;
} table_rows[SURVEY_N_TABLES] = {
#define SURVEY false
#define MATERIALS true
#define TABLE(table, name, kind) {name, kind},
#define COLUMN(table, column, name, kind, needed, min, max, unit)
#include "columns.h"
#undef TABLE
#undef COLUMN
#undef SURVEY
#undef MATERIALS
};

const char *survey_table_name(enum survey_table table) {
    return table_rows[table].name;
}

bool survey_table_is_materials(enum survey_table table) {
    return table_rows[table].materials;
}

const char *survey_column_name(enum survey_column column) {
    return survey_columns[column].name;
}

enum survey_table survey_table_of(const char *file) {
    const char *slash = strrchr(file, '/');
    const char *name = slash ? slash + 1 : file;
    size_t length = strlen(name);
    if (length > 4 && strcmp(name + length - 4, ".csv") == 0)
        length -= 4;
    size_t table = 0;
    while (table < SURVEY_N_TABLES && (strlen(table_rows[table].name) != length ||
                                       memcmp(table_rows[table].name, name, length) != 0))
        table++;
    return (enum survey_table)table;
}

enum survey_column survey_table_first(enum survey_table table) {
    return (enum survey_column)first_columns[table];
}

size_t survey_table_columns(enum survey_table table) {
    return first_columns[table + 1] - first_columns[table];
}

/* ---- reading back ---- */

const survey_value *survey_get(const survey_row *row, enum survey_column column) {
    return &row->values[column - first_columns[survey_columns[column].table]];
}

const char *survey_string(const survey_row *row, enum survey_column column) {
    return survey_get(row, column)->cell->text;
}

bool survey_blank(const survey_row *row, enum survey_column column) {
    return survey_get(row, column)->cell->length == 0 && !survey_get(row, column)->bad;
}

double survey_number(const survey_row *row, enum survey_column column, double otherwise) {
    double number = survey_get(row, column)->number;
    return isnan(number) ? otherwise : number;
}

double survey_sound(const survey_row *row, enum survey_column column, double otherwise) {
    return survey_get(row, column)->bad ? NAN : survey_number(row, column, otherwise);
}

bool survey_row_bad(const survey_row *row) {
    size_t n = survey_table_columns((enum survey_table)row->sheet->order);
    for (size_t i = 0; i < n; i++)
        if (row->values[i].bad)
            return true;
    return false;
}

bool survey_table_bad(const survey_load *load, enum survey_table table) {
    bool bad = load->broken[table];
    for (size_t i = 0; i < load->tables[table].n && !bad; i++)
        bad = survey_row_bad(&load->tables[table].rows[i]);
    return bad;
}

const survey_row *survey_row_named(const survey_load *load, enum survey_table table,
                                   const char *name) {
    const survey_rows *rows = &load->tables[table];
    size_t row = survey_names_find(rows->names, 0, name);
    return row == EARSHOT_NONE ? NULL : &rows->rows[row];
}

static findings_place place_of(const survey_row *row, enum survey_column column) {
    findings_place place = tables_place(row->sheet, survey_get(row, column)->cell);
    place.aside = row->sheet->order == SURVEY_TABLE_READINGS;
    return place;
}

void survey_say(survey_load *load, enum findings_code code, const survey_row *row,
                enum survey_column column, const char *const slots[FINDINGS_N_SLOTS]) {
    findings_add(load->findings, code, place_of(row, column), slots);
}

findings_place survey_place(const survey_load *load, enum survey_table table) {
    return (findings_place){.file = load->files[table] ? load->files[table]
                                                       : table_rows[table].name,
                            .order = table};
}

/* ---- telling what may be written ---- */

static bool is_length(enum survey_kind kind) {
    return kind == SURVEY_LENGTH || kind == SURVEY_HEIGHT;
}

bool survey_column_is_height(enum survey_column column) {
    return survey_columns[column].kind == SURVEY_HEIGHT;
}

bool survey_is_unit(const char *unit) {
    static const char *const units[] = {"m", "ft", "in", "cm", "mm", "pace"};
    enum { N_UNITS = sizeof units / sizeof *units };
    return unit && survey_find(unit, units, N_UNITS, sizeof *units) < N_UNITS;
}

void survey_write_header(earshot_text *out, enum survey_column column, const char *unit) {
    const survey_column_kind *row = &survey_columns[column];
    if (is_length(row->kind)) {
        text_add_bytes(out, row->name, strlen(row->name) - 1); /* all but the m */
        text_add(out, unit);
    } else {
        text_add(out, row->name);
    }
}

/* "sensor, receiver or repeater" */
static void write_choices(earshot_text *out, const char *choices) {
    while (*choices) {
        size_t length = strcspn(choices, "|");
        text_add_bytes(out, choices, length);
        choices += length + (choices[length] == '|');
        text_add(out, strchr(choices, '|') ? ", " : *choices ? " or " : "");
    }
}

void survey_write_column(earshot_text *out, enum survey_column column) {
    const survey_column_kind *row = &survey_columns[column];
    char limits[SURVEY_HINT_SIZE];
    text_add(out, row->name);
    text_add(out, row->must ? ", needed" : "");
    if (row->kind == SURVEY_CHOICE) {
        text_add(out, ": ");
        write_choices(out, row->unit);
    } else if (row->min < row->max) {
        survey_limits(limits, row->min, row->max, row->unit);
        text_add(out, row->kind == SURVEY_COUNT || row->kind == SURVEY_TALLY
                          ? ": a whole number between "
                      : row->kind == SURVEY_HEIGHT
                          ? ": ankle, switch, head, ceiling, or a number between "
                          : ": a number between ");
        text_add(out, limits);
    }
}

/* ---- names and hints ---- */

static const char *name_at(const void *names, size_t row, size_t stride) {
    const char *name;
    memcpy(&name, (const char *)names + row * stride, sizeof name);
    return name;
}

size_t survey_find(const char *name, const void *names, size_t n, size_t stride) {
    size_t row = 0;
    while (row < n && strcmp(name_at(names, row, stride), name) != 0)
        row++;
    return row;
}

size_t survey_find_word(const char *word, const void *names, size_t n, size_t stride) {
    size_t row = 0;
    while (row < n && !survey_same_word(name_at(names, row, stride), word))
        row++;
    return row;
}

struct hint {
    char *out;
    size_t length;
};

static bool hint_add(struct hint *hint, const char *string) {
    size_t length = strlen(string);
    if (hint->length + length + 1 > SURVEY_HINT_SIZE)
        return false;
    memcpy(hint->out + hint->length, string, length + 1);
    hint->length += length;
    return true;
}

enum { MAX_KNOWN = 512, N_NEAR = 3, N_LISTED = 12, LONGEST_LISTED = 40 };

static void hint_near(struct hint *hint, const char *const *known, const size_t *near,
                      size_t n_near) {
    hint_add(hint, "did you mean ");
    for (size_t i = 0; i < n_near; i++) {
        hint_add(hint, i == 0 ? "'" : i + 1 == n_near ? "' or '" : "', '");
        hint_add(hint, known[near[i]]);
    }
    hint_add(hint, "'?");
}

/* A word may be a wall and a mount, and is offered once. */
static size_t drop_twins(const char *const *known, size_t *near, size_t n_near) {
    size_t n = 0;
    for (size_t i = 0; i < n_near; i++) {
        bool twin = false;
        for (size_t j = 0; j < n; j++)
            twin = twin || strcmp(known[near[i]], known[near[j]]) == 0;
        if (!twin)
            near[n++] = near[i];
    }
    return n;
}

void survey_hint(char out[SURVEY_HINT_SIZE], const char *word, const void *names, size_t n,
                 size_t stride) {
    const char *known[MAX_KNOWN] = {NULL};
    size_t n_known = 0;
    for (size_t row = 0; row < n && n_known < MAX_KNOWN; row++)
        if (strlen(name_at(names, row, stride)) <= LONGEST_LISTED)
            known[n_known++] = name_at(names, row, stride);
    struct hint hint = {.out = out};
    out[0] = '\0';
    size_t near[N_NEAR];
    size_t n_near = text_nearest(word, known, n_known, near, N_NEAR);
    n_near = drop_twins(known, near, n_near);
    if (n_near) {
        hint_near(&hint, known, near, n_near);
        return;
    }
    hint_add(&hint, n_known ? "known: " : "there is none yet");
    for (size_t i = 0; i < n_known && i < N_LISTED; i++) {
        hint_add(&hint, i ? ", " : "");
        hint_add(&hint, known[i]);
    }
    if (n_known > N_LISTED)
        hint_add(&hint, ", ...");
}

void survey_limits(char out[SURVEY_HINT_SIZE], double min, double max, const char *unit) {
    char number[TEXT_NUMBER_SIZE];
    struct hint limits = {.out = out};
    text_write_number(number, min);
    hint_add(&limits, number);
    hint_add(&limits, " and ");
    text_write_number(number, max);
    hint_add(&limits, number);
    hint_add(&limits, unit ? " " : "");
    hint_add(&limits, unit ? unit : "");
}

/* What to say of a name that is not in its table. */
static enum findings_code unknown_code(enum survey_table of) {
    switch (of) {
    case SURVEY_TABLE_LEVELS:
        return FINDINGS_LEVEL_UNKNOWN;
    case SURVEY_TABLE_WALLS:
        return FINDINGS_WALL_UNKNOWN;
    case SURVEY_TABLE_CONSTRUCTIONS:
        return FINDINGS_CONSTRUCTION_UNKNOWN;
    case SURVEY_TABLE_RADIOS:
        return FINDINGS_RADIO_UNKNOWN;
    case SURVEY_TABLE_MOUNTS:
        return FINDINGS_MOUNT_UNKNOWN;
    case SURVEY_TABLE_SCALES:
        return FINDINGS_SCALE_UNKNOWN;
    case SURVEY_TABLE_DIELECTRICS:
        return FINDINGS_MATERIAL_UNKNOWN;
    default:
        return FINDINGS_DEVICE_UNKNOWN;
    }
}

void survey_hint_at(const survey_load *load, const survey_row *row, enum survey_column column,
                    char out[SURVEY_HINT_SIZE], const char *word,
                    const struct survey_names *names) {
    const char *const *all;
    size_t n = survey_names_all(names, &all);
    out[0] = '\0';
    if (!findings_full(load->findings, place_of(row, column)))
        survey_hint(out, word, all, n, sizeof *all);
}

void survey_begin_names(survey_load *load, enum survey_table table) {
    load->built[table] =
        survey_names_new(load->survey->storage, load->tables[table].n + 1); /* a default */
}

bool survey_name_new(survey_load *load, enum survey_table table, const survey_row *row,
                     enum survey_column column, size_t number, const char *what) {
    const char *name = survey_string(row, column);
    if (name[0] == '\0')
        return false;
    if (survey_names_find(load->built[table], 0, name) == EARSHOT_NONE) {
        survey_names_put(load->built[table], 0, name, number);
        return true;
    }
    survey_say(load, FINDINGS_NAME_TWICE, row, column, (const char *const[4]){name, what});
    return false;
}

/* Names of the materials tables are words, so "Metal frame" is metal-frame; what a survey calls
 * its own devices, walls and levels counts as it is written. */
static size_t find_word(const struct survey_names *names, const char *word) {
    const char *const *all;
    size_t n = survey_names_all(names, &all), i = 0;
    while (i < n && !survey_same_word(word, all[i]))
        i++;
    return i < n ? survey_names_find(names, 0, all[i]) : EARSHOT_NONE;
}

size_t survey_refer_name(survey_load *load, const survey_row *row, enum survey_column column,
                         enum survey_table of, const char *name) {
    size_t found = survey_names_find(load->built[of], 0, name);
    if (found == EARSHOT_NONE && survey_table_is_materials(of))
        found = find_word(load->built[of], name);
    char hint[SURVEY_HINT_SIZE];
    if (found != EARSHOT_NONE || load->broken[of])
        return found;
    survey_hint_at(load, row, column, hint, name, load->built[of]);
    survey_say(load, unknown_code(of), row, column, (const char *const[4]){name, hint});
    return EARSHOT_NONE;
}

size_t survey_refer(survey_load *load, const survey_row *row, enum survey_column column,
                    enum survey_table of) {
    const char *name = survey_string(row, column);
    return name[0] ? survey_refer_name(load, row, column, of, name) : EARSHOT_NONE;
}

/* ---- reading ---- */

/* Blank cells for columns that the file does not have: at the start of each row. */
static const tables_cell *absent_cell(const tables_cell *row, tables_cell *cell) {
    *cell = (tables_cell){
        .text = "", .begin = row->begin, .end = row->begin, .line = row->line, .column = 0};
    return cell;
}

static void read_row(survey_load *load, const tables_sheet *sheet, size_t at,
                     const survey_mapping *map, survey_value *values, tables_cell *absent) {
    const tables_cell *cells = sheet->cells + at * sheet->n_columns;
    for (size_t i = 0; i < map->n; i++) {
        bool here = map->sheet[i] != EARSHOT_NONE;
        values[i] =
            (survey_value){.cell = here ? &cells[map->sheet[i]] : absent_cell(cells, absent),
                           .number = NAN,
                           .of = NAN,
                           .choice = EARSHOT_NONE,
                           .bad = !here && survey_columns[map->first + i].must};
        if (here)
            survey_read_cell(load, sheet, map, i, &values[i]);
    }
}

/* Reads all rows of the sheet; false without memory. */
static bool read_rows(survey_load *load, const tables_sheet *sheet, const survey_mapping *map,
                      survey_row *rows) {
    struct survey_storage *storage = load->survey->storage;
    survey_value *values = survey_take(storage, sheet->n_rows * map->n + 1, sizeof *values);
    tables_cell *absent = survey_take(storage, sheet->n_rows + 1, sizeof *absent);
    if (!values || !absent)
        return false;
    for (size_t i = 0; i < sheet->n_rows; i++) {
        read_row(load, sheet, i, map, values + i * map->n, &absent[i]);
        rows[i] = (survey_row){.sheet = sheet,
                               .values = values + i * map->n,
                               .line = sheet->cells[i * sheet->n_columns].line};
    }
    return !survey_storage_failed(storage);
}

/* ---- merging ---- */

static const char *name_of(const survey_row *row) {
    return row->values[0].cell->text;
}

static struct survey_names *index_rows(survey_load *load, const survey_row *rows, size_t n) {
    struct survey_names *names = survey_names_new(load->survey->storage, n);
    for (size_t i = 0; i < n; i++)
        survey_names_put(names, 0, name_of(&rows[i]), i);
    return names;
}

/* Keeps the earlier rows that the later file does not name again. */
static size_t keep_earlier(survey_row *rows, size_t n_earlier,
                           const struct survey_names *later) {
    size_t kept = 0;
    for (size_t i = 0; i < n_earlier; i++)
        if (survey_names_find(later, 0, name_of(&rows[i])) == EARSHOT_NONE)
            rows[kept++] = rows[i];
    return kept;
}

void survey_rows_add(survey_load *load, enum survey_table table, const tables_sheet *sheet,
                     const survey_mapping *map) {
    survey_rows *all = &load->tables[table];
    survey_row *rows =
        survey_take(load->survey->storage, all->n + sheet->n_rows + 1, sizeof *rows);
    if (!rows)
        return;
    if (all->n)
        memcpy(rows, all->rows, all->n * sizeof *rows);
    survey_row *fresh = rows + all->n;
    if (!read_rows(load, sheet, map, fresh))
        return;
    size_t kept = all->n;
    if (all->n && survey_table_is_materials(table))
        kept = keep_earlier(rows, all->n, index_rows(load, fresh, sheet->n_rows));
    memmove(rows + kept, fresh, sheet->n_rows * sizeof *rows);
    size_t n = kept + sheet->n_rows;
    *all = (survey_rows){.rows = rows, .n = n, .names = index_rows(load, rows, n)};
}

void survey_rows_read(survey_load *load, enum survey_table table, tables_sheet *sheet) {
    survey_mapping map;
    survey_map_columns(load, table, sheet, &map);
    survey_rows_add(load, table, sheet, &map);
}
