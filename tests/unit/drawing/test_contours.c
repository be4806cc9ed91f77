/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_contours.c - lines of surfaces that are known: planes, cones, saddles, steps.
 */
#include "contours.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

enum { NX = 121, NY = 81 };
static const double step_m = 0.1, pi = 3.14159265358979323846;

typedef double surface(double x_m, double y_m);

/* Takes the surface at every point of the raster; `values` is NX x NY. */
static contours_raster raster_of(surface *of, double *values) {
    for (size_t i = 0; i < NX * NY; i++)
        values[i] = of((double)(i % NX) * step_m, (double)(i / NX) * step_m);
    return (contours_raster){.value = values, .nx = NX, .ny = NY, .step_m = step_m};
}

static double length_of(const contours *lines, const contours_chain *chain) {
    const contours_point *points = lines->points + chain->first_point;
    double length_m = 0;
    for (size_t i = 0; i + 1 < chain->n_points + chain->closed; i++) {
        const contours_point b = points[(i + 1) % chain->n_points];
        length_m += hypot(b.x_m - points[i].x_m, b.y_m - points[i].y_m);
    }
    return length_m;
}

static double area_of(const contours *lines, const contours_chain *chain) {
    const contours_point *points = lines->points + chain->first_point;
    double twice = 0;
    for (size_t i = 0; i < chain->n_points; i++) {
        const contours_point b = points[(i + 1) % chain->n_points];
        twice += points[i].x_m * b.y_m - b.x_m * points[i].y_m;
    }
    return fabs(twice) / 2;
}

static double plane(double x_m, double y_m) {
    return 3 * x_m + y_m;
}

/* A plane's line is straight, and leaves the raster at both ends: 3 x + y = 10 from (0.667, 8)
 * to (3.333, 0). */
Test(contours, of_a_plane) {
    static double values[NX * NY];
    const contours_raster raster = raster_of(plane, values);
    contours lines;
    cr_assert(contours_trace(&raster, 10, &lines));
    cr_assert_eq(lines.n_chains, 1);
    cr_expect_not(lines.chains[0].closed);
    for (size_t i = 0; i < lines.n_points; i++)
        cr_expect_float_eq(plane(lines.points[i].x_m, lines.points[i].y_m), 10, 1e-9);
    cr_expect_float_eq(length_of(&lines, lines.chains), hypot(8 / 3.0, 8), 1e-9);
    contours_free(&lines);
}

static double cone(double x_m, double y_m) {
    return -hypot(x_m - 6.03, y_m - 4.01);
}

/* A circle of 3 m: circumference 2 pi r, area pi r^2, within what chords of 0.1 m leave off. */
Test(contours, of_a_cone) {
    static double values[NX * NY];
    const contours_raster raster = raster_of(cone, values);
    contours lines;
    cr_assert(contours_trace(&raster, -3, &lines));
    cr_assert_eq(lines.n_chains, 1);
    cr_expect(lines.chains[0].closed);
    for (size_t i = 0; i < lines.n_points; i++)
        cr_expect_float_eq(cone(lines.points[i].x_m, lines.points[i].y_m), -3, 1e-3);
    cr_expect_float_eq(length_of(&lines, lines.chains), 6 * pi, 0.02);
    cr_expect_float_eq(area_of(&lines, lines.chains), 9 * pi, 0.03);
    contours_free(&lines);
}

/* The stated rule: at a saddle the two corners inside are joined when the mean of all four is
 * at the level or above. */
Test(contours, at_a_saddle) {
    const struct {
        double corner[4];
        double level;
        bool joined;
    } cases[] = {{{1, 0, 0, 1}, 0.5, true}, /* mean 0.5 */
                 {{1, 0, 0, 1}, 0.51, false}, {{0, 1, 1, 0}, 0.49, true},
                 {{0, 1, 1, 0}, 0.51, false}, {{4, 0, 0, 1}, 0.9, true},
                 {{1, -4, 0, 1}, 0.1, false}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const contours_raster raster = {
            .value = cases[i].corner, .nx = 2, .ny = 2, .step_m = 1};
        contours lines;
        cr_assert(contours_trace(&raster, cases[i].level, &lines));
        cr_assert_eq(lines.n_chains, 2, "case %zu", i);
        /* Each piece cuts one corner off: an outside one when the inside is joined. */
        for (size_t j = 0; j < 2; j++) {
            const contours_point *p = lines.points + lines.chains[j].first_point;
            double x_m = p[0].x_m + p[1].x_m > 1 ? 1 : 0;
            double y_m = p[0].y_m + p[1].y_m > 1 ? 1 : 0;
            cr_assert_eq(lines.chains[j].n_points, 2);
            bool on_x = p[0].x_m == x_m || p[1].x_m == x_m;
            bool on_y = p[0].y_m == y_m || p[1].y_m == y_m;
            cr_expect(on_x && on_y, "case %zu cuts a corner off", i);
            double corner = cases[i].corner[(size_t)x_m + 2 * (size_t)y_m];
            cr_expect_eq(corner < cases[i].level, cases[i].joined, "case %zu", i);
        }
        contours_free(&lines);
    }
}

/* Of value 9 left of a slanting line and 0 right of it. */
static double step_at(const void *who, double x_m, double y_m) {
    (void)who;
    return x_m + 0.3 * y_m < 5.03 ? 9 : 0;
}

static double cliff(double x_m, double y_m) {
    return step_at(NULL, x_m, y_m);
}

/* Along a step the line lies on the step: within a 512th of the raster's own, where all
 * crossings of its sides do. */
Test(contours, along_a_step) {
    static double values[NX * NY];
    contours_raster raster = raster_of(cliff, values);
    contours lines;
    raster.at = step_at;
    cr_assert(contours_trace(&raster, 4.5, &lines));
    cr_assert_eq(lines.n_chains, 1);
    for (size_t i = 0; i < lines.n_points; i++)
        cr_expect_float_eq(lines.points[i].x_m + 0.3 * lines.points[i].y_m, 5.03,
                           1.3 * step_m / 256);
    contours_free(&lines);
}

/* A wavy surface: every ring and line is found once, whatever way it is reached: the level is
 * crossed as often along any row as the pieces say. */
static double waves(double x_m, double y_m) {
    return sin(3.1 * x_m) * cos(2.3 * y_m) + 0.2 * sin(7 * x_m + y_m);
}

Test(contours, each_crossing_once) {
    static double values[NX * NY];
    const contours_raster raster = raster_of(waves, values);
    contours lines;
    size_t n_crossings = 0, n_found = 0;
    cr_assert(contours_trace(&raster, 0.1, &lines));
    for (size_t row = 0; row < NY; row++)
        for (size_t column = 0; column + 1 < NX; column++)
            n_crossings +=
                (values[row * NX + column] >= 0.1) != (values[row * NX + column + 1] >= 0.1);
    for (size_t row = 0; row + 1 < NY; row++)
        for (size_t column = 0; column < NX; column++)
            n_crossings +=
                (values[row * NX + column] >= 0.1) != (values[(row + 1) * NX + column] >= 0.1);
    for (size_t i = 0; i < lines.n_chains; i++)
        n_found += lines.chains[i].n_points;
    cr_expect_eq(n_found, n_crossings, "%zu of %zu", n_found, n_crossings);
    contours_free(&lines);
}

Test(contours, none_where_a_value_is_missing) {
    static double values[NX * NY];
    const contours_raster raster = raster_of(plane, values);
    contours lines;
    values[17] = NAN;
    cr_assert(contours_trace(&raster, 10, &lines));
    cr_expect_eq(lines.n_chains, 0);
    contours_free(&lines);
}
