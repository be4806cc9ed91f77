/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bench_load.c - how long a large survey takes to load, by row, and whether that grows.
 *
 * Each case is a table of 10,000 and of 100,000 rows in one run on one machine: the ratio of
 * their times by row is near 1 when loading is linear, and says so on any machine. Nothing here
 * passes or fails by the clock.
 */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "earshot/earshot.h"

enum { FEW = 10000, MANY = 100000, ROW_SIZE = 120 };

static const char site[] = "key,value\nenvironment,dwelling\nuse,lasting\ncountry,IE\n";
static const char wall[] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                           "long,ground,0,0,1000,0,brick\n";
static const char panel[] = "device,role,x_m,y_m,height_m,radio,type\n"
                            "panel,receiver,0,0,1,868-10mw,receiver\n";

/* One kind of table: its header, and a row by number. */
struct kind {
    const char *what, *table, *header, *row;
};

/* The number stands in the row up to three times. */
static const struct kind kinds[] = {
    {"walls", "walls.csv", "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n",
     "w%1$d,ground,%2$d.5,0,%2$d.5,10,brick\n"},
    {"walls in feet and inches", "walls.csv", "Wall,Level,X 1,Y 1,X 2,Y 2,Material\n",
     "w%1$d,ground,%2$d' 6\",0 ft,%2$d' 6\",10 ft,brick\n"},
    {"devices", "devices.csv", "device,role,x_m,y_m,height_m,radio,serial,type\n",
     "d%1$d,sensor,%2$d,1,1,868-10mw,S%1$d,motion\n"},
    {"corners of floors", "floors.csv", "level,ring,x_m,y_m\n", "ground,hole %2$d,%2$d,1\n"},
    {"openings of one wall", "openings.csv", "opening,wall,from_mm,to_mm,construction\n",
     "o%1$d,long,%1$d.1,%1$d.9,inside-door\n"},
    {"paths, which tell the devices", "paths.csv", "device,to,length_m,crossings,type\n",
     "s%1$d,panel,10,\"brick, timber floor\",motion\n"},
    {"walls of an unknown construction", "walls.csv",
     "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n",
     "w%1$d,ground,%2$d,0,%2$d,10,brick%1$d\n"},
    {"readings of unknown devices", "readings.csv", "heard_at,device,reading\n",
     "panel,nobody%1$d,-60\n"},
};

static char *make_table(const struct kind *kind, int n, size_t *size) {
    char *text = malloc(strlen(kind->header) + (size_t)n * ROW_SIZE + 1);
    if (!text)
        exit(EXIT_FAILURE);
    char *at = stpcpy(text, kind->header);
    if (strcmp(kind->table, "devices.csv") == 0)
        at = stpcpy(at, "panel,receiver,0,0,1,868-10mw,,receiver\n");
    for (int i = 0; i < n; i++)
        at += snprintf(at, ROW_SIZE, kind->row, i, i % 2000);
    *size = (size_t)(at - text);
    return text;
}

/* Seconds of processor time to load a survey with this table. */
static double time_load(const struct kind *kind, int n) {
    size_t size;
    char *text = make_table(kind, n, &size);
    bool walls = strcmp(kind->table, "walls.csv") == 0;
    bool devices =
        strcmp(kind->table, "devices.csv") == 0 || strcmp(kind->table, "paths.csv") == 0;
    const earshot_bytes tables[] = {
        {"site.csv", site, sizeof site - 1},
        {kind->table, text, size},
        walls ? (earshot_bytes){"devices.csv", panel, sizeof panel - 1}
              : (earshot_bytes){"walls.csv", wall, sizeof wall - 1},
        {"devices.csv", panel, sizeof panel - 1}};
    size_t n_tables = walls || devices ? 3 : 4;
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    clock_t begin = clock();
    enum earshot_status status = earshot_survey_load(tables, n_tables, findings, &survey);
    double seconds = (double)(clock() - begin) / CLOCKS_PER_SEC;
    if (status != EARSHOT_OK && status != EARSHOT_INVALID)
        exit(EXIT_FAILURE);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    free(text);
    return seconds;
}

int main(void) {
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        double few = time_load(&kinds[i], FEW), many = time_load(&kinds[i], MANY);
        printf("%-34s %d rows in %.2f s, %.2f us a row, %.2f times that of %d rows\n",
               kinds[i].what, MANY, many, many / MANY * 1e6, many / MANY / (few / FEW), FEW);
    }
    return EXIT_SUCCESS;
}
