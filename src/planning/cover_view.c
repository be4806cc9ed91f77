/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cover_view.c - who serves whom when so much is asked: what can be left out before anything is
 * searched, which zones a set of spots serves, a good set in short time, and a count that no
 * set can go below.
 *
 * All of it is exact but the good set. GLPK is not asked where both ends meet here, and what it
 * answers is checked here.
 */
#include "cover_view.h"

#include <stdlib.h>
#include <string.h>

#include "earshot/link.h"

enum { BITS = 64 };

/* ---- sets ---- */

bool cover_has(const uint64_t *set, size_t i) {
    return set[i / BITS] >> i % BITS & 1;
}

void cover_put(uint64_t *set, size_t i) {
    set[i / BITS] |= (uint64_t)1 << i % BITS;
}

void cover_drop(uint64_t *set, size_t i) {
    set[i / BITS] &= ~((uint64_t)1 << i % BITS);
}

/* Sums of 2, 4 and 8 bits side by side, and then of all bytes in the uppermost. */
static size_t count_word(uint64_t x) {
    x -= x >> 1 & 0x5555555555555555;
    x = (x & 0x3333333333333333) + (x >> 2 & 0x3333333333333333);
    x = (x + (x >> 4)) & 0x0f0f0f0f0f0f0f0f;
    return (size_t)(x * 0x0101010101010101 >> 56);
}

size_t cover_count(const uint64_t *set, size_t words) {
    return cover_count_both(set, set, words);
}

size_t cover_count_both(const uint64_t *a, const uint64_t *b, size_t words) {
    size_t n = 0;
    for (size_t w = 0; w < words; w++)
        n += count_word(a[w] & b[w]);
    return n;
}

size_t cover_next_both(const uint64_t *a, const uint64_t *b, size_t words, size_t i) {
    size_t w = i / BITS;
    if (w >= words)
        return EARSHOT_NONE;
    uint64_t rest = (a[w] & b[w]) >> i % BITS << i % BITS;
    while (!rest && ++w < words)
        rest = a[w] & b[w];
    return rest ? w * BITS + count_word((rest & -rest) - 1) : EARSHOT_NONE;
}

size_t cover_next(const uint64_t *set, size_t words, size_t i) {
    return cover_next_both(set, set, words, i);
}

static bool meet(const uint64_t *a, const uint64_t *b, size_t words) {
    for (size_t w = 0; w < words; w++)
        if (a[w] & b[w])
            return true;
    return false;
}

/* Whether all of a that is also in `live` is in b. */
static bool within(const uint64_t *a, const uint64_t *b, const uint64_t *live, size_t words) {
    for (size_t w = 0; w < words; w++)
        if (a[w] & live[w] & ~b[w])
            return false;
    return true;
}

/* ---- the view ---- */

static const uint64_t *zones_of(const cover_view *view, size_t spot) {
    return view->zones_of + spot * view->zone_words;
}

static const uint64_t *spots_of(const cover_view *view, size_t zone) {
    return view->spots_of + zone * view->spot_words;
}

/* NULL: there are none for any spot. */
static const uint64_t *relays_of(const cover_view *view, size_t spot) {
    return view->relays ? view->relays + spot * view->spot_words : NULL;
}

static size_t most_of(size_t a, size_t b) {
    return a > b ? a : b;
}

/* One piece of memory, cut up: words first, then the few arrays of other types. */
static bool cut(cover_view *view, bool hops) {
    size_t zw = view->zone_words, sw = view->spot_words, nz = view->n_zones, ns = view->n_spots;
    size_t n_words = 3 * zw + 7 * sw + nz * sw + ns * zw + (hops ? ns * sw : 0);
    size_t n_most = most_of(nz, ns) + 1;
    size_t weights = nz * sizeof *view->weights;
    char *at = calloc(1, n_words * sizeof(uint64_t) + weights + 3 * n_most * sizeof(size_t));
    if (!at)
        return false;
    view->memory = at;
    uint64_t **const parts[] = {
        &view->wanting,  &view->live_zones, &view->some_zones, &view->linked, &view->live_spots,
        &view->must,     &view->some_spots, &view->seen,       &view->tight,  &view->standing,
        &view->zones_of, &view->spots_of,   &view->relays};
    const size_t sizes[] = {
        zw, zw, zw, sw, sw, sw, sw, sw, sw, sw, ns * zw, nz * sw, hops ? ns * sw : 0};
    uint64_t *word = view->memory;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++, word += sizes[i - 1])
        *parts[i] = word;
    if (!hops)
        view->relays = NULL;
    view->weights = (unsigned long long *)(void *)word;
    view->taken_by = (size_t *)(void *)((char *)word + weights);
    view->load = view->taken_by + n_most;
    view->order = view->load + n_most;
    return true;
}

cover_view *cover_view_new(const planning_cover_task *task) {
    cover_view *view = calloc(1, sizeof *view);
    if (!view)
        return NULL;
    view->task = task;
    view->n_zones = task->n_zones;
    view->n_spots = task->n_spots;
    view->zone_words = (task->n_zones + BITS - 1) / BITS;
    view->spot_words = (task->n_spots + BITS - 1) / BITS;
    if (!cut(view, task->own && task->second)) {
        free(view);
        return NULL;
    }
    for (size_t s = 0; task->stands && s < task->n_spots; s++)
        if (task->stands[s])
            cover_put(view->standing, s);
    return view;
}

void cover_view_free(cover_view *view) {
    if (view)
        free(view->memory);
    free(view);
}

/* A hop to another that has no hop of its own leads nowhere. */
static void ask_relays(cover_view *view, size_t spot) {
    uint64_t *relays = view->relays + spot * view->spot_words;
    memset(relays, 0, view->spot_words * sizeof *relays);
    if (cover_has(view->linked, spot))
        return;
    for (size_t r = 0; r < view->n_spots; r++)
        if (cover_has(view->linked, r) &&
            view->task->second[spot * view->n_spots + r] >= view->asked)
            cover_put(relays, r);
}

static void ask_spots(cover_view *view) {
    const planning_cover_task *task = view->task;
    size_t bytes = view->spot_words * sizeof(uint64_t);
    memset(view->linked, 0, bytes);
    memset(view->live_spots, 0, bytes);
    for (size_t s = 0; s < view->n_spots; s++)
        if (!task->own || task->own[s] >= view->asked)
            cover_put(view->linked, s);
    memcpy(view->live_spots, view->linked, bytes);
    for (size_t w = 0; w < view->spot_words; w++)
        view->must[w] = view->standing[w] & view->linked[w];
    for (size_t s = 0; view->relays && s < view->n_spots; s++) {
        ask_relays(view, s);
        if (cover_count(relays_of(view, s), view->spot_words))
            cover_put(view->live_spots, s);
    }
}

static void ask_zones(cover_view *view) {
    const planning_cover_task *task = view->task;
    memset(view->wanting, 0, view->zone_words * sizeof(uint64_t));
    memset(view->zones_of, 0, view->n_spots * view->zone_words * sizeof(uint64_t));
    memset(view->spots_of, 0, view->n_zones * view->spot_words * sizeof(uint64_t));
    for (size_t z = 0; z < view->n_zones; z++) {
        view->weights[z] = task->weight ? task->weight[z] : 1;
        if (task->direct && task->direct[z] >= view->asked)
            continue;
        cover_put(view->wanting, z);
        for (size_t s = 0; s < view->n_spots; s++)
            if (cover_has(view->live_spots, s) &&
                task->value[z * view->n_spots + s] >= view->asked) {
                cover_put(view->zones_of + s * view->zone_words, z);
                cover_put(view->spots_of + z * view->spot_words, s);
            }
    }
    memcpy(view->live_zones, view->wanting, view->zone_words * sizeof(uint64_t));
}

void cover_view_ask(cover_view *view, double asked) {
    view->asked = asked;
    ask_spots(view);
    ask_zones(view);
}

static size_t room_among(const cover_view *view, size_t spot, const uint64_t *zones) {
    size_t most = view->task->capacity ? view->task->capacity[spot] : 0;
    if (!most || most >= cover_count_both(zones_of(view, spot), zones, view->zone_words))
        return SIZE_MAX;
    return most;
}

size_t cover_view_room(const cover_view *view, size_t spot) {
    return room_among(view, spot, view->live_zones);
}

/* ---- what no answer needs ---- */

static bool all_have_room(const cover_view *view, const uint64_t *spots) {
    const uint64_t *live = view->live_spots;
    for (size_t s = cover_next_both(spots, live, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next_both(spots, live, view->spot_words, s + 1))
        if (cover_view_room(view, s) != SIZE_MAX)
            return false;
    return true;
}

/* A zone with one spot left takes it. */
static bool take_only_ones(cover_view *view) {
    bool changed = false;
    for (size_t z = cover_next(view->live_zones, view->zone_words, 0); z != EARSHOT_NONE;
         z = cover_next(view->live_zones, view->zone_words, z + 1)) {
        if (cover_count_both(spots_of(view, z), view->live_spots, view->spot_words) != 1)
            continue;
        size_t s = cover_next_both(spots_of(view, z), view->live_spots, view->spot_words, 0);
        changed = changed || !cover_has(view->must, s);
        cover_put(view->must, s);
    }
    return changed;
}

/* What a spot of every answer has room for is settled. */
static bool settle(cover_view *view) {
    bool changed = false;
    for (size_t s = cover_next(view->must, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(view->must, view->spot_words, s + 1)) {
        if (cover_view_room(view, s) != SIZE_MAX)
            continue;
        changed = changed || meet(zones_of(view, s), view->live_zones, view->zone_words);
        for (size_t w = 0; w < view->zone_words; w++)
            view->live_zones[w] &= ~zones_of(view, s)[w];
    }
    return changed;
}

/* Zone `b` goes with zone `a`: served whenever that is, by the same spot. Where the weight
 * counts both must have the same spots, and be one. */
static bool goes_with(const cover_view *view, size_t b, size_t a, bool all_zones) {
    size_t words = view->spot_words;
    const uint64_t *of_a = spots_of(view, a), *of_b = spots_of(view, b);
    if (!within(of_a, of_b, view->live_spots, words))
        return false;
    bool same = within(of_b, of_a, view->live_spots, words);
    return same ? a < b : all_zones;
}

static bool drop_zones(cover_view *view, bool all_zones) {
    bool changed = false;
    for (size_t a = cover_next(view->live_zones, view->zone_words, 0); a != EARSHOT_NONE;
         a = cover_next(view->live_zones, view->zone_words, a + 1)) {
        if (!all_have_room(view, spots_of(view, a)))
            continue;
        for (size_t b = cover_next(view->live_zones, view->zone_words, 0); b != EARSHOT_NONE;
             b = cover_next(view->live_zones, view->zone_words, b + 1)) {
            if (b == a || !goes_with(view, b, a, all_zones))
                continue;
            cover_drop(view->live_zones, b);
            view->weights[a] += view->weights[b];
            changed = true;
        }
    }
    return changed;
}

/* Spots that pass on for another live one, into view->some_spots. */
static void find_relays(cover_view *view) {
    memset(view->some_spots, 0, view->spot_words * sizeof(uint64_t));
    if (!view->relays)
        return;
    for (size_t s = cover_next(view->live_spots, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(view->live_spots, view->spot_words, s + 1))
        for (size_t w = 0; w < view->spot_words; w++)
            view->some_spots[w] |= relays_of(view, s)[w];
}

/* Spot `a` does all that `b` does, whatever else is chosen: what `b` takes, `a` has room for.
 */
static bool stands_for(const cover_view *view, size_t a, size_t b) {
    const uint64_t *of_a = zones_of(view, a), *of_b = zones_of(view, b);
    if (!within(of_b, of_a, view->live_zones, view->zone_words))
        return false;
    return a < b || !within(of_a, of_b, view->live_zones, view->zone_words);
}

static bool drop_spots(cover_view *view) {
    bool changed = false;
    find_relays(view);
    for (size_t a = cover_next(view->live_spots, view->spot_words, 0); a != EARSHOT_NONE;
         a = cover_next(view->live_spots, view->spot_words, a + 1)) {
        if (!cover_has(view->linked, a) || cover_view_room(view, a) != SIZE_MAX)
            continue;
        for (size_t b = cover_next(view->live_spots, view->spot_words, 0); b != EARSHOT_NONE;
             b = cover_next(view->live_spots, view->spot_words, b + 1)) {
            if (b == a || cover_has(view->must, b) || cover_has(view->standing, b) ||
                cover_has(view->some_spots, b) || !stands_for(view, a, b))
                continue;
            cover_drop(view->live_spots, b);
            changed = true;
        }
    }
    return changed;
}

void cover_view_reduce(cover_view *view, bool all_zones) {
    for (bool changed = true; changed;) {
        changed = all_zones && take_only_ones(view);
        changed = settle(view) || changed;
        changed = drop_zones(view, all_zones) || changed;
        changed = drop_spots(view) || changed;
    }
}

/* ---- which zones a set serves ---- */

static bool is_usable(const cover_view *view, const uint64_t *chosen, size_t spot) {
    return cover_has(view->linked, spot) ||
           (view->relays && meet(relays_of(view, spot), chosen, view->spot_words));
}

/* A spot with room for all takes its zones; the rest is matched one by one, and may push
 * another zone on to where it finds room (augmenting ways). Zones that get in stay in, so that
 * the heaviest first gives the most weight. */
static bool get_in(cover_view *view, size_t zone) {
    const uint64_t *of = spots_of(view, zone);
    for (size_t s = cover_next_both(of, view->tight, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next_both(of, view->tight, view->spot_words, s + 1)) {
        if (cover_has(view->seen, s))
            continue;
        cover_put(view->seen, s);
        bool room = view->load[s] < room_among(view, s, view->wanting);
        for (size_t other = 0; !room && other < view->n_zones; other++)
            if (view->taken_by[other] == s && get_in(view, other))
                room = true;
        if (!room)
            continue;
        if (view->taken_by[zone] != EARSHOT_NONE)
            view->load[view->taken_by[zone]]--;
        view->taken_by[zone] = s;
        view->load[s]++;
        return true;
    }
    return false;
}

static unsigned weight_of(const cover_view *view, size_t zone) {
    return view->task->weight ? view->task->weight[zone] : 1;
}

/* Wanting zones into view->order, heaviest first; how many. */
static size_t order_zones(cover_view *view) {
    size_t n = 0;
    for (size_t z = 0; z < view->n_zones; z++) {
        if (!cover_has(view->wanting, z))
            continue;
        size_t at = n++;
        for (; at && weight_of(view, view->order[at - 1]) < weight_of(view, z); at--)
            view->order[at] = view->order[at - 1];
        view->order[at] = z;
    }
    return n;
}

/* Of these spots the one that serves the zone at the best value. */
static size_t best_of(const cover_view *view, size_t zone, const uint64_t *spots) {
    const double *value = view->task->value;
    const size_t row = zone * view->n_spots;
    const uint64_t *of = spots_of(view, zone);
    size_t best = EARSHOT_NONE;
    for (size_t s = cover_next_both(of, spots, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next_both(of, spots, view->spot_words, s + 1))
        if ((best == EARSHOT_NONE || value[row + s] > value[row + best]))
            best = s;
    return best;
}

/* The chosen spots that are of use, into view->some_spots those that have room for all, and
 * into view->tight the others. */
static void sort_spots(cover_view *view, const uint64_t *chosen) {
    memset(view->some_spots, 0, view->spot_words * sizeof(uint64_t));
    memset(view->tight, 0, view->spot_words * sizeof(uint64_t));
    for (size_t s = cover_next(chosen, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(chosen, view->spot_words, s + 1)) {
        if (!is_usable(view, chosen, s))
            continue;
        bool roomy = room_among(view, s, view->wanting) == SIZE_MAX;
        cover_put(roomy ? view->some_spots : view->tight, s);
        view->load[s] = 0;
    }
}

static unsigned long long weight_of_all(const cover_view *view) {
    unsigned long long weight = 0;
    for (size_t z = 0; z < view->n_zones; z++)
        weight += weight_of(view, z);
    return weight;
}

unsigned long long cover_view_settled(const cover_view *view) {
    unsigned long long settled = weight_of_all(view);
    for (size_t z = cover_next(view->live_zones, view->zone_words, 0); z != EARSHOT_NONE;
         z = cover_next(view->live_zones, view->zone_words, z + 1))
        settled -= view->weights[z];
    return settled;
}

unsigned long long cover_view_serve(cover_view *view, const uint64_t *chosen) {
    unsigned long long weight = weight_of_all(view);
    sort_spots(view, chosen);
    for (size_t z = 0; z < view->n_zones; z++)
        view->taken_by[z] = EARSHOT_NONE;
    size_t n = order_zones(view);
    for (size_t i = 0; i < n; i++) {
        size_t zone = view->order[i];
        view->taken_by[zone] = best_of(view, zone, view->some_spots);
        if (view->taken_by[zone] != EARSHOT_NONE)
            continue;
        memset(view->seen, 0, view->spot_words * sizeof(uint64_t));
        if (!get_in(view, zone))
            weight -= weight_of(view, zone);
    }
    return weight;
}

static bool all_taken(const cover_view *view) {
    for (size_t z = 0; z < view->n_zones; z++)
        if (cover_has(view->wanting, z) && view->taken_by[z] == EARSHOT_NONE)
            return false;
    return true;
}

bool cover_view_serves_all(cover_view *view, const uint64_t *chosen) {
    cover_view_serve(view, chosen);
    return all_taken(view);
}

void cover_view_keep(cover_view *view, const uint64_t *chosen) {
    sort_spots(view, chosen);
    for (size_t s = cover_next(view->standing, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(view->standing, view->spot_words, s + 1)) {
        if (!is_usable(view, chosen, s))
            continue;
        size_t room = room_among(view, s, view->wanting);
        for (size_t z = 0; z < view->n_zones; z++)
            view->load[s] += view->taken_by[z] == s;
        for (size_t z = cover_next(zones_of(view, s), view->zone_words, 0);
             z != EARSHOT_NONE && view->load[s] < room;
             z = cover_next(zones_of(view, s), view->zone_words, z + 1))
            if (view->taken_by[z] != EARSHOT_NONE &&
                !cover_has(view->standing, view->taken_by[z])) {
                view->taken_by[z] = s;
                view->load[s]++;
            }
    }
}

/* ---- a good set ---- */

size_t cover_view_count(const cover_view *view, const uint64_t *set) {
    return cover_count(set, view->spot_words) -
           cover_count_both(set, view->standing, view->spot_words);
}

/* The weight of what the spot would take of these zones: the first ones that it has room for.
 * `take`: and they are gone. */
static unsigned long long gain_of(const cover_view *view, size_t spot, uint64_t *zones,
                                  bool take) {
    unsigned long long gain = 0;
    size_t room = room_among(view, spot, view->wanting);
    const uint64_t *of = zones_of(view, spot);
    for (size_t z = cover_next_both(of, zones, view->zone_words, 0); room && z != EARSHOT_NONE;
         z = cover_next_both(of, zones, view->zone_words, z + 1)) {
        gain += weight_of(view, z);
        room--;
        if (take)
            cover_drop(zones, z);
    }
    return gain;
}

/* The relay that a spot lacks, or EARSHOT_NONE. */
static size_t lacks(const cover_view *view, size_t spot, const uint64_t *chosen) {
    return is_usable(view, chosen, spot)
               ? EARSHOT_NONE
               : cover_next(relays_of(view, spot), view->spot_words, 0);
}

static size_t best_spot(cover_view *view, const uint64_t *chosen, size_t n_left) {
    size_t best = EARSHOT_NONE;
    unsigned long long most = 0;
    for (size_t s = cover_next(view->live_spots, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(view->live_spots, view->spot_words, s + 1)) {
        size_t cost = 1 + (lacks(view, s, chosen) != EARSHOT_NONE);
        if (cover_has(chosen, s) || cost > n_left)
            continue;
        unsigned long long gain = 2 * gain_of(view, s, view->some_zones, false) / cost;
        if (gain > most) {
            most = gain;
            best = s;
        }
    }
    return best;
}

/* Takes a spot, and a relay for it when it lacks one. How many that makes. */
static size_t take_spot(cover_view *view, size_t spot, uint64_t *chosen) {
    size_t relay = lacks(view, spot, chosen);
    cover_put(chosen, spot);
    gain_of(view, spot, view->some_zones, true);
    if (relay == EARSHOT_NONE)
        return 1;
    cover_put(chosen, relay);
    gain_of(view, relay, view->some_zones, true);
    return 2;
}

void cover_view_greedy(cover_view *view, size_t most, uint64_t *chosen) {
    size_t n = 0;
    memcpy(chosen, view->standing, view->spot_words * sizeof *chosen);
    memcpy(view->some_zones, view->wanting, view->zone_words * sizeof(uint64_t));
    for (size_t s = cover_next(chosen, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(chosen, view->spot_words, s + 1))
        if (is_usable(view, chosen, s))
            gain_of(view, s, view->some_zones, true);
    while (n < most) {
        size_t spot = best_spot(view, chosen, most - n);
        if (spot == EARSHOT_NONE)
            break;
        n += take_spot(view, spot, chosen);
    }
    if (most < view->n_spots)
        return;
    if (!cover_view_serves_all(view, chosen))
        for (size_t s = 0; s < view->n_spots; s++)
            cover_put(chosen, s);
    cover_view_thin_out(view, chosen);
}

void cover_view_thin_out(cover_view *view, uint64_t *chosen) {
    unsigned long long weight = cover_view_serve(view, chosen);
    bool all = all_taken(view);
    for (size_t s = view->n_spots; s-- > 0;) {
        if (!cover_has(chosen, s) || cover_has(view->standing, s))
            continue;
        cover_drop(chosen, s);
        if (cover_view_serve(view, chosen) < weight || (all && !all_taken(view)))
            cover_put(chosen, s);
    }
}

/* ---- a count that no set goes below ---- */

/* Zones no two of which have a spot in common need one each; those with the fewest spots first.
 */
static size_t bound_apart(cover_view *view) {
    size_t n = cover_view_count(view, view->must);
    uint64_t *used = view->some_spots;
    for (size_t w = 0; w < view->spot_words; w++)
        used[w] = view->must[w] | view->standing[w];
    memcpy(view->some_zones, view->live_zones, view->zone_words * sizeof(uint64_t));
    for (size_t few = 1; few <= view->n_spots;) {
        size_t next = view->n_spots + 1;
        for (size_t z = cover_next(view->some_zones, view->zone_words, 0); z != EARSHOT_NONE;
             z = cover_next(view->some_zones, view->zone_words, z + 1)) {
            size_t count =
                cover_count_both(spots_of(view, z), view->live_spots, view->spot_words);
            if (count > few && count < next)
                next = count;
            if (count > few)
                continue;
            cover_drop(view->some_zones, z);
            if (meet(spots_of(view, z), used, view->spot_words))
                continue;
            n++;
            for (size_t w = 0; w < view->spot_words; w++)
                used[w] |= spots_of(view, z)[w] & view->live_spots[w];
        }
        few = next;
    }
    return n;
}

/* So many of the spots that take most must do for all zones that are left by those that stand.
 */
static size_t bound_by_room(cover_view *view) {
    size_t n = 0, left = cover_count(view->live_zones, view->zone_words), n_sorted = 0;
    for (size_t s = cover_next(view->live_spots, view->spot_words, 0); s != EARSHOT_NONE;
         s = cover_next(view->live_spots, view->spot_words, s + 1)) {
        size_t room = cover_count_both(zones_of(view, s), view->live_zones, view->zone_words);
        if (cover_view_room(view, s) < room)
            room = cover_view_room(view, s);
        if (cover_has(view->standing, s)) {
            left -= room < left ? room : left;
            continue;
        }
        if (!room) {
            n += cover_has(view->must, s);
            continue;
        }
        size_t at = n_sorted++;
        for (; at && view->order[at - 1] < room; at--)
            view->order[at] = view->order[at - 1];
        view->order[at] = room;
    }
    for (size_t i = 0; left && i < n_sorted; i++, n++)
        left -= view->order[i] < left ? view->order[i] : left;
    return n;
}

size_t cover_view_bound(cover_view *view) {
    return most_of(bound_apart(view), bound_by_room(view));
}
