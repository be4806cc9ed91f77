/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_ends.c - many ends against one, held to the same links asked one by one: equal to the
 * last bit, be they few (by the index) or many (by direction), in both directions.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "shortage.h"

#include <criterion/criterion.h>
#include <math.h>

enum { MANY = 400, FEW = 3 };

struct house {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_link links[64];
    size_t n_links;
};

static struct house open_house(const char *path) {
    struct house house = {.tables = folder_read(path)};
    house.survey = folder_load(&house.tables);
    cr_assert_eq(earshot_belief_prior(house.survey, &house.belief), EARSHOT_OK);
    house.n_links = earshot_survey_links(house.survey, house.links, 64);
    cr_assert(house.n_links > 0 && house.n_links <= 64);
    return house;
}

static void close_house(struct house *house) {
    earshot_belief_free(house->belief);
    earshot_survey_free(house->survey);
    folder_free(&house->tables);
}

/* Ends all over the house and around it, some off the grid, some at one height. */
static void spread(const earshot_end *like, earshot_end *ends, size_t n) {
    for (size_t i = 0; i < n; i++) {
        ends[i] = *like;
        ends[i].x_m = -3 + (double)(i * 37 % 101) * 0.173;
        ends[i].y_m = -2 + (double)(i * 53 % 97) * 0.25;
        ends[i].z_m += (double)(i % 4) * 0.4 - 0.4;
    }
}

static void compare(const struct house *house, const earshot_end *fixed, bool fixed_listens,
                    const earshot_end *ends, size_t n) {
    double margin_db[MANY], sd_db[MANY];
    cr_assert_eq(earshot_ends_predict(house->survey, house->belief, fixed, fixed_listens, ends,
                                      n, margin_db, sd_db),
                 EARSHOT_OK);
    for (size_t i = 0; i < n; i++) {
        earshot_link link = {.from = fixed_listens ? ends[i] : *fixed,
                             .to = fixed_listens ? *fixed : ends[i],
                             .device = EARSHOT_NONE,
                             .listener = EARSHOT_NONE,
                             .path = EARSHOT_NONE};
        earshot_prediction asked;
        cr_assert_eq(earshot_links_predict(house->survey, house->belief, &link, 1, &asked),
                     EARSHOT_OK);
        cr_expect(margin_db[i] == asked.margin_db && sd_db[i] == asked.margin_sd_db,
                  "end %zu of %zu: %.17g +- %.17g, asked %.17g +- %.17g", i, n, margin_db[i],
                  sd_db[i], asked.margin_db, asked.margin_sd_db);
    }
}

static void compare_all(const char *path) {
    struct house house = open_house(path);
    earshot_end ends[MANY];
    for (size_t i = 0; i < house.n_links; i += 4) {
        const earshot_link *link = &house.links[i];
        if (isnan(link->from.x_m))
            continue;
        spread(&link->from, ends, MANY);
        compare(&house, &link->to, true, ends, MANY);
        compare(&house, &link->to, true, ends, FEW);
        spread(&link->to, ends, MANY);
        compare(&house, &link->from, false, ends, MANY);
    }
    close_house(&house);
}

Test(ends, the_invented_house) {
    compare_all("surveys/demo");
}

Test(ends, the_house_worked_out_by_hand) {
    compare_all("surveys/paper");
}

Test(ends, misuse_and_no_memory_write_nothing) {
    struct house house = open_house("surveys/demo");
    earshot_end ends[MANY];
    double margin_db[MANY] = {7}, sd_db[MANY] = {7};
    const earshot_end *fixed = &house.links[0].to;
    spread(&house.links[0].from, ends, MANY);
    ends[MANY - 1].x_m = NAN;
    cr_expect_eq(earshot_ends_predict(house.survey, house.belief, fixed, true, ends, MANY,
                                      margin_db, sd_db),
                 EARSHOT_MISUSE);
    ends[MANY - 1].x_m = 0;
    ends[5].radio = 1000;
    cr_expect_eq(earshot_ends_predict(house.survey, house.belief, fixed, true, ends, MANY,
                                      margin_db, sd_db),
                 EARSHOT_MISUSE);
    ends[5].radio = ends[4].radio;
    shortage_begin(2);
    cr_expect_eq(earshot_ends_predict(house.survey, house.belief, fixed, true, ends, MANY,
                                      margin_db, sd_db),
                 EARSHOT_NO_MEMORY);
    cr_expect_gt(shortage_end(), 0);
    cr_expect(margin_db[0] == 7 && sd_db[0] == 7);
    cr_expect_eq(
        earshot_ends_predict(house.survey, house.belief, fixed, true, NULL, 0, NULL, NULL),
        EARSHOT_OK);
    close_house(&house);
}
