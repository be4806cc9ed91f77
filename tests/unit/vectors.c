/* SPDX-License-Identifier: GPL-3.0-or-later */
/* vectors.c - see vectors.h. All cells lie in one array, row after row, the header first.
 *
 * Not read with the program's own reader: that one is under test.
 */
#include "vectors.h"

#include <criterion/criterion.h>
#include <csv.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct vectors {
    const char *file;
    char **cells;
    size_t n_cells, capacity;
    size_t n_columns; /* 0 until the header row has ended */
    size_t n_rows;    /* with the header */
};

static void take_cell(void *text, size_t size, void *who) {
    vectors *table = who;
    if (table->n_cells == table->capacity) {
        table->capacity = 2 * table->capacity + 64;
        table->cells = realloc(table->cells, table->capacity * sizeof *table->cells);
        cr_assert(table->cells != NULL, "out of memory");
    }
    char *copy = malloc(size + 1);
    cr_assert(copy != NULL, "out of memory");
    memcpy(copy, text, size);
    copy[size] = '\0';
    table->cells[table->n_cells++] = copy;
}

static void end_row(int end, void *who) {
    (void)end;
    vectors *table = who;
    if (table->n_columns == 0) {
        table->n_columns = table->n_cells;
    }
    table->n_rows++;
    cr_assert(table->n_cells == table->n_rows * table->n_columns,
              "%s: row %zu has not as many cells as the header", table->file, table->n_rows);
}

static void parse(vectors *table, FILE *in) {
    struct csv_parser parser;
    cr_assert(csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) == 0);
    char block[4096];
    size_t size;
    while ((size = fread(block, 1, sizeof block, in)) > 0) {
        cr_assert(csv_parse(&parser, block, size, take_cell, end_row, table) == size, "%s: %s",
                  table->file, csv_strerror(csv_error(&parser)));
    }
    cr_assert(ferror(in) == 0, "%s: cannot be read", table->file);
    cr_assert(csv_fini(&parser, take_cell, end_row, table) == 0, "%s: %s", table->file,
              csv_strerror(csv_error(&parser)));
    csv_free(&parser);
}

vectors *vectors_read(const char *file) {
    setlocale(LC_NUMERIC, "C"); /* the test runner follows the environment; strtod must not */
    char path[4096];
    const int length = snprintf(path, sizeof path, "%s/%s", VECTORS, file);
    cr_assert(length > 0 && (size_t)length < sizeof path, "%s: name too long", file);
    FILE *in = fopen(path, "rb");
    cr_assert(in != NULL, "%s: cannot be opened", path);
    vectors *table = calloc(1, sizeof *table);
    cr_assert(table != NULL, "out of memory");
    table->file = file;
    parse(table, in);
    fclose(in);
    cr_assert(table->n_rows > 1, "%s: no rows", file);
    for (size_t row = 0; row < vectors_n_rows(table); row++) {
        cr_assert(*vectors_text(table, row, "source") != '\0', "%s: row %zu has no source",
                  file, row + 2);
    }
    return table;
}

size_t vectors_n_rows(const vectors *table) {
    return table->n_rows - 1;
}

const char *vectors_text(const vectors *table, size_t row, const char *column) {
    cr_assert(row < vectors_n_rows(table), "%s: no row %zu", table->file, row + 2);
    size_t at = 0;
    while (at < table->n_columns && strcmp(table->cells[at], column) != 0) {
        at++;
    }
    cr_assert(at < table->n_columns, "%s: no column '%s'", table->file, column);
    return table->cells[(row + 1) * table->n_columns + at];
}

double vectors_number(const vectors *table, size_t row, const char *column) {
    const char *text = vectors_text(table, row, column);
    char *end;
    const double value = strtod(text, &end);
    cr_assert(end != text && *end == '\0' && !isnan(value),
              "%s: row %zu: '%s' in column '%s' is not a number", table->file, row + 2, text,
              column);
    return value;
}

void vectors_free(vectors *table) {
    if (table == NULL) {
        return;
    }
    for (size_t i = 0; i < table->n_cells; i++) {
        free(table->cells[i]);
    }
    free(table->cells);
    free(table);
}
