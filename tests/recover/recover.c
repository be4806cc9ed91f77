/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recover.c - is what is believed after readings right as often as it says?
 *
 *     recover BUILDINGS [TASK]
 *
 * The truth of each building is drawn from the tables' own belief (made.c), one zone stays
 * unread, and is foretold. Of intervals that are to hold half of the time, half must hold; the
 * bounds are those asked for 2,000 buildings, and four standard errors of a share where there
 * are fewer; what compares means, and ranks, are only told of 200 buildings or more. A
 * parameter's truth must lie anywhere in its posterior alike: chi-square over ten bins (Talts
 * and others, Validating Bayesian Inference Algorithms with Simulation-Based Calibration, 2018,
 * for the idea). Leaving out what was not heard must score worse.
 */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "made.h"

enum { N_BINS = 10, N_KINDS = 8, FULL = 2000, ENOUGH = 200 };
static const char *const kinds[N_KINDS] = {
    "exponent", "ways-round power", "construction", "mount",
    "radio",    "antennas",         "antenna",      "need"};

struct tally {
    size_t n, half, most;
    double crps, crps_prior, crps_heard_only, bias_heard_only;
    double bins[N_KINDS][N_BINS];
};

static unsigned n_checks, n_failed;

static void check(int good, const char *what, const char *task) {
    printf("%sok %u - %s: %s\n", good ? "" : "not ", ++n_checks, task, what);
    n_failed += !good;
}

/* Gneiting and Raftery 2007, eq. (21): the score of a normal. */
static double crps(double mean, double sd, double truth) {
    double z = (truth - mean) / sd;
    return sd * (z * (2 * gsl_cdf_ugaussian_P(z) - 1) + 2 * exp(-z * z / 2) / sqrt(2 * M_PI) -
                 1 / sqrt(M_PI));
}

static size_t kind_of(const earshot_survey *survey, size_t parameter) {
    if (parameter < ENGINE_FIRST_CONSTRUCTION)
        return parameter;
    return 2 + (parameter >= engine_mount(survey, 0)) + (parameter >= engine_radio(survey, 0)) +
           (parameter >= engine_antennas(survey, 0)) +
           (parameter >= engine_antenna(survey, 0)) + (parameter >= engine_need(survey, 0));
}

static void rank_parameters(const made *made, const earshot_belief *belief,
                            struct tally *tally) {
    for (size_t i = 0; i < belief->n; i++) {
        double variance = belief->covariance[i * belief->n + i];
        if (!(variance > 0))
            continue;
        double share =
            gsl_cdf_ugaussian_P((made->truth->mean[i] - belief->mean[i]) / sqrt(variance));
        size_t bin = (size_t)(share * N_BINS);
        size_t kind = kind_of(made->survey, i);
        /* of the many constructions and radios only those in the building have been read of */
        if ((kind == 2 && !made->survey->constructions[i - 2].in_use) ||
            (kind == 4 && i - engine_radio(made->survey, 0) != made->target.from.radio) ||
            (kind == 5 && i - engine_antennas(made->survey, 0) != made->target.to.radio))
            continue;
        tally->bins[kind][bin < N_BINS ? bin : N_BINS - 1]++;
    }
}

static earshot_prediction foretell(const made *made, bool heard_only, struct tally *tally) {
    static unsigned char use[4096];
    earshot_belief *belief = NULL;
    earshot_prediction prediction;
    for (size_t i = 0; i < made->survey->n_readings; i++)
        use[i] = !heard_only || !made->survey->readings[i].none;
    if (earshot_belief_fit(made->survey, use, NULL, NULL, &belief) != EARSHOT_OK)
        abort();
    earshot_links_predict(made->survey, belief, &made->target, 1, &prediction);
    if (tally)
        rank_parameters(made, belief, tally);
    earshot_belief_free(belief);
    return prediction;
}

static void add(const made *made, bool ranks, struct tally *tally) {
    earshot_belief *prior = NULL;
    earshot_prediction before;
    if (earshot_belief_prior(made->survey, &prior) != EARSHOT_OK)
        abort();
    earshot_links_predict(made->survey, prior, &made->target, 1, &before);
    earshot_belief_free(prior);
    earshot_prediction all = foretell(made, false, ranks ? tally : NULL);
    earshot_prediction heard = foretell(made, true, NULL);
    double truth_db = made->target_margin_db;
    double off = fabs(truth_db - all.margin_db) / all.margin_sd_db;
    tally->n++;
    tally->half += off < gsl_cdf_ugaussian_Pinv(0.75);
    tally->most += off < gsl_cdf_ugaussian_Pinv(0.95);
    tally->crps += crps(all.margin_db, all.margin_sd_db, truth_db);
    tally->crps_prior += crps(before.margin_db, before.margin_sd_db, truth_db);
    tally->crps_heard_only += crps(heard.margin_db, heard.margin_sd_db, truth_db);
    tally->bias_heard_only += heard.margin_db - truth_db;
}

static double slack(double asked, double share, size_t n) {
    return n >= FULL ? asked : fmax(asked, 4 * sqrt(share * (1 - share) / (double)n));
}

static void judge_ranks(const char *task, const struct tally *tally) {
    for (size_t kind = 0; kind < N_KINDS; kind++) {
        double n = 0, square = 0;
        char what[200];
        for (int i = 0; i < N_BINS; i++)
            n += tally->bins[kind][i];
        if (n == 0)
            continue;
        for (int i = 0; i < N_BINS; i++)
            square += pow(tally->bins[kind][i] - n / N_BINS, 2) / (n / N_BINS);
        double chance = gsl_cdf_chisq_Q(square, N_BINS - 1);
        int size =
            snprintf(what, sizeof what, "ranks of %s alike, p = %.3g:", kinds[kind], chance);
        for (int i = 0; i < N_BINS; i++)
            size += snprintf(what + size, sizeof what - (size_t)size, " %.0f",
                             tally->bins[kind][i]);
        check(chance > 0.001, what, task);
    }
}

static void run(const char *name, const made_task *task, size_t n_buildings) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    struct tally tally = {0};
    char what[200];
    bool right = task->wrong == MADE_RIGHT;
    gsl_rng_set(random, 1000 * task->n_readings + 10 * task->wrong + (task->slips > 0));
    for (size_t i = 0; i < n_buildings; i++) {
        made made;
        made_draw(task, random, &made);
        add(&made, right && task->slips == 0, &tally);
        made_free(&made);
    }
    gsl_rng_free(random);
    double n = (double)tally.n, half = (double)tally.half / n, most = (double)tally.most / n;
    double wide = slack(task->slips > 0 ? 0.05 : 0.025, 0.9, tally.n);
    snprintf(what, sizeof what,
             "50 %% hold %.1f, 90 %% hold %.1f; CRPS %.2f, without readings %.2f, without what "
             "was not heard %.2f (bias %.2f dB)",
             100 * half, 100 * most, tally.crps / n, tally.crps_prior / n,
             tally.crps_heard_only / n, tally.bias_heard_only / n);
    if (right)
        check(fabs(half - 0.5) <= slack(0.035, 0.5, tally.n) && fabs(most - 0.9) <= wide, what,
              name);
    else
        check(most >= 0.8 - slack(0, 0.8, tally.n), what, name);
    if (tally.n < ENOUGH)
        return;
    check(tally.crps <= tally.crps_prior, "never worse than without readings", name);
    if (right && task->n_readings >= 20)
        check(tally.crps < tally.crps_heard_only, "worse without what was not heard", name);
    if (right && task->slips == 0)
        judge_ranks(name, &tally);
}

int main(int argc, char **argv) {
    static const struct {
        const char *name;
        made_task task;
    } tasks[] = {
        {"5 readings", {.n_readings = 5, .wrong = MADE_RIGHT}},
        {"20 readings", {.n_readings = 20, .wrong = MADE_RIGHT}},
        {"100 readings", {.n_readings = 100, .wrong = MADE_RIGHT}},
        {"5 readings, 5 % slips", {.n_readings = 5, .slips = 0.05, .wrong = MADE_RIGHT}},
        {"20 readings, 5 % slips", {.n_readings = 20, .slips = 0.05, .wrong = MADE_RIGHT}},
        {"100 readings, 5 % slips", {.n_readings = 100, .slips = 0.05, .wrong = MADE_RIGHT}},
        {"20 readings, skewed fade", {.n_readings = 20, .wrong = MADE_SKEWED_FADE}},
        {"20 readings, field of 1 m", {.n_readings = 20, .wrong = MADE_SHORT_FIELD}},
        {"20 readings, field of 6 m", {.n_readings = 20, .wrong = MADE_LONG_FIELD}},
        {"20 readings, a metal wall nobody drew",
         {.n_readings = 20, .wrong = MADE_HIDDEN_METAL}},
    };
    size_t n_buildings = argc > 1 ? (size_t)atol(argv[1]) : 60;
    for (size_t i = 0; i < sizeof tasks / sizeof *tasks; i++)
        if (argc < 3 || strstr(tasks[i].name, argv[2]))
            run(tasks[i].name, &tasks[i].task, n_buildings);
    printf("1..%u\n", n_checks);
    return n_failed > 0;
}
