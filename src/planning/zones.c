/* SPDX-License-Identifier: GPL-3.0-or-later */
/* zones.c - links to zones: who hears each sensor best, and whether that is enough.
 *
 * A zone is firm when at least one of its links is. A repeater helps only while its own link to
 * a receiver is firm; until then what it hears goes nowhere, and is not counted. And both hops
 * must hold together: two that are firm by a hair each are not.
 */
#include <math.h>
#include <stdlib.h>

#include "planning.h"

struct judging {
    const earshot_survey *survey;
    const earshot_link *links; /* those of a device together, in the order of the devices */
    const earshot_prediction *predictions;
    size_t n;
    const bool *passes_on; /* by device: a link of it is firm */
};

static bool counts(const struct judging *judging, size_t link) {
    size_t listener = judging->links[link].listener;
    return judging->survey->devices[listener].role == SURVEY_RECEIVER ||
           judging->passes_on[listener];
}

/* Firm before thin before out before not judged; then the greater chance, any before none. */
static bool better(const earshot_prediction *a, const earshot_prediction *b) {
    if (a->verdict != b->verdict)
        return a->verdict < b->verdict;
    return a->chance > b->chance || (isnan(b->chance) && !isnan(a->chance));
}

/* What is known of a zone that nobody hears. */
static const earshot_end nowhere = {.x_m = NAN,
                                    .y_m = NAN,
                                    .z_m = NAN,
                                    .radio = EARSHOT_NONE,
                                    .mount = EARSHOT_NONE,
                                    .bias = EARSHOT_NONE};
static const earshot_prediction unknown = {.distance_m = NAN,
                                           .loss_db = NAN,
                                           .rx_power_dbm = NAN,
                                           .expected_reading_dbm = NAN,
                                           .reading_sd_db = NAN,
                                           .needed_dbm = NAN,
                                           .margin_db = NAN,
                                           .margin_sd_db = NAN,
                                           .required_margin_db = NAN,
                                           .spare_db = NAN,
                                           .chance = NAN,
                                           .verdict = EARSHOT_NOT_JUDGED};

/* `at` is its first link, and becomes that of the next device. */
static earshot_zone judge(const struct judging *judging, size_t device, size_t *at) {
    earshot_zone zone = {.device = device,
                         .link = {.from = nowhere,
                                  .to = nowhere,
                                  .device = device,
                                  .listener = EARSHOT_NONE,
                                  .path = EARSHOT_NONE,
                                  .life_safety = judging->survey->devices[device].life_safety},
                         .prediction = unknown};
    bool any = false;
    while (*at < judging->n && judging->links[*at].device < device)
        ++*at;
    for (; *at < judging->n && judging->links[*at].device == device; ++*at) {
        const size_t i = *at;
        if (!counts(judging, i) || (any && !better(&judging->predictions[i], &zone.prediction)))
            continue;
        zone.link = judging->links[i];
        zone.prediction = judging->predictions[i];
        any = true;
    }
    return zone;
}

/* ---- both hops together ---- */

enum { N_DRAWS = 4000, SEED = 1, MOST_HOPS = 16 };

/* The share of draws in which the zone is heard with all that is asked, and passed on so too.
 */
static double held_together(const double *margin_db, size_t n_links, double required_db) {
    size_t n_held = 0;
    for (size_t k = 0; k < N_DRAWS; k++) {
        const double *draw = margin_db + k * n_links;
        double passed_db = -INFINITY;
        for (size_t i = 1; i < n_links; i++)
            passed_db = fmax(passed_db, draw[i]);
        n_held += fmin(draw[0], passed_db) >= required_db;
    }
    return (double)n_held / N_DRAWS;
}

static enum earshot_status judge_relayed(const struct judging *judging,
                                         const earshot_belief *belief, earshot_zone *zone) {
    double confidence = survey_confidence(judging->survey, zone->link.life_safety);
    earshot_link hops[MOST_HOPS] = {zone->link};
    size_t n = 1;
    for (size_t i = 0; i < judging->n && n < MOST_HOPS; i++)
        if (judging->links[i].device == zone->link.listener)
            hops[n++] = judging->links[i];
    double *margin_db = calloc(n * N_DRAWS, sizeof *margin_db);
    if (!margin_db)
        return EARSHOT_NO_MEMORY;
    enum earshot_status status =
        earshot_links_draw(judging->survey, belief, hops, n, SEED, 0, N_DRAWS, margin_db);
    if (status == EARSHOT_OK) {
        double chance = held_together(margin_db, n, zone->prediction.required_margin_db);
        zone->prediction.chance = fmin(zone->prediction.chance, chance);
        if (chance < confidence)
            zone->prediction.verdict = EARSHOT_THIN;
    }
    free(margin_db);
    return status;
}

static bool is_relayed(const struct judging *judging, const earshot_zone *zone) {
    return zone->prediction.verdict == EARSHOT_FIRM &&
           judging->survey->devices[zone->link.listener].role == SURVEY_REPEATER;
}

enum earshot_status
planning_judge_zones(const earshot_survey *survey, const earshot_belief *belief,
                     const earshot_link *links, const earshot_prediction *predictions, size_t n,
                     earshot_zone *zones, size_t capacity, size_t *n_zones) {
    enum earshot_status status = EARSHOT_OK;
    bool *passes_on = calloc(survey->n_devices + 1, sizeof *passes_on);
    size_t found = 0, at = 0;
    if (!passes_on)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < n; i++)
        passes_on[links[i].device] |= predictions[i].verdict == EARSHOT_FIRM;
    const struct judging judging = {survey, links, predictions, n, passes_on};
    for (size_t i = 0; status == EARSHOT_OK && i < survey->n_devices; i++) {
        if (survey->devices[i].role != SURVEY_SENSOR)
            continue;
        if (found < capacity) {
            zones[found] = judge(&judging, i, &at);
            if (is_relayed(&judging, &zones[found]))
                status = judge_relayed(&judging, belief, &zones[found]);
        }
        found++;
    }
    if (status == EARSHOT_OK)
        *n_zones = found;
    free(passes_on);
    return status;
}

enum earshot_status earshot_zones_judge(const earshot_survey *survey,
                                        const earshot_belief *belief, earshot_zone *zones,
                                        size_t capacity, size_t *n_zones) {
    size_t n = earshot_survey_links(survey, NULL, 0);
    earshot_link *links = calloc(n + 1, sizeof *links);
    earshot_prediction *predictions = calloc(n + 1, sizeof *predictions);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (links && predictions) {
        earshot_survey_links(survey, links, n);
        status = earshot_links_predict(survey, belief, links, n, predictions);
    }
    if (status == EARSHOT_OK)
        status = planning_judge_zones(survey, belief, links, predictions, n, zones, capacity,
                                      n_zones);
    free(links);
    free(predictions);
    return status;
}
