/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_save.c - whoever is killed while writing leaves the old file or the new, never a part.
 *
 * A child process is killed (SIGKILL, as `kill -9`) before its n-th call of write, fsync,
 * close, rename or mkdir, for every n there is, and the parent looks at what is left. Writes
 * are cut to a few bytes each, so that there are many. Stopped in the same places (Ctrl-C), it
 * leaves nothing beside either, and says so by its end.
 */
#include "cli.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* ---- system calls, counted ---- */

static long left = -1; /* calls until the end; -1: never */
static int at_the_end = SIGKILL;
static bool full; /* no room on the disk */

static void count(void) {
    if (left == 0)
        raise(at_the_end);
    left -= left > 0;
}

/* The linker gives the names: --wrap=write and so on. */
ssize_t __real_write(int file, const void *data, size_t size);
int __real_fsync(int file);
int __real_close(int file);
int __real_rename(const char *from, const char *to);
int __real_mkdir(const char *path, mode_t mode);
ssize_t __wrap_write(int file, const void *data, size_t size);
int __wrap_fsync(int file);
int __wrap_close(int file);
int __wrap_rename(const char *from, const char *to);
int __wrap_mkdir(const char *path, mode_t mode);

ssize_t __wrap_write(int file, const void *data, size_t size) {
    count();
    return full ? -1 : __real_write(file, data, size < 7 ? size : 7);
}
int __wrap_fsync(int file) {
    count();
    return __real_fsync(file);
}
int __wrap_close(int file) {
    count();
    return __real_close(file);
}
int __wrap_rename(const char *from, const char *to) {
    count();
    return __real_rename(from, to);
}
int __wrap_mkdir(const char *path, mode_t mode) {
    count();
    return __real_mkdir(path, mode);
}

/* ---- what is left ---- */

static const char old_text[] = "what stood there before\n";
static const char new_text[] = "the new answer, which is quite a bit longer than the old one\n";

static char folder[] = "/tmp/earshot-save-XXXXXX";

static const char *path_of(const char *name) {
    static char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void put(const char *path, const char *text) {
    FILE *out = fopen(path, "w");
    cr_assert(out && fputs(text, out) >= 0 && fclose(out) == 0);
}

static bool holds(const char *path, const char *text) {
    char bytes[200];
    FILE *in = fopen(path, "r");
    size_t n = in ? fread(bytes, 1, sizeof bytes, in) : 0;
    if (in)
        fclose(in);
    return in && n == strlen(text) && memcmp(bytes, text, n) == 0;
}

/* How a child ended that `save`s and gets a signal before its n-th call. */
static int end_of(long n, int signal_number, bool (*save)(void)) {
    pid_t child = fork();
    int status;
    cr_assert_geq(child, 0);
    if (child == 0) {
        cli_heed_signals();
        left = n;
        at_the_end = signal_number;
        _exit(save() ? 0 : 1);
    }
    cr_assert_eq(waitpid(child, &status, 0), child);
    return status;
}

/* False when it came to its own end. */
static bool killed_at(long n, bool (*save)(void)) {
    int status = end_of(n, SIGKILL, save);
    if (WIFSIGNALED(status)) {
        cr_assert_eq(WTERMSIG(status), SIGKILL);
        return true;
    }
    cr_assert_eq(WEXITSTATUS(status), 0, "not killed, and not saved");
    return false;
}

/* Signals by default: whoever started the tests may have some ignored, as nohup does. */
static void make_folder(void) {
    signal(SIGINT, SIG_DFL);
    signal(SIGHUP, SIG_DFL);
    cr_assert_not_null(mkdtemp(folder));
}

static void clear_folder(void) {
    char command[200];
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    cr_assert_eq(system(command), 0);
}

TestSuite(save, .init = make_folder, .fini = clear_folder);

static bool save_file(void) {
    return cli_save_file(path_of("answer.json"), new_text, strlen(new_text));
}

Test(save, killed_at_any_call_leaves_old_or_new) {
    long n_old = 0, n_new = 0, n = 0;
    bool killed = true;
    for (; killed; n++) {
        put(path_of("answer.json"), old_text);
        killed = killed_at(n, save_file);
        bool is_old = holds(path_of("answer.json"), old_text);
        bool is_new = holds(path_of("answer.json"), new_text);
        cr_assert(is_old || is_new, "a part was left after %ld calls", n);
        n_old += is_old;
        n_new += is_new;
    }
    cr_assert_gt(n_old, 8, "the writing was not interrupted: %ld", n_old);
    cr_assert_gt(n_new, 1, "nothing came after the new name: %ld", n_new);
}

Test(save, a_first_file_is_whole_or_not_there) {
    bool killed = true;
    for (long n = 0; killed; n++) {
        unlink(path_of("answer.json"));
        killed = killed_at(n, save_file);
        cr_assert(access(path_of("answer.json"), F_OK) != 0 ||
                      holds(path_of("answer.json"), new_text),
                  "a part was left after %ld calls", n);
    }
}

static char site_name[] = "site.csv", walls_name[] = "walls.csv";
static char mounts_name[] = "materials/mounts.csv";
static earshot_bytes tables[] = {{site_name, old_text, sizeof old_text - 1},
                                 {walls_name, new_text, sizeof new_text - 1},
                                 {mounts_name, new_text, sizeof new_text - 1}};

static bool save_tables(void) {
    return cli_save_folder(path_of("house"), &(cli_folder){.tables = tables, .n_tables = 3});
}

static bool house_is_whole(void) {
    return holds(path_of("house/site.csv"), old_text) &&
           holds(path_of("house/walls.csv"), new_text) &&
           holds(path_of("house/materials/mounts.csv"), new_text);
}

static void remove_house(void) {
    unlink(path_of("house/site.csv"));
    unlink(path_of("house/walls.csv"));
    unlink(path_of("house/materials/mounts.csv"));
    rmdir(path_of("house/materials"));
    rmdir(path_of("house"));
}

Test(save, a_folder_has_all_its_tables_or_is_not_there) {
    bool killed = true;
    long n_none = 0;
    for (long n = 0; killed; n++) {
        killed = killed_at(n, save_tables);
        bool whole = house_is_whole();
        bool none = access(path_of("house"), F_OK) != 0;
        cr_assert(whole || none, "half a folder after %ld calls", n);
        n_none += none;
        if (whole)
            remove_house();
    }
    cr_assert_gt(n_none, 10);
}

Test(save, a_full_disk_leaves_the_old_file_and_nothing_beside) {
    put(path_of("answer.json"), old_text);
    full = true;
    cr_assert_not(save_file());
    cr_assert_not(save_tables());
    full = false;
    cr_assert(holds(path_of("answer.json"), old_text));
    unlink(path_of("answer.json"));
    cr_assert_eq(rmdir(folder), 0, "something was left beside");
    cr_assert_eq(__real_mkdir(folder, 0700), 0);
}

Test(save, a_link_stays_one_and_the_mode_is_kept) {
    struct stat status;
    put(path_of("answer.json"), old_text);
    cr_assert_eq(chmod(path_of("answer.json"), 0640), 0);
    char target[200];
    strcpy(target, path_of("answer.json"));
    cr_assert_eq(symlink(target, path_of("link")), 0);
    cr_assert(cli_save_file(path_of("link"), new_text, strlen(new_text)));
    cr_assert(holds(target, new_text));
    cr_assert(lstat(path_of("link"), &status) == 0 && S_ISLNK(status.st_mode));
    cr_assert(stat(target, &status) == 0 && (status.st_mode & 0777) == 0640);
}

Test(save, a_folder_that_is_there_with_something_in_it_stays) {
    cr_assert_eq(__real_mkdir(path_of("house"), 0700), 0);
    put(path_of("house/site.csv"), new_text);
    cr_assert_not(save_tables());
    cr_assert(holds(path_of("house/site.csv"), new_text));
}

/* ---- stopped, not killed ---- */

/* Of the names in the folder other than `name`. */
static size_t count_beside(const char *name) {
    size_t n = 0;
    DIR *names = opendir(folder);
    cr_assert_not_null(names);
    for (const struct dirent *entry; (entry = readdir(names));)
        n += entry->d_name[0] != '.' && strcmp(entry->d_name, name) != 0;
    closedir(names);
    return n;
}

/* POSIX shells call an end by Ctrl-C 130: 128 and the number of SIGINT, 2. */
static bool stopped_at(long n, int signal_number, bool (*save)(void)) {
    int status = end_of(n, signal_number, save);
    cr_assert(WIFEXITED(status), "call %ld: ended by a signal", n);
    cr_assert(WEXITSTATUS(status) == 130 || WEXITSTATUS(status) == 0, "call %ld: %d", n,
              WEXITSTATUS(status));
    return WEXITSTATUS(status) == 130;
}

Test(save, stopped_at_any_call_leaves_old_or_new_and_nothing_beside) {
    static const int asked[] = {SIGINT, SIGTERM, SIGHUP, SIGPIPE};
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        long n = 0, n_old = 0;
        for (bool stopped = true; stopped; n++) {
            put(path_of("answer.json"), old_text);
            stopped = stopped_at(n, asked[i], save_file);
            bool is_old = holds(path_of("answer.json"), old_text);
            cr_assert(is_old || holds(path_of("answer.json"), new_text), "call %ld", n);
            cr_assert_eq(count_beside("answer.json"), 0, "call %ld left something", n);
            n_old += is_old;
        }
        cr_assert_gt(n, 10, "the writing was not interrupted: %ld", n);
        cr_assert_gt(n_old, 8, "a stop came too late: %ld", n_old);
    }
}

Test(save, stopped_at_any_call_a_folder_is_whole_or_not_there) {
    long n = 0;
    for (bool stopped = true; stopped; n++) {
        stopped = stopped_at(n, SIGINT, save_tables);
        bool whole = house_is_whole();
        cr_assert(whole || access(path_of("house"), F_OK) != 0, "call %ld", n);
        cr_assert_eq(count_beside("house"), 0, "call %ld left something", n);
        if (whole)
            remove_house();
    }
    cr_assert_gt(n, 10);
}

/* nohup's, and a script's `&`. */
Test(save, what_was_ignored_stays_ignored) {
    signal(SIGINT, SIG_IGN);
    cr_assert_not(stopped_at(0, SIGINT, save_file));
    cr_assert(holds(path_of("answer.json"), new_text));
}
