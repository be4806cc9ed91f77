/* SPDX-License-Identifier: GPL-3.0-or-later */
/* field.h - inside drawing, and for the report of its numbers: margins over a whole level.
 */
#ifndef DRAWING_FIELD_H
#define DRAWING_FIELD_H

#include "drawing.h"

/* A listener that counts, and the most that it can be worth: what a repeater's own way leaves.
 */
typedef struct drawing_hearer {
    earshot_end end;
    double most_db;
} drawing_hearer;

typedef struct drawing_hearers {
    drawing_hearer *all;
    size_t n;
} drawing_hearers;

/* Those of the posts that have a place; a repeater only while its own way to a receiver is
 * firm. EARSHOT_OK, to be freed, or EARSHOT_NO_MEMORY. */
enum earshot_status drawing_hearers_of(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_post *posts,
                                       size_t n_posts, drawing_hearers *out);
void drawing_hearers_free(drawing_hearers *hearers);

/* Margins of a sensor at each point of a grid, at the listener that hears it best, and their
 * sd. Row by row; not a number where there is none. */
typedef struct drawing_field {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const drawing_hearers *hearers;
    earshot_grid grid;
    double *margin_db, *sd_db;
} drawing_field;

/* The sensor that stands for all: with the radio that most have, fixed to nothing special. */
earshot_end drawing_any_sensor(const earshot_survey *survey, double z_m);

/* Fills the field; its arrays are to be freed, after a failure too. */
enum earshot_status drawing_field_fill(drawing_field *field);
void drawing_field_free(drawing_field *field);

/* The margin at one place, exactly. */
double drawing_field_at(const drawing_field *field, double x_m, double y_m);

/* The smallest spare over all zones for a receiver at each point, its sd, and whose it is (row
 * of the devices, EARSHOT_NONE: no zone has a place). */
typedef struct drawing_anywhere {
    double *spare_db, *sd_db;
    size_t *device;
} drawing_anywhere;

/* The receiver that is moved: the first of the survey, fixed to nothing special. */
earshot_end drawing_any_receiver(const earshot_survey *survey, double z_m);
/* `grid`: of such receivers. To be freed, after a failure too. */
enum earshot_status drawing_anywhere_fill(const earshot_survey *survey,
                                          const earshot_belief *belief,
                                          const earshot_grid *grid, drawing_anywhere *out);
void drawing_anywhere_free(drawing_anywhere *anywhere);

/* What a level shows, m: its walls, floor, devices and spots, and a little around. False: there
 * is nothing on it. */
typedef struct drawing_extent {
    double x0_m, y0_m, x1_m, y1_m;
} drawing_extent;
bool drawing_extent_of(const earshot_survey *survey, size_t level, drawing_extent *out);
/* The level that a place is on, by its height; NONE below all. */
size_t drawing_level_at(const earshot_survey *survey, double z_m);
/* The grid over an extent; for a step of 0 the usual one, or more where there would be more
 * than about `n_points`. */
earshot_grid drawing_grid(const drawing_extent *extent, double step_m, double usual_m,
                          double n_points, const earshot_end *like);
/* Height of a sensor over the level's floor, as the task has it. */
double drawing_height_m(const earshot_plan_task *task);

#endif
