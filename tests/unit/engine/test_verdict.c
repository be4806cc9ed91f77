/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_verdict.c - margin and doubt to a verdict, at and beside each limit.
 *
 * Limits of z: 0.90 is 1.281551566, 0.95 is 1.644853627, 0.99 is 2.326347874 (tables of the
 * normal distribution; tests/vectors/lognormal_margin.csv has them too).
 */
#include "engine.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>

static const earshot_survey survey = {.site = {.required_margin_db = 10,
                                               .life_safety_margin_db = 14,
                                               .confidence = 0.90,
                                               .life_safety_confidence = 0.95}};

/* Without a static fade everything is normal. */
static const earshot_belief no_fade = {.static_sd_db = 0};

Test(verdict, limits) {
    static const struct {
        double margin_db, sd_db;
        bool life_safety, read;
        enum earshot_verdict verdict;
        const char *why;
    } rows[] = {
        {10 + 1.2816 * 8, 8, false, false, EARSHOT_FIRM, "just 90 % sure"},
        {10 + 1.2815 * 8, 8, false, false, EARSHOT_THIN, "just not"},
        {14 + 1.6449 * 8, 8, true, false, EARSHOT_FIRM, "life safety: 14 dB and 95 %"},
        {14 + 1.6448 * 8, 8, true, false, EARSHOT_THIN, "just not"},
        {10 + 1.2816 * 8, 8, true, false, EARSHOT_THIN,
         "enough for others, not for life safety"},
        {0.1, 8, false, false, EARSHOT_THIN, "it closes, but that is not assured"},
        {-0.1, 8, false, false, EARSHOT_OUT, "likelier not heard than heard"},
        {10, 0, false, false, EARSHOT_FIRM, "no doubt at all"},
        {9.9, 0, false, false, EARSHOT_THIN, "no doubt at all"},
        {30, 10, false, false, EARSHOT_FIRM, "10 dB of doubt are judged"},
        {10, 10.01, false, false, EARSHOT_NOT_JUDGED, "more are not"},
        {10, 10.01, false, true, EARSHOT_THIN, "but with a reading they are"},
        {10 + 2.3264 * 12, 12, false, false, EARSHOT_FIRM, "99 % sure in spite of the doubt"},
        {10 + 2.3263 * 12, 12, false, false, EARSHOT_NOT_JUDGED, "just not"},
        {-2.3264 * 12, 12, false, false, EARSHOT_OUT, "99 % sure that it won't reach"},
        {-2.3263 * 12, 12, false, false, EARSHOT_NOT_JUDGED, "just not"},
        {NAN, 8, false, false, EARSHOT_NOT_JUDGED, "a value is missing"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        earshot_link link = {.life_safety = rows[i].life_safety};
        earshot_prediction prediction = {.margin_db = rows[i].margin_db};
        const engine_told told = {.normal_db2 = rows[i].sd_db * rows[i].sd_db,
                                  .in_place = rows[i].read,
                                  .level_dbm = NAN};
        engine_judge(&survey, &no_fade, &link, &told, &prediction);
        cr_expect_eq(prediction.verdict, rows[i].verdict, "row %zu: %s", i, rows[i].why);
        if (rows[i].sd_db > 0 && !isnan(rows[i].margin_db))
            cr_expect_float_eq(prediction.chance,
                               gsl_cdf_ugaussian_P(prediction.spare_db / rows[i].sd_db), 1e-12,
                               "row %zu: GSL", i);
    }
}

/* The project's worked numbers, all normal, nothing else known, 15 dB shown where 10 is
 * required. Read in place only session 2 and meter 2 remain, sd sqrt(8): 0.961. Read nearby,
 * the reading's own static fade 5.6 and the zone's come on top, sd sqrt(8 + 2 x 31.36): 0.724.
 */
Test(verdict, worked_chances) {
    static const struct {
        double sd_db, chance;
    } rows[] = {{2.8284271247461903, 0.961}, {8.409518416651, 0.724}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        earshot_prediction prediction = {.margin_db = 15};
        const engine_told told = {.normal_db2 = rows[i].sd_db * rows[i].sd_db,
                                  .level_dbm = NAN};
        engine_judge(&survey, &no_fade, &(earshot_link){.life_safety = false}, &told,
                     &prediction);
        cr_expect_float_eq(prediction.chance, rows[i].chance, 0.0005);
    }
}

/* Counts and levels of the link itself are not outvoted. Common practice, no source. */
Test(verdict, what_was_read_there_is_heeded) {
    static const struct {
        unsigned trips, heard;
        double level_dbm;
        enum earshot_verdict verdict;
        unsigned note;
    } rows[] = {
        {0, 0, NAN, EARSHOT_FIRM, 0},
        {10, 10, NAN, EARSHOT_FIRM, 0},
        {10, 9, NAN, EARSHOT_FIRM, 0},
        {10, 8, NAN, EARSHOT_THIN, EARSHOT_NOTE_FEW_HEARD},
        {10, 5, NAN, EARSHOT_THIN, EARSHOT_NOTE_FEW_HEARD},
        {10, 4, NAN, EARSHOT_OUT, EARSHOT_NOTE_FEW_HEARD},
        {3, 1, NAN, EARSHOT_OUT, EARSHOT_NOTE_FEW_HEARD},
        {2, 0, NAN, EARSHOT_THIN, EARSHOT_NOTE_FEW_HEARD},
        {0, 0, -92.9, EARSHOT_FIRM, 0}, /* needed -100, required 10: 3 dB are allowed */
        {0, 0, -93.1, EARSHOT_THIN, EARSHOT_NOTE_READ_LOW},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        earshot_link link = {.life_safety = false};
        earshot_prediction prediction = {.margin_db = 60, .needed_dbm = -100};
        const engine_told told = {.normal_db2 = 16,
                                  .in_place = true,
                                  .trips = rows[i].trips,
                                  .heard = rows[i].heard,
                                  .level_dbm = rows[i].level_dbm,
                                  .level_slack_db = 3};
        engine_judge(&survey, &no_fade, &link, &told, &prediction);
        cr_expect_eq(prediction.verdict, rows[i].verdict, "row %zu", i);
        cr_expect_eq(prediction.notes, rows[i].note, "row %zu", i);
    }
}
