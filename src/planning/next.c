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
 * but near it, and in walking order. Of a site of thousands only the zones are weighed whose
 * own reading would do most, and of all that might be read only what may come first, by a
 * bound.
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

static enum earshot_status go_on(const earshot_watch *watch, double share_done) {
    return !watch || !watch->go_on || watch->go_on(watch->who, share_done) ? EARSHOT_OK
                                                                           : EARSHOT_STOPPED;
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
    double own_relief; /* of a zone's own verdict */
    double left_db2;
    double *shared_db2; /* with each target */
    bool made;
};

/* The most that a reading relieves a target of, by how much it tells: at most 2^k times what
 * counts as nothing. */
static const double nothing_db2 = 0.01;
enum { N_STEPS = 20 };

struct target {
    double mean_db, before_db2, left_db2;
    planning_asked asked;
    planning_unsettled unsettled;
    double most_relieved[N_STEPS + 1];
};

/* The most that a candidate relieves, and by the minute. */
struct promise {
    size_t candidate;
    double minutes, most, worth;
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
    calibration_many *many;
    double *covariance; /* candidates x targets */
    double *told;       /* readings chosen x candidates: what each shared with the others, */
    double *seen_db2;   /* and what it varied by */
    struct promise *promises;
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

static planning_asked asked_of(const earshot_survey *survey, const earshot_zone *zone) {
    const earshot_prediction *prediction = &zone->prediction;
    return (planning_asked){.required_db = prediction->required_margin_db,
                            .confidence = survey_confidence(survey, zone->link.life_safety),
                            .in_place = prediction->basis == EARSHOT_READ_IN_PLACE,
                            .life_safety = zone->link.life_safety};
}

static void solve(const struct choosing *choosing, const earshot_link *link, bool back,
                  bool margin, size_t at) {
    const earshot_link answer = engine_way_back(link);
    engine_solve(choosing->survey, choosing->belief, back ? &answer : link, NULL,
                 &choosing->results[at]);
    choosing->views[at] = engine_view_of(link, &choosing->results[at], margin);
}

/* How much less its own zone weighs once it has been read, as predicted. */
static double own_relief(const struct choosing *choosing, const earshot_zone *zone,
                         const struct candidate *candidate) {
    const planning_asked asked = asked_of(choosing->survey, zone);
    double mean_db = zone->prediction.margin_db;
    double left_db2 = square(zone->prediction.margin_sd_db);
    double told_db2 = square(left_db2) / (left_db2 + candidate->noise_db2);
    return planning_unsettled_of(mean_db, 0, left_db2, &asked).weight -
           planning_unsettled_of(mean_db, told_db2, left_db2 - told_db2, &asked).weight;
}

static void add_zone(struct choosing *choosing, const earshot_zone *zone) {
    const earshot_survey *survey = choosing->survey;
    size_t at = choosing->n_targets++;
    solve(choosing, &zone->link, zone->prediction.notes & EARSHOT_NOTE_WAY_BACK, true, at);
    choosing->views[at].in_place = true; /* its fade counts, and can be read */
    choosing->targets[at] =
        (struct target){.mean_db = zone->prediction.margin_db, .asked = asked_of(survey, zone)};
    choosing->n_open += zone->prediction.verdict == EARSHOT_NOT_JUDGED;
    if (was_read(choosing, &zone->link))
        return;
    add_candidate(choosing,
                  (struct candidate){.device = zone->device,
                                     .spot = EARSHOT_NONE,
                                     .listener = zone->link.listener,
                                     .link = zone->link,
                                     .where = planning_where_is(survey, zone->device)});
    struct candidate *candidate = &choosing->candidates[choosing->n_candidates - 1];
    candidate->own_relief = own_relief(choosing, zone, candidate);
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
        solve(choosing, &candidate->link, false, false, at);
        view->in_place = choosing->in_place && candidate->device != EARSHOT_NONE;
        view->meter = choosing->belief->reads ? choosing->belief->reads->meter : 0;
        view->meter_sd_db = choosing->belief->meter_sd_db;
    }
}

/* ---- of many candidates, those that matter ---- */

static int most_relief_first(const void *a, const void *b) {
    const struct candidate *first = a, *second = b;
    if (first->own_relief != second->own_relief)
        return first->own_relief > second->own_relief ? -1 : 1;
    return first->device > second->device ? 1 : -1;
}

static int in_order(const void *a, const void *b) {
    const struct candidate *first = a, *second = b;
    return first->device > second->device ? 1 : -1;
}

/* All zones, since a reading may tell a little of each; and of their own readings as many as
 * can be weighed in seconds. */
static void add_zones(struct choosing *choosing, const earshot_zone *zones, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (!isnan(zones[i].prediction.margin_sd_db) && zones[i].link.listener != EARSHOT_NONE)
            add_zone(choosing, &zones[i]);
    if (choosing->n_candidates <= PLANNING_NEXT_MOST)
        return;
    qsort(choosing->candidates, choosing->n_candidates, sizeof *choosing->candidates,
          most_relief_first);
    choosing->n_candidates = PLANNING_NEXT_MOST;
    qsort(choosing->candidates, choosing->n_candidates, sizeof *choosing->candidates, in_order);
}

/* What the readings leave of all of them, and of each candidate with each target. */
static enum earshot_status relate(struct choosing *choosing, const earshot_watch *watch) {
    enum { AT_ONCE = 16 };
    size_t n_targets = choosing->n_targets, n = n_targets + choosing->n_candidates;
    enum earshot_status status = calibration_many_new(choosing->survey, choosing->belief,
                                                      choosing->views, n, &choosing->many);
    for (size_t i = 0; status == EARSHOT_OK && i < n; i += AT_ONCE) {
        calibration_many_tell(choosing->many, i, n - i < AT_ONCE ? n - i : AT_ONCE);
        status = go_on(watch, 0.5 * (double)i / (double)n);
    }
    for (size_t i = 0; status == EARSHOT_OK && i < n_targets; i++)
        choosing->targets[i].before_db2 = choosing->targets[i].left_db2 =
            calibration_many_db2(choosing->many, i);
    for (size_t i = 0; status == EARSHOT_OK && i < choosing->n_candidates; i++) {
        struct candidate *candidate = &choosing->candidates[i];
        candidate->left_db2 = calibration_many_db2(choosing->many, n_targets + i);
        candidate->shared_db2 = choosing->covariance + i * n_targets;
        calibration_many_between(choosing->many, n_targets + i, 0, n_targets,
                                 candidate->shared_db2);
        status = go_on(watch, 0.5 + 0.3 * (double)i / (double)choosing->n_candidates);
    }
    return status;
}

/* ---- choosing ---- */

static planning_unsettled unsettled_with(const struct target *target, double left_db2) {
    return planning_unsettled_of(target->mean_db, target->before_db2 - left_db2, left_db2,
                                 &target->asked);
}

static double relief(const struct target *target, double told_db2) {
    return target->unsettled.weight -
           unsettled_with(target, target->left_db2 - told_db2).weight;
}

static double seen_db2(const struct candidate *candidate) {
    return candidate->left_db2 + candidate->noise_db2;
}

/* The relief at a few places, the most so far of each: it may fall before it rises, where a
 * little doubt more makes a firm verdict thin. A tenth is for what lies between two. */
static void set_most_relieved(struct target *target) {
    static const double between_places = 1.1;
    double most = 0, told_db2 = nothing_db2;
    for (size_t step = 0; step <= N_STEPS; step++, told_db2 *= 2) {
        if (told_db2 < 2 * target->left_db2)
            most = fmax(most, relief(target, fmin(told_db2, target->left_db2)));
        target->most_relieved[step] = between_places * most;
    }
}

/* The step that is not under what is told, which is more than nothing. */
static size_t step_of(double told_db2) {
    int step;
    frexp(told_db2 / nothing_db2, &step);
    return step < N_STEPS ? (size_t)step : N_STEPS;
}

static double most_relieved_by(const struct choosing *choosing,
                               const struct candidate *candidate) {
    double most = 0;
    for (size_t i = 0; i < choosing->n_targets; i++) {
        double told_db2 = square(candidate->shared_db2[i]) / seen_db2(candidate);
        if (told_db2 > nothing_db2)
            most += choosing->targets[i].most_relieved[step_of(told_db2)];
    }
    return most;
}

/* How much less weighs on the verdicts once a candidate has been read, which may be `most`; or
 * -INFINITY, as soon as it cannot come to `least` any more. */
static double relieved_by(const struct choosing *choosing, const struct candidate *candidate,
                          double most, double least) {
    double relieved = 0;
    for (size_t i = 0; i < choosing->n_targets; i++) {
        const struct target *target = &choosing->targets[i];
        double told_db2 = square(candidate->shared_db2[i]) / seen_db2(candidate);
        if (!(told_db2 > nothing_db2))
            continue;
        double here = relief(target, told_db2);
        relieved += here;
        most += here - target->most_relieved[step_of(told_db2)];
        if (most < least)
            return -INFINITY;
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

/* What the chosen candidate, the n-th, now shares with the others. */
static void share(struct choosing *choosing, size_t chosen, size_t n) {
    size_t n_candidates = choosing->n_candidates;
    double *told = choosing->told + n * n_candidates;
    calibration_many_between(choosing->many, choosing->n_targets + chosen, choosing->n_targets,
                             n_candidates, told);
    for (size_t k = 0; k < n; k++) {
        const double *before = choosing->told + k * n_candidates;
        for (size_t i = 0; i < n_candidates; i++)
            told[i] -= before[i] * before[chosen] / choosing->seen_db2[k];
    }
    choosing->seen_db2[n] = seen_db2(&choosing->candidates[chosen]);
}

/* All that is left once the n-th reading, of the candidate, has been made. */
static void condition(struct choosing *choosing, size_t chosen, size_t n) {
    const double *read_db2 = choosing->candidates[chosen].shared_db2;
    const double *told = choosing->told + n * choosing->n_candidates;
    share(choosing, chosen, n);
    double seen_db2 = choosing->seen_db2[n];
    for (size_t i = 0; i < choosing->n_targets; i++) {
        struct target *target = &choosing->targets[i];
        target->left_db2 -= square(read_db2[i]) / seen_db2;
        target->unsettled = unsettled_with(target, target->left_db2);
    }
    for (size_t i = 0; i < choosing->n_candidates; i++) {
        struct candidate *candidate = &choosing->candidates[i];
        if (candidate->made)
            continue;
        candidate->left_db2 -= square(told[i]) / seen_db2;
        for (size_t j = 0; j < choosing->n_targets; j++)
            candidate->shared_db2[j] -= told[i] * read_db2[j] / seen_db2;
    }
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

static int most_promising_first(const void *a, const void *b) {
    const struct promise *first = a, *second = b;
    if (first->worth != second->worth)
        return first->worth > second->worth ? -1 : 1;
    return first->candidate > second->candidate ? 1 : -1;
}

/* What each candidate that is left may be worth, best first, and how many there are. */
static size_t promise(struct choosing *choosing, const struct candidate *from) {
    size_t n = 0;
    for (size_t i = 0; i < choosing->n_targets; i++)
        set_most_relieved(&choosing->targets[i]);
    for (size_t i = 0; i < choosing->n_candidates; i++) {
        const struct candidate *candidate = &choosing->candidates[i];
        if (candidate->made)
            continue;
        double minutes = minutes_for(choosing, candidate, from);
        double most = most_relieved_by(choosing, candidate);
        choosing->promises[n++] = (struct promise){i, minutes, most, most / minutes};
    }
    qsort(choosing->promises, n, sizeof *choosing->promises, most_promising_first);
    return n;
}

/* Of two that are worth the same, the earlier one. */
static bool choose_one(struct choosing *choosing, const struct candidate *from,
                       planning_reading *out, size_t *chosen) {
    static const double rounding = 1e-9;
    double best = -INFINITY;
    size_t n = promise(choosing, from);
    for (size_t i = 0; i < n && choosing->promises[i].worth >= best; i++) {
        const struct promise *promise = &choosing->promises[i];
        const struct candidate *candidate = &choosing->candidates[promise->candidate];
        double weight =
            relieved_by(choosing, candidate, promise->most, best * promise->minutes - rounding);
        double worth = weight / promise->minutes;
        if (weight == -INFINITY || worth < best ||
            (worth == best && promise->candidate > *chosen))
            continue;
        best = worth;
        *chosen = promise->candidate;
        *out = (planning_reading){.device = candidate->device,
                                  .spot = candidate->spot,
                                  .listener = candidate->listener,
                                  .minutes = promise->minutes,
                                  .weight = weight,
                                  .ladder = candidate->where.ladder,
                                  .pays = worth >= least_weight_a_minute};
    }
    return n > 0;
}

/* Readings behind those that pay are worth a line while what they settle is not shown as 0.00;
 * the first is always, so that there is one to make. */
static void count_worthy(const planning_reading *readings, planning_worth *worth) {
    static const double shown = 0.005;
    size_t n = 0;
    while (n < worth->n && readings[n].pays)
        n++;
    worth->n_paying = n;
    if (n == 0 && worth->n > 0)
        n = 1;
    while (n < worth->n && readings[n].settles >= shown)
        n++;
    worth->n_settling = n;
}

static enum earshot_status choose(struct choosing *choosing, size_t count,
                                  const earshot_watch *watch, planning_reading *readings,
                                  planning_worth *worth) {
    const struct candidate *from = NULL;
    size_t chosen = 0;
    for (size_t i = 0; i < choosing->n_targets; i++)
        choosing->targets[i].unsettled =
            unsettled_with(&choosing->targets[i], choosing->targets[i].left_db2);
    *worth = (planning_worth){.n_zones = choosing->n_targets, .n_open = choosing->n_open};
    worth->now = worth->after = sum_unsettled(choosing);
    while (worth->n < count && choose_one(choosing, from, &readings[worth->n], &chosen)) {
        if (go_on(watch, 0.8 + 0.2 * (double)worth->n / (double)count) != EARSHOT_OK)
            return EARSHOT_STOPPED;
        choosing->candidates[chosen].made = true;
        from = &choosing->candidates[chosen];
        condition(choosing, chosen, worth->n);
        planning_unsettled before = worth->after, after = sum_unsettled(choosing);
        readings[worth->n].settles = before.wrong + before.open - after.wrong - after.open;
        readings[worth->n++].after = worth->after = after;
    }
    count_worthy(readings, worth);
    return EARSHOT_OK;
}

/* ---- all ---- */

static enum earshot_status gather(struct choosing *choosing) {
    const earshot_survey *survey = choosing->survey;
    size_t n = survey->n_devices, most = 2 * n + survey->n_spots + 1, n_zones = 0;
    earshot_zone *zones = calloc(n + 1, sizeof *zones);
    choosing->targets = calloc(n + 1, sizeof *choosing->targets);
    choosing->candidates = calloc(n + survey->n_spots + 1, sizeof *choosing->candidates);
    choosing->results = calloc(most, sizeof *choosing->results);
    choosing->views = calloc(most, sizeof *choosing->views);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (zones && choosing->targets && choosing->candidates && choosing->results &&
        choosing->views)
        status = earshot_zones_judge(survey, choosing->belief, zones, n, &n_zones);
    if (status == EARSHOT_OK)
        add_zones(choosing, zones, n_zones);
    size_t first = choosing->n_candidates;
    for (size_t i = 0; status == EARSHOT_OK && first && i < survey->n_spots; i++)
        add_spot(choosing, i, &choosing->candidates[0]);
    free(zones);
    return status;
}

static bool make_room(struct choosing *choosing, size_t count) {
    size_t n = choosing->n_candidates;
    choosing->covariance = calloc(n * choosing->n_targets + 1, sizeof *choosing->covariance);
    choosing->told = calloc(count * n + 1, sizeof *choosing->told);
    choosing->seen_db2 = calloc(count + 1, sizeof *choosing->seen_db2);
    choosing->promises = calloc(n + 1, sizeof *choosing->promises);
    return choosing->covariance && choosing->told && choosing->seen_db2 && choosing->promises;
}

enum earshot_status planning_next(const earshot_survey *survey, const earshot_belief *belief,
                                  bool in_place, size_t count, const earshot_watch *watch,
                                  planning_reading *readings, planning_worth *worth) {
    struct choosing choosing = {.survey = survey, .belief = belief, .in_place = in_place};
    planning_worth found = {0};
    enum earshot_status status = gather(&choosing);
    if (status == EARSHOT_OK && choosing.n_targets) {
        view_candidates(&choosing);
        status = make_room(&choosing, count) ? relate(&choosing, watch) : EARSHOT_NO_MEMORY;
        if (status == EARSHOT_OK)
            status = choose(&choosing, count, watch, readings, &found);
    }
    if (status == EARSHOT_OK)
        *worth = found;
    free(choosing.targets);
    free(choosing.candidates);
    free(choosing.results);
    free(choosing.views);
    calibration_many_free(choosing.many);
    free(choosing.covariance);
    free(choosing.told);
    free(choosing.seen_db2);
    free(choosing.promises);
    return status;
}
