/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_next.c - earshot next SURVEY: which readings are worth their minutes.
 */
#include <stdlib.h>

#include "cli.h"

enum { COUNT, JSON, CSV, MATERIALS, OUT, N_OPTIONS };
enum { DEFAULT_COUNT = 6, MOST = 200 };
static const cli_option options[N_OPTIONS] = {
    [COUNT] = {"--count", "K", "how many readings, 1 to 200 (6)"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each reading, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], NULL);
}

/* 0: it is none. */
static size_t count_of(const cli_words *words) {
    const char *value = words->option[COUNT];
    char *end;
    if (!value)
        return DEFAULT_COUNT;
    unsigned long count = strtoul(value, &end, 10);
    return *end || value[0] < '0' || value[0] > '9' || count > MOST ? 0 : count;
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    cli_progress progress;
    cli_progress_begin("weighing readings", &progress);
    enum earshot_status status =
        earshot_next_write(opened->survey, opened->belief, opened->findings, count_of(words),
                           &progress.watch, form_of(words), opened->text);
    cli_progress_end(&progress);
    return cli_give(status, form_of(words), words->option[OUT], opened->text);
}

static enum cli_exit run_next(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words)};
    if (count_of(words) == 0)
        return cli_misuse(&cli_verb_next, words->option[COUNT],
                          "is no count of readings from 1 to 200");
    return cli_open_survey(&cli_verb_next, words, &how, answer);
}

const cli_verb cli_verb_next = {
    .name = "next",
    .summary = "Says which readings to make next, and when more stop paying.",
    .about =
        "The reading that settles most verdicts for each minute it takes comes first, then "
        "the next with that one made: verdicts that may be wrong, and zones that are not "
        "judged. Life safety that may be short without being called so counts ten times. The "
        "way from one to the next counts (same room, same floor, ladder). Once something was "
        "read in place all "
        "are taken to hang; until then they are held where they will. Spots of spots.csv are "
        "candidates too.",
    .usage = "SURVEY [options]",
    .example = "earshot next surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_next};
