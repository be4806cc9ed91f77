/* SPDX-License-Identifier: GPL-3.0-or-later */
/* looking.h - a path and the panels it has been told to look at, for this room only: what the
 * index and the fan have in common once they know where to look.
 *
 * What was met is sorted by panel, so that sums come out as in the plain loop. A path that
 * meets more panels than there is room for on the stack is left to the plain loop.
 */
#ifndef GEOMETRY_LOOKING_H
#define GEOMETRY_LOOKING_H

#include <stdint.h>

#include "meet.h"

enum { LOOKING_MOST_MET = 512 };

/* A panel as it stands in lists: in steps of the grid, the end that is first in order first.
 * Small, and right in the list, because waiting for memory is most of the work; whether it has
 * openings is marked, so that the panel itself need not be looked at. */
typedef struct looking_entry {
    int32_t px, py, ex, ey; /* the first end, and from there to the second */
    uint32_t panel;         /* with LOOKING_OPEN when it has openings */
} looking_entry;
#define LOOKING_OPEN 0x80000000u

typedef struct looking_heights {
    double bottom_m, top_m;
} looking_heights;

/* A panel that was met, and on which sides of it the path's ends are. */
typedef struct looking_met {
    uint32_t panel;                 /* with LOOKING_OPEN */
    const looking_heights *heights; /* NULL: the panel's own */
    double side_a, side_b;
} looking_met;

/* A path as the tests want it, in steps of the grid: c = dx ay - dy ax, so that side(a, b, p) =
 * dx py - dy px - c, which is as exact as side_of (its terms are integers below 2^51). */
typedef struct looking {
    const geometry_building *building;
    const looking_heights
        *heights; /* of the panels being looked at, if they have all the same */
    meet_path path;
    double ax, ay, dx, dy, c;
    bool full; /* more was met than there is room for */
    uint32_t n;
    looking_met met[LOOKING_MOST_MET + 1];
} looking;

/* The entry of a panel in lists. */
static inline looking_entry looking_list(const geometry_panel *panel, uint32_t row) {
    const bool swap = meet_point_first(panel->b, panel->a);
    const geometry_point p = swap ? panel->b : panel->a;
    const geometry_point q = swap ? panel->a : panel->b;
    /* exact: the grid is a power of two */
    return (looking_entry){(int32_t)(p.x_m / GEOMETRY_STEP_M),
                           (int32_t)(p.y_m / GEOMETRY_STEP_M),
                           (int32_t)((q.x_m - p.x_m) / GEOMETRY_STEP_M),
                           (int32_t)((q.y_m - p.y_m) / GEOMETRY_STEP_M),
                           panel->n_openings ? row | LOOKING_OPEN : row};
}

/* Remembers the panels of a list whose plan crosses the path's. Nobody can guess which will, so
 * there is nothing here for a processor to guess: both tests are made of every panel, and each
 * is written down, to be written over when it was not met. */
static inline void looking_look(looking *looking, const looking_entry *entry,
                                const looking_entry *end) {
    const double dx = looking->dx, dy = looking->dy, c = looking->c;
    const double ax = looking->ax, ay = looking->ay;
    uint32_t n = looking->n;
    if (n + (size_t)(end - entry) > LOOKING_MOST_MET) {
        looking->full = true;
        return;
    }
    for (; entry < end; entry++) {
        const double px = entry->px, py = entry->py, ex = entry->ex, ey = entry->ey;
        const double turn = dx * ey - dy * ex; /* how far both sides change end to end */
        const double of_p = dx * py - dy * px - c, of_q = of_p + turn;
        const double side_a = ex * (ay - py) - ey * (ax - px), side_b = side_a - turn;
        const bool parted = (of_p >= 0.0) ^ (of_q >= 0.0);
        looking->met[n] = (looking_met){entry->panel, looking->heights, side_a, side_b};
        n += parted & ((side_a >= 0.0) ^ (side_b >= 0.0));
    }
    looking->n = n;
}

/* ---- looking.c ---- */

void looking_begin(looking *looking, const geometry_building *building, geometry_place from,
                   geometry_place to);

/* Calls `meet` as geometry_cross does, floors and all. */
void looking_tell(looking *looking, geometry_place from, geometry_place to,
                  void (*meet)(void *who, const geometry_crossing *crossing), void *who);

#endif
