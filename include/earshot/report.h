/* SPDX-License-Identifier: GPL-3.0-or-later */
/* report.h - answers as text, JSON and CSV, with the same words in each. */
#ifndef EARSHOT_REPORT_H
#define EARSHOT_REPORT_H

#include "earshot/belief.h"
#include "earshot/findings.h"
#include "earshot/link.h"
#include "earshot/survey.h"
#include "earshot/text.h"

enum earshot_form {
    EARSHOT_PLAIN,     /* for a person: one sentence, then what needs doing */
    EARSHOT_PLAIN_ALL, /* for a person: the whole table */
    EARSHOT_JSON,
    EARSHOT_CSV
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

/* The findings alone: JSON when a survey could not be loaded. */
enum earshot_status earshot_findings_write(const char *survey_name,
                                           const earshot_findings *findings,
                                           enum earshot_form form, earshot_text *out);

#endif
