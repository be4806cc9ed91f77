/* SPDX-License-Identifier: GPL-3.0-or-later */
/* next.c - which reading is worth its minutes: the one that settles most, for each minute it
 * takes; then the next with that one made.
 *
 * A verdict is wrong when it says firm and the margin falls short, or thin or out and it holds.
 * One that is not judged says nothing, so it is not wrong, but open, and a reading that lets it
 * be judged settles as much as one that sets a wrong one right. What guards life and is short
 * without being called so, firm or not judged, counts ten times: the same ten as where
 * receivers are placed. All margins and all that might be read are normals that vary together
 * (calibration/joint.c). A reading will tell k^2 = c^2 / (v + noise) of a margin's variance,
 * whatever it shows, and the mean moves by as much, so that what the verdict will be can be
 * weighed before, with p the chance of the required margin:
 *
 *     integral over m' ~ N(m, k^2) of  p(m') where it is not called firm
 *                                    + 1 - p(m') where it is firm or not judged, perhaps x 10
 *
 * (Raiffa and Schlaifer, Applied Statistical Decision Theory, 1961, for preposterior analysis,
 * from memory). The skew of the fade is left out here. Choosing one by one is not the best set,
 * but near it, and in walking order.
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
static const double least_weight_a_minute = 0.01;
static const double life_counts = 10; /* as in score.c */

static double square(double x) {
    return x * x;
}

/* ---- what a verdict may come to ---- */

struct margin {
    double mean_db, told_sd_db, left_sd_db, required_db;
};

static double holds_density(double z, void *who) {
    const struct margin *margin = who;
    double mean_db = margin->mean_db + z * margin->told_sd_db;
    return chance_normal_density(z) *
           chance_normal_below((mean_db - margin->required_db) / margin->left_sd_db);
}

static const double reach = 7; /* sds; beyond them nothing is expected */

/* Where the mean comes to a level, in sds of what is told. */
static double point_of(const struct margin *margin, double level_db) {
    return fmin(fmax((level_db - margin->mean_db) / margin->told_sd_db, -reach), reach);
}

/* The chances that a margin's mean ends up between two points and it holds, or is short. */
struct between {
    double holds, short_of_it;
};

static struct between between(struct margin *margin, double low, double high) {
    struct between chance = {.holds = 0};
    if (!(high > low))
        return chance;
    chance.holds = chance_integrate(holds_density, margin, low, high, 2);
    chance.short_of_it =
        fmax(chance_normal_below(high) - chance_normal_below(low) - chance.holds, 0);
    return chance;
}

planning_unsettled planning_unsettled_of(double mean_db, double told_db2, double left_db2,
                                         const planning_asked *asked) {
    struct margin margin = {mean_db, sqrt(fmax(told_db2, 1e-9)), sqrt(fmax(left_db2, 1e-9)),
                            asked->required_db};
    double left_db = margin.left_sd_db;
    double chance = engine_asked_chance(asked->confidence, left_db, asked->in_place);
    double out_chance = engine_asked_out_chance(left_db, asked->in_place);
    double firm =
        point_of(&margin, asked->required_db + chance_normal_quantile(chance) * left_db);
    double judged = out_chance > 0
                        ? point_of(&margin, -chance_normal_quantile(out_chance) * left_db)
                        : firm;
    struct between below = between(&margin, -reach, fmin(judged, firm));
    struct between open = between(&margin, fmin(judged, firm), firm);
    struct between above = between(&margin, firm, reach);
    double weight = asked->life_safety ? life_counts : 1;
    return (planning_unsettled){.wrong = below.holds + above.short_of_it,
                                .open = open.holds + open.short_of_it,
                                .weight = below.holds + open.holds +
                                          weight * (open.short_of_it + above.short_of_it)};
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
    double mean_db, before_db2;
    planning_asked asked;
    planning_unsettled unsettled;
};

struct choosing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    bool in_place;
    struct target *targets;
    size_t n_targets, n_open;
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
    choosing->n_open += prediction->verdict == EARSHOT_NOT_JUDGED;
    choosing->targets[choosing->n_targets++] = (struct target){
        .mean_db = prediction->margin_db,
        .asked = {.required_db = prediction->required_margin_db,
                  .confidence = survey_confidence(survey, zone->link.life_safety),
                  .in_place = prediction->basis == EARSHOT_READ_IN_PLACE,
                  .life_safety = zone->link.life_safety}};
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

static planning_unsettled unsettled_with(const struct target *target, double left_db2) {
    return planning_unsettled_of(target->mean_db, target->before_db2 - left_db2, left_db2,
                                 &target->asked);
}

/* How much less weighs on the verdicts once a candidate has been read. */
static double relieved_by(const struct choosing *choosing, size_t candidate) {
    static const double nothing_db2 = 0.01;
    size_t at = choosing->n_targets + candidate;
    double seen_db2 =
        *covariance_of(choosing, at, at) + choosing->candidates[candidate].noise_db2;
    double relieved = 0;
    for (size_t i = 0; i < choosing->n_targets; i++) {
        const struct target *target = &choosing->targets[i];
        double told_db2 = square(*covariance_of(choosing, i, at)) / seen_db2;
        if (told_db2 > nothing_db2)
            relieved += target->unsettled.weight -
                        unsettled_with(target, left_db2(choosing, i) - told_db2).weight;
    }
    return relieved;
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
        choosing->targets[i].unsettled =
            unsettled_with(&choosing->targets[i], left_db2(choosing, i));
}

static planning_unsettled sum_unsettled(const struct choosing *choosing) {
    planning_unsettled sum = {.wrong = 0};
    for (size_t i = 0; i < choosing->n_targets; i++) {
        sum.wrong += choosing->targets[i].unsettled.wrong;
        sum.open += choosing->targets[i].unsettled.open;
        sum.weight += choosing->targets[i].unsettled.weight;
    }
    return sum;
}

static bool choose_one(struct choosing *choosing, const struct candidate *from,
                       planning_reading *out, size_t *chosen) {
    double best = -INFINITY;
    for (size_t i = 0; i < choosing->n_candidates; i++) {
        const struct candidate *candidate = &choosing->candidates[i];
        if (candidate->made)
            continue;
        double weight = relieved_by(choosing, i);
        double minutes = minutes_for(choosing, candidate, from);
        if (!(weight / minutes > best))
            continue;
        best = weight / minutes;
        *chosen = i;
        *out = (planning_reading){.device = candidate->device,
                                  .spot = candidate->spot,
                                  .listener = candidate->listener,
                                  .minutes = minutes,
                                  .weight = weight,
                                  .ladder = candidate->where.ladder,
                                  .pays = weight / minutes >= least_weight_a_minute};
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
        choosing->targets[i].unsettled =
            unsettled_with(&choosing->targets[i], left_db2(choosing, i));
    }
    *worth = (planning_worth){.n_zones = choosing->n_targets, .n_open = choosing->n_open};
    worth->now = worth->after = sum_unsettled(choosing);
    while (worth->n < count && choose_one(choosing, from, &readings[worth->n], &chosen)) {
        if (watch && watch->go_on &&
            !watch->go_on(watch->who, (double)worth->n / (double)count))
            return EARSHOT_STOPPED;
        choosing->candidates[chosen].made = true;
        from = &choosing->candidates[chosen];
        condition(choosing, chosen);
        planning_unsettled before = worth->after, after = sum_unsettled(choosing);
        readings[worth->n].settles = before.wrong + before.open - after.wrong - after.open;
        readings[worth->n++].after = worth->after = after;
    }
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
