/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cover.h - the fewest spots that serve all zones, exactly; and where no number of them does,
 * what so many do best.
 *
 * Zones, spots and one value for each two of them, nothing of radio: a spare in dB or a chance,
 * as the caller likes, as long as more is better. A way is worth what its worst hop is.
 */
#ifndef PLANNING_COVER_H
#define PLANNING_COVER_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/findings.h"

enum { PLANNING_COVER_MOST = 10000 }; /* zones, and spots */

/* NULL where there is nothing of the kind. Not a number: no way at all. */
typedef struct planning_cover_task {
    size_t n_zones, n_spots;
    double enough;          /* a zone is served by a way of this value or more */
    const double *value;    /* [zone][spot]: of the zone's hop to the spot */
    const double *direct;   /* by zone: of its way that needs no spot */
    const double *own;      /* by spot: of its own hop to what it reports to; NULL: any holds */
    const double *second;   /* [spot][other]: of its hop to another that has such a hop */
    const size_t *capacity; /* by spot: the most zones that it takes itself; 0: no limit */
    const unsigned *weight; /* by zone, to choose the best few; NULL: 1 each */
    /* By spot: it is taken already, so that it costs nothing and is not chosen. */
    const unsigned char *stands;
} planning_cover_task;

/* How a zone fares. */
typedef struct planning_cover_zone {
    size_t spot;  /* that takes it, first one that stands and has room; EARSHOT_NONE: it goes
                     direct, or nobody does */
    double value; /* of its way; not a number: not served */
} planning_cover_zone;

typedef struct planning_cover {
    bool enough; /* all zones are served */
    size_t n_chosen;
    size_t bound; /* fewer than this do not serve all: n_chosen when it is exact */
    /* Of the zones served, what they weigh; and more than that no so many spots reach. */
    unsigned long long weight, weight_bound;
    size_t n_beyond; /* zones that are not served though every spot is taken */
    /* The worst value of a zone served, and the most that it could be with as many spots. */
    double smallest, smallest_bound;
    bool exact; /* no bound is left open, of the count, the weight or the smallest value */
} planning_cover;

/* The fewest spots that serve every zone; of those sets one whose worst zone is best off; of
 * those one that no single change to an earlier spot leaves as good. Where all spots together
 * do not, `enough` is false and none is chosen. What stands is neither counted nor in `chosen`,
 * which is by spot, `zones` by zone.
 *
 * A `watch` that says to stop gets what is known by then: a set that serves all, and bounds.
 * EARSHOT_OK; EARSHOT_NO_MEMORY; EARSHOT_MISUSE when a size or `enough` is no number to work
 * with.
 *
 * GLPK keeps its state by thread. A host that uses GLPK itself in this thread keeps its
 * problems, but not its hooks for errors and for the terminal. */
enum earshot_status planning_cover_fewest(const planning_cover_task *task,
                                          const earshot_watch *watch, unsigned char *chosen,
                                          planning_cover_zone *zones, planning_cover *out);

/* The same for at most `most` spots: a set that serves the zones of most weight, ties as above.
 */
enum earshot_status planning_cover_best(const planning_cover_task *task, size_t most,
                                        const earshot_watch *watch, unsigned char *chosen,
                                        planning_cover_zone *zones, planning_cover *out);

#endif
