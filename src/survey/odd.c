/* SPDX-License-Identifier: GPL-3.0-or-later */
/* odd.c - what looks odd in a survey without being wrong.
 *
 * Each of these can be meant so, and is judged as it stands; more often it is a slip of the
 * tape or of a row that was copied. All limits are common practice, no source, except that the
 * model counts under 1 m as 1 m. Plain loops over pairs of walls: fine to some ten thousand.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

static const double gap_m = 0.3;        /* between walls that may have been meant to meet */
static const double touching_m = 0.002; /* of a slanting wall the grid leaves less than this */
static const double along_m = 0.5;      /* of two walls on each other, from here on */
static const double in_wall_m = 0.05;   /* half of the thinnest wall */
static const double in_metal_db = 12;   /* a mount that takes this much is a closed one */
static const double overlap_m = 0.05, storey_m = 2.0;
static const double close_m = 1.0;

/* A number for a sentence; as part of a call it lasts until the call is over. */
typedef struct number_text {
    char text[TEXT_NUMBER_SIZE];
} number_text;

static number_text in_meters(double length_m) {
    number_text out;
    text_write_fixed(out.text, length_m, 2);
    return out;
}

/* ---- walls ---- */

static bool share_height(const geometry_panel *a, const geometry_panel *b) {
    return a->bottom_m < b->top_m && b->bottom_m < a->top_m;
}

/* Cheap, and true of nearly all pairs. */
static bool far_apart(const geometry_panel *a, const geometry_panel *b) {
    return fmin(a->a.x_m, a->b.x_m) > fmax(b->a.x_m, b->b.x_m) + gap_m ||
           fmin(b->a.x_m, b->b.x_m) > fmax(a->a.x_m, a->b.x_m) + gap_m ||
           fmin(a->a.y_m, a->b.y_m) > fmax(b->a.y_m, b->b.y_m) + gap_m ||
           fmin(b->a.y_m, b->b.y_m) > fmax(a->a.y_m, a->b.y_m) + gap_m;
}

/* The wall nearest to an end of another; its distance is 0 when the end touches any. */
struct nearest {
    size_t wall;
    double off_m;
};

static void look_from_end(geometry_point end, const geometry_panel *other, size_t j,
                          struct nearest *nearest) {
    double off_m = geometry_off_segment(end, other->a, other->b);
    off_m = off_m < touching_m ? 0 : off_m;
    if (off_m < nearest->off_m)
        *nearest = (struct nearest){j, off_m};
}

static void say_gap(const earshot_survey *survey, size_t wall, const struct nearest *nearest,
                    earshot_findings *findings) {
    if (nearest->wall == EARSHOT_NONE || nearest->off_m == 0)
        return;
    findings_add(findings, FINDINGS_WALLS_NEARLY_MEET,
                 survey_line(survey->files.walls, survey->walls[wall].table_line),
                 (const char *const[4]){survey->walls[wall].name,
                                        in_meters(nearest->off_m).text,
                                        survey->walls[nearest->wall].name});
}

static void say_shared(const earshot_survey *survey, size_t i, size_t j,
                       earshot_findings *findings) {
    const geometry_panel *a = &survey->building.panels[i], *b = &survey->building.panels[j];
    double shared_m = geometry_shared_m(a->a, a->b, b->a, b->b, touching_m);
    if (shared_m >= along_m)
        findings_add(findings, FINDINGS_WALLS_ON_EACH_OTHER,
                     survey_line(survey->files.walls, survey->walls[j].table_line),
                     (const char *const[4]){survey->walls[i].name, survey->walls[j].name,
                                            in_meters(shared_m).text});
}

static void look_at_wall(const earshot_survey *survey, size_t i, earshot_findings *findings) {
    const geometry_panel *panels = survey->building.panels, *panel = &panels[i];
    struct nearest from = {EARSHOT_NONE, gap_m}, to = from;
    for (size_t j = 0; j < survey->n_walls; j++) {
        if (i == j || far_apart(panel, &panels[j]) || !share_height(panel, &panels[j]))
            continue;
        look_from_end(panel->a, &panels[j], j, &from);
        look_from_end(panel->b, &panels[j], j, &to);
        if (i < j)
            say_shared(survey, i, j, findings);
    }
    say_gap(survey, i, &from, findings);
    say_gap(survey, i, &to, findings);
}

static const char *const class_words[] = {"wall", "floor", "door", "window"};

static void look_at_class(const earshot_survey *survey, const char *name, size_t construction,
                          const char *as, findings_place place, earshot_findings *findings) {
    const survey_construction *of = &survey->constructions[construction];
    bool wall = strcmp(as, "wall") == 0;
    if (of->class == SURVEY_CLASS_FLOOR || (!wall && of->class == SURVEY_CLASS_WALL))
        findings_add(findings, FINDINGS_ODD_CLASS, place,
                     (const char *const[4]){name, of->name, class_words[of->class], as});
}

static void look_at_walls(const earshot_survey *survey, earshot_findings *findings) {
    for (size_t i = 0; i < survey->n_walls; i++) {
        const survey_wall *wall = &survey->walls[i];
        look_at_wall(survey, i, findings);
        look_at_class(survey, wall->name, wall->construction, "wall",
                      survey_line(survey->files.walls, wall->table_line), findings);
    }
    for (size_t i = 0; i < survey->n_openings; i++) {
        const survey_opening *opening = &survey->openings[i];
        look_at_class(survey, opening->name, opening->construction, "opening",
                      survey_line(survey->files.openings, opening->table_line), findings);
    }
}

/* ---- levels ---- */

/* The lowest level whose floor lies above that of `of`; NULL: none. */
static const survey_level *next_above(const earshot_survey *survey, const survey_level *of) {
    const survey_level *above = NULL;
    for (size_t i = 0; i < survey->n_levels; i++) {
        const survey_level *level = &survey->levels[i];
        if (level->floor_z_m > of->floor_z_m && (!above || level->floor_z_m < above->floor_z_m))
            above = level;
    }
    return above;
}

static void look_at_levels(const earshot_survey *survey, earshot_findings *findings) {
    for (size_t i = 0; i < survey->n_levels; i++) {
        const survey_level *level = &survey->levels[i], *above = next_above(survey, level);
        if (!above)
            continue;
        double ceiling_m = level->floor_z_m + level->height_m;
        const number_text ends = in_meters(ceiling_m), begins = in_meters(above->floor_z_m);
        const char *const slots[4] = {level->name, ends.text, above->name, begins.text};
        findings_place place = survey_line(survey->files.levels, level->table_line);
        if (ceiling_m > above->floor_z_m + overlap_m)
            findings_add(findings, FINDINGS_LEVELS_OVERLAP, place, slots);
        if (above->floor_z_m > ceiling_m + storey_m)
            findings_add(findings, FINDINGS_LEVELS_APART, place, slots);
        if (above->construction == EARSHOT_NONE)
            findings_add(findings, FINDINGS_NO_SLAB,
                         survey_line(survey->files.levels, above->table_line),
                         (const char *const[4]){above->name});
    }
}

/* ---- devices ---- */

static bool has_place(const survey_device *device) {
    return !isnan(device->place.x_m);
}

static findings_place row_of(const earshot_survey *survey, const survey_device *device) {
    return survey_line(survey->files.devices, device->table_line);
}

static void look_for_walls(const earshot_survey *survey, const survey_device *device,
                           earshot_findings *findings) {
    geometry_point at = {device->place.x_m, device->place.y_m};
    for (size_t i = 0; i < survey->n_walls; i++) {
        const geometry_panel *panel = &survey->building.panels[i];
        double off_m = geometry_off_segment(at, panel->a, panel->b);
        if (off_m >= in_wall_m || device->place.z_m < panel->bottom_m ||
            device->place.z_m >= panel->top_m)
            continue;
        findings_add(
            findings, FINDINGS_DEVICE_IN_WALL, row_of(survey, device),
            (const char *const[4]){device->name, in_meters(off_m).text, survey->walls[i].name});
        return; /* one wall is enough to be sent back to the plan */
    }
}

static void look_at_mount(const earshot_survey *survey, const survey_device *device,
                          earshot_findings *findings) {
    const survey_mount *mount =
        device->mount == EARSHOT_NONE ? NULL : &survey->mounts[device->mount];
    if (!mount || mount->loss_db < in_metal_db)
        return;
    number_text taken;
    text_write_number(taken.text, mount->loss_db);
    findings_add(findings, FINDINGS_DEVICE_IN_METAL, row_of(survey, device),
                 (const char *const[4]){device->name, mount->name, taken.text});
}

/* Two inputs of one transmitter share their place, and are one device on the wall. */
static bool one_transmitter(const survey_device *a, const survey_device *b) {
    return a->serial[0] && strcmp(a->serial, b->serial) == 0;
}

static void look_at_pair(const earshot_survey *survey, const survey_device *device,
                         const survey_device *other, earshot_findings *findings) {
    double apart_m = geometry_distance(device->place, other->place);
    bool listens = device->role != SURVEY_SENSOR || other->role != SURVEY_SENSOR;
    const number_text apart = in_meters(apart_m);
    const char *const slots[4] = {device->name, other->name, apart.text};
    if (one_transmitter(device, other))
        return;
    if (listens && apart_m < close_m)
        findings_add(findings, FINDINGS_TOO_CLOSE, row_of(survey, device), slots);
    else if (apart_m == 0)
        findings_add(findings, FINDINGS_SAME_PLACE, row_of(survey, device), slots);
}

/* Where devices of a type commonly hang. Common practice, no source. */
static void look_at_height(const earshot_survey *survey, const survey_device *device,
                           earshot_findings *findings) {
    const survey_level *level = &survey->levels[device->level];
    double height_m = device->place.z_m - level->floor_z_m;
    bool up = strcmp(device->type, "smoke") == 0 || strcmp(device->type, "heat") == 0;
    bool down = strcmp(device->type, "flood") == 0;
    if ((up && height_m < level->height_m - 1) || (down && height_m > 0.5))
        findings_add(findings, FINDINGS_ODD_HEIGHT, row_of(survey, device),
                     (const char *const[4]){device->name, device->type,
                                            in_meters(height_m).text,
                                            up ? "at or near the ceiling" : "at the floor"});
}

/* The box around all walls. */
struct box {
    double x0_m, y0_m, x1_m, y1_m;
};

static struct box box_of(const geometry_building *building) {
    struct box box = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < building->n_panels; i++) {
        const geometry_panel *panel = &building->panels[i];
        box.x0_m = fmin(box.x0_m, fmin(panel->a.x_m, panel->b.x_m));
        box.y0_m = fmin(box.y0_m, fmin(panel->a.y_m, panel->b.y_m));
        box.x1_m = fmax(box.x1_m, fmax(panel->a.x_m, panel->b.x_m));
        box.y1_m = fmax(box.y1_m, fmax(panel->a.y_m, panel->b.y_m));
    }
    return box;
}

static void look_outside(const earshot_survey *survey, const survey_device *device,
                         const struct box *box, earshot_findings *findings) {
    double x_m = fmax(fmax(box->x0_m - device->place.x_m, device->place.x_m - box->x1_m), 0);
    double y_m = fmax(fmax(box->y0_m - device->place.y_m, device->place.y_m - box->y1_m), 0);
    double wide_m = fmax(box->x1_m - box->x0_m, box->y1_m - box->y0_m);
    if (survey->n_walls && hypot(x_m, y_m) > wide_m)
        findings_add(findings, FINDINGS_OUTSIDE_PLAN, row_of(survey, device),
                     (const char *const[4]){device->name, in_meters(hypot(x_m, y_m)).text});
}

static void look_at_device(const earshot_survey *survey, size_t i, const struct box *box,
                           earshot_findings *findings) {
    const survey_device *device = &survey->devices[i];
    look_at_mount(survey, device, findings);
    if (device->life_safety && device->unsupervised)
        findings_add(findings, FINDINGS_LIFE_UNSUPERVISED, row_of(survey, device),
                     (const char *const[4]){device->name});
    if (!has_place(device))
        return;
    look_for_walls(survey, device, findings);
    look_at_height(survey, device, findings);
    look_outside(survey, device, box, findings);
    for (size_t j = 0; j < i; j++)
        if (has_place(&survey->devices[j]))
            look_at_pair(survey, device, &survey->devices[j], findings);
}

enum earshot_status earshot_survey_odd(const earshot_survey *survey,
                                       earshot_findings *findings) {
    if (!survey || !findings)
        return EARSHOT_MISUSE;
    const struct box box = box_of(&survey->building);
    look_at_levels(survey, findings);
    look_at_walls(survey, findings);
    for (size_t i = 0; i < survey->n_devices; i++)
        look_at_device(survey, i, &box, findings);
    return findings_lost(findings) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
