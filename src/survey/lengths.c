/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lengths.c - 12m, 12'6", 40 feet, 16 paces to meters.
 *
 * The foot is the international one of 0.3048 m (1959), and inch, yard and mile follow from it.
 * Telephones write curly quotes and primes for feet and inches; those count as plain ones.
 */
#include "lengths.h"

#include <string.h>

#include "rows.h"
#include "text.h"

/* What a unit is called; `meters` 0: the pace of the site. */
struct unit {
    const char *word;
    double meters;
    enum survey_measure measure;
};

static const struct unit units[] = {
    {"m", 1, SURVEY_METRIC},          {"meter", 1, SURVEY_METRIC},
    {"meters", 1, SURVEY_METRIC},     {"metre", 1, SURVEY_METRIC},
    {"metres", 1, SURVEY_METRIC},     {"km", 1000, SURVEY_METRIC},
    {"cm", 0.01, SURVEY_METRIC},      {"mm", 0.001, SURVEY_METRIC},
    {"ft", 0.3048, SURVEY_FEET},      {"foot", 0.3048, SURVEY_FEET},
    {"feet", 0.3048, SURVEY_FEET},    {"'", 0.3048, SURVEY_FEET},
    {"in", 0.0254, SURVEY_FEET},      {"inch", 0.0254, SURVEY_FEET},
    {"inches", 0.0254, SURVEY_FEET},  {"\"", 0.0254, SURVEY_FEET},
    {"''", 0.0254, SURVEY_FEET},      {"yd", 0.9144, SURVEY_FEET},
    {"yard", 0.9144, SURVEY_FEET},    {"yards", 0.9144, SURVEY_FEET},
    {"mi", 1609.344, SURVEY_FEET},    {"mile", 1609.344, SURVEY_FEET},
    {"miles", 1609.344, SURVEY_FEET}, {"pace", 0, SURVEY_PACES},
    {"paces", 0, SURVEY_PACES},       {"step", 0, SURVEY_PACES},
    {"steps", 0, SURVEY_PACES}};
enum { N_UNITS = sizeof units / sizeof *units };

static const double foot_m = 0.3048, inch_m = 0.0254;

/* Lower case, with plain marks for feet and inches. */
static void plain_word(char out[SURVEY_WORD_SIZE], const char *word) {
    static const struct {
        const char *bytes;
        char mark;
    } marks[] = {{"\xe2\x80\x99", '\''},
                 {"\xe2\x80\xb2", '\''},
                 {"\xe2\x80\x9d", '"'},
                 {"\xe2\x80\xb3", '"'}}; /* U+2019, 2032, 201D, 2033 */
    char marked[SURVEY_WORD_SIZE];
    size_t n = 0;
    while (*word && n + 1 < sizeof marked) {
        size_t i = 0;
        while (i < sizeof marks / sizeof *marks && strncmp(word, marks[i].bytes, 3) != 0)
            i++;
        bool curly = i < sizeof marks / sizeof *marks;
        marked[n++] = curly ? marks[i].mark : *word;
        word += curly ? 3 : 1;
    }
    survey_plain_word(out, marked, n);
}

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

/* The unit at `*at`, as far as a digit or a hyphen, and what follows it; NULL when none is. */
static const struct unit *unit_at(const char **at) {
    size_t length = strcspn(*at, "0123456789.-");
    for (size_t i = 0; i < N_UNITS; i++)
        if (strlen(units[i].word) == length && strncmp(units[i].word, *at, length) == 0) {
            *at += length;
            return &units[i];
        }
    return NULL;
}

static const char *past_hyphen(const char *at) {
    return at + (*at == '-' && at[1]);
}

/* A number and its unit, which may be the next word. Returns the words taken, 0 for none. */
static size_t read_piece(const char *at, const char *const *more, size_t n_more, double *number,
                         const struct unit **unit, const char **rest) {
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
    const struct unit *unit;
    double number;
    *taken = 0;
    *inches = 0;
    if (*rest) {
        if (!survey_split_number(past_hyphen(rest), inches, &rest))
            return false;
        unit = *rest ? unit_at(&rest) : NULL;
        return !*rest && (!unit || unit->meters == inch_m);
    }
    if (!n_more)
        return true;
    plain_word(next, more[0]);
    size_t words = read_piece(next, more + 1, n_more - 1, &number, &unit, &rest);
    if (words && !*rest && unit->meters == inch_m) {
        *inches = number;
        *taken = words;
    }
    return true;
}

size_t survey_read_length(const char *const *words, size_t n, double pace_m,
                          survey_length *out) {
    char plain[SURVEY_WORD_SIZE];
    const char *rest;
    const struct unit *unit;
    double number, inches = 0;
    size_t more = 0;
    plain_word(plain, words[0]);
    size_t taken = read_piece(plain, words + 1, n - 1, &number, &unit, &rest);
    if (!taken)
        return 0;
    if (unit->meters == foot_m &&
        !read_inches(taken == 1 ? rest : "", words + taken, n - taken, &inches, &more))
        return 0;
    if (unit->meters != foot_m && taken == 1 && *rest)
        return 0;
    double each_m = unit->meters > 0 ? unit->meters : pace_m;
    *out = (survey_length){number * each_m + inches * inch_m, unit->measure};
    return taken + more;
}
