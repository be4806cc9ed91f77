/* SPDX-License-Identifier: GPL-3.0-or-later */
/* check.c - the whole survey in the form that was asked for; findings alone when there is none.
 */
#include "earshot/earshot.h"
#include "write.h"

enum earshot_status earshot_check_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out) {
    report_survey gathered;
    enum earshot_status status = report_gather(survey, belief, findings, &gathered);
    if (status != EARSHOT_OK)
        return status;
    if (form == EARSHOT_JSON)
        report_check_json(&gathered, out);
    else if (form == EARSHOT_CSV)
        report_check_csv(&gathered, out);
    else
        report_check_plain(&gathered, form == EARSHOT_PLAIN_ALL, out);
    report_release(&gathered);
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
