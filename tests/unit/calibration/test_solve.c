/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_solve.c - the solver against NIST's Statistical Reference Datasets.
 *
 * Certified values and data: NIST StRD, as carried in GSL's own tests; each row of the vector
 * files names its source. Starts of BoxBOD and Rat42: the two of each dataset's page, from
 * memory. Digits are counted as NIST does, log relative error. Sds are the certified standard
 * errors: those of the unknowns times the residual sd.
 */
#include "solve.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_ROWS = 64, MOST_UNKNOWNS = 8 };

struct dataset {
    const char *name;
    size_t n, n_unknowns;
    double y[MOST_ROWS], x[MOST_ROWS][6];
    double certified[MOST_UNKNOWNS], error[MOST_UNKNOWNS], squares;
};

static void read_dataset(const char *name, struct dataset *set) {
    static const char *const columns[] = {"x1", "x2", "x3", "x4", "x5", "x6"};
    vectors *data = vectors_read("nist_strd_data.csv");
    vectors *answers = vectors_read("nist_strd_certified.csv");
    *set = (struct dataset){.name = name};
    for (size_t i = 0; i < vectors_n_rows(data); i++) {
        if (strcmp(vectors_text(data, i, "dataset"), name) != 0)
            continue;
        set->y[set->n] = vectors_number(data, i, "y");
        for (int j = 0; j < 6 && vectors_text(data, i, columns[j])[0]; j++)
            set->x[set->n][j] = vectors_number(data, i, columns[j]);
        set->n++;
    }
    for (size_t i = 0; i < vectors_n_rows(answers); i++) {
        if (strcmp(vectors_text(answers, i, "dataset"), name) != 0)
            continue;
        set->certified[set->n_unknowns] = vectors_number(answers, i, "certified_value");
        set->error[set->n_unknowns++] = vectors_number(answers, i, "certified_std_error");
        set->squares = vectors_number(answers, i, "certified_residual_sum_of_squares");
    }
    cr_assert(set->n > 0 && set->n_unknowns > 0, "%s", name);
    vectors_free(data);
    vectors_free(answers);
}

/* The model of a dataset at one row: value, and its derivatives. */
static double model(const struct dataset *set, size_t row, const double *b, double *slope) {
    double x = set->x[row][0];
    if (strcmp(set->name, "BoxBOD") == 0) { /* b1 (1 - exp(-b2 x)) */
        slope[0] = 1 - exp(-b[1] * x);
        slope[1] = b[0] * x * exp(-b[1] * x);
        return b[0] * slope[0];
    }
    if (strcmp(set->name, "Rat42") == 0) { /* b1 / (1 + exp(b2 - b3 x)) */
        double e = exp(b[1] - b[2] * x), below = 1 + e;
        slope[0] = 1 / below;
        slope[1] = -b[0] * e / (below * below);
        slope[2] = b[0] * x * e / (below * below);
        return b[0] / below;
    }
    double value = 0;
    for (size_t j = 0; j < set->n_unknowns; j++) {
        slope[j] = j == 0 ? 1 : set->x[row][j - 1];
        if (strcmp(set->name, "Pontius") == 0)
            slope[j] = pow(x, (double)j);
        if (strcmp(set->name, "NoInt1") == 0)
            slope[j] = x;
        value += b[j] * slope[j];
    }
    return value;
}

static bool rows(void *who, const double *b, double *residuals, double *derivatives) {
    const struct dataset *set = who;
    for (size_t i = 0; i < set->n; i++) {
        double slope[MOST_UNKNOWNS];
        double value = model(set, i, b, slope);
        if (residuals)
            residuals[i] = value - set->y[i];
        for (size_t j = 0; derivatives && j < set->n_unknowns; j++)
            derivatives[i * set->n_unknowns + j] = slope[j];
    }
    return true;
}

static double digits(double got, double certified) {
    return got == certified ? 15 : -log10(fabs(got - certified) / fabs(certified));
}

Test(solve, nist_certified_values) {
    static const struct {
        const char *name;
        double start[MOST_UNKNOWNS], digits;
    } cases[] = {
        {"Norris", {0}, 9},          {"NoInt1", {0}, 9},
        {"Pontius", {0}, 9},         {"Longley", {0}, 7},
        {"BoxBOD", {1, 1}, 9},       {"BoxBOD", {100, 0.75}, 9},
        {"Rat42", {100, 1, 0.1}, 9}, {"Rat42", {75, 2.5, 0.07}, 9},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct dataset set;
        double b[MOST_UNKNOWNS], covariance[MOST_UNKNOWNS * MOST_UNKNOWNS], squares;
        read_dataset(cases[i].name, &set);
        const calibration_problem problem = {set.n, set.n_unknowns, rows, &set, 0};
        memcpy(b, cases[i].start, sizeof b);
        cr_expect_eq(calibration_solve(&problem, b, covariance, &squares), EARSHOT_OK, "%s",
                     set.name);
        cr_expect_geq(digits(squares, set.squares), cases[i].digits, "%s: sum of squares",
                      set.name);
        for (size_t j = 0; j < set.n_unknowns; j++) {
            double variance = covariance[j * set.n_unknowns + j];
            double error = sqrt(variance * squares / (double)(set.n - set.n_unknowns));
            cr_expect_geq(digits(b[j], set.certified[j]), cases[i].digits,
                          "%s, start %g, B%zu: %.15g", set.name, cases[i].start[0], j, b[j]);
            cr_expect_geq(digits(error, set.error[j]), cases[i].digits,
                          "%s, start %g, sd of B%zu: %.15g", set.name, cases[i].start[0], j,
                          error);
        }
    }
}

/* x + y seen once; with what is believed of each before, both are known: (1, 1) of 3 by hand.
 */
struct two {
    bool believed, stop;
    int calls;
};

static bool two_rows(void *who, const double *b, double *residuals, double *derivatives) {
    struct two *two = who;
    size_t n = two->believed ? 3 : 2;
    const double slopes[3][2] = {
        {1, 1}, {two->believed ? 1 : 2, two->believed ? 0 : 2}, {0, 1}};
    const double wanted[3] = {3, two->believed ? 0 : 6, 0};
    two->calls++;
    for (size_t i = 0; i < n; i++) {
        if (residuals)
            residuals[i] = slopes[i][0] * b[0] + slopes[i][1] * b[1] - wanted[i];
        for (size_t j = 0; derivatives && j < 2; j++)
            derivatives[2 * i + j] = slopes[i][j];
    }
    return !two->stop;
}

Test(solve, what_the_rows_do_not_fix) {
    double b[2] = {0.5, 0.25}, covariance[4] = {7, 7, 7, 7};
    struct two two = {.believed = false};
    calibration_problem problem = {2, 2, two_rows, &two, 0};
    cr_expect_eq(calibration_solve(&problem, b, covariance, NULL), EARSHOT_INVALID);
    cr_expect(b[0] == 0.5 && b[1] == 0.25 && covariance[0] == 7, "untouched");
    problem.n_rows = 1;
    cr_expect_eq(calibration_solve(&problem, b, covariance, NULL), EARSHOT_INVALID);
    two.believed = true;
    problem.n_rows = 3;
    cr_expect_eq(calibration_solve(&problem, b, covariance, NULL), EARSHOT_OK);
    cr_expect(fabs(b[0] - 1) < 1e-12 && fabs(b[1] - 1) < 1e-12);
    /* J'J = [2 1; 1 2], inverse [2 -1; -1 2] / 3 */
    cr_expect(fabs(covariance[0] - 2.0 / 3) < 1e-12 && fabs(covariance[1] + 1.0 / 3) < 1e-12);
}

Test(solve, stopped) {
    double b[2] = {0.5, 0.25};
    struct two two = {.believed = true, .stop = true};
    const calibration_problem problem = {3, 2, two_rows, &two, 0};
    cr_expect_eq(calibration_solve(&problem, b, NULL, NULL), EARSHOT_STOPPED);
    cr_expect(b[0] == 0.5 && two.calls > 0);
}
