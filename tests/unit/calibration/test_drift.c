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

/* A level is anywhere in its bar: an even chance over 10 dB has a variance of 100 / 12. One bar
 * down is then no news; two are, beyond 3 x sqrt(3.5^2 + 2 x 100 / 12) = 16.2 dB. By hand. */
Test(drift, bars_are_coarse) {
    folder tables = {0};
    folder_put(&tables, "devices.csv",
               "device,role,radio,type\ns,sensor,868-10mw,motion\np,receiver,868-10mw,\n");
    folder_put(&tables, "paths.csv", "device,to,length_m\ns,p,10\n");
    folder_put(&tables, "materials/scales.csv",
               "scale,reading,dbm,kind,source\nb,1,-100,bottom,x\nb,2,-90,bottom,x\n"
               "b,3,-80,bottom,x\nb,4,-70,bottom,x\n");
    folder_put(&tables, "readings.csv",
               "heard_at,device,reading,scale,placed,visit\np,s,3,b,in place,1\n"
               "p,s,2,b,in place,2\np,s,1,b,in place,3\np,s,-75,,in place,4\n");
    earshot_survey *survey = folder_load(&tables);
    calibration_shown shown[4];
    for (size_t i = 0; i < 4; i++)
        shown[i] = calibration_shown_on(survey, 0, 1, i);
    cr_expect_float_eq(shown[0].coarse_db2, 100.0 / 12, 1e-9);
    cr_expect_eq(shown[3].coarse_db2, 0);
    cr_expect_not(calibration_disagree(&shown[0], &shown[1]));
    cr_expect(calibration_disagree(&shown[0], &shown[2]));
    earshot_survey_free(survey);
    folder_free(&tables);
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
    char devices[TEXT] = "device,role,radio,type,room\np,receiver,868-10mw,,\n", row[100];
    char paths[TEXT] = "device,to,length_m\n",
         readings[TEXT] = "heard_at,device,reading,visit,placed\n";
    folder tables = {0};
    for (int i = 0; i < N_ZONES; i++) {
        double level_dbm = -40 - 40 * gsl_rng_uniform(random);
        snprintf(row, sizeof row, "s%d,sensor,868-10mw,motion,r%d\n", i, i % 8);
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
 * three standard errors, and so a room, of three zones; and hardly any a shift. */
Test(drift, nothing_changed) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    int n_flagged = 0, n_shifted = 0, n_rooms = 0;
    gsl_rng_set(random, 1);
    for (int i = 0; i < 100; i++) {
        struct visits visits;
        draw(random, 0, 0, &visits);
        n_flagged += visits.drift.n_changed > 0;
        n_shifted += visits.drift.common.shifted;
        for (size_t j = 0; j < visits.drift.n_groups; j++)
            n_rooms += visits.drift.groups[j].shifted;
        cr_expect_eq(calibration_judge_visit(visits.survey, 0, 1).fault, CALIBRATION_USABLE);
        drop(&visits);
    }
    cr_expect_leq(n_flagged, 10 + 9, "%d", n_flagged);
    cr_expect_leq(n_shifted, 3, "%d", n_shifted);
    cr_expect_leq(n_rooms, 10 + 9, "%d", n_rooms);
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

/* ---- what some changed alike ---- */

/* Zones at two receivers, of two types and two radios, so that each of them is half of every
 * other half; on the second visit those of one type have shifted, and those at q. */
static void draw_groups(gsl_rng *random, double contacts_db, double at_q_db, int n_zones,
                        int n_contacts, struct visits *out) {
    char devices[TEXT] = "device,role,radio,type\np,receiver,868-10mw,\nq,receiver,868-10mw,\n";
    char paths[TEXT] = "device,to,length_m\n", row[200],
         readings[TEXT] = "heard_at,device,reading,visit,placed\n";
    folder tables = {0};
    for (int i = 0; i < n_zones; i++) {
        bool contact = i < n_contacts;
        snprintf(row, sizeof row, "s%d,sensor,%s,%s\n", i, i % 2 ? "868-10mw" : "868-25mw",
                 contact ? "contact" : "motion");
        strcat(devices, row);
        snprintf(row, sizeof row, "s%d,p,%d\ns%d,q,%d\n", i, 3 + i, i, 9);
        strcat(paths, row);
        for (int at = 0; at < 2; at++) {
            double level_dbm = -40 - 40 * gsl_rng_uniform(random);
            for (int visit = 1; visit <= 2; visit++) {
                double off_db =
                    visit == 2 ? (contact ? contacts_db : 0) + (at ? at_q_db : 0) : 0;
                snprintf(row, sizeof row, "%s,s%d,%.1f,%d,in place\n", at ? "q" : "p", i,
                         level_dbm + off_db + gsl_ran_gaussian(random, 3.5 / sqrt(2)), visit);
                strcat(readings, row);
            }
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

/* Of 200 pairs of visits between which nothing changed one in twenty may have a group that is
 * said to, and three standard errors. */
Test(drift, no_group_changed) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    int n_false = 0;
    gsl_rng_set(random, 3);
    for (int i = 0; i < 200; i++) {
        struct visits visits;
        bool some = false;
        draw_groups(random, 0, 0, 12, 6, &visits);
        for (size_t j = 0; j < visits.drift.n_groups; j++)
            some = some || visits.drift.groups[j].shifted;
        n_false += some;
        drop(&visits);
    }
    cr_expect_leq(n_false, 10 + 9, "%d of 200", n_false);
    gsl_rng_free(random);
}

static const calibration_shift *find_group(const struct visits *visits,
                                           enum calibration_alike alike, const char *name) {
    for (size_t i = 0; i < visits->drift.n_groups; i++) {
        const calibration_shift *group = &visits->drift.groups[i];
        const survey_device *of = &visits->survey->devices[group->of];
        const char *called = alike == CALIBRATION_LISTENER ? of->name : of->type;
        if (group->alike == alike && strcmp(called, name) == 0)
            return group;
    }
    return NULL;
}

/* Three zones of one room among 25; what each fell by, others by 1 dB up and down. */
static bool room_shifted(const int fell_db[3], size_t *n_changed) {
    char devices[TEXT] = "device,role,radio,type,room\np,receiver,868-10mw,,\n", row[100];
    char paths[TEXT] = "device,to,length_m\n",
         readings[TEXT] = "heard_at,device,reading,visit,placed\n";
    folder tables = {0};
    struct visits visits;
    bool shifted = false;
    for (int i = 0; i < N_ZONES; i++) {
        int fell = i < 3 ? fell_db[i] : i % 2 ? 1 : -1;
        snprintf(row, sizeof row, "s%d,sensor,868-10mw,motion,%s\n", i, i < 3 ? "barn" : "");
        strcat(devices, row);
        snprintf(row, sizeof row, "s%d,p,%d\n", i, 3 + i);
        strcat(paths, row);
        snprintf(row, sizeof row, "p,s%d,-50,1,in place\np,s%d,%d,2,in place\n", i, i,
                 -50 - fell);
        strcat(readings, row);
    }
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "paths.csv", paths);
    folder_put(&tables, "readings.csv", readings);
    visits.survey = folder_load(&tables);
    cr_assert_eq(earshot_belief_prior(visits.survey, &visits.belief), EARSHOT_OK);
    cr_assert_eq(calibration_compare_visits(visits.survey, visits.belief, 0, 1, &visits.drift),
                 EARSHOT_OK);
    for (size_t i = 0; i < visits.drift.n_groups; i++)
        shifted = shifted || visits.drift.groups[i].shifted;
    *n_changed = visits.drift.n_changed;
    drop(&visits);
    folder_free(&tables);
    return shifted;
}

/* A battery of one zone is no wall before its room, though it draws the room's middle along;
 * three zones that fell alike are, and then none of them fell of its own. By the story. */
Test(drift, one_zone_is_no_room) {
    size_t n_changed;
    cr_expect_not(room_shifted((const int[3]){24, 3, 2}, &n_changed));
    cr_expect_eq(n_changed, 1);
    cr_expect(room_shifted((const int[3]){11, 9, 10}, &n_changed));
    cr_expect_eq(n_changed, 0);
}

/* New batteries in all contacts, 6 dB, most of the zones: it is the contacts that rose, not the
 * motion sensors that fell beside what all did; no link is said to have changed of its own. */
Test(drift, one_type_shifted) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    int n_found = 0, n_common = 0, n_others = 0, n_own = 0;
    double sum_db = 0;
    gsl_rng_set(random, 4);
    for (int i = 0; i < 100; i++) {
        struct visits visits;
        draw_groups(random, 6, 0, 20, 13, &visits);
        const calibration_shift *contacts = find_group(&visits, CALIBRATION_TYPE, "contact");
        n_found += contacts->shifted;
        sum_db += contacts->shift_db;
        for (size_t j = 0; j < visits.drift.n_groups; j++)
            n_others += visits.drift.groups[j].shifted && &visits.drift.groups[j] != contacts;
        n_common += visits.drift.common.shifted;
        n_own += visits.drift.n_changed > 0;
        drop(&visits);
    }
    cr_expect_geq(n_found, 90, "%d of 100", n_found);
    cr_expect_float_eq(sum_db / 100, 6, 0.5, "%g", sum_db / 100);
    cr_expect_leq(n_others, 20, "%d", n_others);
    cr_expect_leq(n_common, 5, "%d", n_common);
    cr_expect_leq(n_own, 10 + 9, "%d", n_own);
    gsl_rng_free(random);
}

/* One receiver of two 6 dB down, and the contacts too: two changes, each as large as it is.
 * (With the contacts 6 up it might as well be the motion sensors down and the other receiver
 * up.) */
Test(drift, one_receiver_and_one_type) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    int n_found = 0;
    double sum_q_db = 0, sum_contacts_db = 0;
    gsl_rng_set(random, 5);
    for (int i = 0; i < 100; i++) {
        struct visits visits;
        draw_groups(random, -6, -6, 20, 8, &visits);
        const calibration_shift *contacts = find_group(&visits, CALIBRATION_TYPE, "contact"),
                                *q = find_group(&visits, CALIBRATION_LISTENER, "q");
        n_found += contacts->shifted && q->shifted;
        sum_q_db += q->shift_db;
        sum_contacts_db += contacts->shift_db;
        drop(&visits);
    }
    cr_expect_geq(n_found, 90, "%d of 100", n_found);
    cr_expect_float_eq(sum_q_db / 100, -6, 0.6, "%g", sum_q_db / 100);
    cr_expect_float_eq(sum_contacts_db / 100, -6, 0.6, "%g", sum_contacts_db / 100);
    gsl_rng_free(random);
}
