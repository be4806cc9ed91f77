/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fan.c - many paths from one place: panels by the direction in which they stand.
 *
 * The way round the place is cut into sectors, one for about every four panels; a
 * path looks at the panels of its own sector, however long it is. Directions are told by an
 * angle that needs no arc tangent (1 - cos in the upper half plane, by the sum of both
 * coordinates in place of the length): it rises as the true one does. Sectors are chosen a hair
 * too wide; what is met is decided by the exact tests. A panel in line with the place is met by
 * no path from it, except where the place is on it; those are looked at by every path.
 */
#include <math.h>
#include <stdlib.h>

#include "looking.h"

enum { FEWEST_SECTORS = 128, MOST_SECTORS = 4096, PANELS_A_SECTOR = 4 };
static const double hair = 1e-9;   /* of an angle */
static const double hair_m = 1e-6; /* of a height */

struct geometry_fan {
    const geometry_building *building;
    geometry_place fixed;
    double x, y;             /* in steps of the grid */
    looking_heights heights; /* of all its panels */
    size_t n_sectors;
    uint32_t *start; /* by sector, one more at the end */
    looking_entry *entries;
    size_t n_always;
    looking_entry *always;
};

/* From 0 along x, 1 along y, 2, 3 to 4 at last. */
static double angle_of(double dx, double dy) {
    const double along = dx / (fabs(dx) + fabs(dy));
    return dy >= 0 ? 1 - along : 3 + along;
}

/* ---- building ---- */

/* Calls for each sector that a panel stands in: counts, or puts it in, from behind. */
static void list_panel(geometry_fan *fan, const looking_entry *panel, bool put) {
    const double px = panel->px - fan->x, py = panel->py - fan->y;
    const double qx = px + panel->ex, qy = py + panel->ey;
    const bool left = px * qy - py * qx > 0; /* p to q goes round to the left */
    const double per_angle = (double)fan->n_sectors / 4;
    const double p = angle_of(px, py), q = angle_of(qx, qy);
    const double from = left ? p : q, to = left ? q : p;
    const long first = (long)floor((from - hair) * per_angle);
    const long last = (long)floor(((to < from ? to + 4 : to) + hair) * per_angle);
    const long n = (long)fan->n_sectors;
    for (long i = first; i <= last; i++) {
        const size_t sector = (size_t)((i % n + n) % n);
        if (put)
            fan->entries[--fan->start[sector]] = *panel;
        else
            fan->start[sector]++;
    }
}

/* Whether a path between the heights may come to it. */
static bool within_reach(const geometry_panel *panel, looking_heights reach) {
    return panel->top_m >= reach.bottom_m - hair_m && panel->bottom_m <= reach.top_m + hair_m;
}

static looking_heights heights_of(const geometry_building *building, looking_heights reach) {
    looking_heights heights = {INFINITY, -INFINITY};
    for (size_t i = 0; i < building->n_panels; i++)
        if (within_reach(&building->panels[i], reach)) {
            heights.bottom_m = fmin(heights.bottom_m, building->panels[i].bottom_m);
            heights.top_m = fmax(heights.top_m, building->panels[i].top_m);
        }
    return heights;
}

/* Panels that a path may come to, into `panels`; those that the place stands on apart. */
static size_t choose(geometry_fan *fan, looking_heights reach, looking_entry *panels) {
    const geometry_building *building = fan->building;
    const geometry_point fixed = {fan->fixed.x_m, fan->fixed.y_m};
    size_t n = 0;
    fan->heights = heights_of(building, reach);
    for (size_t i = 0; i < building->n_panels; i++) {
        const geometry_panel *panel = &building->panels[i];
        if (!within_reach(panel, reach))
            continue;
        if (side_of(panel->a, panel->b, fixed) != 0)
            panels[n++] = looking_list(panel, i, fan->heights);
        else if (meet_stands_on(fan->fixed, panel))
            fan->always[fan->n_always++] = looking_list(panel, i, fan->heights);
    }
    return n;
}

static bool lay_sectors(geometry_fan *fan, const looking_entry *panels, size_t n) {
    fan->n_sectors = FEWEST_SECTORS;
    while (fan->n_sectors < MOST_SECTORS && fan->n_sectors * PANELS_A_SECTOR < n)
        fan->n_sectors *= 2;
    fan->start = calloc(fan->n_sectors + 1, sizeof *fan->start);
    if (!fan->start)
        return false;
    for (size_t i = 0; i < n; i++)
        list_panel(fan, &panels[i], false);
    for (size_t i = 1; i <= fan->n_sectors; i++)
        fan->start[i] += fan->start[i - 1];
    fan->entries = malloc((fan->start[fan->n_sectors] + 1) * sizeof *fan->entries);
    if (!fan->entries)
        return false;
    for (size_t i = n; i-- > 0;)
        list_panel(fan, &panels[i], true);
    return true;
}

geometry_fan *geometry_fan_build(const geometry_building *building, geometry_place fixed,
                                 double low_m, double high_m) {
    geometry_fan *fan =
        building->n_panels < LOOKING_MOST_PANELS ? calloc(1, sizeof *fan) : NULL;
    looking_entry *panels = malloc((building->n_panels + 1) * sizeof *panels);
    bool good = fan && panels;
    if (good) {
        fan->building = building;
        fan->fixed = fixed;
        fan->x = fixed.x_m / GEOMETRY_STEP_M;
        fan->y = fixed.y_m / GEOMETRY_STEP_M;
        fan->always = malloc((building->n_panels + 1) * sizeof *fan->always);
        const looking_heights reach = {fmin(low_m, fixed.z_m), fmax(high_m, fixed.z_m)};
        good = fan->always && lay_sectors(fan, panels, choose(fan, reach, panels));
    }
    free(panels);
    if (good)
        return fan;
    geometry_fan_free(fan);
    return NULL;
}

void geometry_fan_free(geometry_fan *fan) {
    if (!fan)
        return;
    free(fan->start);
    free(fan->entries);
    free(fan->always);
    free(fan);
}

/* ---- crossing ---- */

geometry_place geometry_fan_fixed(const geometry_fan *fan) {
    return fan->fixed;
}

void geometry_fan_cross(const geometry_fan *fan, geometry_place to,
                        void (*meet)(void *who, const geometry_crossing *crossing), void *who) {
    looking looking;
    looking_begin(&looking, fan->building, fan->fixed, to);
    const double dx = to.x_m - fan->fixed.x_m, dy = to.y_m - fan->fixed.y_m;
    if (dx != 0 || dy != 0) { /* a path that stands upright meets no panel */
        const size_t at = (size_t)(angle_of(dx, dy) * (double)fan->n_sectors / 4);
        const size_t sector = at < fan->n_sectors ? at : fan->n_sectors - 1;
        looking_meet(&looking, fan->always, fan->always + fan->n_always, fan->heights);
        looking_meet(&looking, fan->entries + fan->start[sector],
                     fan->entries + fan->start[sector + 1], fan->heights);
    }
    looking_tell(&looking, fan->fixed, to, meet, who);
}
