/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_draw.c - what somebody waits for who asks for the plan of a building: 400 panels on
 * three storeys, 60 zones, and the numbers for a receiver anywhere on 10,000 places.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "earshot/earshot.h"

enum { STOREYS = 3, ROWS = 8, COLUMNS = 8, N_ZONES = 60, TABLE_SIZE = 1 << 17 };
static const double room_m = 4;

static double now_s(void) {
    struct timespec at;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &at);
    return (double)at.tv_sec + (double)at.tv_nsec / 1e9;
}

static void fail(const char *why) {
    fprintf(stderr, "bench_draw: %s\n", why);
    exit(1);
}

struct table {
    char text[TABLE_SIZE];
    size_t used;
};

static void add(struct table *table, const char *line) {
    size_t n = strlen(line);
    if (table->used + n >= sizeof table->text)
        fail("a table is too long");
    memcpy(table->text + table->used, line, n + 1);
    table->used += n;
}

/* Rooms of one size in rows and columns, their walls a piece a room. */
static size_t write_walls(struct table *walls) {
    size_t n = 0;
    char line[160];
    add(walls, "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n");
    for (int level = 0; level < STOREYS; level++)
        for (int i = 0; i <= ROWS; i++)
            for (int j = 0; j < COLUMNS; j++)
                for (int turned = 0; turned < 2; turned++) {
                    double a = i * room_m, b = j * room_m;
                    if ((i + j + level) % 15 == 7 && i > 0 && i < ROWS)
                        continue;
                    snprintf(line, sizeof line, "w%zu,l%d,%g,%g,%g,%g,%s\n", n++, level,
                             turned ? a : b, turned ? b : a, turned ? a : b + room_m,
                             turned ? b + room_m : a,
                             i == 0 || i == ROWS ? "cavity-wall" : "brick");
                    add(walls, line);
                }
    return n;
}

static void write_devices(struct table *devices) {
    char line[160];
    add(devices, "device,role,level,x_m,y_m,height_m,radio,zone\n"
                 "panel,receiver,l1,14.5,14.5,1.5,433-10mw,\n");
    for (int i = 0; i < N_ZONES; i++) {
        snprintf(line, sizeof line, "z%d,sensor,l%d,%g,%g,2,433-10mw,%d\n", i, i % STOREYS,
                 1.5 + i * 7 % 29, 1.2 + i * 11 % 28, i + 1);
        add(devices, line);
    }
}

static double timed_s(const earshot_survey *survey, const earshot_belief *belief,
                      const earshot_plan_task *task, enum earshot_form form, size_t *bytes) {
    double best_s = INFINITY;
    for (int round = 0; round < 3; round++) {
        earshot_text *text = earshot_text_new();
        double begun_s = now_s();
        if (!text || earshot_plan_write(survey, belief, task, form, text) != EARSHOT_OK)
            fail("not drawn");
        best_s = fmin(best_s, now_s() - begun_s);
        *bytes = earshot_text_size(text);
        earshot_text_free(text);
    }
    return best_s;
}

int main(void) {
    static struct table walls, devices;
    static const char site[] = "key,value\nenvironment,dwelling\n";
    static const char levels[] = "level,floor_z_m,height_m,floor_construction\nl0,0,2.5,\n"
                                 "l1,2.8,2.5,reinforced-floor\nl2,5.6,2.5,reinforced-floor\n";
    size_t n_walls = write_walls(&walls), bytes;
    write_devices(&devices);
    const earshot_bytes tables[] = {{"site.csv", site, sizeof site - 1},
                                    {"levels.csv", levels, sizeof levels - 1},
                                    {"walls.csv", walls.text, walls.used},
                                    {"devices.csv", devices.text, devices.used}};
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    if (!findings || earshot_survey_load(tables, 4, findings, &survey) != EARSHOT_OK ||
        earshot_belief_prior(survey, &belief) != EARSHOT_OK)
        fail("the survey cannot be judged");
    earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN};
    double plan_s = timed_s(survey, belief, &task, EARSHOT_SVG, &bytes);
    printf("%zu panels on %d storeys, %d zones: drawn in %.2f s, %zu bytes\n", n_walls, STOREYS,
           N_ZONES, plan_s, bytes);
    task.level = 1;
    task.step_m = 0.35;
    double numbers_s = timed_s(survey, belief, &task, EARSHOT_CSV, &bytes);
    printf("%d zones at 10,000 places of a receiver: %.2f s\n", N_ZONES, numbers_s);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return 0;
}
