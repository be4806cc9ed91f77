/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_check.c - the report for a person: what its first sentence says, and what follows when
 * much is in doubt.
 */
#include "reported.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static void expect_opening(const char *devices, const char *paths, const char *opening) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "paths.csv", paths);
    folder_put(&tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,source\nfaint,868.3,-60,made up: won't reach 10 m\n");
    earshot_text *text = reported(&tables, EARSHOT_PLAIN);
    cr_expect_eq(strncmp(earshot_text_data(text), opening, strlen(opening)), 0, "%s",
                 earshot_text_data(text));
    earshot_text_free(text);
    folder_free(&tables);
}

Test(check, opening_sentence) {
    static const char header[] = "device,role,radio,label,type\np,receiver,868-10mw,,\n";
    char devices[600];
    snprintf(devices, sizeof devices, "%sa,sensor,868-10mw,hall,motion\n", header);
    expect_opening(devices, "device,to,length_m\na,p,10\n", "1 of 1 zone firm.\n");
    snprintf(devices, sizeof devices,
             "%sa,sensor,868-10mw,hall,motion\nb,sensor,faint,garden room,motion\n"
             "c,sensor,868-10mw,cellar pump,flood\n",
             header);
    expect_opening(devices, "device,to,length_m\na,p,10\nb,p,20\nc,p,10\n",
                   "2 of 3 zones firm, 1 of them guarding life and only predicted: test it on "
                   "its fixing. Garden room won't reach.\n");
    snprintf(devices, sizeof devices, "%sa,sensor,868-10mw,hall,smoke\n", header);
    expect_opening(devices, "device,to,length_m\na,p,10\n",
                   "1 of 1 zone firm, guarding life and only predicted: test it on its "
                   "fixing.\n");
    snprintf(devices, sizeof devices,
             "%sa,sensor,868-10mw,hall,smoke\nb,sensor,868-10mw,stairs,heat\n", header);
    expect_opening(devices, "device,to,length_m\na,p,10\nb,p,10\n",
                   "2 of 2 zones firm, all of them guarding life and only predicted: test each "
                   "on its fixing.\n");
    /* life safety first, though it is the nearer of the two */
    snprintf(devices, sizeof devices,
             "%sa,sensor,868-10mw,hall,motion\nb,sensor,faint,garden room,motion\n"
             "c,sensor,faint,cellar pump,flood\n",
             header);
    expect_opening(
        devices, "device,to,length_m\na,p,10\nb,p,20\nc,p,9\n",
        "1 of 3 zones firm. Cellar pump (life safety) won't reach. Garden room won't "
        "reach.\n");
}

/* Where walls should be drawn and are not, that comes before everything that hangs on it; a
 * survey by path rows, or of an environment with walls in its distance, needs none. */
Test(check, no_walls_are_said_first) {
    static const struct {
        const char *environment, *paths;
        bool said;
    } rows[] = {{"dwelling", "", true},
                {"dwelling", "device,to,length_m\na,p,10\n", false},
                {"dwelling-by-distance", "", false}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        static const char opening[] = "No wall is drawn, so what is placed by coordinates "
                                      "counts as in the open: 1 of 1 zone";
        folder tables = {.n = 0};
        char site[100] = "key,value\nname,x\nenvironment,";
        folder_put(&tables, "site.csv", strcat(strcat(site, rows[i].environment), "\n"));
        folder_put(&tables, "devices.csv",
                   rows[i].paths[0]
                       ? "device,role,radio\na,sensor,868-10mw\np,receiver,868-10mw\n"
                       : "device,role,radio,x_m,y_m,height_m\na,sensor,868-10mw,3,0,1\n"
                         "p,receiver,868-10mw,0,0,1\n");
        if (rows[i].paths[0])
            folder_put(&tables, "paths.csv", rows[i].paths);
        earshot_text *text = reported(&tables, EARSHOT_PLAIN);
        cr_expect_eq(strncmp(earshot_text_data(text), opening, strlen(opening)) == 0,
                     rows[i].said, "%zu: %s", i, earshot_text_data(text));
        earshot_text_free(text);
        folder_free(&tables);
    }
}

/* A zone in doubt with a reading is not told to be read. */
Test(check, no_reading_is_asked_for_twice) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv",
               "device,role,radio\np,receiver,868-10mw\na,sensor,868-10mw\n");
    folder_put(&tables, "paths.csv",
               "device,to,length_m,crossings\na,p,60,\"foil,foil,foil\"\n");
    for (int read = 0; read < 2; read++) {
        if (read)
            folder_put(&tables, "readings.csv", "heard_at,device,reading\np,a,-80\n");
        earshot_text *text = reported(&tables, EARSHOT_PLAIN);
        const char *plain = earshot_text_data(text);
        cr_expect_eq(strstr(plain, "; read it in place") == NULL, read, "%s", plain);
        cr_expect_eq(strstr(plain, "; go by the reading it has") != NULL, read, "%s", plain);
        earshot_text_free(text);
    }
    folder_free(&tables);
}

/* More than a third in doubt: the answers that would settle most come first. */
Test(check, opens_with_questions_when_much_is_thin) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(
        &tables, "devices.csv",
        "device,role,radio\np,receiver,868-10mw\na,sensor,868-10mw\nb,sensor,868-10mw\n");
    folder_put(&tables, "paths.csv",
               "device,to,length_m,crossings\na,p,60,\"foil,foil,foil\"\nb,p,10,\n");
    earshot_text *text = reported(&tables, EARSHOT_PLAIN);
    cr_expect_not_null(strstr(earshot_text_data(text), "These answers would settle most"));
    cr_expect_not_null(strstr(earshot_text_data(text), "1. what 'foil-insulation' really is"));
    earshot_text_free(text);
    /* one of three is no more than a third */
    folder_put(&tables, "devices.csv",
               "device,role,radio\np,receiver,868-10mw\na,sensor,868-10mw\n"
               "b,sensor,868-10mw\nc,sensor,868-10mw\n");
    folder_put(&tables, "paths.csv",
               "device,to,length_m,crossings\na,p,60,\"foil,foil,foil\"\nb,p,10,\nc,p,10,\n");
    text = reported(&tables, EARSHOT_PLAIN);
    cr_expect_null(strstr(earshot_text_data(text), "These answers"));
    cr_expect_eq(strncmp(earshot_text_data(text), "2 of 3 zones firm.", 18), 0);
    earshot_text_free(text);
    folder_free(&tables);
}

/* Four weak zones are named, of five or more three, and how many more there are; the shortest
 * first, here the farthest. */
Test(check, names_four_zones_at_most) {
    static const char *const openings[] = {
        "0 of 4 zones firm. S4 won't reach. S3 won't reach. S2 won't reach. S1 won't reach.\n",
        "0 of 5 zones firm. S5 won't reach. S4 won't reach. S3 won't reach. 2 more are not "
        "firm.\n"};
    for (int n = 4; n <= 5; n++) {
        char devices[400] = "device,role,radio\np,receiver,868-10mw\n";
        char paths[400] = "device,to,length_m\n";
        for (int i = 1; i <= n; i++) {
            sprintf(devices + strlen(devices), "s%d,sensor,faint\n", i);
            sprintf(paths + strlen(paths), "s%d,p,%d\n", i, 20 + i);
        }
        expect_opening(devices, paths, openings[n - 4]);
    }
}

/* The whole table has a row for each zone; the short form has only the weak ones. */
Test(check, all_shows_every_zone) {
    folder tables = folder_read("surveys/paper");
    static const char *const labels[] = {"far door", "corner above the door",
                                         "top of the stairs", "under the sink", "upper window"};
    static const char opening[] = "3 of 5 zones firm. Under the sink (life safety) is thin. "
                                  "Upper window won't reach.\n";
    earshot_text *all = reported(&tables, EARSHOT_PLAIN_ALL);
    earshot_text *few = reported(&tables, EARSHOT_PLAIN);
    for (size_t i = 0; i < 5; i++) {
        cr_expect_not_null(strstr(earshot_text_data(all), labels[i]), "%s", labels[i]);
        /* surveys/paper/README.md: sink is thin, window out, the others firm */
        cr_expect_eq(strstr(earshot_text_data(few), labels[i]) != NULL, i >= 3, "%s",
                     labels[i]);
    }
    cr_expect_eq(strncmp(earshot_text_data(few), opening, strlen(opening)), 0, "%s",
                 earshot_text_data(few));
    earshot_text_free(all);
    earshot_text_free(few);
    folder_free(&tables);
}

/* A label may hold anything; a person's terminal gets no control characters but our line ends.
 */
Test(check, labels_stay_in_their_line) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv",
               "device,role,radio,label\np,receiver,868-10mw,\"pa\nnel\"\n"
               "a,sensor,faint,\"\xC3\xBC\x1B[2J\nnote: all is well\"\n");
    folder_put(&tables, "paths.csv", "device,to,length_m\na,p,20\n");
    folder_put(&tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,source\nfaint,868.3,-60,made up: won't reach 10 m\n");
    earshot_text *text = reported(&tables, EARSHOT_PLAIN_ALL);
    const char *plain = earshot_text_data(text);
    static const char opening[] =
        "0 of 1 zone firm. \xC3\xBC [2J note: all is well won't reach.\n";
    cr_expect_eq(strncmp(plain, opening, strlen(opening)), 0, "%s", plain);
    cr_expect_not_null(strstr(plain, " pa nel "));
    for (; *plain; plain++)
        cr_expect(*plain == '\n' || (unsigned char)*plain >= 0x20);
    earshot_text_free(text);
    folder_free(&tables);
}

/* What a survey calls its constructions goes to the terminal too, in one link's ledger. */
Test(check, constructions_stay_in_their_line) {
    folder tables = {.n = 0};
    earshot_belief *belief = NULL;
    earshot_link link;
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv",
               "device,role,radio\np,receiver,868-10mw\na,sensor,868-10mw\n");
    folder_put(&tables, "constructions.csv",
               "construction,class,layers\n\"brick\x1B[2J\",wall,\n");
    folder_put(&tables, "penetration.csv",
               "construction,freq_mhz,loss_db,sd_db,kind,source\n"
               "\"brick\x1B[2J\",868,8,3,effective,\"made\x1B[2J up\"\n");
    folder_put(&tables, "paths.csv", "device,to,length_m,crossings\na,p,20,\"brick\x1B[2J\"\n");
    earshot_survey *survey = folder_load(&tables);
    earshot_text *text = earshot_text_new();
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, &link, 1), 1);
    cr_assert_eq(earshot_ledger_write(survey, belief, &link, EARSHOT_PLAIN, text), EARSHOT_OK);
    const char *plain = earshot_text_data(text);
    cr_expect_not_null(strstr(plain, ", brick [2J 3.0,"), "%s", plain);
    for (; *plain; plain++)
        cr_expect(*plain == '\n' || (unsigned char)*plain >= 0x20);
    earshot_text_free(text);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}
