/* SPDX-License-Identifier: GPL-3.0-or-later */
/* advice.c - the likeliest cause of a weak link, and the cheapest thing to try.
 *
 * Rules of thumb (common practice, no source). A link whose mean holds, or of which too little
 * is known, wants a reading, not a drill, unless its mount alone takes 10 dB; where it has one
 * that this prediction does not count, that reading is what to go by. A link that is
 * short wants its mount mended if that takes 3 dB or more and, with a better place along the
 * wall, as much as is short; then half a wavelength along the wall, which can find 6 dB in a
 * fade; then a place whose way misses a crossing that takes more than is short; and then a
 * moved receiver or a repeater. What is carried, or must lie where water comes, is not told to
 * hang elsewhere.
 */
#include <math.h>

#include "planning.h"
#include "light.h"

static const double mount_worth_db = 3, bad_mount_db = 10; /* when short; when in doubt */
static const double slide_gain_db = 6, crossing_worth_db = 3;

static bool can_be_blamed(enum earshot_part_kind kind) {
    return kind != EARSHOT_FIRST_METER && kind != EARSHOT_WAYS_ROUND &&
           kind != EARSHOT_FLOORS_TOGETHER && kind != EARSHOT_GROUND && kind != EARSHOT_READ;
}

/* No place upstairs misses the floor. */
static bool can_be_missed(enum earshot_part_kind kind) {
    return kind == EARSHOT_WALL || kind == EARSHOT_DOOR || kind == EARSHOT_WINDOW;
}

static double loss_of(const earshot_part *part) {
    return part->loss_db;
}

static double sd_of(const earshot_part *part) {
    return part->sd_db;
}

/* The part with the most of something, distance left out unless nothing else is there. */
static size_t worst(const earshot_part *parts, size_t n, double (*of)(const earshot_part *)) {
    size_t found = EARSHOT_NONE;
    for (size_t i = 0; i < n; i++)
        if (can_be_blamed(parts[i].kind) && parts[i].kind != EARSHOT_DISTANCE &&
            (found == EARSHOT_NONE || of(&parts[i]) > of(&parts[found])))
            found = i;
    if (found != EARSHOT_NONE && of(&parts[found]) > 0)
        return found;
    for (size_t i = 0; i < n; i++)
        if (parts[i].kind == EARSHOT_DISTANCE)
            return i;
    return EARSHOT_NONE;
}

static double worst_mount_db(const earshot_survey *survey, const earshot_link *link,
                             const earshot_part *parts, size_t n) {
    double worst_db = 0;
    for (size_t i = 0; i < n; i++)
        if (planning_remountable(survey, link, &parts[i]))
            worst_db = fmax(worst_db, parts[i].loss_db);
    return worst_db;
}

static bool missing(const earshot_link *link, const earshot_prediction *prediction,
                    planning_advice *advice) {
    if (link->listener == EARSHOT_NONE)
        advice->step = PLANNING_GIVE_HEARER;
    else if (prediction->notes & EARSHOT_NOTE_NO_PLACE)
        advice->step = PLANNING_GIVE_PLACE;
    else if (prediction->notes & EARSHOT_NOTE_NO_BUDGET)
        advice->step = PLANNING_GIVE_RADIO;
    return advice->step != PLANNING_NOTHING;
}

/* Whether anything was read or counted on this link. */
static bool was_read(const earshot_survey *survey, const earshot_link *link) {
    for (size_t i = 0; i < survey->n_readings; i++)
        if (survey->readings[i].device == link->device &&
            survey->readings[i].heard_at == link->listener)
            return true;
    return false;
}

planning_advice planning_advise(const earshot_survey *survey, const earshot_belief *belief,
                                const earshot_link *link, const earshot_prediction *prediction,
                                const earshot_part *parts, size_t n_parts) {
    planning_advice advice = {.cause = EARSHOT_NONE};
    if (missing(link, prediction, &advice) || prediction->verdict == EARSHOT_FIRM)
        return advice;
    double short_db = -prediction->spare_db;
    advice.by_doubt = short_db <= 0 || prediction->notes & EARSHOT_NOTE_BEYOND_SD;
    advice.cause = worst(parts, n_parts, advice.by_doubt ? sd_of : loss_of);
    double mount_db = worst_mount_db(survey, link, parts, n_parts);
    bool carried = planning_carried(survey, link);
    double crossing_db = advice.cause == EARSHOT_NONE ? 0 : parts[advice.cause].loss_db;
    bool mends = advice.by_doubt
                     ? mount_db >= bad_mount_db
                     : mount_db >= mount_worth_db && mount_db + slide_gain_db >= short_db;
    if (mends) {
        advice.step = PLANNING_REMOUNT;
        advice.gain_db = mount_db;
    } else if (advice.by_doubt &&
               prediction->notes & (EARSHOT_NOTE_FEW_HEARD | EARSHOT_NOTE_READ_LOW)) {
        advice.step = PLANNING_LOOK;
        advice.cause = EARSHOT_NONE;
    } else if (advice.by_doubt && was_read(survey, link) &&
               prediction->basis == EARSHOT_PREDICTED) {
        advice.step = PLANNING_TRUST;
    } else if (advice.by_doubt && !was_read(survey, link)) {
        advice.step = PLANNING_READ;
        advice.left_sd_db = calibration_read_sd_db(belief, prediction->margin_sd_db);
    } else if (carried) {
        advice.step = PLANNING_MOVE;
    } else if (short_db <= slide_gain_db) {
        advice.step = PLANNING_SLIDE;
        advice.gain_db = slide_gain_db;
        advice.slide_m = light_m_per_s / (survey->radios[link->from.radio].freq_mhz * 1e6) / 2;
    } else if (advice.cause != EARSHOT_NONE && can_be_missed(parts[advice.cause].kind) &&
               crossing_db >= fmax(short_db, crossing_worth_db)) {
        advice.step = PLANNING_AVOID;
        advice.gain_db = crossing_db;
    } else {
        advice.step = PLANNING_MOVE;
    }
    return advice;
}
