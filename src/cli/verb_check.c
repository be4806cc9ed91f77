/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_check.c - earshot check SURVEY: which zones hold, which don't, and why.
 */
#include <stdio.h>
#include <stdlib.h>

#include "cli.h"

enum { ALL, LINK, WITHOUT, JSON, CSV, STRICT, ALL_FAULTS, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [ALL] = {"--all", NULL, "the whole table, and all notes"},
    [LINK] = {"--link", "DEVICE[:LISTENER]",
              "where the signal goes on one link; a name, a zone or a label"},
    [WITHOUT] = {"--without-readings", NULL, "as if there were no readings.csv and no log"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each link, for a spreadsheet"},
    [STRICT] = {"--strict", NULL, "end with 1 when a zone is not firm"},
    [ALL_FAULTS] = {"--all-faults", NULL, "every fault of the tables, not the first five"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], words->option[ALL]);
}

/* ---- --link ---- */

static enum cli_exit write_link(cli_opened *run) {
    earshot_link link;
    enum cli_exit result = cli_find_link(&cli_verb_check, run, run->words->option[LINK], &link);
    if (result != CLI_DONE)
        return result;
    return cli_status(
        earshot_ledger_write(run->survey, run->belief, &link, form_of(run->words), run->text));
}

/* ---- the whole survey ---- */

static enum cli_exit strictly(const cli_opened *run) {
    size_t most = earshot_survey_devices(run->survey), n = 0;
    earshot_zone *zones = calloc(most + 1, sizeof *zones);
    if (!zones)
        return cli_status(EARSHOT_NO_MEMORY);
    enum earshot_status status = earshot_zones_judge(run->survey, run->belief, zones, most, &n);
    enum cli_exit result = cli_status(status);
    for (size_t i = 0; result == CLI_DONE && i < n; i++)
        if (zones[i].prediction.verdict != EARSHOT_FIRM)
            result = CLI_NOT_FIRM;
    free(zones);
    return result;
}

static enum cli_exit answer(cli_opened *run) {
    const cli_words *words = run->words;
    enum cli_exit result =
        cli_status(earshot_survey_doubts(run->survey, run->belief, run->findings));
    if (result == CLI_DONE && words->option[LINK])
        result = write_link(run);
    else if (result == CLI_DONE)
        result = cli_status(earshot_check_write(run->survey, run->belief, run->findings,
                                                form_of(words), run->text));
    if (result == CLI_DONE)
        result = cli_answer(words->option[OUT], run->text);
    if (result == CLI_DONE && words->option[STRICT])
        result = strictly(run);
    return result;
}

static enum cli_exit run_check(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words),
                             .all_faults = words->option[ALL_FAULTS],
                             .without_readings = words->option[WITHOUT]};
    return cli_open_survey(&cli_verb_check, words, &how, answer);
}

const cli_verb cli_verb_check = {
    .name = "check",
    .summary = "Says which zones of a survey hold, which don't, and why.",
    .about =
        "SURVEY is a folder of CSV files. The answer is one sentence, then a line for each "
        "zone that is not firm, life safety first: the likeliest cause and the cheapest "
        "thing to try. A mistake in the tables is told with its file, line and column, and "
        "how to mend it; there are no margins until then. What readings.csv says counts, for "
        "zones that were never read too.",
    .usage = "SURVEY [options]",
    .example = "earshot check surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_check};
