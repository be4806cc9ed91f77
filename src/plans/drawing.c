/* SPDX-License-Identifier: GPL-3.0-or-later */
/* drawing.c - the lines of a plan and what they come from, growing while a file is read.
 *
 * Memory that runs out is remembered, as in a text, so that readers add without looking.
 */
#include <stdlib.h>
#include <string.h>

#include "plans.h"
#include "text.h"

struct plans_kept {
    struct plans_kept *next;
    char text[];
};

/* Makes a line with plain blanks; its length without those at its end. */
static size_t tidy(char *text, size_t length) {
    size_t n = 0;
    for (size_t i = 0; i < length; i++) {
        bool no_break = i + 1 < length && text[i] == '\xc2' && text[i + 1] == '\xa0';
        text[n++] = no_break ? ' ' : text[i];
        i += no_break;
    }
    text_make_line(text, n);
    while (n > 0 && text[n - 1] == ' ')
        n--;
    return n;
}

const char *plans_keep(plans_drawing *drawing, const char *text, size_t length) {
    struct plans_kept *kept = malloc(sizeof *kept + length + 1);
    if (!kept) {
        drawing->lost = true;
        return "";
    }
    memcpy(kept->text, text, length);
    kept->text[tidy(kept->text, length)] = '\0';
    kept->next = drawing->kept;
    drawing->kept = kept;
    return kept->text + strspn(kept->text, " ");
}

/* Room for one more; false when memory ran out. */
static bool grow(plans_drawing *drawing, void **items, size_t n, size_t *room, size_t size) {
    if (n < *room)
        return true;
    size_t wanted = *room ? 2 * *room : 64;
    void *more = realloc(*items, wanted * size);
    if (!more) {
        drawing->lost = true;
        return false;
    }
    *items = more;
    *room = wanted;
    return true;
}

void plans_begin(plans_drawing *drawing, const plans_source *source) {
    void *sources = drawing->sources;
    if (!grow(drawing, &sources, drawing->n_sources, &drawing->sources_room, sizeof *source))
        return;
    drawing->sources = sources;
    drawing->sources[drawing->n_sources++] = *source;
}

void plans_add(plans_drawing *drawing, plans_point a, plans_point b) {
    void *lines = drawing->lines;
    drawing->full = drawing->full || drawing->n_lines == PLANS_MOST_LINES;
    if (drawing->lost || drawing->full ||
        !grow(drawing, &lines, drawing->n_lines, &drawing->lines_room, sizeof(plans_line)))
        return;
    drawing->lines = lines;
    drawing->lines[drawing->n_lines++] =
        (plans_line){.a = a, .b = b, .source = drawing->n_sources - 1};
}

void plans_close(plans_drawing *drawing) {
    for (struct plans_kept *kept = drawing->kept, *next; kept; kept = next) {
        next = kept->next;
        free(kept);
    }
    free(drawing->lines);
    free(drawing->sources);
}
