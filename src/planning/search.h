/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search.h - inside the planning room: what the files of the search share. A variant is where
 * the receiver stands; arrangements, and what is told of them, are in places.h.
 */
#ifndef PLANNING_SEARCH_H
#define PLANNING_SEARCH_H

#include "cover.h"
#include "places.h"

enum { SEARCH_SEED = 1, SEARCH_DRAWS = 1000 };

/* What a cover is made of: the new repeaters, then those that stand, where their room counts.
 */
struct laying {
    double *value, *direct, *own;
    size_t *capacity;
    unsigned *weight;
    unsigned char *stands;
    size_t n_new, n_spots;
};

typedef struct searching {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const planning_task *task;
    planning_search *search;
    earshot_post own[PLANNING_MOST_OWN];
    size_t n_own, receiver;             /* among the own; NONE: not exactly one */
    size_t standing[PLANNING_MOST_OWN]; /* repeaters among the own, where their room counts */
    size_t n_standing;
    size_t *zones;          /* device rows */
    unsigned char *wanting; /* zones that are not firm in some variant */
    /* Variants: the receiver where it stands, then at each place of `moved`. */
    size_t n_variants;
    double *value_db;    /* [variant][zone][repeater] */
    double *own_link_db; /* [variant][repeater] */
    planning_cover_zone *cover_zones;
    unsigned char chosen[PLANNING_MOST_TRIED + PLANNING_MOST_OWN];
    struct laying laying;
} searching;

/* EARSHOT_STOPPED where the watch says so. */
enum earshot_status search_look(const searching *searching, double share_done);
/* The receiver that may move. */
const earshot_post *search_receiver(const searching *searching);
/* Of one zone in an arrangement that is not allotted yet: whether it is firm by a receiver
 * alone, then by each repeater that stands. */
unsigned char *search_stood(const searching *searching, const planning_arrangement *arrangement,
                            size_t zone);

/* ---- search_score.c ---- */

/* Scores and fates of `n` arrangements. As many at once as a joint draw bears share their
 * draws. */
enum earshot_status search_score(const searching *searching, planning_arrangement *all,
                                 size_t n, size_t first_draw, double from_share,
                                 double to_share);

/* ---- search_hops.c ---- */

/* Fills value_db and own_link_db. */
enum earshot_status search_value(const searching *searching);

/* ---- search_fewest.c ---- */

/* The best of one, two, three, as long as each makes more zones firm; then the fewest that are
 * enough. */
enum earshot_status search_fewest(searching *searching);
/* The receiver moved and fewer repeaters than where it stands; the fewest, then the one whose
 * worst zone is best off. */
enum earshot_status search_both(searching *searching);
/* Where the room of repeaters counts, whom those that stand take as it is now, and with the
 * receiver moved; scored once more, for draws know nothing of room. */
enum earshot_status search_allot(searching *searching);
/* Lets go of the last cover. */
void search_pick_up(struct laying *laying);

#endif
