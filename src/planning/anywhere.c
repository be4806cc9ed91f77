/* SPDX-License-Identifier: GPL-3.0-or-later */
/* anywhere.c - places where a listener could hang, when nobody has named any: a grid, less what
 * a fitter would refuse at a glance. The distances are common practice, no source.
 */
#include <math.h>
#include <stdlib.h>

#include "engine.h"
#include "places.h"

static const double near_wall_m = 0.5, off_wall_m = 0.1, off_metal_m = 0.5;
/* What takes more than masonry does is metal, or foil, or has it inside. */
static const double metal_db = 8;
static const double least_step_m = 0.25;
enum { MOST_PLACES = 10000, MOST_POINTS = 40000 /* of the grid, before the rules */ };

struct walking {
    const earshot_survey *survey;
    double over_floor_m, freq_mhz, step_m;
    planning_place *places; /* NULL: only counted */
    size_t n;
};

struct box {
    double low_x_m, low_y_m, high_x_m, high_y_m;
};

static struct box box_of(const earshot_survey *survey, size_t level) {
    struct box box = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < survey->n_walls; i++) {
        const geometry_panel *panel = &survey->building.panels[i];
        if (survey->walls[i].level != level)
            continue;
        box.low_x_m = fmin(box.low_x_m, fmin(panel->a.x_m, panel->b.x_m));
        box.low_y_m = fmin(box.low_y_m, fmin(panel->a.y_m, panel->b.y_m));
        box.high_x_m = fmax(box.high_x_m, fmax(panel->a.x_m, panel->b.x_m));
        box.high_y_m = fmax(box.high_y_m, fmax(panel->a.y_m, panel->b.y_m));
    }
    return box;
}

/* ---- the rules ---- */

/* The sides on which the wall stands, seen along the axes: left, right, below, above. */
static unsigned sides_of(const geometry_panel *panel, geometry_point at) {
    unsigned sides = 0;
    double x1_m = panel->a.x_m - at.x_m, y1_m = panel->a.y_m - at.y_m;
    double x2_m = panel->b.x_m - at.x_m, y2_m = panel->b.y_m - at.y_m;
    if ((y1_m >= 0) != (y2_m >= 0))
        sides |= x1_m + (x2_m - x1_m) * y1_m / (y1_m - y2_m) < 0 ? 1 : 2;
    if ((x1_m >= 0) != (x2_m >= 0))
        sides |= y1_m + (y2_m - y1_m) * x1_m / (x1_m - x2_m) < 0 ? 4 : 8;
    return sides;
}

static bool is_indoors(const earshot_survey *survey, size_t level, geometry_point at) {
    if (survey->levels[level].floor != EARSHOT_NONE)
        return geometry_on_floor(&survey->building, survey->levels[level].floor, at);
    unsigned sides = 0;
    for (size_t i = 0; i < survey->n_walls && sides != 15; i++)
        if (survey->walls[i].level == level)
            sides |= sides_of(&survey->building.panels[i], at);
    return sides == 15;
}

static bool is_metal(const struct walking *walking, size_t construction) {
    return engine_table_loss(walking->survey, construction, walking->freq_mhz).loss_db >=
           metal_db;
}

static bool beside_metal(const struct walking *walking, size_t level, geometry_point at) {
    const earshot_survey *survey = walking->survey;
    for (size_t i = 0; i < survey->n_walls; i++) {
        const geometry_panel *panel = &survey->building.panels[i];
        if (survey->walls[i].level == level &&
            geometry_off_segment(at, panel->a, panel->b) < off_metal_m &&
            is_metal(walking, survey->walls[i].construction))
            return true;
    }
    for (size_t i = 0; i < survey->n_openings; i++) {
        const geometry_opening *opening = &survey->building.openings[i];
        if (survey->walls[survey->openings[i].wall].level == level &&
            geometry_off_segment(at, opening->a, opening->b) < off_metal_m &&
            is_metal(walking, survey->openings[i].construction))
            return true;
    }
    return false;
}

static double off_walls_m(const earshot_survey *survey, size_t level, geometry_point at) {
    double off_m = INFINITY;
    for (size_t i = 0; i < survey->n_walls; i++)
        if (survey->walls[i].level == level)
            off_m = fmin(off_m, geometry_off_segment(at, survey->building.panels[i].a,
                                                     survey->building.panels[i].b));
    return off_m;
}

static bool can_hang(const struct walking *walking, size_t level, geometry_point at) {
    double off_m = off_walls_m(walking->survey, level, at);
    return off_m <= near_wall_m && off_m >= off_wall_m &&
           is_indoors(walking->survey, level, at) && !beside_metal(walking, level, at);
}

/* ---- the grid ---- */

static double height_at(const struct walking *walking, size_t level) {
    const survey_level *at = &walking->survey->levels[level];
    return at->floor_z_m + fmin(walking->over_floor_m, fmax(at->height_m - off_wall_m, 0));
}

static void walk_level(struct walking *walking, size_t level) {
    const struct box box = box_of(walking->survey, level);
    double step_m = walking->step_m;
    for (double y_m = box.low_y_m + step_m / 2; y_m < box.high_y_m; y_m += step_m)
        for (double x_m = box.low_x_m + step_m / 2; x_m < box.high_x_m; x_m += step_m) {
            const geometry_point at = {geometry_snap(x_m), geometry_snap(y_m)};
            if (!can_hang(walking, level, at))
                continue;
            if (walking->places)
                walking->places[walking->n] =
                    (planning_place){.at = {at.x_m, at.y_m, height_at(walking, level)},
                                     .spot = EARSHOT_NONE,
                                     .level = level};
            walking->n++;
        }
}

static size_t walk_all(struct walking *walking) {
    walking->n = 0;
    for (size_t level = 0; level < walking->survey->n_levels; level++)
        walk_level(walking, level);
    return walking->n;
}

/* As wide as it takes. */
static double first_step_m(const earshot_survey *survey) {
    double area_m2 = 0;
    for (size_t level = 0; level < survey->n_levels; level++) {
        const struct box box = box_of(survey, level);
        if (box.high_x_m > box.low_x_m && box.high_y_m > box.low_y_m)
            area_m2 += (box.high_x_m - box.low_x_m) * (box.high_y_m - box.low_y_m);
    }
    return fmax(least_step_m, sqrt(area_m2 / MOST_POINTS));
}

enum earshot_status planning_grid_places(const earshot_survey *survey, double over_floor_m,
                                         double freq_mhz, planning_place **places, size_t *n,
                                         double *step_m) {
    struct walking walking = {.survey = survey,
                              .over_floor_m = over_floor_m,
                              .freq_mhz = freq_mhz,
                              .step_m = first_step_m(survey)};
    while (walk_all(&walking) > MOST_PLACES)
        walking.step_m *= 2;
    walking.places = calloc(walking.n + 1, sizeof *walking.places);
    if (!walking.places)
        return EARSHOT_NO_MEMORY;
    walk_all(&walking);
    *places = walking.places;
    *n = walking.n;
    *step_m = walking.step_m;
    return EARSHOT_OK;
}
