/* SPDX-License-Identifier: GPL-3.0-or-later */
/* posts.c - listeners of an arrangement: those of the survey, moved ones, proposed ones.
 */
#include <math.h>

#include "places.h"

size_t earshot_survey_posts(const earshot_survey *survey, earshot_post *posts,
                            size_t capacity) {
    size_t n = 0;
    for (size_t i = 0; i < survey->n_devices; i++) {
        if (survey->devices[i].role == SURVEY_SENSOR)
            continue;
        if (n < capacity)
            posts[n] = (earshot_post){.end = survey_end(&survey->devices[i]),
                                      .repeats = survey->devices[i].role == SURVEY_REPEATER,
                                      .device = i,
                                      .spot = EARSHOT_NONE};
        n++;
    }
    return n;
}

size_t earshot_survey_zones(const earshot_survey *survey) {
    size_t n = 0;
    for (size_t i = 0; i < survey->n_devices; i++)
        n += survey->devices[i].role == SURVEY_SENSOR;
    return n;
}

size_t earshot_survey_spots(const earshot_survey *survey) {
    return survey->n_spots;
}

const char *earshot_survey_spot(const earshot_survey *survey, size_t row) {
    return row < survey->n_spots ? survey->spots[row].name : "";
}

size_t earshot_survey_find_spot(const earshot_survey *survey, const char *name) {
    return survey_find(name, survey->spots, survey->n_spots, sizeof *survey->spots);
}

/* What stands beside metal is fixed as on a frame of it, where the tables know that. */
static size_t metal_mount(const earshot_survey *survey) {
    size_t mount =
        survey_find("metal-frame", survey->mounts, survey->n_mounts, sizeof *survey->mounts);
    return mount < survey->n_mounts ? mount : EARSHOT_NONE;
}

static void put(const earshot_survey *survey, const planning_place *place, earshot_end *end) {
    end->x_m = place->at.x_m;
    end->y_m = place->at.y_m;
    end->z_m = place->at.z_m;
    end->mount = place->near_metal ? metal_mount(survey) : EARSHOT_NONE;
}

earshot_post planning_post_moved(const earshot_survey *survey, const earshot_post *receiver,
                                 const planning_place *place, size_t number) {
    earshot_post moved = *receiver;
    put(survey, place, &moved.end);
    moved.spot = number;
    return moved;
}

earshot_post planning_post_repeater(const earshot_survey *survey, const earshot_post *receiver,
                                    const planning_place *place, size_t number) {
    earshot_post post = {.end = {.radio = receiver->end.radio, .bias = EARSHOT_NONE},
                         .repeats = true,
                         .device = EARSHOT_NONE,
                         .spot = number};
    put(survey, place, &post.end);
    return post;
}

static planning_place spot_place(const earshot_survey *survey, size_t row) {
    const survey_spot *spot = &survey->spots[row];
    return (planning_place){.at = spot->place,
                            .spot = row,
                            .level = EARSHOT_NONE,
                            .mains = spot->mains,
                            .near_metal = spot->near_metal,
                            .reachable_by_intruder = spot->reachable_by_intruder};
}

size_t planning_spot_places(const earshot_survey *survey, planning_place *places) {
    size_t n = 0;
    for (size_t i = 0; i < survey->n_spots; i++)
        if (!isnan(survey->spots[i].place.x_m))
            places[n++] = spot_place(survey, i);
    return n;
}

earshot_post earshot_post_moved(const earshot_survey *survey, const earshot_post *receiver,
                                size_t spot) {
    const planning_place place = spot_place(survey, spot);
    return planning_post_moved(survey, receiver, &place, spot);
}

earshot_post earshot_post_repeater(const earshot_survey *survey, size_t radio, size_t spot) {
    const planning_place place = spot_place(survey, spot);
    const earshot_post receiver = {.end = {.radio = radio}};
    return planning_post_repeater(survey, &receiver, &place, spot);
}

bool planning_post_hears(const earshot_survey *survey, const earshot_post *post,
                         size_t device) {
    const survey_device *from = &survey->devices[device];
    if (post->device != EARSHOT_NONE)
        return survey_hears(survey, post->device, device);
    return from->role == SURVEY_SENSOR && !from->not_relayed &&
           survey_share_band(survey, from->radio, post->end.radio);
}

bool planning_post_passes(const earshot_survey *survey, const earshot_post *repeater,
                          const earshot_post *receiver) {
    if (!repeater->repeats || receiver->repeats)
        return false;
    return repeater->device == EARSHOT_NONE ||
           survey_hears(survey, receiver->device, repeater->device);
}

/* Readings were of another way than one that is proposed. */
static earshot_link proposed(earshot_end from, earshot_end to) {
    return (earshot_link){.from = from,
                          .to = to,
                          .device = EARSHOT_NONE,
                          .listener = EARSHOT_NONE,
                          .path = EARSHOT_NONE};
}

earshot_link planning_link_to(const earshot_survey *survey, size_t device,
                              const earshot_post *post) {
    if (post->spot == EARSHOT_NONE)
        return survey_link(survey, device, post->device);
    earshot_link link = proposed(survey_end(&survey->devices[device]), post->end);
    link.life_safety = survey->devices[device].life_safety;
    return link;
}

earshot_link planning_link_between(const earshot_survey *survey, const earshot_post *repeater,
                                   const earshot_post *receiver) {
    if (repeater->device != EARSHOT_NONE && repeater->spot == EARSHOT_NONE)
        return planning_link_to(survey, repeater->device, receiver);
    return proposed(repeater->end, receiver->end);
}
