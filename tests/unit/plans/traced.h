/* SPDX-License-Identifier: GPL-3.0-or-later */
/* traced.h - a plan in the test's own text, read; and what was found, as lines.
 */
#ifndef UNIT_PLANS_TRACED_H
#define UNIT_PLANS_TRACED_H

#include "earshot/plans.h"

typedef struct traced {
    enum earshot_status status;
    char *walls;    /* walls.csv without its header */
    char *findings; /* "line:column code" each, with a blank between */
} traced;

/* Reads `plan` of `size` bytes under `name`. */
traced traced_bytes(const char *name, const void *plan, size_t size,
                    const earshot_walls_task *task);
/* The same of a string, with the scale that one unit is a meter, and brick. */
traced traced_text(const char *name, const char *plan);
void traced_free(traced *traced);

/* `n` times one text, between two others. To be freed. */
char *traced_repeat(const char *before, const char *text, size_t n, const char *behind);

/* One unit is a meter, and 0,0 is where it is. */
extern const earshot_scale traced_scale;

#endif
