/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_survey.c - any bytes at all as a folder of tables, and everything that is done with it.
 *
 * The bytes are tables one after another, each behind a line "@name.csv". What loads must be
 * judged: every ledger adds up to its loss, every chance is a chance, every report gets
 * written. A breach aborts.
 */
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST_TABLES = 24, MOST_PARTS = 256, MOST_LINKS = 400, MOST_BYTES = 1 << 16 };

static void must(bool holds) {
    if (!holds) {
        abort();
    }
}

struct input {
    earshot_bytes tables[MOST_TABLES];
    size_t n;
};

/* Cuts the text at its lines "@name"; `text` gets NULs behind the names. */
static void split(char *text, size_t size, struct input *input) {
    char *at = text, *end = text + size;
    while (at < end && input->n < MOST_TABLES) {
        char *line_end = memchr(at, '\n', (size_t)(end - at));
        if (*at != '@' || !line_end) {
            return;
        }
        *line_end = '\0';
        char *body = line_end + 1, *stop = body;
        while (stop < end && !(*stop == '@' && stop[-1] == '\n')) {
            stop++;
        }
        input->tables[input->n++] = (earshot_bytes){at + 1, body, (size_t)(stop - body)};
        at = stop;
    }
}

static void check_link(const earshot_survey *survey, const earshot_belief *belief,
                       const earshot_link *link) {
    static earshot_part parts[MOST_PARTS];
    earshot_prediction prediction;
    size_t n_parts;
    double sum_db = 0;
    must(earshot_link_ledger(survey, belief, link, parts, MOST_PARTS, &n_parts, &prediction) ==
         EARSHOT_OK);
    must(isnan(prediction.chance) || (prediction.chance >= 0 && prediction.chance <= 1));
    must(isnan(prediction.chance) == isnan(prediction.spare_db));
    must(!(prediction.margin_sd_db < 0));
    for (size_t i = 0; i < n_parts && i < MOST_PARTS; i++) {
        must(isfinite(parts[i].loss_db) && parts[i].sd_db >= 0);
        must(parts[i].name && parts[i].source);
        sum_db += parts[i].loss_db;
    }
    if (n_parts && n_parts <= MOST_PARTS) {
        must(fabs(sum_db - prediction.loss_db) < 1e-9 * (1 + fabs(sum_db)));
    }
}

static void check_report(const earshot_survey *survey, const earshot_belief *belief,
                         const earshot_findings *findings, enum earshot_form form) {
    earshot_text *text = earshot_text_new();
    must(text && earshot_check_write(survey, belief, findings, form, text) == EARSHOT_OK);
    must(earshot_text_size(text) > 0 &&
         strlen(earshot_text_data(text)) == earshot_text_size(text));
    earshot_text_free(text);
}

static void check_survey(const earshot_survey *survey, earshot_findings *findings) {
    static earshot_link links[MOST_LINKS];
    earshot_belief *belief = NULL;
    size_t n = earshot_survey_links(survey, links, MOST_LINKS);
    must(earshot_belief_prior(survey, &belief) == EARSHOT_OK);
    must(earshot_survey_doubts(survey, belief, findings) == EARSHOT_OK);
    must(earshot_findings_errors(findings) == 0);
    for (size_t i = 0; i < n && i < MOST_LINKS; i++) {
        check_link(survey, belief, &links[i]);
    }
    for (int form = EARSHOT_PLAIN; form <= EARSHOT_CSV; form++) {
        check_report(survey, belief, findings, (enum earshot_form)form);
    }
    earshot_belief_free(belief);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    if (size == 0 || size > MOST_BYTES) {
        return 0;
    }
    char *text = malloc(size);
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    struct input input = {.n = 0};
    must(text && findings);
    memcpy(text, data, size);
    split(text, size, &input);
    enum earshot_status status = earshot_survey_load(input.tables, input.n, findings, &survey);
    must(status == EARSHOT_OK ||
         (status == EARSHOT_INVALID && !survey && earshot_findings_errors(findings) > 0));
    if (status == EARSHOT_OK) {
        check_survey(survey, findings);
    }
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    free(text);
    return 0;
}
