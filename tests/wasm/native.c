/* SPDX-License-Identifier: GPL-3.0-or-later */
/* native.c - the native side of the comparison: native words | reports SURVEY | links SURVEY
 * SEED N
 *
 * Writes to stdout what shim.c gives as WebAssembly, made by the same functions from the same
 * bytes.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "host.h"
#include "links.h"

static void print(earshot_text *text) {
    size_t size = earshot_text_size(text);
    host_expect(!earshot_text_cut(text), "memory ran out");
    host_expect(fwrite(earshot_text_data(text), 1, size, stdout) == size, "cannot write");
    host_expect(fflush(stdout) == 0, "cannot write");
}

static uint32_t whole(const char *word) {
    char *end;
    unsigned long value = strtoul(word, &end, 10);
    host_expect(*end == '\0' && value <= UINT32_MAX, "SEED and N are whole numbers");
    return (uint32_t)value;
}

/* The part of a path behind the last slash, which is what the program calls a table. */
static void name_as_program(host_folder *folder) {
    for (size_t i = 0; i < folder->n_tables; i++) {
        char *name = (char *)folder->tables[i].name, *slash = strrchr(name, '/');
        if (slash)
            memmove(name, slash + 1, strlen(slash));
    }
}

static void write_of_survey(int argc, char **argv, earshot_text *text) {
    host_folder folder = host_read_folder(argv[2]);
    name_as_program(&folder);
    host_survey loaded = host_load(&folder);
    if (strcmp(argv[1], "reports") == 0) {
        host_write_survey(&loaded, text);
    } else {
        host_expect(argc == 5, "links SURVEY SEED N");
        uint32_t n = whole(argv[4]);
        host_expect(links_write(loaded.survey, loaded.belief, whole(argv[3]), n, text) == n,
                    "links_write");
    }
    host_free(&loaded);
    host_free_folder(&folder);
}

int main(int argc, char **argv) {
    earshot_text *text = earshot_text_new();
    host_expect(text, "memory ran out");
    host_expect(argc > 1, "say words, reports or links");
    if (argc == 2)
        host_write_words(text);
    else
        write_of_survey(argc, argv, text);
    print(text);
    earshot_text_free(text);
    return 0;
}
