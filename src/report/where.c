/* SPDX-License-Identifier: GPL-3.0-or-later */
/* where.c - the cheapest mend of each weak zone, and where a receiver or repeaters would stand
 * best: for a person (where_plain.c), as JSON (schema earshot/where/1) and as CSV, a row for
 * each arrangement.
 */
#include <math.h>

#include "earshot/earshot.h"
#include "where.h"

void report_where_place(const report_where *where, size_t place, earshot_text *out) {
    const planning_place *at = &where->search.places[place];
    if (at->spot != EARSHOT_NONE) {
        text_add_in_line(out, where->survey->spots[at->spot].name);
        return;
    }
    text_add_in_line(out, where->survey->levels[at->level].name);
    text_add(out, " x ");
    text_add_fixed(out, at->at.x_m, 1);
    text_add(out, " y ");
    text_add_fixed(out, at->at.y_m, 1);
}

/* ---- JSON ---- */

static void write_place_json(const report_where *where, report_json *json, const char *key,
                             size_t place) {
    earshot_text *name = earshot_text_new();
    if (name)
        report_where_place(where, place, name);
    if (!name || earshot_text_cut(name))
        text_lose(where->out);
    report_string(json, key, name ? earshot_text_data(name) : "");
    earshot_text_free(name);
}

/* Which go through a repeater that stands, and take its room. */
static void write_standing_json(const report_where *where, report_json *json,
                                const planning_arrangement *arrangement) {
    report_open(json, "standing", '[');
    for (size_t z = 0; z < where->search.n_zones; z++) {
        const planning_way *way = &arrangement->ways[z];
        if (way->standing == EARSHOT_NONE)
            continue;
        report_open(json, NULL, '{');
        report_string(json, "device",
                      where->survey->devices[where->gathered.zones[z].zone.device].name);
        report_string(json, "by", where->survey->devices[way->standing].name);
        report_close(json, '}');
    }
    report_close(json, ']');
}

/* Which zones go through which new repeater. */
static void write_ways_json(const report_where *where, report_json *json,
                            const planning_arrangement *arrangement) {
    report_open(json, "relayed", '[');
    for (size_t z = 0; z < where->search.n_zones; z++) {
        const planning_way *way = &arrangement->ways[z];
        if (!way->held || way->place == EARSHOT_NONE)
            continue;
        report_open(json, NULL, '{');
        report_string(json, "device",
                      where->survey->devices[where->gathered.zones[z].zone.device].name);
        write_place_json(where, json, "by", way->place);
        report_close(json, '}');
    }
    report_close(json, ']');
    if (where->search.room_counts)
        write_standing_json(where, json, arrangement);
    report_open(json, "not_firm", '[');
    for (size_t z = 0; z < where->search.n_zones; z++)
        if (arrangement->fates[z].verdict != EARSHOT_FIRM)
            report_string(json, NULL,
                          where->survey->devices[arrangement->fates[z].device].name);
    report_close(json, ']');
}

static void write_arrangement_json(const report_where *where, report_json *json,
                                   const char *key, const planning_arrangement *arrangement) {
    const earshot_score *score = &arrangement->score;
    report_open(json, key, '{');
    if (arrangement->receiver == EARSHOT_NONE)
        report_string(json, "receiver", NULL);
    else
        write_place_json(where, json, "receiver", arrangement->receiver);
    report_open(json, "repeaters", '[');
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        write_place_json(where, json, NULL, arrangement->repeaters[i]);
    report_close(json, ']');
    report_number(json, "firm", (double)score->n_firm);
    report_number(json, "chance_all", score->chance_all);
    report_number(json, "chance_all_se", score->chance_all_se);
    report_number(json, "short_zones", score->short_zones);
    report_number(json, "short_zones_se", score->short_zones_se);
    report_number(json, "smallest_spare_db", score->smallest_spare_db);
    write_ways_json(where, json, arrangement);
    report_close(json, '}');
}

static void write_zones_json(const report_where *where, report_json *json) {
    static const char *const kinds[] = {"slide", "mount", "other place"};
    report_open(json, "zones", '[');
    for (size_t i = 0; i < where->gathered.n_zones; i++) {
        const report_zone *zone = &where->gathered.zones[i];
        planning_mend mends[PLANNING_MAX_MENDS];
        if (zone->zone.prediction.verdict == EARSHOT_FIRM || zone->link == EARSHOT_NONE)
            continue;
        const report_link *link = &where->gathered.links[zone->link];
        size_t n = planning_mends(where->survey, where->belief, &zone->zone.link,
                                  &zone->zone.prediction, link->parts, link->n_parts, mends);
        report_open(json, NULL, '{');
        report_string(json, "device", where->survey->devices[zone->zone.device].name);
        report_string(json, "verdict", earshot_verdict_word(zone->zone.prediction.verdict));
        report_number(json, "spare_db", zone->zone.prediction.spare_db);
        report_number(json, "proof_dbm",
                      planning_proof_dbm(where->survey, where->belief, &zone->zone.link,
                                         &zone->zone.prediction));
        report_open(json, "mends", '[');
        for (size_t j = 0; j < n; j++) {
            report_open(json, NULL, '{');
            report_string(json, "kind", kinds[mends[j].kind]);
            report_string(json, "of",
                          mends[j].part == EARSHOT_NONE ? NULL
                                                        : link->parts[mends[j].part].name);
            report_number(json, "gain_db", mends[j].gain_db);
            report_number(json, "sd_db", mends[j].sd_db);
            report_number(json, "chance", mends[j].chance);
            report_close(json, '}');
        }
        report_close(json, ']');
        report_close(json, '}');
    }
    report_close(json, ']');
}

static void write_json(const report_where *where) {
    const planning_search *search = &where->search;
    report_json json = {.out = where->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/where/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(where->survey));
    write_zones_json(where, &json);
    report_number(&json, "places", (double)search->n_places);
    report_number(&json, "step_m", search->step_m > 0 ? search->step_m : NAN);
    write_arrangement_json(where, &json, "now", &search->now);
    report_open(&json, "moved", '[');
    for (size_t i = 0; i < search->n_moved; i++)
        write_arrangement_json(where, &json, NULL, &search->moved[i]);
    report_close(&json, ']');
    report_open(&json, "repeated", '[');
    for (size_t i = 0; i < search->n_repeated; i++)
        write_arrangement_json(where, &json, NULL, &search->repeated[i]);
    report_close(&json, ']');
    report_bool(&json, "enough", search->enough);
    report_number(&json, "fewest_at_least", (double)search->fewest_bound);
    if (search->has_both)
        write_arrangement_json(where, &json, "both", &search->both);
    report_findings_json(&json, where->findings);
    report_close(&json, '}');
    text_add(where->out, "\n");
}

/* ---- CSV ---- */

static void write_row(const report_where *where, const planning_arrangement *arrangement) {
    earshot_text *out = where->out, *receiver = earshot_text_new(), *names = earshot_text_new();
    if (receiver && arrangement->receiver != EARSHOT_NONE)
        report_where_place(where, arrangement->receiver, receiver);
    for (size_t i = 0; names && i < arrangement->n_repeaters; i++) {
        text_add(names, i ? ";" : "");
        report_where_place(where, arrangement->repeaters[i], names);
    }
    if (!receiver || !names || earshot_text_cut(receiver) || earshot_text_cut(names))
        text_lose(out);
    report_cell(out, receiver ? earshot_text_data(receiver) : "", false);
    report_cell(out, names ? earshot_text_data(names) : "", false);
    report_cell_number(out, (double)arrangement->score.n_firm, false);
    report_cell_number(out, arrangement->score.chance_all, false);
    report_cell_number(out, arrangement->score.short_zones, false);
    report_cell_number(out, arrangement->score.short_zones_se, false);
    report_cell_number(out, arrangement->score.smallest_spare_db, true);
    earshot_text_free(receiver);
    earshot_text_free(names);
}

static void write_csv(const report_where *where) {
    const planning_search *search = &where->search;
    text_add(where->out, "receiver,repeaters,firm,chance_all,short_zones,short_zones_se,"
                         "smallest_spare_db\n");
    write_row(where, &search->now);
    for (size_t i = 0; i < search->n_moved; i++)
        write_row(where, &search->moved[i]);
    for (size_t i = 0; i < search->n_repeated; i++)
        write_row(where, &search->repeated[i]);
    if (search->has_both)
        write_row(where, &search->both);
}

/* ---- all ---- */

static void write_form(const report_where *where, enum earshot_form form) {
    if (form == EARSHOT_JSON)
        write_json(where);
    else if (form == EARSHOT_CSV)
        write_csv(where);
    else
        report_where_plain(where);
}

enum earshot_status earshot_where_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        const earshot_where *what, enum earshot_form form,
                                        earshot_text *out) {
    report_where where = {
        .survey = survey, .belief = belief, .findings = findings, .what = what, .out = out};
    const planning_task task = {
        .anywhere = what->anywhere, .repeaters = what->repeaters, .watch = what->watch};
    enum earshot_status status = report_gather(survey, belief, findings, &where.gathered);
    if (status != EARSHOT_OK)
        return status;
    status = planning_search_run(survey, belief, &task, &where.search);
    if (status == EARSHOT_OK) {
        write_form(&where, form);
        planning_search_release(&where.search);
    }
    report_release(&where.gathered);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}
