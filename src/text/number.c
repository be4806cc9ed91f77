/* SPDX-License-Identifier: GPL-3.0-or-later */
/* number.c - decimal numbers in and out, the same in every locale.
 *
 * Out: the digits are those of the exact value of the double, rounded once, half away from
 * zero. In: the digits are gathered into an integer and scaled by an exact power of ten, which
 * is correctly rounded while both are exact in a double (Clinger's fast path): 15 digits and
 * powers to 10^22. More digits, or values under 10^-22, cost half a unit in the last place for
 * each further rounding; a survey has no such numbers, so exact arithmetic for them is not
 * worth it.
 *
 *   [Clinger] W. D. Clinger, How to read floating point numbers accurately, PLDI 1990
 *   [Knuth]   D. E. Knuth, The art of computer programming 2, sec. 4.2.2, theorem B
 */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "text.h"

/* Numbers of this magnitude and more are neither read nor written. */
static const double too_large = 1e15;
enum { TOO_LARGE_EXPONENT = 15 };

/* All that are exact in a double: 5^22 is under 2^53, 5^23 is not. */
static const double powers_of_ten[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                       1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                       1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
enum { LARGEST_POWER = 22, MOST_DECIMALS = 9, MOST_DIGITS = 19 };

/* ---- writing ---- */

/* `fraction` (0 to 1) times 10^`decimals`, rounded to a whole number, halves up, exactly: the
 * fraction is split in two so that both products fit a double without rounding (24 and 29 bits
 * times the 21 bits of 5^9), and the error of their sum decides a tie. */
static uint64_t scaled_fraction(double fraction, int decimals) {
    double upper = (double)(float)fraction;
    double a = upper * powers_of_ten[decimals];
    double b = (fraction - upper) * powers_of_ten[decimals];
    double sum = a + b;
    double b_in_sum = sum - a;
    double error = (a - (sum - b_in_sum)) + (b - b_in_sum); /* [Knuth] a + b = sum + error */
    uint64_t whole = (uint64_t)sum;
    double rest = sum - (double)whole;
    return whole + (rest > 0.5 || (rest == 0.5 && error >= 0.0));
}

/* Writes the last `n_digits` digits of `value`, leading zeros and all. */
static char *put_digits(char *at, uint64_t value, int n_digits) {
    for (int i = n_digits - 1; i >= 0; i--) {
        at[i] = (char)('0' + value % 10);
        value /= 10;
    }
    return at + n_digits;
}

static int count_digits(uint64_t value) {
    int n = 1;
    while (value >= 10) {
        value /= 10;
        n++;
    }
    return n;
}

size_t text_write_fixed(char out[TEXT_NUMBER_SIZE], double value, int decimals) {
    double magnitude = fabs(value);
    if (!(magnitude < too_large)) { /* not-a-number too */
        memcpy(out, "null", 5);
        return 4;
    }
    uint64_t whole = (uint64_t)magnitude;
    uint64_t fraction = scaled_fraction(magnitude - (double)whole, decimals);
    if (fraction == (uint64_t)powers_of_ten[decimals]) {
        whole++;
        fraction = 0;
    }
    char *at = out;
    if (value < 0.0 && (whole > 0 || fraction > 0)) {
        *at++ = '-';
    }
    at = put_digits(at, whole, count_digits(whole));
    if (decimals > 0) {
        *at++ = '.';
        at = put_digits(at, fraction, decimals);
    }
    *at = '\0';
    return (size_t)(at - out);
}

size_t text_write_signed(char out[TEXT_NUMBER_SIZE], double value, int decimals) {
    size_t length = text_write_fixed(out, value, decimals);
    if (!(value > 0.0 && value < too_large) || strspn(out, "0.") == length) {
        return length;
    }
    memmove(out + 1, out, length + 1);
    out[0] = '+';
    return length + 1;
}

size_t text_write_number(char out[TEXT_NUMBER_SIZE], double value) {
    size_t length = text_write_fixed(out, value, MOST_DECIMALS);
    if (!strchr(out, '.')) {
        return length;
    }
    while (out[length - 1] == '0') {
        length--;
    }
    length -= out[length - 1] == '.';
    out[length] = '\0';
    return length;
}

/* ---- reading ---- */

/* What is left to read. */
struct span {
    const char *at, *end;
};

/* digits x 10^exponent. Zeros are put off until a digit follows them, so that neither 1500 nor
 * 1.500000000000000000 uses up digits on its tail. */
struct decimal {
    uint64_t digits;
    int n_digits;
    int64_t n_put_off;
    int64_t exponent;
    bool any;
};

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static void trim(struct span *text) {
    while (text->at < text->end && is_blank(*text->at)) {
        text->at++;
    }
    while (text->at < text->end && is_blank(text->end[-1])) {
        text->end--;
    }
}

static bool take(struct span *text, const char *token) {
    size_t length = strlen(token);
    if ((size_t)(text->end - text->at) < length || memcmp(text->at, token, length) != 0) {
        return false;
    }
    text->at += length;
    return true;
}

/* Takes a sign, if there is one; true when it is a minus. */
static bool take_sign(struct span *text) {
    bool minus = take(text, "-") || take(text, "\xE2\x88\x92"); /* U+2212 */
    if (!minus) {
        take(text, "+");
    }
    return minus;
}

static void add_digit(struct decimal *number, unsigned digit) {
    if (digit == 0 && number->digits == 0) {
        return;
    }
    if (digit == 0 || number->n_digits + number->n_put_off >= MOST_DIGITS) {
        number->n_put_off++;
        return;
    }
    for (; number->n_put_off > 0; number->n_put_off--) {
        number->digits *= 10;
        number->n_digits++;
    }
    number->digits = number->digits * 10 + digit;
    number->n_digits++;
}

static void take_digits(struct span *text, struct decimal *number, bool after_point) {
    for (; text->at < text->end && *text->at >= '0' && *text->at <= '9'; text->at++) {
        add_digit(number, (unsigned)(*text->at - '0'));
        number->exponent -= after_point;
        number->any = true;
    }
}

/* Takes "e-3", if there is one; false when an "e" has no digits behind it. */
static bool take_exponent(struct span *text, struct decimal *number) {
    enum { FAR = 1000000000 }; /* past any length of digits that could bring it back */
    if (!take(text, "e") && !take(text, "E")) {
        return true;
    }
    bool minus = take_sign(text);
    int64_t exponent = 0;
    const char *first = text->at;
    for (; text->at < text->end && *text->at >= '0' && *text->at <= '9'; text->at++) {
        exponent = exponent < FAR ? exponent * 10 + (*text->at - '0') : exponent;
    }
    number->exponent += minus ? -exponent : exponent;
    return text->at > first;
}

/* The value of a number under 10^15. */
static double scale(uint64_t digits, int64_t exponent) {
    double value = (double)digits;
    if (exponent >= 0) {
        return value * powers_of_ten[exponent];
    }
    for (; exponent < -LARGEST_POWER && value > 0.0; exponent += LARGEST_POWER) {
        value /= powers_of_ten[LARGEST_POWER];
    }
    return value > 0.0 ? value / powers_of_ten[-exponent] : 0.0;
}

static enum text_number read_decimal(struct span text, const char *point, double *value) {
    bool minus = take_sign(&text);
    struct decimal number = {0};
    take_digits(&text, &number, false);
    if (take(&text, point)) {
        take_digits(&text, &number, true);
    }
    if (!number.any || !take_exponent(&text, &number) || text.at < text.end) {
        return TEXT_NUMBER_NOT;
    }
    number.exponent += number.n_put_off;
    double magnitude = 0.0;
    if (number.digits > 0) {
        if (number.n_digits + number.exponent > TOO_LARGE_EXPONENT) {
            return TEXT_NUMBER_TOO_LARGE;
        }
        magnitude = scale(number.digits, number.exponent);
    }
    if (magnitude >= too_large) { /* 999999999999999.99 is, once rounded to a double */
        return TEXT_NUMBER_TOO_LARGE;
    }
    *value = minus ? 0.0 - magnitude : magnitude; /* "-0" is 0 */
    return TEXT_NUMBER_OK;
}

/* ---- what is nearly a number ---- */

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static size_t count_digits_at(const struct span *text) {
    size_t n = 0;
    while (text->at + n < text->end && is_digit(text->at[n])) {
        n++;
    }
    return n;
}

/* The mark between two groups of thousands that begins here, or NULL: a comma, a point, a
 * blank of one of three widths, an apostrophe of one of two shapes. */
static const char *group_mark(const struct span *text) {
    static const char *const marks[] = {
        ",", ".", " ", "'", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x99"};
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
        struct span rest = *text;
        if (take(&rest, marks[i])) {
            return marks[i];
        }
    }
    return NULL;
}

/* 1,234 or 1.234.567,8 or 12 500: one to three digits, then groups of three. */
static bool is_grouped(struct span text) {
    take_sign(&text);
    size_t first = count_digits_at(&text);
    if (first < 1 || first > 3 || *text.at == '0') {
        return false;
    }
    text.at += first;
    const char *mark = group_mark(&text);
    bool any = false;
    while (mark && take(&text, mark)) {
        if (count_digits_at(&text) != 3) {
            return false;
        }
        text.at += 3;
        any = true;
    }
    if (any && (take(&text, ",") || take(&text, "."))) {
        text.at += count_digits_at(&text);
    }
    return any && text.at == text.end;
}

static bool is_letter(char c) {
    return (text_lower(c) >= 'a' && text_lower(c) <= 'z') || (unsigned char)c >= 0x80;
}

static size_t count_letters_at(const struct span *text) {
    size_t n = 0;
    while (text->at + n < text->end && is_letter(text->at[n])) {
        n++;
    }
    return n;
}

/* Takes digits or the name of a month; false when there is neither. */
static bool take_part_of_date(struct span *text, bool *named) {
    size_t digits = count_digits_at(text), letters = count_letters_at(text);
    *named = *named || letters >= 3;
    text->at += digits ? digits : letters;
    return (digits > 0 && digits <= 4) || letters >= 3;
}

/* 3-Apr, Apr-03, 3/4/2026, 2026-04-03, 03.04.26: parts with one mark between them, three of
 * them or one a name. A time may follow. */
static bool is_date(struct span text) {
    bool named = false;
    int parts = 0;
    while (take_part_of_date(&text, &named)) {
        parts++;
        if (text.at == text.end || *text.at == ' ' || *text.at == 'T') {
            break;
        }
        if (!take(&text, "-") && !take(&text, "/") && !take(&text, ".")) {
            return false;
        }
        take(&text, " "); /* 3. Apr */
    }
    bool whole = text.at == text.end || parts == 3;
    return whole && (parts == 3 || (parts == 2 && named));
}

static enum text_number read_nearly(struct span text, char decimal, double *value) {
    double number;
    if (is_grouped(text)) {
        return TEXT_NUMBER_THOUSANDS;
    }
    if (read_decimal(text, decimal == ',' ? "." : ",", &number) == TEXT_NUMBER_OK) {
        if (decimal != ',') {
            return TEXT_NUMBER_COMMA;
        }
        *value = number; /* no thousands, so it can only be a fraction */
        return TEXT_NUMBER_OK;
    }
    if (text.end[-1] == '%') {
        return TEXT_NUMBER_PERCENT;
    }
    return is_date(text) ? TEXT_NUMBER_DATE : TEXT_NUMBER_NOT;
}

enum text_number text_read_number(const char *text, size_t length, char decimal,
                                  double *value) {
    struct span whole = {text, text + length};
    trim(&whole);
    if (whole.at == whole.end) {
        return TEXT_NUMBER_BLANK;
    }
    if (whole.at + 1 < whole.end) {
        take(&whole, "'"); /* a spreadsheet's mark of a number entered as text */
    }
    enum text_number answer = read_decimal(whole, decimal == ',' ? "," : ".", value);
    return answer == TEXT_NUMBER_NOT ? read_nearly(whole, decimal, value) : answer;
}

size_t text_number_span(const char *text, size_t length) {
    struct span whole = {text, text + length};
    take_sign(&whole);
    const char *first = whole.at;
    while (whole.at < whole.end &&
           (is_digit(*whole.at) || *whole.at == '.' || *whole.at == ',')) {
        whole.at++;
    }
    if (whole.at == first) {
        return 0;
    }
    struct span exponent = whole;
    struct decimal unused = {0};
    bool good = take_exponent(&exponent, &unused);
    return (size_t)((good ? exponent.at : whole.at) - text);
}

char text_decimal_mark(const char *text, size_t length) {
    struct span whole = {text, text + length};
    trim(&whole);
    size_t span = text_number_span(whole.at, (size_t)(whole.end - whole.at));
    struct span number = {whole.at, whole.at + span};
    size_t n_points = 0, n_commas = 0;
    char last = '\0';
    for (const char *at = number.at; at < number.end; at++) {
        n_points += *at == '.';
        n_commas += *at == ',';
        last = *at == '.' || *at == ',' ? *at : last;
    }
    if (n_points + n_commas == 0 || (last == '.' ? n_points : n_commas) > 1 ||
        (n_points + n_commas == 1 && is_grouped(number))) {
        return '\0';
    }
    return last;
}
