/* SPDX-License-Identifier: GPL-3.0-or-later */
/* paint.c - a drawing as PDF or PNG, by cairo, which is not needed for a build: without it
 * unpainted.c stands here.
 *
 * In PDF each panel is a page, as large as it is. Text stays text there; a date is left out, so
 * that the same drawing gives the same bytes.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <cairo-pdf.h>
#include <cairo.h>

#include "cli.h"

static const double points_per_mm = 72 / 25.4, dots_per_mm = 6, margin_mm = 8;
static const double degree = 3.14159265358979323846 / 180;

/* ---- items ---- */

static void ink(cairo_t *cairo, const earshot_item *item) {
    cairo_set_source_rgb(cairo, item->gray, item->gray, item->gray);
    cairo_set_line_width(cairo, item->width_mm);
    cairo_set_line_cap(cairo, item->square ? CAIRO_LINE_CAP_SQUARE : CAIRO_LINE_CAP_BUTT);
    cairo_set_dash(cairo, item->dash_mm, (int)item->n_dashes, 0);
}

static void paint_points(cairo_t *cairo, const earshot_item *item) {
    for (size_t i = 0; i < item->n_points; i++)
        cairo_line_to(cairo, item->points[i].x_mm, item->points[i].y_mm);
    if (item->closed || item->kind == EARSHOT_AREA)
        cairo_close_path(cairo);
    if (item->kind == EARSHOT_AREA)
        cairo_fill(cairo);
    else
        cairo_stroke(cairo);
}

static void paint_arc(cairo_t *cairo, const earshot_item *item) {
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, item->at.x_mm, item->at.y_mm, item->radius_mm, item->from_deg * degree,
              (item->from_deg + item->sweep_deg) * degree);
    if (item->filled)
        cairo_fill(cairo);
    else
        cairo_stroke(cairo);
}

static void paint_words(cairo_t *cairo, const earshot_item *item) {
    static const double before[] = {0, 0.5, 1}; /* of its width, by anchor */
    cairo_text_extents_t extents;
    cairo_select_font_face(cairo, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                           item->bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cairo, item->size_mm);
    cairo_text_extents(cairo, item->words, &extents);
    cairo_save(cairo);
    cairo_translate(cairo, item->at.x_mm, item->at.y_mm);
    cairo_rotate(cairo, item->turn_deg * degree);
    cairo_move_to(cairo, -before[item->anchor] * extents.x_advance, 0);
    cairo_show_text(cairo, item->words);
    cairo_restore(cairo);
}

static double top_of(const earshot_item *item) {
    return item->n_points ? item->points[0].y_mm : item->at.y_mm;
}

/* What begins between two heights of the page. */
static void paint_items(cairo_t *cairo, const earshot_drawing *drawing, double from_mm,
                        double to_mm) {
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    for (size_t i = 0; i < earshot_drawing_items(drawing); i++) {
        const earshot_item item = earshot_drawing_item(drawing, i);
        if (top_of(&item) < from_mm || top_of(&item) >= to_mm)
            continue;
        cairo_new_path(cairo); /* words leave a point behind */
        ink(cairo, &item);
        if (item.kind == EARSHOT_ARC)
            paint_arc(cairo, &item);
        else if (item.kind == EARSHOT_WORDS)
            paint_words(cairo, &item);
        else
            paint_points(cairo, &item);
    }
}

/* ---- bytes ---- */

static cairo_status_t keep(void *who, const unsigned char *data, unsigned n) {
    cli_painted *out = who;
    char *more = realloc(out->data, out->size + n + 1);
    if (!more)
        return CAIRO_STATUS_NO_MEMORY;
    memcpy(more + out->size, data, n);
    out->data = more;
    out->size += n;
    return CAIRO_STATUS_SUCCESS;
}

static void paint_pages(cairo_surface_t *surface, cairo_t *cairo,
                        const earshot_drawing *drawing) {
    const earshot_dot size = earshot_drawing_size(drawing);
    size_t n = earshot_drawing_panels(drawing);
    double from_mm = 0;
    for (size_t i = 0; i < n; i++) {
        const earshot_panel panel = earshot_drawing_panel(drawing, i);
        double to_mm = i + 1 < n ? panel.top_mm + panel.height_mm : size.y_mm + 1;
        cairo_pdf_surface_set_size(surface, (size.x_mm + 2 * margin_mm) * points_per_mm,
                                   (to_mm - from_mm + 2 * margin_mm) * points_per_mm);
        cairo_identity_matrix(cairo);
        cairo_scale(cairo, points_per_mm, points_per_mm);
        cairo_translate(cairo, margin_mm, margin_mm - from_mm);
        paint_items(cairo, drawing, from_mm, to_mm);
        cairo_show_page(cairo);
        from_mm = to_mm;
    }
}

static bool paint_pdf(const earshot_drawing *drawing, cli_painted *out) {
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(keep, out, 1, 1);
    cairo_t *cairo = cairo_create(surface);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
    paint_pages(surface, cairo, drawing);
    bool good = cairo_status(cairo) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    good = good && cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS;
    cairo_surface_destroy(surface);
    return good;
}

static bool paint_png(const earshot_drawing *drawing, cli_painted *out) {
    const earshot_dot size = earshot_drawing_size(drawing);
    cairo_surface_t *surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(size.x_mm * dots_per_mm),
                                   (int)ceil(size.y_mm * dots_per_mm));
    cairo_t *cairo = cairo_create(surface);
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    cairo_scale(cairo, dots_per_mm, dots_per_mm);
    paint_items(cairo, drawing, -INFINITY, INFINITY);
    bool good = cairo_status(cairo) == CAIRO_STATUS_SUCCESS &&
                cairo_surface_write_to_png_stream(surface, keep, out) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    return good;
}

bool cli_can_paint(void) {
    return true;
}

bool cli_paint(const earshot_drawing *drawing, bool pdf, cli_painted *out) {
    cli_painted painted = {0};
    if (!(pdf ? paint_pdf : paint_png)(drawing, &painted)) {
        free(painted.data);
        return false;
    }
    *out = painted;
    return true;
}
