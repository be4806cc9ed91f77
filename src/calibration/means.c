/* SPDX-License-Identifier: GPL-3.0-or-later */
/* means.c - where parameters and walls are pulled to.
 *
 * With the sites as they are, each observation is a plain reading of a level, and the
 * parameters are those of least squares: residuals whitened by what the readings share beside
 * parameters, and one row for what the tables say of each. The levels are the engine's own,
 * losses that cannot fall under nothing and all. Walls' own then follow in closed form.
 */
#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fitting.h"
#include "solve.h"

/* ---- closed form ---- */

void fitting_add_means(const struct fitting *fitting, const engine_field *field, double weight,
                       double *mean, double *own_mean) {
    const engine_reads *reads = fitting->belief->reads;
    for (size_t i = 0; i < fitting->n; i++) {
        const engine_view *view = &reads->views[i];
        for (size_t j = 0; j < view->n; j++)
            mean[view->parameter[j]] +=
                weight * reads->prior_db2[view->parameter[j]] * view->value[j] * field->pull[i];
        for (size_t j = 0; j < view->n_own; j++)
            own_mean[view->own[j]] +=
                weight * engine_own_share * view->own_value[j] * field->pull[i];
    }
}

void fitting_set_means(struct fitting *fitting) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    memcpy(belief->mean, fitting->prior->mean, belief->n * sizeof *belief->mean);
    memset(reads->own_mean, 0, (reads->n_own + 1) * sizeof *reads->own_mean);
    for (size_t i = 0; i < reads->n_fields; i++)
        fitting_add_means(fitting, &reads->fields[i], reads->fields[i].weight, belief->mean,
                          reads->own_mean);
}

/* ---- least squares ---- */

/* The parameters that readings hang on. */
struct solving {
    struct fitting *fitting;
    size_t *parameter;
    size_t n_unknowns;
    gsl_matrix *lower; /* of what readings share beside parameters, noise on the diagonal */
    double *own_db;    /* n: what walls' own means are in each level */
};

static bool find_unknowns(struct solving *solving) {
    const struct fitting *fitting = solving->fitting;
    const engine_reads *reads = fitting->belief->reads;
    for (size_t p = 0; p < fitting->belief->n; p++) {
        bool used = false;
        for (size_t i = 0; i < fitting->n && !used; i++)
            for (size_t j = 0; j < reads->views[i].n; j++)
                used = used || reads->views[i].parameter[j] == p;
        if (used && reads->prior_db2[p] > 0)
            solving->parameter[solving->n_unknowns++] = p;
    }
    return solving->n_unknowns > 0;
}

/* What is left of the covariance at hand without the parameters, and the noise of the sites. */
static bool factor(struct solving *solving) {
    const struct fitting *fitting = solving->fitting;
    const engine_reads *reads = fitting->belief->reads;
    for (size_t i = 0; i < fitting->n; i++)
        for (size_t j = 0; j <= i; j++) {
            double db2 = fitting->covariance[i * fitting->n + j] -
                         engine_parameters_db2(reads, &reads->views[i], &reads->views[j]);
            if (i == j)
                db2 += calibration_site_variance(&fitting->sites, i);
            gsl_matrix_set(solving->lower, i, j, db2);
        }
    return gsl_linalg_cholesky_decomp1(solving->lower) == GSL_SUCCESS;
}

static void keep_own(struct solving *solving) {
    const engine_reads *reads = solving->fitting->belief->reads;
    for (size_t i = 0; i < solving->fitting->n; i++) {
        solving->own_db[i] = 0;
        for (size_t j = 0; j < reads->views[i].n_own; j++)
            solving->own_db[i] +=
                reads->views[i].own_value[j] * reads->own_mean[reads->views[i].own[j]];
    }
}

static void set_parameters(const struct solving *solving, const double *unknowns) {
    const engine_reads *reads = solving->fitting->belief->reads;
    for (size_t k = 0; k < solving->n_unknowns; k++) {
        size_t p = solving->parameter[k];
        solving->fitting->belief->mean[p] =
            solving->fitting->prior->mean[p] + unknowns[k] * sqrt(reads->prior_db2[p]);
    }
}

static void set_residuals(const struct solving *solving, const double *unknowns,
                          double *residuals) {
    struct fitting *fitting = solving->fitting;
    size_t n = fitting->n;
    fitting_take_values(fitting);
    for (size_t i = 0; i < n; i++)
        residuals[i] =
            fitting->value[i] - solving->own_db[i] - calibration_site_value(&fitting->sites, i);
    gsl_vector_view white = gsl_vector_view_array(residuals, n);
    gsl_blas_dtrsv(CblasLower, CblasNoTrans, CblasNonUnit, solving->lower, &white.vector);
    memcpy(residuals + n, unknowns, solving->n_unknowns * sizeof *residuals);
}

static void set_derivatives(const struct solving *solving, double *derivatives) {
    struct fitting *fitting = solving->fitting;
    const engine_reads *reads = fitting->belief->reads;
    size_t n = fitting->n, n_unknowns = solving->n_unknowns;
    memset(derivatives, 0, (n + n_unknowns) * n_unknowns * sizeof *derivatives);
    fitting_take_slopes(fitting);
    for (size_t k = 0; k < n_unknowns; k++) {
        size_t p = solving->parameter[k];
        for (size_t i = 0; i < n; i++)
            for (size_t j = 0; j < reads->views[i].n; j++)
                if (reads->views[i].parameter[j] == p)
                    derivatives[i * n_unknowns + k] +=
                        reads->views[i].value[j] * sqrt(reads->prior_db2[p]);
        derivatives[(n + k) * n_unknowns + k] = 1;
    }
    gsl_matrix_view white = gsl_matrix_view_array(derivatives, n, n_unknowns);
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1, solving->lower,
                   &white.matrix);
}

static bool rows(void *who, const double *unknowns, double *residuals, double *derivatives) {
    const struct solving *solving = who;
    set_parameters(solving, unknowns);
    if (derivatives)
        set_derivatives(solving, derivatives);
    if (residuals)
        set_residuals(solving, unknowns, residuals);
    return true;
}

/* Walls' own, with the parameters as they are: K_own C^-1 r, with C all but the parameters. */
static void set_own(struct solving *solving, double *residuals) {
    struct fitting *fitting = solving->fitting;
    engine_reads *reads = fitting->belief->reads;
    gsl_vector_view pull = gsl_vector_view_array(residuals, fitting->n);
    for (size_t i = 0; i < fitting->n; i++)
        residuals[i] =
            calibration_site_value(&fitting->sites, i) - fitting->value[i] + solving->own_db[i];
    gsl_linalg_cholesky_svx(solving->lower, &pull.vector);
    memset(reads->own_mean, 0, (reads->n_own + 1) * sizeof *reads->own_mean);
    for (size_t i = 0; i < fitting->n; i++)
        for (size_t j = 0; j < reads->views[i].n_own; j++)
            reads->own_mean[reads->views[i].own[j]] +=
                engine_own_share * reads->views[i].own_value[j] * residuals[i];
}

static enum earshot_status solve(struct solving *solving, double *unknowns, double *residuals,
                                 double *moved) {
    struct fitting *fitting = solving->fitting;
    const engine_reads *reads = fitting->belief->reads;
    double *start = unknowns + solving->n_unknowns;
    for (size_t k = 0; k < solving->n_unknowns; k++) {
        size_t p = solving->parameter[k];
        unknowns[k] =
            (fitting->belief->mean[p] - fitting->prior->mean[p]) / sqrt(reads->prior_db2[p]);
        start[k] = unknowns[k];
    }
    keep_own(solving);
    static const double content = 1e-5;
    const calibration_problem problem = {.n_rows = fitting->n + solving->n_unknowns,
                                         .n_unknowns = solving->n_unknowns,
                                         .rows = rows,
                                         .who = solving,
                                         .content = content};
    enum earshot_status status = calibration_solve(&problem, unknowns, NULL, NULL);
    set_parameters(solving, status == EARSHOT_OK ? unknowns : start);
    if (status != EARSHOT_OK)
        return status;
    fitting_take_slopes(fitting);
    set_own(solving, residuals);
    *moved = 0;
    for (size_t k = 0; k < solving->n_unknowns; k++)
        *moved = fmax(*moved, fabs(unknowns[k] - start[k]));
    return EARSHOT_OK;
}

enum earshot_status fitting_solve_means(struct fitting *fitting, double *moved) {
    size_t n = fitting->n, n_parameters = fitting->belief->n;
    struct solving solving = {.fitting = fitting,
                              .parameter = malloc((n_parameters + 1) * sizeof(size_t)),
                              .lower = gsl_matrix_alloc(n, n),
                              .own_db = malloc(n * sizeof(double))};
    double *unknowns = malloc((2 * n_parameters + 1) * sizeof *unknowns);
    double *residuals = malloc(n * sizeof *residuals);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (solving.parameter && solving.lower && solving.own_db && unknowns && residuals) {
        *moved = 0;
        status = EARSHOT_OK;
        if (find_unknowns(&solving))
            status = factor(&solving) ? solve(&solving, unknowns, residuals, moved)
                                      : EARSHOT_INVALID;
    }
    free(solving.parameter);
    gsl_matrix_free(solving.lower);
    free(solving.own_db);
    free(unknowns);
    free(residuals);
    return status;
}
