/* SPDX-License-Identifier: GPL-3.0-or-later */
/* roff.c - manual pages on stdout; see roff.h.
 *
 * The escapes are those of groff_char(7) and mandoc_char(7) for characters that would otherwise
 * be typeset as another one (' as a closing quote), and \[uXXXX] for all beyond ASCII, so that
 * no reader has to guess an encoding.
 */
#include "roff.h"

#include <stdio.h>
#include <string.h>

static const char *escape_of(char c) {
    switch (c) {
    case '\\':
        return "\\e";
    case '-':
        return "\\-";
    case '\'':
        return "\\(aq";
    case '`':
        return "\\(ga";
    case '^':
        return "\\(ha";
    case '~':
        return "\\(ti";
    case '"':
        return "\\(dq";
    case '.':
        return "\\&."; /* no request, where it begins a line */
    default:
        return NULL;
    }
}

/* The code point at `at`, which is valid UTF-8 and not ASCII, and how long it is. */
static unsigned long decode(const unsigned char *at, size_t *length) {
    *length = at[0] >= 0xF0 ? 4 : at[0] >= 0xE0 ? 3 : 2;
    unsigned long code = at[0] & (0x7Fu >> *length);
    for (size_t i = 1; i < *length; i++)
        code = code << 6 | (at[i] & 0x3Fu);
    return code;
}

void roff_bytes(const char *text, size_t size) {
    for (const char *at = text; at < text + size;) {
        const char *escape = escape_of(*at);
        size_t length = 1;
        if ((unsigned char)*at >= 0x80)
            printf("\\[u%04lX]", decode((const unsigned char *)at, &length));
        else if (escape)
            fputs(escape, stdout);
        else
            putchar(*at);
        at += length;
    }
}

void roff_text(const char *text) {
    roff_bytes(text, strlen(text));
}

static void in_font(char font, const char *text) {
    printf("\\f%c", font);
    roff_text(text);
    fputs("\\fR", stdout);
}

void roff_bold(const char *text) {
    in_font('B', text);
}

void roff_italic(const char *text) {
    in_font('I', text);
}

void roff_end_line(void) {
    putchar('\n');
}

void roff_title(const char *name, int section, const char *version) {
    fputs(".TH \"", stdout);
    roff_text(name);
    printf("\" %d \"\" \"earshot ", section); /* no date: the same bytes from every build */
    roff_text(version);
    puts("\"");
}

void roff_heading(const char *heading) {
    fputs(".SH ", stdout);
    roff_text(heading);
    roff_end_line();
}

void roff_paragraph(void) {
    puts(".PP");
}

void roff_break(void) {
    puts(".br");
}

void roff_item(void) {
    puts(".TP");
}

void roff_lines(const char *lines, size_t size) {
    puts(".EX");
    for (const char *end = lines + size; lines < end;) {
        size_t length = strcspn(lines, "\n");
        roff_bytes(lines, length);
        puts(length ? "" : "\\&");
        lines += length + 1;
    }
    puts(".EE");
}

void roff_example(const char *command) {
    puts(".EX");
    roff_text(command);
    puts("\n.EE");
}
