/* SPDX-License-Identifier: GPL-3.0-or-later */
/* reports.c - a report is whole lines of UTF-8 without control characters; as CSV our own
 * reader takes it without a fault, as JSON a general-purpose library does.
 */
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "must.h"
#include "reports.h"
#include "tables.h"
#include "text.h"

static void check_json(const char *report, size_t size) {
    json_t *json = json_loadb(report, size, JSON_REJECT_DUPLICATES, NULL);
    must(json_is_object(json));
    json_decref(json);
}

static void check_csv(const char *report, size_t size) {
    const earshot_bytes bytes = {.name = "report.csv", .data = report, .size = size};
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    must(findings != NULL);
    must(tables_read(&bytes, 0, findings, &sheet) == EARSHOT_OK);
    must(earshot_findings_count(findings) == 0);
    must(sheet.n_columns > 1);
    tables_close(&sheet);
    earshot_findings_free(findings);
}

static void check_plain(const char *report, size_t size) {
    for (size_t at = 0; at < size; at++) {
        at += text_line_valid(report + at, size - at);
        must(at < size && report[at] == '\n');
    }
}

void reports_check(enum earshot_status status, enum earshot_form form, earshot_text *report) {
    const char *data = earshot_text_data(report);
    size_t size = earshot_text_size(report);
    must(status == EARSHOT_OK);
    must(size > 1 && strlen(data) == size && data[size - 1] == '\n');
    must(text_utf8_valid(data, size) == size);
    if (form == EARSHOT_JSON) {
        check_json(data, size);
    } else if (form == EARSHOT_CSV) {
        check_csv(data, size);
    } else {
        check_plain(data, size);
    }
    earshot_text_free(report);
}

static bool is_line(const char *text) {
    return text_line_valid(text, strlen(text)) == strlen(text);
}

void reports_check_findings(const earshot_findings *findings) {
    size_t n_errors = 0;
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        must(is_line(finding.sentence) && finding.sentence[0] && is_line(finding.file));
        must(finding.times > 0 && (finding.times == 1 || finding.severity == EARSHOT_NOTE));
        must(finding.line > 0 || finding.column == 0);
        n_errors += finding.severity == EARSHOT_ERROR;
    }
    must(n_errors == earshot_findings_errors(findings));
}
