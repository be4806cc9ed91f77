/* SPDX-License-Identifier: GPL-3.0-or-later */
/* folder.c - the files of a survey folder into memory, in order of name.
 */
#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "cli.h"
#include "text.h"

static const size_t most_bytes = (size_t)256 << 20; /* a table of a million rows is 100 MB */

/* Says so where the folder wants it said. `why` NULL: as `code` says, an errno. */
static bool fail(const cli_folder *folder, const char *path, const char *why, int code) {
    char reason[200];
    if (!why && strerror_r(code, reason, sizeof reason) == 0)
        why = reason;
    if (!why)
        why = "the system does not say why";
    if (!folder->why) {
        fprintf(stderr, "earshot: cannot read '%s': %s\n", path, why);
        return false;
    }
    text_add(folder->why, "cannot read '");
    text_add(folder->why, path);
    text_add(folder->why, "': ");
    text_add(folder->why, why);
    return false;
}

char *cli_join(const char *left, const char *right) {
    size_t size = strlen(left) + strlen(right) + 2;
    char *path = malloc(size);
    if (path)
        snprintf(path, size, "%s%s%s", left, left[0] ? "/" : "", right);
    return path;
}

static const char *extension_of(const char *name) {
    const char *point = strrchr(name, '.');
    return point && point != name ? point + 1 : "";
}

static bool ends_with_any(const char *name, const char *const *extensions, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (strcasecmp(extension_of(name), extensions[i]) == 0)
            return true;
    return false;
}

/* A table, or what a meter may have written. */
static bool is_text(const char *name) {
    static const char *const texts[] = {"csv", "tsv", "txt"};
    return ends_with_any(name, texts, sizeof texts / sizeof *texts);
}

/* A table as spreadsheets save it otherwise: only its name is looked at, so that somebody who
 * forgot to export it is told. */
static bool is_other_table(const char *name) {
    static const char *const others[] = {"xlsx", "xls", "ods", "numbers"};
    return ends_with_any(name, others, sizeof others / sizeof *others);
}

/* Reads all of a stream; the size is found by reading, so that a pipe will do. */
static bool read_stream(FILE *in, char **data, size_t *size) {
    size_t room = 1 << 16, n = 0, got;
    char *bytes = malloc(room);
    while (bytes && (got = fread(bytes + n, 1, room - n, in)) > 0) {
        n += got;
        if (n < room)
            continue;
        char *more = room < most_bytes ? realloc(bytes, room *= 2) : NULL;
        if (!more)
            free(bytes);
        bytes = more;
    }
    *data = bytes;
    *size = n;
    return bytes && !ferror(in);
}

bool cli_add_table(cli_folder *folder, char *name, char *data, size_t size) {
    earshot_bytes *tables =
        realloc(folder->tables, (folder->n_tables + 1) * sizeof *folder->tables);
    if (!tables)
        return false;
    folder->tables = tables;
    tables[folder->n_tables++] = (earshot_bytes){.name = name, .data = data, .size = size};
    return true;
}

/* Reads path/name and calls it called/name. */
static bool read_file(const char *path, const char *called, const char *name,
                      cli_folder *folder) {
    char *file = cli_join(path, name), *title = cli_join(called, name), *data = NULL;
    size_t size = 0;
    FILE *in = file ? fopen(file, "rb") : NULL;
    int code = in ? 0 : errno;
    bool named_only = is_other_table(name);
    bool good = in && title &&
                (named_only ? (data = malloc(1)) != NULL : read_stream(in, &data, &size)) &&
                cli_add_table(folder, title, data, size);
    if (!good) {
        fail(folder, file ? file : name, in ? "too large, or the disk failed" : NULL, code);
        free(title);
        free(data);
    }
    if (in)
        fclose(in);
    free(file);
    return good;
}

static int only_tables(const struct dirent *entry) {
    return is_text(entry->d_name) || is_other_table(entry->d_name);
}

static int by_bytes(const struct dirent **a, const struct dirent **b) {
    return strcmp((*a)->d_name, (*b)->d_name);
}

static bool read_all(const char *path, const char *called, cli_folder *folder) {
    struct dirent **names;
    int n = scandir(path, &names, only_tables, by_bytes);
    if (n < 0)
        return fail(folder, path,
                    errno == ENOTDIR ? "a survey is a folder of CSV files, and this is a file"
                                     : NULL,
                    errno);
    bool good = true;
    for (int i = 0; i < n; i++) {
        good = good && read_file(path, called, names[i]->d_name, folder);
        free(names[i]);
    }
    free(names);
    return good;
}

static bool is_folder(const char *path) {
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

bool cli_read_folder(const char *path, cli_folder *folder) {
    if (!read_all(path, "", folder))
        return false;
    char *materials = cli_join(path, "materials");
    bool good =
        materials && (!is_folder(materials) || read_all(materials, "materials", folder));
    free(materials);
    return good;
}

bool cli_read_materials(const char *path, cli_folder *folder) {
    return read_all(path, path, folder);
}

bool cli_read_file(const char *path, cli_folder *folder) {
    return read_file("", "", path, folder);
}

bool cli_read_survey(const char *materials, const char *path, cli_folder *folder) {
    return (!materials || cli_read_materials(materials, folder)) &&
           cli_read_folder(path, folder);
}

void cli_drop_at(cli_folder *folder, size_t at) {
    free((void *)folder->tables[at].name);
    free((void *)folder->tables[at].data);
    folder->n_tables--;
    memmove(folder->tables + at, folder->tables + at + 1,
            (folder->n_tables - at) * sizeof *folder->tables);
}

/* The last first, for the others move up. */
bool cli_drop_readings(cli_folder *folder) {
    unsigned char *of = calloc(folder->n_tables + 1, 1);
    bool known =
        of && earshot_readings_files(folder->tables, folder->n_tables, of) == EARSHOT_OK;
    for (size_t i = folder->n_tables; known && i > 0; i--)
        if (of[i - 1])
            cli_drop_at(folder, i - 1);
    free(of);
    return known;
}

void cli_free_folder(cli_folder *folder) {
    for (size_t i = 0; i < folder->n_tables; i++) {
        free((void *)folder->tables[i].name);
        free((void *)folder->tables[i].data);
    }
    free(folder->tables);
    *folder = (cli_folder){0};
}
