/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_floors.c - floors together against COST 231, and by properties. */
#include "engine.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <gsl/gsl_rng.h>
#include <math.h>

static const double b = 0.46;              /* COST 231 final report, Table 4.7.2 */
static const double equal_floor_db = 18.3; /* same */

static double loss_db(const double *losses, size_t n, bool saturate) {
    engine_sum sum = {0};
    for (size_t i = 0; i < n; i++) {
        sum.sum_db += losses[i];
        sum.table_db += losses[i];
        sum.heaviest_db = fmax(sum.heaviest_db, losses[i]);
    }
    return engine_floors(&sum, saturate, b).loss_db;
}

Test(floors, cost231) {
    vectors *rows = vectors_read("cost231_floor_term.csv");
    cr_assert_eq(vectors_n_rows(rows), 6);
    for (size_t i = 0; i < 6; i++) {
        double losses[6] = {equal_floor_db, equal_floor_db, equal_floor_db,
                            equal_floor_db, equal_floor_db, equal_floor_db};
        size_t n = (size_t)vectors_number(rows, i, "floors");
        double tol_db = vectors_number(rows, i, "tol_db");
        cr_expect_float_eq(loss_db(losses, n, true), vectors_number(rows, i, "floor_term_db"),
                           tol_db, "%zu floors: %s", n, vectors_text(rows, i, "source"));
        cr_expect_float_eq(loss_db(losses, n, false), vectors_number(rows, i, "linear_db"),
                           tol_db, "%zu floors: %s", n, vectors_text(rows, i, "source"));
    }
    vectors_free(rows);
}

Test(floors, one_more_never_lowers) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    for (int trial = 0; trial < 100000; trial++) {
        double losses[9];
        size_t n = gsl_rng_uniform_int(rng, 6);
        for (size_t i = 0; i <= n; i++)
            losses[i] =
                gsl_rng_uniform(rng) < 0.2 ? gsl_rng_uniform(rng) : 20 * gsl_rng_uniform(rng);
        double before = loss_db(losses, n, true), after = loss_db(losses, n + 1, true);
        cr_assert(after >= before - 1e-12, "%zu floors: %.17g, then %.17g", n, before, after);
    }
    gsl_rng_free(rng);
}

/* One that loses more than the tables say is no floor more: by hand, two of 10 dB have k = 2,
 * 2^(4/3 - 1.46) = 0.915945 of their sum. */
Test(floors, what_readings_tell) {
    engine_sum sum = {.sum_db = 23, .table_db = 20, .heaviest_db = 10, .n = 2};
    engine_together together = engine_floors(&sum, true, b);
    cr_expect_float_eq(together.per_db, 0.915945290, 1e-9);
    cr_expect_float_eq(together.loss_db, 23 * 0.915945290, 1e-7);
}
