/* SPDX-License-Identifier: GPL-3.0-or-later */
/* units.c - lengths as people write them: 3.5 m, 350 cm, 12' 6", 12ft6in, 6 1/2", 16 paces.
 *
 * A unit behind a number, or feet and inches. Marks of feet and inches come straight, curly and
 * as primes, since word processors turn one into another. The exact factors: 1 ft = 0.3048 m,
 * 1 in = 25.4 mm (international yard and pound agreement, 1959), and yard and mile follow. A
 * pace has no fixed length: the site says.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

enum { METERS, CENTIMETERS, MILLIMETERS, KILOMETERS, FEET, INCHES, YARDS, MILES, PACES };
static const survey_unit units[] = {
    [METERS] = {"m", 1, SURVEY_METRIC},           [CENTIMETERS] = {"cm", 0.01, SURVEY_METRIC},
    [MILLIMETERS] = {"mm", 0.001, SURVEY_METRIC}, [KILOMETERS] = {"km", 1000, SURVEY_METRIC},
    [FEET] = {"ft", 0.3048, SURVEY_FEET},         [INCHES] = {"in", 0.0254, SURVEY_FEET},
    [YARDS] = {"yd", 0.9144, SURVEY_FEET},        [MILES] = {"mi", 1609.344, SURVEY_FEET},
    [PACES] = {"paces", 0, SURVEY_PACES}};

/* All ways to write them, marks of two signs before those of one. */
static const struct {
    const char *word;
    size_t unit;
} words[] = {{"meters", METERS},
             {"metres", METERS},
             {"meter", METERS},
             {"metre", METERS},
             {"mm", MILLIMETERS},
             {"miles", MILES},
             {"mile", MILES},
             {"mi", MILES},
             {"m", METERS},
             {"km", KILOMETERS},
             {"yards", YARDS},
             {"yard", YARDS},
             {"yd", YARDS},
             {"cm", CENTIMETERS},
             {"feet", FEET},
             {"foot", FEET},
             {"ft", FEET},
             {"inches", INCHES},
             {"inch", INCHES},
             {"in", INCHES},
             {"paces", PACES},
             {"pace", PACES},
             {"steps", PACES},
             {"step", PACES},
             {"''", INCHES},
             {"\"", INCHES},
             {"\xE2\x80\x9C", INCHES},
             {"\xE2\x80\x9D", INCHES},
             {"\xE2\x80\xB3", INCHES},
             {"\xE2\x80\x99\xE2\x80\x99", INCHES},
             {"\xE2\x80\xB2\xE2\x80\xB2", INCHES},
             {"'", FEET},
             {"`", FEET},
             {"\xC2\xB4", FEET},
             {"\xE2\x80\x98", FEET},
             {"\xE2\x80\x99", FEET},
             {"\xE2\x80\xB2", FEET}};
enum { N_WORDS = sizeof words / sizeof *words };

/* What is left to read. */
struct rest {
    const char *at, *end;
    char decimal;
};

static void skip(struct rest *rest, const char *passed_over) {
    while (rest->at < rest->end && strchr(passed_over, *rest->at))
        rest->at++;
}

static bool is_letter(char c) {
    return text_lower(c) >= 'a' && text_lower(c) <= 'z';
}

/* Takes a unit and a point behind it ("ft."); NULL when there is none. A letter that goes on
 * makes it another word. */
static const survey_unit *take_unit(struct rest *rest) {
    size_t left = (size_t)(rest->end - rest->at);
    for (size_t i = 0; i < N_WORDS; i++) {
        size_t length = strlen(words[i].word), same = 0;
        while (same < length && same < left &&
               text_lower(rest->at[same]) == words[i].word[same])
            same++;
        if (same < length ||
            (same < left && is_letter(words[i].word[0]) && is_letter(rest->at[same])))
            continue;
        rest->at += length;
        if (rest->at < rest->end && *rest->at == '.' && is_letter(words[i].word[0]))
            rest->at++;
        return &units[words[i].unit];
    }
    return NULL;
}

const survey_unit *survey_unit_called(const char *word, size_t length) {
    struct rest rest = {word, word + length, '.'};
    skip(&rest, " ");
    const survey_unit *unit = take_unit(&rest);
    skip(&rest, " ");
    return rest.at == rest.end ? unit : NULL;
}

double survey_unit_m(const survey_unit *unit, double pace_m) {
    return unit->meters > 0 ? unit->meters : pace_m;
}

static bool take_number(struct rest *rest, double *number) {
    size_t length = text_number_span(rest->at, (size_t)(rest->end - rest->at));
    if (!length || text_read_number(rest->at, length, rest->decimal, number) != TEXT_NUMBER_OK)
        return false;
    rest->at += length;
    return true;
}

/* Takes "/2" behind the 1 that was read last. */
static bool take_divisor(struct rest *rest, double *number) {
    double divisor;
    if (rest->at == rest->end || *rest->at != '/')
        return false;
    rest->at++;
    if (!take_number(rest, &divisor) || divisor <= 0)
        return false;
    *number /= divisor;
    return true;
}

/* Takes 6, 6.5, 1/2 or 6 1/2. */
static bool take_quantity(struct rest *rest, double *number) {
    double part;
    if (!take_number(rest, number))
        return false;
    struct rest further = *rest;
    if (take_divisor(rest, number))
        return true;
    *rest = further;
    skip(&further, " ");
    if (further.at > rest->at && take_number(&further, &part) &&
        take_divisor(&further, &part)) {
        *number += part;
        *rest = further;
    }
    return true;
}

/* Takes the inches behind whole feet, their unit said or not. */
static bool take_inches(struct rest *rest, double *feet) {
    double inches;
    skip(rest, " -,");
    if (*feet != floor(*feet) || !take_quantity(rest, &inches) || inches < 0 || inches >= 12)
        return false;
    skip(rest, " ");
    if (rest->at < rest->end && take_unit(rest) != &units[INCHES])
        return false;
    *feet += inches / 12;
    return true;
}

static bool take_minus(struct rest *rest) {
    static const char minus[] = "\xE2\x88\x92"; /* U+2212 */
    size_t left = (size_t)(rest->end - rest->at);
    size_t length = left && *rest->at == '-'                       ? 1
                    : left >= 3 && memcmp(rest->at, minus, 3) == 0 ? 3
                                                                   : 0;
    rest->at += length;
    return length > 0;
}

static bool read_with_unit(struct rest rest, double *number, const survey_unit **unit) {
    skip(&rest, " ");
    if (rest.at < rest.end && *rest.at == '\'')
        rest.at++; /* a spreadsheet's mark of text */
    bool minus = take_minus(&rest);
    if (!take_quantity(&rest, number) || *number < 0)
        return false;
    skip(&rest, " ");
    *unit = take_unit(&rest);
    if (!*unit)
        return false;
    skip(&rest, " ");
    if (rest.at < rest.end && (*unit != &units[FEET] || !take_inches(&rest, number)))
        return false;
    skip(&rest, " ");
    *number = minus ? 0.0 - *number : *number;
    return rest.at == rest.end;
}

enum text_number survey_read_with_unit(const tables_cell *cell, char decimal, double *number,
                                       const survey_unit **unit) {
    struct rest rest = {cell->text, cell->text + cell->length, decimal};
    double with_unit;
    const survey_unit *own;
    enum text_number answer = text_read_number(cell->text, cell->length, decimal, number);
    *unit = NULL;
    if ((answer != TEXT_NUMBER_NOT && answer != TEXT_NUMBER_DATE) ||
        !read_with_unit(rest, &with_unit, &own))
        return answer;
    *unit = own;
    *number = with_unit;
    return TEXT_NUMBER_OK;
}
