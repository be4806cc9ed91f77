/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_map.c - what a point of a map costs, mean and doubt, against the same link asked by
 * itself: of the shipped house as it is, without its doors and windows, and with walls that
 * lose more at a slant.
 *
 *     bench_map SURVEY_FOLDER
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "earshot/earshot.h"

enum { MOST_TABLES = 16, MOST_BYTES = 1 << 20, NX = 100, NY = 60, ROUNDS = 9 };

static const char *const names[] = {"site.csv",    "levels.csv",   "floors.csv",  "walls.csv",
                                    "devices.csv", "readings.csv", "openings.csv"};
enum { N_NAMES = sizeof names / sizeof *names, N_WITHOUT_OPENINGS = N_NAMES - 1 };

static const char slab[] = "construction,class,layers\nslab,wall,concrete 150\n";

static double now_ns(void) {
    struct timespec at;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &at);
    return (double)at.tv_sec * 1e9 + (double)at.tv_nsec;
}

static void fail(const char *why) {
    fprintf(stderr, "bench_map: %s\n", why);
    exit(1);
}

static earshot_bytes read_table(const char *folder, const char *name) {
    char path[400];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *in = fopen(path, "rb");
    char *data = malloc(MOST_BYTES);
    if (!in || !data)
        fail(path);
    earshot_bytes bytes = {name, data, fread(data, 1, MOST_BYTES - 1, in)};
    data[bytes.size] = '\0';
    fclose(in);
    return bytes;
}

/* Every wall of brick becomes one of the slab. */
static void make_slabs(const earshot_bytes *walls) {
    for (char *at = strstr(walls->data, ",brick,"); at; at = strstr(at, ",brick,"))
        memcpy(at, ",slab ,", 7);
}

static size_t measure(const char *what, const earshot_bytes *tables, size_t n_tables) {
    static double margin_db[NX * NY], sd_db[NX * NY];
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    earshot_link link;
    if (earshot_survey_load(tables, n_tables, findings, &survey) != EARSHOT_OK ||
        earshot_belief_prior(survey, &belief) != EARSHOT_OK ||
        earshot_survey_links(survey, &link, 1) == 0)
        fail("the survey cannot be judged");
    const earshot_grid grid = {-2, -2, 0.25, NX, NY, link.from};
    double by_map_ns = INFINITY, by_link_ns = INFINITY;
    size_t n_off = 0;
    for (int round = 0; round < ROUNDS; round++) {
        double begun_ns = now_ns();
        if (earshot_map_predict(survey, belief, &link.to, true, &grid, 0, NY, margin_db, sd_db))
            fail("no map");
        by_map_ns = fmin(by_map_ns, now_ns() - begun_ns);
        begun_ns = now_ns();
        for (size_t i = 0; i < NX * NY; i++) {
            earshot_prediction asked;
            link.from.x_m = grid.x0_m + (double)(i % NX) * grid.step_m;
            link.from.y_m = grid.y0_m + (double)(i / NX) * grid.step_m;
            if (earshot_links_predict(survey, belief, &link, 1, &asked))
                fail("no link");
            n_off += fabs(asked.margin_db - margin_db[i]) > 1e-9 ||
                     fabs(asked.margin_sd_db - sd_db[i]) > 1e-9;
        }
        by_link_ns = fmin(by_link_ns, now_ns() - begun_ns);
    }
    printf("%-28s %8.0f ns a point by map, %8.0f by link (with its chance); %zu differ\n", what,
           by_map_ns / (NX * NY), by_link_ns / (NX * NY), n_off);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return n_off;
}

int main(int argc, char **argv) {
    earshot_bytes tables[MOST_TABLES];
    if (argc != 2)
        fail("name the folder of a survey");
    for (size_t i = 0; i < N_NAMES; i++)
        tables[i] = read_table(argv[1], names[i]);
    tables[N_NAMES] = (earshot_bytes){"materials/constructions.csv", slab, sizeof slab - 1};
    size_t n_off = measure("as it is", tables, N_NAMES);
    n_off += measure("without openings", tables, N_WITHOUT_OPENINGS);
    make_slabs(&tables[3]);
    n_off += measure("bricks as slabs, with angle", tables, N_NAMES + 1);
    for (size_t i = 0; i < N_NAMES; i++)
        free((void *)tables[i].data);
    return n_off > 0;
}
