/* SPDX-License-Identifier: GPL-3.0-or-later */
/* minutes.c - what a reading costs: the way there, the ladder, the trips.
 *
 * Common practice, no source. A battery motion sensor sleeps about three minutes after a trip,
 * so that three trips take nine to ten, unless they are made in the ten minutes of walk test
 * that follow fitting its battery, after a warm-up of 30 to 60 seconds.
 */
#include <string.h>

#include "planning.h"
#include "text.h"

static const double trip_minutes = 2;    /* ten trips, counted at the receiver */
static const double warm_up_minutes = 1; /* a motion sensor after its battery is fitted */
static const double asleep_minutes = 9;  /* one that sleeps three minutes after each of three */
static const double same_room_minutes = 0.5, same_floor_minutes = 1, other_floor_minutes = 2;
static const double ladder_minutes = 3, ladder_again_minutes = 1;
static const double ladder_from_m = 2.2;

bool planning_same_room(const char *a, const char *b) {
    while (*a && text_lower(*a) == text_lower(*b)) {
        a++;
        b++;
    }
    return *a == '\0' && *b == '\0';
}

/* Where nobody gives a height, what hangs under the ceiling by its kind. */
static bool is_high(const earshot_survey *survey, const survey_device *device) {
    if (device->level == EARSHOT_NONE)
        return strcmp(device->type, "smoke") == 0 || strcmp(device->type, "heat") == 0;
    return device->place.z_m - survey->levels[device->level].floor_z_m >= ladder_from_m;
}

planning_where planning_where_is(const earshot_survey *survey, size_t device) {
    const survey_device *at = &survey->devices[device];
    return (planning_where){
        .level = at->level, .room = at->room, .ladder = is_high(survey, at)};
}

bool planning_is_motion(const earshot_survey *survey, size_t device) {
    return strcmp(survey->devices[device].type, "motion") == 0;
}

double planning_read_minutes(bool motion, bool in_place) {
    if (!motion)
        return trip_minutes;
    return in_place ? asleep_minutes : trip_minutes + warm_up_minutes;
}

double planning_way_minutes(const planning_where *to, const planning_where *from) {
    bool same_floor = from && from->level == to->level;
    bool near = same_floor && from->room[0] && planning_same_room(from->room, to->room);
    double minutes = near         ? same_room_minutes
                     : same_floor ? same_floor_minutes
                                  : other_floor_minutes;
    if (to->ladder)
        minutes += near && from->ladder ? ladder_again_minutes : ladder_minutes;
    return minutes;
}
