/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_memory.c - every report in every form, each of its allocations failing in turn: alone,
 * and with all behind it. No crash, no leak, no report that is cut and yet called done.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "shortage.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct scene {
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_findings *findings;
    earshot_link link;
};

static enum earshot_status check(const struct scene *scene, enum earshot_form form,
                                 earshot_text *out) {
    return earshot_check_write(scene->survey, scene->belief, scene->findings, form, out);
}

static enum earshot_status ledger(const struct scene *scene, enum earshot_form form,
                                  earshot_text *out) {
    return earshot_ledger_write(scene->survey, scene->belief, &scene->link, form, out);
}

static enum earshot_status reach(const struct scene *scene, enum earshot_form form,
                                 earshot_text *out) {
    return earshot_reach_write(scene->survey, scene->belief, scene->findings, form, out);
}

static enum earshot_status findings(const struct scene *scene, enum earshot_form form,
                                    earshot_text *out) {
    return earshot_findings_write("a house", scene->findings, form, out);
}

static enum earshot_status checked(const struct scene *scene, enum earshot_form form,
                                   earshot_text *out) {
    const earshot_checked one = {.folder = "a house",
                                 .survey = scene->survey,
                                 .belief = scene->belief,
                                 .findings = scene->findings};
    return earshot_checked_write(&one, form, out, NULL, NULL);
}

static enum earshot_status sheet(const struct scene *scene, enum earshot_form form,
                                 earshot_text *out) {
    const earshot_sheet asked = {.meter = "percent", .since = "2026"};
    return earshot_sheet_write(scene->survey, scene->belief, &asked, scene->findings,
                               form == EARSHOT_PLAIN_ALL ? EARSHOT_HTML : form, out);
}

/* A page for each reader; the customer's with what is proposed. */
static enum earshot_status page(const struct scene *scene, enum earshot_form form,
                                earshot_text *out) {
    static const earshot_bytes table = {"site.csv", "key,value\n", 10};
    earshot_post posts[8];
    const earshot_report asked = {.proposed = form == EARSHOT_PLAIN ? "as it is" : NULL,
                                  .posts = posts,
                                  .n_posts = earshot_survey_posts(scene->survey, posts, 8),
                                  .tables = &table,
                                  .n_tables = 1};
    enum earshot_audience audience = form == EARSHOT_JSON  ? EARSHOT_TECHNICIAN
                                     : form == EARSHOT_CSV ? EARSHOT_OFFICE
                                                           : EARSHOT_CUSTOMER;
    return earshot_report_write(scene->survey, scene->belief, scene->findings, audience, &asked,
                                out);
}

static enum earshot_status walls(const struct scene *scene, enum earshot_form form,
                                 earshot_text *out) {
    const earshot_loss_query query = {.low_mhz = 400, .high_mhz = 900, .step_mhz = 100};
    return earshot_loss_write(scene->survey, NULL, &query, scene->findings, form, out);
}

static enum earshot_status wall(const struct scene *scene, enum earshot_form form,
                                earshot_text *out) {
    const earshot_loss_query query = {
        .low_mhz = 868, .high_mhz = 868, .high_deg = 60, .step_deg = 5};
    return earshot_loss_write(scene->survey, "brick", &query, scene->findings, form, out);
}

static enum earshot_status looks(const struct scene *scene, enum earshot_form form,
                                 earshot_text *out) {
    static const char *const words[] = {"gray", "solid"};
    return earshot_looks_write(scene->survey, words, COUNT(words), 868.3, scene->findings, form,
                               out);
}

/* Each form another picture, and the numbers. */
static enum earshot_status draw(const struct scene *scene, enum earshot_form form,
                                earshot_text *out) {
    const earshot_plan_task task = {.height_m = NAN, .step_m = 4};
    if (form == EARSHOT_PLAIN_ALL)
        return earshot_section_write(scene->survey, scene->belief, &scene->link, NULL, 0, out);
    return earshot_plan_write(scene->survey, scene->belief, &task,
                              form == EARSHOT_PLAIN ? EARSHOT_SVG : form, out);
}

/* Of readings there are some in one of the surveys only. */
static enum earshot_status fit(const struct scene *scene, enum earshot_form form,
                               earshot_text *out) {
    (void)form;
    return earshot_fit_write(scene->survey, scene->belief, out);
}

typedef enum earshot_status (*report)(const struct scene *, enum earshot_form, earshot_text *);

/* One try; how many allocations were refused. What comes out whole must equal `want`. */
static long once(const struct scene *scene, report write, enum earshot_form form,
                 void (*begin)(long n), long n, const earshot_text *want) {
    earshot_text *out = earshot_text_new();
    cr_assert_not_null(out);
    begin(n);
    enum earshot_status status = write(scene, form, out);
    long refused = shortage_end();
    cr_expect_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK, "form %d, n %ld: %d", form,
                 n, status);
    if (!refused)
        cr_expect_str_eq(earshot_text_data(out), earshot_text_data(want));
    earshot_text_free(out);
    return refused;
}

static void in_every_form(const struct scene *scene, report write) {
    static const enum earshot_form forms[] = {EARSHOT_PLAIN, EARSHOT_PLAIN_ALL, EARSHOT_JSON,
                                              EARSHOT_CSV};
    static void (*const shortages[])(long) = {shortage_begin, shortage_once};
    for (size_t i = 0; i < COUNT(forms); i++) {
        earshot_text *want = earshot_text_new();
        cr_assert_eq(write(scene, forms[i], want), EARSHOT_OK);
        for (size_t j = 0; j < COUNT(shortages); j++) {
            long n = 0;
            while (once(scene, write, forms[i], shortages[j], n, want))
                n++;
            cr_expect_gt(n, 0, "it allocates something");
        }
        earshot_text_free(want);
    }
}

static void add_belief(struct scene *scene) {
    cr_assert_eq(earshot_belief_prior(scene->survey, &scene->belief), EARSHOT_OK);
    cr_assert_geq(earshot_survey_links(scene->survey, &scene->link, 1), 1);
}

static void close_scene(struct scene *scene) {
    earshot_belief_free(scene->belief);
    earshot_survey_free(scene->survey);
    earshot_findings_free(scene->findings);
}

Test(memory, reports_on_a_survey) {
    static const char *const surveys[] = {"surveys/paper", "surveys/demo"};
    static const report reports[] = {check, ledger, findings, checked, sheet,
                                     walls, wall,   looks,    draw,    page};
    for (size_t s = 0; s < COUNT(surveys); s++) {
        struct scene scene = {.findings = earshot_findings_new()};
        folder tables = folder_read(surveys[s]);
        cr_assert_eq(
            earshot_survey_load(tables.tables, tables.n, scene.findings, &scene.survey),
            EARSHOT_OK);
        add_belief(&scene);
        for (size_t i = 0; i < COUNT(reports); i++)
            in_every_form(&scene, reports[i]);
        if (strcmp(surveys[s], "surveys/demo") == 0)
            in_every_form(&scene, fit);
        close_scene(&scene);
        folder_free(&tables);
    }
}

Test(memory, reports_on_words) {
    static const char *const words[] = {"30m", "brick", "foil", "floor", "?"};
    const earshot_reach what = {.words = words, .n_words = 5, .heard = 8, .trips = 10};
    struct scene scene = {.findings = earshot_findings_new()};
    cr_assert_eq(earshot_survey_new(&what, NULL, 0, scene.findings, &scene.survey), EARSHOT_OK);
    add_belief(&scene);
    in_every_form(&scene, reach);
    close_scene(&scene);
}
