/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fields.c - what no parameter explains: its sd, reach and share of one place only, each of a
 * small grid fitted apart and weighed by its own chance of the readings.
 */
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fitting.h"

/* The reach of the field, and by what factors each of the three may be off. Many campaigns
 * indoors report a reach of 1 to 2 m; the rest is judgement, no source. Those of the sds have a
 * mean square of 1, so that readings which tell nothing leave the tables' doubt as it is. */
static const double length_m = 2;
static const double sd_factors[] = {0.4, 0.8, 1.6}, length_factors[] = {0.5, 1, 2};
static const double static_factors[] = {0.676, 0.946, 1.324};
static const double three_chances[] = {0.25, 0.5, 0.25};
enum { N_FACTORS = 3 };
static const double least_share = 0.002; /* of all weight: less is dropped */

static double square(double x) {
    return x * x;
}

/* ---- one field ---- */

engine_field fitting_middle_field(const earshot_belief *prior) {
    return (engine_field){.weight = 1,
                          .sd_db = prior->shadow_sd_db,
                          .length_m = length_m,
                          .static_sd_db = prior->static_sd_db};
}

/* Variance of an observation by the tables, with the fade that is noise to it. */
static double own_db2(const engine_reads *reads, const engine_field *field, size_t i) {
    const engine_view *view = &reads->views[i];
    double noise = view->in_place ? 0 : view->static_share * square(field->static_sd_db);
    return engine_prior_db2(reads, field, view) + square(view->link_share) * noise;
}

static void set_covariance(struct fitting *fitting, const engine_field *field) {
    const engine_reads *reads = fitting->belief->reads;
    size_t n = fitting->n;
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < i; j++)
            fitting->covariance[i * n + j] = fitting->covariance[j * n + i] = engine_shared_db2(
                fitting->survey, reads, field, &reads->views[i], &reads->views[j], NULL);
        fitting->covariance[i * n + i] = own_db2(reads, field, i);
    }
}

static void foretell(struct fitting *fitting, const engine_field *field) {
    const engine_obstacle *obstacle = &field->obstacle;
    for (size_t i = 0; i < fitting->n; i++)
        fitting->foretold[i] =
            fitting->before[i] -
            engine_obstacle_share(obstacle, &fitting->belief->reads->views[i]) *
                obstacle->loss_db;
}

enum earshot_status fitting_settle(struct fitting *fitting, const engine_field *field) {
    set_covariance(fitting, field);
    foretell(fitting, field);
    return calibration_sites_settle(fitting->observations.all, fitting->foretold,
                                    fitting->covariance, &fitting->sites);
}

/* Factor and pull of a field, from the sites as they are. */
enum earshot_status fitting_pull(struct fitting *fitting, engine_field *field) {
    size_t n = fitting->n;
    field->lower = malloc(n * n * sizeof *field->lower);
    field->pull = malloc(n * sizeof *field->pull);
    if (!field->lower || !field->pull)
        return EARSHOT_NO_MEMORY;
    memcpy(field->lower, fitting->covariance, n * n * sizeof *field->lower);
    for (size_t i = 0; i < n; i++) {
        field->lower[i * n + i] += calibration_site_variance(&fitting->sites, i);
        field->pull[i] = calibration_site_value(&fitting->sites, i) - fitting->foretold[i];
    }
    gsl_matrix_view lower = gsl_matrix_view_array(field->lower, n, n);
    gsl_vector_view pulls = gsl_vector_view_array(field->pull, n);
    if (gsl_linalg_cholesky_decomp1(&lower.matrix))
        return EARSHOT_INVALID;
    gsl_linalg_cholesky_svx(&lower.matrix, &pulls.vector);
    for (size_t i = 0; i < n; i++)
        if (!isfinite(field->pull[i]))
            return EARSHOT_INVALID;
    return EARSHOT_OK;
}

/* ---- the grid of fields ---- */

bool fitting_go_on(const struct fitting *fitting, double share_done) {
    const earshot_watch *watch = fitting->watch;
    return !watch || !watch->go_on || watch->go_on(watch->who, share_done);
}

/* Whether any two links of a plan can tell how far the field reaches. */
static bool reach_matters(const struct fitting *fitting) {
    size_t n = 0;
    for (size_t i = 0; i < fitting->n; i++)
        n += fitting->observations.all[i].link.path == EARSHOT_NONE;
    return n > 1;
}

/* Those that differ by their reach only stand together. */
static size_t lay_grid(const struct fitting *fitting, engine_field *fields, double *log_prior) {
    size_t n = 0;
    for (int i = 0; i < N_FACTORS; i++)
        for (int j = 0; j < N_FACTORS; j++)
            for (int k = 0; k < N_FACTORS; k++) {
                if ((fitting->prior->static_sd_db == 0 && j != 1) ||
                    (!reach_matters(fitting) && k != 1))
                    continue;
                fields[n] = fitting_middle_field(fitting->prior);
                fields[n].sd_db *= sd_factors[i];
                fields[n].static_sd_db *= static_factors[j];
                fields[n].length_m *= length_factors[k];
                log_prior[n++] = log(three_chances[i] * three_chances[j] * three_chances[k]);
            }
    return n;
}

/* The fields of the grid that have the same two sds, and one for each reach. */
struct alike {
    double weight; /* of all of them */
    size_t first;
};

static int heavier_first(const void *a, const void *b) {
    const struct alike *left = a, *right = b;
    if (left->weight != right->weight)
        return left->weight < right->weight ? 1 : -1;
    return (left->first > right->first) - (left->first < right->first);
}

static size_t group(const engine_field *fields, size_t n, size_t n_reaches,
                    struct alike *groups) {
    size_t n_groups = n / n_reaches;
    for (size_t i = 0; i < n; i++) {
        groups[i / n_reaches].weight += fields[i].weight;
        groups[i / n_reaches].first = i - i % n_reaches;
    }
    qsort(groups, n_groups, sizeof *groups, heavier_first);
    return n_groups;
}

/* The reach that has been given the least of its due by now. */
static size_t most_owed(const double *due, size_t n_reaches) {
    size_t most = 0;
    for (size_t i = 1; i < n_reaches; i++)
        if (due[i] > due[most])
            most = i;
    return most;
}

/* Chances to weights; keeps one field for each two sds, heaviest first. Returns how many. The
 * sds say how wide an answer is, so that none may go without its weight: the heaviest few of
 * all would be those near the middle. Which reach stands for all three is chosen so that over
 * all fields each has its share. */
static size_t weigh(engine_field *fields, size_t n, size_t n_reaches) {
    double most = -INFINITY, all = 0, sum = 0, due[N_FACTORS] = {0};
    struct alike groups[FITTING_N_PLAIN] = {{0}};
    engine_field keep[FITTING_N_PLAIN];
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, fields[i].weight);
    for (size_t i = 0; i < n; i++)
        all += fields[i].weight = exp(fields[i].weight - most);
    size_t n_groups = group(fields, n, n_reaches, groups);
    for (size_t g = 0; g < n_groups && groups[g].weight >= least_share * all; g++) {
        for (size_t i = 0; i < n_reaches; i++)
            due[i] += fields[groups[g].first + i].weight;
        size_t reach = most_owed(due, n_reaches);
        due[reach] -= groups[g].weight;
        keep[kept] = fields[groups[g].first + reach];
        sum += keep[kept++].weight = groups[g].weight;
    }
    for (size_t i = 0; i < kept; i++) {
        fields[i] = keep[i];
        fields[i].weight /= sum;
    }
    return kept;
}

/* Chance of the readings with each field of the grid, as log weights. */
enum earshot_status fitting_weigh_fields(struct fitting *fitting) {
    engine_reads *reads = fitting->belief->reads;
    double log_prior[FITTING_N_GRID];
    double settled = fitting->sites.settled;
    size_t n = lay_grid(fitting, reads->fields, log_prior);
    fitting->sites.settled = fitting_loosely;
    for (size_t i = 0; i < n; i++) {
        enum earshot_status status = fitting_settle(fitting, &reads->fields[i]);
        if (status != EARSHOT_OK)
            return status;
        reads->fields[i].weight = log_prior[i] + fitting->sites.log_chance;
        if (!fitting_go_on(fitting, (double)(i + 1) / (double)(n + FITTING_MOST_FIELDS)))
            return EARSHOT_STOPPED;
    }
    fitting->sites.settled = settled;
    reads->n_fields = weigh(reads->fields, n, reach_matters(fitting) ? N_FACTORS : 1);
    return EARSHOT_OK;
}

/* Factors of the fields that were kept, and what each made of the readings. */
enum earshot_status fitting_pull_fields(struct fitting *fitting) {
    engine_reads *reads = fitting->belief->reads;
    struct calibration_record *record = fitting->belief->record;
    for (size_t i = 0; i < reads->n_fields; i++) {
        enum earshot_status status = fitting_settle(fitting, &reads->fields[i]);
        if (status == EARSHOT_OK)
            status = fitting_pull(fitting, &reads->fields[i]);
        if (status != EARSHOT_OK)
            return status;
        for (size_t j = 0; j < fitting->n; j++) {
            record->site_value[i * fitting->n + j] = calibration_site_value(&fitting->sites, j);
            record->site_variance[i * fitting->n + j] =
                calibration_site_variance(&fitting->sites, j);
        }
        if (!fitting_go_on(fitting, (double)(FITTING_N_GRID + i + 1) /
                                        (FITTING_N_GRID + FITTING_MOST_FIELDS)))
            return EARSHOT_STOPPED;
    }
    return EARSHOT_OK;
}
