/* SPDX-License-Identifier: GPL-3.0-or-later */
/* labels.h - where words can stand without touching what is there already.
 */
#ifndef DRAWING_LABELS_H
#define DRAWING_LABELS_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/drawing.h"

/* A box on the page, turned as a clock goes. */
typedef struct labels_box {
    earshot_dot middle;
    double wide_mm, high_mm, turn_deg;
} labels_box;

bool labels_touch(const labels_box *a, const labels_box *b);

/* What is there already on one frame: boxes that nothing may touch, and lines, walls that words
 * had better not cross. */
typedef struct labels labels;

labels *labels_new(earshot_dot corner, double wide_mm, double high_mm); /* NULL: no memory */
void labels_free(labels *of);
/* Takes a box; false when memory ran out. */
bool labels_take(labels *of, const labels_box *box);
/* Something lies on the way between two places, so wide: `what` tells lines apart. */
void labels_shade(labels *of, earshot_dot a, earshot_dot b, double width_mm,
                  unsigned short what);
/* Whether the box is within the frame and touches none that was taken. */
bool labels_free_at(const labels *of, const labels_box *box);
/* How much of the box lies on something other than `what`: 0 nothing, 1 all of it. */
double labels_shaded(const labels *of, const labels_box *box, unsigned short what);

#endif
