/* SPDX-License-Identifier: GPL-3.0-or-later */
/* locales.c - a host that follows its user's language: locales LOCALE SURVEY...
 *
 * Every report must have the bytes that it has in the C locale. German and Turkish write a
 * decimal comma, and in Turkish the small letter of I is another than i: the two traps that
 * functions of the C library set.
 */
#include <locale.h>
#include <stdio.h>
#include <string.h>
#include <wctype.h>

#include "host.h"

enum { SKIPPED = 77 };

static earshot_text *report(char **surveys, int n_surveys) {
    earshot_text *text = earshot_text_new();
    host_expect(text, "memory ran out");
    for (int i = 0; i < n_surveys; i++) {
        host_folder folder = host_read_folder(surveys[i]);
        host_survey loaded = host_load(&folder);
        host_write_survey(&loaded, text);
        host_free(&loaded);
        host_free_folder(&folder);
    }
    host_write_words(text);
    return text;
}

/* A locale without its traps would prove nothing. */
static void expect_traps(const char *locale) {
    host_expect(strcmp(localeconv()->decimal_point, ",") == 0, "no decimal comma in it");
    host_expect(strncmp(locale, "tr_", 3) != 0 || towlower(L'I') != L'i', "no dotless i in it");
}

/* Where two texts part, with what is around it. */
static void tell_difference(const earshot_text *wanted, const earshot_text *got) {
    const char *a = earshot_text_data(wanted), *b = earshot_text_data(got);
    size_t at = 0, back;
    while (a[at] && a[at] == b[at])
        at++;
    back = at < 40 ? at : 40;
    fprintf(stderr, "wanted '%.80s'\ngot    '%.80s'\n", a + at - back, b + at - back);
}

int main(int argc, char **argv) {
    host_expect(argc > 2, "usage: locales LOCALE SURVEY...");
    earshot_text *wanted = report(argv + 2, argc - 2);
    if (!setlocale(LC_ALL, argv[1])) {
        fprintf(stderr, "this machine has no locale %s; sh tests/run makes one\n", argv[1]);
        earshot_text_free(wanted);
        return SKIPPED;
    }
    expect_traps(argv[1]);
    earshot_text *got = report(argv + 2, argc - 2);
    bool same = strcmp(earshot_text_data(wanted), earshot_text_data(got)) == 0;
    if (!same)
        tell_difference(wanted, got);
    earshot_text_free(wanted);
    earshot_text_free(got);
    return same ? 0 : 1;
}
