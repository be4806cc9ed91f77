/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_where.c - earshot where SURVEY: the cheapest mends, and where a receiver or repeaters
 * would stand best.
 */
#include "cli.h"

enum { REPEATERS, ANYWHERE, QUOTE, JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [REPEATERS] = {"--repeaters", NULL,
                   "repeaters in full, with the receiver moved too; no mends"},
    [ANYWHERE] = {"--anywhere", NULL,
                  "places on a grid, indoors, near a wall, off metal; not spots.csv"},
    [QUOTE] = {"--quote", NULL, "before the job: how many repeaters to price, what to ask"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each arrangement, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], NULL);
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    cli_progress progress;
    cli_progress_begin("trying places", &progress);
    const earshot_where what = {.anywhere = words->option[ANYWHERE] != NULL,
                                .repeaters = words->option[REPEATERS] != NULL,
                                .watch = &progress.watch};
    enum earshot_status status = (words->option[QUOTE] ? earshot_quote_write
                                                       : earshot_where_write)(
        opened->survey, opened->belief, opened->findings, &what, form_of(words), opened->text);
    cli_progress_end(&progress);
    return cli_compared(&cli_verb_where, status, form_of(words), words->option[OUT],
                        opened->text);
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
        "then the fewest repeaters at these spots. With --quote how many repeaters to price, "
        "and the three questions that narrow it most. Everything is worked out on draws of all "
        "that is not known, both hops of a repeater together.",
    .usage = "SURVEY [options]",
    .example = "earshot where surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_where};
