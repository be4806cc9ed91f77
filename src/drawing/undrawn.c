/* SPDX-License-Identifier: GPL-3.0-or-later */
/* undrawn.c - where the readings place something that nobody drew: a line of dashes and dots
 * over each of its likelier places. They stand for many more, so that where several lie side
 * by side it is somewhere among them.
 */
#include <math.h>

#include "plan.h"
#include "text.h"

const drawing_pen plan_undrawn_pen = {.what = "undrawn",
                                      .width_mm = 0.7,
                                      .gray = 0.25,
                                      .dash_mm = {4, 1.2, 0.7, 1.2},
                                      .n_dashes = 4};
static const double least_share =
    0.1; /* of what is likely at all: rarer places are not drawn */

static double within(double value, double low, double high) {
    return fmin(fmax(value, low), high);
}

static earshot_dot end(const plan *of, geometry_point point) {
    return plan_dot(of, within(point.x_m, of->extent.x0_m, of->extent.x1_m),
                    within(point.y_m, of->extent.y0_m, of->extent.y1_m));
}

static bool is_drawn(const plan *of, const calibration_place *place, size_t level) {
    double floor_z_m = of->survey->levels[level].floor_z_m;
    return place->chance >= least_share * of->undrawn->chance &&
           floor_z_m >= place->obstacle.low_m && floor_z_m < place->obstacle.high_m;
}

static void put_each(const plan *of,
                     void (*put)(const plan *of, earshot_dot a, earshot_dot b)) {
    for (size_t i = 0; plan_names_undrawn(of) && i < of->undrawn->n_places; i++) {
        const calibration_place *place = &of->undrawn->places[i];
        if (is_drawn(of, place, of->level))
            put(of, end(of, place->obstacle.a), end(of, place->obstacle.b));
    }
}

static void draw(const plan *of, earshot_dot a, earshot_dot b) {
    drawing_segment(of->drawing, &plan_undrawn_pen, a, b);
    drawing_title(of->drawing, "something that nobody drew");
}

static void shade(const plan *of, earshot_dot a, earshot_dot b) {
    labels_shade(of->labels, a, b, plan_undrawn_pen.width_mm, PLAN_WALLS);
}

void plan_draw_undrawn(const plan *of) {
    put_each(of, draw);
}

void plan_shade_undrawn(const plan *of) {
    put_each(of, shade);
}

bool plan_names_undrawn(const plan *of) {
    bool any = of->task->level == EARSHOT_NONE; /* all storeys */
    for (size_t i = 0; i < of->undrawn->n_places && !any; i++)
        any = is_drawn(of, &of->undrawn->places[i], of->task->level);
    return any && of->undrawn->chance >= calibration_worth_naming;
}

void plan_say_undrawn(const plan *of, earshot_dot sample, double sample_mm,
                      const drawing_letters *letters) {
    static const double beside_mm = 2.5, down_mm = 0.9;
    const double at_mm = sample.x_mm + sample_mm + beside_mm;
    earshot_text *words = earshot_text_new();
    if (words) {
        text_add_fixed(words, within(round(10 * of->undrawn->chance), 1, 9), 0);
        text_add(words, " in 10 that something which nobody drew stands along such a line, or "
                        "between them");
    }
    drawing_segment(of->drawing, &plan_undrawn_pen, sample,
                    (earshot_dot){sample.x_mm + sample_mm, sample.y_mm});
    if (!words || earshot_text_cut(words))
        drawing_lose(of->drawing);
    else
        drawing_words_in(of->drawing, letters, (earshot_dot){at_mm, sample.y_mm + down_mm},
                         PLAN_MARGIN_MM + PLAN_WIDTH_MM - at_mm, earshot_text_data(words));
    earshot_text_free(words);
}
