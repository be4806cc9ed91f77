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
        if (zone->zone.prediction.verdict == EARSHOT_FIRM)
            continue;
        n++;
        text_add(out, "  ");
        if (device->zone) {
            text_add_count(out, device->zone);
            text_add(out, " ");
        }
        text_add_in_line(out, report_name(device));
        text_add(out, device->life_safety ? " (life safety): " : ": ");
        text_add(out, report_verdict(zone->zone.prediction.verdict));
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

static void write_score(const report_where *where, const earshot_score *score) {
    earshot_text *out = where->out;
    text_add_count(out, score->n_firm);
    text_add(out, " of ");
    text_add_count(out, score->n_zones);
    text_add(out, " firm, all of them at once ");
    report_percent(out, score->chance_all);
}

/* A zone in few words: its number, else its name. */
static void write_zone_name(const report_where *where, size_t zone) {
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
        write_score(where, &moved->score);
        if (i > 0 && !apart(&moved->score, &search->moved[i - 1].score))
            text_add(out, "; not distinguishable from the one above");
        write_needs(where, moved->receiver);
        text_add(out, "\n");
    }
}

/* ---- repeaters ---- */

static void write_sites(const report_where *where, const planning_arrangement *arrangement) {
    earshot_text *out = where->out;
    text_add_count(out, arrangement->n_repeaters);
    text_add(out, " at ");
    for (size_t i = 0; i < arrangement->n_repeaters; i++) {
        text_add(out, i ? ", " : "");
        report_where_place(where, arrangement->repeaters[i], out);
    }
    text_add(out, ": ");
    write_score(where, &arrangement->score);
    text_add(out, "\n");
}

/* The zones that go through one repeater, and the readings that settle whether they do. */
static void write_taken(const report_where *where, const planning_arrangement *arrangement,
                        size_t repeater) {
    earshot_text *out = where->out;
    bool any = false;
    for (size_t z = 0; z < where->search.n_zones; z++) {
        if (!arrangement->ways[z].held ||
            arrangement->ways[z].place != arrangement->repeaters[repeater])
            continue;
        if (!any) {
            text_add(out, "      ");
            report_where_place(where, arrangement->repeaters[repeater], out);
            text_add(out, " adds ");
        }
        text_add(out, any ? ", " : "");
        write_zone_name(where, z);
        any = true;
    }
    if (any)
        text_add(out, "; proof: read these from there, and it from the receiver\n");
}

static void write_why(const report_where *where, size_t zone) {
    const report_zone *at = &where->gathered.zones[zone];
    const survey_device *device = &where->survey->devices[at->zone.device];
    earshot_text *out = where->out;
    if (isnan(device->place.x_m)) {
        text_add(out, "it has no place on the plan");
    } else if (device->not_relayed) {
        text_add(out, "a repeater does not pass on ");
        text_add(out, device->type);
        text_add(out, " here");
    } else if (at->link != EARSHOT_NONE && at->advice.cause != EARSHOT_NONE) {
        report_cause(out, &at->advice, where->gathered.links[at->link].parts);
    } else {
        text_add(out, "no way is sure enough");
    }
}

static void write_still_weak(const report_where *where,
                             const planning_arrangement *arrangement) {
    earshot_text *out = where->out;
    for (size_t z = 0; z < where->search.n_zones; z++) {
        if (arrangement->fates[z].verdict == EARSHOT_FIRM)
            continue;
        text_add(out, "      still ");
        text_add(out, report_verdict(arrangement->fates[z].verdict));
        text_add(out, ": ");
        write_zone_name(where, z);
        text_add(out, ", ");
        report_percent(out, arrangement->fates[z].chance);
        text_add(out, " sure by one way or another; ");
        write_why(where, z);
        text_add(out, "\n");
    }
}

static void write_arrangement(const report_where *where,
                              const planning_arrangement *arrangement) {
    write_sites(where, arrangement);
    if (!where->what->repeaters)
        return;
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        write_taken(where, arrangement, i);
    write_still_weak(where, arrangement);
}

static void write_these(const report_where *where) {
    bool grid = where->search.step_m > 0;
    if (where->search.n_repeaters == 1) {
        text_add(where->out, grid ? "the one place of the grid" : "the one spot with mains");
        return;
    }
    text_add(where->out, "these ");
    text_add_count(where->out, where->search.n_repeaters);
    text_add(where->out, grid ? " places of the grid" : " spots with mains");
}

/* What is proven, under this model and of these places; never that nothing less works. */
static void write_proven(const report_where *where) {
    const planning_search *search = &where->search;
    earshot_text *out = where->out;
    if (!search->enough) {
        text_add(out, "  Under this model no number of repeaters at ");
        write_these(where);
        text_add(out, " makes all zones firm.\n");
        return;
    }
    if (search->n_repeated == 0) {
        text_add(out, "  None is needed by what can be judged.\n");
        return;
    }
    const planning_arrangement *fewest = &search->repeated[search->n_repeated - 1];
    size_t n = fewest->n_repeaters;
    if (n > 1 && fewest->exact) {
        text_add(out, "  Under this model no ");
        if (n > 2)
            text_add_count(out, n - 1);
        text_add(out, n > 2 ? " of " : "single one of ");
        write_these(where);
        text_add(out, n > 2 ? " make all zones firm, and those do.\n"
                            : " makes all zones firm, and those do.\n");
    } else if (!fewest->exact) {
        text_add(out, "  Whether fewer do could not be settled: at least ");
        text_add_count(out, search->fewest_bound);
        text_add(out, ".\n");
    }
    if (fewest->score.n_firm < fewest->score.n_zones) {
        text_add(out, "  Drawn anew ");
        text_add_count(out, fewest->score.n_zones - fewest->score.n_firm);
        text_add(out, " of the zones fall just short of it: read before you buy.\n");
    }
}

static void write_limits(const report_where *where) {
    earshot_text *out = where->out;
    double room = where->survey->site.zones_per_repeater;
    if (!isinf(room)) {
        text_add(out, "  A repeater is given ");
        text_add_fixed(out, room, 0);
        text_add(out, room == 1 ? " zone at most, as site.csv says.\n"
                                : " zones at most, as site.csv says.\n");
    }
    if (where->search.n_without_mains) {
        text_add(out, "  Not tried: ");
        text_add_count(out, where->search.n_without_mains);
        text_add(out, where->search.n_without_mains == 1 ? " spot without mains.\n"
                                                         : " spots without mains.\n");
    }
}

static void write_both(const report_where *where) {
    const planning_arrangement *both = &where->search.both;
    text_add(where->out, "The receiver moved and fewer repeaters:\n  the receiver at ");
    report_where_place(where, both->receiver, where->out);
    text_add(where->out, ", and ");
    write_arrangement(where, both);
}

static bool relays_life(const report_where *where) {
    for (size_t i = 0; i < where->gathered.n_zones; i++)
        if (where->gathered.zones[i].zone.link.life_safety &&
            where->gathered.zones[i].zone.prediction.verdict != EARSHOT_FIRM)
            return true;
    return false;
}

static void write_repeated(const report_where *where) {
    const planning_search *search = &where->search;
    earshot_text *out = where->out;
    text_add(out, "Repeaters, the receiver where it is:\n");
    for (size_t i = 0; i < search->n_repeated; i++) {
        text_add(out, "  ");
        write_arrangement(where, &search->repeated[i]);
    }
    if (search->n_repeated || search->n_repeaters)
        write_proven(where);
    write_limits(where);
    if (search->has_both)
        write_both(where);
    text_add(out,
             "A repeater needs mains (electricians' work) and must be one that this system "
             "allows.\n");
    if (relays_life(where))
        text_add(out,
                 "Whether one may relay what guards life, the maker and the authority having "
                 "jurisdiction decide.\n");
}

/* ---- all ---- */

static bool has_plan(const report_where *where) {
    for (size_t i = 0; i < where->gathered.n_links; i++)
        if (where->gathered.links[i].link.path == EARSHOT_NONE)
            return true;
    return false;
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
    write_score(where, &search->now.score);
    text_add(out, "\n");
    if (search->many_receivers)
        text_add(out, "There is not exactly one receiver, so none is moved: write another "
                      "arrangement as a survey of its own, and earshot compare tells.\n");
    else
        write_moved(where);
    write_repeated(where);
}

void report_where_plain(const report_where *where) {
    earshot_text *out = where->out;
    size_t n_weak = 0;
    for (size_t i = 0; i < where->gathered.n_zones; i++)
        n_weak += where->gathered.zones[i].zone.prediction.verdict != EARSHOT_FIRM;
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
