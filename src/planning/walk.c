/* SPDX-License-Identifier: GPL-3.0-or-later */
/* walk.c - in which order somebody with a ladder walks from zone to zone, and how long it
 * takes.
 *
 * Level by level, the receiver's first, then the nearer end of the house, then the other; room
 * by room, and within a room zone by zone, each the nearest next and then untangled until no
 * piece of the way is better walked backward (2-opt). Setting up or putting away the ladder
 * counts as some meters, so that what hangs high is done together where that costs little. What
 * has no place on the plan comes last, by room as first mentioned. The same tables give the
 * same way.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "planning.h"

/* Judgement, no source: a ladder is as much trouble as 8 m of way; screwing on and testing take
 * 3 minutes; at the receiver the account, noise twice two minutes, and all of it back take 15.
 */
static const double ladder_m = 8, fix_minutes = 3, receiver_minutes = 15;

/* A place to go to: a zone, or a room as the middle of its zones. */
struct leg {
    double x_m, y_m;
    bool ladder;
    size_t number; /* of the sensor, of the room */
};

struct room {
    const char *name;
    size_t level; /* NONE: not on the plan */
    struct leg middle;
    size_t n; /* zones in it */
};

struct walking {
    const earshot_survey *survey;
    struct leg *zones; /* by sensor */
    size_t *devices;   /* of the sensor: its row */
    size_t *room_of;   /* of the sensor */
    size_t n_zones;
    struct room *rooms;
    size_t n_rooms;
    struct leg *legs;           /* of one tour */
    const survey_device *first; /* where the walk begins; NULL: nowhere on the plan */
    struct leg at;              /* where one stands */
    planning_stop *stops;
    size_t n_stops;
};

/* ---- one tour ---- */

static double cost_m(const struct leg *a, const struct leg *b) {
    return hypot(a->x_m - b->x_m, a->y_m - b->y_m) + (a->ladder != b->ladder ? ladder_m : 0);
}

static void nearest_first(const struct leg *start, struct leg *legs, size_t n) {
    for (size_t i = 0; i < n; i++) {
        const struct leg *from = i ? &legs[i - 1] : start;
        size_t next = i;
        for (size_t j = i + 1; j < n; j++)
            if (cost_m(from, &legs[j]) < cost_m(from, &legs[next]))
                next = j;
        struct leg taken = legs[next]; /* the others keep their order, so that ties do too */
        memmove(&legs[i + 1], &legs[i], (next - i) * sizeof *legs);
        legs[i] = taken;
    }
}

static void reverse(struct leg *legs, size_t first, size_t last) {
    for (; first < last; first++, last--) {
        struct leg kept = legs[first];
        legs[first] = legs[last];
        legs[last] = kept;
    }
}

/* What walking the piece from `first` to `last` backward saves; the way ends anywhere. */
static double saved_m(const struct leg *start, const struct leg *legs, size_t n, size_t first,
                      size_t last) {
    const struct leg *before = first ? &legs[first - 1] : start;
    double now_m = cost_m(before, &legs[first]), then_m = cost_m(before, &legs[last]);
    if (last + 1 < n) {
        now_m += cost_m(&legs[last], &legs[last + 1]);
        then_m += cost_m(&legs[first], &legs[last + 1]);
    }
    return now_m - then_m;
}

static bool untangle(const struct leg *start, struct leg *legs, size_t n) {
    static const double least_m = 1e-6; /* less is rounding, and could go round for ever */
    bool better = false;
    for (size_t first = 0; first < n; first++)
        for (size_t last = first + 1; last < n; last++)
            if (saved_m(start, legs, n, first, last) > least_m) {
                reverse(legs, first, last);
                better = true;
            }
    return better;
}

/* Beyond so many places, or turns, a better way is not worth waiting for. */
enum { MOST_UNTANGLED = 1000, MOST_TURNS = 50 };

static void tour(const struct leg *start, struct leg *legs, size_t n) {
    nearest_first(start, legs, n);
    for (size_t i = 0; n <= MOST_UNTANGLED && i < MOST_TURNS && untangle(start, legs, n); i++)
        continue;
}

/* ---- rooms ---- */

/* The room of a sensor, or n_rooms. Without a room's name on the plan each is its own; without
 * a place the first room of that name will do, on whatever level. */
static size_t find_room(const struct walking *walking, const survey_device *device) {
    bool placed = device->level != EARSHOT_NONE, named = device->room[0] != '\0';
    size_t i = 0;
    if (placed && !named)
        return walking->n_rooms;
    while (i < walking->n_rooms &&
           !(planning_same_room(walking->rooms[i].name, device->room) &&
             ((!placed && named) || walking->rooms[i].level == device->level)))
        i++;
    return i;
}

static void enter_room(struct walking *walking, size_t zone, const survey_device *device) {
    size_t at = find_room(walking, device);
    struct room *room = &walking->rooms[at];
    if (at == walking->n_rooms)
        walking->rooms[walking->n_rooms++] =
            (struct room){.name = device->room,
                          .level = device->level,
                          .middle = {.x_m = 0, .y_m = 0, .number = at}};
    walking->room_of[zone] = at;
    if (device->level == EARSHOT_NONE)
        return;
    room->middle.x_m += (device->place.x_m - room->middle.x_m) / (double)(room->n + 1);
    room->middle.y_m += (device->place.y_m - room->middle.y_m) / (double)(room->n + 1);
    room->n++;
}

/* First what is on the plan, so that the rest finds its rooms. */
static void gather_zones(struct walking *walking) {
    const earshot_survey *survey = walking->survey;
    for (size_t i = 0; i < survey->n_devices; i++) {
        const survey_device *device = &survey->devices[i];
        if (device->role != SURVEY_SENSOR)
            continue;
        walking->devices[walking->n_zones] = i;
        walking->zones[walking->n_zones] =
            (struct leg){.x_m = device->place.x_m,
                         .y_m = device->place.y_m,
                         .ladder = planning_where_is(survey, i).ladder,
                         .number = walking->n_zones};
        walking->n_zones++;
    }
    for (int on_plan = 1; on_plan >= 0; on_plan--)
        for (size_t i = 0; i < walking->n_zones; i++) {
            const survey_device *device = &survey->devices[walking->devices[i]];
            if ((device->level != EARSHOT_NONE) == on_plan)
                enter_room(walking, i, device);
        }
}

/* ---- levels ---- */

/* Where the walk begins: at the first receiver on the plan, else the first zone there. */
static const survey_device *beginning(const struct walking *walking) {
    const earshot_survey *survey = walking->survey;
    const survey_device *zone = NULL;
    for (size_t i = 0; i < survey->n_devices; i++) {
        const survey_device *device = &survey->devices[i];
        if (device->level == EARSHOT_NONE)
            continue;
        if (device->role == SURVEY_RECEIVER)
            return device;
        if (!zone && device->role == SURVEY_SENSOR)
            zone = device;
    }
    return zone;
}

/* Which levels are still to be walked, and where from; how far all of them reach. */
struct stairs {
    const survey_level *levels;
    size_t n;
    bool *left;
    double from_m, above_m, below_m;
};

static struct stairs stairs_of(const struct walking *walking, double from_m, bool *left) {
    struct stairs stairs = {.levels = walking->survey->levels,
                            .n = walking->survey->n_levels,
                            .left = left,
                            .from_m = from_m};
    for (size_t i = 0; i < walking->n_rooms; i++) {
        size_t level = walking->rooms[i].level;
        if (level == EARSHOT_NONE)
            continue;
        double up_m = stairs.levels[level].floor_z_m - from_m;
        left[level] = true;
        stairs.above_m = fmax(stairs.above_m, up_m);
        stairs.below_m = fmax(stairs.below_m, -up_m);
    }
    return stairs;
}

/* Less comes first: the level itself, then the end with fewer stairs to it from near to far,
 * then the other. */
static double rank_m(const struct stairs *stairs, size_t level) {
    double away_m = stairs->levels[level].floor_z_m - stairs->from_m;
    bool down_first = stairs->below_m <= stairs->above_m;
    bool first = away_m == 0 || (away_m < 0) == down_first;
    return fabs(away_m) + (first ? 0 : stairs->above_m + stairs->below_m);
}

/* The level that comes next; NONE: no more. Of two alike the first. */
static size_t next_level(const struct stairs *stairs) {
    size_t best = EARSHOT_NONE;
    for (size_t i = 0; i < stairs->n; i++)
        if (stairs->left[i] &&
            (best == EARSHOT_NONE || rank_m(stairs, i) < rank_m(stairs, best)))
            best = i;
    return best;
}

/* ---- the walk ---- */

static void stop_at(struct walking *walking, const struct leg *leg) {
    size_t device = walking->devices[leg->number];
    planning_stop *stop = &walking->stops[walking->n_stops];
    const planning_where where = planning_where_is(walking->survey, device);
    *stop = (planning_stop){
        .device = device,
        .where = where,
        .minutes = planning_way_minutes(&where, walking->n_stops ? &stop[-1].where : NULL) +
                   planning_read_minutes(planning_is_motion(walking->survey, device), false) +
                   fix_minutes};
    walking->n_stops++;
    if (!isnan(leg->x_m))
        walking->at = *leg;
}

/* Its zones on the plan by a tour, then those that only say its name, as the table has them. */
static void walk_room(struct walking *walking, size_t room) {
    size_t n = 0;
    for (size_t i = 0; i < walking->n_zones; i++)
        if (walking->room_of[i] == room && !isnan(walking->zones[i].x_m))
            walking->legs[n++] = walking->zones[i];
    tour(&walking->at, walking->legs, n);
    for (size_t i = 0; i < n; i++)
        stop_at(walking, &walking->legs[i]);
    for (size_t i = 0; i < walking->n_zones; i++)
        if (walking->room_of[i] == room && isnan(walking->zones[i].x_m))
            stop_at(walking, &walking->zones[i]);
}

/* The room where the walk begins first, if there are zones in it; then the others by a tour. */
static enum earshot_status walk_level(struct walking *walking, size_t level) {
    size_t n = 0;
    struct leg *rooms = calloc(walking->n_rooms + 1, sizeof *rooms);
    if (!rooms)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < walking->n_rooms; i++) {
        const struct room *room = &walking->rooms[i];
        const survey_device *first = walking->first;
        if (room->level != level)
            continue;
        if (first && first->room[0] && first->level == level &&
            planning_same_room(room->name, first->room))
            walk_room(walking, i);
        else
            rooms[n++] = room->middle;
    }
    if (level != EARSHOT_NONE)
        tour(&walking->at, rooms, n);
    for (size_t i = 0; i < n; i++)
        walk_room(walking, rooms[i].number);
    free(rooms);
    return EARSHOT_OK;
}

static enum earshot_status walk_levels(struct walking *walking) {
    const survey_device *first = walking->first = beginning(walking);
    bool *left = calloc(walking->survey->n_levels + 1, sizeof *left);
    enum earshot_status status = left ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (left && first) {
        walking->at = (struct leg){.x_m = first->place.x_m, .y_m = first->place.y_m};
        const struct stairs stairs =
            stairs_of(walking, walking->survey->levels[first->level].floor_z_m, left);
        size_t level;
        while (status == EARSHOT_OK && (level = next_level(&stairs)) != EARSHOT_NONE) {
            left[level] = false;
            status = walk_level(walking, level);
        }
    }
    free(left);
    return status == EARSHOT_OK ? walk_level(walking, EARSHOT_NONE) : status;
}

enum earshot_status planning_walk(const earshot_survey *survey, planning_stop *stops,
                                  size_t *n_stops, double *minutes) {
    size_t n = survey->n_devices + 1;
    struct walking walking = {.survey = survey,
                              .zones = calloc(n, sizeof *walking.zones),
                              .devices = calloc(n, sizeof *walking.devices),
                              .room_of = calloc(n, sizeof *walking.room_of),
                              .rooms = calloc(n, sizeof *walking.rooms),
                              .legs = calloc(n, sizeof *walking.legs),
                              .stops = stops};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (walking.zones && walking.devices && walking.room_of && walking.rooms && walking.legs) {
        gather_zones(&walking);
        status = walk_levels(&walking);
    }
    if (status == EARSHOT_OK) {
        *n_stops = walking.n_stops;
        *minutes = receiver_minutes;
        for (size_t i = 0; i < walking.n_stops; i++)
            *minutes += stops[i].minutes;
    }
    free(walking.zones);
    free(walking.devices);
    free(walking.room_of);
    free(walking.rooms);
    free(walking.legs);
    return status;
}
