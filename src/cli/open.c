/* SPDX-License-Identifier: GPL-3.0-or-later */
/* open.c - a survey opened for a verb, its readings merged; what is wrong with it is told.
 */
#include <stdlib.h>

#include "cli.h"

static enum cli_exit merge(cli_opened *opened, cli_answer_of *answer) {
    cli_progress progress;
    cli_progress_begin("merging readings", &progress);
    enum earshot_status status = earshot_belief_fit(opened->survey, NULL, &progress.watch,
                                                    opened->findings, &opened->belief);
    cli_progress_end(&progress);
    return status == EARSHOT_OK ? answer(opened) : cli_status(status);
}

static enum cli_exit load(cli_opened *opened, const cli_opening *how, cli_answer_of *answer) {
    const char *path = opened->words->words[0];
    if (!cli_read_survey(how->materials, path, &opened->folder))
        return CLI_FILE;
    if (how->without_readings && !cli_drop_readings(&opened->folder))
        return cli_status(EARSHOT_NO_MEMORY);
    enum earshot_status status = earshot_survey_load(
        opened->folder.tables, opened->folder.n_tables, opened->findings, &opened->survey);
    if (status == EARSHOT_INVALID)
        return cli_refuse_survey(path, opened->findings, &opened->folder, how->form,
                                 how->all_faults, how->out, opened->text);
    return status == EARSHOT_OK ? merge(opened, answer) : cli_status(status);
}

enum cli_exit cli_open_survey(const cli_verb *verb, const cli_words *words,
                              const cli_opening *how, cli_answer_of *answer) {
    if (!cli_names_survey(verb, words))
        return CLI_MISUSE;
    cli_opened opened = {.words = words,
                         .with = how->with,
                         .findings = earshot_findings_new(),
                         .text = earshot_text_new()};
    enum cli_exit result = opened.findings && opened.text ? load(&opened, how, answer)
                                                          : cli_status(EARSHOT_NO_MEMORY);
    earshot_text_free(opened.text);
    earshot_belief_free(opened.belief);
    earshot_survey_free(opened.survey);
    earshot_findings_free(opened.findings);
    cli_free_folder(&opened.folder);
    return result;
}
