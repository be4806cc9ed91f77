/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_read.c - CSV as [RFC 4180] (October 2005) has it, and as spreadsheets write it; where
 * each cell is; what is refused, where, and in which words.
 *
 * Places are counted by hand, and again by a plain count over the bytes (check_place). Of logs
 * of meters: where their header is, and that a row that cannot be read costs no other.
 */
#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "shortage.h"
#include "tables.h"

static enum earshot_status read_file(const char *data, size_t size, earshot_findings *findings,
                                     tables_sheet *sheet) {
    const earshot_bytes bytes = {.name = "walls.csv", .data = data, .size = size};
    return tables_read(&bytes, 4, findings, sheet);
}

static const tables_cell *cell_at(const tables_sheet *sheet, size_t row, size_t column) {
    return row == 0 ? &sheet->header[column]
                    : &sheet->cells[(row - 1) * sheet->n_columns + column];
}

/* A sheet as one string: bars between cells, slashes between rows, the header first. */
static void show(const tables_sheet *sheet, char *out) {
    for (size_t row = 0; row <= sheet->n_rows; row++) {
        for (size_t column = 0; column < sheet->n_columns; column++) {
            const tables_cell *cell = cell_at(sheet, row, column);
            cr_assert_eq(strlen(cell->text), cell->length);
            const char *before = column > 0 ? "|" : row > 0 ? "/" : "";
            out += sprintf(out, "%s%s", before, cell->text);
        }
    }
}

Test(read, what_is_in_the_cells) {
    static const struct {
        const char *source, *file, *want;
        char separator;
    } rows[] = {
        {"RFC 4180 sec. 2, 1: records on lines, CRLF", "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
         "aaa|bbb|ccc/zzz|yyy|xxx", ','},
        {"RFC 4180 sec. 2, 2: the last line may end without CRLF", "aaa,bbb,ccc\r\nzzz,yyy,xxx",
         "aaa|bbb|ccc/zzz|yyy|xxx", ','},
        {"RFC 4180 sec. 2, 3: a header line",
         "field_name,field_name2,field_name3\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
         "field_name|field_name2|field_name3/aaa|bbb|ccc/zzz|yyy|xxx", ','},
        {"RFC 4180 sec. 2, 5: quotes or none", "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx",
         "aaa|bbb|ccc/zzz|yyy|xxx", ','},
        {"RFC 4180 sec. 2, 6: line breaks in quotes",
         "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\r\nbb|ccc/zzz|yyy|xxx", ','},
        {"RFC 4180 sec. 2, 6: commas in quotes", "h,i\n\"a,b\",\"c\"", "h|i/a,b|c", ','},
        {"RFC 4180 sec. 2, 7: a quote is written twice", "\"aaa\",\"b\"\"bb\",\"ccc\"",
         "aaa|b\"bb|ccc", ','},
        {"LF", "a,b\n1,2\n", "a|b/1|2", ','},
        {"CR", "a,b\r1,2\r", "a|b/1|2", ','},
        {"header only", "a,b", "a|b", ','},
        {"byte order mark", "\xEF\xBB\xBF#,b\n1,2", "#|b/1|2", ','},
        {"byte order mark, then a quote", "\xEF\xBB\xBF\"a\",b\n1,2", "a|b/1|2", ','},
        {"decimal commas", "x_m;y_m\n1,5;2,25\n", "x_m|y_m/1,5|2,25", ';'},
        {"more semicolons than commas", "a,b;c;d\n1;2;3", "a,b|c|d/1|2|3", ';'},
        {"as many as commas", "a,b;c\n1,2", "a|b;c/1|2", ','},
        {"semicolons in quotes do not count", "\"a;b;c\",d\n1,2", "a;b;c|d/1|2", ','},
        {"blank lines before the semicolons", ",,,,\n \t\na;b\n1;2", "a|b/1|2", ';'},
        {"one column", "a\n1\n2", "a/1/2", ','},
        {"tabs", "a\tb\tc\n1\t\t3\n\t2\t \n", "a|b|c/1||3/|2|", '\t'},
        {"bars", "a|b\n1|2\n", "a|b/1|2", '|'},
        {"a line that tells the separator", "sep=;\r\na;b,c\r\n1;2,5\r\n", "a|b,c/1|2,5", ';'},
        {"the same in quotes, behind a mark", "\xEF\xBB\xBF\"sep=,\"\na;b,c;d\n1,2\n",
         "a;b|c;d/1|2", ','},
        {"the same with blank cells", "sep=,,,\na,b\n1,2\n", "a|b/1|2", ','},
        {"a tab that is told", "sep=\t\na,b\tc\n1\t2\n", "a,b|c/1|2", '\t'},
        {"a column called sep=", "sep=,b\n1,2\n", "sep=|b/1|2", ','},
        {"inches without quotes around the cell", "a,b\n12' 6\",5\"\n6\" ,1/2\"",
         "a|b/12' 6\"|5\"/6\"|1/2\"", ','},
        {"blanks around cells", " a , b\t\n\t1 2 ,\" 3 \" \n", "a|b/1 2|3", ','},
        {"no-break spaces around cells", "a\xC2\xA0,b\n\xC2\xA0-1\xC2\xA0,\xC2\xA0", "a|b/-1|",
         ','},
        {"line ends around a quoted text", "a\n\"\r\n 1 \r\n\"", "a/1", ','},
        {"missing cells", "a,b,c\n1\n1,2\n", "a|b|c/1||/1|2|", ','},
        {"blank cells beyond the header", "a,b\n1,2,,\" \",\n", "a|b/1|2", ','},
        {"blank lines", "\n \n,,\na,b\n\n  \n,\n1,2\n\"\"\n\n3,4\n\n", "a|b/1|2/3|4", ','},
        {"columns without name and cells", ",a,,b,,\n,1,,2,,\n,3,,4\n", "a|b/1|2/3|4", ','},
        {"empty quoted cells", "a,b\n\"\",\"x\"", "a|b/|x", ','},
        {"letters of two bytes", "Wand,L\xC3\xA4nge\nT\xC3\xBCr,3",
         "Wand|L\xC3\xA4nge/T\xC3\xBCr|3", ','},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char got[200] = "";
        earshot_findings *findings = earshot_findings_new();
        tables_sheet sheet = {0};
        cr_assert_eq(read_file(rows[i].file, strlen(rows[i].file), findings, &sheet),
                     EARSHOT_OK, "%s", rows[i].source);
        cr_expect_eq(earshot_findings_count(findings), 0, "%s", rows[i].source);
        show(&sheet, got);
        cr_expect_str_eq(got, rows[i].want, "%s: %s", rows[i].source, got);
        cr_expect_eq(sheet.separator, rows[i].separator, "%s", rows[i].source);
        cr_expect_eq(sheet.decimal, rows[i].separator == ';' ? ',' : '.', "%s", rows[i].source);
        cr_expect_str_eq(sheet.file, "walls.csv");
        cr_expect_eq(sheet.order, 4);
        tables_close(&sheet);
        cr_expect_null(sheet.header);
        tables_close(&sheet);
        earshot_findings_free(findings);
    }
}

/* ---- places ---- */

/* Line and column of a cell by a plain count from the beginning of the file. */
static void check_place(const char *file, size_t begin, const tables_cell *cell) {
    unsigned line = 1, column = 1;
    for (size_t i = begin; i < cell->begin; i++) {
        if (file[i] == '\n' || (file[i] == '\r' && file[i + 1] != '\n')) {
            line++;
            column = 1;
        } else {
            column += ((unsigned char)file[i] & 0xC0) != 0x80;
        }
    }
    cr_assert_eq(cell->line, line, "line of '%s': %u", cell->text, cell->line);
    cr_assert_eq(cell->column, column, "column of '%s': %u", cell->text, cell->column);
}

static const char *const placed_files[] = {
    "\xEF\xBB\xBF"
    "wall, level ,\"x1_m\"\r\n"
    "\"two\r\nlines\", 0,1.5\r\n"
    "\r\n"
    "K\xC3\xBC"
    "che,\t0\t,\" 2 \" \r\n"
    "short",
    "a;b;c\n\n1,5 ; \"say \"\"no\"\"\";\n;;3\n",
    "a\r\r1\r2,\"\",\r",
};

Test(read, spans_cover_the_raw_bytes) {
    for (size_t f = 0; f < sizeof placed_files / sizeof placed_files[0]; f++) {
        const char *file = placed_files[f];
        size_t size = strlen(file), mark = file[0] == '\xEF' ? 3 : 0;
        earshot_findings *findings = earshot_findings_new();
        tables_sheet sheet;
        cr_assert_eq(read_file(file, size, findings, &sheet), EARSHOT_OK);
        size_t last_end = mark;
        for (size_t row = 0; row <= sheet.n_rows; row++) {
            for (size_t column = 0; column < sheet.n_columns; column++) {
                const tables_cell *cell = cell_at(&sheet, row, column);
                cr_assert(last_end <= cell->begin && cell->begin <= cell->end &&
                          cell->end <= size);
                last_end = cell->end;
                check_place(file, mark, cell);
                findings_place place = tables_place(&sheet, cell);
                cr_expect_str_eq(place.file, "walls.csv");
                cr_expect_eq(place.order, 4);
                cr_expect_eq(place.line, cell->line);
                cr_expect_eq(place.column, cell->column);
            }
        }
        tables_close(&sheet);
        earshot_findings_free(findings);
    }
}

/* Lines and columns of the first file above, counted by hand. */
Test(read, places_by_hand) {
    static const struct {
        size_t row, column;
        const char *text;
        unsigned line, at;
    } rows[] = {
        {0, 0, "wall", 1, 1},
        {0, 1, "level", 1, 6},
        {0, 2, "x1_m", 1, 14},
        {1, 0, "two\r\nlines", 2, 1},
        {1, 1, "0", 3, 8},
        {1, 2, "1.5", 3, 11},
        {2, 0, "K\xC3\xBC\x63he", 5, 1},
        {2, 1, "0", 5, 7},
        {2, 2, "2", 5, 11},
        {3, 0, "short", 6, 1},
        {3, 1, "", 6, 6},
        {3, 2, "", 6, 6},
    };
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    cr_assert_eq(read_file(placed_files[0], strlen(placed_files[0]), findings, &sheet),
                 EARSHOT_OK);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const tables_cell *cell = cell_at(&sheet, rows[i].row, rows[i].column);
        cr_expect_str_eq(cell->text, rows[i].text);
        cr_expect_eq(cell->line, rows[i].line, "'%s': line %u", rows[i].text, cell->line);
        cr_expect_eq(cell->column, rows[i].at, "'%s': column %u", rows[i].text, cell->column);
    }
    tables_close(&sheet);
    earshot_findings_free(findings);
}

/* The file with bytes [begin, end) replaced; to be freed. */
static char *splice(const char *file, size_t begin, size_t end, const char *by) {
    size_t size = strlen(file) - (end - begin) + strlen(by) + 1;
    char *out = malloc(size);
    snprintf(out, size, "%.*s%s%s", (int)begin, file, by, file + end);
    return out;
}

/* Another value is spliced into the span of each cell in turn: reading finds it in that cell
 * and every other cell as it was, and putting the old bytes back gives the old file. */
Test(read, splicing_one_cell_changes_one_cell) {
    for (size_t f = 0; f < sizeof placed_files / sizeof placed_files[0]; f++) {
        const char *file = placed_files[f];
        earshot_findings *findings = earshot_findings_new();
        tables_sheet before, after;
        cr_assert_eq(read_file(file, strlen(file), findings, &before), EARSHOT_OK);
        for (size_t i = 0; i < (before.n_rows + 1) * before.n_columns; i++) {
            const tables_cell *cell =
                cell_at(&before, i / before.n_columns, i % before.n_columns);
            bool missing =
                cell->begin == cell->end && i > before.n_columns && cell->begin == cell[-1].end;
            if (missing) {
                continue; /* no separator stands before it: there is no place for a value yet */
            }
            char *changed = splice(file, cell->begin, cell->end, "\"new, \"\"one\"\";\"");
            size_t growth = strlen(changed) - strlen(file);
            cr_assert_eq(read_file(changed, strlen(changed), findings, &after), EARSHOT_OK);
            cr_assert_eq(after.n_rows, before.n_rows);
            for (size_t j = 0; j < (before.n_rows + 1) * before.n_columns; j++) {
                size_t row = j / before.n_columns, column = j % before.n_columns;
                cr_assert_str_eq(cell_at(&after, row, column)->text,
                                 j == i ? "new, \"one\";"
                                        : cell_at(&before, row, column)->text);
            }
            char raw[100];
            snprintf(raw, sizeof raw, "%.*s", (int)(cell->end - cell->begin),
                     file + cell->begin);
            char *back = splice(changed, cell->begin, cell->end + growth, raw);
            cr_assert_str_eq(back, file);
            free(back);
            free(changed);
            tables_close(&after);
        }
        tables_close(&before);
        earshot_findings_free(findings);
    }
}

/* ---- refusals ---- */

Test(read, what_is_refused) {
    static const struct {
        const char *file;
        enum earshot_status status;
        unsigned line, column;
        const char *code, *sentence;
    } rows[] = {
        {"", EARSHOT_INVALID, 0, 0, "no-header",
         "this file has no rows; write the names of the columns into its first row"},
        {"\xEF\xBB\xBF\r\n , \r\n", EARSHOT_INVALID, 0, 0, "no-header", NULL},
        {"wall,note\n1,gr\xFCn\n", EARSHOT_INVALID, 2, 5, "old-code-page",
         "this file is not UTF-8 text; it looks like Windows-1252 (Latin-1), where here stands "
         "'\xC3\xBC'; in the spreadsheet choose 'save as CSV UTF-8' and try again"},
        {"wall,note\n1,\x80 5\n", EARSHOT_INVALID, 2, 3, "old-code-page",
         "this file is not UTF-8 text; it looks like Windows-1252 (Latin-1), where here stands "
         "'\xE2\x82\xAC'; in the spreadsheet choose 'save as CSV UTF-8' and try again"},
        {"wall,note\n1,gr\xFC\x01\n", EARSHOT_INVALID, 2, 5, "not-utf8",
         "this file is not UTF-8 text from here on; in the spreadsheet choose 'save as CSV "
         "UTF-8' "
         "and try again"},
        {"\xFF\xFEw", EARSHOT_INVALID, 0, 0, "utf-16",
         "this file looks like UTF-16, two bytes for each character; in the spreadsheet choose "
         "'save as CSV UTF-8' and try again"},
        {"PK\3\4\x14", EARSHOT_INVALID, 0, 0, "other-file",
         "this file is a workbook (.xlsx, .ods) or another zip file, whatever its name says; "
         "open it in its program and save the table as 'CSV UTF-8'"},
        {"\xD0\xCF\x11\xE0\xA1", EARSHOT_INVALID, 0, 0, "other-file", NULL},
        {"%PDF-1.4\n", EARSHOT_INVALID, 0, 0, "other-file",
         "this file is a PDF, whatever its name says; open it in its program and save the "
         "table as 'CSV UTF-8'"},
        {"<html><table>", EARSHOT_INVALID, 0, 0, "other-file", NULL},
        {"wall,note\n1,5\"x\"\n", EARSHOT_INVALID, 2, 4, "quote-inside", NULL},
        {"wall\n\"north\n\xC3\xBC\xE4", EARSHOT_INVALID, 3, 2, "not-utf8", NULL},
        {"wall,note\n1,5\" pipe\n", EARSHOT_INVALID, 2, 4, "quote-inside",
         "'5\"' has a quote mark inside the cell; leave it out, or put quotes around the whole "
         "cell and write the inner one twice"},
        {"wall,note\n1, \"north\xC3\xA4\" \xC3\xBC", EARSHOT_INVALID, 2, 13, "quote-after",
         "' \"north\xC3\xA4\" \xC3\xBC' goes on after its closing quote (the cell begins on "
         "line "
         "2); put quotes around the whole cell, or take them out"},
        {"wall,note\n1,\"a\n2,\"b\"\n", EARSHOT_INVALID, 3, 4, "quote-after", NULL},
        {"wall,note\n1,\"a\" \"\n", EARSHOT_INVALID, 2, 7, "quote-after", NULL},
        {"wall,note\n1,\"a\n2,b\n", EARSHOT_INVALID, 2, 3, "quote-open",
         "'\"a 2,b ' opens a quote that is never closed; put a quote at the end of the cell, "
         "or "
         "take this one out"},
        {"a,b, a \n1,2,3", EARSHOT_INVALID, 1, 5, "header-twice",
         "'a' is the name of column A and of column C; rename or delete one of them"},
        {"a,,b\n1,,2\n\n3,x,4\n5,y,6", EARSHOT_INVALID, 1, 3, "header-blank",
         "column B has no name but holds 'x' on line 4; write a name here, or clear the "
         "column"},
        {"a,b,\n1,2,3", EARSHOT_INVALID, 1, 5, "header-blank", NULL},
        {"a,b\n1,2\n3,4,,5\n6,7", EARSHOT_OK, 3, 6, "cell-beyond",
         "'5' is right of the last of the 2 columns; put quotes around a cell that has the "
         "separator in it, or clear this one"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        earshot_findings *findings = earshot_findings_new();
        tables_sheet sheet = {0}, untouched = {0};
        enum earshot_status status =
            read_file(rows[i].file, strlen(rows[i].file), findings, &sheet);
        cr_expect_eq(status, rows[i].status, "%s in row %zu", rows[i].code, i);
        cr_assert_eq(earshot_findings_count(findings), 1, "%s in row %zu", rows[i].code, i);
        cr_expect_eq(earshot_findings_errors(findings), 1);
        earshot_finding got = earshot_findings_at(findings, 0);
        cr_expect_str_eq(got.code, rows[i].code);
        cr_expect_str_eq(got.file, "walls.csv");
        cr_expect_eq(got.line, rows[i].line, "%s in row %zu: line %u", got.code, i, got.line);
        cr_expect_eq(got.column, rows[i].column, "%s in row %zu: column %u", got.code, i,
                     got.column);
        if (rows[i].sentence) {
            cr_expect_str_eq(got.sentence, rows[i].sentence);
        }
        if (status != EARSHOT_OK) {
            cr_expect_eq(memcmp(&sheet, &untouched, sizeof sheet), 0, "%s", rows[i].code);
        }
        tables_close(&sheet);
        earshot_findings_free(findings);
    }
}

Test(read, a_zero_byte_is_refused) {
    static const char zero[] = "w\0all,b\n";
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    cr_expect_eq(read_file(zero, sizeof zero - 1, findings, &sheet), EARSHOT_INVALID);
    cr_assert_eq(earshot_findings_count(findings), 1);
    earshot_finding got = earshot_findings_at(findings, 0);
    cr_expect_str_eq(got.code, "zero-byte");
    cr_expect_eq(got.line, 1);
    cr_expect_eq(got.column, 2);
    earshot_findings_free(findings);
}

/* Without a byte order mark too, either way round; an umlaut among the letters changes nothing.
 */
Test(read, two_bytes_a_character) {
    static const struct {
        const char *bytes;
        size_t size;
    } files[] = {{"w\0a\0l\0l\0\n\0", 10}, {"\0w\0a\0l\0l\0\n", 10},
                 {"w\0a\0l\0l\0\n", 9},    {"K\0\xFC\0c\0h\0e\0,\0\n\0", 14},
                 {"\xFE\xFF\0w\0a", 6},    {"\xFF\xFE\x41\x04\x42\x04", 6}}; /* Cyrillic */
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        earshot_findings *findings = earshot_findings_new();
        tables_sheet sheet;
        cr_expect_eq(read_file(files[i].bytes, files[i].size, findings, &sheet),
                     EARSHOT_INVALID);
        cr_assert_eq(earshot_findings_count(findings), 1);
        cr_expect_str_eq(earshot_findings_at(findings, 0).code, "utf-16", "%zu", i);
        earshot_findings_free(findings);
    }
}

/* All that is wrong with a file is said at once, down to where it stops being text. */
Test(read, every_fault_is_found) {
    static const char file[] = "a,b,a,\n1,2,3,4,5\n6,7,8,9,10\n\"";
    static const char *const want[] = {"header-twice", "header-blank", "cell-beyond",
                                       "cell-beyond", "quote-open"};
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    cr_expect_eq(read_file(file, sizeof file - 1, findings, &sheet), EARSHOT_INVALID);
    cr_assert_eq(earshot_findings_count(findings), sizeof want / sizeof want[0]);
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        cr_expect_str_eq(earshot_findings_at(findings, i).code, want[i]);
    }
    earshot_findings_free(findings);
}

Test(read, a_row_with_too_many_cells_is_still_read) {
    static const char file[] = "a,b\n1,2,3\n,,4\n5,6\n";
    char got[40];
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    cr_assert_eq(read_file(file, sizeof file - 1, findings, &sheet), EARSHOT_OK);
    cr_expect_eq(earshot_findings_errors(findings), 2);
    show(&sheet, got);
    cr_expect_str_eq(got, "a|b/1|2/5|6"); /* the row that has only the cell beyond is none */
    tables_close(&sheet);
    earshot_findings_free(findings);
}

/* A header of `n` columns c1, c2, ... */
static size_t write_header(unsigned n, char *out) {
    size_t size = 0;
    for (unsigned i = 1; i <= n; i++) {
        size += (size_t)sprintf(out + size, "%sc%u", i == 1 ? "" : ",", i);
    }
    return size;
}

Test(read, at_most_64_columns) {
    char file[1000];
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    size_t size = write_header(64, file);
    size += (size_t)sprintf(file + size, ",,,\n1");
    cr_assert_eq(read_file(file, size, findings, &sheet), EARSHOT_OK);
    cr_expect_eq(sheet.n_columns, 64);
    cr_expect_eq(sheet.n_rows, 1);
    cr_expect_str_eq(sheet.header[63].text, "c64");
    tables_close(&sheet);

    size = write_header(66, file);
    cr_expect_eq(read_file(file, size, findings, &sheet), EARSHOT_INVALID);
    cr_assert_eq(earshot_findings_count(findings), 1);
    earshot_finding got = earshot_findings_at(findings, 0);
    cr_expect_str_eq(got.sentence, "'c65' is one column too many; a table may have 64 named "
                                   "columns, so delete some");
    cr_expect_eq(got.column, 9 * 3 + 55 * 4 + 1);
    earshot_findings_free(findings);
}

Test(read, letters_of_columns) {
    static const struct {
        unsigned column;
        const char *letters; /* as in a spreadsheet: A to Z, then AA */
    } rows[] = {{2, "B"}, {26, "Z"}, {27, "AA"}, {52, "AZ"}, {53, "BA"}, {64, "BL"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char file[1000], want[100];
        size_t size = write_header(rows[i].column - 1, file);
        size += (size_t)sprintf(file + size, ",c1\n");
        earshot_findings *findings = earshot_findings_new();
        tables_sheet sheet;
        cr_expect_eq(read_file(file, size, findings, &sheet), EARSHOT_INVALID);
        sprintf(want, "'c1' is the name of column A and of column %s; ", rows[i].letters);
        const char *got = earshot_findings_at(findings, 0).sentence;
        cr_expect_eq(strncmp(got, want, strlen(want)), 0, "%s", got);
        earshot_findings_free(findings);
    }
}

Test(read, at_most_a_million_rows) {
    enum { N = 1000000 };
    char *file = malloc(2 + 2 * (N + 2));
    memcpy(file, "a\n", 2);
    for (size_t i = 0; i < N + 2; i++) {
        memcpy(file + 2 + 2 * i, "1\n", 2);
    }
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    cr_assert_eq(read_file(file, 2 + 2 * N, findings, &sheet), EARSHOT_OK);
    cr_expect_eq(sheet.n_rows, N);
    cr_expect_eq(sheet.cells[N - 1].line, N + 1);
    tables_close(&sheet);
    cr_expect_eq(read_file(file, 2 + 2 * (N + 2), findings, &sheet), EARSHOT_INVALID);
    cr_assert_eq(earshot_findings_count(findings), 1);
    cr_expect_str_eq(
        earshot_findings_at(findings, 0).sentence,
        "this row is one too many; a table may have 1000000 rows, so split the file");
    cr_expect_eq(earshot_findings_at(findings, 0).line, N + 2);
    earshot_findings_free(findings);
    free(file);
}

/* A quote that is never closed takes the rest of a large file into one cell. */
Test(read, a_large_open_cell_is_read_in_no_time, .timeout = 30) {
    enum { SIZE = 20000000 };
    char *file = malloc(SIZE);
    memset(file, 'x', SIZE);
    memcpy(file, "a\n\"", 3);
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    cr_expect_eq(read_file(file, SIZE, findings, &sheet), EARSHOT_INVALID);
    cr_assert_eq(earshot_findings_count(findings), 1);
    cr_expect_str_eq(earshot_findings_at(findings, 0).code, "quote-open");
    earshot_findings_free(findings);
    free(file);
}

Test(read, misuse) {
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    earshot_bytes bytes = {.name = "a.csv", .data = NULL, .size = 1};
    cr_expect_eq(tables_read(&bytes, 0, findings, &sheet), EARSHOT_MISUSE);
    bytes.size = 0;
    cr_expect_eq(tables_read(&bytes, 0, NULL, &sheet), EARSHOT_MISUSE);
    cr_expect_eq(tables_read(&bytes, 0, findings, NULL), EARSHOT_MISUSE);
    cr_expect_eq(tables_read(NULL, 0, findings, &sheet), EARSHOT_MISUSE);
    cr_expect_eq(earshot_findings_count(findings), 0);
    cr_expect_eq(tables_read(&bytes, 0, findings, &sheet), EARSHOT_INVALID); /* just empty */
    bytes.name = NULL;
    cr_expect_eq(tables_read(&bytes, 0, findings, &sheet), EARSHOT_MISUSE);
    earshot_findings_free(findings);
}

/* The texts, four times the cells (16, 32, 64, 128 rows), the header. */
Test(read, memory_running_out) {
    enum { N_ALLOCATIONS = 6 };
    char file[1000] = "a,b\n";
    for (size_t i = 0; i < 100; i++) {
        strcat(file, "1,2\n");
    }
    for (long n = 0; n <= N_ALLOCATIONS; n++) {
        earshot_findings *findings = earshot_findings_new();
        tables_sheet sheet = {0}, untouched = {0};
        shortage_begin(n);
        enum earshot_status status = read_file(file, strlen(file), findings, &sheet);
        bool refused = shortage_end() > 0;
        cr_expect_eq(refused, n < N_ALLOCATIONS, "%ld allocations allowed", n);
        cr_expect_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK);
        cr_expect_eq(findings_lost(findings) != 0, refused);
        if (refused) {
            cr_expect_eq(memcmp(&sheet, &untouched, sizeof sheet), 0);
        }
        tables_close(&sheet);
        earshot_findings_free(findings);
    }
}

/* ---- logs ---- */

static enum earshot_status read_log(const char *data, size_t size, earshot_findings *findings,
                                    tables_sheet *sheet) {
    static const char *const names[] = {"Zone No.", "RSSI"};
    const earshot_bytes bytes = {.name = "log.csv", .data = data, .size = size};
    return tables_read_log(&bytes, 4, names, 2, findings, sheet);
}

#define LOG(text) text, sizeof text - 1
static const struct {
    const char *name, *file;
    size_t size;
    const char *want;
    size_t n_notes;
} logs[] = {
    {"a header alone", LOG("Zone No.,RSSI\n"), "Zone No.|RSSI", 0},
    {"lines above it, of more cells, and the separator of the header",
     LOG("a,b,c,d\n\nzone no;x;rssi\n1;2;3\n"), "zone no|x|rssi/1|2|3", 0},
    {"the first of two headers", LOG("RSSI\tZone-No\n1\t2\nRSSI\tZone-No\n"),
     "RSSI|Zone-No/1|2/RSSI|Zone-No", 0},
    {"a quote above it", LOG("5\" pipe, x\n\"y\nZone No.|RSSI\n1|2\n"), "Zone No.|RSSI/1|2", 0},
    {"no line has all: the first that has most", LOG("a,b,c\nx,RSSI\n1,2\nRSSI,y\n"),
     "x|RSSI/1|2/RSSI|y", 0},
    {"none has any: the first with most cells", LOG("a\nb;c\nd;e\n"), "b|c/d|e", 0},
    {"sep= is a line above it", LOG("sep=;\nZone No.;RSSI\n1;2\n"), "Zone No.|RSSI/1|2", 0},
    {"names twice and none", LOG("RSSI,RSSI,,Zone No.\n1,2,3,4\n"),
     "RSSI|RSSI||Zone No./1|2|3|4", 0},
    {"quote inside", LOG("Zone No.,RSSI\n1,a\"b\n3,4\n"), "Zone No.|RSSI/3|4", 1},
    {"behind a quote", LOG("Zone No.,RSSI\n\"1\"x,2\n3,4\n"), "Zone No.|RSSI/3|4", 1},
    {"open to the end", LOG("Zone No.,RSSI\n1,\"2\n3,4\n5,6"), "Zone No.|RSSI/3|4/5|6", 1},
    {"open to the next quote, far below",
     LOG("Zone No.,RSSI\n1,\"2\n3,4\n3,4\n3,4\n3,4\n3,4\n3,4\n3,4\n3,4\n3,4\n\",6\n5,\"6\"\n"),
     "Zone No.|RSSI/3|4/3|4/3|4/3|4/3|4/3|4/3|4/3|4/3|4/5|6", 2},
    {"a cell of two lines is whole", LOG("Zone No.,RSSI\r\n1,\"2\r\n3\"\r\n"),
     "Zone No.|RSSI/1|2\r\n3", 0},
    {"right of the header", LOG("Zone No.,RSSI\n1,2,,3\n4,5,,\n"), "Zone No.|RSSI/4|5", 1},
    {"a zero byte ends it", LOG("Zone No.,RSSI\n1,2\n3\0,4\n"), "Zone No.|RSSI/1|2", 1},
    /* 0x80 and 0xB0 as in the Unicode Consortium's CP1252.TXT */
    {"Windows-1252", LOG("\xB0,\x80\nZone No.,RSSI,\xB0\n1,2,\x80\n"),
     "Zone No.|RSSI|\xC2\xB0/1|2|\xE2\x82\xAC", 0},
    /* U+10437 as in RFC 2781, section 4: D801 DC37 */
    {"UTF-16, low byte first",
     LOG("\xFF\xFER\0S\0S\0I\0,\0Z\0o\0n\0e\0n\0o\0\n\0\x01\xD8\x37\xDC,\0"
         "2\0"),
     "RSSI|Zoneno/\xF0\x90\x90\xB7|2", 0},
    {"UTF-16, high byte first, half a pair",
     LOG("\xFE\xFF\0R\0S\0S\0I\0,\0Z\0o\0n\0e\0n\0o\0\n\xDC\x37\0,\xD8\x01"), "RSSI|Zoneno/?|?",
     0},
};

Test(read, logs_as_meters_write_them) {
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        char shown[400];
        tables_sheet sheet = {0};
        earshot_findings *findings = earshot_findings_new();
        cr_assert_eq(read_log(logs[i].file, logs[i].size, findings, &sheet), EARSHOT_OK, "%s",
                     logs[i].name);
        show(&sheet, shown);
        cr_expect_str_eq(shown, logs[i].want, "%s", logs[i].name);
        cr_expect_eq(earshot_findings_errors(findings), 0, "%s", logs[i].name);
        cr_expect_eq(earshot_findings_count(findings), logs[i].n_notes, "%s", logs[i].name);
        tables_close(&sheet);
        earshot_findings_free(findings);
    }
}

/* Behind a row that was set aside, lines and columns still count: here by hand. */
Test(read, places_in_a_log) {
    static const char file[] = "title\r\n\r\nZone No.;RSSI\r\n1;a\"b\r\n\xC3\xA4;\"4\"\r\n";
    tables_sheet sheet = {0};
    earshot_findings *findings = earshot_findings_new();
    cr_assert_eq(read_log(file, sizeof file - 1, findings, &sheet), EARSHOT_OK);
    const tables_cell *cell = &sheet.cells[1];
    cr_expect(sheet.header[1].line == 3 && sheet.header[1].column == 10);
    cr_expect(cell->line == 5 && cell->column == 3);
    cr_expect_eq(memcmp(file + cell->begin, "\"4\"", cell->end - cell->begin), 0);
    cr_assert_eq(earshot_findings_count(findings), 1);
    cr_expect_eq(earshot_findings_at(findings, 0).line, 4);
    cr_expect_eq(earshot_findings_at(findings, 0).column, 4);
    tables_close(&sheet);
    earshot_findings_free(findings);
}

Test(read, a_log_that_is_none) {
    static const char *const files[] = {"", "\n \n", "PK\3\4", "%PDF-1", "<html>"};
    const tables_sheet untouched = {0};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        tables_sheet sheet = {0};
        earshot_findings *findings = earshot_findings_new();
        cr_expect_eq(read_log(files[i], strlen(files[i]), findings, &sheet), EARSHOT_INVALID);
        cr_expect_eq(earshot_findings_errors(findings), 1);
        cr_expect_eq(memcmp(&sheet, &untouched, sizeof sheet), 0);
        earshot_findings_free(findings);
    }
}

Test(read, a_log_without_memory) {
    static const char file[] = "\xB0\nZone No.,RSSI\n1,a\"b\n3,4\n";
    const tables_sheet untouched = {0};
    for (bool refused = true, first = true; refused || first; first = false) {
        static long n = 0;
        tables_sheet sheet = {0};
        earshot_findings *findings = earshot_findings_new();
        shortage_begin(n++);
        enum earshot_status status = read_log(file, sizeof file - 1, findings, &sheet);
        refused = shortage_end() > 0;
        cr_expect(status == (refused ? EARSHOT_NO_MEMORY : EARSHOT_OK) ||
                      (refused && findings_lost(findings)),
                  "%ld allocations: %d", n, status);
        cr_expect(status == EARSHOT_OK || memcmp(&sheet, &untouched, sizeof sheet) == 0);
        tables_close(&sheet);
        earshot_findings_free(findings);
    }
}

Test(read, columns_by_name_and_letter) {
    static const struct {
        const char *name;
        size_t found, again; /* 30: none */
    } rows[] = {{"RSSI", 1, 3},      {"rssi", 0, 1},        {"Rs.Si", 0, 1},
                {"column C", 2, 30}, {"Column AD", 29, 30}, {"column AE", 30, 30},
                {"%", 5, 30},        {"#", 30, 30},         {"", 2, 4}};
    tables_cell header[30];
    char texts[30][4];
    for (size_t i = 0; i < 30; i++) {
        sprintf(texts[i], "h%zu", i);
        header[i] = (tables_cell){.text = texts[i]};
    }
    header[0].text = "R-ssi";
    header[1].text = header[3].text = "RSSI";
    header[2].text = header[4].text = "";
    header[5].text = "%";
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        size_t again;
        cr_expect_eq(tables_column_called(header, 30, rows[i].name, &again), rows[i].found,
                     "%s", rows[i].name);
        cr_expect_eq(again, rows[i].again, "%s: %zu", rows[i].name, again);
    }
}
