/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_report.c - earshot report SURVEY --for WHOM: the page that is handed over.
 */
#include <math.h>
#include <string.h>

#include "cli.h"

enum { FOR, WITH, DATE, SERIALS, WITHOUT_TABLES, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [FOR] = {"--for", "customer|technician|office", "who reads it"},
    [WITH] = CLI_WITH,
    [DATE] = {"--date", "DATE", "printed as it is; default: a line to fill in"},
    [SERIALS] = {"--serials", NULL, "technician: serials in full, not masked"},
    [WITHOUT_TABLES] = {"--without-tables", NULL, "technician: carry no tables"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

/* False: it is none of them. */
static bool audience_of(const char *word, enum earshot_audience *audience) {
    static const char *const words[] = {[EARSHOT_CUSTOMER] = "customer",
                                        [EARSHOT_TECHNICIAN] = "technician",
                                        [EARSHOT_OFFICE] = "office"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(word, words[i]) == 0) {
            *audience = (enum earshot_audience)i;
            return true;
        }
    return false;
}

static enum earshot_status write_page(cli_opened *opened, earshot_report *report) {
    const enum earshot_audience *audience = opened->with;
    cli_progress progress;
    enum earshot_status status =
        earshot_survey_doubts(opened->survey, opened->belief, opened->findings);
    if (status != EARSHOT_OK)
        return status;
    cli_progress_begin("writing the report", &progress);
    report->watch = &progress.watch;
    status = earshot_report_write(opened->survey, opened->belief, opened->findings, *audience,
                                  report, opened->text);
    cli_progress_end(&progress);
    return status;
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    earshot_report report = {.date = words->option[DATE],
                             .serials = words->option[SERIALS] != NULL};
    cli_arrangement then;
    earshot_plan_task plan = {.level = EARSHOT_NONE, .height_m = NAN};
    report.plan = &plan;
    if (!words->option[WITHOUT_TABLES]) {
        report.tables = opened->folder.tables;
        report.n_tables = opened->folder.n_tables;
    }
    if (words->option[WITH]) {
        enum cli_exit arranged =
            cli_arrange(&cli_verb_report, opened->survey, words->option[WITH], &then);
        if (arranged != CLI_DONE)
            return arranged;
        report.proposed = then.name;
        report.posts = then.posts;
        report.n_posts = then.n_posts;
        plan.posts = then.posts;
        plan.n_posts = then.n_posts;
        plan.posts_name = then.name;
    }
    enum earshot_status status = write_page(opened, &report);
    return cli_give(status, EARSHOT_HTML, words->option[OUT], opened->text);
}

static enum cli_exit run_report(const cli_words *words) {
    enum earshot_audience audience;
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = EARSHOT_HTML,
                             .with = &audience};
    if (!words->option[FOR])
        return cli_misuse(&cli_verb_report, NULL,
                          "say for whom: --for customer, --for technician or --for office");
    if (!audience_of(words->option[FOR], &audience))
        return cli_misuse(&cli_verb_report, words->option[FOR],
                          "is nobody this is for; write customer, technician or office");
    return cli_open_survey(&cli_verb_report, words, &how, answer);
}

const cli_verb cli_verb_report = {
    .name = "report",
    .summary = "Writes the page to hand over: for the customer, the technician or the office.",
    .about =
        "One HTML file (--out report.html) for a screen, a phone, A4 or Letter, without script "
        "or network. The customer's is one page: rooms with marks, what was tested and how, "
        "what a repeater would buy (--with), what spoils it and whom to call; no decibels, no "
        "serials, no zone by name. The technician's has the plan, the zone schedule, the log, "
        "decisions "
        "and what to read next, and carries the survey's tables: earshot new DIR --from FILE "
        "gets a lost folder back. The office's names the source of every row that was used, "
        "what was assumed, how well readings fit and what drifted. site.csv has keys for "
        "company, phone, technician, competence, meter and decisions.",
    .usage = "SURVEY --for WHOM [options]",
    .example = "earshot report surveys/demo --for customer --with repeater=kitchen-top",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_report};
