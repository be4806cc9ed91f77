/* SPDX-License-Identifier: GPL-3.0-or-later */
/* names.c - names of walls, none of them twice, for openings refer to them.
 *
 * A hash with open addressing. Each name keeps how far its copies have been counted, so that a
 * thousand lines of one name are not a thousand searches each.
 */
#include <stdlib.h>
#include <string.h>

#include "plans.h"
#include "text.h"

struct plans_name {
    const char *name; /* NULL: free */
    size_t n_copies;
};

bool plans_names_begin(plans_names *names, size_t n) {
    names->n_slots = 64;
    while (names->n_slots < 2 * n)
        names->n_slots *= 2;
    names->slots = calloc(names->n_slots, sizeof *names->slots);
    return names->slots != NULL;
}

void plans_names_end(plans_names *names) {
    free(names->slots);
}

/* FNV-1a (Fowler, Noll, Vo), 32 bits; constants from memory. */
static struct plans_name *slot_of(const plans_names *names, const char *name) {
    unsigned hash = 2166136261u;
    for (const char *at = name; *at; at++)
        hash = (hash ^ (unsigned char)*at) * 16777619u;
    size_t i = hash & (names->n_slots - 1);
    while (names->slots[i].name && strcmp(names->slots[i].name, name) != 0)
        i = (i + 1) & (names->n_slots - 1);
    return &names->slots[i];
}

/* "-17" at `end`. */
static void write_number(char *end, size_t number) {
    char digits[TEXT_NUMBER_SIZE];
    size_t length = text_write_fixed(digits, (double)number, 0);
    *end = '-';
    memcpy(end + 1, digits, length);
    end[1 + length] = '\0';
}

void plans_names_take(plans_names *names, char *name) {
    struct plans_name *base = slot_of(names, name), *slot = base;
    char *end = name + strlen(name);
    while (slot->name) {
        write_number(end, ++base->n_copies + 1);
        slot = slot_of(names, name);
    }
    slot->name = name;
}
