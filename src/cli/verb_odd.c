/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_odd.c - earshot odd SURVEY: what looks odd in a survey without being wrong.
 */
#include <stdio.h>

#include "cli.h"

enum { JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [JSON] = {"--json", NULL, "for programs"},
    [CSV] = {"--csv", NULL, "for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

struct run {
    const cli_words *words;
    cli_folder folder;
    earshot_findings *findings, *faults;
    earshot_survey *survey;
    earshot_text *text;
};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], NULL);
}

/* Faults are check's to tell, but a program that asked for JSON or CSV gets them here too. */
static enum cli_exit refuse(struct run *run) {
    const char *path = run->words->words[0];
    enum earshot_form form = form_of(run->words);
    fprintf(stderr, "%s has faults; mend them first: earshot check %s\n", path, path);
    if (form == EARSHOT_PLAIN)
        return CLI_INVALID;
    enum earshot_status status = earshot_findings_write(path, run->faults, form, run->text);
    enum cli_exit result = cli_give(status, form, run->words->option[OUT], run->text);
    return result == CLI_DONE ? CLI_INVALID : result;
}

static enum cli_exit answer(struct run *run) {
    const cli_words *words = run->words;
    enum earshot_form form = form_of(words);
    enum earshot_status status = earshot_survey_odd(run->survey, run->findings);
    if (status == EARSHOT_OK)
        status = earshot_odd_write(run->survey, run->findings, form, run->text);
    return cli_give(status, form, words->option[OUT], run->text);
}

static enum cli_exit load(struct run *run) {
    const cli_words *words = run->words;
    if (!cli_read_survey(words->option[MATERIALS], words->words[0], &run->folder))
        return CLI_FILE;
    enum earshot_status status = earshot_survey_load(run->folder.tables, run->folder.n_tables,
                                                     run->faults, &run->survey);
    if (status == EARSHOT_INVALID)
        return refuse(run);
    return status == EARSHOT_OK ? answer(run) : cli_status(status);
}

static enum cli_exit run_odd(const cli_words *words) {
    if (!cli_names_survey(&cli_verb_odd, words))
        return CLI_MISUSE;
    struct run run = {.words = words,
                      .findings = earshot_findings_new(),
                      .faults = earshot_findings_new(),
                      .text = earshot_text_new()};
    enum cli_exit result =
        run.findings && run.faults && run.text ? load(&run) : cli_status(EARSHOT_NO_MEMORY);
    earshot_text_free(run.text);
    earshot_survey_free(run.survey);
    earshot_findings_free(run.faults);
    earshot_findings_free(run.findings);
    cli_free_folder(&run.folder);
    return result;
}

const cli_verb cli_verb_odd = {.name = "odd",
                               .summary =
                                   "Says what looks odd in a survey without being wrong.",
                               .usage = "SURVEY [options]",
                               .example = "earshot odd surveys/demo",
                               .options = options,
                               .n_options = N_OPTIONS,
                               .run = run_odd};
