/* SPDX-License-Identifier: GPL-3.0-or-later */
/* decode.h - a log in the encoding of some meter, as UTF-8.
 *
 * Inside the tables room only.
 */
#ifndef TABLES_DECODE_H
#define TABLES_DECODE_H

#include <stdbool.h>

#include "earshot/text.h"

/* Makes UTF-8 of UTF-16 with a byte order mark, or of text in the code page of Western Windows.
 * `*owned` is then new memory, to be freed, and `*out` speaks of it; of other bytes `*out` is
 * `bytes` and `*owned` NULL. False without memory. */
bool decode_log(const earshot_bytes *bytes, earshot_bytes *out, char **owned);

#endif
