/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_drift.c - earshot drift SURVEY: what changed between visits.
 */
#include "cli.h"

enum { FROM, TO, ALL, JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [FROM] = {"--from", "VISIT", "the visit to compare with (the first that is usable)"},
    [TO] = {"--to", "VISIT", "the visit that is compared (the last that is usable)"},
    [ALL] = {"--all", NULL, "also the links that did not change"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each link read on both visits, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], words->option[ALL]);
}

/* The visit that an option names; NONE where it is not given. False: there is none so called.
 */
static bool find_visit(const cli_opened *opened, int option, size_t *visit) {
    const char *name = opened->words->option[option];
    *visit = EARSHOT_NONE;
    if (!name)
        return true;
    *visit = earshot_survey_find_visit(opened->survey, name);
    if (*visit < earshot_survey_visits(opened->survey))
        return true;
    cli_misuse(&cli_verb_drift, name, "is no visit of readings.csv");
    return false;
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    size_t from, to;
    if (!find_visit(opened, FROM, &from) || !find_visit(opened, TO, &to))
        return CLI_MISUSE;
    enum earshot_status status =
        earshot_drift_write(opened->survey, opened->belief, opened->findings, from, to,
                            form_of(words), opened->text);
    return cli_give(status, form_of(words), words->option[OUT], opened->text);
}

static enum cli_exit run_drift(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words)};
    return cli_open_survey(&cli_verb_drift, words, &how, answer);
}

const cli_verb cli_verb_drift = {
    .name = "drift",
    .summary = "Says what changed between two visits, and which zone goes thin first.",
    .about =
        "What all links changed alike is one change, of a receiver or a meter; so is what all "
        "from one room, of one radio or type did; what one link changed beyond that is its "
        "own. "
        "Each is held against what two visits differ by "
        "where nothing changed. Visits on which something else was on the air are named and "
        "left out. With three dated visits or more it says which zone goes thin first.",
    .usage = "SURVEY [options]",
    .example = "earshot drift surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_drift};
