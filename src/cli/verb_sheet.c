/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_sheet.c - earshot sheet SURVEY: the paper to carry from zone to zone.
 */
#include <stdio.h>
#include <stdlib.h>

#include "cli.h"
#include "text.h"

enum { METER, SINCE, BY_PHONE, CSV, JSON, WITHOUT, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [METER] = {"--meter", "SCALE",
               "a row of scales.csv; default: that of most readings, else bars-5"},
    [SINCE] = {"--since", "DATE",
               "what was last read from then on, beside each box: 2026-03-10"},
    [BY_PHONE] = {"--by-phone", NULL, "numbered questions, to read to somebody on site"},
    [CSV] = {"--csv", NULL, "a readings.csv to fill in"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [WITHOUT] = {"--without-readings", NULL, "as if there were no readings.csv"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    if (words->option[JSON] || words->option[CSV])
        return cli_form(words->option[JSON], words->option[CSV], NULL);
    return words->option[BY_PHONE] ? EARSHOT_PLAIN : EARSHOT_HTML;
}

static enum cli_exit say_no_scale(const earshot_survey *survey, const char *meter) {
    size_t n = earshot_survey_scales(survey), near;
    const char **names = calloc(n + 1, sizeof *names);
    char sentence[160] = "is not a scale of scales.csv";
    for (size_t i = 0; names && i < n; i++)
        names[i] = earshot_survey_scale(survey, i);
    if (names && text_nearest(meter, names, n, &near, 1))
        snprintf(sentence, sizeof sentence,
                 "is not a scale of scales.csv; did you mean '%.80s'?", names[near]);
    free(names);
    return cli_misuse(&cli_verb_sheet, meter, sentence);
}

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    const earshot_survey *survey = opened->survey;
    const earshot_sheet sheet = {.meter = words->option[METER], .since = words->option[SINCE]};
    if (sheet.meter &&
        earshot_survey_find_scale(survey, sheet.meter) == earshot_survey_scales(survey))
        return say_no_scale(survey, sheet.meter);
    enum earshot_status status = earshot_sheet_write(
        survey, opened->belief, &sheet, opened->findings, form_of(words), opened->text);
    return cli_give(status, form_of(words), words->option[OUT], opened->text);
}

static enum cli_exit run_sheet(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words),
                             .without_readings = words->option[WITHOUT] != NULL};
    if (words->option[SINCE] && !earshot_date_valid(words->option[SINCE]))
        return cli_misuse(&cli_verb_sheet, words->option[SINCE],
                          "is not a date written year first, like 2026-03-10");
    return cli_open_survey(&cli_verb_sheet, words, &how, answer);
}

const cli_verb cli_verb_sheet = {
    .name = "sheet",
    .summary = "Writes the paper to carry from zone to zone, with boxes for a pencil.",
    .about =
        "One HTML file (--out sheet.html) to print on A4 or Letter: zones in walking order, "
        "what the meter should "
        "show at each, below what to stop and what to try then, and boxes to write in. "
        "With --csv the same as a readings.csv, which reads back once it is filled in; with "
        "--by-phone one numbered question a line. Readings whose time is not written year "
        "first are not shown by --since, and the sheet says how many.",
    .usage = "SURVEY [options]",
    .example = "earshot sheet surveys/demo --by-phone",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_sheet};
