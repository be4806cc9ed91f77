/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walk.c - what a link crosses: by the plan, or by its row of paths.csv.
 *
 * An opening is judged by what is in it, shut: a door that stands open loses less, and the
 * worse of the two is kept. Near the edge of an opening part of the signal goes by the other
 * side: within 0.6 of the first Fresnel radius, which is where an edge begins to matter
 * ([P.526]).
 *
 *   [P.526] Recommendation ITU-R P.526, Propagation by diffraction, eq. (2): radius of the
 *           first Fresnel ellipsoid, sqrt(lambda d1 d2 / (d1 + d2)); 0.6 of it as
 *           clearance, section 2 (edition and numbers from memory)
 */
#include <math.h>

#include "engine.h"
#include "light.h"

static const double edge_matters = 0.6;

struct walker {
    const earshot_survey *survey;
    engine_way way;
    double wavelength_m;
    bool doors_open;
    void (*meet)(void *who, const engine_crossing *crossing);
    void *who;
};

/* Angle between the path and the normal of an upright panel, or of a floor. */
double engine_angle_rad(const engine_crossing *crossing) {
    const engine_way *way = crossing->way;
    if (!way)
        return 0;
    if (!crossing->panel)
        return acos(fmin(fabs(way->to.z_m - way->from.z_m) / way->length_m, 1));
    double x_m = crossing->panel->b.x_m - crossing->panel->a.x_m;
    double y_m = crossing->panel->b.y_m - crossing->panel->a.y_m;
    double across = (way->to.x_m - way->from.x_m) * y_m - (way->to.y_m - way->from.y_m) * x_m;
    return acos(fmin(fabs(across) / (hypot(x_m, y_m) * way->length_m), 1));
}

/* ---- edges ---- */

static double fresnel_radius_m(const struct walker *walker, const geometry_crossing *at) {
    geometry_place meeting = {at->x_m, at->y_m, at->z_m};
    double first_m = geometry_distance(walker->way.from, meeting);
    double second_m = geometry_distance(meeting, walker->way.to);
    return sqrt(walker->wavelength_m * first_m * second_m / (first_m + second_m));
}

/* Where along the panel a point of the plan is, m from its first end. */
static double along_m(const geometry_panel *panel, double x_m, double y_m) {
    double dx_m = panel->b.x_m - panel->a.x_m, dy_m = panel->b.y_m - panel->a.y_m;
    return ((x_m - panel->a.x_m) * dx_m + (y_m - panel->a.y_m) * dy_m) / hypot(dx_m, dy_m);
}

/* Distance from a crossing to the nearest edge that parts opening and panel, m. An opening's
 * edge on the panel's own top, bottom or end parts nothing. */
static double edge_distance_m(const geometry_panel *panel, const geometry_opening *opening,
                              const geometry_crossing *at) {
    double u_m = along_m(panel, at->x_m, at->y_m);
    double low_m = along_m(panel, opening->a.x_m, opening->a.y_m);
    double high_m = along_m(panel, opening->b.x_m, opening->b.y_m);
    double length_m = along_m(panel, panel->b.x_m, panel->b.y_m);
    double beside_m = fmax(fmax(low_m - u_m, u_m - high_m), 0);
    double above_m = fmax(fmax(opening->bottom_m - at->z_m, at->z_m - opening->top_m), 0);
    if (beside_m > 0 || above_m > 0)
        return hypot(beside_m, above_m);
    double nearest_m = INFINITY;
    if (low_m > GEOMETRY_STEP_M)
        nearest_m = fmin(nearest_m, u_m - low_m);
    if (high_m < length_m - GEOMETRY_STEP_M)
        nearest_m = fmin(nearest_m, high_m - u_m);
    if (opening->bottom_m > panel->bottom_m)
        nearest_m = fmin(nearest_m, at->z_m - opening->bottom_m);
    if (opening->top_m < panel->top_m)
        nearest_m = fmin(nearest_m, opening->top_m - at->z_m);
    return nearest_m;
}

/* The construction that a crossing is so near to that part of the signal goes through it. */
static size_t beside(const struct walker *walker, const geometry_crossing *at) {
    const earshot_survey *survey = walker->survey;
    const geometry_panel *panel = &survey->building.panels[at->panel];
    double reach_m = 0, nearest_m = INFINITY;
    size_t found = EARSHOT_NONE;
    if (panel->n_openings)
        reach_m = edge_matters * fresnel_radius_m(walker, at);
    for (size_t i = 0; i < panel->n_openings; i++) {
        size_t row = panel->first_opening + i;
        bool own = at->kind == GEOMETRY_OPENING && at->index == row;
        double distance_m = edge_distance_m(panel, &survey->building.openings[row], at);
        if (distance_m >= fmin(reach_m, nearest_m))
            continue;
        nearest_m = distance_m;
        found =
            own ? survey->walls[at->panel].construction : survey->openings[row].construction;
    }
    return found;
}

/* ---- what is crossed ---- */

static size_t first_floor(const earshot_survey *survey) {
    return survey->n_walls + survey->n_openings;
}

static size_t first_of_paths(const earshot_survey *survey) {
    return first_floor(survey) + survey->building.n_floors;
}

size_t engine_n_things(const earshot_survey *survey) {
    size_t n = first_of_paths(survey);
    for (size_t i = 0; i < survey->n_paths; i++)
        n += survey->paths[i].n_crossings;
    return n;
}

/* A door that stands open is not met. */
static void tell(const struct walker *walker, const engine_crossing *crossing) {
    enum survey_class class = walker->survey->constructions[crossing->construction].class;
    if (!walker->doors_open || class != SURVEY_CLASS_DOOR)
        walker->meet(walker->who, crossing);
}

static void meet_geometry(void *who, const geometry_crossing *at) {
    const struct walker *walker = who;
    const earshot_survey *survey = walker->survey;
    engine_crossing crossing;
    if (at->kind == GEOMETRY_FLOOR) {
        const survey_level *level = &survey->levels[survey->floor_levels[at->index]];
        crossing = (engine_crossing){.floor = true,
                                     .thing = first_floor(survey) + at->index,
                                     .construction = level->construction,
                                     .name = level->name,
                                     .way = &walker->way,
                                     .beside = EARSHOT_NONE};
    } else {
        const survey_wall *wall = &survey->walls[at->panel];
        const survey_opening *opening =
            at->kind == GEOMETRY_OPENING ? &survey->openings[at->index] : NULL;
        crossing = (engine_crossing){.construction =
                                         opening ? opening->construction : wall->construction,
                                     .name = opening ? opening->name : wall->name,
                                     .way = &walker->way,
                                     .thing = opening ? survey->n_walls + at->index : at->panel,
                                     .panel = &survey->building.panels[at->panel],
                                     .beside = beside(walker, at)};
    }
    tell(walker, &crossing);
}

static void walk_path(const struct walker *walker, const survey_path *path, bool floors) {
    const earshot_survey *survey = walker->survey;
    for (size_t i = 0; i < path->n_crossings; i++) {
        size_t crossed = path->first_crossing + i;
        size_t construction = survey->crossings[crossed];
        const survey_construction *of = &survey->constructions[construction];
        engine_crossing crossing = {.floor = of->class == SURVEY_CLASS_FLOOR,
                                    .thing = first_of_paths(survey) + crossed,
                                    .construction = construction,
                                    .name = of->name,
                                    .beside = EARSHOT_NONE};
        if (crossing.floor == floors)
            tell(walker, &crossing);
    }
}

/* What is known by count alone; a way NULL says that no angle matters. */
static void walk_counts(const struct walker *walker, const int *count) {
    const earshot_survey *survey = walker->survey;
    for (size_t i = 0; i < survey->n_constructions; i++) {
        const engine_crossing crossing = {.thing = EARSHOT_NONE,
                                          .construction = i,
                                          .name = survey->constructions[i].name,
                                          .beside = EARSHOT_NONE};
        for (int k = 0; k < count[i]; k++)
            walker->meet(walker->who, &crossing);
    }
}

void engine_walk(const earshot_survey *survey, const earshot_link *link,
                 const engine_seen *seen,
                 void (*meet)(void *who, const engine_crossing *crossing), void *who) {
    struct walker walker = {
        .survey = survey, .doors_open = link->doors_open, .meet = meet, .who = who};
    if (link->path != EARSHOT_NONE) {
        walk_path(&walker, &survey->paths[link->path], false);
        walk_path(&walker, &survey->paths[link->path], true);
        return;
    }
    geometry_place from = {link->from.x_m, link->from.y_m, link->from.z_m};
    geometry_place to = {link->to.x_m, link->to.y_m, link->to.z_m};
    walker.way = (engine_way){from, to, geometry_distance(from, to)};
    walker.wavelength_m = light_m_per_s / (survey->radios[link->from.radio].freq_mhz * 1e6);
    if (!seen) {
        geometry_index_cross(survey->index, from, to, meet_geometry, &walker);
        return;
    }
    if (seen->fan) {
        geometry_place fixed = geometry_fan_fixed(seen->fan);
        bool at_from = fixed.x_m == from.x_m && fixed.y_m == from.y_m && fixed.z_m == from.z_m;
        geometry_fan_cross(seen->fan, at_from ? to : from, meet_geometry, &walker);
        return;
    }
    walk_counts(&walker, seen->count);
    geometry_cross_some(&survey->building, seen->panels, seen->n_panels, from, to,
                        meet_geometry, &walker);
    geometry_cross_floors(&survey->building, from, to, meet_geometry, &walker);
}
