/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ledger.c - where the signal goes on one link, each number with its source.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "p1238.h"
#include "repeats.h"
#include "write.h"

/* ---- sources, numbered as they come ---- */

enum { MOST_SOURCES = 40 };

struct sources {
    const char *source[MOST_SOURCES];
    size_t n;
};

/* The number of a source, from 1; 0 when there is none, or no room to tell it apart. */
static size_t number_of(struct sources *sources, const char *source) {
    size_t i = 0;
    while (i < sources->n && strcmp(sources->source[i], source) != 0)
        i++;
    if (source[0] == '\0' || i == MOST_SOURCES)
        return 0;
    if (i == sources->n)
        sources->source[sources->n++] = source;
    return i + 1;
}

static void write_sources(const struct sources *sources, earshot_text *out) {
    for (size_t i = 0; i < sources->n; i++) {
        text_add(out, i < 9 ? "  [" : " [");
        text_add_count(out, i + 1);
        text_add(out, "]");
        report_wrap(out, sources->source[i], 5, 5);
    }
}

/* ---- lines ---- */

static void pad(earshot_text *out, const char *string, size_t width) {
    text_add_in_line(out, string);
    for (size_t i = text_utf8_count(string, strlen(string)); i < width; i++)
        text_add(out, " ");
}

static void number(earshot_text *out, double value, size_t width) {
    char digits[TEXT_NUMBER_SIZE];
    for (size_t i = text_write_fixed(digits, value, 1); i < width; i++)
        text_add(out, " ");
    text_add(out, digits);
}

static void line(earshot_text *out, const char *what, const char *which, double value,
                 const char *unit, size_t source) {
    text_add(out, "  ");
    pad(out, what, 16);
    pad(out, which, 32);
    number(out, value, 7);
    text_add(out, unit);
    if (source) {
        text_add(out, " [");
        text_add_count(out, source);
        text_add(out, "]");
    }
    text_add(out, "\n");
}

static void part_line(earshot_text *out, const earshot_part *part, struct sources *sources) {
    earshot_text *which = earshot_text_new();
    if (!which) {
        text_lose(out);
        return;
    }
    bool rule = part->kind == EARSHOT_FIRST_METER || part->kind == EARSHOT_WAYS_ROUND ||
                part->kind == EARSHOT_FLOORS_TOGETHER || part->kind == EARSHOT_GROUND;
    text_add(which, rule ? "" : part->name);
    if (part->of && part->of != part->name) {
        text_add(which, ", ");
        text_add(which, part->of);
    }
    line(out, earshot_part_word(part->kind), earshot_text_data(which), part->loss_db, " dB",
         number_of(sources, part->source));
    if (earshot_text_cut(which))
        text_lose(out);
    earshot_text_free(which);
}

static void head(const earshot_survey *survey, const earshot_link *link,
                 const earshot_prediction *prediction, earshot_text *out) {
    report_capital(out, report_name(&survey->devices[link->device]));
    text_add(out, " to ");
    text_add_in_line(out, report_name(&survey->devices[link->listener]));
    text_add(out, ": ");
    report_say_verdict(out, prediction->verdict);
    if (report_untested(link, prediction))
        text_add(out, " (predicted: test it on its fixing)");
    if (!isnan(prediction->spare_db)) {
        text_add(out, ", ");
        report_db(out, fabs(prediction->spare_db));
        text_add(out, prediction->spare_db < 0 ? " dB short" : " dB to spare");
        text_add(out, ", give or take ");
        report_db(out, fmax(prediction->margin_sd_db, 1));
        text_add(out, "; ");
        report_db(out, prediction->distance_m);
        text_add(out, " m away");
    }
    text_add(out, "\n");
}

static void budget(const earshot_survey *survey, const earshot_belief *belief,
                   const earshot_link *link, const earshot_prediction *prediction,
                   struct sources *sources, earshot_text *out) {
    const survey_radio *from = &survey->radios[link->from.radio];
    const survey_radio *to = &survey->radios[link->to.radio];
    size_t sender = number_of(sources, from->source), listener = number_of(sources, to->source);
    line(out, "all in all", "", prediction->loss_db, " dB", 0);
    line(out, "sent", from->name, engine_sent_dbm(survey, belief, link), " dBm", sender);
    line(out, "antenna", to->name, engine_antenna_dbi(survey, belief, link), " dBi", listener);
    line(out, "arrives", "", prediction->rx_power_dbm, " dBm", 0);
    line(out, "needed", to->name, prediction->needed_dbm, " dBm",
         from->rated_range_m > 0 ? sender : listener);
    if (link->to.bias != EARSHOT_NONE && isfinite(survey->noise_dbm[link->to.bias]))
        line(out, "noise read there", "", survey->noise_dbm[link->to.bias], " dBm",
             number_of(sources, "readings.csv, the most that the listener has read"));
    line(out, "margin", "", prediction->margin_db, " dB", 0);
    line(out, "kept", link->life_safety ? "life safety" : "", prediction->required_margin_db,
         " dB",
         number_of(sources, "required margin of the survey, for ageing, battery, change "
                            "and noise"));
    line(out, "spare", "", prediction->spare_db, " dB", 0);
}

static void doubt(const earshot_belief *belief, const earshot_part *parts, size_t n_parts,
                  earshot_text *out) {
    text_add(out, "  Give or take:");
    for (size_t i = 0; i < n_parts; i++) {
        if (parts[i].sd_db <= 0)
            continue;
        text_add(out, " ");
        text_add_in_line(out, parts[i].of && parts[i].kind != EARSHOT_MOUNT ? parts[i].of
                                                                            : parts[i].name);
        text_add(out, " ");
        report_db(out, parts[i].sd_db);
        text_add(out, ",");
    }
    text_add(out, "\n  what no wall explains ");
    report_db(out, belief->shadow_sd_db);
    text_add(out, ", this very spot ");
    report_db(out, belief->static_sd_db);
    text_add(out, ", and the radios; walls of one construction err together\n");
}

/* ---- a second opinion, and the years ---- */

/* The published loss by distance alone, where there is one for such a building; else not a
 * number. */
static double second_opinion_db(const earshot_survey *survey, const earshot_link *link,
                                const earshot_prediction *prediction, const earshot_part *parts,
                                size_t n_parts) {
    double freq_mhz = survey->radios[link->from.radio].freq_mhz;
    unsigned n_floors = 0;
    for (size_t i = 0; i < n_parts; i++)
        n_floors += parts[i].kind == EARSHOT_FLOOR;
    if (strncmp(survey->environment.name, "dwelling", 8) == 0)
        return engine_p1238_house_db(freq_mhz, prediction->distance_m, n_floors);
    if (strncmp(survey->environment.name, "office", 6) == 0)
        return engine_p1238_office_db(freq_mhz, prediction->distance_m, n_floors);
    return NAN;
}

static void write_opinion(double opinion_db, earshot_text *out) {
    if (isnan(opinion_db))
        return;
    text_add(out, "  To compare: ITU-R P.1238 gives ");
    report_db(out, opinion_db);
    text_add(out, " dB for such a distance, with ordinary walls in it.\n");
}

/* What is missed over the years: at the margin itself, and if this is one of the worst tenth of
 * the links that look like it. */
struct years {
    double missed, missed_worst, lost_per_year, lost_per_year_worst;
};

static const double worst_tenth_sd = 1.281551566; /* normal distribution */
static const double h_per_year = 24 * 365.25;
static const double least_chance = 1e-4; /* nothing here is known better */

static double lost_per_year(const earshot_survey *survey, const earshot_link *link,
                            double margin_db) {
    engine_traffic traffic = engine_traffic_of(survey, link, margin_db);
    return engine_false_losses_per_h(&traffic) * h_per_year;
}

/* False losses are most where a link is heard now and then: one that is hardly heard at all
 * loses supervision once and stays lost. So the worst tenth is not at its least margin, and the
 * most between that and the middle is taken, a step of a decibel being fine enough. */
static double most_lost_per_year(const earshot_survey *survey, const earshot_link *link,
                                 double least_db, double middle_db) {
    double most = lost_per_year(survey, link, least_db);
    for (double margin_db = middle_db; margin_db > least_db; margin_db -= 1)
        most = fmax(most, lost_per_year(survey, link, margin_db));
    return most;
}

static struct years years_of(const earshot_survey *survey, const earshot_link *link,
                             const earshot_prediction *prediction) {
    double middle_db = prediction->margin_db;
    double least_db = middle_db - worst_tenth_sd * prediction->margin_sd_db;
    engine_traffic middle = engine_traffic_of(survey, link, middle_db);
    engine_traffic worst = engine_traffic_of(survey, link, least_db);
    return (struct years){.missed = fmax(engine_missed_alarm(&middle), least_chance),
                          .missed_worst = fmax(engine_missed_alarm(&worst), least_chance),
                          .lost_per_year = lost_per_year(survey, link, middle_db),
                          .lost_per_year_worst =
                              most_lost_per_year(survey, link, least_db, middle_db)};
}

static void write_one_in(double chance, earshot_text *out) {
    double one_in = engine_one_in(chance);
    if (chance > 0.5) {
        text_add(out, "most alarms");
        return;
    }
    text_add(out, one_in > 1 ? "up to one alarm in " : "more than one alarm in ");
    text_add_fixed(out, fmax(one_in, 10), 0);
}

/* In powers of ten, for nothing here is known better; never for what guards life. */
static void write_years(const earshot_survey *survey, const earshot_link *link,
                        const earshot_prediction *prediction, earshot_text *out) {
    if (link->life_safety || isnan(prediction->margin_db))
        return;
    struct years years = years_of(survey, link, prediction);
    text_add(out, "  Missed over the years: ");
    write_one_in(years.missed, out);
    text_add(out, "; if this is among the worst tenth of such links, ");
    write_one_in(years.missed_worst, out);
    text_add(out,
             ".\n  (tries on one frequency count as one; a slow change of 4 dB is a guess)\n");
}

static void write_json(const earshot_survey *survey, const earshot_link *link,
                       const earshot_prediction *prediction, const earshot_part *parts,
                       size_t n_parts, earshot_text *out) {
    report_json json = {.out = out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/link/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(survey));
    report_string(&json, "device", survey->devices[link->device].name);
    report_string(&json, "listener", survey->devices[link->listener].name);
    report_prediction_json(&json, prediction);
    report_number(&json, "p1238_db",
                  second_opinion_db(survey, link, prediction, parts, n_parts));
    if (!link->life_safety && !isnan(prediction->margin_db)) {
        struct years years = years_of(survey, link, prediction);
        report_number(&json, "missed_alarm", years.missed);
        report_number(&json, "missed_alarm_worst_tenth", years.missed_worst);
        report_number(&json, "false_losses_per_year", years.lost_per_year);
        report_number(&json, "false_losses_per_year_worst_tenth", years.lost_per_year_worst);
    }
    report_parts_json(&json, parts, n_parts);
    report_close(&json, '}');
    text_add(out, "\n");
}

static void write_csv(const earshot_part *parts, size_t n_parts, earshot_text *out) {
    text_add(out, "kind,name,of,loss_db,sd_db,source\n");
    for (size_t i = 0; i < n_parts; i++) {
        report_cell(out, earshot_part_word(parts[i].kind), false);
        report_cell(out, parts[i].name, false);
        report_cell(out, parts[i].of ? parts[i].of : "", false);
        report_cell_number(out, parts[i].loss_db, false);
        report_cell_number(out, parts[i].sd_db, false);
        report_cell(out, parts[i].source, true);
    }
}

static void write_plain(const earshot_survey *survey, const earshot_belief *belief,
                        const earshot_link *link, const earshot_prediction *prediction,
                        const earshot_part *parts, size_t n_parts, earshot_text *out) {
    head(survey, link, prediction, out);
    if (n_parts == 0) {
        text_add(out, "  its place is not known; add coordinates, or a row in paths.csv\n");
        return;
    }
    struct sources sources = {.n = 0};
    text_add(out, "Where the signal goes:\n");
    for (size_t i = 0; i < n_parts; i++)
        part_line(out, &parts[i], &sources);
    budget(survey, belief, link, prediction, &sources, out);
    if (prediction->notes & EARSHOT_NOTE_WAY_BACK)
        text_add(out,
                 "  The way back is the weaker one and decides: see the listener's power and "
                 "the sensor's need.\n");
    doubt(belief, parts, n_parts, out);
    write_opinion(second_opinion_db(survey, link, prediction, parts, n_parts), out);
    write_years(survey, link, prediction, out);
    if (link->life_safety) {
        text_add(out, "  Life safety: ");
        text_add(out, report_life_safety);
        text_add(out, ".\n");
    }
    write_sources(&sources, out);
}

enum earshot_status earshot_ledger_write(const earshot_survey *survey,
                                         const earshot_belief *belief, const earshot_link *link,
                                         enum earshot_form form, earshot_text *out) {
    earshot_prediction prediction;
    size_t n_parts = 0;
    if (link->device >= survey->n_devices || link->listener >= survey->n_devices)
        return EARSHOT_MISUSE;
    enum earshot_status status =
        earshot_link_ledger(survey, belief, link, NULL, 0, &n_parts, &prediction);
    if (status != EARSHOT_OK)
        return status;
    earshot_part *parts = calloc(n_parts + 1, sizeof *parts);
    if (!parts)
        return EARSHOT_NO_MEMORY;
    earshot_link_ledger(survey, belief, link, parts, n_parts, &n_parts, &prediction);
    if (form == EARSHOT_JSON)
        write_json(survey, link, &prediction, parts, n_parts, out);
    else if (form == EARSHOT_CSV)
        write_csv(parts, n_parts, out);
    else
        write_plain(survey, belief, link, &prediction, parts, n_parts, out);
    free(parts);
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
