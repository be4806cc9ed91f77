/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_penetration_sources.c - the sources of penetration.csv bear the numbers they claim.
 *
 * Every "N dB" in a source is looked up under the publication named last before it. A number
 * that no publication stands before is the project's own, and the source must then say so. What
 * is known from memory only must say that.
 */
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_CITED = 64 };

/* The place of the last `phrase` in the first `size` bytes of a text; NULL: none. */
static const char *last_before(const char *text, size_t size, const char *phrase) {
    const char *found = NULL;
    for (const char *at = text; (at = strstr(at, phrase)) && (size_t)(at - text) < size; at++)
        found = at;
    return found;
}

/* The publication named last before a place in a source; NULL: none. */
static const char *publication_before(const vectors *cited, const char *source, size_t place) {
    const char *publication = NULL, *latest = NULL;
    for (size_t i = 0; i < vectors_n_rows(cited); i++) {
        const char *name = vectors_text(cited, i, "publication");
        const char *found = last_before(source, place, name);
        if (found && (!latest || found > latest)) {
            publication = name;
            latest = found;
        }
    }
    return publication;
}

/* Half a unit of the last digit of a number as it is printed. */
static double half_digit(const char *number, const char *end) {
    const char *point = memchr(number, '.', (size_t)(end - number));
    return 0.5 * pow(10, point ? -(double)(end - point - 1) : 0);
}

/* Marks what the number stands for as quoted; a number that its publication does not have fails
 * the test. */
static void look_up(const vectors *cited, const char *source, const char *number,
                    const char *end, bool *quoted) {
    const char *publication = publication_before(cited, source, (size_t)(number - source));
    if (!publication) {
        cr_expect_not_null(strstr(source, "no source"), "whose number is it? %s", source);
        return;
    }
    double tol_db = half_digit(number, end) + 1e-9;
    for (size_t i = 0; i < vectors_n_rows(cited); i++)
        if (strcmp(vectors_text(cited, i, "publication"), publication) == 0 &&
            fabs(vectors_number(cited, i, "loss_db") - strtod(number, NULL)) <= tol_db) {
            quoted[i] = true;
            if (strcmp(vectors_text(cited, i, "confirmed"), "memory") == 0)
                cr_expect_not_null(strstr(source, "from memory"), "%s", source);
            return;
        }
    cr_expect_fail("%s has no %.*s dB: %s", publication, (int)(end - number), number, source);
}

/* Whether what follows a number makes it a loss: "3.4 dB", and the first of "12.9 and 16.2 dB".
 */
static bool is_loss(const char *end) {
    double second;
    int read = 0;
    return strncmp(end, " dB", 3) == 0 ||
           (sscanf(end, " and %lf dB%n", &second, &read) == 1 && read > 0);
}

static size_t look_up_all(const vectors *cited, const char *source, bool *quoted) {
    size_t n = 0;
    for (const char *at = source; *at;) {
        size_t size = strspn(at, "0123456789.");
        if (size > 0 && is_loss(at + size)) {
            look_up(cited, source, at, at + size, quoted);
            n++;
        }
        at += size > 0 ? size : 1;
    }
    return n;
}

Test(penetration_sources, quoted_numbers) {
    bool quoted[MAX_CITED] = {false};
    size_t n = 0;
    vectors *cited = vectors_read("cited_losses.csv");
    vectors *rows = vectors_read("../../materials/penetration.csv");
    cr_assert_leq(vectors_n_rows(cited), MAX_CITED);
    for (size_t i = 0; i < vectors_n_rows(rows); i++)
        n += look_up_all(cited, vectors_text(rows, i, "source"), quoted);
    cr_expect_geq(n, 100, "%zu numbers found", n);
    for (size_t i = 0; i < vectors_n_rows(cited); i++)
        cr_expect(quoted[i], "nothing quotes %s, %s", vectors_text(cited, i, "publication"),
                  vectors_text(cited, i, "of"));
    vectors_free(rows);
    vectors_free(cited);
}

/* 3GPP TR 38.901 Table 7.4.3-1: a + b f, f in GHz, at 868.3 MHz. */
Test(penetration_sources, tr38901) {
    vectors *rows = vectors_read("tr38901_material_loss.csv");
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        double a_db, b_db_per_ghz;
        cr_assert_eq(sscanf(vectors_text(rows, i, "formula"), "%lf+%lff", &a_db, &b_db_per_ghz),
                     2);
        cr_expect_float_eq(a_db + b_db_per_ghz * 0.8683, vectors_number(rows, i, "loss_868_db"),
                           vectors_number(rows, i, "tol_db"), "%s: %s",
                           vectors_text(rows, i, "source"), vectors_text(rows, i, "material"));
    }
    vectors_free(rows);
}
