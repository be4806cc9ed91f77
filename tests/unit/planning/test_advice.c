/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_advice.c - what to try first: rules of thumb, common practice, no source.
 */
#include "house.h"
#include "planning.h"

#include <criterion/criterion.h>
#include <string.h>

static const earshot_part first_meter = {
    EARSHOT_FIRST_METER, "first meter", NULL, 31.2, 0, "x"};
static const earshot_part distance = {EARSHOT_DISTANCE, "dwelling", NULL, 30, 4, "x"};
static const earshot_part brick = {EARSHOT_WALL, "north", "brick", 4, 2, "x"};
static const earshot_part cladding = {EARSHOT_WALL, "south", "metal-cladding", 20, 6, "x"};
static const earshot_part slab = {EARSHOT_FLOOR, "first", "reinforced-floor", 13, 4, "x"};
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
        {{first_meter, distance, brick, floor_mount},
         -22,
         -12,
         8,
         0,
         PLANNING_MOVE,
         "north",
         "but not when it is short by far more"},
        {{first_meter, distance, brick, slab},
         -12,
         -2,
         8,
         0,
         PLANNING_MOVE,
         "first",
         "no place misses the floor between"},
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
    house house;
    earshot_link link;
    house_open("s,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n", "s,p,10,\n", &house);
    cr_assert_eq(earshot_survey_links(house.survey, &link, 1), 1);
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
        planning_advice advice =
            planning_advise(house.survey, house.belief, &link, &prediction, rows[i].parts, n);
        cr_expect_eq(advice.step, rows[i].step, "%s: %d", rows[i].why, advice.step);
        cr_assert_lt(advice.cause, n, "%s", rows[i].why);
        cr_expect_str_eq(rows[i].parts[advice.cause].name, rows[i].cause, "%s", rows[i].why);
        /* half a wavelength at 868.3 MHz is 17 cm */
        if (advice.step == PLANNING_SLIDE)
            cr_expect_float_eq(advice.slide_m, 0.1726, 0.0001);
    }
    house_close(&house);
}

/* What is missing is asked for before anything is tried, the most basic first. */
Test(advice, what_is_missing_comes_first) {
    static const struct {
        size_t listener;
        unsigned notes;
        enum planning_step step;
    } rows[] = {
        {EARSHOT_NONE, 0, PLANNING_GIVE_HEARER},
        {1, EARSHOT_NOTE_NO_PLACE, PLANNING_GIVE_PLACE},
        {1, EARSHOT_NOTE_NO_BUDGET, PLANNING_GIVE_RADIO},
        {1, EARSHOT_NOTE_NO_PLACE | EARSHOT_NOTE_NO_BUDGET, PLANNING_GIVE_PLACE},
    };
    house house;
    house_open("s,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n", "s,p,10,\n", &house);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        earshot_link link = {.listener = rows[i].listener};
        earshot_prediction prediction = {.verdict = EARSHOT_NOT_JUDGED, .notes = rows[i].notes};
        planning_advice advice =
            planning_advise(house.survey, house.belief, &link, &prediction, NULL, 0);
        cr_expect_eq(advice.step, rows[i].step, "row %zu", i);
        cr_expect_eq(advice.cause, EARSHOT_NONE, "row %zu", i);
    }
    house_close(&house);
}

/* A firm link wants nothing, and one reading in place leaves what a normal of the margin's sd
 * leaves given a reading with session 2 dB and meter 3 dB of noise: 8 x sqrt(13 / (64 + 13)) =
 * 3.287126 by hand. */
Test(advice, a_reading_leaves_this_much) {
    house house;
    earshot_link link;
    house_open("s,sensor,868-10mw,,motion,\np,receiver,868-10mw,,,\n", "s,p,10,\n", &house);
    cr_assert_eq(earshot_survey_links(house.survey, &link, 1), 1);
    earshot_prediction prediction = {
        .margin_db = 15, .spare_db = 5, .margin_sd_db = 8, .verdict = EARSHOT_THIN};
    const earshot_part parts[] = {first_meter, distance, brick};
    planning_advice advice =
        planning_advise(house.survey, house.belief, &link, &prediction, parts, 3);
    cr_expect_eq(advice.step, PLANNING_READ);
    cr_expect_float_eq(advice.left_sd_db, 3.287126, 1e-6);
    prediction.verdict = EARSHOT_FIRM;
    advice = planning_advise(house.survey, house.belief, &link, &prediction, parts, 3);
    cr_expect_eq(advice.step, PLANNING_NOTHING);
    cr_expect_eq(advice.cause, EARSHOT_NONE);
    house_close(&house);
}

/* Once a link has been read it is not to be read again: while the prediction does not count the
 * reading, that is what to go by; after that the next thing to try is half a wavelength. */
Test(advice, what_was_read_is_not_read_again) {
    static const struct {
        const char *readings;
        enum earshot_basis basis;
        enum planning_step step;
    } rows[] = {
        {"", EARSHOT_PREDICTED, PLANNING_READ},
        {"p,other,-70,\n", EARSHOT_PREDICTED, PLANNING_READ},
        {"p,s,-70,\n", EARSHOT_PREDICTED, PLANNING_TRUST},
        {"p,s,none,\n", EARSHOT_PREDICTED, PLANNING_TRUST},
        {"p,s,-70,\n", EARSHOT_READ_IN_PLACE, PLANNING_SLIDE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        house house;
        earshot_link link[2];
        char readings[100] = "heard_at,device,reading,placed\n";
        house_open("s,sensor,868-10mw,,motion,\nother,sensor,868-10mw,,motion,\n"
                   "p,receiver,868-10mw,,,\n",
                   "s,p,10,\nother,p,10,\n", &house);
        folder_put(&house.tables, "readings.csv", strcat(readings, rows[i].readings));
        earshot_survey *survey = folder_load(&house.tables);
        cr_assert_eq(earshot_survey_links(survey, link, 2), 2);
        earshot_prediction prediction = {.margin_db = 15,
                                         .spare_db = 5,
                                         .margin_sd_db = 8,
                                         .verdict = EARSHOT_THIN,
                                         .basis = rows[i].basis};
        const earshot_part parts[] = {first_meter, distance, brick};
        planning_advice advice =
            planning_advise(survey, house.belief, &link[0], &prediction, parts, 3);
        cr_expect_eq(advice.step, rows[i].step, "row %zu: %d", i, advice.step);
        earshot_survey_free(survey);
        house_close(&house);
    }
}
