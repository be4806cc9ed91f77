/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_obstacles.c - something that nobody drew, where somebody put it.
 *
 * A hall of 16 sensors around one receiver, in the open by the plan. Readings are what the
 * tables foretell, less what each case takes off; nothing in them is random. What stands there
 * is a sheet of metal over x = 10 m, y = 1.5 to 7 m; that it takes 20 dB is an example, and
 * within what sources give for metal (26 dB and more) once signals come round it.
 */
#include "calibration.h"
#include "earshot/earshot.h"
#include "folder.h"
#include "joint.h"
#include "quality.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { N = 16, UNREAD = 13 };

struct hall {
    earshot_survey *survey;
    earshot_belief *prior, *belief;
    earshot_link links[N];
    earshot_prediction plan[N], now[N];
    calibration_undrawn undrawn;
};

static double x_of(int i) {
    static const double x_m[] = {5, 8, 12, 15};
    return x_m[i / 4];
}

static double y_of(int i) {
    static const double y_m[] = {1, 4, 6, 9};
    return y_m[i % 4];
}

/* Of the straight way from the receiver at (2, 5): where it passes x = 10 m. */
static bool behind(int i) {
    double y_m = 5 + (y_of(i) - 5) * (10 - 2) / (x_of(i) - 2);
    return x_of(i) > 10 && y_m > 1.5 && y_m < 7;
}

static earshot_survey *load(const char *readings) {
    char devices[2000] = "device,role,level,x_m,y_m,height_m,radio\n"
                         "panel,receiver,ground,2,5,1.2,made\n";
    folder tables = {.n = 0};
    for (int i = 0; i < N; i++)
        sprintf(devices + strlen(devices), "s%02d,sensor,ground,%g,%g,1.2,made\n", i, x_of(i),
                y_of(i));
    folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,3\n");
    folder_put(&tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,sensitivity_dbm,antenna_dbi,source\n"
               "made,868.3,9,-105,0,made up\n"); /* one way, as draws are compared */
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "readings.csv", readings);
    earshot_survey *survey = folder_load(&tables);
    folder_free(&tables);
    return survey;
}

/* Reads all but one as foretold, less `taken_db` of each. */
static void open_hall(const double *taken_db, struct hall *hall) {
    char readings[2000] = "heard_at,device,reading,placed\n";
    earshot_survey *bare = load(readings);
    cr_assert_eq(earshot_survey_links(bare, hall->links, N), N);
    cr_assert_eq(earshot_belief_prior(bare, &hall->prior), EARSHOT_OK);
    earshot_links_predict(bare, hall->prior, hall->links, N, hall->plan);
    earshot_belief_free(hall->prior);
    earshot_survey_free(bare);
    for (int i = 0; i < N; i++)
        if (i != UNREAD)
            sprintf(readings + strlen(readings), "panel,s%02d,%.2f,in place\n", i,
                    hall->plan[i].expected_reading_dbm - taken_db[i]);
    hall->survey = load(readings);
    cr_assert_eq(earshot_belief_fit(hall->survey, NULL, NULL, NULL, &hall->belief), EARSHOT_OK);
    earshot_links_predict(hall->survey, hall->belief, hall->links, N, hall->now);
    cr_assert_eq(calibration_undrawn_of(hall->belief, &hall->undrawn), EARSHOT_OK);
}

static void close_hall(struct hall *hall) {
    earshot_belief_free(hall->belief);
    earshot_survey_free(hall->survey);
}

Test(obstacles, a_sheet_of_metal_is_found) {
    double taken_db[N];
    struct hall hall;
    for (int i = 0; i < N; i++)
        taken_db[i] = behind(i) ? 20 : 0;
    cr_assert(behind(UNREAD));
    open_hall(taken_db, &hall);
    cr_expect_gt(hall.undrawn.chance, 0.9);
    cr_assert_gt(hall.undrawn.n_places, 0);
    for (int i = 0; i < N; i++) {
        double chance = calibration_undrawn_on(&hall.undrawn, &hall.links[i]);
        if (i != UNREAD)
            cr_expect_eq(chance > 0.5, behind(i), "%d: %g", i, chance);
    }
    for (size_t i = 0; i < hall.undrawn.n_places; i++) {
        const calibration_place *place = &hall.undrawn.places[i];
        cr_expect_float_eq(place->obstacle.loss_db, 20, 2 * place->obstacle.sd_db, "%zu", i);
    }
    close_hall(&hall);
}

/* What stands there takes the same of the way that nobody read. */
Test(obstacles, the_unread_way_behind_it_is_foretold) {
    double taken_db[N];
    struct hall hall;
    for (int i = 0; i < N; i++)
        taken_db[i] = behind(i) ? 20 : 0;
    open_hall(taken_db, &hall);
    double off_db = hall.now[UNREAD].margin_db - (hall.plan[UNREAD].margin_db - 20);
    cr_expect_lt(fabs(off_db), 4, "%g", off_db);
    cr_expect_lt(fabs(off_db), 1.645 * hall.now[UNREAD].margin_sd_db);
    close_hall(&hall);
}

Test(obstacles, the_ways_behind_it_are_put_down_to_it) {
    double taken_db[N];
    struct hall hall;
    calibration_cause cause;
    for (int i = 0; i < N; i++)
        taken_db[i] = behind(i) ? 20 : 0;
    open_hall(taken_db, &hall);
    for (int i = 0; i < N; i++) {
        if (!behind(i) || i == UNREAD)
            continue;
        cr_assert(
            calibration_likeliest_cause(hall.survey, hall.belief, &hall.links[i], 20, &cause));
        cr_expect_eq(cause.kind, CALIBRATION_BY_UNDRAWN, "%d", i);
        cr_expect_gt(cause.chance, 0.5);
        cr_expect_float_eq(cause.more_db, 20, 6, "%g", cause.more_db);
    }
    close_hall(&hall);
}

/* It can be the cause only as often as it stands there at all, however small what is to be
 * explained. */
Test(obstacles, a_cause_no_likelier_than_itself) {
    double taken_db[N];
    struct hall hall;
    calibration_cause cause;
    for (int i = 0; i < N; i++)
        taken_db[i] = behind(i) ? 9 : 0;
    open_hall(taken_db, &hall);
    cr_assert(hall.undrawn.chance > 0.1 && hall.undrawn.chance < 1, "%g", hall.undrawn.chance);
    for (int i = 0; i < N; i++)
        for (double off_db = 0; off_db < 12; off_db++) {
            cr_assert(calibration_likeliest_cause(hall.survey, hall.belief, &hall.links[i],
                                                  off_db, &cause));
            if (cause.kind == CALIBRATION_BY_UNDRAWN)
                cr_expect_leq(cause.chance,
                              calibration_undrawn_on(&hall.undrawn, &hall.links[i]) + 1e-9,
                              "%d: %g", i, cause.chance);
        }
    close_hall(&hall);
}

/* Readings that the tables foretell, all of them off alike, or one of them far off, say of
 * nothing that stands there: nothing, an offset, a slip. */
Test(obstacles, nothing_is_found_where_nothing_stands) {
    static const double alike_db[] = {0, 6, 0}, one_db[] = {0, 0, 25};
    for (int kind = 0; kind < 3; kind++) {
        double taken_db[N];
        struct hall hall;
        for (int i = 0; i < N; i++)
            taken_db[i] = alike_db[kind] + (i == 9 ? one_db[kind] : 0);
        open_hall(taken_db, &hall);
        cr_expect_lt(hall.undrawn.chance, 0.25, "%d: %g", kind, hall.undrawn.chance);
        close_hall(&hall);
    }
}

Test(obstacles, weights_are_shares) {
    double taken_db[N], sum = 0;
    struct hall hall;
    for (int i = 0; i < N; i++)
        taken_db[i] = behind(i) ? 9 : 0;
    open_hall(taken_db, &hall);
    const engine_reads *reads = hall.belief->reads;
    for (size_t h = 0; h < reads->n_fields; h++)
        sum += reads->fields[h].weight;
    cr_expect_float_eq(sum, 1, 1e-12);
    close_hall(&hall);
}

/* The means and sds of draws are those of the mixture, also where one of its parts lies 12 dB
 * from another. */
Test(obstacles, draws_are_of_what_is_foretold) {
    enum { N_DRAWS = 20000 };
    static double margin_db[N_DRAWS * N];
    double taken_db[N];
    struct hall hall;
    for (int i = 0; i < N; i++)
        taken_db[i] = behind(i) ? 11 : 0;
    open_hall(taken_db, &hall);
    cr_assert(hall.undrawn.chance > 0.2 && hall.undrawn.chance < 1, "%g", hall.undrawn.chance);
    cr_assert_eq(
        earshot_links_draw(hall.survey, hall.belief, hall.links, N, 1, 0, N_DRAWS, margin_db),
        EARSHOT_OK);
    for (int i = 0; i < N; i++) {
        double sum = 0, squares = 0, sd_db = hall.now[i].margin_sd_db;
        for (int k = 0; k < N_DRAWS; k++) {
            sum += margin_db[k * N + i];
            squares += margin_db[k * N + i] * margin_db[k * N + i];
        }
        double mean_db = sum / N_DRAWS;
        cr_expect_float_eq(mean_db, hall.now[i].margin_db, 5 * sd_db / sqrt(N_DRAWS), "%d", i);
        cr_expect_float_eq(sqrt(squares / N_DRAWS - mean_db * mean_db), sd_db,
                           5 * sd_db / sqrt(N_DRAWS), "%d", i);
    }
    close_hall(&hall);
}

/* What margins vary by together is that of drawn ones, also where whether it stands there is
 * most of the doubt: of each with the others, since of itself a draw has the fade too. The
 * error of a covariance of normals is sqrt((s_i^2 s_j^2 + s_ij^2) / n), from memory. */
Test(obstacles, margins_vary_together_as_drawn) {
    enum { N_DRAWS = 20000 };
    static double margin_db[N_DRAWS * N];
    double taken_db[N], mean_db[N] = {0}, covariance[N * N], own_db2[N];
    calibration_many *many = NULL;
    struct hall hall;
    engine_result results[N];
    engine_view views[N];
    for (int i = 0; i < N; i++)
        taken_db[i] = behind(i) ? 11 : 0;
    open_hall(taken_db, &hall);
    cr_assert(hall.undrawn.chance > 0.2 && hall.undrawn.chance < 1, "%g", hall.undrawn.chance);
    cr_assert_eq(
        earshot_links_draw(hall.survey, hall.belief, hall.links, N, 2, 0, N_DRAWS, margin_db),
        EARSHOT_OK);
    for (int i = 0; i < N; i++) {
        const engine_told told = engine_solve_told(hall.survey, hall.belief, &hall.links[i],
                                                   false, NULL, &results[i]);
        views[i] = engine_view_of(&hall.links[i], &results[i], true);
        views[i].in_place = told.in_place;
        for (int k = 0; k < N_DRAWS; k++)
            mean_db[i] += margin_db[k * N + i] / N_DRAWS;
    }
    cr_assert_eq(calibration_many_new(hall.survey, hall.belief, views, N, &many), EARSHOT_OK);
    calibration_many_tell(many, 0, N);
    for (size_t i = 0; i < N; i++) {
        own_db2[i] = calibration_many_db2(many, i);
        calibration_many_between(many, i, 0, N, covariance + i * N);
        cr_expect_float_eq(covariance[i * N + i], own_db2[i], 1e-9);
    }
    for (int i = 0; i < N; i++)
        for (int j = 0; j < i; j++) {
            double drawn_db2 = 0, told_db2 = covariance[i * N + j];
            double both_db2 = own_db2[i] * own_db2[j];
            for (int k = 0; k < N_DRAWS; k++)
                drawn_db2 += (margin_db[k * N + i] - mean_db[i]) *
                             (margin_db[k * N + j] - mean_db[j]) / N_DRAWS;
            cr_expect_float_eq(drawn_db2, told_db2,
                               5 * sqrt((both_db2 + told_db2 * told_db2) / N_DRAWS),
                               "%d %d: %g and %g", i, j, drawn_db2, told_db2);
        }
    calibration_many_free(many);
    close_hall(&hall);
}

Test(obstacles, none_without_a_plan) {
    folder tables = {.n = 0};
    calibration_undrawn undrawn;
    earshot_belief *belief = NULL;
    folder_put(&tables, "paths.csv",
               "device,to,length_m\na,panel,9\nb,panel,12\nc,panel,15\nd,panel,8\n");
    folder_put(&tables, "readings.csv",
               "heard_at,device,reading,placed\npanel,a,-90,in place\npanel,b,-91,in place\n"
               "panel,c,-50,in place\npanel,d,-44,in place\n");
    earshot_survey *survey = folder_load(&tables);
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    cr_assert_eq(calibration_undrawn_of(belief, &undrawn), EARSHOT_OK);
    cr_expect_eq(undrawn.n_places, 0);
    cr_expect_eq(undrawn.chance, 0);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}
