/* SPDX-License-Identifier: GPL-3.0-or-later */
/* report_technician.c - the record of a visit: where the receiver hangs, the plan, each zone
 * with what was predicted, measured and corrected, what was decided, every reading, and what to
 * read next. It carries the survey's own tables, so that a lost folder comes back from it.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "carried.h"
#include "next.h"
#include "page.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- who, when, with what, and where the receiver hangs ---- */

static void write_who(const page *page) {
    const survey_site *site = &page->survey->site;
    text_add(page->out, "<div class=\"fields\">\n");
    page_field(page, "Who", site->technician);
    page_field(page, "Competence", site->competence);
    page_field(page, "Company", site->company);
    page_field(page, "Date", page->asked->date);
    page_field(page, "Meter", site->meter);
    page_field(page, "Signature", NULL);
    text_add(page->out, "</div>\n");
}

static const char *compass(double toward_deg) {
    static const char *const words[] = {"north", "north-east", "east", "south-east",
                                        "south", "south-west", "west", "north-west"};
    double turns = toward_deg / 360;
    return words[(size_t)(8 * (turns - floor(turns)) + 0.5) % 8];
}

/* "0.4 m from wall g-south, to the south" */
static void write_dimension(const page *page, const planning_dimension *dimension) {
    text_add(page->out, ", ");
    text_add_fixed(page->out, dimension->distance_m, 2);
    text_add(page->out, " m from wall ");
    report_html(page->out, page->survey->walls[dimension->wall].name);
    if (dimension->distance_m > 0) {
        text_add(page->out, " to the ");
        text_add(page->out, compass(dimension->toward_deg));
    }
}

static void write_listener(const page *page, size_t row) {
    const earshot_survey *survey = page->survey;
    const survey_device *device = &survey->devices[row];
    earshot_text *out = page->out;
    planning_dimension dimensions[PLANNING_MAX_DIMENSIONS];
    size_t n = planning_dimensions(survey, row, dimensions);
    text_add(out, "<li><b>");
    report_html(out, report_name(device));
    text_add(out, "</b> (");
    text_add(out, device->role == SURVEY_REPEATER ? "repeater" : "receiver");
    text_add(out, ")");
    if (device->room[0]) {
        text_add(out, ", ");
        report_html(out, device->room);
    }
    if (device->level != EARSHOT_NONE) {
        text_add(out, ", ");
        report_html(out, survey->levels[device->level].name);
    }
    for (size_t i = 0; i < n; i++)
        write_dimension(page, &dimensions[i]);
    if (device->level != EARSHOT_NONE && isfinite(device->place.z_m)) {
        text_add(out, ", ");
        text_add_fixed(out, device->place.z_m - survey->levels[device->level].floor_z_m, 2);
        text_add(out, " m above its floor");
    }
    if (device->level == EARSHOT_NONE)
        text_add(out, ", place not measured");
    text_add(out, "</li>\n");
}

static void write_listeners(const page *page) {
    page_heading(page, "Where the receiver hangs");
    text_add(page->out, "<ul>\n");
    for (size_t i = 0; i < page->survey->n_devices; i++)
        if (page->survey->devices[i].role != SURVEY_SENSOR)
            write_listener(page, i);
    text_add(page->out,
             "</ul>\n<p class=\"small\">Square to the lines of walls.csv, which have "
             "no thickness.</p>\n");
}

/* ---- the plan ---- */

static enum earshot_status write_level_plan(const page *page, const earshot_plan_task *task) {
    if (!earshot_plan_task_valid(page->survey, task))
        return EARSHOT_OK;
    text_add(page->out, "<figure class=\"plan\">\n");
    enum earshot_status status =
        earshot_plan_write(page->survey, page->belief, task, EARSHOT_HTML, page->out);
    text_add(page->out, "</figure>\n");
    return status;
}

/* Each level by itself, so that paper breaks between them. */
static enum earshot_status write_plan(const page *page) {
    enum earshot_status status = EARSHOT_OK;
    if (!page->asked->plan || !earshot_survey_has_plan(page->survey))
        return EARSHOT_OK;
    page_heading(page, "Plan");
    earshot_plan_task task = *page->asked->plan;
    if (task.level != EARSHOT_NONE)
        return write_level_plan(page, &task);
    for (size_t i = 0; i < page->survey->n_levels && status == EARSHOT_OK; i++) {
        task.level = i;
        status = write_level_plan(page, &task);
    }
    return status;
}

/* ---- the zone schedule ---- */

/* "-33 dBm, 3/3" */
static void write_measured(const page *page, const report_link *link) {
    const report_measured *measured = &link->measured;
    bool level = isfinite(measured->level_dbm);
    text_add(page->out, "<td class=\"n\">");
    if (level)
        text_add_fixed(page->out, measured->level_dbm, 0);
    if (measured->trips) {
        text_add(page->out, level ? ", " : "");
        text_add_count(page->out, measured->heard);
        text_add(page->out, "/");
        text_add_count(page->out, measured->trips);
    }
    if (!level && !measured->trips && measured->silent)
        text_add(page->out, "not heard");
    text_add(page->out, "</td>");
}

static void write_levels(const page *page, const report_link *link) {
    page_cell_doubt(page, link->plan.expected_reading_dbm, link->plan.reading_sd_db, 0);
    write_measured(page, link);
    page_cell_doubt(page, link->prediction.expected_reading_dbm, link->prediction.reading_sd_db,
                    0);
}

static void write_device(const page *page, const survey_device *device) {
    page_cell(page, device->type);
    page_cell(page, !device->serial[0] || page->asked->serials ? device->serial : "masked");
    page_cell_count(page, device->input);
    page_cell(page, device->unsupervised ? "no" : "yes");
}

static void write_zone(const page *page, size_t i) {
    const report_survey *gathered = &page->gathered;
    const earshot_zone *zone = &gathered->zones[i].zone;
    const earshot_prediction *prediction = &zone->prediction;
    const survey_device *devices = page->survey->devices, *device = &devices[zone->device];
    size_t link = gathered->zones[i].link, listener = zone->link.listener;
    static const report_link none = {.plan = {.expected_reading_dbm = NAN},
                                     .prediction = {.expected_reading_dbm = NAN},
                                     .measured = {.level_dbm = NAN}};
    page_row(page);
    page_cell_count(page, device->zone);
    page_cell(page, report_name(device));
    page_cell(page, device->room);
    page_cell(page, listener == EARSHOT_NONE ? "" : report_name(&devices[listener]));
    page_cell_mark(page, prediction->verdict, device->life_safety);
    page_cell_doubt(page, listener == EARSHOT_NONE ? NAN : prediction->spare_db,
                    prediction->margin_sd_db, 0);
    write_levels(page, link == EARSHOT_NONE ? &none : &gathered->links[link]);
    page_cell(page, report_state(page->tested[i].final.state));
    write_device(page, device);
    page_row_end(page);
}

static void write_schedule(const page *page) {
    static const page_column columns[] = {
        {"zone", true},           {"label", false},        {"room", false},
        {"heard by", false},      {"mark", false},         {"spare, dB", true},
        {"predicted, dBm", true}, {"measured, dBm", true}, {"corrected, dBm", true},
        {"final test", false},    {"type", false},         {"serial", false},
        {"input", true},          {"supervised", false}};
    page_heading(page, "Zone schedule");
    page_key(page, report_verdict, "spare: margin less what is kept for the years, dB");
    page_table(page, "zone schedule", columns, COUNT(columns));
    for (size_t i = 0; i < page->gathered.n_zones; i++)
        write_zone(page, i);
    page_table_end(page);
    text_add(page->out,
             "<p class=\"small\">Predicted: by the tables alone. Measured: on the last visit, "
             "doors shut, level and test alarms heard. Corrected: what a new reading by hand "
             "should show, all readings counted.</p>\n");
}

/* ---- decisions ---- */

static void write_spot(const page *page, const survey_spot *spot) {
    const struct {
        bool has;
        const char *word;
    } traits[] = {{spot->mains, "mains"},
                  {spot->protected, "protected"},
                  {spot->network, "network"},
                  {spot->near_metal, "near metal"},
                  {spot->reachable_by_intruder, "an intruder can reach it"}};
    bool first = true;
    text_add(page->out, "<li>spot <b>");
    report_html(page->out, spot->name);
    text_add(page->out, "</b>");
    for (size_t i = 0; i < COUNT(traits); i++)
        if (traits[i].has) {
            text_add(page->out, first ? ": " : ", ");
            text_add(page->out, traits[i].word);
            first = false;
        }
    if (spot->note[0]) {
        text_add(page->out, first ? ": " : "; ");
        report_html(page->out, spot->note);
    }
    text_add(page->out, "</li>\n");
}

static void write_remark(const page *page, const survey_remark *remark) {
    text_add(page->out, "<li>");
    report_html(page->out, remark->key);
    text_add(page->out, " ");
    report_html(page->out, remark->value);
    text_add(page->out, ": ");
    report_html(page->out, remark->note);
    text_add(page->out, "</li>\n");
}

static void write_decisions(const page *page) {
    const earshot_survey *survey = page->survey;
    page_heading(page, "Decisions and notes");
    text_add(page->out, "<div class=\"fields line\">\n");
    page_field(page, "Decided", survey->site.decisions);
    text_add(page->out, "</div>\n");
    if (page->asked->proposed) {
        text_add(page->out, "<p>Proposed: <b>");
        report_html(page->out, page->asked->proposed);
        text_add(page->out, "</b></p>\n");
    }
    if (survey->n_remarks + survey->n_spots == 0)
        return;
    text_add(page->out, "<ul>\n");
    for (size_t i = 0; i < survey->n_remarks; i++)
        write_remark(page, &survey->remarks[i]);
    for (size_t i = 0; i < survey->n_spots; i++)
        write_spot(page, &survey->spots[i]);
    text_add(page->out, "</ul>\n");
}

/* ---- the log ---- */

static void write_level(const page *page, const survey_reading *reading) {
    double low_dbm = reading->low_dbm, high_dbm = reading->high_dbm;
    text_add(page->out, "<td class=\"n\">");
    if (reading->none && !reading->trips) {
        text_add(page->out, "not heard");
    } else if (isfinite(low_dbm) && isfinite(high_dbm)) {
        text_add_fixed(page->out, low_dbm, 0);
        if (low_dbm < high_dbm) {
            text_add(page->out, " to ");
            text_add_fixed(page->out, high_dbm, 0);
        }
    } else if (isfinite(low_dbm)) {
        text_add(page->out, "over ");
        text_add_fixed(page->out, low_dbm, 0);
    } else if (isfinite(high_dbm)) {
        text_add(page->out, "under ");
        text_add_fixed(page->out, high_dbm, 0);
    }
    text_add(page->out, "</td>");
}

static void write_heard(const page *page, const survey_reading *reading) {
    text_add(page->out, "<td class=\"n\">");
    if (reading->trips) {
        text_add_count(page->out, reading->heard);
        text_add(page->out, "/");
        text_add_count(page->out, reading->trips);
    }
    text_add(page->out, "</td>");
}

static void write_place_in_file(const page *page, const survey_reading *reading) {
    text_add(page->out, "<td>");
    report_html(page->out, reading->file);
    text_add(page->out, ":");
    text_add_count(page->out, reading->table_line);
    text_add(page->out, "</td>");
}

static void write_reading(const page *page, const survey_reading *reading) {
    static const char *const placed[] = {"in place", "held", "walked"};
    const earshot_survey *survey = page->survey;
    page_row(page);
    page_cell(page, survey->visits[reading->visit]);
    page_cell(page, reading->time);
    page_cell(page, report_name(&survey->devices[reading->heard_at]));
    page_cell(page, reading->device == EARSHOT_NONE
                        ? "a walked point"
                        : report_name(&survey->devices[reading->device]));
    write_heard(page, reading);
    write_level(page, reading);
    page_cell_number(page, reading->noise_dbm, 0);
    page_cell(page, placed[reading->placed]);
    page_cell(page, reading->doors_open ? "open" : "shut");
    page_cell_number(page, reading->pad_db > 0 ? reading->pad_db : NAN, 0);
    write_place_in_file(page, reading);
    page_row_end(page);
}

static void write_log(const page *page) {
    static const page_column columns[] = {
        {"visit", false}, {"time", false},   {"heard at", false},  {"device", false},
        {"heard", true},  {"dBm", true},     {"noise, dBm", true}, {"placed", false},
        {"doors", false}, {"pad, dB", true}, {"stands in", false}};
    page_heading(page, "Log of readings");
    if (page->survey->n_readings == 0) {
        text_add(page->out, "<p>Nothing was read: all of this is predicted.</p>\n");
        return;
    }
    page_table(page, "log of readings", columns, COUNT(columns));
    for (size_t i = 0; i < page->survey->n_readings; i++)
        write_reading(page, &page->survey->readings[i]);
    page_table_end(page);
}

/* ---- what to read next, and what to mind ---- */

enum { N_NEXT = 5 };

static void write_next_reading(const page *page, const planning_reading *reading) {
    const earshot_survey *survey = page->survey;
    earshot_text *out = page->out;
    text_add(out, "<li>");
    report_html(out, reading->device == EARSHOT_NONE
                         ? survey->spots[reading->spot].name
                         : report_name(&survey->devices[reading->device]));
    text_add(out, reading->device == EARSHOT_NONE ? " (hold a sensor there), at " : ", at ");
    report_html(out, report_name(&survey->devices[reading->listener]));
    text_add(out, ": ");
    text_add_fixed(out, reading->minutes, 0);
    text_add(out, reading->ladder ? " min, ladder" : " min");
    text_add(out, reading->pays ? "</li>\n" : "; hardly pays</li>\n");
}

static enum earshot_status write_next(const page *page) {
    planning_reading readings[N_NEXT];
    planning_worth worth = {.n = 0};
    bool hang = false;
    for (size_t i = 0; i < page->survey->n_readings; i++)
        hang = hang || page->survey->readings[i].placed == SURVEY_IN_PLACE;
    enum earshot_status status = planning_next(page->survey, page->belief, hang, N_NEXT,
                                               page->asked->watch, readings, &worth);
    if (status != EARSHOT_OK)
        return status;
    page_heading(page, "Read next");
    if (worth.n_zones == 0)
        text_add(page->out, "<p>No zone can be judged yet; earshot check says what is "
                            "missing.</p>\n");
    else if (worth.n == 0)
        text_add(page->out, "<p>Nothing: every zone that can be judged was read.</p>\n");
    else if (worth.n_paying == 0)
        text_add(page->out, "<p>No reading would settle much for its minutes.</p>\n<ul>\n");
    else
        text_add(page->out, hang ? "<p>In place, doors shut, ten trips each:</p>\n<ul>\n"
                                 : "<p>Held where it will hang, doors shut, ten trips "
                                   "each:</p>\n<ul>\n");
    for (size_t i = 0; i < worth.n_settling; i++)
        write_next_reading(page, &readings[i]);
    text_add(page->out, worth.n ? "</ul>\n" : "");
    return EARSHOT_OK;
}

static void write_cautions(const page *page) {
    static const char *const cautions[] = {
        "A planning aid. Detector placement, approved equipment, supervision intervals, "
        "whether "
        "a repeater may be used, and the final decision belong to local codes, the makers' "
        "instructions, the authority having jurisdiction and licensed practice.",
        "What guards life is not signed firm on prediction: it is tested on its final fixing.",
        "The acceptance is a test of every device on its final fixing, cover on, doors shut, "
        "three trips, the lowest used; then a walk on reduced power. It is repeated after "
        "building work, furnishing, a new battery, and yearly.",
        "A radio over its band's limit is not mended by more power. Mains for a repeater is "
        "electricians' work. Someone holds the ladder; no open flame at a smoke detector.",
        "Put the account on test and tell the occupants before tripping anything; restore it "
        "after.",
        "This page shows weak zones: it is no page for the customer."};
    page_heading(page, "Cautions");
    page_list(page, cautions, COUNT(cautions));
}

static enum earshot_status write_notes(const page *page) {
    size_t n = earshot_findings_count(page->findings);
    enum earshot_status status = EARSHOT_OK;
    page_heading(page, "Notes");
    text_add(page->out, n ? "<ul class=\"small\">\n" : "<p>None.</p>\n");
    for (size_t i = 0; i < n && status == EARSHOT_OK; i++)
        status = page_note(page, i);
    text_add(page->out, n ? "</ul>\n" : "");
    return status;
}

/* ---- the tables ---- */

static void name_left_out(const page *page) {
    const earshot_report *asked = page->asked;
    bool first = true;
    for (size_t i = 0; i < asked->n_tables; i++) {
        if (carried_name_good(asked->tables[i].name))
            continue;
        text_add(page->out, first ? " Not carried: " : ", ");
        report_html(page->out, asked->tables[i].name);
        first = false;
    }
    text_add(page->out, first ? "" : ".");
}

static void write_tables(const page *page) {
    if (!page->asked->tables)
        return;
    page_heading(page, "The tables");
    text_add(page->out,
             "<p>This file carries the survey's tables, serials among them, where no reader "
             "sees them. They come back with: earshot new FOLDER --from THIS-FILE.");
    name_left_out(page);
    text_add(page->out, "</p>\n");
    carried_write(page->asked->tables, page->asked->n_tables, page->out);
}

enum earshot_status page_write_technician(const page *page) {
    page_begin(page, "technician", "Technician's record of the wireless zones");
    page_summary(page);
    write_who(page);
    write_listeners(page);
    write_schedule(page);
    write_decisions(page);
    enum earshot_status status = write_next(page);
    if (status == EARSHOT_OK)
        status = write_plan(page);
    write_cautions(page);
    write_log(page);
    if (status == EARSHOT_OK)
        status = write_notes(page);
    write_tables(page);
    page_end(page);
    return status;
}
