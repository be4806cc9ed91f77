/* SPDX-License-Identifier: GPL-3.0-or-later */
/* utf8.c - is it UTF-8, how many characters wide is it, and can it be shown in a line.
 *
 * [RFC 3629] UTF-8, a transformation format of ISO 10646 (November 2003). Its section 4 gives
 * the only well-formed sequences: which second bytes may follow a first byte is what rules out
 * overlong forms (C0, C1, E0 80..9F, F0 80..8F), surrogates (ED A0..BF) and all past U+10FFFF
 * (F4 90..BF, F5 and up).
 */
#include "text.h"

/* [RFC 3629] sec. 4, the rows of UTF8-2, UTF8-3 and UTF8-4. Third and fourth bytes: 80..BF. */
static const struct {
    unsigned char first_from, first_to, second_from, second_to, length;
} sequences[] = {
    {0xC2, 0xDF, 0x80, 0xBF, 2}, {0xE0, 0xE0, 0xA0, 0xBF, 3}, {0xE1, 0xEC, 0x80, 0xBF, 3},
    {0xED, 0xED, 0x80, 0x9F, 3}, {0xEE, 0xEF, 0x80, 0xBF, 3}, {0xF0, 0xF0, 0x90, 0xBF, 4},
    {0xF1, 0xF3, 0x80, 0xBF, 4}, {0xF4, 0xF4, 0x80, 0x8F, 4},
};

static bool continues(unsigned char byte) {
    return (byte & 0xC0) == 0x80;
}

/* Length of the one sequence at the beginning of `at`, or 0 when it is not well formed. */
static size_t sequence_length(const unsigned char *at, size_t n_left) {
    if (at[0] < 0x80) {
        return 1;
    }
    for (size_t i = 0; i < sizeof sequences / sizeof sequences[0]; i++) {
        if (at[0] < sequences[i].first_from || at[0] > sequences[i].first_to) {
            continue;
        }
        size_t length = sequences[i].length;
        if (length > n_left || at[1] < sequences[i].second_from ||
            at[1] > sequences[i].second_to) {
            return 0;
        }
        return length > 2 && (!continues(at[2]) || !continues(at[length - 1])) ? 0 : length;
    }
    return 0;
}

size_t text_utf8_valid(const char *text, size_t length) {
    const unsigned char *bytes = (const unsigned char *)text;
    size_t valid = 0;
    while (valid < length) {
        size_t step = sequence_length(bytes + valid, length - valid);
        if (step == 0) {
            break;
        }
        valid += step;
    }
    return valid;
}

size_t text_utf8_count(const char *text, size_t length) {
    size_t count = 0;
    for (size_t i = 0; i < length; i++) {
        count += !continues((unsigned char)text[i]);
    }
    return count;
}

/* ---- lines ---- */

/* C0, DEL, and C1, whose two bytes are C2 80 to C2 9F. */
static bool is_control(const unsigned char *at, size_t length) {
    return length == 1 ? at[0] < 0x20 || at[0] == 0x7F
                       : length == 2 && at[0] == 0xC2 && at[1] < 0xA0;
}

size_t text_line_valid(const char *text, size_t length) {
    const unsigned char *bytes = (const unsigned char *)text;
    size_t valid = 0;
    while (valid < length) {
        size_t step = sequence_length(bytes + valid, length - valid);
        if (step == 0 || is_control(bytes + valid, step)) {
            break;
        }
        valid += step;
    }
    return valid;
}

void text_make_line(char *text, size_t length) {
    size_t at = 0;
    while ((at += text_line_valid(text + at, length - at)) < length) {
        size_t step = sequence_length((unsigned char *)text + at, length - at);
        if (step == 0) {
            text[at++] = '?';
        }
        for (; step > 0; step--) {
            text[at++] = ' ';
        }
    }
}
