/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search.c - the receiver at each place, the fewest repeaters, and both together.
 *
 * 1. Every place of the receiver is scored on joint draws of all links (search_score.c).
 * 2. For each zone that is not firm in some of them, and each place of a repeater, both hops
 *    are drawn together (search_hops.c).
 * 3. The fewest repeaters by that are exact (search_fewest.c), ties to the set whose worst zone
 *    is best off. A repeater's own link must be firm by itself too.
 * 4. What is told is scored anew on other draws, so that nothing wins by luck.
 */
#include <math.h>
#include <stdlib.h>

#include "search.h"

enum {
    BEST_OF_GRID = 20, /* places that are drawn for, after the screen */
    REPEATERS_OF_GRID = 40
};

unsigned char *search_stood(const searching *searching, const planning_arrangement *arrangement,
                            size_t zone) {
    return arrangement->stood + zone * (1 + searching->n_standing);
}

const earshot_post *search_receiver(const searching *searching) {
    return &searching->own[searching->receiver];
}

enum earshot_status search_look(const searching *searching, double share_done) {
    const earshot_watch *watch = searching->task->watch;
    bool goes_on = !watch || !watch->go_on || watch->go_on(watch->who, share_done);
    return goes_on ? EARSHOT_OK : EARSHOT_STOPPED;
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

/* ---- places ---- */

static void choose_own(searching *searching) {
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
static double over_floor_m(const searching *searching) {
    const earshot_survey *survey = searching->survey;
    const survey_device *receiver = &survey->devices[search_receiver(searching)->device];
    static const double usual_m = 1.5; /* common practice, no source */
    return receiver->level == EARSHOT_NONE || isnan(receiver->place.z_m)
               ? usual_m
               : receiver->place.z_m - survey->levels[receiver->level].floor_z_m;
}

static enum earshot_status find_places(searching *searching) {
    planning_search *search = searching->search;
    const earshot_survey *survey = searching->survey;
    if (searching->task->anywhere)
        return planning_grid_places(
            survey, over_floor_m(searching),
            survey->radios[search_receiver(searching)->end.radio].freq_mhz, &search->places,
            &search->n_places, &search->step_m);
    search->places = calloc(survey->n_spots + 1, sizeof *search->places);
    if (!search->places)
        return EARSHOT_NO_MEMORY;
    search->n_places = planning_spot_places(survey, search->places);
    return EARSHOT_OK;
}

static enum earshot_status find_receivers(searching *searching) {
    planning_search *search = searching->search;
    size_t most = searching->task->anywhere ? BEST_OF_GRID : PLANNING_MOST_MOVED;
    if (search->many_receivers)
        return EARSHOT_OK;
    if (search->n_places > most)
        return planning_screen_receivers(searching->survey, searching->belief,
                                         search_receiver(searching), search->places,
                                         search->n_places, most, searching->task->watch,
                                         search->receivers, &search->n_receivers);
    for (size_t i = 0; i < search->n_places; i++)
        search->receivers[search->n_receivers++] = i;
    return EARSHOT_OK;
}

/* A repeater needs mains: at spots without it none is tried. On a grid nobody knows, and there
 * are too many. */
static enum earshot_status find_repeaters(searching *searching) {
    planning_search *search = searching->search;
    if (searching->task->anywhere)
        return planning_screen_repeaters(
            searching->survey, searching->belief, search_receiver(searching),
            searching->wanting, search->places, search->n_places, REPEATERS_OF_GRID,
            searching->task->watch, search->repeaters, &search->n_repeaters);
    for (size_t i = 0; i < search->n_places && search->n_repeaters < PLANNING_MOST_TRIED; i++)
        if (search->places[i].mains)
            search->repeaters[search->n_repeaters++] = i;
        else
            search->n_without_mains++;
    return EARSHOT_OK;
}

/* ---- all ---- */

/* At how many of the receiver's places repeaters are tried too: the best ones. */
static size_t n_together(const searching *searching) {
    enum { MOST = 20 };
    size_t n = searching->task->repeaters ? searching->search->n_moved : 0;
    return n < MOST ? n : MOST;
}

/* Room for everything that is told: now, moved, repeated, both. */
static bool take_arrangements(searching *searching) {
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

static bool take_values(searching *searching) {
    const planning_search *search = searching->search;
    size_t n = search->n_repeaters;
    searching->n_variants = 1 + n_together(searching);
    searching->value_db =
        calloc(searching->n_variants * search->n_zones * n + 1, sizeof *searching->value_db);
    searching->own_link_db =
        calloc(searching->n_variants * n + 1, sizeof *searching->own_link_db);
    return searching->value_db && searching->own_link_db;
}

static void note_wanting(const searching *searching, const planning_arrangement *at) {
    for (size_t z = 0; z < searching->search->n_zones; z++)
        searching->wanting[z] |= at->fates[z].verdict != EARSHOT_FIRM ||
                                 (searching->n_standing && !search_stood(searching, at, z)[0]);
}

static enum earshot_status search_receivers(searching *searching) {
    planning_search *search = searching->search;
    enum earshot_status status = find_receivers(searching);
    if (status == EARSHOT_OK && !take_arrangements(searching))
        status = EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = search_score(searching, &search->now, 1, 0, 0.1, 0.1);
    if (status == EARSHOT_OK)
        status = search_score(searching, search->moved, search->n_moved, 0, 0.1, 0.4);
    if (status == EARSHOT_OK)
        status = search_allot(searching);
    if (status != EARSHOT_OK)
        return status;
    qsort(search->moved, search->n_moved, sizeof *search->moved, better_first);
    note_wanting(searching, &search->now);
    for (size_t i = 0; i < n_together(searching); i++)
        note_wanting(searching, &search->moved[i]);
    return EARSHOT_OK;
}

static enum earshot_status search_repeaters(searching *searching) {
    enum earshot_status status = find_repeaters(searching);
    if (status == EARSHOT_OK && !take_values(searching))
        status = EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = search_value(searching);
    if (status == EARSHOT_OK)
        status = search_fewest(searching);
    if (status == EARSHOT_OK && searching->task->repeaters)
        status = search_both(searching);
    return status;
}

/* Other draws than those that were chosen by. */
static enum earshot_status score_anew(searching *searching) {
    planning_search *search = searching->search;
    enum earshot_status status =
        search_score(searching, &search->now, 1, SEARCH_DRAWS, 0.8, 0.8);
    if (status == EARSHOT_OK)
        status =
            search_score(searching, search->moved, search->n_moved, SEARCH_DRAWS, 0.8, 0.9);
    if (status == EARSHOT_OK)
        status = search_score(searching, search->repeated, search->n_repeated, SEARCH_DRAWS,
                              0.9, 0.95);
    if (status == EARSHOT_OK && search->has_both)
        status = search_score(searching, &search->both, 1, SEARCH_DRAWS, 0.95, 1);
    if (status != EARSHOT_OK)
        return status;
    qsort(search->moved, search->n_moved, sizeof *search->moved, better_first);
    return EARSHOT_OK;
}

static bool take_zones(searching *searching) {
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
    searching searching = {.survey = survey, .belief = belief, .task = task, .search = &search};
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
    search_pick_up(&searching.laying);
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
