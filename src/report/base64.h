/* SPDX-License-Identifier: GPL-3.0-or-later */
/* base64.h - inside the report room: bytes as letters, back, and a sum that shows damage. */
#ifndef REPORT_BASE64_H
#define REPORT_BASE64_H

#include <stdint.h>

#include "text.h"

/* In lines of 76 letters, without an end to the last. */
void base64_write(earshot_text *out, const void *data, size_t size);

/* Blanks and line ends between letters do not count. `out` has room for 3 bytes of each 4
 * letters, or part of 4. False: it is something else; what was written is then of no use. */
bool base64_read(const char *text, size_t length, unsigned char *out, size_t *size);

uint32_t base64_sum(const void *data, size_t size);

#endif
