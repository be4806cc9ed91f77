/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cover_search.c - the fewest spots, or the best few, and among those the set whose worst zone
 * is best off.
 *
 * What a set does for its worst zone is found by asking for more: where as many spots still do
 * the same when so much is asked of every way, they have a worst zone as good as that. More
 * asked never takes fewer spots, so that halving the list of values finds the most that can be
 * asked.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cover_view.h"
#include "earshot/link.h"

struct search {
    const planning_cover_task *task;
    const earshot_watch *watch;
    cover_view *view;
    bool all_zones;
    size_t most;
    double *values; /* that a worst zone could have, ascending, each once */
    size_t n_values;
    uint64_t *chosen, *trial;
    planning_cover out;
    bool stopped;
};

/* ---- what can be asked ---- */

static int compare(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void add_values(struct search *search, const double *values, size_t n) {
    for (size_t i = 0; values && i < n; i++)
        if (values[i] >= search->task->enough)
            search->values[search->n_values++] = values[i];
}

static void gather_values(struct search *search) {
    const planning_cover_task *task = search->task;
    size_t n = 0;
    add_values(search, task->value, task->n_zones * task->n_spots);
    add_values(search, task->direct, task->n_zones);
    add_values(search, task->own, task->n_spots);
    if (task->own)
        add_values(search, task->second, task->n_spots * task->n_spots);
    qsort(search->values, search->n_values, sizeof *search->values, compare);
    for (size_t i = 0; i < search->n_values; i++)
        if (i == 0 || search->values[i] > search->values[n - 1])
            search->values[n++] = search->values[i];
    search->n_values = n;
}

/* ---- one demand ---- */

static void take_all(struct search *search) {
    memset(search->trial, 0, search->view->spot_words * sizeof *search->trial);
    for (size_t s = 0; s < search->task->n_spots; s++)
        cover_put(search->trial, s);
}

/* Whether these spots do what is to be done at this demand: all zones, or as much weight. */
static bool does(struct search *search, double asked, const uint64_t *chosen) {
    cover_view_ask(search->view, asked);
    return search->all_zones ? cover_view_serves_all(search->view, chosen)
                             : cover_view_serve(search->view, chosen) >= search->out.weight;
}

/* The last value that the set does it at; it does at `from`. */
static size_t worst_of(struct search *search, const uint64_t *chosen, size_t from) {
    size_t low = from, high = search->n_values - 1;
    while (low < high) {
        size_t middle = low + (high - low + 1) / 2;
        if (does(search, search->values[middle], chosen))
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

static bool goes_on(struct search *search, double share_done) {
    const earshot_watch *watch = search->watch;
    if (!search->stopped && watch && watch->go_on && !watch->go_on(watch->who, share_done))
        search->stopped = true;
    return !search->stopped;
}

static bool fits(struct search *search, size_t most, unsigned long long weight) {
    cover_view *view = search->view;
    return cover_view_count(view, search->trial) <= most &&
           (search->all_zones ? cover_view_serves_all(view, search->trial)
                              : cover_view_serve(view, search->trial) >= weight);
}

/* Asks GLPK at the view's demand, which it leaves reduced, for an answer of up to `most` spots
 * that weighs `weight` or more. What it finds is in search->trial, and is looked through. */
static enum earshot_status ask(struct search *search, size_t most, unsigned long long weight,
                               bool any, double share_done, cover_answer *answer) {
    cover_view *view = search->view;
    cover_view_reduce(view, search->all_zones);
    if (search->all_zones && cover_view_bound(view) > most) {
        *answer = (cover_answer){.whole = true, .bound = INFINITY};
        return EARSHOT_OK;
    }
    unsigned long long settled = search->all_zones ? 0 : cover_view_settled(view);
    const cover_question question = {.view = view,
                                     .all_zones = search->all_zones,
                                     .most = most,
                                     .least_weight = weight > settled ? weight - settled : 0,
                                     .any = any,
                                     .watch = search->watch,
                                     .share_done = share_done};
    enum earshot_status status = cover_solve(&question, search->trial, answer);
    if (status != EARSHOT_OK)
        return status;
    for (size_t w = 0; w < view->spot_words; w++)
        search->trial[w] |= view->standing[w];
    if (!search->all_zones)
        answer->bound += (double)settled;
    search->stopped = search->stopped || answer->stopped;
    if (answer->found && !fits(search, most, weight))
        answer->found = answer->whole = false;
    return EARSHOT_OK;
}

/* ---- first, how many, or how much ---- */

static void keep(struct search *search, const uint64_t *set) {
    memmove(search->chosen, set, search->view->spot_words * sizeof *set);
    search->out.n_chosen = cover_view_count(search->view, search->chosen);
}

static size_t larger(size_t a, size_t b) {
    return a > b ? a : b;
}

/* No fewer spots: bounds by the zones alone, then what GLPK finds below what was found at once.
 */
static enum earshot_status find_fewest(struct search *search) {
    cover_view *view = search->view;
    planning_cover *out = &search->out;
    cover_answer answer;
    cover_view_greedy(view, view->n_spots, search->trial);
    keep(search, search->trial);
    cover_view_reduce(view, true);
    out->bound = cover_view_bound(view);
    if (out->bound >= out->n_chosen || !goes_on(search, 0))
        return EARSHOT_OK;
    enum earshot_status status = ask(search, out->n_chosen - 1, 0, false, 0, &answer);
    if (status != EARSHOT_OK)
        return status;
    if (answer.found)
        keep(search, search->trial);
    if (answer.whole)
        out->bound = out->n_chosen;
    else
        out->bound = larger(out->bound, (size_t)fmin(answer.bound, (double)out->n_chosen));
    return EARSHOT_OK;
}

static enum earshot_status find_heaviest(struct search *search) {
    cover_view *view = search->view;
    planning_cover *out = &search->out;
    cover_answer answer;
    cover_view_greedy(view, search->most, search->trial);
    keep(search, search->trial);
    out->weight = cover_view_serve(view, search->chosen);
    if (out->weight >= out->weight_bound || !goes_on(search, 0))
        return EARSHOT_OK;
    enum earshot_status status = ask(search, search->most, out->weight + 1, false, 0, &answer);
    if (status != EARSHOT_OK)
        return status;
    if (answer.found) {
        keep(search, search->trial);
        out->weight = cover_view_serve(view, search->chosen);
    }
    if (answer.whole)
        out->weight_bound = out->weight;
    else if (answer.bound < (double)out->weight_bound)
        out->weight_bound = (unsigned long long)fmax(answer.bound, (double)out->weight);
    return EARSHOT_OK;
}

/* ---- then, how well off the worst zone is ---- */

/* Whether as many spots can do it at this demand; into search->trial. */
static enum earshot_status try_value(struct search *search, double asked, size_t most,
                                     double share_done, bool *found, bool *whole) {
    cover_view *view = search->view;
    cover_answer answer = {.whole = true};
    enum earshot_status status = EARSHOT_OK;
    cover_view_ask(view, asked);
    cover_view_greedy(view, search->all_zones ? view->n_spots : most, search->trial);
    answer.found = fits(search, most, search->out.weight);
    if (!answer.found)
        status = ask(search, most, search->out.weight, true, share_done, &answer);
    *found = answer.found;
    *whole = answer.whole;
    return status;
}

static enum earshot_status better_off(struct search *search) {
    planning_cover *out = &search->out;
    const size_t most = search->all_zones ? out->n_chosen : search->most;
    take_all(search);
    size_t low = worst_of(search, search->chosen, 0),
           high = worst_of(search, search->trial, low);
    const size_t span = high - low;
    bool whole = true;
    while (low < high && whole) {
        const double share_done = 1 - 0.5 * (double)(high - low) / (double)span;
        size_t middle = low + (high - low + 1) / 2;
        bool found;
        if (!goes_on(search, share_done))
            break;
        enum earshot_status status =
            try_value(search, search->values[middle], most, share_done, &found, &whole);
        if (status != EARSHOT_OK)
            return status;
        if (found) {
            keep(search, search->trial);
            low = worst_of(search, search->chosen, middle);
            whole = true;
        } else if (whole) {
            high = middle - 1;
        }
    }
    out->smallest = search->values[low];
    out->smallest_bound = search->values[high];
    out->exact = out->exact && low == high;
    return EARSHOT_OK;
}

/* ---- last, earlier rows first ---- */

/* Zones that only this one of the chosen spots serves, into view->some_zones. */
static void find_alone(struct search *search, size_t spot) {
    cover_view *view = search->view;
    size_t words = view->zone_words;
    memcpy(view->some_zones, view->zones_of + spot * words, words * sizeof(uint64_t));
    for (size_t s = cover_next(search->chosen, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(search->chosen, view->spot_words, s + 1))
        for (size_t w = 0; s != spot && w < words; w++)
            view->some_zones[w] &= ~view->zones_of[s * words + w];
}

/* Whether another could take its place, by what those zones need. */
static bool could_serve(const struct search *search, size_t spot) {
    const cover_view *view = search->view;
    size_t words = view->zone_words;
    return cover_count_both(view->some_zones, view->zones_of + spot * words, words) ==
           cover_count(view->some_zones, words);
}

/* An earlier spot for this one, if the set stays as good. */
static bool swap(struct search *search, size_t spot) {
    find_alone(search, spot);
    for (size_t earlier = 0; earlier < spot; earlier++) {
        if (cover_has(search->chosen, earlier) ||
            (search->all_zones && !could_serve(search, earlier)))
            continue;
        memcpy(search->trial, search->chosen, search->view->spot_words * sizeof(uint64_t));
        cover_drop(search->trial, spot);
        cover_put(search->trial, earlier);
        if (!fits(search, search->out.n_chosen, search->out.weight))
            continue;
        keep(search, search->trial);
        return true;
    }
    return false;
}

static bool swap_any(struct search *search) {
    size_t words = search->view->spot_words;
    bool swapped = false;
    for (size_t s = cover_next(search->chosen, words, 0);
         s != EARSHOT_NONE && goes_on(search, 1); s = cover_next(search->chosen, words, s + 1))
        swapped = (!cover_has(search->view->standing, s) && swap(search, s)) || swapped;
    return swapped && !search->stopped;
}

static void put_in_order(struct search *search) {
    cover_view_ask(search->view, search->out.smallest);
    cover_view_thin_out(search->view, search->chosen);
    keep(search, search->chosen);
    while (swap_any(search))
        ;
}

/* ---- the answer ---- */

/* A way by a spot is worth no more than the spot's own way on. */
static double onward(const struct search *search, size_t spot) {
    const planning_cover_task *task = search->task;
    double best = task->own ? task->own[spot] : INFINITY;
    for (size_t r = 0; task->own && task->second && r < task->n_spots; r++) {
        double hop = task->second[spot * task->n_spots + r];
        if (r != spot && cover_has(search->chosen, r) && !isnan(hop) && !isnan(task->own[r]))
            best = fmax(best, fmin(hop, task->own[r]));
    }
    return best;
}

static void fill(struct search *search, unsigned char *chosen, planning_cover_zone *zones) {
    planning_cover *out = &search->out;
    const planning_cover_task *task = search->task;
    const cover_view *view = search->view;
    cover_view_serve(search->view, search->chosen);
    cover_view_keep(search->view, search->chosen);
    out->smallest = INFINITY;
    out->weight = 0;
    out->enough = true;
    for (size_t s = 0; s < task->n_spots; s++)
        chosen[s] = cover_has(search->chosen, s) && !cover_has(view->standing, s);
    for (size_t z = 0; z < task->n_zones; z++) {
        size_t spot = view->taken_by[z];
        double value = NAN;
        if (spot != EARSHOT_NONE)
            value = fmin(task->value[z * task->n_spots + spot], onward(search, spot));
        else if (task->direct && task->direct[z] >= task->enough)
            value = task->direct[z];
        zones[z] = (planning_cover_zone){spot, value};
        if (isnan(value)) {
            out->enough = false;
            continue;
        }
        out->smallest = fmin(out->smallest, value);
        out->weight += task->weight ? task->weight[z] : 1;
    }
    out->smallest_bound = fmax(out->smallest_bound, out->smallest);
}

/* All spots taken, who is beyond them? */
static bool look_beyond(struct search *search) {
    cover_view *view = search->view;
    cover_view_ask(view, search->task->enough);
    take_all(search);
    search->out.weight_bound = cover_view_serve(view, search->trial);
    for (size_t z = 0; z < view->n_zones; z++)
        search->out.n_beyond +=
            cover_has(view->wanting, z) && view->taken_by[z] == EARSHOT_NONE;
    return search->out.n_beyond == 0;
}

static enum earshot_status work(struct search *search) {
    planning_cover *out = &search->out;
    if (!look_beyond(search) && search->all_zones) {
        out->exact = true;
        out->weight_bound = cover_view_serve(search->view, search->chosen);
        return EARSHOT_OK;
    }
    enum earshot_status status =
        search->all_zones ? find_fewest(search) : find_heaviest(search);
    if (status != EARSHOT_OK)
        return status;
    out->smallest_bound = -INFINITY;
    out->exact =
        search->all_zones ? out->bound == out->n_chosen : out->weight == out->weight_bound;
    if (search->n_values) {
        status = better_off(search);
        if (status != EARSHOT_OK)
            return status;
        put_in_order(search);
    }
    return EARSHOT_OK;
}

static bool is_misuse(const planning_cover_task *task) {
    return !task || isnan(task->enough) || task->n_zones > PLANNING_COVER_MOST ||
           task->n_spots > PLANNING_COVER_MOST ||
           (task->n_zones && task->n_spots && !task->value);
}

static enum earshot_status search_for(const planning_cover_task *task, bool all_zones,
                                      size_t most, const earshot_watch *watch,
                                      unsigned char *chosen, planning_cover_zone *zones,
                                      planning_cover *out) {
    if (is_misuse(task))
        return EARSHOT_MISUSE;
    struct search search = {.task = task, .watch = watch, .all_zones = all_zones, .most = most};
    size_t n_values = (task->n_zones + 1) * (task->n_spots + 1) + task->n_spots;
    if (task->own && task->second)
        n_values += task->n_spots * task->n_spots;
    search.view = cover_view_new(task);
    size_t words = search.view ? search.view->spot_words + 1 : 0;
    search.values = malloc(n_values * sizeof *search.values + 1);
    search.chosen = calloc(2 * words + 1, sizeof *search.chosen);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (search.view && search.values && search.chosen) {
        search.trial = search.chosen + words;
        memcpy(search.chosen, search.view->standing,
               search.view->spot_words * sizeof *search.chosen);
        gather_values(&search);
        status = work(&search);
    }
    if (status == EARSHOT_OK) {
        fill(&search, chosen, zones);
        *out = search.out;
    }
    cover_view_free(search.view);
    free(search.values);
    free(search.chosen);
    return status;
}

enum earshot_status planning_cover_fewest(const planning_cover_task *task,
                                          const earshot_watch *watch, unsigned char *chosen,
                                          planning_cover_zone *zones, planning_cover *out) {
    return search_for(task, true, 0, watch, chosen, zones, out);
}

enum earshot_status planning_cover_best(const planning_cover_task *task, size_t most,
                                        const earshot_watch *watch, unsigned char *chosen,
                                        planning_cover_zone *zones, planning_cover *out) {
    return search_for(task, false, most, watch, chosen, zones, out);
}
