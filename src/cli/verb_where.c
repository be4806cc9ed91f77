/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_where.c - earshot where SURVEY: the cheapest mends, and where a receiver or repeaters
 * would stand best.
 */
#include "cli.h"

enum { JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each arrangement, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], NULL);
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    enum earshot_status status = earshot_where_write(
        opened->survey, opened->belief, opened->findings, form_of(words), opened->text);
    return status == EARSHOT_OK ? cli_answer(words->option[OUT], opened->text)
                                : cli_status(status);
}

static enum cli_exit run_where(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words)};
    return cli_open_survey(&cli_verb_where, words, &how, answer);
}

const cli_verb cli_verb_where = {
    .name = "where",
    .summary =
        "Says what mends each weak zone cheapest, and where a receiver or repeater helps.",
    .about =
        "For each zone that is not firm the mends in rising cost, what each gives back, and "
        "the reading that proves it; then the receiver at each spot of spots.csv, best first; "
        "then the best of one, two and three repeaters at these spots. Everything is worked "
        "out on draws of all that is not known, both hops of a repeater together.",
    .usage = "SURVEY [options]",
    .example = "earshot where surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_where};
