/* SPDX-License-Identifier: GPL-3.0-or-later */
/* csv.c - CSV syntax (RFC 4180), safe to open in a spreadsheet: a text that begins like a
 * formula gets an apostrophe before it, which spreadsheets take as "this is text".
 */
#include <math.h>
#include <string.h>

#include "write.h"

static void end(earshot_text *out, bool last) {
    text_add(out, last ? "\n" : ",");
}

void report_cell(earshot_text *out, const char *value, bool last) {
    if (value[0] && strchr("=+-@\t\r", value[0])) {
        text_add(out, "\"'");
        text_add_doubled(out, value);
        text_add(out, "\"");
    } else {
        text_add_cell(out, value);
    }
    end(out, last);
}

void report_cell_number(earshot_text *out, double value, bool last) {
    if (!isnan(value))
        text_add_number(out, value);
    end(out, last);
}
