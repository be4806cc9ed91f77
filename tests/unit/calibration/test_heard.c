/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_heard.c - "heard 8 of 10" against GSL's adaptive quadrature and GSL's own distributions.
 *
 * The chance that a trip is heard is taken by a route of its own: the Rice density (from
 * memory, as in test_rice.c) integrated by GSL, not the sum that chance/rice.c uses.
 */
#include "calibration.h"
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>

static const double time_k_db = 10;

static double rice_density(double x, void *who) {
    double k = *(double *)who, off = sqrt(k) - sqrt((k + 1) * x);
    return (k + 1) * exp(-off * off) * gsl_sf_bessel_I0_scaled(2 * sqrt(k * (k + 1) * x));
}

static double integral(double (*f)(double, void *), void *who, double low, double high) {
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(2000);
    gsl_function function = {.function = f, .params = who};
    double result, error;
    gsl_integration_qag(&function, low, high, 0, 1e-10, 2000, GSL_INTEG_GAUSS61, space, &result,
                        &error);
    gsl_integration_workspace_free(space);
    return result;
}

/* Heard: the fade leaves at least 0 dB of the margin, and the 2 % that fail for other reasons
 * did not. */
static double heard_chance(double margin_db) {
    double k = pow(10, time_k_db / 10), limit = pow(10, -margin_db / 10);
    if (limit > 40)
        return 0;
    return 0.98 * fmax(0, 1 - integral(rice_density, &k, 0, limit)); /* 1 + 1e-12 is 1 */
}

struct count {
    double mean, sd;
    unsigned heard, trips;
    int power;
};

static double posterior(double margin_db, void *who) {
    const struct count *count = who;
    return gsl_ran_gaussian_pdf(margin_db - count->mean, count->sd) *
           gsl_ran_binomial_pdf(count->heard, heard_chance(margin_db), count->trips) *
           pow(margin_db, count->power);
}

/* A link of the given margin and sd: everything sure but the radio's power. */
static void link_of(double margin_db, double sd_db, folder *tables) {
    char radios[400];
    *tables = (folder){.n = 0};
    snprintf(radios, sizeof radios,
             "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,antenna_dbi,"
             "antenna_sd_db,source\nsure,868.3,0,%.17g,%.17g,0,0,0,made up\n",
             sd_db, -31.221179 - margin_db);
    folder_put(tables, "radios.csv", radios);
    folder_put(tables, "site.csv", "key,value\nname,x\nenvironment,sure\n");
    folder_put(
        tables, "environments.csv",
        "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
        "wall_saturation_sd,static_k_db,time_k_db,floors,floor_b,min_mhz,max_mhz,source\n"
        "sure,drawn,2,0,0,1,0,60,10,linear,0.46,300,1000,made up\n");
    folder_put(tables, "devices.csv", "device,role,radio\ns,sensor,sure\np,receiver,sure\n");
    folder_put(tables, "paths.csv", "device,to,length_m,crossings\ns,p,1,\n");
}

struct site {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_link link;
    earshot_prediction prior;
};

static void open_site(double margin_db, double sd_db, struct site *site) {
    gsl_set_error_handler_off();
    link_of(margin_db, sd_db, &site->tables);
    site->survey = folder_load(&site->tables);
    cr_assert_eq(earshot_belief_prior(site->survey, &site->belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(site->survey, &site->link, 1), 1);
    cr_assert_eq(
        earshot_links_predict(site->survey, site->belief, &site->link, 1, &site->prior),
        EARSHOT_OK);
}

static void close_site(struct site *site) {
    earshot_belief_free(site->belief);
    earshot_survey_free(site->survey);
    folder_free(&site->tables);
}

static earshot_prediction heard(const struct site *site, unsigned k, unsigned n) {
    earshot_prediction out;
    cr_assert_eq(earshot_link_heard(site->survey, site->belief, &site->link, k, n, &out),
                 EARSHOT_OK);
    return out;
}

Test(heard, chance_of_one_trip) {
    for (double margin_db = -12; margin_db <= 30; margin_db += 1.5)
        cr_expect_float_eq(calibration_heard_chance(margin_db, time_k_db),
                           heard_chance(margin_db), 1e-9, "%g dB", margin_db);
}

Test(heard, posterior_against_gsl) {
    static const struct {
        double margin_db, sd_db;
        unsigned heard, trips;
    } rows[] = {{12, 8, 8, 10},  {12, 8, 10, 10}, {12, 8, 3, 10}, {12, 8, 0, 3}, {0, 6, 5, 10},
                {-5, 9, 10, 10}, {20, 5, 9, 10},  {5, 9, 1, 1},   {8, 3, 19, 20}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct site site;
        open_site(rows[i].margin_db, rows[i].sd_db, &site);
        earshot_prediction got = heard(&site, rows[i].heard, rows[i].trips);
        double mean = site.prior.margin_db, sd = site.prior.margin_sd_db, moment[3];
        double low = mean - 9 * sd, high = mean + 9 * sd, limit = site.prior.required_margin_db;
        struct count count = {mean, sd, rows[i].heard, rows[i].trips, 0};
        for (count.power = 0; count.power < 3; count.power++)
            moment[count.power] = integral(posterior, &count, low, high);
        count.power = 0;
        double want_mean = moment[1] / moment[0];
        cr_expect_float_eq(got.margin_db, want_mean, 1e-6, "row %zu: %.9f, %.9f", i,
                           got.margin_db, want_mean);
        cr_expect_float_eq(got.margin_sd_db,
                           sqrt(moment[2] / moment[0] - want_mean * want_mean), 1e-6, "row %zu",
                           i);
        cr_expect_float_eq(got.chance, integral(posterior, &count, limit, high) / moment[0],
                           1e-6, "row %zu", i);
        cr_expect_float_eq(got.spare_db, got.margin_db - limit, 1e-12);
        cr_expect_eq(got.basis, EARSHOT_READ_IN_PLACE);
        cr_expect_eq(got.loss_db, site.prior.loss_db, "the loss stays as predicted");
        close_site(&site);
    }
}

Test(heard, more_heard_is_never_worse) {
    struct site site;
    open_site(12, 8, &site);
    double before = 0;
    for (unsigned k = 0; k <= 10; k++) {
        double chance = heard(&site, k, 10).chance;
        cr_expect_geq(chance, before, "%u of 10", k);
        before = chance;
    }
    cr_expect_gt(heard(&site, 10, 10).chance, site.prior.chance, "all heard is good news");
    cr_expect_lt(heard(&site, 5, 10).chance, site.prior.chance, "half heard is bad news");
    cr_expect_lt(heard(&site, 3, 10).chance, heard(&site, 5, 10).chance, "less is worse");
    close_site(&site);
}

Test(heard, no_trips_change_nothing) {
    struct site site;
    open_site(12, 8, &site);
    earshot_prediction got = heard(&site, 0, 0);
    cr_expect_eq(got.chance, site.prior.chance);
    cr_expect_eq(got.basis, EARSHOT_PREDICTED);
    earshot_prediction out = {.loss_db = 12345};
    cr_expect_eq(earshot_link_heard(site.survey, site.belief, &site.link, 2, 1, &out),
                 EARSHOT_MISUSE);
    cr_expect_eq(out.loss_db, 12345);
    close_site(&site);
}

/* With 40 dB to spare one miss in ten is told by the 2 % that fail anyway (0.167 for exactly
 * one), two are not believed (0.016 for two or more): GSL, gsl_cdf_binomial_P. */
Test(heard, far_fewer_than_predicted_is_never_firm) {
    struct site site;
    open_site(50, 3, &site);
    cr_expect_gt(1 - gsl_cdf_binomial_P(0, 0.02, 10), 0.05);
    cr_expect_lt(1 - gsl_cdf_binomial_P(1, 0.02, 10), 0.05);
    cr_expect_eq(heard(&site, 9, 10).verdict, EARSHOT_FIRM);
    cr_expect_eq(heard(&site, 8, 10).verdict, EARSHOT_THIN);
    cr_expect(heard(&site, 8, 10).notes & EARSHOT_NOTE_FEW_HEARD);
    cr_expect_eq(heard(&site, 4, 10).verdict, EARSHOT_OUT, "most were not heard");
    cr_expect_eq(heard(&site, 0, 3).verdict, EARSHOT_OUT);
    cr_expect_eq(heard(&site, 0, 1000).verdict, EARSHOT_OUT, "a chance of nothing at all");
    cr_expect_eq(heard(&site, 600, 1000).verdict, EARSHOT_THIN, "and this");
    cr_expect_float_eq(calibration_surprise(&site.prior, time_k_db, 8, 10),
                       1 - gsl_cdf_binomial_P(1, 0.02, 10), 1e-6);
    close_site(&site);
}

/* What one trip cannot do: take a link over 10 dB of doubt out of "not judged"; nor can two of
 * three heard make it firm (README: the acceptance is three trips, all heard). */
Test(heard, a_few_trips_do_not_make_firm) {
    struct site doubtful, strong;
    open_site(30, 13, &doubtful);
    cr_expect_eq(heard(&doubtful, 1, 1).verdict, EARSHOT_NOT_JUDGED);
    close_site(&doubtful);
    open_site(50, 3, &strong);
    cr_expect_eq(heard(&strong, 3, 3).verdict, EARSHOT_FIRM);
    cr_expect_eq(heard(&strong, 2, 3).verdict, EARSHOT_THIN);
    close_site(&strong);
}
