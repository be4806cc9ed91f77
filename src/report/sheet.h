/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet.h - inside the report room: what somebody carries from zone to zone, gathered once for
 * paper, spreadsheet, phone and programs.
 */
#ifndef REPORT_SHEET_H
#define REPORT_SHEET_H

#include "write.h"

enum { SHEET_TRIPS = 10, SHEET_FINAL_TRIPS = 3 };

typedef struct sheet_row {
    const report_zone *zone;
    const survey_device *device;
    const earshot_part *parts; /* the ledger of its link; NULL: none */
    planning_stop stop;
    planning_expectation expect;
    planning_last held, in_place; /* since the day asked for */
    const survey_level *level; /* where another one begins than the row before had, or NULL */
} sheet_row;

typedef struct sheet {
    report_survey gathered;
    size_t meter;      /* row of the scales, or NONE: dBm */
    const char *since; /* last time's values from this day on; NULL: none */
    sheet_row *rows;
    size_t n_rows;
    double minutes;
    bool ladder, motion, life_safety; /* any of them */
    size_t n_undated;
} sheet;

/* ---- sheet.c: the words that all forms share ---- */

/* "21 cellar sink, cellar": number, label, the room where the label does not say it, and who is
 * to hear it where that is not the first receiver. */
void sheet_name(const sheet *sheet, const sheet_row *row, earshot_text *out);
/* "expect 4 of 5 bars (3 to 5); below 3 stop and slide it 17 cm along the wall" */
void sheet_expect(const sheet *sheet, const sheet_row *row, earshot_text *out);
/* What to do below it: "slide it 17 cm along the wall"; nothing where nothing is known. */
void sheet_mend(const sheet_row *row, earshot_text *out);
/* "bars", "dBm", or the scale's name; and the most it shows, not a number where it has none. */
const char *sheet_unit(const sheet *sheet);
double sheet_most(const sheet *sheet);
/* A level in the meter's scale, whole; not a number stays so. */
double sheet_shown(const sheet *sheet, double level_dbm);
/* How many readings are not shown as last time's, and why. */
void sheet_undated(const sheet *sheet, earshot_text *out);
/* The listener to read a zone at: its own, else the first receiver, else NULL. */
const survey_device *sheet_listener(const sheet *sheet, const sheet_row *row);

/* ---- sheet_pages.c: what fits on which page ---- */

/* Millimeters of paper. The page is what A4 (210 x 297) and Letter (215.9 x 279.4) have in
 * common inside margins of 8 mm. */
#define SHEET_MARGIN_MM 8.0
#define SHEET_WIDTH_MM 194.0
#define SHEET_HEIGHT_MM 262.0
#define SHEET_TOP_MM 75.0      /* of the first page: building, what to bring and to mind */
#define SHEET_TOP_AGAIN_MM 7.0 /* of the others: building, page */
#define SHEET_HEAD_MM 22.0     /* names of the columns */
#define SHEET_ROW_MM 14.8
#define SHEET_FOOT_MM 25.0 /* of the last page: restored, signed */

typedef struct sheet_page {
    size_t first, n; /* rows */
    bool last;
} sheet_page;

/* The page that begins at row `first`, which is 0 on the first page only. */
sheet_page sheet_page_at(size_t first, size_t n_rows);
size_t sheet_count_pages(size_t n_rows);

/* ---- one for each form ---- */

void sheet_write_html(const sheet *sheet, earshot_text *out);
void sheet_write_questions(const sheet *sheet, earshot_text *out);
void sheet_write_csv(const sheet *sheet, earshot_text *out);
void sheet_write_json(const sheet *sheet, earshot_text *out);

#endif
