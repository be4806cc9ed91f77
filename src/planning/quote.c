/* SPDX-License-Identifier: GPL-3.0-or-later */
/* quote.c - how many repeaters to price before anybody has been there.
 *
 * A house is drawn with everything that is not known of it, many times, and in each the fewest
 * repeaters are counted that bring all zones home: that is a chance for each number, not one
 * number. Where there are places to try, by both hops in the same draw. Where there is no plan,
 * zones of one room (without a room: behind the same walls) share one repeater half way, which
 * halves the walls and takes off the distance what half of it is; a room that is short by more
 * than that wants two. That is judgement, no source.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "places.h"

enum { SEED = 2, N_DRAWS = 2000, MOST_PLACES = 6, MOST_NEED = PLANNING_QUOTE_MOST + 1 };
static const double sure_of_it = 0.8; /* four houses of five; judgement */

struct quoting {
    const earshot_survey *survey;
    const earshot_belief *belief;
    size_t *zones;
    size_t n_zones;
    earshot_post own[PLANNING_MOST_OWN];
    size_t n_own;
    earshot_post places[MOST_PLACES];
    size_t n_places;
    earshot_link *links;
    size_t n_links;
    size_t *direct; /* [zone][own] into links, NONE */
    size_t *hop;    /* [zone][place] */
    size_t *on;     /* [own repeater or place][own]: into links, NONE */
    double *margin_db;
    size_t *group;    /* by zone; without places */
    double *saves_db; /* by zone: what a repeater half way gives */
    bool *judged;
};

static double asked_db(const struct quoting *quoting, size_t zone) {
    const earshot_survey *survey = quoting->survey;
    return survey_asked_db(survey, survey->devices[quoting->zones[zone]].life_safety);
}

/* ---- links ---- */

static size_t add_link(struct quoting *quoting, earshot_link link) {
    quoting->links[quoting->n_links] = link;
    return quoting->n_links++;
}

static void lay_zone(struct quoting *quoting, size_t zone) {
    const earshot_survey *survey = quoting->survey;
    size_t device = quoting->zones[zone];
    for (size_t i = 0; i < quoting->n_own; i++)
        quoting->direct[zone * quoting->n_own + i] =
            planning_post_hears(survey, &quoting->own[i], device)
                ? add_link(quoting, planning_link_to(survey, device, &quoting->own[i]))
                : EARSHOT_NONE;
    for (size_t p = 0; p < quoting->n_places; p++)
        quoting->hop[zone * MOST_PLACES + p] =
            planning_post_hears(survey, &quoting->places[p], device)
                ? add_link(quoting, planning_link_to(survey, device, &quoting->places[p]))
                : EARSHOT_NONE;
}

static void lay_on(struct quoting *quoting, const earshot_post *repeater, size_t *row) {
    for (size_t i = 0; i < quoting->n_own; i++)
        row[i] = planning_post_passes(quoting->survey, repeater, &quoting->own[i])
                     ? add_link(quoting, planning_link_between(quoting->survey, repeater,
                                                               &quoting->own[i]))
                     : EARSHOT_NONE;
}

static void lay_links(struct quoting *quoting) {
    for (size_t z = 0; z < quoting->n_zones; z++)
        lay_zone(quoting, z);
    for (size_t i = 0; i < quoting->n_own; i++)
        lay_on(quoting, &quoting->own[i], quoting->on + i * quoting->n_own);
    for (size_t p = 0; p < quoting->n_places; p++)
        lay_on(quoting, &quoting->places[p],
               quoting->on + (quoting->n_own + p) * quoting->n_own);
}

/* ---- one draw ---- */

static double margin_of(const double *draw, size_t link) {
    return link == EARSHOT_NONE || isnan(draw[link]) ? -INFINITY : draw[link];
}

static double on_db(const struct quoting *quoting, const double *draw, size_t repeater) {
    double best_db = -INFINITY;
    for (size_t i = 0; i < quoting->n_own; i++)
        best_db = fmax(best_db, margin_of(draw, quoting->on[repeater * quoting->n_own + i]));
    return best_db;
}

/* What a zone has as things stand, by its best way. */
static double stands_db(const struct quoting *quoting, const double *draw, size_t zone) {
    double best_db = -INFINITY;
    for (size_t i = 0; i < quoting->n_own; i++) {
        double way_db = margin_of(draw, quoting->direct[zone * quoting->n_own + i]);
        if (quoting->own[i].repeats)
            way_db = fmin(way_db, on_db(quoting, draw, i));
        best_db = fmax(best_db, way_db);
    }
    return best_db;
}

/* The places, as bits, that would bring the zone home. */
static unsigned helpers_of(const struct quoting *quoting, const double *draw, size_t zone) {
    unsigned helpers = 0;
    for (size_t p = 0; p < quoting->n_places; p++)
        if (fmin(margin_of(draw, quoting->hop[zone * MOST_PLACES + p]),
                 on_db(quoting, draw, quoting->n_own + p)) >= asked_db(quoting, zone))
            helpers |= 1u << p;
    return helpers;
}

static unsigned count_bits(unsigned bits) {
    unsigned n = 0;
    for (; bits; bits &= bits - 1)
        n++;
    return n;
}

/* The fewest places with one of each zone's helpers; MOST_NEED: three do not do. */
static unsigned fewest_of(const unsigned *helpers, size_t n, size_t n_places) {
    unsigned fewest = MOST_NEED;
    for (unsigned set = 0; set < 1u << n_places; set++) {
        bool all = count_bits(set) < fewest;
        for (size_t i = 0; all && i < n; i++)
            all = helpers[i] & set;
        if (all)
            fewest = count_bits(set);
    }
    return fewest;
}

static unsigned needed_by_places(const struct quoting *quoting, const double *draw,
                                 unsigned *helpers) {
    size_t n = 0;
    for (size_t z = 0; z < quoting->n_zones; z++)
        if (quoting->judged[z] && stands_db(quoting, draw, z) < asked_db(quoting, z))
            helpers[n++] = helpers_of(quoting, draw, z);
    return fewest_of(helpers, n, quoting->n_places);
}

/* One for each room that is short, two where half way is not enough. */
static unsigned needed_by_rooms(const struct quoting *quoting, const double *draw,
                                unsigned *wanted) {
    unsigned sum = 0;
    memset(wanted, 0, quoting->n_zones * sizeof *wanted);
    for (size_t z = 0; z < quoting->n_zones; z++) {
        double spare_db = stands_db(quoting, draw, z) - asked_db(quoting, z);
        unsigned wants = spare_db >= 0 ? 0 : spare_db >= -quoting->saves_db[z] ? 1 : 2;
        unsigned *of_room = &wanted[quoting->group[z]];
        if (quoting->judged[z] && wants > *of_room)
            *of_room = wants;
    }
    for (size_t g = 0; g < quoting->n_zones; g++)
        sum += wanted[g];
    return sum < MOST_NEED ? sum : MOST_NEED;
}

/* ---- without a plan ---- */

static bool same_walls(const earshot_survey *survey, size_t a, size_t b) {
    size_t one = survey->n_paths, other = survey->n_paths;
    for (size_t i = 0; i < survey->n_paths; i++) {
        one = survey->paths[i].device == a ? i : one;
        other = survey->paths[i].device == b ? i : other;
    }
    if (one == survey->n_paths || other == survey->n_paths)
        return one == other;
    const survey_path *left = &survey->paths[one], *right = &survey->paths[other];
    return left->n_crossings == right->n_crossings &&
           memcmp(survey->crossings + left->first_crossing,
                  survey->crossings + right->first_crossing,
                  left->n_crossings * sizeof *survey->crossings) == 0;
}

static bool together(const earshot_survey *survey, size_t a, size_t b) {
    const char *one = survey->devices[a].room, *other = survey->devices[b].room;
    if (one[0] || other[0])
        return planning_same_room(one, other);
    return same_walls(survey, a, b);
}

static void group_zones(struct quoting *quoting) {
    for (size_t z = 0; z < quoting->n_zones; z++) {
        quoting->group[z] = z;
        for (size_t before = 0; before < z; before++)
            if (together(quoting->survey, quoting->zones[z], quoting->zones[before])) {
                quoting->group[z] = quoting->group[before];
                break;
            }
    }
}

static bool is_in_the_way(enum earshot_part_kind kind) {
    return kind == EARSHOT_WALL || kind == EARSHOT_DOOR || kind == EARSHOT_WINDOW ||
           kind == EARSHOT_WAYS_ROUND || kind == EARSHOT_FLOOR ||
           kind == EARSHOT_FLOORS_TOGETHER;
}

/* Half of what stands in the way, and of the distance's loss what half the length takes off. */
static enum earshot_status saved_half_way(const struct quoting *quoting,
                                          const earshot_link *link, double *saves_db) {
    earshot_prediction prediction;
    size_t n = 0;
    enum earshot_status status =
        earshot_link_ledger(quoting->survey, quoting->belief, link, NULL, 0, &n, &prediction);
    earshot_part *parts = calloc(n + 1, sizeof *parts);
    if (status == EARSHOT_OK)
        status = parts ? earshot_link_ledger(quoting->survey, quoting->belief, link, parts, n,
                                             &n, &prediction)
                       : EARSHOT_NO_MEMORY;
    *saves_db = 0;
    for (size_t i = 0; status == EARSHOT_OK && i < n; i++)
        if (is_in_the_way(parts[i].kind))
            *saves_db += parts[i].loss_db / 2;
        else if (parts[i].kind == EARSHOT_DISTANCE && prediction.distance_m > 2)
            *saves_db += parts[i].loss_db * log10(2) / log10(prediction.distance_m);
    free(parts);
    return status;
}

static enum earshot_status lay_rooms(struct quoting *quoting) {
    enum earshot_status status = EARSHOT_OK;
    group_zones(quoting);
    for (size_t z = 0; status == EARSHOT_OK && z < quoting->n_zones; z++) {
        double most_db = 0, saves_db = 0;
        for (size_t i = 0; status == EARSHOT_OK && i < quoting->n_own; i++) {
            size_t link = quoting->direct[z * quoting->n_own + i];
            if (link == EARSHOT_NONE)
                continue;
            status = saved_half_way(quoting, &quoting->links[link], &saves_db);
            most_db = fmax(most_db, saves_db);
        }
        quoting->saves_db[z] = most_db;
    }
    return status;
}

/* ---- all ---- */

static bool is_chosen(const size_t *chosen, size_t n, size_t place) {
    for (size_t i = 0; i < n; i++)
        if (chosen[i] == place)
            return true;
    return false;
}

/* As many as a joint draw of all links bears, whose cost grows as the cube. */
static size_t most_places(const struct quoting *quoting) {
    enum { LEAST = 3 };
    size_t n_zones = earshot_survey_zones(quoting->survey) + 1;
    size_t most = PLANNING_MOST_TOGETHER / n_zones;
    most = most > quoting->n_own ? most - quoting->n_own : 0;
    return most < LEAST ? LEAST : most > MOST_PLACES ? MOST_PLACES : most;
}

/* The places of the best arrangements first, then the others as they come. */
static void choose_places(struct quoting *quoting, const planning_search *search) {
    size_t chosen[MOST_PLACES], n = 0, most = most_places(quoting);
    for (size_t a = search->n_repeated; a-- > 0;)
        for (size_t i = 0; i < search->repeated[a].n_repeaters && n < most; i++)
            if (!is_chosen(chosen, n, search->repeated[a].repeaters[i]))
                chosen[n++] = search->repeated[a].repeaters[i];
    for (size_t r = 0; r < search->n_repeaters && n < most; r++)
        if (!is_chosen(chosen, n, search->repeaters[r]))
            chosen[n++] = search->repeaters[r];
    size_t receiver = 0;
    while (receiver + 1 < quoting->n_own && quoting->own[receiver].repeats)
        receiver++;
    for (size_t i = 0; i < n; i++)
        quoting->places[i] = planning_post_repeater(quoting->survey, &quoting->own[receiver],
                                                    &search->places[chosen[i]], chosen[i]);
    quoting->n_places = n;
}

static void note_judged(struct quoting *quoting) {
    for (size_t z = 0; z < quoting->n_zones; z++)
        quoting->judged[z] = stands_db(quoting, quoting->margin_db, z) > -INFINITY;
}

static void count_draws(struct quoting *quoting, unsigned *scratch, planning_quote *out) {
    double below = 0;
    for (size_t k = 0; k < N_DRAWS; k++) {
        const double *draw = quoting->margin_db + k * quoting->n_links;
        unsigned needed = quoting->n_places ? needed_by_places(quoting, draw, scratch)
                                            : needed_by_rooms(quoting, draw, scratch);
        if (needed <= PLANNING_QUOTE_MOST)
            out->chance[needed] += 1.0 / N_DRAWS;
        else
            out->chance_more += 1.0 / N_DRAWS;
    }
    for (out->price = 0; out->price < PLANNING_QUOTE_MOST; out->price++) {
        below += out->chance[out->price];
        if (below >= sure_of_it)
            break;
    }
    for (size_t z = 0; z < quoting->n_zones; z++)
        out->n_never += !quoting->judged[z];
    out->by_rooms = quoting->n_places == 0;
    out->n_places = quoting->n_places;
}

static bool prepare(struct quoting *quoting, unsigned **scratch) {
    const earshot_survey *survey = quoting->survey;
    size_t n_zones = quoting->n_zones = earshot_survey_zones(survey);
    size_t each = quoting->n_own + MOST_PLACES;
    quoting->zones = calloc(n_zones + 1, sizeof *quoting->zones);
    quoting->links = calloc((n_zones + each) * each + 1, sizeof *quoting->links);
    quoting->direct = calloc(n_zones * quoting->n_own + 1, sizeof *quoting->direct);
    quoting->hop = calloc(n_zones * MOST_PLACES + 1, sizeof *quoting->hop);
    quoting->on = calloc(each * quoting->n_own + 1, sizeof *quoting->on);
    quoting->group = calloc(n_zones + 1, sizeof *quoting->group);
    quoting->saves_db = calloc(n_zones + 1, sizeof *quoting->saves_db);
    quoting->judged = calloc(n_zones + 1, sizeof *quoting->judged);
    *scratch = calloc(n_zones + 1, sizeof **scratch);
    if (!quoting->zones || !quoting->links || !quoting->direct || !quoting->hop ||
        !quoting->on || !quoting->group || !quoting->saves_db || !quoting->judged || !*scratch)
        return false;
    for (size_t i = 0, z = 0; i < survey->n_devices; i++)
        if (survey->devices[i].role == SURVEY_SENSOR)
            quoting->zones[z++] = i;
    lay_links(quoting);
    quoting->margin_db = calloc(quoting->n_links * N_DRAWS + 1, sizeof *quoting->margin_db);
    return quoting->margin_db != NULL;
}

static void release(struct quoting *quoting) {
    free(quoting->zones);
    free(quoting->links);
    free(quoting->direct);
    free(quoting->hop);
    free(quoting->on);
    free(quoting->margin_db);
    free(quoting->group);
    free(quoting->saves_db);
    free(quoting->judged);
}

enum earshot_status planning_quote_of(const earshot_survey *survey,
                                      const earshot_belief *belief,
                                      const planning_search *search, planning_quote *out) {
    struct quoting quoting = {.survey = survey, .belief = belief};
    unsigned *scratch = NULL;
    planning_quote quote = {.price = 0};
    quoting.n_own = earshot_survey_posts(survey, quoting.own, PLANNING_MOST_OWN);
    if (quoting.n_own > PLANNING_MOST_OWN)
        return EARSHOT_MISUSE;
    if (quoting.n_own)
        choose_places(&quoting, search);
    enum earshot_status status = prepare(&quoting, &scratch) ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = earshot_links_draw(survey, belief, quoting.links, quoting.n_links, SEED, 0,
                                    N_DRAWS, quoting.margin_db);
    if (status == EARSHOT_OK && quoting.n_places == 0)
        status = lay_rooms(&quoting);
    if (status == EARSHOT_OK) {
        note_judged(&quoting);
        count_draws(&quoting, scratch, &quote);
        *out = quote;
    }
    release(&quoting);
    free(scratch);
    return status;
}
