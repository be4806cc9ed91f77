/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_p1238.c - loss by distance alone against ITU-R P.1238 values. */
#include "p1238.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* A published worked value: residential, 2114 MHz, 31.3209 m, 2 floors: 88.3855 dB
 * (buildings-pathloss-test.cc of the public-safety models of usnistgov/psc-ns3). */
Test(p1238, worked_value) {
    cr_expect_float_eq(engine_p1238_house_db(2114, 31.3209, 2), 88.3855, 5e-5);
}

/* The Recommendation stops at three floors of an office; more count as three. */
Test(p1238, more_floors_than_known) {
    cr_expect_eq(engine_p1238_office_db(900, 10, 4), engine_p1238_office_db(900, 10, 3));
    cr_expect_eq(engine_p1238_office_db(900, 10, 100), engine_p1238_office_db(900, 10, 3));
}

/* A row of a table of the Recommendation belongs to a building and to frequencies ("900",
 * "1800-2000"), of which the lowest will do. */
static bool is_for(const vectors *rows, size_t i, const char *freq, const char *environment) {
    return strcmp(vectors_text(rows, i, "freq_mhz"), freq) == 0 &&
           strcmp(vectors_text(rows, i, "environment"), environment) == 0;
}

/* The tables to edition -9: each N through the formula, and those of the house and the office
 * as theirs. */
Test(p1238, power_loss_coefficients) {
    vectors *rows = vectors_read("p1238_power_loss_n.csv");
    int n_used = 0;
    cr_assert_eq(vectors_n_rows(rows), 19);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        double power_loss_n = vectors_number(rows, i, "n_db_per_decade");
        double freq_mhz = strtod(vectors_text(rows, i, "freq_mhz"), NULL);
        const char *confirmed = vectors_text(rows, i, "confirmed");
        cr_expect_float_eq(engine_p1238_db(freq_mhz, power_loss_n, 100, 0) -
                               engine_p1238_db(freq_mhz, power_loss_n, 1, 0),
                           2 * power_loss_n, 1e-9, "%g MHz (%s)", freq_mhz, confirmed);
        if (is_for(rows, i, "1800-2000", "residential") && ++n_used)
            cr_expect_float_eq(engine_p1238_house_db(868.3, 10, 0) -
                                   engine_p1238_house_db(868.3, 1, 0),
                               power_loss_n, 1e-9, "house (%s)", confirmed);
        if (is_for(rows, i, "900", "office") && ++n_used)
            cr_expect_float_eq(engine_p1238_office_db(868.3, 10, 0) -
                                   engine_p1238_office_db(868.3, 1, 0),
                               power_loss_n, 1e-9, "office (%s)", confirmed);
    }
    cr_expect_eq(n_used, 2);
    vectors_free(rows);
}

Test(p1238, floor_losses) {
    vectors *rows = vectors_read("p1238_floor_loss.csv");
    int n_used = 0;
    cr_assert_eq(vectors_n_rows(rows), 23);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        unsigned floors = (unsigned)vectors_number(rows, i, "n_floors");
        double loss_db = vectors_number(rows, i, "loss_db");
        const char *confirmed = vectors_text(rows, i, "confirmed");
        if (is_for(rows, i, "1800-2000", "residential") && ++n_used)
            cr_expect_float_eq(engine_p1238_house_db(868.3, 10, floors) -
                                   engine_p1238_house_db(868.3, 10, 0),
                               loss_db, 1e-9, "house, %u floors (%s)", floors, confirmed);
        if (is_for(rows, i, "900", "office") && ++n_used)
            cr_expect_float_eq(engine_p1238_office_db(868.3, 10, floors) -
                                   engine_p1238_office_db(868.3, 10, 0),
                               loss_db, 1e-9, "office, %u floors (%s)", floors, confirmed);
    }
    cr_expect_eq(n_used, 7);
    vectors_free(rows);
}

/* The formula is stated from 1 m; under that the distance counts as 1 m. */
Test(p1238, under_a_meter) {
    cr_expect_eq(engine_p1238_db(868.3, 28, 0.3, 0), engine_p1238_db(868.3, 28, 1, 0));
}

/* With N = 20 the form is free space but for the rounding of its 28 (27.55): 0.45 dB. */
Test(p1238, free_space) {
    for (double d = 1; d < 100; d *= 2)
        cr_expect_float_eq(engine_p1238_db(900, 20, d, 0) -
                               20 * log10(4 * acos(-1) * d * 900e6 / 299792458.0),
                           -0.4478, 0.0005);
}
