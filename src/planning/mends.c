/* SPDX-License-Identifier: GPL-3.0-or-later */
/* mends.c - what could mend one weak zone where it is, in rising cost: slide it, fix it another
 * way, take a place whose way misses what is worst.
 *
 * Each mend has a gain and a doubt of its own. Sliding by half a wavelength draws another fade
 * of the place, and one keeps the better of two: of Rayleigh fades that is 10 log10 2 dB more
 * on the mean (the larger of two exponentials has the mean log of ln 2 more than one), of
 * weaker ones in proportion to their sd. Common practice otherwise, no source.
 */
#include <math.h>
#include <string.h>

#include "chance.h"
#include "light.h"
#include "planning.h"

static const double rayleigh_sd_db = 5.570043, better_of_two_db = 3.0103;
static const double worth_db = 1; /* less is not worth a screw */

static double square(double x) {
    return x * x;
}

static planning_mend mend_of(enum planning_mend_kind kind, const earshot_prediction *prediction,
                             double gain_db, double sd_db) {
    double all_sd_db = sqrt(square(prediction->margin_sd_db) + square(sd_db));
    return (planning_mend){
        .kind = kind,
        .gain_db = gain_db,
        .sd_db = sd_db,
        .chance = chance_normal_below((prediction->spare_db + gain_db) / all_sd_db),
        .part = EARSHOT_NONE};
}

static size_t worst_of(const earshot_survey *survey, const earshot_link *link,
                       const earshot_part *parts, size_t n, bool mount) {
    size_t found = EARSHOT_NONE;
    for (size_t i = 0; i < n; i++) {
        bool fits = mount ? planning_remountable(survey, link, &parts[i])
                          : parts[i].kind == EARSHOT_WALL || parts[i].kind == EARSHOT_DOOR ||
                                parts[i].kind == EARSHOT_WINDOW;
        if (fits && (found == EARSHOT_NONE || parts[i].loss_db > parts[found].loss_db))
            found = i;
    }
    return found;
}

static bool is_of(const earshot_survey *survey, const earshot_link *link, const char *type) {
    return link->device != EARSHOT_NONE &&
           strcmp(survey->devices[link->device].type, type) == 0;
}

/* Whoever carries a fob carries it everywhere, and water is found on the floor only. */
bool planning_carried(const earshot_survey *survey, const earshot_link *link) {
    return is_of(survey, link, "fob");
}

bool planning_remountable(const earshot_survey *survey, const earshot_link *link,
                          const earshot_part *part) {
    return part->kind == EARSHOT_MOUNT && !planning_carried(survey, link) &&
           !(is_of(survey, link, "flood") && strcmp(part->name, "floor-level") == 0);
}

size_t planning_mends(const earshot_survey *survey, const earshot_belief *belief,
                      const earshot_link *link, const earshot_prediction *prediction,
                      const earshot_part *parts, size_t n_parts,
                      planning_mend mends[PLANNING_MAX_MENDS]) {
    size_t n = 0;
    if (isnan(prediction->spare_db) || prediction->verdict == EARSHOT_FIRM ||
        planning_carried(survey, link))
        return 0;
    double fade_db = belief->static_sd_db, part_of_rayleigh = fade_db / rayleigh_sd_db;
    planning_mend slide = mend_of(PLANNING_BY_SLIDING, prediction,
                                  better_of_two_db * part_of_rayleigh, 0.8 * fade_db);
    slide.slide_m = light_m_per_s / (survey->radios[link->from.radio].freq_mhz * 1e6) / 2;
    mends[n++] = slide;
    for (int mount = 1; mount >= 0; mount--) {
        size_t part = worst_of(survey, link, parts, n_parts, mount);
        if (part == EARSHOT_NONE || parts[part].loss_db < worth_db)
            continue;
        mends[n] = mend_of(mount ? PLANNING_BY_MOUNT : PLANNING_BY_PLACE, prediction,
                           parts[part].loss_db, parts[part].sd_db);
        mends[n++].part = part;
    }
    return n;
}

/* What a reading in place must show to be believed to hold, as sure as the survey asks: the
 * margin kept, and what one reading may be off. */
double planning_proof_dbm(const earshot_survey *survey, const earshot_belief *belief,
                          const earshot_link *link, const earshot_prediction *prediction) {
    double confidence = survey_confidence(survey, link->life_safety);
    double meter_db = belief->reads ? belief->reads->meter_mean_db : 0;
    double noise_db = sqrt(square(belief->session_sd_db) + square(belief->meter_sd_db));
    return prediction->needed_dbm + prediction->required_margin_db +
           chance_normal_quantile(confidence) * noise_db + meter_db;
}
