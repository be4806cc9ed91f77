/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_drift.c - two visits compared: against published numbers, and on drawn changes. */
#include "drift.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { N_ZONES = 25, TEXT = 8000 };

/* Of the Unix epoch, by definition; of 2000-03-01, 30 years with 7 leap days, January and
 * February of 31 and 29: 30 x 365 + 7 + 60. */
Test(drift, dates) {
    cr_expect_eq(calibration_days("1970-01-01"), 0);
    cr_expect_eq(calibration_days("1970-01-02T10:00"), 1);
    cr_expect_eq(calibration_days("2000-03-01"), 30 * 365 + 7 + 60);
    cr_expect(isnan(calibration_days("1.3.2000")));
    cr_expect(isnan(calibration_days("")));
    cr_expect(isnan(calibration_days("2000-13-01")));
}

static calibration_shown counted(unsigned heard, unsigned trips) {
    return (calibration_shown){
        .read = true, .in_place = true, .level_dbm = NAN, .trips = trips, .heard = heard};
}

static calibration_shown showed(double level_dbm, bool in_place) {
    return (calibration_shown){.read = true, .in_place = in_place, .level_dbm = level_dbm};
}

/* Fisher's exact test: 1 of 9 against 11 of 14 (heard) is p = 0.0028 two-sided, a common worked
 * example (from memory); 3 of 4 against 1 of 4, the lady tasting tea, p = 0.486 (Fisher, The
 * Design of Experiments, 1935). Levels: three times 3.5 dB in place, 5 dB by hand. */
Test(drift, what_disagrees) {
    calibration_shown a = counted(1, 9), b = counted(11, 14);
    cr_expect(calibration_disagree(&a, &b));
    a = counted(3, 4), b = counted(1, 4);
    cr_expect_not(calibration_disagree(&a, &b));
    a = counted(4, 10), b = counted(10, 10);
    cr_expect_not(calibration_disagree(&b, &b));
    a = showed(-60, true), b = showed(-70, true);
    cr_expect_not(calibration_disagree(&a, &b));
    b = showed(-71, true);
    cr_expect(calibration_disagree(&a, &b));
    b = showed(-71, false);
    cr_expect_not(calibration_disagree(&a, &b));
}

/* ---- drawn visits ---- */

struct visits {
    earshot_survey *survey;
    earshot_belief *belief;
    calibration_drift drift;
};

/* Two visits to 25 zones by hand, each level 5 / root 2 dB off by the visit alone; the second
 * shifted, and the first `n_fallen` zones 12 dB down. */
static void draw(gsl_rng *random, double shift_db, int n_fallen, struct visits *out) {
    char devices[TEXT] = "device,role,radio,type\np,receiver,868-10mw,\n", row[100];
    char paths[TEXT] = "device,to,length_m\n",
         readings[TEXT] = "heard_at,device,reading,visit,placed\n";
    folder tables = {0};
    for (int i = 0; i < N_ZONES; i++) {
        double level_dbm = -40 - 40 * gsl_rng_uniform(random);
        snprintf(row, sizeof row, "s%d,sensor,868-10mw,motion\n", i);
        strcat(devices, row);
        snprintf(row, sizeof row, "s%d,p,%d\n", i, 3 + i);
        strcat(paths, row);
        for (int visit = 1; visit <= 2; visit++) {
            double off_db = visit == 2 ? shift_db - (i < n_fallen ? 12 : 0) : 0;
            snprintf(row, sizeof row, "p,s%d,%.1f,%d,in place\n", i,
                     level_dbm + off_db + gsl_ran_gaussian(random, 3.5 / sqrt(2)), visit);
            strcat(readings, row);
        }
    }
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "paths.csv", paths);
    folder_put(&tables, "readings.csv", readings);
    out->survey = folder_load(&tables);
    cr_assert_eq(earshot_belief_prior(out->survey, &out->belief), EARSHOT_OK);
    cr_assert_eq(calibration_compare_visits(out->survey, out->belief, 0, 1, &out->drift),
                 EARSHOT_OK);
    folder_free(&tables);
}

static void drop(struct visits *visits) {
    calibration_drift_free(&visits->drift);
    earshot_belief_free(visits->belief);
    earshot_survey_free(visits->survey);
}

/* Of 100 pairs of visits between which nothing changed, one in ten may have a zone said to, and
 * three standard errors; and hardly any a shift. */
Test(drift, nothing_changed) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    int n_flagged = 0, n_shifted = 0;
    gsl_rng_set(random, 1);
    for (int i = 0; i < 100; i++) {
        struct visits visits;
        draw(random, 0, 0, &visits);
        n_flagged += visits.drift.n_changed > 0;
        n_shifted += visits.drift.common.shifted;
        cr_expect_eq(calibration_judge_visit(visits.survey, 0, 1).fault, CALIBRATION_USABLE);
        drop(&visits);
    }
    cr_expect_leq(n_flagged, 10 + 9, "%d", n_flagged);
    cr_expect_leq(n_shifted, 3, "%d", n_shifted);
    gsl_rng_free(random);
}

/* A receiver 6 dB down, and three zones that fell by 12 besides: one shift, and most of the
 * three. */
Test(drift, one_shift_and_three_zones) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    int n_shifted = 0, n_found = 0, n_false = 0;
    double sum_db = 0;
    gsl_rng_set(random, 2);
    for (int i = 0; i < 100; i++) {
        struct visits visits;
        draw(random, -6, 3, &visits);
        n_shifted += visits.drift.common.shifted;
        sum_db += visits.drift.common.shift_db;
        for (size_t j = 0; j < visits.drift.n_changes; j++)
            if (visits.drift.changes[j].changed)
                *(j < 3 ? &n_found : &n_false) += 1;
        drop(&visits);
    }
    cr_expect_geq(n_shifted, 95, "%d", n_shifted);
    cr_expect_float_eq(sum_db / 100, -6, 1);
    cr_expect_geq(n_found, 150, "%d of 300", n_found);
    cr_expect_leq(n_false, n_found / 5, "%d false, %d found", n_false, n_found);
    gsl_rng_free(random);
}

/* ---- over the years ---- */

/* Levels that fall by 4 dB a year over four years by hand: told 10 / 12.5 = 0.8 against a prior
 * of 0.25 (2 dB a year), so -4 x 0.8 / 1.05 = -3.048, give or take 1 / sqrt 1.05. By hand. A
 * sixth visit 30 dB up that was found unusable changes nothing of that; counted, it turns the
 * sign. */
Test(drift, trend) {
    static const unsigned char unusable[6] = {0, 0, 0, 1, 0, 0};
    folder tables = {0};
    folder_put(&tables, "devices.csv",
               "device,role,radio,type\ns,sensor,868-10mw,motion\np,receiver,868-10mw,\n");
    folder_put(&tables, "paths.csv", "device,to,length_m\ns,p,10\n");
    folder_put(
        &tables, "readings.csv",
        "heard_at,device,reading,visit,time\np,s,-50,1,2020-01-01\np,s,-54,2,2020-12-31T06:00\n"
        "p,s,-58,3,2021-12-31\np,s,-28,odd,2023-06-30\np,s,-62,4,2022-12-31\n"
        "p,s,-66,5,2023-12-31\n");
    earshot_survey *survey = folder_load(&tables);
    calibration_trend trend = calibration_trend_of(survey, 0, 1, unusable);
    cr_expect_eq(trend.n_visits, 5);
    cr_expect_eq(trend.n_left_out, 1);
    cr_expect_float_eq(trend.slope_db_a_year, -3.048, 0.01);
    cr_expect_float_eq(trend.sd_db_a_year, 1 / sqrt(1.05), 0.01);
    trend = calibration_trend_of(survey, 0, 1, NULL);
    cr_expect_eq(trend.n_visits, 6);
    cr_expect_gt(trend.slope_db_a_year, -1);
    earshot_survey_free(survey);
    folder_free(&tables);
}
