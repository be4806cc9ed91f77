/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_report.c - the pages handed over: what must not be on them, what must, that names do no
 * harm, and how large they get.
 */
#include "page.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

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

static earshot_text *written(const struct scene *scene, enum earshot_audience audience,
                             const earshot_report *report) {
    static const earshot_report plain = {.date = NULL};
    earshot_text *text = earshot_text_new();
    cr_assert_eq(earshot_report_write(scene->survey, scene->belief, scene->findings, audience,
                                      report ? report : &plain, text),
                 EARSHOT_OK);
    return text;
}

static size_t count(const char *text, const char *part) {
    size_t n = 0;
    for (; (text = strstr(text, part)) != NULL; text += strlen(part))
        n++;
    return n;
}

/* On paper a part is not torn from its heading: the rooms may go on over the next page (their
 * list breaks between rows), all else stands in a section that style keeps whole. Looked at as
 * Chromium prints it by hand, 8 to 100 rooms, A4 and Letter. */
Test(report, parts_of_the_customers_page_stay_whole) {
    folder tables = folder_read("surveys/demo");
    struct scene scene;
    open(&tables, &scene);
    earshot_text *customer = written(&scene, EARSHOT_CUSTOMER, NULL);
    const char *text = earshot_text_data(customer);
    size_t depth = 0, whole = 0, n_whole = 0, n_headings = 0;
    cr_expect_not_null(strstr(text, ".whole{break-inside:avoid}"));
    for (const char *at = strstr(text, "<body"); (at = strchr(at, '<')) != NULL; at++) {
        if (strncmp(at, "<section", 8) == 0 && ++depth && strstr(at, "whole") == at + 16)
            whole = depth;
        if (strncmp(at, "</section>", 10) == 0 && depth-- == whole)
            whole = 0;
        if (strncmp(at, "<h2>", 4) == 0) {
            n_headings++;
            n_whole += whole > 0;
        }
    }
    cr_expect_eq(depth, 0);
    cr_expect_eq(n_whole, n_headings - 1, "%zu of %zu", n_whole, n_headings);
    cr_expect_geq(n_headings, 6);
    earshot_text_free(customer);
    shut(&scene);
    folder_free(&tables);
}

/* A list of serials and weak spots is a burglar's map: none on the customer's page, and serials
 * on the technician's only when asked for. */
Test(report, tells_no_more_than_it_may) {
    folder tables = folder_read("surveys/demo");
    struct scene scene;
    open(&tables, &scene);
    const earshot_report with_serials = {.serials = true};
    earshot_text *customer = written(&scene, EARSHOT_CUSTOMER, NULL);
    earshot_text *masked = written(&scene, EARSHOT_TECHNICIAN, NULL);
    earshot_text *open_ = written(&scene, EARSHOT_TECHNICIAN, &with_serials);
    earshot_text *office = written(&scene, EARSHOT_OFFICE, NULL);
    for (size_t i = 0; i < scene.survey->n_devices; i++) {
        const survey_device *device = &scene.survey->devices[i];
        cr_expect_null(strstr(earshot_text_data(customer), device->serial));
        cr_expect_null(strstr(earshot_text_data(masked), device->serial));
        cr_expect_null(strstr(earshot_text_data(office), device->serial));
        if (device->role == SURVEY_SENSOR)
            cr_expect_not_null(strstr(earshot_text_data(open_), device->serial));
    }
    static const char *const words[] = {"dB",     "won't",  "won&#39;t",   "weak",
                                        "margin", "\"thin", "garden-door", "zone"};
    for (size_t i = 0; i < COUNT(words); i++)
        cr_expect_null(strstr(strstr(earshot_text_data(customer), "<body"), words[i]), "%s",
                       words[i]);
    earshot_text_free(customer);
    earshot_text_free(masked);
    earshot_text_free(open_);
    earshot_text_free(office);
    shut(&scene);
    folder_free(&tables);
}

/* Alone in the house: what guards life is no full disc before it was tested, and has no "one in
 * so many". */
Test(report, life_safety_is_tested_before_it_holds) {
    folder tables = folder_read("surveys/paper");
    struct scene scene;
    static const char *const readings[] = {"heard_at,device,trips,heard\n",
                                           "heard_at,device,trips,heard,placed,time\n"
                                           "p,a,3,3,in place,2026-03-10T09:00\n"};
    folder_put(&tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio,room,type\n"
               "a,sensor,lower,3,3,1,paper-radio,hall,smoke\n"
               "p,receiver,lower,2,2,1,paper-radio,,\n");
    for (size_t i = 0; i < COUNT(readings); i++) {
        folder_put(&tables, "readings.csv", readings[i]);
        open(&tables, &scene);
        earshot_text *text = written(&scene, EARSHOT_CUSTOMER, NULL);
        const char *html = earshot_text_data(text);
        cr_expect_eq(count(html, "aria-label=\"holds"), i);
        cr_expect_eq(count(html, "aria-label=\"still to be tested"), 1 - i);
        cr_expect_eq(count(html, "Tested 2026-03-10, all heard"), i);
        cr_expect_null(strstr(html, "one alarm in"));
        cr_expect_not_null(strstr(html, "every month"));
        earshot_text_free(text);
        shut(&scene);
    }
    folder_free(&tables);
}

static void expect_harmless(const char *html) {
    static const char *const foreign[] = {"<script", "http:", "https:", "url(",    "src=",
                                          "href=",   "<i>x",  "=evil>", "@import", "onload='"};
    for (size_t i = 0; i < COUNT(foreign); i++)
        cr_expect_eq(count(html, foreign[i]), 0, "%s", foreign[i]);
    static const char *const paired[][2] = {
        {"<td", "</td>"}, {"<tr", "</tr>"},   {"<svg", "</svg>"},  {"<div", "</div>"},
        {"<ul", "</ul>"}, {"<li>", "</li>"},  {"<p", "</p"},       {"<table", "</table>"},
        {"<b>", "</b>"},  {"<pre", "</pre>"}, {"<main", "</main>"}};
    for (size_t i = 0; i < COUNT(paired); i++)
        cr_expect_eq(count(html, paired[i][0]) -
                         (strcmp(paired[i][0], "<p") == 0 ? count(html, "<path") : 0),
                     count(html, paired[i][1]), "%s", paired[i][0]);
}

Test(report, names_do_no_harm) {
    folder tables = folder_read("surveys/paper");
    struct scene scene;
    folder_put(&tables, "site.csv",
               "key,value,note\nname,\"</title><script>x</script>\",\n"
               "environment,paper,\"<i>x\"\n"
               "company,\"\"\"><i>x\",\nphone,<i>x,\ndecisions,\"<i>x\n</p>\",\n");
    folder_put(&tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio,label,room,serial,type\n"
               "a,sensor,lower,3,3,1,paper-radio,\"</b><script>x</script>\"\"'&\",\"</td>\n"
               "room\",\"<i>x\",motion\n"
               "=1+1,sensor,lower,4,3,1,paper-radio,=2+2,@room,-x,motion\n"
               "p,receiver,lower,2,2,1,paper-radio,\"<i>x\",\"<i>x\",,\n");
    folder_put(&tables, "readings.csv",
               "heard_at,device,trips,heard,time,visit\np,a,3,3,<i>x,\"<i>x\"\n");
    folder_put(&tables, "spots.csv",
               "spot,level,x_m,y_m,note\n<i>x,lower,1,1,\"' onload='x\"\n");
    open(&tables, &scene);
    const earshot_report report = {.date = "<i>x",
                                   .serials = true,
                                   .proposed = "<i>x",
                                   .tables = tables.tables,
                                   .n_tables = tables.n};
    for (int i = EARSHOT_CUSTOMER; i <= EARSHOT_OFFICE; i++) {
        earshot_text *text = written(&scene, (enum earshot_audience)i, &report);
        expect_harmless(earshot_text_data(text));
        cr_expect_not_null(strstr(earshot_text_data(text), "&lt;/title&gt;"));
        earshot_text_free(text);
    }
    shut(&scene);
    folder_free(&tables);
}

/* Sixty zones, each read twice: under 2 MB, whoever reads it. */
Test(report, sixty_zones) {
    folder tables = folder_read("surveys/demo");
    struct scene scene;
    static char devices[20000], readings[20000];
    char *at = devices, *read = readings;
    at += sprintf(at, "device,role,level,x_m,y_m,height_m,radio,zone,room,type\n"
                      "panel,receiver,ground,6.3,0.4,1.5,868-10mw,,hall,\n");
    read += sprintf(read, "heard_at,device,trips,heard,reading,placed,visit\n");
    for (int i = 0; i < 60; i++) {
        at +=
            sprintf(at, "s%d,sensor,ground,%.1f,%.1f,2,868-10mw,%d,room %d,%s\n", i,
                    0.5 + i % 10, 0.6 + i / 10 * 1.2, i + 5, i / 2, i % 5 ? "motion" : "smoke");
        for (int visit = 1; visit <= 2; visit++)
            read += sprintf(read, "panel,s%d,3,3,%d,in place,%d\n", i, -40 - i % 20, visit);
    }
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "readings.csv", readings);
    open(&tables, &scene);
    const earshot_report report = {.tables = tables.tables, .n_tables = tables.n};
    for (int i = EARSHOT_CUSTOMER; i <= EARSHOT_OFFICE; i++) {
        earshot_text *text = written(&scene, (enum earshot_audience)i, &report);
        cr_expect_lt(earshot_text_size(text), 2000000);
        earshot_text_free(text);
    }
    shut(&scene);
    folder_free(&tables);
}

Test(report, misuse) {
    folder tables = folder_read("surveys/paper");
    struct scene scene;
    const earshot_report plain = {.date = NULL};
    open(&tables, &scene);
    earshot_text *text = earshot_text_new();
    cr_expect_eq(earshot_report_write(scene.survey, scene.belief, scene.findings,
                                      (enum earshot_audience)3, &plain, text),
                 EARSHOT_MISUSE);
    cr_expect_eq(earshot_text_size(text), 0);
    earshot_text_free(text);
    shut(&scene);
    folder_free(&tables);
}
