/* SPDX-License-Identifier: GPL-3.0-or-later */
/* check_json.c - the whole survey as JSON, schema earshot/check/1, and as CSV, a row per link.
 *
 * Keys are the words of link.h; adding keys is compatible, renaming one is not.
 */
#include <math.h>

#include "earshot/earshot.h"
#include "write.h"

void report_finding_json(report_json *json, const earshot_finding *finding) {
    report_open(json, NULL, '{');
    report_string(json, "severity", finding->severity == EARSHOT_ERROR ? "error" : "note");
    report_string(json, "code", finding->code);
    report_string(json, "file", finding->file);
    report_number(json, "line", finding->line);
    report_number(json, "column", finding->column);
    report_string(json, "sentence", finding->sentence);
    report_number(json, "times", finding->times);
    report_close(json, '}');
}

void report_findings_json(report_json *json, const earshot_findings *findings) {
    report_open(json, "findings", '[');
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        const earshot_finding finding = earshot_findings_at(findings, i);
        report_finding_json(json, &finding);
    }
    report_close(json, ']');
}

void report_prediction_json(report_json *json, const earshot_prediction *prediction) {
    report_number(json, "distance_m", prediction->distance_m);
    report_number(json, "loss_db", prediction->loss_db);
    report_number(json, "rx_power_dbm", prediction->rx_power_dbm);
    report_number(json, "expected_reading", prediction->expected_reading_dbm);
    report_number(json, "reading_sd_db", prediction->reading_sd_db);
    report_number(json, "needed_dbm", prediction->needed_dbm);
    report_number(json, "margin_db", prediction->margin_db);
    report_number(json, "margin_sd_db", prediction->margin_sd_db);
    report_number(json, "required_margin_db", prediction->required_margin_db);
    report_number(json, "spare_db", prediction->spare_db);
    report_number(json, "chance", prediction->chance);
    report_string(json, "verdict", earshot_verdict_word(prediction->verdict));
    report_string(json, "basis", earshot_basis_word(prediction->basis));
}

void report_parts_json(report_json *json, const earshot_part *parts, size_t n_parts) {
    report_open(json, "parts", '[');
    for (size_t i = 0; i < n_parts; i++) {
        report_open(json, NULL, '{');
        report_string(json, "kind", earshot_part_word(parts[i].kind));
        report_string(json, "name", parts[i].name);
        report_string(json, "of", parts[i].of);
        report_number(json, "loss_db", parts[i].loss_db);
        report_number(json, "sd_db", parts[i].sd_db);
        report_string(json, "source", parts[i].source);
        report_close(json, '}');
    }
    report_close(json, ']');
}

/* What the tables alone say, whatever was read. */
static void write_plan(report_json *json, const earshot_prediction *plan) {
    report_number(json, "plan_rx_power_dbm", plan->rx_power_dbm);
    report_number(json, "plan_expected_reading", plan->expected_reading_dbm);
    report_number(json, "plan_margin_db", plan->margin_db);
    report_number(json, "plan_margin_sd_db", plan->margin_sd_db);
    report_number(json, "plan_spare_db", plan->spare_db);
    report_number(json, "plan_chance", plan->chance);
    report_string(json, "plan_verdict", earshot_verdict_word(plan->verdict));
}

static void write_measured(report_json *json, const report_measured *measured) {
    bool counted = measured->trips > 0;
    report_number(json, "trips", counted ? measured->trips : NAN);
    report_number(json, "heard", counted ? measured->heard : NAN);
    report_number(json, "heard_at_least",
                  counted ? calibration_heard_least(measured->heard, measured->trips) : NAN);
    report_number(json, "measured_dbm", measured->level_dbm);
    report_bool(json, "not_heard", measured->silent);
}

static void write_cause(report_json *json, const earshot_survey *survey,
                        const report_zone *zone) {
    earshot_text *text = earshot_text_new();
    if (text && zone->has_cause)
        report_likeliest(text, survey, &zone->cause);
    if (!text || earshot_text_cut(text))
        text_lose(json->out);
    report_string(json, "weaker_by", text && zone->has_cause ? earshot_text_data(text) : NULL);
    report_number(json, "weaker_by_chance", zone->has_cause ? zone->cause.chance : NAN);
    earshot_text_free(text);
}

static void write_link(report_json *json, const report_survey *gathered,
                       const report_link *link) {
    const earshot_survey *survey = gathered->survey;
    report_open(json, NULL, '{');
    report_string(json, "device", survey->devices[link->link.device].name);
    report_string(json, "listener", survey->devices[link->link.listener].name);
    report_prediction_json(json, &link->prediction);
    write_plan(json, &link->plan);
    write_measured(json, &link->measured);
    report_parts_json(json, link->parts, link->n_parts);
    report_close(json, '}');
}

/* Text of the advice, through a buffer of its own. */
static void write_words(report_json *json, const char *key, const report_zone *zone,
                        const earshot_part *parts,
                        void (*words)(earshot_text *, const planning_advice *,
                                      const earshot_part *)) {
    earshot_text *text = earshot_text_new();
    if (text)
        words(text, &zone->advice, parts);
    if (!text || earshot_text_cut(text))
        text_lose(json->out);
    report_string(json, key, text && earshot_text_size(text) ? earshot_text_data(text) : NULL);
    earshot_text_free(text);
}

static void write_zone(report_json *json, const report_survey *gathered,
                       const report_zone *zone) {
    const earshot_survey *survey = gathered->survey;
    const survey_device *device = &survey->devices[zone->zone.device];
    const earshot_prediction *prediction = &zone->zone.prediction;
    const earshot_part *parts =
        zone->link == EARSHOT_NONE ? NULL : gathered->links[zone->link].parts;
    bool heard = zone->zone.link.listener != EARSHOT_NONE;
    report_open(json, NULL, '{');
    report_string(json, "device", device->name);
    report_number(json, "zone", device->zone ? device->zone : NAN);
    report_string(json, "label", device->label);
    report_string(json, "room", device->room);
    report_string(json, "type", device->type);
    report_bool(json, "life_safety", device->life_safety);
    report_string(json, "listener",
                  heard ? survey->devices[zone->zone.link.listener].name : NULL);
    report_number(json, "margin_db", heard ? prediction->margin_db : NAN);
    report_number(json, "margin_sd_db", heard ? prediction->margin_sd_db : NAN);
    report_number(json, "required_margin_db", heard ? prediction->required_margin_db : NAN);
    report_number(json, "spare_db", heard ? prediction->spare_db : NAN);
    report_number(json, "chance", heard ? prediction->chance : NAN);
    report_string(json, "verdict", earshot_verdict_word(prediction->verdict));
    report_string(json, "basis", earshot_basis_word(prediction->basis));
    const earshot_prediction *plan =
        zone->link == EARSHOT_NONE ? NULL : &gathered->links[zone->link].plan;
    report_number(json, "plan_spare_db", plan ? plan->spare_db : NAN);
    report_string(json, "plan_verdict", plan ? earshot_verdict_word(plan->verdict) : NULL);
    write_cause(json, survey, zone);
    write_words(json, "cause", zone, parts, report_cause);
    write_words(json, "try", zone, parts, report_try);
    report_close(json, '}');
}

void report_check_json(const report_survey *gathered, earshot_text *out) {
    report_json json = {.out = out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/check/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(gathered->survey));
    report_open(&json, "links", '[');
    for (size_t i = 0; i < gathered->n_links; i++)
        write_link(&json, gathered, &gathered->links[i]);
    report_close(&json, ']');
    report_open(&json, "zones", '[');
    for (size_t i = 0; i < gathered->n_zones; i++)
        write_zone(&json, gathered, &gathered->zones[i]);
    report_close(&json, ']');
    report_number(&json, "undrawn_chance", gathered->undrawn.chance);
    report_findings_json(&json, gathered->findings);
    report_close(&json, '}');
    text_add(out, "\n");
}

static bool is_best(const report_survey *gathered, size_t link) {
    for (size_t i = 0; i < gathered->n_zones; i++)
        if (gathered->zones[i].link == link)
            return true;
    return false;
}

static void write_row(const report_survey *gathered, size_t at, earshot_text *out) {
    const earshot_survey *survey = gathered->survey;
    const report_link *link = &gathered->links[at];
    const earshot_prediction *prediction = &link->prediction;
    const survey_device *device = &survey->devices[link->link.device];
    report_cell(out, device->name, false);
    report_cell(out, survey->devices[link->link.listener].name, false);
    report_cell_number(out, device->zone ? device->zone : NAN, false);
    report_cell(out, device->label, false);
    report_cell(out, device->room, false);
    report_cell(out, device->type, false);
    report_cell(out, device->life_safety ? "yes" : "no", false);
    report_cell(out, is_best(gathered, at) ? "yes" : "no", false);
    const double numbers[] = {prediction->distance_m,
                              prediction->loss_db,
                              prediction->rx_power_dbm,
                              prediction->expected_reading_dbm,
                              prediction->reading_sd_db,
                              prediction->needed_dbm,
                              prediction->margin_db,
                              prediction->margin_sd_db,
                              prediction->required_margin_db,
                              prediction->spare_db,
                              prediction->chance};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        report_cell_number(out, numbers[i], false);
    report_cell(out, earshot_verdict_word(prediction->verdict), false);
    report_cell(out, earshot_basis_word(prediction->basis), false);
    const report_measured *measured = &link->measured;
    report_cell_number(out, measured->trips ? measured->trips : NAN, false);
    report_cell_number(out, measured->trips ? measured->heard : NAN, false);
    report_cell_number(out, measured->level_dbm, false);
    report_cell_number(out, link->plan.margin_db, false);
    report_cell_number(out, link->plan.margin_sd_db, false);
    report_cell_number(out, link->plan.spare_db, false);
    report_cell(out, earshot_verdict_word(link->plan.verdict), true);
}

void report_check_csv(const report_survey *gathered, earshot_text *out) {
    text_add(out,
             "device,listener,zone,label,room,type,life_safety,best,distance_m,loss_db,"
             "rx_power_dbm,expected_reading,reading_sd_db,needed_dbm,margin_db,margin_sd_db,"
             "required_margin_db,spare_db,chance,verdict,basis,trips,heard,measured_dbm,"
             "plan_margin_db,plan_margin_sd_db,plan_spare_db,plan_verdict\n");
    for (size_t i = 0; i < gathered->n_links; i++)
        write_row(gathered, i, out);
}
