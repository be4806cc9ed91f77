/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_tables.c - the sheet as a readings.csv to be filled in, and as JSON for programs.
 *
 * What readings.csv has no column for stands in its note, so that the table reads back without
 * a finding, filled in or not, alone or below the readings that are there.
 */
#include <math.h>
#include <string.h>

#include "earshot/earshot.h"
#include "sheet.h"

static const char *scale_of(const sheet *sheet) {
    return sheet->meter == EARSHOT_NONE
               ? ""
               : earshot_survey_scale(sheet->gathered.survey, sheet->meter);
}

/* The next visit's number: one more than the largest there is, so that it comes after all. */
static double next_visit(const earshot_survey *survey) {
    double last = 0, number;
    for (size_t i = 0; i < survey->n_visits; i++)
        if (text_read_number(survey->visits[i], strlen(survey->visits[i]), '.', &number) ==
            TEXT_NUMBER_OK)
            last = fmax(last, floor(number));
    return last + 1;
}

/* ---- CSV ---- */

/* One row; what is blank is to be filled in. */
struct line {
    const char *heard_at, *device;
    double trips; /* not a number: blank */
    const char *scale, *placed, *doors, *as_left;
};

static void write_line(const sheet *sheet, const struct line *line, const earshot_text *note,
                       earshot_text *out) {
    report_cell(out, line->heard_at, false);
    report_cell(out, line->device, false);
    report_cell_number(out, line->trips, false);
    text_add(out, ",,"); /* heard, reading */
    report_cell(out, line->scale, false);
    report_cell(out, line->placed, false);
    report_cell(out, line->doors, false);
    text_add(out, ",,,"); /* noise, pad_db, time */
    report_cell_number(out, next_visit(sheet->gathered.survey), false);
    report_cell(out, line->as_left, false);
    report_cell(out, earshot_text_data(note), true);
    if (earshot_text_cut(note))
        text_lose(out);
}

static void write_noise(const sheet *sheet, const char *listener, const char *what,
                        earshot_text *out) {
    const struct line line = {listener, "", NAN, "", "", "", ""};
    earshot_text *note = earshot_text_new();
    if (note) {
        text_add(note, what);
        write_line(sheet, &line, note, out);
    } else {
        text_lose(out);
    }
    earshot_text_free(note);
}

static void write_zone(const sheet *sheet, const sheet_row *row, bool final,
                       earshot_text *out) {
    const survey_device *listener = sheet_listener(sheet, row);
    const struct line line = {.heard_at = listener ? listener->name : "",
                              .device = row->device->name,
                              .trips = final ? SHEET_FINAL_TRIPS : SHEET_TRIPS,
                              .scale = scale_of(sheet),
                              .placed = final ? "in place" : "held",
                              .doors = "shut",
                              .as_left = final ? "yes" : ""};
    earshot_text *note = earshot_text_new();
    if (note) {
        sheet_name(sheet, row, note);
        text_add(note, final ? "; screwed on, cover on: the lowest shown" : "; ");
        if (!final)
            sheet_expect(sheet, row, note);
        write_line(sheet, &line, note, out);
    } else {
        text_lose(out);
    }
    earshot_text_free(note);
}

void sheet_write_csv(const sheet *sheet, earshot_text *out) {
    const earshot_survey *survey = sheet->gathered.survey;
    text_add(out, "heard_at,device,trips,heard,reading,scale,placed,doors,noise,pad_db,time,"
                  "visit,as_left,note\n");
    for (size_t i = 0; i < survey->n_devices; i++) {
        if (survey->devices[i].role != SURVEY_RECEIVER)
            continue;
        write_noise(sheet, survey->devices[i].name, "noise over two minutes, dBm", out);
        write_noise(sheet, survey->devices[i].name, "noise again, at another hour", out);
    }
    for (size_t i = 0; i < sheet->n_rows; i++) {
        write_zone(sheet, &sheet->rows[i], false, out);
        write_zone(sheet, &sheet->rows[i], true, out);
    }
}

/* ---- JSON ---- */

static void write_last(report_json *json, const char *key, const sheet *sheet,
                       const planning_last *last) {
    bool any = last->trips > 0;
    report_open(json, key, '{');
    report_number(json, "trips", any ? last->trips : NAN);
    report_number(json, "heard", any ? last->heard : NAN);
    report_number(json, "reading", sheet_shown(sheet, last->level_dbm));
    report_close(json, '}');
}

static void write_mend(report_json *json, const sheet_row *row, earshot_text *out) {
    earshot_text *mend = earshot_text_new();
    if (mend)
        sheet_mend(row, mend);
    if (!mend || earshot_text_cut(mend))
        text_lose(out);
    else
        report_string(json, "try", earshot_text_data(mend));
    earshot_text_free(mend);
}

static void write_json_row(report_json *json, const sheet *sheet, const sheet_row *row,
                           earshot_text *out) {
    const survey_device *device = row->device, *listener = sheet_listener(sheet, row);
    const earshot_survey *survey = sheet->gathered.survey;
    size_t level = row->stop.where.level;
    report_open(json, NULL, '{');
    report_string(json, "device", device->name);
    report_number(json, "zone", device->zone ? device->zone : NAN);
    report_string(json, "label", device->label);
    report_string(json, "room", device->room);
    report_string(json, "level", level == EARSHOT_NONE ? NULL : survey->levels[level].name);
    report_string(json, "type", device->type);
    report_bool(json, "life_safety", device->life_safety);
    report_bool(json, "ladder", row->stop.where.ladder);
    report_number(json, "minutes", row->stop.minutes);
    report_string(json, "listener", listener ? listener->name : NULL);
    report_string(json, "verdict", earshot_verdict_word(row->zone->zone.prediction.verdict));
    report_string(json, "basis", earshot_basis_word(row->zone->zone.prediction.basis));
    report_number(json, "expected_reading_dbm", row->expect.level_dbm);
    report_number(json, "reading_sd_db", row->expect.sd_db);
    report_number(json, "stop_below_dbm", row->expect.stop_dbm);
    report_number(json, "expected", row->expect.shown);
    report_number(json, "expected_low", row->expect.low);
    report_number(json, "expected_high", row->expect.high);
    report_number(json, "stop_below", row->expect.stop);
    write_mend(json, row, out);
    if (sheet->since) {
        write_last(json, "last_held", sheet, &row->held);
        write_last(json, "last_in_place", sheet, &row->in_place);
    }
    report_close(json, '}');
}

void sheet_write_json(const sheet *sheet, earshot_text *out) {
    report_json json = {.out = out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/sheet/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(sheet->gathered.survey));
    report_string(&json, "scale", sheet->meter == EARSHOT_NONE ? NULL : scale_of(sheet));
    report_string(&json, "unit", sheet_unit(sheet));
    report_number(&json, "most", sheet_most(sheet));
    report_number(&json, "minutes", sheet->minutes);
    report_number(&json, "pages", (double)sheet_count_pages(sheet->n_rows));
    report_number(&json, "undated", sheet->since ? (double)sheet->n_undated : NAN);
    report_open(&json, "zones", '[');
    for (size_t i = 0; i < sheet->n_rows; i++)
        write_json_row(&json, sheet, &sheet->rows[i], out);
    report_close(&json, ']');
    report_findings_json(&json, sheet->gathered.findings);
    report_close(&json, '}');
    text_add(out, "\n");
}
