/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_recalibrate.c - earshot recalibrate SURVEY: what readings made of the tables.
 */
#include <stdio.h>

#include "cli.h"

enum { ALL, JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [ALL] = {"--all", NULL, "also what hardly moved"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each thing that can be learned, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

struct run {
    const cli_words *words;
    cli_folder folder;
    earshot_findings *findings;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_text *text;
};

static enum earshot_form form_of(const cli_words *words) {
    if (words->option[JSON])
        return EARSHOT_JSON;
    if (words->option[CSV])
        return EARSHOT_CSV;
    return words->option[ALL] ? EARSHOT_PLAIN_ALL : EARSHOT_PLAIN;
}

static enum cli_exit answer(struct run *run) {
    cli_progress progress;
    cli_progress_begin("merging readings", &progress);
    enum earshot_status status =
        earshot_belief_fit(run->survey, NULL, &progress.watch, run->findings, &run->belief);
    cli_progress_end(&progress);
    if (status == EARSHOT_OK)
        status = earshot_recalibrate_write(run->survey, run->belief, run->findings,
                                           form_of(run->words), run->text);
    return status == EARSHOT_OK ? cli_answer(run->words->option[OUT], run->text)
                                : cli_status(status);
}

static enum cli_exit load(struct run *run) {
    const cli_words *words = run->words;
    if (!cli_read_survey(words->option[MATERIALS], words->words[0], &run->folder))
        return CLI_FILE;
    enum earshot_status status = earshot_survey_load(run->folder.tables, run->folder.n_tables,
                                                     run->findings, &run->survey);
    if (status == EARSHOT_INVALID)
        return cli_refuse_survey(words->words[0], run->findings, &run->folder, form_of(words),
                                 false, words->option[OUT], run->text);
    return status == EARSHOT_OK ? answer(run) : cli_status(status);
}

static enum cli_exit run_recalibrate(const cli_words *words) {
    if (!cli_names_survey(&cli_verb_recalibrate, words))
        return CLI_MISUSE;
    struct run run = {
        .words = words, .findings = earshot_findings_new(), .text = earshot_text_new()};
    enum cli_exit result =
        run.findings && run.text ? load(&run) : cli_status(EARSHOT_NO_MEMORY);
    earshot_text_free(run.text);
    earshot_belief_free(run.belief);
    earshot_survey_free(run.survey);
    earshot_findings_free(run.findings);
    cli_free_folder(&run.folder);
    return result;
}

const cli_verb cli_verb_recalibrate = {
    .name = "recalibrate",
    .summary = "Says what the readings of a survey made of its tables.",
    .about = "What was corrected, from what to what; what the readings could not tell; what "
             "they tell only together; how well all of it fits, also where a reading or a "
             "listener is left out; and which readings are surprising. Nothing is stored: "
             "readings.csv is merged anew each time, here and in check.",
    .usage = "SURVEY [options]",
    .example = "earshot recalibrate surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_recalibrate};
