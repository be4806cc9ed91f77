/* SPDX-License-Identifier: GPL-3.0-or-later */
/* host.c - every report in every form; see host.h. No stdio, so that it runs as WebAssembly
 * too: folder.c has what does.
 */
#include "host.h"

#include <stdlib.h>

static const enum earshot_form forms[] = {EARSHOT_PLAIN, EARSHOT_PLAIN_ALL, EARSHOT_JSON,
                                          EARSHOT_CSV};
enum { N_FORMS = sizeof forms / sizeof forms[0] };

static void expect_ok(enum earshot_status status, const char *call) {
    host_expect(status == EARSHOT_OK, call);
}

/* ---- a survey ---- */

host_survey host_load(const host_folder *folder) {
    host_survey loaded = {.findings = earshot_findings_new()};
    host_expect(loaded.findings, "memory ran out");
    expect_ok(
        earshot_survey_load(folder->tables, folder->n_tables, loaded.findings, &loaded.survey),
        "survey_load");
    expect_ok(earshot_belief_fit(loaded.survey, NULL, NULL, loaded.findings, &loaded.belief),
              "belief_fit");
    expect_ok(earshot_survey_doubts(loaded.survey, loaded.belief, loaded.findings),
              "survey_doubts");
    return loaded;
}

void host_free(host_survey *loaded) {
    earshot_belief_free(loaded->belief);
    earshot_survey_free(loaded->survey);
    earshot_findings_free(loaded->findings);
}

static void write_ledgers(const host_survey *loaded, enum earshot_form form,
                          earshot_text *out) {
    size_t n = earshot_survey_links(loaded->survey, NULL, 0);
    earshot_link *links = calloc(n + 1, sizeof *links);
    host_expect(links, "memory ran out");
    earshot_survey_links(loaded->survey, links, n);
    for (size_t i = 0; i < n; i++)
        expect_ok(earshot_ledger_write(loaded->survey, loaded->belief, &links[i], form, out),
                  "ledger_write");
    free(links);
}

static void write_odd(const earshot_survey *survey, enum earshot_form form, earshot_text *out) {
    earshot_findings *findings = earshot_findings_new();
    host_expect(findings, "memory ran out");
    expect_ok(earshot_survey_odd(survey, findings), "survey_odd");
    expect_ok(earshot_odd_write(survey, findings, form, out), "odd_write");
    earshot_findings_free(findings);
}

void host_write_survey(const host_survey *loaded, earshot_text *out) {
    for (size_t i = 0; i < N_FORMS; i++) {
        expect_ok(earshot_check_write(loaded->survey, loaded->belief, loaded->findings,
                                      forms[i], out),
                  "check_write");
        const earshot_checked checked = {"a house", loaded->survey, loaded->belief,
                                         loaded->findings, NULL};
        expect_ok(earshot_checked_write(&checked, forms[i], out, NULL, NULL), "checked_write");
        write_ledgers(loaded, forms[i], out);
        write_odd(loaded->survey, forms[i], out);
        expect_ok(earshot_recalibrate_write(loaded->survey, loaded->belief, loaded->findings,
                                            forms[i], out),
                  "recalibrate_write");
        expect_ok(earshot_final_write(loaded->survey, loaded->belief, loaded->findings,
                                      forms[i], out),
                  "final_write");
        expect_ok(earshot_next_write(loaded->survey, loaded->belief, loaded->findings, 3, NULL,
                                     forms[i], out),
                  "next_write");
        if (earshot_survey_spots(loaded->survey) == 0) /* with them it takes seconds a form */
            expect_ok(earshot_where_write(loaded->survey, loaded->belief, loaded->findings,
                                          &(const earshot_where){.watch = NULL}, forms[i], out),
                      "where_write");
        expect_ok(earshot_drift_write(loaded->survey, loaded->belief, loaded->findings,
                                      EARSHOT_NONE, EARSHOT_NONE, forms[i], out),
                  "drift_write");
    }
}

/* ---- words ---- */

/* One link in words: its report, or what is wrong with the words. */
static void write_reach(const earshot_reach *reach, earshot_text *out) {
    host_survey loaded = {.findings = earshot_findings_new()};
    host_expect(loaded.findings, "memory ran out");
    enum earshot_status status =
        earshot_survey_new(reach, NULL, 0, loaded.findings, &loaded.survey);
    if (status == EARSHOT_OK)
        expect_ok(earshot_belief_prior(loaded.survey, &loaded.belief), "belief_prior");
    for (size_t i = 0; i < N_FORMS; i++)
        expect_ok(status == EARSHOT_OK
                      ? earshot_reach_write(loaded.survey, loaded.belief, loaded.findings,
                                            forms[i], out)
                      : earshot_findings_write("words", loaded.findings, forms[i], out),
                  "reach_write or findings_write");
    host_free(&loaded);
}

static void write_losses(earshot_text *out) {
    static const char *const looks[] = {"hollow", "WHITE", "magnet"};
    const earshot_loss_query one = {.low_mhz = 868.3, .high_mhz = 868.3};
    const earshot_loss_query range = {.low_mhz = 300, .high_mhz = 930, .step_mhz = 10.5};
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *materials = NULL;
    host_expect(findings, "memory ran out");
    expect_ok(earshot_materials_load(NULL, 0, findings, &materials), "materials_load");
    for (size_t i = 0; i < N_FORMS; i++) {
        expect_ok(earshot_loss_write(materials, NULL, &one, findings, forms[i], out),
                  "loss_write of all");
        expect_ok(earshot_loss_write(materials, "brick",
                                     forms[i] < EARSHOT_JSON ? &one : &range, findings,
                                     forms[i], out),
                  "loss_write of one");
        expect_ok(earshot_looks_write(materials, looks, sizeof looks / sizeof looks[0], 868.3,
                                      findings, forms[i], out),
                  "looks_write");
    }
    earshot_survey_free(materials);
    earshot_findings_free(findings);
}

/* The tables of a survey to be filled, and what may stand in tables. */
static void write_draft(earshot_text *out) {
    const earshot_draft_zone zone = {.device = "hall", .type = "smoke", .length = "12.5"};
    const earshot_draft draft = {.length_unit = "in", .zones = &zone, .n_zones = 1};
    const char *name;
    for (size_t i = 0; earshot_draft_write(&draft, i, &name, out) == EARSHOT_OK; i++)
        host_expect(name[0], "draft_write");
    expect_ok(earshot_columns_write(NULL, out), "columns_write");
}

static void write_manual(earshot_text *out) {
    earshot_manual entry;
    for (size_t i = 0; earshot_manual_at(i, &entry); i++)
        expect_ok(earshot_manual_write(entry.code, out), "manual_write");
}

void host_write_words(earshot_text *out) {
    static const char *const good[] = {"12.5m", "BRICK", "2", "stud", "timber", "floor"};
    static const char *const bad[] = {"12,5m", "BRIICK", "floor"};
    const earshot_reach reaches[] = {
        {.words = good, .n_words = sizeof good / sizeof good[0], .heard = 8, .trips = 10},
        {.words = good, .n_words = 2, .rated_range = "500.5m", .band_mhz = 433.92},
        {.words = bad, .n_words = sizeof bad / sizeof bad[0]},
    };
    for (size_t i = 0; i < sizeof reaches / sizeof reaches[0]; i++)
        write_reach(&reaches[i], out);
    write_losses(out);
    write_draft(out);
    write_manual(out);
}
