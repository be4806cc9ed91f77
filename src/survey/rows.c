/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rows.c - sheets to typed rows, by the list of columns in columns.h.
 *
 * All that can be said of a header or of a cell alone is said here, in one place for all
 * tables: columns missing, unknown or given twice, cells blank that must not be, numbers that
 * are none, values out of their limits, words not on their list. Lengths become meters.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

struct column_row {
    enum survey_table table;
    const char *name;
    enum survey_kind kind;
    bool must;
    double min, max;
    const char *unit; /* of a number, or the words of a choice with | between them */
};

#define MUST true
#define MAY false
static const struct column_row column_rows[SURVEY_N_COLUMNS] = {
#define TABLE(table, name, kind)
#define COLUMN(table, column, name, kind, needed, min, max, unit)                              \
    {SURVEY_TABLE_##table, name, SURVEY_##kind, needed, min, max, unit},
#include "columns.h"
#undef TABLE
#undef COLUMN
};

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

/* Exact: 1 ft = 0.3048 m, 1 in = 25.4 mm (international yard and pound agreement, 1959). A pace
 * has no fixed length: the site says. */
static const struct length_unit {
    const char *suffix, *unit;
    double factor; /* 0: the site's pace */
} length_units[] = {{"_m", "m", 1},      {"_ft", "ft", 0.3048}, {"_in", "in", 0.0254},
                    {"_cm", "cm", 0.01}, {"_mm", "mm", 0.001},  {"_pace", "paces", 0}};

static const char *const pick_words[] = {"", "ankle", "switch", "head", "ceiling"};

enum { MAX_COLUMNS = 24, MAX_SHEET_COLUMNS = 64, UNIT_SIZE = 16 };

const char *survey_table_name(enum survey_table table) {
    return table_rows[table].name;
}

bool survey_table_is_materials(enum survey_table table) {
    return table_rows[table].materials;
}

const char *survey_column_name(enum survey_column column) {
    return column_rows[column].name;
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
    size_t column = 0;
    while (column_rows[column].table != table)
        column++;
    return (enum survey_column)column;
}

size_t survey_table_columns(enum survey_table table) {
    size_t first = survey_table_first(table), n = 0;
    while (first + n < SURVEY_N_COLUMNS && column_rows[first + n].table == table)
        n++;
    return n;
}

/* ---- reading back ---- */

const survey_value *survey_get(const survey_row *row, enum survey_column column) {
    return &row->values[column - survey_table_first(column_rows[column].table)];
}

const char *survey_string(const survey_row *row, enum survey_column column) {
    return survey_get(row, column)->cell->text;
}

bool survey_blank(const survey_row *row, enum survey_column column) {
    return survey_get(row, column)->cell->length == 0;
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
    for (size_t i = 0; i < rows->n; i++)
        if (strcmp(rows->rows[i].values[0].cell->text, name) == 0)
            return &rows->rows[i];
    return NULL;
}

void survey_say(survey_load *load, enum findings_code code, const survey_row *row,
                enum survey_column column, const char *const slots[FINDINGS_N_SLOTS]) {
    findings_place place = tables_place(row->sheet, survey_get(row, column)->cell);
    place.aside = row->sheet->order == SURVEY_TABLE_READINGS;
    findings_add(load->findings, code, place, slots);
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
    return column_rows[column].kind == SURVEY_HEIGHT;
}

bool survey_is_unit(const char *unit) {
    for (size_t i = 0; unit && i < sizeof length_units / sizeof *length_units; i++)
        if (strcmp(length_units[i].suffix + 1, unit) == 0)
            return true;
    return false;
}

void survey_write_header(earshot_text *out, enum survey_column column, const char *unit) {
    const struct column_row *row = &column_rows[column];
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
    const struct column_row *row = &column_rows[column];
    char limits[SURVEY_HINT_SIZE];
    text_add(out, row->name);
    text_add(out, row->must ? ", needed" : "");
    if (row->kind == SURVEY_CHOICE) {
        text_add(out, ": ");
        write_choices(out, row->unit);
    } else if (row->min < row->max) {
        survey_limits(limits, row->min, row->max, row->unit);
        text_add(out, row->kind == SURVEY_COUNT ? ": a whole number between "
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
    default:
        return FINDINGS_DEVICE_UNKNOWN;
    }
}

size_t survey_refer(survey_load *load, const survey_row *row, enum survey_column column,
                    enum survey_table of, const void *names, size_t n, size_t stride) {
    const char *name = survey_string(row, column);
    size_t found = name[0] ? survey_find(name, names, n, stride) : n;
    if (found < n)
        return found;
    if (name[0] == '\0' || load->broken[of])
        return EARSHOT_NONE;
    char hint[SURVEY_HINT_SIZE];
    survey_hint(hint, name, names, n, stride);
    survey_say(load, unknown_code(of), row, column, (const char *const[4]){name, hint});
    return EARSHOT_NONE;
}

/* ---- headers ---- */

/* The unit when `header` is the column called `name` (which ends in "_m") in some unit of
 * length; NULL when it is not. */
static const struct length_unit *length_unit_of(const char *header, const char *name) {
    size_t stem = strlen(name) - 2;
    if (strncmp(header, name, stem) != 0)
        return NULL;
    for (size_t i = 0; i < sizeof length_units / sizeof *length_units; i++)
        if (strcmp(header + stem, length_units[i].suffix) == 0)
            return &length_units[i];
    return NULL;
}

/* How the columns of a sheet map to those of its table. */
struct mapping {
    size_t first, n;                              /* the table's columns */
    size_t sheet[MAX_COLUMNS];                    /* of each: the sheet's column, or NONE */
    const struct length_unit *units[MAX_COLUMNS]; /* of each: what its header says, or NULL */
};

static bool claims(const struct mapping *map, size_t column, const char *header,
                   const struct length_unit **unit) {
    const struct column_row *row = &column_rows[map->first + column];
    *unit = is_length(row->kind) ? length_unit_of(header, row->name) : NULL;
    return is_length(row->kind) ? *unit != NULL : strcmp(header, row->name) == 0;
}

static void say_header(survey_load *load, enum findings_code code, const tables_sheet *sheet,
                       const tables_cell *cell, const char *second) {
    findings_add(load->findings, code, tables_place(sheet, cell),
                 (const char *const[4]){cell->text, second});
}

/* False when no column of the table is called so. */
static bool map_one(survey_load *load, const tables_sheet *sheet, size_t at,
                    struct mapping *map) {
    const tables_cell *header = &sheet->header[at];
    for (size_t column = 0; column < map->n; column++) {
        const struct length_unit *unit;
        if (!claims(map, column, header->text, &unit))
            continue;
        if (map->sheet[column] != EARSHOT_NONE) {
            say_header(load, FINDINGS_COLUMN_IN_TWO_UNITS, sheet, header,
                       sheet->header[map->sheet[column]].text);
            return true;
        }
        map->sheet[column] = at;
        map->units[column] = unit;
        return true;
    }
    char hint[SURVEY_HINT_SIZE];
    survey_hint(hint, header->text, &column_rows[map->first].name, map->n, sizeof *column_rows);
    say_header(load, FINDINGS_COLUMN_UNKNOWN, sheet, header, hint);
    return false;
}

/* The header that was perhaps meant, one that is no column of the table: "rename 'Device' to
 * it". */
static void mend_missing(char out[SURVEY_HINT_SIZE], const tables_sheet *sheet,
                         const bool *unknown, const char *column) {
    const char *headers[MAX_SHEET_COLUMNS] = {NULL};
    size_t n = 0, near;
    for (size_t at = 0; at < sheet->n_columns && at < MAX_SHEET_COLUMNS; at++)
        if (unknown[at])
            headers[n++] = sheet->header[at].text;
    struct hint hint = {.out = out};
    out[0] = '\0';
    if (text_nearest(column, headers, n, &near, 1)) {
        hint_add(&hint, "rename '");
        hint_add(&hint, headers[near]);
        hint_add(&hint, "' to it");
    } else {
        hint_add(&hint, "add it to the first row");
    }
}

void survey_say_missing(survey_load *load, const tables_sheet *sheet, enum survey_column column,
                        const char *mend) {
    findings_add(load->findings, FINDINGS_COLUMN_MISSING,
                 (findings_place){.file = sheet->file, .order = sheet->order, .line = 1},
                 (const char *const[4]){column_rows[column].name, mend});
}

static void map_columns(survey_load *load, enum survey_table table, const tables_sheet *sheet,
                        struct mapping *map) {
    map->first = survey_table_first(table);
    map->n = survey_table_columns(table);
    for (size_t i = 0; i < map->n; i++) {
        map->sheet[i] = EARSHOT_NONE;
        map->units[i] = NULL;
    }
    bool unknown[MAX_SHEET_COLUMNS] = {false};
    char mend[SURVEY_HINT_SIZE];
    for (size_t at = 0; at < sheet->n_columns && at < MAX_SHEET_COLUMNS; at++)
        unknown[at] = !map_one(load, sheet, at, map);
    for (size_t i = 0; i < map->n; i++)
        if (map->sheet[i] == EARSHOT_NONE && column_rows[map->first + i].must) {
            mend_missing(mend, sheet, unknown, column_rows[map->first + i].name);
            survey_say_missing(load, sheet, (enum survey_column)(map->first + i), mend);
        }
    if (map->sheet[0] == EARSHOT_NONE)
        load->broken[table] = true;
}

/* ---- cells ---- */

/* What one cell is read with. */
struct reading_cell {
    survey_load *load;
    const tables_sheet *sheet;
    const struct column_row *column;
    const char *unit; /* that the cell is in; NULL: none */
    double factor;    /* of that unit to the base unit */
};

static void say_cell(const struct reading_cell *at, survey_value *value,
                     enum findings_code code, const char *second, const char *third) {
    findings_place place = tables_place(at->sheet, value->cell);
    place.aside = at->column->table == SURVEY_TABLE_READINGS;
    findings_add(at->load->findings, code, place,
                 (const char *const[4]){value->cell->text, second, third});
    value->bad = true;
}

/* " of dBm", for a sentence; nothing where the number has no unit or the header says it. */
static const char *of_unit(const struct column_row *column, char out[UNIT_SIZE]) {
    struct hint hint = {.out = out};
    out[0] = '\0';
    if (column->kind == SURVEY_NUMBER && column->unit) {
        hint_add(&hint, " of ");
        hint_add(&hint, column->unit);
    }
    return out;
}

static bool read_number(const struct reading_cell *at, survey_value *value, double *number) {
    char unit[UNIT_SIZE];
    switch (
        text_read_number(value->cell->text, value->cell->length, at->sheet->decimal, number)) {
    case TEXT_NUMBER_OK:
        return true;
    case TEXT_NUMBER_COMMA:
        say_cell(at, value, FINDINGS_DECIMAL_COMMA, "", "");
        return false;
    case TEXT_NUMBER_TOO_LARGE:
        say_cell(at, value, FINDINGS_NUMBER_TOO_LARGE, "", "");
        return false;
    default:
        say_cell(at, value, FINDINGS_NUMBER_UNREADABLE, of_unit(at->column, unit), "");
        return false;
    }
}

static void check_limits(const struct reading_cell *at, survey_value *value) {
    const struct column_row *column = at->column;
    if (column->min >= column->max ||
        (value->number >= column->min && value->number <= column->max))
        return;
    char limits[SURVEY_HINT_SIZE];
    survey_limits(limits, column->min / at->factor, column->max / at->factor, at->unit);
    value->number = NAN;
    say_cell(at, value, FINDINGS_OUT_OF_RANGE, limits, "");
}

static void read_quantity(const struct reading_cell *at, survey_value *value) {
    double number;
    if (!read_number(at, value, &number))
        return;
    if (at->column->kind == SURVEY_COUNT && number != floor(number)) {
        say_cell(at, value, FINDINGS_NOT_WHOLE, "", "");
        return;
    }
    value->number = number * at->factor;
    check_limits(at, value);
}

static void read_height(const struct reading_cell *at, survey_value *value) {
    for (size_t i = 1; i < sizeof pick_words / sizeof *pick_words; i++)
        if (strcmp(value->cell->text, pick_words[i]) == 0) {
            value->pick = (enum survey_pick)i;
            return;
        }
    double number;
    if (text_read_number(value->cell->text, value->cell->length, at->sheet->decimal, &number) ==
        TEXT_NUMBER_NOT) {
        say_cell(at, value, FINDINGS_HEIGHT_UNREADABLE, "", "");
        return;
    }
    read_quantity(at, value);
}

/* Splits the words of a choice; returns how many. */
enum { MAX_CHOICES = 16, CHOICES_SIZE = 160 };
static size_t split_choices(const char *list, char copy[CHOICES_SIZE],
                            const char *words[MAX_CHOICES]) {
    size_t length = strlen(list), n = 0;
    memcpy(copy, list, length + 1);
    words[n++] = copy;
    for (size_t i = 0; i < length; i++)
        if (copy[i] == '|') {
            copy[i] = '\0';
            words[n++] = copy + i + 1;
        }
    return n;
}

static void read_choice(const struct reading_cell *at, survey_value *value) {
    char copy[CHOICES_SIZE], hint[SURVEY_HINT_SIZE];
    const char *words[MAX_CHOICES];
    size_t n = split_choices(at->column->unit, copy, words);
    size_t found = survey_find(value->cell->text, words, n, sizeof *words);
    if (found < n) {
        value->choice = found;
        return;
    }
    survey_hint(hint, value->cell->text, words, n, sizeof *words);
    say_cell(at, value, FINDINGS_CHOICE_UNKNOWN, at->column->name, hint);
}

static void read_value(const struct reading_cell *at, survey_value *value) {
    if (value->cell->length == 0) {
        if (at->column->must)
            say_cell(at, value, FINDINGS_CELL_BLANK, at->column->name, "");
        return;
    }
    switch (at->column->kind) {
    case SURVEY_NUMBER:
    case SURVEY_COUNT:
    case SURVEY_LENGTH:
        read_quantity(at, value);
        break;
    case SURVEY_HEIGHT:
        read_height(at, value);
        break;
    case SURVEY_CHOICE:
        read_choice(at, value);
        break;
    case SURVEY_ID:
    case SURVEY_TEXT:
        break;
    }
}

static struct reading_cell cell_reader(survey_load *load, const tables_sheet *sheet,
                                       const struct mapping *map, size_t i) {
    const struct column_row *column = &column_rows[map->first + i];
    const struct length_unit *unit = map->units[i];
    double factor = unit && unit->factor > 0 ? unit->factor : unit ? load->pace_m : 1;
    return (struct reading_cell){load, sheet, column, unit ? unit->unit : column->unit, factor};
}

/* A blank cell for columns that the file does not have: at the start of the row. */
static const tables_cell *absent_cell(survey_load *load, const tables_cell *row) {
    tables_cell *cell = survey_take(load->survey->storage, 1, sizeof *cell);
    if (cell)
        *cell = (tables_cell){
            .text = "", .begin = row->begin, .end = row->begin, .line = row->line, .column = 0};
    return cell;
}

static bool read_row(survey_load *load, const tables_sheet *sheet, size_t at,
                     const struct mapping *map, survey_row *out) {
    const tables_cell *cells = sheet->cells + at * sheet->n_columns;
    survey_value *values = survey_take(load->survey->storage, map->n, sizeof *values);
    const tables_cell *absent = absent_cell(load, cells);
    if (!values || !absent)
        return false;
    for (size_t i = 0; i < map->n; i++) {
        bool here = map->sheet[i] != EARSHOT_NONE;
        values[i] = (survey_value){.cell = here ? &cells[map->sheet[i]] : absent,
                                   .number = NAN,
                                   .choice = EARSHOT_NONE,
                                   .bad = !here && column_rows[map->first + i].must};
        struct reading_cell how = cell_reader(load, sheet, map, i);
        if (here)
            read_value(&how, &values[i]);
    }
    *out = (survey_row){.sheet = sheet, .values = values, .line = cells[0].line};
    return true;
}

/* ---- merging ---- */

static bool named_in(const survey_row *rows, size_t n, const char *name) {
    for (size_t i = 0; i < n; i++)
        if (strcmp(rows[i].values[0].cell->text, name) == 0)
            return true;
    return false;
}

/* Keeps the earlier rows that the later file does not name again. */
static size_t keep_earlier(survey_row *rows, size_t n_earlier, const survey_row *later,
                           size_t n_later) {
    size_t kept = 0;
    for (size_t i = 0; i < n_earlier; i++)
        if (!named_in(later, n_later, rows[i].values[0].cell->text))
            rows[kept++] = rows[i];
    return kept;
}

void survey_rows_read(survey_load *load, enum survey_table table, const tables_sheet *sheet) {
    survey_rows *all = &load->tables[table];
    struct mapping map;
    map_columns(load, table, sheet, &map);
    survey_row *rows =
        survey_take(load->survey->storage, all->n + sheet->n_rows + 1, sizeof *rows);
    if (!rows)
        return;
    if (all->n)
        memcpy(rows, all->rows, all->n * sizeof *rows);
    survey_row *fresh = rows + all->n;
    for (size_t i = 0; i < sheet->n_rows; i++)
        if (!read_row(load, sheet, i, &map, &fresh[i]))
            return;
    size_t kept = all->n;
    if (survey_table_is_materials(table))
        kept = keep_earlier(rows, all->n, fresh, sheet->n_rows);
    memmove(rows + kept, fresh, sheet->n_rows * sizeof *rows);
    *all = (survey_rows){.rows = rows, .n = kept + sheet->n_rows};
}
