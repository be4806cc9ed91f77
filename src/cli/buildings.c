/* SPDX-License-Identifier: GPL-3.0-or-later */
/* buildings.c - which surveys are meant, when many are: folders by name, the folder that holds
 * them, or a list in a file.
 *
 * A folder stands for those in it when it has neither of the tables of which every survey has
 * one, and a subfolder has. Then all its subfolders are meant, for one that has lost its tables
 * is to be told, not left out.
 */
#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli.h"

static bool add(cli_buildings *buildings, char *path) {
    enum { FIRST = 64 };
    size_t n = buildings->n;
    if (!path)
        return false;
    if (n == 0 || (n >= FIRST && (n & (n - 1)) == 0)) { /* full: at 64, 128, 256, ... */
        char **paths = realloc(buildings->paths, (n ? 2 * n : FIRST) * sizeof *paths);
        if (!paths) {
            free(path);
            return false;
        }
        buildings->paths = paths;
    }
    buildings->paths[buildings->n++] = path;
    return true;
}

static bool has_file(const char *folder, const char *name) {
    char *path = cli_join(folder, name);
    bool there = path && access(path, F_OK) == 0;
    free(path);
    return there;
}

static bool is_survey(const char *folder) {
    return has_file(folder, "devices.csv") || has_file(folder, "paths.csv");
}

/* ---- a folder of surveys ---- */

static int by_bytes(const struct dirent **a, const struct dirent **b) {
    return strcmp((*a)->d_name, (*b)->d_name);
}

/* Hidden ones are not meant, and "materials" is tables. */
static int may_be_building(const struct dirent *entry) {
    return entry->d_name[0] != '.' && strcmp(entry->d_name, "materials") != 0;
}

static bool is_folder(const char *path) {
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

/* The subfolders of one that is no survey itself; none when it cannot be read. */
static bool list_inside(const char *path, cli_buildings *inside, bool *any_survey) {
    struct dirent **names;
    int n = scandir(path, &names, may_be_building, by_bytes);
    bool good = true;
    for (int i = 0; i < n; i++) {
        char *folder = cli_join(path, names[i]->d_name);
        free(names[i]);
        good = good && folder;
        if (!good || !is_folder(folder)) {
            free(folder);
            continue;
        }
        *any_survey = *any_survey || is_survey(folder);
        good = add(inside, folder);
    }
    if (n >= 0)
        free(names);
    return good;
}

/* Without the slashes behind it that completion leaves. */
static char *trimmed(const char *path) {
    char *copy = strdup(path);
    for (size_t n = strlen(path); copy && n > 1 && copy[n - 1] == '/'; n--)
        copy[n - 1] = '\0';
    return copy;
}

bool cli_add_building(cli_buildings *buildings, const char *path) {
    char *folder = trimmed(path);
    cli_buildings inside = {0};
    bool any_survey = false;
    bool good = folder && (is_survey(folder) || list_inside(folder, &inside, &any_survey));
    if (good && !any_survey) {
        good = add(buildings, folder);
        folder = NULL;
    }
    for (size_t i = 0; good && any_survey && i < inside.n; i++) {
        good = add(buildings, inside.paths[i]);
        inside.paths[i] = NULL;
    }
    buildings->in_folders = buildings->in_folders || any_survey;
    cli_free_buildings(&inside);
    free(folder);
    return good;
}

/* ---- a list ---- */

static bool add_lines(cli_buildings *buildings, FILE *in) {
    char *line = NULL;
    size_t room = 0;
    ssize_t n;
    bool good = true;
    while (good && (n = getline(&line, &room, in)) > 0) {
        while (n > 0 && (line[n - 1] == '\n' || line[n - 1] == '\r'))
            line[--n] = '\0';
        good = n == 0 || cli_add_building(buildings, line);
    }
    free(line);
    return good;
}

bool cli_add_buildings_from(cli_buildings *buildings, const char *file) {
    bool piped = strcmp(file, "-") == 0;
    FILE *in = piped ? stdin : fopen(file, "r");
    errno = in ? 0 : errno;
    bool good = in && add_lines(buildings, in) && !ferror(in);
    if (!good)
        fprintf(stderr, "earshot: cannot read '%s': %s\n", file,
                strerror(errno ? errno : ENOMEM));
    if (in && !piped)
        fclose(in);
    return good;
}

void cli_free_buildings(cli_buildings *buildings) {
    for (size_t i = 0; i < buildings->n; i++)
        free(buildings->paths[i]);
    free(buildings->paths);
    *buildings = (cli_buildings){0};
}
