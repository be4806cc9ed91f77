/* SPDX-License-Identifier: GPL-3.0-or-later */
/* place.c - where a point of the drawing is in the survey.
 *
 * SVG's y goes down and the survey's up, so y is turned first, and a plan keeps its left and
 * right. What is left is a turn, a size and a shift: one product and one sum of complex
 * numbers.
 */
#include <math.h>

#include "plans.h"
#include "text.h"

static plans_point upright(double x, double y) {
    return (plans_point){x, -y};
}

plans_point plans_placed(const plans_place *place, plans_point point) {
    plans_point p = upright(point.x, point.y);
    return (plans_point){place->along * p.x - place->across * p.y + place->x_m,
                         place->across * p.x + place->along * p.y + place->y_m};
}

/* Puts `from` at (x_m, y_m), with the turn and size that are there. */
static void shift(plans_place *place, double x, double y, double x_m, double y_m) {
    place->x_m = place->y_m = 0;
    plans_point at = plans_placed(place, (plans_point){x, y});
    place->x_m = x_m - at.x;
    place->y_m = y_m - at.y;
}

/* [x1, y1] is where the survey begins. False when the points are one. */
static bool by_distance(double x1, double y1, double x2, double y2, double length_m,
                        plans_place *out) {
    double length = hypot(x2 - x1, y2 - y1);
    if (!(length > 0))
        return false;
    *out = (plans_place){.along = length_m / length};
    shift(out, x1, y1, 0, 0);
    return true;
}

bool plans_place_line(const plans_line *line, double length_m, plans_place *out) {
    return by_distance(line->a.x, line->a.y, line->b.x, line->b.y, length_m, out);
}

/* The quotient of the two ways from the first point to the second. */
static bool by_points(const earshot_scale *scale, plans_place *out) {
    plans_point way = upright(scale->x2 - scale->x1, scale->y2 - scale->y1);
    double x_m = scale->x2_m - scale->x1_m, y_m = scale->y2_m - scale->y1_m;
    double length2 = way.x * way.x + way.y * way.y;
    if (!(length2 > 0) || !(hypot(x_m, y_m) > 0))
        return false;
    *out = (plans_place){.along = (x_m * way.x + y_m * way.y) / length2,
                         .across = (y_m * way.x - x_m * way.y) / length2};
    shift(out, scale->x1, scale->y1, scale->x1_m, scale->y1_m);
    return true;
}

static bool by_paper(const plans_input *input, double ratio, plans_place *out) {
    const plans_paper *paper = &input->drawing->paper;
    char number[TEXT_NUMBER_SIZE];
    if (!(paper->mm_per_unit > 0)) {
        text_write_number(number, ratio);
        plans_say(input, FINDINGS_PLAN_NO_SIZE, 0, 0, number, NULL);
        return false;
    }
    *out = (plans_place){.along = ratio * paper->mm_per_unit / 1000};
    shift(out, paper->left, paper->bottom, 0, 0);
    return true;
}

bool plans_place_by(const plans_input *input, const earshot_scale *scale, plans_place *out) {
    if (scale->kind == EARSHOT_SCALE_PAPER)
        return by_paper(input, scale->ratio, out);
    bool apart =
        scale->kind == EARSHOT_SCALE_POINTS
            ? by_points(scale, out)
            : by_distance(scale->x1, scale->y1, scale->x2, scale->y2, scale->length_m, out);
    if (!apart)
        plans_say(input, FINDINGS_PLAN_POINTS_ONE, 0, 0, NULL, NULL);
    return apart;
}
