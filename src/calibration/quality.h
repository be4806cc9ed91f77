/* SPDX-License-Identifier: GPL-3.0-or-later */
/* quality.h - what readings taught, how well they fit, and what a link's change is due to.
 *
 * All of it is about a fitted belief; of one that no reading corrected there is nothing to say.
 */
#ifndef CALIBRATION_QUALITY_H
#define CALIBRATION_QUALITY_H

#include "record.h"

/* Something that readings can tell of: a parameter, a meter's offset, a later visit's shift. */
enum calibration_unknown_kind { CALIBRATION_PARAMETER, CALIBRATION_METER, CALIBRATION_VISIT };

typedef struct calibration_unknown {
    enum calibration_unknown_kind kind;
    size_t row; /* parameter; row of the scales, n_scales for none; visit */
    /* As people count it: the exponent and the ways-round power plain, losses, powers, needs
     * and offsets in dB or dBm. A loss is at the frequency of the radio that reads most. */
    double before, before_sd, after, after_sd;
    double moved_sds;
    bool learned; /* its sd fell by a tenth or more */
} calibration_unknown;

/* Whether it moves all readings alike: a radio's power, an antenna, a meter. */
bool calibration_is_offset(const earshot_survey *survey, const calibration_unknown *unknown);

/* One thing in the way that differs from what is built like it, dB more than its kind. */
typedef struct calibration_thing {
    size_t thing;
    double more_db, sd_db;
} calibration_thing;

/* A reading against what all the others say of it. */
typedef struct calibration_held {
    const calibration_observation *of;
    double seen_db;                     /* the level, or not a number */
    double before_db;                   /* by the tables */
    double inside_db;                   /* by the belief that counts it */
    double foretold_db, foretold_sd_db; /* by all the others */
    double chance; /* that it lies as far off or farther, or of what was seen at all */
    bool surprising;
} calibration_held;

typedef struct calibration_quality {
    calibration_unknown *unknowns;
    double *correlation; /* n_unknowns x n_unknowns, after the readings */
    size_t n_unknowns;
    double offset_with_exponent; /* the same of all that moves every reading alike, together,
                                    with the exponent; 0 where either is not among them */
    calibration_thing *things;
    size_t n_things;
    calibration_held *held;
    size_t n_held;
    size_t n_links, n_levels, n_not_heard;
    /* Root mean square of levels less what was foretold, dB; not a number without any. */
    double before_rms_db, inside_rms_db, reading_out_rms_db, listener_out_rms_db;
} calibration_quality;

/* To be freed, also after a failure. Fits once more for each listener, unless there are more
 * than 400 observations. */
enum earshot_status calibration_quality_of(const earshot_survey *survey,
                                           const earshot_belief *belief,
                                           calibration_quality *out);
void calibration_quality_free(calibration_quality *quality);

/* Where something that nobody drew may stand, and how likely; its loss as the readings leave
 * it. */
typedef struct calibration_place {
    engine_obstacle obstacle;
    double chance;
} calibration_place;

/* Something that nobody drew: how likely it was, and is once the readings speak for it (0 as
 * long as they do not), and places, likelier ones first, that stand for all there are. */
typedef struct calibration_undrawn {
    double chance_before, chance;
    calibration_place places[CALIBRATION_MOST_OBSTACLES];
    size_t n_places;
} calibration_undrawn;

/* EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status calibration_undrawn_of(const earshot_belief *belief,
                                           calibration_undrawn *out);

/* How likely it stands across a link. */
double calibration_undrawn_on(const calibration_undrawn *undrawn, const earshot_link *link);

/* What is less likely than this is no help to anybody who looks for it. Judgement. */
static const double calibration_worth_naming = 0.25;

/* What a link's change is due to. */
enum calibration_cause_kind {
    CALIBRATION_BY_PARAMETER, /* a construction, a mount, a radio, the listener's place or need
                               */
    CALIBRATION_BY_THING,     /* one wall, opening or floor */
    CALIBRATION_BY_UNDRAWN,   /* something across the way that nobody drew */
    CALIBRATION_BY_PLACE      /* this place, or this one device: nothing else shows it */
};
typedef struct calibration_cause {
    enum calibration_cause_kind kind;
    size_t row;     /* parameter, or thing; NONE of the others */
    double more_db; /* what it takes beyond the tables */
    double chance;  /* that it takes half or more of all that the link is off */
} calibration_cause;

/* The likeliest cause of a link's margin being `off_db` below (above: negative) what the tables
 * say. False when no reading corrected it. */
bool calibration_likeliest_cause(const earshot_survey *survey, const earshot_belief *belief,
                                 const earshot_link *link, double off_db,
                                 calibration_cause *out);

#endif
