/* SPDX-License-Identifier: GPL-3.0-or-later */
/* vectors.h - tables of published values for the tests, read by column name.
 *
 * Whatever cannot be read fails the test that asked: a missing file, a row with too few or too
 * many cells, a row without a source, a column that is not there, a cell that is not a number.
 * Nothing is skipped.
 */
#ifndef VECTORS_H
#define VECTORS_H

#include <stddef.h>

typedef struct vectors vectors;

/* Reads `file` in the folder of vectors: a header row, then at least one row. To be freed. */
vectors *vectors_read(const char *file);

size_t vectors_n_rows(const vectors *table);

/* A cell of a row, counted from 0 and without the header. Borrowed until the table is freed. */
const char *vectors_text(const vectors *table, size_t row, const char *column);

/* The same as a number; `inf` and `-inf` are numbers, `nan` and blank are not. */
double vectors_number(const vectors *table, size_t row, const char *column);

void vectors_free(vectors *table);

#endif
