/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_words.c - any bytes at all as the words of one link, a line each; the first line is the
 * rated range and the second the mount, when they are not blank.
 */
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST_WORDS = 40, MOST_BYTES = 2000 };

static void must(bool holds) {
    if (!holds) {
        abort();
    }
}

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

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char text[MOST_BYTES + 1];
    const char *words[MOST_WORDS];
    if (size > MOST_BYTES) {
        return 0;
    }
    memcpy(text, data, size);
    text[size] = '\0';
    size_t n = split(text, words);
    earshot_reach reach = {.words = words + 2, .n_words = n > 2 ? n - 2 : 0};
    reach.rated_range = words[0][0] ? words[0] : NULL;
    reach.mount = n > 1 && words[1][0] ? words[1] : NULL;
    reach.trips = size % 12;
    reach.heard = reach.trips / 2;
    earshot_findings *findings = earshot_findings_new();
    earshot_text *out = earshot_text_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    must(findings && out);
    enum earshot_status status = earshot_survey_new(&reach, NULL, 0, findings, &survey);
    must(status == EARSHOT_OK ||
         (status == EARSHOT_INVALID && earshot_findings_errors(findings) > 0));
    if (status == EARSHOT_OK) {
        must(earshot_belief_prior(survey, &belief) == EARSHOT_OK);
        must(earshot_reach_write(survey, belief, findings, EARSHOT_PLAIN, out) == EARSHOT_OK);
        must(earshot_reach_write(survey, belief, findings, EARSHOT_JSON, out) == EARSHOT_OK);
    }
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_text_free(out);
    earshot_findings_free(findings);
    return 0;
}
