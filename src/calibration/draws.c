/* SPDX-License-Identifier: GPL-3.0-or-later */
/* draws.c - margins of many links drawn together from what is believed.
 *
 * For one field the margins are normals with a covariance (joint.c). A draw takes a field by
 * its weight, then the normals by the Cholesky factor of that covariance, then a static fade
 * for each link that nobody read in place, with its skew: a steady wave and scattered ones, in
 * power (Rice). The two ways of a link that is answered are two margins with one fade, and the
 * weaker counts.
 *
 * The generator is started anew for each draw, from the seed and the draw's number, mixed as in
 * Steele, Lea and Flood, Fast Splittable Pseudorandom Number Generators, 2014 (from memory). It
 * is L'Ecuyer's of 1999 with three words of state; filling the 624 of the Mersenne twister cost
 * more than the draws themselves.
 */
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "fitting.h"
#include "joint.h"
#include "solve.h"

enum { MOST_LINKS = 2000 };

/* One margin: a way of a link. */
struct way {
    size_t link;
    bool judged;
    engine_result result;
    engine_view view;
    double margin_db;
};

/* One field: its means, and the factor of what is left in doubt. */
struct drawn_field {
    double weight, static_sd_db;
    double *mean_db; /* by way */
    gsl_matrix *lower;
};

struct drawing {
    const earshot_survey *survey;
    const earshot_belief *belief;
    engine_reads reads; /* the belief's, or none, of its tables */
    const earshot_link *links;
    size_t n_links;
    struct way *ways;
    const engine_view **views; /* by way; NULL: it cannot be worked out */
    size_t n_ways;
    struct drawn_field *fields;
    size_t n_fields;
};

static double square(double x) {
    return x * x;
}

/* ---- ways ---- */

static void add_way(struct drawing *drawing, size_t link, bool back) {
    struct way *way = &drawing->ways[drawing->n_ways++];
    way->link = link;
    const engine_told told = engine_solve_told(drawing->survey, drawing->belief,
                                               &drawing->links[link], back, NULL, &way->result);
    way->margin_db = way->result.rx_power_dbm - way->result.needed_dbm;
    way->judged = !isnan(way->margin_db);
    way->view = engine_view_of(&drawing->links[link], &way->result, true);
    way->view.in_place = told.in_place;
    drawing->views[drawing->n_ways - 1] = way->judged ? &way->view : NULL;
}

static void add_ways(struct drawing *drawing) {
    for (size_t i = 0; i < drawing->n_links; i++) {
        add_way(drawing, i, false);
        if (engine_answers(drawing->survey, &drawing->links[i]))
            add_way(drawing, i, true);
    }
}

/* ---- fields ---- */

static bool solve_field(const struct drawing *drawing, const engine_field *field,
                        struct drawn_field *out) {
    static const double rounding_db2 = 1e-9; /* two ways of one link may be one and the same */
    size_t n = drawing->n_ways;
    out->weight = field->weight;
    out->static_sd_db = field->static_sd_db;
    out->mean_db = calloc(n + 1, sizeof *out->mean_db);
    out->lower = gsl_matrix_alloc(n, n);
    if (!out->mean_db || !out->lower ||
        !calibration_joint(drawing->survey, &drawing->reads, field, drawing->views, n,
                           out->mean_db, out->lower->data))
        return false;
    for (size_t i = 0; i < n; i++)
        *gsl_matrix_ptr(out->lower, i, i) += rounding_db2;
    return gsl_linalg_cholesky_decomp1(out->lower) == 0;
}

/* Fields lie around the mean of all, which the engine gives. */
static void center_means(struct drawing *drawing) {
    for (size_t i = 0; i < drawing->n_ways; i++) {
        double mean_db = 0;
        for (size_t h = 0; h < drawing->n_fields; h++)
            mean_db += drawing->fields[h].weight * drawing->fields[h].mean_db[i];
        for (size_t h = 0; h < drawing->n_fields; h++)
            drawing->fields[h].mean_db[i] += drawing->ways[i].margin_db - mean_db;
    }
}

static bool solve_fields(struct drawing *drawing) {
    drawing->fields = calloc(drawing->reads.n_fields, sizeof *drawing->fields);
    if (!drawing->fields)
        return false;
    drawing->n_fields = drawing->reads.n_fields;
    for (size_t h = 0; h < drawing->n_fields; h++)
        if (!solve_field(drawing, &drawing->reads.fields[h], &drawing->fields[h]))
            return false;
    center_means(drawing);
    return true;
}

/* ---- one draw ---- */

static uint64_t mixed(uint64_t seed, uint64_t k) {
    uint64_t z = seed + (k + 1) * UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

static const struct drawn_field *take_field(const struct drawing *drawing, double share) {
    size_t h = 0;
    while (h + 1 < drawing->n_fields && share >= drawing->fields[h].weight)
        share -= drawing->fields[h++].weight;
    return &drawing->fields[h];
}

/* A fade in dB about its mean, stretched to the field's. */
static double draw_fade(const struct drawing *drawing, const struct drawn_field *field,
                        gsl_rng *random) {
    const chance_fade *fade = &drawing->belief->static_fade;
    double k = pow(10, fade->k_db / 10);
    double steady = isinf(fade->k_db) ? 0 : sqrt(k / (k + 1));
    double scattered = isinf(fade->k_db) ? sqrt(0.5) : sqrt(0.5 / (k + 1));
    double x = steady + gsl_ran_gaussian(random, scattered);
    double y = gsl_ran_gaussian(random, scattered);
    double level_db = 10 * log10(square(x) + square(y)) - fade->mean_db;
    return level_db * field->static_sd_db / fade->sd_db;
}

static void draw(const struct drawing *drawing, gsl_rng *random, double *white,
                 double *margin_db) {
    const struct drawn_field *field = take_field(drawing, gsl_rng_uniform(random));
    bool fades = drawing->belief->static_sd_db > 0;
    double fade_db = 0;
    for (size_t i = 0; i < drawing->n_ways; i++)
        white[i] = gsl_ran_gaussian(random, 1);
    for (size_t i = 0; i < drawing->n_links; i++)
        margin_db[i] = INFINITY;
    for (size_t i = 0; i < drawing->n_ways; i++) {
        const struct way *way = &drawing->ways[i];
        const double *row = gsl_matrix_const_ptr(field->lower, i, 0);
        double level_db = field->mean_db[i];
        for (size_t j = 0; j <= i; j++)
            level_db += row[j] * white[j];
        if (i == 0 || way[-1].link != way->link)
            fade_db = fades ? draw_fade(drawing, field, random) : 0;
        level_db += way->view.in_place ? 0 : fade_db;
        margin_db[way->link] = way->judged ? fmin(margin_db[way->link], level_db) : NAN;
    }
}

/* ---- all ---- */

static void release(struct drawing *drawing) {
    for (size_t h = 0; drawing->fields && h < drawing->n_fields; h++) {
        free(drawing->fields[h].mean_db);
        gsl_matrix_free(drawing->fields[h].lower);
    }
    free(drawing->fields);
    free(drawing->ways);
    free(drawing->views);
}

static enum earshot_status draw_all(struct drawing *drawing, uint64_t seed, size_t first,
                                    size_t n_draws, double *margin_db) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
    double *white = calloc(drawing->n_ways + 1, sizeof *white);
    if (random && white)
        for (size_t k = 0; k < n_draws; k++) {
            gsl_rng_set(random, (unsigned long)(mixed(seed, first + k) & 0xffffffff));
            draw(drawing, random, white, margin_db + k * drawing->n_links);
        }
    enum earshot_status status = random && white ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    gsl_rng_free(random);
    free(white);
    return status;
}

static bool valid(const earshot_survey *survey, const earshot_link *links, size_t n) {
    bool good = n <= MOST_LINKS;
    for (size_t i = 0; good && i < n; i++)
        good = engine_link_valid(survey, &links[i]);
    return good;
}

enum earshot_status earshot_links_draw(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_link *links,
                                       size_t n, unsigned long long seed, size_t first_draw,
                                       size_t n_draws, double *margin_db) {
    if (!survey || !belief || (n && n_draws && (!links || !margin_db)) ||
        !valid(survey, links, n))
        return EARSHOT_MISUSE;
    if (n == 0 || n_draws == 0)
        return EARSHOT_OK;
    calibration_quiet_gsl();
    engine_field middle;
    double *prior_db2 = malloc((belief->n + 1) * sizeof *prior_db2);
    struct drawing drawing = {.survey = survey,
                              .belief = belief,
                              .links = links,
                              .n_links = n,
                              .ways = calloc(2 * n, sizeof *drawing.ways),
                              .views = calloc(2 * n, sizeof *drawing.views)};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (prior_db2 && drawing.ways && drawing.views) {
        drawing.reads = calibration_reads_of(belief, &middle, prior_db2);
        add_ways(&drawing);
        status = solve_fields(&drawing)
                     ? draw_all(&drawing, seed, first_draw, n_draws, margin_db)
                     : EARSHOT_NO_MEMORY;
    }
    release(&drawing);
    free(prior_db2);
    return status;
}
