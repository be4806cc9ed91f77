/* SPDX-License-Identifier: GPL-3.0-or-later */
/* years.c - the line through a link's levels over the years.
 *
 * Another meter, or another hand, on the last of three visits would tilt every link's line at
 * once. So each level is a link's and a visit's: the visit's is the middle of what its links
 * are off their own means, found in turns, as a median polish has it (Tukey 1977), with middles
 * of halves. What a visit of which too few links tell is off by stays in doubt.
 */
#include "years.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "scatter.h"

enum { LEAST_LINKS = 4 };         /* three others beside a link's own */
static const double meter_db = 3; /* sd of a visit's common level: a meter's of scales.csv */

static double square(double x) {
    return x * x;
}

/* ---- dates ---- */

static int digits(const char *text, int n) {
    int value = 0;
    for (int i = 0; i < n; i++) {
        if (text[i] < '0' || text[i] > '9')
            return -1;
        value = 10 * value + (text[i] - '0');
    }
    return value;
}

/* Days of the Gregorian calendar, by Hinnant's chrono-compatible algorithm (from memory). */
double calibration_days(const char *time) {
    if (strlen(time) < 10 || time[4] != '-' || time[7] != '-')
        return NAN;
    int year = digits(time, 4), month = digits(time + 5, 2), day = digits(time + 8, 2);
    if (year < 1970 || month < 1 || month > 12 || day < 1 || day > 31)
        return NAN;
    year -= month <= 2;
    int era = year / 400, of_era = year - era * 400;
    int of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    int days = of_era * 365 + of_era / 4 - of_era / 100 + of_year;
    return era * 146097.0 + days - 719468;
}

static double visit_days(const earshot_survey *survey, size_t visit) {
    double days = NAN;
    for (size_t i = 0; i < survey->n_readings; i++)
        if (survey->readings[i].visit == visit)
            days = fmax(days, calibration_days(survey->readings[i].time));
    return days;
}

/* ---- what all showed alike ---- */

struct link {
    size_t device, listener;
    double mean_dbm; /* with the visits' levels taken off */
    size_t n;        /* visits with a level */
};

struct looking {
    const earshot_survey *survey;
    struct link *links;
    size_t n_links;
    double *level_dbm, *sd_db; /* [link][visit]; not a number: none */
    double *values;            /* scratch, of each link */
    double *visit_db;          /* of each visit */
    size_t *n_on;              /* of each visit, links that tell its level */
    double *away;              /* of each level, what it is off, in sds */
    size_t n_away, n_fitted;
};

/* One level is off by what a change is, over root two. */
static double level_sd_db(const calibration_shown *shown) {
    return calibration_scatter_between(shown, shown) / sqrt(2);
}

static void list_link(struct looking *looking, const unsigned char *unusable, size_t device,
                      size_t listener) {
    size_t n_visits = looking->survey->n_visits, at = looking->n_links * n_visits;
    struct link link = {.device = device, .listener = listener};
    for (size_t visit = 0; visit < n_visits; visit++) {
        bool left_out = unusable && unusable[listener * n_visits + visit];
        const calibration_shown shown =
            calibration_shown_on(looking->survey, device, listener, visit);
        looking->level_dbm[at + visit] = left_out ? NAN : shown.level_dbm;
        looking->sd_db[at + visit] = level_sd_db(&shown);
        link.n += !isnan(looking->level_dbm[at + visit]);
    }
    if (link.n > 1)
        looking->links[looking->n_links++] = link;
}

static bool at(const struct link *link, size_t listener) {
    return listener == EARSHOT_NONE || link->listener == listener;
}

static void find_means(struct looking *looking, size_t listener) {
    size_t n_visits = looking->survey->n_visits;
    for (size_t i = 0; i < looking->n_links; i++) {
        struct link *link = &looking->links[i];
        double sum_dbm = 0;
        for (size_t visit = 0; visit < n_visits && at(link, listener); visit++) {
            double level_dbm = looking->level_dbm[i * n_visits + visit];
            if (!isnan(level_dbm))
                sum_dbm += level_dbm - looking->visit_db[visit];
        }
        if (at(link, listener))
            link->mean_dbm = sum_dbm / (double)link->n;
    }
}

/* How far a visit's links are off their means; 0 where too few tell. */
static double visit_level(struct looking *looking, size_t listener, size_t visit) {
    size_t n = 0;
    for (size_t i = 0; i < looking->n_links; i++) {
        double level_dbm = looking->level_dbm[i * looking->survey->n_visits + visit];
        if (at(&looking->links[i], listener) && !isnan(level_dbm))
            looking->values[n++] = level_dbm - looking->links[i].mean_dbm;
    }
    looking->n_on[visit] = n < LEAST_LINKS ? 0 : n;
    return n < LEAST_LINKS ? 0 : calibration_middle(looking->values, n);
}

/* Their mean is nothing, for a link's own has it. Says how far the farthest moved. */
static double find_visits(struct looking *looking, size_t listener) {
    size_t n_visits = looking->survey->n_visits, n_told = 0;
    double sum_db = 0, moved_db = 0;
    for (size_t visit = 0; visit < n_visits; visit++) {
        double level_db = visit_level(looking, listener, visit);
        moved_db = fmax(moved_db, fabs(level_db - looking->visit_db[visit]));
        looking->visit_db[visit] = level_db;
        sum_db += level_db;
        n_told += looking->n_on[visit] > 0;
    }
    for (size_t visit = 0; visit < n_visits; visit++)
        if (looking->n_on[visit])
            looking->visit_db[visit] -= sum_db / (double)n_told;
    return moved_db;
}

/* Of a listener's links, or of all (NONE). */
static void take_turns(struct looking *looking, size_t listener) {
    static const double nothing_db = 1e-3;
    enum { MOST_TURNS = 50 };
    memset(looking->visit_db, 0, looking->survey->n_visits * sizeof *looking->visit_db);
    for (int turn = 0; turn < MOST_TURNS; turn++) {
        find_means(looking, listener);
        if (find_visits(looking, listener) < nothing_db)
            break;
    }
    find_means(looking, listener);
}

/* ---- all ---- */

static double mean_sd_db(const struct looking *looking, size_t listener, size_t visit) {
    double sum = 0, n = 0;
    for (size_t i = 0; i < looking->n_links; i++) {
        size_t cell = i * looking->survey->n_visits + visit;
        if (!at(&looking->links[i], listener) || isnan(looking->level_dbm[cell]))
            continue;
        sum += square(looking->sd_db[cell]);
        n++;
    }
    return n > 0 ? sqrt(sum / n) : 0;
}

static void put_levels(const struct looking *looking, size_t told_by,
                       calibration_alike_level *levels) {
    for (size_t visit = 0; visit < looking->survey->n_visits; visit++) {
        double n = (double)looking->n_on[visit];
        levels[visit] = (calibration_alike_level){
            .n = looking->n_on[visit],
            .level_db = looking->visit_db[visit],
            .sd_db =
                n > 0 ? calibration_middle_error * mean_sd_db(looking, told_by, visit) / sqrt(n)
                      : meter_db};
    }
}

static bool tells_as_much(const struct looking *looking,
                          const calibration_alike_level *levels) {
    for (size_t visit = 0; visit < looking->survey->n_visits; visit++)
        if (levels[visit].n && !looking->n_on[visit])
            return false;
    return true;
}

/* What is left of the levels at a listener. */
static void put_away(struct looking *looking, size_t listener,
                     const calibration_alike_level *levels) {
    size_t n_visits = looking->survey->n_visits;
    for (size_t visit = 0; visit < n_visits; visit++)
        looking->visit_db[visit] = levels[visit].level_db;
    find_means(looking, listener);
    for (size_t i = 0; i < looking->n_links; i++)
        for (size_t visit = 0; visit < n_visits; visit++) {
            size_t cell = i * n_visits + visit;
            double off_db =
                looking->level_dbm[cell] - levels[visit].level_db - looking->links[i].mean_dbm;
            if (looking->links[i].listener == listener && !isnan(off_db))
                looking->away[looking->n_away++] = fabs(off_db) / looking->sd_db[cell];
        }
    size_t n_told = 0;
    for (size_t visit = 0; visit < n_visits; visit++)
        n_told += levels[visit].n > 0;
    looking->n_fitted += n_told ? n_told - 1 : 0;
}

/* A listener's own links tell, where they do for all visits for which all do. */
static void look(struct looking *looking, calibration_years *out) {
    size_t n_visits = looking->survey->n_visits;
    take_turns(looking, EARSHOT_NONE);
    for (size_t i = 0; i < looking->survey->n_devices; i++)
        put_levels(looking, EARSHOT_NONE, &out->levels[i * n_visits]);
    for (size_t i = 0; i < looking->survey->n_devices; i++) {
        calibration_alike_level *levels = &out->levels[i * n_visits];
        if (looking->survey->devices[i].role == SURVEY_SENSOR)
            continue;
        take_turns(looking, i);
        if (tells_as_much(looking, levels))
            put_levels(looking, i, levels);
        put_away(looking, i, levels);
    }
    out->ratio = calibration_scatter_seen(looking->away, looking->n_away,
                                          looking->n_links + looking->n_fitted)
                     .ratio;
    for (size_t i = 0; i < looking->survey->n_devices * n_visits; i++)
        if (out->levels[i].n)
            out->levels[i].sd_db *= out->ratio;
}

static bool make_room(struct looking *looking, calibration_years *out) {
    size_t n_visits = looking->survey->n_visits, most = looking->survey->n_readings / 2 + 1;
    out->levels = calloc(looking->survey->n_devices * n_visits + 1, sizeof *out->levels);
    looking->links = calloc(most, sizeof *looking->links);
    looking->level_dbm = calloc(most * n_visits + 1, sizeof *looking->level_dbm);
    looking->sd_db = calloc(most * n_visits + 1, sizeof *looking->sd_db);
    looking->away = calloc(most * n_visits + 1, sizeof *looking->away);
    looking->values = calloc(most, sizeof *looking->values);
    looking->visit_db = calloc(n_visits + 1, sizeof *looking->visit_db);
    looking->n_on = calloc(n_visits + 1, sizeof *looking->n_on);
    return out->levels && looking->links && looking->level_dbm && looking->sd_db &&
           looking->away && looking->values && looking->visit_db && looking->n_on;
}

enum earshot_status calibration_look_at_years(const earshot_survey *survey,
                                              const unsigned char *unusable,
                                              calibration_years *out) {
    struct looking looking = {.survey = survey};
    *out = (calibration_years){.ratio = 1};
    bool room = make_room(&looking, out);
    for (size_t device = 0; room && device < survey->n_devices; device++)
        for (size_t listener = 0; listener < survey->n_devices; listener++)
            if (survey_hears(survey, listener, device))
                list_link(&looking, unusable, device, listener);
    if (room)
        look(&looking, out);
    free(looking.links);
    free(looking.level_dbm);
    free(looking.sd_db);
    free(looking.away);
    free(looking.values);
    free(looking.visit_db);
    free(looking.n_on);
    return room ? EARSHOT_OK : EARSHOT_NO_MEMORY;
}

void calibration_years_free(calibration_years *years) {
    free(years->levels);
    *years = (calibration_years){0};
}

/* ---- one link's line ---- */

/* Sums of a line by weighted least squares. */
struct line {
    double weight, t, y, tt, ty;
};

static void add_point(struct line *line, double weight, double t, double y) {
    line->weight += weight;
    line->t += weight * t;
    line->y += weight * y;
    line->tt += weight * t * t;
    line->ty += weight * t * y;
}

static bool all_in_place(const earshot_survey *survey, size_t device, size_t listener) {
    bool in_place = true;
    for (size_t i = 0; i < survey->n_visits; i++)
        in_place = in_place && calibration_shown_on(survey, device, listener, i).in_place;
    return in_place;
}

calibration_trend calibration_trend_of(const earshot_survey *survey, size_t device,
                                       size_t listener, const unsigned char *unusable,
                                       const calibration_years *years) {
    static const double prior_db_a_year = 2; /* judgement, no source */
    const calibration_alike_level none = {0};
    calibration_trend trend = {.last_days = -INFINITY, .last_dbm = NAN};
    struct line line = {0};
    double first_days = NAN, ratio = years ? years->ratio : 1;
    bool in_place = all_in_place(survey, device, listener);
    for (size_t visit = 0; visit < survey->n_visits; visit++) {
        calibration_shown shown = calibration_shown_on(survey, device, listener, visit);
        double days = visit_days(survey, visit);
        const calibration_alike_level *alike =
            years ? &years->levels[listener * survey->n_visits + visit] : &none;
        if (isnan(shown.level_dbm) || isnan(days))
            continue;
        if (unusable && unusable[visit]) {
            trend.n_left_out++;
            continue;
        }
        shown.in_place = in_place;
        trend.n_visits++;
        first_days = isnan(first_days) ? days : first_days;
        if (days >= trend.last_days) {
            trend.last_days = days;
            trend.last_dbm = shown.level_dbm;
        }
        double variance = square(ratio * level_sd_db(&shown)) + square(alike->sd_db);
        add_point(&line, 1 / variance, (days - first_days) / 365.25,
                  shown.level_dbm - alike->level_db);
    }
    double told = line.weight > 0 ? line.tt - square(line.t) / line.weight : 0;
    if (!(told > 1e-7))
        return (calibration_trend){
            .n_left_out = trend.n_left_out, .last_dbm = NAN, .sd_db_a_year = prior_db_a_year};
    double prior = 1 / square(prior_db_a_year);
    trend.slope_db_a_year = (line.ty - line.t * line.y / line.weight) / (told + prior);
    trend.sd_db_a_year = 1 / sqrt(told + prior);
    return trend;
}
