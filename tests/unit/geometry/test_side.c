/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_side.c - the grid, the side test and the distance, against integer arithmetic.
 *
 * Points are drawn in whole grid steps, so the truth about a side is a sum of integer products;
 * 128 bits hold it with room to spare.
 */
#include "geometry.h"

#include <criterion/criterion.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>

__extension__ typedef __int128 wide;

enum { REACH_STEPS = 1 << 24 }; /* 2,048 m in steps of 2^-13 m */

typedef struct steps {
    int64_t x, y;
} steps;

static gsl_rng *new_generator(unsigned long seed) {
    gsl_rng *generator = gsl_rng_alloc(gsl_rng_mt19937);
    cr_assert(generator != NULL);
    gsl_rng_set(generator, seed);
    return generator;
}

static int64_t draw(gsl_rng *generator, int64_t low, int64_t high) {
    return low + (int64_t)gsl_rng_uniform_int(generator, (unsigned long)(high - low + 1));
}

static steps draw_point(gsl_rng *generator, int64_t reach) {
    const int64_t x = draw(generator, -reach, reach);
    return (steps){x, draw(generator, -reach, reach)};
}

static int64_t hold(int64_t value) {
    return value > REACH_STEPS ? REACH_STEPS : value < -REACH_STEPS ? -REACH_STEPS : value;
}

/* On the line through a and b or within two steps of it. */
static steps draw_near_line(gsl_rng *generator, steps a, steps b) {
    const double share = 3.0 * gsl_rng_uniform(generator) - 1.0;
    const int64_t x = a.x + llround(share * (double)(b.x - a.x)) + draw(generator, -2, 2);
    const int64_t y = a.y + llround(share * (double)(b.y - a.y)) + draw(generator, -2, 2);
    return (steps){hold(x), hold(y)};
}

static steps draw_corner(gsl_rng *generator) {
    const int64_t x = draw(generator, 0, 1) ? REACH_STEPS : -REACH_STEPS;
    return (steps){x, draw(generator, 0, 1) ? REACH_STEPS : -REACH_STEPS};
}

static geometry_point in_meters(steps p) {
    return (geometry_point){(double)p.x / 8192.0, (double)p.y / 8192.0};
}

static wide true_side(steps a, steps b, steps c) {
    return (wide)(b.x - a.x) * (c.y - a.y) - (wide)(b.y - a.y) * (c.x - a.x);
}

static void expect_exact(steps a, steps b, steps c) {
    const geometry_point p = in_meters(a), q = in_meters(b), r = in_meters(c);
    const double got = geometry_side(p, q, r);
    /* In square steps the answer must be an integer, and the right one. */
    const double in_steps = got * 8192.0 * 8192.0;
    cr_expect((wide)in_steps == true_side(a, b, c) && floor(in_steps) == in_steps,
              "(%lld, %lld) (%lld, %lld) (%lld, %lld): got %.17g square steps", (long long)a.x,
              (long long)a.y, (long long)b.x, (long long)b.y, (long long)c.x, (long long)c.y,
              in_steps);
    cr_expect(geometry_side(q, r, p) == got && geometry_side(r, p, q) == got);
    cr_expect(geometry_side(q, p, r) == -got && geometry_side(p, r, q) == -got);
}

Test(side, sign_by_hand) {
    const geometry_point a = {1.0, 1.0}, b = {3.0, 2.0};
    cr_expect(geometry_side(a, b, (geometry_point){1.0, 2.0}) == 2.0); /* left */
    cr_expect(geometry_side(a, b, (geometry_point){3.0, 1.0}) == -2.0);
    cr_expect(geometry_side(a, b, (geometry_point){5.0, 3.0}) == 0.0); /* in line */
}

Test(side, exact_on_random_triples) {
    gsl_rng *generator = new_generator(1);
    for (int i = 0; i < 100000; i++) {
        /* Now the whole reach, now a building, now a hand's breadth. */
        const int64_t reach = i % 3 == 0 ? REACH_STEPS : i % 3 == 1 ? 250000 : 1000;
        const steps a = draw_point(generator, reach), b = draw_point(generator, reach);
        expect_exact(a, b, draw_point(generator, reach));
    }
    gsl_rng_free(generator);
}

Test(side, exact_on_triples_almost_in_line) {
    gsl_rng *generator = new_generator(2);
    size_t n_in_line = 0;
    for (int i = 0; i < 100000; i++) {
        const int64_t reach = i % 2 == 0 ? REACH_STEPS : 40;
        const steps a = i % 5 == 0 ? draw_corner(generator) : draw_point(generator, reach);
        const steps b = i % 7 == 0 ? draw_corner(generator) : draw_point(generator, reach);
        const steps c = draw_near_line(generator, a, b);
        expect_exact(a, b, c);
        n_in_line += true_side(a, b, c) == 0;
    }
    cr_expect(n_in_line > 1000, "only %zu triples in line: the test has lost its point",
              n_in_line);
    gsl_rng_free(generator);
}

Test(side, snap_by_hand) {
    static const struct {
        double steps, wanted;
    } rows[] = {{0.0, 0.0},   {0.49, 0.0},  {0.5, 1.0},           {1.5, 2.0},
                {2.5, 3.0},   {-0.5, -1.0}, {-1.5, -2.0},         {-2.5, -3.0},
                {-0.49, 0.0}, {8192, 8192}, {16777216, 16777216}, {-16777216, -16777216}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const double got = geometry_snap(rows[i].steps / 8192.0) * 8192.0;
        cr_expect(got == rows[i].wanted, "%g steps: wanted %g, got %g", rows[i].steps,
                  rows[i].wanted, got);
    }
    cr_expect(!signbit(geometry_snap(-0.00001)), "0 has one spelling");
}

Test(side, snap_goes_to_the_nearest_step_and_stays_there) {
    gsl_rng *generator = new_generator(3);
    for (int i = 0; i < 100000; i++) {
        const double value_m = GEOMETRY_REACH_M * (2.0 * gsl_rng_uniform(generator) - 1.0);
        const double got_m = geometry_snap(value_m);
        cr_expect(fabs(got_m - value_m) <= GEOMETRY_STEP_M / 2.0, "%.17g", value_m);
        cr_expect(floor(got_m * 8192.0) == got_m * 8192.0, "%.17g", value_m);
        cr_expect(geometry_snap(got_m) == got_m, "%.17g", value_m);
        cr_expect(geometry_snap(-value_m) == -got_m, "%.17g", value_m);
    }
    gsl_rng_free(generator);
}

Test(side, distance_by_hand) {
    const geometry_place o = {0.0, 0.0, 0.0};
    cr_expect(geometry_distance(o, o) == 0.0);
    cr_expect(geometry_distance(o, (geometry_place){3.0, 4.0, 0.0}) == 5.0);
    cr_expect(geometry_distance(o, (geometry_place){2.0, -3.0, 6.0}) == 7.0);
    cr_expect(geometry_distance((geometry_place){1.0, 1.0, 1.0},
                                (geometry_place){1.0, 1.0, -1.5}) == 2.5);
}

Test(side, distance_is_the_same_both_ways) {
    gsl_rng *generator = new_generator(4);
    for (int i = 0; i < 100000; i++) {
        const geometry_point p = in_meters(draw_point(generator, 250000));
        const geometry_point q = in_meters(draw_point(generator, 250000));
        const geometry_place a = {p.x_m, p.y_m, 9.0 * gsl_rng_uniform(generator)};
        const geometry_place b = {q.x_m, q.y_m, 9.0 * gsl_rng_uniform(generator)};
        cr_expect(geometry_distance(a, b) == geometry_distance(b, a), "draw %d", i);
    }
    gsl_rng_free(generator);
}
