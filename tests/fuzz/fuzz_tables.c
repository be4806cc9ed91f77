/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_tables.c - any bytes at all as a table.
 *
 * Whatever comes in, a sheet that comes out must keep the promises of tables.h: spans in the
 * file and in order, places that a plain count over the bytes confirms, texts trimmed and
 * ended, names unlike each other, no blank rows. And it must read back: the sheet written out
 * anew, every cell in quotes, is the same sheet. A breach aborts.
 */
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "must.h"
#include "tables.h"
#include "text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Counts lines and columns from one cell to the next. */
struct counter {
    const uint8_t *data;
    size_t size, at;
    unsigned line, column;
};

static void count_to(struct counter *counter, size_t end) {
    for (; counter->at < end; counter->at++) {
        uint8_t byte = counter->data[counter->at];
        bool pair = byte == '\r' && counter->at + 1 < counter->size &&
                    counter->data[counter->at + 1] == '\n';
        if (byte == '\n' || (byte == '\r' && !pair)) {
            counter->line++;
            counter->column = 1;
        } else if (byte < 0x80 || byte > 0xBF) {
            counter->column++;
        }
    }
}

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static void check_cell(const tables_cell *cell, struct counter *counter) {
    must(counter->at <= cell->begin && cell->begin <= cell->end && cell->end <= counter->size);
    count_to(counter, cell->begin);
    must(cell->line == counter->line && cell->column == counter->column);
    count_to(counter, cell->end);
    must(strlen(cell->text) == cell->length && cell->length <= cell->end - cell->begin);
    must(text_utf8_valid(cell->text, cell->length) == cell->length);
    must(cell->length == 0 ||
         (!is_blank(cell->text[0]) && !is_blank(cell->text[cell->length - 1])));
}

static void check_header(const tables_sheet *sheet, struct counter *counter) {
    must(sheet->n_columns >= 1 && sheet->n_columns <= 64);
    for (size_t i = 0; i < sheet->n_columns; i++) {
        check_cell(&sheet->header[i], counter);
        must(sheet->header[i].length > 0);
        for (size_t j = 0; j < i; j++)
            must(strcmp(sheet->header[j].text, sheet->header[i].text) != 0);
    }
}

static void check_rows(const tables_sheet *sheet, struct counter *counter) {
    for (size_t row = 0; row < sheet->n_rows; row++) {
        size_t n_texts = 0;
        for (size_t i = 0; i < sheet->n_columns; i++) {
            const tables_cell *cell = &sheet->cells[row * sheet->n_columns + i];
            check_cell(cell, counter);
            n_texts += cell->length > 0;
        }
        must(n_texts > 0);
    }
}

static void check_findings(const earshot_findings *findings, enum earshot_status status) {
    size_t n = earshot_findings_count(findings);
    must(status == EARSHOT_OK || earshot_findings_errors(findings) > 0);
    must(n <= 1001); /* a thousand, and how many more */
    unsigned line = 0;
    for (size_t i = 0; i < n; i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        must(text_utf8_valid(finding.sentence, strlen(finding.sentence)) ==
             strlen(finding.sentence));
        must(!strpbrk(finding.sentence, "\r\n"));
        must(finding.line >= line || i == 1000);
        line = finding.line;
    }
}

static void write_row(earshot_text *out, const tables_cell *cells, size_t n_columns) {
    for (size_t i = 0; i < n_columns; i++) {
        text_add(out, i == 0 ? "\"" : ",\"");
        for (const char *at = cells[i].text; *at; at++) {
            text_add_bytes(out, at, 1);
            if (*at == '"') {
                text_add(out, "\"");
            }
        }
        text_add(out, "\"");
    }
    text_add(out, "\r\n");
}

static void check_same(const tables_cell *a, const tables_cell *b, size_t n) {
    for (size_t i = 0; i < n; i++) {
        must(strcmp(a[i].text, b[i].text) == 0);
    }
}

static void check_written_anew(const tables_sheet *sheet, earshot_findings *findings) {
    earshot_text *text = earshot_text_new();
    must(text != NULL);
    text_add(text, "\r\n"); /* so that a header sep=; is no line that tells the separator */
    write_row(text, sheet->header, sheet->n_columns);
    for (size_t i = 0; i < sheet->n_rows; i++) {
        write_row(text, sheet->cells + i * sheet->n_columns, sheet->n_columns);
    }
    must(!earshot_text_cut(text));
    const earshot_bytes bytes = {
        .name = "again.csv", .data = earshot_text_data(text), .size = earshot_text_size(text)};
    size_t n_findings = earshot_findings_count(findings);
    tables_sheet again;
    must(tables_read(&bytes, 1, findings, &again) == EARSHOT_OK);
    must(earshot_findings_count(findings) == n_findings);
    must(again.n_columns == sheet->n_columns && again.n_rows == sheet->n_rows);
    check_same(again.header, sheet->header, sheet->n_columns);
    check_same(again.cells, sheet->cells, sheet->n_rows * sheet->n_columns);
    tables_close(&again);
    earshot_text_free(text);
}

/* The same bytes as a meter's log: whatever they are, there is a sheet of whole texts, or one
 * error of the file as a whole; rows set aside are notes. */
static void check_log(const earshot_bytes *bytes) {
    static const char *const names[] = {"a", "Zone No.", "column C"};
    earshot_findings *findings = earshot_findings_new();
    must(findings != NULL);
    tables_sheet sheet = {0};
    enum earshot_status status = tables_read_log(bytes, 0, names, 3, findings, &sheet);
    must(earshot_findings_errors(findings) == (status != EARSHOT_OK));
    must(status == EARSHOT_INVALID || (sheet.n_columns >= 1 && sheet.n_columns <= 64));
    for (size_t i = 0; i < sheet.n_columns * (sheet.n_rows + 1); i++) {
        const tables_cell *cell =
            i < sheet.n_columns ? &sheet.header[i] : &sheet.cells[i - sheet.n_columns];
        must(cell->begin <= cell->end && strlen(cell->text) == cell->length);
        must(text_utf8_valid(cell->text, cell->length) == cell->length);
        must(i == 0 || i == sheet.n_columns || cell[-1].end <= cell->begin);
    }
    tables_close(&sheet);
    earshot_findings_free(findings);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    earshot_findings *findings = earshot_findings_new();
    must(findings != NULL);
    const earshot_bytes bytes = {.name = "any.csv", .data = data, .size = size};
    tables_sheet sheet;
    enum earshot_status status = tables_read(&bytes, 0, findings, &sheet);
    check_findings(findings, status);
    if (status == EARSHOT_OK) {
        bool marked = size >= 3 && memcmp(data, "\xEF\xBB\xBF", 3) == 0;
        struct counter counter = {data, size, marked ? 3 : 0, 1, 1};
        check_header(&sheet, &counter);
        check_rows(&sheet, &counter);
        check_written_anew(&sheet, findings);
        tables_close(&sheet);
    }
    earshot_findings_free(findings);
    check_log(&bytes);
    return 0;
}
