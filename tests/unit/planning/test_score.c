/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_score.c - arrangements by joint draws, against the engine's own chances, by properties,
 * and by hand.
 */
#include "earshot/earshot.h"
#include "house.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

enum { N_DRAWS = 4000, MOST = 40 };

struct scored {
    earshot_fate fates[MOST];
    earshot_score score;
};

static struct scored score(const earshot_survey *survey, const earshot_belief *belief) {
    earshot_post posts[8];
    unsigned char stands[8] = {1, 1, 1, 1, 1, 1, 1, 1};
    struct scored out;
    size_t n = earshot_survey_posts(survey, posts, 8);
    cr_assert(n <= 8 && earshot_survey_zones(survey) <= MOST);
    cr_assert_eq(earshot_posts_score(survey, belief, posts, n, stands, 1, 1, 0, N_DRAWS,
                                     out.fates, NULL, &out.score),
                 EARSHOT_OK);
    return out;
}

/* The demo has one receiver: each zone's chance, mean and doubt by draws are the engine's,
 * which integrates. Five standard errors of 4,000 draws. */
Test(score, one_receiver_agrees_with_the_engine) {
    folder tables = folder_read("surveys/demo");
    folder_put(&tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,sensitivity_dbm,antenna_dbi,two_way,source\n"
               "868-10mw,868.3,9.1,-105,-2,no,as shipped\n");
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    earshot_zone zones[MOST];
    size_t n = 0;
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_zones_judge(survey, belief, zones, MOST, &n), EARSHOT_OK);
    const struct scored scored = score(survey, belief);
    cr_assert_eq(scored.score.n_zones, n);
    size_t n_firm = 0;
    for (size_t i = 0; i < n; i++) {
        const earshot_prediction *engine = &zones[i].prediction;
        const earshot_fate *fate = &scored.fates[i];
        double se = sqrt(engine->chance * (1 - engine->chance) / N_DRAWS);
        n_firm += engine->verdict == EARSHOT_FIRM;
        cr_expect_eq(fate->device, zones[i].device);
        cr_expect_eq(fate->verdict, engine->verdict, "zone %zu", i);
        /* the engine stretches one fade to the mean of all fields', hence the 0.02 */
        cr_expect_float_eq(fate->chance, engine->chance, 5 * se + 0.02, "zone %zu: %g, %g", i,
                           fate->chance, engine->chance);
        cr_expect_float_eq(fate->spare_db, engine->spare_db,
                           5 * engine->margin_sd_db / sqrt(N_DRAWS), "zone %zu", i);
    }
    cr_expect_eq(scored.score.n_firm, n_firm);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}

static void open_hops(unsigned length_m, house *house) {
    char paths[100];
    snprintf(paths, sizeof paths, "s,r,%u\nr,p,%u\ns,p,4000\n", length_m, length_m);
    house_open("s,sensor,433-10mw,,motion,\nr,repeater,433-10mw,,,\np,receiver,433-10mw,,,\n",
               paths, house);
}

/* Each of two hops alone is firm, and both together are not: 0.91 and 0.91 hold together less
 * often than 0.9. The hops are made as long as each alone may be. */
Test(score, two_hops_hold_together_or_not_at_all) {
    house house;
    earshot_prediction hops[8];
    earshot_link links[8];
    unsigned length_m = 4;
    double first = NAN, second = NAN;
    for (bool firm = true; firm; length_m++) {
        open_hops(length_m + 1, &house);
        size_t n = earshot_survey_links(house.survey, links, 8);
        cr_assert_eq(earshot_links_predict(house.survey, house.belief, links, n, hops),
                     EARSHOT_OK);
        for (size_t i = 0; i < n; i++)
            if (links[i].path != EARSHOT_NONE && hops[i].distance_m < 4000)
                firm = firm && hops[i].verdict == EARSHOT_FIRM;
        house_close(&house);
    }
    open_hops(--length_m, &house);
    size_t n = earshot_survey_links(house.survey, links, 8);
    earshot_links_predict(house.survey, house.belief, links, n, hops);
    for (size_t i = 0; i < n; i++)
        if (hops[i].distance_m < 4000)
            *(isnan(first) ? &first : &second) = hops[i].chance;
    const struct scored scored = score(house.survey, house.belief);
    cr_assert(first >= 0.9 && second >= 0.9, "%g %g", first, second);
    cr_expect_lt(scored.fates[0].chance, 0.9);
    cr_expect_eq(scored.fates[0].verdict, EARSHOT_THIN);
    earshot_zone zone;
    cr_assert_eq(earshot_zones_judge(house.survey, house.belief, &zone, 1, &n), EARSHOT_OK);
    cr_expect_eq(zone.prediction.verdict, EARSHOT_THIN, "and so says check");
    cr_expect_float_eq(zone.prediction.chance, scored.fates[0].chance, 0.03);
    /* both hops err together, so that it is better than if they did not */
    cr_expect_gt(scored.fates[0].chance, first * second - 0.02);
    house_close(&house);
}

/* Two arrangements of the same draws: one that stands for nothing leaves every zone short, and
 * one more listener never takes anything away. */
Test(score, one_more_never_harms) {
    house house;
    earshot_post posts[2];
    const unsigned char stands[] = {0, 0, 1, 0, 0, 1, 1, 1};
    static double spare_db[4 * N_DRAWS * 2];
    earshot_fate fates[8];
    earshot_score scores[4];
    house_open("a,sensor,868-10mw,,smoke,\nb,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n"
               "q,receiver,868-10mw,,,\n",
               "a,p,30,brick\nb,p,60,\"brick,brick\"\na,q,60,\"brick,brick\"\nb,q,30,brick\n",
               &house);
    cr_assert_eq(earshot_survey_posts(house.survey, posts, 2), 2);
    cr_assert_eq(earshot_posts_score(house.survey, house.belief, posts, 2, stands, 4, 1, 0,
                                     N_DRAWS, fates, spare_db, scores),
                 EARSHOT_OK);
    cr_expect_eq(scores[0].chance_all, 0);
    cr_expect_eq(scores[0].short_zones, 11, "ten for the one that guards life");
    cr_expect_eq(fates[0].verdict, EARSHOT_NOT_JUDGED);
    for (size_t i = 0; i < 2 * N_DRAWS; i++) {
        double p = spare_db[2 * N_DRAWS + i], q = spare_db[4 * N_DRAWS + i];
        cr_assert_eq(spare_db[6 * N_DRAWS + i], fmax(p, q));
    }
    cr_expect_geq(scores[3].chance_all, fmax(scores[1].chance_all, scores[2].chance_all));
    house_close(&house);
}

Test(score, misuse) {
    house house;
    earshot_score score;
    house_open("s,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n", "s,p,10\n", &house);
    cr_expect_eq(earshot_posts_score(house.survey, house.belief, NULL, 1, NULL, 1, 1, 0, 10,
                                     NULL, NULL, &score),
                 EARSHOT_MISUSE);
    cr_expect_eq(earshot_posts_score(house.survey, house.belief, NULL, 0, (unsigned char[]){1},
                                     1, 1, 0, 0, NULL, NULL, &score),
                 EARSHOT_MISUSE);
    earshot_post posts[1];
    cr_assert_eq(earshot_survey_posts(house.survey, posts, 1), 1);
    cr_expect_eq(earshot_posts_score(house.survey, house.belief, posts, 1, (unsigned char[]){1},
                                     1, 1, 0, SIZE_MAX / 8 + 1, NULL, NULL, &score),
                 EARSHOT_NO_MEMORY, "so many draws are more than there is room for");
    house_close(&house);
}
