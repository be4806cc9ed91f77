/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_draw.c - earshot draw SURVEY: the plan with its lines, or one link as a stair.
 */
#include <math.h>
#include <stdio.h>

#include "cli.h"

enum { MATERIALS, WITHOUT, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [WITHOUT] = {"--without-readings", NULL, "as if there were no readings.csv"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    (void)words;
    return EARSHOT_SVG;
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    const earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN};
    enum earshot_status status = earshot_plan_write(opened->survey, opened->belief, &task,
                                                    form_of(words), opened->text);
    return status == EARSHOT_OK ? cli_answer(words->option[OUT], opened->text)
                                : cli_status(status);
}

static enum cli_exit run_draw(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words),
                             .without_readings = words->option[WITHOUT] != NULL};
    return cli_open_survey(&cli_verb_draw, words, &how, answer);
}

const cli_verb cli_verb_draw = {
    .name = "draw",
    .summary = "Draws the plan with lines of margin, or one link as a stair of falling level.",
    .about = NULL,
    .usage = "SURVEY [options]",
    .example = "earshot draw surveys/demo --out plan.svg",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_draw};
