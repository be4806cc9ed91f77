/* SPDX-License-Identifier: GPL-3.0-or-later */
/* must.h - how a fuzzer says that a promise was broken: it aborts, and the input at hand is
 * kept by whoever runs it.
 */
#ifndef FUZZ_MUST_H
#define FUZZ_MUST_H

#include <stdbool.h>
#include <stdlib.h>

static inline void must(bool holds) {
    if (!holds) {
        abort();
    }
}

#endif
