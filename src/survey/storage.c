/* SPDX-License-Identifier: GPL-3.0-or-later */
/* storage.c - everything a survey owns, in one list of blocks released together.
 *
 * A survey is built once and never changed, so nothing in it is ever freed on its own. A
 * failure is remembered here, and the load looks at it once at the end of each builder instead
 * of after every line.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"

struct block {
    struct block *next;
    tables_sheet *sheet; /* closed with the block; NULL for plain memory */
    max_align_t memory[];
};

struct survey_storage {
    struct block *blocks;
    geometry_index *index;
    bool failed;
};

struct survey_storage *survey_storage_new(void) {
    return calloc(1, sizeof(struct survey_storage));
}

void survey_storage_free(struct survey_storage *storage) {
    if (!storage)
        return;
    for (struct block *block = storage->blocks; block;) {
        struct block *next = block->next;
        if (block->sheet)
            tables_close(block->sheet);
        free(block);
        block = next;
    }
    geometry_index_free(storage->index);
    free(storage);
}

bool survey_storage_failed(const struct survey_storage *storage) {
    return storage->failed;
}

static struct block *new_block(struct survey_storage *storage, size_t size) {
    struct block *block = NULL;
    if (size <= SIZE_MAX - sizeof *block)
        block = calloc(1, sizeof *block + size);
    if (!block) {
        storage->failed = true;
        return NULL;
    }
    block->next = storage->blocks;
    storage->blocks = block;
    return block;
}

void *survey_take(struct survey_storage *storage, size_t n, size_t size) {
    if (size && n > (SIZE_MAX / 2) / size) {
        storage->failed = true;
        return NULL;
    }
    struct block *block = new_block(storage, n * size);
    return block ? block->memory : NULL;
}

tables_sheet *survey_storage_sheet(struct survey_storage *storage) {
    struct block *block = new_block(storage, sizeof(tables_sheet));
    if (!block)
        return NULL;
    block->sheet = (tables_sheet *)(void *)block->memory;
    return block->sheet;
}

const char *survey_copy(struct survey_storage *storage, const char *string, size_t length) {
    char *copy = survey_take(storage, length + 1, 1);
    if (copy)
        memcpy(copy, string, length);
    return copy;
}

geometry_index *survey_storage_index(struct survey_storage *storage,
                                     const geometry_building *building) {
    storage->index = geometry_index_build(building);
    storage->failed = storage->failed || !storage->index;
    return storage->index;
}
