/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_cover_search.c - the fewest spots and the best few: against every set there is, on small
 * covers of all kinds; against all of a larger one given to GLPK as it stands; and on tasks
 * that nobody would set.
 */
#include "cover.h"
#include "covers.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "earshot/link.h"

enum { MOST_ZONES = 12, MOST_SPOTS = 12, N_DRAWN = 9600, N_KINDS = 64, ENOUGH = 2 };

struct small {
    double value[MOST_ZONES * MOST_SPOTS], direct[MOST_ZONES], own[MOST_SPOTS];
    double second[MOST_SPOTS * MOST_SPOTS];
    size_t capacity[MOST_SPOTS];
    unsigned weight[MOST_ZONES];
    unsigned char stands[MOST_SPOTS];
    planning_cover_task task;
};

struct told {
    unsigned char chosen[MOST_SPOTS];
    planning_cover_zone zones[MOST_ZONES];
    planning_cover out;
};

/* ---- every set there is ---- */

static unsigned draw(uint32_t *random, unsigned n) {
    *random = *random * 1664525u + 1013904223u;
    return (unsigned)(((uint64_t)*random * n) >> 32);
}

/* Whole values from 0 to 5, so that ties are common; 2 is enough; and now and then no way. */
static double draw_value(uint32_t *random) {
    unsigned x = draw(random, 9);
    return x == 8 ? NAN : x > 5 ? 0 : x;
}

/* Each bit of the kind is something that a task may have. */
static void draw_small(struct small *small, unsigned kind, uint32_t *random) {
    const bool tight = kind & 1, hops = kind & 2, direct = kind & 4, weights = kind & 8;
    planning_cover_task *task = &small->task;
    *task = (planning_cover_task){.enough = ENOUGH, .value = small->value};
    task->n_zones = 1 + draw(random, tight ? 7 : MOST_ZONES);
    task->n_spots = 1 + draw(random, tight ? 6 : 9);
    for (size_t i = 0; i < task->n_zones * task->n_spots; i++)
        small->value[i] = draw_value(random);
    for (size_t z = 0; z < task->n_zones; z++) {
        small->direct[z] = draw(random, 3) ? 0 : draw_value(random);
        small->weight[z] = draw(random, 4) ? 1 : 10;
    }
    for (size_t s = 0; s < task->n_spots; s++) {
        small->own[s] = draw(random, 3) ? 1 + draw(random, 5) : 0;
        small->capacity[s] = draw(random, 4);
        small->stands[s] = draw(random, 3) == 0;
    }
    for (size_t i = 0; i < task->n_spots * task->n_spots; i++)
        small->second[i] = draw_value(random);
    task->capacity = tight ? small->capacity : NULL;
    task->own = hops ? small->own : NULL;
    task->second = hops && kind & 16 ? small->second : NULL;
    task->direct = direct ? small->direct : NULL;
    task->weight = weights ? small->weight : NULL;
    task->stands = kind & 32 ? small->stands : NULL;
}

/* What one set can do: the most weight, and with it the best worst value. */
struct best {
    unsigned long long weight;
    double smallest;
    size_t n_left;
};

static bool is_better(const struct best *a, const struct best *b) {
    return a->weight != b->weight ? a->weight > b->weight : a->smallest > b->smallest;
}

/* The value of a zone's way by a spot of the set: of its hops the worst. */
static double way(const planning_cover_task *task, unsigned set, size_t zone, size_t spot) {
    double on = task->own ? task->own[spot] : INFINITY;
    for (size_t r = 0; task->second && r < task->n_spots; r++) {
        double hop = task->second[spot * task->n_spots + r];
        if (set >> r & 1 && r != spot && hop >= 0)
            on = fmax(on, fmin(hop, task->own[r]));
    }
    double value = task->value[zone * task->n_spots + spot];
    return isnan(value) ? -INFINITY : fmin(value, on);
}

/* Each zone in turn goes direct, by each spot of the set with room left, or nowhere. */
static void try_zone(const planning_cover_task *task, unsigned set, size_t zone, size_t *load,
                     struct best so_far, struct best *best) {
    if (zone == task->n_zones) {
        if (is_better(&so_far, best))
            *best = so_far;
        return;
    }
    struct best with = so_far, without = so_far;
    with.weight += task->weight ? task->weight[zone] : 1;
    without.n_left++;
    try_zone(task, set, zone + 1, load, without, best);
    if (task->direct && task->direct[zone] >= task->enough) {
        struct best next = with;
        next.smallest = fmin(next.smallest, task->direct[zone]);
        try_zone(task, set, zone + 1, load, next, best);
    }
    for (size_t s = 0; s < task->n_spots; s++) {
        double value = way(task, set, zone, s);
        bool room = !task->capacity || !task->capacity[s] || load[s] < task->capacity[s];
        if (!(set >> s & 1) || !(value >= task->enough) || !room)
            continue;
        struct best next = with;
        next.smallest = fmin(next.smallest, value);
        load[s]++;
        try_zone(task, set, zone + 1, load, next, best);
        load[s]--;
    }
}

/* With room for all each zone takes the best way there is. */
static struct best try_roomy(const planning_cover_task *task, unsigned set) {
    struct best best = {0, INFINITY, 0};
    for (size_t z = 0; z < task->n_zones; z++) {
        double value = task->direct && !isnan(task->direct[z]) ? task->direct[z] : -INFINITY;
        for (size_t s = 0; s < task->n_spots; s++)
            if (set >> s & 1)
                value = fmax(value, way(task, set, z, s));
        if (value >= task->enough) {
            best.weight += task->weight ? task->weight[z] : 1;
            best.smallest = fmin(best.smallest, value);
        } else {
            best.n_left++;
        }
    }
    return best;
}

static struct best try_set(const planning_cover_task *task, unsigned set) {
    if (!task->capacity)
        return try_roomy(task, set);
    size_t load[MOST_SPOTS] = {0};
    struct best best = {0, -INFINITY, 0};
    try_zone(task, set, 0, load, (struct best){0, INFINITY, 0}, &best);
    return best;
}

static size_t count_bits(unsigned set) {
    size_t n = 0;
    for (; set; set &= set - 1)
        n++;
    return n;
}

static unsigned standing_of(const planning_cover_task *task) {
    unsigned set = 0;
    for (size_t s = 0; task->stands && s < task->n_spots; s++)
        set |= (unsigned)task->stands[s] << s;
    return set;
}

/* All sets of what stands and up to `most` spots; `*n`: the size of the smallest that leaves
 * nobody out, and then `best` is of that size; else the best there is. */
static struct best try_all(const planning_cover_task *task, const struct best *sets,
                           size_t most, bool all_zones, size_t *n) {
    struct best best = {0, -INFINITY, 1};
    const unsigned standing = standing_of(task);
    *n = most + 1;
    for (unsigned set = 0; set < 1u << task->n_spots; set++) {
        const size_t size = count_bits(set & ~standing);
        const struct best *of = &sets[set];
        if ((set & standing) != standing || size > most ||
            (all_zones && (of->n_left || size > *n)))
            continue;
        if ((all_zones && size < *n) || is_better(of, &best)) {
            best = *of;
            *n = size;
        }
    }
    return best;
}

/* ---- what is told is so ---- */

static unsigned chosen_of(const struct told *told, size_t n_spots) {
    unsigned set = 0;
    for (size_t s = 0; s < n_spots; s++)
        set |= (unsigned)told->chosen[s] << s;
    return set;
}

/* Each zone by a spot that is chosen or stands, at the value of its way, and no spot takes too
 * many. No zone goes by a chosen one while one that stands would do and has room. */
static void check_zones(const planning_cover_task *task, const struct told *told) {
    size_t load[MOST_SPOTS] = {0};
    const unsigned chosen = chosen_of(told, task->n_spots), standing = standing_of(task);
    const unsigned set = chosen | standing;
    double smallest = INFINITY;
    unsigned long long weight = 0;
    for (size_t z = 0; z < task->n_zones; z++) {
        const planning_cover_zone *zone = &told->zones[z];
        if (zone->spot != EARSHOT_NONE) {
            cr_expect(set >> zone->spot & 1);
            cr_expect_eq(zone->value, way(task, set, z, zone->spot));
            load[zone->spot]++;
        } else if (!isnan(zone->value)) {
            cr_expect_eq(zone->value, task->direct[z]);
        }
        if (isnan(zone->value))
            continue;
        cr_expect_geq(zone->value, task->enough);
        smallest = fmin(smallest, zone->value);
        weight += task->weight ? task->weight[z] : 1;
    }
    for (size_t s = 0; task->capacity && s < task->n_spots; s++)
        cr_expect(!task->capacity[s] || load[s] <= task->capacity[s]);
    for (size_t z = 0; z < task->n_zones; z++)
        for (size_t s = 0; s < task->n_spots; s++)
            if (told->zones[z].spot != EARSHOT_NONE && chosen >> told->zones[z].spot & 1 &&
                standing >> s & 1 && way(task, set, z, s) >= smallest)
                cr_expect(task->capacity && task->capacity[s] && load[s] == task->capacity[s]);
    cr_expect_eq(chosen & standing, 0);
    cr_expect_eq(told->out.n_chosen, count_bits(chosen));
    cr_expect_eq(told->out.smallest, smallest);
    cr_expect_eq(told->out.weight, weight);
}

/* No spot for an earlier one leaves the set as good. */
static void check_order(const planning_cover_task *task, const struct best *sets,
                        unsigned chosen) {
    const unsigned set = chosen | standing_of(task);
    for (size_t s = 0; s < task->n_spots; s++)
        for (size_t earlier = 0; earlier < s && chosen >> s & 1; earlier++) {
            unsigned other = (set & ~(1u << s)) | 1u << earlier;
            cr_expect(set >> earlier & 1 || is_better(&sets[set], &sets[other]), "%x, %x", set,
                      other);
        }
}

static void check_fewest(const planning_cover_task *task, const struct best *sets,
                         unsigned kind, size_t counts[2]) {
    struct told told;
    size_t n;
    const struct best best = try_all(task, sets, task->n_spots, true, &n);
    cr_assert_eq(planning_cover_fewest(task, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_OK);
    counts[told.out.enough]++;
    cr_expect(told.out.exact);
    cr_expect_eq(told.out.enough, n <= task->n_spots, "kind %u", kind);
    check_zones(task, &told);
    if (!told.out.enough) {
        cr_expect_eq(told.out.n_chosen, 0);
        cr_expect_gt(told.out.n_beyond, 0);
        return;
    }
    cr_expect_eq(told.out.n_chosen, n, "kind %u: %zu, not %zu", kind, told.out.n_chosen, n);
    cr_expect_eq(told.out.bound, n);
    cr_expect_eq(told.out.smallest, best.smallest, "kind %u: %g, not %g", kind,
                 told.out.smallest, best.smallest);
    check_order(task, sets, chosen_of(&told, task->n_spots));
}

static void check_best(const planning_cover_task *task, const struct best *sets,
                       unsigned kind) {
    for (size_t most = 0; most <= 3; most++) {
        struct told told;
        size_t n;
        const struct best best = try_all(task, sets, most, false, &n);
        cr_assert_eq(planning_cover_best(task, most, NULL, told.chosen, told.zones, &told.out),
                     EARSHOT_OK);
        check_zones(task, &told);
        cr_expect(told.out.exact);
        cr_expect_leq(told.out.n_chosen, most);
        cr_expect_eq(told.out.enough, best.n_left == 0);
        cr_expect_eq(told.out.weight, best.weight, "kind %u: %llu, not %llu", kind,
                     told.out.weight, best.weight);
        cr_expect_eq(told.out.smallest, best.smallest, "kind %u, most %zu: %g, not %g", kind,
                     most, told.out.smallest, best.smallest);
        check_order(task, sets, chosen_of(&told, task->n_spots));
    }
}

Test(cover_search, every_set_there_is) {
    static struct best sets[1 << MOST_SPOTS];
    struct small small;
    uint32_t random = 1;
    size_t counts[2] = {0};
    for (unsigned i = 0; i < N_DRAWN; i++) {
        draw_small(&small, i % N_KINDS, &random);
        for (unsigned set = 0; set < 1u << small.task.n_spots; set++)
            sets[set] = try_set(&small.task, set);
        check_fewest(&small.task, sets, i % N_KINDS, counts);
        check_best(&small.task, sets, i % N_KINDS);
    }
    /* neither kind of answer is rare */
    cr_expect(counts[0] > N_DRAWN / 10 && counts[1] > N_DRAWN / 10, "%zu, %zu", counts[0],
              counts[1]);
}

/* ---- all of it, given to GLPK ---- */

/* Suite `long` has all of them (tests/bench/same_covers.c). */
Test(cover_search, plain_glpk_needs_as_many) {
    unsigned char chosen[200];
    planning_cover_zone zones[60];
    for (unsigned i = 0; i < 8; i++) {
        covers_drawn drawn = covers_draw(60, 200, i % 2 ? 0.05 : 0.12, i != 7, i + 1);
        const planning_cover_task task = {.n_zones = 60, .n_spots = 200, .value = drawn.value};
        planning_cover out;
        cr_assert_eq(planning_cover_fewest(&task, NULL, chosen, zones, &out), EARSHOT_OK);
        cr_expect(out.enough && out.exact);
        cr_expect_eq(out.n_chosen, covers_plain(&drawn, 60), "%u", i);
        covers_free(&drawn);
    }
}

/* ---- stopped ---- */

struct patience {
    long left, asked;
    double share_done;
};

static bool lose_patience(void *who, double share_done) {
    struct patience *patience = who;
    cr_expect(share_done >= patience->share_done && share_done <= 1);
    patience->share_done = share_done;
    patience->asked++;
    return patience->left-- > 0;
}

/* Whenever it is stopped, what is told by then is true, and the optimum lies between. */
Test(cover_search, stopped_it_says_what_is_left_open) {
    covers_drawn drawn = covers_draw(40, 80, 0.12, 0, 3);
    const planning_cover_task task = {.n_zones = 40, .n_spots = 80, .value = drawn.value};
    unsigned char chosen[80];
    planning_cover_zone zones[40];
    planning_cover whole, part;
    size_t n_open = 0, n_exact = 0;
    struct patience patience = {.left = 1000000000};
    const earshot_watch watch = {lose_patience, &patience};
    cr_assert_eq(planning_cover_fewest(&task, &watch, chosen, zones, &whole), EARSHOT_OK);
    cr_assert(whole.exact);
    const long all = patience.asked;
    cr_assert_gt(all, 100);
    for (long n = 0; n < all; n += 1 + n / 2) {
        patience = (struct patience){.left = n};
        cr_assert_eq(planning_cover_fewest(&task, &watch, chosen, zones, &part), EARSHOT_OK);
        cr_expect_eq(patience.asked, n + 1, "once told to stop, nobody is asked again");
        n_exact += part.exact;
        cr_expect(part.enough);
        cr_expect(!part.exact ||
                  (part.n_chosen == whole.n_chosen && part.smallest == whole.smallest));
        cr_expect(part.bound <= whole.n_chosen && part.n_chosen >= whole.n_chosen);
        if (part.n_chosen == whole.n_chosen)
            cr_expect(part.smallest <= whole.smallest && part.smallest_bound >= whole.smallest);
        n_open += part.bound < part.n_chosen;
        for (size_t z = 0; z < 40; z++)
            cr_expect(chosen[zones[z].spot] && zones[z].value >= 0);
    }
    cr_expect(n_open > 1 && n_exact < 5, "%zu, %zu", n_open, n_exact);
    covers_free(&drawn);
}

Test(cover_search, the_best_few_can_be_stopped_too) {
    covers_drawn drawn = covers_draw(60, 200, 0.2, 0, 3);
    const planning_cover_task task = {.n_zones = 60, .n_spots = 200, .value = drawn.value};
    unsigned char chosen[200];
    planning_cover_zone zones[60];
    planning_cover whole, part;
    struct patience patience = {0};
    const earshot_watch watch = {lose_patience, &patience};
    cr_assert_eq(planning_cover_best(&task, 3, NULL, chosen, zones, &whole), EARSHOT_OK);
    for (long n = 0; n < 64; n += 1 + n) {
        patience = (struct patience){.left = n};
        cr_assert_eq(planning_cover_best(&task, 3, &watch, chosen, zones, &part), EARSHOT_OK);
        cr_expect(whole.exact && part.n_chosen <= 3);
        cr_expect(part.weight <= whole.weight && part.weight_bound >= whole.weight);
    }
    covers_free(&drawn);
}

/* ---- what nobody would set ---- */

static struct told fewest(const planning_cover_task *task) {
    struct told told;
    cr_assert_eq(planning_cover_fewest(task, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_OK);
    return told;
}

Test(cover_search, nothing_to_do) {
    const double value[] = {3, NAN, NAN, 3}, direct[] = {5, 4};
    planning_cover_task task = {.enough = 2};
    struct told told = fewest(&task);
    cr_expect(told.out.enough && told.out.exact && told.out.n_chosen == 0);
    cr_expect_eq(told.out.smallest, INFINITY);
    task.n_zones = 2; /* and no spots */
    told = fewest(&task);
    cr_expect(!told.out.enough && told.out.n_beyond == 2);
    cr_expect(isnan(told.zones[0].value) && told.zones[0].spot == EARSHOT_NONE);
    task.direct = direct;
    told = fewest(&task);
    cr_expect(told.out.enough && told.out.smallest == 4 && told.zones[0].value == 5);
    task.n_spots = 2; /* that nobody needs */
    task.value = value;
    told = fewest(&task);
    cr_expect(told.out.enough && told.out.n_chosen == 0 && told.out.smallest == 4);
}

Test(cover_search, nobody_serves_one) {
    const double value[] = {3, 4, NAN, -INFINITY, 9, 1};
    const planning_cover_task task = {.n_zones = 3, .n_spots = 2, .enough = 2, .value = value};
    struct told told = fewest(&task);
    cr_expect(!told.out.enough && told.out.n_beyond == 1 && told.out.n_chosen == 0);
    cr_assert_eq(planning_cover_best(&task, 1, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_OK);
    cr_expect(told.chosen[0] && !told.chosen[1] && told.out.weight == 2);
    cr_expect(!told.out.enough && told.zones[1].spot == EARSHOT_NONE);
    cr_assert_eq(planning_cover_best(&task, 0, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_OK);
    cr_expect(told.out.n_chosen == 0 && told.out.weight == 0 && told.out.exact);
}

/* By hand: three zones that both spots serve. Taking one each, two spots are not enough; with
 * two and one they are, and not one of them alone. */
Test(cover_search, room_for_so_many) {
    const double value[] = {3, 4, 3, 4, 3, 4};
    size_t capacity[] = {1, 1};
    planning_cover_task task = {
        .n_zones = 3, .n_spots = 2, .enough = 2, .value = value, .capacity = capacity};
    struct told told = fewest(&task);
    cr_expect(!told.out.enough && told.out.n_beyond == 1);
    capacity[0] = 2;
    told = fewest(&task);
    cr_expect(told.out.enough && told.out.n_chosen == 2 && told.out.smallest == 3);
    capacity[1] = 0; /* no limit */
    told = fewest(&task);
    cr_expect(told.out.n_chosen == 1 && told.chosen[1] && told.out.smallest == 4);
}

/* By hand: three zones that a spot which stands would serve, and has room for two of; the other
 * spot takes what is left, and no more. With room for all nobody is chosen. */
Test(cover_search, what_stands_has_room_for_so_many) {
    const double value[] = {5, 4, 5, 4, 5, 4};
    size_t capacity[] = {2, 0};
    const unsigned char stands[] = {1, 0};
    const planning_cover_task task = {.n_zones = 3,
                                      .n_spots = 2,
                                      .enough = 2,
                                      .value = value,
                                      .capacity = capacity,
                                      .stands = stands};
    struct told told = fewest(&task);
    size_t load[2] = {0};
    cr_expect(told.out.enough && told.out.n_chosen == 1 && told.chosen[1]);
    for (size_t z = 0; z < 3; z++)
        load[told.zones[z].spot]++;
    cr_expect(load[0] == 2 && load[1] == 1, "%zu, %zu", load[0], load[1]);
    cr_assert_eq(planning_cover_best(&task, 0, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_OK);
    cr_expect(told.out.n_chosen == 0 && told.out.weight == 2 && told.out.exact);
    capacity[0] = 3;
    told = fewest(&task);
    cr_expect(told.out.enough && told.out.n_chosen == 0 && told.out.smallest == 5);
}

/* By hand: a zone in the far wing, whose spot reports by the one in the middle. */
Test(cover_search, a_second_hop) {
    const double value[] = {NAN, 6}, own[] = {5, NAN}, second[] = {NAN, NAN, 3, NAN};
    planning_cover_task task = {
        .n_zones = 1, .n_spots = 2, .enough = 2, .value = value, .own = own};
    cr_expect_not(fewest(&task).out.enough);
    task.second = second;
    struct told told = fewest(&task);
    cr_expect(told.out.enough && told.out.n_chosen == 2 && told.out.smallest == 3);
    cr_expect_eq(told.zones[0].spot, 1);
}

/* Life safety counts ten times: one such zone before nine others. */
Test(cover_search, weights) {
    double value[20];
    unsigned weight[10] = {10, 1, 1, 1, 1, 1, 1, 1, 1, 1};
    for (size_t z = 0; z < 10; z++) {
        value[2 * z] = z == 0 ? NAN : 9;
        value[2 * z + 1] = z == 0 ? 3 : NAN;
    }
    planning_cover_task task = {.n_zones = 10, .n_spots = 2, .enough = 2, .value = value};
    struct told told;
    cr_assert_eq(planning_cover_best(&task, 1, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_OK);
    cr_expect(told.chosen[0] && told.out.weight == 9);
    task.weight = weight;
    cr_assert_eq(planning_cover_best(&task, 1, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_OK);
    cr_expect(told.chosen[1] && told.out.weight == 10);
}

Test(cover_search, misuse) {
    const double value[] = {3};
    struct told told;
    planning_cover_task task = {.n_zones = 1, .n_spots = 1, .enough = NAN, .value = value};
    memset(&told, 7, sizeof told);
    const struct told before = told;
    cr_expect_eq(planning_cover_fewest(NULL, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_MISUSE);
    cr_expect_eq(planning_cover_fewest(&task, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_MISUSE);
    task.enough = 2;
    task.value = NULL;
    cr_expect_eq(planning_cover_best(&task, 1, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_MISUSE);
    task.value = value;
    task.n_spots = PLANNING_COVER_MOST + 1;
    cr_expect_eq(planning_cover_best(&task, 1, NULL, told.chosen, told.zones, &told.out),
                 EARSHOT_MISUSE);
    cr_expect_eq(memcmp(&told, &before, sizeof told), 0);
}
