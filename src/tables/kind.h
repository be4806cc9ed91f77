/* SPDX-License-Identifier: GPL-3.0-or-later */
/* kind.h - what a file is that is no table in UTF-8, so that one sentence can say it.
 *
 * Inside the tables room only.
 */
#ifndef TABLES_KIND_H
#define TABLES_KIND_H

#include <stdbool.h>
#include <stddef.h>

/* A workbook, a PDF, a web page, for a sentence; NULL: none of those. */
const char *kind_other_file(const unsigned char *bytes, size_t size);

/* Two bytes a character, with a byte order mark or not. */
bool kind_is_utf16(const unsigned char *bytes, size_t size);

/* A byte of the code page of Western Windows as UTF-8; "" where it has none. */
enum { KIND_LETTER_SIZE = 4 };
void kind_windows_letter(unsigned char byte, char out[KIND_LETTER_SIZE]);

/* What the byte `at`, where UTF-8 ends, would be in the code page of Western Windows, as UTF-8;
 * "" when the file has no look of such text. */
void kind_code_page_letter(const unsigned char *bytes, size_t size, size_t at,
                           char out[KIND_LETTER_SIZE]);

#endif
