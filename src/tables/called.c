/* SPDX-License-Identifier: GPL-3.0-or-later */
/* called.c - which column of a meter's log is meant by a name that somebody copied from it.
 */
#include <string.h>

#include "tables.h"
#include "text.h"

static bool is_plain(char c) {
    char lower = text_lower(c);
    return (lower >= 'a' && lower <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 0x80;
}

static const char *next_plain(const char *text) {
    while (*text && !is_plain(*text)) {
        text++;
    }
    return text;
}

bool tables_same_name(const char *a, const char *b) {
    const char *left = next_plain(a), *right = next_plain(b);
    if (!*left || !*right) {
        return strcmp(a, b) == 0;
    }
    while (*left && text_lower(*left) == text_lower(*right)) {
        left = next_plain(left + 1);
        right = next_plain(right + 1);
    }
    return !*left && !*right;
}

void tables_letters(size_t column, char out[TABLES_LETTERS_SIZE]) {
    size_t length = 0;
    if (column >= 26) {
        out[length++] = (char)('A' + column / 26 - 1);
    }
    out[length++] = (char)('A' + column % 26);
    out[length] = '\0';
}

/* "column F": the number of a column by the letters above it in a spreadsheet. */
static size_t by_letters(const char *name, size_t n) {
    char wanted[sizeof "column " + TABLES_LETTERS_SIZE] = "column ";
    for (size_t i = 0; i < n; i++) {
        tables_letters(i, wanted + sizeof "column " - 1);
        if (tables_same_name(wanted, name)) {
            return i;
        }
    }
    return n;
}

size_t tables_column_called(const tables_cell *header, size_t n, const char *name,
                            size_t *again) {
    size_t found = n;
    *again = n;
    for (int exact = 1; exact >= 0 && found == n; exact--) {
        for (size_t i = 0; i < n && *again == n; i++) {
            if (!(exact ? strcmp(header[i].text, name) == 0
                        : tables_same_name(header[i].text, name))) {
                continue;
            }
            *(found == n ? &found : again) = i;
        }
    }
    return found < n ? found : by_letters(name, n);
}
