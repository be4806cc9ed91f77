/* SPDX-License-Identifier: GPL-3.0-or-later */
/* folder.c - what a host does with files and the terminal; see host.h. */
#include "host.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void host_expect(bool good, const char *sentence) {
    if (good)
        return;
    fprintf(stderr, "%s\n", sentence);
    exit(EXIT_FAILURE);
}

static char *name_of(const char *path, const char *file) {
    size_t size = strlen(path) + strlen(file) + 2;
    char *name = malloc(size);
    host_expect(name, "memory ran out");
    snprintf(name, size, "%s/%s", path, file);
    return name;
}

static earshot_bytes read_table(const char *path, const char *file) {
    enum { MOST = 1 << 20 };
    char *name = name_of(path, file), *data = malloc(MOST);
    FILE *in = fopen(name, "rb");
    host_expect(data && in, name);
    size_t size = fread(data, 1, MOST, in);
    host_expect(size < MOST && !ferror(in), name);
    fclose(in);
    return (earshot_bytes){.name = name, .data = data, .size = size};
}

static int is_table(const struct dirent *entry) {
    const char *dot = strrchr(entry->d_name, '.');
    return dot && strcmp(dot, ".csv") == 0;
}

host_folder host_read_folder(const char *path) {
    host_folder folder = {.n_tables = 0};
    struct dirent **names;
    int n = scandir(path, &names, is_table, alphasort);
    host_expect(n > 0 && n <= HOST_MOST_TABLES, path);
    for (int i = 0; i < n; i++) {
        folder.tables[folder.n_tables++] = read_table(path, names[i]->d_name);
        free(names[i]);
    }
    free(names);
    return folder;
}

void host_free_folder(host_folder *folder) {
    for (size_t i = 0; i < folder->n_tables; i++) {
        free((void *)folder->tables[i].name);
        free((void *)folder->tables[i].data);
    }
    folder->n_tables = 0;
}
