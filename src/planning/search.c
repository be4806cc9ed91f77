/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search.c - the receiver at each place, the fewest repeaters, and both together.
 *
 * 1. Every place of the receiver is scored on joint draws of all links.
 * 2. For each zone that is not firm in some of them, and each place of a repeater, both hops
 * are drawn together. What the way has to spare with the asked confidence (a quantile of the
 *    weaker hop) is the value of that cover; chances of single hops multiplied would forget
 *    that both err together.
 * 3. The fewest repeaters by that are exact (cover.h), ties to the set whose worst zone is best
 *    off. A repeater's own link must be firm by itself too.
 * 4. What is told is scored anew on other draws, so that nothing wins by luck.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cover.h"
#include "places.h"

enum {
    SEED = 1,
    N_DRAWS = 1000,
    BEST_OF_GRID = 20, /* places that are drawn for, after the screen */
    REPEATERS_OF_GRID = 40,
    LIFE_WEIGHS = 10
};
static const size_t FEWEST = SIZE_MAX; /* in place of a number of repeaters */

/* What a cover is made of: the new repeaters, then those that stand, where their room counts.
 */
struct laying {
    double *value, *direct, *own;
    size_t *capacity;
    unsigned *weight;
    unsigned char *stands;
    size_t n_new, n_spots;
};

struct searching {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const planning_task *task;
    planning_search *search;
    earshot_post own[PLANNING_MOST_OWN];
    size_t n_own, receiver; /* among the own; NONE: not exactly one */
    size_t standing[PLANNING_MOST_OWN],
        n_standing;         /* repeaters among the own, where their room counts */
    size_t *zones;          /* device rows */
    unsigned char *wanting; /* zones that are not firm in some variant */
    /* Variants: the receiver where it stands, then at each place of `moved`. */
    size_t n_variants;
    double *value_db;    /* [variant][zone][repeater] */
    double *own_link_db; /* [variant][repeater] */
    planning_cover_zone *cover_zones;
    unsigned char chosen[PLANNING_MOST_TRIED + PLANNING_MOST_OWN];
    struct laying laying;
};

static unsigned char *stood_of(const struct searching *searching,
                               const planning_arrangement *arrangement, size_t zone) {
    return arrangement->stood + zone * (1 + searching->n_standing);
}

static const earshot_post *main_receiver(const struct searching *searching) {
    return &searching->own[searching->receiver];
}

static enum earshot_status look(const struct searching *searching, double share_done) {
    const earshot_watch *watch = searching->task->watch;
    bool goes_on = !watch || !watch->go_on || watch->go_on(watch->who, share_done);
    return goes_on ? EARSHOT_OK : EARSHOT_STOPPED;
}

/* ---- scoring arrangements ---- */

struct together {
    earshot_post *posts;
    size_t n_posts;
    planning_arrangement *all;
    size_t n;
};

static bool goes_by(const planning_way *way, const earshot_post *repeater) {
    return repeater->device == EARSHOT_NONE ? way->place == repeater->spot
                                            : way->standing == repeater->device;
}

static size_t find_post(const struct together *together, bool repeats, size_t place) {
    size_t at = 0;
    while (at < together->n_posts &&
           (together->posts[at].repeats != repeats || together->posts[at].spot != place))
        at++;
    return at;
}

static void add_post(const struct searching *searching, struct together *together, bool repeats,
                     size_t place) {
    if (find_post(together, repeats, place) < together->n_posts)
        return;
    const planning_place *at = &searching->search->places[place];
    together->posts[together->n_posts++] =
        repeats ? planning_post_repeater(searching->survey, main_receiver(searching), at, place)
                : planning_post_moved(searching->survey, main_receiver(searching), at, place);
}

static void add_posts(const struct searching *searching, struct together *together,
                      const planning_arrangement *arrangement) {
    if (arrangement->receiver != EARSHOT_NONE)
        add_post(searching, together, false, arrangement->receiver);
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        add_post(searching, together, true, arrangement->repeaters[i]);
}

static void set_stands(const struct searching *searching, const struct together *together,
                       const planning_arrangement *arrangement, unsigned char *stands) {
    memset(stands, 0, together->n_posts);
    memset(stands, 1, searching->n_own);
    if (arrangement->receiver != EARSHOT_NONE) {
        stands[searching->receiver] = 0;
        stands[find_post(together, false, arrangement->receiver)] = 1;
    }
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        stands[find_post(together, true, arrangement->repeaters[i])] = 1;
}

/* By zone: whether it is firm by a receiver alone, and by each standing repeater. */
static void note_stood(const struct searching *searching, const struct together *together,
                       const unsigned char *firm, planning_arrangement *arrangement) {
    for (size_t z = 0; z < searching->search->n_zones; z++, firm += together->n_posts) {
        unsigned char *stood = stood_of(searching, arrangement, z);
        stood[0] = 0;
        for (size_t p = 0; p < together->n_posts; p++)
            stood[0] |= !together->posts[p].repeats && firm[p];
        for (size_t s = 0; s < searching->n_standing; s++)
            stood[1 + s] = firm[searching->standing[s]];
    }
}

static bool is_full(const struct searching *searching, const planning_arrangement *arrangement,
                    const earshot_post *repeater) {
    size_t n = 0;
    for (size_t z = 0; z < searching->search->n_zones; z++)
        n += goes_by(&arrangement->ways[z], repeater);
    return (double)n >= searching->survey->site.zones_per_repeater;
}

/* A repeater that is full takes nobody else. */
static void close_full(const struct searching *searching, const struct together *together,
                       const planning_arrangement *arrangement, unsigned char *closed) {
    for (size_t p = 0; p < together->n_posts; p++) {
        const earshot_post *post = &together->posts[p];
        if (!post->repeats || !is_full(searching, arrangement, post))
            continue;
        for (size_t z = 0; z < searching->search->n_zones; z++)
            closed[z * together->n_posts + p] = !goes_by(&arrangement->ways[z], post);
    }
}

static void lay_sets(const struct searching *searching, const struct together *together,
                     unsigned char *stands, unsigned char *closed) {
    size_t each = searching->search->n_zones * together->n_posts;
    for (size_t i = 0; i < together->n; i++) {
        const planning_arrangement *arrangement = &together->all[i];
        set_stands(searching, together, arrangement, stands + i * together->n_posts);
        if (arrangement->allotted)
            close_full(searching, together, arrangement, closed + i * each);
    }
}

/* Scores and fates of some arrangements, on draws that they share. */
static enum earshot_status score_together(const struct searching *searching,
                                          const struct together *together, size_t first_draw) {
    size_t n_zones = searching->search->n_zones, each = n_zones * together->n_posts;
    unsigned char *stands = calloc(together->n * together->n_posts + 1, 1);
    unsigned char *closed = calloc(together->n * each + 1, 1);
    unsigned char *firm = calloc(together->n * each + 1, 1);
    earshot_score *scores = calloc(together->n + 1, sizeof *scores);
    earshot_fate *fates = calloc(together->n * n_zones + 1, sizeof *fates);
    const planning_by_way by_way = {.closed = closed, .firm = firm};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (stands && closed && firm && scores && fates) {
        lay_sets(searching, together, stands, closed);
        status = planning_posts_score(searching->survey, searching->belief, together->posts,
                                      together->n_posts, stands, together->n, SEED, first_draw,
                                      N_DRAWS, fates, NULL, &by_way, scores);
    }
    for (size_t i = 0; status == EARSHOT_OK && i < together->n; i++) {
        planning_arrangement *arrangement = &together->all[i];
        arrangement->score = scores[i];
        if (n_zones)
            memcpy(arrangement->fates, fates + i * n_zones, n_zones * sizeof *fates);
        if (!arrangement->allotted)
            note_stood(searching, together, firm + i * each, arrangement);
    }
    free(stands);
    free(closed);
    free(firm);
    free(scores);
    free(fates);
    return status;
}

/* As many at once as a joint draw bears: those share their draws. */
static enum earshot_status score_all(const struct searching *searching,
                                     planning_arrangement *all, size_t n, size_t first_draw,
                                     double from_share, double to_share) {
    size_t most_posts = searching->n_own + n * (1 + PLANNING_MOST_FEWEST);
    struct together together = {.posts = calloc(most_posts + 1, sizeof *together.posts)};
    enum earshot_status status = together.posts ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < n; i += together.n) {
        memcpy(together.posts, searching->own, searching->n_own * sizeof *searching->own);
        together.n_posts = searching->n_own;
        together.all = all + i;
        together.n = 0;
        while (i + together.n < n) {
            size_t before = together.n_posts;
            add_posts(searching, &together, &all[i + together.n]);
            if (together.n > 0 &&
                together.n_posts * searching->search->n_zones > PLANNING_MOST_TOGETHER) {
                together.n_posts = before;
                break;
            }
            together.n++;
        }
        status = look(searching, from_share + (to_share - from_share) * (double)i / (double)n);
        if (status == EARSHOT_OK)
            status = score_together(searching, &together, first_draw);
    }
    free(together.posts);
    return status;
}

/* More zones firm, then all of them likelier, then fewer expected short, then more to spare. */
static int better_first(const void *a, const void *b) {
    const planning_arrangement *left = a, *right = b;
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

/* ---- what a repeater's way is worth ---- */

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
    return smallest(spare_db, N_DRAWS, (size_t)((1 - confidence) * N_DRAWS + rounding));
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

static void lay_hops(const struct searching *searching, const earshot_post *repeater,
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
                        searching->survey, main_receiver(searching),
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
static void pass_on(const struct searching *searching, struct hops *hops, size_t variant) {
    for (size_t k = 0; k < N_DRAWS; k++) {
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

static double way_db(const struct searching *searching, struct hops *hops, size_t zone) {
    if (hops->zone_link[zone] == EARSHOT_NONE)
        return NAN;
    const earshot_survey *survey = searching->survey;
    bool life_safety = survey->devices[searching->zones[zone]].life_safety;
    double asked = survey_asked_db(survey, life_safety);
    for (size_t k = 0; k < N_DRAWS; k++) {
        double first_db =
            margin_or_none(hops->margin_db[k * hops->n_links + hops->zone_link[zone]]);
        hops->spare_db[k] = fmin(first_db, hops->to_db[k]) - asked;
    }
    return sure_db(hops->spare_db, survey_confidence(survey, life_safety));
}

static void value_repeater(const struct searching *searching, struct hops *hops,
                           size_t repeater) {
    const planning_search *search = searching->search;
    const survey_site *site = &searching->survey->site;
    size_t n = search->n_repeaters;
    for (size_t v = 0; v < searching->n_variants; v++) {
        pass_on(searching, hops, v);
        for (size_t z = 0; z < search->n_zones; z++)
            searching->value_db[(v * search->n_zones + z) * n + repeater] =
                way_db(searching, hops, z);
        for (size_t k = 0; k < N_DRAWS; k++)
            hops->spare_db[k] = hops->to_db[k] - site->required_margin_db;
        searching->own_link_db[v * n + repeater] = sure_db(hops->spare_db, site->confidence);
    }
}

static enum earshot_status value_repeaters(const struct searching *searching) {
    const planning_search *search = searching->search;
    size_t n_to = searching->n_own + searching->n_variants, most = search->n_zones + n_to;
    struct hops hops = {.links = calloc(most + 1, sizeof *hops.links),
                        .zone_link = calloc(search->n_zones + 1, sizeof *hops.zone_link),
                        .to_link = calloc(n_to + 1, sizeof *hops.to_link),
                        .margin_db = calloc(most * N_DRAWS + 1, sizeof *hops.margin_db),
                        .to_db = calloc(N_DRAWS, sizeof *hops.to_db),
                        .spare_db = calloc(N_DRAWS, sizeof *hops.spare_db)};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (hops.links && hops.zone_link && hops.to_link && hops.margin_db && hops.to_db &&
        hops.spare_db)
        status = EARSHOT_OK;
    for (size_t r = 0; status == EARSHOT_OK && r < search->n_repeaters; r++) {
        size_t place = search->repeaters[r];
        const earshot_post post = planning_post_repeater(
            searching->survey, main_receiver(searching), &search->places[place], place);
        lay_hops(searching, &post, &hops);
        status = look(searching, 0.4 + 0.4 * (double)r / (double)search->n_repeaters);
        if (status == EARSHOT_OK)
            status = earshot_links_draw(searching->survey, searching->belief, hops.links,
                                        hops.n_links, SEED, 0, N_DRAWS, hops.margin_db);
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

/* ---- the fewest ---- */

static void pick_up(struct laying *laying) {
    free(laying->value);
    free(laying->direct);
    free(laying->own);
    free(laying->capacity);
    free(laying->weight);
    free(laying->stands);
    *laying = (struct laying){.n_new = 0};
}

static bool lay_out(struct searching *searching, size_t n_new) {
    struct laying *laying = &searching->laying;
    size_t n_zones = searching->search->n_zones, n = n_new + searching->n_standing;
    pick_up(laying);
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
static void lay_zone(struct searching *searching, const planning_arrangement *at, size_t zone,
                     const double *value_db) {
    struct laying *laying = &searching->laying;
    const survey_device *device = &searching->survey->devices[searching->zones[zone]];
    const unsigned char *stood = stood_of(searching, at, zone);
    double *value = laying->value + zone * laying->n_spots;
    bool firm = searching->n_standing ? stood[0] : at->fates[zone].verdict == EARSHOT_FIRM;
    laying->direct[zone] = firm || isnan(device->place.x_m) ? INFINITY : NAN;
    laying->weight[zone] = device->life_safety ? LIFE_WEIGHS : 1;
    for (size_t r = 0; r < laying->n_new; r++)
        value[r] = value_db[zone * laying->n_new + r];
    for (size_t s = 0; s < searching->n_standing; s++)
        value[laying->n_new + s] = stood[1 + s] ? INFINITY : NAN;
}

static void lay_spots(struct searching *searching, const double *own_link_db) {
    struct laying *laying = &searching->laying;
    double limit = searching->survey->site.zones_per_repeater;
    for (size_t r = 0; r < laying->n_spots; r++) {
        laying->stands[r] = r >= laying->n_new;
        laying->own[r] = laying->stands[r] || own_link_db[r] >= 0 ? INFINITY : NAN;
        laying->capacity[r] = isinf(limit) ? 0 : (size_t)limit;
    }
}

static enum earshot_status cover_laid(struct searching *searching, size_t most,
                                      planning_cover *out) {
    const struct laying *laying = &searching->laying;
    const planning_cover_task task = {.n_zones = searching->search->n_zones,
                                      .n_spots = laying->n_spots,
                                      .value = laying->value,
                                      .direct = laying->direct,
                                      .own = laying->own,
                                      .capacity = laying->capacity,
                                      .weight = laying->weight,
                                      .stands = laying->stands};
    const earshot_watch *watch = searching->task->watch;
    return most == FEWEST ? planning_cover_fewest(&task, watch, searching->chosen,
                                                  searching->cover_zones, out)
                          : planning_cover_best(&task, most, watch, searching->chosen,
                                                searching->cover_zones, out);
}

/* The cover of one variant: the FEWEST, or the best of at most `most`. */
static enum earshot_status cover_variant(struct searching *searching, size_t variant,
                                         size_t most, planning_cover *out) {
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
static bool is_in_reach(const struct searching *searching, size_t zone) {
    const struct laying *laying = &searching->laying;
    for (size_t s = 0; s < laying->n_spots; s++)
        if ((laying->stands[s] || searching->chosen[s]) && laying->own[s] >= 0 &&
            laying->value[zone * laying->n_spots + s] >= 0)
            return true;
    return false;
}

/* Who goes by which repeater, by the cover that was found last. */
static void take_ways(const struct searching *searching, planning_arrangement *out) {
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

static void take_cover(const struct searching *searching, size_t variant,
                       const planning_cover *cover, planning_arrangement *out) {
    const planning_search *search = searching->search;
    out->receiver = variant ? search->moved[variant - 1].receiver : EARSHOT_NONE;
    out->n_repeaters = 0;
    out->exact = cover->exact;
    for (size_t r = 0; r < search->n_repeaters; r++)
        if (searching->chosen[r])
            out->repeaters[out->n_repeaters++] = search->repeaters[r];
    take_ways(searching, out);
}

/* The best of one, two, three, as long as each makes more zones firm; then the fewest that are
 * enough. */
static enum earshot_status find_repeated(struct searching *searching) {
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

/* The receiver moved and fewer repeaters than where it stands; the fewest, then the one whose
 * worst zone is best off. */
static enum earshot_status find_both(struct searching *searching) {
    planning_search *search = searching->search;
    size_t fewest = n_alone(search);
    double worst_db = -INFINITY;
    enum earshot_status status = EARSHOT_OK;
    for (size_t v = 1; status == EARSHOT_OK && v < searching->n_variants; v++) {
        planning_cover cover;
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
static enum earshot_status allot(struct searching *searching,
                                 planning_arrangement *arrangement) {
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

/* The draws know nothing of room: what it leaves is scored once more. */
static enum earshot_status allot_all(struct searching *searching) {
    planning_search *search = searching->search;
    if (!searching->n_standing)
        return EARSHOT_OK;
    enum earshot_status status = allot(searching, &search->now);
    for (size_t i = 0; status == EARSHOT_OK && i < search->n_moved; i++)
        status = allot(searching, &search->moved[i]);
    if (status == EARSHOT_OK)
        status = score_all(searching, &search->now, 1, 0, 0.4, 0.4);
    if (status == EARSHOT_OK)
        status = score_all(searching, search->moved, search->n_moved, 0, 0.4, 0.4);
    return status;
}

/* ---- places ---- */

static void choose_own(struct searching *searching) {
    bool limited = !isinf(searching->survey->site.zones_per_repeater);
    size_t n_receivers = 0;
    searching->receiver = EARSHOT_NONE;
    for (size_t i = 0; i < searching->n_own; i++)
        if (!searching->own[i].repeats) {
            searching->receiver = searching->receiver == EARSHOT_NONE ? i : searching->receiver;
            n_receivers++;
        } else if (limited) {
            searching->standing[searching->n_standing++] = i;
        }
    searching->search->many_receivers = n_receivers != 1;
    searching->search->room_counts = searching->n_standing > 0;
}

/* Its height over its own floor; of one without a level, over the lowest. */
static double over_floor_m(const struct searching *searching) {
    const earshot_survey *survey = searching->survey;
    const survey_device *receiver = &survey->devices[main_receiver(searching)->device];
    static const double usual_m = 1.5; /* common practice, no source */
    return receiver->level == EARSHOT_NONE || isnan(receiver->place.z_m)
               ? usual_m
               : receiver->place.z_m - survey->levels[receiver->level].floor_z_m;
}

static enum earshot_status find_places(struct searching *searching) {
    planning_search *search = searching->search;
    const earshot_survey *survey = searching->survey;
    if (searching->task->anywhere)
        return planning_grid_places(
            survey, over_floor_m(searching),
            survey->radios[main_receiver(searching)->end.radio].freq_mhz, &search->places,
            &search->n_places, &search->step_m);
    search->places = calloc(survey->n_spots + 1, sizeof *search->places);
    if (!search->places)
        return EARSHOT_NO_MEMORY;
    search->n_places = planning_spot_places(survey, search->places);
    return EARSHOT_OK;
}

static enum earshot_status find_receivers(struct searching *searching) {
    planning_search *search = searching->search;
    size_t most = searching->task->anywhere ? BEST_OF_GRID : PLANNING_MOST_MOVED;
    if (search->many_receivers)
        return EARSHOT_OK;
    if (search->n_places > most)
        return planning_screen_receivers(searching->survey, searching->belief,
                                         main_receiver(searching), search->places,
                                         search->n_places, most, searching->task->watch,
                                         search->receivers, &search->n_receivers);
    for (size_t i = 0; i < search->n_places; i++)
        search->receivers[search->n_receivers++] = i;
    return EARSHOT_OK;
}

/* A repeater needs mains: at spots without it none is tried. On a grid nobody knows, and there
 * are too many. */
static enum earshot_status find_repeaters(struct searching *searching) {
    planning_search *search = searching->search;
    if (searching->task->anywhere)
        return planning_screen_repeaters(
            searching->survey, searching->belief, main_receiver(searching), searching->wanting,
            search->places, search->n_places, REPEATERS_OF_GRID, searching->task->watch,
            search->repeaters, &search->n_repeaters);
    for (size_t i = 0; i < search->n_places && search->n_repeaters < PLANNING_MOST_TRIED; i++)
        if (search->places[i].mains)
            search->repeaters[search->n_repeaters++] = i;
        else
            search->n_without_mains++;
    return EARSHOT_OK;
}

/* ---- all ---- */

/* At how many of the receiver's places repeaters are tried too: the best ones. */
static size_t n_together(const struct searching *searching) {
    enum { MOST = 20 };
    size_t n = searching->task->repeaters ? searching->search->n_moved : 0;
    return n < MOST ? n : MOST;
}

/* Room for everything that is told: now, moved, repeated, both. */
static bool take_arrangements(struct searching *searching) {
    planning_search *search = searching->search;
    size_t n = 1 + search->n_receivers + PLANNING_MOST_SHOWN + 1 + 1,
           each = search->n_zones + 1;
    struct room {
        earshot_fate *fates;
        planning_way *ways;
        unsigned char *stood;
    } room = {calloc(n * each, sizeof *room.fates), calloc(n * each, sizeof *room.ways),
              calloc(n * each, 1 + searching->n_standing)};
    search->moved = calloc(search->n_receivers + 1, sizeof *search->moved);
    planning_arrangement *const one[] = {&search->now,         &search->both,
                                         &search->repeated[0], &search->repeated[1],
                                         &search->repeated[2], &search->repeated[3]};
    search->all_fates = room.fates;
    search->all_ways = room.ways;
    search->all_stood = room.stood;
    if (!room.fates || !room.ways || !room.stood || !search->moved)
        return false;
    for (size_t i = 0; i < n; i++) {
        planning_arrangement *at = i < 6 ? one[i] : &search->moved[i - 6];
        *at = (planning_arrangement){.receiver = EARSHOT_NONE,
                                     .fates = room.fates + i * each,
                                     .ways = room.ways + i * each,
                                     .stood =
                                         room.stood + i * each * (1 + searching->n_standing)};
        for (size_t z = 0; z < search->n_zones; z++)
            at->ways[z].place = at->ways[z].standing = EARSHOT_NONE;
    }
    for (size_t i = 0; i < search->n_receivers; i++)
        search->moved[i].receiver = search->receivers[i];
    search->n_moved = search->n_receivers;
    return true;
}

static bool take_values(struct searching *searching) {
    const planning_search *search = searching->search;
    size_t n = search->n_repeaters;
    searching->n_variants = 1 + n_together(searching);
    searching->value_db =
        calloc(searching->n_variants * search->n_zones * n + 1, sizeof *searching->value_db);
    searching->own_link_db =
        calloc(searching->n_variants * n + 1, sizeof *searching->own_link_db);
    return searching->value_db && searching->own_link_db;
}

static void note_wanting(const struct searching *searching, const planning_arrangement *at) {
    for (size_t z = 0; z < searching->search->n_zones; z++)
        searching->wanting[z] |= at->fates[z].verdict != EARSHOT_FIRM ||
                                 (searching->n_standing && !stood_of(searching, at, z)[0]);
}

static enum earshot_status search_receivers(struct searching *searching) {
    planning_search *search = searching->search;
    enum earshot_status status = find_receivers(searching);
    if (status == EARSHOT_OK && !take_arrangements(searching))
        status = EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = score_all(searching, &search->now, 1, 0, 0.1, 0.1);
    if (status == EARSHOT_OK)
        status = score_all(searching, search->moved, search->n_moved, 0, 0.1, 0.4);
    if (status == EARSHOT_OK)
        status = allot_all(searching);
    if (status != EARSHOT_OK)
        return status;
    qsort(search->moved, search->n_moved, sizeof *search->moved, better_first);
    note_wanting(searching, &search->now);
    for (size_t i = 0; i < n_together(searching); i++)
        note_wanting(searching, &search->moved[i]);
    return EARSHOT_OK;
}

static enum earshot_status search_repeaters(struct searching *searching) {
    enum earshot_status status = find_repeaters(searching);
    if (status == EARSHOT_OK && !take_values(searching))
        status = EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = value_repeaters(searching);
    if (status == EARSHOT_OK)
        status = find_repeated(searching);
    if (status == EARSHOT_OK && searching->task->repeaters)
        status = find_both(searching);
    return status;
}

/* Other draws than those that were chosen by. */
static enum earshot_status score_anew(struct searching *searching) {
    planning_search *search = searching->search;
    enum earshot_status status = score_all(searching, &search->now, 1, N_DRAWS, 0.8, 0.8);
    if (status == EARSHOT_OK)
        status = score_all(searching, search->moved, search->n_moved, N_DRAWS, 0.8, 0.9);
    if (status == EARSHOT_OK)
        status = score_all(searching, search->repeated, search->n_repeated, N_DRAWS, 0.9, 0.95);
    if (status == EARSHOT_OK && search->has_both)
        status = score_all(searching, &search->both, 1, N_DRAWS, 0.95, 1);
    if (status != EARSHOT_OK)
        return status;
    qsort(search->moved, search->n_moved, sizeof *search->moved, better_first);
    return EARSHOT_OK;
}

static bool take_zones(struct searching *searching) {
    const earshot_survey *survey = searching->survey;
    planning_search *search = searching->search;
    search->n_zones = earshot_survey_zones(survey);
    searching->zones = calloc(search->n_zones + 1, sizeof *searching->zones);
    searching->wanting = calloc(search->n_zones + 1, 1);
    searching->cover_zones = calloc(search->n_zones + 1, sizeof *searching->cover_zones);
    if (!searching->zones || !searching->wanting || !searching->cover_zones)
        return false;
    for (size_t i = 0, z = 0; i < survey->n_devices; i++)
        if (survey->devices[i].role == SURVEY_SENSOR)
            searching->zones[z++] = i;
    return true;
}

enum earshot_status planning_search_run(const earshot_survey *survey,
                                        const earshot_belief *belief, const planning_task *task,
                                        planning_search *out) {
    planning_search search = {.n_zones = 0};
    struct searching searching = {
        .survey = survey, .belief = belief, .task = task, .search = &search};
    searching.n_own = earshot_survey_posts(survey, searching.own, PLANNING_MOST_OWN);
    if (searching.n_own > PLANNING_MOST_OWN)
        return EARSHOT_MISUSE;
    enum earshot_status status = take_zones(&searching) ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    choose_own(&searching);
    if (status == EARSHOT_OK && searching.receiver != EARSHOT_NONE)
        status = find_places(&searching);
    if (status == EARSHOT_OK)
        status = search_receivers(&searching);
    if (status == EARSHOT_OK && searching.receiver != EARSHOT_NONE)
        status = search_repeaters(&searching);
    if (status == EARSHOT_OK)
        status = score_anew(&searching);
    free(searching.zones);
    free(searching.wanting);
    free(searching.value_db);
    free(searching.own_link_db);
    free(searching.cover_zones);
    pick_up(&searching.laying);
    if (status == EARSHOT_OK)
        *out = search;
    else
        planning_search_release(&search);
    return status;
}

void planning_search_release(planning_search *search) {
    free(search->places);
    free(search->moved);
    free(search->all_fates);
    free(search->all_ways);
    free(search->all_stood);
}
