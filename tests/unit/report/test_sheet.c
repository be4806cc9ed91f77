/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_sheet.c - the sheet: what fits on a page, and that the table reads back.
 */
#include "sheet.h"
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- pages ---- */

/* A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in (ANSI/ASME Y14.1): the box fits both. */
Test(pages, fit_both_papers) {
    cr_expect_leq(SHEET_WIDTH_MM, fmin(210, 8.5 * 25.4) - 2 * SHEET_MARGIN_MM);
    cr_expect_leq(SHEET_HEIGHT_MM, fmin(297, 11 * 25.4) - 2 * SHEET_MARGIN_MM);
}

static double height_mm(const sheet_page *page) {
    return (page->first ? SHEET_TOP_AGAIN_MM : SHEET_TOP_MM) + SHEET_HEAD_MM +
           (double)page->n * SHEET_ROW_MM + (page->last ? SHEET_FOOT_MM : 0);
}

/* Each row on one page, none too full, the foot under a row, and no page more than counted. */
Test(pages, hold_all_rows) {
    for (size_t n_rows = 0; n_rows < 300; n_rows++) {
        sheet_page page = sheet_page_at(0, n_rows);
        size_t next = 0, n_pages = 0;
        for (bool last = false; !last; last = page.last) {
            page = sheet_page_at(next, n_rows);
            cr_assert_eq(page.first, next);
            cr_expect_leq(height_mm(&page), SHEET_HEIGHT_MM, "%zu rows", n_rows);
            cr_assert(page.n > 0 || n_rows == 0);
            next += page.n;
            n_pages++;
        }
        cr_expect_eq(next, n_rows);
        cr_expect_eq(n_pages, sheet_count_pages(n_rows));
    }
    cr_expect_eq(sheet_count_pages(25), 2); /* as promised */
}

/* ---- the forms ---- */

struct scene {
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_findings *findings;
};

static void open(const folder *tables, struct scene *scene) {
    *scene = (struct scene){.findings = earshot_findings_new()};
    cr_assert_eq(
        earshot_survey_load(tables->tables, tables->n, scene->findings, &scene->survey),
        EARSHOT_OK);
    cr_assert_eq(earshot_belief_fit(scene->survey, NULL, NULL, scene->findings, &scene->belief),
                 EARSHOT_OK);
}

static void shut(struct scene *scene) {
    earshot_belief_free(scene->belief);
    earshot_survey_free(scene->survey);
    earshot_findings_free(scene->findings);
}

static earshot_text *written(const struct scene *scene, const char *meter, const char *since,
                             enum earshot_form form) {
    const earshot_sheet sheet = {.meter = meter, .since = since};
    earshot_text *text = earshot_text_new();
    cr_assert_eq(
        earshot_sheet_write(scene->survey, scene->belief, &sheet, scene->findings, form, text),
        EARSHOT_OK);
    return text;
}

static size_t count(const char *text, const char *part) {
    size_t n = 0;
    for (; (text = strstr(text, part)) != NULL; text += strlen(part))
        n++;
    return n;
}

static const enum earshot_form forms[] = {EARSHOT_HTML, EARSHOT_PLAIN, EARSHOT_CSV,
                                          EARSHOT_JSON};

/* A list of serials is a burglar's map. */
Test(sheet, tells_no_serial) {
    folder tables = folder_read("surveys/demo");
    struct scene scene;
    open(&tables, &scene);
    for (size_t i = 0; i < COUNT(forms); i++) {
        earshot_text *text = written(&scene, NULL, "2026", forms[i]);
        for (size_t j = 0; j < scene.survey->n_devices; j++) {
            cr_assert_neq(scene.survey->devices[j].serial[0], '\0');
            cr_expect_null(strstr(earshot_text_data(text), scene.survey->devices[j].serial));
        }
        earshot_text_free(text);
    }
    shut(&scene);
    folder_free(&tables);
}

/* One page box for each page that is counted, a mark for each zone (five more explain them on
 * each page), nothing from elsewhere, no script. */
Test(sheet, paper_holds_itself) {
    folder tables = folder_read("surveys/demo");
    struct scene scene;
    open(&tables, &scene);
    earshot_text *text = written(&scene, "bars-5", NULL, EARSHOT_HTML);
    const char *html = earshot_text_data(text);
    size_t n_pages = sheet_count_pages(29);
    char page[40];
    cr_expect_eq(count(html, "<section class=\"page\">"), n_pages);
    for (size_t i = 1; i <= n_pages; i++) {
        snprintf(page, sizeof page, ">page %zu of %zu<", i, n_pages);
        cr_expect_eq(count(html, page), 1, "%s", page);
    }
    cr_expect_eq(count(html, "<svg"), 29 + 5 * n_pages);
    cr_expect_eq(count(html, "<svg"), count(html, "</svg>"));
    cr_expect_eq(count(html, "<tr"), count(html, "</tr>"));
    cr_expect_eq(count(html, "<div"), count(html, "</div>"));
    static const char *const foreign[] = {"<script", "http:", "https:", "url(",
                                          "src=",    "href=", "@import"};
    for (size_t i = 0; i < COUNT(foreign); i++)
        cr_expect_eq(count(html, foreign[i]), 0, "%s", foreign[i]);
    earshot_text_free(text);
    shut(&scene);
    folder_free(&tables);
}

Test(sheet, names_are_harmless_on_paper) {
    folder tables = folder_read("surveys/paper");
    struct scene scene;
    folder_put(&tables, "site.csv",
               "key,value\nname,\"</title>"
               "<script>x</script>\"\n"
               "environment,paper\n");
    folder_put(
        &tables, "devices.csv",
        "device,role,level,x_m,y_m,height_m,radio,label,room,type\n"
        "a,sensor,lower,3,3,1,paper-radio,\"</b><script>x</script>\"\"'&\",\"</td>\nroom\""
        ",motion\n"
        "p,receiver,lower,2,2,1,paper-radio,\"<i>\",\"<u>\",\n");
    open(&tables, &scene);
    earshot_text *text = written(&scene, NULL, NULL, EARSHOT_HTML);
    const char *html = earshot_text_data(text);
    cr_expect_eq(count(html, "<script"), 0);
    cr_expect_eq(count(html, "&lt;/b&gt;&lt;script&gt;x&lt;/script&gt;&quot;&#39;&amp;"), 1);
    cr_expect_eq(count(html, "&lt;/td&gt; room"), 1);
    cr_expect_eq(count(html, "&lt;i&gt;, &lt;u&gt;"), 1);
    cr_expect_eq(count(html, "&lt;/title&gt;"), 2);
    earshot_text_free(text);
    shut(&scene);
    folder_free(&tables);
}

Test(sheet, refuses_what_it_cannot_read) {
    folder tables = folder_read("surveys/paper");
    struct scene scene;
    open(&tables, &scene);
    static const earshot_sheet bad[] = {
        {.meter = "bar-5"}, {.since = "10.3.2026"}, {.since = ""}};
    for (size_t i = 0; i < COUNT(bad); i++) {
        earshot_text *text = earshot_text_new();
        cr_expect_eq(earshot_sheet_write(scene.survey, scene.belief, &bad[i], scene.findings,
                                         EARSHOT_HTML, text),
                     EARSHOT_MISUSE);
        cr_expect_eq(earshot_text_size(text), 0);
        earshot_text_free(text);
    }
    shut(&scene);
    folder_free(&tables);
}

/* Numbered from 1 without a gap, a question a line. */
Test(sheet, questions) {
    folder tables = folder_read("surveys/demo");
    struct scene scene;
    open(&tables, &scene);
    earshot_text *text = written(&scene, NULL, NULL, EARSHOT_PLAIN);
    const char *at = earshot_text_data(text);
    size_t n = 0;
    for (; *at; at = strchr(at, '\n') + 1) {
        char *dot;
        cr_assert_eq(strtoul(at, &dot, 10), ++n);
        cr_assert_eq(strncmp(dot, ". ", 2), 0);
        cr_assert_lt(strchr(at, '?'), strchr(at, '\n'));
    }
    cr_expect_gt(n, 29);
    earshot_text_free(text);
    shut(&scene);
    folder_free(&tables);
}

/* ---- the table that reads back ---- */

static size_t findings_on_readings(const earshot_findings *findings) {
    size_t n = 0;
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        if (strstr(finding.file, "readings.csv")) {
            n++;
            cr_expect(false, "%s:%u:%u: %s", finding.file, finding.line, finding.column,
                      finding.sentence);
        }
    }
    return n;
}

/* Each row with what somebody wrote into its blanks: a count and a level, or noise. What stands
 * before the fourth comma and behind it is taken as it is. */
static char *filled_in(const char *csv) {
    char *filled = calloc(strlen(csv) + 20 * count(csv, "\n") + 1, 1);
    const char *line = strchr(csv, '\n') + 1;
    strncat(filled, csv, (size_t)(line - csv));
    for (const char *end; *line; line = end + 1) {
        const char *gap = strstr(line, ",,,");
        end = strchr(line, '\n');
        bool noise = strncmp(strchr(line, ',') + 1, ",,,,,,,,", 8) == 0;
        if (noise) {
            gap = strchr(line, ',') + 7; /* heard_at, and 7 blanks up to noise */
            strncat(filled, line, (size_t)(gap - line));
            strcat(filled, ",-111");
        } else {
            strncat(filled, line, (size_t)(gap - line));
            strcat(filled, strstr(line, "in place") && strstr(line, "in place") < end
                               ? ",3,4,"
                               : ",9,4,");
            gap += 3;
        }
        if (noise)
            gap++;
        strncat(filled, gap, (size_t)(end + 1 - gap));
    }
    return filled;
}

static void expect_read_back(folder *tables, size_t n_zones) {
    struct scene scene, again;
    folder_put(tables, "columns.csv", "file,our_column\n"); /* no log: the sheet's rows alone */
    open(tables, &scene);
    earshot_text *text = written(&scene, "bars-5", NULL, EARSHOT_CSV);
    folder_put(tables, "readings.csv", earshot_text_data(text));
    open(tables, &again); /* as it comes, with nothing written in it */
    cr_expect_eq(findings_on_readings(again.findings), 0);
    cr_expect_eq(again.survey->n_readings, 0);
    shut(&again);
    char *filled = filled_in(earshot_text_data(text));
    folder_put(tables, "readings.csv", filled);
    open(tables, &again);
    cr_expect_eq(findings_on_readings(again.findings), 0);
    cr_expect_eq(again.survey->n_readings, 2 * n_zones + 2);
    size_t n_final = 0;
    for (size_t i = 0; i < again.survey->n_readings; i++) {
        const survey_reading *reading = &again.survey->readings[i];
        if (reading->device == EARSHOT_NONE) {
            cr_expect_eq(reading->noise_dbm, -111);
            continue;
        }
        n_final += reading->placed == SURVEY_IN_PLACE;
        cr_expect_eq(reading->trips, reading->placed == SURVEY_IN_PLACE ? 3 : 10);
        cr_expect_eq(reading->heard, reading->placed == SURVEY_IN_PLACE ? 3 : 9);
        cr_expect(reading->low_dbm == -75 && reading->high_dbm == -65); /* bar 4 */
        cr_expect(!reading->doors_open);
        cr_expect_eq(reading->as_left, reading->placed == SURVEY_IN_PLACE);
    }
    cr_expect_eq(n_final, n_zones);
    free(filled);
    shut(&again);
    earshot_text_free(text);
    shut(&scene);
}

Test(sheet, table_reads_back) {
    static const char *const paths[] = {"surveys/demo", "surveys/no-plan", "surveys/paper",
                                        "surveys/messy"};
    static const size_t n_zones[] = {29, 29, 5, 29};
    for (size_t i = 0; i < COUNT(paths); i++) {
        folder tables = folder_read(paths[i]);
        expect_read_back(&tables, n_zones[i]);
        folder_free(&tables);
    }
}

/* Names that a spreadsheet would run, or that need quotes, find their devices again; in the
 * table itself none begins as a formula does. */
Test(sheet, any_name_reads_back) {
    folder tables = folder_read("surveys/paper");
    folder_put(&tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio,label,type\n"
               "=1+1,sensor,lower,3,3,1,paper-radio,=2+2,motion\n"
               "-b,sensor,lower,4,3,1,paper-radio,\"a, \"\"b\"\"\",motion\n"
               "@c,sensor,lower,5,3,1,paper-radio,,motion\n"
               "\"d, e\",sensor,lower,6,3,1,paper-radio,\"two\nlines\",motion\n"
               "+p,receiver,lower,2,2,1,paper-radio,,\n");
    struct scene scene;
    open(&tables, &scene);
    earshot_text *text = written(&scene, NULL, NULL, EARSHOT_CSV);
    const char *csv = earshot_text_data(text);
    for (size_t i = 0; csv[i + 1]; i++)
        if (csv[i] == '\n' || csv[i] == ',')
            cr_expect(!strchr("=+@", csv[i + 1]) && strncmp(csv + i + 1, "-b", 2) != 0, "%s",
                      csv + i);
    earshot_text_free(text);
    shut(&scene);
    expect_read_back(&tables, 4);
    folder_free(&tables);
}

/* Below the readings that are there, the new ones come last, whatever the visits are called. */
Test(sheet, the_next_visit) {
    static const struct {
        const char *visits[2], *next;
    } cases[] = {
        {{"", ""}, ",1,"}, {{"1", "2"}, ",3,"}, {{"7", "2"}, ",8,"}, {{"spring", "1"}, ",2,"}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        folder tables = folder_read("surveys/paper");
        char readings[200];
        struct scene scene;
        snprintf(readings, sizeof readings,
                 "heard_at,device,reading,visit\npanel,door,-60,%s\npanel,door,-61,%s\n",
                 cases[i].visits[0], cases[i].visits[1]);
        folder_put(&tables, "readings.csv", readings);
        open(&tables, &scene);
        earshot_text *text = written(&scene, NULL, NULL, EARSHOT_CSV);
        cr_expect_not_null(strstr(earshot_text_data(text), cases[i].next), "%s", cases[i].next);
        earshot_text_free(text);
        shut(&scene);
        folder_free(&tables);
    }
}
