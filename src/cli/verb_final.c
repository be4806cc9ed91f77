/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_final.c - earshot final SURVEY: which zones still want their final test.
 */
#include "cli.h"

enum { ALL, JSON, CSV, STRICT, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [ALL] = {"--all", NULL, "also the zones that have passed"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each zone, for a spreadsheet"},
    [STRICT] = {"--strict", NULL, "end with 1 when a zone has not passed"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], words->option[ALL]);
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    enum earshot_status status = earshot_final_write(
        opened->survey, opened->belief, opened->findings, form_of(words), opened->text);
    size_t n_left = 0;
    if (status == EARSHOT_OK && words->option[STRICT])
        status = earshot_final_left(opened->survey, opened->belief, &n_left);
    enum cli_exit result = cli_give(status, form_of(words), words->option[OUT], opened->text);
    return result == CLI_DONE && n_left ? CLI_NOT_FIRM : result;
}

static enum cli_exit run_final(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words)};
    return cli_open_survey(&cli_verb_final, words, &how, answer);
}

const cli_verb cli_verb_final = {
    .name = "final",
    .summary = "Says which zones of a survey still want their final test.",
    .about = "The final test is of the device on its final fixing, cover on, doors shut: at "
             "least three trips on its last visit, rows of readings.csv that are placed in "
             "place, all heard, the lowest level used. Rows with a pad_db tell whether it is "
             "heard with so much less. A zone without such rows stays predicted, and comes "
             "first, life safety before the rest.",
    .usage = "SURVEY [options]",
    .example = "earshot final surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_final};
