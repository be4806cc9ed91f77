/* SPDX-License-Identifier: GPL-3.0-or-later */
/* save.c - files written whole or not at all.
 *
 * Bytes go into a file beside the one that is meant, are forced to the disk, and only then take
 * its name; a folder is filled beside and then takes its name. Whoever is killed meanwhile, or
 * loses power, finds the old or the new, and at worst a file called NAME.part-NUMBER to delete.
 */
#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli.h"

static bool fail(const char *path) {
    fprintf(stderr, "earshot: cannot write '%s': %s\n", path, strerror(errno));
    return false;
}

/* "path.part-123"; NULL when memory ran out. */
static char *beside(const char *path) {
    size_t size = strlen(path) + 32;
    char *name = malloc(size);
    if (name)
        snprintf(name, size, "%s.part-%ld", path, (long)getpid());
    return name;
}

static bool write_all(int file, const char *data, size_t size) {
    while (size > 0) {
        ssize_t n = write(file, data, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        data += n;
        size -= (size_t)n;
    }
    return true;
}

/* A folder's list of names, to the disk. Some file systems cannot; the names are right then all
 * the same, only not before the power fails. */
static void settle_folder(const char *path) {
    int folder = open(path, O_RDONLY | O_DIRECTORY);
    if (folder >= 0) {
        fsync(folder);
        close(folder);
    }
}

static void settle_parent(const char *path) {
    char *copy = strdup(path);
    if (copy)
        settle_folder(dirname(copy));
    free(copy);
}

/* A new file with these bytes, on the disk when true comes back; taken away again otherwise. */
static bool write_new(const char *path, mode_t mode, const char *data, size_t size) {
    int file = open(path, O_WRONLY | O_CREAT | O_EXCL, mode);
    if (file < 0)
        return false;
    bool good = write_all(file, data, size) && fsync(file) == 0;
    int why = errno;
    good = close(file) == 0 && good;
    if (!good) {
        unlink(path);
        errno = why;
    }
    return good;
}

/* What is no regular file (a terminal, a pipe) cannot be replaced, only written to. */
static bool write_through(const char *path, const char *data, size_t size) {
    int file = open(path, O_WRONLY);
    bool good = file >= 0 && write_all(file, data, size);
    if (file >= 0)
        close(file);
    return good || fail(path);
}

bool cli_save_file(const char *path, const char *data, size_t size) {
    struct stat old;
    mode_t mode = 0666;
    char *real = realpath(path, NULL); /* the file behind a link, not the link */
    const char *target = real ? real : path;
    if (!real && lstat(path, &old) == 0) /* a link to nothing is kept */
        return fail(path);
    if (real && stat(real, &old) == 0) {
        if (!S_ISREG(old.st_mode)) {
            free(real);
            return write_through(path, data, size);
        }
        mode = old.st_mode & 0777;
    }
    char *part = beside(target);
    bool good = part && write_new(part, mode, data, size);
    if (good && rename(part, target) != 0) {
        int why = errno;
        unlink(part);
        errno = why;
        good = false;
    }
    if (good)
        settle_parent(target);
    else
        fail(path);
    free(part);
    free(real);
    return good;
}

/* ---- folders ---- */

static void remove_files(const char *folder, const cli_folder *files) {
    for (size_t i = 0; i < files->n_tables; i++) {
        char *path = cli_join(folder, files->tables[i].name);
        if (path)
            unlink(path);
        free(path);
    }
    rmdir(folder);
}

static bool fill_folder(const char *folder, const cli_folder *files) {
    bool good = true;
    for (size_t i = 0; good && i < files->n_tables; i++) {
        char *path = cli_join(folder, files->tables[i].name);
        good = path && write_new(path, 0666, files->tables[i].data, files->tables[i].size);
        free(path);
    }
    settle_folder(folder);
    return good;
}

bool cli_save_folder(const char *path, const cli_folder *files) {
    char *part = beside(path);
    bool made = part && mkdir(part, 0777) == 0;
    bool good = made && fill_folder(part, files) && rename(part, path) == 0;
    if (good)
        settle_parent(path);
    else
        fail(path);
    if (made && !good)
        remove_files(part, files);
    free(part);
    return good;
}
