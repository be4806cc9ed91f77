/* SPDX-License-Identifier: GPL-3.0-or-later */
/* slab.c - layered slabs by the recursion over their interfaces.
 *
 *   [P.2040] Recommendation ITU-R P.2040-3 (08/2023), Effects of building materials and
 *            structures: Table 3 (materials), eqs. (43), (44) (one slab), Attachment 1
 *            (layers)
 *
 * With the time factor exp(+jwt) a layer has eta = eta' - j sigma / (2 pi f eps0), the wave in
 * it the factor exp(-j k d u), u = sqrt(eta - sin^2 angle) with Im u <= 0. Every interface
 * reflects r = (Y - Y') / (Y + Y') of the field along it, Y = u for TE and eta / u for TM, and
 * lets 1 + r through. Going back from the last interface,
 *
 *     R = (r + R' e) / (1 + r R' e),   T = (1 + r) T' sqrt(e) / (1 + r R' e),   e = exp(-2jkdu)
 *
 * which is [P.2040] (43), (44) for one layer. Only decaying exponentials appear, so that a
 * metal sheet underflows to nothing where the matrix product of Attachment 1 would overflow;
 * both give the same to 1e-12 dB for building walls. eps0 is exact where the Recommendation
 * rounds 1 / (2 pi eps0) to 17.98.
 */
#include <complex.h>
#include <math.h>

#include "slab.h"
#include "light.h"

static const double pi = 3.14159265358979323846;
static const double eps0_f_per_m = 8.8541878128e-12; /* CODATA 2018 */

static const double least_share = 1e-30; /* 300 dB */
static const double steepest_rad = 75 * (3.14159265358979323846 / 180);
static const double most_oblique_db = 6, most_panel_db = 26; /* judgement, no source */

engine_layer engine_dielectric(double a, double b, double c, double d, double freq_mhz) {
    double freq_ghz = freq_mhz / 1e3;
    /* [P.2040] section 2.1.4: eta' = a f^b, sigma = c f^d */
    return (engine_layer){.eta_real = a * pow(freq_ghz, b),
                          .sigma_s_per_m = c * pow(freq_ghz, d)};
}

/* A medium as the recursion sees it. */
struct medium {
    double complex admittance; /* of the field along the interfaces */
    double complex decay;      /* exp(-j k d u): one way through the layer */
};

static double complex root(double complex square) {
    double complex u = csqrt(square);
    return cimag(u) > 0 ? -u : u;
}

static struct medium medium_of(const engine_layer *layer, double freq_mhz, double angle_rad,
                               enum engine_polarization polarization) {
    double freq_hz = freq_mhz * 1e6;
    double complex eta =
        layer->eta_real - I * (layer->sigma_s_per_m / (2 * pi * freq_hz * eps0_f_per_m));
    double complex u = root(eta - sin(angle_rad) * sin(angle_rad));
    double k_per_m = 2 * pi * freq_hz / light_m_per_s;
    return (struct medium){.admittance = polarization == ENGINE_TE ? u : eta / u,
                           .decay = cexp(-I * (k_per_m * layer->thickness_m) * u)};
}

static double square_of(double complex field) {
    return creal(field) * creal(field) + cimag(field) * cimag(field);
}

engine_shares engine_slab_shares(const engine_layer *layers, size_t n, double freq_mhz,
                                 double angle_rad, enum engine_polarization polarization) {
    static const engine_layer air = {.eta_real = 1};
    struct medium behind = medium_of(&air, freq_mhz, angle_rad, polarization);
    double complex back = 0, through = 1;
    behind.decay = 1;
    for (size_t i = n + 1; i-- > 0;) {
        struct medium before =
            medium_of(i ? &layers[i - 1] : &air, freq_mhz, angle_rad, polarization);
        double complex r =
            (before.admittance - behind.admittance) / (before.admittance + behind.admittance);
        double complex returned = back * behind.decay * behind.decay;
        through = (1 + r) * through * behind.decay / (1 + r * returned);
        back = (r + returned) / (1 + r * returned);
        behind = before;
    }
    return (engine_shares){.through = square_of(through), .back = square_of(back)};
}

double engine_slab_db(const engine_layer *layers, size_t n, double freq_mhz, double angle_rad,
                      enum engine_polarization polarization) {
    double share;
    if (polarization == ENGINE_BOTH)
        share = (engine_slab_shares(layers, n, freq_mhz, angle_rad, ENGINE_TE).through +
                 engine_slab_shares(layers, n, freq_mhz, angle_rad, ENGINE_TM).through) /
                2;
    else
        share = engine_slab_shares(layers, n, freq_mhz, angle_rad, polarization).through;
    return fmax(-10 * log10(fmax(share, least_share)), 0);
}

double engine_slab_panel_db(const engine_layer *layers, size_t n, double freq_mhz,
                            double angle_rad) {
    double straight_db = engine_slab_db(layers, n, freq_mhz, 0, ENGINE_BOTH);
    double oblique_db =
        engine_slab_db(layers, n, freq_mhz, fmin(angle_rad, steepest_rad), ENGINE_BOTH);
    return fmin(fmin(oblique_db, straight_db + most_oblique_db), most_panel_db);
}
