/* SPDX-License-Identifier: GPL-3.0-or-later */
/* drawing.h - plan, contours, label places, a link in section -> a display list.
 *
 *     list.c      the list itself: lines, areas, arcs, words
 *     field.c     margins over a level, best of all listeners; a receiver anywhere
 *     contours.c  a raster of values -> lines of equal value
 *     labels.c    where words touch nothing
 *     walls.c     walls and openings by what they are built of
 *     marks.c     devices by verdict
 *     undrawn.c   where readings place something that nobody drew
 *     plan.c      all of it, level by level
 *     section.c   one link as a stair of falling level
 *     fit.c       measured against predicted
 *
 * No file formats here. Plan coordinates are meters, y up; the page is millimeters, y down.
 */
#ifndef DRAWING_DRAWING_H
#define DRAWING_DRAWING_H

#include "earshot/drawing.h"
#include "planning.h"

/* What people call a device. */
static inline const char *drawing_called(const survey_device *device) {
    return device->label[0] ? device->label : device->name;
}

/* ---- list.c ---- */

typedef struct drawing_pen {
    const char *what;
    double width_mm, gray;
    double dash_mm[EARSHOT_MOST_DASHES];
    size_t n_dashes;
    bool square;
} drawing_pen;

typedef struct drawing_letters {
    const char *what;
    double size_mm, gray, turn_deg;
    enum earshot_anchor anchor;
    bool bold;
} drawing_letters;

/* A new page of a width; NULL when memory ran out. What cannot be added later is remembered and
 * told by drawing_end, which also sets the height and hands the page over. */
earshot_drawing *drawing_begin(double width_mm);
enum earshot_status drawing_end(earshot_drawing *drawing, double height_mm,
                                earshot_drawing **out);
/* Something found no memory: drawing_end will tell. */
void drawing_lose(earshot_drawing *drawing);
/* A panel from `top_mm` to `bottom_mm`. */
void drawing_panel(earshot_drawing *drawing, const char *title, double top_mm,
                   double bottom_mm);

void drawing_line(earshot_drawing *drawing, const drawing_pen *pen, const earshot_dot *points,
                  size_t n_points, bool closed);
void drawing_segment(earshot_drawing *drawing, const drawing_pen *pen, earshot_dot a,
                     earshot_dot b);
void drawing_area(earshot_drawing *drawing, const char *what, double gray,
                  const earshot_dot *points, size_t n_points);
void drawing_box(earshot_drawing *drawing, const char *what, double gray, earshot_dot corner,
                 double width_mm, double height_mm);
/* Of a filled one only what and gray of the pen count. */
void drawing_arc(earshot_drawing *drawing, const drawing_pen *pen, earshot_dot at,
                 double radius_mm, double from_deg, double sweep_deg, bool filled);
/* `words` may come from outside: they are made one line. */
void drawing_words(earshot_drawing *drawing, const drawing_letters *letters, earshot_dot at,
                   const char *words);
/* The same, cut with dots where they are longer than fits. */
void drawing_words_in(earshot_drawing *drawing, const drawing_letters *letters, earshot_dot at,
                      double width_mm, const char *words);
/* What the item drawn last says to who cannot see it. */
void drawing_title(earshot_drawing *drawing, const char *title);

/* What it is built of. */
void drawing_layer(earshot_drawing *drawing, const char *layer);

/* About how wide words are, rather more than less: no font is known here. */
double drawing_width_mm(const char *words, double size_mm);

#endif
