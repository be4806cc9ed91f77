/* SPDX-License-Identifier: GPL-3.0-or-later */
/* quality.c - what readings taught, and how well they fit.
 *
 * What all other readings say of one comes in closed form from the factor of the fit: with
 * A = K^-1, leaving the i-th out foretells y_i - (A r)_i / A_ii with variance 1 / A_ii
 * (Rasmussen and Williams 2006, eq. (5.12)). Leaving a listener out is a fit of its own.
 */
#include "quality.h"

#include <gsl/gsl_blas.h>
#include <math.h>
#include <stdlib.h>

#include "calibration.h"
#include "sites.h"

static const double surprising_chance = 0.01;
static const double learned_share = 0.9; /* of the sd before */

static double square(double x) {
    return x * x;
}

/* ---- unknowns ---- */

static bool hangs_on(const engine_view *view, const calibration_unknown *unknown,
                     double *slope) {
    *slope = 1;
    if (unknown->kind == CALIBRATION_METER)
        return view->meter == unknown->row;
    if (unknown->kind == CALIBRATION_VISIT)
        return view->shift == unknown->row;
    for (size_t j = 0; j < view->n; j++)
        if (view->parameter[j] == unknown->row) {
            *slope = view->value[j];
            return true;
        }
    return false;
}

static bool any_hangs_on(const engine_reads *reads, const calibration_unknown *unknown) {
    double slope;
    for (size_t i = 0; i < reads->n; i++)
        if (hangs_on(&reads->views[i], unknown, &slope))
            return true;
    return false;
}

static double unknown_db2(const earshot_survey *survey, const earshot_belief *belief,
                          const calibration_unknown *unknown) {
    const engine_reads *reads = belief->reads;
    if (unknown->kind == CALIBRATION_PARAMETER)
        return reads->prior_db2[unknown->row];
    if (unknown->kind == CALIBRATION_VISIT)
        return reads->shift_db2;
    return unknown->row < survey->n_scales ? square(survey->scales[unknown->row].offset_sd_db)
                                           : square(belief->meter_sd_db);
}

static void add_unknown(const earshot_survey *survey, const earshot_belief *belief,
                        enum calibration_unknown_kind kind, size_t row,
                        calibration_quality *out) {
    const calibration_unknown unknown = {.kind = kind, .row = row};
    if (any_hangs_on(belief->reads, &unknown) && unknown_db2(survey, belief, &unknown) > 0)
        out->unknowns[out->n_unknowns++] = unknown;
}

static bool list_unknowns(const earshot_survey *survey, const earshot_belief *belief,
                          calibration_quality *out) {
    size_t most = belief->n + survey->n_scales + 1 + survey->n_visits;
    out->unknowns = calloc(most + 1, sizeof *out->unknowns);
    if (!out->unknowns)
        return false;
    for (size_t i = 0; i < belief->n; i++)
        add_unknown(survey, belief, CALIBRATION_PARAMETER, i, out);
    for (size_t i = 0; i <= survey->n_scales; i++)
        add_unknown(survey, belief, CALIBRATION_METER, i, out);
    for (size_t i = 1; i < survey->n_visits; i++)
        add_unknown(survey, belief, CALIBRATION_VISIT, i, out);
    out->correlation = calloc(out->n_unknowns * out->n_unknowns + 1, sizeof(double));
    return out->correlation;
}

/* The radio that was read most: its frequency is that of the losses shown. */
static size_t main_radio(const struct calibration_record *record) {
    size_t best = 0, most = 0;
    for (size_t i = 0; i < record->observations.n; i++) {
        size_t n = 0, radio = record->observations.all[i].link.from.radio;
        for (size_t j = 0; j < record->observations.n; j++)
            n += record->observations.all[j].link.from.radio == radio;
        if (n > most) {
            most = n;
            best = radio;
        }
    }
    return best;
}

/* How a parameter is counted by people: base + scale x (what the model counts). */
static void natural(const earshot_survey *survey, const earshot_belief *belief,
                    const calibration_unknown *unknown, double *base, double *scale) {
    *base = 0;
    *scale = 1;
    if (unknown->kind != CALIBRATION_PARAMETER || unknown->row < ENGINE_FIRST_CONSTRUCTION)
        return;
    size_t row = unknown->row;
    if (row < engine_mount(survey, 0)) {
        size_t at = main_radio(belief->record) * survey->n_constructions + row -
                    ENGINE_FIRST_CONSTRUCTION;
        *base = belief->losses[at].loss_db;
        *scale = belief->losses[at].sd_db;
    } else if (row < engine_radio(survey, 0)) {
        *base = survey->mounts[row - engine_mount(survey, 0)].loss_db;
        *scale = survey->mounts[row - engine_mount(survey, 0)].sd_db;
    } else if (row < engine_antennas(survey, 0)) {
        const survey_radio *radio = &survey->radios[row - engine_radio(survey, 0)];
        *base = radio->rated_range_m > 0 ? 0 : radio->eirp_dbm;
    }
}

static void describe(const earshot_survey *survey, const earshot_belief *belief,
                     calibration_unknown *unknown, double mean, double after_db2) {
    double base, scale, before_sd = sqrt(unknown_db2(survey, belief, unknown));
    double prior_mean =
        unknown->kind == CALIBRATION_PARAMETER ? belief->record->prior_mean[unknown->row] : 0;
    natural(survey, belief, unknown, &base, &scale);
    unknown->before = base + scale * prior_mean;
    unknown->before_sd = fabs(scale) * before_sd;
    unknown->after = base + scale * (prior_mean + mean);
    unknown->after_sd = fabs(scale) * sqrt(fmax(after_db2, 0));
    unknown->moved_sds = mean / before_sd;
    unknown->learned = unknown->after_sd <= learned_share * unknown->before_sd;
}

/* One field: L^-1 J S, column by column, and where each is pulled to. */
static void explain(const earshot_survey *survey, const earshot_belief *belief,
                    const calibration_quality *quality, const engine_field *field,
                    gsl_matrix *explained, double *mean) {
    const engine_reads *reads = belief->reads;
    for (size_t k = 0; k < quality->n_unknowns; k++) {
        double db2 = unknown_db2(survey, belief, &quality->unknowns[k]);
        mean[k] = 0;
        for (size_t i = 0; i < reads->n; i++) {
            double slope = 0;
            bool hangs = hangs_on(&reads->views[i], &quality->unknowns[k], &slope);
            gsl_matrix_set(explained, i, k, hangs ? slope * db2 : 0);
            mean[k] += hangs ? slope * db2 * field->pull[i] : 0;
        }
    }
    gsl_matrix_const_view lower = gsl_matrix_const_view_array(field->lower, reads->n, reads->n);
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1, &lower.matrix,
                   explained);
}

static void add_field(const calibration_quality *quality, const gsl_matrix *explained,
                      const double *mean, double weight, double *means) {
    size_t n = quality->n_unknowns;
    for (size_t a = 0; a < n; a++) {
        means[a] += weight * mean[a];
        for (size_t b = 0; b < n; b++) {
            double sum = 0;
            for (size_t i = 0; i < explained->size1; i++)
                sum += gsl_matrix_get(explained, i, a) * gsl_matrix_get(explained, i, b);
            quality->correlation[a * n + b] += weight * (mean[a] * mean[b] - sum);
        }
    }
}

/* Covariances to sds and correlations. */
static void finish_unknowns(const earshot_survey *survey, const earshot_belief *belief,
                            calibration_quality *quality, const double *means, double *sds) {
    size_t n = quality->n_unknowns;
    for (size_t a = 0; a < n; a++) {
        double left_db2 = quality->correlation[a * n + a] - square(means[a]) +
                          unknown_db2(survey, belief, &quality->unknowns[a]);
        describe(survey, belief, &quality->unknowns[a], means[a], left_db2);
        sds[a] = sqrt(fmax(left_db2, 1e-12));
    }
    for (size_t a = 0; a < n; a++)
        for (size_t b = 0; b < n; b++)
            quality->correlation[a * n + b] =
                a == b ? 1
                       : (quality->correlation[a * n + b] - means[a] * means[b]) /
                             (sds[a] * sds[b]);
}

bool calibration_is_offset(const earshot_survey *survey, const calibration_unknown *unknown) {
    if (unknown->kind == CALIBRATION_PARAMETER && unknown->row >= engine_radio(survey, 0) &&
        unknown->row < engine_antennas(survey, 0) &&
        survey->radios[unknown->row - engine_radio(survey, 0)].rated_range_m > 0)
        return false; /* a claim moves margins, and no reading */
    return unknown->kind == CALIBRATION_METER ||
           (unknown->kind == CALIBRATION_PARAMETER && unknown->row >= engine_radio(survey, 0) &&
            unknown->row < engine_need(survey, 0));
}

/* Near and far readings tell an offset from an exponent; most surveys have few of both. */
static void compare_offset(const earshot_survey *survey, calibration_quality *quality) {
    double with_exponent = 0, variance = 0;
    size_t n = quality->n_unknowns;
    for (size_t a = 0; a < n; a++) {
        if (!calibration_is_offset(survey, &quality->unknowns[a]))
            continue;
        double sd = quality->unknowns[a].after_sd;
        for (size_t b = 0; b < n; b++) {
            const calibration_unknown *other = &quality->unknowns[b];
            double correlation = quality->correlation[a * n + b];
            if (other->kind == CALIBRATION_PARAMETER && other->row == ENGINE_EXPONENT)
                with_exponent += correlation * sd;
            if (calibration_is_offset(survey, other))
                variance += correlation * sd * other->after_sd;
        }
    }
    if (variance > 0)
        quality->offset_with_exponent = with_exponent / sqrt(variance);
}

static bool judge_unknowns(const earshot_survey *survey, const earshot_belief *belief,
                           calibration_quality *quality) {
    const engine_reads *reads = belief->reads;
    size_t n = quality->n_unknowns;
    gsl_matrix *explained = gsl_matrix_alloc(reads->n, n ? n : 1);
    double *mean = calloc(n + 1, sizeof *mean), *means = calloc(n + 1, sizeof *means);
    double *sds = calloc(n + 1, sizeof *sds);
    bool good = explained && mean && means && sds;
    for (size_t h = 0; good && n && h < reads->n_fields; h++) {
        explain(survey, belief, quality, &reads->fields[h], explained, mean);
        add_field(quality, explained, mean, reads->fields[h].weight, means);
    }
    if (good) {
        finish_unknowns(survey, belief, quality, means, sds);
        compare_offset(survey, quality);
    }
    gsl_matrix_free(explained);
    free(mean);
    free(means);
    free(sds);
    return good;
}

/* ---- things ---- */

static void note_thing(void *who, const engine_crossing *crossing) {
    size_t *construction = who;
    if (crossing->thing != EARSHOT_NONE)
        construction[crossing->thing] = crossing->construction;
}

static bool list_things(const earshot_survey *survey, const earshot_belief *belief,
                        calibration_quality *out) {
    static const double worth_sds = 0.3;
    const engine_reads *reads = belief->reads;
    size_t n = engine_n_things(survey), radio = main_radio(belief->record);
    size_t *construction = calloc(n + 1, sizeof *construction);
    out->things = calloc(reads->n_own + 1, sizeof *out->things);
    for (size_t i = 0; construction && i < belief->record->observations.n; i++)
        engine_walk(survey, &belief->record->observations.all[i].link, NULL, note_thing,
                    construction);
    for (size_t i = 0; construction && out->things && i < n; i++) {
        size_t own = reads->own_of[i];
        if (own == EARSHOT_NONE || fabs(reads->own_mean[own]) < worth_sds)
            continue;
        double sd_db = belief->losses[radio * survey->n_constructions + construction[i]].sd_db;
        out->things[out->n_things++] = (calibration_thing){
            i, reads->own_mean[own] * sd_db, sqrt(fmax(reads->own_alone[own], 0)) * sd_db};
    }
    free(construction);
    return construction && out->things;
}

/* ---- readings held against the others ---- */

struct without {
    double mean, variance, inside; /* of the level without its own noise */
};

static struct without leave_out(const earshot_belief *belief, size_t h, size_t i,
                                const double *diagonal) {
    const struct calibration_record *record = belief->record;
    size_t n = belief->reads->n;
    double value = record->site_value[h * n + i], noise = record->site_variance[h * n + i];
    double pull = belief->reads->fields[h].pull[i];
    return (struct without){.mean = value - pull / diagonal[i],
                            .variance = fmax(1 / diagonal[i] - noise, 1e-9),
                            .inside = value - noise * pull};
}

static void add_held(const earshot_belief *belief, size_t h, const double *diagonal,
                     calibration_quality *quality) {
    double weight = belief->reads->fields[h].weight;
    for (size_t i = 0; i < quality->n_held; i++) {
        calibration_held *held = &quality->held[i];
        struct without without = leave_out(belief, h, i, diagonal);
        /* Student's t with 4 degrees has twice the variance of its scale */
        double noise_db2 = square(held->of->normal_sd_db) + 2 * square(held->of->meter_sd_db);
        held->inside_db += weight * without.inside;
        held->foretold_db += weight * without.mean;
        held->foretold_sd_db += weight * (without.variance + noise_db2 + square(without.mean));
        if (held->of->kind != CALIBRATION_LEVEL)
            held->chance +=
                weight *
                exp(calibration_learn(held->of, without.mean, without.variance).log_chance);
    }
}

static void finish_held(calibration_held *held) {
    held->foretold_sd_db = sqrt(fmax(held->foretold_sd_db - square(held->foretold_db), 0));
    if (held->of->kind == CALIBRATION_LEVEL)
        held->chance = 2 * chance_normal_below(-fabs(held->seen_db - held->foretold_db) /
                                               held->foretold_sd_db);
    if (held->of->kind == CALIBRATION_COUNT) /* of so many counts each has little chance */
        held->chance = fmin(held->chance * (held->of->trips + 1), 1);
    held->surprising = held->chance < surprising_chance;
}

static bool hold_readings(const earshot_belief *belief, calibration_quality *quality) {
    const engine_reads *reads = belief->reads;
    const struct calibration_record *record = belief->record;
    gsl_matrix *work = gsl_matrix_alloc(reads->n, reads->n);
    double *diagonal = calloc(reads->n, sizeof *diagonal);
    quality->held = calloc(reads->n + 1, sizeof *quality->held);
    bool good = work && diagonal && quality->held;
    if (good) {
        quality->n_held = reads->n;
        for (size_t i = 0; i < reads->n; i++) {
            const calibration_observation *of = &record->observations.all[i];
            quality->held[i] = (calibration_held){
                .of = of,
                .seen_db = of->kind == CALIBRATION_LEVEL ? of->level_dbm : NAN,
                .before_db = record->before[i]};
        }
        for (size_t h = 0; h < reads->n_fields; h++) {
            gsl_matrix_const_view factor =
                gsl_matrix_const_view_array(reads->fields[h].lower, reads->n, reads->n);
            calibration_inverse_diagonal(&factor.matrix, work, diagonal);
            add_held(belief, h, diagonal, quality);
        }
        for (size_t i = 0; i < reads->n; i++)
            finish_held(&quality->held[i]);
    }
    gsl_matrix_free(work);
    free(diagonal);
    return good;
}

/* ---- root mean squares ---- */

static double rms(double sum, size_t n) {
    return n ? sqrt(sum / (double)n) : NAN;
}

static bool same_link(const earshot_link *a, const earshot_link *b) {
    if (a->device != b->device || a->listener != b->listener)
        return false;
    return a->device != EARSHOT_NONE ||
           (a->from.x_m == b->from.x_m && a->from.y_m == b->from.y_m);
}

static void sum_up(calibration_quality *quality) {
    double before = 0, inside = 0, out = 0;
    for (size_t i = 0; i < quality->n_held; i++) {
        const calibration_held *held = &quality->held[i];
        quality->n_not_heard += held->of->kind == CALIBRATION_SILENT ||
                                (held->of->kind == CALIBRATION_COUNT && held->of->heard == 0);
        bool first = held->of->level_share == 0;
        for (size_t j = 0; j < i; j++)
            first = first && !same_link(&quality->held[j].of->link, &held->of->link);
        quality->n_links += first;
        if (isnan(held->seen_db))
            continue;
        quality->n_levels++;
        before += square(held->seen_db - held->before_db);
        inside += square(held->seen_db - held->inside_db);
        out += square(held->seen_db - held->foretold_db);
    }
    quality->before_rms_db = rms(before, quality->n_levels);
    quality->inside_rms_db = rms(inside, quality->n_levels);
    quality->reading_out_rms_db = rms(out, quality->n_levels);
}

/* What a fit makes of the levels at one listener that it has not seen. */
static enum earshot_status leave_listener_out(const earshot_survey *survey,
                                              const earshot_belief *belief, size_t listener,
                                              unsigned char *use, double *sum, size_t *n) {
    const calibration_observations *all = &belief->record->observations;
    earshot_belief *others = NULL;
    for (size_t i = 0; i < survey->n_readings; i++)
        use[i] = survey->readings[i].heard_at != listener;
    enum earshot_status status = earshot_belief_fit(survey, use, NULL, NULL, &others);
    for (size_t i = 0; status == EARSHOT_OK && i < all->n; i++) {
        const calibration_observation *of = &all->all[i];
        engine_result result;
        if (of->kind != CALIBRATION_LEVEL || of->link.listener != listener)
            continue;
        engine_solve_told(survey, others, &of->link, false, NULL, &result);
        bool same_meter = others->reads && of->meter == others->reads->meter;
        double meter_db = same_meter ? others->reads->meter_mean_db : 0;
        *sum += square(of->level_dbm + of->pad_db - result.rx_power_dbm - meter_db);
        ++*n;
    }
    earshot_belief_free(others);
    return status;
}

static enum earshot_status leave_listeners_out(const earshot_survey *survey,
                                               const earshot_belief *belief,
                                               calibration_quality *quality) {
    unsigned char *use = calloc(survey->n_readings + 1, 1);
    double sum = 0;
    size_t n = 0, n_listeners = 0;
    enum earshot_status status = use ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < survey->n_devices; i++) {
        bool read = false;
        for (size_t j = 0; j < survey->n_readings && !read; j++)
            read = survey->readings[j].heard_at == i;
        n_listeners += read;
    }
    for (size_t i = 0; status == EARSHOT_OK && n_listeners > 1 && i < survey->n_devices; i++)
        if (survey->devices[i].listener != EARSHOT_NONE)
            status = leave_listener_out(survey, belief, i, use, &sum, &n);
    quality->listener_out_rms_db = rms(sum, n);
    free(use);
    return status;
}

enum earshot_status calibration_quality_of(const earshot_survey *survey,
                                           const earshot_belief *belief,
                                           calibration_quality *out) {
    static const size_t most_to_fit_again = 400; /* each fit costs the cube */
    *out = (calibration_quality){.before_rms_db = NAN,
                                 .inside_rms_db = NAN,
                                 .reading_out_rms_db = NAN,
                                 .listener_out_rms_db = NAN};
    if (!belief->reads)
        return EARSHOT_OK;
    if (!list_unknowns(survey, belief, out) || !judge_unknowns(survey, belief, out) ||
        !list_things(survey, belief, out) || !hold_readings(belief, out))
        return EARSHOT_NO_MEMORY;
    sum_up(out);
    if (belief->reads->n > most_to_fit_again)
        return EARSHOT_OK;
    return leave_listeners_out(survey, belief, out);
}

void calibration_quality_free(calibration_quality *quality) {
    free(quality->unknowns);
    free(quality->correlation);
    free(quality->things);
    free(quality->held);
    *quality = (calibration_quality){0};
}

double calibration_heard_least(unsigned heard, unsigned trips) {
    static const double sure = 0.95;
    double low = 0, high = 1;
    if (heard == 0)
        return 0;
    while (high - low > 1e-9) { /* as many or more are heard oftener the greater the share */
        double middle = (low + high) / 2;
        bool unlikely = 1 - chance_binomial_at_most(heard - 1, trips, middle) < 1 - sure;
        low = unlikely ? middle : low;
        high = unlikely ? high : middle;
    }
    return low;
}

double calibration_shift_db(const earshot_belief *belief, size_t visit) {
    const engine_reads *reads = belief->reads;
    double shift_db = 0;
    for (size_t h = 0; reads && h < reads->n_fields; h++)
        for (size_t i = 0; i < reads->n; i++)
            if (reads->views[i].shift == visit)
                shift_db +=
                    reads->fields[h].weight * reads->shift_db2 * reads->fields[h].pull[i];
    return shift_db;
}
