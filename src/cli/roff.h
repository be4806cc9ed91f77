/* SPDX-License-Identifier: GPL-3.0-or-later */
/* roff.h - manual pages on stdout, in the man(7) macros that every reader of them knows.
 *
 * All text goes through roff_text, which makes any UTF-8 safe: in a page, a line that begins
 * with a point is a request, a backslash escapes, and a bare hyphen may be broken and cannot be
 * copied into a command.
 */
#ifndef CLI_ROFF_H
#define CLI_ROFF_H

#include <stddef.h>

/* The first line: the page's name, its section, and the version it is of. */
void roff_title(const char *name, int section, const char *version);
void roff_heading(const char *heading);
void roff_paragraph(void);
/* The next text begins a line. */
void roff_break(void);

/* Text as it is, anywhere in a line. */
void roff_text(const char *text);
void roff_bytes(const char *text, size_t size);
void roff_bold(const char *text);
void roff_italic(const char *text);
void roff_end_line(void);

/* Begins an item: its term is the line that follows, what is said of it the line after. */
void roff_item(void);
/* A command to be typed, set apart; or lines that stay as they are. */
void roff_example(const char *command);
void roff_lines(const char *lines, size_t size);

#endif
