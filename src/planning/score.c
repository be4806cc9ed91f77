/* SPDX-License-Identifier: GPL-3.0-or-later */
/* score.c - what arrangements of listeners make of all zones, by draws of all their links at
 * once: a link that two arrangements share is the same in both, one that is new has a fade of
 * its own.
 *
 * In each draw a zone has what its best way has to spare: direct to a receiver, or through one
 * repeater, where the weaker of both hops counts, each against what the zone asks for. So walls
 * and radios that both hops share err together.
 */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "places.h"

static const double life_counts = 10; /* one zone that guards life, as that many others */
/* The spare of a zone that no way serves: low enough for any building, and a number. */
static const double nothing_db = -200;

/* What draws make of a way, or of a zone's best way. */
struct tally {
    size_t n_held;
    double sum_db, squares_db2;
};

struct scoring {
    const earshot_survey *survey;
    const earshot_post *posts;
    size_t n_posts;
    size_t *zones; /* device rows */
    size_t n_zones;
    earshot_link *links; /* zone by zone, post by post; then repeaters, receivers */
    size_t *at;          /* (n_zones + n_posts) x n_posts: into links, or NONE */
    size_t n_links;
    earshot_prediction *direct; /* by link */
    double *margin_db;          /* draws x links */
    size_t n_draws;
    /* Of the arrangement at hand. */
    const unsigned char *stands; /* by post */
    planning_by_way by_way;
    struct tally *ways; /* zones x posts */
    struct tally *best; /* by zone */
    earshot_fate *fates;
};

static double square(double x) {
    return x * x;
}

/* ---- links ---- */

static void add_link(struct scoring *scoring, size_t row, size_t post, earshot_link link) {
    scoring->at[row * scoring->n_posts + post] = scoring->n_links;
    scoring->links[scoring->n_links++] = link;
}

static void lay_links(struct scoring *scoring) {
    size_t n_posts = scoring->n_posts;
    for (size_t i = 0; i < (scoring->n_zones + n_posts) * n_posts; i++)
        scoring->at[i] = EARSHOT_NONE;
    for (size_t z = 0; z < scoring->n_zones; z++)
        for (size_t p = 0; p < n_posts; p++)
            if (planning_post_hears(scoring->survey, &scoring->posts[p], scoring->zones[z]))
                add_link(
                    scoring, z, p,
                    planning_link_to(scoring->survey, scoring->zones[z], &scoring->posts[p]));
    for (size_t r = 0; r < n_posts; r++)
        for (size_t p = 0; p < n_posts; p++)
            if (planning_post_passes(scoring->survey, &scoring->posts[r], &scoring->posts[p]))
                add_link(scoring, scoring->n_zones + r, p,
                         planning_link_between(scoring->survey, &scoring->posts[r],
                                               &scoring->posts[p]));
}

/* ---- one draw ---- */

static double margin_of(const struct scoring *scoring, const double *margin_db, size_t row,
                        size_t post) {
    size_t link = scoring->at[row * scoring->n_posts + post];
    return link == EARSHOT_NONE || isnan(margin_db[link]) ? -INFINITY : margin_db[link];
}

/* The margin of a way through a post: of a repeater the weaker of both hops. */
static double way_db(const struct scoring *scoring, const double *margin_db, size_t zone,
                     size_t post) {
    double best_db = -INFINITY, first_db = margin_of(scoring, margin_db, zone, post);
    if (!scoring->posts[post].repeats)
        return first_db;
    for (size_t p = 0; p < scoring->n_posts; p++)
        if (scoring->stands[p])
            best_db = fmax(best_db, margin_of(scoring, margin_db, scoring->n_zones + post, p));
    return fmin(first_db, best_db);
}

static bool is_open(const struct scoring *scoring, size_t zone, size_t post) {
    const unsigned char *closed = scoring->by_way.closed;
    return scoring->stands[post] && !(closed && closed[zone * scoring->n_posts + post]);
}

static void tally_add(struct tally *tally, double spare_db) {
    tally->n_held += spare_db >= 0;
    tally->sum_db += spare_db;
    tally->squares_db2 += square(spare_db);
}

struct sums {
    size_t n_all;
    double short_zones, squares;
};

static void take_draw(struct scoring *scoring, size_t k, double *best_spare_db,
                      struct sums *sums) {
    const double *margin_db = scoring->margin_db + k * scoring->n_links;
    double short_zones = 0;
    for (size_t z = 0; z < scoring->n_zones; z++) {
        double asked_db = survey_asked_db(scoring->survey, scoring->fates[z].life_safety),
               best_db = nothing_db;
        for (size_t p = 0; p < scoring->n_posts; p++) {
            if (!is_open(scoring, z, p))
                continue;
            double spare_db = fmax(way_db(scoring, margin_db, z, p) - asked_db, nothing_db);
            tally_add(&scoring->ways[z * scoring->n_posts + p], spare_db);
            best_db = fmax(best_db, spare_db);
        }
        tally_add(&scoring->best[z], best_db);
        if (best_spare_db)
            best_spare_db[k * scoring->n_zones + z] = best_db;
        if (best_db < 0)
            short_zones += scoring->fates[z].life_safety ? life_counts : 1;
    }
    sums->n_all += short_zones == 0;
    sums->short_zones += short_zones;
    sums->squares += square(short_zones);
}

/* ---- verdicts ---- */

/* Of a direct way the engine's own verdict, which heeds what was read; through a repeater by
 * how often both hops hold together. */
static enum earshot_verdict verdict_of(const struct scoring *scoring, size_t zone, size_t post,
                                       double chance, double mean_spare_db) {
    const earshot_fate *fate = &scoring->fates[zone];
    if (!scoring->posts[post].repeats)
        return scoring->direct[scoring->at[zone * scoring->n_posts + post]].verdict;
    if (chance >= survey_confidence(scoring->survey, fate->life_safety))
        return EARSHOT_FIRM;
    if (mean_spare_db <= nothing_db) /* a hop that nothing is known of */
        return EARSHOT_NOT_JUDGED;
    double mean_db = mean_spare_db + survey_asked_db(scoring->survey, fate->life_safety);
    return mean_db < 0 ? EARSHOT_OUT : EARSHOT_THIN;
}

/* By its best single way: firm before thin before out, then the greater chance. */
static void judge_zone(struct scoring *scoring, size_t zone) {
    earshot_fate *fate = &scoring->fates[zone];
    const struct tally *best = &scoring->best[zone];
    double n = (double)scoring->n_draws, most = -1;
    unsigned char *firm =
        scoring->by_way.firm ? scoring->by_way.firm + zone * scoring->n_posts : NULL;
    fate->verdict = EARSHOT_NOT_JUDGED;
    fate->post = EARSHOT_NONE;
    if (firm)
        memset(firm, 0, scoring->n_posts);
    for (size_t p = 0; p < scoring->n_posts; p++) {
        const struct tally *way = &scoring->ways[zone * scoring->n_posts + p];
        double chance = (double)way->n_held / n;
        if (!is_open(scoring, zone, p) ||
            scoring->at[zone * scoring->n_posts + p] == EARSHOT_NONE)
            continue;
        enum earshot_verdict verdict = verdict_of(scoring, zone, p, chance, way->sum_db / n);
        if (firm)
            firm[p] = verdict == EARSHOT_FIRM;
        if (fate->post != EARSHOT_NONE &&
            (verdict > fate->verdict || (verdict == fate->verdict && chance <= most)))
            continue;
        fate->verdict = verdict;
        fate->post = p;
        most = chance;
    }
    fate->chance = (double)best->n_held / n;
    fate->spare_db = best->sum_db / n;
    fate->spare_sd_db = sqrt(fmax(0, best->squares_db2 / n - square(best->sum_db / n)));
}

static earshot_score sum_up(const struct scoring *scoring, const struct sums *sums) {
    double n = (double)scoring->n_draws, all = (double)sums->n_all / n;
    double mean = sums->short_zones / n;
    earshot_score score = {.chance_all = all,
                           .chance_all_se = sqrt(all * (1 - all) / n),
                           .short_zones = mean,
                           .short_zones_se =
                               sqrt(fmax(0, sums->squares / n - square(mean)) / n),
                           .smallest_spare_db = INFINITY,
                           .smallest = EARSHOT_NONE,
                           .n_zones = scoring->n_zones};
    for (size_t z = 0; z < scoring->n_zones; z++) {
        score.n_firm += scoring->fates[z].verdict == EARSHOT_FIRM;
        if (scoring->fates[z].spare_db >= score.smallest_spare_db)
            continue;
        score.smallest_spare_db = scoring->fates[z].spare_db;
        score.smallest = z;
    }
    return score;
}

/* ---- all ---- */

static void release(struct scoring *scoring) {
    free(scoring->zones);
    free(scoring->links);
    free(scoring->at);
    free(scoring->direct);
    free(scoring->margin_db);
    free(scoring->ways);
    free(scoring->best);
    free(scoring->fates);
}

static bool prepare(struct scoring *scoring) {
    const earshot_survey *survey = scoring->survey;
    size_t n_posts = scoring->n_posts;
    scoring->zones = calloc(survey->n_devices + 1, sizeof *scoring->zones);
    scoring->fates = calloc(survey->n_devices + 1, sizeof *scoring->fates);
    if (!scoring->zones || !scoring->fates)
        return false;
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].role == SURVEY_SENSOR) {
            scoring->fates[scoring->n_zones] =
                (earshot_fate){.device = i, .life_safety = survey->devices[i].life_safety};
            scoring->zones[scoring->n_zones++] = i;
        }
    size_t most = (scoring->n_zones + n_posts) * n_posts;
    scoring->links = calloc(most + 1, sizeof *scoring->links);
    scoring->at = calloc(most + 1, sizeof *scoring->at);
    scoring->direct = calloc(most + 1, sizeof *scoring->direct);
    scoring->ways = calloc(most + 1, sizeof *scoring->ways);
    scoring->best = calloc(scoring->n_zones + 1, sizeof *scoring->best);
    if (!scoring->links || !scoring->at || !scoring->direct || !scoring->ways || !scoring->best)
        return false;
    lay_links(scoring);
    if (scoring->n_draws > SIZE_MAX / sizeof *scoring->margin_db / (scoring->n_links + 1))
        return false;
    scoring->margin_db =
        calloc(scoring->n_draws * scoring->n_links + 1, sizeof *scoring->margin_db);
    return scoring->margin_db != NULL;
}

/* One arrangement, from the draws that all share. */
static earshot_score score_set(struct scoring *scoring, const unsigned char *stands,
                               double *best_spare_db) {
    struct sums sums = {0};
    scoring->stands = stands;
    memset(scoring->ways, 0, scoring->n_zones * scoring->n_posts * sizeof *scoring->ways);
    memset(scoring->best, 0, scoring->n_zones * sizeof *scoring->best);
    for (size_t k = 0; k < scoring->n_draws; k++)
        take_draw(scoring, k, best_spare_db, &sums);
    for (size_t z = 0; z < scoring->n_zones; z++)
        judge_zone(scoring, z);
    return sum_up(scoring, &sums);
}

enum earshot_status
planning_posts_score(const earshot_survey *survey, const earshot_belief *belief,
                     const earshot_post *posts, size_t n_posts, const unsigned char *stands,
                     size_t n_sets, unsigned long long seed, size_t first_draw, size_t n_draws,
                     earshot_fate *fates, double *best_spare_db, const planning_by_way *by_way,
                     earshot_score *scores) {
    if (!survey || !belief || (n_posts && !posts) || (n_sets && (!stands || !scores)) ||
        n_draws == 0)
        return EARSHOT_MISUSE;
    struct scoring scoring = {
        .survey = survey, .posts = posts, .n_posts = n_posts, .n_draws = n_draws};
    enum earshot_status status = prepare(&scoring) ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = earshot_links_predict(survey, belief, scoring.links, scoring.n_links,
                                       scoring.direct);
    if (status == EARSHOT_OK)
        status = earshot_links_draw(survey, belief, scoring.links, scoring.n_links, seed,
                                    first_draw, n_draws, scoring.margin_db);
    size_t n_zones = scoring.n_zones;
    for (size_t i = 0; status == EARSHOT_OK && i < n_sets; i++) {
        size_t first = i * n_zones * n_posts;
        if (by_way)
            scoring.by_way =
                (planning_by_way){.closed = by_way->closed ? by_way->closed + first : NULL,
                                  .firm = by_way->firm ? by_way->firm + first : NULL};
        scores[i] = score_set(&scoring, stands + i * n_posts,
                              best_spare_db ? best_spare_db + i * n_draws * n_zones : NULL);
        if (fates && n_zones)
            memcpy(fates + i * n_zones, scoring.fates, n_zones * sizeof *fates);
    }
    release(&scoring);
    return status;
}

enum earshot_status earshot_posts_score(const earshot_survey *survey,
                                        const earshot_belief *belief, const earshot_post *posts,
                                        size_t n_posts, const unsigned char *stands,
                                        size_t n_sets, unsigned long long seed,
                                        size_t first_draw, size_t n_draws, earshot_fate *fates,
                                        double *best_spare_db, earshot_score *scores) {
    return planning_posts_score(survey, belief, posts, n_posts, stands, n_sets, seed,
                                first_draw, n_draws, fates, best_spare_db, NULL, scores);
}
