/* SPDX-License-Identifier: GPL-3.0-or-later */
/* folder.c - surveys for the tests; see folder.h. */
#include "folder.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char *copy(const char *string) {
    char *copied = malloc(strlen(string) + 1);
    cr_assert_not_null(copied);
    return strcpy(copied, string);
}

static char *read_all(const char *path) {
    FILE *in = fopen(path, "rb");
    cr_assert_not_null(in, "%s cannot be read", path);
    size_t room = 1 << 20;
    char *text = calloc(1, room);
    cr_assert_not_null(text);
    size_t n = fread(text, 1, room - 1, in);
    cr_assert(n < room - 1 && !ferror(in), "%s is too large", path);
    fclose(in);
    return text;
}

void folder_put(folder *folder, const char *name, const char *text) {
    size_t i = 0;
    while (i < folder->n && strcmp(folder->tables[i].name, name) != 0)
        i++;
    cr_assert(i < FOLDER_MAX_TABLES);
    if (i < folder->n) {
        free((void *)folder->tables[i].name);
        free((void *)folder->tables[i].data);
    } else {
        folder->n++;
    }
    folder->tables[i] =
        (earshot_bytes){.name = copy(name), .data = copy(text), .size = strlen(text)};
}

const char *folder_text(const folder *folder, const char *name) {
    for (size_t i = 0; i < folder->n; i++)
        if (strcmp(folder->tables[i].name, name) == 0)
            return folder->tables[i].data;
    cr_assert_fail("no table %s", name);
    return NULL;
}

static int only_csv(const struct dirent *entry) {
    const char *dot = strrchr(entry->d_name, '.');
    return dot && strcmp(dot, ".csv") == 0;
}

folder folder_read(const char *path) {
    char root[1000], file[2000];
    struct dirent **names;
    folder result = {.n = 0};
    snprintf(root, sizeof root, "%s/%s", SOURCE_ROOT, path);
    int n = scandir(root, &names, only_csv, alphasort);
    cr_assert(n > 0, "%s holds no tables", root);
    for (int i = 0; i < n; i++) {
        snprintf(file, sizeof file, "%s/%s", root, names[i]->d_name);
        char *text = read_all(file);
        folder_put(&result, names[i]->d_name, text);
        free(text);
        free(names[i]);
    }
    free(names);
    return result;
}

char *folder_page(const char *path) {
    char file[2000];
    snprintf(file, sizeof file, "%s/%s", SOURCE_ROOT, path);
    return read_all(file);
}

void folder_free(folder *folder) {
    for (size_t i = 0; i < folder->n; i++) {
        free((void *)folder->tables[i].name);
        free((void *)folder->tables[i].data);
    }
    folder->n = 0;
}

earshot_survey *folder_load(const folder *folder) {
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_assert_not_null(findings);
    enum earshot_status status =
        earshot_survey_load(folder->tables, folder->n, findings, &survey);
    for (size_t i = 0; status != EARSHOT_OK && i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        if (finding.severity == EARSHOT_ERROR)
            cr_log_error("%s:%u:%u: %s", finding.file, finding.line, finding.column,
                         finding.sentence);
    }
    cr_assert_eq(status, EARSHOT_OK);
    earshot_findings_free(findings);
    return survey;
}
