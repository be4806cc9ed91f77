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
 * Small, and right in the list, because waiting for memory is most of the work. */
typedef struct looking_entry {
    int32_t px, py, ex, ey; /* the first end, and from there to the second */
    uint32_t mark;          /* twice the panel; one more: look at the panel itself when met */
} looking_entry;
#define LOOKING_MOST_PANELS 0x7fffffffu

typedef struct looking_heights {
    double bottom_m, top_m;
} looking_heights;

/* A panel that was met, and at what share of the path's way. */
typedef struct looking_met {
    double share;
    uint32_t mark;
} looking_met;

/* A path as the tests want it, in steps of the grid: c = dx ay - dy ax, so that side(a, b, p) =
 * dx py - dy px - c, which is as exact as side_of (its terms are integers below 2^51). */
typedef struct looking_line {
    double ax, ay, dx, dy, c;
    double from_z_m, to_z_m;
} looking_line;

typedef struct looking {
    const geometry_building *building;
    meet_path path;
    looking_line line;
    bool full; /* there was more than there is room for */
    uint32_t n_parted, n;
    const looking_entry *parted[LOOKING_MOST_MET + 1]; /* by the path's line, not yet met */
    looking_met met[LOOKING_MOST_MET + 1];
} looking;

/* The entry of a panel in lists of panels that lie between the heights, most of them from the
 * one to the other. */
static inline looking_entry looking_list(const geometry_panel *panel, size_t row,
                                         looking_heights heights) {
    const bool swap = meet_point_first(panel->b, panel->a);
    const geometry_point p = swap ? panel->b : panel->a;
    const geometry_point q = swap ? panel->a : panel->b;
    const bool itself = panel->n_openings || panel->bottom_m != heights.bottom_m ||
                        panel->top_m != heights.top_m;
    /* exact: the grid is a power of two */
    return (looking_entry){
        (int32_t)(p.x_m / GEOMETRY_STEP_M), (int32_t)(p.y_m / GEOMETRY_STEP_M),
        (int32_t)((q.x_m - p.x_m) / GEOMETRY_STEP_M),
        (int32_t)((q.y_m - p.y_m) / GEOMETRY_STEP_M), (uint32_t)(2 * row + itself)};
}

/* Whether the path's line parts the ends of the panel. */
static inline bool looking_parts(looking_line line, const looking_entry *entry) {
    const double of_p = line.dx * entry->py - line.dy * entry->px - line.c;
    const double of_q = of_p + (line.dx * entry->ey - line.dy * entry->ex);
    return (of_p >= 0.0) ^ (of_q >= 0.0);
}

/* Whether the panel's line parts the ends of the path, which meets it between the heights; and
 * where, by the expressions of meet.h: sides in steps of the grid have the same ratio, to the
 * last bit. */
static inline bool looking_meets(looking_line line, const looking_entry *entry,
                                 looking_heights heights, looking_met *met) {
    const double ex = entry->ex, ey = entry->ey;
    const double turn = line.dx * ey - line.dy * ex; /* how far the side changes end to end */
    const double side_a = ex * (line.ay - entry->py) - ey * (line.ax - entry->px);
    const double share = side_a / turn;
    const double z_m = meet_along(line.from_z_m, line.to_z_m, share);
    *met = (looking_met){share, entry->mark};
    return ((side_a >= 0.0) ^ (side_a - turn >= 0.0)) & (heights.bottom_m <= z_m) &
           (z_m < heights.top_m);
}

/* Nobody can guess which panels of a list will be met, so there is nothing in these loops for a
 * processor to guess: each is written down, to be written over when it was not. */

/* Remembers the panels of a list that the path's line parts, to be met later: where they are
 * few. */
static inline void looking_part(looking *looking, const looking_entry *entry,
                                const looking_entry *end) {
    const looking_line line = looking->line;
    uint32_t n = looking->n_parted;
    if (n + (size_t)(end - entry) > LOOKING_MOST_MET) {
        looking->full = true;
        return;
    }
    for (; entry < end; entry++) {
        looking->parted[n] = entry;
        n += looking_parts(line, entry);
    }
    looking->n_parted = n;
}

/* Meets the panels that were parted since the last call. */
static inline void looking_meet_parted(looking *looking, looking_heights heights) {
    const looking_line line = looking->line;
    const uint32_t n_parted = looking->n_parted;
    uint32_t n = looking->n;
    if (n + n_parted > LOOKING_MOST_MET) {
        looking->full = true;
        return;
    }
    for (uint32_t i = 0; i < n_parted; i++)
        n += looking_meets(line, looking->parted[i], heights, &looking->met[n]);
    looking->n_parted = 0;
    looking->n = n;
}

/* Meets the panels of a list. */
static inline void looking_meet(looking *looking, const looking_entry *entry,
                                const looking_entry *end, looking_heights heights) {
    const looking_line line = looking->line;
    uint32_t n = looking->n;
    if (n + (size_t)(end - entry) > LOOKING_MOST_MET) {
        looking->full = true;
        return;
    }
    for (; entry < end; entry++) {
        const bool parts = looking_parts(line, entry);
        const bool meets = looking_meets(line, entry, heights, &looking->met[n]);
        n += parts & meets;
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
