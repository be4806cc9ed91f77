/* SPDX-License-Identifier: GPL-3.0-or-later */
/* html.c - text from outside made harmless inside HTML: as the content of an element, or
 * between the quotes of an attribute. It stays in one line.
 */
#include <string.h>

#include "write.h"

static const char *entity(char byte) {
    switch (byte) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    default:
        return NULL;
    }
}

void report_html(earshot_text *out, const char *string) {
    while (*string) {
        size_t plain = strcspn(string, "&<>\"'");
        text_add_bytes_in_line(out, string, plain);
        string += plain;
        if (*string)
            text_add(out, entity(*string++));
    }
}
