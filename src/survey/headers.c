/* SPDX-License-Identifier: GPL-3.0-or-later */
/* headers.c - which column of its table a header means, and in what unit.
 *
 * A header means the column whose name it is, case, blanks and punctuation aside, or one of the
 * words of headers.h. The unit of a length stands at its end (x_ft, "X 1 ft", "height in cm")
 * or in brackets (x [ft], "x 1 (m)"); where no header, no cell and not the site says one, there
 * is no telling, and a guess would be wrong by a factor of three.
 */
#include <string.h>

#include "rows.h"
#include "text.h"

static const struct {
    enum survey_column column;
    const char *words;
} also[] = {
#define ALSO(table, column, words) {COLUMN_##table##_##column, words},
#include "headers.h"
#undef ALSO
};

enum { PLAIN_SIZE = 64, MAX_SHEET_COLUMNS = 64, LONGEST_UNIT = 8 };

static bool is_plain(char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 0x80;
}

/* Letters and digits alone, in lower case; "" when too long. */
static void plain(char out[PLAIN_SIZE], const char *text, size_t length) {
    size_t n = 0;
    for (size_t i = 0; i < length && n + 1 < PLAIN_SIZE; i++) {
        out[n] = text_lower(text[i]);
        n += is_plain(out[n]);
    }
    out[n + 1 < PLAIN_SIZE ? n : 0] = '\0';
}

/* Whether `word` is one of the words of the list with | between them. */
static bool is_among(const char *word, const char *list) {
    size_t length = strlen(word);
    for (; *list; list += strspn(list, "|")) {
        size_t next = strcspn(list, "|");
        if (next == length && memcmp(list, word, length) == 0)
            return true;
        list += next;
    }
    return false;
}

static bool means(enum survey_column column, const char *word, const char *name) {
    if (word[0] == '\0')
        return false;
    if (strcmp(word, name) == 0)
        return true;
    for (size_t i = 0; i < sizeof also / sizeof *also; i++)
        if (also[i].column == column && is_among(word, also[i].words))
            return true;
    return false;
}

/* A header taken apart. */
struct parts {
    char all[PLAIN_SIZE];   /* letters and digits of the whole */
    char stem[PLAIN_SIZE];  /* without brackets, or without the unit at the end */
    char inner[PLAIN_SIZE]; /* in the brackets; "" when there are none */
    const survey_unit *unit;
};

/* The last word of the header, when it is a unit of length. */
static const survey_unit *last_unit(const char *text, size_t *length) {
    size_t end = *length;
    while (end && !is_plain(text_lower(text[end - 1])))
        end--;
    size_t begin = end;
    while (begin && is_plain(text_lower(text[begin - 1])))
        begin--;
    const survey_unit *unit = survey_unit_called(text + begin, end - begin);
    if (!unit)
        return NULL;
    *length = begin;
    if (begin >= 4 && memcmp(text + begin - 4, " in ", 4) == 0) /* "height in cm" */
        *length = begin - 4;
    return unit;
}

static void take_apart(struct parts *parts, const tables_cell *header) {
    const char *text = header->text;
    size_t length = header->length, open = strcspn(text, "([");
    plain(parts->all, text, length);
    parts->inner[0] = '\0';
    parts->unit = NULL;
    if (text[open]) {
        size_t inner = strcspn(text + open + 1, ")]");
        plain(parts->inner, text + open + 1, inner);
        parts->unit = survey_unit_called(text + open + 1, inner);
        length = open;
    } else {
        parts->unit = last_unit(text, &length);
    }
    plain(parts->stem, text, length);
}

static bool is_length(enum survey_column column) {
    enum survey_kind kind = survey_columns[column].kind;
    return kind == SURVEY_LENGTH || kind == SURVEY_HEIGHT;
}

/* Whether the header is that column's, brackets and unit and all. */
static bool claims(const struct parts *parts, enum survey_column column) {
    const survey_column_kind *kind = &survey_columns[column];
    char name[PLAIN_SIZE], unit[PLAIN_SIZE];
    if (is_length(column)) { /* the name ends in "_m" */
        plain(name, kind->name, strlen(kind->name) - 2);
        return means(column, parts->unit ? parts->stem : parts->all, name);
    }
    plain(name, kind->name, strlen(kind->name));
    if (means(column, parts->all, name))
        return true;
    if (kind->kind != SURVEY_NUMBER || !kind->unit)
        return false;
    plain(unit, kind->unit, strlen(kind->unit));
    return strcmp(parts->inner, unit) == 0 && means(column, parts->stem, name);
}

static void say_header(survey_load *load, enum findings_code code, const tables_sheet *sheet,
                       const tables_cell *cell, const char *second) {
    findings_add(load->findings, code, tables_place(sheet, cell),
                 (const char *const[4]){cell->text, second});
}

static void say_twice(survey_load *load, const tables_sheet *sheet, size_t at,
                      const survey_mapping *map, size_t column, const survey_unit *unit) {
    bool units = map->units[column] && unit && map->units[column] != unit;
    say_header(load, units ? FINDINGS_COLUMN_IN_TWO_UNITS : FINDINGS_COLUMN_TWICE, sheet,
               &sheet->header[at], sheet->header[map->sheet[column]].text);
}

enum survey_column survey_column_called(enum survey_table table, const tables_cell *name,
                                        const survey_unit **unit) {
    struct parts parts;
    take_apart(&parts, name);
    for (size_t i = 0; i < survey_table_columns(table); i++) {
        enum survey_column column = (enum survey_column)(survey_table_first(table) + i);
        if (!claims(&parts, column))
            continue;
        *unit = is_length(column) ? parts.unit : NULL;
        return column;
    }
    return SURVEY_N_COLUMNS;
}

/* False when no column of the table is called so. */
static bool map_one(survey_load *load, enum survey_table table, const tables_sheet *sheet,
                    size_t at, survey_mapping *map) {
    const tables_cell *header = &sheet->header[at];
    const survey_unit *unit;
    enum survey_column column = survey_column_called(table, header, &unit);
    if (column < SURVEY_N_COLUMNS) {
        size_t i = column - map->first;
        if (map->sheet[i] != EARSHOT_NONE) {
            say_twice(load, sheet, at, map, i, unit);
            return true;
        }
        map->sheet[i] = at;
        map->units[i] = unit;
        return true;
    }
    char hint[SURVEY_HINT_SIZE];
    survey_hint(hint, header->text, &survey_columns[map->first].name, map->n,
                sizeof *survey_columns);
    say_header(load, FINDINGS_COLUMN_UNKNOWN, sheet, header, hint);
    return false;
}

/* The header that was perhaps meant, one that is no column of the table: "rename 'Devise' to
 * it". */
static void mend_missing(char out[SURVEY_HINT_SIZE], const tables_sheet *sheet,
                         const bool *unknown, const char *column) {
    static const char rename[] = "rename '", to_it[] = "' to it";
    const char *headers[MAX_SHEET_COLUMNS] = {NULL};
    size_t n = 0, near;
    for (size_t at = 0; at < sheet->n_columns && at < MAX_SHEET_COLUMNS; at++)
        if (unknown[at])
            headers[n++] = sheet->header[at].text;
    strcpy(out, "add it to the first row");
    if (!text_nearest(column, headers, n, &near, 1))
        return;
    size_t length = strlen(headers[near]); /* a near word is short */
    memcpy(out, rename, sizeof rename);
    memcpy(out + sizeof rename - 1, headers[near], length);
    memcpy(out + sizeof rename - 1 + length, to_it, sizeof to_it);
}

findings_place survey_header_place(const tables_sheet *sheet) {
    return (findings_place){
        .file = sheet->file, .order = sheet->order, .line = sheet->header[0].line};
}

void survey_say_missing(survey_load *load, const tables_sheet *sheet, enum survey_column column,
                        const char *mend) {
    findings_add(load->findings, FINDINGS_COLUMN_MISSING, survey_header_place(sheet),
                 (const char *const[4]){survey_columns[column].name, mend});
}

/* ---- units and decimal marks ---- */

static const tables_cell *cell_at(const tables_sheet *sheet, size_t row, size_t column) {
    return &sheet->cells[row * sheet->n_columns + column];
}

/* Whether some cell of a column without a unit is a plain number: it may be anything. */
static bool needs_unit(const tables_sheet *sheet, size_t column) {
    for (size_t row = 0; row < sheet->n_rows; row++) {
        double number;
        const survey_unit *unit;
        const tables_cell *cell = cell_at(sheet, row, column);
        if (survey_read_with_unit(cell, sheet->decimal, &number, &unit) == TEXT_NUMBER_OK &&
            !unit)
            return true;
    }
    return false;
}

/* Gives columns without a unit the site's; without one, says so and leaves the column out. */
static void settle_units(survey_load *load, const tables_sheet *sheet, survey_mapping *map) {
    for (size_t i = 0; i < map->n; i++) {
        enum survey_column column = (enum survey_column)(map->first + i);
        if (map->sheet[i] == EARSHOT_NONE || map->units[i] || !is_length(column))
            continue;
        map->units[i] = load->length_unit;
        map->without_unit[i] = !load->length_unit && needs_unit(sheet, map->sheet[i]);
        if (!map->without_unit[i])
            continue;
        char stem[PLAIN_SIZE];
        size_t length = strlen(survey_columns[column].name) - 2;
        memcpy(stem, survey_columns[column].name, length);
        stem[length] = '\0';
        say_header(load, FINDINGS_LENGTH_WITHOUT_UNIT, sheet, &sheet->header[map->sheet[i]],
                   stem);
    }
}

static bool may_hold_number(enum survey_column column) {
    enum survey_kind kind = survey_columns[column].kind;
    return kind != SURVEY_ID && kind != SURVEY_TEXT && kind != SURVEY_CHOICE;
}

void survey_settle_decimal(tables_sheet *sheet, const survey_mapping *map) {
    bool comma = false, point = false;
    for (size_t i = 0; i < map->n && !comma; i++) {
        if (map->sheet[i] == EARSHOT_NONE ||
            !may_hold_number((enum survey_column)(map->first + i)))
            continue;
        for (size_t row = 0; row < sheet->n_rows && !comma; row++) {
            const tables_cell *cell = cell_at(sheet, row, map->sheet[i]);
            char mark = text_decimal_mark(cell->text, cell->length);
            comma = mark == ',';
            point = point || mark == '.';
        }
    }
    if (comma || point)
        sheet->decimal = comma ? ',' : '.';
}

void survey_map_columns(survey_load *load, enum survey_table table, tables_sheet *sheet,
                        survey_mapping *map) {
    bool unknown[MAX_SHEET_COLUMNS] = {false};
    char mend[SURVEY_HINT_SIZE];
    *map =
        (survey_mapping){.first = survey_table_first(table), .n = survey_table_columns(table)};
    for (size_t i = 0; i < map->n; i++)
        map->sheet[i] = EARSHOT_NONE;
    for (size_t at = 0; at < sheet->n_columns && at < MAX_SHEET_COLUMNS; at++)
        unknown[at] = !map_one(load, table, sheet, at, map);
    for (size_t i = 0; i < map->n; i++) {
        const survey_column_kind *column = &survey_columns[map->first + i];
        if (map->sheet[i] != EARSHOT_NONE || !column->must)
            continue;
        mend_missing(mend, sheet, unknown, column->name);
        survey_say_missing(load, sheet, (enum survey_column)(map->first + i), mend);
    }
    if (sheet->separator != ',')
        survey_settle_decimal(sheet, map);
    settle_units(load, sheet, map);
    if (map->sheet[0] == EARSHOT_NONE)
        load->broken[table] = true;
}
