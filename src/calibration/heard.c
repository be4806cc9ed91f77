/* SPDX-License-Identifier: GPL-3.0-or-later */
/* heard.c - "heard 8 of 10": Bayes on one link.
 *
 * The prediction is the prior of the margin (normal); each trip is heard with a chance that
 * depends on the margin; the binomial chance of the count is integrated over the margin by
 * quadrature. The trips are taken at the place itself, so the static fade is inside what they
 * show.
 *
 * The floor: one trip in fifty goes unheard for reasons that are not the margin. So a strong
 * link explains one miss in ten, and hardly two. When the count is lower than the prediction
 * allows (less than 1 chance in 20), the words or the plan have missed something, and the
 * verdict is thin at best whatever the arithmetic says;
 * out when most of the trips were not heard.
 */
#include <math.h>

#include "calibration.h"
#include "chance.h"
#include "repeats.h"

static const double surprising = 0.05;
static const double reach_sd = 9; /* the normal has 2e-19 beyond */
enum { N_PIECES = 96 };           /* of 16 nodes each, over 18 sd */

double calibration_heard_chance(double margin_db, double k_db) {
    return (1 - engine_lost_anyway) * (1 - chance_rice_below(k_db, -margin_db));
}

struct count {
    const earshot_prediction *prior;
    double k_db;
    unsigned heard, trips;
    bool at_most; /* as few or fewer, in place of exactly as many */
    double power; /* of (margin - mean) in the integrand: 0, 1 or 2 */
};

static double integrand(double margin_db, void *who) {
    const struct count *count = who;
    double mean = count->prior->margin_db, sd = count->prior->margin_sd_db;
    double heard = calibration_heard_chance(margin_db, count->k_db);
    double chance = count->at_most ? chance_binomial_at_most(count->heard, count->trips, heard)
                                   : chance_binomial(count->heard, count->trips, heard);
    return chance_normal_density((margin_db - mean) / sd) / sd * chance *
           pow(margin_db - mean, count->power);
}

static double integral(struct count count, double power, double low_db, double high_db) {
    count.power = power;
    return chance_integrate(integrand, &count, low_db, high_db, N_PIECES);
}

double calibration_surprise(const earshot_prediction *prediction, double k_db, unsigned heard,
                            unsigned trips) {
    struct count count = {prediction, k_db, heard, trips, true, 0};
    double reach_db = reach_sd * prediction->margin_sd_db;
    return integral(count, 0, prediction->margin_db - reach_db,
                    prediction->margin_db + reach_db);
}

/* The same margin, its mean, sd and chance as the count leaves them. */
static bool update(const struct count *count, earshot_prediction *out) {
    const earshot_prediction *prior = count->prior;
    double reach_db = reach_sd * prior->margin_sd_db;
    double low_db = prior->margin_db - reach_db, high_db = prior->margin_db + reach_db;
    double limit_db = fmin(fmax(prior->required_margin_db, low_db), high_db);
    double total =
        integral(*count, 0, low_db, limit_db) + integral(*count, 0, limit_db, high_db);
    if (!(total > 0))
        return false;
    double shift_db = integral(*count, 1, low_db, high_db) / total;
    double square_db2 = integral(*count, 2, low_db, high_db) / total;
    out->margin_db = prior->margin_db + shift_db;
    out->margin_sd_db = sqrt(fmax(square_db2 - shift_db * shift_db, 0));
    out->spare_db = out->margin_db - prior->required_margin_db;
    out->chance = integral(*count, 0, limit_db, high_db) / total;
    return true;
}

/* A count of trips says little of a level: a link that was too doubtful to judge stays so until
 * the doubt is really smaller. Fewer than nine of ten heard is no sign of a firm one, and most
 * of three or more missed, against all that is predicted, is a sign of a dead one; one or two
 * may have met a sensor asleep (common practice, no source). */
static enum earshot_verdict verdict_of(const earshot_prediction *after, double confidence,
                                       const struct count *count) {
    static const double most_sd_db = 10, certain = 0.99; /* as in verdict.c */
    static const unsigned few_trips = 3;
    bool few = after->notes & EARSHOT_NOTE_FEW_HEARD || 10 * count->heard < 9 * count->trips;
    if (after->notes & EARSHOT_NOTE_FEW_HEARD && 2 * count->heard < count->trips &&
        count->trips >= few_trips)
        return EARSHOT_OUT;
    if (after->margin_sd_db > most_sd_db && after->chance < certain &&
        after->chance > 1 - certain)
        return EARSHOT_NOT_JUDGED;
    if (after->chance >= confidence && !few)
        return EARSHOT_FIRM;
    return after->margin_db < 0 ? EARSHOT_OUT : EARSHOT_THIN;
}

enum earshot_status earshot_link_heard(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_link *link,
                                       unsigned heard, unsigned trips,
                                       earshot_prediction *out) {
    earshot_prediction prior, after;
    if (heard > trips || trips > 1000)
        return EARSHOT_MISUSE;
    enum earshot_status status = earshot_links_predict(survey, belief, link, 1, &prior);
    if (status != EARSHOT_OK)
        return status;
    after = prior;
    struct count count = {&prior, survey->environment.time_k_db, heard, trips, false, 0};
    if (!isnan(prior.chance) && prior.margin_sd_db > 0 && trips) {
        bool updated = update(&count, &after);
        after.basis = EARSHOT_READ_IN_PLACE;
        after.notes &= ~(unsigned)EARSHOT_NOTE_BEYOND_SD;
        /* a count so far from the prediction that its chance is nothing at all surprises too */
        if (!updated || calibration_surprise(&prior, count.k_db, heard, trips) < surprising)
            after.notes |= EARSHOT_NOTE_FEW_HEARD;
        after.verdict =
            verdict_of(&after, survey_confidence(survey, link->life_safety), &count);
        if (after.verdict == EARSHOT_NOT_JUDGED)
            after.notes |= EARSHOT_NOTE_BEYOND_SD;
    }
    *out = after;
    return EARSHOT_OK;
}
