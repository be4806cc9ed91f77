/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_survey.c - any bytes at all as a folder of tables, and everything that is done with it.
 *
 * The bytes are tables one after another, each behind a line "@name.csv"; a folder without
 * devices is one of materials. What loads must be judged: every ledger adds up to its loss,
 * every chance is a chance, every report gets written. A breach aborts.
 */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "must.h"
#include "reports.h"
#include "text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum {
    MOST_TABLES = 24,
    MOST_PARTS = 256,
    MOST_LINKS = 400,
    MOST_LEDGERS = 3, /* written out; all of them are added up */
    MOST_BYTES = 1 << 16
};

/* ---- bytes to tables ---- */

/* Each name and each table in memory of its own size, so that reading past its end is caught.
 */
struct folder {
    earshot_bytes tables[MOST_TABLES];
    size_t n;
};

static void *copy(const void *bytes, size_t size, size_t room) {
    void *copied = calloc(room, 1);
    must(copied != NULL);
    memcpy(copied, bytes, size);
    return copied;
}

static size_t until_next(const char *body, const char *end) {
    const char *stop = body;
    while (stop < end && !(*stop == '@' && stop[-1] == '\n')) {
        stop++;
    }
    return (size_t)(stop - body);
}

static void split(const char *at, const char *end, struct folder *folder) {
    while (at < end && *at == '@' && folder->n < MOST_TABLES) {
        const char *line_end = memchr(at, '\n', (size_t)(end - at));
        if (!line_end) {
            return;
        }
        size_t name_size = (size_t)(line_end - at), size = until_next(line_end + 1, end);
        folder->tables[folder->n++] =
            (earshot_bytes){.name = copy(at + 1, name_size - 1, name_size),
                            .data = copy(line_end + 1, size, size > 0 ? size : 1),
                            .size = size};
        at = line_end + 1 + size;
    }
}

static void release(struct folder *folder) {
    for (size_t i = 0; i < folder->n; i++) {
        free((void *)folder->tables[i].name);
        free((void *)folder->tables[i].data);
    }
}

static bool has_devices(const struct folder *folder) {
    for (size_t i = 0; i < folder->n; i++) {
        if (strcmp(folder->tables[i].name, "devices.csv") == 0) {
            return true;
        }
    }
    return false;
}

/* ---- one link ---- */

static void check_chance(const earshot_prediction *prediction) {
    must(isnan(prediction->chance) || (prediction->chance >= 0 && prediction->chance <= 1));
    must(isnan(prediction->chance) == isnan(prediction->spare_db));
    must(!(prediction->margin_sd_db < 0));
}

static void check_link(const earshot_survey *survey, const earshot_belief *belief,
                       const earshot_link *link) {
    static earshot_part parts[MOST_PARTS];
    earshot_prediction prediction, again;
    size_t n_parts;
    double sum_db = 0;
    must(earshot_link_ledger(survey, belief, link, parts, MOST_PARTS, &n_parts, &prediction) ==
         EARSHOT_OK);
    check_chance(&prediction);
    for (size_t i = 0; i < n_parts && i < MOST_PARTS; i++) {
        must(isfinite(parts[i].loss_db) && parts[i].sd_db >= 0);
        must(parts[i].name && parts[i].source);
        sum_db += parts[i].loss_db;
    }
    if (n_parts && n_parts <= MOST_PARTS) {
        must(fabs(sum_db - prediction.loss_db) < 1e-9);
    }
    must(earshot_links_predict(survey, belief, link, 1, &again) == EARSHOT_OK);
    must(again.verdict == prediction.verdict && again.notes == prediction.notes);
    must(isnan(again.loss_db) ? n_parts == 0 : again.loss_db == prediction.loss_db);
}

static void check_trips(const earshot_survey *survey, const earshot_belief *belief,
                        const earshot_link *link) {
    static const struct {
        unsigned heard, trips;
    } counts[] = {{0, 0}, {0, 10}, {9, 10}, {1000, 1000}};
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        earshot_prediction prediction;
        must(earshot_link_heard(survey, belief, link, counts[i].heard, counts[i].trips,
                                &prediction) == EARSHOT_OK);
        check_chance(&prediction);
    }
}

static void write_ledgers(const earshot_survey *survey, const earshot_belief *belief,
                          const earshot_link *link) {
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_CSV; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(earshot_ledger_write(survey, belief, link, (enum earshot_form)form, text),
                      (enum earshot_form)form, text);
    }
}

static void check_links(const earshot_survey *survey, const earshot_belief *belief) {
    static earshot_link links[MOST_LINKS];
    size_t n = earshot_survey_links(survey, links, MOST_LINKS);
    for (size_t i = 0; i < n && i < MOST_LINKS; i++) {
        check_link(survey, belief, &links[i]);
        if (i < MOST_LEDGERS) {
            check_trips(survey, belief, &links[i]);
            write_ledgers(survey, belief, &links[i]);
        }
    }
}

/* ---- the whole ---- */

static void write_checks(const earshot_survey *survey, const earshot_belief *belief,
                         const earshot_findings *findings) {
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_CSV; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(
            earshot_check_write(survey, belief, findings, (enum earshot_form)form, text),
            (enum earshot_form)form, text);
        text = earshot_text_new();
        must(text != NULL);
        reports_check(
            earshot_recalibrate_write(survey, belief, findings, (enum earshot_form)form, text),
            (enum earshot_form)form, text);
        text = earshot_text_new();
        must(text != NULL);
        reports_check(
            earshot_final_write(survey, belief, findings, (enum earshot_form)form, text),
            (enum earshot_form)form, text);
        text = earshot_text_new();
        must(text != NULL);
        reports_check(earshot_next_write(survey, belief, findings, 3, NULL,
                                         (enum earshot_form)form, text),
                      (enum earshot_form)form, text);
        text = earshot_text_new();
        must(text != NULL);
        reports_check(earshot_drift_write(survey, belief, findings, EARSHOT_NONE, EARSHOT_NONE,
                                          (enum earshot_form)form, text),
                      (enum earshot_form)form, text);
    }
}

static void write_sheets(const earshot_survey *survey, const earshot_belief *belief,
                         const earshot_findings *findings) {
    static const earshot_sheet asked = {.since = "2026-03"};
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_HTML; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(earshot_sheet_write(survey, belief, &asked, findings,
                                          (enum earshot_form)form, text),
                      (enum earshot_form)form, text);
    }
}

/* Draws take their time, so of small surveys only. */
static void write_places(const earshot_survey *survey, const earshot_belief *belief,
                         const earshot_findings *findings) {
    enum { MOST_ZONES = 3, MOST_SPOTS = 2, MOST_LISTENERS = 3 };
    const earshot_where full = {.repeaters = true}, anywhere = {.anywhere = true};
    if (earshot_survey_zones(survey) > MOST_ZONES ||
        earshot_survey_spots(survey) > MOST_SPOTS ||
        earshot_survey_posts(survey, NULL, 0) > MOST_LISTENERS)
        return;
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_CSV; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(earshot_where_write(survey, belief, findings,
                                          form == EARSHOT_PLAIN_ALL ? &anywhere : &full,
                                          (enum earshot_form)form, text),
                      (enum earshot_form)form, text);
        text = earshot_text_new();
        must(text != NULL);
        reports_check(
            earshot_quote_write(survey, belief, findings, &full, (enum earshot_form)form, text),
            (enum earshot_form)form, text);
    }
}

/* A picture is XML: what came from outside stands in it escaped, and nothing opens that is not
 * ours. What numbers say, a plan of any size can. */
static void check_picture(enum earshot_status status, earshot_text *text) {
    const char *data = earshot_text_data(text), *at = data;
    must(status == EARSHOT_OK &&
         text_utf8_valid(data, earshot_text_size(text)) == earshot_text_size(text));
    for (size_t i = 0; i < earshot_text_size(text); i++)
        must((unsigned char)data[i] >= ' ' || data[i] == '\n');
    must(strstr(data, "<svg xmlns=") && strstr(data, "</svg>\n"));
    while ((at = strchr(at, '<')) != NULL) {
        static const char *const ours[] = {
            "?xml ", "!DOCTYPE ", "svg ",    "/svg>",    "rect ",  "path ",  "/path>",
            "text ", "/text>",    "circle ", "/circle>", "title>", "/title>"};
        size_t i = 0;
        for (at++;
             i < sizeof ours / sizeof *ours && strncmp(at, ours[i], strlen(ours[i])) != 0;)
            i++;
        must(i < sizeof ours / sizeof *ours);
    }
    must(!strstr(data, "nan") && !strstr(data, "=\"null"));
    earshot_text_free(text);
}

static void draw_plan(const earshot_survey *survey, const earshot_belief *belief) {
    const earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN, .step_m = 100};
    for (int form = EARSHOT_JSON; form <= EARSHOT_SVG; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        enum earshot_status status =
            earshot_plan_write(survey, belief, &task, (enum earshot_form)form, text);
        if (form == EARSHOT_JSON || form == EARSHOT_CSV)
            reports_check(status, (enum earshot_form)form, text);
        else
            check_picture(status, text);
    }
}

static void draw_links(const earshot_survey *survey, const earshot_belief *belief) {
    static earshot_link links[MOST_LINKS];
    size_t n = earshot_survey_links(survey, links, MOST_LINKS);
    for (size_t i = 0; i < n && i < MOST_LEDGERS; i++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        check_picture(earshot_section_write(survey, belief, &links[i], NULL, 0, text), text);
    }
}

static void draw_pictures(const earshot_survey *survey, const earshot_belief *belief) {
    earshot_text *text = earshot_text_new();
    must(text != NULL);
    if (earshot_survey_has_plan(survey))
        draw_plan(survey, belief);
    draw_links(survey, belief);
    enum earshot_status status = earshot_fit_write(survey, belief, text);
    if (status == EARSHOT_MISUSE)
        earshot_text_free(text);
    else
        check_picture(status, text);
}

static void write_pages(const earshot_survey *survey, const earshot_belief *belief,
                        const earshot_findings *findings) {
    static const earshot_bytes table = {"site.csv", "key,value\n", 10};
    const earshot_plan_task plan = {.level = EARSHOT_NONE, .height_m = NAN, .step_m = 100};
    const earshot_report asked = {
        .date = "a\xFFz<", .serials = true, .plan = &plan, .tables = &table, .n_tables = 1};
    for (int audience = EARSHOT_CUSTOMER; audience <= EARSHOT_OFFICE; audience++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(earshot_report_write(survey, belief, findings,
                                           (enum earshot_audience)audience, &asked, text),
                      EARSHOT_HTML, text);
    }
}

static void write_losses(const earshot_survey *survey, earshot_findings *findings) {
    static const earshot_loss_query query = {868.3, 868.3, 0, 0, 60, 60, EARSHOT_BOTH};
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_CSV; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(
            earshot_loss_write(survey, NULL, &query, findings, (enum earshot_form)form, text),
            (enum earshot_form)form, text);
    }
}

static void write_faults(const earshot_findings *findings) {
    for (int form = EARSHOT_JSON; form <= EARSHOT_CSV; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(earshot_findings_write("a\xFFz", findings, (enum earshot_form)form, text),
                      (enum earshot_form)form, text);
    }
}

static void check_survey(const earshot_survey *survey, earshot_findings *findings) {
    earshot_belief *belief = NULL;
    must(earshot_belief_fit(survey, NULL, NULL, findings, &belief) == EARSHOT_OK);
    must(earshot_survey_doubts(survey, belief, findings) == EARSHOT_OK);
    must(earshot_findings_errors(findings) == 0);
    check_links(survey, belief);
    write_checks(survey, belief, findings);
    write_sheets(survey, belief, findings);
    write_places(survey, belief, findings);
    draw_pictures(survey, belief);
    write_pages(survey, belief, findings);
    earshot_belief_free(belief);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    struct folder folder = {.n = 0};
    if (size == 0 || size > MOST_BYTES) {
        return 0;
    }
    split((const char *)data, (const char *)data + size, &folder);
    bool whole = has_devices(&folder);
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    must(findings != NULL);
    enum earshot_status status = (whole ? earshot_survey_load : earshot_materials_load)(
        folder.tables, folder.n, findings, &survey);
    release(&folder);
    must(status == EARSHOT_OK || status == EARSHOT_INVALID);
    must((status == EARSHOT_OK) == (survey != NULL));
    must((status == EARSHOT_OK) == (earshot_findings_errors(findings) == 0));
    if (survey && whole) {
        check_survey(survey, findings);
    } else if (survey) {
        write_losses(survey, findings);
    }
    write_faults(findings);
    reports_check_findings(findings);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return 0;
}
