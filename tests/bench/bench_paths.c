/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_paths.c - what a path through a building costs: the sum of the weights of all panels it
 * crosses, by the plain loop, by general-purpose libraries, by the index, and by whole maps.
 *
 * One run, one thread, one table of nanoseconds a path: the best of several rounds in which all
 * take turns, so that what else the machine does hits all alike. Ratios are what counts.
 * Agreement is checked in the same run: loop, index and map to the last bit of a sum of whole
 * weights; the libraries compute in single precision or may count a wall's edge twice, and how
 * often they differ is printed.
 *
 *     bench_paths [PATHS]    paths to compare with the plain loop, 20,000 by default
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "building.h"
#include "peers.h"

enum { N_PATHS = 4096, ROUNDS = 9, MOST_CELLS = 1 << 20 };

static const struct {
    size_t n_panels;
    unsigned n_storeys;
    double step_m; /* of the map */
} sizes[] = {{40, 2, 0.25}, {400, 3, 0.25}, {4000, 4, 1}, {40000, 5, 1}};
enum { N_SIZES = sizeof sizes / sizeof *sizes };

static double now_ns(void) {
    struct timespec at;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &at);
    return (double)at.tv_sec * 1e9 + (double)at.tv_nsec;
}

static unsigned weight_of(size_t panel) {
    return 1 + (unsigned)(panel * 2654435761u % 97);
}

static void add(void *who, const geometry_crossing *crossing) {
    double *sum = who;
    *sum += weight_of(crossing->panel);
}

struct paths {
    const geometry_building *building;
    const geometry_index *index;
    struct peers *peers;
    const geometry_place *from, *to; /* `from` of a map is one place */
    bool fan;
    size_t n;
    double *sums;
};

static geometry_place from_of(const struct paths *paths, size_t i) {
    return paths->from[paths->fan ? 0 : i];
}

static void by_loop(const struct paths *paths) {
    for (size_t i = 0; i < paths->n; i++) {
        paths->sums[i] = 0;
        geometry_cross(paths->building, from_of(paths, i), paths->to[i], add, &paths->sums[i]);
    }
}

static void by_index(const struct paths *paths) {
    for (size_t i = 0; i < paths->n; i++) {
        paths->sums[i] = 0;
        geometry_index_cross(paths->index, from_of(paths, i), paths->to[i], add,
                             &paths->sums[i]);
    }
}

/* With what it takes to build it. */
static void by_fan(const struct paths *paths) {
    geometry_fan *fan =
        geometry_fan_build(paths->building, paths->from[0], paths->to[0].z_m, paths->to[0].z_m);
    for (size_t i = 0; i < paths->n; i++) {
        paths->sums[i] = 0;
        geometry_fan_cross(fan, paths->to[i], add, &paths->sums[i]);
    }
    geometry_fan_free(fan);
}

static void by_tree(const struct paths *paths) {
    for (size_t i = 0; i < paths->n; i++)
        paths->sums[i] = peers_tree(paths->peers, from_of(paths, i), paths->to[i]);
}

static void by_rays(const struct paths *paths) {
    for (size_t i = 0; i < paths->n; i++)
        paths->sums[i] = peers_ray(paths->peers, from_of(paths, i), paths->to[i]);
}

static void by_packets(const struct paths *paths) {
    for (size_t i = 0; i < paths->n; i += PEERS_PACKET) {
        geometry_place from[PEERS_PACKET];
        size_t n = paths->n - i < PEERS_PACKET ? paths->n - i : PEERS_PACKET;
        for (size_t k = 0; k < n; k++)
            from[k] = from_of(paths, i + k);
        peers_packet(paths->peers, from, &paths->to[i], n, paths->fan, &paths->sums[i]);
    }
}

/* ---- the map ---- */

struct mapping {
    const geometry_raster *raster;
    size_t panel;
    int32_t *sums; /* [row][nx + 1]: changes from cell to cell, and in the end the sums */
};

static void add_runs(void *who, const geometry_run *runs, size_t n_runs) {
    const struct mapping *mapping = who;
    const int32_t weight = (int32_t)weight_of(mapping->panel);
    for (size_t i = 0; i < n_runs; i++) {
        int32_t *sums = mapping->sums + runs[i].row * (mapping->raster->nx + 1);
        sums[runs[i].first] += weight;
        sums[runs[i].last + 1] -= weight;
    }
}

static void by_map(const geometry_building *building, const geometry_raster *raster,
                   geometry_place fixed, int32_t *sums) {
    struct mapping mapping = {raster, 0, sums};
    memset(sums, 0, raster->ny * (raster->nx + 1) * sizeof *sums);
    for (size_t i = 0; i < building->n_panels; i++) {
        mapping.panel = i;
        geometry_shade(building, raster, fixed, i, SIZE_MAX, 0, raster->ny, add_runs, &mapping);
    }
    for (size_t row = 0; row < raster->ny; row++) {
        int32_t sum = 0;
        for (size_t column = 0; column < raster->nx; column++) {
            sum += sums[row * (raster->nx + 1) + column];
            sums[row * (raster->nx + 1) + column] = sum;
        }
    }
}

/* ---- one table ---- */

enum { LOOP, TREE, RAYS, PACKETS, INDEX, FAN, MAP, N_WAYS };
static const char *const names[N_WAYS] = {"plain loop", "box tree", "single rays", "packets",
                                          "the index",  "the fan",  "the map"};
static void (*const ways[N_WAYS])(const struct paths *) = {by_loop,    by_tree,  by_rays,
                                                           by_packets, by_index, by_fan};

struct row {
    double best_ns[N_WAYS];
    size_t n_off[N_WAYS]; /* sums that differ from the plain loop's */
    size_t n_compared;
};

static bool is_there(const struct paths *paths, size_t way) {
    return way == FAN                      ? paths->fan
           : way == TREE                   ? peers_have_tree()
           : way == RAYS || way == PACKETS ? peers_have_rays()
                                           : true;
}

/* The plain loop is slow on large buildings, and a sample of the paths will do. */
static void take_turns(struct paths *paths, double *loop_sums, struct row *row) {
    size_t n = paths->n, n_loop = n * 2000 / (paths->building->n_panels + 2000) + 1;
    for (size_t way = 0; way < N_WAYS; way++)
        row->best_ns[way] = INFINITY;
    for (int round = 0; round < ROUNDS; round++)
        for (size_t way = 0; way < MAP; way++) {
            if (!is_there(paths, way))
                continue;
            struct paths some = *paths;
            some.n = way == LOOP || way == TREE ? n_loop : n;
            some.sums = way == LOOP ? loop_sums : paths->sums;
            double begun_ns = now_ns();
            ways[way](&some);
            row->best_ns[way] = fmin(row->best_ns[way], (now_ns() - begun_ns) / (double)some.n);
            for (size_t i = 0; round == 0 && way != LOOP && i < n_loop; i++)
                row->n_off[way] += some.sums[i] != loop_sums[i];
        }
    row->n_compared = n_loop;
}

static void print_row(const char *what, const building *made, size_t n, const struct row *row) {
    printf("%7zu panels  %-12s %7zu", made->geometry.n_panels, what, n);
    for (size_t way = 0; way < N_WAYS; way++)
        if (isfinite(row->best_ns[way]))
            printf(" %11.1f", row->best_ns[way]);
        else
            printf(" %11s", "-");
    printf("  of %zu off:", row->n_compared);
    for (size_t way = TREE; way < N_WAYS; way++)
        if (isfinite(row->best_ns[way]))
            printf(" %s %zu;", names[way], row->n_off[way]);
    printf("\n");
}

static void *take(size_t n, size_t size) {
    void *memory = calloc(n + 1, size);
    if (!memory)
        exit(1);
    return memory;
}

static struct row measure_paths(const building *made, struct paths *paths) {
    struct row row = {{0}, {0}, 0};
    geometry_place *ends = take(2 * N_PATHS, sizeof *ends);
    uint32_t random = 99;
    for (size_t i = 0; i < 2 * N_PATHS; i++)
        ends[i] = building_place(made, &random);
    double *loop_sums = take(N_PATHS, sizeof *loop_sums);
    paths->from = ends;
    paths->to = ends + N_PATHS;
    paths->fan = false;
    paths->n = N_PATHS;
    paths->sums = take(N_PATHS, sizeof *paths->sums);
    take_turns(paths, loop_sums, &row);
    free(ends);
    free(loop_sums);
    free(paths->sums);
    return row;
}

static struct row measure_map(const building *made, struct paths *paths, double step_m) {
    struct row row = {{0}, {0}, 0};
    uint32_t random = 77;
    geometry_place fixed = building_place(made, &random);
    fixed.z_m = 1.5;
    geometry_raster raster = {.x0_m = 0,
                              .y0_m = 0,
                              .z_m = 1.1,
                              .step_m = step_m,
                              .nx = (size_t)(made->wide_m / step_m),
                              .ny = (size_t)(made->deep_m / step_m)};
    size_t n = raster.nx * raster.ny;
    size_t n_maps = 100000 / n + 1; /* to look at the clock takes a while too */
    geometry_place *to = take(n, sizeof *to);
    double *loop_sums = take(n, sizeof *loop_sums);
    int32_t *map_sums = take(raster.ny * (raster.nx + 1), sizeof *map_sums);
    for (size_t i = 0; i < n; i++)
        to[i] = geometry_raster_place(&raster, i % raster.nx, i / raster.nx);
    paths->from = &fixed;
    paths->to = to;
    paths->fan = true;
    paths->n = n;
    paths->sums = take(n, sizeof *paths->sums);
    take_turns(paths, loop_sums, &row);
    for (int round = 0; round < ROUNDS; round++) {
        double begun_ns = now_ns();
        for (size_t i = 0; i < n_maps; i++)
            by_map(&made->geometry, &raster, fixed, map_sums);
        row.best_ns[MAP] =
            fmin(row.best_ns[MAP], (now_ns() - begun_ns) / (double)n_maps / (double)n);
    }
    by_index(paths);
    for (size_t i = 0; i < n; i++)
        row.n_off[MAP] += map_sums[i / raster.nx * (raster.nx + 1) + i % raster.nx] !=
                          (i < row.n_compared ? loop_sums[i] : paths->sums[i]);
    free(to);
    free(loop_sums);
    free(map_sums);
    free(paths->sums);
    return row;
}

static size_t measure(size_t size) {
    building_plan plan = {.n_panels = sizes[size].n_panels,
                          .n_storeys = sizes[size].n_storeys,
                          .turned_rad = size % 2 ? 0.3 : 0,
                          .seed = 7 + (uint32_t)size};
    building made = building_make(&plan);
    geometry_building walls = {.panels = made.geometry.panels,
                               .n_panels = made.geometry.n_panels};
    geometry_panel *closed = take(walls.n_panels, sizeof *closed);
    for (size_t i = 0; i < walls.n_panels; i++) {
        closed[i] = walls.panels[i];
        closed[i].n_openings = 0;
    }
    walls.panels = closed;
    double begun_ns = now_ns();
    geometry_index *index = geometry_index_build(&walls);
    double build_ms = (now_ns() - begun_ns) / 1e6;
    struct paths paths = {
        .building = &walls, .index = index, .peers = peers_build(&walls, weight_of)};
    struct row row = measure_paths(&made, &paths);
    print_row("random paths", &made, N_PATHS, &row);
    size_t n_off = row.n_off[INDEX];
    row = measure_map(&made, &paths, sizes[size].step_m);
    print_row("a map", &made, paths.n, &row);
    n_off += row.n_off[INDEX] + row.n_off[FAN] + row.n_off[MAP];
    printf("        index built in %.2f ms\n", build_ms);
    geometry_index_free(index);
    peers_free(paths.peers);
    free(closed);
    building_free(&made);
    return n_off;
}

int main(void) {
    size_t n_off = 0;
    printf("ns a path\n%30s %10s", "", "paths");
    for (size_t way = 0; way < N_WAYS; way++)
        printf(" %11s", names[way]);
    printf("\n");
    for (size_t size = 0; size < N_SIZES; size++)
        n_off += measure(size);
    if (n_off)
        printf("%zu sums by index or map differ from the plain loop's\n", n_off);
    return n_off > 0;
}
