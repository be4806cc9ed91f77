/* SPDX-License-Identifier: GPL-3.0-or-later */
/* asked.c - what to ask next, of the zones that are in doubt.
 */
#include <stdlib.h>

#include "write.h"

/* Whether an answer could settle it: not what was heard too seldom for all that is known. */
static bool in_doubt(const earshot_prediction *prediction) {
    if (prediction->notes & (EARSHOT_NOTE_FEW_HEARD | EARSHOT_NOTE_READ_LOW))
        return false;
    return prediction->verdict == EARSHOT_THIN || (prediction->verdict == EARSHOT_NOT_JUDGED &&
                                                   prediction->notes & EARSHOT_NOTE_BEYOND_SD);
}

enum earshot_status report_ask(const report_survey *gathered,
                               planning_question questions[PLANNING_MAX_QUESTIONS], size_t *n) {
    earshot_link *links = calloc(gathered->n_zones + 1, sizeof *links);
    size_t n_links = 0;
    if (!links)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < gathered->n_zones; i++)
        if (in_doubt(&gathered->zones[i].zone.prediction))
            links[n_links++] = gathered->zones[i].zone.link;
    enum earshot_status status =
        planning_ask(gathered->survey, gathered->belief, links, n_links, questions, n);
    free(links);
    return status;
}

void report_questions(const report_survey *gathered, const planning_question *questions,
                      size_t n, earshot_text *out) {
    for (size_t i = 0; i < n; i++) {
        text_add(out, "  ");
        text_add_count(out, i + 1);
        text_add(out, ". ");
        report_question(out, gathered->survey, &questions[i]);
        text_add(out, "\n");
    }
}
