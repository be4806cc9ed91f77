/* SPDX-License-Identifier: GPL-3.0-or-later */
/* gather.c - everything that a report on a survey shows, worked out once for all forms.
 */
#include <math.h>
#include <stdlib.h>

#include "write.h"

enum { USUAL_PARTS = 16 }; /* of a ledger; a longer one is worked out twice */

static enum earshot_status ledger(const report_survey *gathered, report_link *link) {
    size_t room = USUAL_PARTS;
    enum earshot_status status;
    do {
        room = link->n_parts > room ? link->n_parts : room;
        free(link->parts);
        link->parts = calloc(room, sizeof *link->parts);
        status = link->parts
                     ? earshot_link_ledger(gathered->survey, gathered->belief, &link->link,
                                           link->parts, room, &link->n_parts, &link->prediction)
                     : EARSHOT_NO_MEMORY;
    } while (status == EARSHOT_OK && link->n_parts > room);
    return status;
}

/* Of the last visit, doors shut, which is what the verdict goes by. Behind a pad a count is one
 * of another link, and a level has it added. */
static report_measured measured_of(const earshot_survey *survey, const earshot_link *link) {
    report_measured measured = {.level_dbm = NAN};
    size_t last = 0;
    double sum_dbm = 0;
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (reading->device != link->device || reading->heard_at != link->listener ||
            reading->doors_open || reading->visit < last)
            continue;
        if (reading->visit > last) {
            measured = (report_measured){.level_dbm = NAN};
            sum_dbm = 0;
        }
        last = reading->visit;
        measured.n_rows++;
        measured.trips += reading->pad_db > 0 ? 0 : reading->trips;
        measured.heard += reading->pad_db > 0 ? 0 : reading->heard;
        measured.silent =
            measured.silent || (reading->none && !reading->trips && reading->pad_db == 0);
        if (reading->low_dbm == reading->high_dbm) {
            sum_dbm += reading->low_dbm + reading->pad_db;
            measured.n_levels++;
        }
    }
    if (measured.n_levels)
        measured.level_dbm = sum_dbm / (double)measured.n_levels;
    return measured;
}

/* What the tables alone say of each link. */
static enum earshot_status gather_plan(report_survey *gathered) {
    earshot_belief *prior = NULL;
    if (!gathered->belief->reads) {
        for (size_t i = 0; i < gathered->n_links; i++)
            gathered->links[i].plan = gathered->links[i].prediction;
        return EARSHOT_OK;
    }
    enum earshot_status status = earshot_belief_prior(gathered->survey, &prior);
    for (size_t i = 0; status == EARSHOT_OK && i < gathered->n_links; i++)
        status = earshot_links_predict(gathered->survey, prior, &gathered->links[i].link, 1,
                                       &gathered->links[i].plan);
    earshot_belief_free(prior);
    return status;
}

static enum earshot_status gather_links(report_survey *gathered) {
    size_t n = earshot_survey_links(gathered->survey, NULL, 0);
    earshot_link *links = calloc(n + 1, sizeof *links);
    gathered->links = calloc(n + 1, sizeof *gathered->links);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (links && gathered->links) {
        gathered->n_links = n;
        earshot_survey_links(gathered->survey, links, n);
        status = EARSHOT_OK;
        for (size_t i = 0; i < n && status == EARSHOT_OK; i++) {
            gathered->links[i].link = links[i];
            gathered->links[i].measured = measured_of(gathered->survey, &links[i]);
            status = ledger(gathered, &gathered->links[i]);
        }
    }
    free(links);
    return status == EARSHOT_OK ? gather_plan(gathered) : status;
}

static const double likelier_than_not = 0.5;

/* `at` is not beyond the first link of the zone; links and zones are in the order of
 * devices.csv.
 */
static void complete(report_survey *gathered, const earshot_zone *from, size_t *at,
                     report_zone *zone) {
    *zone = (report_zone){.zone = *from, .link = EARSHOT_NONE};
    for (; *at < gathered->n_links && gathered->links[*at].link.device <= from->device; ++*at)
        if (gathered->links[*at].link.device == from->device &&
            gathered->links[*at].link.listener == from->link.listener)
            zone->link = *at;
    const report_link *link = zone->link == EARSHOT_NONE ? NULL : &gathered->links[zone->link];
    zone->advice =
        planning_advise(gathered->survey, gathered->belief, &from->link, &from->prediction,
                        link ? link->parts : NULL, link ? link->n_parts : 0);
    if (link && link->plan.verdict == EARSHOT_FIRM && from->prediction.verdict != EARSHOT_FIRM)
        zone->has_cause = calibration_likeliest_cause(
            gathered->survey, gathered->belief, &from->link,
            link->plan.margin_db - from->prediction.margin_db, &zone->cause);
    if (zone->has_cause && zone->cause.kind == CALIBRATION_BY_UNDRAWN &&
        zone->cause.chance >= likelier_than_not)
        zone->advice = (planning_advice){
            .cause = EARSHOT_NONE, .step = PLANNING_SEEK, .gain_db = zone->cause.more_db};
    gathered->count[from->prediction.verdict]++;
    gathered->by_basis[from->prediction.basis]++;
}

/* The zones by the links that are there already. */
static enum earshot_status judge_zones(const report_survey *gathered, earshot_zone *zones,
                                       size_t most, size_t *n_zones) {
    earshot_link *links = calloc(gathered->n_links + 1, sizeof *links);
    earshot_prediction *predictions = calloc(gathered->n_links + 1, sizeof *predictions);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (links && predictions) {
        for (size_t i = 0; i < gathered->n_links; i++) {
            links[i] = gathered->links[i].link;
            predictions[i] = gathered->links[i].prediction;
        }
        status = planning_judge_zones(gathered->survey, gathered->belief, links, predictions,
                                      gathered->n_links, zones, most, n_zones);
    }
    free(links);
    free(predictions);
    return status;
}

static enum earshot_status gather_zones(report_survey *gathered) {
    size_t most = gathered->survey->n_devices, n = 0, at = 0;
    earshot_zone *zones = calloc(most + 1, sizeof *zones);
    gathered->zones = calloc(most + 1, sizeof *gathered->zones);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (zones && gathered->zones)
        status = judge_zones(gathered, zones, most, &n);
    if (status == EARSHOT_OK) {
        gathered->n_zones = n;
        for (size_t i = 0; i < n; i++)
            complete(gathered, &zones[i], &at, &gathered->zones[i]);
    }
    free(zones);
    return status;
}

enum earshot_status report_gather(const earshot_survey *survey, const earshot_belief *belief,
                                  const earshot_findings *findings, report_survey *out) {
    report_survey gathered = {.survey = survey, .belief = belief, .findings = findings};
    enum earshot_status status = gather_links(&gathered);
    if (status == EARSHOT_OK)
        status = gather_zones(&gathered);
    if (status == EARSHOT_OK)
        status = calibration_undrawn_of(belief, &gathered.undrawn);
    if (status == EARSHOT_OK)
        *out = gathered;
    else
        report_release(&gathered);
    return status;
}

void report_release(report_survey *gathered) {
    for (size_t i = 0; gathered->links && i < gathered->n_links; i++)
        free(gathered->links[i].parts);
    free(gathered->links);
    free(gathered->zones);
}
