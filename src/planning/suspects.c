/* SPDX-License-Identifier: GPL-3.0-or-later */
/* suspects.c - a reading that looks like a slip, as a finding: which rows, what they show, what
 * was foretold, what to do.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "findings.h"
#include "planning.h"
#include "text.h"

enum { PIECE_SIZE = 4 * TEXT_NUMBER_SIZE };

static const char *device_of(const earshot_survey *survey, size_t reading) {
    size_t device = survey->readings[reading].device;
    return device == EARSHOT_NONE ? "a walked point" : survey->devices[device].name;
}

static void write_level(char *out, double level_dbm) {
    char number[TEXT_NUMBER_SIZE];
    text_write_fixed(number, level_dbm, 0);
    strcat(strcat(out, number), " dBm");
}

/* "-58 dBm where -86 is foretold, give or take 6"; of what was not heard, or bars, in words. */
static void write_seen(const earshot_survey *survey, size_t reading, double foretold_db,
                       double sd_db, char out[PIECE_SIZE]) {
    const survey_reading *row = &survey->readings[reading];
    char number[TEXT_NUMBER_SIZE];
    out[0] = '\0';
    if (row->none || isnan(row->low_dbm))
        strcpy(out, "nothing");
    else if (row->low_dbm == row->high_dbm)
        write_level(out, row->low_dbm);
    else if (isfinite(row->low_dbm)) {
        write_level(out, row->low_dbm);
        strcat(out, " or more");
    } else {
        strcpy(out, "less than ");
        write_level(out, row->high_dbm);
    }
    if (isnan(foretold_db))
        return;
    text_write_fixed(number, foretold_db, 0);
    strcat(strcat(out, " where "), number);
    text_write_fixed(number, fmax(sd_db, 1), 0);
    strcat(strcat(out, " is foretold, give or take "), number);
}

void planning_tell_suspect(const earshot_survey *survey, const calibration_suspect *suspect,
                           earshot_findings *findings) {
    static const enum findings_code codes[] = {
        [CALIBRATION_SWAPPED] = FINDINGS_LOOKS_SWAPPED,
        [CALIBRATION_ELSEWHERE] = FINDINGS_LOOKS_ELSEWHERE,
        [CALIBRATION_STUCK] = FINDINGS_LOOKS_STUCK,
        [CALIBRATION_SLIP] = FINDINGS_LOOKS_SLIPPED,
        [CALIBRATION_SCALE] = FINDINGS_LOOKS_OTHER_SCALE};
    char seen[PIECE_SIZE], other[PIECE_SIZE], number[TEXT_NUMBER_SIZE];
    const char *slots[4] = {NULL};
    write_seen(survey, suspect->reading, suspect->foretold_db, suspect->foretold_sd_db, seen);
    slots[0] = device_of(survey, suspect->reading);
    switch (suspect->kind) {
    case CALIBRATION_SWAPPED:
    case CALIBRATION_ELSEWHERE:
        write_seen(survey, suspect->other, NAN, NAN, other);
        slots[1] = device_of(survey, suspect->other);
        slots[2] = seen;
        slots[3] = other;
        break;
    case CALIBRATION_STUCK:
        write_seen(survey, suspect->reading, NAN, NAN, seen);
        write_seen(survey, suspect->other, suspect->foretold_db, suspect->foretold_sd_db,
                   other);
        text_write_fixed(number, (double)suspect->n_rows, 0);
        slots[0] = seen;
        slots[1] = number;
        slots[2] = strstr(other, "where");
        break;
    case CALIBRATION_SLIP:
        text_write_fixed(number, suspect->mended_db, 0);
        slots[1] = seen;
        slots[2] = number;
        break;
    case CALIBRATION_SCALE:
        text_write_fixed(number, (double)suspect->n_rows, 0);
        text_write_fixed(other, fabs(suspect->seen_db), 0);
        slots[0] = number;
        slots[1] = other;
        slots[2] = suspect->seen_db > 0 ? "higher" : "lower";
        break;
    }
    findings_add(findings, codes[suspect->kind],
                 survey_reading_place(survey, &survey->readings[suspect->reading]), slots);
}

enum earshot_status planning_note_suspects(const earshot_survey *survey,
                                           const earshot_belief *belief,
                                           earshot_findings *findings) {
    calibration_suspect *suspects;
    size_t n;
    enum earshot_status status = calibration_suspect_all(survey, belief, &suspects, &n);
    for (size_t i = 0; status == EARSHOT_OK && i < n; i++)
        if (suspects[i].log_odds > 0)
            planning_tell_suspect(survey, &suspects[i], findings);
    free(suspects);
    return status;
}
