/* SPDX-License-Identifier: GPL-3.0-or-later */
/* write.h - inside the report room: JSON and CSV syntax, and the words for things.
 *
 * Numbers: one decimal for people, up to nine for machines.
 */
#ifndef REPORT_WRITE_H
#define REPORT_WRITE_H

#include "earshot/report.h"
#include "planning.h"
#include "quality.h"
#include "text.h"

/* ---- json.c ---- */

/* Writes JSON with the commas put in. */
typedef struct report_json {
    earshot_text *out;
    bool comma; /* one is due before the next value */
} report_json;

void report_open(report_json *json, const char *key, char bracket); /* key NULL: an element */
void report_close(report_json *json, char bracket);
void report_string(report_json *json, const char *key, const char *value); /* NULL: null */
void report_number(report_json *json, const char *key, double value);
void report_bool(report_json *json, const char *key, bool value);

/* ---- csv.c ---- */

/* A cell of text: quoted where it must be; one that a spreadsheet would take for a formula gets
 * an apostrophe before it. `last` ends the row. */
void report_cell(earshot_text *out, const char *value, bool last);
void report_cell_number(earshot_text *out, double value, bool last);

/* ---- html.c ---- */

/* Text from outside, as the content of an element or inside the quotes of an attribute. */
void report_html(earshot_text *out, const char *string);
void report_html_bytes(earshot_text *out, const char *bytes, size_t n_bytes);

/* ---- marks.c ---- */

/* A verdict as a mark told by its shape, `word` for who cannot see it (NULL: it stands beside
 * the mark); under a small roof where life is guarded. */
void report_mark(enum earshot_verdict verdict, bool life_safety, const char *word,
                 earshot_text *out);

/* ---- words.c ---- */

/* What people call a device: its label, else its name. */
const char *report_name(const survey_device *device);
/* "33 garden room store": a zone by its number, where it has one, and its name. */
void report_zone_name(earshot_text *out, const survey_device *device);
/* ", hall": its room, where it has one and its name does not say it already. */
void report_room(earshot_text *out, const survey_device *device);
/* The verdict in a sentence: "firm", "thin", "won't reach", "not judged". */
const char *report_verdict(enum earshot_verdict verdict);
/* The same into a text, marked there. */
void report_say_verdict(earshot_text *out, enum earshot_verdict verdict);
void report_db(earshot_text *out, double value_db);         /* one decimal */
void report_capital(earshot_text *out, const char *string); /* its first letter made large */
/* Words in lines of 80, the following ones indented; `at` is where the first begins. */
void report_wrap(earshot_text *out, const char *string, size_t at, size_t indent);
/* "12 dB to spare" or "3 dB short"; whole dB. */
/* That so many rows of readings are not in what is told; nothing for none. */
void report_set_aside(earshot_text *out, size_t n);

void report_spare(earshot_text *out, double spare_db);
/* ", give or take 8": whole dB and never under 1, for nothing here is known better. */
void report_doubt(earshot_text *out, double sd_db);
/* "96 %" or "under 1 %" of a chance from 0 to 1: neither 0 nor 100 where it is not quite that.
 */
void report_percent(earshot_text *out, double chance);
/* "7 in 10", for a chance of 0.73. */
void report_odds(earshot_text *out, double chance);
/* What is said of everything that guards life, whatever was predicted: no first letter, no full
 * stop. */
extern const char *const report_life_safety;
/* Whether a link guards life and is firm by prediction alone. */
bool report_untested(const earshot_link *link, const earshot_prediction *prediction);
void report_cause(earshot_text *out, const planning_advice *advice, const earshot_part *parts);
void report_try(earshot_text *out, const planning_advice *advice, const earshot_part *parts);
void report_likeliest(earshot_text *out, const earshot_survey *survey,
                      const calibration_cause *cause);
void report_question(earshot_text *out, const earshot_survey *survey,
                     const planning_question *question);

/* ---- recalibrate.c ---- */

/* The name of a wall, opening, floor, or of what a path row crosses. */
const char *report_thing(const earshot_survey *survey, size_t thing);
/* How little it shows that all of so many trips were heard; nothing for none. */
void report_all_heard(earshot_text *out, unsigned trips);

/* ---- undrawn.c ---- */

/* That something which nobody drew stands across some ways: for people, when it is worth
 * naming; for programs an object "undrawn". */
void report_undrawn(const earshot_survey *survey, const calibration_undrawn *undrawn,
                    earshot_text *out);
/* The same in one line that says where more is said. */
void report_undrawn_line(const calibration_undrawn *undrawn, earshot_text *out);
void report_undrawn_json(const earshot_survey *survey, const calibration_undrawn *undrawn,
                         report_json *json);

/* ---- loss.c ---- */

/* How many times a frequency is above or below the nearest at which a construction's loss is
 * known; 1 for one without rows. Beyond 2 the loss is a guess. */
double report_apart(const earshot_survey *survey, size_t construction, double freq_mhz);
enum { REPORT_FAR_APART = 2 };

/* ---- final.c ---- */

/* A zone by the link that was tested, and how its final test went. */
typedef struct report_tested {
    earshot_zone zone;
    planning_final final;
} report_tested;

/* All zones, in the order of devices.csv; the caller frees. EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status report_test_zones(const earshot_survey *survey,
                                      const earshot_belief *belief, report_tested **out,
                                      size_t *n_out);
/* "predicted", "too few trips", "not passed", "passed", "passed with a pad" */
const char *report_state(enum planning_state state);

/* ---- gather.c ---- */

/* What was read on a link, all rows together. */
typedef struct report_measured {
    size_t n_rows, n_levels;
    double level_dbm; /* mean of the levels read; not a number: none */
    unsigned trips, heard;
    bool silent; /* not heard, and no trips counted */
} report_measured;

typedef struct report_link {
    earshot_link link;
    earshot_prediction prediction, plan; /* plan: by the tables alone */
    report_measured measured;
    earshot_part *parts;
    size_t n_parts;
} report_link;

typedef struct report_zone {
    earshot_zone zone;
    size_t link; /* among the links, or NONE */
    planning_advice advice;
    bool has_cause;          /* the plan had it firm, the readings have not */
    calibration_cause cause; /* what that is likeliest due to */
} report_zone;

/* Everything that a report on a whole survey shows. */
typedef struct report_survey {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_findings *findings;
    report_link *links;
    size_t n_links;
    report_zone *zones;
    size_t n_zones;
    size_t count[4];    /* zones by verdict */
    size_t by_basis[3]; /* and by basis */
    calibration_undrawn undrawn;
} report_survey;

enum earshot_status report_gather(const earshot_survey *survey, const earshot_belief *belief,
                                  const earshot_findings *findings, report_survey *out);
void report_release(report_survey *gathered);

/* ---- asked.c ---- */

/* The questions whose answers would settle most of the zones in doubt, and how many;
 * EARSHOT_NO_MEMORY or EARSHOT_OK. As numbered lines. */
enum earshot_status report_ask(const report_survey *gathered,
                               planning_question questions[PLANNING_MAX_QUESTIONS], size_t *n);
void report_questions(const report_survey *gathered, const planning_question *questions,
                      size_t n, earshot_text *out);

/* ---- one for each form ---- */
void report_check_plain(const report_survey *gathered, bool all, earshot_text *out);
/* "file:line:column: sentence (3 times)", and the same behind "note: " in a line of its own. */
void report_place(const earshot_finding *finding, earshot_text *out);
void report_note(const earshot_finding *finding, earshot_text *out);
void report_check_json(const report_survey *gathered, earshot_text *out);
void report_check_csv(const report_survey *gathered, earshot_text *out);
void report_finding_json(report_json *json, const earshot_finding *finding);
void report_findings_json(report_json *json, const earshot_findings *findings);
void report_prediction_json(report_json *json, const earshot_prediction *prediction);
void report_parts_json(report_json *json, const earshot_part *parts, size_t n_parts);

#endif
