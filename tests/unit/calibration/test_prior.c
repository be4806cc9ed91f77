/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_prior.c - the belief of the tables: their sds, independent of each other. */
#include "calibration.h"
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static double sd(const earshot_belief *belief, size_t parameter) {
    return sqrt(belief->covariance[parameter * belief->n + parameter]);
}

Test(prior, sds_of_the_tables) {
    folder tables = folder_read("surveys/demo");
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    /* materials/environments.csv, dwelling: exponent 2.1 +- 0.3, saturation 0.9 +- 0.15 */
    cr_expect_float_eq(belief->mean[ENGINE_EXPONENT], 2.1, 1e-12);
    cr_expect_float_eq(sd(belief, ENGINE_EXPONENT), 0.3, 1e-12);
    cr_expect_float_eq(belief->mean[ENGINE_SATURATION], 0.9, 1e-12);
    cr_expect_float_eq(sd(belief, ENGINE_SATURATION), 0.15, 1e-12);
    cr_expect_float_eq(belief->shadow_sd_db, 3, 1e-12);
    for (size_t i = 0; i < survey->n_constructions; i++) {
        cr_expect_float_eq(sd(belief, ENGINE_FIRST_CONSTRUCTION + i), sqrt(0.5), 1e-15,
                           "half of its row's variance, in sds of the row");
        cr_expect_eq(belief->mean[ENGINE_FIRST_CONSTRUCTION + i], 0);
    }
    for (size_t i = 0; i < survey->n_radios; i++)
        cr_expect_float_eq(sd(belief, engine_radio(survey, i)), survey->radios[i].eirp_sd_db,
                           1e-12);
    /* 868-10mw as a listener: antenna 3, need 2 */
    cr_expect_float_eq(sd(belief, engine_antennas(survey, 0)), 3 * sqrt(0.5), 1e-12);
    cr_expect_float_eq(sd(belief, engine_antenna(survey, 0)), 3 * sqrt(0.5), 1e-12);
    cr_expect_float_eq(sd(belief, engine_need(survey, 0)), 2, 1e-12);
    for (size_t i = 0; i < belief->n; i++)
        for (size_t j = 0; j < belief->n; j++)
            if (i != j)
                cr_expect_eq(belief->covariance[i * belief->n + j], 0);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* Static fade: a Rayleigh fade has an sd of 5.57 dB, Rice with 6 dB 3.3 (the project's printed
 * numbers; 5.570 is 10 pi / (ln 10 sqrt 6), the sd of the log of an exponential variable). */
Test(prior, static_fade) {
    static const struct {
        const char *k, *environment;
        double sd_db, tol_db;
    } rows[] = {{"", "rayleigh", 5.570043, 1e-6}, {"6", "rice", 3.3, 0.05}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char environments[500];
        folder tables = folder_read("surveys/paper");
        earshot_belief *belief = NULL;
        strcpy(
            environments,
            "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
            "wall_saturation_sd,static_k_db,time_k_db,floors,floor_b,min_mhz,max_mhz,source\n"
            "paper,drawn,2,0.2,3,0.8,0.1,");
        strcat(strcat(environments, rows[i].k), ",10,saturating,0.46,300,1000,made up\n");
        folder_put(&tables, "environments.csv", environments);
        earshot_survey *survey = folder_load(&tables);
        cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
        cr_expect_float_eq(belief->static_sd_db, rows[i].sd_db, rows[i].tol_db, "%s",
                           rows[i].environment);
        earshot_belief_free(belief);
        earshot_survey_free(survey);
        folder_free(&tables);
    }
}
