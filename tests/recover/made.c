/* SPDX-License-Identifier: GPL-3.0-or-later */
/* made.c - draws a house of two storeys, its truth and its readings.
 *
 * Parameters, walls, field, fades and meter are drawn from what the tables believe of them; all
 * readings are made with a pad so large that about a third is not heard.
 */
#include "made.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_LINKS = 160, TEXT = 40000 };

struct drawing {
    const made_task *task;
    gsl_rng *random;
    double sender[MOST_LINKS][3]; /* x, y, level; the first is the target */
    double listener[2][3];
    int heard_at[MOST_LINKS];
    bool in_place[MOST_LINKS];
    double link_db[MOST_LINKS]; /* field and fade */
    size_t n;
};

static void *must(void *memory) {
    if (!memory)
        abort();
    return memory;
}

static double between(gsl_rng *random, double low, double high) {
    return low + (high - low) * gsl_rng_uniform(random);
}

static const char *one_of(gsl_rng *random, const char *const *words, unsigned n) {
    return words[gsl_rng_uniform_int(random, n)];
}

/* ---- tables ---- */

static void write_walls(struct drawing *drawing, char *out) {
    static const char *const built[] = {"stud-wall", "brick", "block", "concrete-100"};
    int size = sprintf(out, "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"), n = 0;
    for (int level = 1; level <= 2; level++) {
        for (int x = 4; x < 16; x += 4)
            for (int y = 0; y < 10; y += 5)
                size += sprintf(out + size, "w%d,%d,%d,%d,%d,%d,%s\n", n++, level, x, y, x,
                                y + 5, one_of(drawing->random, built, 4));
        for (int x = 0; x < 16; x += 4)
            size += sprintf(out + size, "w%d,%d,%d,5,%d,5,%s\n", n++, level, x, x + 4,
                            one_of(drawing->random, built, 4));
    }
}

static size_t n_receivers(const struct drawing *drawing) {
    return drawing->task->one_receiver ? 1 : 2;
}

/* The first zone stays unread where it is to be foretold. */
static size_t first_read(const struct drawing *drawing) {
    return drawing->task->placed == MADE_MIXED ? 1 : 0;
}

static void draw_places(struct drawing *drawing) {
    gsl_rng *random = drawing->random;
    for (size_t i = 0; i < drawing->n; i++) {
        drawing->sender[i][0] = between(random, 0.3, 15.7);
        drawing->sender[i][1] = between(random, 0.3, 9.7);
        drawing->sender[i][2] = 1 + (double)gsl_rng_uniform_int(random, 2);
        drawing->heard_at[i] =
            drawing->task->one_receiver ? 0 : (int)gsl_rng_uniform_int(random, 2);
        bool in_place = gsl_rng_uniform(random) < 0.5;
        drawing->in_place[i] = drawing->task->placed == MADE_MIXED
                                   ? in_place
                                   : drawing->task->placed == MADE_IN_PLACE;
    }
    for (int i = 0; i < 2; i++) {
        drawing->listener[i][0] = between(random, 0.3, 15.7);
        drawing->listener[i][1] = between(random, 0.3, 9.7);
        drawing->listener[i][2] = 1 + i;
    }
}

static void write_devices(const struct drawing *drawing, char *out) {
    int size = sprintf(out, "device,role,level,x_m,y_m,height_m,radio,type\n");
    for (int i = 0; i < (int)n_receivers(drawing); i++)
        size +=
            sprintf(out + size, "r%d,receiver,%g,%.3f,%.3f,1.5,made,\n", i,
                    drawing->listener[i][2], drawing->listener[i][0], drawing->listener[i][1]);
    for (size_t i = 0; i < drawing->n; i++)
        size += sprintf(out + size, "s%zu,sensor,%g,%.3f,%.3f,1.5,made,%s\n", i,
                        drawing->sender[i][2], drawing->sender[i][0], drawing->sender[i][1],
                        drawing->task->life_safety && i % 4 == 0 ? "smoke" : "");
}

#define RADIO                                                                                  \
    "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,antenna_dbi,source\nmade,868.3,9,3,"

static earshot_survey *load(const char *radio, const char *devices, const char *walls,
                            const char *floor, const char *readings) {
    const char *const tables[][2] = {
        {"site.csv", "key,value\nname,made up\nenvironment,dwelling\n"},
        {"levels.csv", floor},
        {"radios.csv", radio},
        {"devices.csv", devices},
        {"walls.csv", walls},
        {"readings.csv", readings}};
    earshot_bytes bytes[6];
    earshot_survey *survey = NULL;
    earshot_findings *findings = must(earshot_findings_new());
    for (int i = 0; i < 6; i++)
        bytes[i] = (earshot_bytes){tables[i][0], tables[i][1], strlen(tables[i][1])};
    if (earshot_survey_load(bytes, 6, findings, &survey) != EARSHOT_OK) {
        fprintf(stderr, "%s\n", earshot_findings_at(findings, 0).sentence);
        abort();
    }
    earshot_findings_free(findings);
    return survey;
}

/* ---- truth ---- */

static earshot_belief *draw_truth(const earshot_survey *survey, gsl_rng *random) {
    earshot_belief *truth = NULL;
    if (earshot_belief_prior(survey, &truth) != EARSHOT_OK)
        abort();
    for (size_t i = 0; i < truth->n; i++)
        truth->mean[i] += gsl_ran_gaussian(random, sqrt(truth->covariance[i * truth->n + i]));
    engine_reads *reads = truth->reads = must(calloc(1, sizeof *reads));
    reads->n_own = engine_n_things(survey);
    reads->own_of = must(calloc(reads->n_own, sizeof *reads->own_of));
    reads->own_mean = must(calloc(reads->n_own, sizeof *reads->own_mean));
    for (size_t i = 0; i < reads->n_own; i++) {
        reads->own_of[i] = i;
        reads->own_mean[i] = gsl_ran_gaussian(random, sqrt(engine_own_share));
    }
    return truth;
}

static double factor(gsl_rng *random, double low, double middle, double high) {
    double u = gsl_rng_uniform(random);
    return u < 0.25 ? low : u < 0.75 ? middle : high;
}

static double apart_m(const double *a, const double *b) {
    return sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) +
                9 * (a[2] - b[2]) * (a[2] - b[2])); /* storeys are 3 m */
}

/* The field over all links at once. */
static void draw_field(struct drawing *drawing, double sd_db, double length_m) {
    size_t n = drawing->n;
    gsl_matrix *lower = gsl_matrix_alloc(n, n);
    double white[MOST_LINKS];
    for (size_t i = 0; i < n; i++) {
        white[i] = gsl_ran_gaussian(drawing->random, 1);
        for (size_t j = 0; j < n; j++) {
            double away_m = apart_m(drawing->sender[i], drawing->sender[j]) +
                            apart_m(drawing->listener[drawing->heard_at[i]],
                                    drawing->listener[drawing->heard_at[j]]);
            gsl_matrix_set(lower, i, j,
                           sd_db * sd_db * exp(-away_m / length_m) + (i == j) * 1e-9);
        }
    }
    gsl_linalg_cholesky_decomp1(lower);
    for (size_t i = 0; i < n; i++) {
        drawing->link_db[i] = 0;
        for (size_t j = 0; j <= i; j++)
            drawing->link_db[i] += gsl_matrix_get(lower, i, j) * white[j];
    }
    gsl_matrix_free(lower);
}

/* Rice in dB about its mean, K 6 dB: sd 3.3. */
static double skewed_fade(gsl_rng *random) {
    static const double mean_db = -1.0; /* of K 6 dB, under its mean power */
    double k = pow(10, 0.6), part = sqrt(k / (k + 1)), sd = sqrt(0.5 / (k + 1));
    double x = part + gsl_ran_gaussian(random, sd), y = gsl_ran_gaussian(random, sd);
    return 10 * log10(x * x + y * y) - mean_db;
}

static void draw_links(struct drawing *drawing, const earshot_belief *truth) {
    gsl_rng *random = drawing->random;
    double length_m = 2 * factor(random, 0.5, 1, 2), sd_db = truth->shadow_sd_db;
    double static_sd_db = truth->static_sd_db * factor(random, 0.676, 0.946, 1.324);
    sd_db *= factor(random, 0.4, 0.8, 1.6);
    if (drawing->task->wrong == MADE_SHORT_FIELD)
        length_m = 1;
    if (drawing->task->wrong == MADE_LONG_FIELD)
        length_m = 6;
    draw_field(drawing, sd_db, length_m);
    for (size_t i = 0; i < drawing->n; i++)
        drawing->link_db[i] += drawing->task->wrong == MADE_SKEWED_FADE
                                   ? skewed_fade(random)
                                   : gsl_ran_gaussian(random, static_sd_db);
}

/* A metal wall across half the house, at x = 10. */
static double hidden_db(const struct drawing *drawing, size_t i) {
    const double *from = drawing->sender[i], *to = drawing->listener[drawing->heard_at[i]];
    if (drawing->task->wrong != MADE_HIDDEN_METAL || (from[0] - 10) * (to[0] - 10) > 0)
        return 0;
    double y = from[1] + (to[1] - from[1]) * (10 - from[0]) / (to[0] - from[0]);
    return y < 5 ? 15 : 0;
}

/* ---- readings ---- */

struct seen {
    double power_dbm, margin_db;
};

static struct seen truly(const struct drawing *drawing, const earshot_survey *survey,
                         const earshot_belief *truth, size_t i) {
    engine_result result;
    earshot_link link = survey_link(survey, n_receivers(drawing) + i,
                                    (size_t)drawing->heard_at[i]); /* after the receivers */
    engine_solve(survey, truth, &link, NULL, &result);
    double power_dbm = result.rx_power_dbm + drawing->link_db[i] - hidden_db(drawing, i);
    return (struct seen){power_dbm, power_dbm - result.needed_dbm};
}

static int upward(const void *a, const void *b) {
    double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

/* The pad that silences a third by what the tables foretell, in tenths: chosen by the truth it
 * would tell of it. */
static double pad_of(const struct drawing *drawing, const earshot_survey *survey) {
    double margins[MOST_LINKS];
    size_t n = drawing->n;
    earshot_belief *prior = NULL;
    earshot_prediction prediction;
    if (earshot_belief_prior(survey, &prior) != EARSHOT_OK)
        abort();
    for (size_t i = 1; i < n; i++) {
        earshot_link link =
            survey_link(survey, n_receivers(drawing) + i, (size_t)drawing->heard_at[i]);
        earshot_links_predict(survey, prior, &link, 1, &prediction);
        margins[i - 1] = prediction.margin_db;
    }
    earshot_belief_free(prior);
    qsort(margins, n - 1, sizeof *margins, upward);
    return fmin(fmax(round(10 * margins[(n - 1) / 3]) / 10, 0), 60);
}

/* What is shown for each zone; not a number: not heard. */
static void draw_shown(const struct drawing *drawing, const struct seen *seen, double pad_db,
                       double *shown_dbm) {
    static const double session_db = 2, meter_noise_db = 2, meter_sd_db = 3;
    gsl_rng *random = drawing->random;
    double offset_db = gsl_ran_gaussian(random, meter_sd_db);
    for (size_t i = first_read(drawing); i < drawing->n; i++) {
        double day_db = gsl_ran_gaussian(random, session_db);
        double noise_db = meter_noise_db * gsl_ran_tdist(random, 4);
        bool dead = gsl_rng_uniform(random) < 0.03;
        if (gsl_rng_uniform(random) < drawing->task->slips)
            noise_db = between(random, -30, 30);
        bool silent = dead || seen[i].margin_db - pad_db + day_db < 0;
        shown_dbm[i] =
            silent ? NAN : seen[i].power_dbm - pad_db + day_db + offset_db + noise_db;
    }
}

static void write_readings(const struct drawing *drawing, double pad_db,
                           const double *shown_dbm, char *out) {
    int decimals = drawing->task->no_pad ? 0 : 2; /* as a meter shows it */
    int size = sprintf(out, "heard_at,device,reading,placed,pad_db\n");
    for (size_t i = first_read(drawing); i < drawing->n; i++) {
        size += sprintf(out + size, "r%d,s%zu,", drawing->heard_at[i], i);
        size += isnan(shown_dbm[i]) ? sprintf(out + size, "none")
                                    : sprintf(out + size, "%.*f", decimals, shown_dbm[i]);
        size += sprintf(out + size, ",%s,%.1f\n", drawing->in_place[i] ? "in place" : "held",
                        pad_db);
    }
}

/* ---- slips of whoever writes it down ---- */

static double digits_swapped(double level_dbm) {
    if (isnan(level_dbm))
        return level_dbm;
    int size = (int)fabs(round(level_dbm));
    return size >= 10 && size < 100 ? -(10 * (size % 10) + size / 10) : level_dbm;
}

/* Zones, in random order, of which the second, if one is needed, is 15 dB or more away. */
static bool choose(const struct drawing *drawing, const double *shown_dbm, size_t *a,
                   size_t *b) {
    static const double apart_db = 15;
    for (int tries = 0; tries < 1000; tries++) {
        *a = 1 + gsl_rng_uniform_int(drawing->random, drawing->n - 1);
        *b = 1 + gsl_rng_uniform_int(drawing->random, drawing->n - 1);
        double other_dbm = drawing->task->mistake == MADE_DIGIT ? digits_swapped(shown_dbm[*a])
                                                                : shown_dbm[*b];
        bool apart = fabs(shown_dbm[*a] - other_dbm) >= apart_db; /* false of what is silent */
        if (drawing->task->mistake == MADE_SIGN ? !isnan(shown_dbm[*a]) : apart)
            return true;
    }
    return false;
}

static void err(const struct drawing *drawing, double *shown_dbm, made *out) {
    enum made_mistake mistake = drawing->task->mistake;
    size_t a = 0, b = 0;
    out->mistaken = mistake != MADE_CLEAN;
    if (mistake == MADE_UNIT || mistake == MADE_SCALE)
        for (size_t i = 1; i < drawing->n; i++)
            shown_dbm[i] += mistake == MADE_UNIT ? 110 : 25;
    if (mistake == MADE_STUCK) {
        size_t first = 1 + gsl_rng_uniform_int(drawing->random, drawing->n - 5);
        out->mistaken = !isnan(shown_dbm[first]);
        for (size_t i = first + 1; i < first + 5; i++)
            shown_dbm[i] = shown_dbm[first];
    }
    if (mistake != MADE_SWAPPED && mistake != MADE_ELSEWHERE && mistake != MADE_SIGN &&
        mistake != MADE_DIGIT)
        return;
    out->mistaken = choose(drawing, shown_dbm, &a, &b);
    double first = shown_dbm[a], second = shown_dbm[b];
    sprintf(out->names[0], "s%zu", a);
    sprintf(out->names[1], "s%zu", b);
    if (mistake == MADE_SWAPPED)
        shown_dbm[b] = first;
    if (mistake == MADE_SWAPPED || mistake == MADE_ELSEWHERE)
        shown_dbm[a] = second + (mistake == MADE_ELSEWHERE
                                     ? gsl_ran_gaussian(drawing->random, 3) /* another moment */
                                     : 0);
    if (mistake == MADE_SIGN)
        shown_dbm[a] = -first;
    if (mistake == MADE_DIGIT)
        shown_dbm[a] = digits_swapped(first);
}

void made_draw(const made_task *task, gsl_rng *random, made *out) {
    static const char *const floors[] = {"timber-floor", "reinforced-floor"};
    static char walls[TEXT], devices[TEXT], readings[TEXT], levels[200];
    struct drawing drawing = {.task = task, .random = random, .n = task->n_readings + 1};
    struct seen seen[MOST_LINKS] = {0};
    draw_places(&drawing);
    write_walls(&drawing, walls);
    write_devices(&drawing, devices);
    sprintf(levels, "level,floor_z_m,height_m,floor_construction\n1,0,3,\n2,3,3,%s\n",
            one_of(random, floors, 2));
    const char *radio = task->weak ? RADIO "-80,0,made up\n" : RADIO "-105,0,made up\n";
    earshot_survey *bare = load(radio, devices, walls, levels, "heard_at,device,reading\n");
    earshot_belief *truth = draw_truth(bare, random);
    draw_links(&drawing, truth);
    for (size_t i = 0; i < drawing.n; i++)
        seen[i] = truly(&drawing, bare, truth, i);
    double shown_dbm[MOST_LINKS], pad_db = task->no_pad ? 0 : pad_of(&drawing, bare);
    *out = (made){.truth = truth, .target_margin_db = seen[0].margin_db};
    out->first = n_receivers(&drawing) + first_read(&drawing);
    for (size_t i = first_read(&drawing), n = 0; i < drawing.n; i++)
        out->margin_db[n++] = seen[i].margin_db;
    draw_shown(&drawing, seen, pad_db, shown_dbm);
    err(&drawing, shown_dbm, out);
    write_readings(&drawing, pad_db, shown_dbm, readings);
    earshot_survey_free(bare);
    out->survey = load(radio, devices, walls, levels, readings);
    out->target = survey_link(out->survey, n_receivers(&drawing), (size_t)drawing.heard_at[0]);
}

void made_free(made *made) {
    earshot_belief_free(made->truth);
    earshot_survey_free(made->survey);
}
