/* SPDX-License-Identifier: GPL-3.0-or-later */
/* looking.c - see looking.h.
 */
#include "looking.h"

void looking_begin(looking *looking, const geometry_building *building, geometry_place from,
                   geometry_place to) {
    looking->building = building;
    looking->heights = NULL;
    looking->path = meet_order(from, to);
    looking->ax = looking->path.a.x_m / GEOMETRY_STEP_M;
    looking->ay = looking->path.a.y_m / GEOMETRY_STEP_M;
    looking->dx = (looking->path.b.x_m - looking->path.a.x_m) / GEOMETRY_STEP_M;
    looking->dy = (looking->path.b.y_m - looking->path.a.y_m) / GEOMETRY_STEP_M;
    looking->c = looking->dx * looking->ay - looking->dy * looking->ax;
    looking->full = false;
    looking->n = 0;
}

static inline uint32_t panel_of(const looking_met *met) {
    return met->panel & ~LOOKING_OPEN;
}

/* Into the order of the panels, each once; there are few. */
static void put_in_order(looking *looking) {
    uint32_t n = 0;
    for (uint32_t i = 0; i < looking->n; i++) {
        const looking_met met = looking->met[i];
        uint32_t at = n;
        for (; at > 0 && panel_of(&looking->met[at - 1]) > panel_of(&met); at--)
            looking->met[at] = looking->met[at - 1];
        if (at > 0 && panel_of(&looking->met[at - 1]) == panel_of(&met)) {
            for (; at < n; at++) /* the same again: close the gap */
                looking->met[at] = looking->met[at + 1];
            continue;
        }
        looking->met[at] = met;
        n++;
    }
    looking->n = n;
}

/* Where the path meets it, by the expressions of meet.h: the sides in steps of the grid have
 * the same ratio, to the last bit. False when that is above or below it. */
static inline bool fill_in(const looking *looking, const looking_met *met,
                           geometry_crossing *out) {
    const meet_path *path = &looking->path;
    const double t = met->side_a / (met->side_a - met->side_b);
    const double z_m = meet_along(path->from.z_m, path->to.z_m, t);
    const geometry_panel *panel = &looking->building->panels[panel_of(met)];
    const looking_heights *given = met->heights;
    const looking_heights heights =
        given ? *given : (looking_heights){panel->bottom_m, panel->top_m};
    *out = (geometry_crossing){.kind = GEOMETRY_PANEL,
                               .index = panel_of(met),
                               .panel = panel_of(met),
                               .x_m = meet_along(path->a.x_m, path->b.x_m, t),
                               .y_m = meet_along(path->a.y_m, path->b.y_m, t),
                               .z_m = z_m};
    return meet_height(z_m, heights.bottom_m, heights.top_m);
}

void looking_tell(looking *looking, geometry_place from, geometry_place to,
                  void (*meet)(void *who, const geometry_crossing *crossing), void *who) {
    if (looking->full) {
        geometry_cross(looking->building, from, to, meet, who);
        return;
    }
    put_in_order(looking);
    for (uint32_t i = 0; i < looking->n; i++) {
        geometry_crossing met;
        if (!fill_in(looking, &looking->met[i], &met))
            continue;
        if (looking->met[i].panel & LOOKING_OPEN)
            meet_opening(looking->building, &looking->path, &met);
        meet(who, &met);
    }
    geometry_cross_floors(looking->building, from, to, meet, who);
}
