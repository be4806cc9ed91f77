/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rooms.c - zones gathered into rooms, for a reader who asks "the kitchen?" and not "zone 18?".
 *
 * A room is as good as the worst of its zones. What guards life and was not tested as it is
 * left is still to be tested, however firm it is predicted; what failed its test won't do,
 * however well it is heard now and then.
 */
#include <stdlib.h>
#include <string.h>

#include "page.h"

/* From what holds to what does not. */
static int rank(enum earshot_verdict verdict) {
    static const int ranks[] = {
        [EARSHOT_FIRM] = 0, [EARSHOT_THIN] = 1, [EARSHOT_NOT_JUDGED] = 2, [EARSHOT_OUT] = 3};
    return ranks[verdict];
}

static enum earshot_verdict worse(enum earshot_verdict a, enum earshot_verdict b) {
    return rank(a) < rank(b) ? b : a;
}

/* A verdict as it may be shown of a zone whose final test came to `state`. */
static enum earshot_verdict shown(enum earshot_verdict verdict, bool life_safety,
                                  enum planning_state state) {
    if (state == PLANNING_NOT_PASSED)
        return EARSHOT_OUT;
    return life_safety && state < PLANNING_PASSED ? worse(verdict, EARSHOT_NOT_JUDGED)
                                                  : verdict;
}

size_t page_date_length(const char *time) {
    static const size_t day = sizeof "2026-03-10" - 1;
    if (!earshot_date_valid(time))
        return 0;
    size_t length = strlen(time);
    return length < day ? length : day;
}

const char *page_test_time(const earshot_survey *survey, const report_tested *tested) {
    const char *time = "";
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (tested->final.state != PLANNING_PREDICTED &&
            reading->device == tested->zone.link.device &&
            reading->heard_at == tested->zone.link.listener &&
            reading->placed == SURVEY_IN_PLACE && !reading->doors_open &&
            reading->visit == tested->final.visit && reading->time[0])
            time = reading->time;
    }
    return time;
}

/* Dates compare as text; of others the later row counts. */
static const char *later(const char *a, const char *b) {
    if (!b[0])
        return a;
    return page_date_length(a) && page_date_length(b) && strcmp(a, b) > 0 ? a : b;
}

static page_room *room_of(page_room *rooms, size_t *n, const char *name) {
    size_t i = 0;
    while (i < *n && !planning_same_room(rooms[i].name, name))
        i++;
    if (i == *n)
        rooms[(*n)++] = (page_room){.name = name, .date = ""};
    return &rooms[i];
}

static void add_zone(const page *page, size_t zone, const earshot_fate *then, page_room *room) {
    const report_tested *tested = &page->tested[zone];
    const survey_device *device = &page->survey->devices[tested->zone.device];
    enum earshot_verdict now = page->gathered.zones[zone].zone.prediction.verdict;
    enum planning_state state = tested->final.state;
    bool done = state >= PLANNING_PASSED;
    room->n_zones++;
    room->n_done += done;
    room->life_safety = room->life_safety || device->life_safety;
    room->mark = worse(room->mark, shown(now, device->life_safety, state));
    if (then)
        room->then = worse(room->then,
                           shown(then[zone].verdict, device->life_safety, PLANNING_PREDICTED));
    if (done)
        room->date = later(room->date, page_test_time(page->survey, tested));
}

enum earshot_status page_rooms(const page *page, const earshot_fate *then, page_room **out,
                               size_t *n_out) {
    page_room *rooms = calloc(page->gathered.n_zones + 1, sizeof *rooms);
    size_t n = 0;
    if (!rooms)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < page->gathered.n_zones; i++) {
        size_t device = page->gathered.zones[i].zone.device;
        add_zone(page, i, then, room_of(rooms, &n, page->survey->devices[device].room));
    }
    *out = rooms;
    *n_out = n;
    return EARSHOT_OK;
}
