/* SPDX-License-Identifier: GPL-3.0-or-later */
/* loud.c - a module that prints on purpose: its imports must be seen, or the check that
 * earshot.wasm has none has come undone.
 */
#include <stdio.h>

__attribute__((export_name("say"))) void say(int n) {
    printf("%d\n", n);
}
