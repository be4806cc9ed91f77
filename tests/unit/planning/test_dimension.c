/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_dimension.c - distances to walls, in a room small enough to see them: 4 m by 3 m, the
 * device 1 m from the south wall and 0.5 m from the east one.
 */
#include "folder.h"
#include "planning.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static void put(folder *tables, const char *walls, const char *north) {
    char site[80] = "key,value\nenvironment,dwelling\nnorth_deg,";
    folder_put(tables, "site.csv", strcat(strcat(site, north), "\n"));
    folder_put(tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\nfirst,2.8,2.5\n");
    folder_put(tables, "walls.csv", walls);
    folder_put(tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio\n"
               "panel,receiver,ground,3.5,1,1.5,868-10mw\n"
               "hall,sensor,ground,1,1,2,868-10mw\n");
}

#define HEAD "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"

Test(dimension, nearest_and_across) {
    folder tables = {.n = 0};
    planning_dimension out[PLANNING_MAX_DIMENSIONS];
    put(&tables,
        HEAD "south,ground,0,0,4,0,brick\neast,ground,4,0,4,3,brick\n"
             "north,ground,4,3,0,3,brick\nwest,ground,0,3,0,0,brick\n"
             "stub,ground,3.6,0,3.6,0.5,brick\n" /* a square from the panel misses it */
             "above,first,3.4,0,3.4,3,brick\n",  /* on another level */
        "90");                                   /* the plan's y is east */
    earshot_survey *survey = folder_load(&tables);
    cr_assert_eq(planning_dimensions(survey, 0, out), 2);
    cr_expect_str_eq(survey->walls[out[0].wall].name, "east");
    cr_expect_float_eq(out[0].distance_m, 0.5, 1e-9);
    cr_expect_float_eq(fmod(out[0].toward_deg + 720, 360), 180, 1e-9);
    cr_expect_str_eq(survey->walls[out[1].wall].name, "south");
    cr_expect_float_eq(out[1].distance_m, 1, 1e-9);
    cr_expect_float_eq(fmod(out[1].toward_deg + 720, 360), 270, 1e-9);
    earshot_survey_free(survey);
    folder_free(&tables);
}

Test(dimension, one_wall_or_none) {
    folder tables = {.n = 0};
    planning_dimension out[PLANNING_MAX_DIMENSIONS];
    put(&tables, HEAD "south,ground,0,0,4,0,brick\nnear,ground,0,0.2,4,0.3,brick\n", "0");
    earshot_survey *survey = folder_load(&tables);
    cr_expect_eq(planning_dimensions(survey, 0, out), 1);
    earshot_survey_free(survey);
    put(&tables, HEAD "far,ground,10,10,12,12.5,brick\n", "0");
    survey = folder_load(&tables);
    cr_expect_eq(planning_dimensions(survey, 0, out), 0);
    earshot_survey_free(survey);
    folder_free(&tables);
}
