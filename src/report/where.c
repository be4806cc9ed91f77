/* SPDX-License-Identifier: GPL-3.0-or-later */
/* where.c - the cheapest mend of each weak zone, and where a receiver or repeaters would stand
 * best: for a person, as JSON (schema earshot/where/1) and as CSV, a row for each arrangement.
 *
 * All arrangements are scored on the same draws, and the best ones again on fresh ones, so that
 * none wins by luck. Up to three repeaters every set of the spots is tried; more spots than are
 * tried in a reasonable time are left out by what each alone does.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "write.h"

enum { SEED = 1, N_DRAWS = 1000, MOST_SPOTS = 20, MOST_REPEATERS = 3, MOST_POSTS = 64 };

/* One arrangement: the receiver where it stands or at a spot, and repeaters at spots. */
struct arrangement {
    size_t receiver; /* spot, or NONE: where it stands */
    size_t repeaters[MOST_REPEATERS];
    size_t n_repeaters;
    earshot_score score; /* on fresh draws for those that are told */
};

struct writing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_findings *findings;
    report_survey gathered;
    earshot_post posts[MOST_POSTS]; /* of the survey; moved receivers; repeaters */
    size_t n_own, n_posts;
    size_t receiver; /* among the posts, or NONE: not exactly one */
    size_t spots[MOST_SPOTS], n_spots;
    struct arrangement now;
    struct arrangement moved[MOST_SPOTS];
    struct arrangement repeated[MOST_REPEATERS]; /* the best of one, two, three */
    size_t n_repeated;
    earshot_text *out;
};

/* ---- arrangements ---- */

/* Posts: those of the survey, then for each spot the receiver moved there, then a repeater
 * there. */
static size_t moved_post(const struct writing *writing, size_t spot) {
    return writing->n_own + spot;
}

static size_t repeater_post(const struct writing *writing, size_t spot) {
    return writing->n_own + writing->n_spots + spot;
}

static bool lay_posts(struct writing *writing) {
    const earshot_survey *survey = writing->survey;
    writing->n_own = earshot_survey_posts(survey, writing->posts, MOST_POSTS);
    writing->receiver = EARSHOT_NONE;
    if (writing->n_own + 2 * MOST_SPOTS > MOST_POSTS)
        return false;
    size_t n_receivers = 0;
    for (size_t i = 0; i < writing->n_own; i++)
        if (!writing->posts[i].repeats) {
            writing->receiver = i;
            n_receivers++;
        }
    if (n_receivers != 1)
        writing->receiver = EARSHOT_NONE;
    for (size_t i = 0; i < survey->n_spots && writing->n_spots < MOST_SPOTS; i++)
        if (!isnan(survey->spots[i].place.x_m))
            writing->spots[writing->n_spots++] = i;
    if (writing->receiver == EARSHOT_NONE)
        writing->n_spots = 0;
    for (size_t i = 0; i < writing->n_spots; i++) {
        const earshot_post *receiver = &writing->posts[writing->receiver];
        writing->posts[moved_post(writing, i)] =
            earshot_post_moved(survey, receiver, writing->spots[i]);
        writing->posts[repeater_post(writing, i)] =
            earshot_post_repeater(survey, receiver->end.radio, writing->spots[i]);
    }
    writing->n_posts = writing->n_own + 2 * writing->n_spots;
    return true;
}

static void set_stands(const struct writing *writing, const struct arrangement *arrangement,
                       unsigned char *stands) {
    memset(stands, 0, writing->n_posts);
    memset(stands, 1, writing->n_own);
    if (arrangement->receiver != EARSHOT_NONE) {
        stands[writing->receiver] = 0;
        stands[moved_post(writing, arrangement->receiver)] = 1;
    }
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        stands[repeater_post(writing, arrangement->repeaters[i])] = 1;
}

static enum earshot_status score(const struct writing *writing, struct arrangement *all,
                                 size_t n, size_t first_draw) {
    unsigned char *stands = calloc(n * writing->n_posts + 1, 1);
    earshot_score *scores = calloc(n + 1, sizeof *scores);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (stands && scores) {
        for (size_t i = 0; i < n; i++)
            set_stands(writing, &all[i], stands + i * writing->n_posts);
        status = earshot_posts_score(writing->survey, writing->belief, writing->posts,
                                     writing->n_posts, stands, n, SEED, first_draw, N_DRAWS,
                                     NULL, NULL, scores);
    }
    for (size_t i = 0; status == EARSHOT_OK && i < n; i++)
        all[i].score = scores[i];
    free(stands);
    free(scores);
    return status;
}

/* More zones firm, then all of them likelier, then fewer expected short, then more to spare. */
static int better_first(const void *a, const void *b) {
    const struct arrangement *left = a, *right = b;
    const earshot_score *x = &left->score, *y = &right->score;
    if (x->n_firm != y->n_firm)
        return x->n_firm > y->n_firm ? -1 : 1;
    if (x->chance_all != y->chance_all)
        return x->chance_all > y->chance_all ? -1 : 1;
    if (x->short_zones != y->short_zones)
        return x->short_zones < y->short_zones ? -1 : 1;
    if (x->smallest_spare_db != y->smallest_spare_db)
        return x->smallest_spare_db > y->smallest_spare_db ? -1 : 1;
    return left->receiver < right->receiver ? -1 : left->receiver > right->receiver;
}

/* ---- all of them ---- */

/* All sets of k of n, each as rising numbers; how many. */
static size_t list_sets(size_t n, size_t k, struct arrangement *out) {
    size_t chosen[MOST_REPEATERS] = {0, 1, 2}, n_sets = 0;
    if (k > n)
        return 0;
    for (;;) {
        if (out) {
            out[n_sets] = (struct arrangement){.receiver = EARSHOT_NONE, .n_repeaters = k};
            memcpy(out[n_sets].repeaters, chosen, sizeof chosen);
        }
        n_sets++;
        size_t i = k;
        while (i > 0 && chosen[i - 1] == n - k + i - 1)
            i--;
        if (i == 0)
            return n_sets;
        chosen[i - 1]++;
        for (; i < k; i++)
            chosen[i] = chosen[i - 1] + 1;
    }
}

/* What may be told: now, every moved receiver, and of each number of repeaters the first few.
 */
static size_t keep_for_telling(struct arrangement *all, const size_t *first, size_t n_sets) {
    enum { AGAIN = 10 };
    size_t kept = first[0];
    for (size_t k = 0; k < n_sets; k++) {
        size_t n = first[k + 1] - first[k];
        qsort(all + first[k], n, sizeof *all, better_first);
        n = n < AGAIN ? n : AGAIN;
        memmove(all + kept, all + first[k], n * sizeof *all);
        kept += n;
    }
    return kept;
}

/* The best of each number of repeaters, up to the first that makes all zones firm. */
static void take_repeaters(struct writing *writing, const struct arrangement *all, size_t n) {
    for (size_t k = 1; k <= MOST_REPEATERS; k++) {
        const struct arrangement *best = NULL;
        for (size_t i = 0; i < n; i++)
            if (all[i].n_repeaters == k && (!best || better_first(&all[i], best) < 0))
                best = &all[i];
        if (!best)
            return;
        writing->repeated[writing->n_repeated++] = *best;
        if (best->score.n_firm == best->score.n_zones)
            return;
    }
}

static enum earshot_status score_all(struct writing *writing) {
    size_t n_spots = writing->n_spots, n = 1 + n_spots, first[MOST_REPEATERS + 1];
    for (size_t k = 1; k <= MOST_REPEATERS; k++)
        n += list_sets(n_spots, k, NULL);
    struct arrangement *all = calloc(n, sizeof *all);
    if (!all)
        return EARSHOT_NO_MEMORY;
    all[0] = (struct arrangement){.receiver = EARSHOT_NONE};
    for (size_t i = 0; i < n_spots; i++)
        all[1 + i] = (struct arrangement){.receiver = i};
    first[0] = 1 + n_spots;
    for (size_t k = 1; k <= MOST_REPEATERS; k++)
        first[k] = first[k - 1] + list_sets(n_spots, k, all + first[k - 1]);
    enum earshot_status status = score(writing, all, n, 0);
    if (status == EARSHOT_OK) {
        n = keep_for_telling(all, first, MOST_REPEATERS);
        status = score(writing, all, n, N_DRAWS);
    }
    if (status == EARSHOT_OK) {
        writing->now = all[0];
        memcpy(writing->moved, all + 1, n_spots * sizeof *all);
        qsort(writing->moved, n_spots, sizeof *writing->moved, better_first);
        take_repeaters(writing, all, n);
    }
    free(all);
    return status;
}

/* ---- for a person ---- */

static const char *spot_name(const struct writing *writing, size_t spot) {
    return writing->survey->spots[writing->spots[spot]].name;
}

static void write_percent(earshot_text *out, double chance) {
    text_add_fixed(out, fmin(fmax(100 * chance, chance > 0 ? 1 : 0), chance < 1 ? 99 : 100), 0);
    text_add(out, " %");
}

static void write_score(const struct writing *writing, const earshot_score *score) {
    earshot_text *out = writing->out;
    text_add_count(out, score->n_firm);
    text_add(out, " of ");
    text_add_count(out, score->n_zones);
    text_add(out, " firm, all of them at once ");
    write_percent(out, score->chance_all);
}

static void write_mends(const struct writing *writing, const report_zone *zone) {
    earshot_text *out = writing->out;
    const report_link *link = &writing->gathered.links[zone->link];
    const earshot_prediction *prediction = &zone->zone.prediction;
    planning_mend mends[PLANNING_MAX_MENDS];
    size_t n = planning_mends(writing->survey, writing->belief, &zone->zone.link, prediction,
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
        write_percent(out, mend->chance);
        text_add(out, " sure to hold\n");
    }
    text_add(out, "    proof: ");
    text_add_fixed(
        out, planning_proof_dbm(writing->survey, writing->belief, &zone->zone.link, prediction),
        0);
    text_add(out, " dBm or more read in place, or ten of ten behind a pad of ");
    text_add_fixed(out, prediction->required_margin_db, 0);
    text_add(out, " dB\n");
}

static size_t write_weak(const struct writing *writing) {
    earshot_text *out = writing->out;
    size_t n = 0;
    for (size_t i = 0; i < writing->gathered.n_zones; i++) {
        const report_zone *zone = &writing->gathered.zones[i];
        const survey_device *device = &writing->survey->devices[zone->zone.device];
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
        write_mends(writing, zone);
    }
    return n;
}

static void write_needs(const struct writing *writing, size_t spot) {
    const survey_spot *at = &writing->survey->spots[writing->spots[spot]];
    earshot_text *out = writing->out;
    text_add(out, at->mains ? "" : "; has no mains: electricians' work");
    text_add(out, at->near_metal ? "; beside metal" : "");
    text_add(out, at->reachable_by_intruder ? "; an intruder can reach it" : "");
}

static bool apart(const earshot_score *a, const earshot_score *b) {
    double se =
        sqrt(a->short_zones_se * a->short_zones_se + b->short_zones_se * b->short_zones_se);
    return fabs(a->short_zones - b->short_zones) > 2 * se;
}

static void write_moved(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out,
             "The receiver moved, best first (every link is new then, and wants reading):\n");
    for (size_t i = 0; i < writing->n_spots; i++) {
        const struct arrangement *moved = &writing->moved[i];
        text_add(out, "  ");
        text_add_in_line(out, spot_name(writing, moved->receiver));
        text_add(out, ": ");
        write_score(writing, &moved->score);
        if (i > 0 && !apart(&moved->score, &writing->moved[i - 1].score))
            text_add(out, "; not distinguishable from the one above");
        write_needs(writing, moved->receiver);
        text_add(out, "\n");
    }
}

static bool relays_life(const struct writing *writing) {
    for (size_t i = 0; i < writing->gathered.n_zones; i++)
        if (writing->gathered.zones[i].zone.link.life_safety &&
            writing->gathered.zones[i].zone.prediction.verdict != EARSHOT_FIRM)
            return true;
    return false;
}

static void write_repeated(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out, "Repeaters, the receiver where it is:\n");
    for (size_t k = 0; k < writing->n_repeated; k++) {
        const struct arrangement *best = &writing->repeated[k];
        text_add(out, "  ");
        text_add_count(out, k + 1);
        text_add(out, " at ");
        for (size_t i = 0; i < best->n_repeaters; i++) {
            text_add(out, i ? ", " : "");
            text_add_in_line(out, spot_name(writing, best->repeaters[i]));
        }
        text_add(out, ": ");
        write_score(writing, &best->score);
        text_add(out, "\n");
    }
    const struct arrangement *last = &writing->repeated[writing->n_repeated - 1];
    bool all = last->score.n_firm == last->score.n_zones;
    size_t short_of = writing->n_repeated - all;
    if (short_of) {
        text_add(out, "  Under this model no ");
        if (short_of > 1)
            text_add_count(out, short_of);
        text_add(out, short_of > 1 ? " of these " : "single one of these ");
        text_add_count(out, writing->n_spots);
        text_add(out,
                 short_of > 1 ? " spots make all zones firm" : " spots makes all zones firm");
        text_add(out, all ? ", and those do.\n" : ".\n");
    }
    text_add(out,
             "A repeater needs mains (electricians' work) and must be one that this system "
             "allows.\n");
    if (relays_life(writing))
        text_add(out,
                 "Whether one may relay what guards life, the maker and the authority having "
                 "jurisdiction decide.\n");
}

static bool has_plan(const struct writing *writing) {
    for (size_t i = 0; i < writing->gathered.n_links; i++)
        if (writing->gathered.links[i].link.path == EARSHOT_NONE)
            return true;
    return false;
}

static void write_plain(const struct writing *writing) {
    earshot_text *out = writing->out;
    size_t n_weak = 0;
    for (size_t i = 0; i < writing->gathered.n_zones; i++)
        n_weak += writing->gathered.zones[i].zone.prediction.verdict != EARSHOT_FIRM;
    if (n_weak == 0) {
        text_add(out, "All zones are firm where they are; nothing needs moving.\n");
        return;
    }
    text_add_count(out, n_weak);
    text_add(out, n_weak == 1 ? " zone is not firm. What could mend it, cheapest first:\n"
                              : " zones are not firm. What could mend each, cheapest first:\n");
    write_weak(writing);
    if (!has_plan(writing))
        text_add(out,
                 "There is no plan, so a spot needs a row of paths.csv from each zone: put it "
                 "into devices.csv of a copy as the receiver, and earshot compare tells.\n");
    else if (writing->receiver == EARSHOT_NONE)
        text_add(out,
                 "There is not exactly one receiver: write another arrangement as a survey of "
                 "its own, and earshot compare tells.\n");
    else if (writing->n_spots == 0)
        text_add(out,
                 "For where the receiver or a repeater would help, list places with mains in "
                 "spots.csv.\n");
    else {
        text_add(out, "As it stands: ");
        write_score(writing, &writing->now.score);
        text_add(out, "\n");
        write_moved(writing);
        write_repeated(writing);
    }
}

/* ---- for programs ---- */

static void write_arrangement_json(const struct writing *writing, report_json *json,
                                   const char *key, const struct arrangement *arrangement) {
    report_open(json, key, '{');
    report_string(json, "receiver",
                  arrangement->receiver == EARSHOT_NONE
                      ? NULL
                      : spot_name(writing, arrangement->receiver));
    report_open(json, "repeaters", '[');
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        report_string(json, NULL, spot_name(writing, arrangement->repeaters[i]));
    report_close(json, ']');
    report_number(json, "firm", (double)arrangement->score.n_firm);
    report_number(json, "chance_all", arrangement->score.chance_all);
    report_number(json, "chance_all_se", arrangement->score.chance_all_se);
    report_number(json, "short_zones", arrangement->score.short_zones);
    report_number(json, "short_zones_se", arrangement->score.short_zones_se);
    report_number(json, "smallest_spare_db", arrangement->score.smallest_spare_db);
    report_close(json, '}');
}

static void write_zones_json(const struct writing *writing, report_json *json) {
    static const char *const kinds[] = {"slide", "mount", "other place"};
    report_open(json, "zones", '[');
    for (size_t i = 0; i < writing->gathered.n_zones; i++) {
        const report_zone *zone = &writing->gathered.zones[i];
        planning_mend mends[PLANNING_MAX_MENDS];
        if (zone->zone.prediction.verdict == EARSHOT_FIRM || zone->link == EARSHOT_NONE)
            continue;
        const report_link *link = &writing->gathered.links[zone->link];
        size_t n = planning_mends(writing->survey, writing->belief, &zone->zone.link,
                                  &zone->zone.prediction, link->parts, link->n_parts, mends);
        report_open(json, NULL, '{');
        report_string(json, "device", writing->survey->devices[zone->zone.device].name);
        report_string(json, "verdict", earshot_verdict_word(zone->zone.prediction.verdict));
        report_number(json, "spare_db", zone->zone.prediction.spare_db);
        report_number(json, "proof_dbm",
                      planning_proof_dbm(writing->survey, writing->belief, &zone->zone.link,
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

static void write_json(const struct writing *writing) {
    report_json json = {.out = writing->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/where/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(writing->survey));
    write_zones_json(writing, &json);
    write_arrangement_json(writing, &json, "now", &writing->now);
    report_open(&json, "moved", '[');
    for (size_t i = 0; i < writing->n_spots; i++)
        write_arrangement_json(writing, &json, NULL, &writing->moved[i]);
    report_close(&json, ']');
    report_open(&json, "repeated", '[');
    for (size_t i = 0; i < writing->n_repeated; i++)
        write_arrangement_json(writing, &json, NULL, &writing->repeated[i]);
    report_close(&json, ']');
    report_findings_json(&json, writing->findings);
    report_close(&json, '}');
    text_add(writing->out, "\n");
}

static void write_row(const struct writing *writing, const struct arrangement *arrangement) {
    earshot_text *out = writing->out, *names = earshot_text_new();
    for (size_t i = 0; names && i < arrangement->n_repeaters; i++) {
        text_add(names, i ? ";" : "");
        text_add(names, spot_name(writing, arrangement->repeaters[i]));
    }
    if (!names || earshot_text_cut(names))
        text_lose(out);
    report_cell(
        out,
        arrangement->receiver == EARSHOT_NONE ? "" : spot_name(writing, arrangement->receiver),
        false);
    report_cell(out, names ? earshot_text_data(names) : "", false);
    report_cell_number(out, (double)arrangement->score.n_firm, false);
    report_cell_number(out, arrangement->score.chance_all, false);
    report_cell_number(out, arrangement->score.short_zones, false);
    report_cell_number(out, arrangement->score.short_zones_se, false);
    report_cell_number(out, arrangement->score.smallest_spare_db, true);
    earshot_text_free(names);
}

static void write_csv(const struct writing *writing) {
    text_add(writing->out, "receiver,repeaters,firm,chance_all,short_zones,short_zones_se,"
                           "smallest_spare_db\n");
    write_row(writing, &writing->now);
    for (size_t i = 0; i < writing->n_spots; i++)
        write_row(writing, &writing->moved[i]);
    for (size_t i = 0; i < writing->n_repeated; i++)
        write_row(writing, &writing->repeated[i]);
}

enum earshot_status earshot_where_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out) {
    struct writing writing = {.survey = survey,
                              .belief = belief,
                              .findings = findings,
                              .now = {.receiver = EARSHOT_NONE},
                              .out = out};
    enum earshot_status status = report_gather(survey, belief, findings, &writing.gathered);
    if (status != EARSHOT_OK)
        return status;
    status = lay_posts(&writing) ? score_all(&writing) : EARSHOT_MISUSE;
    if (status == EARSHOT_OK && form == EARSHOT_JSON)
        write_json(&writing);
    else if (status == EARSHOT_OK && form == EARSHOT_CSV)
        write_csv(&writing);
    else if (status == EARSHOT_OK)
        write_plain(&writing);
    report_release(&writing.gathered);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}
