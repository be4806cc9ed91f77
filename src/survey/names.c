/* SPDX-License-Identifier: GPL-3.0-or-later */
/* names.c - which row is called so: one index of names for each table.
 *
 * A hash table with open addressing over names that live elsewhere, made for a number of names
 * known beforehand. A name counts within a scope, a number of the caller's: the rings of one
 * level, the inputs of one serial. The first of two equal names stays. The names are kept in
 * the order they came in, too, for a hint of what was meant.
 *
 *   [FNV] FNV-1a, 64 bits: Fowler, Noll, Vo; constants from memory
 */
#include <stdint.h>
#include <string.h>

#include "rows.h"

struct survey_names {
    const char **names; /* in order of arrival */
    size_t *scopes, *rows;
    size_t n, most;
    size_t *slots; /* 0: free; else one more than the number of a name */
    size_t mask;   /* of a power of two slots, at least twice as many as names */
};

struct survey_names *survey_names_new(struct survey_storage *storage, size_t most) {
    size_t n_slots = 8;
    while (n_slots / 2 < most)
        n_slots *= 2;
    struct survey_names *names = survey_take(storage, 1, sizeof *names);
    if (!names)
        return NULL;
    *names = (struct survey_names){.names = survey_take(storage, most + 1, sizeof(char *)),
                                   .scopes = survey_take(storage, most + 1, sizeof(size_t)),
                                   .rows = survey_take(storage, most + 1, sizeof(size_t)),
                                   .slots = survey_take(storage, n_slots, sizeof(size_t)),
                                   .most = most,
                                   .mask = n_slots - 1};
    return survey_storage_failed(storage) ? NULL : names;
}

static uint64_t hash_of(size_t scope, const char *name) {
    uint64_t hash = 14695981039346656037u ^ scope; /* [FNV] */
    hash *= 1099511628211u;
    for (; *name; name++)
        hash = (hash ^ (unsigned char)*name) * 1099511628211u;
    return hash ^ hash >> 32;
}

/* The slot of the name, or the free one where it belongs. */
static size_t *slot_of(const struct survey_names *names, size_t scope, const char *name) {
    size_t at = (size_t)hash_of(scope, name) & names->mask;
    while (names->slots[at] && (names->scopes[names->slots[at] - 1] != scope ||
                                strcmp(names->names[names->slots[at] - 1], name) != 0))
        at = (at + 1) & names->mask;
    return &names->slots[at];
}

size_t survey_names_find(const struct survey_names *names, size_t scope, const char *name) {
    size_t slot = names ? *slot_of(names, scope, name) : 0;
    return slot ? names->rows[slot - 1] : EARSHOT_NONE;
}

void survey_names_put(struct survey_names *names, size_t scope, const char *name, size_t row) {
    size_t *slot = names ? slot_of(names, scope, name) : NULL;
    if (!slot || *slot || names->n == names->most)
        return;
    names->names[names->n] = name;
    names->scopes[names->n] = scope;
    names->rows[names->n] = row;
    *slot = ++names->n;
}

size_t survey_names_all(const struct survey_names *names, const char *const **all) {
    *all = names ? names->names : NULL;
    return names ? names->n : 0;
}
