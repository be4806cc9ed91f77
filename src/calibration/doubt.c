/* SPDX-License-Identifier: GPL-3.0-or-later */
/* doubt.c - what is left in doubt of parameters and walls once readings are in.
 */
#include <gsl/gsl_blas.h>
#include <stdlib.h>
#include <string.h>

#include "fitting.h"

/* L^-1 J S of a field, n x columns: parameters, then things. */
static void explain(const struct fitting *fitting, const engine_field *field,
                    gsl_matrix *explained) {
    const engine_reads *reads = fitting->belief->reads;
    size_t n_parameters = fitting->belief->n;
    gsl_matrix_set_zero(explained);
    for (size_t i = 0; i < fitting->n; i++) {
        const engine_view *view = &reads->views[i];
        for (size_t j = 0; j < view->n; j++)
            gsl_matrix_set(explained, i, view->parameter[j],
                           view->value[j] * reads->prior_db2[view->parameter[j]]);
        for (size_t j = 0; j < view->n_own; j++)
            gsl_matrix_set(explained, i, n_parameters + view->own[j],
                           view->own_value[j] * engine_own_share);
    }
    gsl_matrix_const_view lower =
        gsl_matrix_const_view_array(field->lower, fitting->n, fitting->n);
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1, &lower.matrix,
                   explained);
}

/* Takes a field's share off the doubt of a pair of columns. */
static double explained_db2(const gsl_matrix *explained, size_t a, size_t b) {
    double sum = 0;
    for (size_t i = 0; i < explained->size1; i++)
        sum += gsl_matrix_get(explained, i, a) * gsl_matrix_get(explained, i, b);
    return sum;
}

/* The construction that a thing is built of. */
struct building {
    const engine_reads *reads;
    size_t *construction; /* by own number */
};

static void note_construction(void *who, const engine_crossing *crossing) {
    const struct building *building = who;
    if (crossing->thing != EARSHOT_NONE)
        building->construction[building->reads->own_of[crossing->thing]] =
            crossing->construction;
}

static void add_doubts(struct fitting *fitting, const engine_field *field,
                       const gsl_matrix *explained, const size_t *construction) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    for (size_t i = 0; i < belief->n; i++)
        for (size_t j = 0; j <= i; j++) {
            double less = field->weight * explained_db2(explained, i, j);
            belief->covariance[i * belief->n + j] -= less;
            if (i != j)
                belief->covariance[j * belief->n + i] -= less;
        }
    for (size_t i = 0; i < reads->n_own; i++) {
        size_t own = belief->n + i, shared = ENGINE_FIRST_CONSTRUCTION + construction[i];
        double alone = explained_db2(explained, own, own);
        reads->own_alone[i] -= field->weight * alone;
        reads->own_variance[i] -=
            field->weight * (alone + 2 * explained_db2(explained, own, shared) +
                             explained_db2(explained, shared, shared));
    }
}

/* What the fields disagree about adds to the doubt. */
static void add_disagreement(struct fitting *fitting, const engine_field *field,
                             const size_t *construction, double *mean, double *own_mean) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    memset(mean, 0, belief->n * sizeof *mean);
    memset(own_mean, 0, (reads->n_own + 1) * sizeof *own_mean);
    fitting_add_means(fitting, field, 1, mean, own_mean);
    for (size_t i = 0; i < belief->n; i++)
        mean[i] += fitting->prior->mean[i] - belief->mean[i];
    for (size_t i = 0; i < belief->n; i++)
        for (size_t j = 0; j < belief->n; j++)
            belief->covariance[i * belief->n + j] += field->weight * mean[i] * mean[j];
    for (size_t i = 0; i < reads->n_own; i++) {
        double alone = own_mean[i] - reads->own_mean[i];
        double both = alone + mean[ENGINE_FIRST_CONSTRUCTION + construction[i]];
        reads->own_alone[i] += field->weight * alone * alone;
        reads->own_variance[i] += field->weight * both * both;
    }
}

enum earshot_status fitting_set_doubts(struct fitting *fitting) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    size_t *construction = calloc(reads->n_own + 1, sizeof *construction);
    double *mean = malloc((belief->n + 1) * sizeof *mean);
    double *own_mean = malloc((reads->n_own + 1) * sizeof *own_mean);
    gsl_matrix *explained = gsl_matrix_alloc(fitting->n, belief->n + reads->n_own);
    struct building building = {reads, construction};
    enum earshot_status status =
        construction && explained && mean && own_mean ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK) {
        for (size_t i = 0; i < fitting->n; i++)
            engine_walk(fitting->survey, &fitting->observations.all[i].link, NULL,
                        note_construction, &building);
        for (size_t i = 0; i < reads->n_own; i++)
            reads->own_variance[i] = 1;
        for (size_t i = 0; i < reads->n_own; i++)
            reads->own_alone[i] = engine_own_share;
        for (size_t i = 0; i < reads->n_fields; i++) {
            explain(fitting, &reads->fields[i], explained);
            add_doubts(fitting, &reads->fields[i], explained, construction);
            add_disagreement(fitting, &reads->fields[i], construction, mean, own_mean);
        }
    }
    free(construction);
    free(mean);
    free(own_mean);
    gsl_matrix_free(explained);
    return status;
}
