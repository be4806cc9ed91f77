/* SPDX-License-Identifier: GPL-3.0-or-later */
/* where_repeaters.c - the fewest repeaters, for a person: whether any number does, what each
 * number of them does, whom they take on and who is left.
 *
 * Read aloud beside a customer: the answer first, all that is not firm once, and of each
 * further repeater only what it changes.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "where.h"

static void write_sites(const report_where *where, const planning_arrangement *arrangement) {
    earshot_text *out = where->out;
    text_add_count(out, arrangement->n_repeaters);
    text_add(out, " at ");
    for (size_t i = 0; i < arrangement->n_repeaters; i++) {
        text_add(out, i ? ", " : "");
        report_where_place(where, arrangement->repeaters[i], out);
    }
    text_add(out, ": ");
    report_where_score(where, &arrangement->score);
    text_add(out, "\n");
}

/* ---- whom a repeater takes on ---- */

static bool takes(const planning_arrangement *arrangement, size_t place, size_t zone) {
    return arrangement->ways[zone].held && arrangement->ways[zone].place == place;
}

static bool takes_any(const report_where *where, const planning_arrangement *arrangement,
                      size_t place) {
    for (size_t z = 0; z < where->search.n_zones; z++)
        if (takes(arrangement, place, z))
            return true;
    return false;
}

static bool takes_the_same(const report_where *where, const planning_arrangement *arrangement,
                           const planning_arrangement *before, size_t place) {
    for (size_t z = 0; z < where->search.n_zones; z++)
        if (takes(arrangement, place, z) != takes(before, place, z))
            return false;
    return true;
}

static void write_taken(const report_where *where, const planning_arrangement *arrangement,
                        size_t place) {
    earshot_text *out = where->out;
    const char *between = " adds ";
    text_add(out, "      ");
    report_where_place(where, place, out);
    for (size_t z = 0; z < where->search.n_zones; z++)
        if (takes(arrangement, place, z)) {
            text_add(out, between);
            report_where_zone(where, z);
            between = ", ";
        }
    text_add(out, "\n");
}

/* ---- who is not firm ---- */

static void write_why(const report_where *where, const planning_arrangement *arrangement,
                      size_t zone, earshot_text *out) {
    const report_zone *at = &where->gathered.zones[zone];
    const survey_device *device = &where->survey->devices[at->zone.device];
    if (arrangement->ways[zone].no_room) {
        text_add(out, "no repeater has room for it");
    } else if (isnan(device->place.x_m)) {
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

/* Zones that are to be said with their fates, and why each is as it is. */
struct left {
    const earshot_fate *fates;
    earshot_text **why; /* by zone; NULL: it is not said, or was */
};

static bool alike(const struct left *left, size_t a, size_t b) {
    return left->why[b] && left->fates[a].verdict == left->fates[b].verdict &&
           strcmp(earshot_text_data(left->why[a]), earshot_text_data(left->why[b])) == 0;
}

/* Those that fare like the zone, for the same reason: "thin: 2 (52 % sure), 10 (50 %); brick
 * takes 4 dB". */
static void write_alike(const report_where *where, struct left *left, size_t zone) {
    earshot_text *out = where->out, *why = left->why[zone];
    const char *sure = " sure)";
    report_say_verdict(out, left->fates[zone].verdict);
    text_add(out, ": ");
    for (size_t z = zone; z < where->search.n_zones; z++) {
        if (!alike(left, zone, z))
            continue;
        text_add(out, z > zone ? ", " : "");
        report_where_zone(where, z);
        if (left->fates[z].verdict != EARSHOT_NOT_JUDGED) {
            text_add(out, " (");
            report_percent(out, left->fates[z].chance);
            text_add(out, sure);
            sure = ")";
        }
        if (z > zone) {
            earshot_text_free(left->why[z]);
            left->why[z] = NULL;
        }
    }
    text_add(out, earshot_text_size(why) ? "; " : "");
    text_add(out, earshot_text_data(why));
    text_add(out, "\n");
    earshot_text_free(why);
    left->why[zone] = NULL;
}

/* All that are not firm; with `before` those that fared otherwise there, whose reasons were
 * said unless they were firm. */
static void write_left(const report_where *where, const planning_arrangement *arrangement,
                       const planning_arrangement *before) {
    const earshot_fate *fates = arrangement->fates, *others = before ? before->fates : NULL;
    size_t n = where->search.n_zones;
    struct left left = {.fates = fates, .why = calloc(n + 1, sizeof *left.why)};
    for (size_t z = 0; left.why && z < n; z++) {
        if (fates[z].verdict == EARSHOT_FIRM ||
            (others && fates[z].verdict == others[z].verdict))
            continue;
        left.why[z] = earshot_text_new();
        if (left.why[z] && (!others || others[z].verdict == EARSHOT_FIRM))
            write_why(where, arrangement, z, left.why[z]);
        if (!left.why[z] || earshot_text_cut(left.why[z]))
            text_lose(where->out);
    }
    for (size_t z = 0; left.why && z < n; z++)
        if (left.why[z]) {
            text_add(where->out, before ? "      now " : "      still ");
            write_alike(where, &left, z);
        }
    if (!left.why)
        text_lose(where->out);
    free(left.why);
}

/* After one of fewer repeaters only what changes. */
static void write_arrangement(const report_where *where,
                              const planning_arrangement *arrangement,
                              const planning_arrangement *before) {
    write_sites(where, arrangement);
    if (!where->what->repeaters)
        return;
    for (size_t i = 0; i < arrangement->n_repeaters; i++) {
        size_t place = arrangement->repeaters[i];
        if (takes_any(where, arrangement, place) &&
            !(before && takes_the_same(where, arrangement, before, place)))
            write_taken(where, arrangement, place);
    }
    write_left(where, arrangement, before);
}

/* ---- what is proven ---- */

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

/* What no number of them does; never that nothing at all would. */
static void write_beyond(const report_where *where) {
    const planning_search *search = &where->search;
    earshot_text *out = where->out;
    text_add(out, "  Under this model no ");
    text_add(out, search->n_repeated ? "number of repeaters at " : "repeater at ");
    write_these(where);
    if (search->n_repeated == 0) {
        text_add(out, " makes one more zone firm.\n");
        return;
    }
    text_add(out, " makes all zones firm");
    if (search->n_repeated < PLANNING_MOST_SHOWN && search->n_repeated < search->n_repeaters) {
        text_add(out, ", and more than ");
        text_add_count(out, search->n_repeated);
        text_add(out, search->n_repeated == 1 ? " does no more" : " do no more");
    }
    text_add(out, ".\n");
}

/* What is proven, under this model and of these places. */
static void write_proven(const report_where *where) {
    const planning_search *search = &where->search;
    earshot_text *out = where->out;
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
    write_arrangement(where, both, NULL);
}

static bool relays_life(const report_where *where) {
    for (size_t i = 0; i < where->gathered.n_zones; i++)
        if (where->gathered.zones[i].zone.link.life_safety &&
            (where->gathered.zones[i].zone.prediction.verdict != EARSHOT_FIRM ||
             where->search.now.ways[i].no_room))
            return true;
    return false;
}

/* The best of each number; where none does any good, all that is left. */
static void write_numbers(const report_where *where) {
    const planning_search *search = &where->search;
    for (size_t i = 0; i < search->n_repeated; i++) {
        text_add(where->out, "  ");
        write_arrangement(where, &search->repeated[i], i ? &search->repeated[i - 1] : NULL);
    }
    if (search->n_repeated == 0 && where->what->repeaters)
        write_left(where, &search->now, NULL);
    if (search->n_repeated && where->what->repeaters)
        text_add(where->out, "  Proof: read each zone from the repeater that adds it, and that "
                             "from the receiver.\n");
}

void report_where_repeaters(const report_where *where) {
    const planning_search *search = &where->search;
    earshot_text *out = where->out;
    text_add(out, "Repeaters, the receiver where it is:\n");
    if (!search->enough && search->n_repeaters)
        write_beyond(where);
    write_numbers(where);
    if (search->enough)
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
