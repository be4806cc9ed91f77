/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_fit.c - a belief corrected by readings: what must hold whatever the numbers are.
 *
 * What the numbers are is held elsewhere: to closed forms (test_read.c, test_sites.c), to
 * simulation (tests/recover) and to measurements (tests/measured).
 */
#include "calibration.h"
#include "earshot/earshot.h"
#include "folder.h"
#include "shortage.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_LINKS = 8 };

/* A survey without a plan: three sensors, two of them in one room, and a receiver. */
struct fitted {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_link links[MOST_LINKS];
    earshot_prediction of[MOST_LINKS];
    size_t n;
};

static void begin(struct fitted *fitted, const char *rows) {
    char readings[4000];
    snprintf(readings, sizeof readings,
             "heard_at,device,reading,scale,visit,trips,heard,placed\n%s", rows);
    fitted->tables = (folder){.n = 0};
    folder_put(&fitted->tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&fitted->tables, "readings.csv", readings);
}

static void put_paths(struct fitted *fitted) {
    folder_put(&fitted->tables, "devices.csv",
               "device,role,radio,room\na,sensor,868-10mw,hall\nb,sensor,868-10mw,hall\n"
               "c,sensor,868-25mw,attic\np,receiver,868-10mw,\n");
    folder_put(&fitted->tables, "paths.csv",
               "device,to,length_m,crossings\na,p,8,brick\nb,p,9,\"brick, brick\"\n"
               "c,p,15,\"brick, timber-floor, concrete\"\n");
}

/* The same by coordinates, with a wall between. */
static void put_plan(struct fitted *fitted) {
    folder_put(&fitted->tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n");
    folder_put(&fitted->tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio\na,sensor,ground,0,0,1,868-10mw\n"
               "b,sensor,ground,1,0,1,868-10mw\nc,sensor,ground,0,9,1,868-25mw\n"
               "p,receiver,ground,9,1,1.5,868-10mw\n");
    folder_put(&fitted->tables, "walls.csv",
               "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nw,ground,4,-5,4,4,brick\n"
               "v,ground,6,-5,6,14,concrete\n");
}

static void predict(struct fitted *fitted) {
    fitted->n = earshot_survey_links(fitted->survey, fitted->links, MOST_LINKS);
    cr_assert(fitted->n <= MOST_LINKS);
    cr_assert_eq(earshot_links_predict(fitted->survey, fitted->belief, fitted->links, fitted->n,
                                       fitted->of),
                 EARSHOT_OK);
}

static void fit(struct fitted *fitted, const unsigned char *use) {
    fitted->survey = folder_load(&fitted->tables);
    cr_assert_eq(earshot_belief_fit(fitted->survey, use, NULL, NULL, &fitted->belief),
                 EARSHOT_OK);
    predict(fitted);
}

static void end(struct fitted *fitted) {
    earshot_belief_free(fitted->belief);
    earshot_survey_free(fitted->survey);
    folder_free(&fitted->tables);
}

static struct fitted fit_paths(const char *rows) {
    struct fitted fitted;
    begin(&fitted, rows);
    put_paths(&fitted);
    fit(&fitted, NULL);
    return fitted;
}

static struct fitted fit_plan(const char *rows) {
    struct fitted fitted;
    begin(&fitted, rows);
    put_plan(&fitted);
    fit(&fitted, NULL);
    return fitted;
}

/* Largest difference between two that have the same links. */
static double apart_db(const struct fitted *one, const struct fitted *other) {
    double most = 0;
    cr_assert_eq(one->n, other->n);
    for (size_t i = 0; i < one->n; i++) {
        most = fmax(most, fabs(one->of[i].margin_db - other->of[i].margin_db));
        most = fmax(most, fabs(one->of[i].margin_sd_db - other->of[i].margin_sd_db));
        most = fmax(most,
                    fabs(one->of[i].expected_reading_dbm - other->of[i].expected_reading_dbm));
    }
    return most;
}

/* ---- no readings ---- */

Test(fit, nothing_read_is_the_prior) {
    struct fitted fitted = fit_paths("");
    earshot_belief *prior = NULL;
    earshot_prediction by_tables[MOST_LINKS];
    cr_assert_eq(earshot_belief_prior(fitted.survey, &prior), EARSHOT_OK);
    cr_expect_null(fitted.belief->reads);
    cr_expect_eq(memcmp(fitted.belief->mean, prior->mean, prior->n * sizeof(double)), 0);
    cr_expect_eq(memcmp(fitted.belief->covariance, prior->covariance,
                        prior->n * prior->n * sizeof(double)),
                 0);
    earshot_links_predict(fitted.survey, prior, fitted.links, fitted.n, by_tables);
    for (size_t i = 0; i < fitted.n; i++) {
        cr_expect_eq(fitted.of[i].margin_db, by_tables[i].margin_db, "%zu", i);
        cr_expect_eq(fitted.of[i].margin_sd_db, by_tables[i].margin_sd_db, "%zu", i);
        cr_expect_eq(fitted.of[i].basis, EARSHOT_PREDICTED, "%zu", i);
    }
    earshot_belief_free(prior);
    end(&fitted);
}

/* ---- one reading ---- */

/* The margin moves toward what was read and not beyond it, its doubt shrinks, and the answer
 * says what it stands on. */
Test(fit, one_reading_in_place) {
    struct fitted (*const ways[])(const char *) = {fit_paths, fit_plan};
    for (size_t way = 0; way < 2; way++) {
        struct fitted before = ways[way]("");
        double expected_dbm = before.of[0].expected_reading_dbm;
        for (int over_db = -12; over_db <= 12; over_db += 6) {
            char row[100];
            snprintf(row, sizeof row, "p,a,%.1f,,,,,in place\n", expected_dbm + over_db);
            struct fitted after = ways[way](row);
            double moved_db = after.of[0].margin_db - before.of[0].margin_db;
            cr_expect(over_db == 0 ? fabs(moved_db) < 0.1
                                   : moved_db / over_db > 0.1 && moved_db / over_db < 1,
                      "way %zu, %d dB over: %g", way, over_db, moved_db);
            cr_expect_lt(after.of[0].margin_sd_db, before.of[0].margin_sd_db);
            cr_expect_eq(after.of[0].basis, EARSHOT_READ_IN_PLACE);
            for (size_t i = 1; i < after.n; i++)
                cr_expect_eq(after.of[i].basis, EARSHOT_CORRECTED, "%zu", i);
            /* the place in the same room, or a meter away, follows, and less far */
            double neighbor_db = after.of[1].margin_db - before.of[1].margin_db;
            cr_expect(over_db == 0 ||
                          (neighbor_db / over_db > 0.02 && fabs(neighbor_db) < fabs(moved_db)),
                      "way %zu, %d dB over: %g", way, over_db, neighbor_db);
            end(&after);
        }
        end(&before);
    }
}

/* A level one sd off what is expected says nothing of sds (d/ds of a normal's log chance is 0
 * there), so that fields have the doubt of the tables on the mean, as by the law of total
 * variance; the nine heaviest of the grid alone had a fifth less. */
Test(fit, what_tells_nothing_of_sds_leaves_them) {
    static const double noise_db2 = 2 * 4; /* Student's t, 4 degrees, scale 2 */
    struct fitted (*const ways[])(const char *) = {fit_paths, fit_plan};
    for (size_t way = 0; way < 2; way++) {
        struct fitted before = ways[way]("");
        char row[100];
        snprintf(row, sizeof row, "p,a,%.1f,,,,,held\n",
                 before.of[0].expected_reading_dbm +
                     sqrt(pow(before.of[0].reading_sd_db, 2) + noise_db2));
        struct fitted after = ways[way](row);
        const engine_reads *reads = after.belief->reads;
        double shadow = 0, fade = 0;
        for (size_t i = 0; i < reads->n_fields; i++) {
            const engine_field *field = &reads->fields[i];
            shadow += field->weight * pow(field->sd_db / before.belief->shadow_sd_db, 2);
            fade += field->weight * pow(field->static_sd_db / before.belief->static_sd_db, 2);
        }
        cr_expect_float_eq(shadow, 1, 0.03, "way %zu: %g", way, shadow);
        cr_expect_float_eq(fade, 1, 0.03, "way %zu: %g", way, fade);
        end(&after);
        end(&before);
    }
}

/* Two readings of a plan hardly tell how far the field reaches: 1, 2 and 4 m keep their
 * quarter, half and quarter. */
Test(fit, each_reach_keeps_its_share) {
    struct fitted before = fit_plan("");
    char rows[100];
    double shares[3] = {0};
    snprintf(rows, sizeof rows, "p,a,%.1f,,,,,held\np,c,%.1f,,,,,held\n",
             before.of[0].expected_reading_dbm, before.of[2].expected_reading_dbm);
    struct fitted after = fit_plan(rows);
    for (size_t i = 0; i < after.belief->reads->n_fields; i++) {
        const engine_field *field = &after.belief->reads->fields[i];
        shares[field->length_m < 2 ? 0 : field->length_m > 2 ? 2 : 1] += field->weight;
    }
    cr_expect_float_eq(shares[0], 0.25, 0.08, "%g", shares[0]);
    cr_expect_float_eq(shares[1], 0.5, 0.08, "%g", shares[1]);
    cr_expect_float_eq(shares[2], 0.25, 0.08, "%g", shares[2]);
    end(&after);
    end(&before);
}

/* A reading by hand leaves the place its own fade: less is learned than in place. */
Test(fit, by_hand_tells_less) {
    struct fitted before = fit_paths("");
    char row[100];
    double level_dbm = before.of[0].expected_reading_dbm + 5;
    snprintf(row, sizeof row, "p,a,%.1f,,,,,held\n", level_dbm);
    struct fitted held = fit_paths(row);
    snprintf(row, sizeof row, "p,a,%.1f,,,,,in place\n", level_dbm);
    struct fitted fixed = fit_paths(row);
    cr_expect_lt(fixed.of[0].margin_sd_db, held.of[0].margin_sd_db);
    cr_expect_lt(held.of[0].margin_sd_db, before.of[0].margin_sd_db);
    cr_expect_eq(held.of[0].basis, EARSHOT_CORRECTED);
    cr_expect_lt(fabs(held.of[0].margin_db - before.of[0].margin_db),
                 fabs(fixed.of[0].margin_db - before.of[0].margin_db));
    end(&before);
    end(&held);
    end(&fixed);
}

/* ---- rows, their order and their use ---- */

enum { N_ROWS = 8 };
static const char *const rows[N_ROWS] = {"p,a,-71,,,,,in place\n", "p,a,-74,,,,,in place\n",
                                         "p,b,-70,,,,,held\n",     "p,b,2,bars-5,,,,held\n",
                                         "p,c,-96,,,,,in place\n", "p,c,,,,10,8,in place\n",
                                         "p,c,none,,,,,held\n",    "p,b,-78,,,,,in place\n"};

/* The visit is the same in all: by first mention, the first is what others are held against. */
static void write_rows(char text[1000], const size_t *order, size_t n) {
    text[0] = '\0';
    for (size_t i = 0; i < n; i++)
        strcat(text, rows[order[i]]);
}

Test(fit, any_order_of_rows) {
    static const size_t orders[][N_ROWS] = {{0, 1, 2, 3, 4, 5, 6, 7},
                                            {7, 6, 5, 4, 3, 2, 1, 0},
                                            {3, 0, 6, 2, 7, 5, 1, 4},
                                            {6, 4, 5, 1, 0, 7, 2, 3}};
    struct fitted (*const ways[])(const char *) = {fit_paths, fit_plan};
    for (size_t way = 0; way < 2; way++) {
        char text[1000];
        write_rows(text, orders[0], N_ROWS);
        struct fitted first = ways[way](text);
        for (size_t i = 1; i < sizeof orders / sizeof *orders; i++) {
            write_rows(text, orders[i], N_ROWS);
            struct fitted other = ways[way](text);
            cr_expect_lt(apart_db(&first, &other), 1e-6, "way %zu, order %zu: %g dB", way, i,
                         apart_db(&first, &other));
            end(&other);
        }
        end(&first);
    }
}

/* Weak levels by hand, of which each says that it was heard at all. */
Test(fit, any_order_of_weak_levels) {
    static const char *const orders[] = {
        "p,b,-89,,,,,held\np,b,-97,,,,,held\np,b,-104,,,,,held\n",
        "p,b,-104,,,,,held\np,b,-97,,,,,held\np,b,-89,,,,,held\n",
        "p,b,-97,,,,,held\np,b,-104,,,,,held\np,b,-89,,,,,held\n"};
    struct fitted first = fit_paths(orders[0]);
    for (size_t i = 1; i < sizeof orders / sizeof *orders; i++) {
        struct fitted other = fit_paths(orders[i]);
        cr_expect_lt(apart_db(&first, &other), 1e-6, "order %zu: %g dB", i,
                     apart_db(&first, &other));
        end(&other);
    }
    end(&first);
}

/* Rows that are not to be used might as well not be there. */
Test(fit, rows_not_used) {
    static const size_t order[N_ROWS] = {0, 1, 2, 3, 4, 5, 6, 7};
    for (unsigned mask = 0; mask < 1u << N_ROWS; mask += 37) {
        unsigned char use[N_ROWS];
        size_t kept[N_ROWS], n = 0;
        char text[1000];
        for (size_t i = 0; i < N_ROWS; i++) {
            use[i] = mask >> i & 1;
            if (use[i])
                kept[n++] = i;
        }
        write_rows(text, kept, n);
        struct fitted without = fit_paths(text), masked;
        write_rows(text, order, N_ROWS);
        begin(&masked, text);
        put_paths(&masked);
        fit(&masked, use);
        cr_expect_eq(apart_db(&without, &masked), 0, "rows %x: %g dB", mask,
                     apart_db(&without, &masked));
        end(&without);
        end(&masked);
    }
}

/* The first so many of the levels of a link, each as expected: its doubt never grows. */
Test(fit, more_readings_never_less_sure) {
    struct fitted before = fit_paths("");
    for (size_t link = 0; link < before.n; link++)
        for (int in_place = 0; in_place < 2; in_place++) {
            char text[1000] = "";
            double last_db = before.of[link].margin_sd_db;
            for (int n = 0; n < 6; n++) {
                snprintf(text + strlen(text), 100, "p,%c,%.1f,,,,,%s\n", "abc"[link],
                         before.of[link].expected_reading_dbm, in_place ? "in place" : "held");
                struct fitted after = fit_paths(text);
                cr_expect_leq(after.of[link].margin_sd_db, last_db + 1e-9,
                              "%c, %d of %s: %g after %g", "abc"[link], n,
                              in_place ? "in place" : "held", after.of[link].margin_sd_db,
                              last_db);
                last_db = after.of[link].margin_sd_db;
                end(&after);
            }
        }
    end(&before);
}

/* ---- stopping, memory, misuse ---- */

struct watching {
    unsigned n_calls, n_left;
    double last;
};

static bool go_on(void *who, double share_done) {
    struct watching *watching = who;
    watching->n_calls++;
    cr_expect(share_done > 0 && share_done <= 1 && share_done >= watching->last, "%g after %g",
              share_done, watching->last);
    watching->last = share_done;
    return watching->n_left == 0 || --watching->n_left > 0;
}

/* Stopped wherever the watch says so; under the sanitizer nothing is leaked. */
Test(fit, stopped_by_the_watch) {
    struct fitted fitted = fit_plan("p,a,-71,,,,,in place\np,b,-70,,,,,held\n");
    struct watching watching = {0};
    earshot_watch watch = {.go_on = go_on, .who = &watching};
    earshot_belief *belief = NULL;
    cr_assert_eq(earshot_belief_fit(fitted.survey, NULL, &watch, NULL, &belief), EARSHOT_OK);
    unsigned n = watching.n_calls;
    cr_expect_geq(n, 10);
    earshot_belief_free(belief);
    for (unsigned i = 1; i <= n; i++) {
        earshot_belief *untouched = fitted.belief;
        watching = (struct watching){.n_left = i};
        cr_expect_eq(earshot_belief_fit(fitted.survey, NULL, &watch, NULL, &untouched),
                     EARSHOT_STOPPED, "at %u", i);
        cr_expect_eq(untouched, fitted.belief, "at %u", i);
        cr_expect_eq(watching.n_calls, i);
    }
    end(&fitted);
}

/* Each allocation of ours fails in turn, with all behind it and alone. */
static void run_short_of_memory(struct fitted *fitted) {
    static void (*const ways[])(long) = {shortage_begin, shortage_once};
    for (size_t way = 0; way < 2; way++) {
        enum earshot_status status = EARSHOT_NO_MEMORY;
        long n = 0;
        for (; status != EARSHOT_OK; n++) {
            earshot_belief *belief = fitted->belief;
            ways[way](n);
            status = earshot_belief_fit(fitted->survey, NULL, NULL, NULL, &belief);
            long refused = shortage_end();
            cr_assert_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK, "after %ld: %d", n,
                         status);
            cr_assert_eq(belief == fitted->belief, refused > 0, "after %ld", n);
            if (!refused)
                earshot_belief_free(belief);
        }
        cr_expect_geq(n, 30);
    }
    end(fitted);
}

Test(fit, memory_shortage) {
    struct fitted fitted =
        fit_paths("p,a,-71,,,,,in place\np,c,,,,10,8,in place\np,b,2,bars-5,,,,held\n");
    run_short_of_memory(&fitted);
}

/* By a plan, where something that nobody drew is looked for. */
Test(fit, memory_shortage_with_a_plan) {
    struct fitted fitted = fit_plan("p,a,-71,,,,,in place\np,b,-70,,,,,held\n");
    run_short_of_memory(&fitted);
}

Test(fit, misuse) {
    struct fitted fitted = fit_paths("");
    earshot_belief *belief = NULL;
    cr_expect_eq(earshot_belief_fit(NULL, NULL, NULL, NULL, &belief), EARSHOT_MISUSE);
    cr_expect_eq(earshot_belief_fit(fitted.survey, NULL, NULL, NULL, NULL), EARSHOT_MISUSE);
    cr_expect_null(belief);
    end(&fitted);
}

/* ---- without a plan ---- */

/* What one link is told of the place beyond parameters and walls. */
static double told_db(const struct fitted *fitted, size_t link) {
    engine_result result;
    return engine_solve_told(fitted->survey, fitted->belief, &fitted->links[link], false, NULL,
                             &result)
        .shift_db;
}

/* Path rows are corrected by what they share: radios, constructions, the receiver. Of the
 * place, only what shares its room is told anything. */
Test(fit, without_a_plan) {
    struct fitted before = fit_paths("");
    char row[100];
    snprintf(row, sizeof row, "p,a,%.1f,,,,,in place\n", before.of[0].expected_reading_dbm + 6);
    struct fitted after = fit_paths(row);
    for (size_t i = 0; i < after.n; i++) {
        double moved_db = after.of[i].margin_db - before.of[i].margin_db;
        cr_expect_gt(moved_db, 0, "%zu: %g", i, moved_db);
        cr_expect_lt(after.of[i].margin_sd_db, before.of[i].margin_sd_db, "%zu", i);
    }
    cr_expect_gt(told_db(&after, 0), told_db(&after, 1));
    cr_expect_gt(told_db(&after, 1), 0);
    cr_expect_eq(told_db(&after, 2), 0);
    end(&before);
    end(&after);
}
