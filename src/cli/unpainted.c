/* SPDX-License-Identifier: GPL-3.0-or-later */
/* unpainted.c - what stands in place of paint.c where cairo was not found.
 */
#include "cli.h"

bool cli_can_paint(void) {
    return false;
}

bool cli_paint(const earshot_drawing *drawing, bool pdf, cli_painted *out) {
    (void)drawing;
    (void)pdf;
    (void)out;
    return false;
}
