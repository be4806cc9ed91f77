/* SPDX-License-Identifier: GPL-3.0-or-later */
/* logs.c - what a meter or a receiver wrote by itself, merged unedited: columns.csv says which
 * column of which file means which column of readings.csv, and in what unit or scale.
 *
 * A log begins where its header stands: the first line that has all the columns that were
 * named; what stands above it, a title or a date, is passed over. Each cell keeps its line and
 * column in the log, so that what is wrong with it is told there. Devices go by what the survey
 * calls them, by zone number, label or serial. Rows that cannot be used are set aside, the
 * others count.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

enum { MOST_HEADER_LINES = 200, MOST_COLUMNS = 64, NAME_SIZE = 80 };

/* dBm into 50 ohm from dB over a microvolt: 90 + 10 log10 50. */
static const double microvolt_db = 106.98970004336019;

/* ---- what columns.csv says of one log ---- */

struct mapped {
    const survey_row *row;
    enum survey_column column; /* of readings.csv */
    const char *theirs;        /* "": a value for all rows */
    size_t at;                 /* column of the log */
};

struct log {
    survey_load *load;
    const earshot_bytes *bytes;
    struct mapped mapped[SURVEY_MAX_COLUMNS];
    size_t n_mapped;
    const char *scale; /* of the readings, where the unit names one; NULL */
};

/* Letters and digits alone, in lower case, to be compared. */
static void plain(char out[NAME_SIZE], const char *text, size_t length) {
    size_t n = 0;
    for (size_t i = 0; i < length && n + 1 < NAME_SIZE; i++) {
        char c = text_lower(text[i]);
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 0x80)
            out[n++] = c;
    }
    out[n] = '\0';
}

static bool same_name(const char *a, size_t length, const char *b) {
    char first[NAME_SIZE], second[NAME_SIZE];
    plain(first, a, length);
    plain(second, b, strlen(b));
    return first[0] && strcmp(first, second) == 0;
}

static const char *base_name(const char *file) {
    const char *slash = strrchr(file, '/');
    return slash ? slash + 1 : file;
}

bool survey_is_log(const survey_load *load, const char *file) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_COLUMNS];
    for (size_t i = 0; i < rows->n; i++)
        if (strcmp(survey_string(&rows->rows[i], COLUMN_COLUMNS_FILE), base_name(file)) == 0)
            return true;
    return false;
}

/* ---- where the log begins ---- */

/* The next cell of a line: [*begin, *end), quotes and blanks around it not in it. */
static const char *next_cell(const char *at, const char *end, char separator,
                             const char **begin, size_t *length) {
    bool quoted = false;
    const char *from = at;
    while (at < end && (quoted || *at != separator)) {
        quoted = *at == '"' ? !quoted : quoted;
        at++;
    }
    const char *to = at;
    while (from < to && (*from == ' ' || *from == '"'))
        from++;
    while (to > from && (to[-1] == ' ' || to[-1] == '"' || to[-1] == '\r'))
        to--;
    *begin = from;
    *length = (size_t)(to - from);
    return at < end ? at + 1 : NULL;
}

/* How many of the named columns stand in a line; where, into the mapping. */
static size_t find_in_line(struct log *log, const char *line, const char *end, char separator,
                           size_t *n_columns) {
    size_t n_found = 0, column = 0;
    for (size_t i = 0; i < log->n_mapped; i++)
        log->mapped[i].at = EARSHOT_NONE;
    for (const char *at = line; at && column < MOST_COLUMNS; column++) {
        const char *begin;
        size_t length;
        at = next_cell(at, end, separator, &begin, &length);
        for (size_t i = 0; i < log->n_mapped; i++) {
            struct mapped *mapped = &log->mapped[i];
            if (mapped->theirs[0] && mapped->at == EARSHOT_NONE &&
                same_name(begin, length, mapped->theirs)) {
                mapped->at = column;
                n_found++;
            }
        }
    }
    *n_columns = column;
    return n_found;
}

struct beginning {
    const char *line, *end; /* of the header */
    char separator;
    size_t n_columns;
};

static size_t n_wanted(const struct log *log) {
    size_t n = 0;
    for (size_t i = 0; i < log->n_mapped; i++)
        n += log->mapped[i].theirs[0] != '\0';
    return n;
}

/* The first line that has all; false: the one that has most is there instead. */
static bool find_beginning(struct log *log, struct beginning *out) {
    static const char separators[] = ",;\t|";
    const char *text = log->bytes->data, *last = text + log->bytes->size;
    size_t most = 0, wanted = n_wanted(log), n_columns;
    *out = (struct beginning){.line = text, .end = text, .separator = ','};
    if (log->bytes->size > 2 && memcmp(text, "\xEF\xBB\xBF", 3) == 0)
        text += 3;
    for (int i = 0; i < MOST_HEADER_LINES && text < last; i++) {
        const char *end = memchr(text, '\n', (size_t)(last - text));
        end = end ? end : last;
        for (const char *separator = separators; *separator; separator++) {
            size_t n = find_in_line(log, text, end, *separator, &n_columns);
            if (n <= most && !(n == wanted && most < wanted))
                continue;
            most = n;
            *out = (struct beginning){text, end, *separator, n_columns};
            if (n == wanted && wanted > 0)
                return true;
        }
        text = end + 1;
    }
    find_in_line(log, out->line, out->end, out->separator, &n_columns);
    return false;
}

/* The log with nothing but line ends above its header, and columns called c1, c2, ... */
static const char *trimmed(const struct log *log, const struct beginning *beginning,
                           size_t *size) {
    const char *data = log->bytes->data, *last = data + log->bytes->size;
    char *copy = survey_take(log->load->survey->storage,
                             log->bytes->size + 5 * beginning->n_columns + 2, 1);
    char number[TEXT_NUMBER_SIZE];
    size_t n = 0;
    if (!copy)
        return NULL;
    for (const char *at = data; at < beginning->line; at++)
        if (*at == '\n')
            copy[n++] = '\n';
    for (size_t i = 0; i < beginning->n_columns; i++) {
        if (i)
            copy[n++] = beginning->separator;
        copy[n++] = 'c';
        size_t digits = text_write_fixed(number, (double)i + 1, 0);
        memcpy(copy + n, number, digits);
        n += digits;
    }
    memcpy(copy + n, beginning->end, (size_t)(last - beginning->end));
    *size = n + (size_t)(last - beginning->end);
    return copy;
}

/* ---- one cell ---- */

static tables_cell *say_text(const struct log *log, const tables_cell *cell, const char *text) {
    tables_cell *changed = survey_take(log->load->survey->storage, 1, sizeof *changed);
    if (!changed)
        return NULL;
    *changed = *cell;
    changed->length = strlen(text);
    changed->text = survey_copy(log->load->survey->storage, text, changed->length);
    return changed->text ? changed : NULL;
}

/* Words that meters write where nothing was received. */
static bool says_silence(const char *text) {
    static const char *const words[] = {"none", "no-signal", "no-rx",   "not-heard",
                                        "lost", "missed",    "timeout", "n/a",
                                        "nan",  "---",       "--"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (survey_same_word(text, words[i]))
            return true;
    return false;
}

static bool is_unit(const char *unit, const char *name) {
    return same_name(unit, strlen(unit), name);
}

/* A level in the unit of the column; what is no number stays as it is, to be spoken of. */
static const tables_cell *convert_level(const struct log *log, const tables_cell *cell,
                                        char decimal, const char *unit) {
    char bare[NAME_SIZE], number[TEXT_NUMBER_SIZE];
    double value;
    size_t length = strcspn(cell->text, "dDb%B");
    if (says_silence(cell->text))
        return say_text(log, cell, "none");
    while (length && cell->text[length - 1] == ' ')
        length--;
    if (length == 0 || length >= NAME_SIZE)
        return cell;
    memcpy(bare, cell->text, length);
    bare[length] = '\0';
    if (text_read_number(bare, length, decimal, &value) != TEXT_NUMBER_OK)
        return cell;
    if (is_unit(unit, "dBuV"))
        value -= microvolt_db;
    else if (is_unit(unit, "dBm without minus"))
        value = -fabs(value);
    text_write_number(number, value);
    return say_text(log, cell, number);
}

/* A device by zone number, label or serial, as the survey calls it; NULL: a stranger, and that
 * has been said. */
static const tables_cell *rename_device(const struct log *log, const tables_cell *cell,
                                        const tables_sheet *sheet) {
    const earshot_survey *survey = log->load->survey;
    size_t rows[2], n = 0;
    for (size_t i = 0; i < survey->n_devices && n < 2; i++)
        if (survey->devices[i].serial && survey->devices[i].serial[0] &&
            strcmp(survey->devices[i].serial, cell->text) == 0)
            rows[n++] = i;
    if (n == 0)
        n = earshot_survey_meant(survey, cell->text, cell->length, rows, 2);
    if (n == 1)
        return say_text(log, cell, survey->devices[rows[0]].name);
    findings_place place = tables_place(sheet, cell);
    place.aside = true;
    if (n == 0)
        place.line = place.column = 0; /* others' devices are many: once for each */
    findings_add(log->load->findings, n ? FINDINGS_LOG_SEVERAL : FINDINGS_LOG_STRANGER, place,
                 (const char *const[4]){cell->text});
    return NULL;
}

/* ---- rows ---- */

static const char *unit_of(const struct mapped *mapped) {
    return survey_string(mapped->row, COLUMN_COLUMNS_UNIT);
}

struct made {
    tables_sheet *sheet;
    size_t scale, trips, heard_at; /* columns of our own behind the mapped ones, or NONE */
};

/* Where only one hears, it is the one that heard. */
static const char *only_listener(const earshot_survey *survey) {
    const char *name = NULL;
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].role != SURVEY_SENSOR)
            name = name ? "" : survey->devices[i].name;
    return name ? name : "";
}

static tables_cell blank_at(const tables_cell *first) {
    return (tables_cell){.text = "",
                         .begin = first->begin,
                         .end = first->begin,
                         .line = first->line,
                         .column = first->column};
}

/* "12/15" or "12 of 15": heard of trips. */
static const tables_cell *split_count(const struct log *log, const tables_cell *cell,
                                      tables_cell *trips) {
    size_t length = strcspn(cell->text, "/o");
    const char *rest = cell->text + length + strspn(cell->text + length, "/of ");
    char heard[NAME_SIZE];
    if (!cell->text[length] || !*rest || length >= NAME_SIZE)
        return cell;
    while (length && cell->text[length - 1] == ' ')
        length--;
    memcpy(heard, cell->text, length);
    heard[length] = '\0';
    const tables_cell *second = say_text(log, cell, rest);
    if (second)
        *trips = *second;
    return say_text(log, cell, heard);
}

/* One cell of ours; NULL: the row is not ours, or there is no memory. */
static const tables_cell *translate(const struct log *log, const struct mapped *mapped,
                                    const tables_sheet *sheet, const tables_cell *cells,
                                    tables_cell *own_trips, const tables_cell *blank) {
    const tables_cell *cell =
        mapped->theirs[0]
            ? &cells[mapped->at]
            : say_text(log, blank, survey_string(mapped->row, COLUMN_COLUMNS_VALUE));
    if (!cell || cell->length == 0)
        return cell;
    switch (mapped->column) {
    case COLUMN_READINGS_DEVICE:
    case COLUMN_READINGS_HEARD_AT:
        return rename_device(log, cell, sheet);
    case COLUMN_READINGS_READING:
    case COLUMN_READINGS_NOISE:
        return convert_level(log, cell, sheet->decimal, unit_of(mapped));
    case COLUMN_READINGS_HEARD:
        return own_trips ? split_count(log, cell, own_trips) : cell;
    default:
        return cell;
    }
}

/* A value of our own, the same in all rows. */
static bool put_own(const struct log *log, const tables_cell *blank, size_t column,
                    const char *value, tables_cell *to) {
    if (column == EARSHOT_NONE)
        return true;
    const tables_cell *cell = say_text(log, blank, value);
    if (cell)
        to[column] = *cell;
    return cell != NULL;
}

static bool make_row(const struct log *log, const tables_sheet *sheet, const struct made *made,
                     size_t from, tables_cell *to) {
    const tables_cell *cells = sheet->cells + from * sheet->n_columns;
    const tables_cell blank = blank_at(&cells[0]);
    if (!put_own(log, &blank, made->scale, log->scale, to) ||
        !put_own(log, &blank, made->heard_at, only_listener(log->load->survey), to))
        return false;
    if (made->trips != EARSHOT_NONE)
        to[made->trips] = blank;
    for (size_t i = 0; i < log->n_mapped; i++) {
        const tables_cell *cell =
            translate(log, &log->mapped[i], sheet, cells,
                      made->trips == EARSHOT_NONE ? NULL : &to[made->trips], &blank);
        if (!cell)
            return false;
        to[i] = *cell;
    }
    return true;
}

static bool has_column(const struct log *log, enum survey_column column) {
    for (size_t i = 0; i < log->n_mapped; i++)
        if (log->mapped[i].column == column)
            return true;
    return false;
}

static tables_cell header_cell(enum survey_column column) {
    const char *name = survey_columns[column].name;
    return (tables_cell){.text = name, .length = strlen(name), .line = 1, .column = 1};
}

/* A sheet as readings.csv would have it. */
static void translate_sheet(struct log *log, tables_sheet *sheet) {
    struct survey_storage *storage = log->load->survey->storage;
    struct made made = {.sheet = survey_take(storage, 1, sizeof *made.sheet),
                        .scale = EARSHOT_NONE,
                        .trips = EARSHOT_NONE,
                        .heard_at = EARSHOT_NONE};
    size_t n = log->n_mapped, n_rows = 0;
    if (log->scale && !has_column(log, COLUMN_READINGS_SCALE))
        made.scale = n++;
    if (has_column(log, COLUMN_READINGS_HEARD) && !has_column(log, COLUMN_READINGS_TRIPS))
        made.trips = n++;
    if (!has_column(log, COLUMN_READINGS_HEARD_AT))
        made.heard_at = n++;
    tables_cell *header = survey_take(storage, n + 1, sizeof *header);
    tables_cell *cells = survey_take(storage, sheet->n_rows * n + 1, sizeof *cells);
    if (!made.sheet || !header || !cells)
        return;
    for (size_t i = 0; i < log->n_mapped; i++)
        header[i] = header_cell(log->mapped[i].column);
    if (made.scale != EARSHOT_NONE)
        header[made.scale] = header_cell(COLUMN_READINGS_SCALE);
    if (made.trips != EARSHOT_NONE)
        header[made.trips] = header_cell(COLUMN_READINGS_TRIPS);
    if (made.heard_at != EARSHOT_NONE)
        header[made.heard_at] = header_cell(COLUMN_READINGS_HEARD_AT);
    for (size_t i = 0; i < sheet->n_rows; i++)
        n_rows += make_row(log, sheet, &made, i, cells + n_rows * n);
    *made.sheet = (tables_sheet){.file = sheet->file,
                                 .order = SURVEY_TABLE_READINGS,
                                 .separator = sheet->separator,
                                 .decimal = '.',
                                 .n_columns = n,
                                 .n_rows = n_rows,
                                 .header = header,
                                 .cells = cells};
    survey_rows_read(log->load, SURVEY_TABLE_READINGS, made.sheet);
}

/* ---- one log ---- */

static void say_missing_columns(struct log *log, const struct beginning *beginning) {
    char cells[MOST_COLUMNS][NAME_SIZE], hint[SURVEY_HINT_SIZE];
    const char *names[MOST_COLUMNS];
    size_t n = 0;
    for (const char *at = beginning->line; at && n < MOST_COLUMNS; n++) {
        const char *begin;
        size_t length;
        at = next_cell(at, beginning->end, beginning->separator, &begin, &length);
        length = length < NAME_SIZE ? length : NAME_SIZE - 1;
        memcpy(cells[n], begin, length);
        cells[n][length] = '\0';
        names[n] = cells[n];
    }
    for (size_t i = 0; i < log->n_mapped; i++) {
        const struct mapped *mapped = &log->mapped[i];
        if (!mapped->theirs[0] || mapped->at != EARSHOT_NONE)
            continue;
        survey_hint(hint, mapped->theirs, names, n, sizeof *names);
        survey_say(log->load, FINDINGS_LOG_COLUMN_MISSING, mapped->row, COLUMN_COLUMNS_THEIRS,
                   (const char *const[4]){mapped->theirs, base_name(log->bytes->name), hint});
    }
}

static void read_log(struct log *log) {
    struct beginning beginning;
    size_t size;
    if (!find_beginning(log, &beginning)) {
        say_missing_columns(log, &beginning);
        return;
    }
    const char *copy = trimmed(log, &beginning, &size);
    tables_sheet *sheet = survey_storage_sheet(log->load->survey->storage);
    earshot_findings *own = earshot_findings_new(); /* its form is nobody's fault here */
    if (copy && sheet && own) {
        const earshot_bytes bytes = {base_name(log->bytes->name), copy, size};
        if (tables_read(&bytes, SURVEY_TABLE_READINGS, own, sheet) == EARSHOT_OK)
            translate_sheet(log, sheet);
        else if (earshot_findings_count(own))
            survey_say(
                log->load, FINDINGS_LOG_UNREADABLE, log->mapped[0].row, COLUMN_COLUMNS_FILE,
                (const char *const[4]){bytes.name, earshot_findings_at(own, 0).sentence});
    }
    earshot_findings_free(own);
}

/* A unit of a level, or a scale of the tables. */
static void take_unit(struct log *log, const struct mapped *mapped) {
    const earshot_survey *survey = log->load->survey;
    const char *unit = unit_of(mapped);
    char hint[SURVEY_HINT_SIZE];
    if (!unit[0] || is_unit(unit, "dBm") || is_unit(unit, "dBuV") ||
        is_unit(unit, "dBm without minus") || mapped->column != COLUMN_READINGS_READING)
        return;
    size_t scale = survey_find(unit, survey->scales, survey->n_scales, sizeof *survey->scales);
    if (scale < survey->n_scales) {
        log->scale = survey->scales[scale].name;
        return;
    }
    survey_hint(hint, unit, survey->scales, survey->n_scales, sizeof *survey->scales);
    survey_say(log->load, FINDINGS_LOG_UNIT_UNKNOWN, mapped->row, COLUMN_COLUMNS_UNIT,
               (const char *const[4]){unit, hint});
}

/* Our column of a row of columns.csv; false, and it has been said, when there is none so
 * called. */
static bool take_column(struct log *log, const survey_row *row) {
    const char *ours = survey_string(row, COLUMN_COLUMNS_OURS);
    const char *names[SURVEY_MAX_COLUMNS];
    char hint[SURVEY_HINT_SIZE];
    size_t first = survey_table_first(SURVEY_TABLE_READINGS);
    size_t n = survey_table_columns(SURVEY_TABLE_READINGS), at = 0;
    for (size_t i = 0; i < n; i++)
        names[i] = survey_columns[first + i].name;
    while (at < n && !survey_same_word(ours, names[at]))
        at++;
    if (at == n) {
        survey_hint(hint, ours, names, n, sizeof *names);
        survey_say(log->load, FINDINGS_LOG_OUR_COLUMN, row, COLUMN_COLUMNS_OURS,
                   (const char *const[4]){ours, hint});
        return false;
    }
    if (log->n_mapped == SURVEY_MAX_COLUMNS)
        return false;
    struct mapped *mapped = &log->mapped[log->n_mapped++];
    *mapped = (struct mapped){.row = row,
                              .column = (enum survey_column)(first + at),
                              .theirs = survey_string(row, COLUMN_COLUMNS_THEIRS),
                              .at = EARSHOT_NONE};
    take_unit(log, mapped);
    return true;
}

static const earshot_bytes *find_file(const survey_load *load, const char *file) {
    for (size_t i = 0; i < load->n_given; i++)
        if (strcmp(base_name(load->given[i].name), file) == 0)
            return &load->given[i];
    return NULL;
}

static void say_no_file(survey_load *load, const survey_row *row, const char *file) {
    enum { MOST_FILES = 64 };
    const char *names[MOST_FILES];
    char hint[SURVEY_HINT_SIZE];
    size_t n = 0;
    for (size_t i = 0; i < load->n_given && n < MOST_FILES; i++)
        if (survey_table_of(load->given[i].name) == SURVEY_N_TABLES)
            names[n++] = base_name(load->given[i].name);
    survey_hint(hint, file, names, n, sizeof *names);
    survey_say(load, FINDINGS_LOG_NO_FILE, row, COLUMN_COLUMNS_FILE,
               (const char *const[4]){file, hint});
}

static bool named_before(const survey_rows *rows, size_t i) {
    for (size_t j = 0; j < i; j++)
        if (strcmp(survey_string(&rows->rows[j], COLUMN_COLUMNS_FILE),
                   survey_string(&rows->rows[i], COLUMN_COLUMNS_FILE)) == 0)
            return true;
    return false;
}

void survey_read_logs(survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_COLUMNS];
    load->survey->logs =
        survey_take(load->survey->storage, rows->n + 1, sizeof *load->survey->logs);
    for (size_t i = 0; load->survey->logs && i < rows->n; i++) {
        const char *file = survey_string(&rows->rows[i], COLUMN_COLUMNS_FILE);
        struct log log = {.load = load, .bytes = find_file(load, file)};
        bool good = true;
        if (!file[0] || named_before(rows, i))
            continue;
        if (!log.bytes) {
            say_no_file(load, &rows->rows[i], file);
            continue;
        }
        for (size_t j = i; j < rows->n; j++)
            if (strcmp(survey_string(&rows->rows[j], COLUMN_COLUMNS_FILE), file) == 0)
                good = take_column(&log, &rows->rows[j]) && good;
        load->survey->logs[load->survey->n_logs++] = file;
        if (good)
            read_log(&log);
    }
}

bool survey_holds_readings(const earshot_survey *survey, const char *file) {
    bool holds = strcmp(file, "readings.csv") == 0;
    for (size_t i = 0; i < survey->n_logs && !holds; i++)
        holds = strcmp(file, survey->logs[i]) == 0;
    return holds;
}
