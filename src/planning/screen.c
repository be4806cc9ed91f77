/* SPDX-License-Identifier: GPL-3.0-or-later */
/* screen.c - thousands of places down to the few that are worth drawing for, by the chances of
 * single links: the normal one of each, as if they did not err together.
 *
 * From one zone to all places at once (earshot_ends_predict), so that the walls are sorted by
 * direction once a zone. A receiver's place is worth what it leaves short; a repeater's, whom
 * it would take on, and no place is kept that another outdoes for all zones.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "chance.h"
#include "places.h"

static const double life_counts = 10, apart_m = 1;

struct screening {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_watch *watch;
    const planning_place *places;
    size_t n_places;
    earshot_end *ends; /* at the places */
    double *margin_db, *sd_db;
    double *worth;
};

static bool goes_on(const struct screening *screening, double share_done) {
    const earshot_watch *watch = screening->watch;
    return !watch || !watch->go_on || watch->go_on(watch->who, share_done);
}

static void release(struct screening *screening) {
    free(screening->ends);
    free(screening->margin_db);
    free(screening->sd_db);
    free(screening->worth);
}

static bool prepare(struct screening *screening, const earshot_post *receiver, bool repeats) {
    size_t n = screening->n_places;
    screening->ends = calloc(n + 1, sizeof *screening->ends);
    screening->margin_db = calloc(n + 1, sizeof *screening->margin_db);
    screening->sd_db = calloc(n + 1, sizeof *screening->sd_db);
    screening->worth = calloc(n + 1, sizeof *screening->worth);
    if (!screening->ends || !screening->margin_db || !screening->sd_db || !screening->worth)
        return false;
    for (size_t i = 0; i < n; i++)
        screening->ends[i] = (repeats ? planning_post_repeater : planning_post_moved)(
                                 screening->survey, receiver, &screening->places[i], i)
                                 .end;
    return true;
}

/* Chances of links from (or to) one end, in place of their margins. */
static enum earshot_status chances(struct screening *screening, const earshot_end *fixed,
                                   bool fixed_listens, double asked_db) {
    enum earshot_status status = earshot_ends_predict(
        screening->survey, screening->belief, fixed, fixed_listens, screening->ends,
        screening->n_places, screening->margin_db, screening->sd_db);
    for (size_t i = 0; status == EARSHOT_OK && i < screening->n_places; i++) {
        double spare_db = screening->margin_db[i] - asked_db;
        screening->margin_db[i] =
            isnan(spare_db) ? 0
                            : chance_normal_below(spare_db / fmax(screening->sd_db[i], 1e-3));
    }
    return status;
}

/* ---- what is worth keeping ---- */

static double distance2_m2(const planning_place *a, const planning_place *b) {
    double x = a->at.x_m - b->at.x_m, y = a->at.y_m - b->at.y_m, z = a->at.z_m - b->at.z_m;
    return x * x + y * y + z * z;
}

static bool stands_apart(const struct screening *screening, size_t place, const size_t *kept,
                         size_t n_kept) {
    for (size_t i = 0; i < n_kept; i++)
        if (distance2_m2(&screening->places[place], &screening->places[kept[i]]) <
            apart_m * apart_m)
            return false;
    return true;
}

/* The most worth, first rows first, a meter apart; what is worth -INFINITY is not kept. */
static size_t keep_best(const struct screening *screening, size_t most, size_t *kept) {
    size_t n_kept = 0;
    while (n_kept < most) {
        size_t best = screening->n_places;
        for (size_t i = 0; i < screening->n_places; i++)
            if (screening->worth[i] > -INFINITY &&
                (best == screening->n_places || screening->worth[i] > screening->worth[best]))
                best = i;
        if (best == screening->n_places)
            break;
        if (stands_apart(screening, best, kept, n_kept))
            kept[n_kept++] = best;
        screening->worth[best] = -INFINITY;
    }
    return n_kept;
}

/* ---- receivers ---- */

/* How likely another listener of the survey hears the zone anyway. */
static double heard_otherwise(const struct screening *screening, const earshot_post *receiver,
                              size_t zone) {
    const earshot_survey *survey = screening->survey;
    double most = 0;
    for (size_t i = 0; i < survey->n_devices; i++) {
        earshot_prediction prediction;
        if (i == receiver->device || !survey_hears(survey, i, zone))
            continue;
        const earshot_link link = survey_link(survey, zone, i);
        if (earshot_links_predict(survey, screening->belief, &link, 1, &prediction) ==
                EARSHOT_OK &&
            prediction.chance > most)
            most = prediction.chance;
    }
    return most;
}

static enum earshot_status weigh_zone(struct screening *screening, const earshot_post *receiver,
                                      size_t zone) {
    const survey_device *device = &screening->survey->devices[zone];
    const earshot_end end = survey_end(device);
    double otherwise = heard_otherwise(screening, receiver, zone);
    enum earshot_status status = chances(
        screening, &end, false, survey_asked_db(screening->survey, device->life_safety));
    for (size_t i = 0; status == EARSHOT_OK && i < screening->n_places; i++)
        screening->worth[i] -= (device->life_safety ? life_counts : 1) *
                               (1 - fmax(screening->margin_db[i], otherwise));
    return status;
}

/* A zone with a place that the receiver hears. */
static bool counts(const earshot_survey *survey, const earshot_post *receiver, size_t device) {
    return survey->devices[device].role == SURVEY_SENSOR &&
           !isnan(survey->devices[device].place.x_m) &&
           survey_hears(survey, receiver->device, device);
}

enum earshot_status planning_screen_receivers(const earshot_survey *survey,
                                              const earshot_belief *belief,
                                              const earshot_post *receiver,
                                              const planning_place *places, size_t n_places,
                                              size_t most, const earshot_watch *watch,
                                              size_t *kept, size_t *n_kept) {
    struct screening screening = {.survey = survey,
                                  .belief = belief,
                                  .watch = watch,
                                  .places = places,
                                  .n_places = n_places};
    enum earshot_status status =
        prepare(&screening, receiver, false) ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < survey->n_devices; i++)
        if (!goes_on(&screening, (double)i / (double)survey->n_devices))
            status = EARSHOT_STOPPED;
        else if (counts(survey, receiver, i))
            status = weigh_zone(&screening, receiver, i);
    if (status == EARSHOT_OK)
        *n_kept = keep_best(&screening, most, kept);
    release(&screening);
    return status;
}

/* ---- repeaters ---- */

/* By place and wanting zone: how sure the zone goes that way, in its asked chance; 1 or more is
 * enough. */
struct offers {
    float *of; /* place by place */
    size_t n_zones;
};

/* The own link of each place to the receiver that hears it best, asked what any zone asks. */
static enum earshot_status own_chances(struct screening *screening, double *own) {
    const earshot_survey *survey = screening->survey;
    enum earshot_status status = EARSHOT_OK;
    for (size_t i = 0; status == EARSHOT_OK && i < survey->n_devices; i++) {
        if (survey->devices[i].role != SURVEY_RECEIVER || isnan(survey->devices[i].place.x_m))
            continue;
        const earshot_end end = survey_end(&survey->devices[i]);
        status = chances(screening, &end, true, survey->site.required_margin_db);
        for (size_t p = 0; status == EARSHOT_OK && p < screening->n_places; p++)
            own[p] = fmax(own[p], screening->margin_db[p]);
    }
    return status;
}

static enum earshot_status offer_zone(struct screening *screening, size_t zone,
                                      const double *own, size_t column, struct offers *offers) {
    const survey_device *device = &screening->survey->devices[zone];
    const earshot_end end = survey_end(device);
    double confidence = survey_confidence(screening->survey, device->life_safety);
    enum earshot_status status = chances(
        screening, &end, false, survey_asked_db(screening->survey, device->life_safety));
    for (size_t p = 0; status == EARSHOT_OK && p < screening->n_places; p++)
        offers->of[p * offers->n_zones + column] =
            (float)(fmin(screening->margin_db[p], own[p]) / confidence);
    return status;
}

/* Whom it takes on, and how surely: one zone more outweighs any surety. */
static double worth_of(const struct offers *offers, size_t place) {
    double worth = 0;
    for (size_t z = 0; z < offers->n_zones; z++) {
        double offer = (double)offers->of[place * offers->n_zones + z];
        worth += (offer >= 1) + offer / (4 * (double)offers->n_zones);
    }
    return worth;
}

/* Whether the place serves no zone that `other` does not, and none more surely. */
static bool outdone(const struct offers *offers, size_t place, size_t other) {
    for (size_t z = 0; z < offers->n_zones; z++)
        if (offers->of[place * offers->n_zones + z] > offers->of[other * offers->n_zones + z])
            return false;
    return true;
}

/* Best first; each one that is not outdone by a better one, nor stands beside it. */
static size_t keep_offers(struct screening *screening, const struct offers *offers, size_t most,
                          size_t *kept) {
    size_t n_kept = 0;
    for (size_t p = 0; p < screening->n_places; p++)
        screening->worth[p] = worth_of(offers, p);
    while (n_kept < most) {
        size_t best = screening->n_places;
        for (size_t p = 0; p < screening->n_places; p++)
            if (screening->worth[p] > 0 &&
                (best == screening->n_places || screening->worth[p] > screening->worth[best]))
                best = p;
        if (best == screening->n_places)
            break;
        bool wanted = stands_apart(screening, best, kept, n_kept);
        for (size_t i = 0; wanted && i < n_kept; i++)
            wanted = !outdone(offers, best, kept[i]);
        if (wanted)
            kept[n_kept++] = best;
        screening->worth[best] = 0;
    }
    return n_kept;
}

static enum earshot_status offer_all(struct screening *screening, const unsigned char *wanting,
                                     double *own, struct offers *offers) {
    const earshot_survey *survey = screening->survey;
    enum earshot_status status = own_chances(screening, own);
    size_t zone = 0, column = 0;
    for (size_t i = 0; status == EARSHOT_OK && i < survey->n_devices; i++) {
        if (survey->devices[i].role != SURVEY_SENSOR || !wanting[zone++])
            continue;
        if (!goes_on(screening, (double)i / (double)survey->n_devices))
            status = EARSHOT_STOPPED;
        else if (!isnan(survey->devices[i].place.x_m))
            status = offer_zone(screening, i, own, column, offers);
        column++;
    }
    return status;
}

enum earshot_status
planning_screen_repeaters(const earshot_survey *survey, const earshot_belief *belief,
                          const earshot_post *receiver, const unsigned char *wanting,
                          const planning_place *places, size_t n_places, size_t most,
                          const earshot_watch *watch, size_t *kept, size_t *n_kept) {
    struct screening screening = {.survey = survey,
                                  .belief = belief,
                                  .watch = watch,
                                  .places = places,
                                  .n_places = n_places};
    struct offers offers = {.n_zones = 0};
    for (size_t zone = 0; zone < earshot_survey_zones(survey); zone++)
        offers.n_zones += wanting[zone] != 0;
    double *own = calloc(n_places + 1, sizeof *own);
    offers.of = calloc(n_places * offers.n_zones + 1, sizeof *offers.of);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (own && offers.of && prepare(&screening, receiver, true))
        status = offer_all(&screening, wanting, own, &offers);
    if (status == EARSHOT_OK)
        *n_kept = keep_offers(&screening, &offers, most, kept);
    release(&screening);
    free(own);
    free(offers.of);
    return status;
}
