/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shim.c - the library as one WebAssembly module: what a host in JavaScript calls.
 *
 * A page or a test holds one `shim` for a survey: hands over each table's name and bytes,
 * loads, and asks for texts. A number is a 32-bit address or count. Nothing is imported:
 * whatever cannot be done traps.
 */
#include <stdlib.h>

#include "host.h"
#include "links.h"

#define EXPORT(name) __attribute__((export_name(name)))

typedef struct shim {
    host_folder folder;
    host_survey loaded;
} shim;

void host_expect(bool good, const char *sentence) {
    (void)sentence;
    if (!good)
        __builtin_trap();
}

EXPORT("survey_new") shim *survey_new(void) {
    shim *survey = calloc(1, sizeof *survey);
    host_expect(survey, "memory ran out");
    return survey;
}

/* Room for the next table: `name_size` bytes for its name, `size` for its bytes behind it. */
EXPORT("survey_table") char *survey_table(shim *survey, size_t name_size, size_t size) {
    char *name = calloc(name_size + 1 + size, 1);
    host_expect(name && survey->folder.n_tables < HOST_MOST_TABLES, "memory ran out");
    survey->folder.tables[survey->folder.n_tables++] =
        (earshot_bytes){.name = name, .data = name + name_size + 1, .size = size};
    return name;
}

EXPORT("survey_load") void survey_load(shim *survey) {
    survey->loaded = host_load(&survey->folder);
}

EXPORT("survey_free") void survey_free(shim *survey) {
    host_free(&survey->loaded);
    for (size_t i = 0; i < survey->folder.n_tables; i++)
        free((void *)survey->folder.tables[i].name);
    free(survey);
}

/* ---- texts ---- */

static earshot_text *new_text(void) {
    earshot_text *text = earshot_text_new();
    host_expect(text, "memory ran out");
    return text;
}

EXPORT("write_check") earshot_text *write_check(const shim *survey, enum earshot_form form) {
    earshot_text *text = new_text();
    const host_survey *loaded = &survey->loaded;
    host_expect(earshot_check_write(loaded->survey, loaded->belief, loaded->findings, form,
                                    text) == EARSHOT_OK,
                "check_write");
    return text;
}

EXPORT("write_reports") earshot_text *write_reports(const shim *survey) {
    earshot_text *text = new_text();
    host_write_survey(&survey->loaded, text);
    return text;
}

EXPORT("write_words") earshot_text *write_words(void) {
    earshot_text *text = new_text();
    host_write_words(text);
    return text;
}

EXPORT("write_links")
earshot_text *write_links(const shim *survey, uint32_t seed, uint32_t n) {
    earshot_text *text = new_text();
    host_expect(links_write(survey->loaded.survey, survey->loaded.belief, seed, n, text) == n,
                "links_write");
    return text;
}

EXPORT("text_data") const char *text_data(const earshot_text *text) {
    host_expect(!earshot_text_cut(text), "memory ran out");
    return earshot_text_data(text);
}

EXPORT("text_size") size_t text_size(const earshot_text *text) {
    return earshot_text_size(text);
}

EXPORT("text_free") void text_free(earshot_text *text) {
    earshot_text_free(text);
}

/* ---- the stack ---- */

/* Takes `n_kb` kilobytes of stack, and must trap where there is no more. */
EXPORT("dig") int dig(int n_kb) {
    volatile char kilobyte[1024] = {(char)n_kb};
    return n_kb > 0 ? dig(n_kb - 1) + kilobyte[0] % 2 : 0;
}
