/* SPDX-License-Identifier: GPL-3.0-or-later */
/* where.h - what the forms of where.c share. */
#ifndef REPORT_WHERE_H
#define REPORT_WHERE_H

#include "earshot/place.h"
#include "places.h"
#include "write.h"

typedef struct report_where {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_findings *findings;
    const earshot_where *what;
    report_survey gathered;
    planning_search search;
    earshot_text *out;
} report_where;

/* What a place is called: its spot, or "ground x 7.5 y 3.0", level and meters. */
void report_where_place(const report_where *where, size_t place, earshot_text *out);
/* A zone in few words: its number, else its name. */
void report_where_zone(const report_where *where, size_t zone);
/* "28 of 29 firm, all of them at once 86 %" */
void report_where_score(const report_where *where, const earshot_score *score);
void report_where_repeaters(const report_where *where);
void report_where_plain(const report_where *where);

#endif
