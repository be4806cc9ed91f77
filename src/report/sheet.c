/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet.c - the sheet gathered: zones in walking order, what to expect, what was read last.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sheet.h"

/* ---- words ---- */

static const survey_device *first_receiver(const earshot_survey *survey) {
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].role == SURVEY_RECEIVER)
            return &survey->devices[i];
    return NULL;
}

const survey_device *sheet_listener(const sheet *sheet, const sheet_row *row) {
    const earshot_survey *survey = sheet->gathered.survey;
    size_t listener = row->zone->zone.link.listener;
    return listener == EARSHOT_NONE ? first_receiver(survey) : &survey->devices[listener];
}

/* Whom it is read at goes without saying where that is the first receiver. */
void sheet_name(const sheet *sheet, const sheet_row *row, earshot_text *out) {
    const survey_device *device = row->device, *listener = sheet_listener(sheet, row);
    report_zone_name(out, device);
    report_room(out, device);
    if (listener != first_receiver(sheet->gathered.survey)) {
        text_add(out, ", read at ");
        text_add_in_line(out, report_name(listener));
    }
}

static const survey_scale *meter_of(const sheet *sheet) {
    return sheet->meter == EARSHOT_NONE ? NULL : &sheet->gathered.survey->scales[sheet->meter];
}

const char *sheet_unit(const sheet *sheet) {
    const survey_scale *meter = meter_of(sheet);
    if (!meter || !meter->n_steps)
        return "dBm";
    return meter->by_steps ? "bars" : meter->name;
}

double sheet_most(const sheet *sheet) {
    const survey_scale *meter = meter_of(sheet);
    if (!meter || !meter->n_steps || !meter->by_steps)
        return NAN;
    return sheet->gathered.survey->steps[meter->first_step + meter->n_steps - 1].reading;
}

double sheet_shown(const sheet *sheet, double level_dbm) {
    return isnan(level_dbm)
               ? NAN
               : round(survey_shown(sheet->gathered.survey, sheet->meter, level_dbm));
}

static void write_shown(const sheet *sheet, const planning_expectation *expect,
                        earshot_text *out) {
    text_add(out, "expect ");
    text_add_fixed(out, expect->shown, 0);
    if (!isnan(sheet_most(sheet))) {
        text_add(out, " of ");
        text_add_number(out, sheet_most(sheet));
    }
    text_add(out, " ");
    text_add_in_line(out, sheet_unit(sheet));
    if (expect->low < expect->high) {
        text_add(out, " (");
        text_add_fixed(out, expect->low, 0);
        text_add(out, " to ");
        text_add_fixed(out, expect->high, 0);
        text_add(out, ")");
    }
}

void sheet_expect(const sheet *sheet, const sheet_row *row, earshot_text *out) {
    const planning_expectation *expect = &row->expect;
    if (isnan(expect->shown)) {
        text_add(out, "nobody can say what to expect: ");
        report_cause(out, &row->expect.advice, row->parts);
        return;
    }
    write_shown(sheet, expect, out);
    if (isnan(expect->stop))
        return;
    text_add(out, "; below ");
    text_add_fixed(out, expect->stop, 0);
    text_add(out, " stop and ");
    sheet_mend(row, out);
}

/* As report_try says it, in as few words as fit beside the boxes. */
void sheet_mend(const sheet_row *row, earshot_text *out) {
    const planning_advice *advice = &row->expect.advice;
    const earshot_part *part =
        row->parts && advice->cause != EARSHOT_NONE ? &row->parts[advice->cause] : NULL;
    switch (advice->step) {
    case PLANNING_SLIDE:
        text_add(out, "slide it ");
        text_add_fixed(out, advice->slide_m * 100, 0);
        text_add(out, " cm along the wall");
        return;
    case PLANNING_REMOUNT:
        text_add(out, "fix it another way");
        return;
    case PLANNING_AVOID:
        text_add(out, "hang it clear of ");
        text_add_in_line(out, part->of ? part->of : part->name);
        return;
    case PLANNING_LOOK:
        text_add(out, "look for metal, and at its battery");
        return;
    case PLANNING_MOVE:
        text_add(out, "move the receiver, or plan a repeater");
        return;
    default:
        report_try(out, advice, row->parts);
        return;
    }
}

void sheet_undated(const sheet *sheet, earshot_text *out) {
    text_add_count(out, sheet->n_undated);
    text_add(out, sheet->n_undated == 1
                      ? " reading has no time written year first, like 2026-03-10, and is not "
                        "shown"
                      : " readings have no time written year first, like 2026-03-10, and are "
                        "not shown");
}

/* ---- gathering ---- */

static const report_zone *zone_of(const sheet *sheet, size_t device) {
    size_t i = 0;
    while (sheet->gathered.zones[i].zone.device != device)
        i++;
    return &sheet->gathered.zones[i];
}

static const survey_level *level_at(const sheet *sheet, const planning_stop *stop,
                                    const planning_stop *before) {
    if (stop->where.level == EARSHOT_NONE || sheet->gathered.survey->n_levels < 2 ||
        (before && before->where.level == stop->where.level))
        return NULL;
    return &sheet->gathered.survey->levels[stop->where.level];
}

static void fill_row(sheet *sheet, const planning_stop *stop, const planning_stop *before,
                     const char *since, sheet_row *row) {
    const report_survey *gathered = &sheet->gathered;
    const earshot_survey *survey = gathered->survey;
    const report_zone *zone = zone_of(sheet, stop->device);
    const report_link *link = zone->link == EARSHOT_NONE ? NULL : &gathered->links[zone->link];
    const earshot_link *way = &zone->zone.link;
    const planning_last nothing = {.level_dbm = NAN};
    *row = (sheet_row){.zone = zone,
                       .device = &survey->devices[stop->device],
                       .parts = link ? link->parts : NULL,
                       .stop = *stop,
                       .expect = planning_expect(
                           survey, gathered->belief, sheet->meter, way, &zone->zone.prediction,
                           link ? link->parts : NULL, link ? link->n_parts : 0),
                       .held = since ? planning_last_of(survey, way, false, since) : nothing,
                       .in_place = since ? planning_last_of(survey, way, true, since) : nothing,
                       .level = level_at(sheet, stop, before)};
    sheet->ladder = sheet->ladder || stop->where.ladder;
    sheet->motion = sheet->motion || planning_is_motion(survey, stop->device);
    sheet->life_safety = sheet->life_safety || row->device->life_safety;
}

static enum earshot_status gather_rows(sheet *sheet, const char *since) {
    const earshot_survey *survey = sheet->gathered.survey;
    planning_stop *stops = calloc(survey->n_devices + 1, sizeof *stops);
    sheet->rows = calloc(survey->n_devices + 1, sizeof *sheet->rows);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (stops && sheet->rows)
        status = planning_walk(survey, stops, &sheet->n_rows, &sheet->minutes);
    for (size_t i = 0; status == EARSHOT_OK && i < sheet->n_rows; i++)
        fill_row(sheet, &stops[i], i ? &stops[i - 1] : NULL, since, &sheet->rows[i]);
    free(stops);
    return status;
}

static enum earshot_status gather(const earshot_survey *survey, const earshot_belief *belief,
                                  const char *since, const earshot_findings *findings,
                                  sheet *sheet) {
    enum earshot_status status = report_gather(survey, belief, findings, &sheet->gathered);
    if (status != EARSHOT_OK)
        return status;
    sheet->since = since;
    sheet->n_undated = since ? planning_undated(survey) : 0;
    status = gather_rows(sheet, since);
    if (status != EARSHOT_OK)
        report_release(&sheet->gathered);
    return status;
}

enum earshot_status earshot_sheet_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_sheet *asked,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out) {
    sheet sheet = {.meter = asked->meter ? earshot_survey_find_scale(survey, asked->meter)
                                         : planning_meter(survey)};
    if ((asked->meter && sheet.meter == survey->n_scales) ||
        (asked->since && !earshot_date_valid(asked->since)))
        return EARSHOT_MISUSE;
    enum earshot_status status = gather(survey, belief, asked->since, findings, &sheet);
    if (status == EARSHOT_OK) {
        if (form == EARSHOT_HTML)
            sheet_write_html(&sheet, out);
        else if (form == EARSHOT_JSON)
            sheet_write_json(&sheet, out);
        else if (form == EARSHOT_CSV)
            sheet_write_csv(&sheet, out);
        else
            sheet_write_questions(&sheet, out);
        report_release(&sheet.gathered);
    }
    free(sheet.rows);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}
