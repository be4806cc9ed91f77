/* SPDX-License-Identifier: GPL-3.0-or-later */
/* compare.c - two arrangements side by side, zone by zone: for a person, as JSON (schema
 * earshot/compare/1) and as CSV, a row for each zone.
 *
 * Two arrangements of one survey are scored on the same draws, so that what is not known of the
 * house is in neither's favor. Of two surveys nobody can say what they have in common, and the
 * doubt of a difference is then that of both.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "write.h"

enum { N_DRAWS = 4000, SEED = 1 };

struct side {
    earshot_fate *fates;
    double *spare_db; /* draws x zones */
    earshot_score score;
};

struct row {
    size_t zone, other; /* among the fates of each side */
    double more_db, more_sd_db;
};

struct writing {
    const earshot_compared *now, *then;
    const earshot_findings *findings;
    struct side sides[2];
    struct row *rows;
    size_t n_rows;
    earshot_text *out;
};

static bool take_room(const earshot_compared *of, struct side *side) {
    size_t most = earshot_survey_zones(of->survey) + 1;
    side->fates = calloc(most, sizeof *side->fates);
    side->spare_db = calloc(most, N_DRAWS * sizeof *side->spare_db);
    return side->fates && side->spare_db;
}

static enum earshot_status score_side(const earshot_compared *of, unsigned long long seed,
                                      struct side *side) {
    unsigned char *stands = malloc(of->n_posts + 1);
    if (!stands)
        return EARSHOT_NO_MEMORY;
    memset(stands, 1, of->n_posts + 1);
    enum earshot_status status =
        earshot_posts_score(of->survey, of->belief, of->posts, of->n_posts, stands, 1, seed, 0,
                            N_DRAWS, side->fates, side->spare_db, &side->score);
    free(stands);
    return status;
}

static bool same_post(const earshot_post *a, const earshot_post *b) {
    return a->device == b->device && a->spot == b->spot && a->repeats == b->repeats;
}

/* Listeners of both, each once, and which of them stand in which. */
static size_t join_posts(const earshot_compared *now, const earshot_compared *then,
                         earshot_post *posts, unsigned char *stands) {
    size_t n = now->n_posts, most = now->n_posts + then->n_posts;
    unsigned char *second = stands + most;
    memset(stands, 0, 2 * most);
    for (size_t i = 0; i < now->n_posts; i++) {
        posts[i] = now->posts[i];
        stands[i] = 1;
    }
    for (size_t i = 0; i < then->n_posts; i++) {
        size_t at = 0;
        while (at < n && !same_post(&posts[at], &then->posts[i]))
            at++;
        if (at == n)
            posts[n++] = then->posts[i];
        second[at] = 1;
    }
    memmove(stands + n, second, n);
    return n;
}

/* The row of a post among those of one side, for a row among all. */
static size_t own_row(const earshot_compared *of, const earshot_post *all, size_t post) {
    for (size_t i = 0; post != EARSHOT_NONE && i < of->n_posts; i++)
        if (same_post(&of->posts[i], &all[post]))
            return i;
    return EARSHOT_NONE;
}

static enum earshot_status score_together(struct writing *writing) {
    const earshot_compared *now = writing->now, *then = writing->then;
    size_t most = now->n_posts + then->n_posts, n_zones = earshot_survey_zones(now->survey);
    earshot_post *posts = calloc(most + 1, sizeof *posts);
    unsigned char *stands = calloc(2 * most + 1, 1);
    earshot_fate *fates = calloc(2 * n_zones + 1, sizeof *fates);
    double *spare_db = calloc(2 * n_zones + 1, N_DRAWS * sizeof *spare_db);
    earshot_score scores[2];
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (posts && stands && fates && spare_db) {
        size_t n = join_posts(now, then, posts, stands);
        status = earshot_posts_score(now->survey, now->belief, posts, n, stands, 2, SEED, 0,
                                     N_DRAWS, fates, spare_db, scores);
    }
    for (int i = 0; status == EARSHOT_OK && i < 2; i++) {
        struct side *side = &writing->sides[i];
        side->score = scores[i];
        memcpy(side->fates, fates + (size_t)i * n_zones, n_zones * sizeof *fates);
        for (size_t k = 0; k < n_zones; k++)
            side->fates[k].post = own_row(i ? then : now, posts, side->fates[k].post);
        memcpy(side->spare_db, spare_db + (size_t)i * n_zones * N_DRAWS,
               n_zones * N_DRAWS * sizeof *spare_db);
    }
    free(posts);
    free(stands);
    free(fates);
    free(spare_db);
    return status;
}

static enum earshot_status score_both(struct writing *writing) {
    if (!take_room(writing->now, &writing->sides[0]) ||
        !take_room(writing->then, &writing->sides[1]))
        return EARSHOT_NO_MEMORY;
    if (writing->now->survey == writing->then->survey)
        return score_together(writing);
    enum earshot_status status = score_side(writing->now, SEED, &writing->sides[0]);
    return status == EARSHOT_OK ? score_side(writing->then, SEED + 1, &writing->sides[1])
                                : status;
}

static double square(double x) {
    return x * x;
}

/* What a zone has more of in the second arrangement, draw by draw. */
static struct row difference(const struct writing *writing, size_t zone, size_t other) {
    const struct side *now = &writing->sides[0], *then = &writing->sides[1];
    double sum = 0, squares = 0;
    for (size_t k = 0; k < N_DRAWS; k++) {
        double more = then->spare_db[k * then->score.n_zones + other] -
                      now->spare_db[k * now->score.n_zones + zone];
        sum += more;
        squares += square(more);
    }
    double mean = sum / N_DRAWS;
    return (struct row){zone, other, mean, sqrt(fmax(0, squares / N_DRAWS - square(mean)))};
}

static const char *device_name(const earshot_compared *of, const struct side *side,
                               size_t zone) {
    return of->survey->devices[side->fates[zone].device].name;
}

/* Zones go by the names of their devices: the second survey may list them otherwise. */
static void pair_zones(struct writing *writing) {
    for (size_t i = 0; i < writing->sides[0].score.n_zones; i++)
        for (size_t j = 0; j < writing->sides[1].score.n_zones; j++)
            if (strcmp(device_name(writing->now, &writing->sides[0], i),
                       device_name(writing->then, &writing->sides[1], j)) == 0)
                writing->rows[writing->n_rows++] = difference(writing, i, j);
}

/* Zones that become firm by way of a post, which then must have room for them: others may have
 * another way. */
static size_t n_carried(const struct writing *writing, size_t post) {
    size_t n = 0;
    for (size_t i = 0; i < writing->n_rows; i++) {
        const earshot_fate *then = &writing->sides[1].fates[writing->rows[i].other];
        n += writing->sides[0].fates[writing->rows[i].zone].verdict != EARSHOT_FIRM &&
             then->verdict == EARSHOT_FIRM && then->post == post;
    }
    return n;
}

static double room_of(const struct writing *writing) {
    return writing->then->survey->site.zones_per_repeater;
}

static bool is_full(const struct writing *writing, size_t post) {
    return writing->then->posts[post].repeats &&
           (double)n_carried(writing, post) > room_of(writing);
}

static const char *post_name(const struct writing *writing, size_t post) {
    const earshot_post *of = &writing->then->posts[post];
    return of->spot == EARSHOT_NONE ? writing->then->survey->devices[of->device].name
                                    : earshot_survey_spot(writing->then->survey, of->spot);
}

/* ---- for a person ---- */

static void write_room(const struct writing *writing) {
    earshot_text *out = writing->out;
    for (size_t i = 0; i < writing->then->n_posts; i++) {
        if (!is_full(writing, i))
            continue;
        text_add(out, "Not all of it: ");
        text_add_count(out, n_carried(writing, i));
        text_add(out, " zones become firm by the repeater at ");
        text_add_in_line(out, post_name(writing, i));
        text_add(out, ", which has room for ");
        text_add_fixed(out, room_of(writing), 0);
        text_add(out, ".\n");
    }
}

static bool apart(const struct writing *writing) {
    const earshot_score *a = &writing->sides[0].score, *b = &writing->sides[1].score;
    double se = sqrt(square(a->short_zones_se) + square(b->short_zones_se));
    return fabs(a->short_zones - b->short_zones) > 2 * se;
}

static void write_sentence(const struct writing *writing) {
    const earshot_score *a = &writing->sides[0].score, *b = &writing->sides[1].score;
    earshot_text *out = writing->out;
    report_capital(out, writing->then->name);
    text_add(out, ": ");
    text_add_count(out, b->n_firm);
    text_add(out, " of ");
    text_add_count(out, b->n_zones);
    text_add(out, " zones firm, now ");
    text_add_count(out, a->n_firm);
    if (a->n_zones != b->n_zones) {
        text_add(out, " of ");
        text_add_count(out, a->n_zones);
    }
    text_add(out, "; all of them at once ");
    report_percent(out, b->chance_all);
    text_add(out, ", now ");
    report_percent(out, a->chance_all);
    text_add(out, !apart(writing)                   ? "; the two are not distinguishable.\n"
                  : b->short_zones < a->short_zones ? "; it helps.\n"
                                                    : "; it does harm.\n");
}

/* What people want to see of a zone: another verdict, or a change that matters. */
static bool worth_showing(const struct writing *writing, const struct row *row) {
    static const double much_db = 3; /* what a moved receiver hardly changes by chance */
    const earshot_fate *now = &writing->sides[0].fates[row->zone];
    const earshot_fate *then = &writing->sides[1].fates[row->other];
    bool weak = now->verdict != EARSHOT_FIRM || then->verdict != EARSHOT_FIRM;
    return now->verdict != then->verdict || (weak && fabs(row->more_db) >= much_db);
}

static void write_row(const struct writing *writing, const struct row *row) {
    const earshot_fate *now = &writing->sides[0].fates[row->zone];
    const earshot_fate *then = &writing->sides[1].fates[row->other];
    const survey_device *device = &writing->now->survey->devices[now->device];
    earshot_text *out = writing->out;
    text_add(out, "  ");
    report_zone_name(out, device);
    text_add(out, device->life_safety ? " (life safety): " : ": ");
    text_add(out, report_verdict(now->verdict));
    if (now->verdict != then->verdict) {
        text_add(out, " -> ");
        text_add(out, report_verdict(then->verdict));
    }
    text_add(out, ", ");
    text_add_fixed(out, fabs(row->more_db), 0);
    text_add(out, row->more_db < 0 ? " dB less" : " dB more");
    report_doubt(out, row->more_sd_db);
    text_add(out, "\n");
}

static void write_plain(const struct writing *writing, bool all) {
    size_t hidden = 0;
    write_sentence(writing);
    write_room(writing);
    for (size_t i = 0; i < writing->n_rows; i++)
        if (all || worth_showing(writing, &writing->rows[i]))
            write_row(writing, &writing->rows[i]);
        else
            hidden++;
    if (hidden) {
        text_add_count(writing->out, hidden);
        text_add(writing->out, hidden == 1 ? " zone keeps its verdict (--all).\n"
                                           : " zones keep their verdict (--all).\n");
    }
    text_add(writing->out,
             "Until it is read there this is a prediction: trip the weakest zones "
             "against the new place first.\n");
}

/* ---- for programs ---- */

static void write_score_json(report_json *json, const char *key, const earshot_compared *of,
                             const earshot_score *score) {
    report_open(json, key, '{');
    report_string(json, "name", of->name);
    report_number(json, "zones", (double)score->n_zones);
    report_number(json, "firm", (double)score->n_firm);
    report_number(json, "chance_all", score->chance_all);
    report_number(json, "chance_all_se", score->chance_all_se);
    report_number(json, "short_zones", score->short_zones);
    report_number(json, "short_zones_se", score->short_zones_se);
    report_number(json, "smallest_spare_db", score->smallest_spare_db);
    report_close(json, '}');
}

static void write_fate_json(report_json *json, const char *key, const earshot_fate *fate) {
    report_open(json, key, '{');
    report_number(json, "spare_db", fate->spare_db);
    report_number(json, "spare_sd_db", fate->spare_sd_db);
    report_number(json, "chance", fate->chance);
    report_string(json, "verdict", earshot_verdict_word(fate->verdict));
    report_close(json, '}');
}

static void write_room_json(const struct writing *writing, report_json *json) {
    report_open(json, "without_room", '[');
    for (size_t i = 0; i < writing->then->n_posts; i++) {
        if (!is_full(writing, i))
            continue;
        report_open(json, NULL, '{');
        report_string(json, "repeater", post_name(writing, i));
        report_number(json, "zones", (double)n_carried(writing, i));
        report_number(json, "room", room_of(writing));
        report_close(json, '}');
    }
    report_close(json, ']');
}

static void write_json(const struct writing *writing) {
    report_json json = {.out = writing->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/compare/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(writing->now->survey));
    write_score_json(&json, "now", writing->now, &writing->sides[0].score);
    write_score_json(&json, "then", writing->then, &writing->sides[1].score);
    report_bool(&json, "distinguishable", apart(writing));
    write_room_json(writing, &json);
    report_open(&json, "zones", '[');
    for (size_t i = 0; i < writing->n_rows; i++) {
        const struct row *row = &writing->rows[i];
        const earshot_fate *now = &writing->sides[0].fates[row->zone];
        report_open(&json, NULL, '{');
        report_string(&json, "device", writing->now->survey->devices[now->device].name);
        report_bool(&json, "life_safety", now->life_safety);
        write_fate_json(&json, "now", now);
        write_fate_json(&json, "then", &writing->sides[1].fates[row->other]);
        report_number(&json, "more_db", row->more_db);
        report_number(&json, "more_sd_db", row->more_sd_db);
        report_close(&json, '}');
    }
    report_close(&json, ']');
    report_findings_json(&json, writing->findings);
    report_close(&json, '}');
    text_add(writing->out, "\n");
}

static void write_csv(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out, "device,life_safety,verdict,then_verdict,spare_db,then_spare_db,more_db,"
                  "more_sd_db,chance,then_chance\n");
    for (size_t i = 0; i < writing->n_rows; i++) {
        const struct row *row = &writing->rows[i];
        const earshot_fate *now = &writing->sides[0].fates[row->zone];
        const earshot_fate *then = &writing->sides[1].fates[row->other];
        report_cell(out, writing->now->survey->devices[now->device].name, false);
        report_cell(out, now->life_safety ? "yes" : "no", false);
        report_cell(out, earshot_verdict_word(now->verdict), false);
        report_cell(out, earshot_verdict_word(then->verdict), false);
        report_cell_number(out, now->spare_db, false);
        report_cell_number(out, then->spare_db, false);
        report_cell_number(out, row->more_db, false);
        report_cell_number(out, row->more_sd_db, false);
        report_cell_number(out, now->chance, false);
        report_cell_number(out, then->chance, true);
    }
}

enum earshot_status earshot_compare_write(const earshot_compared *now,
                                          const earshot_compared *then,
                                          const earshot_findings *findings,
                                          enum earshot_form form, earshot_text *out) {
    struct writing writing = {.now = now, .then = then, .findings = findings, .out = out};
    enum earshot_status status = score_both(&writing);
    if (status == EARSHOT_OK) {
        writing.rows = calloc(writing.sides[0].score.n_zones + 1, sizeof *writing.rows);
        status = writing.rows ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    }
    if (status == EARSHOT_OK)
        pair_zones(&writing);
    if (status == EARSHOT_OK && form == EARSHOT_JSON)
        write_json(&writing);
    else if (status == EARSHOT_OK && form == EARSHOT_CSV)
        write_csv(&writing);
    else if (status == EARSHOT_OK)
        write_plain(&writing, form == EARSHOT_PLAIN_ALL);
    for (int i = 0; i < 2; i++) {
        free(writing.sides[i].fates);
        free(writing.sides[i].spare_db);
    }
    free(writing.rows);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}
