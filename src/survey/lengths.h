/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lengths.h - numbers and lengths as people say and write them: 12m, 12.5 m, 40 feet, 12'6",
 * 12ft 6in, 16 paces.
 *
 * Inside the survey room only, for words of a command line; cells of tables are read in
 * units.c.
 */
#ifndef SURVEY_LENGTHS_H
#define SURVEY_LENGTHS_H

#include <stdbool.h>
#include <stddef.h>

enum survey_measure { SURVEY_METRIC, SURVEY_FEET, SURVEY_PACES };

typedef struct survey_length {
    double length_m; /* may be 0 or less: what that means is the caller's to say */
    enum survey_measure measure;
} survey_length;

/* Reads the length that begins with the first of `n` words. Returns how many words it takes, 0
 * when it is none; `out` is then untouched. */
size_t survey_read_length(const char *const *words, size_t n, double pace_m,
                          survey_length *out);

/* The number at the beginning of a word, "2" or "two", and what follows it; false when there is
 * none. */
bool survey_split_number(const char *word, double *number, const char **rest);

#endif
