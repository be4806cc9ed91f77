/* SPDX-License-Identifier: GPL-3.0-or-later */
/* joint.c - many levels and margins together, as one field has them: normals that share
 * parameters, things, meters and places (engine/read.c), conditioned on the readings.
 */
#include "joint.h"

#include <gsl/gsl_blas.h>
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

/* Sums of one field, times its weight: means, and means of products. */
static bool add_field(const earshot_survey *survey, const engine_reads *reads, size_t h,
                      const engine_view *const *views, size_t n, double *one, double *mean_db,
                      double *sum) {
    double *field_mean_db = calloc(n + 1, sizeof *field_mean_db);
    bool good = field_mean_db && calibration_joint(survey, reads, &reads->fields[h], views, n,
                                                   field_mean_db, one);
    double weight = reads->fields[h].weight;
    for (size_t i = 0; good && i < n; i++) {
        mean_db[i] += weight * field_mean_db[i];
        for (size_t j = 0; j <= i; j++)
            sum[i * n + j] += weight * (one[i * n + j] + field_mean_db[i] * field_mean_db[j]);
    }
    free(field_mean_db);
    return good;
}

/* What is left of the products is what fields leave in doubt and what they disagree about. */
static void finish(const double *mean_db, size_t n, double *sum) {
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j <= i; j++) {
            sum[i * n + j] -= mean_db[i] * mean_db[j];
            sum[j * n + i] = sum[i * n + j];
        }
}

enum earshot_status calibration_joint_mean(const earshot_survey *survey,
                                           const earshot_belief *belief,
                                           const engine_view *views, size_t n,
                                           double **covariance) {
    engine_field room;
    double *prior_db2 = calloc(belief->n + 1, sizeof *prior_db2);
    double *mean_db = calloc(n + 1, sizeof *mean_db), *one = calloc(n * n + 1, sizeof *one);
    double *sum = calloc(n * n + 1, sizeof *sum);
    const engine_view **each = calloc(n + 1, sizeof *each);
    bool good = prior_db2 && mean_db && one && sum && each;
    if (good) {
        const engine_reads reads = calibration_reads_of(belief, &room, prior_db2);
        calibration_quiet_gsl();
        for (size_t i = 0; i < n; i++)
            each[i] = &views[i];
        for (size_t h = 0; good && h < reads.n_fields; h++)
            good = add_field(survey, &reads, h, each, n, one, mean_db, sum);
        finish(mean_db, n, sum);
    }
    free(prior_db2);
    free(mean_db);
    free(one);
    free(each);
    if (!good) {
        free(sum);
        return EARSHOT_NO_MEMORY;
    }
    *covariance = sum;
    return EARSHOT_OK;
}
