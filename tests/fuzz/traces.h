/* SPDX-License-Identifier: GPL-3.0-or-later */
/* traces.h - what holds of every plan, whatever is in it. */
#ifndef FUZZ_TRACES_H
#define FUZZ_TRACES_H

#include "earshot/plans.h"

/* Reads a plan twice, and checks what comes of it: a table of walls within the reach, no name
 * twice, each of a length; or errors, and nothing. */
void traces_check(const earshot_bytes *plan, const earshot_walls_task *task);

/* Two layers of a plan and some heights, as a table. */
extern const earshot_bytes traces_layers;

#endif
