/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_noise.c - man-made noise against ITU-R P.372 values computed apart. */
#include "engine.h"
#include "noise.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

Test(noise, man_made) {
    static const char *const names[] = {"city", "residential", "rural", "quiet_rural"};
    vectors *rows = vectors_read("p372_man_made_noise.csv");
    cr_assert_geq(vectors_n_rows(rows), 20);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        const char *name = vectors_text(rows, i, "surroundings");
        int at = 0;
        while (at < 4 && strcmp(names[at], name) != 0)
            at++;
        cr_assert_lt(at, 4, "%s", name);
        double freq_mhz = vectors_number(rows, i, "freq_mhz");
        double tol_db = vectors_number(rows, i, "tol_db");
        double fam_db = engine_man_made_db((enum survey_surroundings)at, freq_mhz);
        cr_expect_float_eq(fam_db, vectors_number(rows, i, "fam_db"), tol_db, "%s %g", name,
                           freq_mhz);
        const survey_radio radio = {.freq_mhz = freq_mhz,
                                    .sensitivity_dbm = NAN,
                                    .bandwidth_khz = 50,
                                    .noise_figure_db = 8};
        double needed_dbm = engine_needed_dbm(&radio, (enum survey_surroundings)at, -INFINITY);
        if (at != SURVEY_CITY || freq_mhz > 900) /* below, cities have a form of their own */
            cr_expect_float_eq(needed_dbm, vectors_number(rows, i, "noise_floor_dbm"), tol_db);
        if (at == SURVEY_CITY)
            cr_expect_float_eq(engine_city_noise_db(freq_mhz),
                               vectors_number(rows, i, "fam_city_form_db"), tol_db);
    }
    vectors_free(rows);
}

Test(noise, powers_add) {
    cr_expect_float_eq(engine_add_dbm(-100, -100), -100 + 10 * log10(2), 1e-12);
    cr_expect_float_eq(engine_add_dbm(-100, -INFINITY), -100, 1e-12);
    cr_expect_float_eq(engine_add_dbm(-90, -100), 10 * log10(1.1e-9), 1e-12);
    cr_expect(isnan(engine_add_dbm(NAN, -INFINITY)) && isnan(engine_add_dbm(-90, NAN)));
    cr_expect_eq(engine_add_dbm(-90, -101), engine_add_dbm(-101, -90));
}
