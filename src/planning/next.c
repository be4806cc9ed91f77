/* SPDX-License-Identifier: GPL-3.0-or-later */
/* next.c - which reading is worth its minutes: the one that lowers the expected number of wrong
 * verdicts most, for each minute it takes; then the next with that one made.
 *
 * A verdict is wrong when it says firm and the margin falls short, or the other way round. All
 * margins and all that might be read are normals that vary together (calibration/joint.c). A
 * reading will tell k^2 = c^2 / (v + noise) of a margin's variance, whatever it shows, and the
 * mean moves by as much, so that what the verdict will be can be weighed before:
 *
 *     P(wrong) = integral over m' ~ N(m, k^2) of  1 - p(m') where p(m') >= confidence, else
 * p(m')
 *
 * with p the chance of the required margin (Raiffa and Schlaifer, Applied Statistical Decision
 * Theory, 1961, for preposterior analysis, from memory). The skew of the fade is left out here.
 * Choosing one by one is not the best set, but near it, and in walking order.
 */
#include "next.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "chance.h"
#include "joint.h"
#include "observations.h"
#include "planning.h"

/* A reading pays if it settles a verdict in 100 minutes or less. Judgement. */
static const double least_settled_a_minute = 0.01;

static double square(double x) {
    return x * x;
}

/* ---- what a verdict may come to ---- */

struct verdict {
    double mean_db, told_sd_db, left_sd_db, required_db;
    bool firm;
};

static double wrong_density(double z, void *who) {
    const struct verdict *verdict = who;
    double mean_db = verdict->mean_db + z * verdict->told_sd_db;
    double p = chance_normal_below((mean_db - verdict->required_db) / verdict->left_sd_db);
    return chance_normal_density(z) * (verdict->firm ? 1 - p : p);
}

double planning_wrong_chance(double mean_db, double told_db2, double left_db2,
                             double required_db, double confidence) {
    static const double reach = 7;
    struct verdict verdict = {mean_db, sqrt(fmax(told_db2, 1e-9)), sqrt(fmax(left_db2, 1e-9)),
                              required_db, false};
    double asked = engine_asked_chance(confidence, verdict.left_sd_db, false);
    double firm_from_db = required_db + chance_normal_quantile(asked) * verdict.left_sd_db;
    double z = fmin(fmax((firm_from_db - mean_db) / verdict.told_sd_db, -reach), reach);
    double wrong = chance_integrate(wrong_density, &verdict, -reach, z, 2);
    verdict.firm = true;
    return wrong + chance_integrate(wrong_density, &verdict, z, reach, 2);
}

/* ---- candidates and what they would tell ---- */

struct candidate {
    size_t device, spot, listener;
    earshot_link link;
    double noise_db2;
    planning_where where;
    bool made;
};

struct target {
    double mean_db, required_db, confidence, before_db2, wrong;
};

struct choosing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    bool in_place;
    struct target *targets;
    size_t n_targets;
    struct candidate *candidates;
    size_t n_candidates;
    engine_result *results; /* of targets, then of candidates */
    engine_view *views;
    double *covariance; /* of all views */
    double *shared;     /* scratch, one for each */
};

static void add_candidate(struct choosing *choosing, struct candidate candidate) {
    double session_db2 = square(choosing->belief->session_sd_db);
    candidate.noise_db2 = session_db2 + calibration_meter_noise_db2();
    if (!choosing->in_place || candidate.device == EARSHOT_NONE) /* a fade of its own */
        candidate.noise_db2 += square(choosing->belief->static_sd_db);
    choosing->candidates[choosing->n_candidates++] = candidate;
}

/* Whether a link was read already, as well as it would be now: the same once more tells little,
 * and what looks wrong of it is named elsewhere (calibration/mistakes.c). */
static bool was_read(const struct choosing *choosing, const earshot_link *link) {
    const engine_reads *reads = choosing->belief->reads;
    for (size_t i = 0; reads && i < reads->n; i++)
        if (reads->views[i].device == link->device &&
            reads->views[i].listener == link->listener &&
            (reads->views[i].in_place || !choosing->in_place))
            return true;
    return false;
}

static void add_zone(struct choosing *choosing, const earshot_zone *zone) {
    const earshot_survey *survey = choosing->survey;
    const earshot_prediction *prediction = &zone->prediction;
    bool back = prediction->notes & EARSHOT_NOTE_WAY_BACK;
    size_t at = choosing->n_targets;
    if (isnan(prediction->margin_sd_db) || zone->link.listener == EARSHOT_NONE)
        return;
    engine_solve_told(survey, choosing->belief, &zone->link, back, NULL,
                      &choosing->results[at]);
    choosing->views[at] = engine_view_of(&zone->link, &choosing->results[at], true);
    choosing->views[at].in_place = true; /* its fade counts, and can be read */
    choosing->targets[choosing->n_targets++] = (struct target){
        .mean_db = prediction->margin_db,
        .required_db = prediction->required_margin_db,
        .confidence = zone->link.life_safety ? survey->site.life_safety_confidence
                                             : survey->site.confidence};
    if (was_read(choosing, &zone->link))
        return;
    add_candidate(choosing,
                  (struct candidate){.device = zone->device,
                                     .spot = EARSHOT_NONE,
                                     .listener = zone->link.listener,
                                     .link = zone->link,
                                     .where = planning_where_is(survey, zone->device)});
}

/* A device held at a spot: what comes from there tells of the walls on the way. */
static void add_spot(struct choosing *choosing, size_t spot, const struct candidate *like) {
    const earshot_survey *survey = choosing->survey;
    const survey_spot *at = &survey->spots[spot];
    earshot_link link = like->link;
    if (isnan(at->place.x_m) || link.path != EARSHOT_NONE)
        return;
    link.from.x_m = at->place.x_m;
    link.from.y_m = at->place.y_m;
    link.from.z_m = at->place.z_m;
    link.from.mount = EARSHOT_NONE;
    link.device = EARSHOT_NONE;
    link.life_safety = false;
    add_candidate(choosing, (struct candidate){.device = EARSHOT_NONE,
                                               .spot = spot,
                                               .listener = like->listener,
                                               .link = link,
                                               .where = {EARSHOT_NONE, at->name, false}});
}

static void view_candidates(struct choosing *choosing) {
    for (size_t i = 0; i < choosing->n_candidates; i++) {
        const struct candidate *candidate = &choosing->candidates[i];
        size_t at = choosing->n_targets + i;
        engine_view *view = &choosing->views[at];
        engine_solve_told(choosing->survey, choosing->belief, &candidate->link, false, NULL,
                          &choosing->results[at]);
        *view = engine_view_of(&candidate->link, &choosing->results[at], false);
        view->in_place = choosing->in_place && candidate->device != EARSHOT_NONE;
        view->meter = choosing->belief->reads ? choosing->belief->reads->meter : 0;
        view->meter_sd_db = choosing->belief->meter_sd_db;
    }
}

/* ---- choosing ---- */

static size_t n_views(const struct choosing *choosing) {
    return choosing->n_targets + choosing->n_candidates;
}

static double *covariance_of(const struct choosing *choosing, size_t i, size_t j) {
    return &choosing->covariance[i * n_views(choosing) + j];
}

static double left_db2(const struct choosing *choosing, size_t target) {
    return *covariance_of(choosing, target, target);
}

static double wrong_with(const struct target *target, double left_db2) {
    return planning_wrong_chance(target->mean_db, target->before_db2 - left_db2, left_db2,
                                 target->required_db, target->confidence);
}

/* How much less is expected to be wrong once a candidate has been read. */
static double settled_by(const struct choosing *choosing, size_t candidate) {
    static const double nothing_db2 = 0.01;
    size_t at = choosing->n_targets + candidate;
    double seen_db2 =
        *covariance_of(choosing, at, at) + choosing->candidates[candidate].noise_db2;
    double settled = 0;
    for (size_t i = 0; i < choosing->n_targets; i++) {
        double told_db2 = square(*covariance_of(choosing, i, at)) / seen_db2;
        if (told_db2 > nothing_db2)
            settled += choosing->targets[i].wrong -
                       wrong_with(&choosing->targets[i], left_db2(choosing, i) - told_db2);
    }
    return settled;
}

static double minutes_for(const struct choosing *choosing, const struct candidate *to,
                          const struct candidate *from) {
    bool motion =
        to->device != EARSHOT_NONE && planning_is_motion(choosing->survey, to->device);
    return planning_read_minutes(motion, choosing->in_place) +
           planning_way_minutes(&to->where, from ? &from->where : NULL);
}

/* All covariances once the candidate has been read. */
static void condition(struct choosing *choosing, size_t candidate) {
    size_t n = n_views(choosing), at = choosing->n_targets + candidate;
    double seen_db2 =
        *covariance_of(choosing, at, at) + choosing->candidates[candidate].noise_db2;
    for (size_t i = 0; i < n; i++)
        choosing->shared[i] = *covariance_of(choosing, i, at);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            *covariance_of(choosing, i, j) -=
                choosing->shared[i] * choosing->shared[j] / seen_db2;
    for (size_t i = 0; i < choosing->n_targets; i++)
        choosing->targets[i].wrong = wrong_with(&choosing->targets[i], left_db2(choosing, i));
}

static double sum_wrong(const struct choosing *choosing) {
    double sum = 0;
    for (size_t i = 0; i < choosing->n_targets; i++)
        sum += choosing->targets[i].wrong;
    return sum;
}

static bool choose_one(struct choosing *choosing, const struct candidate *from,
                       planning_reading *out, size_t *chosen) {
    double best = -INFINITY;
    for (size_t i = 0; i < choosing->n_candidates; i++) {
        const struct candidate *candidate = &choosing->candidates[i];
        if (candidate->made)
            continue;
        double settles = settled_by(choosing, i);
        double minutes = minutes_for(choosing, candidate, from);
        if (!(settles / minutes > best))
            continue;
        best = settles / minutes;
        *chosen = i;
        *out = (planning_reading){.device = candidate->device,
                                  .spot = candidate->spot,
                                  .listener = candidate->listener,
                                  .minutes = minutes,
                                  .settles = settles,
                                  .ladder = candidate->where.ladder,
                                  .pays = settles / minutes >= least_settled_a_minute};
    }
    return isfinite(best);
}

static enum earshot_status choose(struct choosing *choosing, size_t count,
                                  const earshot_watch *watch, planning_reading *readings,
                                  planning_worth *worth) {
    const struct candidate *from = NULL;
    size_t chosen = 0;
    for (size_t i = 0; i < choosing->n_targets; i++) {
        choosing->targets[i].before_db2 = left_db2(choosing, i);
        choosing->targets[i].wrong = wrong_with(&choosing->targets[i], left_db2(choosing, i));
    }
    *worth = (planning_worth){.wrong_now = sum_wrong(choosing), .n_zones = choosing->n_targets};
    while (worth->n < count && choose_one(choosing, from, &readings[worth->n], &chosen)) {
        if (watch && watch->go_on &&
            !watch->go_on(watch->who, (double)worth->n / (double)count))
            return EARSHOT_STOPPED;
        worth->n++;
        choosing->candidates[chosen].made = true;
        from = &choosing->candidates[chosen];
        condition(choosing, chosen);
    }
    worth->wrong_after = sum_wrong(choosing);
    return EARSHOT_OK;
}

/* ---- all ---- */

static enum earshot_status gather(struct choosing *choosing) {
    const earshot_survey *survey = choosing->survey;
    size_t n = survey->n_devices, most = 2 * n + survey->n_spots + 1, n_zones = 0;
    earshot_zone *zones = calloc(n + 1, sizeof *zones);
    choosing->targets = calloc(n + 1, sizeof *choosing->targets);
    choosing->candidates = calloc(most, sizeof *choosing->candidates);
    choosing->results = calloc(most, sizeof *choosing->results);
    choosing->views = calloc(most, sizeof *choosing->views);
    choosing->shared = calloc(most, sizeof *choosing->shared);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (zones && choosing->targets && choosing->candidates && choosing->results &&
        choosing->views && choosing->shared)
        status = earshot_zones_judge(survey, choosing->belief, zones, n, &n_zones);
    for (size_t i = 0; status == EARSHOT_OK && i < n_zones; i++)
        add_zone(choosing, &zones[i]);
    size_t first = choosing->n_candidates;
    for (size_t i = 0; status == EARSHOT_OK && first && i < survey->n_spots; i++)
        add_spot(choosing, i, &choosing->candidates[0]);
    free(zones);
    return status;
}

enum earshot_status planning_next(const earshot_survey *survey, const earshot_belief *belief,
                                  bool in_place, size_t count, const earshot_watch *watch,
                                  planning_reading *readings, planning_worth *worth) {
    struct choosing choosing = {.survey = survey, .belief = belief, .in_place = in_place};
    planning_worth found = {0};
    enum earshot_status status = gather(&choosing);
    if (status == EARSHOT_OK && choosing.n_targets) {
        view_candidates(&choosing);
        status = calibration_joint_mean(survey, belief, choosing.views, n_views(&choosing),
                                        &choosing.covariance);
        if (status == EARSHOT_OK)
            status = choose(&choosing, count, watch, readings, &found);
    }
    if (status == EARSHOT_OK)
        *worth = found;
    free(choosing.targets);
    free(choosing.candidates);
    free(choosing.results);
    free(choosing.views);
    free(choosing.shared);
    free(choosing.covariance);
    return status;
}
