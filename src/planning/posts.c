/* SPDX-License-Identifier: GPL-3.0-or-later */
/* posts.c - listeners of an arrangement: those of the survey, moved ones, proposed ones.
 */
#include <string.h>

#include "planning.h"

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
    size_t row = 0;
    while (row < survey->n_spots && strcmp(survey->spots[row].name, name) != 0)
        row++;
    return row;
}

/* What stands beside metal is fixed as on a frame of it. */
static size_t mount_at(const earshot_survey *survey, const survey_spot *spot,
                       size_t otherwise) {
    for (size_t i = 0; spot->near_metal && i < survey->n_mounts; i++)
        if (strcmp(survey->mounts[i].name, "metal-frame") == 0)
            return i;
    return otherwise;
}

static void put(const earshot_survey *survey, size_t spot, earshot_end *end) {
    const survey_spot *at = &survey->spots[spot];
    end->x_m = at->place.x_m;
    end->y_m = at->place.y_m;
    end->z_m = at->place.z_m;
    end->mount = mount_at(survey, at, EARSHOT_NONE);
}

earshot_post earshot_post_moved(const earshot_survey *survey, const earshot_post *receiver,
                                size_t spot) {
    earshot_post moved = *receiver;
    put(survey, spot, &moved.end);
    moved.spot = spot;
    return moved;
}

earshot_post earshot_post_repeater(const earshot_survey *survey, size_t radio, size_t spot) {
    earshot_post post = {.end = {.radio = radio, .bias = EARSHOT_NONE},
                         .repeats = true,
                         .device = EARSHOT_NONE,
                         .spot = spot};
    put(survey, spot, &post.end);
    return post;
}
