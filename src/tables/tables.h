/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tables.h - CSV bytes to cells that know where they came from.
 *
 * A sheet is the header row and the data rows of one file, as text. Nothing here knows what a
 * column means. Every cell keeps its line, its column and its span of bytes in the file, so
 * that a fault can be pointed at, and an editor can replace one cell and keep every other byte.
 */
#ifndef TABLES_TABLES_H
#define TABLES_TABLES_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/findings.h"
#include "earshot/text.h"
#include "findings.h"

typedef struct tables_cell {
    const char
        *text; /* trimmed of blanks around it, unquoted, NUL-terminated; owned by the sheet */
    size_t length;     /* bytes of text; 0 for a blank or missing cell */
    size_t begin, end; /* the raw bytes in the file, quotes and blanks included: [begin, end) */
    unsigned line,
        column; /* of the first byte of the raw cell; column in code points, from 1 */
} tables_cell;

typedef struct tables_sheet {
    const char *file; /* the name it was read under; owned by the sheet */
    unsigned order;   /* where it stands in reading order, for findings */
    char separator;   /* one of , ; tab |, as a line sep=; says, or found from the header */
    char decimal;     /* '.', or ',' where the separator is a semicolon, unless numbers tell */
    size_t n_columns;
    size_t n_rows;       /* data rows that are not blank throughout */
    tables_cell *header; /* n_columns */
    tables_cell *cells;  /* n_rows x n_columns, row by row; a missing cell is blank, placed at
                            the  end of its row */
    void *storage;
} tables_sheet;

/* Reads one file. UTF-8 with or without BOM, LF, CRLF or CR, columns between commas,
 * semicolons, tabs or bars, a line sep=; before them or not; quoted cells may hold separators,
 * doubled quotes and line ends; a quote behind a digit at the end of a cell without quotes is a
 * mark of inches; rows blank throughout are passed over. Findings: a workbook, a PDF, a web
 * page, UTF-16 or an old code page instead of a table, bytes that are not UTF-8, a NUL byte, a
 * quote that is never closed or stands inside a cell, no header, a header name given twice or
 * missing above data, more cells than the header has, too many columns (64) or rows
 * (1,000,000). All faults of the file are reported, except that bytes not UTF-8, NUL and broken
 * quotes end the reading of that file. Returns EARSHOT_OK and fills `*out` (release it with
 * tables_close); EARSHOT_INVALID when errors were found and nothing can be trusted; `*out` is
 * then untouched. A row with too many cells is an error too but the sheet is still given, so
 * that the rest of it can be checked: the caller looks at the count of errors before it
 * computes anything. */
enum earshot_status tables_read(const earshot_bytes *bytes, unsigned order,
                                earshot_findings *findings, tables_sheet *out);

/* Reads what a meter or a receiver wrote, as it is. The header is the first line that has all
 * of `names`, else the first of those that have the most of them: what stands above is passed
 * over, and the separator is the one that makes it so. Columns may have no name or one name
 * twice. Text in UTF-16 with its mark, or in the code page of Western Windows, is understood;
 * spans are then those of the same text in UTF-8. A row that cannot be read is set aside with a
 * note, and the reading goes on in the line below it: a broken quote, a cell right of the
 * header; a cell over more than a few lines is an open quote. Errors, with EARSHOT_INVALID, are
 * only a workbook and the like, and a file without rows. */
enum earshot_status tables_read_log(const earshot_bytes *bytes, unsigned order,
                                    const char *const *names, size_t n_names,
                                    earshot_findings *findings, tables_sheet *out);

/* ---- called.c ---- */

/* Whether two names of columns have the same letters and digits, case aside; names without any
 * are the same when they are equal. */
bool tables_same_name(const char *a, const char *b);

/* The letters that a spreadsheet puts above column number `column`, from 0. */
enum { TABLES_LETTERS_SIZE = 3 }; /* column 64 is BL */
void tables_letters(size_t column, char out[TABLES_LETTERS_SIZE]);

/* The one of `n` columns that is called so, letter by letter or else as tables_same_name has
 * it; or by a spreadsheet's letters, "column F". n when none is; `*again` is a second one of
 * that name, or n. */
size_t tables_column_called(const tables_cell *header, size_t n, const char *name,
                            size_t *again);

/* Releases what tables_read made, and zeroes it. A zeroed sheet is fine. */
void tables_close(tables_sheet *sheet);

/* The place of a cell of this sheet, for a finding. */
findings_place tables_place(const tables_sheet *sheet, const tables_cell *cell);

#endif
