/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_screen.c - texts on a terminal: no line over 80 characters but where one word is,
 * nothing lost, columns kept, and marks set off whole.
 */
#include "cli.h"
#include "text.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void expect_fitted(const earshot_text *text, enum cli_screen screen, const char *want) {
    earshot_text *out = earshot_text_new();
    cr_assert(cli_fit_screen(text, screen, out));
    cr_expect_str_eq(earshot_text_data(out), want);
    earshot_text_free(out);
}

/* Ten of these are 80 characters; the last is a blank. */
#define EIGHT "abcdefg "
#define SEVENTY EIGHT EIGHT EIGHT EIGHT EIGHT EIGHT EIGHT EIGHT "abcde"

Test(screen, lines_break_between_words) {
    static const char *const rows[][2] = {
        {"", ""},
        {"short\n", "short\n"},
        {"no end", "no end"},
        {"two\n\nparagraphs\n", "two\n\nparagraphs\n"},
        {SEVENTY " 123456789\n", SEVENTY " 123456789\n"},                  /* 79 */
        {SEVENTY " 1234567890\n", SEVENTY " 1234567890\n"},                /* 80 */
        {SEVENTY " 12345678901\n", SEVENTY "\n    12345678901\n"},         /* 81 */
        {"  " SEVENTY " 123456789\n", "  " SEVENTY "\n      123456789\n"}, /* indented */
        {SEVENTY " 1234567890  \n", SEVENTY " 1234567890\n"}, /* blanks at the end */
        /* a number keeps its unit, but in columns */
        {SEVENTY " 1234567 % sure\n", SEVENTY " 1234567 %\n    sure\n"}, /* 79 */
        {SEVENTY " -1234567.5 dB\n", SEVENTY "\n    -1234567.5 dB\n"},   /* 83 */
        {SEVENTY " 1234567890  %\n", SEVENTY " 1234567890\n    %\n"},    /* 83 */
        /* under the last column; not where that is beyond the middle */
        {"  one  two  " SEVENTY "\n", "  one  two  " EIGHT EIGHT EIGHT EIGHT EIGHT EIGHT EIGHT
                                      "abcdefg\n            abcde\n"},
        {SEVENTY "  123456 78901\n", SEVENTY "\n    123456 78901\n"},
        /* ten characters of two bytes are ten */
        {SEVENTY " \xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4"
                 "\xC3\xA4\n",
         SEVENTY " \xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4\xC3\xA4"
                 "\xC3\xA4\n"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        earshot_text *text = earshot_text_new();
        text_add(text, rows[i][0]);
        expect_fitted(text, CLI_PLAIN_SCREEN, rows[i][1]);
        expect_fitted(text, CLI_STYLED_SCREEN, rows[i][1]);
        earshot_text_free(text);
    }
}

Test(screen, a_long_word_stays_whole) {
    char word[101], line[120], want[120];
    memset(word, 'x', 100);
    word[100] = '\0';
    snprintf(line, sizeof line, "see %s now\n", word);
    snprintf(want, sizeof want, "see\n    %s\n    now\n", word);
    earshot_text *text = earshot_text_new();
    text_add(text, line);
    expect_fitted(text, CLI_PLAIN_SCREEN, want);
    earshot_text_free(text);
}

static void say(earshot_text *text, const char *word, enum earshot_verdict verdict) {
    text_mark(text, earshot_text_size(text), strlen(word), verdict);
    text_add(text, word);
}

/* Escapes are those of ECMA-48, 8.3.117: 1 bold, 4 underlined, 35 magenta, 0 none of it. */
Test(screen, verdicts_are_set_off_and_names_are_not) {
    earshot_text *text = earshot_text_new();
    text_add(text, "thin wall: ");
    say(text, "thin", EARSHOT_THIN);
    text_add(text, ", ");
    say(text, "firm", EARSHOT_FIRM);
    text_add(text, "; ");
    say(text, "not judged", EARSHOT_NOT_JUDGED);
    text_add(text, "\n");
    expect_fitted(text, CLI_PLAIN_SCREEN, "thin wall: thin, firm; not judged\n");
    expect_fitted(text, CLI_STYLED_SCREEN,
                  "thin wall: \033[1;35mthin\033[0m, firm; \033[4;35mnot judged\033[0m\n");
    earshot_text_free(text);
}

/* A verdict of two words goes to the next line as one, and its escapes take no room. */
Test(screen, a_verdict_is_not_parted) {
    earshot_text *text = earshot_text_new();
    text_add(text, SEVENTY " ");
    say(text, "won't reach", EARSHOT_OUT);
    text_add(text, ".\n" SEVENTY " ");
    say(text, "not judged", EARSHOT_NOT_JUDGED);
    text_add(text, "\n");
    expect_fitted(text, CLI_STYLED_SCREEN,
                  SEVENTY "\n    \033[1;4;35mwon't reach\033[0m.\n" SEVENTY
                          " \033[4;35mnot judged\033[0m\n");
    earshot_text_free(text);
}
