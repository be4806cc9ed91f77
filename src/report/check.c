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

static void findings_csv(const earshot_findings *findings, earshot_text *out) {
    text_add(out, "severity,code,file,line,column,sentence,times\n");
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        report_cell(out, finding.severity == EARSHOT_ERROR ? "error" : "note", false);
        report_cell(out, finding.code, false);
        report_cell(out, finding.file, false);
        report_cell_number(out, finding.line, false);
        report_cell_number(out, finding.column, false);
        report_cell(out, finding.sentence, false);
        report_cell_number(out, finding.times, true);
    }
}

enum earshot_status earshot_findings_write(const char *survey_name,
                                           const earshot_findings *findings,
                                           enum earshot_form form, earshot_text *out) {
    report_json json = {.out = out};
    if (form != EARSHOT_JSON) {
        findings_csv(findings, out);
    } else {
        report_open(&json, NULL, '{');
        report_string(&json, "schema", "earshot/check/1");
        report_string(&json, "version", earshot_version());
        report_string(&json, "survey", survey_name);
        report_open(&json, "links", '[');
        report_close(&json, ']');
        report_open(&json, "zones", '[');
        report_close(&json, ']');
        report_findings_json(&json, findings);
        report_close(&json, '}');
        text_add(out, "\n");
    }
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
