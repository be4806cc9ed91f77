/* SPDX-License-Identifier: GPL-3.0-or-later */
/* printing.c - a function that prints on purpose. Beside the library's objects in an archive,
 * or alone in a module of WebAssembly, it must be seen, or what keeps stdio out has come
 * undone.
 */
#include <stdio.h>

void planted_say(int n);

void planted_say(int n) {
    printf("%d\n", n);
}
