/* SPDX-License-Identifier: GPL-3.0-or-later */
/* nearest.c - which known word an unknown one was meant to be.
 *
 * The distance is the least number of single edits where no piece is edited twice (optimal
 * string alignment), found row by row over the usual table; a swap needs the row before the
 * last, so three rows are kept, on the stack. Typing slips are nearly all one such edit. Words
 * are compared byte by byte: a wrong umlaut counts two edits, which the limit leaves room for.
 */
#include <string.h>

#include "text.h"

enum { LONGEST = 64 };

/* The limit for words of which the longer has `length` bytes: a third, rounded up. */
static size_t most_edits(size_t length) {
    return (length + 2) / 3;
}

char text_lower(char letter) {
    return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter;
}

static bool same(char a, char b) {
    return text_lower(a) == text_lower(b);
}

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

/* One row of the table: edits that turn the first `i` bytes of `a` into each beginning of `b`.
 */
static void fill_row(const char *a, size_t i, const char *b, size_t b_length,
                     const size_t *two_before, const size_t *before, size_t *row) {
    row[0] = i;
    for (size_t j = 1; j <= b_length; j++) {
        size_t replace = before[j - 1] + !same(a[i - 1], b[j - 1]);
        row[j] = least(replace, least(before[j], row[j - 1]) + 1);
        if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1])) {
            row[j] = least(row[j], two_before[j - 2] + 1);
        }
    }
}

static size_t edits(const char *a, size_t a_length, const char *b, size_t b_length) {
    size_t rows[3][LONGEST + 1];
    for (size_t j = 0; j <= b_length; j++) {
        rows[0][j] = j;
    }
    for (size_t i = 1; i <= a_length; i++) {
        fill_row(a, i, b, b_length, rows[(i + 1) % 3], rows[(i + 2) % 3], rows[i % 3]);
    }
    return rows[a_length % 3][b_length];
}

/* Edits between two words, or LONGEST + 1 when they are not near each other. */
static size_t distance(const char *a, const char *b) {
    size_t a_length = strlen(a), b_length = strlen(b);
    size_t longer = a_length > b_length ? a_length : b_length;
    size_t shorter = least(a_length, b_length);
    if (longer > LONGEST || longer - shorter > most_edits(longer)) {
        return LONGEST + 1;
    }
    size_t n = edits(a, a_length, b, b_length);
    return n <= most_edits(longer) ? n : LONGEST + 1;
}

size_t text_nearest(const char *word, const char *const *known, size_t n_known, size_t *found,
                    size_t capacity) {
    size_t n_found = 0;
    for (size_t i = 0; i < n_known; i++) {
        size_t near = distance(word, known[i]);
        if (near > LONGEST) {
            continue;
        }
        /* Near words are few: measuring them again is cheaper than room for their distances. */
        size_t at = n_found;
        while (at > 0 && distance(word, known[found[at - 1]]) > near) {
            at--;
        }
        if (at == capacity) {
            continue;
        }
        n_found = least(n_found + 1, capacity);
        memmove(found + at + 1, found + at, (n_found - 1 - at) * sizeof *found);
        found[at] = i;
    }
    /* When one word is nearly right, words much further off are noise. */
    while (n_found > 1 &&
           distance(word, known[found[n_found - 1]]) > distance(word, known[found[0]]) + 1) {
        n_found--;
    }
    return n_found;
}
