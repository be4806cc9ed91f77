/* SPDX-License-Identifier: GPL-3.0-or-later */
/* buffer.c - the growing buffer that every writer of the library writes into.
 *
 * Writers add line after line without looking; the first failure to grow is remembered,
 * everything after it is dropped, and the one who asked for the text looks once, at the end. So
 * the bytes in a cut buffer are always a beginning of the whole, never a whole with a hole in
 * it.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "text.h"

struct earshot_text {
    char *data; /* NULL until the first write; from then on a NUL stands behind `size` bytes */
    size_t size;
    size_t capacity;
    earshot_mark *marks;
    size_t n_marks, marks_capacity;
    bool cut;
};

enum { FIRST_CAPACITY = 256, FIRST_MARKS = 8 };

earshot_text *earshot_text_new(void) {
    return calloc(1, sizeof(earshot_text));
}

void earshot_text_free(earshot_text *text) {
    if (text) {
        free(text->data);
        free(text->marks);
        free(text);
    }
}

const char *earshot_text_data(const earshot_text *text) {
    return text->data ? text->data : "";
}

size_t earshot_text_size(const earshot_text *text) {
    return text->size;
}

bool earshot_text_cut(const earshot_text *text) {
    return text->cut;
}

void text_lose(earshot_text *text) {
    text->cut = true;
}

/* Makes room for `n_more` bytes and the NUL; at least doubles, so that adding stays cheap. */
static bool make_room(earshot_text *text, size_t n_more) {
    if (n_more < text->capacity - text->size) {
        return true;
    }
    if (n_more > SIZE_MAX / 2 - text->size - 1) {
        return false;
    }
    size_t wanted = text->size + n_more + 1;
    size_t doubled = text->capacity ? 2 * text->capacity : FIRST_CAPACITY;
    size_t capacity = wanted > doubled ? wanted : doubled;
    char *data = realloc(text->data, capacity);
    if (!data) {
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    return true;
}

void text_add_bytes(earshot_text *text, const char *bytes, size_t n_bytes) {
    if (text->cut || n_bytes == 0) {
        return;
    }
    if (!make_room(text, n_bytes)) {
        text->cut = true;
        return;
    }
    memcpy(text->data + text->size, bytes, n_bytes);
    text->size += n_bytes;
    text->data[text->size] = '\0';
}

void text_add(earshot_text *text, const char *string) {
    text_add_bytes(text, string, strlen(string));
}

void text_mark(earshot_text *text, size_t begin, size_t size, unsigned verdict) {
    if (text->cut)
        return;
    if (text->n_marks == text->marks_capacity) {
        size_t capacity = text->marks_capacity ? 2 * text->marks_capacity : FIRST_MARKS;
        earshot_mark *marks = realloc(text->marks, capacity * sizeof *marks);
        if (!marks) {
            text->cut = true;
            return;
        }
        text->marks = marks;
        text->marks_capacity = capacity;
    }
    text->marks[text->n_marks++] =
        (earshot_mark){.begin = begin, .size = size, .verdict = verdict};
}

size_t earshot_text_marks(const earshot_text *text) {
    return text->n_marks;
}

earshot_mark earshot_text_mark_at(const earshot_text *text, size_t i) {
    return text->marks[i];
}

void text_add_bytes_in_line(earshot_text *text, const char *bytes, size_t n_bytes) {
    text_add_bytes(text, bytes, n_bytes);
    if (!text->cut && n_bytes > 0) {
        text_make_line(text->data + text->size - n_bytes, n_bytes);
    }
}

void text_add_in_line(earshot_text *text, const char *string) {
    text_add_bytes_in_line(text, string, strlen(string));
}

static void add_doubled(earshot_text *text, const char *string) {
    for (; *string; string++)
        text_add_bytes(text, *string == '"' ? "\"\"" : string, *string == '"' ? 2 : 1);
}

void text_add_cell(earshot_text *text, const char *string) {
    const char *quote = strpbrk(string, "\",;\n\r\t") ? "\"" : "";
    text_add(text, quote);
    add_doubled(text, string);
    text_add(text, quote);
}

void text_add_safe_cell(earshot_text *text, const char *string) {
    if (!string[0] || !strchr("=+-@\t\r", string[0])) {
        text_add_cell(text, string);
        return;
    }
    text_add(text, "\"'");
    add_doubled(text, string);
    text_add(text, "\"");
}

void text_add_count(earshot_text *text, size_t count) {
    char digits[20]; /* 2^64 has 20 */
    size_t first = sizeof digits;
    do {
        digits[--first] = (char)('0' + count % 10);
        count /= 10;
    } while (count > 0);
    text_add_bytes(text, digits + first, sizeof digits - first);
}

void text_add_fixed(earshot_text *text, double value, int decimals) {
    char number[TEXT_NUMBER_SIZE];
    text_add_bytes(text, number, text_write_fixed(number, value, decimals));
}

void text_add_signed(earshot_text *text, double value, int decimals) {
    char number[TEXT_NUMBER_SIZE];
    text_add_bytes(text, number, text_write_signed(number, value, decimals));
}

void text_add_number(earshot_text *text, double value) {
    char number[TEXT_NUMBER_SIZE];
    text_add_bytes(text, number, text_write_number(number, value));
}
