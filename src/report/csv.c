/* SPDX-License-Identifier: GPL-3.0-or-later */
/* csv.c - rows of CSV (RFC 4180), cell by cell, safe to open in a spreadsheet.
 */
#include <math.h>

#include "write.h"

static void end(earshot_text *out, bool last) {
    text_add(out, last ? "\n" : ",");
}

void report_cell(earshot_text *out, const char *value, bool last) {
    text_add_safe_cell(out, value);
    end(out, last);
}

void report_cell_number(earshot_text *out, double value, bool last) {
    if (!isnan(value))
        text_add_number(out, value);
    end(out, last);
}
