/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mistaken.c - are slips in the readings found, and clean readings left in peace?
 *
 *     mistaken LOGS [KIND]
 *
 * Logs of 25 zones at one receiver, as made.c draws them, each with one mistake. It is found
 * when a suspect of the kind that names its devices is among the first three. What is set aside
 * before any fit, because no receiver sees such a level, is found too: it has its own finding.
 */
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "made.h"
#include "mistakes.h"

enum { N_ZONES = 25, FIRST = 3 };

static unsigned n_checks, n_failed;

static void check(int good, const char *what) {
    printf("%sok %u - %s\n", good ? "" : "not ", ++n_checks, what);
    n_failed += !good;
}

static bool names(const made *made, size_t row, const char *name) {
    const earshot_survey *survey = made->survey;
    return row != EARSHOT_NONE &&
           strcmp(survey->devices[survey->readings[row].device].name, name) == 0;
}

static bool is_it(const made *made, const made_task *task, const calibration_suspect *suspect) {
    bool first = names(made, suspect->reading, made->names[0]);
    switch (task->mistake) {
    case MADE_SWAPPED:
        return suspect->kind == CALIBRATION_SWAPPED &&
               ((first && names(made, suspect->other, made->names[1])) ||
                (names(made, suspect->reading, made->names[1]) &&
                 names(made, suspect->other, made->names[0])));
    case MADE_ELSEWHERE: /* the row, whatever is thought of it */
    case MADE_DIGIT:
        return first || names(made, suspect->other, made->names[0]);
    case MADE_STUCK:
        return suspect->kind == CALIBRATION_STUCK;
    default:
        return suspect->kind == CALIBRATION_SCALE;
    }
}

struct tally {
    size_t n, found, flagged;
};

static void search(const made *made, const made_task *task, struct tally *tally) {
    earshot_belief *belief = NULL;
    calibration_suspect *suspects = NULL;
    size_t n = 0;
    if (earshot_belief_fit(made->survey, NULL, NULL, NULL, &belief) != EARSHOT_OK ||
        calibration_suspect_all(made->survey, belief, &suspects, &n) != EARSHOT_OK)
        abort();
    bool found = made->survey->n_readings < N_ZONES; /* set aside, with a finding */
    for (size_t i = 0; i < n && i < FIRST; i++)
        found = found || is_it(made, task, &suspects[i]);
    tally->n++;
    tally->found += found;
    for (size_t i = 0; i < n; i++)
        tally->flagged += suspects[i].log_odds > 0;
    free(suspects);
    earshot_belief_free(belief);
}

static struct tally run(const made_task *task, size_t n_logs) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    struct tally tally = {0};
    gsl_rng_set(random, 77 + (unsigned long)task->mistake);
    while (tally.n < n_logs) {
        made made;
        made_draw(task, random, &made);
        if (made.mistaken || task->mistake == MADE_CLEAN)
            search(&made, task, &tally);
        made_free(&made);
    }
    gsl_rng_free(random);
    return tally;
}

/* Bounds are asked of 500 logs; of fewer, less four standard errors. */
static double least(double share, size_t n) {
    return n >= 500 ? share : share - 4 * sqrt(share * (1 - share) / (double)n);
}

int main(int argc, char **argv) {
    static const struct {
        const char *name;
        enum made_mistake mistake;
        double least; /* share found; 0: told only */
    } kinds[] = {{"clean", MADE_CLEAN, 0},
                 {"two zones swapped", MADE_SWAPPED, 0.8},
                 {"read elsewhere", MADE_ELSEWHERE, 0},
                 {"a stuck meter", MADE_STUCK, 0},
                 {"a sign lost", MADE_SIGN, 1},
                 {"dB for dBm", MADE_UNIT, 1},
                 {"digits swapped", MADE_DIGIT, 0},
                 {"another scale", MADE_SCALE, 0}};
    size_t n_logs = argc > 1 ? (size_t)atol(argv[1]) : 40;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        made_task task = {.n_readings = N_ZONES,
                          .one_receiver = true,
                          .no_pad = true,
                          .mistake = kinds[i].mistake};
        char what[200];
        if (argc > 2 && !strstr(kinds[i].name, argv[2]))
            continue;
        const struct tally tally = run(&task, n_logs);
        double found = (double)tally.found / (double)tally.n;
        double flagged = (double)tally.flagged / (double)tally.n;
        snprintf(what, sizeof what, "%s: found in %.1f %% of %zu, %.2f flagged a log",
                 kinds[i].name, 100 * found, tally.n, flagged);
        if (kinds[i].mistake == MADE_CLEAN)
            check(flagged <= 0.1 + (n_logs >= 500 ? 0 : 4 * sqrt(0.1 / (double)n_logs)), what);
        else
            check(found >= least(kinds[i].least, n_logs), what);
    }
    printf("1..%u\n", n_checks);
    return n_failed > 0;
}
