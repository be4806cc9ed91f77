/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_names.c - the index of names against a plain walk over all of them.
 */
#include "rows.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

enum { N = 3000, NAME_SIZE = 12 };

static size_t walk(char (*names)[NAME_SIZE], const size_t *scopes, size_t n, size_t scope,
                   const char *name) {
    for (size_t i = 0; i < n; i++)
        if (scopes[i] == scope && strcmp(names[i], name) == 0)
            return i + 7;
    return EARSHOT_NONE;
}

Test(names, as_a_walk_finds_them) {
    static char names[N][NAME_SIZE];
    static size_t scopes[N];
    struct survey_storage *storage = survey_storage_new();
    struct survey_names *index = survey_names_new(storage, N);
    unsigned state = 1;
    for (size_t i = 0; i < N; i++) { /* a third of them come again, in few scopes */
        state = state * 1103515245u + 12345u;
        snprintf(names[i], NAME_SIZE, "w%u", (state >> 16) % 1500);
        scopes[i] = (state >> 8) % 2;
        survey_names_put(index, scopes[i], names[i], i + 7); /* the first stays */
    }
    size_t n_found = 0;
    for (unsigned i = 0; i < 1600; i++)
        for (size_t scope = 0; scope < 3; scope++) {
            char name[NAME_SIZE];
            snprintf(name, sizeof name, "w%u", i);
            size_t found = survey_names_find(index, scope, name);
            cr_expect_eq(found, walk(names, scopes, N, scope, name), "%s %zu", name, scope);
            n_found += found != EARSHOT_NONE;
        }
    const char *const *all;
    cr_expect_eq(survey_names_all(index, &all), n_found);
    cr_expect_str_eq(all[0], names[0]);
    survey_storage_free(storage);
}

Test(names, none_and_full) {
    struct survey_storage *storage = survey_storage_new();
    struct survey_names *index = survey_names_new(storage, 1);
    cr_expect_eq(survey_names_find(index, 0, "a"), EARSHOT_NONE);
    survey_names_put(index, 0, "", 3);
    survey_names_put(index, 0, "a", 4); /* no room was asked for */
    cr_expect_eq(survey_names_find(index, 0, ""), 3);
    cr_expect_eq(survey_names_find(index, 0, "a"), EARSHOT_NONE);
    cr_expect_eq(survey_names_find(NULL, 0, "a"), EARSHOT_NONE);
    survey_names_put(NULL, 0, "a", 1);
    survey_storage_free(storage);
}
