/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_words.c - any bytes at all as words: of one link, of a wall, of its looks.
 *
 * A line each. The first is the rated range and the second the mount, when they are not blank;
 * the third has up to three numbers: the band in MHz, and how many of how many trips were
 * heard. All others are words, and the first of them is a wall too.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "must.h"
#include "reports.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { N_OPTIONS = 3, MOST_WORDS = 40, MOST_BYTES = 2000 };

/* Lines to words; returns how many. */
static size_t split(char *text, const char **words) {
    size_t n = 0;
    while (n < MOST_WORDS) {
        words[n++] = text;
        text = strchr(text, '\n');
        if (!text) {
            break;
        }
        *text++ = '\0';
    }
    return n;
}

static const char *option(const char *const *words, size_t n, size_t i) {
    return i < n && words[i][0] ? words[i] : NULL;
}

static void read_numbers(const char *line, earshot_reach *reach) {
    char *at;
    reach->band_mhz = strtod(line, &at);
    reach->heard = (unsigned)strtoul(at, &at, 10);
    reach->trips = (unsigned)strtoul(at, NULL, 10);
}

/* ---- one link ---- */

static void answer(const earshot_survey *survey, const earshot_findings *findings) {
    earshot_belief *belief = NULL;
    must(earshot_belief_prior(survey, &belief) == EARSHOT_OK);
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_JSON; form++) {
        earshot_text *text = earshot_text_new();
        must(text != NULL);
        reports_check(
            earshot_reach_write(survey, belief, findings, (enum earshot_form)form, text),
            (enum earshot_form)form, text);
    }
    earshot_belief_free(belief);
}

static void try_reach(const earshot_reach *reach) {
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    must(findings != NULL);
    enum earshot_status status = earshot_survey_new(reach, NULL, 0, findings, &survey);
    bool misuse = reach->heard > reach->trips || reach->trips > 1000;
    must(misuse == (status == EARSHOT_MISUSE));
    must(status != EARSHOT_NO_MEMORY);
    must((status == EARSHOT_OK) == (survey != NULL));
    must((status == EARSHOT_INVALID) == (earshot_findings_errors(findings) > 0));
    if (survey) {
        answer(survey, findings);
    }
    reports_check_findings(findings);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
}

/* ---- walls ---- */

/* Loaded once, for it never changes. */
static const earshot_survey *materials(void) {
    static earshot_survey *survey;
    if (!survey) {
        earshot_findings *findings = earshot_findings_new();
        must(findings != NULL);
        must(earshot_materials_load(NULL, 0, findings, &survey) == EARSHOT_OK);
        earshot_findings_free(findings);
    }
    return survey;
}

/* A report, or a finding that says why not. */
static void check_lookup(enum earshot_status status, enum earshot_form form,
                         earshot_findings *findings, earshot_text *text) {
    must((status == EARSHOT_INVALID) == (earshot_findings_errors(findings) > 0));
    reports_check_findings(findings);
    earshot_findings_free(findings);
    if (status == EARSHOT_INVALID) {
        must(earshot_text_size(text) == 0);
        earshot_text_free(text);
    } else {
        reports_check(status, form, text);
    }
}

static void try_wall(const char *word) {
    static const earshot_loss_query query = {100, 5000, 2450, 0, 80, 40, EARSHOT_BOTH};
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_CSV; form++) {
        earshot_findings *findings = earshot_findings_new();
        earshot_text *text = earshot_text_new();
        must(findings && text);
        check_lookup(earshot_loss_write(materials(), word, &query, findings,
                                        (enum earshot_form)form, text),
                     (enum earshot_form)form, findings, text);
    }
}

static void try_looks(const char *const *words, size_t n_words) {
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_CSV; form++) {
        earshot_findings *findings = earshot_findings_new();
        earshot_text *text = earshot_text_new();
        must(findings && text);
        check_lookup(earshot_looks_write(materials(), words, n_words, 868.3, findings,
                                         (enum earshot_form)form, text),
                     (enum earshot_form)form, findings, text);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    const char *words[MOST_WORDS];
    if (size > MOST_BYTES) {
        return 0;
    }
    char *text = calloc(size + 1, 1);
    must(text != NULL);
    memcpy(text, data, size);
    size_t n = split(text, words), n_words = n > N_OPTIONS ? n - N_OPTIONS : 0;
    earshot_reach reach = {.words = words + N_OPTIONS,
                           .n_words = n_words,
                           .rated_range = option(words, n, 0),
                           .mount = option(words, n, 1)};
    read_numbers(n > 2 ? words[2] : "", &reach);
    try_reach(&reach);
    if (n_words > 0) {
        try_wall(words[N_OPTIONS]);
        try_looks(words + N_OPTIONS, n_words);
    }
    free(text);
    return 0;
}
