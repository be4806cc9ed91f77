/* SPDX-License-Identifier: GPL-3.0-or-later */
/* kind.c - what a file is that is no table in UTF-8, by a look at its bytes.
 */
#include <string.h>

#include "kind.h"

/* Files that are something else under the name of a table, by their first bytes. */
static const struct {
    const char *begin, *what;
} other_files[] = {{"PK\3\4", "a workbook (.xlsx, .ods) or another zip file"},
                   {"\xD0\xCF\x11\xE0", "an old workbook (.xls)"},
                   {"%PDF-", "a PDF"},
                   {"<html", "a web page"},
                   {"<HTML", "a web page"},
                   {"<!DOCTYPE", "a web page"},
                   {"<!doctype", "a web page"},
                   {"<?xml", "an XML file"},
                   {"{\\rtf", "a text document (.rtf)"}};

const char *kind_other_file(const unsigned char *bytes, size_t size) {
    for (size_t i = 0; i < sizeof other_files / sizeof *other_files; i++) {
        size_t length = strlen(other_files[i].begin);
        if (size >= length && memcmp(bytes, other_files[i].begin, length) == 0) {
            return other_files[i].what;
        }
    }
    return NULL;
}

/* Two bytes a character: a byte order mark, or of the first characters most have a zero for the
 * same half and none for the other. */
bool kind_is_utf16(const unsigned char *bytes, size_t size) {
    enum { LOOKED_AT = 256 };
    size_t n = size < LOOKED_AT ? size / 2 : LOOKED_AT / 2, zeros[2] = {0};
    if (n > 0 && (memcmp(bytes, "\xFF\xFE", 2) == 0 || memcmp(bytes, "\xFE\xFF", 2) == 0)) {
        return true;
    }
    for (size_t i = 0; i < 2 * n; i++) {
        zeros[i % 2] += bytes[i] == 0;
    }
    return n >= 2 && (zeros[0] == 0 || zeros[1] == 0) && zeros[zeros[0] == 0] > n - n / 4 - 1;
}

/* From 0xA0 on as in Latin-1 (Windows-1252; the 32 letters below from memory). */
void kind_windows_letter(unsigned char byte, char out[KIND_LETTER_SIZE]) {
    static const char low[32][4] = {"\xE2\x82\xAC",
                                    "",
                                    "\xE2\x80\x9A",
                                    "\xC6\x92",
                                    "\xE2\x80\x9E",
                                    "\xE2\x80\xA6",
                                    "\xE2\x80\xA0",
                                    "\xE2\x80\xA1",
                                    "\xCB\x86",
                                    "\xE2\x80\xB0",
                                    "\xC5\xA0",
                                    "\xE2\x80\xB9",
                                    "\xC5\x92",
                                    "",
                                    "\xC5\xBD",
                                    "",
                                    "",
                                    "\xE2\x80\x98",
                                    "\xE2\x80\x99",
                                    "\xE2\x80\x9C",
                                    "\xE2\x80\x9D",
                                    "\xE2\x80\xA2",
                                    "\xE2\x80\x93",
                                    "\xE2\x80\x94",
                                    "\xCB\x9C",
                                    "\xE2\x84\xA2",
                                    "\xC5\xA1",
                                    "\xE2\x80\xBA",
                                    "\xC5\x93",
                                    "",
                                    "\xC5\xBE",
                                    "\xC5\xB8"};
    out[0] = '\0';
    if (byte < 0x80) {
        out[0] = (char)byte;
        out[1] = '\0';
    } else if (byte >= 0xA0) {
        const char latin[] = {(char)(0xC0 | byte >> 6), (char)(0x80 | (byte & 0x3F)), '\0'};
        memcpy(out, latin, sizeof latin);
    } else {
        memcpy(out, low[byte - 0x80], sizeof low[0]);
    }
}

/* What the byte that is not UTF-8 would be in that code page, for a sentence; "" when the file
 * has no look of such text at all. */
void kind_code_page_letter(const unsigned char *bytes, size_t size, size_t at,
                           char out[KIND_LETTER_SIZE]) {
    out[0] = '\0';
    for (size_t i = 0; i < size; i++) {
        bool control = bytes[i] < ' ' && !memchr("\t\r\n", bytes[i], 3);
        if (control || (i < at && bytes[i] >= 0x80)) {
            return; /* a picture, or the like; or UTF-8 that was cut short */
        }
    }
    kind_windows_letter(bytes[at], out);
}
