/* SPDX-License-Identifier: GPL-3.0-or-later */
/* drift.h - what changed between visits, beyond what two visits differ by anyway.
 */
#ifndef CALIBRATION_DRIFT_H
#define CALIBRATION_DRIFT_H

#include "engine.h"

/* What one link showed on one visit, doors shut, no pad. */
typedef struct calibration_shown {
    bool read, silent, in_place, as_left;
    double level_dbm;  /* mean of the levels; of bars that of their edges; not a number: none */
    double coarse_db2; /* variance of where in a bar it lies; 0 of values */
    unsigned trips, heard;
} calibration_shown;

typedef struct calibration_change {
    size_t device, listener; /* device rows */
    calibration_shown before, after;
    double own_db; /* what the level changed beyond what the others did; not a number: no two
                      levels */
    double chance; /* that two visits differ by as much when nothing changed */
    bool changed;  /* one in twenty of those said so is by chance */
} calibration_change;

/* Links that one cause can change alike: all of them; those of one listener (replaced, moved);
 * those of senders in one room (a wall, stock), with one radio, of one type, or of both (new
 * batteries in one make of contact). */
enum calibration_alike {
    CALIBRATION_ALL,
    CALIBRATION_LISTENER,
    CALIBRATION_ROOM,
    CALIBRATION_RADIO,
    CALIBRATION_TYPE,
    CALIBRATION_RADIO_AND_TYPE
};

/* What such links changed alike, beyond what the others did. */
typedef struct calibration_shift {
    enum calibration_alike alike;
    size_t of; /* LISTENER: device row; of senders: the first in that room, or with
                  that radio, that type */
    size_t n;  /* links with two levels */
    double shift_db, sd_db;
    double chance; /* that they would be so far off the others when nothing changed */
    bool shifted;  /* of groups: one in twenty of those said so is by chance */
} calibration_shift;

typedef struct calibration_drift {
    size_t from, to;   /* visits */
    double scatter_db; /* sd of one link's change when nothing changed, as seen here */
    double stated_db;  /* the same as it is elsewhere */
    calibration_shift common;
    calibration_shift *groups; /* beyond the common one */
    size_t n_groups, n_listeners;
    calibration_change *changes;
    size_t n_changes, n_changed;
} calibration_drift;

/* Compares two visits; to be freed, also after a failure. EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status calibration_compare_visits(const earshot_survey *survey,
                                               const earshot_belief *belief, size_t from,
                                               size_t to, calibration_drift *out);
void calibration_drift_free(calibration_drift *drift);

/* Why a visit's readings at a listener are none of the building's. */
enum calibration_fault {
    CALIBRATION_USABLE,
    CALIBRATION_JAMMED,
    CALIBRATION_NOISY,
    CALIBRATION_DEAF /* nothing at all is heard that other visits heard */
};
typedef struct calibration_visit_fault {
    enum calibration_fault fault;
    size_t n_heard_before, n_silent; /* links heard on other visits; of those silent on this */
    double strongest_dbm;            /* of the silent ones, on the others */
    double noise_dbm, noise_before_dbm;
} calibration_visit_fault;

/* Looks at one visit against all others. */
calibration_visit_fault calibration_judge_visit(const earshot_survey *survey, size_t listener,
                                                size_t visit);

/* What a link showed on a visit. */
calibration_shown calibration_shown_on(const earshot_survey *survey, size_t device,
                                       size_t listener, size_t visit);

/* The stated sd of the change between the two when nothing changed. */
double calibration_scatter_between(const calibration_shown *before,
                                   const calibration_shown *after);

/* Whether what was shown later is another state than before: levels apart by three times what
 * two visits differ by, or counts that have one chance in twenty together. */
bool calibration_disagree(const calibration_shown *before, const calibration_shown *after);

/* Of each reading (n_readings of them) the later visit that left its link otherwise, in place
 * and `as_left`, where what it showed then disagrees, so that the reading is of a state that is
 * gone; NONE: it counts. */
void calibration_supersede(const earshot_survey *survey, size_t *since);

#endif
