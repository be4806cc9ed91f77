/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_labels.c - turned boxes that touch or don't, and what lies under one. Cases by hand.
 */
#include "labels.h"

#include <criterion/criterion.h>

Test(labels, boxes_touch) {
    const labels_box at_rest = {{0, 0}, 4, 2, 0};
    const struct {
        labels_box box;
        bool touch;
    } cases[] = {
        {{{3.9, 0}, 4, 2, 0}, true},
        {{{4.1, 0}, 4, 2, 0}, false},
        {{{0, 2.1}, 4, 2, 0}, false},
        /* Turned upright it reaches 1 to the side and 2 up and down. */
        {{{2.9, 0}, 4, 2, 90}, true},
        {{{3.1, 0}, 4, 2, 90}, false},
        {{{0, 2.9}, 4, 2, 90}, true},
        /* Turned by 45 degrees its corner is 2.121 from its middle. */
        {{{4.1, 0}, 3, 3, 45}, true},
        {{{4.2, 0}, 3, 3, 45}, false},
        /* Corner to corner: their upright boxes overlap, they don't. */
        {{{3.4, 2.4}, 3, 3, 45}, false},
        {{{2.9, 1.9}, 3, 3, 45}, true},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        cr_expect_eq(labels_touch(&at_rest, &cases[i].box), cases[i].touch, "case %zu", i);
        cr_expect_eq(labels_touch(&cases[i].box, &at_rest), cases[i].touch, "case %zu", i);
    }
}

Test(labels, taken_places_and_the_frame) {
    labels *of = labels_new((earshot_dot){10, 20}, 100, 50);
    const labels_box taken = {{30, 40}, 10, 4, 0};
    const labels_box cases[] = {{{30, 41}, 2, 2, 0},
                                {{30, 44}, 2, 2, 0},
                                {{12, 40}, 3, 2, 0},
                                {{11, 40}, 3, 2, 0},
                                {{30, 69.5}, 2, 2, 0}};
    const bool free_there[] = {false, true, true, false, false};
    cr_assert_not_null(of);
    cr_assert(labels_take(of, &taken));
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        cr_expect_eq(labels_free_at(of, &cases[i]), free_there[i], "case %zu", i);
    labels_free(of);
}

Test(labels, what_lies_under_a_box) {
    labels *of = labels_new((earshot_dot){0, 0}, 50, 50);
    const labels_box on = {{25, 25}, 6, 2, 0}, off = {{25, 35}, 6, 2, 0};
    cr_assert_not_null(of);
    labels_shade(of, (earshot_dot){5, 25}, (earshot_dot){45, 25}, 0, 7);
    cr_expect_gt(labels_shaded(of, &on, 3), 0);
    cr_expect_eq(labels_shaded(of, &on, 7), 0, "its own line");
    cr_expect_eq(labels_shaded(of, &off, 3), 0);
    labels_shade(of, (earshot_dot){5, 25}, (earshot_dot){45, 25}, 3, 9);
    cr_expect_eq(labels_shaded(of, &on, 7), 1, "all of it on a band of 3 mm");
    labels_free(of);
}
