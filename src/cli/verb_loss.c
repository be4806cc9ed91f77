/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_loss.c - earshot loss brick: what one wall loses, or which wall it is by its looks.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"
#include "text.h"

enum { FREQ, ANGLE, POLARIZATION, BY_LOOK, MATERIALS, JSON, CSV, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [FREQ] = {"--freq-mhz", "F", "868.3 by default; a range to CSV or JSON: 300:930:10"},
    [ANGLE] = {"--angle-deg", "A", "degrees from straight on, 0 to 89 (0); a range: 0:80:5"},
    [POLARIZATION] = {"--polarization", "te|tm", "of slab theory; the mean of both by default"},
    [BY_LOOK] = {"--by-look", NULL,
                 "which wall it is by words: hollow, white dust, magnet, ..."},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [JSON] = {"--json", NULL, "for programs"},
    [CSV] = {"--csv", NULL, "for a spreadsheet"},
    [OUT] = CLI_OUT};

static const double usual_mhz = 868.3;

/* ---- values of options ---- */

/* "868" or "300:930:10". */
static bool read_range(const char *text, double *low, double *high, double *step) {
    double values[3] = {0, 0, 0};
    size_t n = 0;
    while (n < 3) {
        size_t length = strcspn(text, ":");
        if (text_read_number(text, length, '.', &values[n++]) != TEXT_NUMBER_OK)
            return false;
        text += length;
        if (*text == '\0')
            break;
        text++;
    }
    if (*text || n == 2)
        return false;
    *low = values[0];
    *high = n == 3 ? values[1] : values[0];
    *step = values[2];
    return n == 1 || *step > 0;
}

static bool is_range(const earshot_loss_query *query) {
    return query->high_mhz > query->low_mhz || query->high_deg > query->low_deg;
}

static enum cli_exit read_query(const cli_words *words, earshot_loss_query *query) {
    const char *freq = words->option[FREQ], *angle = words->option[ANGLE];
    const char *polarization = words->option[POLARIZATION];
    if (freq && !read_range(freq, &query->low_mhz, &query->high_mhz, &query->step_mhz))
        return cli_misuse(&cli_verb_loss, freq, "is not a frequency in MHz, nor low:high:step");
    if (angle && !read_range(angle, &query->low_deg, &query->high_deg, &query->step_deg))
        return cli_misuse(&cli_verb_loss, angle,
                          "is not an angle in degrees, nor low:high:step");
    if (polarization && strcmp(polarization, "te") == 0)
        query->polarization = EARSHOT_TE;
    else if (polarization && strcmp(polarization, "tm") == 0)
        query->polarization = EARSHOT_TM;
    else if (polarization)
        return cli_misuse(&cli_verb_loss, polarization, "is no polarization; write te or tm");
    if (is_range(query) && !words->option[CSV] && !words->option[JSON])
        return cli_misuse(&cli_verb_loss, NULL, "a range goes to --csv or --json");
    return CLI_DONE;
}

static enum earshot_form form_of(const cli_words *words) {
    if (words->option[JSON])
        return EARSHOT_JSON;
    return words->option[CSV] ? EARSHOT_CSV : EARSHOT_PLAIN;
}

/* ---- the questions ---- */

enum { N_QUESTIONS = 6, ANSWER_SIZE = 256, MOST_ANSWERS = 64 };
static const char *const questions[N_QUESTIONS] = {
    "What does it look like (brick, smooth, joints, boards; blank: no idea)? ",
    "How does it knock (hollow, solid, dull)? ",
    "Does a magnet hold (in lines, everywhere, no)? ",
    "What color is the drill dust (white, red, gray, wood)? ",
    "How thick is it, in mm (blank: no idea)? ",
    "How old is the house (before 1950, after 1980, ...)? "};

/* ---- the answer ---- */

struct run {
    const cli_words *words;
    earshot_loss_query query;
    cli_folder folder;
    earshot_findings *findings;
    earshot_survey *materials;
    earshot_text *text;
};

static enum cli_exit look(struct run *run) {
    char answers[N_QUESTIONS][ANSWER_SIZE];
    const char *asked[MOST_ANSWERS], *const *words = run->words->words;
    size_t n = run->words->n_words;
    if (n == 0 && isatty(STDIN_FILENO)) {
        n = cli_ask(questions, N_QUESTIONS, ANSWER_SIZE, answers[0], asked, MOST_ANSWERS);
        words = asked;
    }
    return cli_status_of(earshot_looks_write(run->materials, words, n, run->query.low_mhz,
                                             run->findings, form_of(run->words), run->text),
                         run->findings, &run->folder, &cli_verb_loss);
}

static enum cli_exit answer(struct run *run) {
    const cli_words *words = run->words;
    enum earshot_status status = earshot_materials_load(
        run->folder.tables, run->folder.n_tables, run->findings, &run->materials);
    enum cli_exit result = cli_status_of(status, run->findings, &run->folder, &cli_verb_loss);
    if (result != CLI_DONE)
        return result;
    if (words->option[BY_LOOK]) {
        result = look(run);
    } else {
        status = earshot_loss_write(run->materials, words->n_words ? words->words[0] : NULL,
                                    &run->query, run->findings, form_of(words), run->text);
        if (status == EARSHOT_MISUSE)
            return cli_misuse(
                &cli_verb_loss, NULL,
                "10 to 100000 MHz, 0 to 89 degrees and 100,000 rows are the limits");
        result = cli_status_of(status, run->findings, &run->folder, &cli_verb_loss);
    }
    return result == CLI_DONE ? cli_answer(form_of(words), words->option[OUT], run->text)
                              : result;
}

static enum cli_exit run_loss(const cli_words *words) {
    struct run run = {.words = words,
                      .query = {.low_mhz = usual_mhz, .high_mhz = usual_mhz},
                      .findings = earshot_findings_new(),
                      .text = earshot_text_new()};
    enum cli_exit result = read_query(words, &run.query);
    if (result == CLI_DONE && words->n_words > 1 && !words->option[BY_LOOK])
        result = cli_misuse(&cli_verb_loss, words->words[1],
                            "is one wall too many; join the words of a name with a hyphen");
    else if (result == CLI_DONE && (!run.findings || !run.text))
        result = cli_status(EARSHOT_NO_MEMORY);
    else if (result == CLI_DONE && words->option[MATERIALS] &&
             !cli_read_materials(words->option[MATERIALS], &run.folder))
        result = CLI_FILE;
    else if (result == CLI_DONE)
        result = answer(&run);
    earshot_text_free(run.text);
    earshot_survey_free(run.materials);
    earshot_findings_free(run.findings);
    cli_free_folder(&run.folder);
    return result;
}

const cli_verb cli_verb_loss = {
    .name = "loss",
    .summary = "Says what one wall loses and by what source, or which wall it is by its looks.",
    .about =
        "A wall is one of the tables or what people call it; without one, all walls, floors, "
        "doors and windows are listed. By look, words say what an eye, a knuckle, a magnet "
        "and a drill can tell; without words, on a terminal, it asks for them.",
    .usage = "[WALL] [options]\n--by-look [WORD ...] [options]",
    .example = "earshot loss brick --freq-mhz 433.92",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_loss};
