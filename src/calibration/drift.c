/* SPDX-License-Identifier: GPL-3.0-or-later */
/* drift.c - two visits compared link by link.
 *
 * Two visits to a building in which nothing changed differ by what a hand, doors, people and a
 * battery make of it: about 5 dB by hand (the sd of 80 links between four visits to one office
 * lies between 4 and 6; see tests/measured), less on the final fixing. Against that scatter,
 * not that of one visit's readings, each change is held. What all links changed alike comes off
 * first: a moved receiver, another meter or a new battery in it is one change and not eighty.
 * So does what those of one listener, room, radio or type did beyond the others. The scatter
 * is estimated from the links (scatter.c). Of the changes said, one in twenty may be by chance
 * (Benjamini and Hochberg 1995), and so of groups.
 */
#include "drift.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "chance.h"
#include "scatter.h"

static const double held_scatter_db = 5, placed_scatter_db = 3.5; /* of a change */
static const double false_share = 0.05;

static double square(double x) {
    return x * x;
}

/* ---- one link on one visit ---- */

/* The middle of bars; of the lowest or highest its edge. */
static double level_of(const survey_reading *reading) {
    if (isinf(reading->low_dbm))
        return reading->high_dbm;
    return isinf(reading->high_dbm) ? reading->low_dbm
                                    : (reading->low_dbm + reading->high_dbm) / 2;
}

/* A level is anywhere in its bar; of the lowest and highest, which have one end, as if they
 * were 10 dB wide (judgement). */
static double coarse_db2(const survey_reading *reading) {
    static const double open_end_db = 10;
    double wide_db = reading->high_dbm - reading->low_dbm;
    return square(isinf(wide_db) ? open_end_db : wide_db) / 12;
}

calibration_shown calibration_shown_on(const earshot_survey *survey, size_t device,
                                       size_t listener, size_t visit) {
    calibration_shown shown = {.level_dbm = NAN, .in_place = true};
    double sum_dbm = 0;
    size_t n_levels = 0;
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (reading->device != device || reading->heard_at != listener ||
            reading->visit != visit || reading->doors_open || reading->pad_db > 0 ||
            device == EARSHOT_NONE)
            continue;
        shown.read = true;
        shown.silent = shown.silent || (reading->none && !reading->trips);
        shown.in_place = shown.in_place && reading->placed == SURVEY_IN_PLACE;
        shown.as_left = shown.as_left || reading->as_left;
        shown.trips += reading->trips;
        shown.heard += reading->heard;
        if (isnan(reading->low_dbm))
            continue;
        sum_dbm += level_of(reading);
        shown.coarse_db2 = fmax(shown.coarse_db2, coarse_db2(reading));
        n_levels++;
    }
    if (n_levels) {
        shown.level_dbm = sum_dbm / (double)n_levels;
        shown.silent = false;
    }
    return shown;
}

double calibration_scatter_between(const calibration_shown *before,
                                   const calibration_shown *after) {
    double scatter_db =
        before->in_place && after->in_place ? placed_scatter_db : held_scatter_db;
    return sqrt(square(scatter_db) + before->coarse_db2 + after->coarse_db2);
}

/* ---- counts ---- */

static double log_choose(unsigned n, unsigned k) {
    double sum = 0;
    for (unsigned i = 1; i <= k; i++)
        sum += log((double)(n - k + i) / i);
    return sum;
}

/* The chance that two counts of one state lie as far apart or farther: Fisher's exact test. */
static double counts_chance(const calibration_shown *a, const calibration_shown *b) {
    unsigned trips = a->trips + b->trips, heard = a->heard + b->heard;
    double whole = log_choose(trips, heard), chance = 0;
    double seen = log_choose(a->trips, a->heard) + log_choose(b->trips, b->heard) - whole;
    for (unsigned k = heard > b->trips ? heard - b->trips : 0; k <= heard && k <= a->trips;
         k++) {
        double log_p = log_choose(a->trips, k) + log_choose(b->trips, heard - k) - whole;
        if (log_p <= seen + 1e-9)
            chance += exp(log_p);
    }
    return fmin(chance, 1);
}

bool calibration_disagree(const calibration_shown *before, const calibration_shown *after) {
    static const double far_sds = 3, seldom = 0.05;
    double apart_db = after->level_dbm - before->level_dbm;
    if (fabs(apart_db) > far_sds * calibration_scatter_between(before, after))
        return true;
    if (before->trips && after->trips)
        return counts_chance(before, after) < seldom;
    return before->silent != after->silent;
}

static bool same_visit(const survey_reading *a, const survey_reading *b) {
    return a->device == b->device && a->heard_at == b->heard_at && a->visit == b->visit;
}

/* The last visit that left the link otherwise; NONE. */
static size_t left_since(const earshot_survey *survey, const survey_reading *reading) {
    size_t since = EARSHOT_NONE;
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *other = &survey->readings[i];
        if (other->as_left && other->placed == SURVEY_IN_PLACE &&
            other->visit > reading->visit && other->device == reading->device &&
            other->heard_at == reading->heard_at &&
            (since == EARSHOT_NONE || other->visit > since))
            since = other->visit;
    }
    if (since == EARSHOT_NONE || reading->device == EARSHOT_NONE)
        return EARSHOT_NONE;
    const calibration_shown before = calibration_shown_on(survey, reading->device,
                                                          reading->heard_at, reading->visit),
                            after = calibration_shown_on(survey, reading->device,
                                                         reading->heard_at, since);
    return before.read && after.read && calibration_disagree(&before, &after) ? since
                                                                              : EARSHOT_NONE;
}

/* Rows of one link on one visit have one answer, which is worked out once. */
void calibration_supersede(const earshot_survey *survey, size_t *since) {
    const size_t unknown = survey->n_visits;
    for (size_t i = 0; i < survey->n_readings; i++)
        since[i] = survey->readings[i].visit + 1 < survey->n_visits ? unknown : EARSHOT_NONE;
    for (size_t i = 0; i < survey->n_readings; i++) {
        if (since[i] != unknown)
            continue;
        size_t answer = left_since(survey, &survey->readings[i]);
        for (size_t j = i; j < survey->n_readings; j++)
            if (same_visit(&survey->readings[i], &survey->readings[j]))
                since[j] = answer;
    }
}

/* ---- what all changed alike ---- */

static int upward(const void *a, const void *b) {
    double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

struct comparing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    calibration_drift *out;
    double *values; /* scratch */
    double *left;   /* what is left of the changes beside groups, sorted */
    size_t n_left;
    calibration_scatter scatter; /* about what all changed alike */
};

static double raw_db(const calibration_change *change) {
    return change->after.level_dbm - change->before.level_dbm;
}

static const double least_shift_db = 2; /* nobody minds less */

static bool belongs(const earshot_survey *survey, const calibration_shift *group,
                    const calibration_change *change) {
    if (group->alike == CALIBRATION_ALL)
        return true;
    if (group->alike == CALIBRATION_LISTENER)
        return change->listener == group->of;
    const survey_device *device = &survey->devices[change->device],
                        *like = &survey->devices[group->of];
    if (group->alike == CALIBRATION_ROOM)
        return strcmp(device->room, like->room) == 0;
    return (group->alike == CALIBRATION_TYPE || device->radio == like->radio) &&
           (group->alike == CALIBRATION_RADIO || strcmp(device->type, like->type) == 0);
}

/* What the groups that shifted changed of a link. */
static double groups_db(const struct comparing *comparing, const calibration_change *change) {
    const calibration_drift *out = comparing->out;
    double shift_db = 0;
    for (size_t i = 0; i < out->n_groups; i++)
        if (out->groups[i].shifted && belongs(comparing->survey, &out->groups[i], change))
            shift_db += out->groups[i].shift_db;
    return shift_db;
}

/* The middle of what is left of the changes, of a group's links or of the others; the links of
 * one device may be skipped, or NONE. */
static double middle_of(struct comparing *comparing, const calibration_shift *group, bool in,
                        size_t skipped, size_t *n) {
    *n = 0;
    for (size_t i = 0; i < comparing->out->n_changes; i++) {
        const calibration_change *change = &comparing->out->changes[i];
        if (change->device != skipped && !isnan(raw_db(change)) &&
            belongs(comparing->survey, group, change) == in)
            comparing->values[(*n)++] = raw_db(change) - groups_db(comparing, change);
    }
    return calibration_middle(comparing->values, *n);
}

/* What is left beside the middles of a group and of the others. */
static calibration_scatter scatter_seen(struct comparing *comparing,
                                        const calibration_shift *group, double in_db,
                                        double out_db) {
    const calibration_drift *out = comparing->out;
    size_t n = 0, n_fitted = group->alike == CALIBRATION_ALL ? 1 : 2;
    for (size_t i = 0; i < out->n_groups; i++)
        n_fitted += out->groups[i].shifted;
    for (size_t i = 0; i < out->n_changes; i++) {
        const calibration_change *change = &out->changes[i];
        double taken_db = belongs(comparing->survey, group, change) ? in_db : out_db;
        if (!isnan(raw_db(change)))
            comparing->values[n++] =
                fabs(raw_db(change) - groups_db(comparing, change) - taken_db) /
                calibration_scatter_between(&change->before, &change->after);
    }
    return calibration_scatter_seen(comparing->values, n, n_fitted);
}

static double mean_scatter_db(const calibration_drift *drift) {
    double sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < drift->n_changes; i++)
        if (!isnan(raw_db(&drift->changes[i]))) {
            sum += square(calibration_scatter_between(&drift->changes[i].before,
                                                      &drift->changes[i].after));
            n++;
        }
    return n ? sqrt(sum / (double)n) : held_scatter_db;
}

/* Links that no group which shifted has: they alone tell what all did, for of the others the
 * group's own shift was taken off. */
static size_t count_plain(const struct comparing *comparing) {
    const calibration_drift *out = comparing->out;
    size_t n = 0;
    for (size_t i = 0; i < out->n_changes; i++) {
        bool plain = !isnan(raw_db(&out->changes[i]));
        for (size_t j = 0; j < out->n_groups && plain; j++)
            plain = !out->groups[j].shifted ||
                    !belongs(comparing->survey, &out->groups[j], &out->changes[i]);
        n += plain;
    }
    return n;
}

/* What all changed alike. It is said when it is three standard errors off, and more than nobody
 * minds. */
static void find_common(struct comparing *comparing) {
    static const double sure_sds = 3;
    calibration_drift *out = comparing->out;
    calibration_shift all = {.alike = CALIBRATION_ALL, .of = EARSHOT_NONE};
    all.shift_db = middle_of(comparing, &all, true, EARSHOT_NONE, &all.n);
    comparing->n_left = all.n;
    memcpy(comparing->left, comparing->values, all.n * sizeof *comparing->left);
    comparing->scatter = scatter_seen(comparing, &all, all.shift_db, 0);
    out->scatter_db = out->stated_db * comparing->scatter.ratio;
    size_t n_plain = count_plain(comparing);
    all.sd_db =
        n_plain ? calibration_middle_error * out->scatter_db / sqrt((double)n_plain) : INFINITY;
    all.chance = calibration_scatter_chance(&comparing->scatter, all.shift_db, all.sd_db);
    all.shifted = all.n > 2 && fabs(all.shift_db) >= least_shift_db &&
                  fabs(all.shift_db) > sure_sds * all.sd_db;
    out->common = all;
}

/* ---- what some changed alike ---- */

/* Two groups of the same links tell the same; the one listed first is kept. Three links on
 * either side are the least that have a middle. */
static bool tells(const struct comparing *comparing, size_t group) {
    static const size_t least = 3;
    const calibration_drift *out = comparing->out;
    size_t n_in = 0, n_out = 0;
    for (size_t i = 0; i < out->n_changes; i++)
        if (!isnan(raw_db(&out->changes[i])))
            ++*(belongs(comparing->survey, &out->groups[group], &out->changes[i]) ? &n_in
                                                                                  : &n_out);
    bool same = false;
    for (size_t j = 0; j < group && !same; j++) {
        same = true;
        for (size_t i = 0; i < out->n_changes && same; i++)
            same = isnan(raw_db(&out->changes[i])) ||
                   belongs(comparing->survey, &out->groups[j], &out->changes[i]) ==
                       belongs(comparing->survey, &out->groups[group], &out->changes[i]);
    }
    return n_in >= least && n_out >= least && !same;
}

/* The device of the link that went farthest the way that its group went. */
static size_t farthest(const struct comparing *comparing, const calibration_shift *group) {
    size_t far = EARSHOT_NONE;
    double most_db = -INFINITY;
    for (size_t i = 0; i < comparing->out->n_changes; i++) {
        const calibration_change *change = &comparing->out->changes[i];
        double went_db =
            copysign(1, group->shift_db) * (raw_db(change) - groups_db(comparing, change));
        if (belongs(comparing->survey, group, change) && went_db > most_db) {
            most_db = went_db;
            far = change->device;
        }
    }
    return far;
}

struct group_weight {
    double chance_without; /* the zone that went farthest */
    double rest_db;        /* the others, off nothing */
};

/* How far a group is off the others. */
static struct group_weight weigh_group(struct comparing *comparing, calibration_shift *group) {
    size_t n_out, n_without;
    double in_db = middle_of(comparing, group, true, EARSHOT_NONE, &group->n);
    double out_db = middle_of(comparing, group, false, EARSHOT_NONE, &n_out);
    const calibration_scatter scatter = scatter_seen(comparing, group, in_db, out_db);
    double error_db = calibration_middle_error * comparing->out->stated_db * scatter.ratio;
    double others = n_out ? 1 / (double)n_out : INFINITY;
    group->shift_db = in_db - out_db;
    group->sd_db = error_db * sqrt(1 / (double)group->n + others);
    group->chance = calibration_scatter_chance(&scatter, group->shift_db, group->sd_db);
    double without_db =
        middle_of(comparing, group, true, farthest(comparing, group), &n_without) - out_db;
    double sd_db = error_db * sqrt(1 / (double)n_without + others);
    double along_db = copysign(1, group->shift_db) * without_db;
    return (struct group_weight){calibration_scatter_chance(&scatter, fmax(along_db, 0), sd_db),
                                 fabs(out_db)};
}

/* The group that is surest off the others, if one is at `limit`, and would still be seldom so
 * by chance without the zone that went farthest: one zone's own change, at however many
 * receivers, is none of its room. NONE: there is none. Of two that are as sure (all links at
 * two listeners, say) the one whose others stayed where they were. That one type with one radio
 * changed alone is rarer than that either did. Judgement. */
static size_t surest_group(struct comparing *comparing, const bool *told, double limit) {
    static const double rarer = 10;
    calibration_drift *out = comparing->out;
    double least_chance = INFINITY, least_rest_db = INFINITY;
    size_t surest = EARSHOT_NONE;
    for (size_t i = 0; i < out->n_groups; i++) {
        calibration_shift *group = &out->groups[i];
        if (group->shifted)
            continue;
        const struct group_weight weight = weigh_group(comparing, group);
        if (!told[i] || !(group->chance <= limit) || weight.chance_without > false_share ||
            fabs(group->shift_db) < least_shift_db)
            continue;
        double chance =
            group->alike == CALIBRATION_RADIO_AND_TYPE ? rarer * group->chance : group->chance;
        bool as_sure = fabs(chance - least_chance) <= 1e-6 * chance;
        if (as_sure ? weight.rest_db >= least_rest_db : chance > least_chance)
            continue;
        surest = i;
        least_chance = chance;
        least_rest_db = weight.rest_db;
    }
    return surest;
}

/* Each beyond the others once more, for one was found before the next was known. */
static void weigh_again(struct comparing *comparing) {
    for (size_t i = 0; i < comparing->out->n_groups; i++) {
        calibration_shift *group = &comparing->out->groups[i];
        if (!group->shifted)
            continue;
        group->shifted = false;
        weigh_group(comparing, group);
        group->shifted = true;
    }
}

/* One after the other, each beyond those before it; the k-th of m at k/m of the share, as
 * Benjamini and Hochberg's, from the surest down, which says no more than they would. */
static void find_groups(struct comparing *comparing, bool *told) {
    calibration_drift *out = comparing->out;
    size_t n_told = 0, n_shifted = 0, surest;
    for (size_t i = 0; i < out->n_groups; i++)
        n_told += told[i] = tells(comparing, i);
    do {
        surest = surest_group(comparing, told,
                              false_share * (double)(n_shifted + 1) / fmax((double)n_told, 1));
        if (surest != EARSHOT_NONE) {
            out->groups[surest].shifted = true;
            n_shifted++;
            weigh_again(comparing);
        }
    } while (surest != EARSHOT_NONE);
}

/* ---- each link ---- */

/* The chance that a link which showed a level falls silent by the scatter alone. */
static double silence_chance(const struct comparing *comparing,
                             const calibration_change *change, double scatter_db,
                             double shift_db) {
    const calibration_shown *heard = change->before.silent ? &change->after : &change->before;
    earshot_link link = survey_link(comparing->survey, change->device, change->listener);
    engine_result result;
    engine_solve(comparing->survey, comparing->belief, &link, NULL, &result);
    double spare_db =
        heard->level_dbm - result.needed_dbm + (change->before.silent ? -shift_db : shift_db);
    return chance_student_below(-spare_db / scatter_db, comparing->scatter.degrees);
}

/* The variance of what is taken off a link as common to it and others. */
static double taken_db2(const struct comparing *comparing, const calibration_change *change) {
    const calibration_drift *out = comparing->out;
    double n = (double)out->common.n, variance = 0;
    if (n > 1 && !isinf(out->common.sd_db))
        variance = square(out->common.sd_db) * n / (n - 1); /* of the others */
    for (size_t i = 0; i < out->n_groups; i++)
        if (out->groups[i].shifted && belongs(comparing->survey, &out->groups[i], change))
            variance += square(out->groups[i].sd_db);
    return variance;
}

static void weigh_change(const struct comparing *comparing, calibration_change *change) {
    const calibration_drift *drift = comparing->out;
    double own_db =
        comparing->scatter.ratio * calibration_scatter_between(&change->before, &change->after);
    double scatter_db = sqrt(square(own_db) + taken_db2(comparing, change));
    double of_groups_db = groups_db(comparing, change);
    double shift_db = of_groups_db + drift->common.shift_db;
    if (!isnan(raw_db(change)))
        shift_db =
            of_groups_db + calibration_middle_of_others(comparing->left, comparing->n_left,
                                                        raw_db(change) - of_groups_db);
    change->own_db = raw_db(change) - shift_db;
    change->chance = 1;
    if (!isnan(change->own_db))
        change->chance =
            calibration_scatter_chance(&comparing->scatter, change->own_db, scatter_db);
    else if (change->before.silent != change->after.silent &&
             !isnan(change->before.silent ? change->after.level_dbm : change->before.level_dbm))
        change->chance = silence_chance(comparing, change, scatter_db, shift_db);
    if (change->before.trips && change->after.trips)
        change->chance = fmin(change->chance, counts_chance(&change->before, &change->after));
}

/* Benjamini and Hochberg: the largest k of which the k-th smallest chance is under k/n of the
 * share. */
static void say_changed(struct comparing *comparing) {
    calibration_drift *out = comparing->out;
    double limit = -1;
    for (size_t i = 0; i < out->n_changes; i++)
        comparing->values[i] = out->changes[i].chance;
    qsort(comparing->values, out->n_changes, sizeof *comparing->values, upward);
    for (size_t k = 1; k <= out->n_changes; k++)
        if (comparing->values[k - 1] <= false_share * (double)k / (double)out->n_changes)
            limit = comparing->values[k - 1];
    for (size_t i = 0; i < out->n_changes; i++) {
        out->changes[i].changed = out->changes[i].chance <= limit;
        out->n_changed += out->changes[i].changed;
    }
}

static void list_links(struct comparing *comparing) {
    const earshot_survey *survey = comparing->survey;
    calibration_drift *out = comparing->out;
    for (size_t device = 0; device < survey->n_devices; device++)
        for (size_t listener = 0; listener < survey->n_devices; listener++) {
            if (!survey_hears(survey, listener, device))
                continue;
            calibration_change change = {
                .device = device,
                .listener = listener,
                .before = calibration_shown_on(survey, device, listener, out->from),
                .after = calibration_shown_on(survey, device, listener, out->to)};
            if (!change.before.read || !change.after.read)
                continue;
            out->changes[out->n_changes++] = change;
        }
}

/* Of one kind all groups that there are, in order of their first link. */
static void list_groups(struct comparing *comparing, enum calibration_alike alike) {
    const earshot_survey *survey = comparing->survey;
    calibration_drift *out = comparing->out;
    size_t first = out->n_groups;
    for (size_t i = 0; i < out->n_changes; i++) {
        const calibration_change *change = &out->changes[i];
        const survey_device *device = &survey->devices[change->device];
        bool named = alike == CALIBRATION_ROOM   ? device->room[0]
                     : alike >= CALIBRATION_TYPE ? device->type[0]
                                                 : true;
        bool known = false;
        for (size_t j = first; j < out->n_groups && !known; j++)
            known = belongs(survey, &out->groups[j], change);
        if (!known && named)
            out->groups[out->n_groups++] = (calibration_shift){
                .alike = alike,
                .of = alike == CALIBRATION_LISTENER ? change->listener : change->device};
    }
    if (alike == CALIBRATION_LISTENER)
        out->n_listeners = out->n_groups;
}

enum earshot_status calibration_compare_visits(const earshot_survey *survey,
                                               const earshot_belief *belief, size_t from,
                                               size_t to, calibration_drift *out) {
    size_t most = survey->n_readings + 1;
    *out = (calibration_drift){.from = from, .to = to};
    struct comparing comparing = {.survey = survey,
                                  .belief = belief,
                                  .out = out,
                                  .values = calloc(most, sizeof *comparing.values),
                                  .left = calloc(most, sizeof *comparing.left)};
    out->changes = calloc(most, sizeof *out->changes);
    out->groups = calloc(CALIBRATION_RADIO_AND_TYPE * most, sizeof *out->groups);
    bool *told = calloc(CALIBRATION_RADIO_AND_TYPE * most, sizeof *told);
    if (!comparing.values || !comparing.left || !out->changes || !out->groups || !told) {
        free(told);
        free(comparing.left);
        free(comparing.values);
        return EARSHOT_NO_MEMORY;
    }
    list_links(&comparing);
    for (int alike = CALIBRATION_LISTENER; alike <= CALIBRATION_RADIO_AND_TYPE; alike++)
        list_groups(&comparing, alike);
    out->stated_db = mean_scatter_db(out);
    find_groups(&comparing, told);
    find_common(&comparing);
    free(told);
    for (size_t i = 0; i < out->n_changes; i++)
        weigh_change(&comparing, &out->changes[i]);
    say_changed(&comparing);
    free(comparing.left);
    free(comparing.values);
    return EARSHOT_OK;
}

void calibration_drift_free(calibration_drift *drift) {
    free(drift->changes);
    free(drift->groups);
    *drift = (calibration_drift){0};
}

/* ---- visits that tell nothing of the building ---- */

/* The strongest that the link showed on any other visit; not a number: never heard. */
static double heard_elsewhere_dbm(const earshot_survey *survey, size_t device, size_t listener,
                                  size_t visit) {
    double strongest_dbm = NAN;
    for (size_t other = 0; other < survey->n_visits; other++)
        if (other != visit)
            strongest_dbm = fmax(
                strongest_dbm, calibration_shown_on(survey, device, listener, other).level_dbm);
    return strongest_dbm;
}

static double most_noise_dbm(const earshot_survey *survey, size_t listener, size_t visit,
                             bool others) {
    double most_dbm = NAN;
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (reading->heard_at == listener && (reading->visit != visit) == others)
            most_dbm = fmax(most_dbm, reading->noise_dbm);
    }
    return most_dbm;
}

/* Something else is on the air when a quarter of what other visits heard is silent, and among
 * it links that were well above the weakest that are still heard: distance would take the
 * weakest first. Judgement. */
calibration_visit_fault calibration_judge_visit(const earshot_survey *survey, size_t listener,
                                                size_t visit) {
    static const double most_silent = 0.25, above_db = 10, most_risen_db = 10;
    static const size_t least_links = 4;
    calibration_visit_fault fault = {
        .strongest_dbm = NAN,
        .noise_dbm = most_noise_dbm(survey, listener, visit, false),
        .noise_before_dbm = most_noise_dbm(survey, listener, visit, true)};
    double weakest_heard_dbm = INFINITY;
    size_t n_strong = 0;
    for (size_t device = 0; device < survey->n_devices; device++) {
        calibration_shown shown = calibration_shown_on(survey, device, listener, visit);
        double level_dbm = heard_elsewhere_dbm(survey, device, listener, visit);
        if (!shown.read || isnan(level_dbm))
            continue;
        fault.n_heard_before++;
        fault.n_silent += shown.silent;
        if (shown.silent)
            fault.strongest_dbm = fmax(fault.strongest_dbm, level_dbm);
        else
            weakest_heard_dbm = fmin(weakest_heard_dbm, level_dbm);
    }
    for (size_t device = 0; device < survey->n_devices; device++)
        n_strong += calibration_shown_on(survey, device, listener, visit).silent &&
                    heard_elsewhere_dbm(survey, device, listener, visit) >=
                        weakest_heard_dbm + above_db;
    if (fault.n_heard_before >= least_links && fault.n_silent == fault.n_heard_before)
        fault.fault = CALIBRATION_DEAF;
    else if (fault.n_heard_before >= least_links && n_strong > 1 &&
             (double)fault.n_silent >= most_silent * (double)fault.n_heard_before)
        fault.fault = CALIBRATION_JAMMED;
    else if (fault.noise_dbm >= fault.noise_before_dbm + most_risen_db)
        fault.fault = CALIBRATION_NOISY;
    return fault;
}
