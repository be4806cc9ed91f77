/* SPDX-License-Identifier: GPL-3.0-or-later */
/* drawing.h - pictures as lists of lines, areas, arcs and words on a page, in millimeters.
 *
 * A drawing knows no file format: earshot_drawing_write makes SVG of it, and a host may put it
 * on whatever it has. Black on white, told apart by weight, dashes and shape, never by color.
 *
 * Of a plan: contour lines of margin for a sensor at one height, walls by what they are built
 * of, marks by verdict. Of one link: a stair of falling level. Of readings: what was measured
 * beside what was predicted.
 */
#ifndef EARSHOT_DRAWING_H
#define EARSHOT_DRAWING_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/belief.h"
#include "earshot/link.h"
#include "earshot/place.h"
#include "earshot/survey.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct earshot_drawing earshot_drawing;

/* A place on the page; y grows downward. */
typedef struct earshot_dot {
    double x_mm, y_mm;
} earshot_dot;

enum earshot_item_kind {
    EARSHOT_LINE, /* through the points */
    EARSHOT_AREA, /* filled, around the points */
    EARSHOT_ARC,  /* of a circle about `at`; filled: the piece that its chord cuts off */
    EARSHOT_WORDS
};

enum earshot_anchor { EARSHOT_START, EARSHOT_MIDDLE, EARSHOT_END };

enum { EARSHOT_MOST_DASHES = 4 };

/* What is drawn, in order: later ones cover earlier ones. Strings and points are borrowed from
 * the drawing. */
typedef struct earshot_item {
    enum earshot_item_kind kind;
    const char *what;  /* "wall", "contour", "required", "mark", ...: one word, lasting */
    const char *layer; /* of a wall, what it is built of; NULL: none */
    const char *title; /* what it says to who cannot see it; NULL: nothing */
    double gray;       /* 0 black to 1 white */
    double width_mm;   /* of a line or an open arc */
    double dash_mm[EARSHOT_MOST_DASHES]; /* on, off, ... */
    size_t n_dashes;                     /* 0: solid */
    const earshot_dot *points;
    size_t n_points;
    bool square;    /* LINE: its ends reach on by half its width */
    bool closed;    /* LINE: the last point joins the first */
    earshot_dot at; /* center of an arc; anchor of words, on their base line */
    double radius_mm, from_deg, sweep_deg; /* ARC: from the x axis, as a clock goes */
    bool filled;                           /* ARC */
    const char *words;                     /* one line of UTF-8 */
    double size_mm, turn_deg;              /* of letters; turned as a clock goes */
    enum earshot_anchor anchor;
    bool bold;
} earshot_item;

/* A part of the page that stands by itself, on a page of its own where there are pages. */
typedef struct earshot_panel {
    const char *title;
    double top_mm, height_mm;
} earshot_panel;

/* The size of the page, and what is on it. `i` counts from 0, less than the count. */
earshot_dot earshot_drawing_size(const earshot_drawing *drawing);
size_t earshot_drawing_items(const earshot_drawing *drawing);
earshot_item earshot_drawing_item(const earshot_drawing *drawing, size_t i);
size_t earshot_drawing_panels(const earshot_drawing *drawing);
earshot_panel earshot_drawing_panel(const earshot_drawing *drawing, size_t i);

/* Releases a drawing. NULL is fine. */
void earshot_drawing_free(earshot_drawing *drawing);

/* What is asked of a plan. */
typedef struct earshot_plan_task {
    size_t level;    /* row of levels.csv; EARSHOT_NONE: all that have something on them */
    double height_m; /* of the sensor above the floor; not a number: 1.5 */
    double step_m;   /* between points that are worked out; 0: chosen by the size of the plan */
    const earshot_post *posts; /* listeners of another arrangement, drawn lighter; NULL: none */
    size_t n_posts;
    const char *posts_name; /* what people call it: "repeater at kitchen-top" */
} earshot_plan_task;

/* Levels by name, borrowed; and the row of a name, or the count of levels when there is none.
 */
size_t earshot_survey_levels(const earshot_survey *survey);
const char *earshot_survey_level(const earshot_survey *survey, size_t row);
size_t earshot_survey_find_level(const earshot_survey *survey, const char *name);

/* Whether there is anything to draw a plan of: a wall, a floor, or a device with a place. */
bool earshot_survey_has_plan(const earshot_survey *survey);

/* Whether a task can be drawn: the survey has a plan, and something on the level that is asked
 * for; height from -100 to 100 m; step 0, or 0.02 to 100 m. */
bool earshot_plan_task_valid(const earshot_survey *survey, const earshot_plan_task *task);

/* One link of the survey in section: from what is sent, less each thing that takes of it, to
 * what the listener needs, and what is left. Through a repeater, its own way to the best
 * receiver below. `posts` (NULL: none) are listeners of another arrangement: the best way there
 * is drawn below. The caller frees it. EARSHOT_MISUSE, EARSHOT_NO_MEMORY, or EARSHOT_OK. */
enum earshot_status earshot_section_draw(const earshot_survey *survey,
                                         const earshot_belief *belief, const earshot_link *link,
                                         const earshot_post *posts, size_t n_posts,
                                         earshot_drawing **out);

/* What was read on each link, what the tables foretold, and what is believed now, each with its
 * give or take; then, on the plan, how far what was read is off the tables. The caller frees
 * it. EARSHOT_MISUSE where nothing was read, EARSHOT_NO_MEMORY, or EARSHOT_OK. */
enum earshot_status earshot_fit_draw(const earshot_survey *survey, const earshot_belief *belief,
                                     earshot_drawing **out);

/* The plan of each level, one below the other; the caller frees it. EARSHOT_MISUSE for a task
 * out of range or a survey without a plan, EARSHOT_NO_MEMORY, or EARSHOT_OK. */
enum earshot_status earshot_plan_draw(const earshot_survey *survey,
                                      const earshot_belief *belief,
                                      const earshot_plan_task *task, earshot_drawing **out);

#ifdef __cplusplus
}
#endif

#endif
