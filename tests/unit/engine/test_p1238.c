/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_p1238.c - loss by distance alone against ITU-R P.1238 values. */
#include "p1238.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>

/* Edition -11, Table 2; the frequency goes in as GHz: as MHz it would be 30 gamma more. */
Test(p1238, site_general) {
    vectors *rows = vectors_read("p1238_site_general.csv");
    cr_assert_eq(vectors_n_rows(rows), 18);
    for (size_t i = 0; i < vectors_n_rows(rows); i++)
        cr_expect_float_eq(
            engine_p1238_general_db(
                vectors_number(rows, i, "alpha"), vectors_number(rows, i, "beta_db"),
                vectors_number(rows, i, "gamma"), vectors_number(rows, i, "freq_mhz"),
                vectors_number(rows, i, "distance_m")),
            vectors_number(rows, i, "loss_db"), vectors_number(rows, i, "tol_db"), "%s %s",
            vectors_text(rows, i, "environment"), vectors_text(rows, i, "condition"));
    vectors_free(rows);
}

/* A published worked value: residential, 2114 MHz, 31.3209 m, 2 floors: 88.3855 dB
 * (buildings-pathloss-test.cc of the public-safety models of usnistgov/psc-ns3). */
Test(p1238, worked_value) {
    cr_expect_float_eq(engine_p1238_house_db(2114, 31.3209, 2), 88.3855, 5e-5);
}

/* Floors of an office at 900 MHz: 9, 19, 24 dB (same Recommendation, Table 3). */
Test(p1238, office_floors) {
    double none = engine_p1238_office_db(900, 10, 0);
    static const double floors_db[] = {0, 9, 19, 24, 24};
    for (unsigned n = 0; n < 5; n++)
        cr_expect_float_eq(engine_p1238_office_db(900, 10, n) - none, floors_db[n], 1e-12);
}

/* With N = 20 the form is free space but for the rounding of its 28 (27.55): 0.45 dB. */
Test(p1238, free_space) {
    for (double d = 1; d < 100; d *= 2)
        cr_expect_float_eq(engine_p1238_db(900, 20, d, 0) -
                               20 * log10(4 * acos(-1) * d * 900e6 / 299792458.0),
                           -0.4478, 0.0005);
}
