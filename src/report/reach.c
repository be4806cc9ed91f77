/* SPDX-License-Identifier: GPL-3.0-or-later */
/* reach.c - one link in seven lines at most, for somebody on the phone: does it hold, where the
 * signal goes, what was assumed, how to be surer.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "write.h"

/* Everything that the seven lines show. */
struct reach {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_findings *findings;
    earshot_link link;
    earshot_prediction predicted,
        prediction; /* before and after the trips, if there were any */
    unsigned heard, trips;
    earshot_part *parts;
    size_t n_parts;
};

/* ---- the lines ---- */

/* Of ten such houses, rounded down: nine and a half are nine that hold. */
static void write_houses(const struct reach *reach, earshot_text *out) {
    double chance = reach->prediction.chance, of_ten = floor(chance * 10);
    bool house = strncmp(reach->survey->environment.name, "dwelling", 8) == 0;
    if (chance >= 0.995) {
        text_add(out, "nearly all");
    } else if (chance < 0.005) {
        text_add(out, "hardly any");
    } else {
        text_add(out, of_ten < 1 ? "fewer than 1" : "");
        if (of_ten >= 1)
            text_add_fixed(out, of_ten, 0);
        text_add(out, " of ten");
    }
    text_add(out, house ? " such houses" : " such buildings");
}

static void write_heard(const struct reach *reach, earshot_text *out) {
    text_add(out, "heard ");
    text_add_count(out, reach->heard);
    text_add(out, " of ");
    text_add_count(out, reach->trips);
}

/* Trips that the words do not allow: what was heard comes first, and the prediction is told by
 * what should have made it heard, not by what is to spare. */
static void write_against(const struct reach *reach, earshot_text *out) {
    write_heard(reach, out);
    text_add(out, ", though these words predict ");
    text_add_fixed(out, reach->predicted.margin_db, 0);
    text_add(out, " dB above what it needs");
    report_doubt(out, reach->predicted.margin_sd_db);
    text_add(out, ".\n");
}

static void write_verdict(const struct reach *reach, earshot_text *out) {
    const earshot_prediction *prediction = &reach->prediction;
    report_capital(out, report_verdict(prediction->verdict));
    if (isnan(prediction->chance)) {
        text_add(out, ": the radio has no sent or needed power; give --rated-range.\n");
        return;
    }
    text_add(out, ": ");
    if (prediction->notes & EARSHOT_NOTE_FEW_HEARD) {
        write_against(reach, out);
        return;
    }
    report_spare(out, prediction->spare_db);
    report_doubt(out, prediction->margin_sd_db);
    text_add(out, ". Holds in ");
    write_houses(reach, out);
    text_add(out, ".\n");
}

/* Whatever was predicted or heard. */
static void write_caution(const struct reach *reach, earshot_text *out) {
    if (!reach->link.life_safety)
        return;
    text_add(out, "Life safety: ");
    text_add(out, report_life_safety);
    text_add(out, ".\n");
}

static bool same_part(const earshot_part *a, const earshot_part *b) {
    return a->kind == b->kind && strcmp(a->name, b->name) == 0;
}

/* "first meter 31.2, distance 22.7, 2 x brick 8.0, ways round -0.5" */
static void write_parts(const struct reach *reach, earshot_text *out) {
    text_add(out, "Where the signal goes: ");
    for (size_t i = 0, n; i < reach->n_parts; i += n) {
        const earshot_part *part = &reach->parts[i];
        double loss_db = 0;
        for (n = 0; i + n < reach->n_parts && same_part(part, &reach->parts[i + n]); n++)
            loss_db += reach->parts[i + n].loss_db;
        if (i)
            text_add(out, ", ");
        if (n > 1) {
            text_add_count(out, n);
            text_add(out, " x ");
        }
        text_add_in_line(out, part->kind == EARSHOT_DISTANCE ? "distance" : part->name);
        text_add(out, " ");
        report_db(out, loss_db);
    }
    text_add(out, "; in all ");
    report_db(out, reach->predicted.loss_db);
    text_add(out, " dB.\n");
}

static const double foot_m = 0.3048; /* international yard and pound agreement, 1959 */

/* A maker's claim is in the unit of its market, whatever the house was measured in. */
static void write_budget(const struct reach *reach, earshot_text *out) {
    const survey_radio *from = &reach->survey->radios[reach->link.from.radio];
    const survey_radio *to = &reach->survey->radios[reach->link.to.radio];
    double budget_db = from->eirp_dbm + to->antenna_dbi - reach->predicted.needed_dbm;
    if (isnan(budget_db))
        return;
    text_add(out, "What may be lost: ");
    report_db(out, budget_db);
    if (from->rated_range_m > 0) {
        text_add(out, " dB by the maker's ");
        text_add_fixed(out, from->rated_range_m, 0);
        text_add(out, " m (");
        text_add_fixed(out, from->rated_range_m / foot_m, 0);
        text_add(out, " ft) in the open");
    } else {
        text_add(out, " dB (sent ");
        report_db(out, from->eirp_dbm);
        text_add(out, " dBm, antenna ");
        report_db(out, to->antenna_dbi);
        text_add(out, " dBi, needed ");
        report_db(out, reach->predicted.needed_dbm);
        text_add(out, " dBm)");
    }
    text_add(out, ", and ");
    text_add_number(out, reach->predicted.required_margin_db);
    text_add(out, " dB of it is kept for the years.\n");
}

/* The sentence of a finding, where there is one of this code. */
static void write_finding(const struct reach *reach, const char *code, earshot_text *out) {
    for (size_t i = 0; i < earshot_findings_count(reach->findings); i++) {
        earshot_finding finding = earshot_findings_at(reach->findings, i);
        if (strcmp(finding.code, code) != 0)
            continue;
        text_add(out, "; ");
        text_add_in_line(out, finding.sentence);
        return;
    }
}

/* Radio, environment, each crossing that is a mixture because nobody said more, and where the
 * model is at its ends. */
static void write_assumed(const struct reach *reach, earshot_text *out) {
    const earshot_survey *survey = reach->survey;
    text_add(out, "Assumed: radio ");
    text_add_in_line(out, survey->radios[reach->link.from.radio].name);
    text_add(out, " (");
    text_add_number(out, survey->radios[reach->link.from.radio].freq_mhz);
    text_add(out, " MHz), ");
    text_add_in_line(out, survey->environment.name);
    text_add(out, ", fixed to ");
    size_t mount = reach->link.from.mount;
    text_add_in_line(out, mount == EARSHOT_NONE ? "a plain wall" : survey->mounts[mount].name);
    for (size_t i = 0; i < survey->n_constructions; i++)
        if (survey->constructions[i].in_use &&
            strncmp(survey->constructions[i].note, "mixture", 7) == 0) {
            text_add(out, "; ");
            text_add_in_line(out, survey->constructions[i].name);
            text_add(out, " is a ");
            text_add_in_line(out, survey->constructions[i].note);
        }
    write_finding(reach, "radio-assumed", out);
    if (reach->predicted.notes & EARSHOT_NOTE_CLOSE)
        text_add(out, "; under 1 m counts as 1 m");
    if (reach->predicted.notes & EARSHOT_NOTE_FAR)
        text_add(out, "; past 60 m this is outside what the model is made for, so trip it");
    text_add(out, ".\n");
}

static void write_surer(const struct reach *reach, earshot_text *out) {
    planning_question questions[PLANNING_MAX_QUESTIONS];
    size_t n = 0;
    if (planning_ask(reach->survey, reach->belief, &reach->link, 1, questions, &n) !=
        EARSHOT_OK)
        text_lose(out);
    text_add(out, "To be surer: ");
    if (!reach->trips) {
        text_add(out, "trip it ten times where it will hang and add --heard K/10, K the times "
                      "it was heard");
        text_add(out, n ? "; or " : "");
    }
    text_add(out, n ? "find out " : "");
    for (size_t i = 0; i < n; i++)
        if (questions[i].topic == PLANNING_CONSTRUCTION ||
            questions[i].topic == PLANNING_RADIO) {
            report_question(out, reach->survey, &questions[i]);
            break;
        } else if (i + 1 == n) {
            report_question(out, reach->survey, &questions[0]);
        }
    text_add(out, ".\n");
}

/* Of n trips all heard, the share that is still possible at one chance in twenty. */
static double least_share(unsigned trips) {
    return pow(0.05, 1.0 / trips);
}

static void write_trips(const struct reach *reach, earshot_text *out) {
    if (!reach->trips)
        return;
    if (reach->prediction.notes & EARSHOT_NOTE_FEW_HEARD) {
        text_add(out, "Something is there that these words do not name: try again with the "
                      "sensor awake and doors shut, and if it stays, trust the trips.\n");
        return;
    }
    text_add(out, "Trips: ");
    write_heard(reach, out);
    if (reach->heard == reach->trips) {
        text_add(out, " shows by itself only ");
        text_add_fixed(out, least_share(reach->trips) * 100, 0);
        text_add(out, " % or better, 95 % sure");
    }
    text_add(out, "; before them it was ");
    report_spare(out, reach->predicted.spare_db);
    report_doubt(out, reach->predicted.margin_sd_db);
    text_add(out, ".\n");
}

static void write_plain(const struct reach *reach, earshot_text *out) {
    write_verdict(reach, out);
    write_caution(reach, out);
    write_parts(reach, out);
    write_budget(reach, out);
    write_assumed(reach, out);
    write_trips(reach, out);
    write_surer(reach, out);
}

static void write_json(const struct reach *reach, earshot_text *out) {
    report_json json = {.out = out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/reach/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "radio", reach->survey->radios[reach->link.from.radio].name);
    report_string(&json, "environment", reach->survey->environment.name);
    report_bool(&json, "life_safety", reach->link.life_safety);
    report_prediction_json(&json, &reach->prediction);
    report_number(&json, "plan_spare_db", reach->predicted.spare_db);
    report_number(&json, "plan_margin_sd_db", reach->predicted.margin_sd_db);
    report_number(&json, "plan_chance", reach->predicted.chance);
    report_number(&json, "trips", reach->trips ? reach->trips : NAN);
    report_number(&json, "heard", reach->trips ? reach->heard : NAN);
    report_bool(&json, "few_heard", reach->prediction.notes & EARSHOT_NOTE_FEW_HEARD);
    report_parts_json(&json, reach->parts, reach->n_parts);
    report_findings_json(&json, reach->findings);
    report_close(&json, '}');
    text_add(out, "\n");
}

/* ---- the link ---- */

static enum earshot_status solve(struct reach *reach) {
    const earshot_survey *survey = reach->survey;
    if (earshot_survey_links(survey, &reach->link, 1) != 1)
        return EARSHOT_MISUSE;
    if (survey->n_readings) {
        reach->heard = survey->readings[0].heard;
        reach->trips = survey->readings[0].trips;
    }
    enum earshot_status status = earshot_link_ledger(survey, reach->belief, &reach->link, NULL,
                                                     0, &reach->n_parts, &reach->predicted);
    if (status == EARSHOT_OK)
        status = earshot_link_heard(survey, reach->belief, &reach->link, reach->heard,
                                    reach->trips, &reach->prediction);
    if (status != EARSHOT_OK)
        return status;
    reach->parts = calloc(reach->n_parts + 1, sizeof *reach->parts);
    if (!reach->parts)
        return EARSHOT_NO_MEMORY;
    return earshot_link_ledger(survey, reach->belief, &reach->link, reach->parts,
                               reach->n_parts, &reach->n_parts, &reach->predicted);
}

enum earshot_status earshot_reach_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        enum earshot_form form, earshot_text *out) {
    struct reach reach = {.survey = survey, .belief = belief, .findings = findings};
    enum earshot_status status = solve(&reach);
    if (status == EARSHOT_OK) {
        if (form == EARSHOT_JSON)
            write_json(&reach, out);
        else
            write_plain(&reach, out);
        if (earshot_text_cut(out))
            status = EARSHOT_NO_MEMORY;
    }
    free(reach.parts);
    return status;
}
