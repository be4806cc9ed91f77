/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recalibrate.c - what readings made of the tables, for a person, as JSON (schema
 * earshot/recalibrate/1), and as CSV, a row for each thing that could be learned.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "quality.h"
#include "write.h"

struct writing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_findings *findings;
    calibration_quality quality;
    calibration_undrawn undrawn;
    calibration_suspect *suspects;
    size_t n_suspects;
    earshot_text *out;
};

static const double together = 0.6; /* correlation from which two only move together */

/* ---- names ---- */

static const char *meter_name(const earshot_survey *survey, size_t row) {
    return row < survey->n_scales ? survey->scales[row].name : "dbm";
}

static const char *visit_name(const earshot_survey *survey, size_t visit) {
    return survey->visits[visit][0] ? survey->visits[visit] : "(blank)";
}

/* Kind, name and unit for programs; the words of the parameter's table. */
struct name {
    const char *kind, *name, *unit;
};

static struct name parameter_name(const earshot_survey *survey, size_t parameter) {
    const planning_question about = planning_about(survey, parameter);
    switch (about.topic) {
    case PLANNING_EXPONENT:
        return (struct name){"exponent", survey->environment.name, ""};
    case PLANNING_SATURATION:
        return (struct name){"wall_saturation", survey->environment.name, ""};
    case PLANNING_CONSTRUCTION:
        return (struct name){"construction", survey->constructions[about.row].name, "dB"};
    case PLANNING_MOUNT:
        return (struct name){"mount", survey->mounts[about.row].name, "dB"};
    case PLANNING_RADIO:
        if (survey->radios[about.row].rated_range_m > 0)
            return (struct name){"claim", survey->radios[about.row].name, "dB"};
        return (struct name){"radio", survey->radios[about.row].name, "dBm"};
    case PLANNING_ANTENNAS:
        return (struct name){"antennas", survey->radios[about.row].name, "dB"};
    case PLANNING_ANTENNA:
        return (struct name){"antenna", survey->devices[about.row].name, "dB"};
    case PLANNING_NEED:
        break;
    }
    return (struct name){"need", survey->devices[about.row].name, "dB"};
}

static struct name name_of(const earshot_survey *survey, const calibration_unknown *unknown) {
    switch (unknown->kind) {
    case CALIBRATION_METER:
        return (struct name){"meter", meter_name(survey, unknown->row), "dB"};
    case CALIBRATION_VISIT:
        return (struct name){"visit", visit_name(survey, unknown->row), "dB"};
    case CALIBRATION_PARAMETER:
        break;
    }
    return parameter_name(survey, unknown->row);
}

/* For people: "what brick takes", "antenna of panel". */
static void add_name(const struct writing *writing, const calibration_unknown *unknown,
                     earshot_text *out) {
    static const struct {
        const char *kind, *before, *after;
    } words[] = {{"exponent", "how fast it falls in ", ""},
                 {"wall_saturation", "what walls add up to in ", ""},
                 {"construction", "what ", " takes"},
                 {"mount", "what mount ", " takes"},
                 {"radio", "what ", " sends"},
                 {"claim", "what the claim of ", " lacks"},
                 {"antennas", "antennas that hear ", ""},
                 {"antenna", "antenna of ", ""},
                 {"need", "what more ", " needs"},
                 {"meter", "what more meter ", " shows"},
                 {"visit", "what more visit ", " shows"}};
    struct name name = name_of(writing->survey, unknown);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(words[i].kind, name.kind) == 0) {
            text_add(out, words[i].before);
            text_add_in_line(out, name.name);
            text_add(out, words[i].after);
        }
}

const char *report_thing(const earshot_survey *survey, size_t thing) {
    size_t first_floor = survey->n_walls + survey->n_openings;
    size_t first_path = first_floor + survey->building.n_floors;
    if (thing < survey->n_walls)
        return survey->walls[thing].name;
    if (thing < first_floor)
        return survey->openings[thing - survey->n_walls].name;
    if (thing < first_path)
        return survey->levels[survey->floor_levels[thing - first_floor]].name;
    return survey->constructions[survey->crossings[thing - first_path]].name;
}

/* ---- for people ---- */

static void pad_to(earshot_text *out, size_t from, size_t width) {
    size_t length =
        text_utf8_count(earshot_text_data(out) + from, earshot_text_size(out) - from);
    for (; length < width; length++)
        text_add(out, " ");
}

static void add_right(earshot_text *out, double value, size_t width) {
    char number[TEXT_NUMBER_SIZE];
    size_t length = text_write_fixed(number, value, 1);
    for (; length < width; length++)
        text_add(out, " ");
    text_add(out, number);
}

static void write_summary(const struct writing *writing) {
    const calibration_quality *quality = &writing->quality;
    earshot_text *out = writing->out;
    text_add_count(out, writing->survey->n_readings);
    text_add(out, writing->survey->n_readings == 1 ? " reading of " : " readings of ");
    text_add_count(out, quality->n_links);
    text_add(out, quality->n_links == 1 ? " link" : " links");
    if (quality->n_not_heard) {
        text_add(out, ", ");
        text_add_count(out, quality->n_not_heard);
        text_add(out, " not heard");
    }
    text_add(out, ".\n");
    report_set_aside(out, writing->survey->n_set_aside);
}

static void write_unknown(const struct writing *writing, const calibration_unknown *unknown) {
    earshot_text *out = writing->out;
    size_t from = earshot_text_size(out);
    text_add(out, "  ");
    add_name(writing, unknown, out);
    const char *unit = name_of(writing->survey, unknown).unit;
    text_add(out, unit[0] ? ", " : "");
    text_add(out, unit);
    pad_to(out, from, 38);
    add_right(out, unknown->before, 7);
    text_add(out, " +/-");
    add_right(out, unknown->before_sd, 4);
    add_right(out, unknown->after, 9);
    text_add(out, " +/-");
    add_right(out, unknown->after_sd, 4);
    add_right(out, unknown->moved_sds, 7);
    text_add(out, "\n");
}

static void write_learned(const struct writing *writing, bool all) {
    const calibration_quality *quality = &writing->quality;
    size_t n = 0;
    for (size_t i = 0; i < quality->n_unknowns; i++)
        n += all || quality->unknowns[i].learned;
    if (n == 0)
        return;
    text_add(writing->out,
             "what was corrected                      by the tables            now"
             "  moved\n");
    text_add(writing->out,
             "                                                                    "
             "    sds\n");
    for (size_t i = 0; i < quality->n_unknowns; i++)
        if (all || quality->unknowns[i].learned)
            write_unknown(writing, &quality->unknowns[i]);
}

/* What a writer has to say, in lines of 80. */
static void in_lines(const struct writing *writing,
                     void (*write)(const struct writing *writing)) {
    earshot_text *text = earshot_text_new();
    struct writing one = *writing;
    one.out = text;
    if (text)
        write(&one);
    if (text && earshot_text_size(text))
        report_wrap(writing->out, earshot_text_data(text), 0, 1);
    if (!text || earshot_text_cut(text))
        text_lose(writing->out);
    earshot_text_free(text);
}

static void write_unlearned(const struct writing *writing) {
    const calibration_quality *quality = &writing->quality;
    size_t n = 0;
    for (size_t i = 0; i < quality->n_unknowns; i++) {
        if (quality->unknowns[i].learned)
            continue;
        text_add(writing->out, n++ ? ", " : "Not learned, these readings hardly tell of it: ");
        add_name(writing, &quality->unknowns[i], writing->out);
    }
    text_add(writing->out, n ? "." : "");
}

static void write_pairs(const struct writing *writing) {
    const calibration_quality *quality = &writing->quality;
    size_t n = quality->n_unknowns;
    for (size_t a = 0; a < n; a++)
        for (size_t b = a + 1; b < n; b++) {
            if (fabs(quality->correlation[a * n + b]) < together)
                continue;
            text_add(writing->out, "Only known together: ");
            add_name(writing, &quality->unknowns[a], writing->out);
            text_add(writing->out, ", and ");
            add_name(writing, &quality->unknowns[b], writing->out);
            text_add(writing->out, ".\n");
        }
    if (fabs(quality->offset_with_exponent) >= together)
        text_add(writing->out, "Only known together: what all readings are off alike, and how "
                               "fast it falls with distance.\n");
}

static void write_split(const struct writing *writing) {
    const calibration_quality *quality = &writing->quality;
    earshot_text *out = writing->out;
    size_t n = 0;
    for (size_t i = 0; i < quality->n_unknowns; i++) {
        const calibration_unknown *unknown = &quality->unknowns[i];
        struct name name = name_of(writing->survey, unknown);
        if (!calibration_is_offset(writing->survey, unknown))
            continue;
        text_add(out,
                 n++ ? "; " : "What all readings are off alike is split as each is doubted: ");
        text_add(out, name.kind);
        text_add(out, " ");
        text_add_in_line(out, name.name);
        text_add(out, " ");
        text_add_signed(out, unknown->after - unknown->before, 1);
        text_add(out, " dB");
    }
    if (n)
        text_add(out,
                 ". The meter's share leaves margins alone. Only trips near the limit, or a "
                 "test with a pad, can tell one from another.");
}

static void write_things(const struct writing *writing) {
    const calibration_quality *quality = &writing->quality;
    earshot_text *out = writing->out;
    for (size_t i = 0; i < quality->n_things; i++) {
        const calibration_thing *thing = &quality->things[i];
        if (fabs(thing->more_db) < 1)
            continue;
        text_add(out, "  ");
        text_add_in_line(out, report_thing(writing->survey, thing->thing));
        text_add(out, " takes ");
        text_add_fixed(out, fabs(thing->more_db), 0);
        text_add(out, thing->more_db > 0 ? " dB more than its kind" : " dB less than its kind");
        report_doubt(out, thing->sd_db);
        text_add(out, "\n");
    }
}

static void write_fit(const struct writing *writing) {
    const calibration_quality *quality = &writing->quality;
    earshot_text *out = writing->out;
    if (isnan(quality->before_rms_db))
        return;
    text_add(out, "Levels lie ");
    text_add_fixed(out, quality->before_rms_db, 1);
    text_add(out, " dB off the tables, ");
    text_add_fixed(out, quality->inside_rms_db, 1);
    text_add(out, " off what is believed now, ");
    text_add_fixed(out, quality->reading_out_rms_db, 1);
    text_add(out, " off what\nall others say of each");
    if (!isnan(quality->listener_out_rms_db)) {
        text_add(out, ", ");
        text_add_fixed(out, quality->listener_out_rms_db, 1);
        text_add(out, " off what the other listeners' readings say");
    }
    text_add(out, ".\n");
}

static void add_device(const struct writing *writing, const calibration_observation *of,
                       earshot_text *out) {
    const earshot_survey *survey = writing->survey;
    if (of->link.device == EARSHOT_NONE)
        text_add(out, "the walked point");
    else
        text_add_in_line(out, report_name(&survey->devices[of->link.device]));
    text_add(out, " at ");
    text_add_in_line(out, report_name(&survey->devices[of->link.listener]));
}

static void write_surprise(const struct writing *writing, const calibration_held *held) {
    earshot_text *out = writing->out;
    const survey_reading *reading = &writing->survey->readings[held->of->reading];
    text_add(out, "  ");
    text_add_in_line(out, reading->file);
    text_add(out, ":");
    text_add_count(out, reading->table_line);
    text_add(out, ": ");
    add_device(writing, held->of, out);
    if (held->of->kind == CALIBRATION_COUNT) {
        text_add(out, ": heard ");
        text_add_count(out, held->of->heard);
        text_add(out, " of ");
        text_add_count(out, held->of->trips);
        text_add(out, " trips, against all that the others say");
    } else if (held->of->kind == CALIBRATION_LEVEL) {
        text_add(out, ": ");
        text_add_fixed(out, held->seen_db, 0);
        text_add(out, " dBm, where the others say ");
        text_add_fixed(out, held->foretold_db, 0);
        report_doubt(out, held->foretold_sd_db);
    } else {
        text_add(out, held->of->kind == CALIBRATION_SILENT
                          ? ": not heard, where the others say it should be"
                          : ": against all that the others say");
    }
    text_add(out, "; read it again, and look at its label\n");
}

static void write_surprises(const struct writing *writing) {
    bool any = false;
    for (size_t i = 0; i < writing->quality.n_held; i++) {
        const calibration_held *held = &writing->quality.held[i];
        if (!held->surprising)
            continue;
        if (!any)
            text_add(writing->out, "Surprising, less than 1 chance in 100:\n");
        any = true;
        write_surprise(writing, held);
    }
}

/* ---- what may have been written down wrongly ---- */

enum { MOST_SUSPECTS = 3 };

static const char *odds_word(double log_odds) {
    return log_odds > 3 ? "nearly certain" : log_odds > 0 ? "likely" : "may be";
}

/* Whether one is worth telling: likelier than not, or among the first few and not much less
 * likely than the first, where to look if something must be wrong. */
static bool worth_telling(const struct writing *writing, size_t i) {
    static const double much_less = 3; /* e^3, 20 times */
    double log_odds = writing->suspects[i].log_odds;
    return log_odds > 0 ||
           (i < MOST_SUSPECTS && log_odds > writing->suspects[0].log_odds - much_less);
}

/* Calls `tell` with each suspect worth it, and its finding. */
static void each_suspect(const struct writing *writing,
                         void (*tell)(void *who, const calibration_suspect *suspect,
                                      const earshot_finding *finding),
                         void *who) {
    for (size_t i = 0; i < writing->n_suspects; i++) {
        if (!worth_telling(writing, i))
            continue;
        earshot_findings *findings = earshot_findings_new();
        if (!findings) {
            text_lose(writing->out);
            return;
        }
        planning_tell_suspect(writing->survey, &writing->suspects[i], findings);
        earshot_finding finding = earshot_findings_at(findings, 0);
        tell(who, &writing->suspects[i], &finding);
        earshot_findings_free(findings);
    }
}

static void write_suspect(void *who, const calibration_suspect *suspect,
                          const earshot_finding *finding) {
    earshot_text *out = who;
    text_add(out, "  ");
    text_add(out, odds_word(suspect->log_odds));
    text_add(out, ": line ");
    text_add_count(out, finding->line);
    if (strcmp(finding->file, "readings.csv") != 0) {
        text_add(out, " of ");
        text_add_in_line(out, finding->file);
    }
    text_add(out, ": ");
    text_add(out, finding->sentence);
    text_add(out, "\n");
}

static void write_suspects(const struct writing *writing) {
    if (writing->n_suspects == 0)
        return;
    text_add(writing->out, writing->suspects[0].log_odds > 0
                               ? "Look at these readings; they count until then:\n"
                               : "If something was written down wrongly, look here first:\n");
    each_suspect(writing, write_suspect, writing->out);
}

static void write_suspect_json(void *who, const calibration_suspect *suspect,
                               const earshot_finding *finding) {
    report_json *json = who;
    report_open(json, NULL, '{');
    report_string(json, "code", finding->code);
    report_string(json, "file", finding->file);
    report_number(json, "line", finding->line);
    report_string(json, "likely", odds_word(suspect->log_odds));
    report_number(json, "log_odds", suspect->log_odds);
    report_number(json, "seen", suspect->seen_db);
    report_number(json, "foretold", suspect->foretold_db);
    report_number(json, "foretold_sd_db", suspect->foretold_sd_db);
    report_string(json, "sentence", finding->sentence);
    report_close(json, '}');
}

/* ---- what was set aside ---- */

enum { MOST_ASIDE = 12 };

static void write_meaning(const struct writing *writing, const calibration_meant *meant) {
    earshot_text *out = writing->out;
    text_add_number(out, meant->shown);
    switch (meant->meaning) {
    case CALIBRATION_MINUS_LOST:
        text_add(out, " dBm, its minus left out");
        break;
    case CALIBRATION_LETTER:
        text_add(out, " dBm, a letter for a digit");
        break;
    case CALIBRATION_IN_DBM:
        text_add(out, " dBm, with the scale left blank");
        break;
    case CALIBRATION_ON_SCALE:
        text_add(out, " on the scale ");
        text_add_in_line(out, writing->survey->scales[meant->scale].name);
        break;
    }
}

static void write_aside(const struct writing *writing) {
    const earshot_survey *survey = writing->survey;
    earshot_text *out = writing->out;
    size_t n = 0;
    for (size_t i = 0; i < survey->n_aside; i++) {
        const survey_aside *aside = &survey->aside[i];
        calibration_meant meant;
        if (!calibration_mean_aside(survey, writing->belief, aside, &meant) ||
            n++ >= MOST_ASIDE)
            continue;
        text_add(out, n == 1 ? "Set aside, and what each probably should say; correct it where "
                               "you know:\n"
                             : "");
        text_add(out, "  line ");
        text_add_count(out, aside->reading.table_line);
        if (strcmp(aside->reading.file, "readings.csv") != 0) {
            text_add(out, " of ");
            text_add_in_line(out, aside->reading.file);
        }
        text_add(out, ": '");
        text_add_in_line(out, aside->cell);
        text_add(out, "' as ");
        write_meaning(writing, &meant);
        text_add(out, ": then it fits, ");
        text_add_fixed(out, meant.foretold_db, 0);
        text_add(out, " is foretold");
        report_doubt(out, meant.foretold_sd_db);
        text_add(out, "\n");
    }
    if (n > MOST_ASIDE) {
        text_add(out, "  and ");
        text_add_count(out, n - MOST_ASIDE);
        text_add(out, " more (--json)\n");
    }
}

static void write_aside_json(const struct writing *writing, report_json *json) {
    static const char *const words[] = {"minus lost", "letter", "in dBm", "on scale"};
    const earshot_survey *survey = writing->survey;
    report_open(json, "set_aside", '[');
    for (size_t i = 0; i < survey->n_aside; i++) {
        const survey_aside *aside = &survey->aside[i];
        calibration_meant meant;
        bool fits = calibration_mean_aside(survey, writing->belief, aside, &meant);
        bool scale = fits && meant.meaning == CALIBRATION_ON_SCALE;
        report_open(json, NULL, '{');
        report_string(json, "file", aside->reading.file);
        report_number(json, "line", aside->reading.table_line);
        report_string(json, "cell", aside->cell);
        report_string(json, "probably", fits ? words[meant.meaning] : NULL);
        report_number(json, "reading", fits ? meant.shown : NAN);
        report_string(json, "scale", scale ? survey->scales[meant.scale].name : NULL);
        report_number(json, "foretold", fits ? meant.foretold_db : NAN);
        report_number(json, "foretold_sd_db", fits ? meant.foretold_sd_db : NAN);
        report_number(json, "odds", fits ? meant.odds : NAN);
        report_close(json, '}');
    }
    report_close(json, ']');
}

/* The most trips of which all were heard say how little that shows. */
static void write_counts(const struct writing *writing) {
    unsigned most = 0;
    for (size_t i = 0; i < writing->survey->n_readings; i++) {
        const survey_reading *reading = &writing->survey->readings[i];
        if (reading->trips && reading->pad_db == 0 && reading->heard == reading->trips &&
            reading->trips > most)
            most = reading->trips;
    }
    report_all_heard(writing->out, most);
}

void report_all_heard(earshot_text *out, unsigned trips) {
    if (trips == 0)
        return;
    text_add_count(out, trips);
    text_add(out, " of ");
    text_add_count(out, trips);
    text_add(out, " trips heard shows only that ");
    text_add_fixed(out, floor(100 * calibration_heard_least(trips, trips)), 0);
    text_add(out, " % or more are heard, 95 % sure.\n");
}

/* What was set aside, or doubted, of the readings themselves. */
static void write_notes(const struct writing *writing) {
    for (size_t i = 0; i < earshot_findings_count(writing->findings); i++) {
        earshot_finding finding = earshot_findings_at(writing->findings, i);
        if (survey_holds_readings(writing->survey, finding.file))
            report_note(&finding, writing->out);
    }
}

static void write_plain(const struct writing *writing, bool all) {
    if (!writing->belief->reads) {
        text_add(writing->out,
                 "No reading can be used, so nothing is corrected. How many of ten trips were "
                 "heard,\nzone by zone in readings.csv, is enough to begin with.\n");
        write_notes(writing);
        return;
    }
    write_summary(writing);
    write_learned(writing, all);
    in_lines(writing, write_unlearned);
    write_pairs(writing);
    in_lines(writing, write_split);
    write_things(writing);
    report_undrawn(writing->survey, &writing->undrawn, writing->out);
    write_fit(writing);
    write_surprises(writing);
    write_suspects(writing);
    write_aside(writing);
    write_counts(writing);
    write_notes(writing);
}

/* ---- for programs ---- */

static void write_unknown_json(const struct writing *writing, report_json *json,
                               const calibration_unknown *unknown) {
    struct name name = name_of(writing->survey, unknown);
    report_open(json, NULL, '{');
    report_string(json, "kind", name.kind);
    report_string(json, "name", name.name);
    report_string(json, "unit", name.unit);
    report_number(json, "before", unknown->before);
    report_number(json, "before_sd", unknown->before_sd);
    report_number(json, "after", unknown->after);
    report_number(json, "after_sd", unknown->after_sd);
    report_number(json, "moved_sds", unknown->moved_sds);
    report_bool(json, "learned", unknown->learned);
    report_close(json, '}');
}

static void write_pair_json(const struct writing *writing, report_json *json, size_t a,
                            size_t b) {
    const calibration_quality *quality = &writing->quality;
    const size_t of[2] = {a, b};
    report_open(json, NULL, '{');
    report_open(json, "of", '[');
    for (int i = 0; i < 2; i++) {
        struct name name = name_of(writing->survey, &quality->unknowns[of[i]]);
        report_open(json, NULL, '{');
        report_string(json, "kind", name.kind);
        report_string(json, "name", name.name);
        report_close(json, '}');
    }
    report_close(json, ']');
    report_number(json, "correlation", quality->correlation[a * quality->n_unknowns + b]);
    report_close(json, '}');
}

static const char *held_kind(const calibration_observation *of) {
    static const char *const words[] = {"level", "between", "not heard", "count"};
    return words[of->kind];
}

static void write_held_json(const struct writing *writing, report_json *json,
                            const calibration_held *held) {
    const earshot_survey *survey = writing->survey;
    const earshot_link *link = &held->of->link;
    report_open(json, NULL, '{');
    report_string(json, "file", survey->readings[held->of->reading].file);
    report_number(json, "line", survey->readings[held->of->reading].table_line);
    report_string(json, "device",
                  link->device == EARSHOT_NONE ? NULL : survey->devices[link->device].name);
    report_string(json, "listener", survey->devices[link->listener].name);
    report_string(json, "kind", held_kind(held->of));
    report_string(json, "of", held->of->margin ? "margin" : "level"); /* dB, or dBm */
    report_number(json, "rows", held->of->n_rows);
    report_number(json, "seen", held->seen_db);
    report_number(json, "trips", held->of->trips ? held->of->trips : NAN);
    report_number(json, "heard", held->of->trips ? held->of->heard : NAN);
    report_number(json, "before", held->before_db);
    report_number(json, "now", held->inside_db);
    report_number(json, "foretold", held->foretold_db);
    report_number(json, "foretold_sd_db", held->foretold_sd_db);
    report_number(json, "chance", held->chance);
    report_bool(json, "surprising", held->surprising);
    report_close(json, '}');
}

static void write_fit_json(const struct writing *writing, report_json *json) {
    const calibration_quality *quality = &writing->quality;
    report_open(json, "fit", '{');
    report_number(json, "readings", writing->survey->n_readings);
    report_number(json, "links", quality->n_links);
    report_number(json, "levels", quality->n_levels);
    report_number(json, "not_heard", quality->n_not_heard);
    report_number(json, "before_rms_db", quality->before_rms_db);
    report_number(json, "now_rms_db", quality->inside_rms_db);
    report_number(json, "reading_left_out_rms_db", quality->reading_out_rms_db);
    report_number(json, "listener_left_out_rms_db", quality->listener_out_rms_db);
    report_close(json, '}');
}

static void write_things_json(const struct writing *writing, report_json *json) {
    const calibration_quality *quality = &writing->quality;
    report_open(json, "things", '[');
    for (size_t i = 0; i < quality->n_things; i++) {
        report_open(json, NULL, '{');
        report_string(json, "name", report_thing(writing->survey, quality->things[i].thing));
        report_number(json, "more_db", quality->things[i].more_db);
        report_number(json, "sd_db", quality->things[i].sd_db);
        report_close(json, '}');
    }
    report_close(json, ']');
}

static void write_json(const struct writing *writing) {
    const calibration_quality *quality = &writing->quality;
    size_t n = quality->n_unknowns;
    report_json json = {.out = writing->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/recalibrate/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(writing->survey));
    report_open(&json, "unknowns", '[');
    for (size_t i = 0; i < n; i++)
        write_unknown_json(writing, &json, &quality->unknowns[i]);
    report_close(&json, ']');
    report_number(&json, "offset_with_exponent", quality->offset_with_exponent);
    report_open(&json, "only_together", '[');
    for (size_t a = 0; a < n; a++)
        for (size_t b = a + 1; b < n; b++)
            if (fabs(quality->correlation[a * n + b]) >= together)
                write_pair_json(writing, &json, a, b);
    report_close(&json, ']');
    write_things_json(writing, &json);
    report_undrawn_json(writing->survey, &writing->undrawn, &json);
    write_fit_json(writing, &json);
    report_open(&json, "readings", '[');
    for (size_t i = 0; i < quality->n_held; i++)
        write_held_json(writing, &json, &quality->held[i]);
    report_close(&json, ']');
    report_open(&json, "suspects", '[');
    each_suspect(writing, write_suspect_json, &json);
    report_close(&json, ']');
    write_aside_json(writing, &json);
    report_findings_json(&json, writing->findings);
    report_close(&json, '}');
    text_add(writing->out, "\n");
}

static void write_csv(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out, "kind,name,unit,before,before_sd,after,after_sd,moved_sds,learned\n");
    for (size_t i = 0; i < writing->quality.n_unknowns; i++) {
        const calibration_unknown *unknown = &writing->quality.unknowns[i];
        struct name name = name_of(writing->survey, unknown);
        report_cell(out, name.kind, false);
        report_cell(out, name.name, false);
        report_cell(out, name.unit, false);
        report_cell_number(out, unknown->before, false);
        report_cell_number(out, unknown->before_sd, false);
        report_cell_number(out, unknown->after, false);
        report_cell_number(out, unknown->after_sd, false);
        report_cell_number(out, unknown->moved_sds, false);
        report_cell(out, unknown->learned ? "yes" : "no", true);
    }
}

enum earshot_status earshot_recalibrate_write(const earshot_survey *survey,
                                              const earshot_belief *belief,
                                              const earshot_findings *findings,
                                              enum earshot_form form, earshot_text *out) {
    struct writing writing = {
        .survey = survey, .belief = belief, .findings = findings, .out = out};
    enum earshot_status status = calibration_quality_of(survey, belief, &writing.quality);
    if (status == EARSHOT_OK)
        status = calibration_undrawn_of(belief, &writing.undrawn);
    if (status == EARSHOT_OK)
        status =
            calibration_suspect_all(survey, belief, &writing.suspects, &writing.n_suspects);
    if (status == EARSHOT_OK && form == EARSHOT_JSON)
        write_json(&writing);
    else if (status == EARSHOT_OK && form == EARSHOT_CSV)
        write_csv(&writing);
    else if (status == EARSHOT_OK)
        write_plain(&writing, form == EARSHOT_PLAIN_ALL);
    calibration_quality_free(&writing.quality);
    free(writing.suspects);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}
