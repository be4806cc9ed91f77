/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_names.c - no name twice, whatever the drawing calls its lines.
 */
#include <criterion/criterion.h>
#include <string.h>

#include "plans.h"

Test(names, copies_are_counted) {
    static const char *const given[] = {"a", "a", "a-2", "a", "b", "a-2", ""};
    static const char *const wanted[] = {"a", "a-2", "a-2-2", "a-3", "b", "a-2-3", ""};
    char made[7][PLANS_NAME_SIZE];
    plans_names names;
    cr_assert(plans_names_begin(&names, 7));
    for (size_t i = 0; i < 7; i++) {
        plans_names_take(&names, strcpy(made[i], given[i]));
        cr_expect_str_eq(made[i], wanted[i]);
    }
    plans_names_end(&names);
}

/* Quadratic counting would take minutes. */
Test(names, a_hundred_thousand_of_one_name, .timeout = 20) {
    enum { N = 100000 };
    static char made[N][PLANS_NAME_SIZE];
    plans_names names;
    cr_assert(plans_names_begin(&names, N));
    for (size_t i = 0; i < N; i++)
        plans_names_take(&names, strcpy(made[i], "wall"));
    cr_expect_str_eq(made[0], "wall");
    cr_expect_str_eq(made[N - 1], "wall-100000");
    plans_names_end(&names);
}
