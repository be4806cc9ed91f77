/* SPDX-License-Identifier: GPL-3.0-or-later */
/* links.c - the links of a survey: who sends to whom, in the order of devices.csv.
 *
 * Coordinates of both ends win over a path row; with neither the link stands in the list all
 * the same, so that a zone that cannot be judged is seen and not lost.
 */
#include "survey.h"

earshot_end survey_end(const survey_device *device) {
    return (earshot_end){.x_m = device->place.x_m,
                         .y_m = device->place.y_m,
                         .z_m = device->place.z_m,
                         .radio = device->radio,
                         .mount = device->mount,
                         .bias = device->listener};
}

static bool has_place(const survey_device *device) {
    return device->place.x_m == device->place.x_m;
}

earshot_link survey_link(const earshot_survey *survey, size_t device, size_t listener) {
    const survey_device *from = &survey->devices[device], *to = &survey->devices[listener];
    earshot_link link = {.from = survey_end(from),
                         .to = survey_end(to),
                         .device = device,
                         .listener = listener,
                         .path = EARSHOT_NONE,
                         .life_safety = from->life_safety};
    size_t path = survey_path_between(survey, device, listener);
    if (path == survey->n_paths || (has_place(from) && has_place(to)))
        return link;
    link.path = path;
    if (survey->paths[path].mount != EARSHOT_NONE)
        link.from.mount = survey->paths[path].mount;
    return link;
}

size_t earshot_survey_links(const earshot_survey *survey, earshot_link *links,
                            size_t capacity) {
    size_t n = 0;
    for (size_t device = 0; device < survey->n_devices; device++)
        for (size_t i = 0; i < survey->n_listeners; i++) {
            size_t listener = survey->listeners[i];
            if (!survey_hears(survey, listener, device))
                continue;
            if (n < capacity)
                links[n] = survey_link(survey, device, listener);
            n++;
        }
    return n;
}
