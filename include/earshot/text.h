/* SPDX-License-Identifier: GPL-3.0-or-later */
/* text.h - bytes in, bytes out: what goes into the library and what comes out of it.
 *
 * The library opens no file. The caller reads the tables of a survey and hands them over as
 * named bytes; the library writes its answers into a growing buffer, and the caller decides
 * where those bytes go.
 */
#ifndef EARSHOT_TEXT_H
#define EARSHOT_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* One table, or any other input, as bytes. Everything is borrowed from the caller for the
 * length of the call; `name` is what findings call the file ("walls.csv" or a path). */
typedef struct earshot_bytes {
    const char *name;
    const void *data;
    size_t size;
} earshot_bytes;

/* A growing buffer of UTF-8 text. Opaque: read it with the functions below. */
typedef struct earshot_text earshot_text;

/* A new, empty buffer; NULL when memory ran out. The caller owns it. */
earshot_text *earshot_text_new(void);

/* Releases the buffer. NULL is fine. */
void earshot_text_free(earshot_text *text);

/* The bytes so far, with a NUL behind them; borrowed until the next write or the free. */
const char *earshot_text_data(const earshot_text *text);

/* How many bytes there are, the NUL not counted. */
size_t earshot_text_size(const earshot_text *text);

/* True once a write found no memory. What is in the buffer is then cut short, and must not be
 * used; every writer of the library turns this into EARSHOT_NO_MEMORY. */
bool earshot_text_cut(const earshot_text *text);

#ifdef __cplusplus
}
#endif

#endif
