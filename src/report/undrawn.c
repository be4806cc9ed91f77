/* SPDX-License-Identifier: GPL-3.0-or-later */
/* undrawn.c - where readings say that something stands which is not in the plan.
 */
#include <math.h>
#include <stdlib.h>

#include "earshot/earshot.h"
#include "quality.h"
#include "write.h"

/* A way that it may stand across. */
struct way {
    earshot_link link;
    double chance;
};

static int likelier_first(const void *a, const void *b) {
    const struct way *left = a, *right = b;
    if (left->chance != right->chance)
        return left->chance < right->chance ? 1 : -1;
    if (left->link.device != right->link.device)
        return left->link.device > right->link.device ? 1 : -1;
    return (left->link.listener > right->link.listener) -
           (left->link.listener < right->link.listener);
}

/* All links that it may stand across, likelier ones first; the caller frees them. */
static struct way *find_ways(const earshot_survey *survey, const calibration_undrawn *undrawn,
                             size_t *n) {
    size_t n_links = earshot_survey_links(survey, NULL, 0);
    earshot_link *links = calloc(n_links + 1, sizeof *links);
    struct way *ways = calloc(n_links + 1, sizeof *ways);
    *n = 0;
    if (links && ways) {
        earshot_survey_links(survey, links, n_links);
        for (size_t i = 0; i < n_links; i++) {
            double chance = calibration_undrawn_on(undrawn, &links[i]);
            if (chance > 0)
                ways[(*n)++] = (struct way){links[i], chance};
        }
        qsort(ways, *n, sizeof *ways, likelier_first);
    } else {
        free(ways);
        ways = NULL;
    }
    free(links);
    return ways;
}

static const char *name_of(const earshot_survey *survey, size_t device) {
    return report_name(&survey->devices[device]);
}

/* The storey that it stands on, nearly certain if it is there at all; or NONE. */
static size_t level_of(const earshot_survey *survey, const calibration_undrawn *undrawn) {
    static const double nearly = 0.9;
    for (size_t level = 0; level < survey->n_levels; level++) {
        double chance = 0;
        for (size_t i = 0; i < undrawn->n_places; i++)
            if (undrawn->places[i].obstacle.level == level)
                chance += undrawn->places[i].chance;
        if (chance > nearly * undrawn->chance)
            return level;
    }
    return EARSHOT_NONE;
}

/* Odds only where they are not those of all. */
static void write_ways(const earshot_survey *survey, const calibration_undrawn *undrawn,
                       const struct way *ways, size_t n, earshot_text *out) {
    enum { MOST_WAYS = 6 };
    double least = undrawn->chance / 2;
    size_t level = level_of(survey, undrawn);
    if (n == 0 || ways[0].chance < least)
        return;
    text_add(out, " Look for it ");
    if (level != EARSHOT_NONE) {
        text_add(out, "on level ");
        text_add_in_line(out, survey->levels[level].name);
        text_add(out, ", ");
    }
    text_add(out, "along the way of ");
    for (size_t i = 0; i < n && i < MOST_WAYS && ways[i].chance >= least; i++) {
        text_add(out, i ? ", " : "");
        text_add_in_line(out, name_of(survey, ways[i].link.device));
        text_add(out, " to ");
        text_add_in_line(out, name_of(survey, ways[i].link.listener));
        if (ways[i].chance > 0.9 * undrawn->chance)
            continue;
        text_add(out, " (");
        report_odds(out, ways[i].chance);
        text_add(out, ")");
    }
    text_add(out, n > MOST_WAYS && ways[MOST_WAYS].chance >= least ? " and others." : ".");
}

/* In 5 of 200 buildings with one reading 25 dB low by a slip it is named, in 3 of them as less
 * likely than not (invented ones, 10 to 25 readings). */
static bool is_likely(const calibration_undrawn *undrawn) {
    return undrawn->chance >= 0.5;
}

static void write_odds(const calibration_undrawn *undrawn, earshot_text *out) {
    text_add(out, "Something that nobody drew ");
    text_add(out, is_likely(undrawn) ? "seems to stand" : "may stand");
    text_add(out, " in the way, ");
    report_odds(out, undrawn->chance);
}

void report_undrawn_line(const calibration_undrawn *undrawn, earshot_text *out) {
    if (undrawn->chance < calibration_worth_naming)
        return;
    write_odds(undrawn, out);
    text_add(out, ": earshot recalibrate says where to look.\n");
}

void report_undrawn(const earshot_survey *survey, const calibration_undrawn *undrawn,
                    earshot_text *out) {
    size_t n = 0;
    if (undrawn->chance < calibration_worth_naming)
        return;
    struct way *ways = find_ways(survey, undrawn, &n);
    earshot_text *text = earshot_text_new();
    if (ways && text) {
        write_odds(undrawn, text);
        text_add(text, is_likely(undrawn) ? ", and takes " : ", and then takes ");
        text_add_fixed(text, undrawn->places[0].obstacle.loss_db, 0);
        text_add(text, " dB");
        report_doubt(text, undrawn->places[0].obstacle.sd_db);
        text_add(text, ": metal, foil, a mirror, a duct.");
        write_ways(survey, undrawn, ways, n, text);
        text_add(text, " Once it is in walls.csv, the readings tell what it takes.");
        report_wrap(out, earshot_text_data(text), 0, 1);
    }
    if (!ways || !text || earshot_text_cut(text))
        text_lose(out);
    earshot_text_free(text);
    free(ways);
}

static void write_place(const earshot_survey *survey, const calibration_place *place,
                        report_json *json) {
    const engine_obstacle *obstacle = &place->obstacle;
    report_open(json, NULL, '{');
    report_string(json, "level",
                  obstacle->level == EARSHOT_NONE ? NULL
                                                  : survey->levels[obstacle->level].name);
    report_number(json, "x1_m", obstacle->a.x_m);
    report_number(json, "y1_m", obstacle->a.y_m);
    report_number(json, "x2_m", obstacle->b.x_m);
    report_number(json, "y2_m", obstacle->b.y_m);
    report_number(json, "loss_db", obstacle->loss_db);
    report_number(json, "loss_sd_db", obstacle->sd_db);
    report_number(json, "chance", place->chance);
    report_close(json, '}');
}

void report_undrawn_json(const earshot_survey *survey, const calibration_undrawn *undrawn,
                         report_json *json) {
    size_t n = 0;
    struct way *ways = find_ways(survey, undrawn, &n);
    if (!ways)
        text_lose(json->out);
    report_open(json, "undrawn", '{');
    report_number(json, "chance_before", undrawn->chance_before);
    report_number(json, "chance", undrawn->chance);
    report_open(json, "places", '[');
    for (size_t i = 0; i < undrawn->n_places; i++)
        write_place(survey, &undrawn->places[i], json);
    report_close(json, ']');
    report_open(json, "ways", '[');
    for (size_t i = 0; i < n; i++) {
        report_open(json, NULL, '{');
        report_string(json, "device", survey->devices[ways[i].link.device].name);
        report_string(json, "listener", survey->devices[ways[i].link.listener].name);
        report_number(json, "chance", ways[i].chance);
        report_close(json, '}');
    }
    report_close(json, ']');
    report_close(json, '}');
    free(ways);
}
