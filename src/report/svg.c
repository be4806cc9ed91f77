/* SPDX-License-Identifier: GPL-3.0-or-later */
/* svg.c - a drawing as SVG 1.1, in millimeters of paper. Text stays text.
 *
 * Items of one look that follow each other are one group or one path, so that a plan of
 * thousands of strokes stays small.
 */
#include <math.h>
#include <string.h>

#include "write.h"

static void number(earshot_text *out, double value, double parts) {
    char digits[TEXT_NUMBER_SIZE];
    double whole = value < 0 ? -floor(-value * parts + 0.5) : floor(value * parts + 0.5);
    text_write_number(digits, whole / parts);
    text_add(out, digits);
}

/* To a hundredth, which no eye sees. */
static void mm(earshot_text *out, double value_mm) {
    number(out, value_mm, 100);
}

/* What can be traced back is finer: at 1:1000 a ten-thousandth is a tenth of a millimeter. */
static void place(earshot_text *out, earshot_dot at, bool fine) {
    number(out, at.x_mm, fine ? 1e4 : 100);
    text_add(out, " ");
    number(out, at.y_mm, fine ? 1e4 : 100);
}

static void dot(earshot_text *out, earshot_dot at) {
    place(out, at, false);
}

static void attribute(earshot_text *out, const char *name, double value) {
    text_add(out, " ");
    text_add(out, name);
    text_add(out, "=\"");
    mm(out, value);
    text_add(out, "\"");
}

static void ink(earshot_text *out, const char *name, double gray) {
    static const char digits[] = "0123456789abcdef";
    unsigned level = (unsigned)(fmin(fmax(gray, 0), 1) * 255 + 0.5);
    const char pair[3] = {digits[level / 16], digits[level % 16], '\0'};
    text_add(out, " ");
    text_add(out, name);
    text_add(out, "=\"#");
    for (int i = 0; i < 3; i++)
        text_add(out, pair);
    text_add(out, "\"");
}

/* Characters that no XML may hold, however they are written: U+FFFE and U+FFFF. */
static void words(earshot_text *out, const char *string) {
    for (const char *at; (at = strstr(string, "\xEF\xBF")) != NULL; string = at + 3) {
        char piece[256];
        while (string < at) {
            size_t n = (size_t)(at - string) < sizeof piece - 1 ? (size_t)(at - string)
                                                                : sizeof piece - 1;
            memcpy(piece, string, n);
            piece[n] = '\0';
            report_html(out, piece);
            string += n;
        }
        bool legal = (unsigned char)at[2] < 0xBE;
        const char kept[4] = {at[0], at[1], at[2], '\0'};
        text_add(out, legal ? kept : "?");
    }
    report_html(out, string);
}

/* ---- one item ---- */

static void title(earshot_text *out, const earshot_item *item) {
    if (!item->title)
        return;
    text_add(out, "<title>");
    words(out, item->title);
    text_add(out, "</title>");
}

static void end_shape(earshot_text *out, const earshot_item *item, const char *name) {
    if (!item->title) {
        text_add(out, "/>\n");
        return;
    }
    text_add(out, ">");
    title(out, item);
    text_add(out, "</");
    text_add(out, name);
    text_add(out, ">\n");
}

static void pen(earshot_text *out, const earshot_item *item) {
    text_add(out, " fill=\"none\"");
    ink(out, "stroke", item->gray);
    attribute(out, "stroke-width", item->width_mm);
    text_add(out, item->square ? " stroke-linecap=\"square\"" : "");
    if (!item->n_dashes)
        return;
    text_add(out, " stroke-dasharray=\"");
    for (size_t i = 0; i < item->n_dashes; i++) {
        text_add(out, i ? " " : "");
        mm(out, item->dash_mm[i]);
    }
    text_add(out, "\"");
}

/* A name as one word of a class. */
static void layer(earshot_text *out, const char *name) {
    for (size_t n; *name; name += n) {
        char piece[128];
        n = strcspn(name, " ");
        n = n < sizeof piece - 1 ? n : sizeof piece - 1;
        memcpy(piece, name, n);
        piece[n] = '\0';
        words(out, piece);
        if (name[n] == ' ') {
            text_add(out, "-");
            n++;
        }
    }
}

static void begin(earshot_text *out, const char *name, const earshot_item *item) {
    text_add(out, "<");
    text_add(out, name);
    text_add(out, " class=\"");
    text_add(out, item->what);
    if (item->layer) {
        text_add(out, " ");
        layer(out, item->layer);
    }
    text_add(out, "\"");
}

static void path_of(earshot_text *out, const earshot_item *item) {
    for (size_t i = 0; i < item->n_points; i++) {
        text_add(out, i == 0 ? "M" : i == 1 ? "L" : " ");
        place(out, item->points[i], item->layer != NULL);
    }
    text_add(out, item->closed || item->kind == EARSHOT_AREA ? "z" : "");
}

static earshot_dot on_arc(const earshot_item *item, double turn_deg) {
    double turn = turn_deg * 3.14159265358979323846 / 180;
    return (earshot_dot){item->at.x_mm + item->radius_mm * cos(turn),
                         item->at.y_mm + item->radius_mm * sin(turn)};
}

static void write_circle(earshot_text *out, const earshot_item *item) {
    begin(out, "circle", item);
    attribute(out, "cx", item->at.x_mm);
    attribute(out, "cy", item->at.y_mm);
    attribute(out, "r", item->radius_mm);
    if (item->filled)
        ink(out, "fill", item->gray);
    else
        pen(out, item);
    end_shape(out, item, "circle");
}

static void write_arc(earshot_text *out, const earshot_item *item) {
    if (item->sweep_deg >= 360) {
        write_circle(out, item);
        return;
    }
    begin(out, "path", item);
    text_add(out, " d=\"M");
    dot(out, on_arc(item, item->from_deg));
    text_add(out, "A");
    mm(out, item->radius_mm);
    text_add(out, " ");
    mm(out, item->radius_mm);
    text_add(out, item->sweep_deg > 180 ? " 0 1 1 " : " 0 0 1 ");
    dot(out, on_arc(item, item->from_deg + item->sweep_deg));
    text_add(out, item->filled ? "z\"" : "\"");
    if (item->filled)
        ink(out, "fill", item->gray);
    else
        pen(out, item);
    end_shape(out, item, "path");
}

static void write_words(earshot_text *out, const earshot_item *item) {
    static const char *const anchors[] = {NULL, "middle", "end"};
    begin(out, "text", item);
    attribute(out, "x", item->at.x_mm);
    attribute(out, "y", item->at.y_mm);
    attribute(out, "font-size", item->size_mm);
    ink(out, "fill", item->gray);
    if (anchors[item->anchor]) {
        text_add(out, " text-anchor=\"");
        text_add(out, anchors[item->anchor]);
        text_add(out, "\"");
    }
    text_add(out, item->bold ? " font-weight=\"bold\"" : "");
    if (item->turn_deg != 0) {
        text_add(out, " transform=\"rotate(");
        mm(out, item->turn_deg);
        text_add(out, " ");
        dot(out, item->at);
        text_add(out, ")\"");
    }
    text_add(out, ">");
    title(out, item);
    words(out, item->words);
    text_add(out, "</text>\n");
}

/* ---- lines and areas, several in one path ---- */

static bool is_path(const earshot_item *item) {
    return item->kind == EARSHOT_LINE || item->kind == EARSHOT_AREA;
}

static bool same_layer(const earshot_item *a, const earshot_item *b) {
    return a->layer && b->layer ? strcmp(a->layer, b->layer) == 0 : a->layer == b->layer;
}

/* Whether the second can go on in the path of the first. Areas that overlap may not: their
 * common part would count twice. */
static bool goes_on(const earshot_item *first, const earshot_item *next) {
    return first->kind == EARSHOT_LINE && next->kind == EARSHOT_LINE && !first->title &&
           !next->title && strcmp(first->what, next->what) == 0 && first->gray == next->gray &&
           first->width_mm == next->width_mm && first->square == next->square &&
           same_layer(first, next) && first->n_dashes == next->n_dashes &&
           memcmp(first->dash_mm, next->dash_mm, sizeof first->dash_mm) == 0;
}

static size_t write_path(const earshot_drawing *drawing, size_t at, earshot_text *out) {
    const earshot_item first = earshot_drawing_item(drawing, at);
    begin(out, "path", &first);
    text_add(out, " d=\"");
    path_of(out, &first);
    for (at++; at < earshot_drawing_items(drawing); at++) {
        const earshot_item next = earshot_drawing_item(drawing, at);
        if (!goes_on(&first, &next))
            break;
        path_of(out, &next);
    }
    text_add(out, "\"");
    if (first.kind == EARSHOT_LINE)
        pen(out, &first);
    else
        ink(out, "fill", first.gray);
    end_shape(out, &first, "path");
    return at;
}

/* ---- the whole ---- */

static void write_element(const earshot_drawing *drawing, earshot_text *out) {
    const earshot_dot size = earshot_drawing_size(drawing);
    text_add(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"");
    mm(out, size.x_mm);
    text_add(out, "mm\" height=\"");
    mm(out, size.y_mm);
    text_add(out, "mm\" viewBox=\"0 0 ");
    dot(out, size);
    text_add(out, "\" font-family=\"sans-serif\" stroke-linejoin=\"round\">\n");
    text_add(out, "<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n");
    for (size_t i = 0; i < earshot_drawing_items(drawing);) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (is_path(&item)) {
            i = write_path(drawing, i, out);
            continue;
        }
        (item.kind == EARSHOT_ARC ? write_arc : write_words)(out, &item);
        i++;
    }
    text_add(out, "</svg>\n");
}

enum earshot_status earshot_drawing_write(const earshot_drawing *drawing,
                                          enum earshot_form form, earshot_text *out) {
    if (!drawing || !out || (form != EARSHOT_SVG && form != EARSHOT_HTML))
        return EARSHOT_MISUSE;
    if (form == EARSHOT_SVG)
        text_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                      "<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" "
                      "\"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\">\n");
    write_element(drawing, out);
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
