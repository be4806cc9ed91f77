/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_observations.c - rows of readings.csv, gathered.
 *
 * What is wanted is written out by hand beside each row; the mean of the better trips is held
 * to a simulation by GSL's generator.
 */
#include "calibration.h"
#include "earshot/earshot.h"
#include "folder.h"
#include "observations.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* Two sensors and a receiver on a plan without walls; a third sensor that stands nowhere. */
struct gathered {
    folder tables;
    earshot_survey *survey;
    earshot_belief *prior;
    calibration_observations of;
};

static const char columns[] = "heard_at,device,reading,scale,visit,trips,heard,placed,doors,"
                              "pad_db,on_level,x_m,y_m,height_m,radio";

static struct gathered gather_used(const char *rows, const unsigned char *use) {
    struct gathered gathered = {.tables.n = 0};
    char readings[4000];
    snprintf(readings, sizeof readings, "%s\n%s", columns, rows);
    folder_put(&gathered.tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&gathered.tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n");
    folder_put(&gathered.tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio\na,sensor,ground,0,0,1,868-10mw\n"
               "b,sensor,ground,5,0,1,868-10mw\nlost,sensor,,,,,868-10mw\n"
               "p,receiver,ground,5,5,1,868-10mw\nq,receiver,ground,0,8,1,868-10mw\n");
    folder_put(&gathered.tables, "scales.csv",
               "scale,reading,dbm,kind,edge_sd_db,offset_sd_db,source\n"
               "deaf,,-95,bottom,,3,made up: shows nothing under -95 dBm\n"
               "deaf,10,-90,value,,3,made up\ndeaf,60,-40,value,,3,made up\n");
    folder_put(&gathered.tables, "readings.csv", readings);
    gathered.survey = folder_load(&gathered.tables);
    cr_assert_eq(earshot_belief_prior(gathered.survey, &gathered.prior), EARSHOT_OK);
    cr_assert_eq(calibration_observe(gathered.survey, gathered.prior, use, &gathered.of),
                 EARSHOT_OK);
    return gathered;
}

static struct gathered gather(const char *rows) {
    return gather_used(rows, NULL);
}

static void drop(struct gathered *gathered) {
    calibration_observations_free(&gathered->of);
    earshot_belief_free(gathered->prior);
    earshot_survey_free(gathered->survey);
    folder_free(&gathered->tables);
}

Test(observations, rows_of_a_link_are_joined) {
    struct gathered got = gather("p,a,-60,,,,,held,,,,,,,\np,a,-62,,,,,,,,,,,,\n"
                                 "p,a,-67,,,,,held,,,,,,,\n"
                                 "p,b,-60,,,,,in place,,,,,,,\np,b,-63,,,,,in place,,,,,,,\n");
    cr_assert_eq(got.of.n, 2);
    const calibration_observation *held = &got.of.all[0], *fixed = &got.of.all[1];
    cr_expect_eq(held->kind, CALIBRATION_LEVEL);
    cr_expect_eq(held->n_rows, 3);
    cr_expect_float_eq(held->level_dbm, -63, 1e-12, "%g", held->level_dbm);
    cr_expect_not(held->in_place);
    cr_expect_not(held->margin);
    cr_expect_float_eq(held->static_share, 1 / 3.0, 1e-12);
    cr_expect_eq(fixed->n_rows, 2);
    cr_expect_float_eq(fixed->level_dbm, -61.5, 1e-12, "%g", fixed->level_dbm);
    cr_expect(fixed->in_place);
    cr_expect_eq(fixed->static_share, 1); /* the place's fade does not average out */
    /* a meter's noise does, the day does not */
    cr_expect_float_eq(held->meter_sd_db * sqrt(3), fixed->meter_sd_db * sqrt(2), 1e-12);
    cr_expect_eq(held->normal_sd_db, got.prior->session_sd_db);
    cr_expect_eq(fixed->normal_sd_db, got.prior->session_sd_db);
    drop(&got);
}

/* Each row after the first differs from it in one thing, and is another observation. */
Test(observations, what_differs_stays_apart) {
    struct gathered got =
        gather("p,a,-60,,,,,held,shut,,,,,,\np,b,-60,,,,,held,shut,,,,,,\n"
               "q,a,-60,,,,,held,shut,,,,,,\np,a,-60,,,,,in place,shut,,,,,,\n"
               "p,a,-60,,,,,held,open,,,,,,\np,a,-60,,,,,held,shut,10,,,,,\n"
               "p,a,-60,,later,,,held,shut,,,,,,\np,a,40,deaf,,,,held,shut,,,,,,\n");
    cr_assert_eq(got.of.n, 8);
    for (size_t i = 0; i < got.of.n; i++) {
        const calibration_observation *of = &got.of.all[i];
        cr_expect_eq(of->reading, i);
        cr_expect_eq(of->n_rows, 1);
        cr_expect_float_eq(of->level_dbm, -60, 1e-12, "%zu: %g", i, of->level_dbm);
        cr_expect_eq(of->in_place, i == 3, "%zu", i);
        cr_expect_eq(of->link.doors_open, i == 4, "%zu", i);
        cr_expect_eq(of->pad_db, i == 5 ? 10 : 0, "%zu", i);
        cr_expect_eq(of->shift, i == 6 ? 1 : EARSHOT_NONE, "%zu", i);
        cr_expect_eq(of->edge, EARSHOT_NONE, "%zu", i);
        cr_expect_eq(of->meter == got.of.all[0].meter, i != 7, "%zu", i);
        cr_expect_neq(of->meter, EARSHOT_NONE, "%zu", i);
    }
    drop(&got);
}

/* "none" speaks of the margin, or of the meter's own floor; with trips it is a count of none.
 */
Test(observations, not_heard) {
    struct gathered got = gather("p,a,none,,,,,,,,,,,,\np,b,none,deaf,,,,,,,,,,,\n"
                                 "q,a,none,,,5,0,,,,,,,,\n");
    cr_assert_eq(got.of.n, 3);
    const calibration_observation *of = got.of.all;
    cr_expect_eq(of[0].kind, CALIBRATION_SILENT);
    cr_expect(of[0].margin);
    cr_expect_eq(of[0].high_dbm, 0);
    cr_expect_eq(of[0].low_dbm, -INFINITY);
    cr_expect_eq(of[0].meter, EARSHOT_NONE);
    cr_expect_eq(of[1].kind, CALIBRATION_SILENT);
    cr_expect_not(of[1].margin);
    cr_expect_eq(of[1].high_dbm, -95);
    cr_expect_neq(of[1].meter, EARSHOT_NONE);
    cr_expect_eq(of[2].kind, CALIBRATION_COUNT);
    cr_expect(of[2].margin);
    cr_expect_eq(of[2].trips, 5);
    cr_expect_eq(of[2].heard, 0);
    drop(&got);
}

/* Counts of one link add up; like counts share one table; a level beside trips is its own. */
Test(observations, counts) {
    struct gathered got = gather("p,a,,,,5,3,,,,,,,,\np,a,,,,5,4,,,,,,,,\n"
                                 "p,b,,,,10,7,,,,,,,,\nq,b,-60,,,10,10,,,,,,,,\n");
    cr_assert_eq(got.of.n, 4);
    const calibration_observation *of = got.of.all;
    cr_expect_eq(of[0].kind, CALIBRATION_COUNT);
    cr_expect_eq(of[0].trips, 10);
    cr_expect_eq(of[0].heard, 7);
    cr_expect_eq(of[0].n_rows, 2);
    cr_expect_not_null(of[0].counted);
    cr_expect_eq(of[0].counted, of[1].counted);
    cr_expect(of[0].owns_counted && !of[1].owns_counted);
    cr_expect_eq(of[2].kind, CALIBRATION_LEVEL);
    cr_expect_eq(of[2].level_dbm, -60);
    cr_expect_eq(of[3].kind, CALIBRATION_COUNT);
    cr_expect_neq(of[3].counted, of[0].counted);
    drop(&got);
}

/* That a weak level was shown at all speaks of the need: once, however often it was read. A
 * strong one goes without saying, and a count says the same and more. */
Test(observations, shown_at_all) {
    struct gathered got = gather("p,a,-104,,,,,,,,,,,,\np,b,-60,,,,,,,,,,,,\n"
                                 "q,a,-100,,,10,9,,,,,,,,\np,a,-96,,,,,,,,,,,,\n"
                                 "p,,-100,,,,,walked,,,ground,1,2,1.5,868-25mw\n"
                                 "p,,-100,,,8,8,walked,,,ground,1,2,1.5,868-25mw\n");
    static const enum calibration_kind kinds[] = {
        CALIBRATION_LEVEL, CALIBRATION_LEVEL,   CALIBRATION_LEVEL,
        CALIBRATION_COUNT, CALIBRATION_LEVEL,   CALIBRATION_LEVEL,
        CALIBRATION_COUNT, CALIBRATION_BETWEEN, CALIBRATION_BETWEEN};
    static const size_t of_which[] = {0, 4};
    cr_assert_eq(got.of.n, 9);
    for (size_t i = 0; i < 9; i++)
        cr_expect_eq(got.of.all[i].kind, kinds[i], "%zu", i);
    for (size_t i = 0; i < 2; i++) {
        const calibration_observation *heard = &got.of.all[7 + i];
        const calibration_observation *level = &got.of.all[of_which[i]];
        cr_expect(heard->margin);
        cr_expect_eq(heard->low_dbm, 0);
        cr_expect_eq(heard->high_dbm, INFINITY);
        cr_expect_eq(heard->reading, level->reading);
        cr_expect_eq(heard->level_dbm, -100);
        cr_expect_eq(heard->static_share, level->static_share);
        /* what a level tells of its day: the day and a meter's noise of 2 dB each, the noise
         * of two readings halved in squares */
        double meter_db2 = i ? 4 : 2;
        cr_expect_float_eq(heard->level_share, 4 / (4 + meter_db2), 1e-12, "%g",
                           heard->level_share);
        cr_expect_float_eq(heard->normal_sd_db, sqrt(4 * meter_db2 / (4 + meter_db2)), 1e-12,
                           "%g", heard->normal_sd_db);
        cr_expect_eq(heard->meter_sd_db, 0);
    }
    drop(&got);
}

static double mean_of_better_db(double sd_db, double share) {
    enum { N = 1000000 };
    double *fade = malloc(N * sizeof *fade), sum = 0;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    size_t first = (size_t)(N * (1 - share));
    cr_assert(fade && random);
    gsl_rng_set(random, 1);
    for (size_t i = 0; i < N; i++)
        fade[i] = gsl_ran_gaussian(random, sd_db);
    gsl_sort(fade, 1, N);
    for (size_t i = first; i < N; i++)
        sum += fade[i];
    gsl_rng_free(random);
    free(fade);
    return sum / (double)(N - first);
}

/* Where trips were missed the level is a mean of the better ones, and lies over that of all. */
Test(observations, mean_of_the_better_trips) {
    static const struct {
        unsigned trips, heard;
    } rows[] = {{10, 10}, {10, 9}, {10, 8}, {10, 5}, {20, 3}, {8, 1}};
    chance_fade fade;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char row[100];
        snprintf(row, sizeof row, "p,a,-80,,,%u,%u,,,,,,,,\n", rows[i].trips, rows[i].heard);
        struct gathered got = gather(row);
        bool missed = 10 * rows[i].heard < 9 * rows[i].trips;
        double share = (double)rows[i].heard / rows[i].trips;
        chance_fade_make(&fade, got.survey->environment.time_k_db);
        double lifted_db = missed ? mean_of_better_db(fade.sd_db, share) : 0;
        double day_db2 = pow(got.prior->session_sd_db, 2);
        double fades_db2 = missed ? pow(fade.sd_db, 2) / rows[i].heard : 0;
        cr_assert_eq(got.of.n, 2);
        /* a million draws leave 0.002 sds, of about 2 dB, and more where few are kept */
        cr_expect_float_eq(got.of.all[0].level_dbm, -80 - lifted_db, 0.02,
                           "%u of %u: %g not %g", rows[i].heard, rows[i].trips,
                           got.of.all[0].level_dbm, -80 - lifted_db);
        cr_expect_float_eq(got.of.all[0].normal_sd_db, sqrt(day_db2 + fades_db2), 1e-9,
                           "%u of %u: %g", rows[i].heard, rows[i].trips,
                           got.of.all[0].normal_sd_db);
        drop(&got);
    }
}

/* Edges from scales.csv. Readings of one bar share the error of its edges, and stay apart. */
Test(observations, bars) {
    static const double low[] = {-85, -85, -95, -65, -INFINITY};
    static const double high[] = {-75, -75, -85, INFINITY, -105};
    struct gathered got = gather("p,a,3,bars-5,,,,,,,,,,,\np,b,3,bars-5,,,,,,,,,,,\n"
                                 "p,a,2,bars-5,,1,1,,,,,,,,\np,b,5,bars-5,,,,,,,,,,,\n"
                                 "q,b,0,bars-5,,1,1,,,,,,,,\n");
    size_t at = 0;
    for (size_t i = 0; i < got.of.n; i++) {
        const calibration_observation *of = &got.of.all[i];
        if (of->margin)
            continue;
        cr_assert(at < 5);
        cr_expect_eq(of->kind, CALIBRATION_BETWEEN, "%zu", at);
        cr_expect_eq(of->low_dbm, low[at], "%zu: %g", at, of->low_dbm);
        cr_expect_eq(of->high_dbm, high[at], "%zu: %g", at, of->high_dbm);
        cr_expect_eq(of->edge == got.of.all[0].edge, at < 2, "%zu", at);
        cr_expect_neq(of->edge, EARSHOT_NONE, "%zu", at);
        cr_expect_eq(of->meter, got.of.all[0].meter, "%zu", at);
        cr_expect_eq(got.survey->readings[of->reading].edge_sd_db, 1.5, "%zu", at);
        at++;
    }
    cr_expect_eq(at, 5);
    drop(&got);
}

/* A point of no device: its place and radio, never in place, never joined. */
Test(observations, walked_points) {
    struct gathered got =
        gather("p,,-60,,,,,walked,,,ground,1,2,1.5,868-25mw\n"
               "p,,-61,,,,,in place,,,ground,1,2,1.5,868-25mw\np,,-62,,,,,,,,ground,3,2,1,\n");
    cr_assert_eq(got.of.n, 3);
    for (size_t i = 0; i < got.of.n; i++) {
        const calibration_observation *of = &got.of.all[i];
        cr_expect_eq(of->link.device, EARSHOT_NONE, "%zu", i);
        cr_expect_eq(of->link.path, EARSHOT_NONE, "%zu", i);
        cr_expect_eq(of->link.from.x_m, i < 2 ? 1 : 3, "%zu", i);
        cr_expect_eq(of->link.from.y_m, 2, "%zu", i);
        cr_expect_eq(of->link.from.z_m, i < 2 ? 1.5 : 1, "%zu", i);
        cr_expect_eq(of->link.to.x_m, 5, "%zu", i);
        cr_expect_eq(of->link.listener, 3, "%zu", i);
        cr_expect_not(of->in_place, "%zu", i);
        cr_expect_eq(of->static_share, 1, "%zu", i);
    }
    cr_expect_str_eq(got.survey->radios[got.of.all[0].link.from.radio].name, "868-25mw");
    cr_expect_str_eq(got.survey->radios[got.of.all[2].link.from.radio].name, "868-10mw");
    drop(&got);
}

/* All of a later visit's readings share its shift; those of the first have none. */
Test(observations, later_visits) {
    static const size_t shifts[] = {EARSHOT_NONE, 1, 1, 2, EARSHOT_NONE};
    struct gathered got = gather("p,a,-60,,spring,,,,,,,,,,\np,a,-60,,summer,,,,,,,,,,\n"
                                 "p,b,-60,,summer,,,,,,,,,,\np,b,-60,,autumn,,,,,,,,,,\n"
                                 "p,b,-60,,spring,,,,,,,,,,\n");
    cr_assert_eq(got.of.n, 5);
    for (size_t i = 0; i < 5; i++)
        cr_expect_eq(got.of.all[i].shift, shifts[i], "%zu", i);
    drop(&got);
}

/* Rows that are not to be used, and a link that nothing is known of. */
Test(observations, left_out) {
    static const unsigned char use[] = {1, 0, 1, 1};
    struct gathered got = gather_used("p,a,-60,,,,,,,,,,,,\np,a,-90,,,,,,,,,,,,\n"
                                      "p,lost,-60,,,,,,,,,,,,\np,b,-60,,,,,,,,,,,,\n",
                                      use);
    cr_assert_eq(got.of.n, 2);
    cr_expect_eq(got.of.n_left_out, 0);
    cr_expect_eq(got.of.all[0].reading, 0);
    cr_expect_eq(got.of.all[0].level_dbm, -60);
    cr_expect_eq(got.of.all[1].reading, 3);
    drop(&got);
}
