/* SPDX-License-Identifier: GPL-3.0-or-later */
/* looking.c - see looking.h.
 */
#include "looking.h"

void looking_begin(looking *looking, const geometry_building *building, geometry_place from,
                   geometry_place to) {
    looking->building = building;
    looking->path = meet_order(from, to);
    const double ax = looking->path.a.x_m / GEOMETRY_STEP_M;
    const double ay = looking->path.a.y_m / GEOMETRY_STEP_M;
    const double dx = (looking->path.b.x_m - looking->path.a.x_m) / GEOMETRY_STEP_M;
    const double dy = (looking->path.b.y_m - looking->path.a.y_m) / GEOMETRY_STEP_M;
    looking->line = (looking_line){
        ax, ay, dx, dy, dx * ay - dy * ax, looking->path.from.z_m, looking->path.to.z_m};
    looking->full = false;
    looking->n_parted = 0;
    looking->n = 0;
}

/* Into the order of the panels, each once; there are few. */
static void put_in_order(looking *looking) {
    uint32_t n = 0;
    for (uint32_t i = 0; i < looking->n; i++) {
        const looking_met met = looking->met[i];
        uint32_t at = n;
        for (; at > 0 && looking->met[at - 1].mark > met.mark; at--)
            looking->met[at] = looking->met[at - 1];
        if (at > 0 && looking->met[at - 1].mark == met.mark) {
            for (; at < n; at++) /* the same again: close the gap */
                looking->met[at] = looking->met[at + 1];
            continue;
        }
        looking->met[at] = met;
        n++;
    }
    looking->n = n;
}

static void tell(const looking *looking, const looking_met *met,
                 void (*meet)(void *who, const geometry_crossing *crossing), void *who) {
    const meet_path *path = &looking->path;
    const size_t row = met->mark / 2;
    const geometry_panel *panel = &looking->building->panels[row];
    geometry_crossing crossing = {.kind = GEOMETRY_PANEL,
                                  .index = row,
                                  .panel = row,
                                  .x_m = meet_along(path->a.x_m, path->b.x_m, met->share),
                                  .y_m = meet_along(path->a.y_m, path->b.y_m, met->share),
                                  .z_m = meet_along(path->from.z_m, path->to.z_m, met->share)};
    if (met->mark % 2) {
        if (!meet_height(crossing.z_m, panel->bottom_m, panel->top_m))
            return;
        meet_opening(looking->building, path, &crossing);
    }
    meet(who, &crossing);
}

void looking_tell(looking *looking, geometry_place from, geometry_place to,
                  void (*meet)(void *who, const geometry_crossing *crossing), void *who) {
    if (looking->full) {
        geometry_cross(looking->building, from, to, meet, who);
        return;
    }
    put_in_order(looking);
    for (uint32_t i = 0; i < looking->n; i++)
        tell(looking, &looking->met[i], meet, who);
    geometry_cross_floors(looking->building, from, to, meet, who);
}
