/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_next.c - what a reading is worth: against GSL and drawn numbers, and by properties. How
 * much it helps in the end, tests/recover/chosen.c counts.
 */
#include "next.h"
#include "house.h"

#include <criterion/criterion.h>
#include <gsl/gsl_blas.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "joint.h"
#include "observations.h"
#include "planning.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static planning_asked asked_of(double required_db, double confidence, bool life_safety) {
    return (planning_asked){
        .required_db = required_db, .confidence = confidence, .life_safety = life_safety};
}

/* Nothing told: the chance itself, on the side of the verdict. With GSL's normal: mean 12, sd
 * 5, asked 10 at 0.9: P = 0.655 is not firm, so it is wrong as often. Mean 20: P = 0.977 is
 * firm. Ten times what is short and called firm where it guards life (design, section 6); what
 * is called short and holds costs nobody's life, and counts once. */
Test(next, nothing_told) {
    const planning_asked asked = asked_of(10, 0.9, false), life = asked_of(10, 0.9, true);
    planning_unsettled thin = planning_unsettled_of(12, 0, 25, &asked);
    cr_expect_float_eq(thin.wrong, gsl_cdf_ugaussian_P(0.4), 1e-6);
    cr_expect_float_eq(thin.weight, thin.wrong, 1e-12);
    cr_expect_eq(thin.open, 0);
    cr_expect_float_eq(planning_unsettled_of(20, 0, 25, &asked).wrong, gsl_cdf_ugaussian_Q(2),
                       1e-6);
    /* all told: no verdict is wrong */
    cr_expect_float_eq(planning_unsettled_of(12, 25, 0, &asked).wrong, 0, 1e-3);
    planning_unsettled firm = planning_unsettled_of(20, 0, 25, &life);
    cr_expect_float_eq(firm.wrong, gsl_cdf_ugaussian_Q(2), 1e-6);
    cr_expect_float_eq(firm.weight, 10 * gsl_cdf_ugaussian_Q(2), 1e-5);
    thin = planning_unsettled_of(12, 0, 25, &life);
    cr_expect_float_eq(thin.weight, gsl_cdf_ugaussian_P(0.4), 1e-6);
}

/* An sd of 12 that nobody read: not judged, so not wrong, and open. As sure as 99 in 100 it is
 * judged after all; so it is where it was read in place (design, section 2). */
Test(next, not_judged_is_open) {
    planning_asked asked = asked_of(10, 0.9, true);
    double short_chance = gsl_cdf_ugaussian_Q(0.5);
    planning_unsettled open = planning_unsettled_of(16, 0, 144, &asked);
    cr_expect_float_eq(open.wrong, 0, 1e-9);
    cr_expect_float_eq(open.open, 1, 1e-9);
    cr_expect_float_eq(open.weight, 1 - short_chance + 10 * short_chance, 1e-6);
    asked.life_safety = false;
    cr_expect_float_eq(planning_unsettled_of(16, 0, 144, &asked).weight, 1, 1e-9);
    cr_expect_float_eq(planning_unsettled_of(10 + 12 * 2.5, 0, 144, &asked).open, 0, 1e-9);
    cr_expect_float_eq(planning_unsettled_of(-12 * 2.5, 0, 144, &asked).open, 0, 1e-9);
    cr_expect_float_eq(planning_unsettled_of(-12 * 2.2, 0, 144, &asked).open, 1, 1e-9);
    asked.in_place = true;
    cr_expect_float_eq(planning_unsettled_of(16, 0, 144, &asked).open, 0, 1e-9);
}

enum { FIRM, NOT_FIRM, NOT_JUDGED };

/* The rules of design, section 2, by GSL's normal. */
static int said(double mean, double sd, double confidence) {
    bool doubtful = sd > 10;
    if (gsl_cdf_ugaussian_P((mean - 10) / sd) >=
        (doubtful ? fmax(confidence, 0.99) : confidence))
        return FIRM;
    return doubtful && gsl_cdf_ugaussian_Q(mean / sd) < 0.99 ? NOT_JUDGED : NOT_FIRM;
}

/* Margins drawn in two steps, what is told and what is left: the shares of verdicts wrong and
 * open, to four standard errors of 400,000 draws. */
Test(next, drawn_numbers_agree) {
    static const double cases[][4] = {
        {12, 9, 16, 0.9}, {15, 16, 9, 0.9}, {8, 20, 5, 0.95}, {25, 200, 121, 0.9}};
    enum { N = 400000 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 3);
    for (size_t i = 0; i < COUNT(cases); i++) {
        const double *of = cases[i];
        const planning_asked asked = asked_of(10, of[3], true);
        double wrong = 0, open = 0, weight = 0, weight_squares = 0;
        for (int k = 0; k < N; k++) {
            double mean = of[0] + gsl_ran_gaussian(random, sqrt(of[1]));
            double margin = mean + gsl_ran_gaussian(random, sqrt(of[2]));
            int verdict = said(mean, sqrt(of[2]), of[3]);
            bool holds = margin >= 10;
            double weighs = holds ? verdict != FIRM : 10 * (verdict != NOT_FIRM);
            wrong += verdict != NOT_JUDGED && (verdict == FIRM) != holds;
            open += verdict == NOT_JUDGED;
            weight += weighs;
            weight_squares += weighs * weighs;
        }
        planning_unsettled got = planning_unsettled_of(of[0], of[1], of[2], &asked);
        wrong /= N, open /= N, weight /= N;
        cr_expect_float_eq(got.wrong, wrong, 4 * sqrt(wrong * (1 - wrong) / N),
                           "case %zu: %g, %g", i, got.wrong, wrong);
        cr_expect_float_eq(got.open, open, 4 * sqrt(open * (1 - open) / N) + 1e-9,
                           "case %zu: %g, %g open", i, got.open, open);
        cr_expect_float_eq(got.weight, weight,
                           4 * sqrt((weight_squares / N - weight * weight) / N),
                           "case %zu: weight %g, %g", i, got.weight, weight);
    }
    gsl_rng_free(random);
}

/* The zone in doubt is read first; what readings settle and what is left add up; what is
 * certain without them does not pay. */
Test(next, what_is_chosen) {
    house house;
    planning_reading readings[5];
    planning_worth worth;
    house_open("a,sensor,868-10mw,,motion,\nb,sensor,868-10mw,,motion,\nc,sensor,868-10mw,,"
               "contact,\np,receiver,868-10mw,,,\n",
               "a,p,3,\nb,p,45,\"concrete,concrete,concrete,brick\"\nc,p,2,\n", &house);
    cr_assert_eq(planning_next(house.survey, house.belief, false, 5, NULL, readings, &worth),
                 EARSHOT_OK);
    cr_assert_eq(worth.n, 3);
    cr_assert_eq(worth.n_zones, 3);
    cr_expect_eq(readings[0].device, 1);
    double settled = 0;
    for (size_t i = 0; i < worth.n; i++) {
        settled += readings[i].settles;
        cr_expect_gt(readings[i].minutes, 2);
    }
    cr_expect_gt(readings[0].settles, 0);
    cr_expect_float_eq(worth.now.wrong + worth.now.open - settled,
                       worth.after.wrong + worth.after.open, 1e-9);
    cr_expect(readings[0].pays && !readings[2].pays);
    house_close(&house);
}

/* Of two zones alike, the one that guards life first, though it stands second; the verdicts
 * that it settles are fewer, since more is asked of it. */
Test(next, life_safety_first) {
    house house;
    planning_reading readings[2];
    planning_worth worth;
    house_open(
        "a,sensor,868-10mw,,contact,\nb,sensor,868-10mw,,smoke,\np,receiver,868-10mw,,,\n",
        "a,p,20,brick\nb,p,20,brick\n", &house);
    cr_assert_eq(planning_next(house.survey, house.belief, true, 2, NULL, readings, &worth),
                 EARSHOT_OK);
    cr_assert_eq(worth.n, 2);
    cr_expect_eq(readings[0].device, 1);
    house_close(&house);
}

static bool stop(void *who, double share_done) {
    (void)who;
    (void)share_done;
    return false;
}

Test(next, stopped_and_nothing) {
    house house;
    planning_reading readings[2];
    planning_worth worth = {.n = 7};
    const earshot_watch watch = {stop, NULL};
    house_open("a,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n", "a,p,30,brick\n",
               &house);
    cr_expect_eq(planning_next(house.survey, house.belief, true, 2, &watch, readings, &worth),
                 EARSHOT_STOPPED);
    cr_expect_eq(worth.n, 7, "untouched");
    house_close(&house);
}

/* ---- the plain computation ---- */

enum { MOST_ZONES = 80, MOST_VIEWS = 2 * MOST_ZONES, N_CHOSEN = 12 };

struct plain {
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_zone zones[MOST_ZONES];
    size_t n;
    engine_result results[MOST_VIEWS];
    engine_view views[MOST_VIEWS]; /* each zone's margin, then each one's reading */
    double db2[MOST_VIEWS][MOST_VIEWS], before_db2[MOST_ZONES], noise_db2;
    bool may_read[MOST_ZONES];
};

/* Adds the covariance under one field, and its mean to `mean_db`: Rasmussen and Williams,
 * Gaussian Processes for Machine Learning, 2006, eq. (2.25) and (2.26), by GSL. */
static void add_field(struct plain *plain, const engine_reads *reads, const engine_field *field,
                      double *mean_db) {
    size_t n = 2 * plain->n, n_reads = reads->n;
    double *told = calloc(n * n_reads + 1, sizeof *told);
    gsl_matrix_const_view lower = gsl_matrix_const_view_array(field->lower, n_reads, n_reads);
    for (size_t i = 0; i < n; i++) {
        gsl_vector_view row = gsl_vector_view_array(told + i * n_reads, n_reads);
        mean_db[i] = -engine_obstacle_share(&field->obstacle, &plain->views[i]) *
                     field->obstacle.loss_db;
        for (size_t k = 0; k < n_reads; k++) {
            double c_db2 = engine_shared_db2(plain->survey, reads, field, &reads->views[k],
                                             &plain->views[i], NULL);
            gsl_vector_set(&row.vector, k, c_db2);
            mean_db[i] += c_db2 * field->pull[k];
        }
        gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, &lower.matrix, &row.vector);
    }
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++) {
            double db2 = i == j ? engine_prior_db2(reads, field, &plain->views[i])
                                : engine_shared_db2(plain->survey, reads, field,
                                                    &plain->views[i], &plain->views[j], NULL);
            for (size_t k = 0; k < n_reads; k++)
                db2 -= told[i * n_reads + k] * told[j * n_reads + k];
            plain->db2[i][j] += field->weight * (db2 + mean_db[i] * mean_db[j]);
        }
    free(told);
}

static void work_out(struct plain *plain) {
    const engine_reads *reads = plain->belief->reads;
    double all_db[MOST_VIEWS] = {0}, mean_db[MOST_VIEWS];
    for (size_t h = 0; h < reads->n_fields; h++) {
        add_field(plain, reads, &reads->fields[h], mean_db);
        for (size_t i = 0; i < 2 * plain->n; i++)
            all_db[i] += reads->fields[h].weight * mean_db[i];
    }
    for (size_t i = 0; i < 2 * plain->n; i++)
        for (size_t j = 0; j < 2 * plain->n; j++)
            plain->db2[i][j] -= all_db[i] * all_db[j];
    for (size_t i = 0; i < plain->n; i++)
        plain->before_db2[i] = plain->db2[i][i];
}

static void look_at(struct plain *plain, size_t i) {
    const engine_reads *reads = plain->belief->reads;
    const earshot_link *link = &plain->zones[i].link;
    bool back = plain->zones[i].prediction.notes & EARSHOT_NOTE_WAY_BACK;
    size_t at = plain->n + i;
    engine_solve_told(plain->survey, plain->belief, link, back, NULL, &plain->results[i]);
    plain->views[i] = engine_view_of(link, &plain->results[i], true);
    engine_solve_told(plain->survey, plain->belief, link, false, NULL, &plain->results[at]);
    plain->views[at] = engine_view_of(link, &plain->results[at], false);
    plain->views[i].in_place = plain->views[at].in_place = true;
    plain->views[at].meter = reads->meter;
    plain->views[at].meter_sd_db = plain->belief->meter_sd_db;
    plain->may_read[i] = true;
    for (size_t k = 0; k < reads->n; k++)
        if (reads->views[k].device == link->device && reads->views[k].in_place)
            plain->may_read[i] = false;
}

static double weight_of(const struct plain *plain, size_t i, double left_db2) {
    const earshot_prediction *prediction = &plain->zones[i].prediction;
    bool life_safety = plain->zones[i].link.life_safety;
    const planning_asked asked = {prediction->required_margin_db,
                                  survey_confidence(plain->survey, life_safety),
                                  prediction->basis == EARSHOT_READ_IN_PLACE, life_safety};
    return planning_unsettled_of(prediction->margin_db, plain->before_db2[i] - left_db2,
                                 left_db2, &asked)
        .weight;
}

static double relieved_by(const struct plain *plain, size_t candidate) {
    size_t at = plain->n + candidate;
    double relieved = 0;
    for (size_t i = 0; i < plain->n; i++) {
        double left_db2 = plain->db2[i][i];
        double told_db2 =
            plain->db2[i][at] * plain->db2[i][at] / (plain->db2[at][at] + plain->noise_db2);
        if (told_db2 > 0.01)
            relieved +=
                weight_of(plain, i, left_db2) - weight_of(plain, i, left_db2 - told_db2);
    }
    return relieved;
}

static void read_it(struct plain *plain, size_t candidate) {
    size_t n = 2 * plain->n, at = plain->n + candidate;
    double shared[MOST_VIEWS], seen_db2 = plain->db2[at][at] + plain->noise_db2;
    for (size_t i = 0; i < n; i++)
        shared[i] = plain->db2[i][at];
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            plain->db2[i][j] -= shared[i] * shared[j] / seen_db2;
    plain->may_read[candidate] = false;
}

static double minutes_for(const struct plain *plain, size_t to, size_t from) {
    size_t device = plain->zones[to].device;
    planning_where there = planning_where_is(plain->survey, device), here;
    if (from != EARSHOT_NONE)
        here = planning_where_is(plain->survey, plain->zones[from].device);
    return planning_read_minutes(planning_is_motion(plain->survey, device), true) +
           planning_way_minutes(&there, from == EARSHOT_NONE ? NULL : &here);
}

/* All pairs, all candidates, one after the other. */
static size_t choose_plainly(const struct plain *plain, size_t from, double *weight) {
    size_t chosen = EARSHOT_NONE;
    double best = -INFINITY;
    for (size_t i = 0; i < plain->n; i++) {
        double relieved = plain->may_read[i] ? relieved_by(plain, i) : 0;
        double worth = relieved / minutes_for(plain, i, from);
        if (!plain->may_read[i] || !(worth > best))
            continue;
        best = worth;
        chosen = i;
        *weight = relieved;
    }
    return chosen;
}

static void compare_plainly(const folder *tables) {
    static struct plain plain;
    planning_reading readings[N_CHOSEN];
    planning_worth worth;
    size_t from = EARSHOT_NONE;
    plain = (struct plain){.survey = folder_load(tables)};
    cr_assert_eq(earshot_belief_fit(plain.survey, NULL, NULL, NULL, &plain.belief), EARSHOT_OK);
    cr_assert_eq(
        earshot_zones_judge(plain.survey, plain.belief, plain.zones, MOST_ZONES, &plain.n),
        EARSHOT_OK);
    cr_assert_leq(plain.n, MOST_ZONES);
    double session_sd_db = plain.belief->session_sd_db;
    plain.noise_db2 = session_sd_db * session_sd_db + calibration_meter_noise_db2();
    for (size_t i = 0; i < plain.n; i++)
        look_at(&plain, i);
    work_out(&plain);
    cr_assert_eq(
        planning_next(plain.survey, plain.belief, true, N_CHOSEN, NULL, readings, &worth),
        EARSHOT_OK);
    cr_assert_eq(worth.n, N_CHOSEN);
    for (size_t k = 0; k < N_CHOSEN; k++) {
        double weight = 0;
        from = choose_plainly(&plain, from, &weight);
        if (fabs(weight) < 1e-6) /* of no worth: any is as good */
            break;
        cr_assert_eq(readings[k].device, plain.zones[from].device, "%zu: zone %zu, not %zu", k,
                     readings[k].device, plain.zones[from].device);
        cr_expect_float_eq(readings[k].weight, weight, 1e-7, "%zu: %g, %g", k,
                           readings[k].weight, weight);
        read_it(&plain, from);
    }
    earshot_belief_free(plain.belief);
    earshot_survey_free(plain.survey);
}

/* A hall of sensors at random, every fourth read, some walls, and one type in five that guards
 * life: most are near the limit. */
static void put_hall(folder *tables) {
    char devices[8000] = "device,role,x_m,y_m,height_m,radio,type,room\n"
                         "panel,receiver,1,1,1,868-10mw,,\n";
    char readings[4000] = "heard_at,device,reading,placed\n";
    folder_put(tables, "walls.csv",
               "wall,level,x1_m,y1_m,x2_m,y2_m,construction\na,ground,40,0,40,90,concrete\n"
               "b,ground,0,30,120,30,brick\nc,ground,80,0,80,90,concrete\n");
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    for (int i = 0; i < 72; i++) {
        double x_m = gsl_ran_flat(random, 2, 118), y_m = gsl_ran_flat(random, 2, 88);
        snprintf(devices + strlen(devices), sizeof devices - strlen(devices),
                 "z%d,sensor,%.2f,%.2f,2,868-10mw,%s,r%d\n", i, x_m, y_m,
                 i % 5 ? "motion" : "smoke", (int)(x_m / 20));
        if (i % 4 == 0)
            snprintf(readings + strlen(readings), sizeof readings - strlen(readings),
                     "panel,z%d,%.0f,in place\n", i,
                     -45 - 25 * log10(hypot(x_m, y_m)) + gsl_ran_gaussian(random, 6));
    }
    gsl_rng_free(random);
    folder_put(tables, "devices.csv", devices);
    folder_put(tables, "readings.csv", readings);
}

Test(next, chosen_as_when_all_is_worked_out) {
    folder demo = folder_read("surveys/demo"), hall = {.n = 0};
    folder_put(&demo, "spots.csv", "spot,level,x_m,y_m\n");
    compare_plainly(&demo);
    put_hall(&hall);
    compare_plainly(&hall);
    folder_free(&demo);
    folder_free(&hall);
}
