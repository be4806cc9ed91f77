/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cover_view.h - who serves whom when so much is asked: what the files of the cover share.
 *
 * Sets of zones and of spots are rows of bits. Nothing here allocates but cover_view_new.
 */
#ifndef PLANNING_COVER_VIEW_H
#define PLANNING_COVER_VIEW_H

#include <stdint.h>

#include "cover.h"

typedef struct cover_view {
    const planning_cover_task *task;
    double asked;
    size_t n_zones, n_spots, zone_words, spot_words;
    uint64_t *wanting;  /* zones that do not go direct */
    uint64_t *zones_of; /* by spot: of those, what it serves */
    uint64_t *spots_of; /* by zone */
    uint64_t *linked;   /* spots whose own hop holds */
    uint64_t *relays;   /* by spot without such a hop: the linked ones that pass on for it */
    uint64_t *standing; /* spots that are taken already: in every set, counted in none */
    /* What is left to decide, after cover_view_reduce. */
    uint64_t *live_zones, *live_spots;
    uint64_t *must;              /* spots that are in every answer */
    unsigned long long *weights; /* by live zone, with those that go with it */
    /* Scratch. */
    uint64_t *some_zones, *some_spots, *tight, *seen;
    size_t *taken_by, *load, *order;
    void *memory;
} cover_view;

/* NULL: no memory. */
cover_view *cover_view_new(const planning_cover_task *task);
void cover_view_free(cover_view *view);

/* Looks at the task anew: so much is asked. All is live that can be of use. */
void cover_view_ask(cover_view *view, double asked);

/* Drops what no answer needs. `all_zones`: every zone is to be served, else the most of them.
 */
void cover_view_reduce(cover_view *view, bool all_zones);

/* The most zones that a spot takes; SIZE_MAX when all that is live for it fits. */
size_t cover_view_room(const cover_view *view, size_t spot);

/* The weight of all zones that these spots serve, and into view->taken_by, unless they go
 * direct, the spot of each, or EARSHOT_NONE. As much weight as can be. */
unsigned long long cover_view_serve(cover_view *view, const uint64_t *chosen);
bool cover_view_serves_all(cover_view *view, const uint64_t *chosen);
/* The weight of zones that every set serves: those that are not live any more. */
unsigned long long cover_view_settled(const cover_view *view);

/* After it: zones that a standing spot has room for go there. */
void cover_view_keep(cover_view *view, const uint64_t *chosen);

/* How many spots of a set are to be chosen: all but the standing ones. */
size_t cover_view_count(const cover_view *view, const uint64_t *set);
/* A set that serves all zones, if all spots do; one of up to `most` spots that serves many. */
void cover_view_greedy(cover_view *view, size_t most, uint64_t *chosen);
/* Spots that nobody misses leave the set, last ones first. */
void cover_view_thin_out(cover_view *view, uint64_t *chosen);
/* Fewer spots than this do not serve all live zones. */
size_t cover_view_bound(cover_view *view);

bool cover_has(const uint64_t *set, size_t i);
void cover_put(uint64_t *set, size_t i);
void cover_drop(uint64_t *set, size_t i);
size_t cover_count(const uint64_t *set, size_t words);
size_t cover_count_both(const uint64_t *a, const uint64_t *b, size_t words);
/* The next member at or after `i`, or EARSHOT_NONE. */
size_t cover_next(const uint64_t *set, size_t words, size_t i);
size_t cover_next_both(const uint64_t *a, const uint64_t *b, size_t words, size_t i);

/* What GLPK is asked (cover.c). */
typedef struct cover_question {
    cover_view *view; /* reduced */
    bool all_zones;   /* the fewest that serve all live zones, else the most weight */
    size_t most;      /* spots */
    unsigned long long least_weight; /* of live zones, at least */
    bool any;                        /* the first answer will do */
    const earshot_watch *watch;
    double share_done;
} cover_question;

typedef struct cover_answer {
    bool found;   /* `chosen` */
    bool whole;   /* found and none is better; or not found and there is none */
    bool stopped; /* by the watch */
    double bound; /* of what an answer could count or weigh; whole; may be infinite */
} cover_answer;

/* EARSHOT_OK or EARSHOT_NO_MEMORY. */
enum earshot_status cover_solve(const cover_question *question, uint64_t *chosen,
                                cover_answer *answer);

#endif
