/* SPDX-License-Identifier: GPL-3.0-or-later */
/* manual.c - what a finding means, with an example and the same mended, for people.
 */
#include <string.h>

#include "write.h"

/* The sentence with dots where values stand. */
static void write_sentence(const char *sentence, earshot_text *out) {
    while (*sentence) {
        size_t length = strcspn(sentence, "{");
        text_add_bytes(out, sentence, length);
        sentence += length;
        if (*sentence) {
            text_add(out, "...");
            sentence += strlen("{1}");
        }
    }
    text_add(out, "\n");
}

/* Lines set in; a line end within quotes does not count as one, which is right here. */
static void write_lines(const char *lines, earshot_text *out) {
    while (*lines) {
        size_t length = strcspn(lines, "\n");
        text_add(out, "    ");
        text_add_bytes_in_line(out, lines, length);
        text_add(out, "\n");
        lines += length + (lines[length] == '\n');
    }
}

static void write_example(const earshot_manual *entry, const char *verb, const char *text,
                          earshot_text *out) {
    text_add(out, "\n");
    if (verb) {
        text_add(out, "    earshot ");
        text_add(out, verb);
        text_add(out, " ");
        text_add(out, text);
        text_add(out, "\n");
    } else {
        text_add(out, entry->where);
        text_add(out, text == entry->wrong ? ":\n" : ", mended:\n");
        write_lines(text, out);
    }
}

/* The verb whose words an example is; NULL for lines of a table. */
static const char *verb_of(const char *where) {
    return strcmp(where, "words") == 0  ? "reach"
           : strcmp(where, "loss") == 0 ? "loss"
           : strcmp(where, "look") == 0 ? "loss --by-look"
                                        : NULL;
}

enum earshot_status earshot_manual_write(const char *code, earshot_text *out) {
    earshot_manual entry;
    if (!code || !out || !earshot_manual_find(code, &entry))
        return EARSHOT_MISUSE;
    text_add(out, entry.code);
    text_add(out, entry.severity == EARSHOT_ERROR
                      ? " (a fault: no margins until it is mended)\n"
                      : " (a note: the answer stands)\n");
    write_sentence(entry.sentence, out);
    text_add(out, "\n");
    text_add(out, entry.when);
    text_add(out, "\n");
    if (entry.wrong)
        write_example(&entry, verb_of(entry.where), entry.wrong, out);
    if (entry.mended)
        write_example(&entry, verb_of(entry.where), entry.mended, out);
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
