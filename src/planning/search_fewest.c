/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_fewest.c - the fewest repeaters, as covers (cover.h): with the receiver where it is,
 * and moved; and whom the repeaters that stand have room for.
 */
#include <math.h>
#include <stdlib.h>

#include "search.h"

enum { LIFE_WEIGHS = 10 };
static const size_t FEWEST = SIZE_MAX; /* in place of a number of repeaters */

void search_pick_up(struct laying *laying) {
    free(laying->value);
    free(laying->direct);
    free(laying->own);
    free(laying->capacity);
    free(laying->weight);
    free(laying->stands);
    *laying = (struct laying){.n_new = 0};
}

static bool lay_out(searching *searching, size_t n_new) {
    struct laying *laying = &searching->laying;
    size_t n_zones = searching->search->n_zones, n = n_new + searching->n_standing;
    search_pick_up(laying);
    *laying = (struct laying){.value = calloc(n_zones * n + 1, sizeof *laying->value),
                              .direct = calloc(n_zones + 1, sizeof *laying->direct),
                              .own = calloc(n + 1, sizeof *laying->own),
                              .capacity = calloc(n + 1, sizeof *laying->capacity),
                              .weight = calloc(n_zones + 1, sizeof *laying->weight),
                              .stands = calloc(n + 1, 1),
                              .n_new = n_new,
                              .n_spots = n};
    return laying->value && laying->direct && laying->own && laying->capacity &&
           laying->weight && laying->stands;
}

/* A zone goes direct where it is firm so, and where nothing can be said of it: a repeater is no
 * answer to a missing place. What goes direct, or by a repeater that stands, does not count for
 * the worst way. */
static void lay_zone(searching *searching, const planning_arrangement *at, size_t zone,
                     const double *value_db) {
    struct laying *laying = &searching->laying;
    const survey_device *device = &searching->survey->devices[searching->zones[zone]];
    const unsigned char *stood = search_stood(searching, at, zone);
    double *value = laying->value + zone * laying->n_spots;
    bool firm = searching->n_standing ? stood[0] : at->fates[zone].verdict == EARSHOT_FIRM;
    laying->direct[zone] = firm || isnan(device->place.x_m) ? INFINITY : NAN;
    laying->weight[zone] = device->life_safety ? LIFE_WEIGHS : 1;
    for (size_t r = 0; r < laying->n_new; r++)
        value[r] = value_db[zone * laying->n_new + r];
    for (size_t s = 0; s < searching->n_standing; s++)
        value[laying->n_new + s] = stood[1 + s] ? INFINITY : NAN;
}

static void lay_spots(searching *searching, const double *own_link_db) {
    struct laying *laying = &searching->laying;
    double limit = searching->survey->site.zones_per_repeater;
    for (size_t r = 0; r < laying->n_spots; r++) {
        laying->stands[r] = r >= laying->n_new;
        laying->own[r] = laying->stands[r] || own_link_db[r] >= 0 ? INFINITY : NAN;
        laying->capacity[r] = isinf(limit) ? 0 : (size_t)limit;
    }
}

static enum earshot_status cover_laid(searching *searching, size_t most, planning_cover *out) {
    const struct laying *laying = &searching->laying;
    const planning_cover_task task = {.n_zones = searching->search->n_zones,
                                      .n_spots = laying->n_spots,
                                      .value = laying->value,
                                      .direct = laying->direct,
                                      .own = laying->own,
                                      .capacity = laying->capacity,
                                      .weight = laying->weight,
                                      .stands = laying->stands};
    const earshot_watch *watch = laying->n_new ? searching->task->watch : NULL; /* soon done */
    return most == FEWEST ? planning_cover_fewest(&task, watch, searching->chosen,
                                                  searching->cover_zones, out)
                          : planning_cover_best(&task, most, watch, searching->chosen,
                                                searching->cover_zones, out);
}

/* The cover of one variant: the FEWEST, or the best of at most `most`. */
static enum earshot_status cover_variant(searching *searching, size_t variant, size_t most,
                                         planning_cover *out) {
    const planning_search *search = searching->search;
    const planning_arrangement *at = variant ? &search->moved[variant - 1] : &search->now;
    size_t n = search->n_repeaters;
    if (!lay_out(searching, n))
        return EARSHOT_NO_MEMORY;
    for (size_t z = 0; z < search->n_zones; z++)
        lay_zone(searching, at, z, searching->value_db + variant * search->n_zones * n);
    lay_spots(searching, searching->own_link_db + variant * n);
    return cover_laid(searching, most, out);
}

/* Whether a spot that is taken, or stands, would serve the zone. */
static bool is_in_reach(const searching *searching, size_t zone) {
    const struct laying *laying = &searching->laying;
    for (size_t s = 0; s < laying->n_spots; s++)
        if ((laying->stands[s] || searching->chosen[s]) && laying->own[s] >= 0 &&
            laying->value[zone * laying->n_spots + s] >= 0)
            return true;
    return false;
}

/* Who goes by which repeater, by the cover that was found last. */
static void take_ways(const searching *searching, planning_arrangement *out) {
    const planning_search *search = searching->search;
    size_t n_new = searching->laying.n_new;
    out->allotted = !isinf(searching->survey->site.zones_per_repeater);
    for (size_t z = 0; z < search->n_zones; z++) {
        size_t spot = searching->cover_zones[z].spot;
        bool held = !isnan(searching->cover_zones[z].value);
        out->ways[z] = (planning_way){.place = EARSHOT_NONE,
                                      .standing = EARSHOT_NONE,
                                      .held = held,
                                      .no_room = !held && is_in_reach(searching, z)};
        if (spot == EARSHOT_NONE)
            continue;
        if (spot < n_new)
            out->ways[z].place = search->repeaters[spot];
        else
            out->ways[z].standing = searching->own[searching->standing[spot - n_new]].device;
    }
}

static void take_cover(const searching *searching, size_t variant, const planning_cover *cover,
                       planning_arrangement *out) {
    const planning_search *search = searching->search;
    out->receiver = variant ? search->moved[variant - 1].receiver : EARSHOT_NONE;
    out->n_repeaters = 0;
    out->exact = cover->exact;
    for (size_t r = 0; r < search->n_repeaters; r++)
        if (searching->chosen[r])
            out->repeaters[out->n_repeaters++] = search->repeaters[r];
    take_ways(searching, out);
}

enum earshot_status search_fewest(searching *searching) {
    planning_search *search = searching->search;
    planning_cover cover, best;
    unsigned long long weight = 0;
    enum earshot_status status = cover_variant(searching, 0, FEWEST, &cover);
    if (status != EARSHOT_OK)
        return status;
    search->enough = cover.enough && cover.n_chosen <= PLANNING_MOST_FEWEST;
    search->fewest_bound = cover.bound;
    size_t below = search->enough ? cover.n_chosen : PLANNING_MOST_SHOWN + 1;
    for (size_t k = 1; status == EARSHOT_OK && k < below && k <= PLANNING_MOST_SHOWN; k++) {
        status = cover_variant(searching, 0, k, &best);
        if (status != EARSHOT_OK || best.n_chosen < k || best.weight <= weight)
            break;
        weight = best.weight;
        take_cover(searching, 0, &best, &search->repeated[search->n_repeated++]);
    }
    if (status == EARSHOT_OK && search->enough && cover.n_chosen > 0) {
        status = cover_variant(searching, 0, FEWEST, &cover);
        if (status == EARSHOT_OK)
            take_cover(searching, 0, &cover, &search->repeated[search->n_repeated++]);
    }
    return status;
}

/* How many repeaters do where the receiver stands; more than any answer when none do. */
static size_t n_alone(const planning_search *search) {
    if (!search->enough)
        return PLANNING_MOST_FEWEST + 1;
    return search->n_repeated ? search->repeated[search->n_repeated - 1].n_repeaters : 0;
}

enum earshot_status search_both(searching *searching) {
    planning_search *search = searching->search;
    size_t fewest = n_alone(search);
    double worst_db = -INFINITY;
    enum earshot_status status = EARSHOT_OK;
    for (size_t v = 1; status == EARSHOT_OK && v < searching->n_variants; v++) {
        planning_cover cover = {.n_chosen = 0};
        status = cover_variant(searching, v, FEWEST, &cover);
        bool fewer = cover.n_chosen < fewest || (search->has_both && cover.n_chosen == fewest &&
                                                 cover.smallest > worst_db);
        if (status != EARSHOT_OK || !cover.enough || cover.n_chosen == 0 || !fewer)
            continue;
        take_cover(searching, v, &cover, &search->both);
        search->has_both = true;
        fewest = cover.n_chosen;
        worst_db = cover.smallest;
    }
    return status;
}

/* ---- room ---- */

/* Whom the repeaters that stand take, and whom they have no room for. */
static enum earshot_status allot(searching *searching, planning_arrangement *arrangement) {
    planning_cover taken;
    if (!lay_out(searching, 0))
        return EARSHOT_NO_MEMORY;
    for (size_t z = 0; z < searching->search->n_zones; z++)
        lay_zone(searching, arrangement, z, NULL);
    lay_spots(searching, NULL);
    enum earshot_status status = cover_laid(searching, 0, &taken);
    if (status == EARSHOT_OK)
        take_ways(searching, arrangement);
    return status;
}

enum earshot_status search_allot(searching *searching) {
    planning_search *search = searching->search;
    if (!searching->n_standing)
        return EARSHOT_OK;
    enum earshot_status status = allot(searching, &search->now);
    for (size_t i = 0; status == EARSHOT_OK && i < search->n_moved; i++)
        status = allot(searching, &search->moved[i]);
    if (status == EARSHOT_OK)
        status = search_score(searching, &search->now, 1, 0, 0.4, 0.4);
    if (status == EARSHOT_OK)
        status = search_score(searching, search->moved, search->n_moved, 0, 0.4, 0.4);
    return status;
}
