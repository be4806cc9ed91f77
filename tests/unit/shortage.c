/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shortage.c - the allocators that --wrap puts in place of the real ones; see shortage.h. */
#include "shortage.h"

#include <stdbool.h>
#include <stdlib.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *memory, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *memory, size_t size);

static bool armed;
static bool alone; /* only one is refused */
static long n_left;
static long n_refused;

void shortage_begin(long n) {
    armed = true;
    alone = false;
    n_left = n;
    n_refused = 0;
}

void shortage_once(long n) {
    shortage_begin(n);
    alone = true;
}

long shortage_end(void) {
    armed = false;
    return n_refused;
}

static bool refuse(void) {
    if (!armed || n_left-- > 0 || (alone && n_refused)) {
        return false;
    }
    n_refused++;
    return true;
}

void *__wrap_malloc(size_t size) {
    return refuse() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size) {
    return refuse() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *memory, size_t size) {
    return refuse() ? NULL : __real_realloc(memory, size);
}
