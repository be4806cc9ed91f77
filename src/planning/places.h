/* SPDX-License-Identifier: GPL-3.0-or-later */
/* places.h - where a listener could stand, and which arrangement of listeners does most.
 *
 * Places come from spots.csv, or from a grid by rules of mounting. Arrangements are scored on
 * joint draws of all their links; the fewest repeaters are an exact cover (cover.h) over the
 * chance of both hops together.
 */
#ifndef PLANNING_PLACES_H
#define PLANNING_PLACES_H

#include "planning.h"

typedef struct planning_place {
    geometry_place at;
    size_t spot;  /* row of spots.csv, or NONE: of the grid */
    size_t level; /* of a place of the grid */
    bool mains;   /* of the grid: nobody knows; false */
    bool near_metal, reachable_by_intruder;
} planning_place;

/* The spots of spots.csv that have coordinates, into `places`, which has room for all; how
 * many. */
size_t planning_spot_places(const earshot_survey *survey, planning_place *places);

/* Places on a grid of each level that has walls: indoors (on the outline of the floor, or with
 * a wall of the level on all four sides), within half a meter of a wall and a hand off it, and
 * half a meter off what takes so much that it is metal. Of height `over_floor_m`, and at most
 * 10,000: `*step_m` is as wide as that takes. The caller frees. EARSHOT_OK or
 * EARSHOT_NO_MEMORY. */
enum earshot_status planning_grid_places(const earshot_survey *survey, double over_floor_m,
                                         double freq_mhz, planning_place **places, size_t *n,
                                         double *step_m);

/* A post at a place: a receiver moved there, or a repeater put there. `number` names the place
 * among the caller's. */
earshot_post planning_post_moved(const earshot_survey *survey, const earshot_post *receiver,
                                 const planning_place *place, size_t number);
earshot_post planning_post_repeater(const earshot_survey *survey, const earshot_post *receiver,
                                    const planning_place *place, size_t number);

/* Whether a post takes what a device sends: one that is there hears what devices.csv says it
 * does, wherever it is moved to, a proposed one all sensors; and no repeater what the site says
 * is not relayed. */
bool planning_post_hears(const earshot_survey *survey, const earshot_post *post, size_t device);
/* Whether a repeater's own link to a receiver is one: the receiver may be told not to hear it.
 */
bool planning_post_passes(const earshot_survey *survey, const earshot_post *repeater,
                          const earshot_post *receiver);
earshot_link planning_link_to(const earshot_survey *survey, size_t device,
                              const earshot_post *post);
/* A repeater's own link. */
earshot_link planning_link_between(const earshot_survey *survey, const earshot_post *repeater,
                                   const earshot_post *receiver);

/* ---- score.c ---- */

/* By arrangement, zone and post; each may be NULL. */
typedef struct planning_by_way {
    const unsigned char *closed; /* not 0: the zone does not go that way */
    unsigned char *firm;         /* becomes whether it is firm by that way alone */
} planning_by_way;

/* earshot_posts_score, with ways looked at one by one. */
enum earshot_status
planning_posts_score(const earshot_survey *survey, const earshot_belief *belief,
                     const earshot_post *posts, size_t n_posts, const unsigned char *stands,
                     size_t n_sets, unsigned long long seed, size_t first_draw, size_t n_draws,
                     earshot_fate *fates, double *best_spare_db, const planning_by_way *by_way,
                     earshot_score *scores);

/* ---- screen.c ---- */

/* The places where a receiver alone would leave the fewest zones short, by chances of single
 * links, best first and a meter or more apart: their numbers into `kept`, at most `most`; how
 * many into `n_kept`. What other listeners of the survey hear counts as heard.
 * EARSHOT_STOPPED by the watch, EARSHOT_NO_MEMORY or EARSHOT_OK. */
enum earshot_status planning_screen_receivers(const earshot_survey *survey,
                                              const earshot_belief *belief,
                                              const earshot_post *receiver,
                                              const planning_place *places, size_t n_places,
                                              size_t most, const earshot_watch *watch,
                                              size_t *kept, size_t *n_kept);

/* The places where a repeater would take on the most zones that are `wanting` (by zone), of
 * those whose own link to a receiver holds; likewise. No place serves a zone that is left out
 * here and not as well by one that is kept, as long as `most` has room. */
enum earshot_status
planning_screen_repeaters(const earshot_survey *survey, const earshot_belief *belief,
                          const earshot_post *receiver, const unsigned char *wanting,
                          const planning_place *places, size_t n_places, size_t most,
                          const earshot_watch *watch, size_t *kept, size_t *n_kept);

/* ---- search.c ---- */

enum {
    PLANNING_MOST_OWN = 48,       /* listeners of the survey */
    PLANNING_MOST_TOGETHER = 300, /* links drawn at once; the cost grows as the cube */
    PLANNING_MOST_MOVED = 200,    /* places that a receiver is tried at */
    PLANNING_MOST_TRIED = 200,    /* and repeaters */
    PLANNING_MOST_FEWEST = 6,     /* more repeaters than that are no answer for anybody */
    PLANNING_MOST_SHOWN = 3       /* the best so many, where no number is enough */
};

/* How one zone goes in an arrangement. */
typedef struct planning_way {
    size_t place;    /* of the new repeater that takes it, or NONE */
    size_t standing; /* device row of the repeater that stands and takes it, or NONE; only where
                        the room of those counts */
    bool held;       /* firm, with all limits honored */
    bool no_room;    /* it is not, but would be by a repeater that is full */
} planning_way;

typedef struct planning_arrangement {
    size_t receiver; /* place, or NONE: where it stands */
    size_t repeaters[PLANNING_MOST_FEWEST];
    size_t n_repeaters;
    bool exact;           /* proven to be the best of its number */
    bool allotted;        /* `ways` is known, and a repeater that is full takes nobody else */
    earshot_score score;  /* on fresh draws */
    earshot_fate *fates;  /* by zone; borrowed from the search */
    planning_way *ways;   /* by zone */
    unsigned char *stood; /* the search's own: by zone, who serves it as things stand */
} planning_arrangement;

typedef struct planning_task {
    bool anywhere;  /* a grid in place of spots.csv */
    bool repeaters; /* also with the receiver moved */
    const earshot_watch *watch;
} planning_task;

typedef struct planning_search {
    size_t n_zones;
    planning_place *places;
    size_t n_places;
    double step_m;       /* of the grid; 0: spots */
    bool many_receivers; /* not exactly one: none is moved */
    size_t receivers[PLANNING_MOST_MOVED], n_receivers;
    size_t repeaters[PLANNING_MOST_TRIED], n_repeaters;
    size_t n_without_mains; /* spots that no repeater was tried at */
    bool room_counts;       /* repeaters stand, and have room for so many zones only */
    planning_arrangement now, *moved;
    size_t n_moved; /* best first */
    planning_arrangement repeated[PLANNING_MOST_SHOWN + 1];
    size_t n_repeated;         /* of one, two, three; last the fewest that are enough */
    bool enough;               /* the last one is */
    size_t fewest_bound;       /* under this model no fewer are enough */
    planning_arrangement both; /* a moved receiver and fewer repeaters; `has_both` */
    bool has_both;
    earshot_fate *all_fates; /* of all arrangements */
    planning_way *all_ways;
    unsigned char *all_stood;
} planning_search;

/* Everything; to be released. EARSHOT_MISUSE when there are too many listeners (48),
 * EARSHOT_STOPPED, EARSHOT_NO_MEMORY or EARSHOT_OK. */
enum earshot_status planning_search_run(const earshot_survey *survey,
                                        const earshot_belief *belief, const planning_task *task,
                                        planning_search *out);
void planning_search_release(planning_search *search);

/* ---- quote.c ---- */

enum { PLANNING_QUOTE_MOST = 3 }; /* repeaters; more is another kind of job */

typedef struct planning_quote {
    bool by_rooms; /* no places to try: one for each room that falls short, half way to it */
    size_t n_places;
    double chance[PLANNING_QUOTE_MOST + 1]; /* that so many are needed, and do */
    double chance_more;                     /* that those are not enough */
    size_t price;   /* the fewest that do in four of five houses like that */
    size_t n_never; /* zones of which nothing can be said */
} planning_quote;

/* How many repeaters a house will want, draw by draw of all that is not known of it.
 * EARSHOT_MISUSE for too many links, EARSHOT_NO_MEMORY or EARSHOT_OK. */
enum earshot_status planning_quote_of(const earshot_survey *survey,
                                      const earshot_belief *belief,
                                      const planning_search *search, planning_quote *out);

#endif
