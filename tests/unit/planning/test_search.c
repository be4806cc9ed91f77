/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_search.c - places for receivers and repeaters: against every arrangement tried in turn,
 * by hand, and by what must hold.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "places.h"
#include "shortage.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { N_DRAWS = 4000, MOST = 8 };

struct site {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
};

static void open_site(const char *devices, const char *spots, const char *walls,
                      const char *keys, struct site *site) {
    char text[4000];
    *site = (struct site){.tables = {.n = 0}};
    folder_put(&site->tables, "levels.csv", "level,floor_z_m,height_m\nground,0,3\n");
    snprintf(text, sizeof text, "device,role,level,x_m,y_m,height_m,radio,type\n%s", devices);
    folder_put(&site->tables, "devices.csv", text);
    snprintf(text, sizeof text, "spot,level,x_m,y_m,height_m,mains\n%s", spots);
    folder_put(&site->tables, "spots.csv", text);
    snprintf(text, sizeof text, "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n%s", walls);
    folder_put(&site->tables, "walls.csv", text);
    snprintf(text, sizeof text, "key,value\nenvironment,dwelling\n%s", keys);
    folder_put(&site->tables, "site.csv", text);
    site->survey = folder_load(&site->tables);
    cr_assert_eq(earshot_belief_prior(site->survey, &site->belief), EARSHOT_OK);
}

static void close_site(struct site *site) {
    earshot_belief_free(site->belief);
    earshot_survey_free(site->survey);
    folder_free(&site->tables);
}

static planning_search search_in(const struct site *site, bool repeaters, bool anywhere) {
    const planning_task task = {.repeaters = repeaters, .anywhere = anywhere};
    planning_search search;
    cr_assert_eq(planning_search_run(site->survey, site->belief, &task, &search), EARSHOT_OK);
    return search;
}

struct scored {
    earshot_score score;
    double least_sure; /* the least chance over the asked one, over zones */
};

/* One arrangement by itself on other draws. */
static struct scored score_one(const struct site *site, const planning_search *search,
                               size_t receiver, unsigned repeaters) {
    earshot_post posts[1 + MOST];
    unsigned char stands[1 + MOST];
    earshot_fate fates[MOST];
    struct scored out = {.least_sure = INFINITY};
    size_t n = 1;
    cr_assert_eq(earshot_survey_posts(site->survey, posts, 1), 1);
    const earshot_post here = posts[0];
    if (receiver != EARSHOT_NONE)
        posts[0] =
            planning_post_moved(site->survey, &here, &search->places[receiver], receiver);
    for (size_t p = 0; p < search->n_places; p++)
        if (repeaters >> p & 1)
            posts[n++] = planning_post_repeater(site->survey, &here, &search->places[p], p);
    memset(stands, 1, sizeof stands);
    cr_assert_eq(earshot_posts_score(site->survey, site->belief, posts, n, stands, 1, 77, 0,
                                     N_DRAWS, fates, NULL, &out.score),
                 EARSHOT_OK);
    for (size_t z = 0; z < search->n_zones; z++) {
        const survey_site *asked = &site->survey->site;
        double confidence =
            fates[z].life_safety ? asked->life_safety_confidence : asked->confidence;
        out.least_sure = fmin(out.least_sure, fates[z].chance - confidence);
    }
    return out;
}

static unsigned bits_in(unsigned set) {
    unsigned n = 0;
    for (; set; set &= set - 1)
        n++;
    return n;
}

/* Two far corners behind metal, each with a gap in it through which one spot sees the panel. */
static const char far_devices[] = "panel,receiver,ground,0,0,1.5,868-10mw,\n"
                                  "near,sensor,ground,3,0,1.5,868-10mw,contact\n"
                                  "east,sensor,ground,180,0,1.5,868-10mw,contact\n"
                                  "north,sensor,ground,0,180,1.5,868-10mw,smoke\n";
static const char far_walls[] = "e1,ground,120,-200,120,30,metal-cladding\n"
                                "e2,ground,121,-200,121,30,metal-cladding\n"
                                "e3,ground,120,50,120,400,metal-cladding\n"
                                "e4,ground,121,50,121,400,metal-cladding\n"
                                "n1,ground,-200,120,30,120,metal-cladding\n"
                                "n2,ground,-200,121,30,121,metal-cladding\n"
                                "n3,ground,50,120,400,120,metal-cladding\n"
                                "n4,ground,50,121,400,121,metal-cladding\n";
static const char far_spots[] = "by-east,ground,135,45,2,yes\nby-north,ground,45,135,2,yes\n";

Test(search, each_corner_wants_its_own) {
    struct site site;
    open_site(far_devices, far_spots, far_walls, "", &site);
    planning_search search = search_in(&site, true, false);
    cr_assert(search.enough);
    cr_assert_geq(search.n_repeated, 1);
    const planning_arrangement *fewest = &search.repeated[search.n_repeated - 1];
    cr_expect_eq(fewest->n_repeaters, 2);
    cr_expect_eq(fewest->score.n_firm, 3);
    cr_expect_eq(fewest->ways[0].place, EARSHOT_NONE, "the near one needs nobody");
    cr_expect_eq(fewest->ways[1].place, 0);
    cr_expect_eq(fewest->ways[2].place, 1);
    for (unsigned set = 0; set < 3; set++)
        cr_expect_lt(score_one(&site, &search, EARSHOT_NONE, set).least_sure, 0, "%u", set);
    planning_search_release(&search);
    close_site(&site);
}

/* Two spots that do the same for a zone, and nothing for one 2.7 km away: a second repeater
 * makes no more zones firm, and is no answer. What no place is known of is not judged by any
 * way. */
Test(search, no_more_repeaters_than_help) {
    struct site site;
    open_site("panel,receiver,ground,0,0,1.5,868-10mw,\n"
              "east,sensor,ground,180,0,1.5,868-10mw,contact\n"
              "beyond,sensor,ground,1900,-1900,1.5,868-10mw,contact\n"
              "nowhere,sensor,,,,,868-10mw,contact\n",
              "one,ground,135,45,2,yes\ntwo,ground,135,44,2,yes\n", far_walls, "", &site);
    planning_search search = search_in(&site, true, false);
    cr_expect_not(search.enough);
    cr_assert_eq(search.n_repeated, 1);
    cr_expect_eq(search.repeated[0].n_repeaters, 1);
    cr_expect_eq(search.repeated[0].score.n_firm, 1);
    cr_expect_eq(search.repeated[0].fates[2].verdict, EARSHOT_NOT_JUDGED);
    planning_search_release(&search);
    close_site(&site);
}

/* Where all is well none is needed, and moving the receiver saves none. */
Test(search, nothing_to_do) {
    struct site site;
    open_site("panel,receiver,ground,0,0,1.5,868-10mw,\n"
              "near,sensor,ground,3,0,1.5,868-10mw,contact\n",
              far_spots, far_walls, "", &site);
    planning_search search = search_in(&site, true, false);
    cr_expect(search.enough);
    cr_expect_eq(search.n_repeated, 0);
    cr_expect_not(search.has_both);
    planning_search_release(&search);
    close_site(&site);
}

/* What one repeater could do for both, two must do when each takes one zone; and what the site
 * says is not passed on is served by nobody. */
Test(search, limits_of_the_site) {
    static const char devices[] = "panel,receiver,ground,0,0,1.5,868-10mw,\n"
                                  "a,sensor,ground,180,0,1.5,868-10mw,contact\n"
                                  "b,sensor,ground,180,2,1.5,868-10mw,smoke\n";
    static const char spots[] = "one,ground,135,45,2,yes\ntwo,ground,135,44,2,yes\n"
                                "three,ground,135,43,2,no\n";
    struct site site;
    open_site(devices, spots, far_walls, "", &site);
    planning_search search = search_in(&site, false, false);
    cr_assert(search.enough);
    cr_expect_eq(search.n_without_mains, 1);
    cr_expect_eq(search.n_repeaters, 2);
    cr_expect_eq(search.repeated[search.n_repeated - 1].n_repeaters, 1);
    planning_search_release(&search);
    close_site(&site);

    open_site(devices, spots, far_walls, "zones_per_repeater,1\n", &site);
    search = search_in(&site, false, false);
    cr_assert(search.enough);
    cr_expect_eq(search.repeated[search.n_repeated - 1].n_repeaters, 2);
    cr_expect_eq(search.repeated[0].score.n_firm, 1, "one repeater has room for one");
    planning_search_release(&search);
    close_site(&site);

    open_site(devices, spots, far_walls, "not_relayed,\"smoke, co\"\n", &site);
    search = search_in(&site, false, false);
    cr_expect_not(search.enough);
    const planning_arrangement *best = &search.repeated[search.n_repeated - 1];
    cr_expect_eq(best->score.n_firm, 1);
    cr_expect_neq(best->fates[1].verdict, EARSHOT_FIRM);
    planning_search_release(&search);
    close_site(&site);
}

/* By hand: two zones behind metal, both firm by a repeater that stands in the gap. With room
 * for one of them a new one is wanted, and takes no more than the other; a receiver moved to
 * where it hears both wants none. */
Test(search, room_of_a_repeater_that_stands) {
    static const char devices[] = "panel,receiver,ground,0,0,1.5,868-10mw,\n"
                                  "near,sensor,ground,3,0,1.5,868-10mw,contact\n"
                                  "gap,repeater,ground,135,45,2,868-10mw,\n"
                                  "a,sensor,ground,180,0,1.5,868-10mw,contact\n"
                                  "b,sensor,ground,180,2,1.5,868-10mw,contact\n";
    static const char spots[] = "two,ground,135,44,2,yes\n";
    struct site site;
    open_site(devices, spots, far_walls, "", &site);
    planning_search search = search_in(&site, true, false);
    cr_expect(!search.room_counts && search.now.score.n_firm == 3);
    cr_expect(search.enough && search.n_repeated == 0, "no limit is said");
    planning_search_release(&search);
    close_site(&site);

    open_site(devices, spots, far_walls, "zones_per_repeater,2\n", &site);
    search = search_in(&site, true, false);
    cr_expect(search.room_counts && search.now.score.n_firm == 3);
    cr_expect(search.enough && search.n_repeated == 0, "room for both");
    cr_expect_eq(search.now.ways[0].standing, EARSHOT_NONE, "the near one needs nobody");
    cr_expect(search.now.ways[1].standing == 2 && search.now.ways[2].standing == 2);
    planning_search_release(&search);
    close_site(&site);

    open_site(devices, spots, far_walls, "zones_per_repeater,1\n", &site);
    search = search_in(&site, true, false);
    cr_expect_eq(search.now.score.n_firm, 2, "room for one");
    cr_assert(search.enough && search.n_repeated == 1);
    const planning_arrangement *one = &search.repeated[0];
    cr_expect(one->n_repeaters == 1 && one->score.n_firm == 3);
    cr_expect((one->ways[1].standing == 2) != (one->ways[2].standing == 2));
    cr_expect((one->ways[1].place == 0) != (one->ways[2].place == 0));
    cr_expect(!isnan(search.moved[0].score.chance_all) && search.moved[0].score.n_firm >= 2);
    planning_search_release(&search);
    close_site(&site);
}

/* Each hop by itself holds with 0.9 and more; both together with less than is asked. */
Test(search, both_hops_or_none) {
    struct site site;
    char devices[300], spots[100];
    earshot_prediction hop;
    double chance = 1;
    for (int length_m = 10; chance >= 0.93; length_m++) {
        if (length_m > 10)
            close_site(&site);
        snprintf(devices, sizeof devices,
                 "panel,receiver,ground,0,0,1.5,868-10mw,\n"
                 "s,sensor,ground,%d,0,1.5,868-10mw,contact\n"
                 "t,sensor,ground,%d,0,1.5,868-10mw,contact\n",
                 2 * length_m, length_m);
        snprintf(spots, sizeof spots, "half,ground,%d,0,1.5,yes\n", length_m);
        open_site(devices, spots, "w,ground,-1,-1,-1,1,brick\n", "", &site);
        const earshot_link link = survey_link(site.survey, 2, 0);
        cr_assert_eq(earshot_links_predict(site.survey, site.belief, &link, 1, &hop),
                     EARSHOT_OK);
        chance = hop.chance;
    }
    cr_assert(chance >= 0.9, "%g", chance);
    planning_search search = search_in(&site, false, false);
    cr_expect_neq(search.now.fates[0].verdict, EARSHOT_FIRM);
    cr_expect_eq(search.now.fates[1].verdict, EARSHOT_FIRM, "half way it is");
    cr_expect_not(search.enough, "a repeater half way has hops of %g each", chance);
    planning_search_release(&search);
    close_site(&site);
}

/* ---- against all arrangements ---- */

/* Invented sites by a small generator; numbers of the generator: Numerical Recipes' ranqd1,
 * from memory. */
static double next_share(uint32_t *state) {
    *state = *state * 1664525u + 1013904223u;
    return *state / 4294967296.0;
}

/* Of up to two standing repeaters each stands in a gap. */
static void open_drawn(uint32_t seed, int n_standing, const char *keys, struct site *site) {
    char devices[1500] = "panel,receiver,ground,0,0,1.5,868-10mw,\n", spots[600] = "";
    uint32_t state = seed * 7919u + 1;
    for (int i = 0; i < 6; i++) {
        size_t used = strlen(devices);
        double x_m = 190 * next_share(&state) - 20, y_m = 190 * next_share(&state) - 20;
        snprintf(devices + used, sizeof devices - used,
                 "z%d,sensor,ground,%.1f,%.1f,1.5,868-10mw,%s\n", i, x_m, y_m,
                 i == 0 ? "smoke" : "contact");
    }
    for (int i = 0; i < 5; i++) {
        size_t used = strlen(spots);
        double x_m = 160 * next_share(&state), y_m = 160 * next_share(&state);
        snprintf(spots + used, sizeof spots - used, "s%d,ground,%.1f,%.1f,2,yes\n", i, x_m,
                 y_m);
    }
    for (int i = 0; i < n_standing; i++) {
        size_t used = strlen(devices);
        snprintf(devices + used, sizeof devices - used, "r%d,repeater,ground,%s,2,868-10mw,\n",
                 i, i ? "45,135" : "135,45");
    }
    open_site(devices, spots, far_walls, keys, site);
}

struct standing {
    size_t n_zones, n_posts, room;
    const unsigned char *firm; /* [zone][post]: 0 is the receiver, the others repeat */
    const earshot_fate *fates;
};

/* The most that zones from this one on weigh, every assignment tried. */
static unsigned most_weight(const struct standing *of, size_t zone, size_t *load) {
    if (zone == of->n_zones)
        return 0;
    const unsigned char *firm = of->firm + zone * of->n_posts;
    const unsigned weight = of->fates[zone].life_safety ? 10 : 1;
    unsigned most = most_weight(of, zone + 1, load) + (firm[0] ? weight : 0);
    for (size_t p = 1; p < of->n_posts && !firm[0]; p++) {
        if (!firm[p] || load[p] == of->room)
            continue;
        load[p]++;
        unsigned with = weight + most_weight(of, zone + 1, load);
        load[p]--;
        most = with > most ? with : most;
    }
    return most;
}

/* What the zones weigh that are held; each goes a way that is firm, and none is full beyond. */
static unsigned held_weight(const struct standing *of, const planning_way *ways,
                            const earshot_post *posts) {
    unsigned weight = 0;
    size_t load[3] = {0};
    for (size_t z = 0; z < of->n_zones; z++) {
        size_t post = 0;
        while (ways[z].standing != EARSHOT_NONE && posts[post].device != ways[z].standing)
            post++;
        cr_expect(!ways[z].held || of->firm[z * of->n_posts + post]);
        cr_expect(ways[z].held || ways[z].standing == EARSHOT_NONE);
        if (ways[z].held)
            weight += of->fates[z].life_safety ? 10 : 1;
        load[post]++;
    }
    for (size_t p = 1; p < of->n_posts; p++)
        cr_expect_leq(load[p], of->room);
    return weight;
}

/* A repeater stands in each gap, with room for one zone or two. On the draws that the
 * search chooses by (the first 1,000 of seed 1), against every assignment. */
Test(search, standing_repeaters_take_as_much_as_can_be) {
    size_t n_beyond = 0;
    for (uint32_t seed = 0; seed < 20; seed++) {
        struct site site;
        earshot_post posts[3];
        unsigned char firm[6 * 3];
        static const unsigned char stands[3] = {1, 1, 1};
        const planning_by_way by_way = {.firm = firm};
        earshot_fate fates[6];
        earshot_score score;
        size_t load[3] = {0};
        open_drawn(seed, 2, seed % 2 ? "zones_per_repeater,1\n" : "zones_per_repeater,2\n",
                   &site);
        planning_search search = search_in(&site, false, false);
        cr_assert_eq(earshot_survey_posts(site.survey, posts, 3), 3);
        cr_assert_eq(planning_posts_score(site.survey, site.belief, posts, 3, stands, 1, 1, 0,
                                          1000, fates, NULL, &by_way, &score),
                     EARSHOT_OK);
        const struct standing of = {6, 3, seed % 2 ? 1 : 2, firm, fates};
        cr_expect_eq(held_weight(&of, search.now.ways, posts), most_weight(&of, 0, load),
                     "site %u", seed);
        for (size_t z = 0; z < 6; z++) {
            cr_expect(!search.now.ways[z].no_room ||
                      search.now.fates[z].verdict != EARSHOT_FIRM);
            cr_expect(!search.now.ways[z].no_room || fates[z].verdict == EARSHOT_FIRM);
            n_beyond += search.now.ways[z].no_room;
        }
        planning_search_release(&search);
        close_site(&site);
    }
    cr_expect_gt(n_beyond, 5, "room is short in some: %zu", n_beyond);
}

/* The fewest must do what is asked, and no set with one less may do it clearly (one more never
 * harms), nor all of them where none is said to be enough: four standard errors
 * of 4,000 draws is 0.02 at 0.9. */
Test(search, no_smaller_set_of_spots_does_it) {
    static const double off = 0.025;
    size_t n_enough = 0;
    for (uint32_t seed = 0; seed < 8; seed++) {
        struct site site;
        open_drawn(seed, 0, "", &site);
        planning_search search = search_in(&site, false, false);
        unsigned chosen = 0;
        const planning_arrangement *last =
            search.n_repeated ? &search.repeated[search.n_repeated - 1] : &search.now;
        for (size_t i = 0; i < last->n_repeaters; i++)
            chosen |= 1u << last->repeaters[i];
        if (search.enough) {
            cr_expect_gt(score_one(&site, &search, EARSHOT_NONE, chosen).least_sure, -off,
                         "site %u: does it", seed);
            n_enough++;
        }
        for (unsigned set = 0; set < 1u << search.n_places; set++)
            if (search.enough ? bits_in(set) + 1 == bits_in(chosen)
                              : bits_in(set) == search.n_places)
                cr_expect_lt(score_one(&site, &search, EARSHOT_NONE, set).least_sure, off,
                             "site %u: set %x does it too", seed, set);
        planning_search_release(&search);
        close_site(&site);
    }
    cr_expect_gt(n_enough, 1, "%zu", n_enough);
}

/* The best place of the receiver is the best of all, tried one by one on other draws. */
Test(search, the_best_spot_is_the_best_of_all) {
    for (uint32_t seed = 100; seed < 106; seed++) {
        struct site site;
        open_drawn(seed, 0, "", &site);
        planning_search search = search_in(&site, false, false);
        cr_assert_eq(search.n_moved, search.n_places);
        const struct scored best = score_one(&site, &search, search.moved[0].receiver, 0);
        for (size_t p = 0; p < search.n_places; p++) {
            const struct scored other = score_one(&site, &search, p, 0);
            /* a verdict may turn by the draws; a chance by four standard errors of each */
            cr_expect_leq(other.score.n_firm, best.score.n_firm + 1, "site %u: place %zu", seed,
                          p);
            if (other.score.n_firm >= best.score.n_firm)
                cr_expect_leq(
                    other.score.chance_all,
                    best.score.chance_all +
                        4 * hypot(best.score.chance_all_se, other.score.chance_all_se) + 0.03,
                    "site %u: place %zu", seed, p);
        }
        planning_search_release(&search);
        close_site(&site);
    }
}

/* ---- the grid ---- */

static double off_m(double x_m, double y_m, const double wall[4]) {
    return geometry_off_segment((geometry_point){x_m, y_m}, (geometry_point){wall[0], wall[1]},
                                (geometry_point){wall[2], wall[3]});
}

/* A room of 8 by 6 m, one wall of it metal, and a fence that encloses nothing. */
Test(search, places_of_a_grid_keep_the_rules) {
    static const char walls[] = "s,ground,0,0,8,0,brick\ne,ground,8,0,8,6,metal-cladding\n"
                                "n,ground,8,6,0,6,brick\nw,ground,0,6,0,0,brick\n"
                                "fence,ground,20,0,20,10,brick\n";
    static const double all[4][4] = {{0, 0, 8, 0}, {8, 0, 8, 6}, {8, 6, 0, 6}, {0, 6, 0, 0}};
    struct site site;
    planning_place *places = NULL;
    size_t n = 0;
    double step_m = 0;
    open_site("panel,receiver,ground,4,3,1.5,868-10mw,\n", "", walls, "", &site);
    cr_assert_eq(planning_grid_places(site.survey, 1.5, 868.3, &places, &n, &step_m),
                 EARSHOT_OK);
    /* 0.5 m along three walls less 0.1 m, by steps of a quarter: some 200 */
    cr_expect(n > 100 && n < 300, "%zu", n);
    for (size_t i = 0; i < n; i++) {
        double x_m = places[i].at.x_m, y_m = places[i].at.y_m, least_m = INFINITY;
        for (size_t w = 0; w < 4; w++)
            least_m = fmin(least_m, off_m(x_m, y_m, all[w]));
        cr_expect(x_m > 0 && x_m < 8 && y_m > 0 && y_m < 6, "indoors: %g %g", x_m, y_m);
        cr_expect(least_m <= 0.5 && least_m >= 0.1, "near a wall: %g %g", x_m, y_m);
        cr_expect_geq(off_m(x_m, y_m, all[1]), 0.5, "off metal");
        cr_expect_float_eq(places[i].at.z_m, 1.5, 1e-3);
    }
    free(places);
    close_site(&site);
}

/* On a grid one place between two corners serves both where no spot was named. */
Test(search, anywhere_finds_what_no_spot_gives) {
    static const char walls[] = "s,ground,-5,-5,50,-5,brick\ne,ground,50,-5,50,50,brick\n"
                                "n,ground,50,50,-5,50,brick\nw,ground,-5,50,-5,-5,brick\n"
                                "e2,ground,40,-5,40,10,metal-cladding\n"
                                "n2,ground,-5,40,10,40,metal-cladding\n";
    static const char devices[] = "panel,receiver,ground,0,0,1.5,868-10mw,\n"
                                  "east,sensor,ground,48,0,1.5,868-10mw,contact\n"
                                  "north,sensor,ground,0,48,1.5,868-10mw,contact\n";
    struct site site;
    open_site(devices, "", walls, "required_margin_db,25\n", &site);
    planning_search search = search_in(&site, true, true);
    cr_expect_gt(search.n_places, 100);
    cr_expect_leq(search.n_moved, 20);
    for (size_t i = 1; i < search.n_moved; i++)
        cr_expect_leq(search.moved[i].score.n_firm, search.moved[0].score.n_firm);
    cr_expect_geq(search.moved[0].score.n_firm, search.now.score.n_firm);
    planning_search_release(&search);
    close_site(&site);
}

/* ---- how many to price ---- */

/* The chances are of one and the same thing, so that they add up; and the fewest that the
 * search is sure of are enough in most houses. */
Test(search, quote_adds_up) {
    struct site site;
    planning_quote quote;
    open_site(far_devices, far_spots, far_walls, "", &site);
    planning_search search = search_in(&site, false, false);
    cr_assert_eq(planning_quote_of(site.survey, site.belief, &search, &quote), EARSHOT_OK);
    double sum = quote.chance_more;
    for (size_t i = 0; i <= PLANNING_QUOTE_MOST; i++)
        sum += quote.chance[i];
    cr_expect_float_eq(sum, 1, 1e-9);
    cr_expect_not(quote.by_rooms);
    cr_expect_eq(quote.price, 2);
    cr_expect_geq(quote.chance[0] + quote.chance[1] + quote.chance[2], 0.8);
    planning_search_release(&search);
    close_site(&site);
}

/* Without a plan: zones of one room share a repeater, rooms do not. */
Test(search, quote_by_rooms) {
    for (int rooms = 1; rooms <= 2; rooms++) {
        struct site site = {.tables = {.n = 0}};
        planning_quote quote;
        folder_put(&site.tables, "devices.csv",
                   rooms == 1 ? "device,role,radio,room\np,receiver,868-10mw,\n"
                                "a,sensor,868-10mw,shed\nb,sensor,868-10mw,shed\n"
                              : "device,role,radio,room\np,receiver,868-10mw,\n"
                                "a,sensor,868-10mw,shed\nb,sensor,868-10mw,barn\n");
        folder_put(&site.tables, "paths.csv",
                   "device,to,length_m,crossings\na,p,900,\"brick, brick\"\n"
                   "b,p,900,\"brick, brick\"\n");
        folder_put(&site.tables, "site.csv", "key,value\nenvironment,dwelling\n");
        site.survey = folder_load(&site.tables);
        cr_assert_eq(earshot_belief_prior(site.survey, &site.belief), EARSHOT_OK);
        planning_search search = search_in(&site, false, false);
        cr_assert_eq(planning_quote_of(site.survey, site.belief, &search, &quote), EARSHOT_OK);
        cr_expect(quote.by_rooms);
        cr_expect_lt(quote.chance[0], 0.1, "900 m and two walls are too far");
        cr_expect(rooms == 1 || quote.chance[1] < 0.2, "%d: %g", rooms, quote.chance[1]);
        planning_search_release(&search);
        close_site(&site);
    }
}

/* ---- stops and shortages ---- */

static bool stop_at_once(void *who, double share_done) {
    (void)who, (void)share_done;
    return false;
}

Test(search, stops_when_told) {
    struct site site;
    const earshot_watch watch = {.go_on = stop_at_once};
    const planning_task task = {.watch = &watch};
    planning_search search = {.n_zones = 99};
    open_site(far_devices, far_spots, far_walls, "", &site);
    cr_expect_eq(planning_search_run(site.survey, site.belief, &task, &search),
                 EARSHOT_STOPPED);
    cr_expect_eq(search.n_zones, 99, "nothing is written");
    close_site(&site);
}

/* From the n-th on, or that one alone, which a search of more parts is asked to bear. */
Test(search, each_allocation_failing) {
    static const struct {
        void (*begin)(long);
        const char *standing, *keys;
    } rows[] = {
        {shortage_begin, "", ""},
        {shortage_once, "gap,repeater,ground,135,45,2,868-10mw,\n", "zones_per_repeater,1\n"}};
    const planning_task task = {.repeaters = true};
    for (size_t i = 0; i < 2; i++) {
        struct site site;
        char devices[300];
        snprintf(devices, sizeof devices,
                 "panel,receiver,ground,0,0,1.5,868-10mw,\n%s"
                 "east,sensor,ground,180,0,1.5,868-10mw,contact\n",
                 rows[i].standing);
        open_site(devices, "by-east,ground,135,45,2,yes\n", far_walls, rows[i].keys, &site);
        for (long n = 0, refused = 1; refused; n++) {
            planning_search search;
            planning_quote quote;
            rows[i].begin(n);
            enum earshot_status status =
                planning_search_run(site.survey, site.belief, &task, &search);
            bool found = status == EARSHOT_OK;
            if (found)
                status = planning_quote_of(site.survey, site.belief, &search, &quote);
            refused = shortage_end();
            cr_expect_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK, "%ld", n);
            if (found)
                planning_search_release(&search);
        }
        close_site(&site);
    }
}
