/* SPDX-License-Identifier: GPL-3.0-or-later */
/* base64.c - bytes as letters that any program leaves alone, and back [RFC 4648] section 4; and
 * a sum by which damage on the way shows: the CRC-32 of [RFC 1952] section 8.
 */
#include "base64.h"

static const char alphabet[] =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
enum { LINE = 76 }; /* letters; some mail programs break longer lines */

static uint32_t byte_at(const unsigned char *bytes, size_t size, size_t at) {
    return at < size ? bytes[at] : 0;
}

void base64_write(earshot_text *out, const void *data, size_t size) {
    const unsigned char *bytes = data;
    for (size_t at = 0; at < size; at += 3) {
        uint32_t group = byte_at(bytes, size, at) << 16 | byte_at(bytes, size, at + 1) << 8 |
                         byte_at(bytes, size, at + 2);
        char letters[4] = {alphabet[group >> 18], alphabet[group >> 12 & 63],
                           at + 1 < size ? alphabet[group >> 6 & 63] : '=',
                           at + 2 < size ? alphabet[group & 63] : '='};
        text_add_bytes(out, letters, sizeof letters);
        if ((at / 3 + 1) % (LINE / 4) == 0 && at + 3 < size)
            text_add(out, "\n");
    }
}

/* The six bits of a letter; 64 for '=', 65 for a blank, 66 for what has no place here. */
static unsigned bits_of(char letter) {
    if (letter >= 'A' && letter <= 'Z')
        return (unsigned)(letter - 'A');
    if (letter >= 'a' && letter <= 'z')
        return (unsigned)(letter - 'a') + 26;
    if (letter >= '0' && letter <= '9')
        return (unsigned)(letter - '0') + 52;
    switch (letter) {
    case '+':
        return 62;
    case '/':
        return 63;
    case '=':
        return 64;
    case ' ':
    case '\t':
    case '\r':
    case '\n':
        return 65;
    default:
        return 66;
    }
}

/* Whole groups of four; in the last, '=' for one or two letters at its end. */
bool base64_read(const char *text, size_t length, unsigned char *out, size_t *size) {
    uint32_t group = 0;
    size_t n_letters = 0, n_pads = 0, n = 0;
    for (size_t i = 0; i < length; i++) {
        unsigned bits = bits_of(text[i]);
        if (bits == 65)
            continue;
        if (bits == 66 || (n_pads && (bits != 64 || n_letters % 4 == 0)) ||
            (bits == 64 && n_letters % 4 < 2))
            return false;
        n_pads += bits == 64;
        group = group << 6 | (bits & 63);
        if (++n_letters % 4)
            continue;
        for (size_t j = 0; j < 3 - n_pads; j++)
            out[n++] = (unsigned char)(group >> (16 - 8 * j));
    }
    *size = n;
    return n_letters % 4 == 0;
}

uint32_t base64_sum(const void *data, size_t size) {
    const unsigned char *bytes = data;
    uint32_t sum = 0xffffffff;
    for (size_t i = 0; i < size; i++) {
        sum ^= bytes[i];
        for (int bit = 0; bit < 8; bit++)
            sum = sum & 1 ? sum >> 1 ^ 0xedb88320 : sum >> 1;
    }
    return sum ^ 0xffffffff;
}
