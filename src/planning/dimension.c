/* SPDX-License-Identifier: GPL-3.0-or-later */
/* dimension.c - where a device hangs, as somebody with a tape measure would write it down: its
 * distance square to the nearest wall, and to the nearest that runs across that one.
 *
 * Walls are the lines of walls.csv, which have no thickness; a wall that a square does not meet
 * cannot be measured to, and is passed over.
 */
#include <math.h>

#include "planning.h"

static const double pi = 3.14159265358979323846;
static const double least_apart_deg = 30; /* or two walls give one dimension; judgement */

/* Square from the place onto the panel's line; false when it misses the panel. */
static bool square_to(const geometry_panel *panel, const geometry_place *place, double *x_m,
                      double *y_m) {
    double dx_m = panel->b.x_m - panel->a.x_m, dy_m = panel->b.y_m - panel->a.y_m;
    double along = ((place->x_m - panel->a.x_m) * dx_m + (place->y_m - panel->a.y_m) * dy_m) /
                   (dx_m * dx_m + dy_m * dy_m);
    *x_m = panel->a.x_m + along * dx_m;
    *y_m = panel->a.y_m + along * dy_m;
    return along >= 0 && along <= 1;
}

static double heading_deg(double dx_m, double dy_m) {
    return atan2(dx_m, dy_m) * 180 / pi; /* clockwise from the plan's y */
}

/* Between two lines, whichever way they are drawn: 0 to 90 degrees. */
static double apart_deg(const geometry_panel *a, const geometry_panel *b) {
    double turn_deg = heading_deg(a->b.x_m - a->a.x_m, a->b.y_m - a->a.y_m) -
                      heading_deg(b->b.x_m - b->a.x_m, b->b.y_m - b->a.y_m);
    double folded_deg = fmod(fabs(turn_deg), 180);
    return fmin(folded_deg, 180 - folded_deg);
}

/* The nearest wall of the device's level that runs across wall `but`; NONE: any. */
static bool nearest(const earshot_survey *survey, const survey_device *device, size_t but,
                    planning_dimension *out) {
    const geometry_panel *panels = survey->building.panels;
    bool found = false;
    for (size_t i = 0; i < survey->n_walls; i++) {
        double x_m, y_m;
        if (survey->walls[i].level != device->level ||
            !square_to(&panels[i], &device->place, &x_m, &y_m) ||
            (but != EARSHOT_NONE && apart_deg(&panels[i], &panels[but]) < least_apart_deg))
            continue;
        double dx_m = x_m - device->place.x_m, dy_m = y_m - device->place.y_m;
        double distance_m = hypot(dx_m, dy_m);
        if (found && distance_m >= out->distance_m)
            continue;
        found = true;
        *out = (planning_dimension){i, distance_m,
                                    heading_deg(dx_m, dy_m) + survey->site.north_deg};
    }
    return found;
}

size_t planning_dimensions(const earshot_survey *survey, size_t row,
                           planning_dimension out[PLANNING_MAX_DIMENSIONS]) {
    const survey_device *device = &survey->devices[row];
    if (device->level == EARSHOT_NONE || isnan(device->place.x_m) ||
        !nearest(survey, device, EARSHOT_NONE, &out[0]))
        return 0;
    return nearest(survey, device, out[0].wall, &out[1]) ? 2 : 1;
}
