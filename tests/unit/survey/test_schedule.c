/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_schedule.c - the zone schedule. Facts of the trade: common practice, no source.
 */
#include "earshot/earshot.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char site[] =
    "key,value\nname,x\nenvironment,dwelling\nrequired_margin_db,10\n"
    "life_safety_margin_db,14\nconfidence,0.9\n"
    "life_safety_confidence,0.95\nwired_zones,\"1-4, 17;20 - 24 26\xE2\x80\x93"
    "28\"\n";

static const char walls[] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                            "w,ground,5,5,6,6,brick\n";

/* Two sensors, each `zone,label,serial,input,type,supervised`, and a receiver. */
static const struct {
    const char *first, *second;
    enum earshot_status status;
    const char *code, *why;
    unsigned line;
} rows[] = {
    {"5,,A,1,motion,yes", "6,,B,1,contact,yes", EARSHOT_OK, "", "two of everything", 0},
    {"5,,A,1,motion,yes", "6,,A,1,contact,yes", EARSHOT_INVALID, "serial-twice",
     "serial and input tell transmissions apart", 3},
    {"5,,A,,motion,yes", "6,,A,1,contact,yes", EARSHOT_INVALID, "serial-twice",
     "a blank input is input 1", 3},
    {"5,,A,1,motion,yes", "6,,A,2,contact,yes", EARSHOT_OK, "",
     "one transmitter with two inputs is two zones", 0},
    {"5,,,1,motion,yes", "6,,,1,contact,yes", EARSHOT_OK, "", "no serial yet", 0},
    {"5,,A,1,motion,yes", "5,,B,1,contact,yes", EARSHOT_INVALID, "zone-twice",
     "one zone, two devices", 3},
    {"4,,A,1,motion,yes", "6,,B,1,contact,yes", EARSHOT_INVALID, "zone-wired",
     "zones 1 to 4 are wired", 2},
    {"5,,A,1,motion,yes", "1,,B,1,contact,yes", EARSHOT_INVALID, "zone-wired",
     "zones 1 to 4 are wired", 3},
    {"5,,A,1,motion,yes", "17,,B,1,contact,yes", EARSHOT_INVALID, "zone-wired",
     "one of several", 3},
    {"24,,A,1,motion,yes", "25,,B,1,contact,yes", EARSHOT_INVALID, "zone-wired",
     "a dash with blanks, behind a semicolon", 2},
    {"25,,A,1,motion,yes", "27,,B,1,contact,yes", EARSHOT_INVALID, "zone-wired",
     "an en dash, behind a blank", 3},
    {"16,,A,1,motion,yes", "19,,B,1,contact,yes", EARSHOT_OK, "", "between the ranges", 0},
    {"5,hall motion,A,1,motion,yes", "6,,B,1,contact,yes", EARSHOT_OK, "label-repeats-type",
     "would be read out as motion motion", 2},
    {"5,Motion in the hall,A,1,motion,yes", "6,,B,1,contact,yes", EARSHOT_OK,
     "label-repeats-type", "case does not matter", 2},
    {"5,commotion,A,1,motion,yes", "6,,B,1,contact,yes", EARSHOT_OK, "",
     "not a word of its own", 0},
    {"5,hall motion,A,1,contact,yes", "6,,B,1,contact,yes", EARSHOT_OK, "",
     "another type's word", 0},
    {"5,,A,1,motion,no", "6,,B,1,contact,yes", EARSHOT_OK, "unsupervised",
     "check-ins say that it is still in range", 2},
    {"5,,A,1,motion,", "6,,B,1,contact,yes", EARSHOT_OK, "", "a blank is not a no", 0},
};

Test(schedule, facts_of_the_trade) {
    for (size_t i = 0; i < COUNT(rows); i++) {
        char devices[500];
        int size = snprintf(
            devices, sizeof devices,
            "device,role,x_m,y_m,height_m,radio,zone,label,serial,input,type,supervised\n"
            "a,sensor,1,1,1,868-10mw,%s\nb,sensor,2,1,1,868-10mw,%s\n"
            "p,receiver,0,0,1,868-10mw,,,,,,\n",
            rows[i].first, rows[i].second);
        const earshot_bytes tables[] = {{"site.csv", site, sizeof site - 1},
                                        {"devices.csv", devices, (size_t)size},
                                        {"walls.csv", walls, sizeof walls - 1}};
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = NULL;
        cr_expect_eq(earshot_survey_load(tables, 3, findings, &survey), rows[i].status, "%s",
                     rows[i].why);
        size_t n = earshot_findings_count(findings);
        cr_expect_eq(n, rows[i].code[0] ? 1 : 0, "%s: %zu findings", rows[i].why, n);
        if (n && rows[i].code[0]) {
            earshot_finding finding = earshot_findings_at(findings, 0);
            cr_expect_str_eq(finding.code, rows[i].code, "%s", rows[i].why);
            cr_expect_eq(finding.line, rows[i].line, "%s", rows[i].why);
        }
        earshot_survey_free(survey);
        earshot_findings_free(findings);
    }
}
