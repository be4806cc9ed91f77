/* SPDX-License-Identifier: GPL-3.0-or-later */
/* check_plain.c - the whole survey for a person: one sentence first, then what needs doing.
 *
 * Where walls are missing the sentence begins with that, for all else hangs on it. Life safety
 * comes first, then the zones that are shortest. When more than a third of the
 * zones are thin the tool knows too little, and opens with the answers that would settle most
 * of them.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "write.h"

static const survey_device *device_of(const report_survey *gathered, const report_zone *zone) {
    return &gathered->survey->devices[zone->zone.device];
}

/* Life safety first, then least to spare; what has no number first of its kind. */
static int by_urgency(const void *a, const void *b) {
    const report_zone *left = *(const report_zone *const *)a;
    const report_zone *right = *(const report_zone *const *)b;
    if (left->zone.link.life_safety != right->zone.link.life_safety)
        return left->zone.link.life_safety ? -1 : 1;
    double first = left->zone.prediction.spare_db, second = right->zone.prediction.spare_db;
    first = isnan(first) ? -INFINITY : first;
    second = isnan(second) ? -INFINITY : second;
    if (first != second)
        return first < second ? -1 : 1;
    return left < right ? -1 : left > right;
}

/* The zones that are not firm, most urgent first; returns how many. */
static size_t weak_zones(const report_survey *gathered, const report_zone **weak) {
    size_t n = 0;
    for (size_t i = 0; i < gathered->n_zones; i++)
        if (gathered->zones[i].zone.prediction.verdict != EARSHOT_FIRM)
            weak[n++] = &gathered->zones[i];
    qsort(weak, n, sizeof *weak, by_urgency);
    return n;
}

enum { MOST_NAMED = 4 };

static void write_fate(const report_survey *gathered, const report_zone *zone,
                       earshot_text *out) {
    const survey_device *device = device_of(gathered, zone);
    enum earshot_verdict verdict = zone->zone.prediction.verdict;
    text_add(out, " ");
    report_capital(out, report_name(device));
    text_add(out, device->life_safety ? " (life safety) " : " ");
    text_add(out, verdict == EARSHOT_OUT ? "" : "is ");
    report_say_verdict(out, verdict);
    text_add(out, ".");
}

/* Zones that guard life and are firm on nothing but a prediction. */
static size_t count_untested(const report_survey *gathered) {
    size_t n = 0;
    for (size_t i = 0; i < gathered->n_zones; i++)
        n +=
            report_untested(&gathered->zones[i].zone.link, &gathered->zones[i].zone.prediction);
    return n;
}

/* Whether walls should be drawn, none is, and some zone is judged by the plan all the same. */
static bool lacks_walls(const report_survey *gathered) {
    const earshot_survey *survey = gathered->survey;
    if (!survey->environment.walls_drawn || survey->n_walls)
        return false;
    for (size_t i = 0; i < gathered->n_zones; i++) {
        const earshot_zone *zone = &gathered->zones[i].zone;
        if (zone->link.path == EARSHOT_NONE && !isnan(zone->prediction.distance_m))
            return true;
    }
    return false;
}

static void write_untested(const report_survey *gathered, earshot_text *out) {
    size_t n = count_untested(gathered), n_firm = gathered->count[EARSHOT_FIRM];
    if (n == 0)
        return;
    text_add(out, ", ");
    if (n < n_firm)
        text_add_count(out, n);
    text_add(out, n_firm == 1 ? "" : n < n_firm ? " of them " : "all of them ");
    text_add(out, "guarding life and only predicted: test ");
    text_add(out, n == 1 ? "it on its fixing" : "each on its fixing");
}

static void write_sentence(const report_survey *gathered, const report_zone *const *weak,
                           size_t n_weak, earshot_text *out) {
    if (lacks_walls(gathered))
        text_add(out,
                 "No wall is drawn, so what is placed by coordinates counts as in the open: ");
    text_add_count(out, gathered->count[EARSHOT_FIRM]);
    text_add(out, " of ");
    text_add_count(out, gathered->n_zones);
    text_add(out, gathered->n_zones == 1 ? " zone firm" : " zones firm");
    write_untested(gathered, out);
    text_add(out, ".");
    size_t named = n_weak <= MOST_NAMED ? n_weak : MOST_NAMED - 1;
    for (size_t i = 0; i < named; i++)
        write_fate(gathered, weak[i], out);
    if (named < n_weak) {
        text_add(out, " ");
        text_add_count(out, n_weak - named);
        text_add(out, " more are not firm.");
    }
    text_add(out, "\n");
}

/* Trips first: they are what the alarm will do. */
static void write_measured(earshot_text *out, const report_measured *measured) {
    if (!measured || !measured->n_rows)
        return;
    if (measured->trips) {
        text_add(out, "; heard ");
        text_add_count(out, measured->heard);
        text_add(out, " of ");
        text_add_count(out, measured->trips);
    } else if (measured->silent) {
        text_add(out, "; not heard");
    }
    if (measured->n_levels) {
        text_add(out, measured->trips || measured->silent ? ", " : "; ");
        text_add_fixed(out, measured->level_dbm, 0);
        text_add(out, " dBm read");
    }
}

static void write_weak(const report_survey *gathered, const report_zone *zone,
                       earshot_text *out) {
    const survey_device *device = device_of(gathered, zone);
    const earshot_prediction *prediction = &zone->zone.prediction;
    const earshot_part *parts =
        zone->link == EARSHOT_NONE ? NULL : gathered->links[zone->link].parts;
    text_add(out, "  ");
    report_zone_name(out, device);
    text_add(out, device->life_safety ? " (life safety): " : ": ");
    report_say_verdict(out, prediction->verdict);
    if (zone->link != EARSHOT_NONE && !isnan(prediction->spare_db)) {
        text_add(out, ", ");
        report_spare(out, prediction->spare_db);
        report_doubt(out, prediction->margin_sd_db);
    }
    write_measured(out,
                   zone->link == EARSHOT_NONE ? NULL : &gathered->links[zone->link].measured);
    text_add(out, "; ");
    report_cause(out, &zone->advice, parts);
    text_add(out, "; ");
    report_try(out, &zone->advice, parts);
    text_add(out, "\n");
}

static void write_fallen(const report_survey *gathered, const report_zone *zone,
                         earshot_text *out) {
    const survey_device *device = device_of(gathered, zone);
    text_add(out, "  ");
    text_add_in_line(out, report_name(device));
    text_add(out, ": the plan had ");
    report_spare(out, gathered->links[zone->link].plan.spare_db);
    text_add(out, ", now ");
    report_spare(out, zone->zone.prediction.spare_db);
    if (zone->zone.prediction.notes & (EARSHOT_NOTE_FEW_HEARD | EARSHOT_NOTE_READ_LOW)) {
        text_add(out, ", and yet read or heard far less\n");
        return;
    }
    if (zone->cause.chance < calibration_worth_naming) {
        text_add(out, "\n");
        return;
    }
    text_add(out, "; likeliest ");
    report_likeliest(out, gathered->survey, &zone->cause);
    text_add(out, zone->cause.more_db > 0 ? ", " : ", not enough by itself, ");
    text_add_fixed(out, fabs(zone->cause.more_db), 0);
    text_add(out, zone->cause.kind == CALIBRATION_BY_UNDRAWN ? " dB, "
                  : zone->cause.more_db > 0                  ? " dB more than the tables say, "
                                            : " dB less than the tables say, ");
    report_odds(out, zone->cause.chance);
    text_add(out, " that it is half of it or more\n");
}

/* What nobody expected to be weak is told apart from what the plan knew. */
static void write_all_fallen(const report_survey *gathered, earshot_text *out) {
    bool any = false;
    for (size_t i = 0; i < gathered->n_zones; i++) {
        if (!gathered->zones[i].has_cause)
            continue;
        if (!any)
            text_add(out,
                     "Firm by the plan, and weak by what was read (where no cause is named, "
                     "none stands out):\n");
        any = true;
        write_fallen(gathered, &gathered->zones[i], out);
    }
}

/* ---- when too much is thin ---- */

static void write_questions(const report_survey *gathered, earshot_text *out) {
    planning_question questions[PLANNING_MAX_QUESTIONS];
    size_t n = 0;
    if (report_ask(gathered, questions, &n) != EARSHOT_OK)
        text_lose(out);
    if (n)
        text_add(out, "These answers would settle most of what is in doubt:\n");
    report_questions(gathered, questions, n, out);
}

/* ---- the table ---- */

/* Where the first `count` characters of a text end. */
static size_t bytes_of(const char *string, size_t count) {
    size_t bytes = 0;
    for (; count > 0 && string[bytes]; count--)
        do
            bytes++;
        while (((unsigned char)string[bytes] & 0xc0) == 0x80);
    return bytes;
}

/* Text in a column `width` characters wide; what is longer ends in two dots. */
static void write_column(earshot_text *out, const char *string, size_t width, bool right) {
    size_t length = text_utf8_count(string, strlen(string));
    bool cut = length > width;
    for (size_t i = length; right && i < width; i++)
        text_add(out, " ");
    text_add_bytes_in_line(out, string, bytes_of(string, cut ? width - 2 : length));
    text_add(out, cut ? ".." : "");
    for (size_t i = length; !right && i < width; i++)
        text_add(out, " ");
    text_add(out, " ");
}

static void write_column_verdict(earshot_text *out, enum earshot_verdict verdict) {
    const char *word = report_verdict(verdict);
    text_mark(out, earshot_text_size(out), strlen(word), verdict);
    write_column(out, word, 11, false);
}

static void write_column_number(earshot_text *out, double value, int decimals, size_t width) {
    char number[TEXT_NUMBER_SIZE] = "-";
    if (!isnan(value))
        text_write_fixed(number, value, decimals);
    write_column(out, number, width, true);
}

static void write_table_row(const report_survey *gathered, const report_zone *zone,
                            earshot_text *out) {
    const survey_device *device = device_of(gathered, zone);
    const earshot_prediction *prediction = &zone->zone.prediction;
    size_t listener = zone->zone.link.listener;
    bool heard = listener != EARSHOT_NONE;
    write_column_number(out, device->zone ? device->zone : NAN, 0, 4);
    write_column(out, report_name(device), 22, false);
    write_column(out, heard ? report_name(&gathered->survey->devices[listener]) : "-", 14,
                 false);
    write_column_verdict(out, prediction->verdict);
    write_column_number(out, heard ? prediction->spare_db : NAN, 1, 6);
    write_column_number(out, heard ? prediction->margin_sd_db : NAN, 1, 5);
    write_column_number(out, heard ? prediction->distance_m : NAN, 1, 5);
    text_add(out, device->life_safety ? "life" : "");
    text_add(out, "\n");
}

/* The same with what was planned and read beside it. */
static void write_read_row(const report_survey *gathered, const report_zone *zone,
                           earshot_text *out) {
    static const char *const bases[] = {"", "corr", "read"};
    const survey_device *device = device_of(gathered, zone);
    const earshot_prediction *prediction = &zone->zone.prediction;
    const report_link *link = zone->link == EARSHOT_NONE ? NULL : &gathered->links[zone->link];
    char trips[2 * TEXT_NUMBER_SIZE + 1] = "";
    if (link && link->measured.trips) {
        size_t n = text_write_fixed(trips, link->measured.heard, 0);
        trips[n] = '/';
        text_write_fixed(trips + n + 1, link->measured.trips, 0);
    } else if (link && link->measured.silent) {
        strcpy(trips, "none");
    }
    write_column_number(out, device->zone ? device->zone : NAN, 0, 4);
    write_column(out, report_name(device), 22, false);
    write_column_verdict(out, prediction->verdict);
    write_column_number(out, link ? link->plan.spare_db : NAN, 1, 6);
    write_column(out, trips, 6, true);
    write_column_number(out, link ? link->measured.level_dbm : NAN, 0, 4);
    write_column_number(out, link ? prediction->spare_db : NAN, 1, 6);
    write_column_number(out, link ? prediction->margin_sd_db : NAN, 1, 4);
    write_column(out, bases[prediction->basis], 4, false);
    text_add(out, device->life_safety ? "life" : "");
    text_add(out, "\n");
}

static void write_table(const report_survey *gathered, earshot_text *out) {
    bool read = gathered->belief->reads != NULL;
    text_add(out,
             read ? "zone what                   verdict       plan  heard read    now  +/-\n"
                    "                                          dB              dB   dB\n"
                  : "zone what                   heard by       verdict      spare   +/-  "
                    "away\n                                                         dB    "
                    "dB     m\n");
    for (size_t i = 0; i < gathered->n_zones; i++)
        (read ? write_read_row : write_table_row)(gathered, &gathered->zones[i], out);
}

/* ---- notes and cautions ---- */

enum { MOST_NOTES = 5 };

void report_place(const earshot_finding *finding, earshot_text *out) {
    text_add(out, finding->file);
    if (finding->line) {
        text_add(out, ":");
        text_add_count(out, finding->line);
    }
    if (finding->line && finding->column) {
        text_add(out, ":");
        text_add_count(out, finding->column);
    }
    text_add(out, ": ");
    text_add(out, finding->sentence);
    if (finding->times > 1) {
        text_add(out, " (");
        text_add_count(out, finding->times);
        text_add(out, " times)");
    }
}

void report_note(const earshot_finding *finding, earshot_text *out) {
    text_add(out, "note: ");
    report_place(finding, out);
    text_add(out, "\n");
}

static bool tells_default(const earshot_finding *finding) {
    return strcmp(finding->code, "default-used") == 0;
}

/* What is odd about the tables first, what was taken for a blank after it. */
static void write_notes(const report_survey *gathered, bool all, earshot_text *out) {
    size_t n = earshot_findings_count(gathered->findings), shown = 0;
    for (int defaults = 0; defaults < 2; defaults++)
        for (size_t i = 0; i < n; i++) {
            earshot_finding finding = earshot_findings_at(gathered->findings, i);
            if (tells_default(&finding) != defaults || (!all && shown == MOST_NOTES))
                continue;
            report_note(&finding, out);
            shown++;
        }
    if (shown < n) {
        text_add_count(out, n - shown);
        text_add(out, n - shown == 1 ? " more note: --all\n" : " more notes: --all\n");
    }
}

static void add_some(earshot_text *out, size_t n, const char *what, bool *any) {
    if (n == 0)
        return;
    text_add(out, *any ? ", " : "");
    text_add_count(out, n);
    text_add(out, what);
    *any = true;
}

static unsigned most_all_heard(const report_survey *gathered) {
    unsigned most = 0;
    for (size_t i = 0; i < gathered->n_links; i++) {
        const report_measured *measured = &gathered->links[i].measured;
        if (measured->heard == measured->trips && measured->trips > most)
            most = measured->trips;
    }
    return most;
}

/* How many zones were read, corrected by readings elsewhere, or only predicted. */
static void write_bases(const report_survey *gathered, earshot_text *out) {
    bool any = false;
    report_set_aside(out, gathered->survey->n_set_aside);
    if (!gathered->belief->reads) {
        text_add(out, gathered->survey->n_readings
                          ? "All of it is predicted, without readings.\n"
                          : "All of it is predicted.\n");
        return;
    }
    add_some(out, gathered->by_basis[EARSHOT_READ_IN_PLACE], " read in place", &any);
    add_some(out, gathered->by_basis[EARSHOT_CORRECTED],
             " corrected by what was read elsewhere", &any);
    add_some(out, gathered->by_basis[EARSHOT_PREDICTED], " predicted", &any);
    text_add(out, ": earshot recalibrate says what was learned.\n");
    report_undrawn_line(&gathered->undrawn, out);
    report_all_heard(out, most_all_heard(gathered));
}

static void write_basis(const report_survey *gathered, earshot_text *out) {
    const survey_site *site = &gathered->survey->site;
    text_add(out, "Firm keeps ");
    text_add_number(out, site->required_margin_db);
    text_add(out, " dB (life safety ");
    text_add_number(out, site->life_safety_margin_db);
    text_add(out, ") for ageing, battery, change and noise, ");
    text_add_fixed(out, site->confidence * 100, 0);
    text_add(out, " % sure (life safety ");
    text_add_fixed(out, site->life_safety_confidence * 100, 0);
    text_add(out, " %).\n");
    write_bases(gathered, out);
}

static void write_care(const report_survey *gathered, earshot_text *out) {
    size_t n = 0;
    for (size_t i = 0; i < gathered->n_zones; i++)
        n += device_of(gathered, &gathered->zones[i])->life_safety;
    if (n == 0)
        return;
    text_add_count(out, n);
    text_add(out, n == 1 ? " zone guards life: test it" : " zones guard life: test each");
    text_add(out, " on its final fixing, whatever is predicted here;\nlocal codes, the maker's "
                  "instructions and licensed practice decide.\n");
}

/* A contact on the wrong side of its wall, or feet in a column of meters: judged as it stands,
 * and nobody asks for what looks odd who has not been told. */
static void write_odd(const report_survey *gathered, earshot_text *out) {
    earshot_findings *odd = earshot_findings_new();
    size_t n = 0;
    if (!odd || earshot_survey_odd(gathered->survey, odd) != EARSHOT_OK)
        text_lose(out);
    else
        n = earshot_findings_count(odd);
    earshot_findings_free(odd);
    if (n == 0)
        return;
    text_add_count(out, n);
    text_add(out, n == 1 ? " thing looks odd in the tables: earshot odd names it.\n"
                         : " things look odd in the tables: earshot odd names them.\n");
}

void report_check_plain(const report_survey *gathered, bool all, earshot_text *out) {
    const report_zone **weak = calloc(gathered->n_zones + 1, sizeof *weak);
    if (!weak) {
        text_lose(out);
        return;
    }
    size_t n_weak = weak_zones(gathered, weak);
    write_sentence(gathered, weak, n_weak, out);
    if (3 * (gathered->count[EARSHOT_THIN] + gathered->count[EARSHOT_NOT_JUDGED]) >
        gathered->n_zones)
        write_questions(gathered, out);
    if (all)
        write_table(gathered, out);
    for (size_t i = 0; i < n_weak; i++)
        write_weak(gathered, weak[i], out);
    write_all_fallen(gathered, out);
    write_basis(gathered, out);
    write_odd(gathered, out);
    write_notes(gathered, all, out);
    write_care(gathered, out);
    free(weak);
}
