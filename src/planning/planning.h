/* SPDX-License-Identifier: GPL-3.0-or-later */
/* planning.h - predictions to what someone should do: why a zone is weak, what is cheapest to
 * try, which answer would settle most.
 *
 * Facts only; the words are the report's.
 */
#ifndef PLANNING_PLANNING_H
#define PLANNING_PLANNING_H

#include "calibration.h"
#include "mistakes.h"
#include "earshot/place.h"
#include "earshot/report.h"

/* As earshot_zones_judge, of the survey's links that have been predicted already. */
enum earshot_status planning_judge_zones(const earshot_survey *survey,
                                         const earshot_belief *belief,
                                         const earshot_link *links,
                                         const earshot_prediction *predictions, size_t n,
                                         earshot_zone *zones, size_t capacity, size_t *n_zones);

/* What to try, in rising cost. */
enum planning_step {
    PLANNING_NOTHING,
    PLANNING_GIVE_PLACE,  /* coordinates or a path row are missing */
    PLANNING_GIVE_RADIO,  /* the radio's power or need is missing */
    PLANNING_GIVE_HEARER, /* no listener hears it */
    PLANNING_READ,        /* the mean holds: one reading in place settles it */
    PLANNING_TRUST,       /* the same, and it has been read: go by that */
    PLANNING_LOOK,        /* heard too seldom for all that is known: look at device and walls */
    PLANNING_SEEK,        /* likeliest something across its way that nobody drew: find it */
    PLANNING_SLIDE,       /* half a wavelength along the wall, then read again */
    PLANNING_REMOUNT,     /* fix it another way: the mount takes the most */
    PLANNING_AVOID,       /* another place, whose way misses the worst crossing */
    PLANNING_MOVE         /* a moved receiver or a repeater */
};

typedef struct planning_advice {
    size_t cause; /* the part that weighs most, by loss or by doubt; NONE: nothing stands out */
    bool by_doubt; /* the cause is what is not known of it, not what it takes */
    enum planning_step step;
    double gain_db;    /* what the step can give back; 0: not a loss */
    double left_sd_db; /* PLANNING_READ: what one reading in place leaves of the doubt */
    double slide_m;    /* PLANNING_SLIDE: half a wavelength */
} planning_advice;

/* Why a link is not firm and what to try first. `parts` is its ledger. */
planning_advice planning_advise(const earshot_survey *survey, const earshot_belief *belief,
                                const earshot_link *link, const earshot_prediction *prediction,
                                const earshot_part *parts, size_t n_parts);

/* What could mend a zone where it is, in rising cost. */
enum planning_mend_kind { PLANNING_BY_SLIDING, PLANNING_BY_MOUNT, PLANNING_BY_PLACE };
typedef struct planning_mend {
    enum planning_mend_kind kind;
    double gain_db, sd_db;
    double chance; /* that the margin asked is there afterwards */
    size_t part;   /* of the ledger, that it does away with; NONE */
    double slide_m;
} planning_mend;

enum { PLANNING_MAX_MENDS = 3 };

/* A sensor that somebody carries can be fixed nowhere else; another may have to be where it is,
 * but on something else. */
bool planning_carried(const earshot_survey *survey, const earshot_link *link);
bool planning_remountable(const earshot_survey *survey, const earshot_link *link,
                          const earshot_part *part);

/* The mends of a weak link, and how many; none of a firm one. `parts` is its ledger. */
size_t planning_mends(const earshot_survey *survey, const earshot_belief *belief,
                      const earshot_link *link, const earshot_prediction *prediction,
                      const earshot_part *parts, size_t n_parts,
                      planning_mend mends[PLANNING_MAX_MENDS]);

/* What one reading in place must show, dBm, for the link to be firm by it. */
double planning_proof_dbm(const earshot_survey *survey, const earshot_belief *belief,
                          const earshot_link *link, const earshot_prediction *prediction);

/* Adds a finding of one suspect; and of all that are likelier than not. EARSHOT_OK or
 * EARSHOT_NO_MEMORY. */
void planning_tell_suspect(const earshot_survey *survey, const calibration_suspect *suspect,
                           earshot_findings *findings);
enum earshot_status planning_note_suspects(const earshot_survey *survey,
                                           const earshot_belief *belief,
                                           earshot_findings *findings);

/* How far a zone's final test has come. */
enum planning_state {
    PLANNING_PREDICTED,  /* nobody has tested it as it is left */
    PLANNING_TOO_FEW,    /* under three trips */
    PLANNING_NOT_PASSED, /* a trip missed, or a level or a pad that leaves less than is asked */
    PLANNING_PASSED,     /* all heard, and no level speaks against it */
    PLANNING_PROVEN      /* heard behind a pad of all the margin that is asked */
};

typedef struct planning_final {
    enum planning_state state;
    size_t visit;          /* its last visit with a test in place, doors shut */
    unsigned trips, heard; /* without a pad; a level shown counts as a trip heard */
    /* The lowest level that was shown; of bars its lower and its upper edge. Not a number:
     * none, or an open one. */
    double lowest_dbm, lowest_high_dbm;
    double asked_dbm;                   /* needed, and the margin kept */
    double pad_heard_db, pad_missed_db; /* the most, the least; not a number: none */
} planning_final;

/* How the final test of a link went, by the readings alone. `prediction` says what is asked. */
planning_final planning_final_of(const earshot_survey *survey, const earshot_link *link,
                                 const earshot_prediction *prediction);

/* Where a reading is made. */
typedef struct planning_where {
    size_t level; /* NONE: not on the plan */
    const char *room;
    bool ladder; /* one stands on something to reach it */
} planning_where;

planning_where planning_where_is(const earshot_survey *survey, size_t device);
/* Rooms of one name, ASCII case aside. */
bool planning_same_room(const char *a, const char *b);
bool planning_is_motion(const earshot_survey *survey, size_t device);
/* A reading of ten trips; and the way to it with the ladder up, from nowhere when NULL.
 * Guesses.
 */
double planning_read_minutes(bool motion, bool in_place);
double planning_way_minutes(const planning_where *to, const planning_where *from);

/* A device's distance square to a wall of its level. */
typedef struct planning_dimension {
    size_t wall;
    double distance_m;
    double toward_deg; /* from the device to the wall, clockwise from north; 0 m away: any */
} planning_dimension;

enum { PLANNING_MAX_DIMENSIONS = 2 };

/* The nearest wall, and the nearest that runs across it; how many there are. */
size_t planning_dimensions(const earshot_survey *survey, size_t device,
                           planning_dimension out[PLANNING_MAX_DIMENSIONS]);

/* A zone on the way through the house. */
typedef struct planning_stop {
    size_t device;
    planning_where where;
    double minutes; /* to get there, read it, screw it on and test it */
} planning_stop;

/* All sensors of the survey, in the order that somebody walks, into `stops`, which has room for
 * all its devices; and the minutes of the whole visit. EARSHOT_OK, or EARSHOT_NO_MEMORY. */
enum earshot_status planning_walk(const earshot_survey *survey, planning_stop *stops,
                                  size_t *n_stops, double *minutes);

/* The scale that most readings have, else bars-5 if there is one; NONE: dBm. */
size_t planning_meter(const earshot_survey *survey);

/* What a meter should show at a zone, hand-held. Not a number: it cannot be told. */
typedef struct planning_expectation {
    double level_dbm, sd_db, stop_dbm;
    double shown, low, high; /* in the meter's scale, whole; 4 in 5 lie between low and high */
    double stop;             /* with less than that the zone cannot be firm */
    planning_advice advice;  /* what to try then */
} planning_expectation;

planning_expectation planning_expect(const earshot_survey *survey, const earshot_belief *belief,
                                     size_t meter, const earshot_link *link,
                                     const earshot_prediction *prediction,
                                     const earshot_part *parts, size_t n_parts);

/* What was last read on a link. */
typedef struct planning_last {
    unsigned trips, heard; /* trips 0: none counted */
    double level_dbm;      /* not a number: none shown */
} planning_last;

/* In place, or by hand; of readings without a pad whose time is `since` or after it. */
planning_last planning_last_of(const earshot_survey *survey, const earshot_link *link,
                               bool in_place, const char *since);

/* How many readings have no time that compares. */
size_t planning_undated(const earshot_survey *survey);

/* A parameter as somebody could answer for it. */
enum planning_topic {
    PLANNING_EXPONENT,
    PLANNING_SATURATION,
    PLANNING_CONSTRUCTION,
    PLANNING_MOUNT,
    PLANNING_RADIO,
    PLANNING_ANTENNAS, /* of all listeners of one radio */
    PLANNING_ANTENNA,
    PLANNING_NEED
};

typedef struct planning_question {
    enum planning_topic topic;
    size_t row;          /* of the construction, mount, radio, or the listener's device row */
    size_t n_settled;    /* thin zones that would be firm or out if it were known */
    double variance_db2; /* that it takes off the zones asked about, all together */
} planning_question;

enum { PLANNING_MAX_QUESTIONS = 3 };

/* Topic and row of a parameter. */
planning_question planning_about(const earshot_survey *survey, size_t parameter);

/* The questions whose answers would settle most of the links, best first, and how many there
 * are. The mean is kept and the doubt of one parameter at a time taken away. EARSHOT_OK or
 * EARSHOT_NO_MEMORY. */
enum earshot_status planning_ask(const earshot_survey *survey, const earshot_belief *belief,
                                 const earshot_link *links, size_t n_links,
                                 planning_question questions[PLANNING_MAX_QUESTIONS],
                                 size_t *n_questions);

#endif
