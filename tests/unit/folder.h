/* SPDX-License-Identifier: GPL-3.0-or-later */
/* folder.h - surveys for the tests: from a folder of the source tree, or from text in the test.
 *
 * Whatever cannot be read fails the test that asked.
 */
#ifndef UNIT_FOLDER_H
#define UNIT_FOLDER_H

#include "earshot/survey.h"

enum { FOLDER_MAX_TABLES = 32 };

typedef struct folder {
    earshot_bytes tables[FOLDER_MAX_TABLES];
    size_t n;
} folder;

/* All CSV files of `path`, below the source root. To be freed. */
folder folder_read(const char *path);
void folder_free(folder *folder);

/* A table in the test's own text; a table of that name which is there already is replaced. Both
 * strings are copied. */
void folder_put(folder *folder, const char *name, const char *text);
/* The text of a table, NUL-terminated; borrowed. */
const char *folder_text(const folder *folder, const char *name);

/* All of one text file below the source root, NUL-terminated. To be freed. */
char *folder_page(const char *path);

/* Loads it; the test fails when there is an error, and says which. To be freed. */
earshot_survey *folder_load(const folder *folder);

#endif
