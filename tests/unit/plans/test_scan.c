/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_scan.c - numbers and lengths by the grammar of [SVG 1.1] (W3C, August 2011).
 */
#include <criterion/criterion.h>
#include <math.h>

#include "plans.h"

Test(scan, numbers_end_where_the_grammar_ends_them) {
    static const struct {
        const char *source, *text;
        double value;
        size_t length; /* 0: none */
    } rows[] = {
        {"sec. 8.3.9: an integer", "100", 100, 3},
        {"sec. 8.3.9: M 100-200 is M 100 -200", "100-200", 100, 3},
        {"sec. 8.3.9: M 0.6.5 is M 0.6 .5", "0.6.5", 0.6, 3},
        {"sec. 8.3.9: a fraction alone", ".5", 0.5, 2},
        {"sec. 8.3.9: a point and nothing behind", "7.", 7, 2},
        {"sec. 8.3.9: signs", "-1.5", -1.5, 4},
        {"sec. 8.3.9: signs", "+2", 2, 2},
        {"sec. 8.3.9: an exponent", "1e3 ", 1000, 3},
        {"sec. 8.3.9: an exponent with a sign", "25E-1", 2.5, 5},
        {"sec. 7.10: 1em is a number and a unit", "1em", 1, 1},
        {"no number", "", 0, 0},
        {"no number", "-", 0, 0},
        {"no number", ".", 0, 0},
        {"no number", "nan", 0, 0},
        {"no number", "inf", 0, 0},
        {"no number", "0x10", 0, 1},
        {"too large", "1e999", 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *at = rows[i].text;
        double value = 0;
        bool found = plans_number(&at, &value);
        cr_expect_eq(found, rows[i].length > 0, "%s: %s", rows[i].source, rows[i].text);
        cr_expect_eq((size_t)(at - rows[i].text), rows[i].length, "%s: %s", rows[i].source,
                     rows[i].text);
        cr_expect_float_eq(value, rows[i].value, 1e-12, "%s: %s", rows[i].source, rows[i].text);
    }
}

/* CSS 2.1 (W3C, June 2011) sec. 4.3.2: 1in is 2.54cm is 96px, 1pt is 1/72in, 1pc is 12pt. */
Test(scan, lengths_with_units) {
    static const struct {
        const char *text;
        double units; /* not a number: refused */
    } rows[] = {{"10", 10},       {"10px", 10}, {"1in", 96},    {"2.54cm", 96},
                {"25.4mm", 96},   {"72pt", 96}, {"6pc", 96},    {" 5mm ", 5 * 96 / 25.4},
                {"50%", 100},     {"1em", NAN}, {"1ex", NAN},   {"ten", NAN},
                {"10 px x", NAN}, {"", NAN},    {"1e999", NAN}, {"5MM", NAN},
                {"5 mm", NAN}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double units = -7;
        bool read = plans_length(rows[i].text, 200, &units);
        cr_expect_eq(read, !isnan(rows[i].units), "'%s'", rows[i].text);
        cr_expect_float_eq(units, read ? rows[i].units : -7, 1e-9, "'%s': %g", rows[i].text,
                           units);
    }
    double units;
    cr_expect_not(plans_length("50%", NAN, &units), "a percentage of what nobody knows");
}
