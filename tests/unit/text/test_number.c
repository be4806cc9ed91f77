/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_number.c - the reader and the writer of numbers against those of the C library.
 *
 * Test programs start in the "C" locale, where strtod rounds correctly and printf prints as
 * many digits of the exact value as it is asked for; both are the outside reference here.
 */
#include <criterion/criterion.h>
#include <float.h>
#include <locale.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text.h"

/* splitmix64 (S. Vigna, public domain, from memory): any fair generator would do. */
static uint64_t next_random(uint64_t *state) {
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

/* ---- writing ---- */

/* All digits of the exact value: a double has at most 1074 binary, so 1074 decimal, places. */
enum { ALL_PLACES = 1074, EXACT_SIZE = 1500 };

/* `exact` cut to `decimals` places and rounded half away from zero, by hand on the digits. */
static void round_digits(const char *exact, int decimals, char *out) {
    const char *point = strchr(exact, '.');
    size_t length = (size_t)(point - exact) + 1 + (size_t)decimals;
    char digits[64] = "0";
    memcpy(digits + 1, exact, length);
    digits[length + 1] = '\0';
    bool carry = exact[length] >= '5';
    for (size_t i = length; carry; i--) {
        if (digits[i] != '.') {
            carry = digits[i] == '9';
            digits[i] = carry ? '0' : (char)(digits[i] + 1);
        }
    }
    if (decimals == 0) {
        digits[length] = '\0'; /* the point */
    }
    strcpy(out, digits[0] == '0' ? digits + 1 : digits);
}

static void check_written(double value) {
    static char exact[EXACT_SIZE];
    snprintf(exact, sizeof exact, "%.*f", ALL_PLACES, fabs(value));
    for (int decimals = 0; decimals <= 9; decimals++) {
        char magnitude[64], want[66], got[TEXT_NUMBER_SIZE];
        round_digits(exact, decimals, magnitude);
        bool zero = strspn(magnitude, "0.") == strlen(magnitude);
        snprintf(want, sizeof want, "%s%s", value < 0 && !zero ? "-" : "", magnitude);
        char signed_want[68];
        snprintf(signed_want, sizeof signed_want, "%s%s", value > 0 && !zero ? "+" : "", want);
        cr_assert_eq(text_write_signed(got, value, decimals), strlen(signed_want));
        cr_assert_str_eq(got, signed_want);
        size_t length = text_write_fixed(got, value, decimals);
        cr_assert_str_eq(got, want, "%a with %d decimals: got %s, want %s", value, decimals,
                         got, want);
        cr_assert_eq(length, strlen(got));
    }
}

Test(number, written_as_the_exact_digits_say) {
    static const double edges[] = {0.0,    -0.0,   0.5,     -0.5,   1.5,     2.5,
                                   0.05,   0.15,   0.25,    0.35,   -0.04,   -0.05,
                                   0.95,   9.95,   99.95,   0.125,  0.375,   0.0625,
                                   1e-9,   5e-10,  4.9e-10, -5e-10, 1e-300,  DBL_MIN,
                                   5e-324, 868.35, 433.92,  -71.25, -174.05, 2.4414062500e-4,
                                   1e14,   1e15,   0.1,     0.3,    1.0 / 3, 2.0 / 3};
    for (size_t i = 0; i < sizeof edges / sizeof edges[0]; i++) {
        if (edges[i] < 1e15) {
            check_written(edges[i]);
            check_written(nextafter(edges[i], INFINITY));
            check_written(nextafter(edges[i], -INFINITY));
        }
    }
    check_written(nextafter(1e15, 0.0));

    uint64_t state = 1;
    for (int i = 0; i < 10000; i++) {
        uint64_t bits = next_random(&state);
        double sign = bits & 1 ? -1.0 : 1.0;
        double fraction = (double)(next_random(&state) >> 11) / 9007199254740992.0; /* 2^53 */
        /* any magnitude from 2^-64 to 2^49 */
        check_written(sign * ldexp(fraction, (int)(bits >> 8) % 114 - 64));
        /* what people write: up to 9 decimals */
        check_written(sign * (double)(bits >> 24) / pow(10.0, (double)(bits >> 8 & 15)));
        /* ties and near ties: few binary places */
        check_written(sign * ldexp((double)(bits >> 44), -(int)(bits >> 8 & 15)));
        /* next to a carry */
        check_written(sign * ((double)(bits >> 40 & 0xFFFF) - ldexp(fraction, -30)));
    }
}

Test(number, null_for_what_is_no_number) {
    const double values[] = {NAN, -NAN, INFINITY, -INFINITY, 1e15, -1e15, 1e300, DBL_MAX};
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        char got[TEXT_NUMBER_SIZE];
        cr_expect_eq(text_write_fixed(got, values[i], 3), 4);
        cr_expect_str_eq(got, "null");
        cr_expect_eq(text_write_number(got, values[i]), 4);
        cr_expect_str_eq(got, "null");
    }
}

Test(number, written_short) {
    static const struct {
        double value;
        const char *want;
    } rows[] = {
        {0.0, "0"},         {-0.0, "0"},           {-1e-10, "0"},    {100.0, "100"},
        {-2.50, "-2.5"},    {1e-9, "0.000000001"}, {868.3, "868.3"}, {1e14, "100000000000000"},
        {0.1 + 0.2, "0.3"}, {10.0, "10"},          {-0.75, "-0.75"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char got[TEXT_NUMBER_SIZE];
        cr_expect_eq(text_write_number(got, rows[i].value), strlen(rows[i].want));
        cr_expect_str_eq(got, rows[i].want);
    }
}

/* ---- reading ---- */

/* How many doubles lie between two of the same sign. */
static uint64_t ulps(double a, double b) {
    uint64_t a_bits, b_bits;
    memcpy(&a_bits, &a, sizeof a);
    memcpy(&b_bits, &b, sizeof b);
    return a_bits > b_bits ? a_bits - b_bits : b_bits - a_bits;
}

static void check_read(const char *text, uint64_t most_ulps) {
    double want = strtod(text, NULL), got = 12345.0;
    enum text_number answer = text_read_number(text, strlen(text), '.', &got);
    if (fabs(want) >= 1e15) {
        cr_assert_eq(answer, TEXT_NUMBER_TOO_LARGE, "%s", text);
        cr_assert_eq(got, 12345.0, "%s set the value", text);
        return;
    }
    cr_assert_eq(answer, TEXT_NUMBER_OK, "%s", text);
    cr_assert(want == got || ulps(want, got) <= most_ulps, "%s: got %a, want %a", text, got,
              want);
}

/* A decimal number of `n_digits` digits, with the point anywhere in or around them. */
static void write_random(uint64_t *state, int n_digits, char *out) {
    int point = (int)(next_random(state) % (unsigned)(n_digits + 1));
    *out++ = "+-"[next_random(state) & 1];
    for (int i = 0; i < n_digits; i++) {
        if (i == point) {
            *out++ = '.';
        }
        *out++ = (char)('0' + next_random(state) % 10);
    }
    *out = '\0';
}

Test(number, read_as_the_c_library_reads) {
    uint64_t state = 2;
    for (int i = 0; i < 60000; i++) {
        char text[128];
        int n_digits = 1 + i % 15;
        write_random(&state, n_digits, text);
        check_read(text, 0);
        /* The point moves at most 15 places, so that the power stays within 22: exact. */
        sprintf(text + strlen(text), "e%d", (int)(next_random(&state) % 23) - 7);
        check_read(text, 0);
        write_random(&state, 16 + i % 40, text);
        check_read(text, 2);
        sprintf(text + strlen(text), "E-%d", (int)(next_random(&state) % 10));
        check_read(text, 2);
    }
}

Test(number, read_at_the_edges) {
    static const char *const exact[] = {
        "0",
        "-0",
        "0.0",
        "00012",
        "1.",
        ".5",
        "+7",
        "-71.25",
        "1e3",
        "1E+3",
        "2.5e-3",
        "1500000",
        "0.1",
        "0.30000000000000000000000000000",
        "868.3",
        "999999999999999",
        "1e14",
        "1e15",
        "-1e15",
        "1e400",
        "1e-22",
        "123456789012345e-22",
        "0e999999999999",
        "0.000000000000000000000e30",
        "999999999999999.99",
        "1000000000000000000000000000000e-20",
        "0.00000000000000000001e30",
        "1e99999999999999999999",
        "1e-99999999999999999999",
        "1e-400",
    };
    for (size_t i = 0; i < sizeof exact / sizeof exact[0]; i++) {
        check_read(exact[i], 0);
    }
    /* Beyond what number.c promises to round correctly: within a few units all the same. */
    static const char *const tiny[] = {"1e-23", "1.7e-44", "9.99e-100", "1.23456789e-250",
                                       "2.5e-300"};
    for (size_t i = 0; i < sizeof tiny / sizeof tiny[0]; i++) {
        check_read(tiny[i], 8);
    }
}

Test(number, what_is_one_and_what_is_not) {
    static const struct {
        const char *text;
        char decimal;
        enum text_number want;
        double value;
    } rows[] = {
        {"", '.', TEXT_NUMBER_BLANK, 0},
        {" \t\r\n", '.', TEXT_NUMBER_BLANK, 0},
        {" 12.5 ", '.', TEXT_NUMBER_OK, 12.5},
        {"\t-3\n", '.', TEXT_NUMBER_OK, -3},
        {"\xE2\x88\x92"
         "7.5",
         '.', TEXT_NUMBER_OK, -7.5}, /* U+2212 */
        {"1e\xE2\x88\x92"
         "1",
         '.', TEXT_NUMBER_OK, 0.1},
        {"12,5", ',', TEXT_NUMBER_OK, 12.5},
        {"12", ',', TEXT_NUMBER_OK, 12},
        {"12.5", ',', TEXT_NUMBER_OK, 12.5}, /* no thousands, so nothing else */
        {"1.234", ',', TEXT_NUMBER_THOUSANDS, 0},
        {"0.234", ',', TEXT_NUMBER_OK, 0.234},
        {"1.2345", ',', TEXT_NUMBER_OK, 1.2345},
        {"1,234", ',', TEXT_NUMBER_OK, 1.234},
        {"1,234", '.', TEXT_NUMBER_THOUSANDS, 0},
        {"0,234", '.', TEXT_NUMBER_COMMA, 0},
        {"1,234,567", '.', TEXT_NUMBER_THOUSANDS, 0},
        {"1.234.567", ',', TEXT_NUMBER_THOUSANDS, 0},
        {"12 345", '.', TEXT_NUMBER_THOUSANDS, 0},
        {"12\xE2\x80\xAF"
         "345.5",
         '.', TEXT_NUMBER_THOUSANDS, 0}, /* U+202F */
        {"-1'234", '.', TEXT_NUMBER_THOUSANDS, 0},
        {"1 23", '.', TEXT_NUMBER_NOT, 0},
        {"1234 567", '.', TEXT_NUMBER_NOT, 0},
        {"'12.5", '.', TEXT_NUMBER_OK, 12.5},
        {"'", '.', TEXT_NUMBER_NOT, 0},
        {"85%", '.', TEXT_NUMBER_PERCENT, 0},
        {"3-Apr", '.', TEXT_NUMBER_DATE, 0},
        {"03. M\xC3\xA4rz", '.', TEXT_NUMBER_DATE, 0},
        {"Apr-03", '.', TEXT_NUMBER_DATE, 0},
        {"3/4/2026", '.', TEXT_NUMBER_DATE, 0},
        {"2026-04-03T10:00", '.', TEXT_NUMBER_DATE, 0},
        {"3-4", '.', TEXT_NUMBER_NOT, 0},
        {"3 apples", '.', TEXT_NUMBER_NOT, 0},
        {"12,5", '.', TEXT_NUMBER_COMMA, 0},
        {"-0,5", '.', TEXT_NUMBER_COMMA, 0},
        {"1,234.5", '.', TEXT_NUMBER_THOUSANDS, 0},
        {"1.234,5", '.', TEXT_NUMBER_THOUSANDS, 0},
        {"1,2,3", '.', TEXT_NUMBER_NOT, 0},
        {",", '.', TEXT_NUMBER_NOT, 0},
        {".", '.', TEXT_NUMBER_NOT, 0},
        {"-", '.', TEXT_NUMBER_NOT, 0},
        {"--1", '.', TEXT_NUMBER_NOT, 0},
        {"-+1", '.', TEXT_NUMBER_NOT, 0},
        {"- 1", '.', TEXT_NUMBER_NOT, 0},
        {"1 000", '.', TEXT_NUMBER_THOUSANDS, 0},
        {"-7l", '.', TEXT_NUMBER_NOT, 0},
        {"1e", '.', TEXT_NUMBER_NOT, 0},
        {"1e+", '.', TEXT_NUMBER_NOT, 0},
        {"e5", '.', TEXT_NUMBER_NOT, 0},
        {"0x10", '.', TEXT_NUMBER_NOT, 0},
        {"inf", '.', TEXT_NUMBER_NOT, 0},
        {"nan", '.', TEXT_NUMBER_NOT, 0},
        {"none", '.', TEXT_NUMBER_NOT, 0},
        {"1.5.", '.', TEXT_NUMBER_NOT, 0},
        {"1\xE2\x88", '.', TEXT_NUMBER_NOT, 0},
        {"\xE2\x88\x92", '.', TEXT_NUMBER_NOT, 0},
        {"1e15", '.', TEXT_NUMBER_TOO_LARGE, 0},
        {"1e400", '.', TEXT_NUMBER_TOO_LARGE, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double got = 99.0;
        enum text_number answer =
            text_read_number(rows[i].text, strlen(rows[i].text), rows[i].decimal, &got);
        double want = rows[i].want == TEXT_NUMBER_OK ? rows[i].value : 99.0;
        cr_expect_eq(answer, rows[i].want, "'%s'", rows[i].text);
        cr_expect_eq(got, want, "'%s' gave %g", rows[i].text, got);
    }
    double minus_zero = 1.0;
    text_read_number("-0", 2, '.', &minus_zero);
    cr_expect_not(signbit(minus_zero));
    double part = 0.0; /* only as much of a text as it is told */
    cr_expect_eq(text_read_number("12.75", 4, '.', &part), TEXT_NUMBER_OK);
    cr_expect_eq(part, 12.7);
}

/* Only what cannot stand between thousands tells which mark a file has. */
Test(number, decimal_marks) {
    static const struct {
        const char *text;
        char mark;
    } rows[] = {{"3,5", ','},     {"3.5", '.'},      {"-0,25 m", ','},   {"1.234,5", ','},
                {"1,234.5", '.'}, {"0.125", '.'},    {"1234.567", '.'},  {"1.234", 0},
                {"1,234", 0},     {"1.234.567", 0},  {"12", 0},          {"", 0},
                {"x 3,5", 0},     {"03.04.2026", 0}, {"12.5' 6\"", '.'}, {"'2,5", 0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char got = text_decimal_mark(rows[i].text, strlen(rows[i].text));
        cr_expect_eq(got, rows[i].mark, "%s: %d", rows[i].text, got);
    }
}

Test(number, what_was_written_reads_back) {
    uint64_t state = 3;
    for (int i = 0; i < 50000; i++) {
        double value = (double)(int64_t)(next_random(&state) >> 14) / 1e9 - 500000.0;
        char text[TEXT_NUMBER_SIZE];
        size_t length = text_write_number(text, value);
        double written = strtod(text, NULL), read = 0.0;
        cr_assert_eq(text_read_number(text, length, '.', &read), TEXT_NUMBER_OK);
        cr_assert_eq(read, written, "%s", text);
        cr_assert_leq(fabs(read - value), 0.5e-9 + fabs(value) * DBL_EPSILON, "%s", text);
    }
}

/* A host program in a country of decimal commas. */
Test(number, the_locale_makes_no_difference) {
    static const char *const comma_locales[] = {"de_DE.UTF-8", "de_DE.utf8", "de_DE",
                                                "fr_FR.UTF-8", "nl_NL.UTF-8"};
    size_t n = sizeof comma_locales / sizeof comma_locales[0], i = 0;
    while (i < n && !setlocale(LC_ALL, comma_locales[i])) {
        i++;
    }
    if (i == n) {
        cr_skip_test("no locale with a decimal comma is installed");
    }
    char libc[16];
    snprintf(libc, sizeof libc, "%.1f", 0.5);
    cr_assert_str_eq(libc, "0,5"); /* the locale is in force */
    char ours[TEXT_NUMBER_SIZE];
    text_write_fixed(ours, -1234.5, 2);
    cr_expect_str_eq(ours, "-1234.50");
    double value = 0.0;
    cr_expect_eq(text_read_number("-1234.5", 7, '.', &value), TEXT_NUMBER_OK);
    cr_expect_eq(value, -1234.5);
}
