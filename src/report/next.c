/* SPDX-License-Identifier: GPL-3.0-or-later */
/* next.c - which readings are worth their minutes: for a person, as JSON (schema
 * earshot/next/1) and as CSV, a row for each reading.
 */
#include "next.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "write.h"

struct writing {
    const earshot_survey *survey;
    const earshot_findings *findings;
    bool in_place;
    planning_reading *readings;
    planning_worth worth;
    earshot_text *out;
};

/* What one does with a device that is read in place, or by hand. */
static bool hangs(const earshot_survey *survey) {
    for (size_t i = 0; i < survey->n_readings; i++)
        if (survey->readings[i].placed == SURVEY_IN_PLACE)
            return true;
    return false;
}

static double sum_minutes(const struct writing *writing, size_t n) {
    double minutes = 0;
    for (size_t i = 0; i < n; i++)
        minutes += writing->readings[i].minutes;
    return minutes;
}

static void write_now(const struct writing *writing) {
    const planning_worth *worth = &writing->worth;
    size_t n_judged = worth->n_zones - worth->n_open;
    earshot_text *out = writing->out;
    if (n_judged) {
        text_add(out, "About ");
        text_add_fixed(out, worth->now.wrong, 1);
        text_add(out, " of ");
        text_add_count(out, n_judged);
        text_add(out,
                 n_judged == 1 ? " verdict may be wrong now" : " verdicts may be wrong now");
        text_add(out, worth->n_open ? ", and " : "");
    }
    if (worth->n_open) {
        text_add_count(out, worth->n_open);
        text_add(out, worth->n_open == 1 ? " zone is not judged" : " zones are not judged");
    }
}

static void write_sentence(const struct writing *writing) {
    earshot_text *out = writing->out;
    size_t n = writing->worth.n_paying;
    write_now(writing);
    if (n == 0) {
        text_add(out, "; no reading would settle much of that for its minutes.\n");
        return;
    }
    const planning_unsettled *after = &writing->readings[n - 1].after;
    text_add(out, "; ");
    text_add_count(out, n);
    text_add(out, n == 1 ? " reading, " : " readings, ");
    text_add_fixed(out, sum_minutes(writing, n), 0);
    text_add(out, " minutes, would leave ");
    text_add_fixed(out, after->wrong, 1);
    if (writing->worth.n_open) {
        text_add(out, " wrong and ");
        text_add_fixed(out, after->open, 1);
        text_add(out, " not judged");
    }
    text_add(out, ".\n");
}

static bool guards_life(const struct writing *writing, const planning_reading *reading) {
    return reading->device != EARSHOT_NONE &&
           writing->survey->devices[reading->device].life_safety;
}

static void write_reading(const struct writing *writing, size_t i) {
    const planning_reading *reading = &writing->readings[i];
    const earshot_survey *survey = writing->survey;
    earshot_text *out = writing->out;
    text_add(out, "  ");
    text_add_count(out, i + 1);
    text_add(out, ". ");
    if (reading->device == EARSHOT_NONE) {
        text_add_in_line(out, survey->spots[reading->spot].name);
        text_add(out, " (hold a sensor there)");
    } else {
        report_zone_name(out, &survey->devices[reading->device]);
        text_add(out, guards_life(writing, reading) ? " (life safety)" : "");
        report_room(out, &survey->devices[reading->device]);
    }
    text_add(out, ": ");
    text_add_fixed(out, reading->minutes, 0);
    text_add(out, " min");
    text_add(out, reading->ladder ? ", ladder" : "");
    text_add(out, "; settles ");
    text_add_fixed(out, fmax(reading->settles, 0), 2);
    text_add(out, "\n");
}

static void write_plain(const struct writing *writing) {
    static const char hardly_pays[] = "  -- from here on more readings hardly pay --\n";
    earshot_text *out = writing->out;
    size_t paying = writing->worth.n_paying;
    bool ladder = false, life_safety = false;
    if (writing->worth.n_zones == 0) {
        text_add(out,
                 "No zone can be judged yet, so no reading can be chosen: earshot check says "
                 "what is missing.\n");
        return;
    }
    write_sentence(writing);
    if (writing->worth.n == 0)
        return;
    size_t told = writing->worth.n_settling;
    for (size_t i = 0; i < told; i++) {
        if (i == paying && i > 0)
            text_add(out, hardly_pays);
        write_reading(writing, i);
        ladder = ladder || writing->readings[i].ladder;
        life_safety =
            life_safety || (i < paying && guards_life(writing, &writing->readings[i]));
    }
    if (told == paying && told < writing->worth.n)
        text_add(out, hardly_pays);
    text_add(out,
             writing->in_place
                 ? "Read in place, on the final fixing, doors shut: ten trips, counted at the "
                   "receiver. Ask again after each: what it shows changes the rest.\n"
                 : "Hold each where it will hang, doors shut: ten trips, counted at the "
                   "receiver. Ask again after each: what it shows changes the rest.\n");
    if (life_safety)
        text_add(out, "Life safety counts ten times where it may be short and nothing says "
                      "so.\n");
    if (ladder)
        text_add(out, "Someone holds the ladder. ");
    text_add(out, "Put the account on test and tell the occupants first.\n");
}

static void write_json(const struct writing *writing) {
    report_json json = {.out = writing->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/next/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(writing->survey));
    report_string(&json, "placed", writing->in_place ? "in place" : "held");
    report_number(&json, "zones", (double)writing->worth.n_zones);
    report_number(&json, "wrong_now", writing->worth.now.wrong);
    report_number(&json, "wrong_after", writing->worth.after.wrong);
    report_number(&json, "not_judged_now", (double)writing->worth.n_open);
    report_number(&json, "not_judged_after", writing->worth.after.open);
    report_open(&json, "readings", '[');
    for (size_t i = 0; i < writing->worth.n; i++) {
        const planning_reading *reading = &writing->readings[i];
        bool spot = reading->device == EARSHOT_NONE;
        report_open(&json, NULL, '{');
        report_string(&json, "heard_at", writing->survey->devices[reading->listener].name);
        report_string(&json, "device",
                      spot ? NULL : writing->survey->devices[reading->device].name);
        report_string(&json, "spot", spot ? writing->survey->spots[reading->spot].name : NULL);
        report_number(&json, "minutes", reading->minutes);
        report_bool(&json, "ladder", reading->ladder);
        report_number(&json, "settles", reading->settles);
        report_number(&json, "weight", reading->weight);
        report_bool(&json, "pays", reading->pays);
        report_close(&json, '}');
    }
    report_close(&json, ']');
    report_findings_json(&json, writing->findings);
    report_close(&json, '}');
    text_add(writing->out, "\n");
}

static void write_csv(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out, "heard_at,device,spot,minutes,ladder,settles,weight,pays\n");
    for (size_t i = 0; i < writing->worth.n; i++) {
        const planning_reading *reading = &writing->readings[i];
        bool spot = reading->device == EARSHOT_NONE;
        report_cell(out, writing->survey->devices[reading->listener].name, false);
        report_cell(out, spot ? "" : writing->survey->devices[reading->device].name, false);
        report_cell(out, spot ? writing->survey->spots[reading->spot].name : "", false);
        report_cell_number(out, reading->minutes, false);
        report_cell(out, reading->ladder ? "yes" : "no", false);
        report_cell_number(out, reading->settles, false);
        report_cell_number(out, reading->weight, false);
        report_cell(out, reading->pays ? "yes" : "no", true);
    }
}

enum earshot_status earshot_next_write(const earshot_survey *survey,
                                       const earshot_belief *belief,
                                       const earshot_findings *findings, size_t count,
                                       const earshot_watch *watch, enum earshot_form form,
                                       earshot_text *out) {
    size_t most = survey->n_devices + survey->n_spots; /* no place is read twice */
    count = count < most ? count : most;
    struct writing writing = {.survey = survey,
                              .findings = findings,
                              .in_place = hangs(survey),
                              .readings = calloc(count + 1, sizeof *writing.readings),
                              .out = out};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (writing.readings)
        status = planning_next(survey, belief, writing.in_place, count, watch, writing.readings,
                               &writing.worth);
    if (status == EARSHOT_OK && form == EARSHOT_JSON)
        write_json(&writing);
    else if (status == EARSHOT_OK && form == EARSHOT_CSV)
        write_csv(&writing);
    else if (status == EARSHOT_OK)
        write_plain(&writing);
    free(writing.readings);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}
