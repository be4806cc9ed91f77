/* SPDX-License-Identifier: GPL-3.0-or-later */
/* page.h - inside the report room: the page that is handed over, to one of three readers.
 */
#ifndef REPORT_PAGE_H
#define REPORT_PAGE_H

#include "write.h"

/* Gathered once for whoever reads it. */
typedef struct page {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_findings *findings;
    const earshot_report *asked;
    report_survey gathered;
    report_tested *tested; /* one for one with the gathered zones */
    earshot_text *out;
} page;

/* ---- page.c: what all three have ---- */

/* Up to the heading; `class` is that of the body, `about` a line below the name. */
void page_begin(const page *page, const char *class, const char *about);
void page_end(const page *page);
/* How many zones of each verdict, tests and readings. */
void page_summary(const page *page);
void page_heading(const page *page, const char *words);
/* A table that scrolls by itself where it is wider than the screen, named for who hears it. */
typedef struct page_column {
    const char *name;
    bool number;
} page_column;
void page_table(const page *page, const char *name, const page_column *columns, size_t n);
void page_table_end(const page *page);
void page_row(const page *page);
void page_row_end(const page *page);
/* One cell each. Not a number: blank. */
void page_cell(const page *page, const char *string);
void page_cell_count(const page *page, size_t count); /* 0: blank */
void page_cell_number(const page *page, double value, int decimals);
/* "12 +- 3"; where it is whole, the second never under 1. */
void page_cell_doubt(const page *page, double value, double sd, int decimals);
void page_cell_mark(const page *page, enum earshot_verdict verdict, bool life_safety);
/* What the marks mean, in this reader's words; `more` is a last entry, or NULL. */
void page_key(const page *page, const char *(*words)(enum earshot_verdict), const char *more);
/* A list of our own sentences. */
void page_list(const page *page, const char *const *items, size_t n);
/* "name: value", or a line to fill in where the value is "" or NULL. */
void page_field(const page *page, const char *name, const char *value);
/* A finding as an element of a list. */
enum earshot_status page_note(const page *page, size_t finding);
/* A text composed elsewhere, as it is, line by line. */
enum earshot_status page_said(const page *page, const earshot_text *text);

/* ---- rooms.c: what the customer sees of zones ---- */

typedef struct page_room {
    const char *name;                /* "": zones without one */
    size_t n_zones, n_done;          /* tested as they are left, and passed */
    enum earshot_verdict mark, then; /* then: as proposed */
    bool life_safety;
    const char *date; /* of the last test, as written; "": none */
} page_room;

/* The rooms in the order of their first zones, to be freed. `then` is the fates of the zones as
 * proposed, or NULL. EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status page_rooms(const page *page, const earshot_fate *then, page_room **out,
                               size_t *n_out);
/* When a final test was read last, as written; "" where nobody wrote it. */
const char *page_test_time(const earshot_survey *survey, const report_tested *tested);
/* How much of a time is a date written year first; 0: none of it. */
size_t page_date_length(const char *time);

/* ---- one for each reader ---- */

enum earshot_status page_write_customer(const page *page);
enum earshot_status page_write_technician(const page *page);
enum earshot_status page_write_office(const page *page);

#endif
