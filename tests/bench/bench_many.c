/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_many.c - ten thousand buildings in one command: bench_many EARSHOT COUNT
 *
 * Invented houses of 25 zones, two floors and 20 walls each, every fourth with ten readings,
 * are written into a temporary folder and checked with one job, with two, and in four shards.
 * Says surveys per second, the most memory for a tenth of them and for all, and whether the
 * bytes are the same. The ratios hold on any machine; nothing passes or fails by the clock, but
 * unequal bytes fail.
 */
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { N_ZONES = 25, N_WALLS = 20, N_READ = 10, N_SHARDS = 4, PATH_SIZE = 200 };

static void fail(const char *what) {
    perror(what);
    exit(EXIT_FAILURE);
}

/* ---- the houses ---- */

/* Whole numbers from 0 on, below `n`: Knuth's MMIX constants, TAOCP vol. 2, 3.3.4 table 1. */
static unsigned draw(uint64_t *state, unsigned n) {
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (unsigned)((*state >> 33) % n);
}

static void join(char path[PATH_SIZE], const char *folder, const char *name) {
    int n = snprintf(path, PATH_SIZE, "%s/%s", folder, name);
    if (n < 0 || n >= PATH_SIZE)
        fail("too long a path");
}

static FILE *create(const char *house, const char *name) {
    char path[PATH_SIZE];
    join(path, house, name);
    FILE *out = fopen(path, "w");
    if (!out)
        fail(path);
    return out;
}

static void finish(FILE *out) {
    if (fclose(out) != 0)
        fail("a table");
}

static void write_devices(const char *house, uint64_t *state) {
    FILE *out = create(house, "devices.csv");
    fputs("device,role,level,x_m,y_m,height_m,radio,zone,label,type,supervised\n"
          "panel,receiver,ground,5,4,1.5,868-10mw,,,,\n",
          out);
    for (int i = 1; i <= N_ZONES; i++)
        fprintf(out, "z%d,sensor,%s,%u.%u,%u.%u,1.2,868-10mw,%d,room %d,%s,yes\n", i,
                draw(state, 2) ? "ground" : "upper", draw(state, 20), draw(state, 10),
                draw(state, 12), draw(state, 10), i, i, i % 5 ? "motion" : "smoke");
    finish(out);
}

static void write_walls(const char *house, uint64_t *state) {
    static const char *const kinds[] = {"brick", "plasterboard", "concrete"};
    FILE *out = create(house, "walls.csv");
    fputs("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n", out);
    for (int i = 0; i < N_WALLS; i++) {
        unsigned at = draw(state, 20), from = draw(state, 10);
        fprintf(out, "w%d,%s,%u.5,%u,%u.5,%u,%s\n", i, i % 2 ? "ground" : "upper", at, from, at,
                from + 2 + draw(state, 5), kinds[draw(state, 3)]);
    }
    finish(out);
}

static void write_readings(const char *house, uint64_t *state) {
    FILE *out = create(house, "readings.csv");
    fputs("heard_at,device,reading,placed\n", out);
    for (int i = 1; i <= N_READ; i++)
        fprintf(out, "panel,z%d,-%u,in place\n", 2 * i, 50 + draw(state, 40));
    finish(out);
}

static void build(const char *house, size_t number) {
    uint64_t state = number + 1;
    if (mkdir(house, 0777) != 0)
        fail(house);
    FILE *out = create(house, "site.csv");
    fprintf(out, "key,value\nname,House %zu\nenvironment,dwelling\nuse,lasting\ncountry,IE\n",
            number);
    finish(out);
    out = create(house, "levels.csv");
    fputs("level,floor_z_m,height_m,floor_construction\n"
          "ground,0,2.5,\nupper,2.7,2.5,timber-floor\n",
          out);
    finish(out);
    write_devices(house, &state);
    write_walls(house, &state);
    if (number % 4 == 0)
        write_readings(house, &state);
}

/* With the list of all, and of the first tenth. */
static void build_all(const char *folder, size_t count) {
    char path[PATH_SIZE], name[40];
    FILE *all = create(folder, "all"), *tenth = create(folder, "tenth");
    for (size_t i = 0; i < count; i++) {
        snprintf(name, sizeof name, "house-%06zu", i);
        join(path, folder, name);
        build(path, i);
        fprintf(all, "%s\n", path);
        if (i < count / 10)
            fprintf(tenth, "%s\n", path);
    }
    finish(all);
    finish(tenth);
}

/* ---- runs ---- */

struct run {
    double seconds;
    long most_kb;
};

static double now_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* Checks the list, with its answer at the end of `out`; both are names in `folder`. */
static struct run check(const char *program, const char *folder, const char *list,
                        const char *out, const char *option) {
    char from[PATH_SIZE], to[PATH_SIZE];
    struct rusage usage;
    int status;
    join(from, folder, list);
    join(to, folder, out);
    double begun_s = now_s();
    pid_t child = fork();
    if (child == 0) {
        int file = open(to, O_WRONLY | O_CREAT | O_APPEND, 0666);
        if (file >= 0 && dup2(file, STDOUT_FILENO) >= 0)
            execl(program, program, "check", "--from", from, option, (char *)NULL);
        _exit(127);
    }
    if (child < 0 || wait4(child, &status, 0, &usage) != child || !WIFEXITED(status) ||
        WEXITSTATUS(status) != 0)
        fail("the check did not end well");
    return (struct run){.seconds = now_s() - begun_s, .most_kb = usage.ru_maxrss};
}

static bool same(const char *folder, const char *one, const char *other) {
    char command[3 * PATH_SIZE];
    snprintf(command, sizeof command, "cmp '%s/%s' '%s/%s'", folder, one, folder, other);
    return system(command) == 0;
}

static bool measure(const char *program, const char *folder, size_t count) {
    struct run tenth = check(program, folder, "tenth", "of-tenth", "--jobs=2");
    struct run one = check(program, folder, "all", "of-one", "--jobs=1");
    struct run two = check(program, folder, "all", "of-two", "--jobs=2");
    for (int i = 1; i <= N_SHARDS; i++) {
        char option[40];
        snprintf(option, sizeof option, "--shard=%d/%d", i, N_SHARDS);
        check(program, folder, "all", "of-shards", option);
    }
    bool alike = same(folder, "of-one", "of-two"),
         sharded = same(folder, "of-one", "of-shards");
    printf("%zu surveys of %d zones: %.0f a second with 1 job, %.0f with 2: %.2f times\n",
           count, N_ZONES, (double)count / one.seconds, (double)count / two.seconds,
           one.seconds / two.seconds);
    printf("most memory with 2 jobs: %ld KB for a tenth of them, %ld KB for all: %.2f times\n",
           tenth.most_kb, two.most_kb, (double)two.most_kb / (double)tenth.most_kb);
    printf("2 jobs and 1: %s; %d shards one behind the other: %s\n",
           alike ? "the same bytes" : "NOT the same", N_SHARDS,
           sharded ? "the same bytes" : "NOT the same");
    return alike && sharded;
}

int main(int argc, char **argv) {
    char folder[] = "/tmp/earshot-many-XXXXXX", command[PATH_SIZE];
    if (argc != 3 || !mkdtemp(folder))
        fail("bench_many EARSHOT COUNT");
    size_t count = strtoul(argv[2], NULL, 10);
    build_all(folder, count);
    bool good = measure(argv[1], folder, count);
    snprintf(command, sizeof command, "rm -r '%s'", folder);
    return system(command) == 0 && good ? EXIT_SUCCESS : EXIT_FAILURE;
}
