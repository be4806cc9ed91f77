/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_jobs.c - tasks in threads are handed over in order, each once, whatever their number and
 * however long each takes; none is worked out far ahead, and none is lost when it stops.
 */
#include "cli.h"

#include <criterion/criterion.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct seen {
    atomic_size_t n_worked, n_handed, most_ahead;
    size_t slow;       /* the task that takes long; SIZE_MAX: none */
    size_t stop_at;    /* where `hand` has enough */
    int signal_number; /* raised there instead; 0: none */
};

static void pause_ms(long ms) {
    nanosleep(&(const struct timespec){.tv_nsec = ms * 1000000}, NULL);
}

/* A task's result is its number. Some take longer than those behind them. */
static void *work(const void *who, size_t task) {
    struct seen *seen = (struct seen *)who;
    size_t *result = malloc(sizeof *result);
    if (task == seen->slow)
        pause_ms(200);
    for (volatile size_t i = 0; i < task * 7919 % 5000; i++)
        ;
    size_t ahead = ++seen->n_worked - seen->n_handed, most = seen->most_ahead;
    while (ahead > most && !atomic_compare_exchange_weak(&seen->most_ahead, &most, ahead))
        ;
    *result = task;
    return result;
}

static bool hand(void *who, size_t task, void *result) {
    struct seen *seen = who;
    cr_assert_eq(*(size_t *)result, task);
    cr_assert_eq(seen->n_handed, task, "not in order");
    seen->n_handed++;
    free(result);
    if (task == seen->stop_at && seen->signal_number)
        raise(seen->signal_number);
    return task != seen->stop_at || seen->signal_number;
}

/* `drop` has no `who`, and each test is a process of its own. */
static atomic_size_t n_dropped;

static void drop(void *result) {
    n_dropped++;
    free(result);
}

static enum cli_exit run(struct seen *seen, size_t n_tasks, size_t n_threads) {
    const cli_jobs jobs = {.n_tasks = n_tasks,
                           .n_threads = n_threads,
                           .work = work,
                           .hand = hand,
                           .drop = drop,
                           .who = seen};
    n_dropped = 0;
    return cli_do_jobs(&jobs);
}

Test(jobs, in_order_for_any_number_of_threads) {
    static const size_t threads[] = {1, 2, 3, 8, 50}, tasks[] = {0, 1, 2, 7, 5000};
    for (size_t i = 0; i < COUNT(threads); i++)
        for (size_t j = 0; j < COUNT(tasks); j++) {
            struct seen seen = {.slow = SIZE_MAX, .stop_at = SIZE_MAX};
            cr_expect_eq(run(&seen, tasks[j], threads[i]), CLI_DONE);
            cr_expect_eq(seen.n_handed, tasks[j]);
            cr_expect_eq(seen.n_worked, tasks[j]);
            cr_expect_eq(n_dropped, 0);
        }
}

/* One slow task holds up the rest; memory must not follow. 1,024 results wait at most. */
Test(jobs, none_is_worked_out_far_ahead) {
    struct seen seen = {.slow = 3, .stop_at = SIZE_MAX};
    cr_expect_eq(run(&seen, 20000, 4), CLI_DONE);
    cr_expect_eq(seen.n_handed, 20000);
    cr_expect_leq(seen.most_ahead, 1024 + 4);
    cr_expect_geq(seen.most_ahead, 1000, "nothing had to wait: %zu", seen.most_ahead);
}

Test(jobs, enough_is_enough_and_nothing_is_lost) {
    struct seen seen = {.slow = SIZE_MAX, .stop_at = 100};
    cr_expect_eq(run(&seen, 5000, 4), CLI_STOPPED);
    cr_expect_eq(seen.n_handed, 101);
    cr_expect_eq(seen.n_worked, seen.n_handed + n_dropped);
}

Test(jobs, a_signal_ends_it) {
    pid_t child = fork();
    int status;
    if (child == 0) {
        struct seen seen = {.slow = 101, .stop_at = 100, .signal_number = SIGTERM};
        cli_heed_signals();
        cli_hold();
        bool good = run(&seen, 5000, 4) == CLI_STOPPED && seen.n_handed == 101 &&
                    seen.n_worked == seen.n_handed + n_dropped;
        if (!good)
            _exit(1);
        cli_let_go();
        _exit(2); /* not reached */
    }
    cr_assert_eq(waitpid(child, &status, 0), child);
    cr_expect(WIFEXITED(status) && WEXITSTATUS(status) == CLI_STOPPED, "%x", status);
}

Test(jobs, how_many) {
    static const struct {
        const char *option;
        size_t n;
    } rows[] = {{"1", 1}, {"1024", 1024}, {"1025", 0}, {"0", 0},
                {"x", 0}, {"", 0},        {"-1", 0},   {"2 ", 0}};
    for (size_t i = 0; i < COUNT(rows); i++)
        cr_expect_eq(cli_count_jobs(rows[i].option), rows[i].n, "'%s'", rows[i].option);
    cr_expect_geq(cli_count_jobs(NULL), 1);
}
