/* SPDX-License-Identifier: GPL-3.0-or-later */
/* drift.c - what changed between visits: for a person, as JSON (schema earshot/drift/1) and as
 * CSV, a row for each link read on both.
 */
#include "drift.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "write.h"
#include "years.h"

struct trend {
    size_t zone; /* among the judged */
    calibration_trend trend;
    double spare_db, years; /* until nothing is to spare; not a number: not in sight */
};

struct writing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_findings *findings;
    calibration_visit_fault *faults; /* [device][visit], of listeners */
    unsigned char *unusable;         /* the same */
    calibration_years years;
    calibration_drift drift;
    bool compared; /* there are two visits to compare */
    earshot_zone *zones;
    size_t n_zones;
    struct trend *trends;
    size_t n_trends;
    earshot_text *out;
};

static const char *visit_name(const struct writing *writing, size_t visit) {
    const char *name = writing->survey->visits[visit];
    return name[0] ? name : "the first visit";
}

static void add_visit(const struct writing *writing, size_t visit) {
    text_add(writing->out, writing->survey->visits[visit][0] ? "visit " : "");
    text_add_in_line(writing->out, visit_name(writing, visit));
}

static const char *device_name(const struct writing *writing, size_t row) {
    return report_name(&writing->survey->devices[row]);
}

/* ---- visits that tell nothing ---- */

static calibration_visit_fault fault_of(const struct writing *writing, size_t visit,
                                        size_t *listener) {
    calibration_visit_fault usable = {.fault = CALIBRATION_USABLE};
    for (size_t i = 0; i < writing->survey->n_devices; i++) {
        size_t at = i * writing->survey->n_visits + visit;
        *listener = i;
        if (writing->unusable[at])
            return writing->faults[at];
    }
    return usable;
}

static bool usable(const struct writing *writing, size_t visit) {
    size_t listener;
    return fault_of(writing, visit, &listener).fault == CALIBRATION_USABLE;
}

static enum earshot_status gather_faults(struct writing *writing) {
    const earshot_survey *survey = writing->survey;
    size_t n = survey->n_devices * survey->n_visits;
    writing->faults = calloc(n + 1, sizeof *writing->faults);
    writing->unusable = calloc(n + 1, sizeof *writing->unusable);
    if (!writing->faults || !writing->unusable)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < n; i++) {
        size_t listener = i / survey->n_visits;
        if (survey->devices[listener].role == SURVEY_SENSOR)
            continue;
        writing->faults[i] = calibration_judge_visit(survey, listener, i % survey->n_visits);
        writing->unusable[i] = writing->faults[i].fault != CALIBRATION_USABLE;
    }
    return EARSHOT_OK;
}

static void write_fault(const struct writing *writing, size_t visit) {
    size_t listener;
    const calibration_visit_fault fault = fault_of(writing, visit, &listener);
    earshot_text *out = writing->out;
    if (fault.fault == CALIBRATION_USABLE)
        return;
    text_add(out, "Not usable: ");
    add_visit(writing, visit);
    text_add(out, " at ");
    text_add_in_line(out, device_name(writing, listener));
    if (fault.fault == CALIBRATION_DEAF) {
        text_add(out, ": nothing is heard there of the ");
        text_add_count(out, fault.n_silent);
        text_add(out,
                 " links that other visits heard. Look at the receiver first: its power, its "
                 "antenna, its place.\n");
        return;
    }
    if (fault.fault == CALIBRATION_JAMMED) {
        text_add(out, ": ");
        text_add_count(out, fault.n_silent);
        text_add(out, " of ");
        text_add_count(out, fault.n_heard_before);
        text_add(out, " links that other visits heard are silent, up to ");
        text_add_fixed(out, fault.strongest_dbm, 0);
        text_add(out,
                 " dBm strong, while weaker ones are heard. Something else was on the air; "
                 "read it again another hour.\n");
        return;
    }
    text_add(out, ": the noise rose from ");
    text_add_fixed(out, fault.noise_before_dbm, 0);
    text_add(out, " to ");
    text_add_fixed(out, fault.noise_dbm, 0);
    text_add(out, " dBm. Find what sends there, and read it again.\n");
}

/* ---- the comparison ---- */

static void write_shift(const struct writing *writing, const calibration_shift *shift) {
    earshot_text *out = writing->out;
    text_add_fixed(out, fabs(shift->shift_db), 0);
    text_add(out, " dB ");
    text_add(out, shift->shift_db < 0 ? "lower" : "higher");
    report_doubt(out, shift->sd_db);
}

/* "the 8 of type contact with radio 868-10mw" */
static void write_group(const struct writing *writing, const calibration_shift *group) {
    const survey_device *like = &writing->survey->devices[group->of];
    earshot_text *out = writing->out;
    if (group->alike == CALIBRATION_LISTENER) {
        text_add_in_line(out, device_name(writing, group->of));
        text_add(out, ": all ");
        text_add_count(out, group->n);
        text_add(out, " links there read ");
        return;
    }
    bool type = group->alike == CALIBRATION_TYPE || group->alike == CALIBRATION_RADIO_AND_TYPE;
    bool radio =
        group->alike == CALIBRATION_RADIO || group->alike == CALIBRATION_RADIO_AND_TYPE;
    text_add(out, "all ");
    text_add_count(out, group->n);
    text_add(out, type ? " links of type " : " links");
    text_add(out, type ? like->type : "");
    if (group->alike == CALIBRATION_ROOM) {
        text_add(out, " from ");
        text_add_in_line(out, like->room);
    }
    if (radio) {
        text_add(out, " with radio ");
        text_add_in_line(out, writing->survey->radios[like->radio].name);
    }
    text_add(out, " read ");
}

static const char *group_advice(const calibration_shift *group) {
    bool lower = group->shift_db < 0;
    if (group->alike == CALIBRATION_LISTENER)
        return lower
                   ? ": one change there; look at its place, its antenna, its noise before you "
                     "look at each\n"
                   : ": one change there, as another place or antenna makes it; nothing to "
                     "mend\n";
    if (group->alike == CALIBRATION_ROOM)
        return lower ? ": one change on the way from there; look for a new wall, a door, stock "
                       "or furniture before you look at each\n"
                     : ": one change on the way from there, as if something was taken out; "
                       "nothing to mend\n";
    return lower ? ": one change of them all; look how old their batteries are before you look "
                   "at each\n"
                 : ": one change of them all, as new batteries make it; nothing to mend\n";
}

static void write_groups(const struct writing *writing) {
    for (size_t i = 0; i < writing->drift.n_groups; i++) {
        const calibration_shift *group = &writing->drift.groups[i];
        if (!group->shifted)
            continue;
        text_add(writing->out, writing->drift.common.shifted ? "  beyond that " : "  ");
        write_group(writing, group);
        write_shift(writing, group);
        text_add(writing->out, group_advice(group));
    }
}

static size_t count_groups(const struct writing *writing) {
    size_t n = 0;
    for (size_t i = 0; i < writing->drift.n_groups; i++)
        n += writing->drift.groups[i].shifted;
    return n;
}

/* What several links did alike; counts, or two levels, tell of no shift. */
static void write_alike(const struct writing *writing) {
    static const size_t few = 3;
    const calibration_drift *drift = &writing->drift;
    earshot_text *out = writing->out;
    size_t n = count_groups(writing);
    if (drift->common.shifted) {
        text_add(out, "all ");
        text_add_count(out, drift->common.n);
        text_add(out, " links together read ");
        write_shift(writing, &drift->common);
    }
    if (n) {
        text_add(out, drift->common.shifted ? ", and " : "");
        text_add_count(out, n);
        text_add(out,
                 n == 1 ? " group of links changed alike" : " groups of links changed alike");
    } else if (!drift->common.shifted && drift->common.n >= few) {
        text_add(out, "no links shifted together");
    }
    text_add(out, n || drift->common.n >= few ? "; " : "");
}

/* A meter and a receiver look alike from here, and only one of them costs margin. */
static void write_common_advice(const struct writing *writing) {
    const calibration_drift *drift = &writing->drift;
    earshot_text *out = writing->out;
    if (!drift->common.shifted)
        return;
    text_add(out, drift->n_listeners == 1
                      ? "  That is another meter or hand, or the receiver (its place, its "
                        "antenna). Read one zone with both meters: if they agree, "
                      : "  That is another meter or hand, or what all have in common. Read one "
                        "zone with both meters: if they agree, ");
    text_add(out, drift->common.shift_db < 0 ? "every zone has lost it.\n"
                                             : "every zone has gained it.\n");
}

/* Zones that were read on both visits: the rest may have changed unseen. */
static void write_how_many(const struct writing *writing) {
    const calibration_drift *drift = &writing->drift;
    size_t n_read = 0;
    for (size_t i = 0; i < writing->n_zones; i++) {
        bool read = false;
        for (size_t j = 0; j < drift->n_changes && !read; j++)
            read = drift->changes[j].device == writing->zones[i].device;
        n_read += read;
    }
    if (n_read == writing->n_zones)
        return;
    text_add(writing->out, ", ");
    text_add_count(writing->out, n_read);
    text_add(writing->out, " of ");
    text_add_count(writing->out, writing->n_zones);
    text_add(writing->out,
             n_read == 1 ? " zones was read on both" : " zones were read on both");
}

static void write_sentence(const struct writing *writing) {
    const calibration_drift *drift = &writing->drift;
    earshot_text *out = writing->out;
    report_capital(out, writing->survey->visits[drift->to][0] ? "visit " : "");
    text_add_in_line(out, visit_name(writing, drift->to));
    text_add(out, " against ");
    add_visit(writing, drift->from);
    if (drift->n_changes == 0) {
        text_add(out, ": no link was read on both.\n");
        return;
    }
    write_how_many(writing);
    text_add(out, ": ");
    write_alike(writing);
    if (drift->n_changed == 0) {
        text_add(out, "no zone surely changed of its own.\n");
        return;
    }
    text_add_count(out, drift->n_changed);
    text_add(out, " of ");
    text_add_count(out, drift->n_changes);
    text_add(out, drift->n_changed == 1 ? " links changed of its own.\n"
                                        : " links changed of their own.\n");
}

static void write_shown(const calibration_shown *shown, earshot_text *out) {
    if (shown->trips) {
        text_add(out, "heard ");
        text_add_count(out, shown->heard);
        text_add(out, " of ");
        text_add_count(out, shown->trips);
    }
    if (!isnan(shown->level_dbm)) {
        text_add(out, shown->trips ? ", " : "");
        text_add_fixed(out, shown->level_dbm, 0);
        text_add(out, " dBm");
    } else if (shown->silent && !shown->trips) {
        text_add(out, "not heard");
    }
}

static bool better(const calibration_change *change) {
    if (!isnan(change->own_db) && change->own_db != 0)
        return change->own_db > 0;
    if (change->before.trips && change->after.trips)
        return (double)change->after.heard / change->after.trips >
               (double)change->before.heard / change->before.trips;
    return change->before.silent;
}

static bool was_heard(const calibration_shown *shown) {
    return !isnan(shown->level_dbm) || shown->heard > 0;
}

enum certainty { SURE, UNSURE, SAME };

/* Short of sure there is what is worth a second reading: seldom by chance, or not heard any
 * more, which may be chance with a weak link and is bad news all the same. */
static enum certainty certainty_of(const calibration_change *change) {
    static const double seldom = 0.02;
    bool lost = was_heard(&change->before) && !was_heard(&change->after);
    if (change->changed)
        return SURE;
    return lost || (change->chance <= seldom && !better(change)) ? UNSURE : SAME;
}

/* By what was shown, not by all that is believed: that has the better visit in it too. */
static double shown_spare_db(const earshot_prediction *prediction, double level_dbm) {
    return level_dbm - prediction->needed_dbm - prediction->required_margin_db;
}

static void write_now(const struct writing *writing, const calibration_change *change) {
    for (size_t i = 0; i < writing->n_zones; i++) {
        const earshot_zone *zone = &writing->zones[i];
        double spare_db = shown_spare_db(&zone->prediction, change->after.level_dbm);
        if (zone->device != change->device || zone->link.listener != change->listener ||
            isnan(spare_db))
            continue;
        text_add(writing->out, spare_db < 0 ? "; that is " : "; that leaves ");
        report_spare(writing->out, spare_db);
    }
}

static void write_zone_name(const struct writing *writing, size_t row) {
    const survey_device *device = &writing->survey->devices[row];
    earshot_text *out = writing->out;
    report_zone_name(out, device);
    text_add(out, device->life_safety ? " (life safety)" : "");
}

static void write_change(const struct writing *writing, const calibration_change *change) {
    enum certainty certainty = certainty_of(change);
    earshot_text *out = writing->out;
    text_add(out, "  ");
    write_zone_name(writing, change->device);
    if (writing->drift.n_listeners > 1) {
        text_add(out, " at ");
        text_add_in_line(out, device_name(writing, change->listener));
    }
    text_add(out, ": ");
    if (certainty == SURE)
        text_add(out, better(change) ? "better since, " : "worse, ");
    write_shown(&change->before, out);
    text_add(out, " -> ");
    write_shown(&change->after, out);
    if (fabs(change->own_db) >= 0.5) {
        text_add(out, ", ");
        text_add_fixed(out, fabs(change->own_db), 0);
        text_add(out, change->own_db < 0 ? " dB down of its own" : " dB up of its own");
    }
    if (certainty != SAME)
        write_now(writing, change);
    text_add(out, certainty == SURE && !better(change)
                      ? ": look at its battery, its fixing, what stands in the way\n"
                      : "\n");
}

/* Those of one certainty, what guards life first. */
static void write_changes(const struct writing *writing, enum certainty certainty,
                          const char *heading) {
    bool any = false;
    for (int life_safety = 1; life_safety >= 0; life_safety--)
        for (size_t i = 0; i < writing->drift.n_changes; i++) {
            const calibration_change *change = &writing->drift.changes[i];
            if (certainty_of(change) != certainty ||
                writing->survey->devices[change->device].life_safety != life_safety)
                continue;
            text_add(writing->out, any ? "" : heading);
            write_change(writing, change);
            any = true;
        }
}

/* Whatever changed, this is what is left to do. */
static void write_not_firm(const struct writing *writing) {
    enum { MOST = 8 };
    earshot_text *out = writing->out;
    size_t n = 0;
    for (size_t i = 0; i < writing->n_zones; i++) {
        const earshot_zone *zone = &writing->zones[i];
        if (zone->prediction.verdict == EARSHOT_FIRM ||
            zone->prediction.verdict == EARSHOT_NOT_JUDGED || n++ >= MOST)
            continue;
        text_add(out, n == 1 ? "Not firm now: " : ", ");
        write_zone_name(writing, zone->device);
    }
    if (n > MOST) {
        text_add(out, ", and ");
        text_add_count(out, n - MOST);
        text_add(out, " more");
    }
    text_add(out, n ? ": earshot check says why, and what to do.\n" : "");
}

static void write_scatter(const struct writing *writing) {
    static const double far_apart = 1.5; /* times the stated one; judgement */
    const calibration_drift *drift = &writing->drift;
    if (drift->common.n == 0)
        return;
    text_add(writing->out, "Two visits differ by ");
    text_add_fixed(writing->out, drift->scatter_db, 0);
    text_add(writing->out, " dB a link where nothing changed.\n");
    if (drift->scatter_db > far_apart * drift->stated_db)
        text_add(writing->out,
                 "That is far more than two visits differ by elsewhere, so they hardly "
                 "compare: look for mixed-up names, another scale, or something on "
                 "the air.\n");
}

/* ---- over the years ---- */

static const calibration_alike_level *alike_on(const struct writing *writing, size_t listener,
                                               size_t visit) {
    return &writing->years.levels[listener * writing->survey->n_visits + visit];
}

/* The next visit from `visit` on whose level at a listener is told; n_visits: none. */
static size_t next_told(const struct writing *writing, size_t listener, size_t visit) {
    while (visit < writing->survey->n_visits &&
           (alike_on(writing, listener, visit)->n == 0 ||
            writing->unusable[listener * writing->survey->n_visits + visit]))
        visit++;
    return visit;
}

/* What all links at a listener changed from one visit to another; 0: no more than by chance. */
static double alike_change_db(const struct writing *writing, size_t listener, size_t from,
                              size_t to, double sure_sds, double least_db) {
    const calibration_alike_level *before = alike_on(writing, listener, from),
                                  *after = alike_on(writing, listener, to);
    double change_db = after->level_db - before->level_db;
    bool sure = fabs(change_db) > sure_sds * hypot(before->sd_db, after->sd_db) &&
                fabs(change_db) >= least_db;
    return sure ? change_db : 0;
}

/* Lower from visit to visit, three or more: hardly another meter each time. */
static bool all_fall(const struct writing *writing, size_t listener, size_t *from, size_t *to) {
    static const double sure_sds = 2;
    size_t n = 0, visit = next_told(writing, listener, 0), next;
    *from = visit;
    for (; (next = next_told(writing, listener, visit + 1)) < writing->survey->n_visits;
         visit = next, n++)
        if (!(alike_change_db(writing, listener, visit, next, sure_sds, 0) < 0))
            return false;
    *to = visit;
    return n > 1;
}

static void write_alike_change(const struct writing *writing, size_t listener, size_t from,
                               size_t to, double change_db, const char *by) {
    earshot_text *out = writing->out;
    text_add(out, "All links ");
    if (writing->drift.n_listeners > 1) {
        text_add(out, "at ");
        text_add_in_line(out, device_name(writing, listener));
        text_add(out, " ");
    }
    text_add(out, "together read ");
    text_add_fixed(out, fabs(change_db), 0);
    text_add(out, change_db < 0 ? " dB lower on " : " dB higher on ");
    add_visit(writing, to);
    text_add(out, " than on ");
    add_visit(writing, from);
    text_add(out, by);
}

/* Once for all zones, what no zone is charged with. */
static void write_charged_to_none(const struct writing *writing, size_t listener) {
    static const double sure_sds = 3, least_db = 2; /* as find_common in calibration/drift.c */
    size_t from, to, next, visit = next_told(writing, listener, 0);
    if (all_fall(writing, listener, &from, &to)) {
        write_alike_change(writing, listener, from, to,
                           alike_change_db(writing, listener, from, to, 0, 0),
                           ", less from visit to visit: that is no zone's, and no meter's "
                           "either if it was the same one. Look at the receiver, its place and "
                           "its antenna.\n");
        return;
    }
    for (; (next = next_told(writing, listener, visit + 1)) < writing->survey->n_visits;
         visit = next) {
        double change_db = alike_change_db(writing, listener, visit, next, sure_sds, least_db);
        bool said = writing->drift.common.shifted && visit == writing->drift.from &&
                    next == writing->drift.to;
        if (change_db != 0 && !said)
            write_alike_change(writing, listener, visit, next, change_db,
                               "; that is in no zone's trend.\n");
    }
}

static bool in_a_trend(const struct writing *writing, size_t listener) {
    for (size_t i = 0; i < writing->n_trends; i++)
        if (writing->zones[writing->trends[i].zone].link.listener == listener)
            return true;
    return false;
}

/* What would have a say in a trend, and has none. */
static void write_left_out(const struct writing *writing) {
    const earshot_survey *survey = writing->survey;
    size_t n = 0;
    for (size_t i = 0; i < survey->n_devices * survey->n_visits; i++) {
        if (!writing->unusable[i])
            continue;
        text_add(writing->out, n++ ? ", " : "Left out of that, for it is not usable: ");
        add_visit(writing, i % survey->n_visits);
        text_add(writing->out, " at ");
        text_add_in_line(writing->out, device_name(writing, i / survey->n_visits));
    }
    text_add(writing->out, n ? ".\n" : "");
}

static void write_trends(const struct writing *writing) {
    static const double soon_years = 5; /* a battery's; judgement */
    earshot_text *out = writing->out;
    const struct trend *first = NULL;
    if (writing->n_trends == 0) {
        text_add(out, "Which zone goes thin first can be said with three usable visits or "
                      "more, each with its date in the column time.\n");
        return;
    }
    for (size_t i = 0; i < writing->n_trends; i++)
        if (!isnan(writing->trends[i].years) &&
            (!first || writing->trends[i].years < first->years))
            first = &writing->trends[i];
    if (!first) {
        text_add(out, "No zone loses so much a year that it shows.\n");
        return;
    }
    text_add(out, "Goes thin first: ");
    text_add_in_line(out, device_name(writing, writing->zones[first->zone].device));
    text_add(out, ", losing ");
    text_add_fixed(out, -first->trend.slope_db_a_year, 1);
    text_add(out, " dB a year");
    report_doubt(out, first->trend.sd_db_a_year);
    if (first->years <= 0)
        text_add(out, ", with nothing to spare now: mend it first.\n");
    else {
        text_add(out, ", with ");
        text_add_fixed(out, first->spare_db, 0);
        text_add(out, " dB to spare: in about ");
        text_add_fixed(out, fmax(first->years, 0.5), first->years < 3 ? 1 : 0);
        text_add(out, first->years < soon_years ? " years; look at its battery before then.\n"
                                                : " years.\n");
    }
}

static void write_plain(const struct writing *writing, bool all) {
    for (size_t i = 0; i < writing->survey->n_visits; i++)
        write_fault(writing, i);
    if (!writing->compared) {
        text_add(writing->out,
                 writing->survey->n_visits > 1
                     ? "There are no two usable visits to compare; --from and --to compare "
                       "two all the same.\n"
                     : "There are no two visits to compare: give readings.csv a column visit, "
                       "and read the zones again.\n");
        return;
    }
    write_sentence(writing);
    write_common_advice(writing);
    write_groups(writing);
    write_changes(writing, SURE, "");
    write_changes(writing, UNSURE, "May be chance; read these again before you trust them:\n");
    if (all)
        write_changes(writing, SAME, "No more than two visits differ by:\n");
    write_scatter(writing);
    write_not_firm(writing);
    write_trends(writing);
    for (size_t i = 0; i < writing->survey->n_devices; i++)
        if (in_a_trend(writing, i))
            write_charged_to_none(writing, i);
    if (writing->n_trends)
        write_left_out(writing);
}

/* ---- for programs ---- */

static void write_shift_json(report_json *json, const char *key, const struct writing *writing,
                             const calibration_shift *shift) {
    const earshot_survey *survey = writing->survey;
    enum calibration_alike alike = shift->alike;
    bool radio = alike == CALIBRATION_RADIO || alike == CALIBRATION_RADIO_AND_TYPE;
    bool type = alike == CALIBRATION_TYPE || alike == CALIBRATION_RADIO_AND_TYPE;
    report_open(json, key, '{');
    report_string(json, "listener",
                  alike == CALIBRATION_LISTENER ? survey->devices[shift->of].name : NULL);
    report_string(json, "room",
                  alike == CALIBRATION_ROOM ? survey->devices[shift->of].room : NULL);
    report_string(json, "radio",
                  radio ? survey->radios[survey->devices[shift->of].radio].name : NULL);
    report_string(json, "type", type ? survey->devices[shift->of].type : NULL);
    report_number(json, "links", (double)shift->n);
    report_number(json, "shift_db", shift->shift_db);
    report_number(json, "sd_db", shift->sd_db);
    report_number(json, "chance", shift->chance);
    report_bool(json, "shifted", shift->shifted);
    report_close(json, '}');
}

/* Those of listeners come first. */
static void write_groups_json(report_json *json, const char *key, const struct writing *writing,
                              size_t first, size_t end) {
    report_open(json, key, '[');
    for (size_t i = first; i < end; i++)
        write_shift_json(json, NULL, writing, &writing->drift.groups[i]);
    report_close(json, ']');
}

static void write_shown_json(report_json *json, const char *key,
                             const calibration_shown *shown) {
    report_open(json, key, '{');
    report_number(json, "level_dbm", shown->level_dbm);
    report_bool(json, "not_heard", shown->silent);
    report_number(json, "trips", shown->trips ? shown->trips : NAN);
    report_number(json, "heard", shown->trips ? shown->heard : NAN);
    report_bool(json, "in_place", shown->in_place);
    report_close(json, '}');
}

static void write_visits_json(const struct writing *writing, report_json *json) {
    static const char *const words[] = {"usable", "jammed", "noisy", "deaf"};
    report_open(json, "visits", '[');
    for (size_t i = 0; i < writing->survey->n_visits; i++) {
        size_t listener;
        const calibration_visit_fault fault = fault_of(writing, i, &listener);
        bool bad = fault.fault != CALIBRATION_USABLE;
        report_open(json, NULL, '{');
        report_string(json, "visit", writing->survey->visits[i]);
        report_string(json, "state", words[fault.fault]);
        report_string(json, "listener", bad ? writing->survey->devices[listener].name : NULL);
        report_number(json, "silent", bad ? (double)fault.n_silent : NAN);
        report_number(json, "heard_on_others", bad ? (double)fault.n_heard_before : NAN);
        report_close(json, '}');
    }
    report_close(json, ']');
}

/* What all links at a listener showed alike on a visit, which is taken off of trends. */
static void write_levels_json(const struct writing *writing, report_json *json) {
    const earshot_survey *survey = writing->survey;
    report_open(json, "alike", '[');
    for (size_t i = 0; i < survey->n_devices; i++)
        for (size_t visit = 0; visit < survey->n_visits && in_a_trend(writing, i); visit++) {
            const calibration_alike_level *level = alike_on(writing, i, visit);
            report_open(json, NULL, '{');
            report_string(json, "listener", survey->devices[i].name);
            report_string(json, "visit", survey->visits[visit]);
            report_number(json, "links", (double)level->n);
            report_number(json, "level_db", level->n ? level->level_db : NAN);
            report_number(json, "sd_db", level->sd_db);
            report_close(json, '}');
        }
    report_close(json, ']');
}

static void write_json(const struct writing *writing) {
    const calibration_drift *drift = &writing->drift;
    report_json json = {.out = writing->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/drift/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(writing->survey));
    write_visits_json(writing, &json);
    report_string(&json, "from",
                  writing->compared ? writing->survey->visits[drift->from] : NULL);
    report_string(&json, "to", writing->compared ? writing->survey->visits[drift->to] : NULL);
    report_number(&json, "scatter_db", writing->compared ? drift->scatter_db : NAN);
    write_shift_json(&json, "common", writing, &drift->common);
    write_groups_json(&json, "listeners", writing, 0, drift->n_listeners);
    write_groups_json(&json, "senders", writing, drift->n_listeners, drift->n_groups);
    report_open(&json, "links", '[');
    for (size_t i = 0; i < drift->n_changes; i++) {
        const calibration_change *change = &drift->changes[i];
        report_open(&json, NULL, '{');
        report_string(&json, "device", writing->survey->devices[change->device].name);
        report_string(&json, "listener", writing->survey->devices[change->listener].name);
        write_shown_json(&json, "before", &change->before);
        write_shown_json(&json, "after", &change->after);
        report_number(&json, "own_db", change->own_db);
        report_number(&json, "chance", change->chance);
        report_bool(&json, "changed", change->changed);
        report_close(&json, '}');
    }
    report_close(&json, ']');
    write_levels_json(writing, &json);
    report_open(&json, "trends", '[');
    for (size_t i = 0; i < writing->n_trends; i++) {
        const struct trend *trend = &writing->trends[i];
        report_open(&json, NULL, '{');
        report_string(&json, "device",
                      writing->survey->devices[writing->zones[trend->zone].device].name);
        report_number(&json, "visits", (double)trend->trend.n_visits);
        report_number(&json, "left_out", (double)trend->trend.n_left_out);
        report_number(&json, "slope_db_a_year", trend->trend.slope_db_a_year);
        report_number(&json, "sd_db_a_year", trend->trend.sd_db_a_year);
        report_number(&json, "spare_db", trend->spare_db);
        report_number(&json, "years", trend->years);
        report_close(&json, '}');
    }
    report_close(&json, ']');
    report_findings_json(&json, writing->findings);
    report_close(&json, '}');
    text_add(writing->out, "\n");
}

static void write_csv(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out, "device,listener,before_dbm,after_dbm,before_heard,before_trips,after_heard,"
                  "after_trips,own_db,chance,changed\n");
    for (size_t i = 0; i < writing->drift.n_changes; i++) {
        const calibration_change *change = &writing->drift.changes[i];
        const calibration_shown *before = &change->before, *after = &change->after;
        report_cell(out, writing->survey->devices[change->device].name, false);
        report_cell(out, writing->survey->devices[change->listener].name, false);
        report_cell_number(out, before->level_dbm, false);
        report_cell_number(out, after->level_dbm, false);
        report_cell_number(out, before->trips ? before->heard : NAN, false);
        report_cell_number(out, before->trips ? before->trips : NAN, false);
        report_cell_number(out, after->trips ? after->heard : NAN, false);
        report_cell_number(out, after->trips ? after->trips : NAN, false);
        report_cell_number(out, change->own_db, false);
        report_cell_number(out, change->chance, false);
        report_cell(out, change->changed ? "yes" : "no", true);
    }
}

/* ---- all ---- */

/* A zone whose level surely falls; how long until nothing is to spare. */
static double years_left(const calibration_trend *trend, double spare_db) {
    static const double sure_sds = 1.3; /* nine in ten */
    if (!(trend->slope_db_a_year < -sure_sds * trend->sd_db_a_year) || isnan(spare_db))
        return NAN;
    return spare_db / -trend->slope_db_a_year;
}

static enum earshot_status gather_trends(struct writing *writing) {
    size_t most = writing->survey->n_devices + 1;
    writing->zones = calloc(most, sizeof *writing->zones);
    writing->trends = calloc(most, sizeof *writing->trends);
    if (!writing->zones || !writing->trends)
        return EARSHOT_NO_MEMORY;
    enum earshot_status status = earshot_zones_judge(
        writing->survey, writing->belief, writing->zones, most - 1, &writing->n_zones);
    for (size_t i = 0; status == EARSHOT_OK && i < writing->n_zones; i++) {
        const earshot_zone *zone = &writing->zones[i];
        if (zone->link.listener == EARSHOT_NONE)
            continue;
        size_t listener = zone->link.listener;
        calibration_trend trend = calibration_trend_of(
            writing->survey, zone->device, listener,
            writing->unusable + listener * writing->survey->n_visits, &writing->years);
        double spare_db =
            fmin(zone->prediction.spare_db, shown_spare_db(&zone->prediction, trend.last_dbm));
        if (trend.n_visits > 2)
            writing->trends[writing->n_trends++] =
                (struct trend){i, trend, spare_db, years_left(&trend, spare_db)};
    }
    return status;
}

/* The first usable visit and the last, where nobody names them. */
static bool choose_visits(const struct writing *writing, size_t *from, size_t *to) {
    size_t n = writing->survey->n_visits;
    if (*from == EARSHOT_NONE)
        for (size_t i = n; i-- > 0;)
            *from = usable(writing, i) ? i : *from;
    if (*to == EARSHOT_NONE)
        for (size_t i = 0; i < n; i++)
            *to = usable(writing, i) ? i : *to;
    return *from < n && *to < n && *from != *to;
}

enum earshot_status earshot_drift_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings, size_t from,
                                        size_t to, enum earshot_form form, earshot_text *out) {
    struct writing writing = {
        .survey = survey, .belief = belief, .findings = findings, .out = out};
    enum earshot_status status = gather_faults(&writing);
    if (status == EARSHOT_OK)
        status = calibration_look_at_years(survey, writing.unusable, &writing.years);
    if (status == EARSHOT_OK)
        status = gather_trends(&writing);
    writing.compared = status == EARSHOT_OK && choose_visits(&writing, &from, &to);
    if (status == EARSHOT_OK && writing.compared)
        status = calibration_compare_visits(survey, belief, from, to, &writing.drift);
    if (status == EARSHOT_OK && form == EARSHOT_JSON)
        write_json(&writing);
    else if (status == EARSHOT_OK && form == EARSHOT_CSV)
        write_csv(&writing);
    else if (status == EARSHOT_OK)
        write_plain(&writing, form == EARSHOT_PLAIN_ALL);
    calibration_drift_free(&writing.drift);
    calibration_years_free(&writing.years);
    free(writing.faults);
    free(writing.unusable);
    free(writing.zones);
    free(writing.trends);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}

size_t earshot_survey_visits(const earshot_survey *survey) {
    return survey->n_visits;
}

size_t earshot_survey_find_visit(const earshot_survey *survey, const char *name) {
    return survey_find(name, survey->visits, survey->n_visits, sizeof *survey->visits);
}
