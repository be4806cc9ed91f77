/* SPDX-License-Identifier: GPL-3.0-or-later */
/* text.h - text as people and spreadsheets write it: a growing buffer, numbers read and written
 * the same in every locale, UTF-8 columns, and which known word an unknown one was meant to be.
 *
 * The one reader and the one writer of numbers are here, so that a number that was written
 * reads back as itself, whatever locale the host program has set.
 */
#ifndef TEXT_TEXT_H
#define TEXT_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/text.h"

/* ---- buffer.c ---- */

/* Appends; a failure is remembered in the buffer (earshot_text_cut), never reported here. */
void text_add(earshot_text *text, const char *string);
void text_add_bytes(earshot_text *text, const char *bytes, size_t n_bytes);

/* The same for text from outside among lines for people: made a line, as text_make_line does.
 */
void text_add_in_line(earshot_text *text, const char *string);
void text_add_bytes_in_line(earshot_text *text, const char *bytes, size_t n_bytes);

/* A cell of CSV (RFC 4180): in quotes where it must be. */
void text_add_cell(earshot_text *text, const char *string);

/* The same, safe to open in a spreadsheet: one that begins like a formula gets an apostrophe
 * before it, which spreadsheets, and our own reader, take as "this is text". */
void text_add_safe_cell(earshot_text *text, const char *string);

void text_add_count(earshot_text *text, size_t count);

/* Marks the bytes from `begin` on, which come next if they are not there yet; behind all that
 * was marked before. */
void text_mark(earshot_text *text, size_t begin, size_t size, unsigned verdict);

/* Cuts the text here: for a writer that found no memory for something other than the text. */
void text_lose(earshot_text *text);

/* Appends `value` in fixed notation, rounded to `decimals` (0 to 9) places, halves away from
 * zero; never an exponent, never "-0". Non-finite values and magnitudes of 1e15 and more (none
 * of our quantities comes near) are written as "null", which is what JSON wants. */
void text_add_fixed(earshot_text *text, double value, int decimals);

/* The same as text_write_signed has it. */
void text_add_signed(earshot_text *text, double value, int decimals);

/* As text_add_fixed with 9 decimals, trailing zeros and a trailing point cut: JSON and CSV. */
void text_add_number(earshot_text *text, double value);

/* ---- number.c ---- */

/* Longest text the number writers make, with the NUL. */
enum { TEXT_NUMBER_SIZE = 32 };

/* The same two notations into a caller's array; return the length. */
size_t text_write_fixed(char out[TEXT_NUMBER_SIZE], double value, int decimals);
size_t text_write_number(char out[TEXT_NUMBER_SIZE], double value);

/* As text_write_fixed, with its sign: "+1.5", "-1.5"; what is shown as nothing has none. */
size_t text_write_signed(char out[TEXT_NUMBER_SIZE], double value, int decimals);

enum text_number {
    TEXT_NUMBER_OK,
    TEXT_NUMBER_BLANK,     /* nothing but blanks */
    TEXT_NUMBER_COMMA,     /* a number but for a decimal comma where a point is wanted */
    TEXT_NUMBER_THOUSANDS, /* thousands are set apart, or a fraction of three digits: who knows
                            */
    TEXT_NUMBER_PERCENT,   /* a percent sign at its end */
    TEXT_NUMBER_DATE,      /* what a spreadsheet makes of 3-4 */
    TEXT_NUMBER_NOT,       /* not a number */
    TEXT_NUMBER_TOO_LARGE  /* not finite, or 1e15 and more */
};

/* Reads a whole string, blanks around it allowed, as a decimal number: sign, digits, one point
 * (`decimal`: '.' or ','), an optional exponent. A true minus sign (U+2212) counts as '-', as
 * word processors put it, and an apostrophe before the number does not count. Where a comma is
 * the decimal mark, a point is one too, unless it may stand between thousands (1.234).
 * Correctly rounded for up to 15 digits and 22 decimals, within a few units in the last place
 * beyond that.
 * `*value` is set only on TEXT_NUMBER_OK. */
enum text_number text_read_number(const char *text, size_t length, char decimal, double *value);

/* Length of the number at the beginning of a text, as it is written; 0 when there is none. */
size_t text_number_span(const char *text, size_t length);

/* The decimal mark of the number at the beginning of a text, where it can be nothing else: '.'
 * or ','; 0 when there is none, or it may stand between thousands. */
char text_decimal_mark(const char *text, size_t length);

/* ---- utf8.c ---- */

/* Length in bytes of the longest valid UTF-8 beginning of `text` (RFC 3629: no overlong forms,
 * no surrogates, nothing past U+10FFFF). Equal to `length` when all of it is valid. */
size_t text_utf8_valid(const char *text, size_t length);

/* How many code points `length` bytes of valid UTF-8 hold. */
size_t text_utf8_count(const char *text, size_t length);

/* As text_utf8_valid, of text that can be shown in a line: without control characters, which
 * are line ends, tabs and what a terminal would act on. */
size_t text_line_valid(const char *text, size_t length);

/* Makes text from outside such a line, byte for byte: control characters become blanks, what is
 * not UTF-8 question marks. */
void text_make_line(char *text, size_t length);

/* ---- nearest.c ---- */

/* A letter of ASCII in lower case; every other byte as it is. */
char text_lower(char letter);

/* A list of known words, and which of them are nearest to one that is not known: fewest single
 * edits (insert, delete, replace, swap of neighbors), ASCII case ignored, at most a third of
 * the longer word's length rounded up, and at most one more than the nearest. Writes the
 * indices of up to `capacity` words into `found`, nearest first, ties by index; returns how
 * many. Words over 64 bytes are never near. */
size_t text_nearest(const char *word, const char *const *known, size_t n_known, size_t *found,
                    size_t capacity);

#endif
