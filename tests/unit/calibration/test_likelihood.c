/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_likelihood.c - what one observation teaches, against GSL's quadrature and distributions.
 *
 * The code works from the derivatives of the chance Z. Here the belief's normal is multiplied
 * with the chance of what was seen, and mean and variance of the product are integrated, with
 * GSL's own Student's t, normal and binomial. The chance that a trip is heard is taken from
 * calibration_heard_chance, which test_heard.c holds to GSL.
 */
#include "calibration.h"
#include "observations.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <math.h>

/* As the code's comment has it. */
static const double dead_chance = 0.03;

/* ---- integrals ---- */

/* Chance of what was seen at `x`, the level or margin itself. */
struct seeing {
    double (*chance)(double x, const calibration_observation *of);
    const calibration_observation *of;
    double mean, sd;     /* believed before */
    double about, power; /* of the moment */
};

static double product(double x, void *who) {
    const struct seeing *seeing = who;
    return gsl_ran_gaussian_pdf(x - seeing->mean, seeing->sd) * seeing->chance(x, seeing->of) *
           pow(x - seeing->about, seeing->power);
}

/* By Gauss's rule of 20 points on each third of the sd, so that no peak hides between two. */
static double moment(struct seeing seeing, double about, double power) {
    gsl_integration_glfixed_table *rule = gsl_integration_glfixed_table_alloc(20);
    gsl_function function = {.function = product, .params = &seeing};
    double sum = 0, piece = seeing.sd / 3;
    seeing.about = about;
    seeing.power = power;
    for (int i = -36; i < 36; i++)
        sum += gsl_integration_glfixed(&function, seeing.mean + i * piece,
                                       seeing.mean + (i + 1) * piece, rule);
    gsl_integration_glfixed_table_free(rule);
    return sum;
}

struct truth {
    double mean, variance, kurtosis, log_chance;
};

static struct truth integrate(struct seeing seeing) {
    struct truth truth;
    double total = moment(seeing, seeing.mean, 0);
    truth.mean = seeing.mean + moment(seeing, seeing.mean, 1) / total;
    truth.variance = moment(seeing, truth.mean, 2) / total;
    truth.kurtosis = moment(seeing, truth.mean, 4) / total / pow(truth.variance, 2);
    truth.log_chance = log(total);
    return truth;
}

static const struct belief {
    double mean, variance;
} beliefs[] = {{-80, 0.25}, {-80, 4},  {-80, 25},  {-80, 64},  {-80, 144}, {-95, 9},
               {-95, 64},   {-70, 9},  {-70, 100}, {-88, 1},   {-88, 36},  {-101, 16},
               {-110, 49},  {-60, 36}, {-75, 2},   {-83.3, 16}};

static void hold(const struct seeing *seeing, double tolerance, const char *what) {
    for (size_t i = 0; i < sizeof beliefs / sizeof *beliefs; i++) {
        struct seeing at = *seeing;
        at.mean = beliefs[i].mean;
        at.sd = sqrt(beliefs[i].variance);
        struct truth truth = integrate(at);
        calibration_moments got =
            calibration_learn(seeing->of, beliefs[i].mean, beliefs[i].variance);
        /* Weights that are off by a share e at most move a mean by e sds, a variance by e times
         * the sd of squares, and the log of their sum by e. */
        double off = tolerance / (1 - tolerance);
        double sd = sqrt(truth.variance), squares = truth.variance * sqrt(truth.kurtosis - 1);
        cr_expect_float_eq(got.mean, truth.mean, off * sd, "%s, %g %g: mean %.9g not %.9g",
                           what, beliefs[i].mean, beliefs[i].variance, got.mean, truth.mean);
        cr_expect_float_eq(got.variance, truth.variance, off * squares + off * off * sd * sd,
                           "%s, %g %g: variance %.9g not %.9g", what, beliefs[i].mean,
                           beliefs[i].variance, got.variance, truth.variance);
        cr_expect_float_eq(got.log_chance, truth.log_chance, off,
                           "%s, %g %g: log chance %.9g not %.9g", what, beliefs[i].mean,
                           beliefs[i].variance, got.log_chance, truth.log_chance);
    }
}

/* ---- tails ---- */

Test(likelihood, tails_are_students) {
    calibration_tails tails;
    double sum = 0;
    calibration_tails_make(&tails);
    for (int i = 0; i < CALIBRATION_N_TAILS; i++)
        sum += tails.chance[i];
    cr_expect_float_eq(sum, 1, 1e-12, "%.15g", sum);
    for (double x = 0; x <= 40; x += 0.05) { /* 80 dB of the meter: a slip */
        double density = 0, wanted = gsl_ran_tdist_pdf(x, 4);
        for (int i = 0; i < CALIBRATION_N_TAILS; i++)
            density += tails.chance[i] * gsl_ran_gaussian_pdf(x, tails.scale[i]);
        cr_expect_float_eq(density, wanted, 0.02 * wanted, "%g sds: %g not %g", x, density,
                           wanted);
    }
}

/* ---- levels ---- */

/* Chances by the mixture itself: what is left to check is the arithmetic, to a millionth. */
static double by_mixture(double x, const calibration_observation *of) {
    calibration_tails tails;
    double sum = 0;
    calibration_tails_make(&tails);
    if (of->meter_sd_db == 0)
        tails = (calibration_tails){.chance = {1}};
    for (int i = 0; i < CALIBRATION_N_TAILS; i++) {
        double sd = hypot(of->normal_sd_db, of->meter_sd_db * tails.scale[i]);
        if (of->kind == CALIBRATION_LEVEL) {
            sum += tails.chance[i] * gsl_ran_gaussian_pdf(of->level_dbm - x, sd);
            continue;
        }
        double low = (of->low_dbm - x) / sd, high = (of->high_dbm - x) / sd;
        sum +=
            tails.chance[i] * (low > 0 ? gsl_cdf_ugaussian_Q(low) - gsl_cdf_ugaussian_Q(high)
                                       : gsl_cdf_ugaussian_P(high) - gsl_cdf_ugaussian_P(low));
    }
    return of->kind == CALIBRATION_SILENT ? dead_chance + (1 - dead_chance) * sum : sum;
}

static const struct level {
    const char *what;
    calibration_observation of;
} levels[] = {
    {"a level", {.kind = CALIBRATION_LEVEL, .level_dbm = -82, .normal_sd_db = 2}},
    {"a level by meter",
     {.kind = CALIBRATION_LEVEL, .level_dbm = -82, .normal_sd_db = 2, .meter_sd_db = 2}},
    {"a level by meter alone", {.kind = CALIBRATION_LEVEL, .level_dbm = -82, .meter_sd_db = 2}},
    {"a bar",
     {.kind = CALIBRATION_BETWEEN, .low_dbm = -85, .high_dbm = -75, .normal_sd_db = 2}},
    {"a bar by meter",
     {.kind = CALIBRATION_BETWEEN,
      .low_dbm = -95,
      .high_dbm = -85,
      .normal_sd_db = 2,
      .meter_sd_db = 2}},
    {"the last bar",
     {.kind = CALIBRATION_BETWEEN,
      .low_dbm = -65,
      .high_dbm = INFINITY,
      .normal_sd_db = 2,
      .meter_sd_db = 2}},
    {"under the first bar",
     {.kind = CALIBRATION_BETWEEN,
      .low_dbm = -INFINITY,
      .high_dbm = -105,
      .normal_sd_db = 2,
      .meter_sd_db = 2}},
    {"heard at all",
     {.kind = CALIBRATION_BETWEEN, .low_dbm = -90, .high_dbm = INFINITY, .normal_sd_db = 2}},
    {"silence",
     {.kind = CALIBRATION_SILENT, .low_dbm = -INFINITY, .high_dbm = -90, .normal_sd_db = 2}},
    {"silence of a meter",
     {.kind = CALIBRATION_SILENT,
      .low_dbm = -INFINITY,
      .high_dbm = -90,
      .normal_sd_db = 2,
      .meter_sd_db = 2}}};

Test(likelihood, levels_by_mixture) {
    for (size_t i = 0; i < sizeof levels / sizeof *levels; i++)
        hold(&(struct seeing){.chance = by_mixture, .of = &levels[i].of}, 1e-6, levels[i].what);
}

/* Student's t itself, where a meter's noise is the only one. */
static double by_student(double x, const calibration_observation *of) {
    double s = of->meter_sd_db;
    if (of->kind == CALIBRATION_LEVEL)
        return gsl_ran_tdist_pdf((of->level_dbm - x) / s, 4) / s;
    double low = (of->low_dbm - x) / s, high = (of->high_dbm - x) / s;
    double chance = low > 0 ? gsl_cdf_tdist_Q(low, 4) - gsl_cdf_tdist_Q(high, 4)
                            : gsl_cdf_tdist_P(high, 4) - gsl_cdf_tdist_P(low, 4);
    return of->kind == CALIBRATION_SILENT ? dead_chance + (1 - dead_chance) * chance : chance;
}

Test(likelihood, levels_by_student) {
    for (size_t i = 0; i < sizeof levels / sizeof *levels; i++) {
        calibration_observation of = levels[i].of;
        of.normal_sd_db = 0;
        if (of.meter_sd_db > 0)
            hold(&(struct seeing){.chance = by_student, .of = &of}, 0.02, levels[i].what);
    }
}

/* Far from all that is believed a normal would be dragged half of the way. Student's t lets go:
 * the pull falls as 5 noise^2 / distance. */
Test(likelihood, a_slip_teaches_little) {
    calibration_observation of = {
        .kind = CALIBRATION_LEVEL, .level_dbm = -80, .normal_sd_db = 0, .meter_sd_db = 2};
    double last_db = INFINITY;
    for (double off_db = 20; off_db <= 80; off_db += 5) {
        calibration_moments got = calibration_learn(&of, -80 - off_db, 4);
        /* slope of the log of 1 / (1 + t^2 / 4)^2.5, once more than the variance's own pull */
        double pull_db = 4 * 5 * off_db / (4 * 2 * 2 + off_db * off_db);
        cr_expect_float_eq(got.mean, -80 - off_db + pull_db, 0.1 * pull_db + 0.02,
                           "%g dB off: %g not %g", off_db, got.mean + 80 + off_db, pull_db);
        cr_expect_lt(got.mean + 80 + off_db, last_db, "%g dB off", off_db);
        last_db = got.mean + 80 + off_db;
    }
}

/* Whatever is shown, wherever the belief: numbers, and a doubt that is left. */
Test(likelihood, numbers_everywhere) {
    static const double means[] = {-1e5, -3000, -400, -120, -80, -40, 0, 300, 1e5};
    static const double variances[] = {1e-6, 0.1, 9, 400, 1e6};
    calibration_counted counted;
    calibration_count_chances(10, 2, 3, 5, &counted);
    const calibration_observation count = {
        .kind = CALIBRATION_COUNT, .trips = 5, .heard = 3, .counted = &counted};
    for (size_t k = 0; k <= sizeof levels / sizeof *levels; k++)
        for (size_t i = 0; i < sizeof means / sizeof *means; i++)
            for (size_t j = 0; j < sizeof variances / sizeof *variances; j++) {
                bool last = k == sizeof levels / sizeof *levels;
                calibration_moments got =
                    calibration_learn(last ? &count : &levels[k].of, means[i], variances[j]);
                cr_expect(isfinite(got.mean) && isfinite(got.log_chance) && got.variance > 0 &&
                              isfinite(got.variance),
                          "%s, %g %g: %g %g %g", last ? "a count" : levels[k].what, means[i],
                          variances[j], got.mean, got.variance, got.log_chance);
            }
}

/* A bar that the belief rules out by more than any noise leaves it alone; no number is lost. */
Test(likelihood, impossible_teaches_nothing) {
    const calibration_observation heard = {
        .kind = CALIBRATION_BETWEEN, .low_dbm = 0, .high_dbm = INFINITY, .normal_sd_db = 2};
    calibration_moments got = calibration_learn(&heard, -200, 9);
    cr_expect_eq(got.mean, -200);
    cr_expect_eq(got.variance, 9);
    cr_expect_lt(got.log_chance, -600); /* 1e-290 is -668 */
}

/* ---- counts ---- */

enum { DAY_PIECES = 160 };

/* Binomial chance with the scatter of the day counted in, by the trapezoid rule over 8 sds on
 * both sides; dead devices are not heard. */
static double by_count(double margin_db, const calibration_observation *of) {
    static const double k_db = 10;
    double sum = 0, weights = 0, sd = of->normal_sd_db;
    for (int i = -DAY_PIECES; i <= DAY_PIECES; i++) {
        double day_db = 8 * sd * i / DAY_PIECES;
        double weight = sd > 0 ? gsl_ran_gaussian_pdf(day_db, sd) : 1;
        double heard = calibration_heard_chance(margin_db + day_db, k_db);
        sum += weight * gsl_ran_binomial_pdf(of->heard, heard, of->trips);
        weights += weight;
    }
    return (of->heard == 0 ? dead_chance : 0) + (1 - dead_chance) * sum / weights;
}

/* Chances of a count over margins from -60 to 70 dB, so that each is worked out once. */
enum { N_MARGINS = 2601 };
static const double margins_from_db = -60, margins_step_db = 0.05;

static struct truth sum_up(const double *chance, double mean, double sd) {
    double total = 0, first = 0, second = 0;
    for (int i = 0; i < N_MARGINS; i++) {
        double off = margins_from_db + i * margins_step_db - mean;
        double weight = gsl_ran_gaussian_pdf(off, sd) * margins_step_db * chance[i];
        total += weight;
        first += weight * off;
        second += weight * off * off;
    }
    first /= total;
    return (struct truth){mean + first, second / total - first * first, 3, log(total)};
}

Test(likelihood, counts) {
    static const struct {
        unsigned heard, trips;
        double day_sd_db;
    } rows[] = {{8, 10, 2}, {10, 10, 2}, {0, 3, 2},   {1, 5, 2},
                {5, 10, 0}, {1, 1, 2},   {19, 20, 4}, {0, 20, 2}};
    static const struct belief margins[] = {{15, 64}, {10, 16}, {0, 36}, {25, 49}, {-10, 25},
                                            {3, 1},   {20, 9},  {5, 4},  {8, 100}};
    static double chance[N_MARGINS];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        calibration_counted counted;
        calibration_count_chances(10, rows[i].day_sd_db, rows[i].heard, rows[i].trips,
                                  &counted);
        const calibration_observation of = {.kind = CALIBRATION_COUNT,
                                            .normal_sd_db = rows[i].day_sd_db,
                                            .trips = rows[i].trips,
                                            .heard = rows[i].heard,
                                            .counted = &counted};
        for (int j = 0; j < N_MARGINS; j++)
            chance[j] = by_count(margins_from_db + j * margins_step_db, &of);
        for (size_t j = 0; j < sizeof margins / sizeof *margins; j++) {
            double mean = margins[j].mean, variance = margins[j].variance;
            struct truth truth = sum_up(chance, mean, sqrt(variance));
            calibration_moments got = calibration_learn(&of, mean, variance);
            /* Steps of 0.25 dB are a blur of 0.25 / sqrt(12) = 0.07 dB: of a margin that is
             * known to 1 dB it is worth 0.005 in squares. */
            cr_expect_float_eq(got.mean, truth.mean, 0.02, "%u of %u, %g %g: mean %g not %g",
                               of.heard, of.trips, mean, variance, got.mean, truth.mean);
            cr_expect_float_eq(got.variance, truth.variance, 0.01 + 0.005 * truth.variance,
                               "%u of %u, %g %g: variance %g not %g", of.heard, of.trips, mean,
                               variance, got.variance, truth.variance);
            cr_expect_float_eq(got.log_chance, truth.log_chance, 0.01,
                               "%u of %u, %g %g: log chance %g not %g", of.heard, of.trips,
                               mean, variance, got.log_chance, truth.log_chance);
        }
    }
}

/* Beyond the ends of the table, from -35 to 45 dB, more or less margin is all the same. */
Test(likelihood, counts_far_out) {
    static const struct {
        unsigned heard, trips;
        double margin_db, chance;
    } rows[] = {
        {0, 4, -90, 1}, /* nothing is heard, dead or not */
        {4, 4, 90, 0.97 * 0.98 * 0.98 * 0.98 * 0.98},
        {3, 4, 90, 0.97 * 4 * 0.02 * 0.98 * 0.98 * 0.98},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        calibration_counted counted;
        calibration_count_chances(10, 2, rows[i].heard, rows[i].trips, &counted);
        const calibration_observation of = {.kind = CALIBRATION_COUNT, .counted = &counted};
        calibration_moments got = calibration_learn(&of, rows[i].margin_db, 16);
        cr_expect_float_eq(got.mean, rows[i].margin_db, 1e-6, "%g", got.mean);
        cr_expect_float_eq(got.variance, 16, 1e-6, "%g", got.variance);
        cr_expect_float_eq(got.log_chance, log(rows[i].chance), 1e-6, "%u of %u: %.9g",
                           rows[i].heard, rows[i].trips, got.log_chance);
    }
}
