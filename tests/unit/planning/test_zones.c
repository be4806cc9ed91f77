/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_zones.c - links to zones: who hears each sensor best, and whether that is enough. */
#include "earshot/earshot.h"
#include "house.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

enum { MOST = 16 };

struct site {
    house house;
    earshot_zone zones[MOST];
    size_t n;
};

static void open_site(const char *devices, const char *paths, struct site *site) {
    house_open(devices, paths, &site->house);
    cr_assert_eq(earshot_zones_judge(site->house.survey, site->house.belief, site->zones, MOST,
                                     &site->n),
                 EARSHOT_OK);
}

static const char *listener(const struct site *site, size_t zone) {
    size_t row = site->zones[zone].link.listener;
    return row == EARSHOT_NONE ? "" : earshot_survey_device(site->house.survey, row);
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
    house_close(&site.house);
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
    house_close(&site.house);
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
        house_close(&site.house);
    }
}

Test(zones, nobody_hears_it) {
    struct site site;
    open_site(
        "s,sensor,868-10mw,,motion,\nt,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,t\n",
        "t,p,10,\n", &site);
    cr_expect_eq(site.zones[0].prediction.verdict, EARSHOT_NOT_JUDGED);
    cr_expect_eq(site.zones[0].link.listener, EARSHOT_NONE);
    house_close(&site.house);
}

/* Of two listeners neither of which can be judged, the one that something is known of counts,
 * whichever stands first in the table: four walls of foil leave more than 10 dB of doubt, but a
 * number; the other has no path row. */
Test(zones, a_doubtful_number_is_better_than_none) {
    static const char *const rows[] = {
        "s,sensor,868-10mw,,motion,\np1,receiver,868-10mw,,,\np2,receiver,868-10mw,,,\n",
        "s,sensor,868-10mw,,motion,\np2,receiver,868-10mw,,,\np1,receiver,868-10mw,,,\n"};
    for (size_t i = 0; i < 2; i++) {
        struct site site;
        open_site(rows[i], "s,p1,10,\"foil,foil,foil,foil\"\n", &site);
        cr_assert_eq(site.zones[0].prediction.verdict, EARSHOT_NOT_JUDGED);
        cr_expect_str_eq(listener(&site, 0), "p1");
        cr_expect(site.zones[0].prediction.notes & EARSHOT_NOTE_BEYOND_SD);
        cr_expect_not(isnan(site.zones[0].prediction.chance));
        house_close(&site.house);
    }
}

/* How many zones there are is told whatever the room for them, and no more is written. */
Test(zones, capacity) {
    struct site site;
    earshot_zone zones[2] = {{.device = 12345}, {.device = 12345}};
    size_t n = 0;
    open_site(
        "a,sensor,868-10mw,,motion,\nb,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n",
        "a,p,10,\nb,p,10,\n", &site);
    cr_assert_eq(earshot_zones_judge(site.house.survey, site.house.belief, zones, 1, &n),
                 EARSHOT_OK);
    cr_expect_eq(n, 2);
    cr_expect_eq(zones[0].device, 0);
    cr_expect_eq(zones[1].device, 12345);
    house_close(&site.house);
}
