/* SPDX-License-Identifier: GPL-3.0-or-later */
/* findings.h - how the rooms of the library put a finding on the list.
 *
 * Codes and sentences stand in one table, codes.h. A sentence has numbered slots, {1} to {4};
 * the caller passes what goes into them, as text.
 */
#ifndef FINDINGS_FINDINGS_H
#define FINDINGS_FINDINGS_H

#include <stdbool.h>

#include "earshot/findings.h"

#define FINDING(name, severity, code, sentence) FINDINGS_##name,
enum findings_code {
#include "codes.h"
    FINDINGS_N_CODES
};
#undef FINDING

/* A finding as codes.h has it. */
typedef struct findings_kind {
    enum earshot_severity severity;
    const char *code, *sentence;
} findings_kind;

extern const findings_kind findings_kinds[FINDINGS_N_CODES];

/* Where. `order` is the table's place in reading order, which sorts the list; a file is only a
 * name. `line` and `column` count from 1; 0 means the whole. The name is copied. */
typedef struct findings_place {
    const char *file;
    unsigned order, line, column;
    bool aside; /* the row is set aside and the rest goes on: an error there is a note */
} findings_place;

enum { FINDINGS_N_SLOTS = 4 };

/* Adds one finding. `slots` fill {1} to {4}; one that the sentence uses must not be NULL; all
 * is copied, control characters as blanks, what is not UTF-8 as ?. Equal notes (same code, file
 * and sentence) fold into the first with a count, errors set aside like any note. A file keeps
 * its first 1,000 findings (by order of arrival); the rest are counted, and one closing finding
 * of the same severity says how many more there were. Out of memory sets a flag, and a finding
 * that needed no memory, "memory", stands first in the list. */
void findings_add(earshot_findings *findings, enum findings_code code, findings_place place,
                  const char *const slots[FINDINGS_N_SLOTS]);

/* True when findings of this file are only counted from now on. */
bool findings_full(const earshot_findings *findings, findings_place place);

/* How many errors were ever added, also those that a full file only counts: a call that finds
 * more of them when it ends than when it began has met with one. */
size_t findings_errors_told(const earshot_findings *findings);

/* True once a finding could not be kept for lack of memory. */
int findings_lost(const earshot_findings *findings);

#endif
