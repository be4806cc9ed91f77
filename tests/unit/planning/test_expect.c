/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_expect.c - what a meter should show and where to stop, worked out by hand from the radio
 * and the scale; and against what is believed once such a reading has been made.
 *
 * The radio needs -90 dBm and 10 dB are kept.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "planning.h"
#include "text.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct scene {
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_link link;
    earshot_prediction prediction;
    earshot_part parts[40];
    size_t n_parts;
};

static void open(const char *type, const char *length_m, const char *readings,
                 struct scene *scene) {
    char devices[200] = "device,role,radio,type\np,receiver,plain,\ns,sensor,plain,";
    char paths[100] = "device,to,length_m,crossings\ns,p,";
    folder tables = {0};
    folder_put(&tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\nplain,868.3,9,-90,made up\n");
    folder_put(&tables, "devices.csv", strcat(devices, type));
    folder_put(&tables, "paths.csv", strcat(strcat(paths, length_m), ",brick\n"));
    if (readings)
        folder_put(&tables, "readings.csv", readings);
    scene->survey = folder_load(&tables);
    scene->belief = NULL;
    cr_assert_eq(earshot_belief_fit(scene->survey, NULL, NULL, NULL, &scene->belief),
                 EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(scene->survey, &scene->link, 1), 1);
    cr_assert_eq(earshot_link_ledger(scene->survey, scene->belief, &scene->link, scene->parts,
                                     COUNT(scene->parts), &scene->n_parts, &scene->prediction),
                 EARSHOT_OK);
    folder_free(&tables);
}

static void shut(struct scene *scene) {
    earshot_belief_free(scene->belief);
    earshot_survey_free(scene->survey);
}

static planning_expectation expect(const struct scene *scene, const char *meter) {
    size_t scale = meter ? earshot_survey_find_scale(scene->survey, meter) : EARSHOT_NONE;
    return planning_expect(scene->survey, scene->belief, scale, &scene->link,
                           &scene->prediction, scene->parts, scene->n_parts);
}

/* Two normals of one margin, as foretold and as read with the doubt of a day and a meter, weigh
 * by their variances: with the reading r that solves (foretold x noise + r x now) / (noise +
 * now) = asked + quantile x left the mean lies GSL's quantile of what is left over what is
 * asked. Not under what is asked, nor over what a reading alone would have to show. Life safety
 * keeps 14 dB at 95 %. */
Test(expect, where_to_stop) {
    static const struct {
        const char *type, *length_m;
        double kept_db, confidence;
    } cases[] = {{"motion", "12", 10, 0.90},
                 {"motion", "100", 10, 0.90},
                 {"smoke", "12", 14, 0.95},
                 {"smoke", "100", 14, 0.95},
                 {"motion", "900", 10, 0.90}}; /* helped down, weighed, held back */
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct scene scene;
        open(cases[i].type, cases[i].length_m, NULL, &scene);
        double asked_dbm = -90 + cases[i].kept_db;
        double now_db2 = pow(scene.prediction.margin_sd_db, 2);
        double noise_db2 =
            pow(scene.belief->session_sd_db, 2) + pow(scene.belief->meter_sd_db, 2);
        planning_expectation got = expect(&scene, NULL);
        double left_db = sqrt(now_db2 * noise_db2 / (now_db2 + noise_db2));
        double firm_dbm = asked_dbm + gsl_cdf_ugaussian_Pinv(cases[i].confidence) * left_db;
        double alone_dbm =
            asked_dbm + gsl_cdf_ugaussian_Pinv(cases[i].confidence) * sqrt(noise_db2);
        double weighed_dbm = firm_dbm + (firm_dbm - got.level_dbm) * noise_db2 / now_db2;
        double stop_dbm = fmax(fmin(weighed_dbm, alone_dbm), asked_dbm);
        cr_expect_float_eq(got.stop_dbm, stop_dbm, 1e-6, "case %zu: %g, wanted %g", i,
                           got.stop_dbm, stop_dbm);
        cr_expect_eq(got.stop, ceil(got.stop_dbm));
        cr_expect_eq(got.shown, round(scene.prediction.expected_reading_dbm));
        double slack_db = gsl_cdf_ugaussian_Pinv(0.9) * scene.prediction.reading_sd_db;
        cr_expect_eq(got.low, round(scene.prediction.expected_reading_dbm - slack_db));
        cr_expect_eq(got.high, round(scene.prediction.expected_reading_dbm + slack_db));
        shut(&scene);
    }
}

/* What is believed once a reading was made in place, some dB over or under where to stop. */
static enum earshot_verdict after_reading(const char *length_m, double level_dbm) {
    char readings[200] = "heard_at,device,trips,heard,reading,placed\np,s,10,10,";
    char number[TEXT_NUMBER_SIZE];
    struct scene scene;
    text_write_fixed(number, level_dbm, 1);
    open("motion", length_m, strcat(strcat(readings, number), ",in place\n"), &scene);
    enum earshot_verdict verdict = scene.prediction.verdict;
    shut(&scene);
    return verdict;
}

/* The merging of readings knows heavy tails, the day counted twice and the skew of a fade,
 * which are left out here: 2 dB for all that. */
Test(expect, the_reading_decides) {
    static const char *const lengths_m[] = {"40", "60", "120"};
    for (size_t i = 0; i < COUNT(lengths_m); i++) {
        struct scene scene;
        open("motion", lengths_m[i], NULL, &scene);
        planning_expectation got = expect(&scene, NULL);
        shut(&scene);
        cr_expect_eq(after_reading(lengths_m[i], got.stop_dbm + 2), EARSHOT_FIRM, "%s m",
                     lengths_m[i]);
        cr_expect_neq(after_reading(lengths_m[i], got.stop_dbm - 2), EARSHOT_FIRM, "%s m",
                      lengths_m[i]);
    }
}

/* Bars by the middles of the shipped scale: -100, -90, -80, -70 dBm, and the last without an
 * end.
 */
Test(expect, in_bars) {
    static const double bottoms[] = {-105, -95, -85, -75, -65};
    static const char *const types[] = {"motion", "smoke"};
    for (size_t t = 0; t < COUNT(types); t++) {
        struct scene scene;
        open(types[t], "12", NULL, &scene);
        planning_expectation got = expect(&scene, "bars-5");
        double shown = 0, stop = 5;
        for (size_t i = 0; i < 5; i++)
            shown = bottoms[i] <= got.level_dbm ? (double)i + 1 : shown;
        for (size_t i = 4; i > 0; i--)
            stop = (bottoms[i - 1] + bottoms[i]) / 2 >= got.stop_dbm ? (double)i : stop;
        cr_expect_eq(got.shown, shown);
        cr_expect_eq(got.stop, stop, "%g, wanted %g at %g dBm", got.stop, stop, got.stop_dbm);
        cr_expect(got.low <= got.shown && got.shown <= got.high);
        shut(&scene);
    }
}

/* Percent of the shipped scale: 60 dB straight from -105 to -45. */
Test(expect, in_percent) {
    struct scene scene;
    open("motion", "12", NULL, &scene);
    planning_expectation got = expect(&scene, "percent");
    cr_expect_eq(got.shown, round(fmin((got.level_dbm + 105) / 0.6, 100)));
    cr_expect_eq(got.stop, ceil((got.stop_dbm + 105) / 0.6));
    shut(&scene);
}

/* What is told to a zone that was read and is short: a firm one too has something to try. */
Test(expect, what_to_try) {
    struct scene scene;
    open("motion", "12", NULL, &scene);
    cr_expect_eq(scene.prediction.verdict, EARSHOT_FIRM);
    planning_expectation got = expect(&scene, NULL);
    cr_expect_eq(got.advice.step, PLANNING_SLIDE);
    cr_expect_float_eq(got.advice.slide_m, 299.792458 / 868.3 / 2, 1e-9);
    shut(&scene);
    open("motion", "400", NULL, &scene);
    cr_expect_eq(expect(&scene, NULL).advice.step, PLANNING_MOVE);
    shut(&scene);
}

/* ---- which meter ---- */

#define ROWS "heard_at,device,reading,scale,placed\n"

Test(expect, the_meter_of_most_readings) {
    static const struct {
        const char *readings, *meter;
    } cases[] = {{NULL, "bars-5"},
                 {ROWS, "bars-5"},
                 {ROWS "p,s,none,percent,\n", "bars-5"},
                 {ROWS "p,s,2,bars-3,\n", "bars-3"},
                 {ROWS "p,s,2,bars-3,\np,s,40,percent,\np,s,50,percent,\n", "percent"},
                 {ROWS "p,s,-60,,\np,s,2,bars-3,\np,s,-61,,\n", ""},
                 {ROWS "p,s,-60,dbm,\n", "dbm"}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct scene scene;
        open("motion", "12", cases[i].readings, &scene);
        size_t meter = planning_meter(scene.survey);
        cr_expect_str_eq(meter == EARSHOT_NONE ? "" : earshot_survey_scale(scene.survey, meter),
                         cases[i].meter, "case %zu", i);
        shut(&scene);
    }
}

/* ---- what was read last ---- */

/* Years first, as ISO 8601 has it; nothing else. */
Test(last, dates) {
    static const char *const dates[] = {"2026", "2026-03", "2026-03-10", "2026-03-10T09:40",
                                        "2026-03-10 9:40"};
    static const char *const others[] = {
        "",          "26",      "202",           "10.3.2026",  "3/10/2026",
        "2026-3-10", "2026-13", "2026-00-10",    "2026-03-32", "2026-03-10x",
        "2026-03-1", "2026-",   "10 March 2026", "20260310"};
    for (size_t i = 0; i < COUNT(dates); i++)
        cr_expect(earshot_date_valid(dates[i]), "%s", dates[i]);
    for (size_t i = 0; i < COUNT(others); i++)
        cr_expect(!earshot_date_valid(others[i]), "%s", others[i]);
}

Test(last, the_latest_of_each) {
    struct scene scene;
    open("motion", "12",
         "heard_at,device,trips,heard,reading,scale,placed,pad_db,time\n"
         "p,s,10,9,-60,,held,,2026-03-02\n"
         "p,s,10,7,,,held,,2026-03-05\n"
         "p,s,,,4,bars-5,held,,2026-03-03\n"
         "p,s,10,1,-80,,held,,10.3.2026\n"
         "p,s,10,2,-81,,held,,\n"
         "p,s,10,3,-82,,held,6,2026-03-09\n"
         "p,s,3,3,-70,,in place,,2026-03-04\n"
         "p,s,10,5,-90,,held,,2025-12-31\n",
         &scene);
    planning_last held = planning_last_of(scene.survey, &scene.link, false, "2026");
    planning_last in_place = planning_last_of(scene.survey, &scene.link, true, "2026");
    planning_last late = planning_last_of(scene.survey, &scene.link, false, "2026-03-06");
    cr_expect(held.trips == 10 && held.heard == 7);
    cr_expect_eq(held.level_dbm, -70); /* the middle of bar 4 */
    cr_expect(in_place.trips == 3 && in_place.heard == 3 && in_place.level_dbm == -70);
    cr_expect(late.trips == 0 && isnan(late.level_dbm));
    cr_expect_eq(planning_undated(scene.survey), 2);
    shut(&scene);
}

/* ---- a scale both ways ---- */

/* The inverse of reading: what a level in the middle of a bar shows reads back as that bar, and
 * points as themselves. */
Test(shown, inverts_reading) {
    struct scene scene;
    open("motion", "12", NULL, &scene);
    for (size_t i = 0; i < scene.survey->n_scales; i++) {
        const survey_scale *scale = &scene.survey->scales[i];
        for (size_t j = 0; j < scale->n_steps; j++) {
            const survey_step *step = &scene.survey->steps[scale->first_step + j];
            cr_expect_eq(survey_shown(scene.survey, i, step->dbm), step->reading);
            cr_expect(!scale->by_steps ||
                      survey_shown(scene.survey, i, step->dbm + 1) == step->reading);
        }
    }
    size_t bars = earshot_survey_find_scale(scene.survey, "bars-5");
    size_t percent = earshot_survey_find_scale(scene.survey, "percent");
    cr_expect_eq(survey_shown(scene.survey, bars, -120), 0);
    cr_expect_eq(survey_shown(scene.survey, bars, 0), 5);
    cr_expect_eq(survey_shown(scene.survey, percent, -120), 0);
    cr_expect_eq(survey_shown(scene.survey, percent, -75), 50); /* half of 60 dB over -105 */
    cr_expect_eq(survey_shown(scene.survey, percent, 0), 100);
    cr_expect_eq(survey_shown(scene.survey, EARSHOT_NONE, -63.5), -63.5);
    shut(&scene);
}
