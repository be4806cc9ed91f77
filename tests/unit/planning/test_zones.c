/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_zones.c - links to zones, advice, and the questions that settle most. */
#include "earshot/earshot.h"
#include "folder.h"
#include "planning.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST = 16 };

/* A house by path rows; `devices` and `paths` without their headers. */
struct site {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_zone zones[MOST];
    size_t n;
};

static void open_site(const char *devices, const char *paths, struct site *site) {
    char text[2000];
    site->tables = (folder){.n = 0};
    folder_put(&site->tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    snprintf(text, sizeof text, "device,role,radio,mount,type,hears\n%s", devices);
    folder_put(&site->tables, "devices.csv", text);
    snprintf(text, sizeof text, "device,to,length_m,crossings\n%s", paths);
    folder_put(&site->tables, "paths.csv", text);
    folder_put(&site->tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\nfaint,868.3,-50,-105,made up: "
               "won't reach 30 m\n");
    site->survey = folder_load(&site->tables);
    cr_assert_eq(earshot_belief_prior(site->survey, &site->belief), EARSHOT_OK);
    cr_assert_eq(earshot_zones_judge(site->survey, site->belief, site->zones, MOST, &site->n),
                 EARSHOT_OK);
}

static void close_site(struct site *site) {
    earshot_belief_free(site->belief);
    earshot_survey_free(site->survey);
    folder_free(&site->tables);
}

static const char *listener(const struct site *site, size_t zone) {
    size_t row = site->zones[zone].link.listener;
    return row == EARSHOT_NONE ? "" : earshot_survey_device(site->survey, row);
}

/* A zone is firm when at least one of its links is. */
Test(zones, the_best_listener_counts) {
    struct site site;
    open_site(
        "far,sensor,868-10mw,,motion,\np1,receiver,868-10mw,,,\np2,receiver,868-10mw,,,\n",
        "far,p1,900,\"concrete,concrete\"\nfar,p2,10,\n", &site);
    cr_assert_eq(site.n, 1);
    cr_expect_str_eq(listener(&site, 0), "p2");
    cr_expect_eq(site.zones[0].prediction.verdict, EARSHOT_FIRM);
    close_site(&site);
}

Test(zones, hears_limits_the_listeners) {
    struct site site;
    open_site("far,sensor,868-10mw,,motion,\nnear,sensor,868-10mw,,motion,\n"
              "p1,receiver,868-10mw,,,\np2,receiver,868-10mw,,,near\n",
              "far,p1,900,\"concrete,concrete\"\nfar,p2,10,\nnear,p2,10,\nnear,p1,10,\n",
              &site);
    cr_assert_eq(site.n, 2);
    cr_expect_str_eq(listener(&site, 0), "p1", "p2 does not hear it");
    cr_expect_neq(site.zones[0].prediction.verdict, EARSHOT_FIRM);
    close_site(&site);
}

/* A repeater that is not heard itself passes nothing on. */
Test(zones, a_repeater_needs_a_firm_link_of_its_own) {
    static const struct {
        const char *own_path;
        enum earshot_verdict verdict;
        const char *listener;
    } rows[] = {{"r,p,1,\n", EARSHOT_FIRM, "r"}, {"r,p,30,\n", EARSHOT_OUT, "p"}};
    for (size_t i = 0; i < 2; i++) {
        struct site site;
        char paths[300];
        snprintf(paths, sizeof paths, "s,p,90,\ns,r,1,\n%s", rows[i].own_path);
        open_site("s,sensor,faint,,motion,\nr,repeater,faint,,,\n"
                  "p,receiver,868-10mw,,,\n",
                  paths, &site);
        cr_assert_eq(site.n, 1, "a repeater is no zone");
        cr_expect_eq(site.zones[0].prediction.verdict, rows[i].verdict, "%s", rows[i].own_path);
        cr_expect_str_eq(listener(&site, 0), rows[i].listener);
        close_site(&site);
    }
}

Test(zones, nobody_hears_it) {
    struct site site;
    open_site(
        "s,sensor,868-10mw,,motion,\nt,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,t\n",
        "t,p,10,\n", &site);
    cr_expect_eq(site.zones[0].prediction.verdict, EARSHOT_NOT_JUDGED);
    cr_expect_eq(site.zones[0].link.listener, EARSHOT_NONE);
    planning_advice advice = planning_advise(site.survey, site.belief, &site.zones[0].link,
                                             &site.zones[0].prediction, NULL, 0);
    cr_expect_eq(advice.step, PLANNING_GIVE_HEARER);
    close_site(&site);
}

/* ---- advice: rules of thumb, common practice, no source ---- */

static const earshot_part first_meter = {
    EARSHOT_FIRST_METER, "first meter", NULL, 31.2, 0, "x"};
static const earshot_part distance = {EARSHOT_DISTANCE, "dwelling", NULL, 30, 4, "x"};
static const earshot_part brick = {EARSHOT_WALL, "north", "brick", 4, 2, "x"};
static const earshot_part cladding = {EARSHOT_WALL, "south", "metal-cladding", 20, 6, "x"};
static const earshot_part floor_mount = {EARSHOT_MOUNT, "floor-level", "sender", 4, 3, "x"};
static const earshot_part cabinet = {EARSHOT_MOUNT, "inside-metal", "sender", 15, 8, "x"};

Test(advice, cheapest_first) {
    const struct {
        earshot_part parts[5];
        double spare_db, margin_db, sd_db;
        unsigned notes;
        enum planning_step step;
        const char *cause;
        const char *why;
    } rows[] = {
        {{first_meter, distance, brick, cladding},
         5,
         15,
         8,
         0,
         PLANNING_READ,
         "south",
         "the mean holds: a reading, not a drill"},
        {{first_meter, distance, brick, cabinet},
         5,
         15,
         8,
         0,
         PLANNING_REMOUNT,
         "inside-metal",
         "a mount that takes 10 dB is mended first"},
        {{first_meter, distance, brick, floor_mount},
         5,
         15,
         8,
         0,
         PLANNING_READ,
         "floor-level",
         "4 dB of mount do not come before a reading"},
        {{first_meter, distance, brick, floor_mount},
         -3,
         7,
         8,
         0,
         PLANNING_REMOUNT,
         "north",
         "but they do when it is short"},
        {{first_meter, distance, brick, brick},
         -4,
         6,
         8,
         0,
         PLANNING_SLIDE,
         "north",
         "6 dB or less short: half a wavelength"},
        {{first_meter, distance, brick, cladding},
         -12,
         -2,
         8,
         0,
         PLANNING_AVOID,
         "south",
         "the cladding takes more than is short"},
        {{first_meter, distance, brick, brick},
         -25,
         -15,
         8,
         0,
         PLANNING_MOVE,
         "north",
         "nothing small will do"},
        {{first_meter, distance}, -25, -15, 8, 0, PLANNING_MOVE, "dwelling", "it is just far"},
        {{first_meter, distance, brick, cladding},
         -8,
         2,
         14,
         EARSHOT_NOTE_BEYOND_SD,
         PLANNING_READ,
         "south",
         "too little is known: read it"},
    };
    struct site site;
    open_site("s,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n", "s,p,10,\n", &site);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        earshot_prediction prediction = {.spare_db = rows[i].spare_db,
                                         .margin_db = rows[i].margin_db,
                                         .margin_sd_db = rows[i].sd_db,
                                         .notes = rows[i].notes,
                                         .verdict = rows[i].notes           ? EARSHOT_NOT_JUDGED
                                                    : rows[i].margin_db < 0 ? EARSHOT_OUT
                                                                            : EARSHOT_THIN};
        size_t n = 0;
        while (n < 5 && rows[i].parts[n].name)
            n++;
        planning_advice advice = planning_advise(site.survey, site.belief, &site.zones[0].link,
                                                 &prediction, rows[i].parts, n);
        cr_expect_eq(advice.step, rows[i].step, "%s: %d", rows[i].why, advice.step);
        cr_assert_lt(advice.cause, n, "%s", rows[i].why);
        cr_expect_str_eq(rows[i].parts[advice.cause].name, rows[i].cause, "%s", rows[i].why);
        /* half a wavelength at 868.3 MHz is 17 cm */
        if (advice.step == PLANNING_SLIDE)
            cr_expect_float_eq(advice.slide_m, 0.1726, 0.0001);
    }
    close_site(&site);
}

/* ---- questions ---- */

/* Thin zones behind four walls of one construction: it is asked about before anything else. */
Test(questions, the_shared_wall_is_asked_first) {
    struct site site;
    planning_question questions[PLANNING_MAX_QUESTIONS];
    earshot_link links[MOST];
    size_t n = 0;
    open_site(
        "a,sensor,868-10mw,,motion,\nb,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n",
        "a,p,60,\"foil,foil,foil\"\nb,p,70,\"foil,foil,foil,brick\"\n", &site);
    size_t n_links = earshot_survey_links(site.survey, links, MOST);
    cr_assert_eq(planning_ask(site.survey, site.belief, links, n_links, questions, &n),
                 EARSHOT_OK);
    cr_assert_eq(n, 3);
    cr_expect_eq(questions[0].topic, PLANNING_CONSTRUCTION);
    cr_expect_str_eq(site.survey->constructions[questions[0].row].name, "foil-insulation");
    cr_expect_geq(questions[0].n_settled, questions[1].n_settled);
    cr_expect_geq(questions[1].n_settled, questions[2].n_settled);
    close_site(&site);
}

/* What each parameter takes off the variance, all together, is the whole of it when none are
 * correlated: nothing is counted twice or left out. */
Test(questions, shares_add_up) {
    struct site site;
    engine_result result;
    open_site("a,sensor,868-10mw,floor-level,motion,\np,receiver,868-10mw,,,\n",
              "a,p,60,\"foil,brick,timber floor\"\n", &site);
    engine_solve(site.survey, site.belief, &site.zones[0].link, &result);
    double all_db2 = engine_variance_db2(site.belief, &result.features, result.features.n),
           one_by_one = 0;
    for (size_t i = 0; i < result.features.n; i++) {
        size_t parameter = result.features.parameter[i];
        one_by_one += result.features.value[i] * result.features.value[i] *
                      site.belief->covariance[parameter * site.belief->n + parameter];
    }
    cr_expect_float_eq(all_db2, one_by_one, 1e-9);
    close_site(&site);
}
