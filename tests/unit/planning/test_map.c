/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_map.c - every point of a map against the same link asked by itself, which takes the
 * plain way through the index and is itself held to numbers worked out by hand
 * (test_predict.c).
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "shortage.h"
#include "survey.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double close_db = 1e-9;

static void compare(const earshot_survey *survey, const earshot_belief *belief,
                    const earshot_end *fixed, bool fixed_listens, const earshot_grid *grid) {
    size_t n = grid->nx * grid->ny, half = grid->ny / 3 * grid->nx;
    double *margin_db = calloc(n + 1, sizeof *margin_db), *sd_db = calloc(n + 1, sizeof *sd_db);
    /* in two pieces, as threads would do it */
    cr_assert_eq(earshot_map_predict(survey, belief, fixed, fixed_listens, grid, 0,
                                     grid->ny / 3, margin_db, sd_db),
                 EARSHOT_OK);
    cr_assert_eq(earshot_map_predict(survey, belief, fixed, fixed_listens, grid, grid->ny / 3,
                                     grid->ny - grid->ny / 3, margin_db + half, sd_db + half),
                 EARSHOT_OK);
    for (size_t i = 0; i < n; i++) {
        earshot_end end = grid->like;
        end.x_m = grid->x0_m + (double)(i % grid->nx) * grid->step_m;
        end.y_m = grid->y0_m + (double)(i / grid->nx) * grid->step_m;
        earshot_link link = {.from = fixed_listens ? end : *fixed,
                             .to = fixed_listens ? *fixed : end,
                             .device = EARSHOT_NONE,
                             .listener = EARSHOT_NONE,
                             .path = EARSHOT_NONE};
        earshot_prediction asked;
        cr_assert_eq(earshot_links_predict(survey, belief, &link, 1, &asked), EARSHOT_OK);
        cr_assert_float_eq(margin_db[i], asked.margin_db, close_db,
                           "at %g %g: %.12f, asked %.12f", end.x_m, end.y_m, margin_db[i],
                           asked.margin_db);
        cr_assert_float_eq(sd_db[i], asked.margin_sd_db, close_db,
                           "at %g %g: %.12f, asked %.12f", end.x_m, end.y_m, sd_db[i],
                           asked.margin_sd_db);
    }
    free(margin_db);
    free(sd_db);
}

static void compare_survey(const folder *tables, double step_m) {
    earshot_survey *survey = folder_load(tables);
    earshot_belief *belief = NULL;
    earshot_link links[64];
    size_t n = earshot_survey_links(survey, links, 64);
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    for (size_t i = 0; i < n && i < 64; i += 5) {
        const earshot_link *link = &links[i];
        if (isnan(link->from.x_m))
            continue;
        earshot_grid grid = {
            -3, -2, step_m, (size_t)(26 / step_m), (size_t)(12 / step_m), link->from};
        compare(survey, belief, &link->to, true, &grid);
        grid.like = link->to;
        grid.like.z_m += 0.25;
        compare(survey, belief, &link->from, false, &grid);
    }
    earshot_belief_free(belief);
    earshot_survey_free(survey);
}

/* Openings with their edges, floors with holes, mounts, two-way radios, noise. */
Test(map, the_invented_house) {
    folder tables = folder_read("surveys/demo");
    compare_survey(&tables, 0.75);
    folder_free(&tables);
}

/* With readings merged, both ways of a two-way radio are in doubt by different amounts, and
 * which is the weaker is told without their chances where that can be. */
Test(map, the_invented_house_as_it_was_read) {
    folder tables = folder_read("surveys/demo");
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    earshot_link links[64];
    size_t n = earshot_survey_links(survey, links, 64);
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    for (size_t i = 0; i < n; i += 9) {
        earshot_grid grid = {-3, -2, 1.1, 24, 28, links[i].from};
        compare(survey, belief, &links[i].to, true, &grid);
        grid.like = links[i].to;
        compare(survey, belief, &links[i].from, false, &grid);
    }
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* Coordinates on whole meters, and a raster on them: nearly every point is tied. */
Test(map, the_house_worked_out_by_hand) {
    folder tables = folder_read("surveys/paper");
    compare_survey(&tables, 0.5);
    folder_free(&tables);
}

/* Walls known only by their layers lose more at a slant. */
Test(map, walls_with_an_angle) {
    folder tables = folder_read("surveys/demo");
    folder_put(&tables, "materials/constructions.csv",
               "construction,class,layers\nslab,wall,concrete 150\npane,window,glass 8\n");
    folder_put(&tables, "walls.csv",
               "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
               "a,ground,0,0,12,0,slab\nb,ground,12,0,12,8,brick\nc,ground,12,8,0,8,slab\n"
               "d,ground,0,8,0,0,brick\ne,ground,3,0,7,8,slab\nf,first,0,4,12,4.5,slab\n");
    folder_put(&tables, "openings.csv",
               "opening,wall,from_m,to_m,construction\nw,e,2,4,pane\nx,b,1,2,inside-door\n");
    compare_survey(&tables, 0.7);
    folder_free(&tables);
}

Test(map, out_of_range_is_misuse) {
    folder tables = folder_read("surveys/demo");
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    earshot_link link;
    double margin_db[4] = {7, 7, 7, 7}, sd_db[4] = {7, 7, 7, 7};
    earshot_survey_links(survey, &link, 1);
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    const earshot_grid good = {0, 0, 1, 2, 2, link.from};
    earshot_grid grids[7] = {good, good, good, good, good, good, good};
    grids[0].step_m = 0.001;
    grids[1].step_m = NAN;
    grids[2].nx = 0;
    grids[3].x0_m = 2047.5;
    grids[4].like.radio = 1000;
    grids[5].like.z_m = NAN;
    grids[6].nx = grids[6].ny = 5000;
    for (size_t i = 0; i < 7; i++)
        cr_expect_eq(earshot_map_predict(survey, belief, &link.to, true, &grids[i], 0, 2,
                                         margin_db, sd_db),
                     EARSHOT_MISUSE, "grid %zu", i);
    cr_expect_eq(
        earshot_map_predict(survey, belief, &link.to, true, &good, 1, 2, margin_db, sd_db),
        EARSHOT_MISUSE);
    cr_expect(margin_db[0] == 7 && sd_db[3] == 7);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* Whatever allocation fails: no answer, nothing written, nothing leaked (the sanitizers see to
 * that). */
Test(map, out_of_memory) {
    folder tables = folder_read("surveys/demo");
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    earshot_link link;
    double margin_db[16], sd_db[16];
    earshot_survey_links(survey, &link, 1);
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    const earshot_grid grid = {0, 0, 2, 4, 4, link.from};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    long n = 0;
    for (; status != EARSHOT_OK; n++) {
        margin_db[0] = sd_db[15] = 7;
        shortage_begin(n);
        status =
            earshot_map_predict(survey, belief, &link.to, true, &grid, 0, 4, margin_db, sd_db);
        long refused = shortage_end();
        cr_assert_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK, "after %ld", n);
        cr_assert(status == EARSHOT_OK || (margin_db[0] == 7 && sd_db[15] == 7));
    }
    cr_expect_geq(n, 6);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}
