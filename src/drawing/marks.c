/* SPDX-License-Identifier: GPL-3.0-or-later */
/* marks.c - devices on the plan. Sensors by verdict, told apart by shape alone: firm a full
 * disc, thin a half disc, out an open ring with a gap, not judged a dotted ring; what guards
 * life has a small roof. Receivers are squares, repeaters squares in a square, spots small
 * diamonds.
 */
#include <math.h>

#include "plan.h"
#include "text.h"

static const double radius_mm = 1.25, roof_mm = 1.2, letters_mm = 2.2, most_name_mm = 24;

/* ---- shapes ---- */

void plan_draw_mark(earshot_drawing *drawing, enum earshot_verdict verdict, bool life_safety,
                    earshot_dot at) {
    static const drawing_pen paper = {.what = "mark", .gray = 1};
    static const drawing_pen ring = {.what = "mark", .width_mm = 0.35};
    static const drawing_pen dotted = {
        .what = "mark", .width_mm = 0.35, .dash_mm = {0.35, 0.63}, .n_dashes = 2};
    drawing_arc(drawing, &paper, at, radius_mm + 0.45, 0, 360, true);
    switch (verdict) {
    case EARSHOT_FIRM:
        drawing_arc(drawing, &ring, at, radius_mm, 0, 360, true);
        break;
    case EARSHOT_THIN:
        drawing_arc(drawing, &ring, at, radius_mm, 0, 360, false);
        drawing_arc(drawing, &ring, at, radius_mm, 0, 180, true);
        break;
    case EARSHOT_OUT:
        drawing_arc(drawing, &ring, at, radius_mm, -10, 280, false);
        break;
    case EARSHOT_NOT_JUDGED:
        drawing_arc(drawing, &dotted, at, radius_mm, 0, 360, false);
        break;
    }
    const earshot_dot roof[3] = {{at.x_mm - radius_mm - 0.5, at.y_mm - radius_mm - 0.2},
                                 {at.x_mm, at.y_mm - radius_mm - roof_mm},
                                 {at.x_mm + radius_mm + 0.5, at.y_mm - radius_mm - 0.2}};
    if (life_safety)
        drawing_line(drawing, &ring, roof, 3, false);
}

static void square(earshot_drawing *drawing, double gray, earshot_dot at, double half_mm) {
    drawing_box(drawing, "listener", gray, (earshot_dot){at.x_mm - half_mm, at.y_mm - half_mm},
                2 * half_mm, 2 * half_mm);
}

void plan_draw_receiver(earshot_drawing *drawing, earshot_dot at, double gray) {
    square(drawing, 1, at, 1.9);
    square(drawing, gray, at, 1.5);
}

void plan_draw_repeater(earshot_drawing *drawing, earshot_dot at, double gray) {
    square(drawing, 1, at, 1.9);
    square(drawing, gray, at, 1.5);
    square(drawing, 1, at, 1.15);
    square(drawing, gray, at, 0.65);
}

void plan_draw_spot(earshot_drawing *drawing, earshot_dot at) {
    static const drawing_pen pen = {.what = "spot", .width_mm = 0.25};
    const earshot_dot corners[4] = {{at.x_mm, at.y_mm - 1.2},
                                    {at.x_mm + 1.2, at.y_mm},
                                    {at.x_mm, at.y_mm + 1.2},
                                    {at.x_mm - 1.2, at.y_mm}};
    drawing_area(drawing, "spot", 1, corners, 4);
    drawing_line(drawing, &pen, corners, 4, true);
}

/* ---- where they stand ---- */

static labels_box box_of(earshot_dot middle, double wide_mm, double high_mm) {
    return (labels_box){middle, wide_mm, high_mm, 0};
}

/* The box of a mark: a roof makes it higher. */
static labels_box mark_box(earshot_dot at, bool roof) {
    double half_mm = radius_mm + 0.3, above_mm = roof ? roof_mm + 0.2 : 0;
    return box_of((earshot_dot){at.x_mm, at.y_mm - above_mm / 2},
                  2 * half_mm + (roof ? 0.6 : 0), 2 * half_mm + above_mm);
}

/* The place nearest to where a mark belongs that no other mark has: two devices may be screwed
 * to one frame. */
static earshot_dot free_place(const plan *of, earshot_dot wanted, bool roof) {
    enum { RINGS = 4, PLACES = 12 };
    for (int ring = 0; ring <= RINGS; ring++)
        for (int i = 0; i < (ring ? PLACES : 1); i++) {
            double turn = 2 * 3.14159265358979 * i / PLACES, off_mm = ring * 1.7;
            const earshot_dot at = {wanted.x_mm + off_mm * cos(turn),
                                    wanted.y_mm + off_mm * sin(turn)};
            const labels_box box = mark_box(at, roof);
            if (labels_free_at(of->labels, &box))
                return at;
        }
    return wanted;
}

/* A box beside a mark for words so wide, which touches nothing and lies on as little as can be;
 * false where there is none. */
static bool find_beside(const plan *of, earshot_dot at, double wide_mm, labels_box *out) {
    static const double around[][2] = {{1, 0},   {-1, 0},   {0, -1},   {0, 1},
                                       {1, -1},  {1, 1},    {-1, -1},  {-1, 1},
                                       {1.6, 0}, {-1.6, 0}, {0, -1.8}, {0, 1.8}};
    enum { N_AROUND = sizeof around / sizeof *around };
    static const double later = 0.02; /* of two alike the earlier one */
    double best = INFINITY;
    for (int i = 0; i < N_AROUND; i++) {
        const earshot_dot middle = {at.x_mm + around[i][0] * (radius_mm + 0.7 + wide_mm / 2),
                                    at.y_mm + around[i][1] * (radius_mm + 1 + letters_mm / 2)};
        const labels_box box = box_of(middle, wide_mm + 0.2, letters_mm);
        double covered = labels_shaded(of->labels, &box, 0) + later * i;
        if (covered >= best || !labels_free_at(of->labels, &box))
            continue;
        best = covered;
        *out = box;
    }
    return best < INFINITY;
}

static void say_name(const plan_place *place, char number[TEXT_NUMBER_SIZE],
                     const char **words) {
    *words = place->name;
    if (!place->number)
        return;
    text_write_fixed(number, place->number, 0);
    *words = number;
}

static void find_name(const plan *of, plan_place *place) {
    char number[TEXT_NUMBER_SIZE];
    const char *words;
    say_name(place, number, &words);
    double wide_mm = fmin(drawing_width_mm(words, letters_mm), most_name_mm);
    place->named = find_beside(of, place->at, wide_mm, &place->box);
    if (place->named && !labels_take(of->labels, &place->box))
        drawing_lose(of->drawing);
}

static void draw_name(const plan *of, const plan_place *place) {
    const drawing_letters letters = {
        .what = "name", .size_mm = letters_mm, .gray = place->gray, .anchor = EARSHOT_MIDDLE};
    char number[TEXT_NUMBER_SIZE];
    const char *words;
    const labels_box *box = &place->box;
    if (!place->named)
        return;
    say_name(place, number, &words);
    drawing_box(
        of->drawing, "paper", 1,
        (earshot_dot){box->middle.x_mm - box->wide_mm / 2, box->middle.y_mm - box->high_mm / 2},
        box->wide_mm, box->high_mm);
    drawing_words_in(of->drawing, &letters,
                     (earshot_dot){box->middle.x_mm, box->middle.y_mm + 0.36 * letters_mm},
                     most_name_mm + 0.1, words);
}

/* ---- sensors ---- */

static bool is_here(const plan *of, const survey_device *device) {
    return device->level == of->level && isfinite(device->place.x_m);
}

static const char *verdict_words(enum earshot_verdict verdict) {
    return verdict == EARSHOT_OUT ? "won't reach" : earshot_verdict_word(verdict);
}

static void add_spare(earshot_text *out, const earshot_prediction *prediction) {
    text_add(out, verdict_words(prediction->verdict));
    if (isnan(prediction->spare_db))
        return;
    text_add(out, ", ");
    text_add_fixed(out, fabs(prediction->spare_db), 0);
    text_add(out, prediction->spare_db < 0 ? " dB short" : " dB to spare");
}

/* "33 garden room store" */
static void say_called(const plan *of, size_t zone, earshot_text *out) {
    const survey_device *device = &of->survey->devices[of->zones[zone].device];
    if (device->zone) {
        text_add_count(out, device->zone);
        text_add(out, " ");
    }
    text_add(out, drawing_called(device));
}

/* ": won't reach, 21 dB short; then thin" */
static void say_outcome(const plan *of, size_t zone, earshot_text *out) {
    text_add(out, ": ");
    add_spare(out, &of->zones[zone].prediction);
    if (!of->fates)
        return;
    text_add(out, "; then ");
    text_add(out, verdict_words(of->fates[zone].verdict));
}

static void title_zone(const plan *of, size_t zone) {
    earshot_text *title = earshot_text_new();
    if (title) {
        say_called(of, zone, title);
        say_outcome(of, zone, title);
    }
    if (!title || earshot_text_cut(title))
        drawing_lose(of->drawing);
    else
        drawing_title(of->drawing, earshot_text_data(title));
    earshot_text_free(title);
}

/* ---- all of them ---- */

static void put(plan *of, geometry_place where, plan_place place) {
    const earshot_dot belongs = plan_dot(of, where.x_m, where.y_m);
    place.belongs = belongs;
    place.at = free_place(of, belongs, place.life_safety);
    const labels_box box = mark_box(place.at, place.life_safety);
    if (!labels_take(of->labels, &box))
        drawing_lose(of->drawing);
    of->places[of->n_places++] = place;
}

static void put_listeners(plan *of) {
    for (size_t i = 0; i < of->survey->n_devices; i++) {
        const survey_device *device = &of->survey->devices[i];
        if (device->role != SURVEY_SENSOR && is_here(of, device))
            put(of, device->place,
                (plan_place){.kind = device->role == SURVEY_RECEIVER ? PLAN_RECEIVER
                                                                     : PLAN_REPEATER,
                             .name = drawing_called(device),
                             .zone = EARSHOT_NONE});
    }
}

static void put_sensors(plan *of) {
    for (size_t i = 0; i < of->n_zones; i++) {
        const survey_device *device = &of->survey->devices[of->zones[i].device];
        if (is_here(of, device))
            put(of, device->place,
                (plan_place){.kind = PLAN_SENSOR,
                             .name = drawing_called(device),
                             .number = device->zone,
                             .life_safety = device->life_safety,
                             .zone = i});
    }
}

/* What the other arrangement puts on a spot, lighter; the other spots as they are. */
static void put_spots(plan *of) {
    for (size_t i = 0; i < of->survey->n_spots; i++) {
        const survey_spot *spot = &of->survey->spots[i];
        plan_place place = {.kind = PLAN_SPOT,
                            .name = spot->name,
                            .gray = plan_then_gray,
                            .zone = EARSHOT_NONE};
        if (!isfinite(spot->place.x_m) ||
            drawing_level_at(of->survey, spot->place.z_m) != of->level)
            continue;
        for (size_t j = 0; j < of->task->n_posts; j++)
            if (of->task->posts[j].spot == i)
                place.kind = of->task->posts[j].repeats ? PLAN_REPEATER : PLAN_RECEIVER;
        put(of, spot->place, place);
    }
}

void plan_place_devices(plan *of) {
    of->n_places = 0;
    put_listeners(of);
    put_sensors(of);
    put_spots(of);
    for (size_t i = 0; i < of->n_places; i++)
        find_name(of, &of->places[i]);
}

static void draw_place(const plan *of, const plan_place *place) {
    switch (place->kind) {
    case PLAN_RECEIVER:
        plan_draw_receiver(of->drawing, place->at, place->gray);
        break;
    case PLAN_REPEATER:
        plan_draw_repeater(of->drawing, place->at, place->gray);
        break;
    case PLAN_SPOT:
        plan_draw_spot(of->drawing, place->at);
        break;
    case PLAN_SENSOR:
        plan_draw_mark(of->drawing, of->zones[place->zone].prediction.verdict,
                       place->life_safety, place->at);
        title_zone(of, place->zone);
        return;
    }
    drawing_title(of->drawing, place->name);
}

void plan_draw_devices(const plan *of) {
    static const drawing_pen lead = {.what = "lead", .width_mm = 0.18};
    for (size_t i = 0; i < of->n_places; i++) {
        const plan_place *place = &of->places[i];
        if (hypot(place->at.x_mm - place->belongs.x_mm, place->at.y_mm - place->belongs.y_mm) >
            0.1)
            drawing_segment(of->drawing, &lead, place->belongs, place->at);
    }
    for (size_t i = 0; i < of->n_places; i++)
        draw_name(of, &of->places[i]);
    for (size_t i = 0; i < of->n_places; i++)
        draw_place(of, &of->places[i]);
}

/* ---- and in words ---- */

/* In one where it fits; else the name is cut, not what becomes of it. */
static void write_zone(const plan *of, earshot_dot at, double wide_mm, earshot_text *name,
                       const char *outcome) {
    static const drawing_letters letters = {.what = "zone", .size_mm = 2.2};
    double outcome_mm = drawing_width_mm(outcome, letters.size_mm);
    if (drawing_width_mm(earshot_text_data(name), letters.size_mm) + outcome_mm <= wide_mm) {
        text_add(name, outcome);
        drawing_words(of->drawing, &letters, at, earshot_text_data(name));
        return;
    }
    double left_mm = fmax(wide_mm - outcome_mm, wide_mm / 4);
    drawing_words_in(of->drawing, &letters, at, left_mm, earshot_text_data(name));
    drawing_words_in(of->drawing, &letters, (earshot_dot){at.x_mm + left_mm, at.y_mm},
                     wide_mm - left_mm, outcome);
}

static void list_zone(const plan *of, size_t zone, earshot_dot at, double wide_mm) {
    earshot_text *name = earshot_text_new(), *outcome = earshot_text_new();
    plan_draw_mark(of->drawing, of->zones[zone].prediction.verdict,
                   of->survey->devices[of->zones[zone].device].life_safety,
                   (earshot_dot){at.x_mm + 2, at.y_mm - 0.8});
    if (name && outcome) {
        say_called(of, zone, name);
        say_outcome(of, zone, outcome);
        write_zone(of, (earshot_dot){at.x_mm + 5, at.y_mm}, wide_mm - 6, name,
                   earshot_text_data(outcome));
    }
    if (!name || !outcome || earshot_text_cut(name) || earshot_text_cut(outcome))
        drawing_lose(of->drawing);
    earshot_text_free(name);
    earshot_text_free(outcome);
}

double plan_draw_zones(const plan *of, double top_mm) {
    static const double row_mm = 5;
    const size_t n_columns = of->fates ? 2 : 3;
    double wide_mm = PLAN_WIDTH_MM / (double)n_columns;
    size_t n = 0;
    for (size_t i = 0; i < of->n_zones; i++)
        n += is_here(of, &of->survey->devices[of->zones[i].device]);
    size_t n_rows = (n + n_columns - 1) / n_columns, at = 0;
    for (size_t i = 0; i < of->n_zones; i++) {
        if (!is_here(of, &of->survey->devices[of->zones[i].device]))
            continue;
        list_zone(of, i,
                  (earshot_dot){PLAN_MARGIN_MM + wide_mm * (double)(at / n_rows),
                                top_mm + row_mm * (double)(at % n_rows + 1)},
                  wide_mm);
        at++;
    }
    return top_mm + row_mm * (double)n_rows;
}
