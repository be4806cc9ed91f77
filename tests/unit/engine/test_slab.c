/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_slab.c - layered slabs against values of ITU-R P.2040 computed apart, and against what
 * every slab must do.
 */
#include "slab.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const double light_m_per_s = 299792458.0; /* SI */

static double rad(double deg) {
    return deg * acos(-1) / 180;
}

static enum engine_polarization polarization(const vectors *rows, size_t i) {
    const char *word = vectors_text(rows, i, "polarization");
    cr_assert(strcmp(word, "te") == 0 || strcmp(word, "tm") == 0);
    return strcmp(word, "te") == 0 ? ENGINE_TE : ENGINE_TM;
}

Test(slab, single) {
    vectors *rows = vectors_read("p2040_slab_single.csv");
    cr_assert_eq(vectors_n_rows(rows), 154 * 6);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        engine_layer layer = {vectors_number(rows, i, "eta_real"),
                              vectors_number(rows, i, "sigma_s_per_m"),
                              vectors_number(rows, i, "thickness_mm") / 1000};
        double got =
            engine_slab_db(&layer, 1, vectors_number(rows, i, "freq_mhz"),
                           rad(vectors_number(rows, i, "angle_deg")), polarization(rows, i));
        cr_expect_float_eq(got, vectors_number(rows, i, "loss_db"),
                           vectors_number(rows, i, "tol_db"), "%s %s: %.6f",
                           vectors_text(rows, i, "slab"), vectors_text(rows, i, "freq_mhz"),
                           got);
    }
    vectors_free(rows);
}

Test(slab, three_layers) {
    vectors *rows = vectors_read("p2040_slab_multilayer.csv");
    cr_assert_eq(vectors_n_rows(rows), 42 * 6);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        engine_layer layers[3], turned[3];
        for (int j = 0; j < 3; j++) {
            char eta[8], sigma[8], mm[8];
            snprintf(eta, sizeof eta, "eta_%d", j + 1);
            snprintf(sigma, sizeof sigma, "sigma_%d", j + 1);
            snprintf(mm, sizeof mm, "mm_%d", j + 1);
            layers[j] =
                (engine_layer){vectors_number(rows, i, eta), vectors_number(rows, i, sigma),
                               vectors_number(rows, i, mm) / 1000};
            turned[2 - j] = layers[j];
        }
        double freq_mhz = vectors_number(rows, i, "freq_mhz");
        double angle_rad = rad(vectors_number(rows, i, "angle_deg"));
        double got = engine_slab_db(layers, 3, freq_mhz, angle_rad, polarization(rows, i));
        cr_expect_float_eq(got, vectors_number(rows, i, "loss_db"),
                           vectors_number(rows, i, "tol_db"), "%s %g MHz: %.6f",
                           vectors_text(rows, i, "wall"), freq_mhz, got);
        cr_expect_float_eq(
            got, engine_slab_db(turned, 3, freq_mhz, angle_rad, polarization(rows, i)), 1e-10,
            "from either side");
    }
    vectors_free(rows);
}

/* Lossless stacks keep the energy, whatever they are: 2,000 at random; lossy ones make none.
 * The order of layers does not show in what comes through (reciprocity). */
Test(slab, energy_is_kept) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    for (int trial = 0; trial < 2000; trial++) {
        engine_layer layers[6], turned[6];
        size_t n = 1 + gsl_rng_uniform_int(rng, 6);
        for (size_t i = 0; i < n; i++)
            layers[i] =
                (engine_layer){1 + 9 * gsl_rng_uniform(rng), 0, 0.3 * gsl_rng_uniform(rng)};
        double freq_mhz = 100 + 5000 * gsl_rng_uniform(rng);
        double angle_rad = rad(89.9 * gsl_rng_uniform(rng));
        for (int p = ENGINE_TE; p <= ENGINE_TM; p++) {
            engine_shares shares =
                engine_slab_shares(layers, n, freq_mhz, angle_rad, (enum engine_polarization)p);
            cr_assert_float_eq(shares.through + shares.back, 1, 1e-12, "trial %d", trial);
        }
        for (size_t i = 0; i < n; i++) {
            layers[i].sigma_s_per_m = 0.1 * gsl_rng_uniform(rng);
            turned[n - 1 - i] = layers[i];
        }
        for (int p = ENGINE_TE; p <= ENGINE_TM; p++) {
            enum engine_polarization field = (enum engine_polarization)p;
            engine_shares shares = engine_slab_shares(layers, n, freq_mhz, angle_rad, field);
            cr_assert_leq(shares.through + shares.back, 1, "trial %d", trial);
            cr_assert_float_eq(engine_slab_db(layers, n, freq_mhz, angle_rad, field),
                               engine_slab_db(turned, n, freq_mhz, angle_rad, field), 1e-10,
                               "trial %d", trial);
        }
    }
    gsl_rng_free(rng);
}

/* Textbook cases for eta = 4: at the Brewster angle, tan = sqrt(eta), TM passes; half a
 * wavelength inside lets all through; a quarter loses 20 log10(5/4) = 1.938200 dB. */
Test(slab, textbook) {
    double wave_mm = light_m_per_s / 868.3e6 * 1000 / 2; /* inside: sqrt(4) shorter */
    engine_layer any = {4, 0, 0.123}, half = {4, 0, wave_mm / 2000},
                 quarter = {4, 0, wave_mm / 4000};
    cr_expect_float_eq(engine_slab_db(&any, 1, 868.3, atan(2), ENGINE_TM), 0, 1e-9);
    cr_expect_gt(engine_slab_db(&any, 1, 868.3, atan(2), ENGINE_TE), 1);
    cr_expect_float_eq(engine_slab_db(&half, 1, 868.3, 0, ENGINE_TE), 0, 1e-9);
    cr_expect_float_eq(engine_slab_db(&quarter, 1, 868.3, 0, ENGINE_TE), 1.938200, 5e-7);
    cr_expect_float_eq(engine_slab_db(NULL, 0, 868.3, 0.3, ENGINE_TE), 0, 1e-12, "no layer");
}

/* Half of the loss in air is none, a slab in two halves is the slab, a thick metal sheet is
 * finite. */
Test(slab, limits) {
    engine_layer concrete = {5.24, 0.0413684733, 0.2}, halves[2] = {concrete, concrete};
    engine_layer metal = {1, 1e7, 0.05}, air = {1, 0, 0.3};
    halves[0].thickness_m = halves[1].thickness_m = 0.1;
    for (int p = ENGINE_TE; p <= ENGINE_BOTH; p++) {
        cr_expect_float_eq(
            engine_slab_db(&concrete, 1, 868.3, 0.7, (enum engine_polarization)p),
            engine_slab_db(halves, 2, 868.3, 0.7, (enum engine_polarization)p), 1e-10);
        cr_expect_float_eq(engine_slab_db(&air, 1, 868.3, 0.7, (enum engine_polarization)p), 0,
                           1e-10);
        cr_expect_float_eq(engine_slab_db(&metal, 1, 868.3, 0, (enum engine_polarization)p),
                           300, 1e-9);
    }
}

/* The project's rule for a panel: the mean of both powers, 75 degrees at most, 6 dB over
 * straight on at most, 26 dB at most. */
Test(slab, panel_rule) {
    engine_layer concrete = {5.24, 0.0413684733, 0.2}, thick = {5.24, 0.0413684733, 2};
    double te = engine_slab_db(&concrete, 1, 868.3, 0.5, ENGINE_TE);
    double tm = engine_slab_db(&concrete, 1, 868.3, 0.5, ENGINE_TM);
    cr_expect_float_eq(engine_slab_panel_db(&concrete, 1, 868.3, 0.5),
                       -10 * log10((pow(10, -te / 10) + pow(10, -tm / 10)) / 2), 1e-12);
    cr_expect_float_eq(engine_slab_panel_db(&concrete, 1, 868.3, rad(75)),
                       engine_slab_panel_db(&concrete, 1, 868.3, rad(89)), 1e-12);
    double straight = engine_slab_panel_db(&concrete, 1, 868.3, 0);
    for (double deg = 0; deg < 90; deg += 1)
        cr_expect_leq(engine_slab_panel_db(&concrete, 1, 868.3, rad(deg)),
                      straight + 6 + 1e-12);
    cr_expect_float_eq(engine_slab_panel_db(&thick, 1, 868.3, 0), 26, 1e-12);
}

/* Two quarter-wave plates of eta = 9, half a wavelength of air between them, let all through
 * straight on (the air is as if it were not there, and the plates together are half a
 * wavelength), and little at 60 degrees, where the air is a quarter: 6 dB is what counts. */
Test(slab, oblique_counts_6_db_at_most) {
    double wave_m = light_m_per_s / 868.3e6;
    engine_layer plates[3] = {{9, 0, wave_m / 12}, {1, 0, wave_m / 2}, {9, 0, wave_m / 12}};
    cr_expect_float_eq(engine_slab_panel_db(plates, 3, 868.3, 0), 0, 1e-9);
    cr_expect_gt(engine_slab_db(plates, 3, 868.3, rad(45), ENGINE_BOTH), 6);
    cr_expect_float_eq(engine_slab_panel_db(plates, 3, 868.3, rad(45)), 6, 1e-9);
}

/* Nothing gains: half-wave plates let all through, and what rounding makes of that is no gain.
 */
Test(slab, never_negative) {
    for (double freq_mhz = 300; freq_mhz < 931; freq_mhz += 1)
        for (int p = ENGINE_TE; p <= ENGINE_BOTH; p++) {
            engine_layer half = {4, 0, light_m_per_s / (freq_mhz * 1e6) / 4};
            cr_expect_geq(engine_slab_db(&half, 1, freq_mhz, 0, (enum engine_polarization)p),
                          0);
            cr_expect_geq(engine_slab_panel_db(&half, 1, freq_mhz, 0), 0);
        }
}

/* P.2040-1 at 9 GHz as a documentation page prints it, from the a, b, c, d of that edition's
 * Table 3; to half a unit of the last printed digit. */
Test(slab, materials_at_a_frequency) {
    static const struct {
        const char *name;
        double a, b, c, d, eta_real, sigma_s_per_m, tol;
    } rows[] = {{"concrete", 5.31, 0, 0.0326, 0.8095, 5.31, 0.19305, 5e-6},
                {"brick", 3.75, 0, 0.038, 0, 3.75, 0.038, 5e-7},
                {"plasterboard", 2.94, 0, 0.0116, 0.7076, 2.94, 0.054914, 5e-7},
                {"wood", 1.99, 0, 0.0047, 1.0718, 1.99, 0.049528, 5e-7},
                {"glass", 6.27, 0, 0.0043, 1.1925, 6.27, 0.059075, 5e-7}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        engine_layer got = engine_dielectric(rows[i].a, rows[i].b, rows[i].c, rows[i].d, 9000);
        cr_expect_float_eq(got.eta_real, rows[i].eta_real, 1e-12, "%s", rows[i].name);
        cr_expect_float_eq(got.sigma_s_per_m, rows[i].sigma_s_per_m, rows[i].tol, "%s: %.8f",
                           rows[i].name, got.sigma_s_per_m);
    }
    /* permittivity falls with frequency where b is not 0: wet ground, 30 f^-0.4 */
    cr_expect_float_eq(engine_dielectric(30, -0.4, 0.15, 1.3, 2000).eta_real, 30 * pow(2, -0.4),
                       1e-12);
}
