/* SPDX-License-Identifier: GPL-3.0-or-later */
/* repeats.c - means over the slow state; see repeats.h.
 *
 * p(Z) = 1 - (1 - collision) (1 - P(fade below -(margin + Z))), Z normal. The slow change of 4
 * dB is a guess: the only open year-long set below 1 GHz scatters 5 to 14 dB from packet to
 * packet.
 */
#include <math.h>

#include "chance.h"
#include "repeats.h"

static const double reach_sd = 8;
enum { N_PIECES = 24 };

struct mean {
    const engine_traffic *traffic;
    double lost_power; /* of p */
    double kept_power; /* of 1 - p */
};

static const double slow_sd_db = 4;     /* a guess, see above */
static const double misses_to_trip = 4; /* check-ins; common practice, no source */

engine_traffic engine_traffic_of(const earshot_survey *survey, const earshot_link *link,
                                 double margin_db) {
    const survey_radio *radio = &survey->radios[link->from.radio];
    return (engine_traffic){.margin_db = margin_db,
                            .slow_sd_db = slow_sd_db,
                            .time_k_db = survey->environment.time_k_db,
                            .lost_anyway = engine_lost_anyway,
                            .tries = radio->hops,
                            .check_in_min = radio->check_in_min,
                            .trip_h = misses_to_trip * radio->check_in_min / 60};
}

static double lost_chance(const engine_traffic *traffic, double slow_db) {
    double faded = chance_rice_below(traffic->time_k_db, -(traffic->margin_db + slow_db));
    return 1 - (1 - traffic->lost_anyway) * (1 - faded);
}

static double integrand(double z, void *who) {
    const struct mean *mean = who;
    double lost = lost_chance(mean->traffic, z * mean->traffic->slow_sd_db);
    return chance_normal_density(z) * pow(lost, mean->lost_power) *
           pow(1 - lost, mean->kept_power);
}

/* E[p^a (1-p)^b] over the slow state. */
static double mean_of(const engine_traffic *traffic, double lost_power, double kept_power) {
    struct mean mean = {traffic, lost_power, kept_power};
    if (traffic->slow_sd_db > 0)
        return chance_integrate(integrand, &mean, -reach_sd, reach_sd, N_PIECES);
    double lost = lost_chance(traffic, 0);
    return pow(lost, lost_power) * pow(1 - lost, kept_power);
}

double engine_missed_alarm(const engine_traffic *traffic) {
    return mean_of(traffic, traffic->tries, 0);
}

double engine_false_losses_per_h(const engine_traffic *traffic) {
    if (!(traffic->check_in_min > 0))
        return 0;
    double interval_h = traffic->check_in_min / 60;
    double misses = fmax(floor(traffic->trip_h / interval_h), 1);
    return mean_of(traffic, misses, 1) / interval_h + mean_of(traffic, misses, 0) / 24;
}

double engine_one_in(double chance) {
    if (!(chance > 1e-4))
        return 10000;
    return fmin(pow(10, round(-log10(fmin(chance, 1)))), 10000);
}
