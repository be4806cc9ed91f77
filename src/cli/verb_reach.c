/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_reach.c - earshot reach 12m brick brick floor: one link with no plan and no folder.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"
#include "text.h"

enum { RATED_RANGE, BAND, MOUNT, HEARD, MATERIALS, JSON, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [RATED_RANGE] = {"--rated-range", "LENGTH", "the maker's claim in the open: 500m, 1500ft"},
    [BAND] = {"--band", "MHZ",
              "a radio of this band: 433, 868, 915 (default: by the unit of the distance)"},
    [MOUNT] = {"--mount", "NAME", "how the sensor is fixed: metal-frame, floor-level, ..."},
    [HEARD] = {"--heard", "K/N", "heard K of N test trips where it will hang"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [OUT] = CLI_OUT};

/* ---- values of options ---- */

static bool whole(const char *text, size_t length, unsigned most, unsigned *out) {
    double number;
    if (text_read_number(text, length, '.', &number) != TEXT_NUMBER_OK || number < 0 ||
        number > most || number != (unsigned)number)
        return false;
    *out = (unsigned)number;
    return true;
}

/* "8/10" and "8 of 10". */
static bool read_heard(const char *text, earshot_reach *reach) {
    const char *slash = strchr(text, '/'), *word = strstr(text, " of ");
    const char *end = slash ? slash : word, *rest = slash ? slash + 1 : word ? word + 4 : NULL;
    return end && whole(text, (size_t)(end - text), 1000, &reach->heard) &&
           whole(rest, strlen(rest), 1000, &reach->trips) && reach->trips > 0 &&
           reach->heard <= reach->trips;
}

static enum cli_exit read_options(const cli_words *words, earshot_reach *reach) {
    const char *band = words->option[BAND], *heard = words->option[HEARD];
    if (band &&
        (text_read_number(band, strlen(band), '.', &reach->band_mhz) != TEXT_NUMBER_OK ||
         reach->band_mhz <= 0))
        return cli_misuse(&cli_verb_reach, band, "is not a band; write its MHz, like 868");
    if (heard && !read_heard(heard, reach))
        return cli_misuse(&cli_verb_reach, heard,
                          "is not a count of trips; write heard/made, like 8/10");
    reach->rated_range = words->option[RATED_RANGE];
    reach->mount = words->option[MOUNT];
    return CLI_DONE;
}

/* ---- the four questions ---- */

enum { N_QUESTIONS = 4, ANSWER_SIZE = 256, MOST_ANSWERS = 64 };
static const char *const questions[N_QUESTIONS] = {
    "How far from the sensor to the receiver (12m, 40ft, 16 paces)? ",
    "What walls are between (brick, stud, outside-wall; blank: none)? ",
    "What floors are between (timber-floor, concrete-floor; blank: none)? ",
    "Which radio, by its band in MHz (433, 868, 915, ...; blank: not known)? "};

/* ---- the answer ---- */

struct run {
    const cli_words *words;
    const earshot_reach *reach;
    cli_folder folder;
    earshot_findings *findings;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_text *text;
};

static enum cli_exit refuse(struct run *run) {
    if (!run->words->option[JSON])
        return cli_refuse_words(run->findings, &run->folder, &cli_verb_reach);
    enum earshot_status status =
        earshot_findings_write("one link", run->findings, EARSHOT_JSON, run->text);
    enum cli_exit printed = cli_give(status, EARSHOT_JSON, run->words->option[OUT], run->text);
    return printed == CLI_DONE ? CLI_INVALID : printed;
}

static enum cli_exit answer(struct run *run) {
    const enum earshot_form form = cli_form(run->words->option[JSON], NULL, NULL);
    enum earshot_status status = earshot_survey_new(
        run->reach, run->folder.tables, run->folder.n_tables, run->findings, &run->survey);
    if (status == EARSHOT_INVALID)
        return refuse(run);
    if (status == EARSHOT_OK)
        status = earshot_belief_prior(run->survey, &run->belief);
    if (status == EARSHOT_OK)
        status = earshot_survey_doubts(run->survey, run->belief, run->findings);
    if (status == EARSHOT_OK)
        status = earshot_reach_write(run->survey, run->belief, run->findings, form, run->text);
    return cli_give(status, form, run->words->option[OUT], run->text);
}

static enum cli_exit run_words(const cli_words *words, const earshot_reach *reach) {
    struct run run = {.words = words,
                      .reach = reach,
                      .findings = earshot_findings_new(),
                      .text = earshot_text_new()};
    enum cli_exit result = CLI_FILE;
    if (!run.findings || !run.text)
        result = cli_status(EARSHOT_NO_MEMORY);
    else if (!words->option[MATERIALS] ||
             cli_read_materials(words->option[MATERIALS], &run.folder))
        result = answer(&run);
    earshot_text_free(run.text);
    earshot_belief_free(run.belief);
    earshot_survey_free(run.survey);
    earshot_findings_free(run.findings);
    cli_free_folder(&run.folder);
    return result;
}

static enum cli_exit run_reach(const cli_words *words) {
    char answers[N_QUESTIONS][ANSWER_SIZE];
    const char *asked[MOST_ANSWERS];
    earshot_reach reach = {.words = words->words, .n_words = words->n_words};
    enum cli_exit result = read_options(words, &reach);
    if (result != CLI_DONE)
        return result;
    if (reach.n_words == 0 && isatty(STDIN_FILENO)) {
        reach.words = asked;
        reach.n_words =
            cli_ask(questions, N_QUESTIONS, ANSWER_SIZE, answers[0], asked, MOST_ANSWERS);
    }
    if (reach.n_words == 0)
        return cli_misuse(&cli_verb_reach, NULL, "say how far, and what is in between");
    return run_words(words, &reach);
}

const cli_verb cli_verb_reach = {
    .name = "reach",
    .summary = "Says whether one sensor will reach, from a distance and what is in between.",
    .about =
        "Words come in any order and need no quotes: a distance (12m, 40ft, 16paces), what is "
        "in between (brick, 2 stud, timber floor, coated-glass; wall when nobody knows), and "
        "if you like a radio, a mount, an environment and what the device is (smoke, "
        "contact). Without words, on a terminal, it asks. The answer is the verdict with "
        "what is to spare, where the signal goes, what may be lost, what was assumed, and "
        "how to be surer.",
    .usage = "DISTANCE [WALL FLOOR RADIO MOUNT ENVIRONMENT DEVICE ...] [options]",
    .example = "earshot reach 12m brick brick floor",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_reach};
