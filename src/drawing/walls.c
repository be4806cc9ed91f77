/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walls.c - walls as bands, told apart by what fills them: the more a construction loses, the
 * darker its band. Openings are gaps in the band, a door closed by one line, a window by two,
 * and the more it loses, the heavier.
 *
 * A wall is one line along its middle, of the class of its construction, so that the picture
 * can be traced back; its width is the band's. All bands of a level are laid black, then white
 * inside, then filled, so that they run into each other at corners. Contours are single lines
 * and are never taken for a wall.
 */
#include <math.h>

#include "plan.h"

#define BAND_MM 1.5
#define RIM_MM 0.18

/* What runs inside a band, from pale to dark. */
enum filling {
    EMPTY,
    DOTS,
    MIDDLE,
    TIES,
    SLANTS,
    CLOSE_TIES,
    CLOSE_SLANTS,
    CROSSES,
    GRAY,
    BLACK,
    N_FILLINGS
};

/* ---- what is built of what ---- */

static bool loses_less(const double *loss_db, size_t a, size_t b) {
    return loss_db[a] < loss_db[b] || (loss_db[a] == loss_db[b] && a < b);
}

void plan_key_of(const earshot_survey *survey, const earshot_belief *belief, size_t radio,
                 size_t level, plan_key *key) {
    bool used[SURVEY_MAX_CONSTRUCTIONS] = {false};
    double loss_db[SURVEY_MAX_CONSTRUCTIONS];
    for (size_t i = 0; i < survey->n_constructions; i++)
        loss_db[i] = belief->losses[radio * survey->n_constructions + i].loss_db;
    for (size_t i = 0; i < survey->n_walls; i++)
        if (level == EARSHOT_NONE || survey->walls[i].level == level)
            used[survey->walls[i].construction] = true;
    for (size_t i = 0; i < survey->n_openings; i++)
        if (level == EARSHOT_NONE || survey->walls[survey->openings[i].wall].level == level)
            used[survey->openings[i].construction] = true;
    key->n = 0;
    for (size_t i = 0; i < survey->n_constructions; i++) {
        if (!used[i])
            continue;
        size_t at = key->n++;
        for (; at > 0 && loses_less(loss_db, i, key->construction[at - 1]); at--)
            key->construction[at] = key->construction[at - 1];
        key->construction[at] = i;
    }
}

static bool is_opening(const earshot_survey *survey, size_t construction) {
    enum survey_class class = survey->constructions[construction].class;
    return class == SURVEY_CLASS_DOOR || class == SURVEY_CLASS_WINDOW;
}

/* Rank of a construction among those of its sort (openings, or the rest), from 0 to 1. */
static double rank_of(const plan *of, size_t construction) {
    bool opening = is_opening(of->survey, construction);
    double before = 0, all = 0;
    for (size_t i = 0; i < of->key.n; i++) {
        size_t other = of->key.construction[i];
        if (is_opening(of->survey, other) != opening)
            continue;
        if (other == construction)
            before = all;
        all++;
    }
    return all > 1 ? before / (all - 1) : 0.5;
}

static enum filling filling_of(const plan *of, size_t construction) {
    return (enum filling)floor(rank_of(of, construction) * (N_FILLINGS - 1) + 0.5);
}

/* ---- bands ---- */

typedef struct band {
    earshot_dot a, b;
    double dx, dy, length_mm; /* along it */
} band;

static band band_of(earshot_dot a, earshot_dot b) {
    double length_mm = hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    double safe_mm = length_mm > 0 ? length_mm : 1;
    return (band){a, b, (b.x_mm - a.x_mm) / safe_mm, (b.y_mm - a.y_mm) / safe_mm, length_mm};
}

/* So far along, so far to its right. */
static earshot_dot on_band(const band *of, double along_mm, double across_mm) {
    return (earshot_dot){of->a.x_mm + along_mm * of->dx - across_mm * of->dy,
                         of->a.y_mm + along_mm * of->dy + across_mm * of->dx};
}

static void rectangle(earshot_drawing *drawing, const char *what, double gray, const band *of,
                      double half_mm, double beyond_mm) {
    const earshot_dot corners[4] = {
        on_band(of, -beyond_mm, -half_mm), on_band(of, of->length_mm + beyond_mm, -half_mm),
        on_band(of, of->length_mm + beyond_mm, half_mm), on_band(of, -beyond_mm, half_mm)};
    drawing_area(drawing, what, gray, corners, 4);
}

/* Short strokes across, so far apart, leaning so far. */
static void strokes(earshot_drawing *drawing, const band *of, double every_mm, double lean_mm) {
    static const drawing_pen pen = {.what = "filling", .width_mm = 0.16};
    double half_mm = BAND_MM / 2 - RIM_MM / 2;
    size_t n = (size_t)(of->length_mm / every_mm);
    for (size_t i = 0; i < n; i++) {
        double at_mm = (of->length_mm - (double)(n - 1) * every_mm) / 2 + (double)i * every_mm;
        double from_mm = fmax(0, at_mm - lean_mm), to_mm = fmin(of->length_mm, at_mm + lean_mm);
        drawing_segment(drawing, &pen,
                        on_band(of, lean_mm < 0 ? at_mm - lean_mm : from_mm, -half_mm),
                        on_band(of, lean_mm < 0 ? at_mm + lean_mm : to_mm, half_mm));
    }
}

static void fill(earshot_drawing *drawing, const band *of, enum filling filling) {
    static const drawing_pen line = {.what = "filling", .width_mm = 0.25};
    static const drawing_pen dots = {
        .what = "filling", .width_mm = 0.35, .dash_mm = {0.35, 1.4}, .n_dashes = 2};
    double inside_mm = BAND_MM / 2 - RIM_MM;
    switch (filling) {
    case EMPTY:
    case N_FILLINGS:
        return;
    case DOTS:
    case MIDDLE:
        drawing_segment(drawing, filling == DOTS ? &dots : &line, of->a, of->b);
        return;
    case TIES:
        strokes(drawing, of, 2, 0);
        return;
    case SLANTS:
        strokes(drawing, of, 1.6, 0.6);
        return;
    case CLOSE_TIES:
        strokes(drawing, of, 0.8, 0);
        return;
    case CLOSE_SLANTS:
        strokes(drawing, of, 0.7, 0.6);
        return;
    case CROSSES:
        strokes(drawing, of, 1.1, 0.55);
        strokes(drawing, of, 1.1, -0.55);
        return;
    case GRAY:
        rectangle(drawing, "filling", 0.55, of, inside_mm, inside_mm);
        return;
    case BLACK:
        rectangle(drawing, "filling", 0, of, inside_mm, inside_mm);
        return;
    }
}

static band wall_band(const plan *of, size_t wall) {
    const geometry_panel *panel = &of->survey->building.panels[wall];
    return band_of(plan_dot(of, panel->a.x_m, panel->a.y_m),
                   plan_dot(of, panel->b.x_m, panel->b.y_m));
}

/* ---- openings ---- */

static void jamb(earshot_drawing *drawing, const band *of, double at_mm) {
    static const drawing_pen pen = {.what = "opening", .width_mm = 0.25};
    drawing_segment(drawing, &pen, on_band(of, at_mm, -BAND_MM / 2),
                    on_band(of, at_mm, BAND_MM / 2));
}

static void draw_opening(const plan *of, const band *gap, size_t construction) {
    earshot_drawing *drawing = of->drawing;
    bool window = of->survey->constructions[construction].class == SURVEY_CLASS_WINDOW;
    const drawing_pen pen = {.what = "opening",
                             .width_mm = 0.15 + 0.55 * rank_of(of, construction)};
    double off_mm = window ? 0.42 : 0;
    rectangle(drawing, "opening", 1, gap, BAND_MM / 2 + 0.02, 0);
    jamb(drawing, gap, 0);
    jamb(drawing, gap, gap->length_mm);
    drawing_segment(drawing, &pen, on_band(gap, 0, off_mm),
                    on_band(gap, gap->length_mm, off_mm));
    if (window)
        drawing_segment(drawing, &pen, on_band(gap, 0, -off_mm),
                        on_band(gap, gap->length_mm, -off_mm));
}

static void draw_openings(const plan *of, size_t wall) {
    const geometry_panel *panel = &of->survey->building.panels[wall];
    for (size_t i = panel->first_opening; i < panel->first_opening + panel->n_openings; i++) {
        const geometry_opening *opening = &of->survey->building.openings[i];
        const band gap = band_of(plan_dot(of, opening->a.x_m, opening->a.y_m),
                                 plan_dot(of, opening->b.x_m, opening->b.y_m));
        draw_opening(of, &gap, of->survey->openings[i].construction);
    }
}

/* ---- all of them ---- */

void plan_draw_walls(const plan *of) {
    enum { RIM, INSIDE, FILLING, OPENINGS, N_PASSES };
    static const drawing_pen rim = {.what = "wall", .width_mm = BAND_MM, .square = true};
    static const drawing_pen inside = {
        .what = "inside", .width_mm = BAND_MM - 2 * RIM_MM, .gray = 1, .square = true};
    for (int pass = 0; pass < N_PASSES; pass++)
        for (size_t i = 0; i < of->survey->n_walls; i++) {
            if (of->survey->walls[i].level != of->level)
                continue;
            const band wall = wall_band(of, i);
            size_t construction = of->survey->walls[i].construction;
            if (pass == RIM) {
                drawing_segment(of->drawing, &rim, wall.a, wall.b);
                drawing_layer(of->drawing, of->survey->constructions[construction].name);
            } else if (pass == INSIDE) {
                drawing_segment(of->drawing, &inside, wall.a, wall.b);
            } else if (pass == FILLING) {
                fill(of->drawing, &wall, filling_of(of, construction));
            } else {
                draw_openings(of, i);
            }
        }
}

void plan_draw_sample(const plan *of, size_t construction, earshot_dot at, double length_mm) {
    const band whole = band_of(at, (earshot_dot){at.x_mm + length_mm, at.y_mm});
    rectangle(of->drawing, "key", 0, &whole, BAND_MM / 2, 0);
    rectangle(of->drawing, "key", 1, &whole, BAND_MM / 2 - RIM_MM, -RIM_MM);
    if (!is_opening(of->survey, construction)) {
        const band inner = band_of((earshot_dot){at.x_mm + BAND_MM / 2, at.y_mm},
                                   (earshot_dot){at.x_mm + length_mm - BAND_MM / 2, at.y_mm});
        fill(of->drawing, &inner, filling_of(of, construction));
        return;
    }
    const band gap = band_of((earshot_dot){at.x_mm + length_mm / 5, at.y_mm},
                             (earshot_dot){at.x_mm + length_mm * 4 / 5, at.y_mm});
    draw_opening(of, &gap, construction);
}
