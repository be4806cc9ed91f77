/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fitting.h - a fit under way: what its steps hand to each other.
 */
#ifndef CALIBRATION_FITTING_H
#define CALIBRATION_FITTING_H

#include "record.h"
#include "sites.h"

enum {
    FITTING_N_GRID = 27,
    FITTING_N_PLAIN = 9, /* kept: one for each two sds */
    FITTING_MOST_FIELDS = FITTING_N_PLAIN + CALIBRATION_MOST_OBSTACLES
};

/* How settled sites must be to weigh a field by: less than to answer by it, sds. */
static const double fitting_loosely = 0.02;

/* How often something that matters was left out of the plan. Judgement, no source. */
static const double fitting_undrawn_chance = 0.2;

struct fitting {
    const earshot_survey *survey;
    const earshot_belief *prior;
    const earshot_watch *watch;
    earshot_belief *belief; /* under way; its reads are there */
    calibration_observations observations;
    size_t n;           /* of observations at hand: the first so many */
    size_t room;        /* of one view in the pools */
    double *value;      /* n: level or margin at the belief so far */
    double *before;     /* n: by the tables, along the slopes there */
    double *foretold;   /* n: that, less what the obstacle of the field at hand takes */
    double *covariance; /* n x n: of the levels before the readings, for the field at hand */
    calibration_sites sites;
};

/* ---- slopes.c ---- */

/* Gives a number to each thing that some reading's way crosses. False: no memory. */
bool fitting_number_things(struct fitting *fitting);
/* Views, values and what the tables say, along the slopes at the belief so far. */
void fitting_take_slopes(struct fitting *fitting);
/* Values alone. */
void fitting_take_values(struct fitting *fitting);

/* ---- fields.c ---- */

/* The field that the tables name. */
engine_field fitting_middle_field(const earshot_belief *prior);
/* Whether whoever watches lets it go on. */
bool fitting_go_on(const struct fitting *fitting, double share_done);
/* Settles the sites with a field; then its factor and pull, which the caller frees. */
enum earshot_status fitting_settle(struct fitting *fitting, const engine_field *field);
enum earshot_status fitting_pull(struct fitting *fitting, engine_field *field);
/* The fields that explain the readings best, with weights; then each settled and pulled. */
enum earshot_status fitting_weigh_fields(struct fitting *fitting);
enum earshot_status fitting_pull_fields(struct fitting *fitting);

/* ---- obstacles.c ---- */

/* Adds up to `most` fields, each with something that nobody drew, when the readings speak for
 * such a thing. */
enum earshot_status fitting_add_obstacles(struct fitting *fitting, size_t most);

/* ---- means.c ---- */

/* Parameters to their best with the sites as they are, walls with them; `moved`: how far the
 * farthest went, in sds. */
enum earshot_status fitting_solve_means(struct fitting *fitting, double *moved);
/* Parameters and walls to where the fields pull them. */
void fitting_set_means(struct fitting *fitting);
/* Adds where one field pulls them from the tables, times `weight`. */
void fitting_add_means(const struct fitting *fitting, const engine_field *field, double weight,
                       double *mean, double *own_mean);

/* ---- doubt.c ---- */

enum earshot_status fitting_set_doubts(struct fitting *fitting);

#endif
