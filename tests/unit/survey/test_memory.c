/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_memory.c - every allocation fails once: no crash, no leak, no half survey.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "shortage.h"

#include <criterion/criterion.h>

/* Each call starts with memory for n allocations; n grows until the whole job gets through. */
static bool job(const folder *tables, long n) {
    earshot_findings *findings = earshot_findings_new();
    earshot_text *text = earshot_text_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    cr_assert(findings && text);
    shortage_begin(n);
    enum earshot_status status =
        earshot_survey_load(tables->tables, tables->n, findings, &survey);
    if (status == EARSHOT_OK)
        status = earshot_belief_prior(survey, &belief);
    if (status == EARSHOT_OK)
        status = earshot_survey_doubts(survey, belief, findings);
    if (status == EARSHOT_OK)
        status = earshot_check_write(survey, belief, findings, EARSHOT_PLAIN_ALL, text);
    if (status == EARSHOT_OK)
        status = earshot_check_write(survey, belief, findings, EARSHOT_JSON, text);
    earshot_link link;
    if (status == EARSHOT_OK && earshot_survey_links(survey, &link, 1))
        status = earshot_ledger_write(survey, belief, &link, EARSHOT_PLAIN, text);
    long refused = shortage_end();
    cr_expect(status == EARSHOT_OK || status == EARSHOT_NO_MEMORY, "%ld: %d", n, status);
    cr_expect(refused == 0 || status == EARSHOT_NO_MEMORY, "%ld: %ld refused, and yet done", n,
              refused);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_text_free(text);
    earshot_findings_free(findings);
    return refused == 0;
}

/* The same for one link from words. */
static bool reach(long n) {
    static const char *const words[] = {"12m", "brick", "timber", "floor"};
    const earshot_reach what = {
        .words = words, .n_words = 4, .rated_range = "300m", .heard = 8, .trips = 10};
    earshot_findings *findings = earshot_findings_new();
    earshot_text *text = earshot_text_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    cr_assert(findings && text);
    shortage_begin(n);
    enum earshot_status status = earshot_survey_new(&what, NULL, 0, findings, &survey);
    if (status == EARSHOT_OK)
        status = earshot_belief_prior(survey, &belief);
    if (status == EARSHOT_OK)
        status = earshot_reach_write(survey, belief, findings, EARSHOT_PLAIN, text);
    long refused = shortage_end();
    cr_expect_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK, "%ld: %d", n, status);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_text_free(text);
    earshot_findings_free(findings);
    return refused == 0;
}

Test(memory, every_allocation_of_a_reach_fails_once) {
    long n = 0;
    while (!reach(n))
        n += n < 200 ? 1 : 7;
    cr_expect_gt(n, 50);
}

Test(memory, every_allocation_fails_once) {
    folder tables = folder_read("surveys/paper");
    folder_put(&tables, "columns.csv",
               "file,their_column,our_column,unit_or_scale,value,their_value\n"
               "l*.csv,Day,time,,,\nl*.csv,At,time,,,\nl*.csv,Who,device,,,\n"
               "l*.csv,V,reading,dBuV,,\nl*.csv,V,reading,,none,-\nl*.csv,OK,heard,,,\n");
    folder_put(&tables, "log.csv",
               "Ger\xE4t\nDay,At,Who,V,OK\n1,2,door,40,3/3\n1,2,x,40,\n1,3,door,-,a\"b\n");
    long n = 0, step = 1;
    while (!job(&tables, n)) {
        n += step;
        step = n < 200 ? 1
                       : 7; /* a prime, so that no kind of allocation is passed over for good */
    }
    cr_expect_gt(n, 50);
    folder_free(&tables);
}
