/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_lengths.c - how many words a length takes, what it was measured in, and what is none.
 *
 * The foot of 1959 is 0.3048 m and has 12 inches; 3 feet are a yard, 5,280 a mile. A pace is
 * the site's, here 0.8 m.
 */
#include "lengths.h"

#include <criterion/criterion.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

Test(lengths, read) {
    static const struct {
        const char *words[5];
        size_t taken; /* 0: none */
        double length_m;
        enum survey_measure measure;
    } rows[] = {
        {{"12m", "brick"}, 1, 12, SURVEY_METRIC},
        {{"12.5", "M", "brick"}, 2, 12.5, SURVEY_METRIC},
        {{"12-m"}, 1, 12, SURVEY_METRIC},
        {{"two", "meters"}, 2, 2, SURVEY_METRIC},
        {{"-5m"}, 1, -5, SURVEY_METRIC},
        {{"0km"}, 1, 0, SURVEY_METRIC},
        {{"3yd"}, 1, 9 * 0.3048, SURVEY_FEET},
        {{"2mi"}, 1, 2 * 5280 * 0.3048, SURVEY_FEET},
        {{"12'6\""}, 1, 12.5 * 0.3048, SURVEY_FEET},
        {{"12'-6\""}, 1, 12.5 * 0.3048, SURVEY_FEET},
        {{"12'6''"}, 1, 12.5 * 0.3048, SURVEY_FEET},
        {{"12\xE2\x80\xB2"
          "6\xE2\x80\xB3"},
         1,
         12.5 * 0.3048,
         SURVEY_FEET}, /* prime, double prime */
        {{"12'", "6\"", "brick"}, 2, 12.5 * 0.3048, SURVEY_FEET},
        {{"12", "ft", "6", "inches", "brick"}, 4, 12.5 * 0.3048, SURVEY_FEET},
        {{"12ft", "6", "bricks"}, 1, 12 * 0.3048, SURVEY_FEET},
        {{"12ft", "6m"}, 1, 12 * 0.3048, SURVEY_FEET},
        {{"16", "paces"}, 2, 16 * 0.8, SURVEY_PACES},
        {{"12"}, 0, 0, SURVEY_METRIC},
        {{"m"}, 0, 0, SURVEY_METRIC},
        {{"12", "brick"}, 0, 0, SURVEY_METRIC},
        {{"12mm5"}, 0, 0, SURVEY_METRIC},
        {{"12ft6m"}, 0, 0, SURVEY_METRIC},
        {{"12ft6in7"}, 0, 0, SURVEY_METRIC},
        {{"12,5m"}, 0, 0, SURVEY_METRIC},
        {{"1.2.3m"}, 0, 0, SURVEY_METRIC},
        {{"12mx"}, 0, 0, SURVEY_METRIC},
        {{""}, 0, 0, SURVEY_METRIC},
        {{"-"}, 0, 0, SURVEY_METRIC},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        survey_length length = {77, SURVEY_PACES};
        size_t n = 0;
        while (n < 5 && rows[i].words[n])
            n++;
        cr_expect_eq(survey_read_length(rows[i].words, n, 0.8, &length), rows[i].taken, "%s",
                     rows[i].words[0]);
        cr_expect_float_eq(length.length_m, rows[i].taken ? rows[i].length_m : 77, 1e-9, "%s",
                           rows[i].words[0]);
        if (rows[i].taken)
            cr_expect_eq(length.measure, rows[i].measure, "%s", rows[i].words[0]);
    }
}
