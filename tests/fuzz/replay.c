/* SPDX-License-Identifier: GPL-3.0-or-later */
/* replay.c - runs a fuzzer's corpus as an ordinary test, without a fuzzing compiler.
 *
 *     replay-tables FILE-OR-FOLDER...
 *
 * Each file goes to LLVMFuzzerTestOneInput, which aborts where a promise is broken; its name is
 * printed first, so that the last name is the culprit's. Nothing to run is a failure.
 */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void fail(const char *path) {
    perror(path);
    exit(EXIT_FAILURE);
}

/* Allocates exactly the size of the file, so that reading past its end is caught. */
static uint8_t *read_whole(FILE *file, const char *path, size_t *size) {
    long end = fseek(file, 0, SEEK_END) == 0 ? ftell(file) : -1;
    uint8_t *data = end >= 0 ? malloc(end > 0 ? (size_t)end : 1) : NULL;
    if (!data || fseek(file, 0, SEEK_SET) != 0 ||
        fread(data, 1, (size_t)end, file) != (size_t)end) {
        fail(path);
    }
    *size = (size_t)end;
    return data;
}

static size_t replay_file(const char *path) {
    FILE *file = fopen(path, "rb");
    if (!file) {
        fail(path);
    }
    size_t size;
    uint8_t *data = read_whole(file, path, &size);
    fclose(file);
    puts(path);
    fflush(stdout);
    LLVMFuzzerTestOneInput(data, size);
    free(data);
    return 1;
}

static size_t replay_folder(DIR *folder, const char *path) {
    size_t n = 0;
    for (struct dirent *entry; (entry = readdir(folder));) {
        if (entry->d_name[0] == '.') {
            continue;
        }
        char name[4096];
        int length = snprintf(name, sizeof name, "%s/%s", path, entry->d_name);
        if (length < 0 || (size_t)length >= sizeof name) {
            fail(path);
        }
        n += replay_file(name);
    }
    return n;
}

int main(int argc, char **argv) {
    size_t n = 0;
    for (int i = 1; i < argc; i++) {
        DIR *folder = opendir(argv[i]);
        if (folder) {
            n += replay_folder(folder, argv[i]);
            closedir(folder);
        } else {
            n += replay_file(argv[i]);
        }
    }
    printf("%zu files\n", n);
    return n > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
