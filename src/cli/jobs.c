/* SPDX-License-Identifier: GPL-3.0-or-later */
/* jobs.c - numbered tasks done by several threads, their results handed over in order.
 *
 * Whoever starts them gets all results in its own thread, task 0 first, so that what it writes
 * is the same for any number of threads. A result that is early waits in a ring; a thread that
 * is a ring's length ahead of the one slow task waits too, so that memory does not grow with
 * the number of tasks.
 */
#define _GNU_SOURCE /* which processors this process may use */
#include <pthread.h>
#include <sched.h>
#include <signal.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "cli.h"

enum { RING = 1024 }; /* results of a kilobyte or so */

struct slot {
    void *result;
    bool full;
};

struct crew {
    const cli_jobs *jobs;
    pthread_mutex_t lock;          /* of all that follows */
    pthread_cond_t moved, arrived; /* the ring has room; the next result is there */
    size_t next, handed;           /* tasks taken up, and handed over */
    bool enough;                   /* take up no more */
    struct slot ring[RING];
};

/* The next task; false when there is none, or no more are wanted. */
static bool take_up(struct crew *crew, size_t *task) {
    pthread_mutex_lock(&crew->lock);
    while (!crew->enough && crew->next < crew->jobs->n_tasks &&
           crew->next >= crew->handed + RING)
        pthread_cond_wait(&crew->moved, &crew->lock);
    bool more = !crew->enough && crew->next < crew->jobs->n_tasks;
    if (more)
        *task = crew->next++;
    pthread_mutex_unlock(&crew->lock);
    return more;
}

static void put_down(struct crew *crew, size_t task, void *result) {
    pthread_mutex_lock(&crew->lock);
    crew->ring[task % RING] = (struct slot){.result = result, .full = true};
    if (task == crew->handed)
        pthread_cond_signal(&crew->arrived);
    pthread_mutex_unlock(&crew->lock);
}

static void *labor(void *given) {
    struct crew *crew = given;
    size_t task;
    while (take_up(crew, &task))
        put_down(crew, task, crew->jobs->work(crew->jobs->who, task));
    return NULL;
}

/* Waits for the next result in order; false when the person at the keyboard has had enough. A
 * signal does not end the wait, so it looks up now and then. */
static bool await(struct crew *crew, void **result) {
    struct slot *slot = &crew->ring[crew->handed % RING];
    pthread_mutex_lock(&crew->lock);
    while (!slot->full && !cli_stopped()) {
        struct timespec until;
        clock_gettime(CLOCK_MONOTONIC, &until);
        until.tv_nsec += 100000000;
        until.tv_sec += until.tv_nsec / 1000000000;
        until.tv_nsec %= 1000000000;
        pthread_cond_timedwait(&crew->arrived, &crew->lock, &until);
    }
    bool there = slot->full && !cli_stopped();
    if (there) {
        *result = slot->result;
        slot->full = false;
    }
    pthread_mutex_unlock(&crew->lock);
    return there;
}

static bool hand_over_all(struct crew *crew) {
    const cli_jobs *jobs = crew->jobs;
    void *result;
    bool good = true;
    while (good && crew->handed < jobs->n_tasks && await(crew, &result)) {
        good = jobs->hand(jobs->who, crew->handed, result);
        pthread_mutex_lock(&crew->lock);
        crew->handed++;
        pthread_cond_broadcast(&crew->moved);
        pthread_mutex_unlock(&crew->lock);
    }
    return good && crew->handed == jobs->n_tasks;
}

static void send_home(struct crew *crew, const pthread_t *threads, size_t n_threads) {
    pthread_mutex_lock(&crew->lock);
    crew->enough = true;
    pthread_cond_broadcast(&crew->moved);
    pthread_mutex_unlock(&crew->lock);
    for (size_t i = 0; i < n_threads; i++)
        pthread_join(threads[i], NULL);
    for (size_t i = 0; i < RING; i++)
        if (crew->ring[i].full)
            crew->jobs->drop(crew->ring[i].result);
}

/* How many threads could be started. Signals stay with the one who called. */
static size_t start(struct crew *crew, pthread_t *threads, size_t n_threads) {
    sigset_t all, old;
    size_t n = 0;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &old);
    while (n < n_threads && pthread_create(&threads[n], NULL, labor, crew) == 0)
        n++;
    pthread_sigmask(SIG_SETMASK, &old, NULL);
    return n;
}

static enum cli_exit run(struct crew *crew, pthread_t *threads) {
    size_t wanted = crew->jobs->n_threads, n_tasks = crew->jobs->n_tasks;
    size_t n = start(crew, threads, wanted < n_tasks ? wanted : n_tasks);
    bool done = (n > 0 || n_tasks == 0) && hand_over_all(crew);
    send_home(crew, threads, n);
    return done ? CLI_DONE : n == 0 ? cli_status(EARSHOT_NO_MEMORY) : CLI_STOPPED;
}

enum cli_exit cli_do_jobs(const cli_jobs *jobs) {
    struct crew *crew = calloc(1, sizeof *crew);
    pthread_t *threads = calloc(jobs->n_threads + 1, sizeof *threads);
    enum cli_exit result = CLI_INTERNAL;
    if (crew && threads) {
        pthread_condattr_t steady; /* not a clock that somebody sets */
        crew->jobs = jobs;
        pthread_condattr_init(&steady);
        pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
        pthread_mutex_init(&crew->lock, NULL);
        pthread_cond_init(&crew->moved, NULL);
        pthread_cond_init(&crew->arrived, &steady);
        result = run(crew, threads);
        pthread_cond_destroy(&crew->arrived);
        pthread_cond_destroy(&crew->moved);
        pthread_mutex_destroy(&crew->lock);
        pthread_condattr_destroy(&steady);
    } else {
        result = cli_status(EARSHOT_NO_MEMORY);
    }
    free(threads);
    free(crew);
    return result;
}

/* Those that this process may run on: a cluster gives it fewer than the machine has. */
static size_t count_processors(void) {
    cpu_set_t usable;
    if (sched_getaffinity(0, sizeof usable, &usable) == 0)
        return (size_t)CPU_COUNT(&usable);
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n > 0 ? (size_t)n : 1;
}

size_t cli_count_jobs(const char *option) {
    char *end;
    if (!option)
        return count_processors() < CLI_MOST_JOBS ? count_processors() : CLI_MOST_JOBS;
    unsigned long n = strtoul(option, &end, 10);
    return *end || option[0] < '0' || option[0] > '9' || n > CLI_MOST_JOBS ? 0 : n;
}
