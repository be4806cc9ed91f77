/* SPDX-License-Identifier: GPL-3.0-or-later */
/* final.c - may one leave? The final test of each zone: what is missing first, life safety
 * before the rest; as JSON (schema earshot/final/1) and as CSV, a row for each zone.
 */
#include <math.h>
#include <stdlib.h>

#include "earshot/earshot.h"
#include "write.h"

struct writing {
    const earshot_survey *survey;
    const earshot_findings *findings;
    report_tested *zones;
    size_t n;
    size_t count[PLANNING_PROVEN + 1];
    earshot_text *out;
};

const char *report_state(enum planning_state state) {
    static const char *const words[] = {"predicted", "too few trips", "not passed", "passed",
                                        "passed with a pad"};
    return words[state];
}

/* ---- which link of a zone was tested ---- */

/* The zone's best link, unless only another of its links was tested. */
static enum earshot_status choose_link(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_link *links,
                                       size_t n_links, report_tested *tested) {
    tested->final = planning_final_of(survey, &tested->zone.link, &tested->zone.prediction);
    for (size_t i = 0; i < n_links; i++) {
        earshot_prediction prediction;
        if (links[i].device != tested->zone.device ||
            links[i].listener == tested->zone.link.listener ||
            tested->final.state != PLANNING_PREDICTED)
            continue;
        enum earshot_status status =
            earshot_links_predict(survey, belief, &links[i], 1, &prediction);
        if (status != EARSHOT_OK)
            return status;
        planning_final other = planning_final_of(survey, &links[i], &prediction);
        if (other.state == PLANNING_PREDICTED)
            continue;
        tested->zone.link = links[i];
        tested->zone.prediction = prediction;
        tested->final = other;
    }
    return EARSHOT_OK;
}

enum earshot_status report_test_zones(const earshot_survey *survey,
                                      const earshot_belief *belief, report_tested **out,
                                      size_t *n_out) {
    size_t n_links = earshot_survey_links(survey, NULL, 0), n = 0;
    earshot_link *links = calloc(n_links + 1, sizeof *links);
    earshot_zone *zones = calloc(survey->n_devices + 1, sizeof *zones);
    report_tested *tested = calloc(survey->n_devices + 1, sizeof *tested);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (links && zones && tested)
        status = earshot_zones_judge(survey, belief, zones, survey->n_devices, &n);
    if (status == EARSHOT_OK)
        earshot_survey_links(survey, links, n_links);
    for (size_t i = 0; status == EARSHOT_OK && i < n; i++) {
        tested[i].zone = zones[i];
        status = choose_link(survey, belief, links, n_links, &tested[i]);
    }
    free(links);
    free(zones);
    if (status != EARSHOT_OK) {
        free(tested);
        return status;
    }
    *out = tested;
    *n_out = n;
    return EARSHOT_OK;
}

/* What is not done first, life safety first of it, then the order of devices.csv. */
static int by_need(const void *a, const void *b) {
    const report_tested *left = a, *right = b;
    if (left->final.state != right->final.state)
        return left->final.state < right->final.state ? -1 : 1;
    if (left->zone.link.life_safety != right->zone.link.life_safety)
        return left->zone.link.life_safety ? -1 : 1;
    return left->zone.device < right->zone.device ? -1 : left->zone.device > right->zone.device;
}

static enum earshot_status gather(struct writing *writing, const earshot_belief *belief) {
    enum earshot_status status =
        report_test_zones(writing->survey, belief, &writing->zones, &writing->n);
    if (status != EARSHOT_OK)
        return status;
    for (size_t i = 0; i < writing->n; i++)
        writing->count[writing->zones[i].final.state]++;
    qsort(writing->zones, writing->n, sizeof *writing->zones, by_need);
    return EARSHOT_OK;
}

/* ---- for a person ---- */

static const survey_device *device_of(const struct writing *writing,
                                      const report_tested *tested) {
    return &writing->survey->devices[tested->zone.device];
}

static size_t count_life(const struct writing *writing) {
    size_t n = 0;
    for (size_t i = 0; i < writing->n; i++)
        n += writing->zones[i].zone.link.life_safety &&
             writing->zones[i].final.state < PLANNING_PASSED;
    return n;
}

static void write_sentence(const struct writing *writing) {
    earshot_text *out = writing->out;
    size_t passed = writing->count[PLANNING_PASSED] + writing->count[PLANNING_PROVEN];
    size_t life = count_life(writing);
    text_add_count(out, passed);
    text_add(out, " of ");
    text_add_count(out, writing->n);
    text_add(out, writing->n == 1 ? " zone has passed its final test"
                                  : " zones have passed their final test");
    if (writing->count[PLANNING_NOT_PASSED]) {
        text_add(out, ", ");
        text_add_count(out, writing->count[PLANNING_NOT_PASSED]);
        text_add(out, " failed it");
    }
    if (life) {
        text_add(out, "; ");
        text_add_count(out, life);
        text_add(out, life == 1 ? " that guards life is still to be passed"
                                : " that guard life are still to be passed");
    }
    text_add(out, ".\n");
}

static void write_heard(const report_tested *tested, earshot_text *out) {
    const planning_final *final = &tested->final;
    if (final->trips) {
        text_add(out, "; heard ");
        text_add_count(out, final->heard);
        text_add(out, " of ");
        text_add_count(out, final->trips);
    }
    if (final->lowest_dbm == final->lowest_high_dbm) {
        text_add(out, ", lowest ");
        text_add_fixed(out, final->lowest_dbm, 0);
        text_add(out, " dBm: ");
        report_spare(out, final->lowest_dbm - final->asked_dbm);
    } else if (final->lowest_high_dbm < final->asked_dbm) {
        text_add(out, ", the lowest bar shown is short");
    }
    if (!isnan(final->pad_heard_db)) {
        text_add(out, "; heard behind a pad of ");
        text_add_fixed(out, final->pad_heard_db, 0);
        text_add(out, " dB");
    }
    if (!isnan(final->pad_missed_db)) {
        text_add(out, "; missed behind ");
        text_add_fixed(out, final->pad_missed_db, 0);
        text_add(out, " dB");
    }
}

static void write_zone(const struct writing *writing, const report_tested *tested) {
    const survey_device *device = device_of(writing, tested);
    earshot_text *out = writing->out;
    text_add(out, "  ");
    report_zone_name(out, device);
    text_add(out, device->life_safety ? " (life safety): " : ": ");
    text_add(out, report_state(tested->final.state));
    if (tested->final.state == PLANNING_PREDICTED) {
        text_add(out, " ");
        text_add(out, report_verdict(tested->zone.prediction.verdict));
    }
    write_heard(tested, out);
    text_add(out, "\n");
}

static void write_plain(const struct writing *writing, bool all) {
    earshot_text *out = writing->out;
    size_t hidden = 0;
    write_sentence(writing);
    for (size_t i = 0; i < writing->n; i++)
        if (all || writing->zones[i].final.state < PLANNING_PASSED)
            write_zone(writing, &writing->zones[i]);
        else
            hidden++;
    if (hidden) {
        text_add_count(out, hidden);
        text_add(out,
                 hidden == 1 ? " more has passed (--all).\n" : " more have passed (--all).\n");
    }
    text_add(out,
             "The final test: the device on its final fixing, cover on, doors shut, three "
             "trips,\nthe lowest used; then once more behind a pad of the margin kept, or on "
             "the\nreceiver's own reduced power. Local codes, the maker's instructions and "
             "licensed\npractice decide. After it: all zones restored, the account off "
             "test.\n");
}

/* ---- for programs ---- */

static void write_json(const struct writing *writing) {
    report_json json = {.out = writing->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/final/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(writing->survey));
    report_open(&json, "zones", '[');
    for (size_t i = 0; i < writing->n; i++) {
        const report_tested *tested = &writing->zones[i];
        const survey_device *device = device_of(writing, tested);
        const planning_final *final = &tested->final;
        size_t listener = tested->zone.link.listener;
        bool any = final->state != PLANNING_PREDICTED;
        report_open(&json, NULL, '{');
        report_string(&json, "device", device->name);
        report_number(&json, "zone", device->zone ? device->zone : NAN);
        report_string(&json, "label", device->label);
        report_string(&json, "room", device->room);
        report_bool(&json, "life_safety", device->life_safety);
        report_string(&json, "listener",
                      listener == EARSHOT_NONE ? NULL
                                               : writing->survey->devices[listener].name);
        report_string(&json, "final", report_state(final->state));
        report_string(&json, "visit", any ? writing->survey->visits[final->visit] : NULL);
        report_number(&json, "trips", any ? final->trips : NAN);
        report_number(&json, "heard", any ? final->heard : NAN);
        report_number(&json, "lowest_dbm", final->lowest_dbm);
        report_number(&json, "asked_dbm", final->asked_dbm);
        report_number(&json, "pad_heard_db", final->pad_heard_db);
        report_number(&json, "pad_missed_db", final->pad_missed_db);
        report_string(&json, "verdict", earshot_verdict_word(tested->zone.prediction.verdict));
        report_string(&json, "basis", earshot_basis_word(tested->zone.prediction.basis));
        report_close(&json, '}');
    }
    report_close(&json, ']');
    report_findings_json(&json, writing->findings);
    report_close(&json, '}');
    text_add(writing->out, "\n");
}

static void write_csv(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out, "device,zone,label,room,life_safety,listener,final,trips,heard,lowest_dbm,"
                  "asked_dbm,pad_heard_db,pad_missed_db,verdict,basis\n");
    for (size_t i = 0; i < writing->n; i++) {
        const report_tested *tested = &writing->zones[i];
        const survey_device *device = device_of(writing, tested);
        const planning_final *final = &tested->final;
        size_t listener = tested->zone.link.listener;
        bool any = final->state != PLANNING_PREDICTED;
        report_cell(out, device->name, false);
        report_cell_number(out, device->zone ? device->zone : NAN, false);
        report_cell(out, device->label, false);
        report_cell(out, device->room, false);
        report_cell(out, device->life_safety ? "yes" : "no", false);
        report_cell(out,
                    listener == EARSHOT_NONE ? "" : writing->survey->devices[listener].name,
                    false);
        report_cell(out, report_state(final->state), false);
        const double numbers[] = {any ? final->trips : NAN, any ? final->heard : NAN,
                                  final->lowest_dbm,        final->asked_dbm,
                                  final->pad_heard_db,      final->pad_missed_db};
        for (size_t j = 0; j < sizeof numbers / sizeof *numbers; j++)
            report_cell_number(out, numbers[j], false);
        report_cell(out, earshot_verdict_word(tested->zone.prediction.verdict), false);
        report_cell(out, earshot_basis_word(tested->zone.prediction.basis), true);
    }
}

enum earshot_status earshot_final_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out) {
    struct writing writing = {.survey = survey, .findings = findings, .out = out};
    enum earshot_status status = gather(&writing, belief);
    if (status == EARSHOT_OK && form == EARSHOT_JSON)
        write_json(&writing);
    else if (status == EARSHOT_OK && form == EARSHOT_CSV)
        write_csv(&writing);
    else if (status == EARSHOT_OK)
        write_plain(&writing, form == EARSHOT_PLAIN_ALL);
    free(writing.zones);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}

enum earshot_status earshot_final_left(const earshot_survey *survey,
                                       const earshot_belief *belief, size_t *n_left) {
    struct writing writing = {.survey = survey};
    enum earshot_status status = gather(&writing, belief);
    if (status == EARSHOT_OK)
        *n_left = writing.n - writing.count[PLANNING_PASSED] - writing.count[PLANNING_PROVEN];
    free(writing.zones);
    return status;
}
