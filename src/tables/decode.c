/* SPDX-License-Identifier: GPL-3.0-or-later */
/* decode.c - a log in the encoding of some meter, as UTF-8.
 *
 * A table of a survey that is not UTF-8 is refused, since its author can save it anew. A log is
 * to be taken as the meter wrote it, which is seldom UTF-8 where a label has an umlaut.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "decode.h"
#include "kind.h"
#include "text.h"

/* A code point as UTF-8; returns its length. */
static size_t put(char *out, uint32_t point) {
    if (point < 0x80) {
        out[0] = (char)point;
        return 1;
    }
    size_t length = point < 0x800 ? 2 : point < 0x10000 ? 3 : 4;
    for (size_t i = length - 1; i > 0; i--) {
        out[i] = (char)(0x80 | (point & 0x3F));
        point >>= 6;
    }
    static const unsigned char first[] = {0, 0, 0xC0, 0xE0, 0xF0};
    out[0] = (char)(first[length] | point);
    return length;
}

/* Half a pair, and a byte too many, become question marks. */
static size_t from_utf16(const unsigned char *bytes, size_t size, char *out) {
    bool big = bytes[0] == 0xFE;
    size_t length = 0;
    uint32_t high = 0;
    for (size_t i = 2; i < size; i += 2) {
        uint32_t unit = i + 1 == size ? '?'
                        : big         ? (uint32_t)bytes[i] << 8 | bytes[i + 1]
                                      : (uint32_t)bytes[i + 1] << 8 | bytes[i];
        bool low = unit >= 0xDC00 && unit < 0xE000;
        if (high && !low) {
            out[length++] = '?';
        }
        if (low) {
            unit = high ? 0x10000 + ((high - 0xD800) << 10) + (unit - 0xDC00) : '?';
        }
        high = unit >= 0xD800 && unit < 0xDC00 ? unit : 0;
        if (!high) {
            length += put(out + length, unit);
        }
    }
    if (high) {
        out[length++] = '?';
    }
    return length;
}

static size_t from_code_page(const unsigned char *bytes, size_t size, char *out) {
    size_t length = 0;
    for (size_t i = 0; i < size; i++) {
        char letter[KIND_LETTER_SIZE];
        kind_windows_letter(bytes[i], letter);
        size_t n = strlen(letter);
        memcpy(out + length, n ? letter : "?", n ? n : 1);
        length += n ? n : 1;
    }
    return length;
}

static bool is_code_page(const unsigned char *bytes, size_t size) {
    char letter[KIND_LETTER_SIZE] = "";
    size_t end = size ? text_utf8_valid((const char *)bytes, size) : 0;
    if (end < size) {
        kind_code_page_letter(bytes, size, end, letter);
    }
    return letter[0] != '\0';
}

bool decode_log(const earshot_bytes *bytes, earshot_bytes *out, char **owned) {
    const unsigned char *from = bytes->data;
    bool marked = bytes->size >= 2 &&
                  (memcmp(from, "\xFF\xFE", 2) == 0 || memcmp(from, "\xFE\xFF", 2) == 0);
    *owned = NULL;
    *out = *bytes;
    if (!marked && !is_code_page(from, bytes->size)) {
        return true;
    }
    /* A byte makes at most 3 bytes, and two make at most 3, or 4 with those of their pair. */
    *owned = bytes->size < SIZE_MAX / 4 ? malloc(3 * bytes->size + 4) : NULL;
    if (!*owned) {
        return false;
    }
    out->data = *owned;
    out->size = marked ? from_utf16(from, bytes->size, *owned)
                       : from_code_page(from, bytes->size, *owned);
    return true;
}
