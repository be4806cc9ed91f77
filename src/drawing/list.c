/* SPDX-License-Identifier: GPL-3.0-or-later */
/* list.c - the display list: items in drawing order, their points and words behind them.
 *
 * Points and words lie in two growing arrays and are found by number, since the arrays move.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "drawing.h"
#include "text.h"

/* How wide a letter is on the mean, in its height: of the fonts that browsers take for
 * sans-serif, the widest. From memory. */
static const double letter_width = 0.55;

struct item {
    earshot_item of;                         /* its points and strings are these: */
    size_t first_point, words, title, layer; /* SIZE_MAX: none */
};

struct panel {
    size_t title;
    double top_mm, height_mm;
};

struct earshot_drawing {
    struct item *items;
    size_t n_items, item_room;
    earshot_dot *points;
    size_t n_points, point_room;
    char *letters;
    size_t n_letters, letter_room;
    struct panel *panels;
    size_t n_panels, panel_room;
    earshot_dot size;
    bool failed;
};

/* Room for `more` behind `n` entries of `size` bytes; false, and remembered, without memory. */
static bool grow(earshot_drawing *drawing, void *array, size_t *room, size_t n, size_t more,
                 size_t size) {
    if (drawing->failed)
        return false;
    if (*room - n >= more)
        return true;
    size_t wanted = 2 * *room + more + 64;
    void *old, *moved;
    memcpy(&old, array, sizeof old);
    moved = wanted > SIZE_MAX / size ? NULL : realloc(old, wanted * size);
    drawing->failed = !moved;
    if (!moved)
        return false;
    memcpy(array, &moved, sizeof moved);
    *room = wanted;
    return true;
}

earshot_drawing *drawing_begin(double width_mm) {
    earshot_drawing *drawing = calloc(1, sizeof *drawing);
    if (drawing)
        drawing->size.x_mm = width_mm;
    return drawing;
}

enum earshot_status drawing_end(earshot_drawing *drawing, double height_mm,
                                earshot_drawing **out) {
    if (!drawing || drawing->failed) {
        earshot_drawing_free(drawing);
        return EARSHOT_NO_MEMORY;
    }
    drawing->size.y_mm = height_mm;
    *out = drawing;
    return EARSHOT_OK;
}

void drawing_lose(earshot_drawing *drawing) {
    drawing->failed = true;
}

void earshot_drawing_free(earshot_drawing *drawing) {
    if (!drawing)
        return;
    free(drawing->items);
    free(drawing->points);
    free(drawing->letters);
    free(drawing->panels);
    free(drawing);
}

/* ---- adding ---- */

static size_t keep_words(earshot_drawing *drawing, const char *words, size_t length) {
    size_t at = drawing->n_letters;
    if (!grow(drawing, &drawing->letters, &drawing->letter_room, at, length + 1, 1))
        return SIZE_MAX;
    memcpy(drawing->letters + at, words, length);
    text_make_line(drawing->letters + at, length);
    drawing->letters[at + length] = '\0';
    drawing->n_letters += length + 1;
    return at;
}

static void add(earshot_drawing *drawing, const earshot_item *of, const earshot_dot *points,
                size_t words) {
    if (!grow(drawing, &drawing->items, &drawing->item_room, drawing->n_items, 1,
              sizeof *drawing->items) ||
        !grow(drawing, &drawing->points, &drawing->point_room, drawing->n_points, of->n_points,
              sizeof *drawing->points))
        return;
    drawing->items[drawing->n_items++] = (struct item){.of = *of,
                                                       .first_point = drawing->n_points,
                                                       .words = words,
                                                       .title = SIZE_MAX,
                                                       .layer = SIZE_MAX};
    for (size_t i = 0; i < of->n_points; i++)
        drawing->points[drawing->n_points++] = points[i];
}

static earshot_item item_of(enum earshot_item_kind kind, const drawing_pen *pen) {
    earshot_item item = {.kind = kind,
                         .what = pen->what,
                         .gray = pen->gray,
                         .width_mm = pen->width_mm,
                         .n_dashes = pen->n_dashes,
                         .square = pen->square};
    memcpy(item.dash_mm, pen->dash_mm, sizeof item.dash_mm);
    return item;
}

void drawing_line(earshot_drawing *drawing, const drawing_pen *pen, const earshot_dot *points,
                  size_t n_points, bool closed) {
    earshot_item item = item_of(EARSHOT_LINE, pen);
    item.n_points = n_points;
    item.closed = closed;
    if (n_points > 1)
        add(drawing, &item, points, SIZE_MAX);
}

void drawing_segment(earshot_drawing *drawing, const drawing_pen *pen, earshot_dot a,
                     earshot_dot b) {
    drawing_line(drawing, pen, (const earshot_dot[]){a, b}, 2, false);
}

void drawing_area(earshot_drawing *drawing, const char *what, double gray,
                  const earshot_dot *points, size_t n_points) {
    const earshot_item item = {
        .kind = EARSHOT_AREA, .what = what, .gray = gray, .n_points = n_points};
    if (n_points > 2)
        add(drawing, &item, points, SIZE_MAX);
}

void drawing_box(earshot_drawing *drawing, const char *what, double gray, earshot_dot corner,
                 double width_mm, double height_mm) {
    const earshot_dot points[4] = {corner,
                                   {corner.x_mm + width_mm, corner.y_mm},
                                   {corner.x_mm + width_mm, corner.y_mm + height_mm},
                                   {corner.x_mm, corner.y_mm + height_mm}};
    drawing_area(drawing, what, gray, points, 4);
}

void drawing_arc(earshot_drawing *drawing, const drawing_pen *pen, earshot_dot at,
                 double radius_mm, double from_deg, double sweep_deg, bool filled) {
    earshot_item item = item_of(EARSHOT_ARC, pen);
    item.at = at;
    item.radius_mm = radius_mm;
    item.from_deg = from_deg;
    item.sweep_deg = sweep_deg;
    item.filled = filled;
    add(drawing, &item, NULL, SIZE_MAX);
}

void drawing_words(earshot_drawing *drawing, const drawing_letters *letters, earshot_dot at,
                   const char *words) {
    drawing_words_in(drawing, letters, at, 1e9, words);
}

/* Bytes of the first `n` code points. */
static size_t bytes_of(const char *words, size_t n) {
    size_t at = 0;
    while (words[at] && (n > 0 || ((unsigned char)words[at] & 0xC0) == 0x80))
        n -= ((unsigned char)words[at++] & 0xC0) != 0x80;
    return at;
}

void drawing_words_in(earshot_drawing *drawing, const drawing_letters *letters, earshot_dot at,
                      double width_mm, const char *words) {
    const earshot_item item = {.kind = EARSHOT_WORDS,
                               .what = letters->what,
                               .gray = letters->gray,
                               .at = at,
                               .size_mm = letters->size_mm,
                               .turn_deg = letters->turn_deg,
                               .anchor = letters->anchor,
                               .bold = letters->bold};
    size_t length = strlen(words), kept;
    if (!length)
        return;
    if (drawing_width_mm(words, letters->size_mm) > width_mm) {
        double fits = width_mm / (letters->size_mm * letter_width) - 1;
        length = bytes_of(words, fits > 1 ? (size_t)fits : 1);
        kept = keep_words(drawing, words, length);
        if (kept != SIZE_MAX)
            drawing->n_letters--; /* the dots come in place of its end */
        keep_words(drawing, "\xE2\x80\xA6", 3);
    } else {
        kept = keep_words(drawing, words, length);
    }
    add(drawing, &item, NULL, kept);
}

void drawing_title(earshot_drawing *drawing, const char *title) {
    size_t at = keep_words(drawing, title, strlen(title));
    if (at != SIZE_MAX && drawing->n_items)
        drawing->items[drawing->n_items - 1].title = at;
}

void drawing_layer(earshot_drawing *drawing, const char *layer) {
    size_t at = keep_words(drawing, layer, strlen(layer));
    if (at != SIZE_MAX && drawing->n_items)
        drawing->items[drawing->n_items - 1].layer = at;
}

void drawing_panel(earshot_drawing *drawing, const char *title, double top_mm,
                   double bottom_mm) {
    size_t at = keep_words(drawing, title, strlen(title));
    if (grow(drawing, &drawing->panels, &drawing->panel_room, drawing->n_panels, 1,
             sizeof *drawing->panels))
        drawing->panels[drawing->n_panels++] = (struct panel){at, top_mm, bottom_mm - top_mm};
}

double drawing_width_mm(const char *words, double size_mm) {
    return letter_width * size_mm * (double)text_utf8_count(words, strlen(words));
}

/* ---- reading ---- */

earshot_dot earshot_drawing_size(const earshot_drawing *drawing) {
    return drawing->size;
}

size_t earshot_drawing_items(const earshot_drawing *drawing) {
    return drawing->n_items;
}

earshot_item earshot_drawing_item(const earshot_drawing *drawing, size_t i) {
    const struct item *item = &drawing->items[i];
    earshot_item of = item->of;
    of.points = of.n_points ? drawing->points + item->first_point : NULL;
    of.words = item->words == SIZE_MAX ? NULL : drawing->letters + item->words;
    of.title = item->title == SIZE_MAX ? NULL : drawing->letters + item->title;
    of.layer = item->layer == SIZE_MAX ? NULL : drawing->letters + item->layer;
    return of;
}

size_t earshot_drawing_panels(const earshot_drawing *drawing) {
    return drawing->n_panels;
}

earshot_panel earshot_drawing_panel(const earshot_drawing *drawing, size_t i) {
    const struct panel *panel = &drawing->panels[i];
    return (earshot_panel){drawing->letters + panel->title, panel->top_mm, panel->height_mm};
}
