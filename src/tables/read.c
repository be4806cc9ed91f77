/* SPDX-License-Identifier: GPL-3.0-or-later */
/* read.c - CSV bytes to a sheet of cells that know their place.
 *
 * libcsv finds the cells ([RFC 4180], and semicolons or tabs for commas) but tells no
 * positions. It is fed one byte at a time, so that when it reports a cell or a row, the byte at
 * hand is the one that ended it: spans, lines and columns are then a matter of counting.
 * CSV_REPALL_NL makes it report rows without cells too; CSV_STRICT and CSV_STRICT_FINI make it
 * stop at a broken quote instead of guessing, which would swallow the rest of the file into one
 * cell.
 *
 * A row is collected cell by cell. The first row that is not blank is the header; each row
 * after it is appended to the sheet, as wide as the header. Columns without a name are dropped
 * at the end, when it is known that nothing stands in them.
 *
 * A meter's log is read twice: first only until the header is found, with one separator after
 * another, then from there. After a broken quote the reading begins anew in the next line, for
 * where the quote ends is a guess, and one bad row must not cost the others.
 *
 *   [RFC 4180] Common format and MIME type for comma-separated values files, October 2005
 */
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <csv.h>

#include "decode.h"
#include "kind.h"
#include "tables.h"
#include "text.h"

enum {
    MOST_COLUMNS = 64,
    MOST_ROWS = 1000000,
    EXCERPT_SIZE = 44,
    MOST_ABOVE = 1000,  /* rows of a log that may be its header, or stand above it */
    MOST_CELL_LINES = 8 /* of a log: a quote that is open for longer was never closed */
};

/* Separators of columns; the first of those that stand most often is taken. */
static const char separators[] = ",;\t|";
enum { N_SEPARATORS = sizeof separators - 1 };

/* Where a byte is. */
struct spot {
    size_t at;
    unsigned line, column;
};

/* What the header of a log is looked for by, and the best one so far. */
struct header {
    const char *const *names;
    size_t n_names;
    size_t n_had, n_cells; /* names that it has, and cells with a text */
    unsigned line;         /* 0: none yet */
    char separator;
    size_t n_looked_at;
};

struct reader {
    const unsigned char *bytes;
    size_t end;  /* of the bytes that are text */
    size_t size; /* of all bytes */
    char separator;
    findings_place place;
    earshot_findings *findings;
    enum earshot_status status; /* anything but OK: there will be no sheet */
    bool stopped;               /* reading on makes no sense */

    struct spot here;       /* the byte at hand */
    struct spot cell_begin; /* of the cell at hand */
    struct spot row_begin;  /* of the row at hand */
    size_t row_texts;       /* how many bytes of texts came before that row */
    bool ended, row_ended;  /* the byte at hand ended a cell, or a row too */

    struct header *log; /* NULL: a table, and its first row is the header */
    bool searching;     /* for the header of a log: nothing is kept */

    char *texts; /* the file's name, then the text of each cell, all with a NUL */
    size_t texts_size;

    tables_cell row[MOST_COLUMNS]; /* the row at hand, as far as it is kept */
    size_t n_in_row;               /* all its cells */
    bool row_blank;                /* so far */
    tables_cell beyond; /* of a log: the first cell with a text right of the header */

    tables_cell header[MOST_COLUMNS];
    size_t width;   /* of the header; 0 before it was read */
    size_t n_named; /* of a log: all cells of the header, those that are not kept too */
    tables_cell
        under_blank[MOST_COLUMNS]; /* first cell with a text below a header without one */

    tables_cell *cells;
    size_t n_rows, row_capacity;
};

/* ---- findings ---- */

/* An error after which there is no telling what the file means; of a log, what is set aside. */
static void refuse(struct reader *reader, enum findings_code code, unsigned line,
                   unsigned column, const char *const slots[FINDINGS_N_SLOTS]) {
    findings_place place = reader->place;
    place.line = line;
    place.column = column;
    place.aside = reader->log != NULL;
    bool above = reader->log && reader->width == 0; /* the header: of no account */
    if (!above) {
        findings_add(reader->findings, code, place, slots);
    }
    if (!place.aside) {
        reader->status = EARSHOT_INVALID;
    }
}

/* As refuse, and the rest of the file is not read. */
static void refuse_and_stop(struct reader *reader, enum findings_code code, struct spot spot,
                            const char *const slots[FINDINGS_N_SLOTS]) {
    refuse(reader, code, spot.line, spot.column, slots);
    reader->stopped = true;
}

/* The cell at hand up to and with the character at hand, or its beginning where that is long.
 */
static void excerpt(const struct reader *reader, char out[EXCERPT_SIZE]) {
    const char *begin = (const char *)reader->bytes + reader->cell_begin.at;
    size_t end = reader->here.at + (reader->here.at < reader->end);
    while (end < reader->end && (reader->bytes[end] & 0xC0) == 0x80) {
        end++;
    }
    size_t length = end - reader->cell_begin.at;
    if (length >= EXCERPT_SIZE) {
        length = text_utf8_valid(begin, EXCERPT_SIZE - 1);
    }
    memcpy(out, begin, length);
    out[length] = '\0';
}

/* ---- cells ---- */

/* Length of the blank that begins at `text`, or 0. A no-break space (U+00A0) comes along when
 * text is pasted from a web page, and nobody can see it. */
static size_t blank_length(const char *text, size_t length) {
    if (length >= 1 &&
        (text[0] == ' ' || text[0] == '\t' || text[0] == '\r' || text[0] == '\n')) {
        return 1;
    }
    return length >= 2 && memcmp(text, "\xC2\xA0", 2) == 0 ? 2 : 0;
}

/* Length of the blank that ends at `end`, behind `length` bytes, or 0. */
static size_t blank_length_before(const char *end, size_t length) {
    if (length >= 1 && blank_length(end - 1, 1) == 1) {
        return 1;
    }
    return length >= 2 && blank_length(end - 2, 2) == 2 ? 2 : 0;
}

/* Keeps a text without the blanks around it. There is always room: a text and its NUL are never
 * longer than the raw cell and the byte that ended it. */
static const char *keep_text(struct reader *reader, const char *text, size_t *length) {
    size_t n;
    while ((n = blank_length(text, *length)) > 0) {
        text += n;
        *length -= n;
    }
    while ((n = blank_length_before(text + *length, *length)) > 0) {
        *length -= n;
    }
    char *kept = reader->texts + reader->texts_size;
    memcpy(kept, text, *length);
    kept[*length] = '\0';
    reader->texts_size += *length + 1;
    return kept;
}

/* A cell with a text, further right than there are columns. The header of a log may go on to
 * the right of what is kept of it. */
static void refuse_beyond(struct reader *reader, const tables_cell *cell) {
    char count[TEXT_NUMBER_SIZE];
    const char *const slots[FINDINGS_N_SLOTS] = {cell->text, count};
    if (reader->log) {
        bool named = reader->width == 0 || reader->n_in_row < reader->n_named;
        reader->beyond = named || reader->beyond.text ? reader->beyond : *cell;
        return;
    }
    if (reader->width == 0) {
        text_write_fixed(count, MOST_COLUMNS, 0);
        if (reader->status == EARSHOT_OK) { /* once is enough */
            refuse(reader, FINDINGS_TOO_MANY_COLUMNS, cell->line, cell->column, slots);
        }
        return;
    }
    text_write_fixed(count, (double)reader->width, 0);
    findings_place place = reader->place;
    place.line = cell->line;
    place.column = cell->column;
    findings_add(reader->findings, FINDINGS_CELL_BEYOND, place, slots);
}

/* Above the header, a cell of nothing but separators is the rest of a row without cells,
 * written by a spreadsheet that puts semicolons only where there are cells. */
static bool says_nothing(const struct reader *reader, const tables_cell *cell) {
    return cell->length == 0 ||
           (reader->width == 0 && strspn(cell->text, separators) == cell->length);
}

/* libcsv has a cell; the byte at hand is the one behind it. */
static void on_cell(void *text, size_t length, void *context) {
    struct reader *reader = context;
    tables_cell cell = {.begin = reader->cell_begin.at,
                        .end = reader->here.at,
                        .line = reader->cell_begin.line,
                        .column = reader->cell_begin.column,
                        .length = length};
    cell.text = keep_text(reader, text, &cell.length);
    bool fits = reader->n_in_row < (reader->width > 0 ? reader->width : MOST_COLUMNS);
    if (fits) {
        reader->row[reader->n_in_row] = cell;
        reader->row_blank = reader->row_blank && says_nothing(reader, &cell);
    } else if (cell.length > 0) {
        refuse_beyond(reader, &cell);
    }
    reader->n_in_row++;
    reader->ended = true;
}

/* ---- rows ---- */

/* Nobody can tell which of two columns of one name is meant. */
static void check_name(struct reader *reader, size_t column) {
    const tables_cell *name = &reader->header[column];
    for (size_t i = 0; i < column && name->length > 0; i++) {
        if (strcmp(reader->header[i].text, name->text) == 0) {
            char first[TABLES_LETTERS_SIZE], second[TABLES_LETTERS_SIZE];
            tables_letters(i, first);
            tables_letters(column, second);
            refuse(reader, FINDINGS_HEADER_TWICE, name->line, name->column,
                   (const char *const[FINDINGS_N_SLOTS]){name->text, first, second});
            return;
        }
    }
}

/* How many cells of the row at hand are kept. */
static size_t kept_width(const struct reader *reader) {
    return reader->n_in_row < MOST_COLUMNS ? reader->n_in_row : MOST_COLUMNS;
}

static void take_header(struct reader *reader) {
    reader->width = kept_width(reader);
    reader->n_named = reader->n_in_row;
    memcpy(reader->header, reader->row, reader->width * sizeof(tables_cell));
    for (size_t i = 1; i < reader->width && !reader->log; i++) {
        check_name(reader, i);
    }
}

/* Cells that the row lacks are blank, and stand at its end. */
static void fill_row(struct reader *reader) {
    const tables_cell missing = {.text = "",
                                 .begin = reader->here.at,
                                 .end = reader->here.at,
                                 .line = reader->here.line,
                                 .column = reader->here.column};
    for (size_t i = reader->n_in_row; i < reader->width; i++) {
        reader->row[i] = missing;
    }
}

static void look_under_blanks(struct reader *reader) {
    for (size_t i = 0; i < reader->width; i++) {
        if (reader->header[i].length == 0 && reader->under_blank[i].length == 0) {
            reader->under_blank[i] = reader->row[i];
        }
    }
}

static bool make_room(struct reader *reader) {
    if (reader->n_rows < reader->row_capacity) {
        return true;
    }
    size_t capacity = reader->row_capacity ? 2 * reader->row_capacity : 16;
    size_t row_size = reader->width * sizeof(tables_cell);
    if (capacity > SIZE_MAX / row_size) {
        return false;
    }
    tables_cell *cells = realloc(reader->cells, capacity * row_size);
    if (!cells) {
        return false;
    }
    reader->cells = cells;
    reader->row_capacity = capacity;
    return true;
}

static void take_row(struct reader *reader) {
    if (reader->n_rows == MOST_ROWS) {
        char most[TEXT_NUMBER_SIZE];
        text_write_fixed(most, MOST_ROWS, 0);
        refuse_and_stop(reader, FINDINGS_TOO_MANY_ROWS,
                        (struct spot){.line = reader->row[0].line},
                        (const char *const[FINDINGS_N_SLOTS]){most});
        return;
    }
    if (!make_room(reader)) {
        reader->status = EARSHOT_NO_MEMORY;
        reader->stopped = true;
        return;
    }
    fill_row(reader);
    look_under_blanks(reader);
    memcpy(reader->cells + reader->n_rows * reader->width, reader->row,
           reader->width * sizeof(tables_cell));
    reader->n_rows++;
}

/* Whether the row at hand is a better header of the log than the best before it. */
static void consider_header(struct reader *reader) {
    struct header *best = reader->log;
    size_t width = kept_width(reader), n_had = 0, n_cells = 0, again;
    for (size_t i = 0; i < best->n_names; i++) {
        n_had += tables_column_called(reader->row, width, best->names[i], &again) < width;
    }
    for (size_t i = 0; i < width; i++) {
        n_cells += reader->row[i].length > 0;
    }
    if (n_had > best->n_had || (n_had == best->n_had && n_cells > best->n_cells)) {
        best->n_had = n_had;
        best->n_cells = n_cells;
        best->line = reader->row[0].line;
        best->separator = reader->separator;
    }
    reader->stopped = best->n_had == best->n_names || ++best->n_looked_at == MOST_ABOVE;
}

/* A row of a log: it may stand above the header, be the header, or be set aside. */
static void take_log_row(struct reader *reader) {
    if (reader->searching) {
        consider_header(reader);
    } else if (reader->width == 0 && reader->row[0].line == reader->log->line) {
        take_header(reader);
        return;
    } else if (reader->width > 0 && reader->beyond.text) {
        char count[TEXT_NUMBER_SIZE];
        text_write_fixed(count, (double)reader->n_named, 0);
        refuse(reader, FINDINGS_CELL_BEYOND, reader->beyond.line, reader->beyond.column,
               (const char *const[FINDINGS_N_SLOTS]){reader->beyond.text, count});
    } else if (reader->width > 0) {
        take_row(reader);
        return;
    }
    reader->texts_size = reader->row_texts;
}

/* Nothing is left of the row at hand. */
static void forget_row(struct reader *reader) {
    reader->n_in_row = 0;
    reader->row_blank = true;
    reader->beyond = (tables_cell){0};
}

/* libcsv has a row; the byte at hand is the one behind it. A row without cells is an empty
 * line, or the gap between CR and LF. */
static void on_row(int terminator, void *context) {
    (void)terminator;
    struct reader *reader = context;
    if (!reader->row_blank && reader->log) {
        take_log_row(reader);
    } else if (!reader->row_blank && reader->width == 0) {
        take_header(reader);
    } else if (!reader->row_blank) {
        take_row(reader);
    }
    forget_row(reader);
    reader->ended = true;
    reader->row_ended = true;
}

/* ---- bytes ---- */

/* The separator, when the file begins with a line that names it: sep=; (a convention of
 * spreadsheets), in quotes or not. Puts the length of that line, with its end, at `*length`. */
static char told_separator(const unsigned char *bytes, size_t size, size_t *length) {
    size_t quote = size > 0 && bytes[0] == '"', at = quote + 5 + quote;
    if (size < at || memcmp(bytes + quote, "sep=", 4) != 0 || (quote && bytes[5 + 1] != '"') ||
        !memchr(separators, bytes[quote + 4], N_SEPARATORS)) {
        return '\0';
    }
    size_t line_end = at;
    while (line_end < size && bytes[line_end] != '\n' && bytes[line_end] != '\r') {
        if (!strchr(",; \t", bytes[line_end++])) { /* empty cells up to the last column */
            return '\0';
        }
    }
    line_end += line_end + 1 < size && memcmp(bytes + line_end, "\r\n", 2) == 0;
    *length = line_end + (line_end < size);
    return (char)bytes[quote + 4];
}

static char most_frequent(const size_t counts[N_SEPARATORS]) {
    size_t most = 0;
    for (size_t i = 1; i < N_SEPARATORS; i++) {
        most = counts[i] > counts[most] ? i : most;
    }
    return separators[most];
}

/* Whichever separator stands most often in the first line that is not blank, outside of quotes;
 * the comma on a tie. */
static char choose_separator(const unsigned char *bytes, size_t begin, size_t end) {
    size_t counts[N_SEPARATORS] = {0};
    bool quoted = false, blank = true;
    for (size_t i = begin; i < end; i++) {
        unsigned char byte = bytes[i];
        const char *separator = byte ? strchr(separators, byte) : NULL;
        quoted = quoted != (byte == '"');
        if (quoted) {
            blank = false;
        } else if (separator) {
            counts[separator - separators]++;
        } else if (byte == '\n' || byte == '\r') {
            if (!blank) {
                break;
            }
            memset(counts, 0, sizeof counts);
        } else if (byte != ' ') {
            blank = false;
        }
    }
    return most_frequent(counts);
}

/* Steps over the byte at hand. A line ends with LF, CR LF, or a CR alone. */
static void step(struct reader *reader) {
    struct spot *here = &reader->here;
    unsigned char byte = reader->bytes[here->at++];
    bool pair = byte == '\r' && here->at < reader->end && reader->bytes[here->at] == '\n';
    if (byte == '\n' || (byte == '\r' && !pair)) {
        here->line++;
        here->column = 1;
    } else if ((byte & 0xC0) != 0x80) { /* the first byte of a character */
        here->column++;
    }
    if (reader->ended) {
        reader->cell_begin = *here;
        reader->ended = false;
    }
    if (reader->row_ended) {
        reader->row_begin = *here;
        reader->row_texts = reader->texts_size;
        reader->row_ended = false;
    }
}

/* libcsv refused the byte at hand: a quote inside a cell that did not begin with one, or
 * anything but a separator behind the closing one. */
static void refuse_quote(struct reader *reader) {
    char so_far[EXCERPT_SIZE], line[TEXT_NUMBER_SIZE];
    excerpt(reader, so_far);
    text_write_fixed(line, reader->cell_begin.line, 0);
    bool opened = so_far[strspn(so_far, " \t")] == '"';
    refuse_and_stop(reader, opened ? FINDINGS_QUOTE_AFTER : FINDINGS_QUOTE_INSIDE, reader->here,
                    (const char *const[FINDINGS_N_SLOTS]){so_far, line});
}

/* 12' 6" without quotes around the cell: a quote behind a digit, at the end of a cell that did
 * not begin with one, is the mark of inches and part of the text. */
static bool is_inch_mark(const struct reader *reader) {
    size_t at = reader->here.at, begin = reader->cell_begin.at;
    if (reader->bytes[at] != '"' || at == begin ||
        !strchr("0123456789", reader->bytes[at - 1])) {
        return false;
    }
    while (reader->bytes[begin] == ' ' || reader->bytes[begin] == '\t') {
        begin++;
    }
    for (at++; at < reader->end && reader->bytes[at] == ' '; at++) {
    }
    return reader->bytes[begin] != '"' &&
           (at == reader->end || reader->bytes[at] == (unsigned char)reader->separator ||
            reader->bytes[at] == '\r' || reader->bytes[at] == '\n');
}

/* Sets libcsv to the beginning of a row. */
static void start_parser(const struct reader *reader, struct csv_parser *parser) {
    csv_init(parser, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL | CSV_REPALL_NL);
    csv_set_delim(parser, (unsigned char)reader->separator);
    /* Room for the longest cell at once: libcsv grows by equal steps, which takes forever on a
     * large file with a quote that is never closed. */
    csv_set_blk_size(parser, reader->size + 2);
}

/* Goes on in the line below the one where the row at hand begins. */
static void skip_line(struct reader *reader, struct csv_parser *parser) {
    reader->here = reader->row_begin;
    while (reader->here.at < reader->end && reader->here.line == reader->row_begin.line) {
        step(reader);
    }
    reader->cell_begin = reader->row_begin = reader->here;
    reader->texts_size = reader->row_texts;
    reader->stopped = false;
    forget_row(reader);
    csv_free(parser);
    start_parser(reader, parser);
}

static void refuse_open_quote(struct reader *reader) {
    char so_far[EXCERPT_SIZE];
    excerpt(reader, so_far);
    refuse_and_stop(reader, FINDINGS_QUOTE_OPEN, reader->cell_begin,
                    (const char *const[FINDINGS_N_SLOTS]){so_far});
}

/* Hands over the byte at hand; false when there is no going on in this row. */
static bool feed_byte(struct reader *reader, struct csv_parser *parser) {
    if (reader->log && reader->here.line > reader->cell_begin.line + MOST_CELL_LINES) {
        refuse_open_quote(reader);
        return false;
    }
    csv_set_quote(parser, is_inch_mark(reader) ? '\0' : '"'); /* no text has a zero byte */
    if (csv_parse(parser, reader->bytes + reader->here.at, 1, on_cell, on_row, reader) == 1) {
        step(reader);
        return true;
    }
    if (csv_error(parser) == CSV_EPARSE) {
        refuse_quote(reader);
        return false;
    }
    reader->status = EARSHOT_NO_MEMORY;
    reader->stopped = true;
    return true;
}

static void feed(struct reader *reader, struct csv_parser *parser) {
    while (!reader->stopped && reader->here.at < reader->end) {
        if (!feed_byte(reader, parser) && reader->log) {
            skip_line(reader, parser);
        }
    }
}

/* ---- what is no text ---- */

static void refuse_bytes(struct reader *reader) {
    static const char *const none[FINDINGS_N_SLOTS] = {NULL};
    char letter[KIND_LETTER_SIZE];
    if (reader->bytes[reader->end] == 0) {
        refuse_and_stop(reader, FINDINGS_ZERO_BYTE, reader->here, none);
        return;
    }
    kind_code_page_letter(reader->bytes, reader->size, reader->end, letter);
    refuse_and_stop(reader, letter[0] ? FINDINGS_OLD_CODE_PAGE : FINDINGS_NOT_UTF8,
                    reader->here, (const char *const[FINDINGS_N_SLOTS]){letter});
}

/* A file whose first bytes tell that reading it makes no sense; false when it is none. */
static bool refuse_whole(struct reader *reader) {
    const char *what = kind_other_file(reader->bytes, reader->size);
    bool utf16 = !what && kind_is_utf16(reader->bytes, reader->size);
    if (!what && !utf16) {
        return false;
    }
    refuse_and_stop(reader, utf16 ? FINDINGS_UTF16 : FINDINGS_OTHER_FILE, (struct spot){0},
                    (const char *const[FINDINGS_N_SLOTS]){what});
    return true;
}

/* The end of the text: of the file, or where it stops being text. */
static void end_text(struct reader *reader, struct csv_parser *parser) {
    static const char *const none[FINDINGS_N_SLOTS] = {NULL};
    if (reader->end < reader->size) {
        refuse_bytes(reader);
        return;
    }
    while (!reader->stopped && csv_fini(parser, on_cell, on_row, reader) != 0) {
        refuse_open_quote(reader);
        if (reader->log) {
            skip_line(reader, parser);
            feed(reader, parser);
        }
    }
    if (reader->width == 0 && reader->status == EARSHOT_OK && !reader->log) {
        refuse_and_stop(reader, FINDINGS_NO_HEADER, (struct spot){0}, none);
    }
}

/* Length of the text in a file: valid UTF-8, and no zero byte. */
static size_t text_length(const earshot_bytes *bytes) {
    if (bytes->size == 0) {
        return 0;
    }
    const char *zero = memchr(bytes->data, 0, bytes->size);
    size_t length = zero ? (size_t)(zero - (const char *)bytes->data) : bytes->size;
    return text_utf8_valid(bytes->data, length);
}

/* Length of the byte order mark. */
static size_t mark_length(const struct reader *reader) {
    return reader->end >= 3 && memcmp(reader->bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

/* The first row begins here. */
static void begin_at(struct reader *reader, struct spot spot) {
    reader->here = reader->cell_begin = reader->row_begin = spot;
    reader->row_texts = reader->texts_size = strlen(reader->place.file) + 1;
    reader->ended = reader->row_ended = reader->stopped = false;
    forget_row(reader);
}

/* Steps over a byte order mark and a line that tells the separator, which it finds. */
static void begin_text(struct reader *reader) {
    size_t mark = mark_length(reader), told = 0;
    if (reader->end > mark) {
        reader->separator = told_separator(reader->bytes + mark, reader->end - mark, &told);
    }
    if (told == 0) {
        reader->separator = choose_separator(reader->bytes, mark, reader->end);
    }
    begin_at(reader, (struct spot){.at = mark + told, .line = 1 + (told > 0), .column = 1});
}

/* Reads from where it was begun to the end. */
static void read_on(struct reader *reader) {
    struct csv_parser parser;
    start_parser(reader, &parser);
    feed(reader, &parser);
    if (!reader->stopped) {
        end_text(reader, &parser);
    }
    csv_free(&parser);
}

static void read_text(struct reader *reader) {
    begin_text(reader);
    read_on(reader);
}

/* Tries one separator after another until a line has all names; then reads from that line. */
static void read_log(struct reader *reader, struct header *log) {
    const struct spot first = {.at = mark_length(reader), .line = 1, .column = 1};
    reader->log = log;
    reader->searching = true;
    for (size_t i = 0; i < N_SEPARATORS && reader->status == EARSHOT_OK &&
                       (log->line == 0 || log->n_had < log->n_names);
         i++) {
        reader->separator = separators[i];
        log->n_looked_at = 0;
        begin_at(reader, first);
        read_on(reader);
    }
    reader->searching = false;
    if (reader->status != EARSHOT_OK) {
        return;
    }
    if (log->line == 0) {
        reader->log = NULL; /* that there are no rows is an error of the whole file */
        refuse(reader, FINDINGS_NO_HEADER, 0, 0, (const char *const[FINDINGS_N_SLOTS]){NULL});
        return;
    }
    reader->separator = log->separator;
    begin_at(reader, first);
    read_on(reader);
}

/* ---- the sheet ---- */

/* The title over a table: one text alone on the first line, and right of it nothing but columns
 * that begin on one later line, where the names must be. */
static const tables_cell *names_below(const struct reader *reader) {
    const tables_cell *first = NULL;
    size_t n_names = 0, n_below = 0;
    for (size_t i = 0; i < reader->width; i++) {
        const tables_cell *below = &reader->under_blank[i];
        n_names += reader->header[i].length > 0;
        if (below->length == 0)
            continue;
        if (first && below->line != first->line)
            return NULL;
        first = first ? first : below;
        n_below++;
    }
    return n_names == 1 && n_below > 1 ? first : NULL;
}

static void say_title(struct reader *reader, const tables_cell *names) {
    size_t at = 0;
    while (reader->header[at].length == 0)
        at++;
    char line[TEXT_NUMBER_SIZE];
    text_write_fixed(line, names->line, 0);
    refuse(reader, FINDINGS_TITLE_ABOVE, reader->header[at].line, reader->header[at].column,
           (const char *const[FINDINGS_N_SLOTS]){reader->header[at].text, line});
}

/* A column of texts without a name above them. */
static void check_blank_names(struct reader *reader) {
    const tables_cell *names = names_below(reader);
    if (names) {
        say_title(reader, names);
        return;
    }
    for (size_t i = 0; i < reader->width; i++) {
        const tables_cell *cell = &reader->under_blank[i];
        if (cell->length > 0) {
            char column[TABLES_LETTERS_SIZE], line[TEXT_NUMBER_SIZE];
            tables_letters(i, column);
            text_write_fixed(line, cell->line, 0);
            refuse(reader, FINDINGS_HEADER_BLANK, reader->header[i].line,
                   reader->header[i].column,
                   (const char *const[FINDINGS_N_SLOTS]){column, cell->text, line});
        }
    }
}

/* Drops the cells of columns without a name from a row, but of a log, where columns go by their
 * letters too; returns how many are left. */
static size_t pack_row(const struct reader *reader, const tables_cell *row, tables_cell *out) {
    size_t n = 0;
    for (size_t i = 0; i < reader->width; i++) {
        if (reader->header[i].length > 0 || reader->log) {
            out[n++] = row[i];
        }
    }
    return n;
}

/* Hands over what was read. */
static void make_sheet(struct reader *reader, tables_sheet *out) {
    tables_cell *header = malloc(reader->width * sizeof *header);
    if (!header) {
        reader->status = EARSHOT_NO_MEMORY;
        return;
    }
    size_t n_columns = pack_row(reader, reader->header, header);
    for (size_t i = 0; i < reader->n_rows; i++) {
        pack_row(reader, reader->cells + i * reader->width, reader->cells + i * n_columns);
    }
    *out = (tables_sheet){.file = reader->texts,
                          .order = reader->place.order,
                          .separator = reader->separator,
                          .decimal = reader->separator == ';' ? ',' : '.',
                          .n_columns = n_columns,
                          .n_rows = reader->n_rows,
                          .header = header,
                          .cells = reader->cells,
                          .storage = reader->texts};
}

/* Room for the name and all texts; false when there is none. */
static bool open_texts(struct reader *reader, const earshot_bytes *bytes) {
    size_t name_size = strlen(bytes->name) + 1;
    if (bytes->size > SIZE_MAX - name_size - 1) {
        return false;
    }
    reader->texts = malloc(name_size + bytes->size + 1);
    if (!reader->texts) {
        return false;
    }
    memcpy(reader->texts, bytes->name, name_size);
    reader->texts_size = name_size;
    return true;
}

static enum earshot_status read_file(const earshot_bytes *bytes, unsigned order,
                                     struct header *log, earshot_findings *findings,
                                     tables_sheet *out) {
    struct reader reader = {.bytes = bytes->data,
                            .end = text_length(bytes),
                            .size = bytes->size,
                            .place = {.file = bytes->name, .order = order},
                            .findings = findings,
                            .status = EARSHOT_NO_MEMORY};
    if (open_texts(&reader, bytes)) {
        reader.status = EARSHOT_OK;
        if (!refuse_whole(&reader) && log) {
            read_log(&reader, log);
        } else if (!reader.stopped) {
            read_text(&reader);
            check_blank_names(&reader);
        }
    }
    if (reader.status == EARSHOT_OK) {
        make_sheet(&reader, out);
    }
    if (reader.status == EARSHOT_NO_MEMORY) {
        findings_add(findings, FINDINGS_MEMORY, reader.place, NULL);
    }
    if (reader.status != EARSHOT_OK) {
        free(reader.cells);
        free(reader.texts);
    }
    return reader.status;
}

static bool may_be_read(const earshot_bytes *bytes, const earshot_findings *findings,
                        const tables_sheet *out) {
    return bytes && bytes->name && (bytes->data || bytes->size == 0) && findings && out;
}

enum earshot_status tables_read(const earshot_bytes *bytes, unsigned order,
                                earshot_findings *findings, tables_sheet *out) {
    return may_be_read(bytes, findings, out) ? read_file(bytes, order, NULL, findings, out)
                                             : EARSHOT_MISUSE;
}

enum earshot_status tables_read_log(const earshot_bytes *bytes, unsigned order,
                                    const char *const *names, size_t n_names,
                                    earshot_findings *findings, tables_sheet *out) {
    struct header header = {.names = names, .n_names = n_names};
    earshot_bytes decoded;
    char *owned;
    if (!may_be_read(bytes, findings, out) || !names || !n_names) {
        return EARSHOT_MISUSE;
    }
    if (!decode_log(bytes, &decoded, &owned)) {
        findings_add(findings, FINDINGS_MEMORY,
                     (findings_place){.file = bytes->name, .order = order}, NULL);
        return EARSHOT_NO_MEMORY;
    }
    enum earshot_status status = read_file(&decoded, order, &header, findings, out);
    free(owned);
    return status;
}

void tables_close(tables_sheet *sheet) {
    free(sheet->header);
    free(sheet->cells);
    free(sheet->storage);
    *sheet = (tables_sheet){0};
}

findings_place tables_place(const tables_sheet *sheet, const tables_cell *cell) {
    return (findings_place){
        .file = sheet->file, .order = sheet->order, .line = cell->line, .column = cell->column};
}
