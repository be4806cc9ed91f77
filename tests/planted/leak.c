/* SPDX-License-Identifier: GPL-3.0-or-later */
/* leak.c - a test that leaks on purpose.
 *
 * Criterion runs every test in a child process, and a leak reported there turns nothing red
 * unless sanitizer and valgrind are set up for it. This one must turn red, or that setup has
 * come undone.
 */
#include <stdlib.h>

#include <criterion/criterion.h>

Test(planted, leak) {
    char *volatile lost = malloc(1);
    cr_assert(lost != NULL);
    lost = NULL;
}
