/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_walk.c - the order of a walk against what anybody would walk in houses laid out so that
 * there is one best way, and against all ways there are where a room is small enough to try
 * them.
 */
#include "folder.h"
#include "planning.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

enum { MOST_STOPS = 64 };

struct walk {
    planning_stop stops[MOST_STOPS];
    size_t n;
    double minutes;
};

static earshot_survey *house(const char *devices) {
    static char text[8000];
    folder tables = {0};
    text[0] = '\0';
    strcat(strcat(text, "device,role,level,x_m,y_m,height_m,room,type\n"), devices);
    folder_put(&tables, "levels.csv",
               "level,floor_z_m,height_m\nattic,6,2.5\nground,0,2.8\ncellar,-2.5,2.2\n"
               "first,3,2.5\n");
    folder_put(&tables, "devices.csv", text);
    earshot_survey *survey = folder_load(&tables);
    folder_free(&tables);
    return survey;
}

static struct walk walk_of(const earshot_survey *survey) {
    struct walk walk = {.n = 0};
    cr_assert_leq(survey->n_devices, MOST_STOPS);
    cr_assert_eq(planning_walk(survey, walk.stops, &walk.n, &walk.minutes), EARSHOT_OK);
    return walk;
}

/* Names of the stops with blanks between. */
static void expect_order(const char *devices, const char *wanted) {
    char got[1000] = "";
    earshot_survey *survey = house(devices);
    struct walk walk = walk_of(survey);
    for (size_t i = 0; i < walk.n; i++)
        strcat(strcat(got, i ? " " : ""), survey->devices[walk.stops[i].device].name);
    cr_expect_str_eq(got, wanted, "%s: %s", wanted, got);
    earshot_survey_free(survey);
}

#define PANEL "panel,receiver,ground,0,0,1.5,hall,\n"

Test(walk, along_a_corridor) {
    expect_order(PANEL "c,sensor,ground,9,0,1,corridor,contact\n"
                       "a,sensor,ground,3,0,1,corridor,contact\n"
                       "d,sensor,ground,12,0,1,corridor,contact\n"
                       "b,sensor,ground,6,0,1,corridor,contact\n",
                 "a b c d");
}

/* The receiver's own room, though another is nearer; and no room in two pieces. */
Test(walk, room_by_room) {
    expect_order(PANEL "far,sensor,ground,8,0,1,Hall,contact\n"
                       "k1,sensor,ground,2,1,1,kitchen,contact\n"
                       "near,sensor,ground,1,0,1,hall,contact\n"
                       "s1,sensor,ground,20,0,1,shed,contact\n"
                       "k2,sensor,ground,4,1,1,kitchen,contact\n",
                 "near far k2 k1 s1");
}

/* The receiver's level; then the end of the house with fewer stairs, from near to far. */
Test(walk, level_by_level) {
    expect_order(PANEL "t,sensor,attic,0,0,1,loft,contact\n"
                       "f,sensor,first,0,0,1,bed,contact\n"
                       "c,sensor,cellar,0,0,1,boiler,contact\n"
                       "g,sensor,ground,1,0,1,hall,contact\n",
                 "g c f t");
    expect_order("panel,receiver,first,0,0,1,landing,\n"
                 "c,sensor,cellar,0,0,1,boiler,contact\n"
                 "t,sensor,attic,0,0,1,loft,contact\n"
                 "g,sensor,ground,1,0,1,hall,contact\n",
                 "t g c");
}

/* Two high and two low: up once where that costs a few meters, not where it costs 40. */
Test(walk, the_ladder_once) {
    expect_order(PANEL "h2,sensor,ground,3,1,ceiling,living,smoke\n"
                       "l1,sensor,ground,2,0,1,living,contact\n"
                       "h1,sensor,ground,2,1,ceiling,living,smoke\n"
                       "l2,sensor,ground,3,0,1,living,contact\n",
                 "l1 l2 h2 h1");
    expect_order(PANEL "l1,sensor,ground,2,0,1,store,contact\n"
                       "h1,sensor,ground,3,0,ceiling,store,smoke\n"
                       "l2,sensor,ground,43,0,1,store,contact\n"
                       "h2,sensor,ground,44,0,ceiling,store,smoke\n",
                 "l1 h1 h2 l2");
}

/* By room as first mentioned; one without a place joins the room it names, and the rest come
 * last. */
Test(walk, without_a_plan) {
    static const char devices[] = "panel,receiver,,,,,hall,\na,sensor,,,,,hall,contact\n"
                                  "b,sensor,,,,,kitchen,smoke\nc,sensor,,,,,,contact\n"
                                  "d,sensor,,,,,Hall,contact\ne,sensor,,,,,kitchen,contact\n";
    expect_order(devices, "a d b e c");
    expect_order(PANEL "n,sensor,,,,,cellar,contact\nk,sensor,ground,2,0,1,kitchen,contact\n"
                       "m,sensor,,,,,kitchen,contact\nh,sensor,ground,1,0,1,hall,contact\n",
                 "h k m n");
}

/* ---- against all ways ---- */

static double way_m(const earshot_survey *survey, const size_t *devices, size_t n) {
    const survey_device *at = &survey->devices[0];
    double way = 0;
    for (size_t i = 0; i < n; i++) {
        const survey_device *to = &survey->devices[devices[i]];
        way += hypot(to->place.x_m - at->place.x_m, to->place.y_m - at->place.y_m);
        at = to;
    }
    return way;
}

static double shortest_m(const earshot_survey *survey, size_t *devices, size_t n,
                         size_t fixed) {
    double best = fixed == n ? way_m(survey, devices, n) : INFINITY;
    for (size_t i = fixed; i < n; i++) {
        size_t kept = devices[i];
        devices[i] = devices[fixed];
        devices[fixed] = kept;
        best = fmin(best, shortest_m(survey, devices, n, fixed + 1));
        devices[fixed] = devices[i];
        devices[i] = kept;
    }
    return best;
}

/* Seven zones in one room, thrown about by a fixed rule: never a fifth longer than the shortest
 * of all 5,040 ways, which is what 2-opt keeps to on a handful of places (from memory: within 5
 * % on average). */
Test(walk, nearly_the_shortest) {
    double sum_m = 0, least_sum_m = 0;
    for (unsigned house_number = 1; house_number <= 30; house_number++) {
        char devices[1000] = PANEL;
        unsigned state = house_number;
        size_t rows[7], walked[7];
        for (size_t i = 0; i < 7; i++) {
            size_t used = strlen(devices);
            state = (state * 75 + 74) % 65537;
            unsigned x = state % 20;
            state = (state * 75 + 74) % 65537;
            snprintf(devices + used, sizeof devices - used,
                     "d%zu,sensor,ground,%u,%u,1,hall,contact\n", i, x, state % 20);
            rows[i] = i + 1;
        }
        earshot_survey *survey = house(devices);
        struct walk walk = walk_of(survey);
        cr_assert_eq(walk.n, 7);
        for (size_t i = 0; i < 7; i++)
            walked[i] = walk.stops[i].device;
        double least_m = shortest_m(survey, rows, 7, 0), got_m = way_m(survey, walked, 7);
        cr_expect_geq(got_m, least_m - 1e-9);
        cr_expect_leq(got_m, 1.2 * least_m, "house %u: %g m, shortest %g m", house_number,
                      got_m, least_m);
        sum_m += got_m;
        least_sum_m += least_m;
        earshot_survey_free(survey);
    }
    cr_expect_leq(sum_m, 1.05 * least_sum_m, "%g m of %g m", sum_m, least_sum_m);
}

/* ---- on the shipped surveys ---- */

static void expect_whole(const char *path) {
    folder tables = folder_read(path);
    earshot_survey *survey = folder_load(&tables);
    struct walk walk = walk_of(survey), again = walk_of(survey);
    size_t n_sensors = 0;
    for (size_t i = 0; i < survey->n_devices; i++) {
        size_t met = 0;
        for (size_t j = 0; j < walk.n; j++)
            met += walk.stops[j].device == i;
        cr_expect_eq(met, survey->devices[i].role == SURVEY_SENSOR);
        n_sensors += survey->devices[i].role == SURVEY_SENSOR;
    }
    cr_expect_eq(walk.n, n_sensors);
    for (size_t i = 0; i < walk.n; i++)
        cr_expect_eq(walk.stops[i].device, again.stops[i].device);
    for (size_t i = 1; i < walk.n; i++) /* a level once left is left */
        for (size_t j = i + 1; j < walk.n; j++)
            cr_expect(walk.stops[i].where.level == walk.stops[i - 1].where.level ||
                      walk.stops[j].where.level != walk.stops[i - 1].where.level);
    earshot_survey_free(survey);
    folder_free(&tables);
}

Test(walk, every_zone_once) {
    expect_whole("surveys/demo");
    expect_whole("surveys/no-plan");
    expect_whole("surveys/paper");
}

/* Ten trips at a motion sensor whose battery was just fitted take its warm-up besides; more so
 * where it sleeps after each of three (common practice, no source: nine to ten minutes). */
Test(walk, minutes) {
    cr_expect_gt(planning_read_minutes(true, false), planning_read_minutes(false, false));
    cr_expect_lt(planning_read_minutes(true, false), 10);
    cr_expect(planning_read_minutes(true, true) >= 9 &&
              planning_read_minutes(true, true) <= 10);
    planning_where here = {0, "hall", false}, high = {0, "hall", true}, up = {1, "bed", false};
    cr_expect_lt(planning_way_minutes(&here, &here), planning_way_minutes(&up, &here));
    cr_expect_lt(planning_way_minutes(&high, &high), planning_way_minutes(&high, &here));
}
