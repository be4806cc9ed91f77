/* SPDX-License-Identifier: GPL-3.0-or-later */
/* key.c - what the lines, marks and walls of a plan mean, in words.
 */
#include <stdlib.h>
#include <string.h>

#include "plan.h"
#include "text.h"

static const double row_mm = 5, sample_mm = 14;
static const drawing_letters words_of_key = {.what = "key", .size_mm = 2.5};
static const drawing_letters head_of_key = {.what = "key", .size_mm = 2.8, .bold = true};

/* A row that is being written: where its sample stands and where its words begin. */
static earshot_dot sample_at(double left_mm, double y_mm) {
    return (earshot_dot){left_mm, y_mm - 0.9};
}

static void say(const plan *of, double left_mm, double y_mm, double wide_mm,
                const char *words) {
    drawing_words_in(of->drawing, &words_of_key, (earshot_dot){left_mm + sample_mm + 2.5, y_mm},
                     wide_mm - sample_mm - 2.5, words);
}

static void say_text(const plan *of, double left_mm, double y_mm, double wide_mm,
                     earshot_text *words) {
    if (!words || earshot_text_cut(words))
        drawing_lose(of->drawing);
    else
        say(of, left_mm, y_mm, wide_mm, earshot_text_data(words));
    earshot_text_free(words);
}

static void line_sample(const plan *of, drawing_pen pen, bool dashed, double y_mm) {
    const earshot_dot a = sample_at(PLAN_MARGIN_MM, y_mm);
    if (dashed) {
        pen.dash_mm[0] = pen.width_mm > 0.5 ? 3.2 : 2;
        pen.dash_mm[1] = pen.width_mm > 0.5 ? 1.4 : 1;
        pen.n_dashes = 2;
    }
    drawing_segment(of->drawing, &pen, a, (earshot_dot){a.x_mm + sample_mm, a.y_mm});
}

/* ---- lines ---- */

static void say_required(const plan *of, double y_mm) {
    const survey_site *site = &of->survey->site;
    earshot_text *words = earshot_text_new();
    if (words) {
        text_add_number(words, site->required_margin_db);
        text_add(words,
                 " dB of margin, which is what is asked: inside the heavy line the sensor "
                 "holds");
        if (site->life_safety_margin_db != site->required_margin_db) {
            text_add(words, "; life safety asks ");
            text_add_number(words, site->life_safety_margin_db);
        }
    }
    say_text(of, PLAN_MARGIN_MM, y_mm, PLAN_WIDTH_MM, words);
}

static void say_then(const plan *of, double y_mm) {
    earshot_text *words = earshot_text_new();
    if (words) {
        text_add(words, "the same line, and the next, with ");
        text_add(words, of->task->posts_name ? of->task->posts_name : "another arrangement");
    }
    say_text(of, PLAN_MARGIN_MM, y_mm, PLAN_WIDTH_MM, words);
}

static double draw_lines_key(const plan *of, double y_mm) {
    const double whole_mm = PLAN_WIDTH_MM;
    if (of->now->n == 0) {
        y_mm += row_mm;
        say(of, PLAN_MARGIN_MM, y_mm, whole_mm, "no lines: no receiver has a place");
        return y_mm;
    }
    line_sample(of, plan_required_pen, false, y_mm += row_mm);
    say_required(of, y_mm);
    line_sample(of, plan_contour_pen, false, y_mm += row_mm);
    say(of, PLAN_MARGIN_MM, y_mm, whole_mm,
        "other margins, dB: the higher, the better it is heard");
    line_sample(of, plan_contour_pen, true, y_mm += row_mm);
    say(of, PLAN_MARGIN_MM, y_mm, whole_mm,
        "dashed: nobody can be sure on which side of the heavy line this is; no line where "
        "give or "
        "take is over 10 dB");
    if (of->then) {
        line_sample(of, plan_then_pen, false, y_mm += row_mm);
        say_then(of, y_mm);
    }
    if (plan_names_undrawn(of))
        plan_say_undrawn(of, sample_at(PLAN_MARGIN_MM, y_mm += row_mm), sample_mm,
                         &words_of_key);
    return y_mm;
}

/* ---- marks ---- */

static const struct {
    enum earshot_verdict verdict;
    bool life_safety;
    const char *words;
} marks[] = {{EARSHOT_FIRM, false, "firm"},
             {EARSHOT_THIN, false, "thin: it closes, not assured"},
             {EARSHOT_OUT, false, "won't reach"},
             {EARSHOT_NOT_JUDGED, false, "not judged"},
             {EARSHOT_FIRM, true, "roof: it guards life"}};
enum { N_MARKS = sizeof marks / sizeof *marks, N_COLUMNS = 4 };

static double column_mm(size_t i) {
    return PLAN_MARGIN_MM + PLAN_WIDTH_MM / N_COLUMNS * (double)(i % N_COLUMNS);
}

static double draw_marks_key(const plan *of, double y_mm) {
    static const char *const others[] = {"receiver", "repeater", "spot"};
    static const double wide_mm = PLAN_WIDTH_MM / N_COLUMNS;
    for (size_t i = 0; i < N_MARKS + 3; i++) {
        const earshot_dot at = {column_mm(i) + 2,
                                y_mm + row_mm * (1 + (double)(i / N_COLUMNS))};
        const earshot_dot middle = {at.x_mm, at.y_mm - 0.8};
        if (i < N_MARKS)
            plan_draw_mark(of->drawing, marks[i].verdict, marks[i].life_safety, middle);
        else if (i == N_MARKS)
            plan_draw_receiver(of->drawing, middle, 0);
        else if (i == N_MARKS + 1)
            plan_draw_repeater(of->drawing, middle, 0);
        else
            plan_draw_spot(of->drawing, middle);
        drawing_words_in(of->drawing, &words_of_key, (earshot_dot){at.x_mm + 3, at.y_mm},
                         wide_mm - 5, i < N_MARKS ? marks[i].words : others[i - N_MARKS]);
    }
    return y_mm + row_mm * 2;
}

/* ---- walls ---- */

static double draw_walls_key(const plan *of, double y_mm) {
    static const double wide_mm = PLAN_WIDTH_MM / N_COLUMNS;
    for (size_t i = 0; i < of->key.n; i++) {
        double at_mm = y_mm + row_mm * (1 + (double)(i / N_COLUMNS));
        size_t construction = of->key.construction[i];
        plan_draw_sample(of, construction, sample_at(column_mm(i), at_mm), sample_mm);
        say(of, column_mm(i), at_mm, wide_mm - 2, of->survey->constructions[construction].name);
    }
    return y_mm + row_mm * (double)((of->key.n + N_COLUMNS - 1) / N_COLUMNS);
}

static double head(const plan *of, double y_mm, const char *words) {
    drawing_words(of->drawing, &head_of_key, (earshot_dot){PLAN_MARGIN_MM, y_mm + row_mm},
                  words);
    return y_mm + row_mm;
}

double plan_draw_key(const plan *of, double top_mm) {
    double y_mm = draw_lines_key(of, head(of, top_mm, "Lines"));
    y_mm = draw_marks_key(of, head(of, y_mm + 2, "Marks"));
    if (of->key.n > 0)
        y_mm =
            draw_walls_key(of, head(of, y_mm + 2, "Walls, doors, windows: darker loses more"));
    drawing_panel(of->drawing, "key", top_mm, y_mm + 4);
    return y_mm + 4;
}
