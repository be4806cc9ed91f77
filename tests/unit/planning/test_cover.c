/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_cover.c - GLPK kept in its place: it never ends the process, prints nothing, leaves
 * nothing behind, and leaves a host's own use of it alone.
 *
 * The program is linked with GLPK's archive where there is one, so that its allocations fail
 * like ours; its own limit of memory makes them fail everywhere.
 */
#include "cover.h"
#include "covers.h"
#include "shortage.h"

#include <criterion/criterion.h>
#include <criterion/redirect.h>
#include <glpk.h>
#include <pthread.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { N_ZONES = 30, N_SPOTS = 40 };

struct told {
    unsigned char chosen[N_SPOTS];
    planning_cover_zone zones[N_ZONES];
    planning_cover out;
};

/* Nothing that the bounds alone would settle: GLPK must be asked. By luck alone, and with room.
 */
static enum earshot_status solve(const covers_drawn *drawn, struct told *told) {
    static const size_t capacity[N_SPOTS] = {5, 5, 5, 5};
    const planning_cover_task task = {.n_zones = drawn->n_zones,
                                      .n_spots = drawn->n_spots,
                                      .value = drawn->value,
                                      .capacity = capacity};
    return planning_cover_fewest(&task, NULL, told->chosen, told->zones, &told->out);
}

static covers_drawn draw_small(void) {
    return covers_draw(N_ZONES, N_SPOTS, 0.15, 0, 4);
}

/* GLPK forgets a block that could not grow (dma in its env/alloc.c). What it does not forget
 * goes with its environment, and that this is gone is looked at below. */
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void) {
    return "leak:dma\n";
}

static void expect_no_environment(void) {
    cr_assert_eq(glp_init_env(), 0, "there was none");
    glp_free_env();
}

static void expect_still(void) {
    fflush(stdout);
    cr_assert_stdout_eq_str("");
}

/* The state of GLPK is by thread: this is what everything here stands on. */
Test(cover, glpk_is_built_for_threads) {
    cr_expect_not_null(glp_config("TLS"));
}

/* Each allocation in turn, ours and GLPK's: no memory, nothing written, nothing printed, and
 * what was there is given back. */
Test(cover, short_of_memory) {
    covers_drawn drawn = draw_small();
    struct told told, before, after;
    cr_redirect_stdout();
    cr_assert_eq(solve(&drawn, &before), EARSHOT_OK);
    memset(&told, 7, sizeof told);
    memcpy(&after, &told, sizeof told);
    long n = 0;
    enum earshot_status status = EARSHOT_NO_MEMORY;
    for (; status != EARSHOT_OK; n++) {
        shortage_begin(n);
        status = solve(&drawn, &told);
        const long n_refused = shortage_end();
        cr_assert_eq(n_refused == 0, status == EARSHOT_OK);
        cr_assert(status == EARSHOT_OK || status == EARSHOT_NO_MEMORY);
        cr_assert(status == EARSHOT_OK || memcmp(&told, &after, sizeof told) == 0);
        expect_no_environment();
    }
    cr_expect_geq(n, GLPK_INSIDE ? 100 : 8);
    cr_expect_eq(memcmp(told.chosen, before.chosen, sizeof told.chosen), 0);
    covers_free(&drawn);
    expect_still();
}

/* A host that uses GLPK itself, and has left it less and more memory to be had: each time it
 * finds its own as it was. */
Test(cover, a_host_of_glpk_short_of_memory) {
    enum { LIMIT = 1 << 20, HOSTS_OWN = 40000, STEP = 997 };
    covers_drawn drawn = draw_small();
    struct told told;
    size_t n_short = 0, n_done = 0;
    cr_redirect_stdout();
    for (int left = STEP; n_done < 3 && left < LIMIT - HOSTS_OWN; left += STEP) {
        glp_init_env();
        glp_mem_limit(1);
        glp_prob *hosts = glp_create_prob();
        glp_add_cols(hosts, 3);
        void *ballast = glp_alloc(1, LIMIT - HOSTS_OWN - left);
        enum earshot_status status = solve(&drawn, &told);
        n_short += status == EARSHOT_NO_MEMORY;
        n_done += status == EARSHOT_OK;
        cr_assert_eq(glp_get_num_cols(hosts), 3);
        cr_assert_eq(glp_term_out(GLP_OFF), GLP_ON, "as it was");
        glp_free(ballast);
        glp_delete_prob(hosts);
        glp_free_env();
    }
    cr_expect(n_short >= 10 && n_done == 3, "%zu, %zu", n_short, n_done);
    covers_free(&drawn);
    expect_still();
}

/* Nothing is left in the thread that was not there. */
Test(cover, leaves_no_environment) {
    covers_drawn drawn = draw_small();
    struct told told;
    cr_assert_eq(solve(&drawn, &told), EARSHOT_OK);
    expect_no_environment();
    covers_free(&drawn);
}

static void *solve_often(void *all) {
    const covers_drawn *drawn = all;
    struct told *told = malloc(sizeof *told);
    for (int i = 0; told && i < 5; i++)
        if (solve(drawn, told) != EARSHOT_OK)
            told->out.n_chosen = SIZE_MAX;
    return told;
}

Test(cover, the_same_in_two_threads) {
    covers_drawn drawn = draw_small();
    struct told here;
    pthread_t threads[2];
    cr_assert_eq(solve(&drawn, &here), EARSHOT_OK);
    for (int i = 0; i < 2; i++)
        cr_assert_eq(pthread_create(&threads[i], NULL, solve_often, &drawn), 0);
    for (int i = 0; i < 2; i++) {
        void *there = NULL;
        pthread_join(threads[i], &there);
        cr_assert_not_null(there);
        const struct told *told = there;
        cr_expect_eq(told->out.n_chosen, here.out.n_chosen);
        cr_expect_eq(memcmp(told->chosen, here.chosen, sizeof here.chosen), 0);
        free(there);
    }
    covers_free(&drawn);
}
