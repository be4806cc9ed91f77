/* SPDX-License-Identifier: GPL-3.0-or-later */
/* host.h - what a host program does with the library, all of it: every report in every form.
 *
 * Plain C with the public headers only, without the unit tests' framework, which starts a
 * process for each test: these hosts are about threads and locales of one process. Whatever
 * cannot be done ends the program.
 */
#ifndef LIBRARY_HOST_H
#define LIBRARY_HOST_H

#include <earshot/earshot.h>

enum { HOST_MOST_TABLES = 32 };

typedef struct host_folder {
    earshot_bytes tables[HOST_MOST_TABLES];
    size_t n_tables;
} host_folder;

/* The CSV files of a folder. */
host_folder host_read_folder(const char *path);
void host_free_folder(host_folder *folder);

/* The survey of a folder, and what its tables say is to be believed. */
typedef struct host_survey {
    earshot_findings *findings;
    earshot_survey *survey;
    earshot_belief *belief;
} host_survey;

host_survey host_load(const host_folder *folder);
void host_free(host_survey *loaded);

/* Appends every report of a survey, and the ledger of every link, in every form. */
void host_write_survey(const host_survey *loaded, earshot_text *out);
/* Appends every report that needs no survey, the refused ones too. */
void host_write_words(earshot_text *out);

/* Ends the program with a sentence unless `good`. */
void host_expect(bool good, const char *sentence);

#endif
