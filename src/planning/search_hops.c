/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_hops.c - what the way through a repeater is worth: what the weaker of its hops has to
 * spare in as many joint draws as confidence is asked. Chances of single hops multiplied would
 * forget that both err together.
 */
#include <math.h>
#include <stdlib.h>

#include "search.h"

/* The `rank`-th smallest, from 0; puts the values in another order. */
static double smallest(double *values, size_t n, size_t rank) {
    size_t low = 0, high = n - 1;
    while (low < high) {
        double pivot = values[low + (high - low) / 2];
        size_t i = low, j = high;
        for (;;) {
            while (values[i] < pivot)
                i++;
            while (values[j] > pivot)
                j--;
            if (i >= j)
                break;
            double swapped = values[i];
            values[i++] = values[j];
            values[j--] = swapped;
        }
        if (rank <= j)
            high = j;
        else
            low = j + 1;
    }
    return values[rank];
}

/* What is there in as many draws as the confidence asks. */
static double sure_db(double *spare_db, double confidence) {
    static const double rounding = 1e-9;
    return smallest(spare_db, SEARCH_DRAWS,
                    (size_t)((1 - confidence) * SEARCH_DRAWS + rounding));
}

/* The links of one repeater: zones that want it, then receivers by number: those that stay, the
 * one that may move where it stands, and at each of its places. */
struct hops {
    earshot_link *links;
    size_t n_links;
    size_t *zone_link; /* by zone; NONE: it does not take that */
    size_t *to_link;   /* by own post, then by moved place; NONE: no receiver */
    double *margin_db, *to_db, *spare_db;
};

static void lay_hops(const searching *searching, const earshot_post *repeater,
                     struct hops *hops) {
    const planning_search *search = searching->search;
    hops->n_links = 0;
    for (size_t z = 0; z < search->n_zones; z++) {
        size_t device = searching->zones[z];
        hops->zone_link[z] = EARSHOT_NONE;
        if (!searching->wanting[z] || !planning_post_hears(searching->survey, repeater, device))
            continue;
        hops->zone_link[z] = hops->n_links;
        hops->links[hops->n_links++] = planning_link_to(searching->survey, device, repeater);
    }
    for (size_t i = 0; i < searching->n_own + searching->n_variants - 1; i++) {
        bool moved = i >= searching->n_own;
        const earshot_post post =
            moved ? planning_post_moved(
                        searching->survey, search_receiver(searching),
                        &search->places[search->moved[i - searching->n_own].receiver],
                        search->moved[i - searching->n_own].receiver)
                  : searching->own[i];
        hops->to_link[i] = EARSHOT_NONE;
        if (post.repeats)
            continue;
        hops->to_link[i] = hops->n_links;
        hops->links[hops->n_links++] =
            planning_link_between(searching->survey, repeater, &post);
    }
}

static double margin_or_none(double margin_db) {
    return isnan(margin_db) ? -INFINITY : margin_db;
}

/* By draw: the best of the repeater's links to the receivers of a variant. */
static void pass_on(const searching *searching, struct hops *hops, size_t variant) {
    for (size_t k = 0; k < SEARCH_DRAWS; k++) {
        const double *draw = hops->margin_db + k * hops->n_links;
        double best_db = -INFINITY;
        for (size_t i = 0; i < searching->n_own; i++)
            if (hops->to_link[i] != EARSHOT_NONE && (variant == 0 || i != searching->receiver))
                best_db = fmax(best_db, margin_or_none(draw[hops->to_link[i]]));
        if (variant > 0)
            best_db = fmax(best_db,
                           margin_or_none(draw[hops->to_link[searching->n_own + variant - 1]]));
        hops->to_db[k] = best_db;
    }
}

static double way_db(const searching *searching, struct hops *hops, size_t zone) {
    if (hops->zone_link[zone] == EARSHOT_NONE)
        return NAN;
    const earshot_survey *survey = searching->survey;
    bool life_safety = survey->devices[searching->zones[zone]].life_safety;
    double asked = survey_asked_db(survey, life_safety);
    for (size_t k = 0; k < SEARCH_DRAWS; k++) {
        double first_db =
            margin_or_none(hops->margin_db[k * hops->n_links + hops->zone_link[zone]]);
        hops->spare_db[k] = fmin(first_db, hops->to_db[k]) - asked;
    }
    return sure_db(hops->spare_db, survey_confidence(survey, life_safety));
}

static void value_repeater(const searching *searching, struct hops *hops, size_t repeater) {
    const planning_search *search = searching->search;
    const survey_site *site = &searching->survey->site;
    size_t n = search->n_repeaters;
    for (size_t v = 0; v < searching->n_variants; v++) {
        pass_on(searching, hops, v);
        for (size_t z = 0; z < search->n_zones; z++)
            searching->value_db[(v * search->n_zones + z) * n + repeater] =
                way_db(searching, hops, z);
        for (size_t k = 0; k < SEARCH_DRAWS; k++)
            hops->spare_db[k] = hops->to_db[k] - site->required_margin_db;
        searching->own_link_db[v * n + repeater] = sure_db(hops->spare_db, site->confidence);
    }
}

enum earshot_status search_value(const searching *searching) {
    const planning_search *search = searching->search;
    size_t n_to = searching->n_own + searching->n_variants, most = search->n_zones + n_to;
    struct hops hops = {.links = calloc(most + 1, sizeof *hops.links),
                        .zone_link = calloc(search->n_zones + 1, sizeof *hops.zone_link),
                        .to_link = calloc(n_to + 1, sizeof *hops.to_link),
                        .margin_db = calloc(most * SEARCH_DRAWS + 1, sizeof *hops.margin_db),
                        .to_db = calloc(SEARCH_DRAWS, sizeof *hops.to_db),
                        .spare_db = calloc(SEARCH_DRAWS, sizeof *hops.spare_db)};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (hops.links && hops.zone_link && hops.to_link && hops.margin_db && hops.to_db &&
        hops.spare_db)
        status = EARSHOT_OK;
    for (size_t r = 0; status == EARSHOT_OK && r < search->n_repeaters; r++) {
        size_t place = search->repeaters[r];
        const earshot_post post = planning_post_repeater(
            searching->survey, search_receiver(searching), &search->places[place], place);
        lay_hops(searching, &post, &hops);
        status = search_look(searching, 0.4 + 0.4 * (double)r / (double)search->n_repeaters);
        if (status == EARSHOT_OK)
            status =
                earshot_links_draw(searching->survey, searching->belief, hops.links,
                                   hops.n_links, SEARCH_SEED, 0, SEARCH_DRAWS, hops.margin_db);
        if (status == EARSHOT_OK)
            value_repeater(searching, &hops, r);
    }
    free(hops.links);
    free(hops.zone_link);
    free(hops.to_link);
    free(hops.margin_db);
    free(hops.to_db);
    free(hops.spare_db);
    return status;
}
