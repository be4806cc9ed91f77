/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mistakes.h - readings that look like a slip of somebody's, with the evidence; and those that
 * were set aside at once, with what was probably meant (aside.c).
 *
 * Nothing is dropped: a suspect counts in the fit, whose noise has heavy tails, until somebody
 * has looked. Rows that are accepted are never suspects.
 */
#ifndef CALIBRATION_MISTAKES_H
#define CALIBRATION_MISTAKES_H

#include "record.h"

enum calibration_mistake {
    CALIBRATION_SWAPPED,   /* two devices' readings, each under the other's name */
    CALIBRATION_ELSEWHERE, /* read where another device hangs */
    CALIBRATION_STUCK,     /* a meter that shows one value on ways that differ */
    CALIBRATION_SLIP,      /* a level that one digit or a sign would mend */
    CALIBRATION_SCALE      /* all readings of a scale are off by more than a meter can be */
};

typedef struct calibration_suspect {
    enum calibration_mistake kind;
    size_t reading, other; /* rows of readings: the first of them; of the other device, or the
                              last of a run; NONE */
    size_t n_rows;         /* of a run, of a scale */
    double log_odds;       /* that it is so, against that all is as written */
    double seen_db, foretold_db, foretold_sd_db; /* of the first; of a scale: how far off */
    double mended_db;                            /* SLIP: what it would be; else not a number */
} calibration_suspect;

/* The suspects, likeliest first, of odds better than even; the caller frees them. None where
 * more than 600 observations were merged. EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status calibration_suspect_all(const earshot_survey *survey,
                                            const earshot_belief *belief,
                                            calibration_suspect **suspects, size_t *n_suspects);

/* What a row that was set aside for its reading probably should have said. */
enum calibration_meaning {
    CALIBRATION_MINUS_LOST, /* 71 */
    CALIBRATION_LETTER,     /* -7l */
    CALIBRATION_IN_DBM,     /* -71 on a scale of bars */
    CALIBRATION_ON_SCALE    /* 3, in a log whose other rows are bars */
};
typedef struct calibration_meant {
    enum calibration_meaning meaning;
    double shown; /* as it should stand there */
    size_t scale; /* of ON_SCALE */
    double foretold_db, foretold_sd_db;
    double odds; /* against all else that it may have been */
} calibration_meant;

/* False where nothing fits what is believed of the link, or two things do. */
bool calibration_mean_aside(const earshot_survey *survey, const earshot_belief *belief,
                            const survey_aside *aside, calibration_meant *out);

#endif
