/* SPDX-License-Identifier: GPL-3.0-or-later */
/* field.c - margins over a whole level: of a sensor at the listener that hears it best, and of
 * all zones at a receiver that may stand anywhere.
 */
#include <math.h>
#include <stdlib.h>

#include "engine.h"
#include "field.h"

static const double usual_height_m = 1.5; /* of a switch, a hand */
static const double around_m = 1.5;       /* what is shown beyond the outermost thing */

/* ---- listeners ---- */

static bool has_place(const earshot_end *end) {
    return isfinite(end->x_m) && isfinite(end->y_m) && isfinite(end->z_m);
}

/* What a repeater's own way to the best receiver leaves; -INFINITY unless that is firm. */
static enum earshot_status way_on(const earshot_survey *survey, const earshot_belief *belief,
                                  const earshot_post *posts, size_t n_posts,
                                  const earshot_post *repeater, double *most_db) {
    *most_db = -INFINITY;
    for (size_t i = 0; i < n_posts; i++) {
        if (posts[i].repeats || !has_place(&posts[i].end))
            continue;
        bool stands = repeater->device != EARSHOT_NONE && posts[i].spot == EARSHOT_NONE;
        const earshot_link link = {.from = repeater->end,
                                   .to = posts[i].end,
                                   .device = stands ? repeater->device : EARSHOT_NONE,
                                   .listener = stands ? posts[i].device : EARSHOT_NONE,
                                   .path = EARSHOT_NONE};
        earshot_prediction way;
        enum earshot_status status = earshot_links_predict(survey, belief, &link, 1, &way);
        if (status != EARSHOT_OK)
            return status;
        if (way.verdict == EARSHOT_FIRM)
            *most_db = fmax(*most_db, way.margin_db);
    }
    return EARSHOT_OK;
}

enum earshot_status drawing_hearers_of(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_post *posts,
                                       size_t n_posts, drawing_hearers *out) {
    drawing_hearers hearers = {.all = calloc(n_posts + 1, sizeof *hearers.all)};
    enum earshot_status status = hearers.all ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < n_posts; i++) {
        double most_db = INFINITY;
        if (!has_place(&posts[i].end))
            continue;
        if (posts[i].repeats)
            status = way_on(survey, belief, posts, n_posts, &posts[i], &most_db);
        if (most_db > -INFINITY)
            hearers.all[hearers.n++] = (drawing_hearer){posts[i].end, most_db};
    }
    if (status == EARSHOT_OK)
        *out = hearers;
    else
        drawing_hearers_free(&hearers);
    return status;
}

void drawing_hearers_free(drawing_hearers *hearers) {
    free(hearers->all);
}

/* ---- a sensor, everywhere ---- */

earshot_end drawing_any_sensor(const earshot_survey *survey, double z_m) {
    size_t best = 0, most = 0;
    for (size_t radio = 0; radio < survey->n_radios; radio++) {
        size_t n = 0;
        for (size_t i = 0; i < survey->n_devices; i++)
            n += survey->devices[i].role == SURVEY_SENSOR && survey->devices[i].radio == radio;
        if (n > most) {
            most = n;
            best = radio;
        }
    }
    return (earshot_end){
        .z_m = z_m, .radio = best, .mount = EARSHOT_NONE, .bias = EARSHOT_NONE};
}

static bool take_field(drawing_field *field) {
    size_t n = field->grid.nx * field->grid.ny;
    field->margin_db = malloc((n + 1) * sizeof *field->margin_db);
    field->sd_db = malloc((n + 1) * sizeof *field->sd_db);
    for (size_t i = 0; field->margin_db && field->sd_db && i < n; i++)
        field->margin_db[i] = field->sd_db[i] = NAN;
    return field->margin_db && field->sd_db;
}

/* Keeps what one listener hears where no other has heard it better. */
static void keep_best(drawing_field *field, const drawing_hearer *hearer,
                      const double *margin_db, const double *sd_db) {
    for (size_t i = 0; i < field->grid.nx * field->grid.ny; i++) {
        double worth_db = fmin(margin_db[i], hearer->most_db);
        if (isnan(margin_db[i]) || worth_db <= field->margin_db[i])
            continue;
        field->margin_db[i] = worth_db;
        field->sd_db[i] = sd_db[i];
    }
}

enum earshot_status drawing_field_fill(drawing_field *field) {
    size_t n = field->grid.nx * field->grid.ny;
    double *margin_db = malloc((n + 1) * sizeof *margin_db);
    double *sd_db = malloc((n + 1) * sizeof *sd_db);
    enum earshot_status status =
        take_field(field) && margin_db && sd_db ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < field->hearers->n; i++) {
        const drawing_hearer *hearer = &field->hearers->all[i];
        status = earshot_map_predict(field->survey, field->belief, &hearer->end, true,
                                     &field->grid, 0, field->grid.ny, margin_db, sd_db);
        if (status == EARSHOT_OK)
            keep_best(field, hearer, margin_db, sd_db);
    }
    free(margin_db);
    free(sd_db);
    return status;
}

void drawing_field_free(drawing_field *field) {
    free(field->margin_db);
    free(field->sd_db);
}

double drawing_field_at(const drawing_field *field, double x_m, double y_m) {
    double best_db = NAN;
    earshot_link link = {.from = field->grid.like,
                         .device = EARSHOT_NONE,
                         .listener = EARSHOT_NONE,
                         .path = EARSHOT_NONE};
    link.from.x_m = x_m;
    link.from.y_m = y_m;
    for (size_t i = 0; i < field->hearers->n; i++) {
        double margin_db, sd_db;
        link.to = field->hearers->all[i].end;
        engine_margin(field->survey, field->belief, &link, NULL, &margin_db, &sd_db);
        best_db = fmax(best_db, fmin(margin_db, field->hearers->all[i].most_db));
    }
    return best_db;
}

/* ---- a receiver, anywhere ---- */

earshot_end drawing_any_receiver(const earshot_survey *survey, double z_m) {
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].role == SURVEY_RECEIVER)
            return (earshot_end){.z_m = z_m,
                                 .radio = survey->devices[i].radio,
                                 .mount = EARSHOT_NONE,
                                 .bias = survey->devices[i].listener};
    return drawing_any_sensor(survey, z_m);
}

static bool take_anywhere(size_t n, drawing_anywhere *out) {
    out->spare_db = malloc((n + 1) * sizeof *out->spare_db);
    out->sd_db = malloc((n + 1) * sizeof *out->sd_db);
    out->device = malloc((n + 1) * sizeof *out->device);
    bool good = out->spare_db && out->sd_db && out->device;
    for (size_t i = 0; good && i < n; i++) {
        out->spare_db[i] = out->sd_db[i] = NAN;
        out->device[i] = EARSHOT_NONE;
    }
    return good;
}

static void keep_worst(const earshot_survey *survey, size_t device, size_t n,
                       const double *margin_db, const double *sd_db, drawing_anywhere *out) {
    double asked_db = survey_asked_db(survey, survey->devices[device].life_safety);
    for (size_t i = 0; i < n; i++) {
        double spare_db = margin_db[i] - asked_db;
        if (isnan(spare_db) || spare_db >= out->spare_db[i])
            continue;
        out->spare_db[i] = spare_db;
        out->sd_db[i] = sd_db[i];
        out->device[i] = device;
    }
}

enum earshot_status drawing_anywhere_fill(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          const earshot_grid *grid, drawing_anywhere *out) {
    size_t n = grid->nx * grid->ny;
    double *margin_db = malloc((n + 1) * sizeof *margin_db);
    double *sd_db = malloc((n + 1) * sizeof *sd_db);
    enum earshot_status status =
        take_anywhere(n, out) && margin_db && sd_db ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < survey->n_devices; i++) {
        const earshot_end zone = survey_end(&survey->devices[i]);
        if (survey->devices[i].role != SURVEY_SENSOR || !has_place(&zone))
            continue;
        status = earshot_map_predict(survey, belief, &zone, false, grid, 0, grid->ny, margin_db,
                                     sd_db);
        if (status == EARSHOT_OK)
            keep_worst(survey, i, n, margin_db, sd_db, out);
    }
    free(margin_db);
    free(sd_db);
    return status;
}

void drawing_anywhere_free(drawing_anywhere *anywhere) {
    free(anywhere->spare_db);
    free(anywhere->sd_db);
    free(anywhere->device);
}

/* ---- what there is to show ---- */

static void widen(drawing_extent *extent, double x_m, double y_m) {
    extent->x0_m = fmin(extent->x0_m, x_m);
    extent->y0_m = fmin(extent->y0_m, y_m);
    extent->x1_m = fmax(extent->x1_m, x_m);
    extent->y1_m = fmax(extent->y1_m, y_m);
}

static void widen_by_floor(const earshot_survey *survey, size_t floor, drawing_extent *extent) {
    const geometry_building *building = &survey->building;
    const geometry_floor *of = &building->floors[floor];
    for (size_t i = of->first_ring; i < of->first_ring + of->n_rings; i++) {
        const geometry_ring *ring = &building->rings[i];
        for (size_t j = 0; j < ring->n_points; j++)
            widen(extent, building->points[ring->first_point + j].x_m,
                  building->points[ring->first_point + j].y_m);
    }
}

size_t drawing_level_at(const earshot_survey *survey, double z_m) {
    size_t found = EARSHOT_NONE;
    for (size_t i = 0; i < survey->n_levels; i++)
        if (survey->levels[i].floor_z_m <= z_m &&
            (found == EARSHOT_NONE ||
             survey->levels[i].floor_z_m > survey->levels[found].floor_z_m))
            found = i;
    return found;
}

bool drawing_extent_of(const earshot_survey *survey, size_t level, drawing_extent *out) {
    drawing_extent extent = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < survey->n_walls; i++) {
        const geometry_panel *panel = &survey->building.panels[i];
        if (survey->walls[i].level != level)
            continue;
        widen(&extent, panel->a.x_m, panel->a.y_m);
        widen(&extent, panel->b.x_m, panel->b.y_m);
    }
    if (survey->levels[level].floor != EARSHOT_NONE)
        widen_by_floor(survey, survey->levels[level].floor, &extent);
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].level == level && isfinite(survey->devices[i].place.x_m))
            widen(&extent, survey->devices[i].place.x_m, survey->devices[i].place.y_m);
    if (extent.x0_m > extent.x1_m)
        return false;
    for (size_t i = 0; i < survey->n_spots; i++)
        if (isfinite(survey->spots[i].place.x_m) &&
            drawing_level_at(survey, survey->spots[i].place.z_m) == level)
            widen(&extent, survey->spots[i].place.x_m, survey->spots[i].place.y_m);
    *out = (drawing_extent){fmax(extent.x0_m - around_m, -GEOMETRY_REACH_M),
                            fmax(extent.y0_m - around_m, -GEOMETRY_REACH_M),
                            fmin(extent.x1_m + around_m, GEOMETRY_REACH_M),
                            fmin(extent.y1_m + around_m, GEOMETRY_REACH_M)};
    return true;
}

/* So many points that the last lies at the end or beyond, but within reach of the map. */
static size_t points_over(double begin_m, double length_m, double step_m) {
    size_t n = (size_t)ceil(length_m / step_m - 1e-9) + 1;
    while (n > 2 && begin_m + (double)n * step_m > GEOMETRY_REACH_M)
        n--;
    return n;
}

earshot_grid drawing_grid(const drawing_extent *extent, double step_m, double usual_m,
                          double n_points, const earshot_end *like) {
    static const double least_m = 0.02, most_points = 4e6;
    double wide_m = extent->x1_m - extent->x0_m, high_m = extent->y1_m - extent->y0_m;
    double chosen_m = step_m > 0 ? step_m : fmax(usual_m, sqrt(wide_m * high_m / n_points));
    chosen_m = fmax(fmax(chosen_m, least_m), sqrt(wide_m * high_m / most_points));
    if (step_m <= 0) /* whole centimeters */
        chosen_m = ceil(chosen_m * 100) / 100;
    return (earshot_grid){.x0_m = extent->x0_m,
                          .y0_m = extent->y0_m,
                          .step_m = chosen_m,
                          .nx = points_over(extent->x0_m, wide_m, chosen_m),
                          .ny = points_over(extent->y0_m, high_m, chosen_m),
                          .like = *like};
}

double drawing_height_m(const earshot_plan_task *task) {
    return isnan(task->height_m) ? usual_height_m : task->height_m;
}
