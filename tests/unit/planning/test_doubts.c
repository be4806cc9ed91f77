/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_doubts.c - notes that only the model can make: plan against path row, losses used far
 * from their frequency.
 */
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

/* How often a code stands among the notes that the model makes; `sentence` gets the last. */
static unsigned noted(const folder *tables, const char *code, char sentence[400]) {
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = folder_load(tables);
    earshot_belief *belief = NULL;
    unsigned times = 0;
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_doubts(survey, belief, findings), EARSHOT_OK);
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        cr_expect_eq(finding.severity, EARSHOT_NOTE, "%s", finding.sentence);
        if (strcmp(finding.code, code) != 0)
            continue;
        times += finding.times;
        snprintf(sentence, 400, "%s:%u: %s", finding.file, finding.line, finding.sentence);
    }
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return times;
}

/* One link of 10 m in a plan without walls, and a path row of another length: the exponent of a
 * dwelling is 2.1, so 10 x (10^(3/21)) = 13.895 m are 3 dB more. */
Test(doubts, plan_and_path_row) {
    static const struct {
        const char *length_m;
        unsigned times;
        const char *apart;
    } rows[] = {{"10", 0, ""},          {"13.89", 0, ""}, /* 2.997 dB */
                {"13.90", 1, "3.0 dB"},                   /* 3.003 dB */
                {"7.19", 1, "3.0 dB"},                    /* 3.009 dB */
                {"7.20", 0, ""},                          /* 2.996 dB */
                {"100", 1, "21.0 dB"}};                   /* 21 log10 10 */
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char paths[100], sentence[400] = "";
        folder tables = {.n = 0};
        folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
        folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n");
        folder_put(&tables, "devices.csv",
                   "device,role,x_m,y_m,height_m,radio\ns,sensor,0,0,1,868-10mw\n"
                   "p,receiver,10,0,1,868-10mw\n");
        snprintf(paths, sizeof paths, "device,to,length_m\ns,p,%s\n", rows[i].length_m);
        folder_put(&tables, "paths.csv", paths);
        cr_expect_eq(noted(&tables, "path-disagrees", sentence), rows[i].times, "%s m",
                     rows[i].length_m);
        cr_expect_not_null(strstr(sentence, rows[i].apart), "%s m: %s", rows[i].length_m,
                           sentence);
        cr_expect_eq(strncmp(sentence, "paths.csv:2: ", rows[i].times ? 13 : 0), 0, "%s",
                     sentence);
        folder_free(&tables);
    }
}

/* A wall known at 868 MHz, used at 434: twice as far, beyond the factor 1.5. */
Test(doubts, far_from_its_frequency) {
    static const struct {
        const char *radio;
        unsigned times;
    } rows[] = {{"868-10mw", 0}, {"433-10mw", 2}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char devices[300], sentence[400] = "";
        folder tables = {.n = 0};
        folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
        folder_put(&tables, "constructions.csv",
                   "construction,class,layers,note\nhedge,wall,,\n");
        folder_put(&tables, "penetration.csv",
                   "construction,freq_mhz,loss_db,sd_db,kind,source\n"
                   "hedge,868,3,2,effective,made up\n");
        snprintf(devices, sizeof devices, "device,role,radio\ns,sensor,%s\np,receiver,%s\n",
                 rows[i].radio, rows[i].radio);
        folder_put(&tables, "devices.csv", devices);
        folder_put(&tables, "paths.csv",
                   "device,to,length_m,crossings\ns,p,10,\"hedge,hedge\"\n");
        cr_expect_eq(noted(&tables, "far-frequency", sentence), rows[i].times, "%s",
                     rows[i].radio);
        if (rows[i].times)
            cr_expect_not_null(strstr(sentence, "hedge"), "%s", sentence);
        folder_free(&tables);
    }
}

/* More than 60 m are noted once, with how many links they are. */
Test(doubts, far_away) {
    char sentence[400] = "";
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv",
               "device,role,radio\na,sensor,868-10mw\nb,sensor,868-10mw\n"
               "c,sensor,868-10mw\np,receiver,868-10mw\n");
    folder_put(&tables, "paths.csv", "device,to,length_m\na,p,61\nb,p,200\nc,p,60\n");
    cr_expect_eq(noted(&tables, "far-away", sentence), 2, "%s", sentence);
    folder_free(&tables);
}
