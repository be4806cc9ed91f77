/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mistakes.c - readings that look like a slip of somebody's.
 *
 * Each suspicion is a story about one or two observations, held against the story that all is
 * as written. What the other readings foretell of them comes from the inverse of their
 * covariance: with the two left out together, so that neither speaks for itself,
 *
 *     covariance = (Q_SS)^-1,   mean = value - (Q_SS)^-1 pull_S
 *
 * (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, section 5.4.2, for
 * one; the block form is the same). How likely each story was before: judgement, beside each
 * number.
 */
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

#include "chance.h"
#include "mistakes.h"
#include "sites.h"

static const size_t most_observations = 600; /* each costs the square, all of them the cube */
/* Of so many logs one has such a mistake; and of four labels that are mixed up one only is read
 * at a wrong place. Judgement, no source. */
static const double one_log_in = 10, elsewhere_rarer = 4;
/* What is less likely is not worth a look even where something must be wrong: e^-6, 1 in 400.
 */
static const double least_log_odds = -6;

struct searching {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const calibration_observation *all;
    size_t n, field;    /* of the observations; the likeliest field */
    double *inverse;    /* n x n: of what the readings vary by */
    double *needed_dbm; /* n: of the link */
    calibration_suspect *found;
    size_t n_found, capacity;
    bool lost;
};

static double square(double x) {
    return x * x;
}

static void add(struct searching *searching, calibration_suspect suspect) {
    if (!(suspect.log_odds > least_log_odds))
        return;
    if (searching->n_found == searching->capacity) {
        size_t capacity = 2 * searching->capacity + 16;
        calibration_suspect *found = realloc(searching->found, capacity * sizeof *found);
        searching->lost = searching->lost || !found;
        if (!found)
            return;
        searching->found = found;
        searching->capacity = capacity;
    }
    searching->found[searching->n_found++] = suspect;
}

static const survey_reading *reading_of(const struct searching *searching, size_t i) {
    return &searching->survey->readings[searching->all[i].reading];
}

/* ---- what the others foretell ---- */

struct foretold {
    double mean_db, variance_db2; /* of the level or margin, its own noise not in it */
};

static double value_of(const struct searching *searching, size_t i) {
    return searching->belief->record->site_value[searching->field * searching->n + i];
}

static double noise_of(const struct searching *searching, size_t i) {
    return searching->belief->record->site_variance[searching->field * searching->n + i];
}

static double pull_of(const struct searching *searching, size_t i) {
    return searching->belief->reads->fields[searching->field].pull[i];
}

static struct foretold foretell(const struct searching *searching, size_t i) {
    double own = searching->inverse[i * searching->n + i];
    return (struct foretold){value_of(searching, i) - pull_of(searching, i) / own,
                             fmax(1 / own - noise_of(searching, i), 1e-9)};
}

/* Both left out together. */
static void foretell_two(const struct searching *searching, size_t i, size_t j,
                         struct foretold out[2]) {
    size_t n = searching->n;
    double a = searching->inverse[i * n + i], b = searching->inverse[i * n + j];
    double d = searching->inverse[j * n + j], determinant = a * d - b * b;
    double first = pull_of(searching, i), second = pull_of(searching, j);
    out[0] = (struct foretold){value_of(searching, i) - (d * first - b * second) / determinant,
                               fmax(d / determinant - noise_of(searching, i), 1e-9)};
    out[1] = (struct foretold){value_of(searching, j) - (a * second - b * first) / determinant,
                               fmax(a / determinant - noise_of(searching, j), 1e-9)};
}

/* The log chance of what was seen, were it seen on a way of which this is foretold. Of a margin
 * what is shown of a power is less what the listener needs, and the other way round; and what
 * was taken off by a pad of one is another's. */
static double log_chance(const struct searching *searching, size_t seen, size_t at,
                         struct foretold foretold) {
    const calibration_observation *of = &searching->all[seen], *there = &searching->all[at];
    double mean_db = foretold.mean_db + there->pad_db - of->pad_db;
    if (of->margin && !there->margin)
        mean_db -= searching->needed_dbm[at];
    if (!of->margin && there->margin)
        mean_db += searching->needed_dbm[at];
    return calibration_learn(of, mean_db, foretold.variance_db2).log_chance;
}

static double foretold_sd_db(const struct searching *searching, size_t i,
                             struct foretold foretold) {
    const calibration_observation *of = &searching->all[i];
    return sqrt(foretold.variance_db2 + square(of->normal_sd_db) + 2 * square(of->meter_sd_db));
}

/* What a meter is foretold to show; of a margin what is needed is added. */
static double shown_dbm(const struct searching *searching, size_t i, struct foretold foretold) {
    const calibration_observation *of = &searching->all[i];
    return foretold.mean_db - of->pad_db + (of->margin ? searching->needed_dbm[i] : 0);
}

/* A level, or what stands for one: bars, or that nothing was heard. What only says that a level
 * was heard at all goes with the level. */
static bool tells(const calibration_observation *of) {
    return of->kind != CALIBRATION_BETWEEN || of->level_share == 0;
}

static double seen_of(const calibration_observation *of) {
    return of->kind == CALIBRATION_LEVEL ? of->level_dbm : NAN;
}

/* ---- two devices swapped ---- */

static bool swappable(const struct searching *searching, size_t i, size_t j) {
    const calibration_observation *a = &searching->all[i], *b = &searching->all[j];
    const survey_reading *first = reading_of(searching, i), *second = reading_of(searching, j);
    return tells(a) && tells(b) && a->kind != CALIBRATION_COUNT &&
           b->kind != CALIBRATION_COUNT && a->link.device != EARSHOT_NONE &&
           b->link.device != EARSHOT_NONE && a->link.device != b->link.device &&
           a->link.listener == b->link.listener && first->visit == second->visit &&
           !first->accepted && !second->accepted;
}

/* How much likelier what was seen is with the two swapped. */
static double swapped_log_ratio(const struct searching *searching, size_t i, size_t j) {
    struct foretold foretold[2];
    foretell_two(searching, i, j, foretold);
    return log_chance(searching, i, j, foretold[1]) + log_chance(searching, j, i, foretold[0]) -
           log_chance(searching, i, i, foretold[0]) - log_chance(searching, j, j, foretold[1]);
}

static size_t count_swappable(const struct searching *searching) {
    size_t n = 0;
    for (size_t i = 0; i < searching->n; i++)
        for (size_t j = 0; j < i; j++)
            n += swappable(searching, i, j);
    return n;
}

/* All that the two devices showed on that visit, at whatever listener, is one story. */
static double whole_story(const struct searching *searching, size_t i, size_t j) {
    size_t a = searching->all[i].link.device, b = searching->all[j].link.device;
    double log_ratio = 0;
    for (size_t k = 0; k < searching->n; k++)
        for (size_t l = 0; searching->all[k].link.device == a && l < searching->n; l++)
            if (searching->all[l].link.device == b && swappable(searching, k, l) &&
                reading_of(searching, k)->visit == reading_of(searching, i)->visit)
                log_ratio += swapped_log_ratio(searching, k, l);
    return log_ratio;
}

static void suspect_swap(struct searching *searching, size_t i, size_t j, double log_prior) {
    if (!(swapped_log_ratio(searching, i, j) + log_prior > least_log_odds))
        return;
    struct foretold foretold = foretell(searching, i);
    add(searching,
        (calibration_suspect){.kind = CALIBRATION_SWAPPED,
                              .reading = searching->all[i].reading,
                              .other = searching->all[j].reading,
                              .log_odds = whole_story(searching, i, j) + log_prior,
                              .seen_db = seen_of(&searching->all[i]),
                              .foretold_db = shown_dbm(searching, i, foretold),
                              .foretold_sd_db = foretold_sd_db(searching, i, foretold),
                              .mended_db = seen_of(&searching->all[j])});
}

static void search_swaps(struct searching *searching) {
    double log_prior = -log(one_log_in * fmax((double)count_swappable(searching), 1));
    for (size_t i = 0; i < searching->n; i++)
        for (size_t j = 0; j < i; j++)
            if (swappable(searching, i, j))
                suspect_swap(searching, i, j, log_prior);
}

/* ---- read where another hangs ---- */

/* What is known of the other's level there is what it showed itself, and what the others say.
 */
static void search_elsewhere(struct searching *searching) {
    double n_stories = fmax(2 * (double)count_swappable(searching), 1);
    double log_prior = -log(one_log_in * elsewhere_rarer * n_stories);
    for (size_t i = 0; i < searching->n; i++)
        for (size_t j = 0; j < searching->n; j++) {
            struct foretold foretold[2];
            if (i == j || searching->all[i].kind != CALIBRATION_LEVEL ||
                searching->all[j].kind != CALIBRATION_LEVEL || !swappable(searching, i, j))
                continue;
            foretell_two(searching, i, j, foretold);
            double noise = noise_of(searching, j),
                   share = foretold[1].variance_db2 / (foretold[1].variance_db2 + noise);
            struct foretold there = {foretold[1].mean_db +
                                         share * (value_of(searching, j) - foretold[1].mean_db),
                                     share * noise};
            add(searching, (calibration_suspect){
                               .kind = CALIBRATION_ELSEWHERE,
                               .reading = searching->all[i].reading,
                               .other = searching->all[j].reading,
                               .log_odds = log_chance(searching, i, j, there) -
                                           log_chance(searching, i, i, foretold[0]) + log_prior,
                               .seen_db = seen_of(&searching->all[i]),
                               .foretold_db = shown_dbm(searching, i, foretold[0]),
                               .foretold_sd_db = foretold_sd_db(searching, i, foretold[0]),
                               .mended_db = NAN});
        }
}

/* ---- a slip of one digit ---- */

enum { N_SLIPS = 4 };

/* What was meant, if a digit was left out before or behind, doubled, or two were swapped; not a
 * number where that makes no level. */
static void meant(double level_dbm, double out[N_SLIPS]) {
    double size = fabs(level_dbm), whole = floor(size);
    double ones = fmod(whole, 10), tens = fmod(floor(whole / 10), 10);
    for (int i = 0; i < N_SLIPS; i++)
        out[i] = NAN;
    if (level_dbm >= 0 || whole != size)
        return;
    if (whole < 10)
        out[0] = -(10 * whole + 4.5); /* -7 for seventy-something */
    if (whole < 40)
        out[1] = -(whole + 100); /* -3 for -103 */
    if (whole >= 300)
        out[2] = -floor(whole / 10); /* -711 for -71 */
    if (whole >= 10 && whole < 100 && ones != tens && ones > 0)
        out[3] = -(10 * ones + tens); /* -38 for -83 */
}

static void search_slips(struct searching *searching) {
    double log_prior = -log(one_log_in * fmax((double)searching->n * N_SLIPS, 1));
    for (size_t i = 0; i < searching->n; i++) {
        calibration_observation of = searching->all[i];
        double levels[N_SLIPS];
        if (of.kind != CALIBRATION_LEVEL || of.n_rows > 1 || reading_of(searching, i)->accepted)
            continue;
        struct foretold foretold = foretell(searching, i);
        double as_written = log_chance(searching, i, i, foretold);
        meant(of.level_dbm, levels);
        for (int k = 0; k < N_SLIPS; k++) {
            if (isnan(levels[k]))
                continue;
            of.level_dbm = levels[k];
            double log_ratio =
                calibration_learn(&of, foretold.mean_db - of.pad_db, foretold.variance_db2)
                    .log_chance -
                as_written;
            add(searching,
                (calibration_suspect){.kind = CALIBRATION_SLIP,
                                      .reading = of.reading,
                                      .other = EARSHOT_NONE,
                                      .log_odds = log_ratio + log_prior,
                                      .seen_db = searching->all[i].level_dbm,
                                      .foretold_db = foretold.mean_db - of.pad_db,
                                      .foretold_sd_db = foretold_sd_db(searching, i, foretold),
                                      .mended_db = levels[k]});
        }
    }
}

/* ---- a stuck meter ---- */

static bool goes_on(const struct searching *searching, size_t i, size_t j) {
    const calibration_observation *a = &searching->all[i], *b = &searching->all[j];
    return a->kind == b->kind && tells(b) && a->meter == b->meter && b->n_rows == 1 &&
           a->link.listener == b->link.listener &&
           reading_of(searching, i)->visit == reading_of(searching, j)->visit &&
           (a->kind == CALIBRATION_LEVEL
                ? a->level_dbm == b->level_dbm
                : a->kind == CALIBRATION_BETWEEN && a->low_dbm == b->low_dbm &&
                      a->high_dbm == b->high_dbm);
}

/* The next observation that tells of a level: counts may stand between. */
static size_t next_level(const struct searching *searching, size_t i) {
    do
        i++;
    while (i < searching->n &&
           (!tells(&searching->all[i]) || searching->all[i].kind == CALIBRATION_COUNT));
    return i;
}

/* The log chance of a value as such: a density over the steps in which the meter counts. */
static double log_mass(const struct searching *searching, size_t i) {
    const calibration_observation *of = &searching->all[i];
    double step_db = floor(of->level_dbm) == of->level_dbm ? 1 : 0.1;
    double log_p = log_chance(searching, i, i, foretell(searching, i));
    return of->kind == CALIBRATION_LEVEL ? log_p + log(step_db) : log_p;
}

static void search_stuck(struct searching *searching) {
    double log_prior = -log(one_log_in * fmax((double)searching->n, 1));
    for (size_t i = 0, end; i < searching->n; i = end) {
        double log_odds = log_prior;
        size_t last = i, n_rows = 1;
        bool accepted = reading_of(searching, i)->accepted;
        end = next_level(searching, i);
        while (end < searching->n && goes_on(searching, i, end)) {
            log_odds -= log_mass(searching, end);
            accepted = accepted || reading_of(searching, end)->accepted;
            last = end;
            end = next_level(searching, end);
            n_rows++;
        }
        struct foretold foretold = foretell(searching, last);
        if (n_rows > 2 && !accepted)
            add(searching, (calibration_suspect){
                               .kind = CALIBRATION_STUCK,
                               .reading = searching->all[i].reading,
                               .other = searching->all[last].reading,
                               .n_rows = n_rows,
                               .log_odds = log_odds,
                               .seen_db = seen_of(&searching->all[i]),
                               .foretold_db = shown_dbm(searching, last, foretold),
                               .foretold_sd_db = foretold_sd_db(searching, last, foretold),
                               .mended_db = NAN});
    }
}

/* ---- a wrong scale ---- */

/* What the readings of a meter are off alike, as fitted: the meter itself, and the power and
 * antennas that nothing tells from it. */
static double off_alike_db(const struct searching *searching, size_t i, double *prior_db2) {
    const engine_reads *reads = searching->belief->reads;
    const earshot_survey *survey = searching->survey;
    const earshot_link *link = &searching->all[i].link;
    const size_t parameters[] = {
        engine_radio(survey, link->from.radio), engine_antennas(survey, link->to.radio),
        link->to.bias == EARSHOT_NONE ? EARSHOT_NONE : engine_antenna(survey, link->to.bias)};
    double off_db = 0;
    *prior_db2 = square(reads->views[i].meter_sd_db);
    for (size_t h = 0; h < reads->n_fields; h++)
        for (size_t j = 0; j < reads->n; j++)
            if (reads->views[j].meter == reads->views[i].meter)
                off_db += reads->fields[h].weight * *prior_db2 * reads->fields[h].pull[j];
    for (size_t k = 0; k < sizeof parameters / sizeof *parameters; k++)
        if (parameters[k] != EARSHOT_NONE) {
            off_db += searching->belief->mean[parameters[k]];
            *prior_db2 += reads->prior_db2[parameters[k]];
        }
    return off_db;
}

static void search_scales(struct searching *searching) {
    for (size_t i = 0; i < searching->n; i++) {
        size_t meter = searching->all[i].meter, n_rows = 0;
        double prior_db2;
        bool first = meter != EARSHOT_NONE && tells(&searching->all[i]), accepted = false;
        for (size_t j = 0; j < searching->n; j++)
            if (searching->all[j].meter == meter && tells(&searching->all[j])) {
                first = first && j >= i;
                accepted = accepted || reading_of(searching, j)->accepted;
                n_rows += searching->all[j].n_rows;
            }
        if (!first || accepted || n_rows < 3)
            continue;
        double off_db = off_alike_db(searching, i, &prior_db2);
        double log_odds = square(off_db) / (2 * prior_db2) - log(one_log_in);
        if (log_odds <= 0) /* somewhat off all meters are */
            continue;
        add(searching, (calibration_suspect){.kind = CALIBRATION_SCALE,
                                             .reading = searching->all[i].reading,
                                             .other = EARSHOT_NONE,
                                             .n_rows = n_rows,
                                             .log_odds = square(off_db) / (2 * prior_db2) -
                                                         log(one_log_in),
                                             .seen_db = off_db,
                                             .foretold_db = 0,
                                             .foretold_sd_db = sqrt(prior_db2),
                                             .mended_db = NAN});
    }
}

/* ---- all ---- */

static size_t likeliest_field(const engine_reads *reads) {
    size_t best = 0;
    for (size_t h = 1; h < reads->n_fields; h++)
        if (reads->fields[h].weight > reads->fields[best].weight)
            best = h;
    return best;
}

static bool prepare(struct searching *searching) {
    const engine_reads *reads = searching->belief->reads;
    size_t n = searching->n;
    gsl_matrix *inverse = gsl_matrix_alloc(n, n);
    searching->inverse = calloc(n * n + 1, sizeof *searching->inverse);
    searching->needed_dbm = calloc(n + 1, sizeof *searching->needed_dbm);
    bool good = inverse && searching->inverse && searching->needed_dbm;
    if (good) {
        gsl_matrix_const_view lower =
            gsl_matrix_const_view_array(reads->fields[searching->field].lower, n, n);
        gsl_matrix_memcpy(inverse, &lower.matrix);
        gsl_linalg_cholesky_invert(inverse);
        for (size_t i = 0; i < n; i++) {
            engine_result result;
            engine_solve(searching->survey, searching->belief, &searching->all[i].link, NULL,
                         &result);
            searching->needed_dbm[i] = result.needed_dbm;
            for (size_t j = 0; j < n; j++)
                searching->inverse[i * n + j] = gsl_matrix_get(inverse, i, j);
        }
    }
    gsl_matrix_free(inverse);
    return good;
}

static int likelier_first(const void *a, const void *b) {
    const calibration_suspect *left = a, *right = b;
    if (left->log_odds != right->log_odds)
        return left->log_odds > right->log_odds ? -1 : 1;
    return left->reading < right->reading ? -1 : left->reading > right->reading;
}

static bool is_of(const calibration_suspect *suspect, size_t reading) {
    return suspect->reading == reading || suspect->other == reading;
}

/* Of several stories about one row the likeliest is kept. But who was swapped with whom is
 * asked of every pair, for each row of it has other partners. */
static void keep_likeliest(struct searching *searching) {
    size_t kept = 0;
    for (size_t i = 0; i < searching->n_found; i++) {
        const calibration_suspect suspect = searching->found[i];
        bool told = false;
        for (size_t j = 0; j < kept && suspect.kind != CALIBRATION_SWAPPED; j++)
            told = told || is_of(&searching->found[j], suspect.reading);
        if (!told)
            searching->found[kept++] = suspect;
    }
    searching->n_found = kept;
}

enum earshot_status calibration_suspect_all(const earshot_survey *survey,
                                            const earshot_belief *belief,
                                            calibration_suspect **suspects,
                                            size_t *n_suspects) {
    struct searching searching = {.survey = survey, .belief = belief};
    *suspects = NULL;
    *n_suspects = 0;
    if (!belief->reads || belief->reads->n > most_observations || belief->reads->n < 2)
        return EARSHOT_OK;
    searching.all = belief->record->observations.all;
    searching.n = belief->reads->n;
    searching.field = likeliest_field(belief->reads);
    searching.lost = !prepare(&searching);
    if (!searching.lost) {
        search_swaps(&searching);
        search_elsewhere(&searching);
        search_slips(&searching);
        search_stuck(&searching);
        search_scales(&searching);
    }
    free(searching.inverse);
    free(searching.needed_dbm);
    if (searching.lost) {
        free(searching.found);
        return EARSHOT_NO_MEMORY;
    }
    if (searching.n_found)
        qsort(searching.found, searching.n_found, sizeof *searching.found, likelier_first);
    keep_likeliest(&searching);
    *suspects = searching.found;
    *n_suspects = searching.n_found;
    return EARSHOT_OK;
}
