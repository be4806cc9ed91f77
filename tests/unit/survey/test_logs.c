/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_logs.c - a log that is merged says what the same rows say in readings.csv, typed by
 * hand; and what is wrong with columns.csv is said there, once, where it stands.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "survey.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char devices[] = "device,role,radio,zone,label,serial,input,type\n"
                              "panel,receiver,868-10mw,,,R1,,\n"
                              "front,sensor,868-10mw,5,Front door,T1,1,contact\n"
                              "panes,sensor,868-10mw,6,,T2,1,contact\n"
                              "glass,sensor,868-10mw,7,,T2,2,glass-break\n"
                              "12,sensor,868-10mw,8,,,,motion\n"
                              "sink,sensor,868-10mw,12,,,,flood\n";
static const char paths[] = "device,to,length_m\nfront,panel,5\npanes,panel,6\nglass,panel,7\n"
                            "12,panel,8\nsink,panel,9\n";
#define HEAD "file,their_column,our_column,unit_or_scale,value,their_value\n"
#define PLAIN HEAD "x.csv,Who,device,,,\nx.csv,RSSI,reading,dBm,,\nx.csv,,heard_at,,panel,\n"

static folder house(const char *columns, const char *log) {
    folder tables = {.n = 0};
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "paths.csv", paths);
    if (columns)
        folder_put(&tables, "columns.csv", columns);
    folder_put(&tables, columns ? "x.csv" : "readings.csv", log);
    return tables;
}

static bool same(double a, double b) {
    return (isnan(a) && isnan(b)) || a == b || fabs(a - b) < 1e-9;
}

static void compare(const char *name, const earshot_survey *got, const earshot_survey *want) {
    cr_expect_eq(got->n_readings, want->n_readings, "%s: %zu", name, got->n_readings);
    for (size_t i = 0; i < got->n_readings && i < want->n_readings; i++) {
        const survey_reading *a = &got->readings[i], *b = &want->readings[i];
        cr_expect(a->heard_at == b->heard_at && a->device == b->device && a->none == b->none &&
                      a->trips == b->trips && a->heard == b->heard && a->placed == b->placed &&
                      a->scale == b->scale && strcmp(a->time, b->time) == 0 &&
                      a->accepted == b->accepted,
                  "%s, reading %zu", name, i);
        cr_expect(same(a->low_dbm, b->low_dbm) && same(a->high_dbm, b->high_dbm) &&
                      same(a->noise_dbm, b->noise_dbm) && same(a->place.x_m, b->place.x_m),
                  "%s, reading %zu: %g", name, i, a->low_dbm);
    }
}

static const struct {
    const char *name, *columns, *log, *typed;
} twins[] = {
    {"by name, zone, label in capitals and serial", PLAIN,
     "Who,RSSI\nfront,-60\n5,-61\n05,-62\nFRONT DOOR,-63\nT1,-64\n",
     "heard_at,device,reading,scale\npanel,front,-60,dbm\npanel,front,-61,dbm\n"
     "panel,front,-62,dbm\npanel,front,-63,dbm\npanel,front,-64,dbm\n"},
    {"a name comes before a zone, unless zones are said",
     PLAIN "y.csv,Who,device,zone,,\ny.csv,RSSI,reading,dBm,,\n", "Who,RSSI\n12,-60\n",
     "heard_at,device,reading,scale\npanel,12,-60,dbm\n"},
    {"zones said", HEAD "x.csv,Who,device,zone,,\nx.csv,RSSI,reading,dBm,,\n",
     "Who,RSSI\n12,-60\n", "heard_at,device,reading,scale\npanel,sink,-60,dbm\n"},
    {"a title, case, punctuation, a column that nobody wants", PLAIN,
     "Log;of;a;meter\n\n rssi ;WHO.;x\n-60;front;y\n",
     "heard_at,device,reading,scale\npanel,front,-60,dbm\n"},
    {"a preamble with other separators, and a header that comes again", PLAIN,
     "a,b,c,d\n\xEF\xBB\xBFWho\tRSSI\nfront\t-60,5\nWho\tRSSI\nfront\t-61\n",
     "heard_at,device,reading,scale\npanel,front,-61,dbm\n"},
    {"decimal commas, in quotes too", PLAIN, "Who,RSSI\nfront,\"-60,5\"\nfront,-61.25\n",
     "heard_at,device,reading,scale\npanel,front,-60.5,dbm\npanel,front,-61.25,dbm\n"},
    {"units within cells, silence, no data", PLAIN,
     "Who,RSSI\nfront,-60 dBm\nsink,no signal\nsink,\nsink,-90dbm\n",
     "heard_at,device,reading,scale\npanel,front,-60,dbm\npanel,sink,none,dbm\n"
     "panel,sink,-90,dbm\n"},
    /* 0 dBm into 50 ohm are 0.2236 V, which is 106.9897 dB over a microvolt */
    {"microvolts",
     HEAD "x.csv,Who,device,,,\nx.csv,V,reading,dBuV,,\nx.csv,Floor,noise,dBm,,\n",
     "Who,V,Floor\nfront,46.98970004336019,-110 dBm\nfront,46.98970004336019 dB\xC2\xB5V,\n",
     "heard_at,device,reading,noise\npanel,front,-60,-110\npanel,front,-60,\n"},
    {"percent", HEAD "x.csv,Who,device,,,\nx.csv,Q,reading,%,,\n",
     "Who,Q\nfront,80%\nfront,80 %\nfront,80\nfront,4 bars\n",
     "heard_at,device,reading,scale\npanel,front,80,percent\npanel,front,80,percent\n"
     "panel,front,80,percent\n"},
    {"bars", HEAD "x.csv,Who,device,,,\nx.csv,Q,reading,bars-5,,\n",
     "Who,Q\nfront,4 bars\nfront,1 bar\nfront,80%\nfront,-60 dBm\n",
     "heard_at,device,reading,scale\npanel,front,4,bars-5\npanel,front,1,bars-5\n"},
    {"without minus", HEAD "x.csv,Who,device,,,\nx.csv,Q,reading,dBm without minus,,\n",
     "Who,Q\nfront,60\nfront,-61\nfront,62 dBm\n",
     "heard_at,device,reading\npanel,front,-60\npanel,front,-61\npanel,front,-62\n"},
    {"heard of trips", HEAD "x.csv,Who,device,,,\nx.csv,OK,heard,,,\n",
     "Who,OK\nfront,12/15\nfront,3 of 3\nfront,4\nfront,16/15\n",
     "heard_at,device,trips,heard\npanel,front,15,12\npanel,front,3,3\n"},
    {"words of theirs",
     HEAD "x.csv,Who,device,,,\nx.csv,,device,,sink,Spuele\nx.csv,,device,,panes,T2\n"
          "x.csv,OK,heard,,1,yes\nx.csv,OK,heard,,0,no\nx.csv,,trips,,1,\n",
     "Who,OK\nSpuele,YES\nT2,no\n",
     "heard_at,device,trips,heard\npanel,sink,1,1\npanel,panes,1,0\n"},
    {"a dash, once it is said what it means", PLAIN "x.csv,,reading,,none,-\n",
     "Who,RSSI\nfront,-\nfront,-60\nfront,n/a\n",
     "heard_at,device,reading,scale\npanel,front,none,dbm\npanel,front,-60,dbm\n"},
    {"date and time in two columns, the one and only receiver, use",
     HEAD "x.csv,Who,device,,,\nx.csv,RSSI,reading,,,\nx.csv,Day,time,,,\nx.csv,At,time,,,\n"
          "x.csv,Mine,use,,,\nx.csv,,placed,,in place,\n",
     "Who,RSSI,Day,At,Mine\nfront,-60,3.4.,12:00,accept\nfront,-61,3.4.,,\nfront,-62,,,"
     "reject\n",
     "heard_at,device,reading,time,use,placed\npanel,front,-60,3.4. 12:00,accept,in place\n"
     "panel,front,-61,3.4.,,in place\n"},
    {"a column by its letter", HEAD "x.csv,Who,device,,,\nx.csv,Column C,reading,,,\n",
     "Who,RSSI,RSSI\nfront,-60,-70\n", "heard_at,device,reading\npanel,front,-70\n"},
    {"a walked point in feet",
     HEAD "x.csv,X,x,ft,,\nx.csv,Y,y_ft,,,\nx.csv,RSSI,reading,,,\nx.csv,,radio,,868-10mw,\n",
     "X,Y,RSSI\n10,20,-60\n", "heard_at,x_ft,y_ft,reading,radio\npanel,10,20,-60,868-10mw\n"},
    {"a file by its pattern", HEAD "*.CSV,Who,device,,,\n*.CSV,RSSI,reading,,,\n",
     "Who,RSSI\nfront,-60\n", "heard_at,device,reading\npanel,front,-60\n"},
    {"one bad row costs itself", PLAIN,
     "Who,RSSI,Rest\nfront,-60,\nfront,-6l,\nsink,-70,3\" pipe\nsink,-71,\"open\nsink,-72,a,b\n"
     "sink,-73,\"a\"b\nsink,1.2E+11,\n1.2E+11,-5,\nT2,-50,\nstranger,-55,\n,-56,\nsink,-74,\n",
     "heard_at,device,reading,scale\npanel,front,-60,dbm\npanel,sink,-74,dbm\n"},
    {"Windows-1252", HEAD "x.csv,Ger\xC3\xA4t,device,,,\nx.csv,RSSI,reading,,,\n",
     "Ger\xE4t;RSSI;\xB0\nfront;-60;\x80\n", "heard_at,device,reading\npanel,front,-60\n"},
    {"line ends of CR alone", PLAIN, "a\rWho,RSSI\rfront,-60\r",
     "heard_at,device,reading,scale\npanel,front,-60,dbm\n"},
};

Test(logs, say_what_the_same_rows_say_when_typed) {
    for (size_t i = 0; i < COUNT(twins); i++) {
        folder logged = house(twins[i].columns, twins[i].log);
        if (strstr(twins[i].columns, "y.csv"))
            folder_put(&logged, "y.csv", "Who,RSSI\n");
        folder typed = house(NULL, twins[i].typed);
        earshot_survey *got = folder_load(&logged), *want = folder_load(&typed);
        compare(twins[i].name, got, want);
        for (size_t j = 0; j < got->n_readings; j++)
            cr_expect_str_eq(got->readings[j].file, "x.csv");
        earshot_survey_free(got);
        earshot_survey_free(want);
        folder_free(&logged);
        folder_free(&typed);
    }
}

/* Whether some finding has these words and stands there. */
static bool told(const earshot_findings *findings, const char *file, unsigned line,
                 unsigned column, const char *words) {
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        if (strcmp(finding.file, file) == 0 && finding.line == line &&
            finding.column == column && strstr(finding.sentence, words))
            return true;
    }
    return false;
}

/* Columns are counted by hand. */
static const struct {
    const char *columns, *log, *words;
    bool error;
    const char *file;
    unsigned line, column;
} faults[] = {
    {HEAD "y.csv,Who,device,,,\n", "Who\n", "did you mean 'x.csv'?", true, "columns.csv", 2, 1},
    {HEAD "paths.csv,Who,device,,,\n", "Who\n", "is a table of the survey", true, "columns.csv",
     2, 1},
    {HEAD "x.csv,Whom,device,,,\nx.csv,RSSI,reading,,,\n", "Who,RSSI\n",
     "has the column 'Whom' among the others named; did you mean 'Who'?", true, "columns.csv",
     2, 7},
    {HEAD "x.csv,Who,devize,,,\n", "Who\n", "did you mean 'device'?", true, "columns.csv", 2,
     11},
    {HEAD "x.csv,Who,device,,,\nx.csv,RSSI,reading,dBx,,\n", "Who,RSSI\n",
     "did you mean 'dbm'?", true, "columns.csv", 3, 20},
    {PLAIN "x.csv,,placed,,in plaze,\n", "Who,RSSI\n", "did you mean 'in place'?", true,
     "columns.csv", 5, 16},
    {PLAIN "x.csv,,radio,,868-10mv,\n", "Who,RSSI\n", "radio '868-10mv' is not", true,
     "columns.csv", 5, 15},
    {HEAD "x.csv,Who,device,,,\nx.csv,RSSI,reading,,,\nx.csv,,heard_at,,front,\n", "Who,RSSI\n",
     "is a sensor and hears nothing", true, "columns.csv", 4, 18},
    {PLAIN "x.csv,SNR,reading,,,\n", "Who,RSSI,SNR\n", "a second answer for reading", true,
     "columns.csv", 5, 7},
    {PLAIN "x.csv,RSSI,visit,,2,\n", "Who,RSSI\n", "stands beside a column of theirs", true,
     "columns.csv", 5, 19},
    {PLAIN "x.csv,,visit,,,\n", "Who,RSSI\n", "says nothing", true, "columns.csv", 5, 7},
    {HEAD "x.csv,RSSI,reading,,,\n", "RSSI\n", "has no row here for device", true,
     "columns.csv", 2, 1},
    {PLAIN "x.csv,A,x,,,\n", "Who,RSSI,A\n", "in what unit x_m is", true, "columns.csv", 5, 9},
    {PLAIN, "", "has no rows", true, "x.csv", 0, 0},
    {PLAIN, "PK\3\4", "is a workbook", true, "x.csv", 0, 0},
    {PLAIN, "Who,RSSI,RSSI\nfront,-60,-61\n",
     "the name of column B and of column C, and B is taken", false, "x.csv", 1, 10},
    {PLAIN, "Who,RSSI\nT2,-60\n", "'T2' may be 'panes' or 'glass'", false, "x.csv", 2, 1},
    {PLAIN, "Who,RSSI\nfront,-60\na,-60\nb,-60\na,-60\n",
     "3 rows of 2 devices that this survey does not have, 'a' first", false, "x.csv", 3, 1},
    {PLAIN, "Who,RSSI\na,-60\n", "1 row of 1 device that", false, "x.csv", 2, 1},
    {PLAIN, "Who,RSSI\nfront,--\n", "'--' may mean that nothing was heard", false, "x.csv", 2,
     7},
    {PLAIN, "Who,RSSI\nfront,4 bars\n", "does not go with the scale dbm", false, "x.csv", 2, 7},
    {PLAIN, "Who,RSSI\nfront,-60,x\n", "is right of the last of the 2 columns", false, "x.csv",
     2, 11},
};

Test(logs, faults_are_told_where_they_stand) {
    for (size_t i = 0; i < COUNT(faults); i++) {
        folder tables = house(faults[i].columns, faults[i].log);
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = NULL;
        enum earshot_status status =
            earshot_survey_load(tables.tables, tables.n, findings, &survey);
        cr_expect_eq(status, faults[i].error ? EARSHOT_INVALID : EARSHOT_OK, "%s",
                     faults[i].words);
        cr_expect(!faults[i].error || earshot_findings_errors(findings) == 1, "%s: %zu errors",
                  faults[i].words, earshot_findings_errors(findings));
        cr_expect(
            told(findings, faults[i].file, faults[i].line, faults[i].column, faults[i].words),
            "%s", faults[i].words);
        for (size_t j = 0; j < earshot_findings_count(findings); j++)
            if (!told(findings, faults[i].file, faults[i].line, faults[i].column,
                      faults[i].words))
                cr_log_error("%s:%u:%u: %s", earshot_findings_at(findings, j).file,
                             earshot_findings_at(findings, j).line,
                             earshot_findings_at(findings, j).column,
                             earshot_findings_at(findings, j).sentence);
        earshot_survey_free(survey);
        earshot_findings_free(findings);
        folder_free(&tables);
    }
}

Test(logs, a_log_that_goes_on_from_readings_counts_once) {
    folder tables = house(HEAD "x.csv,Who,device,,,\nx.csv,RSSI,reading,,,\nx.csv,At,time,,,\n",
                          "Who,RSSI,At\nfront,-60,1\nfront,-61,2\nfront,-62,3\n");
    folder_put(&tables, "readings.csv",
               "heard_at,device,reading,time\npanel,front,-60,1\npanel,front,-61,2\n");
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_assert_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey), EARSHOT_OK);
    cr_expect_eq(survey->n_readings, 3);
    cr_expect(told(findings, "x.csv", 2, 0, "stands in 'readings.csv' too"));
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    folder_free(&tables);
}

Test(logs, which_files_hold_readings) {
    folder tables = house(PLAIN, "Who,RSSI\n");
    folder_put(&tables, "readings.csv", "heard_at\n");
    folder_put(&tables, "notes.csv", "a\n");
    unsigned char of[FOLDER_MAX_TABLES];
    cr_assert_eq(earshot_readings_files(tables.tables, tables.n, of), EARSHOT_OK);
    for (size_t i = 0; i < tables.n; i++) {
        const char *name = tables.tables[i].name;
        cr_expect_eq(of[i], name[0] == 'x' || name[0] == 'r' || name[0] == 'c', "%s", name);
    }
    cr_expect_eq(earshot_readings_files(tables.tables, tables.n, NULL), EARSHOT_MISUSE);
    folder_free(&tables);
}

Test(logs, a_header_that_comes_again_is_no_stranger) {
    folder tables = house(PLAIN, "Who,RSSI\nfront,-60\nWho,RSSI\nfront,-61\n");
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_assert_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey), EARSHOT_OK);
    for (size_t i = 0; i < earshot_findings_count(findings); i++)
        cr_expect_str_neq(earshot_findings_at(findings, i).file, "x.csv");
    cr_expect_eq(survey->n_readings, 2);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    folder_free(&tables);
}
