/* SPDX-License-Identifier: GPL-3.0-or-later */
/* logs.h - logs of meters and receivers: what columns.csv says of one, and who is meant in it.
 *
 * Inside the survey room only.
 */
#ifndef SURVEY_LOGS_H
#define SURVEY_LOGS_H

#include "rows.h"

/* ---- meant.c ---- */

/* By which of its names a device goes in a log. */
enum log_naming { LOG_ANY, LOG_DEVICE, LOG_ZONE, LOG_LABEL, LOG_SERIAL, LOG_N_NAMINGS };

/* What all devices are called; NULL without memory, which is remembered. */
struct survey_names *log_callings(survey_load *load);

/* Who is called so: none, one, or two of several. A device's name comes before all else that
 * others may be called. Case does not matter but in a name. */
enum { LOG_MOST_MEANT = 2 };
size_t log_meant(const struct survey_names *callings, const char *word, enum log_naming naming,
                 size_t devices[LOG_MOST_MEANT]);

/* ---- mapping.c ---- */

/* Where a column of readings.csv comes from in a log. */
enum { LOG_MOST_JOINED = 4 }; /* columns of theirs that make one text, like date and time */
typedef struct log_source {
    const survey_row *rows[LOG_MOST_JOINED]; /* of columns.csv, which name their columns */
    size_t n_rows;
    const char *fixed;       /* for all rows; NULL: there are columns, or none */
    const survey_unit *unit; /* of a length */
    const char *suffix;      /* the unit of plain numbers, to be put behind them, or NULL */
    bool negative;           /* numbers are without their minus */
    enum log_naming naming;  /* of a device */
} log_source;

/* A word of theirs and what it means. */
typedef struct log_word {
    enum survey_column ours;
    const char *theirs, *means;
} log_word;

/* All that columns.csv says of a file, or of several whose name it gives with a *. */
typedef struct log_mapping {
    const char *file;
    log_source sources[SURVEY_MAX_COLUMNS]; /* by column of readings.csv */
    log_word *words;
    size_t n_words;
    bool bad; /* findings have been made: the file is not to be read */
} log_mapping;

/* Gathers the rows of columns.csv that are of the same file as row number `first`. */
void log_gather(survey_load *load, const struct survey_names *callings, size_t first,
                log_mapping *log);

/* Whether that is enough to read a log by; makes the findings. */
void log_check(survey_load *load, size_t first, log_mapping *log);

log_source *log_source_of(log_mapping *log, enum survey_column column);

#endif
