/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ledger.c - where the signal goes: the loss of one link, line by line, with no remainder line.
 *
 * Each line can be worked out again from the tables; their sum, in order, is the loss.
 */
#include <math.h>

#include "engine.h"

struct writer {
    const earshot_survey *survey;
    const earshot_belief *belief;
    size_t radio;
    bool floors; /* which of the two is being written */
    earshot_part *parts;
    size_t capacity, n;
};

static void write(struct writer *writer, earshot_part part) {
    if (writer->n < writer->capacity)
        writer->parts[writer->n] = part;
    writer->n++;
}

static enum earshot_part_kind kind_of(enum survey_class class, bool floor) {
    if (floor)
        return EARSHOT_FLOOR;
    if (class == SURVEY_CLASS_DOOR)
        return EARSHOT_DOOR;
    return class == SURVEY_CLASS_WINDOW ? EARSHOT_WINDOW : EARSHOT_WALL;
}

static double square(double x) {
    return x * x;
}

/* The square root of a parameter's variance. */
static double sd_of(const earshot_belief *belief, size_t parameter) {
    return sqrt(belief->covariance[parameter * belief->n + parameter]);
}

static void write_crossing(void *who, const engine_crossing *crossing) {
    struct writer *writer = who;
    if (crossing->floor != writer->floors)
        return;
    const earshot_survey *survey = writer->survey;
    const survey_construction *of = &survey->constructions[crossing->construction];
    const engine_loss *loss =
        &writer->belief
             ->losses[writer->radio * survey->n_constructions + crossing->construction];
    double variance = engine_thing_variance(writer->belief, crossing);
    double edge_db2 = engine_edge_variance_db2(survey, writer->belief, writer->radio, crossing);
    write(writer,
          (earshot_part){.kind = kind_of(of->class, crossing->floor),
                         .name = crossing->name,
                         .of = of->name,
                         .loss_db = engine_crossing_db(survey, writer->belief, writer->radio,
                                                       crossing, crossing->construction),
                         .sd_db = sqrt(square(loss->sd_db) * variance + edge_db2),
                         .source = loss->source});
}

static void write_mount(struct writer *writer, size_t mount, const char *end) {
    if (mount == EARSHOT_NONE)
        return;
    const survey_mount *of = &writer->survey->mounts[mount];
    size_t parameter = engine_mount(writer->survey, mount);
    write(writer,
          (earshot_part){.kind = EARSHOT_MOUNT,
                         .name = of->name,
                         .of = end,
                         .loss_db = of->loss_db + of->sd_db * writer->belief->mean[parameter],
                         .sd_db = of->sd_db * sd_of(writer->belief, parameter),
                         .source = of->source});
}

static void write_walls(struct writer *writer, const earshot_link *link,
                        const engine_result *result) {
    engine_walk(writer->survey, link, NULL, write_crossing, writer);
    if (result->walls.n > 1)
        write(writer,
              (earshot_part){.kind = EARSHOT_WAYS_ROUND,
                             .name = "ways round",
                             .loss_db = result->walls_together.loss_db - result->walls.sum_db,
                             .sd_db = fabs(result->walls_together.per_power_db) *
                                      sd_of(writer->belief, ENGINE_SATURATION),
                             .source = writer->survey->environment.source});
}

static void write_floors(struct writer *writer, const earshot_link *link,
                         const engine_result *result) {
    writer->floors = true;
    engine_walk(writer->survey, link, NULL, write_crossing, writer);
    if (result->floors_together.loss_db != result->floors.sum_db)
        write(writer,
              (earshot_part){.kind = EARSHOT_FLOORS_TOGETHER,
                             .name = "floors together",
                             .loss_db = result->floors_together.loss_db - result->floors.sum_db,
                             .source = writer->survey->environment.source});
}

static void write_parts(struct writer *writer, const earshot_link *link,
                        const engine_result *result) {
    write(writer, (earshot_part){.kind = EARSHOT_FIRST_METER,
                                 .name = "first meter",
                                 .loss_db = result->first_meter_db,
                                 .source = "ITU-R P.525, free space"});
    write(writer, (earshot_part){.kind = EARSHOT_DISTANCE,
                                 .name = writer->survey->environment.name,
                                 .loss_db = result->distance_db,
                                 .sd_db = engine_distance_db(1, result->distance_m) *
                                          sd_of(writer->belief, ENGINE_EXPONENT),
                                 .source = writer->survey->environment.source});
    write_walls(writer, link, result);
    write_floors(writer, link, result);
    if (result->ground_db > 0)
        write(writer,
              (earshot_part){.kind = EARSHOT_GROUND,
                             .name = "ground",
                             .loss_db = result->ground_db,
                             .sd_db = engine_ground_sd_db(result->ground_db),
                             .source = "two-ray loss over plane earth beyond the break, "
                                       "both ends 1.5 m up, from memory"});
    write_mount(writer, link->from.mount, "sender");
    write_mount(writer, link->to.mount, "listener");
    if (result->read_db != 0)
        write(writer, (earshot_part){.kind = EARSHOT_READ,
                                     .name = "read here",
                                     .loss_db = result->read_db,
                                     .source = "readings.csv: what readings of this link and "
                                               "near it say beyond all the above"});
}

enum earshot_status earshot_link_ledger(const earshot_survey *survey,
                                        const earshot_belief *belief, const earshot_link *link,
                                        earshot_part *parts, size_t capacity, size_t *n_parts,
                                        earshot_prediction *out) {
    if (!engine_link_valid(survey, link))
        return EARSHOT_MISUSE;
    struct writer writer = {.survey = survey,
                            .belief = belief,
                            .radio = link->from.radio,
                            .parts = parts,
                            .capacity = capacity};
    engine_result result;
    const earshot_link on_grid = engine_on_grid(link);
    engine_predict(survey, belief, link, &result, out);
    if (!(result.notes & EARSHOT_NOTE_NO_PLACE))
        write_parts(&writer, &on_grid, &result);
    *n_parts = writer.n;
    return EARSHOT_OK;
}
