/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.h - inside drawing: one level on the page, and what is put on it.
 */
#ifndef DRAWING_PLAN_H
#define DRAWING_PLAN_H

#include "contours.h"
#include "drawing.h"
#include "engine.h"
#include "field.h"
#include "labels.h"
#include "quality.h"

/* What walls and openings are built of, those that lose least first. */
typedef struct plan_key {
    size_t construction[SURVEY_MAX_CONSTRUCTIONS];
    size_t n;
} plan_key;

/* Something that stands on the plan, and where its name is. */
enum plan_place_kind { PLAN_SENSOR, PLAN_RECEIVER, PLAN_REPEATER, PLAN_SPOT };
typedef struct plan_place {
    enum plan_place_kind kind;
    earshot_dot belongs, at; /* at: where there is room for it */
    const char *name;
    unsigned number; /* of a zone; 0: it goes by its name */
    bool life_safety, named;
    labels_box box; /* of the name */
    size_t zone;    /* of a sensor, among the zones */
    double gray;
} plan_place;

/* The page: what A4 and Letter have in common inside their margins. */
#define PLAN_PAGE_MM 194.0
#define PLAN_MARGIN_MM 4.0
#define PLAN_WIDTH_MM (PLAN_PAGE_MM - 2 * PLAN_MARGIN_MM)

enum { PLAN_WALLS = 0xFFFF }; /* in the shade, among the numbers of lines */

/* One level being drawn. */
typedef struct plan {
    const earshot_survey *survey;
    const earshot_belief *belief;
    const earshot_plan_task *task;
    const earshot_zone *zones;
    size_t n_zones;
    const double *residual_db; /* by device: these in place of lines and marks; NULL */
    const earshot_fate *fates; /* zones by the other arrangement; NULL: there is none */
    const calibration_undrawn *undrawn;
    const drawing_hearers *now, *then; /* then: NULL without another arrangement */
    plan_key key;
    earshot_end like; /* the sensor that stands for all */
    earshot_drawing *drawing;
    labels *labels;
    size_t level;
    drawing_extent extent;
    earshot_grid field_grid; /* over all of it */
    double mm_per_m, scale, least_x_m, left_mm, top_mm;
    double wide_mm, high_mm; /* of the frame */
    plan_place *places;      /* room for all devices and spots */
    size_t n_places;
} plan;

static inline earshot_dot plan_dot(const plan *of, double x_m, double y_m) {
    return (earshot_dot){of->left_mm + (x_m - of->extent.x0_m) * of->mm_per_m,
                         of->top_mm + (of->extent.y1_m - y_m) * of->mm_per_m};
}

/* ---- walls.c ---- */

void plan_key_of(const earshot_survey *survey, const earshot_belief *belief, size_t radio,
                 size_t level, plan_key *key);
void plan_draw_walls(const plan *of);
/* A piece of wall, or of a wall with such an opening, for the key. */
void plan_draw_sample(const plan *of, size_t construction, earshot_dot at, double length_mm);

/* ---- marks.c ---- */

/* A mark by verdict; of life safety with a roof. */
void plan_draw_mark(earshot_drawing *drawing, enum earshot_verdict verdict, bool life_safety,
                    earshot_dot at);
/* Finds places for devices and spots of the level, and for their names where they touch
 * nothing.
 */
void plan_place_devices(plan *of);
void plan_draw_devices(const plan *of);
/* The zones of the level in columns from `top_mm` on; where they end. */
double plan_draw_zones(const plan *of, double top_mm);
void plan_draw_receiver(earshot_drawing *drawing, earshot_dot at, double gray);
void plan_draw_repeater(earshot_drawing *drawing, earshot_dot at, double gray);
void plan_draw_spot(earshot_drawing *drawing, earshot_dot at);

/* ---- lines.c ---- */

/* Contours of both arrangements; after marks and names, which their labels keep clear of. */
enum earshot_status plan_draw_lines(const plan *of);
/* The lines that are drawn go by this many dB. */
#define PLAN_LINES_DB 10.0
extern const drawing_pen plan_required_pen, plan_contour_pen, plan_then_pen;
static const double plan_then_gray = 0.5;

/* ---- undrawn.c ---- */

extern const drawing_pen plan_undrawn_pen;
/* Whether it is likely enough to be shown, on a storey that is; its places on the storey at
 * hand; and what the line means, in words beside a sample of it. */
bool plan_names_undrawn(const plan *of);
void plan_draw_undrawn(const plan *of);
void plan_shade_undrawn(const plan *of); /* words had better not lie there */
void plan_say_undrawn(const plan *of, earshot_dot sample, double sample_mm,
                      const drawing_letters *letters);

/* ---- residuals.c, plan.c ---- */

/* The bars of one level; and all levels from `*bottom_mm` on, which then is where they end. */
void plan_draw_offs(const plan *of);
enum earshot_status plan_draw_residuals(const earshot_survey *survey,
                                        const earshot_belief *belief, const double *residual_db,
                                        earshot_drawing *drawing, double *bottom_mm);

/* ---- key.c ---- */

/* What everything means, in words; where it ends. */
double plan_draw_key(const plan *of, double top_mm);

#endif
