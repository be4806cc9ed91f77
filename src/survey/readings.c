/* SPDX-License-Identifier: GPL-3.0-or-later */
/* readings.c - readings.csv: what a meter, a receiver's display or a count of trips said.
 *
 * A row that cannot be used is set aside with a note and the rest are kept, and what of a row
 * can be used is: one slip of a pencil does not cost the survey its answers. "none" is a
 * reading (not heard); a blank is no data.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "logs.h"
#include "rows.h"
#include "text.h"

/* More noise than an alarm receiver meets anywhere but beside a transmitter. Judgement. */
static const double loud_dbm = -80;

static void say_reading(survey_load *load, enum findings_code code, const survey_row *row,
                        enum survey_column column) {
    survey_say(load, code, row, column,
               (const char *const[4]){survey_string(row, column),
                                      survey_string(row, COLUMN_READINGS_TRIPS)});
}

/* ---- what a meter shows ---- */

/* What may stand behind the number that a meter shows. */
static const struct unit {
    const char *word;
    enum { OF_DBM, OF_MICROVOLTS, OF_PERCENT, OF_BARS } of;
} units[] = {{"dBm", OF_DBM},
             {"dBuV", OF_MICROVOLTS},
             {"dB\xC2\xB5V", OF_MICROVOLTS}, /* the micro sign, and the Greek letter */
             {"dB\xCE\xBCV", OF_MICROVOLTS},
             {"%", OF_PERCENT},
             {"bars", OF_BARS},
             {"bar", OF_BARS}};
enum { N_UNITS = sizeof units / sizeof *units };

/* A microvolt over 50 ohm: 10 lg (1e-12 V^2 / 50 ohm / 1 mW). */
static const double microvolt_dbm = -106.98970004336019;

bool survey_is_microvolts(const char *word) {
    for (size_t i = 0; i < N_UNITS; i++)
        if (units[i].of == OF_MICROVOLTS && survey_same_word(word, units[i].word))
            return true;
    return false;
}

/* The unit at the end of a cell, NULL: none. */
static const struct unit *unit_behind(const tables_cell *cell) {
    for (size_t i = 0; i < N_UNITS; i++) {
        size_t length = strlen(units[i].word);
        if (cell->length > length &&
            survey_same_word(cell->text + cell->length - length, units[i].word))
            return &units[i];
    }
    return NULL;
}

/* Whether a number with that unit may stand on the reading's scale. */
static bool goes_with(const survey_load *load, const struct unit *unit,
                      const survey_reading *reading) {
    const survey_scale *scale =
        reading->scale == EARSHOT_NONE ? NULL : &load->survey->scales[reading->scale];
    bool in_dbm = !scale || !scale->n_steps;
    return unit->of == OF_BARS      ? !in_dbm && scale->by_steps
           : unit->of == OF_PERCENT ? !in_dbm && !scale->by_steps
                                    : in_dbm;
}

static bool is_any_of(const char *word, const char *const *words, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (survey_same_word(word, words[i]))
            return true;
    return false;
}

static bool says_none(const char *word) {
    static const char *const words[] = {"none",    "not heard", "nothing heard",
                                        "nothing", "no signal", "no rx",
                                        "lost",    "missed",    "timeout"};
    return is_any_of(word, words, sizeof words / sizeof *words);
}

/* A dash and the like, in a cell that is not blank: nobody can tell what was meant. */
static bool may_mean_none(const char *word) {
    static const char *const words[] = {
        "-", "--", "---", "\xE2\x80\x93", "\xE2\x80\x94", "n/a", "na", "nan", "?"};
    return is_any_of(word, words, sizeof words / sizeof *words);
}

/* The number that is shown, in dBm or in steps of the scale; false with a finding. */
static bool read_shown(survey_load *load, const survey_row *row, const survey_reading *reading,
                       double *shown) {
    survey_column_kind wanted = {.name = "reading",
                                 .kind = SURVEY_NUMBER,
                                 .min = -1000,
                                 .max = 100000,
                                 .unreadable = FINDINGS_READING_UNREADABLE};
    const struct unit *unit = unit_behind(survey_get(row, COLUMN_READINGS_READING)->cell);
    wanted.unit = unit ? unit->word : NULL;
    if (!survey_read_value(load, row, COLUMN_READINGS_READING, &wanted, shown))
        return false;
    if (unit && !goes_with(load, unit, reading)) {
        survey_say(load, FINDINGS_READING_OTHER_UNIT, row, COLUMN_READINGS_READING,
                   (const char *const[4]){survey_string(row, COLUMN_READINGS_READING),
                                          reading->scale == EARSHOT_NONE
                                              ? "dBm (which a blank one means)"
                                              : load->survey->scales[reading->scale].name});
        return false;
    }
    if (unit && unit->of == OF_MICROVOLTS)
        *shown += microvolt_dbm;
    return true;
}

/* A number in the reading's scale, "none", or blank. Of a scale that nobody knows no more is
 * said than that. */
static bool read_reading(survey_load *load, const survey_row *row, survey_reading *reading) {
    const char *text = survey_string(row, COLUMN_READINGS_READING);
    double shown = NAN;
    reading->low_dbm = reading->high_dbm = NAN;
    reading->none = says_none(text);
    if (reading->none || survey_blank(row, COLUMN_READINGS_READING))
        return true;
    if (may_mean_none(text)) {
        say_reading(load, FINDINGS_READING_DASH, row, COLUMN_READINGS_READING);
        return false;
    }
    if (reading->scale == EARSHOT_NONE && !survey_blank(row, COLUMN_READINGS_SCALE))
        return false;
    return read_shown(load, row, reading, &shown) &&
           survey_read_scale(load, row, shown, reading);
}

/* ---- the rest of a row ---- */

/* A row of a sheet that somebody carries: what is to be read is there, and nothing was read. */
static bool to_be_filled(const survey_row *row) {
    return survey_blank(row, COLUMN_READINGS_READING) &&
           survey_blank(row, COLUMN_READINGS_HEARD) &&
           survey_blank(row, COLUMN_READINGS_NOISE) &&
           !survey_get(row, COLUMN_READINGS_TRIPS)->bad;
}

/* Trips and heard belong together, and no more can be heard than were made. */
static bool read_trips(survey_load *load, const survey_row *row, survey_reading *reading) {
    double trips = survey_number(row, COLUMN_READINGS_TRIPS, NAN);
    double heard = survey_number(row, COLUMN_READINGS_HEARD, NAN);
    double of = survey_get(row, COLUMN_READINGS_HEARD)->of;
    if (isnan(trips))
        trips = of;
    if (survey_get(row, COLUMN_READINGS_TRIPS)->bad ||
        survey_get(row, COLUMN_READINGS_HEARD)->bad)
        return false;
    if (isnan(trips) != isnan(heard) && !to_be_filled(row)) {
        say_reading(load, FINDINGS_TRIPS_WITHOUT_HEARD, row,
                    isnan(trips) ? COLUMN_READINGS_TRIPS : COLUMN_READINGS_HEARD);
        return !isnan(reading->low_dbm); /* the level counts without them */
    }
    if (isnan(trips) || isnan(heard))
        return true;
    if (heard > trips || (!isnan(of) && of != trips)) {
        say_reading(load, FINDINGS_MORE_HEARD_THAN_TRIPS, row, COLUMN_READINGS_HEARD);
        return false;
    }
    reading->trips = (unsigned)trips;
    reading->heard = (unsigned)heard;
    return true;
}

static bool check_listener(survey_load *load, const survey_row *row, size_t listener) {
    const earshot_survey *survey = load->survey;
    if (listener == EARSHOT_NONE)
        return false;
    if (survey->devices[listener].role != SURVEY_SENSOR)
        return true;
    say_reading(load, FINDINGS_HEARD_AT_SENSOR, row, COLUMN_READINGS_HEARD_AT);
    return false;
}

static const struct survey_place_columns walked = {COLUMN_READINGS_LEVEL, COLUMN_READINGS_X,
                                                   COLUMN_READINGS_Y, COLUMN_READINGS_HEIGHT};

/* What was sent with, where there is no device to say so. */
static bool read_radio(survey_load *load, const survey_row *row, survey_reading *reading) {
    reading->radio = survey_refer(load, row, COLUMN_READINGS_RADIO, SURVEY_TABLE_RADIOS);
    if (reading->radio == EARSHOT_NONE && survey_blank(row, COLUMN_READINGS_RADIO) &&
        reading->heard_at != EARSHOT_NONE) {
        reading->radio = load->survey->devices[reading->heard_at].radio;
        findings_add(load->findings, FINDINGS_DEFAULT_USED,
                     survey_place(load, SURVEY_TABLE_READINGS),
                     (const char *const[4]){"radio", load->survey->radios[reading->radio].name,
                                            "that of the listener, at walked points where the "
                                            "cell is blank"});
    }
    return reading->radio != EARSHOT_NONE;
}

/* A device hangs where devices.csv says, whatever else is said here. */
static void doubt_place(survey_load *load, const survey_row *row,
                        const survey_reading *reading) {
    const char *const slots[4] = {survey_string(row, COLUMN_READINGS_DEVICE)};
    if (survey_row_bad(row))
        return;
    if (!survey_blank(row, COLUMN_READINGS_X) || !survey_blank(row, COLUMN_READINGS_Y))
        survey_say(load, FINDINGS_READ_PLACE_TWICE, row, COLUMN_READINGS_X, slots);
    else if (reading->placed == SURVEY_WALKED)
        survey_say(load, FINDINGS_WALKED_DEVICE, row, COLUMN_READINGS_PLACED, slots);
}

/* Whether the level of a walked point is one of the survey's, or not said where there is one.
 */
static bool knows_level(const survey_load *load, const survey_row *row) {
    return survey_blank(row, COLUMN_READINGS_LEVEL)
               ? load->survey->n_levels <= 1
               : survey_names_find(load->built[SURVEY_TABLE_LEVELS], 0,
                                   survey_string(row, COLUMN_READINGS_LEVEL)) != EARSHOT_NONE;
}

/* A device by its name; or, as the receiver or a label shows it, by a zone number, a label or a
 * serial that only one device has. */
static size_t refer_device(survey_load *load, const survey_row *row, enum survey_column column,
                           const struct survey_names *callings) {
    const char *word = survey_string(row, column);
    size_t meant[LOG_MOST_MEANT];
    if (survey_names_find(load->built[SURVEY_TABLE_DEVICES], 0, word) != EARSHOT_NONE ||
        word[0] == '\0' || log_meant(callings, word, LOG_ANY, meant) != 1)
        return survey_refer(load, row, column, SURVEY_TABLE_DEVICES);
    return meant[0];
}

/* A device; or, of a point that somebody walked to, its place and radio. */
static bool read_sender(survey_load *load, const survey_row *row, survey_reading *reading,
                        const struct survey_names *callings) {
    size_t level;
    reading->device = refer_device(load, row, COLUMN_READINGS_DEVICE, callings);
    if (reading->device != EARSHOT_NONE) {
        reading->radio = load->survey->devices[reading->device].radio;
        doubt_place(load, row, reading);
        return true;
    }
    if (!survey_blank(row, COLUMN_READINGS_DEVICE))
        return false;
    bool no_signal = isnan(reading->low_dbm) && !reading->none &&
                     survey_blank(row, COLUMN_READINGS_TRIPS) &&
                     survey_blank(row, COLUMN_READINGS_X);
    if (no_signal && (!isnan(reading->noise_dbm) || to_be_filled(row)))
        return true; /* noise is the listener's own */
    reading->place = survey_place_of(load, row, &walked, &level);
    if (isnan(reading->place.x_m))
        say_reading(load, FINDINGS_READ_NOWHERE, row, COLUMN_READINGS_DEVICE);
    return !isnan(reading->place.x_m) && read_radio(load, row, reading) &&
           knows_level(load, row);
}

/* Keeps a row of which only what was read cannot be taken, for somebody to say what it was. */
static void keep_aside(survey_load *load, const survey_row *row,
                       const survey_reading *reading) {
    load->survey->aside[load->survey->n_aside++] =
        (survey_aside){*reading, survey_string(row, COLUMN_READINGS_READING)};
}

static bool read_row(survey_load *load, const survey_row *row,
                     const struct survey_names *callings, survey_reading *reading) {
    size_t placed = survey_get(row, COLUMN_READINGS_PLACED)->choice;
    const geometry_place nowhere = {NAN, NAN, NAN};
    *reading = (survey_reading){
        .place = nowhere,
        .edge = EARSHOT_NONE,
        .as_left = survey_get(row, COLUMN_READINGS_AS_LEFT)->choice == 0,
        .accepted = survey_get(row, COLUMN_READINGS_USE)->choice == 0,
        .time = survey_string(row, COLUMN_READINGS_TIME),
        .heard_at = refer_device(load, row, COLUMN_READINGS_HEARD_AT, callings),
        .scale = survey_refer(load, row, COLUMN_READINGS_SCALE, SURVEY_TABLE_SCALES),
        .noise_dbm = survey_number(row, COLUMN_READINGS_NOISE, NAN),
        .pad_db = survey_number(row, COLUMN_READINGS_PAD, 0),
        .placed = placed == EARSHOT_NONE ? SURVEY_HELD : (enum survey_placed)placed,
        .doors_open = survey_get(row, COLUMN_READINGS_DOORS)->choice == 1,
        .file = row->sheet->file,
        .table_line = row->line};
    if (reading->noise_dbm > loud_dbm)
        say_reading(load, FINDINGS_NOISE_LOUD, row, COLUMN_READINGS_NOISE);
    bool known_scale =
        survey_blank(row, COLUMN_READINGS_SCALE) || reading->scale != EARSHOT_NONE;
    bool listener = check_listener(load, row, reading->heard_at);
    bool level = read_reading(load, row, reading);
    bool trips = read_trips(load, row, reading);
    if (!level) /* trips count without it */
        reading->low_dbm = reading->high_dbm = NAN;
    bool blank = isnan(reading->low_dbm) && !reading->none && !reading->trips &&
                 isnan(reading->noise_dbm);
    bool sender = read_sender(load, row, reading, callings);
    bool rest = listener && sender && trips && !survey_row_bad(row);
    if (rest && known_scale && !level)
        keep_aside(load, row, reading);
    return rest && !blank && ((level && known_scale) || reading->trips);
}

/* The most noise that each listener has read: two minutes at one hour may be quiet by chance.
 */
static void gather_noise(earshot_survey *survey) {
    for (size_t i = 0; i < survey->n_listeners; i++)
        survey->noise_dbm[i] = -INFINITY;
    for (size_t i = 0; i < survey->n_readings; i++) {
        size_t listener = survey->devices[survey->readings[i].heard_at].listener;
        survey->noise_dbm[listener] =
            fmax(survey->noise_dbm[listener], survey->readings[i].noise_dbm);
    }
}

/* Whether somebody judged that the row is not to count; said once for all such rows. */
static bool rejected(survey_load *load, const survey_row *row) {
    if (survey_get(row, COLUMN_READINGS_USE)->choice != 1)
        return false;
    findings_place place = survey_place(load, SURVEY_TABLE_READINGS);
    place.file = row->sheet->file;
    findings_add(load->findings, FINDINGS_READING_REJECTED, place, NULL);
    return true;
}

/* The number of a visit, by first mention. */
static size_t visit_of(earshot_survey *survey, struct survey_names *seen, const char *name) {
    size_t visit = survey_names_find(seen, 0, name);
    if (visit != EARSHOT_NONE)
        return visit;
    survey_names_put(seen, 0, name, survey->n_visits);
    survey->visits[survey->n_visits] = name;
    return survey->n_visits++;
}

/* A visit on its way into order. Numbers are sorted within a run of them: a name that is none
 * keeps its place among them. */
struct visit {
    const char *name;
    size_t first; /* by first mention */
    size_t run;   /* 0: the blank one, which comes before all */
    double number;
};

static int compare_visits(const void *a, const void *b) {
    const struct visit *left = a, *right = b;
    if (left->run != right->run)
        return left->run < right->run ? -1 : 1;
    if (left->number != right->number)
        return left->number < right->number ? -1 : 1;
    return left->first < right->first ? -1 : left->first > right->first;
}

static void number_runs(const earshot_survey *survey, struct visit *visits) {
    size_t run = 0;
    bool numbers = false;
    for (size_t i = 0; i < survey->n_visits; i++) {
        const char *name = survey->visits[i];
        visits[i] = (struct visit){.name = name, .first = i};
        if (name[0] == '\0')
            continue;
        bool is_number =
            text_read_number(name, strlen(name), '.', &visits[i].number) == TEXT_NUMBER_OK;
        run += !is_number || !numbers;
        numbers = is_number;
        visits[i].run = run;
    }
}

/* A blank one first, then by number; in the order they are mentioned where a name is no number.
 */
static void sort_visits(earshot_survey *survey) {
    size_t n = survey->n_visits;
    struct visit *visits = survey_take(survey->storage, n + 1, sizeof *visits);
    size_t *place = survey_take(survey->storage, n + 1, sizeof *place);
    if (!visits || !place)
        return;
    number_runs(survey, visits);
    qsort(visits, n, sizeof *visits, compare_visits);
    for (size_t i = 0; i < n; i++) {
        survey->visits[i] = visits[i].name;
        place[visits[i].first] = i;
    }
    for (size_t i = 0; i < survey->n_readings; i++)
        survey->readings[i].visit = place[survey->readings[i].visit];
}

/* A blank scale means dBm. Where other rows name it, it is the same meter, off by the same. */
static void join_dbm(earshot_survey *survey) {
    size_t named = 0;
    while (named < survey->n_readings &&
           (survey->readings[named].scale == EARSHOT_NONE ||
            strcmp(survey->scales[survey->readings[named].scale].name, "dbm") != 0))
        named++;
    for (size_t i = 0; named < survey->n_readings && i < survey->n_readings; i++)
        if (survey->readings[i].scale == EARSHOT_NONE)
            survey->readings[i].scale = survey->readings[named].scale;
}

void survey_build_readings(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_READINGS];
    survey->readings = survey_take(survey->storage, rows->n + 1, sizeof *survey->readings);
    survey->aside = survey_take(survey->storage, rows->n + 1, sizeof *survey->aside);
    survey->noise_dbm =
        survey_take(survey->storage, survey->n_listeners + 1, sizeof *survey->noise_dbm);
    survey->visits = survey_take(survey->storage, rows->n + 1, sizeof *survey->visits);
    struct survey_names *seen = survey_names_new(survey->storage, rows->n);
    const struct survey_names *callings = rows->n ? log_callings(load) : NULL;
    if (survey_storage_failed(survey->storage))
        return;
    for (size_t i = 0; i < rows->n; i++) {
        survey_reading *reading = &survey->readings[survey->n_readings];
        if (rejected(load, &rows->rows[i]))
            continue;
        if (!read_row(load, &rows->rows[i], callings, reading)) {
            survey->n_set_aside += !to_be_filled(&rows->rows[i]);
            continue;
        }
        reading->visit =
            visit_of(survey, seen, survey_string(&rows->rows[i], COLUMN_READINGS_VISIT));
        survey->n_readings++;
    }
    sort_visits(survey);
    join_dbm(survey);
    survey_drop_twice(load);
    gather_noise(survey);
}

findings_place survey_reading_place(const earshot_survey *survey,
                                    const survey_reading *reading) {
    findings_place place = survey_line(survey->files.readings, reading->table_line);
    place.file = reading->file;
    return place;
}
