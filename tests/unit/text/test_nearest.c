/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_nearest.c - which word was meant. Distances in the first test are counted by hand. */
#include <criterion/criterion.h>
#include <stdint.h>
#include <string.h>

#include "text.h"

Test(nearest, slips_of_the_hand) {
    static const char *const known[] = {"brick",  "block",        "concrete",
                                        "glass",  "plasterboard", "Timber floor",
                                        "window", "door",         "m\xC3\xB6rtel"};
    static const struct {
        const char *word;
        size_t n;
        size_t found[3];
        const char *why;
    } rows[] = {
        {"briick", 1, {0}, "one letter too many"},
        {"brck", 2, {0, 1}, "brick: one added; block: one replaced and one added"},
        {"birck", 2, {0, 1}, "brick: neighbors swapped, one edit; block: two letters replaced"},
        {"BRICK", 1, {0}, "brick: case is no edit; block is two further, so not meant"},
        {"timber floor", 1, {5}, "case is no edit"},
        {"plasterbord", 1, {4}, "one letter missing"},
        {"glas", 1, {3}, "one letter missing"},
        {"dor", 1, {7}, "one letter missing, limit 2"},
        {"mortel", 1, {8}, "o for o umlaut, two bytes: two edits, limit 3"},
        {"aluminum", 0, {0}, "nothing like it"},
        {"", 0, {0}, "everything is further than a third of its letters"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t found[9];
        size_t n = text_nearest(rows[i].word, known, sizeof known / sizeof known[0], found, 9);
        cr_expect_eq(n, rows[i].n, "%s (%s): %zu found", rows[i].word, rows[i].why, n);
        for (size_t j = 0; j < n && j < rows[i].n; j++) {
            cr_expect_eq(found[j], rows[i].found[j], "%s (%s)", rows[i].word, rows[i].why);
        }
    }
}

/* The distance by its definition: what may become of the last letters, all tried in turn. */
static size_t tried(const char *a, size_t n, const char *b, size_t m) {
    if (n == 0 || m == 0) {
        return n + m;
    }
    size_t best = tried(a, n - 1, b, m) + 1;
    size_t other = tried(a, n, b, m - 1) + 1;
    best = other < best ? other : best;
    other = tried(a, n - 1, b, m - 1) + (a[n - 1] != b[m - 1]);
    best = other < best ? other : best;
    if (n > 1 && m > 1 && a[n - 1] == b[m - 2] && a[n - 2] == b[m - 1]) {
        other = tried(a, n - 2, b, m - 2) + 1;
        best = other < best ? other : best;
    }
    return best;
}

/* Every word of one to four letters out of a, b, c, against all of them. */
Test(nearest, as_the_definition_says) {
    enum { N_WORDS = 3 + 9 + 27 + 81 };
    static char words[N_WORDS][5];
    const char *known[N_WORDS];
    size_t n_words = 0;
    for (size_t length = 1, count = 3; length <= 4; length++, count *= 3) {
        for (size_t i = 0; i < count; i++, n_words++) {
            for (size_t j = 0, left = i; j < length; j++, left /= 3) {
                words[n_words][j] = (char)('a' + left % 3);
            }
            known[n_words] = words[n_words];
        }
    }
    cr_assert_eq(n_words, N_WORDS);
    for (size_t w = 0; w < N_WORDS; w++) {
        size_t want[N_WORDS], n_want = 0, found[N_WORDS];
        /* all words are known here: the nearest is the word itself, and one edit more counts */
        for (size_t d = 0; d <= 1; d++) {
            for (size_t i = 0; i < N_WORDS; i++) {
                size_t a = strlen(words[w]), b = strlen(words[i]), longer = a > b ? a : b;
                if (d <= (longer + 2) / 3 && tried(words[w], a, words[i], b) == d) {
                    want[n_want++] = i;
                }
            }
        }
        size_t n = text_nearest(words[w], known, N_WORDS, found, N_WORDS);
        cr_assert_eq(n, n_want, "%s", words[w]);
        cr_assert_eq(memcmp(found, want, n * sizeof *found), 0, "%s", words[w]);
        size_t few[3];
        cr_assert_eq(text_nearest(words[w], known, N_WORDS, few, 3), 3);
        cr_assert_eq(memcmp(few, want, sizeof few), 0, "%s: the nearest three", words[w]);
        cr_assert_eq(text_nearest(words[w], known, N_WORDS, few, 0), 0);
    }
}

Test(nearest, long_words) {
    char longest[65], too_long[66];
    memset(longest, 'x', 64);
    longest[64] = '\0';
    memset(too_long, 'x', 65);
    too_long[65] = '\0';
    const char *const known[] = {longest, too_long};
    size_t found[2];
    cr_expect_eq(text_nearest(longest, known, 2, found, 2), 1);
    cr_expect_eq(found[0], 0);
    cr_expect_eq(text_nearest(too_long, known, 2, found, 2), 0);
}
