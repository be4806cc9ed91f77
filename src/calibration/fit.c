/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fit.c - readings and the belief of the tables to a corrected belief.
 *
 * Margins and levels are linear in the parameters near any belief, so that readings,
 * parameters, walls and places are one set of normals:
 *
 *     slopes      at the belief so far (engine)
 *     sites       censored, counted, heavy-tailed readings as plain ones (sites.c)
 *     parameters  their best by least squares, losses and all as they are (solve.c)
 *     again until no parameter moves
 *
 * What no parameter explains has an unknown sd, reach and share that is of one place only: each
 * of a small grid of these is fitted, and weighs by its own chance of the readings. Nothing is
 * plugged in, because few readings tell little of it.
 */
#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calibration.h"
#include "record.h"
#include "sites.h"
#include "solve.h"

/* A later visit's shift against the first: another hand, battery or meter. The reach of the
 * field, and how far each of its three may be off. Judgement, no source, but the reach: many
 * campaigns indoors report 1 to 2 m. */
static const double shift_sd_db = 4, length_m = 2;
static const double sd_factors[] = {0.6, 1, 1.6}, length_factors[] = {0.5, 1, 2};
static const double static_factors[] = {0.7, 1, 1.4};
static const double three_chances[] = {0.25, 0.5, 0.25};
static const double least_weight = 0.004; /* of the heaviest: less is dropped */
enum { N_FACTORS = 3, MOST_FIELDS = 9, MOST_ROUNDS = 6, MOST_FOR_FIELD = 400 };
static const double settled_sds = 0.02;

static double square(double x) {
    return x * x;
}

struct fitting {
    const earshot_survey *survey;
    const earshot_belief *prior;
    const earshot_watch *watch;
    earshot_belief *belief;
    calibration_observations observations;
    size_t n;
    size_t room; /* in the pools of the views */
    double *value, *before, *covariance;
    calibration_sites sites;
};

/* ---- slopes ---- */

static void number_thing(void *who, const engine_crossing *crossing) {
    engine_reads *reads = who;
    if (crossing->thing != EARSHOT_NONE && reads->own_of[crossing->thing] == EARSHOT_NONE)
        reads->own_of[crossing->thing] = reads->n_own++;
}

static bool number_things(struct fitting *fitting) {
    engine_reads *reads = fitting->belief->reads;
    size_t n = engine_n_things(fitting->survey);
    reads->own_of = malloc((n + 1) * sizeof *reads->own_of);
    if (!reads->own_of)
        return false;
    for (size_t i = 0; i < n; i++)
        reads->own_of[i] = EARSHOT_NONE;
    for (size_t i = 0; i < fitting->n; i++)
        engine_walk(fitting->survey, &fitting->observations.all[i].link, NULL, number_thing,
                    reads);
    reads->own_mean = calloc(reads->n_own + 1, sizeof *reads->own_mean);
    reads->own_variance = calloc(reads->n_own + 1, sizeof *reads->own_variance);
    return reads->own_mean && reads->own_variance;
}

static double meter_sd_db(const earshot_survey *survey, const earshot_belief *prior,
                          size_t meter) {
    return meter < survey->n_scales ? survey->scales[meter].offset_sd_db : prior->meter_sd_db;
}

/* A view of one observation, its numbers copied to where they last. */
static void keep_view(struct fitting *fitting, size_t i, engine_result *result) {
    engine_reads *reads = fitting->belief->reads;
    const calibration_observation *of = &fitting->observations.all[i];
    engine_view view = engine_view_of(&of->link, result, of->margin);
    size_t *numbers = reads->numbers + i * fitting->room;
    double *values = reads->values + i * fitting->room;
    memcpy(numbers, view.parameter, view.n * sizeof *numbers);
    memcpy(values, view.value, view.n * sizeof *values);
    memcpy(numbers + view.n, view.own, view.n_own * sizeof *numbers);
    memcpy(values + view.n, view.own_value, view.n_own * sizeof *values);
    view.parameter = numbers;
    view.value = values;
    view.own = numbers + view.n;
    view.own_value = values + view.n;
    view.static_share = of->static_share;
    view.in_place = of->in_place;
    view.meter = of->meter;
    view.shift = of->shift;
    view.edge = of->edge;
    if (of->meter != EARSHOT_NONE)
        view.meter_sd_db = meter_sd_db(fitting->survey, fitting->prior, of->meter);
    if (of->edge != EARSHOT_NONE)
        view.edge_sd_db = fitting->survey->readings[of->reading].edge_sd_db;
    reads->views[i] = view;
}

/* What an observation would be by the tables, along the slopes of the belief so far. */
static double before_of(const struct fitting *fitting, size_t i) {
    const engine_reads *reads = fitting->belief->reads;
    const engine_view *view = &reads->views[i];
    double before = fitting->value[i];
    for (size_t j = 0; j < view->n; j++)
        before -= view->value[j] * (fitting->belief->mean[view->parameter[j]] -
                                    fitting->prior->mean[view->parameter[j]]);
    for (size_t j = 0; j < view->n_own; j++)
        before -= view->own_value[j] * reads->own_mean[view->own[j]];
    return before;
}

static double value_of(const calibration_observation *of, const engine_result *result) {
    return result->rx_power_dbm - (of->margin ? result->needed_dbm : 0) - of->pad_db;
}

static void take_slopes(struct fitting *fitting) {
    for (size_t i = 0; i < fitting->n; i++) {
        engine_result result;
        engine_solve(fitting->survey, fitting->belief, &fitting->observations.all[i].link, NULL,
                     &result);
        fitting->value[i] = value_of(&fitting->observations.all[i], &result);
        keep_view(fitting, i, &result);
        fitting->before[i] = before_of(fitting, i);
    }
}

/* ---- one field ---- */

/* Variance of an observation by the tables, with the fade that is noise to it. */
static double own_db2(const engine_reads *reads, const engine_field *field, size_t i) {
    const engine_view *view = &reads->views[i];
    double noise = view->in_place ? 0 : view->static_share * square(field->static_sd_db);
    return engine_prior_db2(reads, field, view) + noise;
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

static enum earshot_status settle(struct fitting *fitting, const engine_field *field) {
    set_covariance(fitting, field);
    return calibration_sites_settle(fitting->observations.all, fitting->before,
                                    fitting->covariance, &fitting->sites);
}

/* Factor and pull of a field, from the sites as they are. */
static enum earshot_status pull(struct fitting *fitting, engine_field *field) {
    size_t n = fitting->n;
    field->lower = malloc(n * n * sizeof *field->lower);
    field->pull = malloc(n * sizeof *field->pull);
    if (!field->lower || !field->pull)
        return EARSHOT_NO_MEMORY;
    memcpy(field->lower, fitting->covariance, n * n * sizeof *field->lower);
    for (size_t i = 0; i < n; i++) {
        field->lower[i * n + i] += calibration_site_variance(&fitting->sites, i);
        field->pull[i] = calibration_site_value(&fitting->sites, i) - fitting->before[i];
    }
    gsl_matrix_view lower = gsl_matrix_view_array(field->lower, n, n);
    gsl_vector_view pulls = gsl_vector_view_array(field->pull, n);
    if (gsl_linalg_cholesky_decomp1(&lower.matrix))
        return EARSHOT_INVALID;
    gsl_linalg_cholesky_svx(&lower.matrix, &pulls.vector);
    return EARSHOT_OK;
}

static void drop_field(engine_field *field) {
    free(field->lower);
    free(field->pull);
    field->lower = field->pull = NULL;
}

/* ---- parameters ---- */

/* Adds a field's share of where parameters and things are pulled to. */
static void add_means(const struct fitting *fitting, const engine_field *field, double weight,
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

/* Means of all fields together; how far the farthest parameter moved, in its sds. */
static double set_means(struct fitting *fitting, const engine_field *fields, size_t n_fields,
                        double *mean, double *own_mean) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    double moved = 0;
    memcpy(mean, fitting->prior->mean, belief->n * sizeof *mean);
    memset(own_mean, 0, (reads->n_own + 1) * sizeof *own_mean);
    for (size_t i = 0; i < n_fields; i++)
        add_means(fitting, &fields[i], fields[i].weight, mean, own_mean);
    for (size_t i = 0; i < belief->n; i++) {
        if (reads->prior_db2[i] > 0)
            moved = fmax(moved, fabs(mean[i] - belief->mean[i]) / sqrt(reads->prior_db2[i]));
        belief->mean[i] = mean[i];
    }
    for (size_t i = 0; i < reads->n_own; i++) {
        moved = fmax(moved, fabs(own_mean[i] - reads->own_mean[i]));
        reads->own_mean[i] = own_mean[i];
    }
    return moved;
}

static engine_field middle_field(const earshot_belief *prior) {
    return (engine_field){.weight = 1,
                          .sd_db = prior->shadow_sd_db,
                          .length_m = length_m,
                          .static_sd_db = prior->static_sd_db};
}

/* Rounds of slopes, sites and means with one field, until nothing moves. */
static enum earshot_status find_means(struct fitting *fitting, double *mean, double *own_mean) {
    for (int round = 0; round < MOST_ROUNDS; round++) {
        engine_field field = middle_field(fitting->prior);
        take_slopes(fitting);
        enum earshot_status status = settle(fitting, &field);
        if (status == EARSHOT_OK)
            status = pull(fitting, &field);
        double moved = status == EARSHOT_OK ? set_means(fitting, &field, 1, mean, own_mean) : 0;
        drop_field(&field);
        if (status != EARSHOT_OK)
            return status;
        if (moved < settled_sds)
            break;
    }
    take_slopes(fitting);
    return EARSHOT_OK;
}

/* ---- the grid of fields ---- */

static bool go_on(const struct fitting *fitting, double share_done) {
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

static size_t lay_grid(const struct fitting *fitting, engine_field *fields, double *log_prior) {
    size_t n = 0;
    for (int i = 0; i < N_FACTORS; i++)
        for (int j = 0; j < N_FACTORS; j++)
            for (int k = 0; k < N_FACTORS; k++) {
                if ((!reach_matters(fitting) && j != 1) ||
                    (fitting->prior->static_sd_db == 0 && k != 1))
                    continue;
                fields[n] = middle_field(fitting->prior);
                fields[n].sd_db *= sd_factors[i];
                fields[n].length_m *= length_factors[j];
                fields[n].static_sd_db *= static_factors[k];
                log_prior[n++] = log(three_chances[i] * three_chances[j] * three_chances[k]);
            }
    return n;
}

static int heavier_first(const void *a, const void *b) {
    const engine_field *left = a, *right = b;
    return (left->weight < right->weight) - (left->weight > right->weight);
}

/* Chances to weights; keeps the heaviest fields. Returns how many. */
static size_t weigh(engine_field *fields, size_t n) {
    double most = -INFINITY, sum = 0;
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, fields[i].weight);
    for (size_t i = 0; i < n; i++)
        fields[i].weight = exp(fields[i].weight - most);
    qsort(fields, n, sizeof *fields, heavier_first);
    while (kept < n && kept < MOST_FIELDS && fields[kept].weight >= least_weight)
        sum += fields[kept++].weight;
    for (size_t i = 0; i < kept; i++)
        fields[i].weight /= sum;
    for (size_t i = kept; i < n; i++)
        drop_field(&fields[i]);
    return kept;
}

enum { N_GRID = N_FACTORS * N_FACTORS * N_FACTORS };

/* Chance of the readings with each field of the grid, as log weights. */
static enum earshot_status weigh_grid(struct fitting *fitting, engine_field *fields,
                                      size_t *n_fields) {
    double log_prior[N_GRID];
    size_t n = lay_grid(fitting, fields, log_prior);
    for (size_t i = 0; i < n; i++) {
        enum earshot_status status = settle(fitting, &fields[i]);
        if (status != EARSHOT_OK)
            return status;
        fields[i].weight = log_prior[i] + fitting->sites.log_chance;
        if (!go_on(fitting, (double)(i + 1) / (double)(n + MOST_FIELDS)))
            return EARSHOT_STOPPED;
    }
    *n_fields = weigh(fields, n);
    return EARSHOT_OK;
}

/* Factors of the fields that were kept, and what each made of the readings. */
static enum earshot_status pull_fields(struct fitting *fitting, engine_reads *reads,
                                       struct calibration_record *record) {
    for (size_t i = 0; i < reads->n_fields; i++) {
        enum earshot_status status = settle(fitting, &reads->fields[i]);
        if (status == EARSHOT_OK)
            status = pull(fitting, &reads->fields[i]);
        if (status != EARSHOT_OK)
            return status;
        for (size_t j = 0; j < fitting->n; j++) {
            record->site_value[i * fitting->n + j] = calibration_site_value(&fitting->sites, j);
            record->site_variance[i * fitting->n + j] =
                calibration_site_variance(&fitting->sites, j);
        }
        if (!go_on(fitting, (double)(N_GRID + i + 1) / (N_GRID + MOST_FIELDS)))
            return EARSHOT_STOPPED;
    }
    return EARSHOT_OK;
}

/* ---- what is left in doubt of the parameters ---- */

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
        reads->own_variance[i] -= field->weight * (explained_db2(explained, own, own) +
                                                   2 * explained_db2(explained, own, shared) +
                                                   explained_db2(explained, shared, shared));
    }
}

/* What the fields disagree about adds to the doubt. */
static void add_disagreement(struct fitting *fitting, const engine_field *field, double *mean,
                             double *own_mean) {
    earshot_belief *belief = fitting->belief;
    memset(mean, 0, belief->n * sizeof *mean);
    add_means(fitting, field, 1, mean, own_mean);
    for (size_t i = 0; i < belief->n; i++)
        mean[i] += fitting->prior->mean[i] - belief->mean[i];
    for (size_t i = 0; i < belief->n; i++)
        for (size_t j = 0; j < belief->n; j++)
            belief->covariance[i * belief->n + j] += field->weight * mean[i] * mean[j];
}

static enum earshot_status set_doubts(struct fitting *fitting, double *mean, double *own_mean) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    size_t *construction = calloc(reads->n_own + 1, sizeof *construction);
    gsl_matrix *explained = gsl_matrix_alloc(fitting->n, belief->n + reads->n_own);
    struct building building = {reads, construction};
    enum earshot_status status = construction && explained ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK) {
        for (size_t i = 0; i < fitting->n; i++)
            engine_walk(fitting->survey, &fitting->observations.all[i].link, NULL,
                        note_construction, &building);
        for (size_t i = 0; i < reads->n_own; i++)
            reads->own_variance[i] = 1;
        for (size_t i = 0; i < reads->n_fields; i++) {
            explain(fitting, &reads->fields[i], explained);
            add_doubts(fitting, &reads->fields[i], explained, construction);
            add_disagreement(fitting, &reads->fields[i], mean, own_mean);
        }
    }
    free(construction);
    gsl_matrix_free(explained);
    return status;
}

/* The meter that reads most, and its offset. */
static void set_meter(struct fitting *fitting) {
    engine_reads *reads = fitting->belief->reads;
    size_t most = 0;
    reads->meter = EARSHOT_NONE;
    for (size_t i = 0; i < fitting->n; i++) {
        size_t n = 0;
        for (size_t j = 0; j < fitting->n; j++)
            n += reads->views[j].meter == reads->views[i].meter;
        if (reads->views[i].meter != EARSHOT_NONE && n > most) {
            most = n;
            reads->meter = reads->views[i].meter;
            reads->meter_sd_db = reads->views[i].meter_sd_db;
        }
    }
    if (reads->meter == EARSHOT_NONE)
        reads->meter_sd_db = fitting->prior->meter_sd_db;
    for (size_t h = 0; h < reads->n_fields; h++)
        for (size_t i = 0; i < fitting->n; i++)
            if (reads->views[i].meter == reads->meter && reads->meter != EARSHOT_NONE)
                reads->meter_mean_db += reads->fields[h].weight * square(reads->meter_sd_db) *
                                        reads->fields[h].pull[i];
}

/* ---- all ---- */

static bool take(struct fitting *fitting, struct calibration_record *record) {
    const earshot_survey *survey = fitting->survey;
    size_t n = fitting->n;
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    fitting->room = survey->n_constructions + 8 + ENGINE_MAX_OWN;
    reads->views = calloc(n, sizeof *reads->views);
    reads->numbers = malloc(n * fitting->room * sizeof *reads->numbers);
    reads->values = malloc(n * fitting->room * sizeof *reads->values);
    reads->prior_db2 = malloc((belief->n + 1) * sizeof *reads->prior_db2);
    reads->fields = calloc(N_GRID, sizeof *reads->fields);
    fitting->value = malloc(n * sizeof *fitting->value);
    fitting->covariance = malloc(n * n * sizeof *fitting->covariance);
    fitting->before = record->before = malloc(n * sizeof *fitting->before);
    record->site_value = malloc(MOST_FIELDS * n * sizeof *record->site_value);
    record->site_variance = malloc(MOST_FIELDS * n * sizeof *record->site_variance);
    record->prior_mean = malloc((belief->n + 1) * sizeof *record->prior_mean);
    return reads->views && reads->numbers && reads->values && reads->prior_db2 &&
           reads->fields && fitting->value && fitting->covariance && fitting->before &&
           record->site_value && record->site_variance && record->prior_mean &&
           calibration_sites_new(n, &fitting->sites) == EARSHOT_OK && number_things(fitting);
}

static enum earshot_status run(struct fitting *fitting, struct calibration_record *record) {
    earshot_belief *belief = fitting->belief;
    engine_reads *reads = belief->reads;
    size_t n_fields = 0;
    double *mean = malloc((belief->n + 1) * sizeof *mean);
    double *own_mean = malloc((reads->n_own + 1) * sizeof *own_mean);
    enum earshot_status status = mean && own_mean ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < belief->n; i++)
        reads->prior_db2[i] = fitting->prior->covariance[i * belief->n + i];
    reads->shift_db2 = square(shift_sd_db);
    memcpy(record->prior_mean, fitting->prior->mean, belief->n * sizeof *mean);
    if (status == EARSHOT_OK)
        status = find_means(fitting, mean, own_mean);
    if (status == EARSHOT_OK)
        status = weigh_grid(fitting, reads->fields, &n_fields);
    reads->n_fields = n_fields;
    if (status == EARSHOT_OK)
        status = pull_fields(fitting, reads, record);
    if (status == EARSHOT_OK) {
        set_means(fitting, reads->fields, n_fields, mean, own_mean);
        set_meter(fitting);
        reads->n = fitting->n;
        status = set_doubts(fitting, mean, own_mean);
    }
    free(mean);
    free(own_mean);
    return status;
}

static enum earshot_status fit(struct fitting *fitting) {
    earshot_belief *belief = fitting->belief;
    struct calibration_record *record = belief->record = calloc(1, sizeof *record);
    belief->reads = calloc(1, sizeof *belief->reads);
    if (!record || !belief->reads) {
        calibration_observations_free(&fitting->observations);
        return EARSHOT_NO_MEMORY;
    }
    record->observations = fitting->observations;
    enum earshot_status status =
        take(fitting, record) ? run(fitting, record) : EARSHOT_NO_MEMORY;
    free(fitting->value);
    free(fitting->covariance);
    calibration_sites_free(&fitting->sites);
    return status;
}

enum earshot_status earshot_belief_fit(const earshot_survey *survey, const unsigned char *use,
                                       const earshot_watch *watch, earshot_findings *findings,
                                       earshot_belief **out) {
    if (!survey || !out)
        return EARSHOT_MISUSE;
    earshot_belief *prior = NULL, *belief = NULL;
    struct fitting fitting = {.survey = survey, .watch = watch};
    calibration_quiet_gsl();
    enum earshot_status status = earshot_belief_prior(survey, &prior);
    if (status == EARSHOT_OK)
        status = earshot_belief_prior(survey, &belief);
    if (status == EARSHOT_OK)
        status = calibration_observe(survey, prior, use, &fitting.observations);
    fitting.prior = prior;
    fitting.belief = belief;
    fitting.n = fitting.observations.n;
    if (status == EARSHOT_OK && fitting.n)
        status = fit(&fitting);
    earshot_belief_free(prior);
    if (status != EARSHOT_OK) {
        earshot_belief_free(belief);
        return status;
    }
    (void)findings;
    *out = belief;
    return EARSHOT_OK;
}
