/* SPDX-License-Identifier: GPL-3.0-or-later */
/* findings.h - what is wrong with a survey, and what is odd about it.
 *
 * Every call that can find fault takes a list of findings that the caller owns, and puts there
 * everything it found, not only the first. A finding says where (file, line, column), what is
 * wrong with the value in quotes, and what to do about it.
 */
#ifndef EARSHOT_FINDINGS_H
#define EARSHOT_FINDINGS_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* What a call came to. Anything but EARSHOT_OK leaves the outputs of the call untouched. */
enum earshot_status {
    EARSHOT_OK,        /* done; there may still be notes among the findings */
    EARSHOT_INVALID,   /* the input has errors: a typo in a table, a word nobody knows */
    EARSHOT_NO_MEMORY, /* memory ran out */
    EARSHOT_MISUSE,    /* an argument that the call's comment rules out */
    EARSHOT_STOPPED    /* the caller's watch said to stop */
};

/* Who is told how far a long call has come, and says whether to go on. */
typedef struct earshot_watch {
    bool (*go_on)(void *who, double share_done); /* NULL: always */
    void *who;
} earshot_watch;

enum earshot_severity {
    EARSHOT_ERROR, /* no answer is given until it is mended */
    EARSHOT_NOTE   /* usable, but doubtful or worth knowing */
};

/* All strings are borrowed from the list, until it is freed. */
typedef struct earshot_finding {
    enum earshot_severity severity;
    const char *code;     /* a short name that does not change, like "number-unreadable" */
    const char *file;     /* as the caller named it, in one line; "" where no file is meant */
    unsigned line;        /* from 1; 0: the file as a whole */
    unsigned column;      /* in characters, from 1; 0: the line as a whole */
    const char *sentence; /* lowercase, no full stop: what is wrong; what to do */
    unsigned times;       /* how many equal ones were folded into this one, from 1 */
} earshot_finding;

typedef struct earshot_findings earshot_findings;

/* A new, empty list; NULL when memory ran out. The caller owns it. */
earshot_findings *earshot_findings_new(void);

/* Releases the list. NULL is fine. */
void earshot_findings_free(earshot_findings *findings);

/* How many findings there are, and how many of them are errors. */
size_t earshot_findings_count(const earshot_findings *findings);
size_t earshot_findings_errors(const earshot_findings *findings);

/* Finding number `i`, from 0, less than the count. Sorted by table, line, column, code. */
earshot_finding earshot_findings_at(const earshot_findings *findings, size_t i);

/* What the manual says of a code. Strings last as long as the program. */
typedef struct earshot_manual {
    enum earshot_severity severity;
    const char *code;
    const char *sentence; /* with {1} to {4} where values stand */
    const char *when;     /* one sentence: how it comes about */
    const char *where; /* the file of the example ("walls.csv"), or "words", "loss", "look" for
                          what is typed behind reach, loss, loss --by-look; NULL: no example */
    const char *wrong, *mended; /* the whole table, or the words; NULL: none */
} earshot_manual;

/* Entry number `i`, from 0, or that of a code; false when there is none, `*out` untouched. */
bool earshot_manual_at(size_t i, earshot_manual *out);
bool earshot_manual_find(const char *code, earshot_manual *out);

#ifdef __cplusplus
}
#endif

#endif
