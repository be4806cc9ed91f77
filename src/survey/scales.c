/* SPDX-License-Identifier: GPL-3.0-or-later */
/* scales.c - what a meter shows, in dBm: itself, points of straight lines (percent, counts), or
 * bars.
 *
 * A row of kind `bottom` with a reading is where that bar begins; with a blank one, the level
 * under which the meter shows nothing. `top` is the most that it shows. What lies at or beyond
 * the ends of a scale is known on one side only.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "text.h"

enum { VALUE, BOTTOM, TOP };

/* How well an edge between two bars is known, and a whole meter. Judgement, no source. */
static const double edge_sd_db = 1.5, offset_sd_db = 3;

static void say_wrong(survey_load *load, const survey_row *row, const char *scale,
                      const char *what) {
    survey_say(load, FINDINGS_SCALE_WRONG, row, COLUMN_SCALES_READING,
               (const char *const[4]){scale, what});
}

static void add_step(survey_load *load, const survey_row *row, survey_scale *scale, bool bar) {
    earshot_survey *survey = load->survey;
    survey_step step = {survey_number(row, COLUMN_SCALES_READING, NAN),
                        survey_number(row, COLUMN_SCALES_DBM, NAN),
                        survey_number(row, COLUMN_SCALES_EDGE_SD, edge_sd_db)};
    const survey_step *last = &survey->steps[survey->n_steps - (scale->n_steps > 0)];
    if (scale->n_steps && scale->by_steps != bar) {
        say_wrong(load, row, scale->name,
                  "has both points (value) and bars (bottom); keep one kind");
    } else if (scale->n_steps && !(step.reading > last->reading && step.dbm > last->dbm)) {
        say_wrong(load, row, scale->name,
                  "does not rise; give its readings and their dBm from the least to the most");
    } else {
        scale->by_steps = bar;
        survey->steps[survey->n_steps++] = step;
        scale->n_steps++;
    }
}

/* One row of a scale. Without a reading and dBm it only names a meter that shows dBm. */
static void add_row(survey_load *load, const survey_row *row, survey_scale *scale) {
    size_t kind = survey_get(row, COLUMN_SCALES_KIND)->choice;
    double reading = survey_number(row, COLUMN_SCALES_READING, NAN);
    double dbm = survey_number(row, COLUMN_SCALES_DBM, NAN);
    if (survey_row_bad(row) || (isnan(reading) && isnan(dbm)))
        return;
    if (isnan(dbm) || (isnan(reading) && kind != BOTTOM)) {
        say_wrong(load, row, scale->name, "has a row of which half is blank; fill it");
    } else if (kind == TOP) {
        scale->top = reading;
        scale->top_dbm = dbm;
    } else if (isnan(reading)) {
        scale->floor_dbm = dbm;
    } else {
        add_step(load, row, scale, kind == BOTTOM);
    }
}

static void build_scale(survey_load *load, const survey_rows *rows, size_t first) {
    earshot_survey *survey = load->survey;
    const survey_row *row = &rows->rows[first];
    survey_scale *scale = &survey->scales[survey->n_scales++];
    *scale = (survey_scale){.name = survey_string(row, COLUMN_SCALES_SCALE),
                            .source = survey_string(row, COLUMN_SCALES_SOURCE),
                            .floor_dbm = NAN,
                            .top = NAN,
                            .top_dbm = NAN,
                            .first_step = survey->n_steps,
                            .offset_sd_db =
                                survey_number(row, COLUMN_SCALES_OFFSET_SD, offset_sd_db)};
    for (size_t i = first; i < rows->n; i++)
        if (strcmp(survey_string(&rows->rows[i], COLUMN_SCALES_SCALE), scale->name) == 0)
            add_row(load, &rows->rows[i], scale);
    if (scale->by_steps && !isnan(scale->top))
        say_wrong(load, row, scale->name,
                  "has bars, of which the last has no end, and a top; take the top out");
    if (scale->n_steps == 1 && !scale->by_steps)
        say_wrong(load, row, scale->name,
                  "has one point only; give two or more, the least and the most");
}

void survey_build_scales(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_SCALES];
    survey->scales = survey_take(survey->storage, rows->n + 1, sizeof *survey->scales);
    survey->steps = survey_take(survey->storage, rows->n + 1, sizeof *survey->steps);
    survey_begin_names(load, SURVEY_TABLE_SCALES);
    struct survey_names *names = load->built[SURVEY_TABLE_SCALES];
    if (!survey->scales || !survey->steps || !names)
        return;
    for (size_t i = 0; i < rows->n; i++) {
        const char *name = survey_string(&rows->rows[i], COLUMN_SCALES_SCALE);
        if (name[0] == '\0' || survey_names_find(names, 0, name) != EARSHOT_NONE)
            continue;
        survey_names_put(names, 0, name, survey->n_scales);
        build_scale(load, rows, i);
    }
}

/* ---- readings on a scale ---- */

static void set_between(survey_reading *reading, double low_dbm, double high_dbm) {
    reading->low_dbm = low_dbm;
    reading->high_dbm = high_dbm;
}

/* Between two points the level goes straight; at an end and beyond it may be anything further.
 */
static void read_points(const survey_step *steps, size_t n, double shown,
                        survey_reading *reading) {
    size_t above = 0;
    while (above < n && steps[above].reading <= shown)
        above++;
    if (above == 0 || shown == steps[0].reading) {
        set_between(reading, -INFINITY, steps[0].dbm);
    } else if (above == n) {
        set_between(reading, steps[n - 1].dbm, INFINITY);
    } else {
        const survey_step *low = &steps[above - 1], *high = &steps[above];
        double share = (shown - low->reading) / (high->reading - low->reading);
        double dbm = low->dbm + share * (high->dbm - low->dbm);
        set_between(reading, dbm, dbm);
    }
}

static void name_steps(const survey_step *steps, size_t n, char out[SURVEY_HINT_SIZE]) {
    size_t size = 0;
    for (size_t i = 0; i < n && size + TEXT_NUMBER_SIZE + 2 < SURVEY_HINT_SIZE; i++) {
        char number[TEXT_NUMBER_SIZE];
        text_write_number(number, steps[i].reading);
        size += strlen(strcpy(out + size, i ? ", " : ""));
        size += strlen(strcpy(out + size, number));
    }
}

static bool read_bars(const earshot_survey *survey, const survey_scale *scale, double shown,
                      survey_reading *reading) {
    const survey_step *steps = survey->steps + scale->first_step;
    size_t at = 0;
    while (at < scale->n_steps && steps[at].reading != shown)
        at++;
    if (at == scale->n_steps && !(shown < steps[0].reading && shown >= 0))
        return false;
    if (at < scale->n_steps) {
        set_between(reading, steps[at].dbm,
                    at + 1 < scale->n_steps ? steps[at + 1].dbm : INFINITY);
    } else { /* heard, and less than the first bar */
        set_between(reading, -INFINITY, steps[0].dbm);
        at = 0;
    }
    reading->edge = scale->first_step + at;
    reading->edge_sd_db = steps[at].edge_sd_db;
    return true;
}

bool survey_on_scale(const earshot_survey *survey, size_t row, double shown,
                     survey_reading *reading) {
    const survey_scale *scale = &survey->scales[row];
    if (scale->by_steps && scale->n_steps)
        return read_bars(survey, scale, shown, reading);
    if (shown >= scale->top)
        set_between(reading, scale->top_dbm, INFINITY);
    else if (scale->n_steps)
        read_points(survey->steps + scale->first_step, scale->n_steps, shown, reading);
    return true;
}

static void say_no_step(survey_load *load, const survey_row *row, const survey_scale *scale) {
    char known[SURVEY_HINT_SIZE];
    name_steps(load->survey->steps + scale->first_step, scale->n_steps, known);
    survey_say(load, FINDINGS_NO_SUCH_STEP, row, COLUMN_READINGS_READING,
               (const char *const[4]){survey_string(row, COLUMN_READINGS_READING), scale->name,
                                      known});
}

bool survey_read_scale(survey_load *load, const survey_row *row, double shown,
                       survey_reading *reading) {
    const survey_scale *scale =
        reading->scale == EARSHOT_NONE ? NULL : &load->survey->scales[reading->scale];
    static const double most_dbm = 0; /* right at a transmitter's antenna. Judgement */
    reading->edge = EARSHOT_NONE;
    set_between(reading, shown, shown);
    bool in_dbm = scale ? !scale->n_steps : survey_blank(row, COLUMN_READINGS_SCALE);
    if (in_dbm && shown > most_dbm) {
        survey_say(load, FINDINGS_LEVEL_TOO_HIGH, row, COLUMN_READINGS_READING,
                   (const char *const[4]){survey_string(row, COLUMN_READINGS_READING)});
        set_between(reading, NAN, NAN);
        return false;
    }
    if (!scale || survey_on_scale(load->survey, reading->scale, shown, reading))
        return true;
    say_no_step(load, row, scale);
    return false;
}

/* ---- the other way ---- */

double survey_shown(const earshot_survey *survey, size_t row, double level_dbm) {
    const survey_scale *scale = row == EARSHOT_NONE ? NULL : &survey->scales[row];
    if (!scale || !scale->n_steps)
        return level_dbm;
    const survey_step *steps = survey->steps + scale->first_step;
    size_t n = scale->n_steps, begun = 0;
    while (begun < n && steps[begun].dbm <= level_dbm)
        begun++;
    if (begun == 0)
        return scale->by_steps ? fmin(0, steps[0].reading) : steps[0].reading;
    if (scale->by_steps || begun == n)
        return steps[begun - 1].reading;
    const survey_step *low = &steps[begun - 1], *high = &steps[begun];
    return low->reading +
           (level_dbm - low->dbm) / (high->dbm - low->dbm) * (high->reading - low->reading);
}

size_t earshot_survey_scales(const earshot_survey *survey) {
    return survey->n_scales;
}

const char *earshot_survey_scale(const earshot_survey *survey, size_t row) {
    return row < survey->n_scales ? survey->scales[row].name : "";
}

size_t earshot_survey_find_scale(const earshot_survey *survey, const char *name) {
    return survey_find(name, survey->scales, survey->n_scales, sizeof *survey->scales);
}
