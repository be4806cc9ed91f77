/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_predict.c - whole links: against the survey that is worked out by hand, and by what must
 * hold of every building.
 */
#include "earshot/earshot.h"
#include "engine.h"
#include "folder.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_deriv.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

enum { MOST = 128 };

/* A loaded survey with its belief and links. */
struct site {
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_link links[MOST];
    earshot_prediction predictions[MOST];
    size_t n;
};

static void open_site(const folder *tables, struct site *site) {
    site->survey = folder_load(tables);
    cr_assert_eq(earshot_belief_prior(site->survey, &site->belief), EARSHOT_OK);
    site->n = earshot_survey_links(site->survey, site->links, MOST);
    cr_assert(site->n > 0 && site->n <= MOST);
    cr_assert_eq(earshot_links_predict(site->survey, site->belief, site->links, site->n,
                                       site->predictions),
                 EARSHOT_OK);
}

static void close_site(struct site *site) {
    earshot_belief_free(site->belief);
    earshot_survey_free(site->survey);
}

static void open_folder(const char *path, struct site *site) {
    folder tables = folder_read(path);
    open_site(&tables, site);
    folder_free(&tables);
}

/* ---- by hand ---- */

/* The survey's static fade is Rayleigh: power y of density exp(-y), a level of 10 log10 y dB
 * with mean -2.506816 and sd 5.570043 (10 gamma / ln 10, 10 pi / (ln 10 sqrt 6)). */
static double rayleigh_times_normal(double level_db, void *who) {
    const earshot_prediction *prediction = who;
    double y = pow(10, level_db / 10);
    double sd = sqrt(pow(prediction->margin_sd_db, 2) - pow(10 * M_PI / M_LN10, 2) / 6);
    return y * exp(-y) * M_LN10 / 10 *
           gsl_cdf_ugaussian_P((prediction->spare_db + level_db + 10 * M_EULER / M_LN10) / sd);
}

/* GSL: gsl_integration_qag, gsl_cdf_ugaussian_P. */
static double faded_chance(const earshot_prediction *prediction) {
    earshot_prediction copy = *prediction;
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(1000);
    gsl_function function = {.function = rayleigh_times_normal, .params = &copy};
    double chance, error;
    gsl_integration_qag(&function, -150, 25, 0, 1e-10, 1000, GSL_INTEG_GAUSS61, space, &chance,
                        &error);
    gsl_integration_workspace_free(space);
    return chance;
}

Test(predict, paper) {
    struct site site;
    vectors *rows = vectors_read("paper.csv");
    open_folder("surveys/paper", &site);
    cr_assert_eq(vectors_n_rows(rows), 5);
    cr_assert_eq(site.n, 5);
    for (size_t i = 0; i < 5; i++) {
        const char *device = vectors_text(rows, i, "device");
        size_t row = earshot_survey_find(site.survey, device), j = 0;
        while (j < site.n && site.links[j].device != row)
            j++;
        cr_assert_lt(j, site.n, "%s", device);
        const earshot_prediction *got = &site.predictions[j];
        cr_expect_float_eq(got->distance_m, vectors_number(rows, i, "distance_m"), 1e-9, "%s",
                           device);
        cr_expect_float_eq(got->loss_db, vectors_number(rows, i, "loss_db"), 1e-9, "%s",
                           device);
        cr_expect_float_eq(got->margin_db, vectors_number(rows, i, "margin_db"), 1e-9, "%s",
                           device);
        cr_expect_float_eq(got->margin_sd_db, vectors_number(rows, i, "margin_sd_db"), 1e-9,
                           "%s", device);
        cr_expect_float_eq(got->spare_db, vectors_number(rows, i, "spare_db"), 1e-9, "%s",
                           device);
        cr_expect_float_eq(got->chance, vectors_number(rows, i, "chance"), 1e-6, "%s", device);
        cr_expect_float_eq(got->chance, faded_chance(got), 1e-6, "%s: GSL", device);
        cr_expect_str_eq(earshot_verdict_word(got->verdict), vectors_text(rows, i, "verdict"));
    }
    vectors_free(rows);
    close_site(&site);
}

/* ---- the ledger ---- */

/* First number of a column of a CSV text without quotes in it, in the row that begins with
 * `name` and has `second` as its second cell (NULL: any). */
static double cell(const char *text, const char *name, const char *second, int column) {
    size_t length = strlen(name);
    for (const char *line = text; line;
         line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
        if (strncmp(line, name, length) != 0 || line[length] != ',')
            continue;
        if (second && strncmp(line + length + 1, second, strlen(second)) != 0)
            continue;
        for (int i = 0; i < column; i++)
            line = strchr(line, ',') + 1;
        return strtod(line, NULL);
    }
    cr_assert_fail("no row %s", name);
    return NAN;
}

/* A what-if end lies where it was put and is judged on the grid: also where the one has a wall
 * in its way and the other has not, as half a step beside the wall's end, the parts are of what
 * was judged. */
Test(predict, ledger_of_ends_off_the_grid) {
    const double hair_m = GEOMETRY_STEP_M * 0.4;
    const double rows_m[] = {-hair_m, hair_m, 5 - hair_m, 5 + hair_m};
    struct site site;
    folder tables = {.n = 0};
    folder_put(&tables, "devices.csv",
               "device,role,x_m,y_m,radio\ns,sensor,-1,0,868-10mw\np,receiver,1,0,868-10mw\n");
    folder_put(&tables, "walls.csv",
               "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nw,ground,0,0,0,5,concrete\n");
    open_site(&tables, &site);
    for (size_t i = 0; i < COUNT(rows_m); i++) {
        earshot_part parts[8];
        earshot_prediction prediction;
        size_t n_parts = 0;
        double sum_db = 0;
        earshot_link link = site.links[0];
        link.device = link.listener = EARSHOT_NONE;
        link.from.y_m = link.to.y_m = rows_m[i];
        cr_assert_eq(earshot_link_ledger(site.survey, site.belief, &link, parts, COUNT(parts),
                                         &n_parts, &prediction),
                     EARSHOT_OK);
        for (size_t j = 0; j < n_parts && j < COUNT(parts); j++)
            sum_db += parts[j].loss_db;
        cr_expect_float_eq(sum_db, prediction.loss_db, 1e-9, "at %g: %g of %g", rows_m[i],
                           sum_db, prediction.loss_db);
    }
    close_site(&site);
    folder_free(&tables);
}

/* Each line of the demo's ledgers is worked out again from the tables as they stand on disk:
 * the rows at 800 and 930 MHz are equal, so 868.3 MHz takes either. */
Test(predict, ledger_recomputes_from_the_tables) {
    struct site site;
    folder materials = folder_read("materials");
    const char *penetration = folder_text(&materials, "penetration.csv");
    const char *mounts = folder_text(&materials, "mounts.csv");
    open_folder("surveys/demo", &site);
    for (size_t i = 0; i < site.n; i++) {
        earshot_part parts[60];
        earshot_prediction prediction;
        size_t n_parts;
        double sum = 0, walls = 0, heaviest = 0;
        earshot_link_ledger(site.survey, site.belief, &site.links[i], parts, COUNT(parts),
                            &n_parts, &prediction);
        cr_assert(n_parts >= 2 && n_parts <= COUNT(parts));
        for (size_t j = 0; j < n_parts; j++) {
            double want = NAN;
            switch (parts[j].kind) {
            case EARSHOT_FIRST_METER: /* ITU-R P.525, 868.3 MHz, reference value 31.221179 */
                want = 20 * log10(4 * acos(-1) * 868.3e6 / 299792458.0);
                break;
            case EARSHOT_DISTANCE: /* environments.csv: dwelling, exponent 2.1 */
                want = 21 * log10(fmax(prediction.distance_m, 1));
                break;
            case EARSHOT_WALL:
            case EARSHOT_DOOR:
            case EARSHOT_WINDOW:
                want = cell(penetration, parts[j].of, "930", 2);
                walls += want;
                heaviest = fmax(heaviest, want);
                break;
            case EARSHOT_FLOOR:
                want = cell(penetration, parts[j].of, "930", 2);
                break;
            case EARSHOT_WAYS_ROUND: /* dwelling: power 0.9 */
                want = pow(walls, 0.9) * pow(heaviest, 0.1) - walls;
                break;
            case EARSHOT_FLOORS_TOGETHER: /* dwelling: linear */
                want = 0;
                break;
            case EARSHOT_MOUNT:
                want = cell(mounts, parts[j].name, NULL, 1);
                break;
            case EARSHOT_GROUND: /* nobody is 60 m away in the demo */
            case EARSHOT_READ:   /* by the tables alone */
                break;
            }
            cr_expect_float_eq(parts[j].loss_db, want, 1e-9, "link %zu, part %zu (%s)", i, j,
                               parts[j].name);
            cr_expect_gt(strlen(parts[j].source), 3);
            sum += parts[j].loss_db;
        }
        cr_expect_float_eq(sum, prediction.loss_db, 1e-9, "link %zu: no remainder", i);
        cr_expect_eq(prediction.loss_db, site.predictions[i].loss_db);
    }
    folder_free(&materials);
    close_site(&site);
}

/* ---- what must hold of every building ---- */

/* The same way walked from its other end. The radios are made the same, for another frequency
 * is another loss; and no listener is in particular doubt. */
static void expect_no_direction(const struct site *site, const earshot_link *link) {
    earshot_link ways[2] = {*link, *link};
    earshot_prediction out[2];
    ways[0].to.radio = link->from.radio;
    ways[0].to.bias = EARSHOT_NONE;
    ways[1].from = ways[0].to;
    ways[1].to = ways[0].from;
    cr_assert_eq(earshot_links_predict(site->survey, site->belief, ways, 2, out), EARSHOT_OK);
    cr_expect(out[0].loss_db == out[1].loss_db,
              "%.17g and %.17g dB between %g %g %g and %g %g %g", out[0].loss_db,
              out[1].loss_db, link->from.x_m, link->from.y_m, link->from.z_m, link->to.x_m,
              link->to.y_m, link->to.z_m);
    cr_expect_float_eq(out[0].margin_sd_db, out[1].margin_sd_db, 1e-12);
}

Test(predict, ends_swapped) {
    static const char *const surveys[] = {"surveys/paper", "surveys/demo", "surveys/no-plan"};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    for (size_t s = 0; s < COUNT(surveys); s++) {
        struct site site;
        open_folder(surveys[s], &site);
        for (size_t i = 0; i < site.n; i++)
            expect_no_direction(&site, &site.links[i]);
        /* what-ifs: half of them between whole and half meters, where ties are common */
        for (int i = 0; i < 4000; i++) {
            earshot_link link = site.links[0];
            earshot_end *ends[2] = {&link.from, &link.to};
            for (int end = 0; end < 2; end++) {
                double grain = i % 2 ? 0.5 : 0.001;
                ends[end]->x_m = grain * floor(16 * gsl_rng_uniform(rng) / grain);
                ends[end]->y_m = grain * floor(12 * gsl_rng_uniform(rng) / grain);
                ends[end]->z_m = grain * floor(7 * gsl_rng_uniform(rng) / grain);
            }
            if (link.path == EARSHOT_NONE)
                expect_no_direction(&site, &link);
        }
        close_site(&site);
    }
    gsl_rng_free(rng);
}

/* Rows behind the header in reverse. */
static void reverse_rows(folder *tables, const char *name) {
    const char *text = folder_text(tables, name);
    const char *lines[200];
    size_t n = 0;
    char *turned = calloc(1, strlen(text) + 2), *at = turned;
    for (const char *line = text; *line; line = strchr(line, '\n') + 1) {
        cr_assert(n < COUNT(lines) && strchr(line, '\n'));
        lines[n++] = line;
    }
    for (size_t i = 0; i < n; i++) {
        const char *line = lines[i == 0 ? 0 : n - i];
        size_t length = (size_t)(strchr(line, '\n') - line) + 1;
        memcpy(at, line, length);
        at += length;
    }
    folder_put(tables, name, turned);
    free(turned);
}

Test(predict, table_order_does_not_matter) {
    struct site plain, turned;
    folder tables = folder_read("surveys/demo");
    open_site(&tables, &plain);
    reverse_rows(&tables, "walls.csv");
    reverse_rows(&tables, "openings.csv");
    reverse_rows(&tables, "devices.csv");
    reverse_rows(&tables, "levels.csv");
    open_site(&tables, &turned);
    cr_assert_eq(plain.n, turned.n);
    for (size_t i = 0; i < plain.n; i++) {
        const char *device = earshot_survey_device(plain.survey, plain.links[i].device);
        size_t j = 0;
        while (strcmp(device, earshot_survey_device(turned.survey, turned.links[j].device)) !=
               0)
            j++;
        const earshot_prediction *was = &plain.predictions[i], *is = &turned.predictions[j];
        cr_expect_float_eq(was->loss_db, is->loss_db, 1e-12, "%s", device);
        cr_expect_float_eq(was->margin_db, is->margin_db, 1e-12, "%s", device);
        cr_expect_float_eq(was->margin_sd_db, is->margin_sd_db, 1e-12, "%s", device);
        cr_expect_float_eq(was->chance, is->chance, 1e-12, "%s", device);
        cr_expect_eq(was->verdict, is->verdict, "%s", device);
    }
    folder_free(&tables);
    close_site(&plain);
    close_site(&turned);
}

static const char *const kinds[] = {"stud-wall", "brick", "concrete", "metal-cladding",
                                    "glass"};

/* Walls between random whole and half meters, so that ties are common. */
static int add_wall(char *text, int size, int row, gsl_rng *rng) {
    double ends[4];
    do
        for (int i = 0; i < 4; i++)
            ends[i] = 0.5 * (double)gsl_rng_uniform_int(rng, 21);
    while (ends[0] == ends[2] && ends[1] == ends[3]);
    return size + sprintf(text + size, "w%d,ground,%g,%g,%g,%g,%s\n", row, ends[0], ends[1],
                          ends[2], ends[3], kinds[gsl_rng_uniform_int(rng, COUNT(kinds))]);
}

/* A door or a pane in the wall that was just added, 5 cm from its first end. */
static int add_opening(char *text, int size, int row, gsl_rng *rng) {
    static const char *const panes[] = {"inside-door", "steel-door", "glass", "coated-glass"};
    return size + sprintf(text + size, "o%d,w%d,0.05,%g,%s\n", row, row,
                          0.1 + 0.3 * gsl_rng_uniform(rng),
                          panes[gsl_rng_uniform_int(rng, COUNT(panes))]);
}

/* With an opening in every other wall or without. */
Test(predict, a_wall_never_lowers_the_loss) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    folder tables = {.n = 0};
    char devices[3000];
    int size =
        sprintf(devices, "device,role,x_m,y_m,height_m,radio\np,receiver,5,5,1,868-10mw\n");
    for (int i = 0; i < 40; i++)
        size += sprintf(devices + size, "s%d,sensor,%g,%g,1,868-10mw\n", i,
                        0.5 * (double)gsl_rng_uniform_int(rng, 21),
                        0.5 * (double)gsl_rng_uniform_int(rng, 21));
    folder_put(&tables, "devices.csv", devices);
    folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n");
    for (int building = 0; building < 10; building++) {
        char walls[4000] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n";
        char openings[4000] = "opening,wall,from_m,to_m,construction\n";
        double before[MOST] = {0};
        int length = (int)strlen(walls), openings_length = (int)strlen(openings);
        folder_put(&tables, "openings.csv", openings);
        for (int n = 0; n < 25; n++) {
            struct site site;
            length = add_wall(walls, length, n, rng);
            folder_put(&tables, "walls.csv", walls);
            if (building % 2 == 0 && n % 2 == 0)
                openings_length = add_opening(openings, openings_length, n, rng);
            folder_put(&tables, "openings.csv", openings);
            open_site(&tables, &site);
            for (size_t i = 0; i < site.n; i++) {
                cr_assert(site.predictions[i].loss_db >= before[i] - 1e-12,
                          "wall %d of building %d lowers link %zu", n, building, i);
                before[i] = site.predictions[i].loss_db;
            }
            close_site(&site);
        }
    }
    folder_free(&tables);
    gsl_rng_free(rng);
}

/* ---- doubt ---- */

/* A survey in which only walls are in doubt, and ways round are not counted. */
static folder only_walls_in_doubt(const char *walls) {
    folder tables = {.n = 0};
    folder_put(&tables, "site.csv", "key,value\nname,x\nenvironment,sure\n");
    folder_put(
        &tables, "environments.csv",
        "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
        "wall_saturation_sd,static_k_db,time_k_db,floors,floor_b,min_mhz,max_mhz,source\n"
        "sure,drawn,2,0,0,1,0,60,60,linear,0.46,300,1000,made up\n");
    folder_put(
        &tables, "radios.csv",
        "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,antenna_dbi,"
        "antenna_sd_db,source\nsure,868.3,10,0,-100,0,0,0,made up\n");
    folder_put(&tables, "constructions.csv",
               "construction,class,layers,note\na,wall,,\nb,wall,,\n");
    folder_put(
        &tables, "penetration.csv",
        "construction,freq_mhz,loss_db,sd_db,kind,source\na,868.3,5,2,effective,made up\n"
        "b,868.3,5,1.5,effective,made up\n");
    folder_put(
        &tables, "devices.csv",
        "device,role,x_m,y_m,height_m,radio\ns,sensor,0,0,1,sure\np,receiver,10,0,1,sure\n");
    folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n");
    folder_put(&tables, "walls.csv", walls);
    return tables;
}

/* Half of a row's variance moves all walls of the construction at once, the other half is each
 * wall's own: N walls of sd 2 have N^2 x 2 + N x 2. A Rice factor of 60 dB still leaves a fade
 * of 0.009 dB, hence the tolerance. */
Test(predict, walls_of_one_construction_err_together) {
    static const struct {
        const char *walls;
        double sd_db;
    } rows[] = {
        {"1,a", 2},
        {"1,a 2,a", 3.4641016},     /* sqrt(8 + 4) */
        {"1,a 2,a 3,a", 4.8989795}, /* sqrt(18 + 6) */
        {"1,a 2,b", 2.5},           /* sqrt(2^2 + 1.5^2) */
        {"1,a 2,a 3,b", 3.7749172}, /* sqrt(8 + 4 + 1.5^2) */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char walls[400] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n", copy[40];
        int size = (int)strlen(walls), n = 0;
        struct site site;
        strcpy(copy, rows[i].walls);
        for (char *word = strtok(copy, " "); word; word = strtok(NULL, " "))
            size += sprintf(walls + size, "w%d,ground,%c,-3,%c,3,%c\n", n++, word[0], word[0],
                            word[2]);
        folder tables = only_walls_in_doubt(walls);
        open_site(&tables, &site);
        cr_expect_float_eq(site.predictions[0].margin_sd_db, rows[i].sd_db, 1e-4, "%s: %g",
                           rows[i].walls, site.predictions[0].margin_sd_db);
        folder_free(&tables);
        close_site(&site);
    }
}

/* The project's worked number for a zone that was never read: parameters 5 dB (here all in the
 * sent power), field 3, static fade 5.6: sqrt(25 + 9 + 31.36) = 8.08. 5.6 is the Rayleigh
 * fade's 10 pi / (ln 10 sqrt 6) = 5.570 rounded, which takes 0.02 dB off. */
Test(predict, worked_doubt) {
    struct site site;
    folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                        "w,ground,1,5,1,6,a\n");
    folder_put(
        &tables, "environments.csv",
        "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
        "wall_saturation_sd,static_k_db,time_k_db,floors,floor_b,min_mhz,max_mhz,source\n"
        "sure,drawn,2,0,3,1,0,,60,linear,0.46,300,1000,made up\n");
    folder_put(
        &tables, "radios.csv",
        "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,antenna_dbi,"
        "antenna_sd_db,source\nsure,868.3,10,5,-100,0,0,0,made up\n");
    open_site(&tables, &site);
    cr_expect_float_eq(site.predictions[0].margin_sd_db,
                       sqrt(25 + 9 + pow(10 * M_PI / (M_LN10 * sqrt(6)), 2)), 1e-9);
    cr_expect_float_eq(site.predictions[0].margin_sd_db, 8.08, 0.025);
    folder_free(&tables);
    close_site(&site);
}

struct moved {
    struct site *site;
    size_t link, parameter;
};

static double margin_at(double value, void *who) {
    struct moved *moved = who;
    earshot_belief *belief = moved->site->belief;
    double kept = belief->mean[moved->parameter];
    engine_result result;
    belief->mean[moved->parameter] = value;
    engine_solve(moved->site->survey, belief, &moved->site->links[moved->link], NULL, &result);
    belief->mean[moved->parameter] = kept;
    return result.rx_power_dbm - result.needed_dbm;
}

/* The feature row is the derivative of the margin: every parameter of every link of the demo
 * against GSL, gsl_deriv_central. */
Test(predict, features_are_derivatives) {
    struct site site;
    open_folder("surveys/demo", &site);
    for (size_t link = 0; link < site.n; link++) {
        engine_result result;
        double row[600] = {0};
        cr_assert_leq(site.belief->n, COUNT(row));
        engine_solve(site.survey, site.belief, &site.links[link], NULL, &result);
        for (size_t i = 0; i < result.features.n; i++)
            row[result.features.parameter[i]] += result.features.value[i];
        for (size_t parameter = 0; parameter < site.belief->n; parameter++) {
            struct moved moved = {&site, link, parameter};
            gsl_function function = {.function = margin_at, .params = &moved};
            double slope, error;
            gsl_deriv_central(&function, site.belief->mean[parameter], 1e-3, &slope, &error);
            cr_expect_float_eq(row[parameter], slope, 1e-5 * (1 + fabs(slope)),
                               "link %zu, parameter %zu", link, parameter);
        }
    }
    close_site(&site);
}

/* J S J^T over the sparse row against the sum over all pairs, with covariances that are not
 * zero. */
Test(predict, variance_counts_covariances) {
    struct site site;
    open_folder("surveys/demo", &site);
    size_t n = site.belief->n;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            site.belief->covariance[i * n + j] = i == j ? 1.5 : 0.01 * (double)((i + j) % 7);
    for (size_t link = 0; link < site.n; link++) {
        engine_result result;
        double row[600] = {0}, want = 0;
        engine_solve(site.survey, site.belief, &site.links[link], NULL, &result);
        for (size_t i = 0; i < result.features.n; i++)
            row[result.features.parameter[i]] += result.features.value[i];
        for (size_t i = 0; i < n; i++)
            for (size_t j = 0; j < n; j++)
                want += row[i] * site.belief->covariance[i * n + j] * row[j];
        cr_expect_float_eq(
            engine_variance_db2(site.belief, &result.features, result.features.n), want,
            1e-9 * want, "link %zu", link);
    }
    close_site(&site);
}

/* ---- what-ifs and misuse ---- */

Test(predict, refuses_rows_that_are_not_there) {
    struct site site;
    open_folder("surveys/paper", &site);
    earshot_link bad[6];
    for (size_t i = 0; i < COUNT(bad); i++)
        bad[i] = site.links[0];
    bad[0].from.radio = 1000;
    bad[1].to.mount = 1000;
    bad[2].to.bias = 1000;
    bad[3].path = 1000;
    bad[4].from.x_m = 2049;
    bad[5].to.radio = EARSHOT_NONE;
    for (size_t i = 0; i < COUNT(bad); i++) {
        earshot_link links[2] = {site.links[0], bad[i]};
        earshot_prediction out[2] = {{.loss_db = 12345}, {.loss_db = 12345}};
        cr_expect_eq(earshot_links_predict(site.survey, site.belief, links, 2, out),
                     EARSHOT_MISUSE, "%zu", i);
        cr_expect_eq(out[0].loss_db, 12345, "a failed call leaves its outputs untouched");
        earshot_part part = {.loss_db = 12345};
        size_t n_parts = 12345;
        cr_expect_eq(
            earshot_link_ledger(site.survey, site.belief, &bad[i], &part, 1, &n_parts, out),
            EARSHOT_MISUSE, "%zu", i);
        cr_expect_eq(part.loss_db, 12345);
        cr_expect_eq(n_parts, 12345);
        cr_expect_eq(earshot_link_heard(site.survey, site.belief, &bad[i], 9, 10, out),
                     EARSHOT_MISUSE, "%zu", i);
        cr_expect_eq(out[0].loss_db, 12345);
    }
    close_site(&site);
}

Test(predict, a_device_without_a_place_is_not_judged) {
    struct site site;
    folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                        "w,ground,1,0,1,1,a\n");
    folder_put(
        &tables, "devices.csv",
        "device,role,x_m,y_m,height_m,radio\ns,sensor,,,1,sure\np,receiver,10,0,1,sure\n");
    open_site(&tables, &site);
    cr_expect_eq(site.predictions[0].verdict, EARSHOT_NOT_JUDGED);
    cr_expect(site.predictions[0].notes & EARSHOT_NOTE_NO_PLACE);
    cr_expect(isnan(site.predictions[0].loss_db));
    folder_free(&tables);
    close_site(&site);
}

/* A path row with the plan's length and walls loses what the plan does. */
Test(predict, path_row_and_plan_agree) {
    struct site plan, path;
    folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                        "w,ground,3,-1,3,1,a\nv,ground,4,-1,4,1,b\n");
    open_site(&tables, &plan);
    folder_put(&tables, "devices.csv", "device,role,radio\ns,sensor,sure\np,receiver,sure\n");
    folder_put(&tables, "paths.csv", "device,to,length_m,crossings\ns,p,10,\"a, b\"\n");
    folder_put(&tables, "walls.csv", "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n");
    open_site(&tables, &path);
    cr_expect_eq(plan.predictions[0].loss_db, path.predictions[0].loss_db);
    cr_expect_eq(plan.predictions[0].margin_sd_db, path.predictions[0].margin_sd_db);
    folder_free(&tables);
    close_site(&plan);
    close_site(&path);
}

/* With a rated range the claim's doubt stands in for the radio's own three. */
Test(predict, rated_range_is_the_whole_budget) {
    struct site site;
    folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                        "w,ground,1,5,1,6,a\n");
    folder_put(
        &tables, "radios.csv",
        "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,antenna_dbi,"
        "antenna_sd_db,rated_range_m,source\nsure,868.3,10,3,-100,2,-2,3,500,made up\n");
    open_site(&tables, &site);
    engine_claim claim = engine_rated_range(868.3, 500);
    cr_expect_float_eq(site.predictions[0].margin_db,
                       claim.budget_db - site.predictions[0].loss_db, 1e-9);
    cr_expect_float_eq(site.predictions[0].margin_sd_db, claim.sd_db, 1e-4);
    /* a reading doubts power 3 and antenna 3, session 2 and meter 3, and nothing of the claim
     */
    cr_expect_float_eq(site.predictions[0].reading_sd_db, sqrt(9 + 9 + 4 + 9), 1e-4);
    folder_free(&tables);
    close_site(&site);
}

/* The same bits in every field; not memcmp, for the padding may be anything. */
static bool same(const earshot_prediction *a, const earshot_prediction *b) {
    return a->distance_m == b->distance_m && a->loss_db == b->loss_db &&
           a->rx_power_dbm == b->rx_power_dbm &&
           a->expected_reading_dbm == b->expected_reading_dbm &&
           a->reading_sd_db == b->reading_sd_db && a->needed_dbm == b->needed_dbm &&
           a->margin_db == b->margin_db && a->margin_sd_db == b->margin_sd_db &&
           a->required_margin_db == b->required_margin_db && a->spare_db == b->spare_db &&
           a->chance == b->chance && a->verdict == b->verdict && a->basis == b->basis &&
           a->notes == b->notes;
}

static void *predict_again(void *who) {
    struct site *site = who;
    for (int round = 0; round < 200; round++)
        earshot_links_predict(site->survey, site->belief, site->links, site->n,
                              site->predictions);
    return NULL;
}

/* Survey and belief are shared by threads, each with its own results. */
Test(predict, two_threads_one_survey) {
    struct site first, second;
    pthread_t threads[2];
    open_folder("surveys/demo", &first);
    second = first;
    struct site *sites[2] = {&first, &second};
    earshot_prediction alone[MOST];
    memcpy(alone, first.predictions, sizeof alone);
    for (int i = 0; i < 2; i++)
        cr_assert_eq(pthread_create(&threads[i], NULL, predict_again, sites[i]), 0);
    for (int i = 0; i < 2; i++)
        pthread_join(threads[i], NULL);
    for (int i = 0; i < 2; i++)
        for (size_t j = 0; j < first.n; j++)
            cr_expect(same(&sites[i]->predictions[j], &alone[j]), "thread %d, link %zu", i, j);
    close_site(&first);
}

/* ---- layers, edges, ways back, noise ---- */

/* A wall known by its layers only, crossed straight on and obliquely: the slab's own loss at
 * that angle (test_slab.c holds it against ITU-R P.2040), 45 degrees by hand from the
 * coordinates. */
Test(predict, layers_have_an_angle) {
    static const struct {
        const char *devices;
        double angle_rad;
    } rows[] = {{"s,sensor,0,0,1,sure\np,receiver,10,0,1,sure\n", 0},
                {"s,sensor,0,0,1,sure\np,receiver,6,6,1,sure\n", 0.78539816339744831}};
    double losses[2];
    for (size_t i = 0; i < 2; i++) {
        char devices[200] = "device,role,x_m,y_m,height_m,radio\n";
        struct site site;
        folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                            "w,ground,3,-9,3,9,slab\n");
        folder_put(&tables, "constructions.csv",
                   "construction,class,layers,note\nslab,wall,concrete 200,\n");
        folder_put(&tables, "penetration.csv",
                   "construction,freq_mhz,loss_db,sd_db,kind,source\n"
                   "brick,868.3,4,2,effective,made up\n");
        folder_put(&tables, "devices.csv", strcat(devices, rows[i].devices));
        open_site(&tables, &site);
        size_t slab = 0;
        while (strcmp(site.survey->constructions[slab].name, "slab") != 0)
            slab++;
        losses[i] = site.predictions[0].loss_db - engine_first_meter_db(868.3) -
                    engine_distance_db(2, site.predictions[0].distance_m);
        cr_expect_float_eq(losses[i],
                           engine_layers_db(site.survey, slab, 868.3, rows[i].angle_rad), 1e-9);
        /* 200 mm of concrete at 868.3 MHz, straight on: 7.49 dB (ITU-R P.2040-3, computed
         * apart); below its table's 1 GHz the doubt is 6 dB */
        if (i == 0)
            cr_expect_float_eq(losses[i], 7.49, 0.005);
        cr_expect_float_eq(site.predictions[0].margin_sd_db, 6, 1e-4);
        folder_free(&tables);
        close_site(&site);
    }
    cr_expect_gt(fabs(losses[0] - losses[1]), 0.1);
}

/* Near an opening's edge part of the signal goes the other way: within 0.6 Fresnel radius, here
 * of sqrt(0.3453 x 5 x 5 / 10) = 0.929 m, so 0.557 m from the edges at y -1 and 1; the doubt
 * then grows by |wall - door| / sqrt 12 (in squares). Wall 5 +- 2 dB, door 3 +- 1. */
Test(predict, edges_add_doubt) {
    static const struct {
        double y_m;
        bool inside, near;
    } rows[] = {{0, true, false},   {0.4, true, false},  {0.5, true, true},
                {1.2, false, true}, {1.55, false, true}, {1.6, false, false}};
    double apart_db2 = pow(5 - 3, 2) / 12; /* wall 5 dB, door 3 dB */
    for (size_t i = 0; i < COUNT(rows); i++) {
        char devices[200];
        struct site site;
        folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                            "w,ground,5,-4,5,4,a\n");
        folder_put(&tables, "constructions.csv",
                   "construction,class,layers,note\na,wall,,\nd,door,,\n");
        folder_put(&tables, "penetration.csv",
                   "construction,freq_mhz,loss_db,sd_db,kind,source\na,868.3,5,2,effective,x\n"
                   "d,868.3,3,1,effective,x\n");
        folder_put(&tables, "openings.csv",
                   "opening,wall,from_m,to_m,construction,bottom_m,top_m\nd,w,3,5,d,0,2.5\n");
        snprintf(devices, sizeof devices,
                 "device,role,x_m,y_m,height_m,radio\ns,sensor,0,%g,1.2,sure\n"
                 "p,receiver,10,%g,1.2,sure\n",
                 rows[i].y_m, rows[i].y_m);
        folder_put(&tables, "devices.csv", devices);
        open_site(&tables, &site);
        double want = sqrt(pow(rows[i].inside ? 1 : 2, 2) + (rows[i].near ? apart_db2 : 0));
        cr_expect_float_eq(site.predictions[0].margin_sd_db, want, 1e-4, "y %g", rows[i].y_m);
        folder_free(&tables);
        close_site(&site);
    }
}

/* Among several walls an edge's doubt counts as its wall moves the sum. By hand, with power
 * 0.5: a 9 dB and b 16 dB are N = 25/16 walls, and each counts 1 / sqrt N = 0.8. The path runs
 * 0.1 m beside a door in one of them that is 6 dB lighter: 6^2 / 12 = 3 dB^2. With sds of 2 (a)
 * and 1 (b), a door in either: 0.64 (4 + 3 + 1) = 5.12; in both: 0.64 (4 + 3 + 1 + 3) = 7.04;
 * and the same from either end. */
Test(predict, edges_count_as_their_walls_do) {
    static const struct {
        const char *openings;
        double variance_db2;
    } rows[] = {{"x,w,4.1,5,d,0,2.5\n", 5.12},
                {"y,v,4.1,5,e,0,2.5\n", 5.12},
                {"x,w,4.1,5,d,0,2.5\ny,v,4.1,5,e,0,2.5\n", 7.04}};
    static const char *const ends[] = {"s,sensor,0,0,1,sure\np,receiver,10,0,1,sure\n",
                                       "s,sensor,10,0,1,sure\np,receiver,0,0,1,sure\n"};
    for (size_t i = 0; i < 2 * COUNT(rows); i++) {
        char openings[200] = "opening,wall,from_m,to_m,construction,bottom_m,top_m\n";
        char devices[200] = "device,role,x_m,y_m,height_m,radio\n";
        struct site site;
        folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                            "w,ground,5,-4,5,4,a\nv,ground,7,-4,7,4,b\n");
        folder_put(
            &tables, "environments.csv",
            "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
            "wall_saturation_sd,static_k_db,time_k_db,floors,floor_b,min_mhz,max_mhz,source\n"
            "sure,drawn,2,0,0,0.5,0,60,60,linear,0.46,300,1000,made up\n");
        folder_put(&tables, "constructions.csv",
                   "construction,class,layers,note\na,wall,,\nb,wall,,\nd,door,,\ne,door,,\n");
        folder_put(&tables, "penetration.csv",
                   "construction,freq_mhz,loss_db,sd_db,kind,source\na,868.3,9,2,effective,x\n"
                   "b,868.3,16,1,effective,x\nd,868.3,3,1,effective,x\n"
                   "e,868.3,10,1,effective,x\n");
        folder_put(&tables, "openings.csv", strcat(openings, rows[i / 2].openings));
        folder_put(&tables, "devices.csv", strcat(devices, ends[i % 2]));
        open_site(&tables, &site);
        cr_expect_float_eq(site.predictions[0].margin_sd_db, sqrt(rows[i / 2].variance_db2),
                           1e-4, "row %zu: %g", i, site.predictions[0].margin_sd_db);
        folder_free(&tables);
        close_site(&site);
    }
}

/* A long open way loses no less than plane earth, 80 dB at 150 m with both ends 1.5 m up. By
 * hand, exponent 2: 31.221179 + 20 log10 150 = 74.743005 so far, so the ground takes 5.256995
 * and its sd is that / sqrt 12 = 1.517563. A wall of 5 dB takes its place and no more, one of
 * 10 dB leaves nothing to the ground. With an exponent known to 0.3 the doubt keeps 0.3 x 10
 * log10 150 = 6.528274. An exponent under 2 is that of a building, and one that holds the walls
 * cannot know what is open. */
Test(predict, ground_on_a_long_way) {
    static const struct {
        const char *environment, *crossings, *length_m;
        double loss_db, ground_db, sd_db;
    } rows[] = {
        {"drawn,2,0", "", "150", 80, 5.256995, 1.517563},
        {"drawn,2,0.3", "", "150", 80, 5.256995, 6.702340}, /* sqrt(6.528274^2 + 1.517563^2) */
        {"drawn,2,0", "a", "150", 80, 0.256995, 2.001375},  /* sqrt(2^2 + 0.074188^2) */
        {"drawn,2,0", "\"a,a\"", "150", 84.743005, 0,
         3.464102},                               /* sqrt(4^2 / 2 + 2 x 2^2 / 2) */
        {"drawn,2,0", "", "81", 69.390879, 0, 0}, /* plane earth 69.295750 */
        {"drawn,1.8,0", "", "150", 70.390823, 0, 0},
        {"not drawn,2,0", "", "150", 74.743005, 0, 0},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char environments[400], paths[100];
        double sum_db = 0, ground_db = 0;
        size_t n_parts = 0;
        earshot_part parts[10];
        earshot_prediction prediction;
        struct site site;
        folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n");
        snprintf(environments, sizeof environments,
                 "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
                 "wall_saturation_sd,static_k_db,time_k_db,floors,floor_b,min_mhz,max_mhz,"
                 "source\nsure,%s,0,1,0,60,60,linear,0.46,300,1000,made up\n",
                 rows[i].environment);
        snprintf(paths, sizeof paths, "device,to,length_m,crossings\ns,p,%s,%s\n",
                 rows[i].length_m, rows[i].crossings);
        folder_put(&tables, "environments.csv", environments);
        folder_put(&tables, "devices.csv",
                   "device,role,radio\ns,sensor,sure\np,receiver,sure\n");
        folder_put(&tables, "paths.csv", paths);
        open_site(&tables, &site);
        cr_assert_eq(earshot_link_ledger(site.survey, site.belief, &site.links[0], parts,
                                         COUNT(parts), &n_parts, &prediction),
                     EARSHOT_OK);
        for (size_t j = 0; j < n_parts; j++) {
            sum_db += parts[j].loss_db;
            if (parts[j].kind == EARSHOT_GROUND)
                ground_db += parts[j].loss_db;
        }
        cr_expect_float_eq(prediction.loss_db, rows[i].loss_db, 2e-6, "row %zu: %.6f", i,
                           prediction.loss_db);
        cr_expect_float_eq(ground_db, rows[i].ground_db, 2e-6, "row %zu: %.6f", i, ground_db);
        cr_expect_float_eq(sum_db, prediction.loss_db, 1e-9, "row %zu: no remainder", i);
        cr_expect_float_eq(prediction.margin_sd_db, rows[i].sd_db, 0.01, "row %zu: %.6f", i,
                           prediction.margin_sd_db);
        cr_expect_eq(!(prediction.notes & EARSHOT_NOTE_FAR), false, "row %zu", i);
        folder_free(&tables);
        close_site(&site);
    }
}

/* Where both ends talk, the weaker way counts: a sensor that sends 10 dBm to a listener that
 * answers with 0 dBm, the same needs: 10 dB less margin than one way. */
Test(predict, the_weaker_way_counts) {
    static const char *const two_way[] = {"no", "yes"};
    double margin_db[2];
    for (size_t i = 0; i < 2; i++) {
        char radios[400];
        struct site site;
        folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                            "w,ground,1,5,1,6,a\n");
        snprintf(
            radios, sizeof radios,
            "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,antenna_dbi,"
            "antenna_sd_db,two_way,source\nstrong,868.3,10,0,-100,0,0,0,%s,made up\n"
            "weak,868.3,0,0,-100,0,0,0,%s,made up\n",
            two_way[i], two_way[i]);
        folder_put(&tables, "radios.csv", radios);
        folder_put(&tables, "devices.csv",
                   "device,role,x_m,y_m,height_m,radio\ns,sensor,0,0,1,strong\n"
                   "p,receiver,10,0,1,weak\n");
        open_site(&tables, &site);
        margin_db[i] = site.predictions[0].margin_db;
        cr_expect_eq(!(site.predictions[0].notes & EARSHOT_NOTE_WAY_BACK), i == 0);
        folder_free(&tables);
        close_site(&site);
    }
    cr_expect_float_eq(margin_db[0] - margin_db[1], 10, 1e-9);
}

/* Noise read by the listener stands under the signal directly: -95 dBm and 12 dB needed above
 * it ask for -83 dBm in place of the -100 of a quiet site. */
Test(predict, noise_on_site) {
    struct site quiet, noisy;
    folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                        "w,ground,1,5,1,6,a\n");
    folder_put(
        &tables, "radios.csv",
        "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,antenna_dbi,"
        "antenna_sd_db,snr_needed_db,source\nsure,868.3,10,0,-100,0,0,0,12,made up\n");
    open_site(&tables, &quiet);
    folder_put(&tables, "readings.csv",
               "heard_at,device,reading,noise\np,s,-60,-97\np,s,-61,-95\n");
    open_site(&tables, &noisy);
    cr_expect_eq(quiet.predictions[0].needed_dbm, -100);
    cr_expect_float_eq(noisy.predictions[0].needed_dbm, -83, 1e-9);
    folder_free(&tables);
    close_site(&quiet);
    close_site(&noisy);
}

/* A need or a power that nobody gave leaves a link not judged, whatever else there is: no
 * margin is ever made of a value that is missing. */
Test(predict, what_is_missing_is_not_judged) {
    static const char *const radios[] = {
        /* an SNR alone is no need */
        "sure,868.3,10,0,,0,0,0,12,no,x\nback,868.3,10,0,,0,0,0,12,no,x\n",
        /* a two-way listener whose own power is not known */
        "sure,868.3,10,0,-100,0,0,0,,yes,x\nback,868.3,,0,-100,0,0,0,,yes,x\n"};
    static const char *const surroundings[] = {"", "surroundings,city\n"};
    for (size_t i = 0; i < 4; i++) {
        char text[400] = "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,"
                         "antenna_dbi,antenna_sd_db,snr_needed_db,two_way,source\n";
        char site_text[100] = "key,value\nname,x\nenvironment,sure\n";
        struct site site;
        folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                            "w,ground,1,5,1,6,a\n");
        folder_put(&tables, "radios.csv", strcat(text, radios[i / 2]));
        folder_put(&tables, "site.csv", strcat(site_text, surroundings[i % 2]));
        folder_put(&tables, "devices.csv",
                   "device,role,x_m,y_m,height_m,radio\ns,sensor,0,0,1,sure\n"
                   "p,receiver,10,0,1,back\n");
        open_site(&tables, &site);
        cr_expect_eq(site.predictions[0].verdict, EARSHOT_NOT_JUDGED, "%zu", i);
        cr_expect(isnan(site.predictions[0].margin_db) && isnan(site.predictions[0].chance));
        cr_expect(site.predictions[0].notes & EARSHOT_NOTE_NO_BUDGET, "%zu", i);
        folder_free(&tables);
        close_site(&site);
    }
}

/* Of the two ways the one less likely to hold decides, not the one with the smaller mean: sent
 * power 10 dBm, and an answer of 10.5 dBm that is known to 12 dB only. */
Test(predict, the_doubtful_way_back_counts) {
    struct site site;
    folder tables = only_walls_in_doubt("wall,level,x1_m,y1_m,x2_m,y2_m,construction\n"
                                        "w,ground,1,5,1,6,a\n");
    folder_put(
        &tables, "radios.csv",
        "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,sensitivity_sd_db,antenna_dbi,"
        "antenna_sd_db,two_way,source\nsure,868.3,-30,0,-100,0,0,0,yes,made up\n"
        "loose,868.3,-29.5,12,-100,0,0,0,yes,made up\n");
    folder_put(&tables, "devices.csv",
               "device,role,x_m,y_m,height_m,radio\ns,sensor,0,0,1,sure\n"
               "p,receiver,10,0,1,loose\n");
    open_site(&tables, &site);
    cr_expect(site.predictions[0].notes & EARSHOT_NOTE_WAY_BACK);
    cr_expect_float_eq(site.predictions[0].margin_sd_db, 12, 1e-4);
    /* margin 70.5 dB of budget less 31.221179 + 20 dB; spare 9.278821, sd 12: GSL */
    cr_expect_float_eq(site.predictions[0].chance, gsl_cdf_ugaussian_P(9.278821 / 12), 1e-5);
    folder_free(&tables);
    close_site(&site);
}
