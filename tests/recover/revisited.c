/* SPDX-License-Identifier: GPL-3.0-or-later */
/* revisited.c - two visits of which is known what changed: how often is a link said to have
 * changed that did not, and how often is one found that did?
 *
 *     revisited PAIRS [SCENE]
 *
 * The scatter of a pair of visits is drawn as drift doubts it: what is stated, as if thirty
 * links had told it. Scenes where it is just as stated, or links scatter wider than normals,
 * tell what that is worth; they are told, and ask nothing.
 */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "drift.h"

enum { TEXT = 60000 };

struct scene {
    const char *name;
    int n_zones, n_rooms, n_receivers;
    bool by_hand, types, bars, trips; /* else in place, of one type, in dBm, without counts */
    bool as_stated;                   /* the scatter is no wider or less */
    bool wide;                        /* links scatter as the dB of a Rayleigh fade */
    int n_fallen;                     /* zones that fell by 14 dB: a battery */
    double most_false, least_found;   /* shares asked; 0: told only */
};

static unsigned n_checks, n_failed;

static void check(int good, const char *what) {
    printf("%sok %u - %s\n", good ? "" : "not ", ++n_checks, what);
    n_failed += !good;
}

/* ---- two visits ---- */

struct text {
    char text[TEXT];
    int size;
};

static void add(struct text *out, const char *form, ...) {
    va_list list;
    va_start(list, form);
    out->size += vsnprintf(out->text + out->size, (size_t)(TEXT - out->size), form, list);
    va_end(list);
    if (out->size >= TEXT)
        abort();
}

/* With mean 0 and variance 1. The dB of a Rayleigh fade: mean -2.507, sd 5.570 (from memory).
 */
static double off(gsl_rng *random, bool wide) {
    if (wide)
        return (10 * log10(gsl_ran_exponential(random, 1)) + 2.507) / 5.570;
    return gsl_ran_gaussian(random, 1);
}

/* The bar of bars-5 of materials/scales.csv. */
static double bar(double level_dbm) {
    return fmin(5, fmax(1, 1 + floor((level_dbm + 105) / 10)));
}

static void draw_link(gsl_rng *random, const struct scene *scene, int zone, int receiver,
                      double ratio, struct text *readings) {
    double level_dbm = -40 - 40 * gsl_rng_uniform(random);
    double scatter_db = ratio * (scene->by_hand ? 5 : 3.5) / sqrt(2);
    double heard = 0.3 + 0.7 * gsl_rng_uniform(random);
    for (int visit = 1; visit <= 2; visit++) {
        double fell_db = visit == 2 && zone < scene->n_fallen ? 14 : 0;
        double shown_dbm = level_dbm - fell_db + scatter_db * off(random, scene->wide);
        add(readings, scene->bars ? "p%d,s%d,%.0f,bars-5,%s,%d," : "p%d,s%d,%.1f,dbm,%s,%d,",
            receiver, zone, scene->bars ? bar(shown_dbm) : shown_dbm,
            scene->by_hand ? "held" : "in place", visit);
        if (scene->trips)
            add(readings, "10,%u\n", gsl_ran_binomial(random, heard, 10));
        else
            add(readings, ",\n");
    }
}

static earshot_survey *load(const char *devices, const char *paths, const char *readings) {
    const char *const tables[][2] = {
        {"devices.csv", devices}, {"paths.csv", paths}, {"readings.csv", readings}};
    earshot_bytes bytes[3];
    earshot_survey *survey = NULL;
    earshot_findings *findings = earshot_findings_new();
    for (int i = 0; i < 3; i++)
        bytes[i] = (earshot_bytes){tables[i][0], tables[i][1], strlen(tables[i][1])};
    if (!findings || earshot_survey_load(bytes, 3, findings, &survey) != EARSHOT_OK)
        abort();
    earshot_findings_free(findings);
    return survey;
}

static earshot_survey *draw(gsl_rng *random, const struct scene *scene) {
    static const char *const types[] = {"motion", "contact", "smoke"};
    static struct text devices, paths, readings;
    double ratio = scene->as_stated ? 1 : sqrt(30 / gsl_ran_chisq(random, 30));
    devices.size = paths.size = readings.size = 0;
    add(&devices, "device,role,radio,type,room\n");
    add(&paths, "device,to,length_m\n");
    add(&readings, "heard_at,device,reading,scale,placed,visit,trips,heard\n");
    for (int i = 0; i < scene->n_receivers; i++)
        add(&devices, "p%d,receiver,868-10mw,,\n", i);
    for (int i = 0; i < scene->n_zones; i++) {
        add(&devices, "s%d,sensor,%s,%s,", i, scene->types && i % 2 ? "868-25mw" : "868-10mw",
            types[scene->types ? i / 2 % 3 : 0]);
        if (scene->n_rooms)
            add(&devices, "r%d", i % scene->n_rooms);
        add(&devices, "\n");
        for (int j = 0; j < scene->n_receivers; j++) {
            add(&paths, "s%d,p%d,%d\n", i, j, 3 + i);
            draw_link(random, scene, i, j, ratio, &readings);
        }
    }
    return load(devices.text, paths.text, readings.text);
}

/* ---- what is said of them ---- */

struct tally {
    size_t n, n_false, n_groups, n_found; /* pairs of visits; zones found */
};

static bool fell(const earshot_survey *survey, const struct scene *scene, size_t device) {
    return atoi(survey->devices[device].name + 1) < scene->n_fallen;
}

static void compare(const earshot_survey *survey, const struct scene *scene,
                    struct tally *tally) {
    earshot_belief *belief = NULL;
    calibration_drift drift;
    bool some_false = false, some_group = false;
    size_t last = EARSHOT_NONE;
    if (earshot_belief_prior(survey, &belief) != EARSHOT_OK ||
        calibration_compare_visits(survey, belief, 0, 1, &drift) != EARSHOT_OK)
        abort();
    for (size_t i = 0; i < drift.n_groups; i++)
        some_group = some_group || drift.groups[i].shifted;
    for (size_t i = 0; i < drift.n_changes; i++) {
        size_t device = drift.changes[i].device;
        if (!drift.changes[i].changed)
            continue;
        if (!fell(survey, scene, device))
            some_false = true;
        else if (device != last) /* a zone's links come one after the other */
            tally->n_found++;
        last = device;
    }
    tally->n++;
    tally->n_false += some_false;
    tally->n_groups += some_group;
    calibration_drift_free(&drift);
    earshot_belief_free(belief);
}

static struct tally run(const struct scene *scene, size_t n_pairs) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    struct tally tally = {0};
    gsl_rng_set(random, 1);
    while (tally.n < n_pairs) {
        earshot_survey *survey = draw(random, scene);
        compare(survey, scene, &tally);
        earshot_survey_free(survey);
    }
    gsl_rng_free(random);
    return tally;
}

/* Three standard errors of a share that was asked, of so many drawn. */
static double slack(double share, size_t n) {
    return 3 * sqrt(share * (1 - share) / (double)n);
}

/* Asked of where nothing changed: one in twenty, of links and of groups. Of one zone of 25 that
 * fell 14 dB in place, four sds: that seven in ten are found. */
int main(int argc, char **argv) {
    static const struct scene scenes[] = {
        {"8 zones", 8, 0, 1, .most_false = 0.05},
        {"25 zones", 25, 0, 1, .most_false = 0.05},
        {"25 zones by hand", 25, 0, 1, .by_hand = true, .most_false = 0.05},
        {"60 zones in 15 rooms", 60, 15, 1, .most_false = 0.05},
        {"25 zones of three types and two radios", 25, 0, 1, .types = true, .most_false = 0.05},
        {"12 zones at two receivers", 12, 4, 2, .types = true, .most_false = 0.05},
        {"25 zones in bars", 25, 0, 1, .bars = true, .most_false = 0.05},
        {"25 zones with counts", 25, 0, 1, .trips = true, .most_false = 0.05},
        {"25 zones, as stated", 25, 0, 1, .as_stated = true, .most_false = 0.05},
        {"25 zones, wide tails", 25, 0, 1, .as_stated = true, .wide = true},
        {"one of 8 fell", 8, 0, 1, .as_stated = true, .n_fallen = 1, .least_found = 0.7},
        {"one of 25 fell", 25, 8, 1, .as_stated = true, .n_fallen = 1, .least_found = 0.7},
        {"three of 25 fell", 25, 0, 1, .as_stated = true, .n_fallen = 3, .least_found = 0.7},
        {"one of 25 fell, by hand", 25, 0, 1, .as_stated = true, .by_hand = true,
         .n_fallen = 1},
        {"one of 12 at two receivers fell", 12, 4, 2, .as_stated = true, .by_hand = true,
         .types = true, .n_fallen = 1},
    };
    size_t n_pairs = argc > 1 ? (size_t)atol(argv[1]) : 100;
    for (size_t i = 0; i < sizeof scenes / sizeof *scenes; i++) {
        const struct scene *scene = &scenes[i];
        if (argc > 2 && !strstr(scene->name, argv[2]))
            continue;
        const struct tally tally = run(scene, n_pairs);
        double n = (double)tally.n, n_fell = n * scene->n_fallen;
        double found = n_fell > 0 ? (double)tally.n_found / n_fell : 0;
        double most = scene->most_false + slack(scene->most_false, tally.n);
        char what[200];
        snprintf(what, sizeof what,
                 "%s: false links in %.1f %%, groups in %.1f %% of %zu, %.1f %% found",
                 scene->name, 100 * (double)tally.n_false / n, 100 * (double)tally.n_groups / n,
                 tally.n, 100 * found);
        check((scene->most_false == 0 ||
               ((double)tally.n_false / n <= most && (double)tally.n_groups / n <= most)) &&
                  found >= scene->least_found - slack(scene->least_found, tally.n),
              what);
    }
    printf("1..%u\n", n_checks);
    return n_failed > 0;
}
