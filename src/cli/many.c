/* SPDX-License-Identifier: GPL-3.0-or-later */
/* many.c - earshot check of many buildings: a line each, in the order in which they were named.
 *
 * A building that is broken gets its line too, and is named again at the end. Lines are the
 * same for any number of threads, and shards are stretches of the list, so that their answers
 * one behind the other are the answer for all. Whatever stops it, only whole lines were
 * written.
 */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"
#include "text.h"

struct many {
    const cli_buildings *buildings;
    const cli_many *how;
    size_t first, n;    /* the stretch that is to be checked */
    cli_saving *saving; /* NULL: to standard output */
    cli_progress progress;
    enum cli_exit worst; /* their values rise as it gets worse */
    size_t n_broken;
    earshot_text *broken; /* a line for each that could not be judged */
};

/* ---- one building, in any thread ---- */

struct judged {
    earshot_text *line, *why;
    enum cli_exit ending;
};

static void drop_judged(void *given) {
    struct judged *judged = given;
    if (!judged)
        return;
    earshot_text_free(judged->line);
    earshot_text_free(judged->why);
    free(judged);
}

struct building {
    cli_folder folder;
    earshot_findings *findings;
    earshot_survey *survey;
    earshot_belief *belief;
};

static bool go_on(void *who, double share_done) {
    (void)who;
    (void)share_done;
    return !cli_stopped();
}

/* Loads it and merges its readings; no survey when it has errors. */
static enum earshot_status open_building(const struct many *many, struct building *building) {
    static const earshot_watch watch = {.go_on = go_on};
    cli_folder *folder = &building->folder;
    if (many->how->without_readings && !cli_drop_readings(folder))
        return EARSHOT_NO_MEMORY;
    enum earshot_status status = earshot_survey_load(folder->tables, folder->n_tables,
                                                     building->findings, &building->survey);
    if (status == EARSHOT_INVALID)
        return EARSHOT_OK;
    if (status == EARSHOT_OK)
        status = earshot_belief_fit(building->survey, NULL, &watch, building->findings,
                                    &building->belief);
    return status == EARSHOT_OK
               ? earshot_survey_doubts(building->survey, building->belief, building->findings)
               : status;
}

static bool judge(const struct many *many, const char *path, struct building *building,
                  struct judged *out) {
    size_t n_weak = 0;
    bool readable = cli_read_survey(many->how->materials, path, &building->folder);
    if (readable && open_building(many, building) != EARSHOT_OK)
        return false;
    const earshot_checked checked = {
        .folder = path,
        .survey = building->survey,
        .belief = building->belief,
        .findings = building->findings,
        .unread = readable ? NULL : earshot_text_data(building->folder.why)};
    if (earshot_checked_write(&checked, many->how->form, out->line, &n_weak, out->why) !=
        EARSHOT_OK)
        return false;
    out->ending = !readable                          ? CLI_FILE
                  : !building->survey                ? CLI_INVALID
                  : many->how->strict && n_weak != 0 ? CLI_NOT_FIRM
                                                     : CLI_DONE;
    return !earshot_text_cut(out->why);
}

/* NULL: memory ran out, or it was stopped. */
static void *work(const void *who, size_t task) {
    const struct many *many = who;
    struct building building = {.findings = earshot_findings_new(),
                                .folder = {.why = earshot_text_new()}};
    struct judged *judged = calloc(1, sizeof *judged);
    if (judged)
        *judged = (struct judged){.line = earshot_text_new(), .why = earshot_text_new()};
    if (!judged || !judged->line || !judged->why || !building.findings ||
        !building.folder.why ||
        !judge(many, many->buildings->paths[many->first + task], &building, judged)) {
        drop_judged(judged);
        judged = NULL;
    }
    earshot_belief_free(building.belief);
    earshot_survey_free(building.survey);
    earshot_findings_free(building.findings);
    earshot_text_free(building.folder.why);
    cli_free_folder(&building.folder);
    return judged;
}

/* ---- their lines, in order ---- */

/* A line that was begun is ended, whoever asks to stop. */
static bool print_line(const char *line, size_t size) {
    size_t done = 0;
    while (done < size) {
        ssize_t n = write(STDOUT_FILENO, line + done, size - done);
        if (n < 0 && errno == EINTR && !(cli_stopped() && done == 0))
            continue;
        if (n <= 0)
            return false;
        done += (size_t)n;
    }
    return true;
}

static bool put(struct many *many, const char *line, size_t size) {
    if (many->saving)
        return cli_save_add(many->saving, line, size);
    if (print_line(line, size))
        return true;
    if (!cli_stopped())
        fprintf(stderr, "earshot: the answer could not be written to standard output\n");
    many->worst = CLI_FILE;
    return false;
}

/* "12,345". */
static const char *grouped(size_t count, char out[32]) {
    char digits[24];
    size_t n = (size_t)snprintf(digits, sizeof digits, "%zu", count), at = 0;
    for (size_t i = 0; i < n; i++) {
        if (i > 0 && (n - i) % 3 == 0)
            out[at++] = ',';
        out[at++] = digits[i];
    }
    out[at] = '\0';
    return out;
}

static void show_progress(struct many *many, size_t done) {
    char line[80], left[32], right[32];
    if (!cli_progress_due(&many->progress))
        return;
    snprintf(line, sizeof line, "checked %s of %s", grouped(done, left),
             grouped(many->n, right));
    cli_progress_show(&many->progress, line);
}

static void remember_broken(struct many *many, const char *path, const struct judged *judged) {
    many->n_broken++;
    text_add(many->broken, "  ");
    text_add_in_line(many->broken, path);
    text_add(many->broken, ": ");
    text_add(many->broken, earshot_text_data(judged->why));
    text_add(many->broken, "\n");
}

static bool hand(void *who, size_t task, void *result) {
    struct many *many = who;
    struct judged *judged = result;
    if (!judged) {
        many->worst = cli_stopped() ? CLI_STOPPED : cli_status(EARSHOT_NO_MEMORY);
        return false;
    }
    if (judged->ending > many->worst)
        many->worst = judged->ending;
    if (judged->ending >= CLI_INVALID)
        remember_broken(many, many->buildings->paths[many->first + task], judged);
    bool good = put(many, earshot_text_data(judged->line), earshot_text_size(judged->line));
    drop_judged(judged);
    show_progress(many, task + 1);
    return good;
}

static void tell_broken(const struct many *many) {
    char left[32], right[32];
    if (many->n_broken == 0)
        return;
    fprintf(stderr, "%s of %s not judged:\n%s", grouped(many->n_broken, left),
            grouped(many->n, right), earshot_text_data(many->broken));
    fprintf(stderr, "for all faults of one: earshot check FOLDER --all-faults\n");
}

/* ---- all of them ---- */

/* The header stands above the first shard only, so that shards one behind the other are one
 * table. */
static bool put_header(struct many *many) {
    const char *header = earshot_checked_header(many->how->form);
    return many->how->shard > 1 || put(many, header, strlen(header));
}

static enum cli_exit check_all(struct many *many) {
    const cli_jobs jobs = {.n_tasks = many->n,
                           .n_threads = many->how->n_jobs,
                           .work = work,
                           .hand = hand,
                           .drop = drop_judged,
                           .who = many};
    enum cli_exit done = put_header(many) ? cli_do_jobs(&jobs) : CLI_STOPPED;
    return done == CLI_INTERNAL ? done : many->worst;
}

static enum cli_exit save_all(struct many *many) {
    cli_saving saving;
    enum cli_exit result = CLI_FILE;
    many->saving = &saving;
    bool good = cli_save_begin(many->how->out, &saving);
    if (good)
        result = check_all(many);
    bool whole = good && result < CLI_INTERNAL && !saving.why;
    return cli_save_end(&saving, whole) || !whole ? result : CLI_FILE;
}

static enum cli_exit run(struct many *many) {
    const char *out = many->how->out;
    cli_progress_begin("checking", &many->progress);
    /* Lines that come on the same terminal are progress enough. */
    many->progress.seen = many->progress.seen && (out || !isatty(STDOUT_FILENO));
    enum cli_exit result = out ? save_all(many) : check_all(many);
    cli_progress_end(&many->progress);
    if (result < CLI_INTERNAL)
        tell_broken(many);
    return result;
}

static bool materials_are_readable(const char *materials) {
    cli_folder folder = {0};
    bool good = !materials || cli_read_materials(materials, &folder);
    cli_free_folder(&folder);
    return good;
}

enum cli_exit cli_check_many(const cli_buildings *buildings, const cli_many *how) {
    size_t first = buildings->n * (how->shard - 1) / how->n_shards;
    size_t end = buildings->n * how->shard / how->n_shards;
    struct many many = {.buildings = buildings,
                        .how = how,
                        .first = first,
                        .n = end - first,
                        .broken = earshot_text_new()};
    if (!many.broken)
        return cli_status(EARSHOT_NO_MEMORY);
    enum cli_exit result = materials_are_readable(how->materials) ? run(&many) : CLI_FILE;
    earshot_text_free(many.broken);
    return result;
}
