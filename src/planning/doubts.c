/* SPDX-License-Identifier: GPL-3.0-or-later */
/* doubts.c - what only the model can see: a plan and a path row that disagree, a wall's loss
 * used far from the frequency it was found at.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "findings.h"
#include "planning.h"
#include "text.h"

static const double disagreement_db = 3;

static void compare_path(const earshot_survey *survey, const earshot_belief *belief,
                         const earshot_link *link, earshot_findings *findings) {
    size_t row = survey_path_between(survey, link->device, link->listener);
    if (link->path != EARSHOT_NONE || row == survey->n_paths)
        return;
    earshot_link by_path = *link;
    by_path.path = row;
    if (survey->paths[row].mount != EARSHOT_NONE)
        by_path.from.mount = survey->paths[row].mount;
    earshot_prediction plan, path;
    if (earshot_links_predict(survey, belief, link, 1, &plan) != EARSHOT_OK ||
        earshot_links_predict(survey, belief, &by_path, 1, &path) != EARSHOT_OK)
        return;
    double apart_db = fabs(plan.loss_db - path.loss_db);
    char apart[TEXT_NUMBER_SIZE];
    text_write_fixed(apart, apart_db, 1);
    if (apart_db > disagreement_db)
        findings_add(findings, FINDINGS_PATH_DISAGREES,
                     survey_line(survey->files.paths, survey->paths[row].table_line),
                     (const char *const[4]){survey->devices[link->device].name,
                                            survey->devices[link->listener].name, apart});
}

struct looking {
    const earshot_survey *survey;
    const earshot_belief *belief;
    size_t radio;
    earshot_findings *findings;
};

static void note_far(void *who, const engine_crossing *crossing) {
    const struct looking *looking = who;
    const earshot_survey *survey = looking->survey;
    const engine_loss *loss =
        &looking->belief
             ->losses[looking->radio * survey->n_constructions + crossing->construction];
    if (loss->extrapolated)
        findings_add(looking->findings, FINDINGS_EXTRAPOLATED, survey->files.penetration,
                     (const char *const[4]){NULL});
    if (loss->far)
        findings_add(
            looking->findings, FINDINGS_FAR_FREQUENCY, survey->files.penetration,
            (const char *const[4]){survey->constructions[crossing->construction].name});
}

/* Fewer than nine of ten trips, or nothing at all. */
static bool speaks_against(const survey_reading *reading) {
    return reading->pad_db == 0 && !reading->doors_open &&
           (reading->none || 10 * reading->heard < 9 * reading->trips);
}

static void compare_readings(const earshot_survey *survey, const earshot_link *link,
                             const earshot_prediction *prediction, earshot_findings *findings) {
    char heard[TEXT_NUMBER_SIZE], trips[TEXT_NUMBER_SIZE],
        what[3 * TEXT_NUMBER_SIZE] = "not heard";
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (!(prediction->notes & EARSHOT_NOTE_FEW_HEARD) || reading->device != link->device ||
            reading->heard_at != link->listener || !speaks_against(reading))
            continue;
        text_write_fixed(heard, reading->heard, 0);
        text_write_fixed(trips, reading->trips, 0);
        if (reading->trips)
            strcat(strcat(strcat(strcpy(what, "heard "), heard), " times of "), trips);
        findings_add(findings, FINDINGS_HEARD_AGAINST, survey_reading_place(survey, reading),
                     (const char *const[4]){survey->devices[link->device].name,
                                            survey->devices[link->listener].name, what});
    }
}

/* ---- a repeater's room ---- */

/* Whether a zone whose links begin at `at` is firm by this listener, and by no other. */
static bool hangs_on(const earshot_link *links, const earshot_prediction *predictions, size_t n,
                     size_t at, size_t listener) {
    bool here = false;
    for (size_t i = at; i < n && links[i].device == links[at].device; i++) {
        bool firm = predictions[i].verdict == EARSHOT_FIRM;
        if (firm && links[i].listener != listener)
            return false;
        here = here || firm;
    }
    return here;
}

/* Zones that any other listener hears may go elsewhere, and are not counted. */
static void compare_room(const earshot_survey *survey, const earshot_link *links,
                         const earshot_prediction *predictions, size_t n,
                         earshot_findings *findings) {
    for (size_t i = 0; i < survey->n_devices; i++) {
        const survey_device *device = &survey->devices[i];
        size_t n_zones = 0;
        char zones[TEXT_NUMBER_SIZE], room[TEXT_NUMBER_SIZE];
        for (size_t at = 0; device->role == SURVEY_REPEATER && at < n; at++)
            if ((at == 0 || links[at].device != links[at - 1].device) &&
                survey->devices[links[at].device].role == SURVEY_SENSOR)
                n_zones += hangs_on(links, predictions, n, at, i);
        if (!((double)n_zones > survey->site.zones_per_repeater))
            continue;
        text_write_fixed(zones, (double)n_zones, 0);
        text_write_fixed(room, survey->site.zones_per_repeater, 0);
        findings_add(findings, FINDINGS_REPEATER_FULL,
                     survey_line(survey->files.devices, device->table_line),
                     (const char *const[4]){device->name, zones, room});
    }
}

static void look_at(const earshot_survey *survey, const earshot_belief *belief,
                    const earshot_link *link, const earshot_prediction *prediction,
                    earshot_findings *findings) {
    struct looking looking = {survey, belief, link->from.radio, findings};
    if (prediction->notes & EARSHOT_NOTE_NO_PLACE)
        return;
    engine_walk(survey, link, NULL, note_far, &looking);
    if (prediction->notes & EARSHOT_NOTE_FAR)
        findings_add(findings, FINDINGS_FAR_AWAY, (findings_place){.file = "devices.csv"},
                     (const char *const[4]){NULL});
    compare_path(survey, belief, link, findings);
    compare_readings(survey, link, prediction, findings);
}

enum earshot_status earshot_survey_doubts(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          earshot_findings *findings) {
    size_t n = earshot_survey_links(survey, NULL, 0);
    earshot_link *links = calloc(n + 1, sizeof *links);
    earshot_prediction *predictions = calloc(n + 1, sizeof *predictions);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (links && predictions) {
        earshot_survey_links(survey, links, n);
        status = earshot_links_predict(survey, belief, links, n, predictions);
        for (size_t i = 0; i < n && status == EARSHOT_OK; i++)
            look_at(survey, belief, &links[i], &predictions[i], findings);
        if (status == EARSHOT_OK)
            compare_room(survey, links, predictions, n, findings);
    }
    free(links);
    free(predictions);
    return status == EARSHOT_OK ? planning_note_suspects(survey, belief, findings) : status;
}
