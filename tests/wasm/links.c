/* SPDX-License-Identifier: GPL-3.0-or-later */
/* links.c - random links of a survey, the same wherever they are drawn.
 *
 * The generator is SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number
 * generators, OOPSLA 2014): whole numbers only, so that both sides draw the very same links.
 * Its constants are from memory; nothing but the spread of the links hangs on them.
 */
#include "links.h"

#include <math.h>
#include <stdlib.h>

#include "text.h"

struct kit {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_link *links; /* of the survey */
    size_t n_links, n_radios, n_mounts, n_listeners;
    earshot_end low, high; /* corners of the space that the links fill */
};

/* ---- chance ---- */

static uint64_t draw(uint64_t *state) {
    uint64_t z = *state += 0x9e3779b97f4a7c15;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9;
    z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
    return z ^ (z >> 31);
}

static size_t draw_row(uint64_t *state, size_t n) {
    return (size_t)(draw(state) % n);
}

/* Exact: 53 bits and a power of two. */
static double draw_between(uint64_t *state, double low, double high) {
    return low + (high - low) * ((double)(draw(state) >> 11) / 9007199254740992.0);
}

/* ---- what there is to draw from ---- */

static bool predicts(const struct kit *kit, const earshot_link *link) {
    earshot_prediction prediction;
    return earshot_links_predict(kit->survey, kit->belief, link, 1, &prediction) == EARSHOT_OK;
}

/* How many rows a field of the link may name: the first that is refused ends them. */
static size_t count_rows(const struct kit *kit, earshot_link *link, size_t *row) {
    for (*row = 0; predicts(kit, link);)
        ++*row;
    return *row;
}

static size_t count_radios(const struct kit *kit) {
    earshot_link link = kit->links[0];
    return count_rows(kit, &link, &link.from.radio);
}

static size_t count_mounts(const struct kit *kit) {
    earshot_link link = kit->links[0];
    return count_rows(kit, &link, &link.from.mount);
}

static size_t count_listeners(const struct kit *kit) {
    earshot_link link = kit->links[0];
    return count_rows(kit, &link, &link.to.bias);
}

/* A corner not yet known is not a number, which fmin and fmax pass over; so are the ends of
 * links that have no place. */
static void widen(struct kit *kit, const earshot_end *end) {
    kit->low.x_m = fmin(kit->low.x_m, end->x_m);
    kit->low.y_m = fmin(kit->low.y_m, end->y_m);
    kit->low.z_m = fmin(kit->low.z_m, end->z_m);
    kit->high.x_m = fmax(kit->high.x_m, end->x_m);
    kit->high.y_m = fmax(kit->high.y_m, end->y_m);
    kit->high.z_m = fmax(kit->high.z_m, end->z_m);
}

static void measure(struct kit *kit) {
    kit->n_radios = count_radios(kit);
    kit->n_mounts = count_mounts(kit);
    kit->n_listeners = count_listeners(kit);
    kit->low = kit->high = (earshot_end){.x_m = NAN, .y_m = NAN, .z_m = NAN};
    for (size_t i = 0; i < kit->n_links; i++) {
        widen(kit, &kit->links[i].from);
        widen(kit, &kit->links[i].to);
    }
}

/* ---- one link ---- */

/* Anywhere among the devices and a little beyond them; 1 in 20 nowhere, 1 in 4 on no mount. */
static void move(const struct kit *kit, uint64_t *state, earshot_end *end) {
    static const double beyond_m = 5;
    end->x_m = draw_between(state, kit->low.x_m - beyond_m, kit->high.x_m + beyond_m);
    end->y_m = draw_between(state, kit->low.y_m - beyond_m, kit->high.y_m + beyond_m);
    end->z_m = draw_between(state, kit->low.z_m, kit->high.z_m);
    if (draw_row(state, 20) == 0)
        end->x_m = NAN;
    end->radio = draw_row(state, kit->n_radios);
    end->mount = draw_row(state, kit->n_mounts);
    if (draw_row(state, 4) == 0)
        end->mount = EARSHOT_NONE;
}

/* Half of them are of devices, the others what-ifs. */
static earshot_link draw_link(const struct kit *kit, uint64_t *state) {
    earshot_link link = kit->links[draw_row(state, kit->n_links)];
    move(kit, state, &link.from);
    move(kit, state, &link.to);
    link.to.bias = draw_row(state, kit->n_listeners);
    link.life_safety = draw_row(state, 2) == 1;
    if (draw_row(state, 2) == 1)
        link.device = link.listener = EARSHOT_NONE;
    return link;
}

/* ---- rows ---- */

/* All that a prediction says, in its order. */
static void write_row(const earshot_prediction *prediction, earshot_text *out) {
    const double numbers[] = {prediction->distance_m,
                              prediction->loss_db,
                              prediction->rx_power_dbm,
                              prediction->expected_reading_dbm,
                              prediction->reading_sd_db,
                              prediction->needed_dbm,
                              prediction->margin_db,
                              prediction->margin_sd_db,
                              prediction->required_margin_db,
                              prediction->spare_db,
                              prediction->chance};
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        text_add_number(out, numbers[i]);
        text_add(out, ",");
    }
    text_add(out, earshot_verdict_word(prediction->verdict));
    text_add(out, ",");
    text_add(out, earshot_basis_word(prediction->basis));
    text_add(out, ",");
    text_add_count(out, prediction->notes);
    text_add(out, "\n");
}

static uint32_t write_rows(const struct kit *kit, uint32_t seed, uint32_t n,
                           earshot_text *out) {
    text_add(out, "distance_m,loss_db,rx_power_dbm,expected_reading_dbm,reading_sd_db,needed_"
                  "dbm,margin_db,margin_sd_db,required_margin_db,spare_db,chance,verdict,"
                  "basis,notes\n");
    for (uint32_t k = 0; k < n; k++) {
        uint64_t state = ((uint64_t)seed << 32) + k;
        earshot_prediction prediction;
        earshot_link link = draw_link(kit, &state);
        if (earshot_links_predict(kit->survey, kit->belief, &link, 1, &prediction) !=
            EARSHOT_OK)
            return k;
        write_row(&prediction, out);
    }
    return n;
}

uint32_t links_write(const earshot_survey *survey, const earshot_belief *belief, uint32_t seed,
                     uint32_t n, earshot_text *out) {
    size_t n_links = earshot_survey_links(survey, NULL, 0);
    earshot_link *links = calloc(n_links + 1, sizeof *links);
    struct kit kit = {.survey = survey, .belief = belief, .links = links, .n_links = n_links};
    uint32_t written = 0;
    if (links)
        earshot_survey_links(survey, links, n_links);
    if (links && n_links)
        measure(&kit);
    if (kit.n_radios && kit.n_mounts && kit.n_listeners)
        written = write_rows(&kit, seed, n, out);
    free(links);
    return written;
}
