/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lengths.c - 12m, 12'6", 40 feet, 16 paces to meters.
 *
 * What units are called, and how marks of feet and inches come, stands in units.c.
 */
#include "lengths.h"

#include <string.h>

#include "rows.h"
#include "text.h"

static const double inch_m = 0.0254;

bool survey_split_number(const char *word, double *number, const char **rest) {
    static const char *const spelled[] = {"", "one", "two", "three", "four", "five", "six"};
    size_t minus = *word == '-', length = strspn(word + minus, "0123456789."), count = 1;
    while (count < sizeof spelled / sizeof *spelled && strcmp(word, spelled[count]) != 0)
        count++;
    if (count < sizeof spelled / sizeof *spelled) {
        *number = (double)count;
        *rest = "";
        return true;
    }
    *rest = word + minus + length;
    return length && text_read_number(word, minus + length, '.', number) == TEXT_NUMBER_OK;
}

static void plain_word(char out[SURVEY_WORD_SIZE], const char *word) {
    survey_plain_word(out, word, strlen(word));
}

/* The unit at `*at`, as far as a digit or a hyphen, and what follows it; NULL when none is. */
static const survey_unit *unit_at(const char **at) {
    size_t length = strcspn(*at, "0123456789.-");
    const survey_unit *unit = survey_unit_called(*at, length);
    *at += unit ? length : 0;
    return unit;
}

static bool is_called(const survey_unit *unit, const char *name) {
    return strcmp(unit->name, name) == 0;
}

static const char *past_hyphen(const char *at) {
    return at + (*at == '-' && at[1]);
}

/* A number and its unit, which may be the next word. Returns the words taken, 0 for none. */
static size_t read_piece(const char *at, const char *const *more, size_t n_more, double *number,
                         const survey_unit **unit, const char **rest) {
    char next[SURVEY_WORD_SIZE];
    if (!survey_split_number(at, number, rest))
        return 0;
    if (**rest) {
        *rest = past_hyphen(*rest);
        *unit = unit_at(rest);
        return *unit ? 1 : 0;
    }
    if (!n_more)
        return 0;
    plain_word(next, more[0]);
    const char *end = next;
    *unit = unit_at(&end);
    return *unit && !*end ? 2 : 0;
}

/* The inches behind a number of feet: `rest` of its own word, where the unit may be left out,
 * or the next words. False when `rest` is something else. */
static bool read_inches(const char *rest, const char *const *more, size_t n_more,
                        double *inches, size_t *taken) {
    char next[SURVEY_WORD_SIZE];
    const survey_unit *unit;
    double number;
    *taken = 0;
    *inches = 0;
    if (*rest) {
        if (!survey_split_number(past_hyphen(rest), inches, &rest))
            return false;
        unit = *rest ? unit_at(&rest) : NULL;
        return !*rest && (!unit || is_called(unit, "in"));
    }
    if (!n_more)
        return true;
    plain_word(next, more[0]);
    size_t words = read_piece(next, more + 1, n_more - 1, &number, &unit, &rest);
    if (words && !*rest && is_called(unit, "in")) {
        *inches = number;
        *taken = words;
    }
    return true;
}

size_t survey_read_length(const char *const *words, size_t n, double pace_m,
                          survey_length *out) {
    char plain[SURVEY_WORD_SIZE];
    const char *rest;
    const survey_unit *unit;
    double number, inches = 0;
    size_t more = 0;
    plain_word(plain, words[0]);
    size_t taken = read_piece(plain, words + 1, n - 1, &number, &unit, &rest);
    if (!taken)
        return 0;
    if (is_called(unit, "ft") &&
        !read_inches(taken == 1 ? rest : "", words + taken, n - taken, &inches, &more))
        return 0;
    if (!is_called(unit, "ft") && taken == 1 && *rest)
        return 0;
    *out =
        (survey_length){number * survey_unit_m(unit, pace_m) + inches * inch_m, unit->measure};
    return taken + more;
}
