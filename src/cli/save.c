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
    while (size > 0 && !cli_stopped()) {
        ssize_t n = write(file, data, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        data += n;
        size -= (size_t)n;
    }
    return size == 0;
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

/* ---- files ---- */

/* What is no regular file (a terminal, a pipe) cannot be replaced, only written to. */
static int open_part(cli_saving *saving) {
    struct stat old = {.st_mode = S_IFREG | 0666};
    saving->target = realpath(saving->path, NULL); /* the file behind a link, not the link */
    if (!saving->target) {
        int why = errno;
        if (lstat(saving->path, &old) == 0) { /* a link to nothing is kept */
            errno = why;
            return -1;
        }
        saving->target = strdup(saving->path);
    } else if (stat(saving->target, &old) == 0 && !S_ISREG(old.st_mode)) {
        return open(saving->path, O_WRONLY);
    }
    saving->part = saving->target ? beside(saving->target) : NULL;
    return saving->part ? open(saving->part, O_WRONLY | O_CREAT | O_EXCL, old.st_mode & 0777)
                        : -1;
}

/* Remembers the first that went wrong. */
static bool note(cli_saving *saving, bool good) {
    if (!good && !saving->why)
        saving->why = errno ? errno : EIO;
    return good;
}

bool cli_save_begin(const char *path, cli_saving *out) {
    *out = (cli_saving){.path = path};
    cli_hold();
    out->file = open_part(out);
    return note(out, out->file >= 0);
}

bool cli_save_add(cli_saving *saving, const char *data, size_t size) {
    return note(saving, write_all(saving->file, data, size));
}

/* The part takes the name that is meant, or goes. */
static bool settle(cli_saving *saving, bool good) {
    good = good && note(saving, fsync(saving->file) == 0);
    good = note(saving, close(saving->file) == 0) && good && !cli_stopped();
    good = good && note(saving, rename(saving->part, saving->target) == 0);
    if (good)
        settle_parent(saving->target);
    else
        unlink(saving->part);
    return good;
}

bool cli_save_end(cli_saving *saving, bool keep) {
    bool good = keep && !saving->why;
    if (saving->file >= 0 && saving->part)
        good = settle(saving, good);
    else if (saving->file >= 0)
        good = close(saving->file) == 0 && good;
    free(saving->part);
    free(saving->target);
    cli_let_go();
    if (saving->why) {
        errno = saving->why;
        return fail(saving->path);
    }
    return good;
}

bool cli_save_file(const char *path, const char *data, size_t size) {
    cli_saving saving;
    bool good = cli_save_begin(path, &saving) && cli_save_add(&saving, data, size);
    return cli_save_end(&saving, good);
}

/* ---- folders ---- */

static const char materials[] = "materials";

static bool any_materials(const cli_folder *files) {
    for (size_t i = 0; i < files->n_tables; i++)
        if (strncmp(files->tables[i].name, "materials/", sizeof materials) == 0)
            return true;
    return false;
}

static void remove_files(const char *folder, const cli_folder *files) {
    for (size_t i = 0; i < files->n_tables; i++) {
        char *path = cli_join(folder, files->tables[i].name);
        if (path)
            unlink(path);
        free(path);
    }
    char *inner = cli_join(folder, materials);
    if (inner)
        rmdir(inner);
    free(inner);
    rmdir(folder);
}

static bool write_files(const char *folder, const cli_folder *files) {
    bool good = true;
    for (size_t i = 0; good && i < files->n_tables; i++) {
        char *path = cli_join(folder, files->tables[i].name);
        good = path && write_new(path, 0666, files->tables[i].data, files->tables[i].size);
        free(path);
    }
    return good;
}

static bool fill_folder(const char *folder, const cli_folder *files) {
    char *inner = cli_join(folder, materials);
    bool needed = any_materials(files);
    bool good = inner && (!needed || mkdir(inner, 0777) == 0) && write_files(folder, files);
    if (good && needed)
        settle_folder(inner);
    settle_folder(folder);
    free(inner);
    return good;
}

bool cli_save_folder(const char *path, const cli_folder *files) {
    cli_hold();
    char *part = beside(path);
    bool made = part && mkdir(part, 0777) == 0;
    bool good = made && fill_folder(part, files) && !cli_stopped() && rename(part, path) == 0;
    int why = errno;
    if (good)
        settle_parent(path);
    else if (made)
        remove_files(part, files);
    free(part);
    cli_let_go();
    errno = why;
    return good || fail(path);
}
