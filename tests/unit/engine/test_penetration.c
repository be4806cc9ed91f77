/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_penetration.c - loss between the rows of a table, by hand. */
#include "engine.h"

#include <criterion/criterion.h>
#include <math.h>

/* brick 300 and 450 MHz: 3.5/2; 800 and 930: 4/2.5, in a made-up table. */
static survey_penetration rows[] = {
    {300, 3.5, 2, "low"}, {450, 3.5, 2, "low"}, {800, 4, 2.5, "high"}, {930, 4, 2.5, "high"}};
static survey_construction construction = {.name = "brick", .first_row = 0, .n_rows = 4};
static const earshot_survey survey = {.constructions = &construction,
                                      .n_constructions = 1,
                                      .penetrations = rows,
                                      .n_penetrations = 4};

Test(penetration, between_and_beyond) {
    static const struct {
        double freq_mhz, loss_db, sd_db;
        bool far;
        const char *why;
    } cases[] = {
        {300, 3.5, 2, false, "at a row"},
        {345, 3.5, 2, false, "flat inside a band"},
        {433.92, 3.5, 2, false, "flat inside a band"},
        {868.3, 4, 2.5, false, "flat inside a band"},
        /* 600 = 450 (4/3): log(4/3) / log(800/450) = 0.287682 / 0.575364 = 0.5 exactly, for
         * 800/450 = 16/9 = (4/3)^2 */
        {600, 3.75, 2.25, false, "half way in log f"},
        {200, 3.5, 2, false, "a factor 1.5 below is still trusted"},
        {199, 3.5, 4, true, "beyond it 2 dB more doubt"},
        {1395, 4, 2.5, false, "a factor 1.5 above"},
        {2462, 4, 4.5, true, "beyond it 2 dB more doubt"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        engine_loss loss = engine_table_loss(&survey, 0, cases[i].freq_mhz);
        cr_expect_float_eq(loss.loss_db, cases[i].loss_db, 1e-12, "%g MHz: %s",
                           cases[i].freq_mhz, cases[i].why);
        cr_expect_float_eq(loss.sd_db, cases[i].sd_db, 1e-12, "%g MHz: %s", cases[i].freq_mhz,
                           cases[i].why);
        cr_expect_eq(loss.far, cases[i].far, "%g MHz: %s", cases[i].freq_mhz, cases[i].why);
    }
    cr_expect_str_eq(engine_table_loss(&survey, 0, 500).source, "low",
                     "the nearer row's source");
    cr_expect_str_eq(engine_table_loss(&survey, 0, 700).source, "high");
}
