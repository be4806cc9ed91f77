/* SPDX-License-Identifier: GPL-3.0-or-later */
/* findings.c - findings alone: those of a survey that could not be loaded, and what looks odd
 * in one that could.
 */
#include "earshot/earshot.h"
#include "write.h"

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

/* {"schema", "version", "survey"; to be closed. */
static void begin_json(report_json *json, const char *schema, const char *survey_name) {
    report_open(json, NULL, '{');
    report_string(json, "schema", schema);
    report_string(json, "version", earshot_version());
    report_string(json, "survey", survey_name);
}

static void end_json(report_json *json) {
    report_close(json, '}');
    text_add(json->out, "\n");
}

enum earshot_status earshot_findings_write(const char *survey_name,
                                           const earshot_findings *findings,
                                           enum earshot_form form, earshot_text *out) {
    report_json json = {.out = out};
    if (form != EARSHOT_JSON) {
        findings_csv(findings, out);
    } else {
        begin_json(&json, "earshot/check/1", survey_name);
        report_open(&json, "links", '[');
        report_close(&json, ']');
        report_open(&json, "zones", '[');
        report_close(&json, ']');
        report_findings_json(&json, findings);
        end_json(&json);
    }
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}

/* ---- what looks odd ---- */

static void write_line(const earshot_finding *finding, earshot_text *out) {
    text_add(out, "  ");
    text_add(out, finding->file);
    if (finding->line) {
        text_add(out, ":");
        text_add_count(out, finding->line);
    }
    text_add(out, ": ");
    text_add(out, finding->sentence);
    text_add(out, "\n");
}

static void odd_plain(const earshot_findings *findings, earshot_text *out) {
    size_t n = earshot_findings_count(findings);
    if (n == 0) {
        text_add(out, "Nothing looks odd.\n");
        return;
    }
    text_add_count(out, n);
    text_add(out, n == 1 ? " thing looks" : " things look");
    text_add(out, " odd; each may be meant so, and is judged as it stands:\n");
    for (size_t i = 0; i < n; i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        write_line(&finding, out);
    }
}

enum earshot_status earshot_odd_write(const earshot_survey *survey,
                                      const earshot_findings *findings, enum earshot_form form,
                                      earshot_text *out) {
    report_json json = {.out = out};
    if (form == EARSHOT_CSV) {
        findings_csv(findings, out);
    } else if (form == EARSHOT_JSON) {
        begin_json(&json, "earshot/odd/1", earshot_survey_name(survey));
        report_findings_json(&json, findings);
        end_json(&json);
    } else {
        odd_plain(findings, out);
    }
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
