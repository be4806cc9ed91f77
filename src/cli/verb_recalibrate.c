/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_recalibrate.c - earshot recalibrate SURVEY: what readings made of the tables.
 */
#include "cli.h"

enum { ALL, JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [ALL] = {"--all", NULL, "also what hardly moved"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each thing that can be learned, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], words->option[ALL]);
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    enum earshot_status status = earshot_recalibrate_write(
        opened->survey, opened->belief, opened->findings, form_of(words), opened->text);
    return cli_give(status, form_of(words), words->option[OUT], opened->text);
}

static enum cli_exit run_recalibrate(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words)};
    return cli_open_survey(&cli_verb_recalibrate, words, &how, answer);
}

const cli_verb cli_verb_recalibrate = {
    .name = "recalibrate",
    .summary = "Says what the readings of a survey made of its tables.",
    .about =
        "What was corrected, from what to what; what the readings could not tell; what "
        "they tell only together; how well all of it fits, also where a reading or a "
        "listener is left out; and which readings are surprising. Nothing is stored: "
        "readings.csv, and the logs that columns.csv names, are merged anew each time, here "
        "and in check.",
    .usage = "SURVEY [options]",
    .example = "earshot recalibrate surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_recalibrate};
