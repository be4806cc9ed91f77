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

/* A word of the text that says a verdict, for whoever shows that with weight: a terminal, a
 * page. Marks stand beside the text and not in it, so that its bytes are the same for
 * everybody. */
typedef struct earshot_mark {
    size_t begin, size; /* bytes of the text */
    unsigned verdict;   /* an enum earshot_verdict */
} earshot_mark;

/* How many there are, and mark number `i`, from 0; in order, and none within another. */
size_t earshot_text_marks(const earshot_text *text);
earshot_mark earshot_text_mark_at(const earshot_text *text, size_t i);

#ifdef __cplusplus
}
#endif

#endif
