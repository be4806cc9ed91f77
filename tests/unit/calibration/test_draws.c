/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_draws.c - draws against means and covariances in closed form.
 *
 * The margin and its sd of each link are those that earshot_links_predict gives. By the tables
 * alone two links' covariance is J S J' of their shared parameters plus 9 exp(-d / 2 m) of the
 * field (sd 3, reach 2 m), worked out here from the tables. Bounds are five standard errors.
 */
#include "calibration.h"
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { N_DRAWS = 20000, MOST = 64 };

struct drawn {
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_link links[MOST];
    earshot_prediction predictions[MOST];
    size_t n;
    double *margin_db;
};

static void open_drawn(const char *path, bool read, struct drawn *drawn) {
    folder tables = folder_read(path);
    drawn->survey = folder_load(&tables);
    folder_free(&tables);
    cr_assert_eq(read ? earshot_belief_fit(drawn->survey, NULL, NULL, NULL, &drawn->belief)
                      : earshot_belief_prior(drawn->survey, &drawn->belief),
                 EARSHOT_OK);
    drawn->n = earshot_survey_links(drawn->survey, drawn->links, MOST);
    cr_assert(drawn->n > 0 && drawn->n <= MOST);
    earshot_links_predict(drawn->survey, drawn->belief, drawn->links, drawn->n,
                          drawn->predictions);
    drawn->margin_db = malloc(N_DRAWS * drawn->n * sizeof *drawn->margin_db);
    cr_assert_not_null(drawn->margin_db);
    cr_assert_eq(earshot_links_draw(drawn->survey, drawn->belief, drawn->links, drawn->n, 1, 0,
                                    N_DRAWS, drawn->margin_db),
                 EARSHOT_OK);
}

static void close_drawn(struct drawn *drawn) {
    free(drawn->margin_db);
    earshot_belief_free(drawn->belief);
    earshot_survey_free(drawn->survey);
}

static double mean_of(const struct drawn *drawn, size_t i) {
    double sum = 0;
    for (size_t k = 0; k < N_DRAWS; k++)
        sum += drawn->margin_db[k * drawn->n + i];
    return sum / N_DRAWS;
}

static double covariance_of(const struct drawn *drawn, size_t i, size_t j) {
    double mean_i = mean_of(drawn, i), mean_j = mean_of(drawn, j), sum = 0;
    for (size_t k = 0; k < N_DRAWS; k++)
        sum += (drawn->margin_db[k * drawn->n + i] - mean_i) *
               (drawn->margin_db[k * drawn->n + j] - mean_j);
    return sum / (N_DRAWS - 1);
}

/* One-way links only: of two ways the weaker is drawn, and predicted as one of them. */
Test(draws, means_and_sds_are_those_foretold) {
    for (int read = 0; read < 2; read++) {
        struct drawn drawn;
        open_drawn("surveys/paper", read, &drawn);
        for (size_t i = 0; i < drawn.n; i++) {
            double sd_db = drawn.predictions[i].margin_sd_db;
            cr_expect_float_eq(mean_of(&drawn, i), drawn.predictions[i].margin_db,
                               5 * sd_db / sqrt(N_DRAWS), "link %zu", i);
            /* the fade's tail makes the sd of a sample a little less sure than a normal's */
            cr_expect_float_eq(sqrt(covariance_of(&drawn, i, i)), sd_db,
                               5 * sd_db / sqrt(N_DRAWS), "link %zu", i);
        }
        close_drawn(&drawn);
    }
}

static double feature_of(const engine_features *features, size_t parameter) {
    for (size_t i = 0; i < features->n; i++)
        if (features->parameter[i] == parameter)
            return features->value[i];
    return 0;
}

Test(draws, links_err_together_as_they_must) {
    struct drawn drawn;
    open_drawn("surveys/paper", false, &drawn);
    for (size_t i = 0; i < drawn.n; i++)
        for (size_t j = 0; j < i; j++) {
            engine_result a, b;
            const earshot_end *from = &drawn.links[i].from, *to = &drawn.links[j].from;
            engine_solve(drawn.survey, drawn.belief, &drawn.links[i], NULL, &a);
            engine_solve(drawn.survey, drawn.belief, &drawn.links[j], NULL, &b);
            double away_m = sqrt(pow(from->x_m - to->x_m, 2) + pow(from->y_m - to->y_m, 2) +
                                 pow(from->z_m - to->z_m, 2));
            double want = 9 * exp(-away_m / 2);
            for (size_t p = 0; p < drawn.belief->n; p++)
                want += drawn.belief->covariance[p * drawn.belief->n + p] *
                        feature_of(&a.features, p) * feature_of(&b.features, p);
            double error = drawn.predictions[i].margin_sd_db *
                           drawn.predictions[j].margin_sd_db / sqrt(N_DRAWS);
            cr_expect_float_eq(covariance_of(&drawn, i, j), want, 5 * error, "%zu, %zu", i, j);
        }
    close_drawn(&drawn);
}

/* The chance that a margin is enough, counted, is the chance foretold, skew and all. */
Test(draws, shares_are_the_chances) {
    struct drawn drawn;
    open_drawn("surveys/paper", false, &drawn);
    for (size_t i = 0; i < drawn.n; i++) {
        const earshot_prediction *prediction = &drawn.predictions[i];
        double n = 0;
        for (size_t k = 0; k < N_DRAWS; k++)
            n += drawn.margin_db[k * drawn.n + i] >= prediction->required_margin_db;
        double error = sqrt(prediction->chance * (1 - prediction->chance) / N_DRAWS);
        cr_expect_float_eq(n / N_DRAWS, prediction->chance, 5 * error, "link %zu", i);
    }
    close_drawn(&drawn);
}

Test(draws, the_kth_draw_is_the_kth_draw) {
    struct drawn drawn;
    double some[3 * MOST];
    open_drawn("surveys/demo", true, &drawn);
    cr_assert_eq(
        earshot_links_draw(drawn.survey, drawn.belief, drawn.links, drawn.n, 1, 17, 3, some),
        EARSHOT_OK);
    cr_expect_eq(memcmp(some, drawn.margin_db + 17 * drawn.n, 3 * drawn.n * sizeof *some), 0);
    cr_assert_eq(
        earshot_links_draw(drawn.survey, drawn.belief, drawn.links, drawn.n, 2, 17, 3, some),
        EARSHOT_OK);
    cr_expect_neq(memcmp(some, drawn.margin_db + 17 * drawn.n, 3 * drawn.n * sizeof *some), 0);
    cr_expect_eq(earshot_links_draw(NULL, drawn.belief, drawn.links, drawn.n, 1, 0, 1, some),
                 EARSHOT_MISUSE);
    close_drawn(&drawn);
}
