/* SPDX-License-Identifier: GPL-3.0-or-later */
/* made.h - a building with readings, drawn from what the tables believe, and its truth.
 */
#ifndef RECOVER_MADE_H
#define RECOVER_MADE_H

#include <gsl/gsl_rng.h>

#include "calibration.h"

/* How the truth differs from what the model believes. */
enum made_wrong {
    MADE_RIGHT,
    MADE_SKEWED_FADE,  /* the fade of a place as Rice has it, not normal */
    MADE_SHORT_FIELD,  /* a field that reaches 1 m, whatever the grid says */
    MADE_LONG_FIELD,   /* 6 m */
    MADE_HIDDEN_METAL, /* a metal wall that nobody drew */
    MADE_N_WRONG
};

typedef struct made_task {
    size_t n_readings;
    double slips; /* share of levels that are slips of the pencil */
    enum made_wrong wrong;
} made_task;

typedef struct made {
    earshot_survey *survey;
    earshot_link target;     /* a zone that nobody read */
    double target_margin_db; /* as it is */
    earshot_belief *truth;   /* its means are the truth */
} made;

/* Draws one. Ends the program when it cannot. */
void made_draw(const made_task *task, gsl_rng *random, made *out);
void made_free(made *made);

#endif
