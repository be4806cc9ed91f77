/* SPDX-License-Identifier: GPL-3.0-or-later */
/* place.h - where listeners stand: arrangements of receivers and repeaters, held against each
 * other by what all zones together make of them.
 *
 * A post is one listener of an arrangement: a device of the survey where it stands, or one that
 * is proposed at a spot of spots.csv. A zone goes to a receiver directly, or through one
 * repeater whose own way to a receiver must hold in the same draw: two chances multiplied would
 * forget that both ways err together.
 */
#ifndef EARSHOT_PLACE_H
#define EARSHOT_PLACE_H

#include "earshot/belief.h"
#include "earshot/link.h"
#include "earshot/survey.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct earshot_post {
    earshot_end end;
    bool repeats;  /* a repeater; else a receiver */
    size_t device; /* row of devices.csv; of a moved receiver the one that is moved;
                      EARSHOT_NONE: a repeater that is not there yet */
    size_t spot;   /* row of spots.csv, or another number of the caller's for a place of its
                      own; EARSHOT_NONE: where it stands */
} earshot_post;

/* The receivers and repeaters of the survey where they stand: writes the first `capacity`,
 * returns how many there are. */
size_t earshot_survey_posts(const earshot_survey *survey, earshot_post *posts, size_t capacity);

/* Spots of spots.csv: how many, the name of one (borrowed), and one by name (their count:
 * none).
 */
size_t earshot_survey_spots(const earshot_survey *survey);
const char *earshot_survey_spot(const earshot_survey *survey, size_t row);
size_t earshot_survey_find_spot(const earshot_survey *survey, const char *name);

/* A receiver of the survey moved to a spot, and a repeater of a radio (row of the radios) put
 * there. Beside metal its end has the mount metal-frame, if the tables have one. */
earshot_post earshot_post_moved(const earshot_survey *survey, const earshot_post *receiver,
                                size_t spot);
earshot_post earshot_post_repeater(const earshot_survey *survey, size_t radio, size_t spot);

/* What an arrangement makes of one zone. */
typedef struct earshot_fate {
    size_t device;
    bool life_safety;
    double chance;                /* that it is heard with all the margin asked, by some way */
    double spare_db, spare_sd_db; /* of its best way in each draw */
    enum earshot_verdict verdict; /* by its best single way, readings heeded */
    size_t post;                  /* of that way, or EARSHOT_NONE */
} earshot_fate;

typedef struct earshot_score {
    double chance_all, chance_all_se; /* that all zones are, and its standard error */
    double short_zones,
        short_zones_se;       /* expected zones short, those that guard life 10 times */
    double smallest_spare_db; /* over zones, of the mean */
    size_t smallest;          /* which, among the fates; EARSHOT_NONE: no zone */
    size_t n_firm, n_zones;
} earshot_score;

/* How many zones a survey has: its sensors. */
size_t earshot_survey_zones(const earshot_survey *survey);

/* Scores arrangements of some of the posts on draws first_draw to first_draw + n_draws - 1 of a
 * seed: in the i-th of n_sets those stand for which stands[i * n_posts + post] is not 0.
 * `fates` takes n_sets x zones, in the order of devices.csv, `best_spare_db` n_sets x n_draws x
 * zones, each draw's best spare, so that arrangements may be compared draw by draw; either may
 * be NULL. Zones times posts may be about 1,900 (990 where both ends talk). A zone that no post
 * hears, or whose way cannot be worked out, is short. EARSHOT_MISUSE, EARSHOT_NO_MEMORY, or
 * EARSHOT_OK; nothing is written but on OK. */
enum earshot_status earshot_posts_score(const earshot_survey *survey,
                                        const earshot_belief *belief, const earshot_post *posts,
                                        size_t n_posts, const unsigned char *stands,
                                        size_t n_sets, unsigned long long seed,
                                        size_t first_draw, size_t n_draws, earshot_fate *fates,
                                        double *best_spare_db, earshot_score *scores);

#ifdef __cplusplus
}
#endif

#endif
