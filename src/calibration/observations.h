/* SPDX-License-Identifier: GPL-3.0-or-later */
/* observations.h - readings as what a model can be held against.
 *
 * Rows that say the same of the same link on the same visit are one observation, their mean.
 * A row with a level and a count of trips is two.
 */
#ifndef CALIBRATION_OBSERVATIONS_H
#define CALIBRATION_OBSERVATIONS_H

#include "engine.h"

/* LEVEL: a value. BETWEEN: within two edges, open ends included. SILENT: nothing was shown or
 * heard. COUNT: so many of so many trips were heard. That a level was shown at all is one more,
 * BETWEEN what is needed and anything. */
enum calibration_kind {
    CALIBRATION_LEVEL,
    CALIBRATION_BETWEEN,
    CALIBRATION_SILENT,
    CALIBRATION_COUNT
};

/* Chance of a count as a function of the margin, from low_db in steps; flat outside. */
enum { CALIBRATION_N_COUNTS = 321 };
typedef struct calibration_counted {
    double chance[CALIBRATION_N_COUNTS];
} calibration_counted;

typedef struct calibration_observation {
    enum calibration_kind kind;
    size_t reading; /* the first of the rows that it is of */
    unsigned n_rows;
    earshot_link link;
    bool margin;                  /* of the margin; else of the received power */
    double level_dbm;             /* LEVEL */
    double low_dbm, high_dbm;     /* BETWEEN; SILENT: high_dbm is where it begins to show;
                                     of a margin, dB above what is needed */
    double normal_sd_db;          /* noise: of the day, of a count's mean */
    double meter_sd_db;           /* noise of a meter, heavy-tailed; 0: none */
    unsigned trips, heard;        /* COUNT */
    calibration_counted *counted; /* COUNT; shared by like counts */
    bool owns_counted;
    double
        least_dbm; /* of a level's rows the lowest, of bars their upper edge; or not finite */
    double level_share; /* so much of the level shown is taken off the margin; see hearing_of */
    double pad_db;      /* taken off what was sent */
    bool in_place;      /* on its final fixing */
    double static_share;       /* of the fade's variance, after averaging */
    size_t meter, shift, edge; /* whose errors it shares; NONE */
} calibration_observation;

typedef struct calibration_observations {
    calibration_observation *all;
    size_t n;
    size_t n_left_out; /* beyond what can be held in hand */
} calibration_observations;

/* All that can be used of the survey's readings, of rows whose `use` is not 0 (NULL: all). */
enum earshot_status calibration_observe(const earshot_survey *survey,
                                        const earshot_belief *prior, const unsigned char *use,
                                        calibration_observations *out);
void calibration_observations_free(calibration_observations *observations);

/* Variance that a meter scatters by from one reading to the next, tails and all. */
double calibration_meter_noise_db2(void);

/* The link that a reading is of. */
earshot_link calibration_link_of(const earshot_survey *survey, const survey_reading *reading);

/* What an observation makes of a normal belief about its level or margin (the pad already taken
 * off): mean and variance afterwards, and the log of its chance before. */
typedef struct calibration_moments {
    double mean, variance, log_chance;
} calibration_moments;
calibration_moments calibration_learn(const calibration_observation *observation, double mean,
                                      double variance);

/* The chance of a count at each margin, doors and people of the day counted in. */
void calibration_count_chances(double k_db, double session_sd_db, unsigned heard,
                               unsigned trips, calibration_counted *out);

/* Student's t with 4 degrees as a mixture of normals: the chance of each and its sd in units of
 * the meter's. */
enum { CALIBRATION_N_TAILS = 14 };
typedef struct calibration_tails {
    double chance[CALIBRATION_N_TAILS], scale[CALIBRATION_N_TAILS];
} calibration_tails;
void calibration_tails_make(calibration_tails *tails);

#endif
