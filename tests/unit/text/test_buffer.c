/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_buffer.c - the buffer holds what was put in, in order, and owns up when memory ran out.
 */
#include <criterion/criterion.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "shortage.h"
#include "text.h"

Test(buffer, an_empty_one_is_an_empty_string) {
    earshot_text *text = earshot_text_new();
    cr_assert_not_null(text);
    cr_expect_str_eq(earshot_text_data(text), "");
    cr_expect_eq(earshot_text_size(text), 0);
    text_add(text, "");
    text_add_bytes(text, "x", 0);
    cr_expect_str_eq(earshot_text_data(text), "");
    cr_expect_not(earshot_text_cut(text));
    earshot_text_free(text);
    earshot_text_free(NULL);
}

Test(buffer, keeps_everything_in_order) {
    enum { TIMES = 5000 };
    static const char piece[] = "zone 7: a\0b, "; /* zero bytes count like any other */
    static char want[TIMES * (sizeof piece - 1)];
    earshot_text *text = earshot_text_new();
    for (size_t i = 0; i < TIMES; i++) {
        memcpy(want + i * (sizeof piece - 1), piece, sizeof piece - 1);
        text_add_bytes(text, piece, sizeof piece - 1);
        cr_assert_eq(earshot_text_data(text)[earshot_text_size(text)], '\0');
    }
    cr_assert_eq(earshot_text_size(text), sizeof want);
    cr_expect_eq(memcmp(earshot_text_data(text), want, sizeof want), 0);
    earshot_text_free(text);
}

/* Reference: printf of the C library. */
Test(buffer, counts_and_numbers) {
    static const size_t counts[] = {0, 1, 9, 10, 99, 100, 12345, UINT32_MAX, SIZE_MAX};
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        char want[32];
        snprintf(want, sizeof want, "%zu", counts[i]);
        earshot_text *text = earshot_text_new();
        text_add_count(text, counts[i]);
        cr_expect_str_eq(earshot_text_data(text), want);
        earshot_text_free(text);
    }
    earshot_text *text = earshot_text_new();
    text_add_fixed(text, -71.25, 1);
    text_add(text, " dBm, ");
    text_add_number(text, 868.3);
    cr_expect_str_eq(earshot_text_data(text), "-71.3 dBm, 868.3");
    earshot_text_free(text);
}

Test(buffer, text_from_outside_stays_in_its_line) {
    earshot_text *text = earshot_text_new();
    text_add(text, "a\n");
    text_add_in_line(text, "front\r\ndoor\x1B[2J");
    text_add_in_line(text, "");
    text_add_bytes_in_line(text, "x\0\xC3\xBC\xC3", 4);
    text_add(text, "\n");
    cr_expect_str_eq(earshot_text_data(text), "a\nfront  door [2Jx \xC3\xBC\n");
    earshot_text_free(text);
}

Test(buffer, a_cut_one_holds_a_beginning) {
    shortage_begin(0);
    cr_expect_null(earshot_text_new());
    shortage_end();

    enum { N_LINES = 500 };
    for (long n = 0; n < 5; n++) {
        earshot_text *text = earshot_text_new();
        shortage_begin(n);
        for (size_t i = 0; i < N_LINES; i++) {
            text_add_count(text, i % 10);
            text_add(text, " 23456789");
        }
        cr_expect_eq(earshot_text_cut(text), shortage_end() > 0, "%ld allocations allowed", n);
        size_t size = earshot_text_size(text);
        cr_expect_eq(earshot_text_data(text)[size], '\0');
        text_add(text, "more");
        cr_expect_eq(earshot_text_size(text), size + (earshot_text_cut(text) ? 0 : 4));
        for (size_t i = 0; i < size; i++) {
            char want = i % 10 == 0 ? (char)('0' + i / 10 % 10) : " 23456789"[i % 10 - 1];
            cr_assert_eq(earshot_text_data(text)[i], want, "byte %zu", i);
        }
        earshot_text_free(text);
    }
}

/* Marks stand beside the text: in order, as many as were made, the bytes untouched. */
Test(buffer, marks) {
    enum { TIMES = 100 };
    earshot_text *text = earshot_text_new();
    cr_expect_eq(earshot_text_marks(text), 0);
    for (unsigned i = 0; i < TIMES; i++) {
        text_mark(text, earshot_text_size(text), 4, i % 4);
        text_add(text, "word ");
    }
    cr_expect_eq(earshot_text_size(text), 5 * TIMES);
    cr_assert_eq(earshot_text_marks(text), TIMES);
    for (unsigned i = 0; i < TIMES; i++) {
        const earshot_mark mark = earshot_text_mark_at(text, i);
        cr_expect(mark.begin == 5 * i && mark.size == 4 && mark.verdict == i % 4, "%u", i);
    }
    shortage_begin(0);
    while (!earshot_text_cut(text) && earshot_text_marks(text) < 2 * TIMES)
        text_mark(text, 0, 1, 0);
    cr_expect_gt(shortage_end(), 0);
    cr_expect(earshot_text_cut(text));
    earshot_text_free(text);
}
