/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_utf8.c - UTF-8 as RFC 3629 (November 2003) defines it. */
#include <criterion/criterion.h>
#include <string.h>

#include "text.h"

Test(utf8, examples_of_the_standard) {
    static const struct {
        const char *text;
        size_t valid, count;
        const char *source;
    } rows[] = {
        {"A\xE2\x89\xA2\xCE\x91.", 7, 4, "RFC 3629 sec. 7, A<NOT IDENTICAL TO><ALPHA>."},
        {"\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4", 9, 3, "RFC 3629 sec. 7, Korean hangugeo"},
        {"\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E", 9, 3, "RFC 3629 sec. 7, Japanese nihongo"},
        {"\xEF\xBB\xBF\xF0\xA3\x8E\xB4", 7, 2, "RFC 3629 sec. 7, U+233B4 after a BOM"},
        {"\xC0\x80", 0, 0, "RFC 3629 sec. 3, overlong zero"},
        {"\xED\xA1\x8C\xED\xBE\xB4", 0, 0, "RFC 3629 sec. 3, surrogate pair"},
        {"/\xC0\xAE./", 1, 1, "RFC 3629 sec. 10, overlong dot"},
        {"a\xC1\xBF", 1, 1, "RFC 3629 sec. 4, C1 never appears"},
        {"\xE0\x9F\xBF", 0, 0, "RFC 3629 sec. 4, UTF8-3: E0 is followed by A0-BF"},
        {"\xE0\xA0\x80", 3, 1, "RFC 3629 sec. 4, UTF8-3"},
        {"\xED\x9F\xBF", 3, 1, "RFC 3629 sec. 4, UTF8-3: ED is followed by 80-9F"},
        {"\xF0\x8F\xBF\xBF", 0, 0, "RFC 3629 sec. 4, UTF8-4: F0 is followed by 90-BF"},
        {"\xF0\x90\x80\x80", 4, 1, "RFC 3629 sec. 4, UTF8-4"},
        {"\xF4\x8F\xBF\xBF", 4, 1, "RFC 3629 sec. 3, U+10FFFF is the last"},
        {"\xF4\x90\x80\x80", 0, 0, "RFC 3629 sec. 4, UTF8-4: F4 is followed by 80-8F"},
        {"\xF5\x80\x80\x80", 0, 0, "RFC 3629 sec. 4, F5 to FF never appear"},
        {"\xFF\xFE", 0, 0, "RFC 3629 sec. 4; the mark of little-endian UTF-16"},
        {"ok\x80", 2, 2, "RFC 3629 sec. 4, a tail without a head"},
        {"ok\xE2\x89", 2, 2, "RFC 3629 sec. 4, a head without its tail"},
        {"\xE2\x89/", 0, 0, "RFC 3629 sec. 4, UTF8-3: a third byte that is no tail"},
        {"\xF0\x90/\x80", 0, 0, "RFC 3629 sec. 4, UTF8-4: a third byte that is no tail"},
        {"\xF0\x90\x80/", 0, 0, "RFC 3629 sec. 4, UTF8-4: a fourth byte that is no tail"},
        {"gr\xFCn", 2, 2, "ISO 8859-1, as old spreadsheets save it"},
        {"", 0, 0, "RFC 3629 sec. 4, *( UTF8-char )"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t valid = text_utf8_valid(rows[i].text, strlen(rows[i].text));
        cr_expect_eq(valid, rows[i].valid, "%s: %zu", rows[i].source, valid);
        cr_expect_eq(text_utf8_count(rows[i].text, valid), rows[i].count, "%s", rows[i].source);
    }
    cr_expect_eq(text_utf8_valid("a\0b", 3), 3); /* U+0000 is a character */
}

/* RFC 3629 sec. 3, the table of bit patterns, read from right to left. */
static size_t encode(unsigned code, unsigned char out[4]) {
    static const struct {
        unsigned below;
        size_t length;
        unsigned char mark;
    } ranges[] = {{0x80, 1, 0x00}, {0x800, 2, 0xC0}, {0x10000, 3, 0xE0}, {0x110000, 4, 0xF0}};
    size_t r = 0;
    while (code >= ranges[r].below) {
        r++;
    }
    for (size_t i = ranges[r].length; i-- > 1; code >>= 6) {
        out[i] = (unsigned char)(0x80 | (code & 0x3F));
    }
    out[0] = (unsigned char)(ranges[r].mark | code);
    return ranges[r].length;
}

Test(utf8, every_character_but_the_surrogates) {
    for (unsigned code = 0; code <= 0x10FFFF; code++) {
        unsigned char bytes[4];
        size_t length = encode(code, bytes);
        bool surrogate = code >= 0xD800 && code <= 0xDFFF;
        size_t valid = text_utf8_valid((char *)bytes, length);
        cr_assert_eq(valid, surrogate ? 0 : length, "U+%04X", code);
        cr_assert_eq(text_utf8_count((char *)bytes, length), 1, "U+%04X", code);
        cr_assert(length == 1 || text_utf8_valid((char *)bytes, length - 1) == 0, "U+%04X",
                  code);
    }
}

/* Of all strings of three bytes, those are valid that are made of 1 + 1 + 1, 1 + 2, 2 + 1 or 3
 * bytes. RFC 3629 sec. 3: 0x80 characters have one byte, 0x800 - 0x80 two, 0x10000 - 0x800
 * three, less the 0x800 surrogates. */
Test(utf8, nothing_but_the_characters) {
    unsigned long n_valid = 0;
    for (unsigned code = 0; code < 1u << 24; code++) {
        const unsigned char bytes[3] = {(unsigned char)(code >> 16), (unsigned char)(code >> 8),
                                        (unsigned char)code};
        n_valid += text_utf8_valid((const char *)bytes, 3) == 3;
    }
    unsigned long one = 0x80, two = 0x800 - 0x80, three = 0x10000 - 0x800 - 0x800;
    cr_expect_eq(n_valid, one * one * one + 2 * one * two + three);
}

/* Unicode 15, chapter 23.1: the control characters are U+0000 to U+001F, U+007F to U+009F. */
Test(utf8, every_control_character) {
    for (unsigned code = 0; code <= 0x10FFFF; code++) {
        unsigned char bytes[4];
        size_t length = encode(code, bytes), blanks = 0;
        if (code >= 0xD800 && code <= 0xDFFF) {
            continue;
        }
        bool control = code < 0x20 || (code >= 0x7F && code < 0xA0);
        cr_assert_eq(text_line_valid((char *)bytes, length), control ? 0 : length, "U+%04X",
                     code);
        text_make_line((char *)bytes, length);
        for (size_t i = 0; i < length; i++) {
            blanks += bytes[i] == ' ';
        }
        cr_assert_eq(blanks, control || code == ' ' ? length : 0, "U+%04X", code);
    }
}

Test(utf8, lines) {
    static const struct {
        const char *text, *line;
        size_t valid;
    } rows[] = {
        {"", "", 0},
        {"front door", "front door", 10},
        {"gr\xC3\xBCn", "gr\xC3\xBCn", 5},
        {"two\r\nlines", "two  lines", 3},
        {"\x1B[2J\x07", " [2J ", 0},
        {"a\xC2\x9B"
         "b",
         "a  b", 1}, /* U+009B, which some terminals take for ESC [ */
        {"gr\xFCn", "gr?n", 2},
        {"ok\xE2\x89", "ok\?\?", 2},
        {"\xC2", "?", 0},
        {"\xFF\xFE\n\x80", "\?\? ?", 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[20];
        size_t length = strlen(rows[i].text);
        memcpy(text, rows[i].text, length + 1);
        cr_expect_eq(text_line_valid(text, length), rows[i].valid, "row %zu", i);
        text_make_line(text, length);
        cr_expect_str_eq(text, rows[i].line);
        cr_expect_eq(text_line_valid(text, length), length, "row %zu", i);
    }
}
