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

/* A slip of whoever wrote the readings down. */
enum made_mistake {
    MADE_CLEAN,
    MADE_SWAPPED,   /* two zones at least 15 dB apart under each other's name */
    MADE_ELSEWHERE, /* one zone read where another, at least 15 dB apart, hangs */
    MADE_STUCK,     /* five rows running show the first one's value */
    MADE_SIGN,      /* one minus left out */
    MADE_UNIT,      /* dB above the noise, 110 dB higher, in place of dBm, all rows */
    MADE_DIGIT,     /* one level's digits swapped, where that is 15 dB or more */
    MADE_SCALE,     /* all rows 25 dB higher, as of another scale */
    MADE_N_MISTAKES
};

enum made_placed { MADE_MIXED, MADE_IN_PLACE, MADE_HELD };

typedef struct made_task {
    size_t n_readings;
    double slips; /* share of levels that are slips of the pencil */
    enum made_wrong wrong;
    bool one_receiver, no_pad; /* all heard at one; nothing silenced by a pad */
    bool weak;                 /* a radio that leaves some of the zones in doubt */
    bool life_safety;          /* every fourth zone guards life */
    enum made_placed placed;
    enum made_mistake mistake;
} made_task;

typedef struct made {
    earshot_survey *survey;
    earshot_link target;     /* a zone that nobody read */
    double target_margin_db; /* as it is */
    earshot_belief *truth;   /* its means are the truth */
    size_t first;            /* device row of the first zone that is read; the rest follow */
    double margin_db[160];   /* of those zones, as it is */
    bool mistaken;           /* the mistake could be made */
    char names[2][8];        /* of the devices it is of */
} made;

/* Draws one. Ends the program when it cannot. */
void made_draw(const made_task *task, gsl_rng *random, made *out);
void made_free(made *made);

#endif
