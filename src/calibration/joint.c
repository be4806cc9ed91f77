/* SPDX-License-Identifier: GPL-3.0-or-later */
/* joint.c - many levels and margins together, as one field has them: normals that share
 * parameters, things, meters and places (engine/read.c), conditioned on the readings.
 */
#include "joint.h"

#include <gsl/gsl_blas.h>
#include <math.h>
#include <stdlib.h>

#include "fitting.h"
#include "solve.h"

/* L^-1 of what the readings share with each view; and what each is pulled by. */
static gsl_matrix *told_by_reads(const earshot_survey *survey, const engine_reads *reads,
                                 const engine_field *field, const engine_view *const *views,
                                 size_t n, double *mean_db) {
    gsl_matrix *told = gsl_matrix_calloc(reads->n, n);
    if (!told)
        return NULL;
    for (size_t i = 0; i < reads->n; i++)
        for (size_t j = 0; j < n; j++) {
            if (!views[j])
                continue;
            double db2 =
                engine_shared_db2(survey, reads, field, &reads->views[i], views[j], NULL);
            gsl_matrix_set(told, i, j, db2);
            mean_db[j] += db2 * field->pull[i];
        }
    gsl_matrix_const_view lower = gsl_matrix_const_view_array(field->lower, reads->n, reads->n);
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1, &lower.matrix, told);
    return told;
}

bool calibration_joint(const earshot_survey *survey, const engine_reads *reads,
                       const engine_field *field, const engine_view *const *views, size_t n,
                       double *mean_db, double *covariance) {
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < i; j++)
            covariance[i * n + j] =
                views[i] && views[j]
                    ? engine_shared_db2(survey, reads, field, views[i], views[j], NULL)
                    : 0;
        covariance[i * n + i] = views[i] ? engine_prior_db2(reads, field, views[i]) : 1;
        if (views[i])
            mean_db[i] -=
                engine_obstacle_share(&field->obstacle, views[i]) * field->obstacle.loss_db;
    }
    if (reads->n == 0)
        return true;
    gsl_matrix *told = told_by_reads(survey, reads, field, views, n, mean_db);
    if (!told)
        return false;
    gsl_matrix_view all = gsl_matrix_view_array(covariance, n, n);
    gsl_blas_dsyrk(CblasLower, CblasTrans, -1, told, 1, &all.matrix);
    gsl_matrix_free(told);
    return true;
}

engine_reads calibration_reads_of(const earshot_belief *belief, engine_field *room,
                                  double *prior_db2) {
    if (belief->reads)
        return *belief->reads;
    *room = fitting_middle_field(belief);
    for (size_t i = 0; i < belief->n; i++)
        prior_db2[i] = belief->covariance[i * belief->n + i];
    return (engine_reads){.prior_db2 = prior_db2, .fields = room, .n_fields = 1};
}

/* ---- what the readings leave, by any two ---- */

struct calibration_many {
    const earshot_survey *survey;
    const engine_view *views;
    engine_reads reads;
    engine_field room;
    double *prior_db2;
    size_t n, n_told; /* views, and numbers of each */
    double *told;     /* n x n_told: L^-1 c of each field, times the root of its weight */
    double *apart_db; /* n x fields: how far its mean lies off that of all, times the same */
};

/* What the readings pull a view by under one field. */
static double pulled_db(const engine_reads *reads, const engine_field *field,
                        const engine_view *view, const double *shared_db2) {
    double mean_db = -engine_obstacle_share(&field->obstacle, view) * field->obstacle.loss_db;
    for (size_t i = 0; i < reads->n; i++)
        mean_db += shared_db2[i] * field->pull[i];
    return mean_db;
}

static void set_apart(const engine_reads *reads, double *mean_db) {
    double all_db = 0;
    for (size_t h = 0; h < reads->n_fields; h++)
        all_db += reads->fields[h].weight * mean_db[h];
    for (size_t h = 0; h < reads->n_fields; h++)
        mean_db[h] = sqrt(reads->fields[h].weight) * (mean_db[h] - all_db);
}

/* c' K^-1 c of two views is then the product of their rows. */
static void tell(struct calibration_many *many, size_t view) {
    const engine_reads *reads = &many->reads;
    double *row = many->told + view * many->n_told;
    double *apart_db = many->apart_db + view * reads->n_fields;
    for (size_t h = 0; h < reads->n_fields; h++, row += reads->n) {
        const engine_field *field = &reads->fields[h];
        for (size_t i = 0; i < reads->n; i++)
            row[i] = engine_shared_db2(many->survey, reads, field, &reads->views[i],
                                       &many->views[view], NULL);
        apart_db[h] = pulled_db(reads, field, &many->views[view], row);
        engine_explained_db2(field->lower, reads->n, row);
        for (size_t i = 0; i < reads->n; i++)
            row[i] *= sqrt(field->weight);
    }
    set_apart(reads, apart_db);
}

enum earshot_status calibration_many_new(const earshot_survey *survey,
                                         const earshot_belief *belief, const engine_view *views,
                                         size_t n, calibration_many **out) {
    calibration_many *many = calloc(1, sizeof *many);
    if (!many)
        return EARSHOT_NO_MEMORY;
    many->survey = survey;
    many->views = views;
    many->n = n;
    many->prior_db2 = calloc(belief->n + 1, sizeof *many->prior_db2);
    if (many->prior_db2) {
        many->reads = calibration_reads_of(belief, &many->room, many->prior_db2);
        many->n_told = many->reads.n * many->reads.n_fields;
        many->told = calloc(n * many->n_told + 1, sizeof *many->told);
        many->apart_db = calloc(n * many->reads.n_fields + 1, sizeof *many->apart_db);
    }
    if (!many->prior_db2 || !many->told || !many->apart_db) {
        calibration_many_free(many);
        return EARSHOT_NO_MEMORY;
    }
    *out = many;
    return EARSHOT_OK;
}

void calibration_many_free(calibration_many *many) {
    if (!many)
        return;
    free(many->prior_db2);
    free(many->told);
    free(many->apart_db);
    free(many);
}

void calibration_many_tell(calibration_many *many, size_t first, size_t n) {
    for (size_t i = first; i < first + n; i++)
        tell(many, i);
}

static double apart_db2(const calibration_many *many, size_t a, size_t b) {
    size_t n = many->reads.n_fields;
    double db2 = 0;
    for (size_t h = 0; h < n; h++)
        db2 += many->apart_db[a * n + h] * many->apart_db[b * n + h];
    return db2;
}

double calibration_many_db2(const calibration_many *many, size_t view) {
    const double *row = many->told + view * many->n_told;
    double db2 = apart_db2(many, view, view);
    for (size_t h = 0; h < many->reads.n_fields; h++)
        db2 += many->reads.fields[h].weight *
               engine_prior_db2(&many->reads, &many->reads.fields[h], &many->views[view]);
    for (size_t i = 0; i < many->n_told; i++)
        db2 -= row[i] * row[i];
    return db2;
}

/* Sums side by side, since one alone would be a chain; each in the order that one alone has, so
 * that two views that are alike stay alike. */
enum { SIDE_BY_SIDE = 8 };

static void subtract_told(const calibration_many *many, const double *row, size_t first,
                          double *db2) {
    const double *rows = many->told + first * many->n_told;
    double sum[SIDE_BY_SIDE] = {0};
    for (size_t i = 0; i < many->n_told; i++)
        for (size_t k = 0; k < SIDE_BY_SIDE; k++)
            sum[k] += row[i] * rows[k * many->n_told + i];
    for (size_t k = 0; k < SIDE_BY_SIDE; k++)
        db2[k] -= sum[k];
}

static double shared_db2(const calibration_many *many, size_t a, size_t b) {
    const engine_reads *reads = &many->reads;
    double db2 = apart_db2(many, a, b);
    for (size_t h = 0; h < reads->n_fields; h++)
        db2 +=
            reads->fields[h].weight * engine_shared_db2(many->survey, reads, &reads->fields[h],
                                                        &many->views[a], &many->views[b], NULL);
    return db2;
}

void calibration_many_between(const calibration_many *many, size_t view, size_t first, size_t n,
                              double *db2) {
    const double *row = many->told + view * many->n_told;
    size_t whole = n - n % SIDE_BY_SIDE;
    for (size_t i = 0; i < n; i++)
        db2[i] = shared_db2(many, view, first + i);
    for (size_t i = 0; i < whole; i += SIDE_BY_SIDE)
        subtract_told(many, row, first + i, db2 + i);
    for (size_t i = whole; i < n; i++) {
        const double *other = many->told + (first + i) * many->n_told;
        double sum = 0;
        for (size_t k = 0; k < many->n_told; k++)
            sum += row[k] * other[k];
        db2[i] -= sum;
    }
}
