/* SPDX-License-Identifier: GPL-3.0-or-later */
/* reported.c - the report on a folder's tables; see reported.h. */
#include "reported.h"

#include <criterion/criterion.h>

earshot_text *reported(const folder *tables, enum earshot_form form) {
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    earshot_findings *findings = earshot_findings_new();
    earshot_text *text = earshot_text_new();
    cr_assert_eq(earshot_survey_load(tables->tables, tables->n, findings, &survey), EARSHOT_OK);
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_doubts(survey, belief, findings), EARSHOT_OK);
    cr_assert_eq(earshot_check_write(survey, belief, findings, form, text), EARSHOT_OK);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return text;
}
