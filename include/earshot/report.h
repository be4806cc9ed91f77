/* SPDX-License-Identifier: GPL-3.0-or-later */
/* report.h - answers as text, JSON and CSV, with the same words in each. */
#ifndef EARSHOT_REPORT_H
#define EARSHOT_REPORT_H

#include "earshot/belief.h"
#include "earshot/drawing.h"
#include "earshot/findings.h"
#include "earshot/link.h"
#include "earshot/place.h"
#include "earshot/survey.h"
#include "earshot/text.h"

#ifdef __cplusplus
extern "C" {
#endif

enum earshot_form {
    EARSHOT_PLAIN,     /* for a person: one sentence, then what needs doing */
    EARSHOT_PLAIN_ALL, /* for a person: the whole table */
    EARSHOT_JSON,
    EARSHOT_CSV,
    EARSHOT_HTML, /* a page to print: of earshot_sheet_write; of drawings the element that
                     stands in a page; plain text of the others */
    EARSHOT_SVG   /* a picture, a file by itself: of drawings alone */
};

/* One zone: its device and the listener that hears it best. A zone is firm when at least one of
 * its links is; a repeater counts only while its own link to a receiver is firm. */
typedef struct earshot_zone {
    size_t device;     /* row of devices.csv */
    earshot_link link; /* the best link; path and places as there */
    earshot_prediction prediction;
} earshot_zone;

/* Judges every sensor of the survey, in the order of devices.csv: writes the first `capacity`
 * zones, and how many there are. A sensor that no listener hears is not judged, its listener
 * EARSHOT_NONE. Returns EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status earshot_zones_judge(const earshot_survey *survey,
                                        const earshot_belief *belief, earshot_zone *zones,
                                        size_t capacity, size_t *n_zones);

/* Adds the notes that only the model can make: a plan and a path row that differ by more than 3
 * dB, losses used far from their frequency. Returns EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status earshot_survey_doubts(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          earshot_findings *findings);

/* The whole survey. Each call appends to `out`; EARSHOT_NO_MEMORY leaves it cut. */
enum earshot_status earshot_check_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out);

/* Where the signal goes on one link of the survey, each number with its source. */
enum earshot_status earshot_ledger_write(const earshot_survey *survey,
                                         const earshot_belief *belief, const earshot_link *link,
                                         enum earshot_form form, earshot_text *out);

/* The one link of a survey made from words, in seven lines at most. */
enum earshot_status earshot_reach_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out);

/* What readings made of the tables: what was corrected, from what to what, what they could not
 * tell, what only moves together, how well all fits and what does not. `belief` is a fitted
 * one; of any other it says that nothing was read. */
enum earshot_status earshot_recalibrate_write(const earshot_survey *survey,
                                              const earshot_belief *belief,
                                              const earshot_findings *findings,
                                              enum earshot_form form, earshot_text *out);

/* Which zones were tested as they are left, and how that went: what is missing first. */
enum earshot_status earshot_final_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out);

/* How many zones have not passed it. EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status earshot_final_left(const earshot_survey *survey,
                                       const earshot_belief *belief, size_t *n_left);

/* Whether a text is a date written year first, as a whole or with a time behind it: 2026,
 * 2026-03, 2026-03-10, 2026-03-10T09:40. Such dates compare as text. */
bool earshot_date_valid(const char *text);

typedef struct earshot_sheet {
    const char *meter; /* a row of scales.csv; NULL: the one of most readings, else bars-5 */
    const char *since; /* also show what was last read from this date on; NULL: nothing */
} earshot_sheet;

/* What somebody carries from zone to zone with a pencil, in walking order: what is expected,
 * from where on to stop, and boxes. HTML is the paper, A4 or Letter; CSV a readings.csv to be
 * filled in; plain text one numbered question a line, to be read on the phone. Readings whose
 * time is not a date as above are not shown as last time's, and the sheet says how many there
 * are. EARSHOT_MISUSE when the meter is no scale of the survey or the date is none. */
enum earshot_status earshot_sheet_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_sheet *sheet,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out);

/* One of two arrangements: a survey, what is believed of it, and where its listeners stand. The
 * name is what people call it: "receiver at study-shelf". */
typedef struct earshot_compared {
    const char *name;
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_post *posts;
    size_t n_posts;
} earshot_compared;

/* For whom a report is. */
enum earshot_audience {
    EARSHOT_CUSTOMER, /* one page, no decibels, no serials: rooms, what was tested, whom to call
                       */
    EARSHOT_TECHNICIAN, /* the record: zone schedule, readings, decisions, and its own tables */
    EARSHOT_OFFICE      /* what it rests on: table rows with their sources, fit, drift */
};

typedef struct earshot_report {
    const char *date;     /* printed as it is; NULL: a line to fill in */
    bool serials;         /* of the technician's: in full, else masked */
    const char *proposed; /* name of the arrangement `posts` that is proposed; NULL: none */
    const earshot_post *posts;
    size_t n_posts;
    const earshot_plan_task *plan; /* of the technician's, level by level; NULL: none */
    /* What the survey was loaded from, to be carried by the technician's; NULL: nothing. */
    const earshot_bytes *tables;
    size_t n_tables;
    const earshot_watch *watch; /* NULL: none */
} earshot_report;

/* A report as one HTML file without script or network, for screen, phone and A4 or Letter.
 * Appends to `out`. EARSHOT_NO_MEMORY leaves it cut; EARSHOT_STOPPED by the watch;
 * EARSHOT_MISUSE for an audience that there is none of, or posts that earshot_posts_score
 * refuses. */
enum earshot_status earshot_report_write(const earshot_survey *survey,
                                         const earshot_belief *belief,
                                         const earshot_findings *findings,
                                         enum earshot_audience audience,
                                         const earshot_report *report, earshot_text *out);

/* The tables that a technician's report carries, byte for byte as it was given them. */
typedef struct earshot_carried earshot_carried;

/* Reads them out of a page, which may come from anybody: each table is whole by its own sum,
 * and each name is that of a CSV, TSV or text file in a folder or in its folder "materials".
 * EARSHOT_INVALID with findings when one is not, or there is none; EARSHOT_NO_MEMORY,
 * EARSHOT_MISUSE or EARSHOT_OK. The caller frees. */
enum earshot_status earshot_carried_load(const earshot_bytes *page, earshot_findings *findings,
                                         earshot_carried **out);
size_t earshot_carried_tables(const earshot_carried *carried);
/* Table number i, from 0; borrowed. */
earshot_bytes earshot_carried_table(const earshot_carried *carried, size_t i);
void earshot_carried_free(earshot_carried *carried);

/* Two arrangements side by side, zone by zone, and one line of conclusion. Of one survey both
 * are worked out on the same draws; of two, zones are paired by the names of their devices, and
 * what is not known of one says nothing of the other. */
enum earshot_status earshot_compare_write(const earshot_compared *now,
                                          const earshot_compared *then,
                                          const earshot_findings *findings,
                                          enum earshot_form form, earshot_text *out);

/* Which `count` readings to make next, by what each lowers the expected number of wrong
 * verdicts for the minutes it takes, and where more stop paying. Stops by the watch, which may
 * be NULL: EARSHOT_STOPPED. */
enum earshot_status earshot_next_write(const earshot_survey *survey,
                                       const earshot_belief *belief,
                                       const earshot_findings *findings, size_t count,
                                       const earshot_watch *watch, enum earshot_form form,
                                       earshot_text *out);

/* The visits of readings.csv, in order: how many, and one by name (their count: none). */
size_t earshot_survey_visits(const earshot_survey *survey);
size_t earshot_survey_find_visit(const earshot_survey *survey, const char *name);

/* What changed between two visits (EARSHOT_NONE: the first and the last that are usable), which
 * visits are not usable and why, and which zone goes thin first. */
enum earshot_status earshot_drift_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings, size_t from,
                                        size_t to, enum earshot_form form, earshot_text *out);

typedef struct earshot_where {
    bool
        anywhere; /* places of a grid, in place of spots.csv: indoors, near a wall, off metal */
    bool repeaters; /* who goes by which repeater, and repeaters for a moved receiver as well */
    const earshot_watch *watch; /* NULL; stops it: EARSHOT_STOPPED */
} earshot_where;

/* The mends of each weak zone in rising cost, the receiver at each place, and the fewest
 * repeaters; EARSHOT_MISUSE for more listeners than it compares (48). */
enum earshot_status earshot_where_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        const earshot_where *what, enum earshot_form form,
                                        earshot_text *out);

/* How many repeaters to price before the job, with the chance of each number, and the questions
 * that would narrow it; `repeaters` of `what` is not looked at. */
enum earshot_status earshot_quote_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        const earshot_where *what, enum earshot_form form,
                                        earshot_text *out);

/* A drawing as SVG 1.1: a file by itself (EARSHOT_SVG), or the element alone, to stand in a
 * page (EARSHOT_HTML). EARSHOT_MISUSE for other forms. */
enum earshot_status earshot_drawing_write(const earshot_drawing *drawing,
                                          enum earshot_form form, earshot_text *out);

/* The plan of each level, as earshot_plan_draw draws it: EARSHOT_SVG, or EARSHOT_HTML for the
 * element alone. As EARSHOT_CSV and EARSHOT_JSON its numbers, a row for each place: the margin
 * of a sensor there and its sd, and for a receiver there the smallest spare over all zones.
 * EARSHOT_MISUSE for other forms, a task out of range, a survey without a plan. */
enum earshot_status earshot_plan_write(const earshot_survey *survey,
                                       const earshot_belief *belief,
                                       const earshot_plan_task *task, enum earshot_form form,
                                       earshot_text *out);

/* One link of the survey in section, as SVG: a stair of falling level. By another arrangement
 * (`posts` not NULL) its best way there besides, both hops of a repeater. */
enum earshot_status earshot_section_write(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          const earshot_link *link, const earshot_post *posts,
                                          size_t n_posts, earshot_text *out);

/* What was read beside what was predicted and what is believed now, and where on the plan it is
 * off, as SVG. EARSHOT_MISUSE where nothing was read. */
enum earshot_status earshot_fit_write(const earshot_survey *survey,
                                      const earshot_belief *belief, earshot_text *out);

enum earshot_polarization { EARSHOT_BOTH, EARSHOT_TE, EARSHOT_TM };

/* What is asked of a wall: frequencies and angles from straight on, each from low to high in
 * steps (a step of 0, or low equal to high: one value). 10 to 100,000 MHz, 0 to 89 degrees, at
 * most 100,000 rows. BOTH: the mean of the powers. */
typedef struct earshot_loss_query {
    double low_mhz, high_mhz, step_mhz;
    double low_deg, high_deg, step_deg;
    enum earshot_polarization polarization;
} earshot_loss_query;

/* What a wall loses: by the tables, by slab theory, and what the model uses and why. `word` is
 * a construction or what people call one; NULL lists all constructions. `survey` may be of
 * materials alone. EARSHOT_INVALID with a finding when nobody calls a wall so, EARSHOT_MISUSE
 * for a query out of range. */
enum earshot_status earshot_loss_write(const earshot_survey *survey, const char *word,
                                       const earshot_loss_query *query,
                                       earshot_findings *findings, enum earshot_form form,
                                       earshot_text *out);

/* Which wall it is by what can be seen, knocked, drilled and found by a magnet: the
 * construction, or an honest mixture of those that fit the words equally well, and what else to
 * ask about. EARSHOT_INVALID with a finding when no word tells anything. */
enum earshot_status earshot_looks_write(const earshot_survey *survey, const char *const *words,
                                        size_t n_words, double freq_mhz,
                                        earshot_findings *findings, enum earshot_form form,
                                        earshot_text *out);

/* What a finding of this code means, with an example and how to mend it, for people.
 * EARSHOT_MISUSE when there is no such code, EARSHOT_NO_MEMORY, or EARSHOT_OK. */
enum earshot_status earshot_manual_write(const char *code, earshot_text *out);

/* What earshot_survey_odd found, as text, JSON or CSV. */
enum earshot_status earshot_odd_write(const earshot_survey *survey,
                                      const earshot_findings *findings, enum earshot_form form,
                                      earshot_text *out);

/* The findings alone, of a survey that could not be loaded: JSON, else CSV. */
enum earshot_status earshot_findings_write(const char *survey_name,
                                           const earshot_findings *findings,
                                           enum earshot_form form, earshot_text *out);

/* One building among many. */
typedef struct earshot_checked {
    const char *folder;           /* what the caller calls it */
    const earshot_survey *survey; /* NULL: it has errors, or could not be read */
    const earshot_belief *belief;
    const earshot_findings *findings;
    const char *unread; /* why it could not be read, in a sentence; NULL: it was */
} earshot_checked;

/* It in one line: JSON (schema earshot/checked/1), or a row of CSV where that is asked for.
 * `n_weak` becomes how many zones are not firm, and to `why` is appended in one sentence what
 * keeps it from being judged, if anything does; both may be NULL. EARSHOT_OK or
 * EARSHOT_NO_MEMORY, which leaves `out` cut. */
enum earshot_status earshot_checked_write(const earshot_checked *checked,
                                          enum earshot_form form, earshot_text *out,
                                          size_t *n_weak, earshot_text *why);
/* What stands above the rows of CSV; "" for JSON. */
const char *earshot_checked_header(enum earshot_form form);

#ifdef __cplusplus
}
#endif

#endif
