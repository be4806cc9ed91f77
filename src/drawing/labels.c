/* SPDX-License-Identifier: GPL-3.0-or-later */
/* labels.c - where words can stand: turned boxes that must not touch, held against each other
 * by their axes, and a raster of what else lies on the paper.
 */
#include <math.h>
#include <stdlib.h>

#include "labels.h"

static const double cell_mm = 0.5;
static const double degree = 3.14159265358979323846 / 180;

enum { SEVERAL = 0xFFFE }; /* in a cell: more than one thing */

struct labels {
    labels_box *boxes;
    size_t n_boxes, room;
    earshot_dot corner;
    double wide_mm, high_mm;
    size_t nx, ny;
    unsigned short *cells; /* what lies there; 0: nothing */
};

/* ---- boxes ---- */

struct axes {
    double x[2], y[2], half[2]; /* along and across */
};

static struct axes axes_of(const labels_box *box) {
    double c = cos(box->turn_deg * degree), s = sin(box->turn_deg * degree);
    return (struct axes){{c, -s}, {s, c}, {box->wide_mm / 2, box->high_mm / 2}};
}

/* How far a box reaches to either side of its middle along a direction. */
static double reach(const struct axes *of, double x, double y) {
    return of->half[0] * fabs(of->x[0] * x + of->y[0] * y) +
           of->half[1] * fabs(of->x[1] * x + of->y[1] * y);
}

static bool parted_by(const struct axes *a, const struct axes *b, double dx, double dy) {
    for (int i = 0; i < 2; i++)
        if (fabs(dx * a->x[i] + dy * a->y[i]) > a->half[i] + reach(b, a->x[i], a->y[i]))
            return true;
    return false;
}

bool labels_touch(const labels_box *a, const labels_box *b) {
    const struct axes of_a = axes_of(a), of_b = axes_of(b);
    double dx = b->middle.x_mm - a->middle.x_mm, dy = b->middle.y_mm - a->middle.y_mm;
    return !parted_by(&of_a, &of_b, dx, dy) && !parted_by(&of_b, &of_a, dx, dy);
}

/* ---- what is there ---- */

labels *labels_new(earshot_dot corner, double wide_mm, double high_mm) {
    labels *of = calloc(1, sizeof *of);
    if (!of)
        return NULL;
    of->corner = corner;
    of->wide_mm = wide_mm;
    of->high_mm = high_mm;
    of->nx = (size_t)(wide_mm / cell_mm) + 1;
    of->ny = (size_t)(high_mm / cell_mm) + 1;
    of->cells = calloc(of->nx * of->ny, sizeof *of->cells);
    if (of->cells)
        return of;
    free(of);
    return NULL;
}

void labels_free(labels *of) {
    if (!of)
        return;
    free(of->boxes);
    free(of->cells);
    free(of);
}

bool labels_take(labels *of, const labels_box *box) {
    if (of->n_boxes == of->room) {
        size_t room = 2 * of->room + 64;
        labels_box *boxes = realloc(of->boxes, room * sizeof *boxes);
        if (!boxes)
            return false;
        of->boxes = boxes;
        of->room = room;
    }
    of->boxes[of->n_boxes++] = *box;
    return true;
}

/* The cell of a place; NULL outside the frame. */
static unsigned short *cell_at(const labels *of, double x_mm, double y_mm) {
    double column = floor((x_mm - of->corner.x_mm) / cell_mm);
    double row = floor((y_mm - of->corner.y_mm) / cell_mm);
    if (!(column >= 0 && row >= 0 && column < (double)of->nx && row < (double)of->ny))
        return NULL;
    return &of->cells[(size_t)row * of->nx + (size_t)column];
}

void labels_shade(labels *of, earshot_dot a, earshot_dot b, double width_mm,
                  unsigned short what) {
    double length_mm = hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    size_t n = (size_t)(length_mm / cell_mm) + 2;
    int n_across = (int)(width_mm / cell_mm) + 1;
    double dx = length_mm > 0 ? (b.x_mm - a.x_mm) / length_mm : 1;
    double dy = length_mm > 0 ? (b.y_mm - a.y_mm) / length_mm : 0;
    for (size_t i = 0; i < n; i++)
        for (int j = 0; j < n_across; j++) {
            double along_mm = length_mm * (double)i / (double)(n - 1);
            double off_mm = n_across > 1 ? width_mm * (j / (double)(n_across - 1) - 0.5) : 0;
            unsigned short *cell = cell_at(of, a.x_mm + along_mm * dx - off_mm * dy,
                                           a.y_mm + along_mm * dy + off_mm * dx);
            if (cell)
                *cell = *cell == 0 || *cell == what ? what : SEVERAL;
        }
}

static bool inside(const labels *of, const labels_box *box) {
    const struct axes axes = axes_of(box);
    double x_mm = reach(&axes, 1, 0), y_mm = reach(&axes, 0, 1);
    return box->middle.x_mm - x_mm >= of->corner.x_mm &&
           box->middle.x_mm + x_mm <= of->corner.x_mm + of->wide_mm &&
           box->middle.y_mm - y_mm >= of->corner.y_mm &&
           box->middle.y_mm + y_mm <= of->corner.y_mm + of->high_mm;
}

bool labels_free_at(const labels *of, const labels_box *box) {
    if (!inside(of, box))
        return false;
    for (size_t i = 0; i < of->n_boxes; i++)
        if (labels_touch(&of->boxes[i], box))
            return false;
    return true;
}

double labels_shaded(const labels *of, const labels_box *box, unsigned short what) {
    const struct axes axes = axes_of(box);
    int nx = (int)(box->wide_mm / cell_mm) + 2, ny = (int)(box->high_mm / cell_mm) + 2, n = 0;
    for (int i = 0; i < nx; i++)
        for (int j = 0; j < ny; j++) {
            double along_mm = box->wide_mm * (i / (double)(nx - 1) - 0.5);
            double off_mm = box->high_mm * (j / (double)(ny - 1) - 0.5);
            const unsigned short *cell =
                cell_at(of, box->middle.x_mm + along_mm * axes.x[0] + off_mm * axes.x[1],
                        box->middle.y_mm + along_mm * axes.y[0] + off_mm * axes.y[1]);
            n += cell && *cell && *cell != what;
        }
    return (double)n / (nx * ny);
}
