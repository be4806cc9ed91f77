/* SPDX-License-Identifier: GPL-3.0-or-later */
/* where_plain.c - what mends a zone, and where a receiver or repeaters would stand best, for a
 * person.
 */
#include <math.h>

#include "where.h"

enum { MOST_TOLD = 5 }; /* places of a receiver, of a grid */

/* ---- mends ---- */

static void write_mends(const report_where *where, const report_zone *zone) {
    earshot_text *out = where->out;
    const report_link *link = &where->gathered.links[zone->link];
    const earshot_prediction *prediction = &zone->zone.prediction;
    planning_mend mends[PLANNING_MAX_MENDS];
    size_t n = planning_mends(where->survey, where->belief, &zone->zone.link, prediction,
                              link->parts, link->n_parts, mends);
    for (size_t i = 0; i < n; i++) {
        const planning_mend *mend = &mends[i];
        text_add(out, "    ");
        text_add_count(out, i + 1);
        text_add(out, mend->kind == PLANNING_BY_SLIDING ? ". slide it "
                      : mend->kind == PLANNING_BY_MOUNT ? ". fix it off the mount "
                                                        : ". a place whose way misses ");
        if (mend->kind == PLANNING_BY_SLIDING) {
            text_add_fixed(out, mend->slide_m * 100, 0);
            text_add(out, " cm and keep the better of both places");
        } else {
            text_add_in_line(out, link->parts[mend->part].name);
        }
        text_add(out, ": ");
        text_add_fixed(out, mend->gain_db, 0);
        text_add(out, " dB more");
        report_doubt(out, mend->sd_db);
        text_add(out, "; then ");
        report_percent(out, mend->chance);
        text_add(out, " sure to hold\n");
    }
    text_add(out, "    proof: ");
    text_add_fixed(
        out, planning_proof_dbm(where->survey, where->belief, &zone->zone.link, prediction), 0);
    text_add(out, " dBm or more read in place, or ten of ten behind a pad of ");
    text_add_fixed(out, prediction->required_margin_db, 0);
    text_add(out, " dB\n");
}

static size_t write_weak(const report_where *where) {
    earshot_text *out = where->out;
    size_t n = 0;
    for (size_t i = 0; i < where->gathered.n_zones; i++) {
        const report_zone *zone = &where->gathered.zones[i];
        const survey_device *device = &where->survey->devices[zone->zone.device];
        bool no_room = where->search.now.ways[i].no_room;
        if (zone->zone.prediction.verdict == EARSHOT_FIRM && !no_room)
            continue;
        n++;
        text_add(out, "  ");
        if (device->zone) {
            text_add_count(out, device->zone);
            text_add(out, " ");
        }
        text_add_in_line(out, report_name(device));
        text_add(out, device->life_safety ? " (life safety): " : ": ");
        if (no_room) {
            report_say_verdict(out, EARSHOT_THIN);
            text_add(out, ", no repeater has room for it\n");
            continue;
        }
        report_say_verdict(out, zone->zone.prediction.verdict);
        if (zone->link == EARSHOT_NONE || isnan(zone->zone.prediction.spare_db)) {
            text_add(out, "\n");
            continue;
        }
        text_add(out, ", ");
        report_spare(out, zone->zone.prediction.spare_db);
        report_doubt(out, zone->zone.prediction.margin_sd_db);
        text_add(out, "\n");
        write_mends(where, zone);
    }
    return n;
}

/* ---- arrangements ---- */

void report_where_score(const report_where *where, const earshot_score *score) {
    earshot_text *out = where->out;
    text_add_count(out, score->n_firm);
    text_add(out, " of ");
    text_add_count(out, score->n_zones);
    text_add(out, " firm, all of them at once ");
    report_percent(out, score->chance_all);
}

/* A zone in few words: its number, else its name. */
void report_where_zone(const report_where *where, size_t zone) {
    const survey_device *device =
        &where->survey->devices[where->gathered.zones[zone].zone.device];
    if (device->zone)
        text_add_count(where->out, device->zone);
    else
        text_add_in_line(where->out, report_name(device));
}

static void write_needs(const report_where *where, size_t place) {
    const planning_place *at = &where->search.places[place];
    earshot_text *out = where->out;
    if (where->search.step_m == 0)
        text_add(out, at->mains ? "" : "; has no mains: electricians' work");
    text_add(out, at->near_metal ? "; beside metal" : "");
    text_add(out, at->reachable_by_intruder ? "; an intruder can reach it" : "");
}

static bool apart(const earshot_score *a, const earshot_score *b) {
    double se =
        sqrt(a->short_zones_se * a->short_zones_se + b->short_zones_se * b->short_zones_se);
    return fabs(a->short_zones - b->short_zones) > 2 * se;
}

/* "of 812 places on a grid of 25 cm" */
static void write_grid(const report_where *where) {
    earshot_text *out = where->out;
    text_add(out, "of ");
    text_add_count(out, where->search.n_places);
    text_add(out, " places on a grid of ");
    text_add_fixed(out, 100 * where->search.step_m, 0);
    text_add(out, " cm, indoors, near a wall and off metal");
}

static void write_moved(const report_where *where) {
    const planning_search *search = &where->search;
    earshot_text *out = where->out;
    size_t n = search->step_m > 0 && search->n_moved > MOST_TOLD ? MOST_TOLD : search->n_moved;
    text_add(out, "The receiver moved, best first");
    if (search->step_m > 0) {
        text_add(out, " ");
        write_grid(where);
    }
    text_add(out, " (every link is new then, and wants reading):\n");
    for (size_t i = 0; i < n; i++) {
        const planning_arrangement *moved = &search->moved[i];
        text_add(out, "  ");
        report_where_place(where, moved->receiver, out);
        text_add(out, ": ");
        report_where_score(where, &moved->score);
        if (i > 0 && !apart(&moved->score, &search->moved[i - 1].score))
            text_add(out, "; not distinguishable from the one above");
        write_needs(where, moved->receiver);
        text_add(out, "\n");
    }
}

/* ---- all ---- */

static bool has_plan(const report_where *where) {
    for (size_t i = 0; i < where->gathered.n_links; i++)
        if (where->gathered.links[i].link.path == EARSHOT_NONE)
            return true;
    return false;
}

/* Of each repeater that stands what is left of its room. */
static void write_room(const report_where *where) {
    const planning_search *search = &where->search;
    size_t room = (size_t)where->survey->site.zones_per_repeater;
    for (size_t i = 0; i < where->survey->n_devices; i++) {
        size_t n = 0;
        if (where->survey->devices[i].role != SURVEY_REPEATER)
            continue;
        for (size_t z = 0; z < search->n_zones; z++)
            n += search->now.ways[z].standing == i;
        text_add(where->out, "  ");
        text_add_in_line(where->out, report_name(&where->survey->devices[i]));
        text_add(where->out, n ? " is wanted by " : " is wanted by no zone");
        if (n)
            text_add_count(where->out, n);
        text_add(where->out, n == 0 ? "" : n == 1 ? " zone" : " zones");
        text_add(where->out, n < room ? ", and has room for " : ", and has room for no more");
        if (n < room)
            text_add_count(where->out, room - n);
        text_add(where->out, n == 0 || n == room ? "\n" : " more\n");
    }
}

static void write_places(const report_where *where) {
    const planning_search *search = &where->search;
    earshot_text *out = where->out;
    if (!has_plan(where)) {
        text_add(out,
                 "There is no plan, so a spot needs a row of paths.csv from each zone: put "
                 "it into devices.csv of a copy as the receiver, and earshot compare "
                 "tells.\n");
        return;
    }
    if (search->n_places == 0) {
        text_add(out,
                 where->what->anywhere
                     ? "No place on the plan is indoors, near a wall and off metal: draw the "
                       "outer walls, or the floor's outline in floors.csv.\n"
                     : "For where the receiver or a repeater would help, list places with "
                       "mains in spots.csv, or ask with --anywhere.\n");
        return;
    }
    text_add(out, "As it stands: ");
    report_where_score(where, &search->now.score);
    text_add(out, "\n");
    if (search->room_counts)
        write_room(where);
    if (search->many_receivers)
        text_add(out, "There is not exactly one receiver, so none is moved: write another "
                      "arrangement as a survey of its own, and earshot compare tells.\n");
    else
        write_moved(where);
    report_where_repeaters(where);
}

void report_where_plain(const report_where *where) {
    earshot_text *out = where->out;
    size_t n_weak = 0;
    for (size_t i = 0; i < where->gathered.n_zones; i++)
        n_weak += where->gathered.zones[i].zone.prediction.verdict != EARSHOT_FIRM ||
                  where->search.now.ways[i].no_room;
    if (n_weak == 0) {
        text_add(out, "All zones are firm where they are; nothing needs moving.\n");
        return;
    }
    text_add_count(out, n_weak);
    text_add(out, n_weak == 1 ? " zone is not firm." : " zones are not firm.");
    if (!where->what->repeaters) {
        text_add(out, n_weak == 1 ? " What could mend it, cheapest first:\n"
                                  : " What could mend each, cheapest first:\n");
        write_weak(where);
    } else {
        text_add(out, "\n");
    }
    write_places(where);
}
