/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_load.c - a whole survey: every fault in one run, each at its place, and nothing that
 * only follows from another fault. Places are counted by hand in the texts below.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "survey.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- thirty planted faults ---- */

static const char *const faulty[][2] = {
    {"site.csv", "key,value\n"
                 "name,Faulty house\n"
                 "reqired_margin_db,10\n"    /* 3:1 not a key */
                 "confidence,1.5\n"          /* 4:12 out of range */
                 "wired_zones,one to four\n" /* 5:13 not a range */
                 "environment,dweling\n"     /* 6:13 not an environment */
                 "use,lasting\n"},
    {"levels.csv", "level,floor_z_m,height_m,floor_construction\n"
                   "ground,0,2.5,\n"
                   "first,2.8x,2.5,timber-floor\n"}, /* 3:7 */
    {"floors.csv", "level,ring,x_m,y_m\n"
                   "first,outer,0,0\n"
                   "first,outer,8,0\n"
                   "first,outer,8,5\n"
                   "first,whole 1,2,2\n"}, /* 5:7 not a ring */
    {"walls.csv", "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                  "north,ground,0,5,8,5,brick\n"
                  "south,ground,0,0,8,0,briick\n" /* 3:22 */
                  "east,grund,8,0,8,5,brick\n"    /* 4:6 */
                  "north,ground,0,9,8,9,brick\n"  /* 5:1 name twice */
                  "stub,ground,3,3,3,3,brick\n"   /* 6:17 no length */
                  "far,ground,0,0,9000,0,brick\n" /* 7:16 out of range */
                  "west,ground,0,0,0,,brick\n"},  /* 8:19 blank */
    {"openings.csv", "opening,wall,from_m,to_m,construction,bottom_m,top_m\n"
                     "door,north,1,2,inside-door,,\n"
                     "gate,noth,1,2,inside-door,,\n"        /* 3:6 */
                     "hatch,north,3,2,inside-door,,\n"      /* 4:15 backward */
                     "wide,north,7,9,inside-door,,\n"       /* 5:14 past the wall */
                     "slot,north,4,5,inside-door,2.1,2\n"}, /* 6:32 top below bottom */
    {"devices.csv",
     "device,role,level,x_m,y_m,height_m,radio,mount,zone,type,serial\n"
     "panel,receiver,ground,1,1,switch,868-10mw,,,receiver,\n"
     "hall,sensr,ground,2,2,head,868-10mw,,5,motion,A1\n"      /* 3:6 role */
     "loft,sensor,ground,2,-7l,head,868-10mw,,6,motion,A2\n"   /* 4:22 number */
     "shed,sensor,ground,2,3,shoulder,868-10mw,,7,motion,A3\n" /* 5:24 height */
     "gate,sensor,ground,2,3,head,868-10w,,8,contact,A4\n"     /* 6:29 radio */
     "bath,sensor,ground,2,3,head,868-10mw,shelf,9,flood,A5\n" /* 7:38 mount */
     "attic,sensor,ground,2,3,head,868-10mw,,2.5,smoke,A6\n"   /* 8:40 not whole */
     "porch,sensor,ground,2,,head,868-10mw,,11,contact,A7\n"   /* 9:23 half a place */
     "den,sensor,ground,2,3,head,868-10mw,,13,contact,A7\n"    /* 10:49 serial twice */
     "nook,sensor,ground,2,3,head,868-10mw,,13,contact,A9\n"}, /* 11:39 zone twice */
    {"paths.csv", "device,to,length_m,crossings\n"
                  "hall,panel,10,brick\n"
                  "hal,panel,10,brick\n"              /* 3:1 */
                  "loft,panel,ten,brick\n"            /* 4:12 */
                  "gate,panel,10,\"brick, brik\"\n"}, /* 5:15 */
    {"spots.csv", "spot,level,x_m,y_m,mains\n"
                  "cupboard,ground,1,1,maybe\n"}, /* 2:21 */
    {"radios.csv", "radio,freq_mhz,eirp_dbm,source\n"
                   "mine,868.3,99,invented\n"}, /* 2:12 out of range */
};

static const struct {
    const char *file;
    unsigned line, column;
    const char *code;
} planted[] = {
    {"site.csv", 3, 1, "site-key-unknown"},
    {"site.csv", 4, 12, "out-of-range"},
    {"site.csv", 5, 13, "wired-zones-unreadable"},
    {"site.csv", 6, 13, "environment-unknown"},
    {"levels.csv", 3, 7, "number-unreadable"},
    {"floors.csv", 5, 7, "ring-unknown"},
    {"walls.csv", 3, 22, "construction-unknown"},
    {"walls.csv", 4, 6, "level-unknown"},
    {"walls.csv", 5, 1, "name-twice"},
    {"walls.csv", 6, 17, "wall-no-length"},
    {"walls.csv", 7, 16, "out-of-range"},
    {"walls.csv", 8, 19, "cell-blank"},
    {"openings.csv", 3, 6, "wall-unknown"},
    {"openings.csv", 4, 15, "opening-backward"},
    {"openings.csv", 5, 14, "opening-past-wall"},
    {"openings.csv", 6, 32, "top-below-bottom"},
    {"devices.csv", 3, 6, "choice-unknown"},
    {"devices.csv", 4, 22, "number-unreadable"},
    {"devices.csv", 5, 24, "height-unreadable"},
    {"devices.csv", 6, 29, "radio-unknown"},
    {"devices.csv", 7, 38, "mount-unknown"},
    {"devices.csv", 8, 40, "not-whole"},
    {"devices.csv", 9, 23, "half-a-place"},
    {"devices.csv", 10, 49, "serial-twice"},
    {"devices.csv", 11, 39, "zone-twice"},
    {"paths.csv", 3, 1, "device-unknown"},
    {"paths.csv", 4, 12, "number-unreadable"},
    {"paths.csv", 5, 15, "crossing-unknown"},
    {"spots.csv", 2, 21, "choice-unknown"},
    {"radios.csv", 2, 12, "out-of-range"},
};

/* The project's own promise: a survey with 30 planted faults reports all 30, in order, in one
 * run, and not one finding more, be it a note. */
Test(load, thirty_planted_faults) {
    earshot_bytes tables[COUNT(faulty)];
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_assert_eq(COUNT(planted), 30);
    for (size_t i = 0; i < COUNT(faulty);
         i++) /* handed over in reverse: order does not matter */
        tables[COUNT(faulty) - 1 - i] =
            (earshot_bytes){faulty[i][0], faulty[i][1], strlen(faulty[i][1])};
    cr_expect_eq(earshot_survey_load(tables, COUNT(faulty), findings, &survey),
                 EARSHOT_INVALID);
    cr_expect_null(survey);
    cr_expect_eq(earshot_findings_errors(findings), 30);
    cr_expect_eq(earshot_findings_count(findings), 30);
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding got = earshot_findings_at(findings, i);
        cr_assert(i < 30, "one too many: %s:%u:%u: %s", got.file, got.line, got.column,
                  got.sentence);
        cr_expect(got.line == planted[i].line && got.column == planted[i].column &&
                      strcmp(got.file, planted[i].file) == 0 &&
                      strcmp(got.code, planted[i].code) == 0,
                  "fault %zu: wanted %s:%u:%u %s, got %s:%u:%u %s: %s", i, planted[i].file,
                  planted[i].line, planted[i].column, planted[i].code, got.file, got.line,
                  got.column, got.code, got.sentence);
    }
    earshot_findings_free(findings);
}

/* ---- one fault alone ---- */

static const char house_devices[] = "device,role,x_m,y_m,height_m,radio,type\n"
                                    "hall,sensor,6,0.5,1,868-10mw,other\n"
                                    "panel,receiver,0,0.5,1,868-10mw,other\n";
static const char house_walls[] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                  "middle,ground,3,-5,3,5,brick\n";
static const char house_levels[] = "level,floor_z_m,height_m,floor_construction\n"
                                   "ground,0,2.5,\n";
static const char house_site[] = "key,value\nname,Small house\nenvironment,dwelling\n"
                                 "required_margin_db,10\nlife_safety_margin_db,14\n"
                                 "confidence,0.9\nlife_safety_confidence,0.95\n";

static folder house(void) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", house_site);
    folder_put(&tables, "levels.csv", house_levels);
    folder_put(&tables, "walls.csv", house_walls);
    folder_put(&tables, "devices.csv", house_devices);
    return tables;
}

/* Loads the house with one table put in place, and says what came of it: how many findings
 * (errors alone when there are any), and the code of the first. */
static enum earshot_status with(const char *name, const char *text, size_t *n_findings,
                                char code[40]) {
    folder tables = house();
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    folder_put(&tables, name, text);
    enum earshot_status status =
        earshot_survey_load(tables.tables, tables.n, findings, &survey);
    *n_findings = 0;
    code[0] = '\0';
    for (size_t i = earshot_findings_count(findings); i-- > 0;) {
        earshot_finding finding = earshot_findings_at(findings, i);
        if (status == EARSHOT_INVALID && finding.severity == EARSHOT_NOTE)
            continue;
        strcpy(code, finding.code);
        ++*n_findings;
    }
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    folder_free(&tables);
    return status;
}

Test(load, one_fault_makes_one_finding) {
    static const struct {
        const char *name, *text;
        enum earshot_status status;
        const char *code;
    } rows[] = {
        {"site.csv", house_site, EARSHOT_OK, ""},
        {"notes.csv", "a\n1\n", EARSHOT_OK, "file-unknown"},
        {"Walls.csv", house_walls, EARSHOT_INVALID, "file-misnamed"},
        {"opening.csv", "a\n1\n", EARSHOT_INVALID, "file-misnamed"},
        {"devices.csv", "devise,role,x_m,y_m,type\na,sensor,1,2,other\np,receiver,0,0,other\n",
         EARSHOT_INVALID, "column-missing"},
        {"devices.csv", "device,role,type\n", EARSHOT_INVALID, "no-devices"},
        {"devices.csv",
         "device,role,x_m,y_m,height_m,radio,type\na,sensor,1,2,1,868-10mw,other\n",
         EARSHOT_INVALID, "no-receiver"},
        {"devices.csv",
         "device,role,x_m,y_m,height_m,radio,type\na,sensor,1,2,1,868-10mw,other\n"
         "p,reciever,0,0,1,868-10mw,other\n",
         EARSHOT_INVALID, "choice-unknown"},
        {"devices.csv",
         "device,role,x_m,x_ft,y_m,height_m,radio,type\na,sensor,1,,2,1,868-10mw,other\n"
         "p,receiver,0,,0,1,868-10mw,other\n",
         EARSHOT_INVALID, "column-in-two-units"},
        {"devices.csv",
         "device,role,x_m,y_m,height_m,radio,colour,type\na,sensor,1,2,1,868-10mw,red,other\n"
         "p,receiver,0,0,1,868-10mw,,other\n",
         EARSHOT_OK, "column-unknown"},
        {"devices.csv",
         "device,role,x_m,y_m,height_m,radio,hears,type\na,sensor,1,2,1,868-10mw,b,other\n"
         "p,receiver,0,0,1,868-10mw,a,other\n",
         EARSHOT_INVALID, "sensor-hears"},
        {"devices.csv",
         "device,role,x_m,y_m,height_m,radio,hears,type\na,sensor,1,2,1,868-10mw,,other\n"
         "p,receiver,0,0,1,868-10mw,a; c,other\n",
         EARSHOT_INVALID, "device-unknown"},
        {"devices.csv",
         "device,role,x_m,y_m,height_m,radio,type\na,sensor,,,1,868-10mw,other\n"
         "p,receiver,0,0,1,868-10mw,other\n",
         EARSHOT_OK, "no-place"},
        /* a table that cannot be read does not make every row that refers to it a fault */
        {"levels.csv",
         "level,floor_z_m,height_m\ngr\xFC"
         "n,0,2.5\n",
         EARSHOT_INVALID, "old-code-page"},
        {"walls.csv", "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nw,ground,0,0,1,1,Briick\n",
         EARSHOT_INVALID, "construction-unknown"},
        {"floors.csv", "level,ring,x_m,y_m\nground,outer,0,0\nground,outer,5,0\n",
         EARSHOT_INVALID, "ring-too-short"},
        {"floors.csv",
         "level,ring,x_m,y_m\nground,hole 1,0,0\nground,hole 1,5,0\nground,hole 1,5,5\n",
         EARSHOT_INVALID, "no-outer-ring"},
        {"floors.csv", "level,ring,x_m,y_m\nground,outside,0,0\n", EARSHOT_INVALID,
         "ring-unknown"},
        {"paths.csv", "device,to,length_m\npanel,hall,5\n", EARSHOT_INVALID, "path-to-sensor"},
        {"paths.csv", "device,to,length_m\nhall,panel,5\nhall,panel,6\n", EARSHOT_INVALID,
         "path-twice"},
        {"paths.csv", "device,to,length_m\npanel,panel,5\n", EARSHOT_INVALID, "path-to-itself"},
        {"penetration.csv",
         "construction,freq_mhz,loss_db,sd_db,kind,source\nbrick,868,4,2,effective,a\n"
         "brick,868,5,2,effective,b\n",
         EARSHOT_INVALID, "frequency-twice"},
        {"constructions.csv", "construction,class,layers,note\nbrick,wall,,\nhedge,wall,,\n",
         EARSHOT_OK, ""},
        {"site.csv",
         "key,value\nname,Small house\nenvironment,dwelling\nrequired_margin_db,10\n"
         "life_safety_margin_db,14\nconfidence,0.9\nlife_safety_confidence,0.95\ntables,2\n",
         EARSHOT_INVALID, "tables-too-new"},
        {"site.csv",
         "key,value\nname,Small house\nenvironment,dwelling\nrequired_margin_db,10\n"
         "life_safety_margin_db,14\nconfidence,0.9\nlife_safety_confidence,0.95\n"
         "environment,hall\n",
         EARSHOT_INVALID, "name-twice"},
        {"site.csv",
         "key,value\nname,Small house\nenvironment,dwelling\nlife_safety_margin_db,14\n"
         "confidence,0.9\nlife_safety_confidence,0.95\n",
         EARSHOT_OK, "default-used"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        size_t n;
        char code[40];
        enum earshot_status status = with(rows[i].name, rows[i].text, &n, code);
        cr_expect_eq(status, rows[i].status, "row %zu: %s", i, rows[i].text);
        cr_expect_eq(n, rows[i].code[0] ? 1 : 0, "row %zu has %zu findings: %s", i, n,
                     rows[i].text);
        cr_expect_str_eq(code, rows[i].code, "row %zu: %s", i, rows[i].text);
    }
}

/* ---- nothing follows from a fault ---- */

#define UNREAD "\xFF\x01\n" /* not text: a table that is not read at all */
#define DEVICES "device,role,x_m,y_m,height_m,radio,type\n"
#define HALL "hall,sensor,6,0.5,1,868-10mw,other\n"
#define PANEL "panel,receiver,0,0.5,1,868-10mw,other\n"
#define WALLS "wall,level,x1_m,y1_m,x2_m,y2_m,construction"
#define SITE "key,value\nname,x\n"
#define KEPT                                                                                   \
    "required_margin_db,10\nlife_safety_margin_db,14\nconfidence,0.9\n"                        \
    "life_safety_confidence,0.95\n"
#define DWELLING "environment,dwelling\n"
#define PENETRATION "construction,freq_mhz,loss_db,sd_db,kind,source\n"
#define ENVIRONMENTS                                                                           \
    "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,wall_saturation_sd,"  \
    "floors,source\n"
#define MARGINS                                                                                \
    "use,required_margin_db,life_safety_margin_db,confidence,life_safety_confidence,source\n"
#define RADIOS "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\n"
#define BANDS "region,low_mhz,high_mhz,limit,limit_kind,source\n"
#define COATED_WALL WALLS "\nw,ground,3,-5,3,5,coated-glass\n" /* it has no layers */
#define HEDGE_WALL WALLS "\nw,ground,3,-5,3,5,hedge\n"
#define HEDGE_PATH "device,to,length_m,crossings\nhall,panel,5,hedge\n"

enum { MAX_CHANGED = 6 };

/* One fault, and tables that lean on what is faulty. The place is counted by hand. */
struct alone {
    const char *changed[MAX_CHANGED][2]; /* name, text; the fault is in the first */
    unsigned line, column;
    const char *code;
};

static void expect_alone(const struct alone *fault) {
    folder tables = house();
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    for (size_t i = 0; i < MAX_CHANGED && fault->changed[i][0]; i++)
        folder_put(&tables, fault->changed[i][0], fault->changed[i][1]);
    const char *name = fault->changed[0][0], *text = fault->changed[0][1];
    enum earshot_status status =
        earshot_survey_load(tables.tables, tables.n, findings, &survey);
    bool aside = strcmp(name, "readings.csv") == 0 && fault->line > 1;
    cr_expect_eq(status, aside ? EARSHOT_OK : EARSHOT_INVALID, "%s: %s", name, text);
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding got = earshot_findings_at(findings, i);
        cr_expect(strcmp(got.code, fault->code) == 0 && strcmp(got.file, name) == 0 &&
                      got.line == fault->line && got.column == fault->column,
                  "%s: %s\n%s:%u:%u %s: %s", name, text, got.file, got.line, got.column,
                  got.code, got.sentence);
    }
    cr_expect_eq(earshot_findings_count(findings), 1, "%s: %s", name, text);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    folder_free(&tables);
}

static void expect_each_alone(const struct alone *faults, size_t n) {
    for (size_t i = 0; i < n; i++)
        expect_alone(&faults[i]);
}

/* A table that cannot be read is one fault, whatever leans on it. */
Test(load, tables_not_read) {
    static const struct alone faults[] = {
        {{{"site.csv", UNREAD}}, 1, 1, "not-utf8"},
        {{{"levels.csv", UNREAD},
          {"walls.csv", WALLS ",bottom_m\nw,first,3,-5,3,5,brick,3\n"},
          {"floors.csv", "level,ring,x_m,y_m\nfirst,outer,0,0\n"},
          {"devices.csv", "device,role,level,x_m,y_m,height_m,radio,type\n"
                          "hall,sensor,first,6,0.5,1,868-10mw,other\n"
                          "panel,receiver,first,0,0.5,1,868-10mw,other\n"}},
         1,
         1,
         "not-utf8"},
        {{{"floors.csv", UNREAD}}, 1, 1, "not-utf8"},
        {{{"walls.csv", UNREAD},
          {"openings.csv",
           "opening,wall,from_m,to_m,construction\nd,middle,1,2,inside-door\n"}},
         1,
         1,
         "not-utf8"},
        {{{"openings.csv", UNREAD}}, 1, 1, "not-utf8"},
        {{{"devices.csv", UNREAD},
          {"paths.csv", "device,to,length_m\nhall,panel,5\n"},
          {"readings.csv", "heard_at,device,reading\npanel,hall,-60\n"}},
         1,
         1,
         "not-utf8"},
        {{{"paths.csv", UNREAD},
          {"devices.csv", DEVICES "hall,sensor,,,1,868-10mw,other\n" PANEL}},
         1,
         1,
         "not-utf8"},
        {{{"spots.csv", UNREAD}}, 1, 1, "not-utf8"},
        {{{"readings.csv", UNREAD}}, 1, 1, "not-utf8"},
        {{{"dielectrics.csv", UNREAD},
          {"constructions.csv", "construction,class,layers\nhedge,wall,leaves 300\n"},
          {"walls.csv", HEDGE_WALL}},
         1,
         1,
         "not-utf8"},
        {{{"constructions.csv", UNREAD},
          {"walls.csv", HEDGE_WALL},
          {"paths.csv", HEDGE_PATH},
          {"penetration.csv", PENETRATION "hedge,868,4,2,effective,x\n"},
          {"walls-by-look.csv", "pick,construction,source\nprivet,hedge,x\n"},
          {"levels.csv", "level,floor_z_m,height_m,floor_construction\nground,0,2.5,hedge\n"}},
         1,
         1,
         "not-utf8"},
        {{{"penetration.csv", UNREAD},
          {"constructions.csv", "construction,class,layers\nhedge,wall,\n"},
          {"walls.csv", HEDGE_WALL}},
         1,
         1,
         "not-utf8"},
        {{{"walls-by-look.csv", UNREAD}, {"paths.csv", HEDGE_PATH}}, 1, 1, "not-utf8"},
        {{{"environments.csv", UNREAD}, {"site.csv", SITE KEPT "environment,paper\n"}},
         1,
         1,
         "not-utf8"},
        {{{"radios.csv", UNREAD},
          {"devices.csv",
           DEVICES "hall,sensor,6,0.5,1,mine,other\npanel,receiver,0,0.5,1,mine,other\n"}},
         1,
         1,
         "not-utf8"},
        {{{"scales.csv", UNREAD},
          {"readings.csv", "heard_at,device,reading,scale\npanel,hall,3,bars\n"}},
         1,
         1,
         "not-utf8"},
        {{{"bands.csv", UNREAD}, {"site.csv", SITE KEPT DWELLING "country,IE\n"}},
         1,
         1,
         "not-utf8"},
        {{{"countries.csv", UNREAD}, {"site.csv", SITE KEPT DWELLING "country,XX\n"}},
         1,
         1,
         "not-utf8"},
        {{{"margins.csv", UNREAD}, {"site.csv", SITE DWELLING "use,mine\n"}}, 1, 1, "not-utf8"},
        {{{"mounts.csv", UNREAD},
          {"devices.csv", "device,role,x_m,y_m,height_m,radio,mount,type\n"
                          "hall,sensor,6,0.5,1,868-10mw,shelf,other\n"
                          "panel,receiver,0,0.5,1,868-10mw,,other\n"}},
         1,
         1,
         "not-utf8"},
        {{{"walls.csv", WALLS ",x2_m\nw,ground,0,0,1,1,brick,1\n"}}, 1, 45, "header-twice"},
    };
    expect_each_alone(faults, COUNT(faults));
}

/* The same of a row or a cell. */
Test(load, cells_not_read) {
    static const struct alone faults[] = {
        {{{"site.csv", SITE DWELLING "use,lasting\nconfidence,1.5\n"}}, 5, 12, "out-of-range"},
        {{{"site.csv", SITE DWELLING "required_margin_db,1O\nlife_safety_margin_db,14\n"
                                     "confidence,0.9\nlife_safety_confidence,0.95\n"}},
         4,
         20,
         "number-unreadable"},
        {{{"levels.csv", "level,floor_z_m,height_m\nground,0,3.5x\n"},
          {"walls.csv", WALLS ",bottom_m\nw,ground,3,-5,3,5,brick,3\n"}},
         2,
         10,
         "number-unreadable"},
        {{{"floors.csv", "level,ring,x_m,y_m\nground,outer,0,0\nground,outer,5,0\n"
                         "ground,outer,5,5x\n"}},
         4,
         16,
         "number-unreadable"},
        {{{"floors.csv", "level,ring,x_m,y_m\nground,outer,0,0\nground,outer,5,0\n"
                         "ground,,5,5\n"}},
         4,
         8,
         "cell-blank"},
        {{{"floors.csv", "level,ring,x_m\nground,outer,0\nground,outer,5\nground,outer,5\n"}},
         1,
         0,
         "column-missing"},
        {{{"floors.csv", "level,ring,x_m,y_m\nground,outer,0,0\nground,outr,5,0\n"
                         "ground,outer,5,5\n"}},
         3,
         8,
         "ring-unknown"},
        {{{"floors.csv", "level,ring,x_m,y_m\ngrund,outer,0,0\nground,hole 1,1,0\n"
                         "ground,hole 1,2,0\nground,hole 1,2,1\n"}},
         2,
         1,
         "level-unknown"},
        {{{"walls.csv", WALLS ",bottom_m,top_m\nw,ground,3,-5,3,5,brick,3,4x\n"}},
         2,
         27,
         "number-unreadable"},
        {{{"walls.csv", WALLS ",bottom_m,top_m\nw,ground,3,-5,3,5,brick,99,2\n"}},
         2,
         25,
         "out-of-range"},
        {{{"walls.csv", WALLS ",bottom_m\nw,grund,3,-5,3,5,brick,3\n"}}, 2, 3, "level-unknown"},
        {{{"walls.csv", WALLS "\nw,ground,3,-5,9x,0,brick\n"},
          {"openings.csv", "opening,wall,from_m,to_m,construction\nd,w,5,7,inside-door\n"}},
         2,
         15,
         "number-unreadable"},
        {{{"walls.csv", "wall,level,x1_m,y1_m,x2_m,construction\nw,ground,3,-5,9,brick\n"},
          {"openings.csv", "opening,wall,from_m,to_m,construction\nd,w,5,7,inside-door\n"}},
         1,
         0,
         "column-missing"},
        {{{"walls.csv", WALLS "\nw,ground,3,-5,3,5,hedge\n"},
          {"openings.csv", "opening,wall,from_m,to_m,construction\nd,w,5,7,inside-door\n"}},
         2,
         19,
         "construction-unknown"},
        {{{"openings.csv", "opening,wall,from_m,to_m,construction,bottom_m,top_m\n"
                           "d,middle,5,7,inside-door,2.2,3x\n"}},
         2,
         30,
         "number-unreadable"},
        {{{"openings.csv", "opening,wall,from_m,to_m,construction\n"
                           "d,middle,5,4x,inside-door\n"}},
         2,
         12,
         "number-unreadable"},
        {{{"devices.csv", "device,role,x_m,y_m,height_m,radio,hears,type\n"
                          "hall,sensor,6,0.5,1,868-10mw,,other\n"
                          "panel,reciever,0,0.5,1,868-10mw,hall,other\n"},
          {"paths.csv", "device,to,length_m\nhall,panel,5\n"},
          {"readings.csv", "heard_at,device,reading,noise\npanel,hall,-60,-110\n"}},
         3,
         7,
         "choice-unknown"},
        {{{"devices.csv", "device,x_m,y_m,height_m,radio\nhall,6,0.5,1,868-10mw\n"
                          "panel,0,0.5,1,868-10mw\n"},
          {"paths.csv", "device,to,length_m\nhall,panel,5\n"}},
         1,
         0,
         "column-missing"},
        {{{"devices.csv", DEVICES HALL ",receiver,0,0.5,1,868-10mw,other\n"}},
         3,
         1,
         "cell-blank"},
        {{{"devices.csv", DEVICES "hall,sensor,6x,0.5,1,868-10mw,other\n" PANEL}},
         2,
         13,
         "number-unreadable"},
        {{{"devices.csv", DEVICES "hall,sensor,6,,1,868-10mw,other\n" PANEL}},
         2,
         15,
         "half-a-place"},
        {{{"devices.csv",
           "device,role,x_m,height_m,radio,type\nhall,sensor,6,1,868-10mw,other\n"
           "panel,receiver,0,1,868-10mw,other\n"}},
         1,
         0,
         "column-missing"},
        {{{"devices.csv",
           "device,role,x_m,y_m,height_m,radio,serial,input,type\n"
           "a,sensor,6,0.5,1,868-10mw,A,1x,other\nb,sensor,6,0.5,1,868-10mw,A,1,other\n"
           "p,receiver,0,0.5,1,868-10mw,,,other\n"}},
         2,
         29,
         "number-unreadable"},
        {{{"spots.csv", "spot,y_m\nattic,2\nlanding,3\n"}}, 1, 0, "column-missing"},
        {{{"readings.csv", "heard_at,device,reading,trips,heard\npanel,hall,-60,1O,8\n"}},
         2,
         16,
         "number-unreadable"},
        {{{"readings.csv", "heard_at,device,reading,trips,heard\npanel,hall,-60,5,1001\n"}},
         2,
         18,
         "out-of-range"},
        {{{"constructions.csv", "construction,class,layers\nhedge,wall,leaves 300\n"},
          {"walls.csv", HEDGE_WALL}},
         2,
         12,
         "material-unknown"},
        {{{"constructions.csv", "construction,class,layers\nhedge,wall,wood\n"},
          {"walls.csv", HEDGE_WALL}},
         2,
         12,
         "layer-unreadable"},
        {{{"constructions.csv", "construction,class,layers\nhedge,flor,wood 22\n"},
          {"levels.csv", "level,floor_z_m,height_m,floor_construction\nground,0,2.5,hedge\n"}},
         2,
         7,
         "choice-unknown"},
        {{{"constructions.csv", "construction,class,layers\nhedge,flor,wood 22\n"},
          {"site.csv", SITE KEPT "environment,mine\n"},
          {"environments.csv", ENVIRONMENTS "mine,not drawn,2.8,0.2,8,1,0,linear,x\n"},
          {"walls.csv", WALLS "\n"},
          {"paths.csv", HEDGE_PATH}},
         2,
         7,
         "choice-unknown"},
        {{{"penetration.csv", PENETRATION "coated-glass,86B,20,6,effective,x\n"},
          {"walls.csv", COATED_WALL}},
         2,
         14,
         "number-unreadable"},
        {{{"penetration.csv", PENETRATION "coated-glass,868,20,6,efective,x\n"},
          {"walls.csv", COATED_WALL}},
         2,
         23,
         "choice-unknown"},
        {{{"penetration.csv",
           "construction,loss_db,sd_db,kind,source\ncoated-glass,20,6,effective,x\n"},
          {"walls.csv", COATED_WALL}},
         1,
         0,
         "column-missing"},
        {{{"walls-by-look.csv", "pick,construction,source\nhedge,brik,x\n"},
          {"paths.csv", "device,to,length_m,crossings\nhall,panel,5,Hedges\n"}},
         2,
         7,
         "construction-unknown"},
        {{{"environments.csv", ENVIRONMENTS "mine,drwn,2,0.2,3,1,0,linear,x\n"},
          {"site.csv", SITE KEPT "environment,mine\n"}},
         2,
         6,
         "choice-unknown"},
        {{{"radios.csv", RADIOS "mine,86B,9,-105,x\n"},
          {"site.csv", SITE KEPT DWELLING "country,IE\n"},
          {"devices.csv", DEVICES "hall,sensor,6,0.5,1,mine,other\n" PANEL}},
         2,
         6,
         "number-unreadable"},
        {{{"radios.csv", RADIOS "mine,868.3,9x,-105,x\n"},
          {"site.csv", SITE KEPT DWELLING "country,IE\n"},
          {"devices.csv", DEVICES "hall,sensor,6,0.5,1,mine,other\n" PANEL}},
         2,
         12,
         "number-unreadable"},
        {{{"bands.csv", BANDS "europe,86B,869,10,erp,x\n"},
          {"site.csv", SITE KEPT DWELLING "country,IE\n"}},
         2,
         8,
         "number-unreadable"},
        {{{"bands.csv", BANDS "europe,868,869,1O,erp,x\n"},
          {"site.csv", SITE KEPT DWELLING "country,IE\n"}},
         2,
         16,
         "number-unreadable"},
        {{{"countries.csv", "country,region,source\nIE,,x\n"},
          {"site.csv", SITE KEPT DWELLING "country,IE\n"}},
         2,
         4,
         "cell-blank"},
        {{{"margins.csv", MARGINS "mine,1O,14,0.9,0.95,x\n"},
          {"site.csv", SITE DWELLING "use,mine\n"}},
         2,
         6,
         "number-unreadable"},
    };
    expect_each_alone(faults, COUNT(faults));
}

/* materials/README.md: names are unique, each in its table. */
Test(load, names_twice_in_one_table) {
    static const struct alone faults[] = {
        {{{"levels.csv", "level,floor_z_m,height_m\nground,0,2.5\nground,2.5,2.5\n"}},
         3,
         1,
         "name-twice"},
        {{{"walls.csv", WALLS "\nw,ground,3,-5,3,5,brick\nw,ground,4,-5,4,5,brick\n"}},
         3,
         1,
         "name-twice"},
        {{{"openings.csv", "opening,wall,from_m,to_m,construction\n"
                           "d,middle,1,2,inside-door\nd,middle,4,5,inside-door\n"}},
         3,
         1,
         "name-twice"},
        {{{"devices.csv", DEVICES HALL PANEL HALL}}, 4, 1, "name-twice"},
        {{{"spots.csv", "spot,x_m,y_m\nattic,1,1\nattic,2,2\n"}}, 3, 1, "name-twice"},
        {{{"dielectrics.csv", "material,a,b,c,d,min_ghz,max_ghz,source\n"
                              "leaves,2,0,0,0,1,2,x\nleaves,3,0,0,0,1,2,x\n"}},
         3,
         1,
         "name-twice"},
        {{{"constructions.csv", "construction,class\nhedge,wall\nhedge,floor\n"}},
         3,
         1,
         "name-twice"},
        {{{"walls-by-look.csv", "pick,construction,source\nhedge,brick,x\nhedge,glass,x\n"}},
         3,
         1,
         "name-twice"},
        {{{"environments.csv", ENVIRONMENTS "mine,drawn,2,0.2,3,1,0,linear,x\n"
                                            "mine,drawn,3,0.2,3,1,0,linear,x\n"}},
         3,
         1,
         "name-twice"},
        {{{"radios.csv", RADIOS "mine,868.3,9,-105,x\nmine,868.3,8,-105,x\n"}},
         3,
         1,
         "name-twice"},
        {{{"countries.csv", "country,region,source\nXX,europe,x\nXX,us,x\n"}},
         3,
         1,
         "name-twice"},
        {{{"margins.csv", MARGINS "mine,10,14,0.9,0.95,x\nmine,11,15,0.9,0.95,x\n"}},
         3,
         1,
         "name-twice"},
        {{{"mounts.csv", "mount,loss_db,sd_db,source\nshelf,2,1,x\nshelf,3,1,x\n"}},
         3,
         1,
         "name-twice"},
    };
    expect_each_alone(faults, COUNT(faults));
}

/* Exit codes: errors give no margins; bad readings are set aside with a note. */
Test(load, bad_readings_are_set_aside) {
    static const struct {
        const char *row, *code;
    } rows[] = {
        {"panel,hall,-6l,,,,,\n", "reading-unreadable"},
        {"panel,hal,-60,,,,,\n", "device-unknown"},
        {"hall,hall,-60,,,,,\n", "heard-at-sensor"},
        {"panel,hall,-60,bars,,,,\n", "scale-unknown"},
        {"panel,hall,,,10,11,,\n", "more-heard-than-trips"},
        {"panel,hall,-60,,10,,,\n", "trips-without-heard"},
        {"panel,hall,,,,8,,\n", "trips-without-heard"},
        {"panel,hall,-60,,,,on the wall,\n", "choice-unknown"},
        {"panel,hall,-60,,,,,99\n", "out-of-range"},
        {"panel,hall,\"-60,5\",,,,,\n", "decimal-comma"},
        {",hall,-60,,,,,\n", "cell-blank"},
        {"panel,hall,none,,,,,\n", ""},
        {"panel,hall,,,,,,\n", ""},
        {"panel,hall,,,10,,,\n", ""}, /* of a sheet, to be filled in */
        {"panel,,,,,,,\n", ""},       /* the same, for noise */
        {"panel,hall,-60.5,dbm,10,8,in place,6\n", ""},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[200] = "heard_at,device,reading,scale,trips,heard,placed,pad_db\n", code[40];
        size_t n;
        strcat(text, rows[i].row);
        cr_expect_eq(with("readings.csv", text, &n, code), EARSHOT_OK, "%s", rows[i].row);
        cr_expect_eq(n, rows[i].code[0] ? 1 : 0, "%s", rows[i].row);
        cr_expect_str_eq(code, rows[i].code, "%s", rows[i].row);
    }
}

/* A sheet has its trips printed; who writes down the level alone loses it no more than the
 * count. */
Test(load, a_level_counts_without_its_trips) {
    folder tables = house();
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    folder_put(&tables, "readings.csv",
               "heard_at,device,reading,trips,heard\npanel,hall,-60,10,\npanel,hall,,,8\n");
    cr_assert_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey), EARSHOT_OK);
    cr_assert_eq(survey->n_readings, 1);
    cr_expect(survey->readings[0].low_dbm == -60 && survey->readings[0].trips == 0);
    cr_expect_eq(earshot_findings_at(findings, 0).times, 2);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    folder_free(&tables);
}

/* What somebody judged wins: a rejected row does not count, even one that could not be read,
 * and an accepted one is marked so. */
Test(load, use_of_a_reading) {
    folder tables = house();
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    folder_put(&tables, "readings.csv",
               "heard_at,device,reading,use\npanel,hall,-60,reject\npanel,hall,-6l,reject\n"
               "panel,hall,-61,accept\npanel,hall,-62,\n");
    cr_assert_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey), EARSHOT_OK);
    cr_assert_eq(survey->n_readings, 2);
    cr_expect(survey->readings[0].accepted && survey->readings[0].low_dbm == -61);
    cr_expect(!survey->readings[1].accepted && survey->readings[1].low_dbm == -62);
    cr_expect_eq(earshot_findings_count(findings), 1);
    cr_expect_str_eq(earshot_findings_at(findings, 0).code, "reading-rejected");
    cr_expect_eq(earshot_findings_at(findings, 0).times, 2);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    folder_free(&tables);
}

/* Published exponents without walls already hold ordinary walls: mixing is refused, floors are
 * not (ITU-R P.1238 has a term of its own for floors). */
Test(load, walls_must_not_count_twice) {
    folder tables = house();
    char code[40];
    size_t n;
    folder_free(&tables);
    const char site[] = "key,value\nname,Small house\nenvironment,dwelling-by-distance\n"
                        "required_margin_db,10\nlife_safety_margin_db,14\nconfidence,0.9\n"
                        "life_safety_confidence,0.95\n";
    cr_expect_eq(with("site.csv", site, &n, code), EARSHOT_INVALID);
    cr_expect_eq(n, 1);
    cr_expect_str_eq(code, "walls-count-twice");
    static const struct {
        const char *crossings;
        enum earshot_status status;
    } rows[] = {{"brick", EARSHOT_INVALID},
                {"timber floor", EARSHOT_OK},
                {"\"timber floor, inside door\"", EARSHOT_INVALID},
                {"", EARSHOT_OK}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        char paths[100] = "device,to,length_m,crossings\nhall,panel,10,";
        strcat(strcat(paths, rows[i].crossings), "\n");
        earshot_bytes bytes[] = {{"site.csv", site, sizeof site - 1},
                                 {"devices.csv", house_devices, sizeof house_devices - 1},
                                 {"paths.csv", paths, strlen(paths)}};
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = NULL;
        cr_expect_eq(earshot_survey_load(bytes, 3, findings, &survey), rows[i].status, "%s",
                     paths);
        earshot_survey_free(survey);
        earshot_findings_free(findings);
    }
}

/* Columns count code points, not bytes (style: UTF-8). */
Test(load, columns_count_characters) {
    const char text[] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                        "K\xC3\xBC"
                        "che,ground,0,0,1,1,b\xC3\xB6se\n";
    folder tables = house();
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    folder_put(&tables, "walls.csv", text);
    cr_assert_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey),
                 EARSHOT_INVALID);
    cr_assert_eq(earshot_findings_errors(findings), 1);
    cr_expect_eq(earshot_findings_at(findings, 0).column, 22);
    earshot_findings_free(findings);
    folder_free(&tables);
}

/* The value in quotes, then the mend; a twin in another case is suggested. */
Test(load, sentences_quote_and_mend) {
    const char text[] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nw,Ground,0,0,1,1,brick\n";
    folder tables = house();
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    folder_put(&tables, "walls.csv", text);
    earshot_survey_load(tables.tables, tables.n, findings, &survey);
    cr_assert_eq(earshot_findings_count(findings), 1);
    cr_expect_str_eq(earshot_findings_at(findings, 0).sentence,
                     "level 'Ground' is not in levels.csv; did you mean 'ground'?");
    earshot_findings_free(findings);
    folder_free(&tables);
}

/* What people call walls may stand wherever a construction may. */
Test(load, walls_go_by_what_people_call_them) {
    folder tables = house();
    folder_put(&tables, "walls.csv",
               "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nw,ground,0,0,1,1,Brick wall\n");
    earshot_survey *survey = folder_load(&tables);
    cr_expect_str_eq(survey->constructions[survey->walls[0].construction].name, "brick");
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* ---- the same survey, written otherwise ---- */

static void predict_all(const folder *tables, earshot_prediction *out, size_t *n) {
    earshot_survey *survey = folder_load(tables);
    earshot_belief *belief = NULL;
    earshot_link links[64];
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    *n = earshot_survey_links(survey, links, COUNT(links));
    cr_assert(*n > 0 && *n <= COUNT(links));
    cr_assert_eq(earshot_links_predict(survey, belief, links, *n, out), EARSHOT_OK);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
}

static void expect_same(const folder *one, const folder *other, const char *what) {
    earshot_prediction first[64], second[64];
    size_t n_first, n_second;
    predict_all(one, first, &n_first);
    predict_all(other, second, &n_second);
    cr_assert_eq(n_first, n_second, "%s", what);
    for (size_t i = 0; i < n_first; i++) {
        cr_expect_eq(first[i].loss_db, second[i].loss_db, "%s", what);
        cr_expect_eq(first[i].margin_sd_db, second[i].margin_sd_db, "%s", what);
    }
}

Test(load, the_same_in_other_clothes) {
    static const struct {
        const char *what, *name, *text;
    } rows[] = {
        {"a byte order mark", "devices.csv",
         "\xEF\xBB\xBF"
         "device,role,x_m,y_m,height_m,radio,type\nhall,sensor,6,0.5,1,868-10mw,other\n"
         "panel,receiver,0,0.5,1,868-10mw,other\n"},
        {"CR and LF", "devices.csv",
         "device,role,x_m,y_m,height_m,radio\r\nhall,sensor,6,0.5,1,868-10mw\r\n"
         "panel,receiver,0,0.5,1,868-10mw\r\n"},
        {"semicolons and decimal commas", "devices.csv",
         "device;role;x_m;y_m;height_m;radio\nhall;sensor;6;0,5;1;868-10mw\n"
         "panel;receiver;0;0,5;1;868-10mw\n"},
        {"another order of columns", "devices.csv",
         "radio,height_m,y_m,x_m,role,device\n868-10mw,1,0.5,6,sensor,hall\n"
         "868-10mw,1,0.5,0,receiver,panel\n"},
        {"centimeters and millimeters", "devices.csv",
         "device,role,x_cm,y_mm,height_m,radio,type\nhall,sensor,600,500,1,868-10mw,other\n"
         "panel,receiver,0,500,1,868-10mw,other\n"},
        {"paces of 0.75 m", "devices.csv",
         "device,role,x_pace,y_m,height_m,radio,type\nhall,sensor,8,0.5,1,868-10mw,other\n"
         "panel,receiver,0,0.5,1,868-10mw,other\n"},
        {"blank rows and trailing columns", "devices.csv",
         "device,role,x_m,y_m,height_m,radio,type,,\n,,,,,,,\nhall,sensor,6,0.5,1,868-10mw,"
         "other,,\n\n"
         "panel,receiver,0,0.5,1,868-10mw,other,,\n"},
        {"the wall from its other end", "walls.csv",
         "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nmiddle,ground,3,5,3,-5,brick\n"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        folder plain = house(), dressed = house();
        folder_put(&dressed, rows[i].name, rows[i].text);
        expect_same(&plain, &dressed, rows[i].what);
        folder_free(&plain);
        folder_free(&dressed);
    }
}

/* 1 ft = 0.3048 m, 1 in = 25.4 mm: international yard and pound agreement, 1959. */
Test(load, feet_and_inches) {
    static const char *const rows[] = {
        "device,role,x_ft,y_in,height_m,radio,type\nhall,sensor,20,10,1,868-10mw,other\n"
        "panel,receiver,0,10,1,868-10mw,other\n",
        "device,role,x_m,y_m,height_m,radio,type\nhall,sensor,6.096,0.254,1,868-10mw,other\n"
        "panel,receiver,0,0.254,1,868-10mw,other\n"};
    folder feet = house(), meters = house();
    folder_put(&feet, "devices.csv", rows[0]);
    folder_put(&meters, "devices.csv", rows[1]);
    expect_same(&feet, &meters, "feet and inches");
    folder_free(&feet);
    folder_free(&meters);
}

/* A survey's own materials win by name, the rest stay as shipped. */
Test(load, own_materials_win_by_name) {
    earshot_prediction shipped[64], own[64];
    size_t n;
    folder tables = house();
    predict_all(&tables, shipped, &n);
    folder_put(
        &tables, "materials/penetration.csv",
        "construction,freq_mhz,loss_db,sd_db,kind,source\nbrick,868.3,11,2,effective,own\n");
    predict_all(&tables, own, &n);
    /* shipped brick at 868.3 MHz is 4 dB (materials/penetration.csv) */
    cr_expect_float_eq(own[0].loss_db - shipped[0].loss_db, 7, 1e-9);
    folder_free(&tables);
}

/* ---- a great many ---- */

/* Of 100,000 bad rows the first thousand are told and the rest counted. */
Test(load, a_hundred_thousand_bad_rows) {
    enum { N_ROWS = 100000, ROW = 60 };
    char *text = malloc(ROW * (N_ROWS + 1)), *at = text;
    cr_assert_not_null(text);
    at += sprintf(at, "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n");
    for (int i = 0; i < N_ROWS; i++)
        at += sprintf(at, "w%d,grund%d,0,0,1,1x,brik%d\n", i, i, i);
    folder tables = house();
    folder_put(&tables, "walls.csv", text);
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_expect_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey),
                 EARSHOT_INVALID);
    cr_assert_eq(earshot_findings_count(findings), 1001);
    cr_expect_str_eq(earshot_findings_at(findings, 1000).sentence,
                     "and 299000 more in this file; mend the first ones and run again");
    earshot_findings_free(findings);
    folder_free(&tables);
    free(text);
}

/* A host that failed to read a file and hands it over all the same is told: without its walls a
 * house is all open air. */
Test(load, files_without_bytes_are_misuse) {
    const char devices[] = "device,role\np,receiver\n";
    const earshot_bytes good = {"devices.csv", devices, sizeof devices - 1};
    const earshot_bytes bad[] = {{"walls.csv", NULL, 100}, {NULL, devices, sizeof devices - 1}};
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    const char *const words[] = {"12m"};
    const earshot_reach reach = {.words = words, .n_words = 1}, lost = {.n_words = 1};
    for (size_t i = 0; i < COUNT(bad); i++) {
        const earshot_bytes tables[] = {good, bad[i]};
        unsigned char of[] = {7, 7};
        cr_expect_eq(earshot_survey_load(tables, 2, findings, &survey), EARSHOT_MISUSE);
        cr_expect_eq(earshot_materials_load(tables, 2, findings, &survey), EARSHOT_MISUSE);
        cr_expect_eq(earshot_survey_new(&reach, tables, 2, findings, &survey), EARSHOT_MISUSE);
        cr_expect_eq(earshot_readings_files(tables, 2, of), EARSHOT_MISUSE);
        cr_expect(of[0] == 7 && of[1] == 7);
    }
    cr_expect_eq(earshot_survey_new(&reach, NULL, 1, findings, &survey), EARSHOT_MISUSE);
    cr_expect_eq(earshot_survey_new(&lost, NULL, 0, findings, &survey), EARSHOT_MISUSE);
    cr_expect_null(survey);
    cr_expect_eq(earshot_findings_count(findings), 0);
    earshot_findings_free(findings);
}

/* A host may keep one list for all that it loads. Once a file has more faults than are kept,
 * the next survey's are only counted, and it is refused all the same. */
Test(load, a_full_list_refuses_too) {
    enum { MANY = 1100 };
    char walls[64 + MANY * 32] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n";
    char *end = walls + strlen(walls);
    for (int i = 0; i < MANY; i++)
        end += sprintf(end, "w%d,ground,0,0,1,%d,fog\n", i, i % 9);
    folder tables = {.n = 0};
    folder_put(&tables, "devices.csv",
               "device,role,x_m,y_m,radio\ns,sensor,0,0,868-10mw\np,receiver,1,1,868-10mw\n");
    folder_put(&tables, "walls.csv", walls);
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    for (int i = 0; i < 2; i++)
        cr_expect_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey),
                     EARSHOT_INVALID, "load %d", i);
    cr_expect_null(survey);
    earshot_findings_free(findings);
    folder_free(&tables);
}
