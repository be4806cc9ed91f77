/* SPDX-License-Identifier: GPL-3.0-or-later */
/* checked.c - one survey among many, in one line: schema earshot/checked/1, or a row of CSV.
 *
 * The words are those of earshot/check/1, and so are the keys of what stands for one zone or
 * one finding. A survey that was refused, or could not be read, has the same keys with null in
 * them.
 */
#include <math.h>
#include <stdlib.h>

#include "earshot/earshot.h"
#include "write.h"

enum { FIRST_FEW = 5 };

/* All that is said of one. */
struct summary {
    const earshot_checked *checked;
    const char *status;
    size_t count[4]; /* zones by verdict */
    size_t n_zones, weak_life_safety, untested_life_safety;
    earshot_zone least; /* the zone with the least to spare */
    bool has_least;
    size_t n_errors, n_notes;
    earshot_text *why; /* nothing: it was judged */
};

static void count_zone(struct summary *summary, const earshot_zone *zone) {
    const earshot_prediction *prediction = &zone->prediction;
    bool firm = prediction->verdict == EARSHOT_FIRM;
    summary->count[prediction->verdict]++;
    summary->weak_life_safety +=
        summary->checked->survey->devices[zone->device].life_safety && !firm;
    summary->untested_life_safety += report_untested(&zone->link, prediction);
    if (zone->link.listener == EARSHOT_NONE || isnan(prediction->spare_db))
        return;
    if (summary->has_least && !(prediction->spare_db < summary->least.prediction.spare_db))
        return;
    summary->least = *zone;
    summary->has_least = true;
}

static enum earshot_status count_zones(struct summary *summary) {
    const earshot_checked *checked = summary->checked;
    size_t most = checked->survey->n_devices;
    earshot_zone *zones = calloc(most + 1, sizeof *zones);
    enum earshot_status status = zones ? earshot_zones_judge(checked->survey, checked->belief,
                                                             zones, most, &summary->n_zones)
                                       : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < summary->n_zones; i++)
        count_zone(summary, &zones[i]);
    free(zones);
    return status;
}

/* "3 faults; devices.csv:4:6: 'sensr' is not one of the words ...". */
static void say_why(struct summary *summary) {
    const earshot_checked *checked = summary->checked;
    if (checked->unread)
        text_add_in_line(summary->why, checked->unread);
    if (checked->survey || checked->unread)
        return;
    size_t first = 0;
    while (first < earshot_findings_count(checked->findings) &&
           earshot_findings_at(checked->findings, first).severity != EARSHOT_ERROR)
        first++;
    text_add_count(summary->why, summary->n_errors);
    text_add(summary->why, summary->n_errors == 1 ? " fault" : " faults");
    if (first == earshot_findings_count(checked->findings))
        return;
    const earshot_finding finding = earshot_findings_at(checked->findings, first);
    text_add(summary->why, "; ");
    report_place(&finding, summary->why);
}

static enum earshot_status sum_up(struct summary *summary) {
    const earshot_checked *checked = summary->checked;
    summary->status = checked->unread ? "unread" : checked->survey ? "ok" : "refused";
    summary->n_errors = earshot_findings_errors(checked->findings);
    summary->n_notes = earshot_findings_count(checked->findings) - summary->n_errors;
    say_why(summary);
    if (earshot_text_cut(summary->why))
        return EARSHOT_NO_MEMORY;
    return checked->survey ? count_zones(summary) : EARSHOT_OK;
}

/* ---- a line of JSON ---- */

static void write_least(report_json *json, const struct summary *summary) {
    if (!summary->has_least) {
        report_string(json, "smallest_spare", NULL);
        return;
    }
    const survey_device *device = &summary->checked->survey->devices[summary->least.device];
    const earshot_prediction *prediction = &summary->least.prediction;
    report_open(json, "smallest_spare", '{');
    report_string(json, "device", device->name);
    report_number(json, "zone", device->zone ? device->zone : NAN);
    report_string(json, "label", device->label);
    report_string(json, "room", device->room);
    report_bool(json, "life_safety", device->life_safety);
    report_number(json, "spare_db", prediction->spare_db);
    report_number(json, "margin_sd_db", prediction->margin_sd_db);
    report_string(json, "verdict", earshot_verdict_word(prediction->verdict));
    report_string(json, "basis", earshot_basis_word(prediction->basis));
    report_close(json, '}');
}

static void write_first_errors(report_json *json, const earshot_findings *findings) {
    size_t n = earshot_findings_count(findings), shown = 0;
    report_open(json, "findings", '[');
    for (size_t i = 0; i < n && shown < FIRST_FEW; i++) {
        const earshot_finding finding = earshot_findings_at(findings, i);
        if (finding.severity != EARSHOT_ERROR)
            continue;
        report_finding_json(json, &finding);
        shown++;
    }
    report_close(json, ']');
}

static void write_json(const struct summary *summary, earshot_text *out) {
    const earshot_checked *checked = summary->checked;
    const earshot_survey *survey = checked->survey;
    report_json json = {.out = out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/checked/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "folder", checked->folder);
    report_string(&json, "survey", survey ? earshot_survey_name(survey) : NULL);
    report_string(&json, "status", summary->status);
    report_number(&json, "zones", survey ? (double)summary->n_zones : NAN);
    for (int i = 0; i < 4; i++)
        report_number(&json, i == EARSHOT_NOT_JUDGED ? "not_judged" : earshot_verdict_word(i),
                      survey ? (double)summary->count[i] : NAN);
    report_number(&json, "weak_life_safety", survey ? (double)summary->weak_life_safety : NAN);
    report_number(&json, "untested_life_safety",
                  survey ? (double)summary->untested_life_safety : NAN);
    write_least(&json, summary);
    report_number(&json, "errors", (double)summary->n_errors);
    report_number(&json, "notes", (double)summary->n_notes);
    report_string(&json, "why",
                  earshot_text_size(summary->why) ? earshot_text_data(summary->why) : NULL);
    write_first_errors(&json, checked->findings);
    report_close(&json, '}');
    text_add(out, "\n");
}

/* ---- a row of CSV ---- */

static const char header[] =
    "folder,survey,status,zones,firm,thin,out,not_judged,weak_life_safety,"
    "untested_life_safety,smallest_spare_db,margin_sd_db,device,zone,label,room,life_safety,"
    "verdict,basis,errors,notes,why\n";

static void write_least_cells(const struct summary *summary, earshot_text *out) {
    const survey_device *device =
        summary->has_least ? &summary->checked->survey->devices[summary->least.device] : NULL;
    const earshot_prediction *prediction = &summary->least.prediction;
    report_cell_number(out, device ? prediction->spare_db : NAN, false);
    report_cell_number(out, device ? prediction->margin_sd_db : NAN, false);
    report_cell(out, device ? device->name : "", false);
    report_cell_number(out, device && device->zone ? device->zone : NAN, false);
    report_cell(out, device ? device->label : "", false);
    report_cell(out, device ? device->room : "", false);
    report_cell(out, !device ? "" : device->life_safety ? "yes" : "no", false);
    report_cell(out, device ? earshot_verdict_word(prediction->verdict) : "", false);
    report_cell(out, device ? earshot_basis_word(prediction->basis) : "", false);
}

static void write_csv(const struct summary *summary, earshot_text *out) {
    const earshot_survey *survey = summary->checked->survey;
    report_cell(out, summary->checked->folder, false);
    report_cell(out, survey ? earshot_survey_name(survey) : "", false);
    report_cell(out, summary->status, false);
    const size_t counts[] = {summary->n_zones,
                             summary->count[EARSHOT_FIRM],
                             summary->count[EARSHOT_THIN],
                             summary->count[EARSHOT_OUT],
                             summary->count[EARSHOT_NOT_JUDGED],
                             summary->weak_life_safety,
                             summary->untested_life_safety};
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
        report_cell_number(out, survey ? (double)counts[i] : NAN, false);
    write_least_cells(summary, out);
    report_cell_number(out, (double)summary->n_errors, false);
    report_cell_number(out, (double)summary->n_notes, false);
    report_cell(out, earshot_text_data(summary->why), true);
}

const char *earshot_checked_header(enum earshot_form form) {
    return form == EARSHOT_CSV ? header : "";
}

enum earshot_status earshot_checked_write(const earshot_checked *checked,
                                          enum earshot_form form, earshot_text *out,
                                          size_t *n_weak, earshot_text *why) {
    struct summary summary = {.checked = checked, .why = earshot_text_new()};
    enum earshot_status status = summary.why ? sum_up(&summary) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK) {
        (form == EARSHOT_CSV ? write_csv : write_json)(&summary, out);
        status = earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
    }
    if (status == EARSHOT_OK && n_weak)
        *n_weak = summary.n_zones - summary.count[EARSHOT_FIRM];
    if (status == EARSHOT_OK && why)
        text_add(why, earshot_text_data(summary.why));
    earshot_text_free(summary.why);
    return status;
}
