/* SPDX-License-Identifier: GPL-3.0-or-later */
/* joint.c - many levels and margins together, as one field has them: normals that share
 * parameters, things, meters and places (engine/read.c), conditioned on the readings.
 */
#include "joint.h"

#include <gsl/gsl_blas.h>

#include "fitting.h"

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
                       double *mean_db, gsl_matrix *covariance) {
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < i; j++)
            gsl_matrix_set(covariance, i, j,
                           views[i] && views[j] ? engine_shared_db2(survey, reads, field,
                                                                    views[i], views[j], NULL)
                                                : 0);
        gsl_matrix_set(covariance, i, i,
                       views[i] ? engine_prior_db2(reads, field, views[i]) : 1);
    }
    if (reads->n == 0)
        return true;
    gsl_matrix *told = told_by_reads(survey, reads, field, views, n, mean_db);
    if (!told)
        return false;
    gsl_blas_dsyrk(CblasLower, CblasTrans, -1, told, 1, covariance);
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
