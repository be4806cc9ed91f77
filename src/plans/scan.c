/* SPDX-License-Identifier: GPL-3.0-or-later */
/* scan.c - numbers, lengths and words as attributes of SVG have them.
 *
 *   [SVG 1.1]  Scalable Vector Graphics (SVG) 1.1 (Second Edition), W3C, August 2011
 *   [CSS]      CSS Values and Units Level 3, sec. 6.2: 96 px are an inch
 */
#include <string.h>

#include "plans.h"
#include "text.h"

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

const char *plans_skip_blanks(const char *at) {
    while (is_blank(*at))
        at++;
    return at;
}

static const char *skip_digits(const char *at) {
    while (is_digit(*at))
        at++;
    return at;
}

const char *plans_skip(const char *at) {
    at = plans_skip_blanks(at);
    return *at == ',' ? plans_skip_blanks(at + 1) : at;
}

/* [SVG 1.1] sec. 8.3.9, number: sign, digits and a point, exponent. An "e" with no digits
 * behind it is no exponent: "1em". */
static const char *end_of_number(const char *at) {
    const char *digits = at + (*at == '+' || *at == '-');
    const char *end = skip_digits(digits);
    size_t n = (size_t)(end - digits);
    if (*end == '.') {
        const char *fraction = skip_digits(end + 1);
        n += (size_t)(fraction - end - 1);
        end = fraction;
    }
    if (n == 0)
        return at;
    if (*end != 'e' && *end != 'E')
        return end;
    const char *exponent = end + 1 + (end[1] == '+' || end[1] == '-');
    return is_digit(*exponent) ? skip_digits(exponent) : end;
}

bool plans_number(const char **at, double *value) {
    const char *end = end_of_number(*at);
    if (end == *at || text_read_number(*at, (size_t)(end - *at), '.', value) != TEXT_NUMBER_OK)
        return false;
    *at = end;
    return true;
}

/* User units of one of the unit, by [SVG 1.1] sec. 7.10 and [CSS]; 0: not one that can be
 * known.
 */
static double size_of(const char *unit, size_t length) {
    static const struct {
        const char *unit;
        double size;
    } units[] = {{"", 1},           {"px", 1},         {"in", 96},      {"mm", 96 / 25.4},
                 {"cm", 96 / 2.54}, {"pt", 96 / 72.0}, {"pc", 96 / 6.0}};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strlen(units[i].unit) == length && strncmp(units[i].unit, unit, length) == 0)
            return units[i].size;
    return 0;
}

bool plans_length(const char *text, double whole, double *units) {
    double value;
    const char *unit = plans_skip_blanks(text);
    if (!plans_number(&unit, &value))
        return false;
    size_t length = strlen(unit);
    while (length > 0 && is_blank(unit[length - 1]))
        length--;
    double size = length == 1 && *unit == '%' ? whole / 100 : size_of(unit, length);
    if (!(size > 0))
        return false;
    *units = value * size;
    return true;
}

size_t plans_word(const char **at) {
    *at = plans_skip_blanks(*at);
    size_t length = 0;
    while ((*at)[length] && !is_blank((*at)[length]))
        length++;
    return length;
}
