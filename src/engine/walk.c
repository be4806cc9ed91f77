/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walk.c - what a link crosses: by the plan, or by its row of paths.csv.
 *
 * An opening is judged by what is in it, shut: a door that stands open loses less, and the
 * worse of the two is kept.
 */
#include "engine.h"

struct walker {
    const earshot_survey *survey;
    void (*meet)(void *who, const engine_crossing *crossing);
    void *who;
};

static void meet_geometry(void *who, const geometry_crossing *at) {
    const struct walker *walker = who;
    const earshot_survey *survey = walker->survey;
    engine_crossing crossing;
    if (at->kind == GEOMETRY_PANEL) {
        const survey_wall *wall = &survey->walls[at->index];
        crossing = (engine_crossing){false, wall->construction, wall->name};
    } else if (at->kind == GEOMETRY_OPENING) {
        const survey_opening *opening = &survey->openings[at->index];
        crossing = (engine_crossing){false, opening->construction, opening->name};
    } else {
        const survey_level *level = &survey->levels[survey->floor_levels[at->index]];
        crossing = (engine_crossing){true, level->construction, level->name};
    }
    walker->meet(walker->who, &crossing);
}

static void walk_path(const struct walker *walker, const survey_path *path, bool floors) {
    const earshot_survey *survey = walker->survey;
    for (size_t i = 0; i < path->n_crossings; i++) {
        size_t construction = survey->crossings[path->first_crossing + i];
        const survey_construction *of = &survey->constructions[construction];
        engine_crossing crossing = {of->class == SURVEY_CLASS_FLOOR, construction, of->name};
        if (crossing.floor == floors)
            walker->meet(walker->who, &crossing);
    }
}

void engine_walk(const earshot_survey *survey, const earshot_link *link,
                 void (*meet)(void *who, const engine_crossing *crossing), void *who) {
    struct walker walker = {survey, meet, who};
    if (link->path != EARSHOT_NONE) {
        walk_path(&walker, &survey->paths[link->path], false);
        walk_path(&walker, &survey->paths[link->path], true);
        return;
    }
    geometry_place from = {link->from.x_m, link->from.y_m, link->from.z_m};
    geometry_place to = {link->to.x_m, link->to.y_m, link->to.z_m};
    geometry_cross(&survey->building, from, to, meet_geometry, &walker);
}
