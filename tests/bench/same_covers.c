/* SPDX-License-Identifier: GPL-3.0-or-later */
/* same_covers.c - the fewest spots by our cover against GLPK with all of it as it stands, on 24
 * covers of 60 zones by 200 spots and 6 of 200 by 600; and how much longer ours takes, first
 * for the count, then with the best worst zone, which the plain program does not look for.
 * Last, a few that neither may settle, with what ours says is left open.
 *
 *     same_covers LIMIT_S
 *
 * Ends with 1 when a count differs, or one that was proven lies outside the other's bounds.
 */
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "cover.h"
#include "covers.h"

struct run {
    size_t n_chosen, bound;
    bool exact;
    double smallest, smallest_bound;
    double plain_s, ours_s;
    size_t plain;
};

static double now_s(void) {
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    return (double)at.tv_sec + (double)at.tv_nsec * 1e-9;
}

static bool in_time(void *until, double share_done) {
    (void)share_done;
    return now_s() < *(const double *)until;
}

static struct run measure(const covers_drawn *drawn, double limit_s) {
    unsigned char *chosen = malloc(drawn->n_spots);
    planning_cover_zone *zones = malloc(drawn->n_zones * sizeof *zones);
    const planning_cover_task task = {
        .n_zones = drawn->n_zones, .n_spots = drawn->n_spots, .value = drawn->value};
    planning_cover out;
    struct run run = {.plain_s = now_s()};
    run.plain = covers_plain(drawn, limit_s);
    run.ours_s = now_s();
    run.plain_s = run.ours_s - run.plain_s;
    double until = run.ours_s + limit_s;
    const earshot_watch watch = {in_time, &until};
    if (planning_cover_fewest(&task, &watch, chosen, zones, &out) != EARSHOT_OK ||
        !out.enough) {
        fprintf(stderr, "same_covers: no cover\n");
        exit(1);
    }
    run.ours_s = now_s() - run.ours_s;
    run.n_chosen = out.n_chosen;
    run.bound = out.bound;
    run.exact = out.exact;
    run.smallest = out.smallest;
    run.smallest_bound = out.smallest_bound;
    free(chosen);
    free(zones);
    return run;
}

static bool is_off(const struct run *run) {
    return run->plain && (run->plain < run->bound || run->plain > run->n_chosen);
}

/* By shares of zones that a spot serves. Walls and luck are drawn apart for each. */
static size_t compare(size_t n_zones, size_t n_spots, unsigned n, double limit_s) {
    static const double shares[] = {0.05, 0.12, 0.2};
    double plain_s = 0, ours_s = 0;
    size_t n_off = 0, n_exact = 0, n_plain = 0;
    for (unsigned i = 0; i < n; i++) {
        covers_drawn drawn = covers_draw(n_zones, n_spots, shares[i % 3], 1, i + 1);
        struct run run = measure(&drawn, limit_s);
        covers_free(&drawn);
        n_off += is_off(&run);
        n_exact += run.exact;
        n_plain += run.plain > 0;
        plain_s += run.plain_s;
        ours_s += run.ours_s;
    }
    printf("%zu x %zu: %u covers, %zu settled by the plain program, %zu by ours with the worst "
           "zone too, %zu differ; %.4f s and %.4f s each, %.2f times\n",
           n_zones, n_spots, n, n_plain, n_exact, n_off, plain_s / n, ours_s / n,
           ours_s / plain_s);
    return n_off + (n - n_exact) + (n - n_plain);
}

static size_t compare_hard(double limit_s) {
    size_t n_off = 0;
    for (unsigned i = 0; i < 2; i++) {
        covers_drawn drawn = covers_draw(200, 600, i ? 0.06 : 0.1, 0, i + 1);
        struct run run = measure(&drawn, limit_s);
        covers_free(&drawn);
        n_off += is_off(&run);
        printf(
            "by luck alone, 200 x 600: plain %zu in %.1f s; ours %zu, and no fewer than %zu, "
            "worst zone %.2f, %.2f at most, in %.1f s\n",
            run.plain, run.plain_s, run.n_chosen, run.bound, run.smallest, run.smallest_bound,
            run.ours_s);
    }
    return n_off;
}

int main(int argc, char **argv) {
    double limit_s = argc == 2 ? atof(argv[1]) : 0;
    if (limit_s <= 0) {
        fprintf(stderr, "same_covers: say after how many seconds to stop\n");
        return 1;
    }
    size_t n_off = compare(60, 200, 24, limit_s);
    n_off += compare(200, 600, 6, limit_s);
    n_off += compare_hard(limit_s);
    return n_off > 0;
}
