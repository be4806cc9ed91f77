/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_final.c - what counts as a final test: on the final fixing, doors shut, three trips, the
 * lowest used, then behind a pad (common practice, no source). The radio needs -90 dBm and 10
 * dB are kept, so that -80 dBm is asked.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "planning.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static planning_final final_of(const char *rows) {
    char readings[1000] =
        "heard_at,device,trips,heard,reading,placed,doors,pad_db,visit,scale\n";
    folder tables = {0};
    earshot_belief *belief = NULL;
    earshot_link link;
    earshot_prediction prediction;
    folder_put(&tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\nplain,868.3,9,-90,made up\n");
    folder_put(&tables, "devices.csv",
               "device,role,radio,type\ns,sensor,plain,motion\np,receiver,plain,\n");
    folder_put(&tables, "paths.csv", "device,to,length_m\ns,p,10\n");
    folder_put(&tables, "readings.csv", strcat(readings, rows));
    earshot_survey *survey = folder_load(&tables);
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, &link, 1), 1);
    cr_assert_eq(earshot_links_predict(survey, belief, &link, 1, &prediction), EARSHOT_OK);
    planning_final final = planning_final_of(survey, &link, &prediction);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
    return final;
}

Test(final, what_counts) {
    static const struct {
        const char *rows;
        enum planning_state state;
    } cases[] = {
        {"", PLANNING_PREDICTED},
        {"p,s,10,10,-60,held,shut,,,\n", PLANNING_PREDICTED},
        {"p,s,3,3,-60,in place,open,,,\n", PLANNING_PREDICTED},
        {"p,s,2,2,-60,in place,shut,,,\n", PLANNING_TOO_FEW},
        {"p,s,,,-60,in place,,,,\np,s,,,-61,in place,,,,\n", PLANNING_TOO_FEW},
        {"p,s,,,-60,in place,,,,\np,s,,,-61,in place,,,,\np,s,,,-62,in place,,,,\n",
         PLANNING_PASSED},
        {"p,s,3,3,,in place,shut,,,\n", PLANNING_PASSED},
        {"p,s,3,2,,in place,shut,,,\n", PLANNING_NOT_PASSED},
        {"p,s,3,3,-79,in place,shut,,,\n", PLANNING_PASSED},
        {"p,s,3,3,-81,in place,shut,,,\n", PLANNING_NOT_PASSED},
        /* the lowest of three, not their mean */
        {"p,s,,,-60,in place,,,,\np,s,,,-81,in place,,,,\np,s,,,-62,in place,,,,\n",
         PLANNING_NOT_PASSED},
        {"p,s,3,3,,in place,shut,,,\np,s,3,3,,in place,shut,10,,\n", PLANNING_PROVEN},
        {"p,s,3,3,,in place,shut,,,\np,s,3,3,,in place,shut,6,,\n", PLANNING_PASSED},
        {"p,s,3,3,,in place,shut,,,\np,s,3,1,,in place,shut,6,,\n", PLANNING_NOT_PASSED},
        /* missed behind more than is asked proves nothing */
        {"p,s,3,3,,in place,shut,,,\np,s,3,1,,in place,shut,20,,\n", PLANNING_PASSED},
        /* the last visit counts, for better and for worse */
        {"p,s,3,1,,in place,shut,,1,\np,s,3,3,,in place,shut,,2,\n", PLANNING_PASSED},
        {"p,s,3,3,,in place,shut,,1,\np,s,3,1,,in place,shut,,2,\n", PLANNING_NOT_PASSED},
        {"p,s,3,1,,in place,shut,,1,\np,s,,,none,in place,shut,,2,\n", PLANNING_TOO_FEW},
    };
    for (size_t i = 0; i < COUNT(cases); i++)
        cr_expect_eq(final_of(cases[i].rows).state, cases[i].state, "case %zu: %d", i,
                     final_of(cases[i].rows).state);
}

Test(final, what_is_told) {
    planning_final final = final_of("p,s,2,2,-70,in place,shut,,,\np,s,2,1,-72.5,in place,,,,\n"
                                    "p,s,3,3,,in place,,6,,\np,s,3,3,,in place,,3,,\n"
                                    "p,s,3,2,,in place,,12,,\np,s,,,none,in place,,20,,\n");
    cr_expect_eq(final.trips, 4);
    cr_expect_eq(final.heard, 3);
    cr_expect_eq(final.lowest_dbm, -72.5);
    cr_expect_eq(final.asked_dbm, -80);
    cr_expect_eq(final.pad_heard_db, 6);
    cr_expect_eq(final.pad_missed_db, 12);
}
