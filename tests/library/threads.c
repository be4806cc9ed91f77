/* SPDX-License-Identifier: GPL-3.0-or-later */
/* threads.c - a host with two threads: threads SURVEY SURVEY
 *
 * Two threads load and judge different surveys at once, and then report on one survey object
 * that they share; each must get the bytes that it gets alone. Meant for the thread sanitizer
 * (sh tests/run), which sees what the bytes do not show.
 */
#include <pthread.h>
#include <stdio.h>
#include <string.h>

#include "host.h"

/* One thread's work: a folder to load, or a loaded survey to share, and what must come out. */
struct work {
    pthread_barrier_t *start;
    const host_folder *folder;
    const host_survey *shared;
    const earshot_text *wanted;
    bool same;
};

static earshot_text *new_text(void) {
    earshot_text *text = earshot_text_new();
    host_expect(text, "memory ran out");
    return text;
}

static earshot_text *report(const host_folder *folder) {
    earshot_text *text = new_text();
    host_survey loaded = host_load(folder);
    host_write_survey(&loaded, text);
    host_free(&loaded);
    host_write_words(text);
    return text;
}

static earshot_text *report_shared(const host_survey *shared) {
    earshot_text *text = new_text();
    host_write_survey(shared, text);
    host_write_words(text);
    return text;
}

static void *run(void *given) {
    struct work *work = given;
    pthread_barrier_wait(work->start);
    earshot_text *text = work->shared ? report_shared(work->shared) : report(work->folder);
    size_t size = earshot_text_size(text);
    work->same = size == earshot_text_size(work->wanted) &&
                 memcmp(earshot_text_data(text), earshot_text_data(work->wanted), size) == 0;
    earshot_text_free(text);
    return NULL;
}

/* Both at once; true when each got what it wanted. */
static bool run_both(struct work work[2]) {
    pthread_barrier_t start;
    pthread_t threads[2];
    pthread_barrier_init(&start, NULL, 2);
    for (int i = 0; i < 2; i++) {
        work[i].start = &start;
        host_expect(pthread_create(&threads[i], NULL, run, &work[i]) == 0, "no thread");
    }
    for (int i = 0; i < 2; i++)
        pthread_join(threads[i], NULL);
    pthread_barrier_destroy(&start);
    return work[0].same && work[1].same;
}

int main(int argc, char **argv) {
    host_expect(argc == 3, "usage: threads SURVEY SURVEY");
    host_folder folders[2];
    earshot_text *wanted[2];
    for (int i = 0; i < 2; i++) {
        folders[i] = host_read_folder(argv[i + 1]);
        wanted[i] = report(&folders[i]);
        host_expect(earshot_text_size(wanted[i]) > 0, "no report");
    }
    host_expect(run_both((struct work[2]){{.folder = &folders[0], .wanted = wanted[0]},
                                          {.folder = &folders[1], .wanted = wanted[1]}}),
                "two surveys in two threads: another answer than one after the other");
    host_survey shared = host_load(&folders[0]);
    host_expect(run_both((struct work[2]){{.shared = &shared, .wanted = wanted[0]},
                                          {.shared = &shared, .wanted = wanted[0]}}),
                "one survey in two threads: another answer than in one");
    host_free(&shared);
    for (int i = 0; i < 2; i++) {
        earshot_text_free(wanted[i]);
        host_free_folder(&folders[i]);
    }
    return 0;
}
