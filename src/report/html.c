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

void report_html_bytes(earshot_text *out, const char *bytes, size_t n_bytes) {
    size_t plain = 0;
    for (size_t i = 0; i < n_bytes; i++) {
        const char *letter = entity(bytes[i]);
        if (!letter)
            continue;
        text_add_bytes_in_line(out, bytes + plain, i - plain);
        text_add(out, letter);
        plain = i + 1;
    }
    text_add_bytes_in_line(out, bytes + plain, n_bytes - plain);
}

void report_html(earshot_text *out, const char *string) {
    report_html_bytes(out, string, strlen(string));
}
