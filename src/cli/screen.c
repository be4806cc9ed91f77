/* SPDX-License-Identifier: GPL-3.0-or-later */
/* screen.c - a text for people as a terminal shows it: in lines of 80, and verdicts set off.
 *
 * Lines break between words, and go on indented, or under the last of their columns; a number
 * keeps the word behind it, and a word of more than a line (a path) stays whole. A verdict that
 * is not firm is bold, underlined or both, and all of them in one hue: the words say
 * everything, weight only helps to find them. None of that where NO_COLOR is set and not empty
 * (no-color.org), or TERM is dumb or missing.
 */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"
#include "text.h"

enum { WIDTH = 80, INDENT = 4 };

enum cli_screen cli_screen_of_stdout(void) {
    const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");
    if (!isatty(STDOUT_FILENO))
        return CLI_NO_SCREEN;
    return (no_color && *no_color) || !term || !*term || strcmp(term, "dumb") == 0
               ? CLI_PLAIN_SCREEN
               : CLI_STYLED_SCREEN;
}

struct fitting {
    const char *data;
    const earshot_text *text;
    size_t next; /* the first mark that is not shown yet */
    bool styled;
    earshot_text *out;
};

/* ECMA-48, select graphic rendition: 1 bold, 4 underlined, 35 magenta. */
static const char *const styles[] = {[EARSHOT_FIRM] = NULL,
                                     [EARSHOT_THIN] = "\033[1;35m",
                                     [EARSHOT_OUT] = "\033[1;4;35m",
                                     [EARSHOT_NOT_JUDGED] = "\033[4;35m"};

/* A mark that is still to be shown and begins before `end`. */
static bool next_mark(const struct fitting *fitting, size_t end, earshot_mark *mark) {
    if (fitting->next == earshot_text_marks(fitting->text))
        return false;
    *mark = earshot_text_mark_at(fitting->text, fitting->next);
    return mark->begin < end;
}

static void copy(struct fitting *fitting, size_t begin, size_t end) {
    earshot_mark mark;
    while (next_mark(fitting, end, &mark)) {
        const char *style = fitting->styled ? styles[mark.verdict] : NULL;
        text_add_bytes(fitting->out, fitting->data + begin, mark.begin - begin);
        text_add(fitting->out, style ? style : "");
        text_add_bytes(fitting->out, fitting->data + mark.begin, mark.size);
        text_add(fitting->out, style ? "\033[0m" : "");
        begin = mark.begin + mark.size;
        fitting->next++;
    }
    text_add_bytes(fitting->out, fitting->data + begin, end - begin);
}

static size_t next_blank(const struct fitting *fitting, size_t at, size_t end) {
    while (at < end && fitting->data[at] != ' ')
        at++;
    return at;
}

/* Up to the next blank; what a number counts and a verdict of two words are not parted. */
static size_t end_of_word(const struct fitting *fitting, size_t at, size_t end) {
    earshot_mark mark;
    size_t stop = next_blank(fitting, at, end);
    bool number = stop > at && strspn(fitting->data + at, "-.0123456789") == stop - at;
    if (number && stop + 1 < end && fitting->data[stop + 1] != ' ')
        stop = next_blank(fitting, stop + 1, end);
    if (next_mark(fitting, stop, &mark) && mark.begin + mark.size > stop)
        return end_of_word(fitting, mark.begin + mark.size, end);
    return stop;
}

static void break_line(struct fitting *fitting, size_t indent) {
    text_add(fitting->out, "\n");
    for (size_t i = 0; i < indent; i++)
        text_add(fitting->out, " ");
}

/* Where a line goes on: under the last of its columns, which two blanks set apart. */
static size_t indent_of(const struct fitting *fitting, size_t begin, size_t end) {
    size_t lead = strspn(fitting->data + begin, " "), indent = lead + INDENT;
    for (size_t at = begin + lead; (at = next_blank(fitting, at, end)) < end;) {
        size_t blanks = strspn(fitting->data + at, " ");
        at += blanks;
        if (blanks > 1 && at < end)
            indent = text_utf8_count(fitting->data + begin, at - begin);
    }
    return indent < WIDTH / 2 ? indent : lead + INDENT;
}

static void fit_line(struct fitting *fitting, size_t begin, size_t end) {
    size_t indent = indent_of(fitting, begin, end), column = 0;
    for (size_t at = begin; at < end;) {
        size_t word = at + strspn(fitting->data + at, " ");
        size_t stop = end_of_word(fitting, word, end);
        size_t width = text_utf8_count(fitting->data + word, stop - word);
        if (word == end)
            break; /* blanks at the end of a line */
        if (column > 0 && column + (word - at) + width > WIDTH) {
            break_line(fitting, indent);
            column = indent;
            at = word;
        }
        column += word - at + width;
        copy(fitting, at, stop);
        at = stop;
    }
}

bool cli_fit_screen(const earshot_text *text, enum cli_screen screen, earshot_text *out) {
    struct fitting fitting = {.data = earshot_text_data(text),
                              .text = text,
                              .styled = screen == CLI_STYLED_SCREEN,
                              .out = out};
    size_t size = earshot_text_size(text);
    for (size_t begin = 0; begin < size;) {
        size_t end = begin + strcspn(fitting.data + begin, "\n");
        fit_line(&fitting, begin, end);
        text_add(out, end < size ? "\n" : "");
        begin = end + 1;
    }
    return !earshot_text_cut(out);
}
