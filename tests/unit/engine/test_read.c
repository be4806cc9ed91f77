/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_read.c - what readings tell of a link, built by hand.
 *
 * The worked example: parameters 5 dB, a field of 3 dB that is wholly shared nearby, the static
 * fade of a place 5.6 dB, the day 2 dB and a meter 2 dB, all normal; day and meter are noise of
 * each reading. Its sds follow from sums of squares and one division, written beside each.
 * Everything else: eq. (2.25) and (2.26) of Rasmussen and Williams, Gaussian Processes for
 * Machine Learning, 2006, for one reading by hand.
 */
#include "engine.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- the worked example ---- */

enum { MOST_READS = 4 };
static const double parameters_db2 = 25, field_db2 = 9, static_db2 = 5.6 * 5.6;
static const double noise_db2 = 2 * 2 + 2 * 2;

static const size_t only = 0;
static const double one = 1;

static engine_view view_at(double x_m, bool in_place) {
    return (engine_view){.parameter = &only,
                         .value = &one,
                         .n = 1,
                         .from = {x_m, 0, 1},
                         .to = {0, 5, 2},
                         .device = (size_t)x_m,
                         .listener = 9,
                         .path = EARSHOT_NONE,
                         .static_share = 1,
                         .link_share = 1,
                         .meter_share = 1,
                         .moment = EARSHOT_NONE,
                         .in_place = in_place,
                         .meter = EARSHOT_NONE,
                         .shift = EARSHOT_NONE,
                         .edge = EARSHOT_NONE};
}

/* A zone at 0 m, and so many readings: on its own fixing, or a step away from it each. All are
 * `over_db` over the tables. */
struct example {
    double prior_db2, mean, covariance;
    engine_view views[MOST_READS];
    double lower[MOST_READS * MOST_READS], pull[MOST_READS];
    engine_field field;
    engine_reads reads;
    earshot_belief belief;
};

/* Cholesky factor of what n readings vary by: `shared` with each other, `own` beside. */
static void factor(double shared, double own, size_t n, double *lower) {
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j <= i; j++) {
            double left = shared + (i == j ? own : 0);
            for (size_t m = 0; m < j; m++)
                left -= lower[i * n + m] * lower[j * n + m];
            lower[i * n + j] = i == j ? sqrt(left) : left / lower[j * n + j];
        }
}

static void set(struct example *example, size_t n, bool in_place, double over_db) {
    double shared = parameters_db2 + field_db2, own = static_db2 + noise_db2;
    *example = (struct example){.prior_db2 = parameters_db2, .covariance = parameters_db2};
    for (size_t i = 0; i < n; i++) {
        example->views[i] = view_at(in_place ? 0 : 1 + (double)i, in_place);
        example->pull[i] = over_db / (n * shared + own); /* all alike: K pull = over */
    }
    factor(shared, own, n, example->lower);
    example->field = (engine_field){.weight = 1,
                                    .sd_db = sqrt(field_db2),
                                    .length_m = 1e15,
                                    .static_sd_db = sqrt(static_db2),
                                    .lower = example->lower,
                                    .pull = example->pull};
    example->reads = (engine_reads){.n = n,
                                    .views = example->views,
                                    .prior_db2 = &example->prior_db2,
                                    .fields = &example->field,
                                    .n_fields = 1};
    example->belief = (earshot_belief){.n = 1,
                                       .mean = &example->mean,
                                       .covariance = &example->covariance,
                                       .shadow_sd_db = sqrt(field_db2),
                                       .static_sd_db = sqrt(static_db2),
                                       .reads = &example->reads};
}

static double sd_of(const engine_told *told) {
    return sqrt(told->normal_db2 + told->static_db2);
}

Test(read, worked_example) {
    static const struct {
        size_t n;
        bool in_place;
        double sd_db;
        const char *what;
    } rows[] = {
        {0, false, 8.08, "never read: 25 + 9 + 31.36 = 65.36"},
        {1, false, 7.04, "one nearby: 34 - 34^2 / (34 + 39.36) + 31.36 = 49.60"},
        {4, false, 6.24, "four nearby: 34 - 34^2 / (34 + 39.36 / 4) + 31.36 = 38.99"},
        {1, true, 2.67, "in place: 65.36 x 8 / 73.36 = 7.13"},
    };
    const engine_view zone = view_at(0, false);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct example example;
        set(&example, rows[i].n, rows[i].in_place, 0);
        engine_told told = engine_tell(NULL, &example.belief, &zone);
        cr_expect_float_eq(sd_of(&told), rows[i].sd_db, 0.005, "%s: %.4f", rows[i].what,
                           sd_of(&told));
        cr_expect_eq(told.in_place, rows[i].in_place, "%s", rows[i].what);
        cr_expect_float_eq(told.static_db2, rows[i].in_place ? 0 : static_db2, 1e-12, "%s",
                           rows[i].what);
        cr_expect_float_eq(told.shift_db, 0, 1e-12, "%s", rows[i].what);
    }
}

/* Ten dB more than the tables say: what of it is of the place. The parameters carry theirs. */
Test(read, shift_of_the_place) {
    static const struct {
        size_t n;
        bool in_place;
        double share;
    } rows[] = {{1, false, 9 / 73.36},
                {4, false, 4 * 9 / (4 * 34 + 39.36)},
                {1, true, (9 + 31.36) / 73.36}};
    const engine_view zone = view_at(0, false);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct example example;
        set(&example, rows[i].n, rows[i].in_place, 10);
        engine_told told = engine_tell(NULL, &example.belief, &zone);
        cr_expect_float_eq(told.shift_db, 10 * rows[i].share, 1e-9, "%zu: %.9g not %.9g", i,
                           told.shift_db, 10 * rows[i].share);
    }
}

/* Two ways that the field may be, of which one sees nothing: means over both, and what they
 * disagree about is doubt. */
Test(read, two_fields) {
    struct example example;
    set(&example, 1, false, 10);
    engine_field fields[2] = {example.field, example.field};
    double no_pull = 0;
    fields[0].weight = 0.75;
    fields[1].weight = 0.25;
    fields[1].pull = &no_pull;
    example.reads.fields = fields;
    example.reads.n_fields = 2;
    const engine_view zone = view_at(0, false);
    engine_told told = engine_tell(NULL, &example.belief, &zone);
    double all_db = 10 * 34 / 73.36, left_db2 = 34 - 34 * 34 / 73.36;
    cr_expect_float_eq(told.shift_db, 0.75 * 10 * 9 / 73.36, 1e-9, "%g", told.shift_db);
    cr_expect_float_eq(told.normal_db2, left_db2 + 0.75 * 0.25 * all_db * all_db, 1e-9, "%g",
                       told.normal_db2);
}

/* A sheet over y = 2.5 m, across the zone's way and the reading's or beside them: by hand, with
 * 12 dB less foretold and 6^2 shared by both. */
Test(read, obstacle) {
    const engine_view zone = view_at(0, false);
    for (int across = 0; across < 2; across++) {
        struct example example;
        set(&example, 1, false, 0);
        double x_m = across ? -3 : 20, shared_db2 = 34 + (across ? 36 : 0);
        double read_db2 = shared_db2 + 39.36, foretold_db = across ? -12 : 0;
        engine_obstacle *obstacle = &example.field.obstacle;
        *obstacle = (engine_obstacle){{x_m, 2.5},   {x_m + 6, 2.5}, 12,      6,
                                      EARSHOT_NONE, -INFINITY,      INFINITY};
        example.lower[0] = sqrt(read_db2);
        example.pull[0] = (-20 - foretold_db) / read_db2;
        cr_expect_eq(engine_obstacle_share(obstacle, &zone), across ? 1 : 0);
        engine_told told = engine_tell(NULL, &example.belief, &zone);
        cr_expect_float_eq(told.shift_db, foretold_db + (shared_db2 - 25) * example.pull[0],
                           1e-9, "%d: %g", across, told.shift_db);
        cr_expect_float_eq(told.normal_db2, shared_db2 - shared_db2 * shared_db2 / read_db2,
                           1e-9, "%d: %g", across, told.normal_db2);
    }
}

/* Past one of its ends, on a path row, or with no length: it is not on the way. */
Test(read, obstacle_not_on_the_way) {
    engine_view zone = view_at(0, false), row = zone, half = zone;
    const engine_obstacle beside = {{0.5, 2.5},   {6, 2.5},  12,      6,
                                    EARSHOT_NONE, -INFINITY, INFINITY};
    const engine_obstacle beyond = {{-3, 5.5},    {3, 5.5},  12,      6,
                                    EARSHOT_NONE, -INFINITY, INFINITY};
    const engine_obstacle across = {{-3, 2.5},    {3, 2.5},  12,      6,
                                    EARSHOT_NONE, -INFINITY, INFINITY};
    const engine_obstacle none = {{0, 0}, {0, 0}, 0, 0, EARSHOT_NONE, -INFINITY, INFINITY};
    row.from.x_m = row.from.y_m = row.to.x_m = row.to.y_m = NAN;
    half.link_share = 0.5;
    cr_expect_eq(engine_obstacle_share(&beside, &zone), 0);
    cr_expect_eq(engine_obstacle_share(&beyond, &zone), 0);
    cr_expect_eq(engine_obstacle_share(&none, &zone), 0);
    cr_expect_eq(engine_obstacle_share(&across, &row), 0);
    cr_expect_eq(engine_obstacle_share(&across, &zone), 1);
    cr_expect_eq(engine_obstacle_share(&across, &half), 0.5);
}

/* A way from 1 m up to 5 m over 5 m passes a sheet after 2.5 m at 3 m, by hand: that is of the
 * storey that begins there, and not of the one below. */
Test(read, obstacle_on_a_storey) {
    static const struct {
        double low_m, high_m;
        bool across;
    } cases[] = {{-INFINITY, INFINITY, true},
                 {-INFINITY, 3, false},
                 {3, INFINITY, true},
                 {3, 3.1, true},
                 {3.1, 6, false},
                 {-INFINITY, 2.9, false}};
    engine_view up = view_at(0, false), down;
    cr_assert(up.from.y_m == 0 && up.to.y_m == 5);
    up.from.z_m = 1;
    up.to.z_m = 5;
    down = up;
    down.from = up.to;
    down.to = up.from;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const engine_obstacle sheet = {{-3, 2.5},      {3, 2.5},       12, 6, 0,
                                       cases[i].low_m, cases[i].high_m};
        cr_expect_eq(engine_obstacle_share(&sheet, &up), cases[i].across, "%zu", i);
        cr_expect_eq(engine_obstacle_share(&sheet, &down), cases[i].across, "%zu", i);
    }
}

/* Without reads it is the tables: the covariance, and off its diagonal too. */
Test(read, no_reads_are_the_tables) {
    double mean[2] = {0}, covariance[4] = {25, -3, -3, 16};
    const size_t numbers[2] = {0, 1};
    const double values[2] = {1, -2};
    const earshot_belief belief = {.n = 2,
                                   .mean = mean,
                                   .covariance = covariance,
                                   .shadow_sd_db = 3,
                                   .static_sd_db = 5.6,
                                   .meter_sd_db = 4};
    engine_view view = view_at(0, false);
    view.parameter = numbers;
    view.value = values;
    view.n = 2;
    view.apart_db2 = 1.5;
    engine_told told = engine_tell(NULL, &belief, &view);
    double wanted = 25 + 4 * 16 + 4 * 3 + 9 + 1.5;
    cr_expect_float_eq(told.normal_db2, wanted, 1e-12, "%g", told.normal_db2);
    cr_expect_float_eq(told.static_db2, 31.36, 1e-12, "%g", told.static_db2);
    cr_expect_eq(told.shift_db, 0);
    cr_expect_not(told.in_place);
    view.meter = 0;
    told = engine_tell(NULL, &belief, &view);
    cr_expect_float_eq(told.normal_db2, wanted + 16, 1e-12, "%g", told.normal_db2);
}

/* ---- what two views share ---- */

static const engine_field field = {.weight = 1, .sd_db = 3, .length_m = 2, .static_sd_db = 5};

static double link_db2(const earshot_survey *survey, const engine_view *a,
                       const engine_view *b) {
    double prior_db2 = parameters_db2, link_db2;
    const engine_reads reads = {.prior_db2 = &prior_db2};
    double all_db2 = engine_shared_db2(survey, &reads, &field, a, b, &link_db2);
    cr_expect_float_eq(all_db2, link_db2 + parameters_db2, 1e-12, "%g", all_db2);
    return link_db2;
}

/* g falls off as exp(-(d_sender + d_listener) / length); a link's own variance and, in place,
 * its fade are shared with itself alone. */
Test(read, same_link_and_others) {
    engine_view here = view_at(0, false), there = view_at(3, false);
    here.apart_db2 = 2;
    there.apart_db2 = 4;
    cr_expect_float_eq(link_db2(NULL, &here, &here), 9 + 2, 1e-12);
    cr_expect_float_eq(link_db2(NULL, &here, &there), 9 * exp(-3 / 2.0), 1e-12);
    there.to = (geometry_place){0, 5, 6};
    cr_expect_float_eq(link_db2(NULL, &here, &there), 9 * exp(-(3 + 4) / 2.0), 1e-12);
    engine_view fixed = here, walked = here;
    fixed.in_place = true;
    cr_expect_float_eq(link_db2(NULL, &fixed, &fixed), 9 + 2 + 25, 1e-12);
    cr_expect_float_eq(link_db2(NULL, &fixed, &here), 9 + 2, 1e-12);
    /* nobody's device: near the same place, but never the same link */
    walked.device = EARSHOT_NONE;
    cr_expect_float_eq(link_db2(NULL, &walked, &walked), 9, 1e-12);
    /* the same device moved: a new link */
    engine_view moved = fixed;
    moved.from.x_m = 1;
    cr_expect_float_eq(link_db2(NULL, &fixed, &moved), 9 * exp(-1 / 2.0), 1e-12);
    /* another listener at the very same place */
    moved = fixed;
    moved.listener = 8;
    cr_expect_float_eq(link_db2(NULL, &fixed, &moved), 9, 1e-12);
}

/* The mean of three levels by hand, each with a fade of its own, f1 to f3, and that the first
 * was heard at all, less a quarter of its level: cov((f1 + f2 + f3) / 3, 3/4 f1) = f^2 / 4. */
Test(read, made_at_once) {
    engine_view level = view_at(0, false), heard = view_at(0, false), later = level;
    level.moment = heard.moment = 7;
    later.moment = 8;
    level.static_share = 1 / 3.0;
    heard.link_share = 0.75;
    double place_db2 = 9 * 0.75, fade_db2 = 25 / 4.0;
    cr_expect_float_eq(link_db2(NULL, &level, &heard), place_db2 + fade_db2, 1e-12);
    cr_expect_float_eq(link_db2(NULL, &heard, &level), place_db2 + fade_db2, 1e-12);
    cr_expect_float_eq(link_db2(NULL, &heard, &later), place_db2, 1e-12);
}

Test(read, path_rows_are_alike_within_a_room) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv",
               "device,role,radio,room\na,sensor,868-10mw,hall\nb,sensor,868-10mw,hall\n"
               "c,sensor,868-10mw,attic\nd,sensor,868-10mw,\ne,sensor,868-10mw,\n"
               "p,receiver,868-10mw,\nq,receiver,868-10mw,\n");
    folder_put(&tables, "paths.csv",
               "device,to,length_m\na,p,5\nb,p,5\nc,p,5\nd,p,5\ne,p,5\nb,q,5\n");
    earshot_survey *survey = folder_load(&tables);
    enum { A_P, B_P, C_P, D_P, E_P, B_Q, N };
    static const size_t device[N] = {0, 1, 2, 3, 4, 1}, listener[N] = {5, 5, 5, 5, 5, 6};
    engine_view view[N];
    const geometry_place nowhere = {NAN, NAN, NAN};
    for (size_t i = 0; i < N; i++) {
        view[i] = view_at(0, false);
        view[i].from = view[i].to = nowhere;
        view[i].device = device[i];
        view[i].listener = listener[i];
        view[i].path = i;
    }
    for (size_t i = 0; i < N; i++)
        for (size_t j = 0; j < N; j++) {
            bool room = (i == A_P && j == B_P) || (i == B_P && j == A_P);
            double wanted = i == j ? 9
                            : room ? 9 * exp(-1)
                                   : 0; /* one length apart: judgement */
            cr_expect_float_eq(link_db2(survey, &view[i], &view[j]), wanted, 1e-12, "%zu %zu",
                               i, j);
        }
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* ---- symmetry ---- */

enum { N_VIEWS = 60, N_NUMBERS = 12, MOST_NUMBERS = 6 };

struct random_view {
    size_t parameter[MOST_NUMBERS], own[MOST_NUMBERS];
    double value[MOST_NUMBERS], own_value[MOST_NUMBERS];
    engine_view view;
};

static double between(double low, double high) {
    return low + (high - low) * rand() / RAND_MAX;
}

/* Rising numbers below N_NUMBERS, a few of them. */
static size_t choose(size_t *numbers, double *values) {
    size_t n = 0;
    for (size_t i = 0; i < N_NUMBERS && n < MOST_NUMBERS; i++)
        if (rand() % 3 == 0) {
            numbers[n] = i;
            values[n++] = between(-3, 3);
        }
    return n;
}

static size_t choose_one(void) {
    return rand() % 3 == 0 ? EARSHOT_NONE : (size_t)(rand() % 2);
}

static void make_view(struct random_view *random) {
    random->view = view_at(rand() % 3, rand() % 2);
    random->view.parameter = random->parameter;
    random->view.value = random->value;
    random->view.n = choose(random->parameter, random->value);
    random->view.own = random->own;
    random->view.own_value = random->own_value;
    random->view.n_own = choose(random->own, random->own_value);
    random->view.apart_db2 = between(0, 9);
    random->view.link_share = rand() % 2 ? 1 : 0.6;
    random->view.meter_share = rand() % 2 ? 1 : -0.4;
    random->view.moment = random->view.in_place ? EARSHOT_NONE : choose_one();
    random->view.static_share = rand() % 2 ? 1 : 0.25;
    random->view.meter = choose_one();
    random->view.meter_sd_db = random->view.meter == 0 ? 3 : 4;
    random->view.shift = choose_one();
    random->view.edge = choose_one();
    random->view.edge_sd_db = between(1, 2);
}

/* With the fade of a reading by hand, which is noise to it. */
static double all_db2(const engine_reads *reads, const engine_field *of,
                      const engine_view *view) {
    double fade_db2 = view->moment == EARSHOT_NONE
                          ? 0
                          : view->static_share * of->static_sd_db * of->static_sd_db;
    return engine_prior_db2(reads, of, view) + view->link_share * view->link_share * fade_db2;
}

/* Two readings vary together the same whichever comes first, and never more than a reading with
 * itself: a covariance. */
Test(read, sharing_is_symmetric) {
    static struct random_view views[N_VIEWS];
    double prior_db2[N_NUMBERS];
    const engine_reads reads = {.prior_db2 = prior_db2, .shift_db2 = 9};
    engine_field of = field;
    of.obstacle = (engine_obstacle){{0.4, 2.5},   {6, 2.5},  12,      6,
                                    EARSHOT_NONE, -INFINITY, INFINITY}; /* across some ways */
    srand(1);
    for (size_t i = 0; i < N_NUMBERS; i++)
        prior_db2[i] = between(0, 16);
    for (size_t i = 0; i < N_VIEWS; i++)
        make_view(&views[i]);
    for (size_t i = 0; i < N_VIEWS; i++)
        for (size_t j = 0; j < N_VIEWS; j++) {
            const engine_view *a = &views[i].view, *b = &views[j].view;
            double ab = engine_shared_db2(NULL, &reads, &of, a, b, NULL);
            double ba = engine_shared_db2(NULL, &reads, &of, b, a, NULL);
            double most = sqrt(all_db2(&reads, &of, a) * all_db2(&reads, &of, b));
            cr_expect_float_eq(ab, ba, 1e-12, "%zu %zu: %g and %g", i, j, ab, ba);
            cr_expect_leq(fabs(ab), most + 1e-9, "%zu %zu: %g of %g", i, j, ab, most);
            cr_expect(i != j || fabs(ab - most) < 1e-9, "%zu with itself: %g", i, ab);
        }
}

/* ---- the factor ---- */

/* By the definition: L times what comes out is what went in, and its squares are the sum; of
 * factors of every size about that of a bunch of rows, well off the diagonal too. */
Test(read, explained_by_a_factor) {
    enum { MOST = 35 };
    for (size_t n = 0; n <= MOST; n++) {
        double lower[MOST * MOST] = {0}, asked[MOST] = {0}, c[MOST] = {0}, sum = 0;
        for (size_t i = 0; i < n; i++) {
            asked[i] = c[i] = sin(3.0 * (double)i + 1);
            for (size_t j = 0; j < n; j++)
                lower[i * n + j] = j > i    ? NAN /* not looked at */
                                   : j == i ? 2 + cos((double)i)
                                            : 0.3 * sin((double)(7 * i + 5 * j));
        }
        double explained = engine_explained_db2(lower, n, c);
        for (size_t i = 0; i < n; i++) {
            double back = 0;
            for (size_t j = 0; j <= i; j++)
                back += lower[i * n + j] * c[j];
            sum += c[i] * c[i];
            cr_expect_float_eq(back, asked[i], 1e-12 * (1 + fabs(c[i])), "%zu of %zu", i, n);
        }
        cr_expect_float_eq(explained, sum, 1e-12 * (1 + sum));
    }
}
