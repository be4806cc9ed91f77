/* SPDX-License-Identifier: GPL-3.0-or-later */
/* read.c - a plan to walls.csv: what its lines are, where they are, which of them are walls.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "geometry.h"
#include "plans.h"
#include "text.h"

static const double shortest_m = 0.01;
static const double reach_m = 2048; /* as in walls.csv */

/* A line as a wall; strings are borrowed. */
struct wall {
    plans_point a, b;
    const plans_source *source;
    const char *construction, *level;
    double bottom_m, top_m;
    size_t order;
    bool again; /* another lies on it */
};

struct job {
    const plans_input *input;
    const earshot_walls_task *task;
    plans_layers *layers;
    plans_place place;
    size_t scale_line; /* the line that is no wall; or none */
    struct wall *walls;
    size_t n_walls;
    size_t n_errors_before; /* among the findings; they are not ours */
};

void plans_say(const plans_input *input, enum findings_code code, unsigned line,
               unsigned column, const char *first, const char *second) {
    const char *const slots[FINDINGS_N_SLOTS] = {first, second};
    findings_add(input->findings, code,
                 (findings_place){.file = input->plan->name, .line = line, .column = column},
                 slots);
}

static void say_of(const struct job *job, enum findings_code code, const plans_source *source,
                   const char *first, const char *second) {
    plans_say(job->input, code, source->line, source->column, first, second);
}

/* ---- what kind of file ---- */

static bool begins(const earshot_bytes *plan, const char *bytes, size_t n) {
    return plan->size >= n && memcmp(plan->data, bytes, n) == 0;
}

/* The first byte that is no blank and no mark of UTF-8; 0: there is none. */
static char first_byte(const earshot_bytes *plan) {
    const char *data = plan->data;
    size_t i = begins(plan, "\xef\xbb\xbf", 3) ? 3 : 0;
    while (i < plan->size && strchr(" \t\r\n", data[i]) && data[i])
        i++;
    return i < plan->size ? data[i] : '\0';
}

static bool is_utf16(const earshot_bytes *plan) {
    return begins(plan, "\xff\xfe", 2) || begins(plan, "\xfe\xff", 2);
}

/* What it is instead of a plan. */
static const char *other_kind(const earshot_bytes *plan) {
    return begins(plan, "%PDF", 4)       ? "a PDF"
           : begins(plan, "\x1f\x8b", 2) ? "compressed"
           : first_byte(plan) == '\0'    ? "empty"
                                         : "neither SVG nor GeoJSON";
}

static void read_plan(const plans_input *input, bool *is_svg) {
    char first = first_byte(input->plan);
    *is_svg = first == '<' || is_utf16(input->plan);
    if (input->plan->size > PLANS_MOST_BYTES)
        plans_say(input, FINDINGS_PLAN_TOO_LARGE, 0, 0, "16", NULL);
    else if (*is_svg)
        plans_svg(input);
    else if (first == '{')
        plans_geojson(input);
    else
        plans_say(input, FINDINGS_PLAN_OTHER_FILE, 0, 0, other_kind(input->plan), NULL);
}

/* ---- where it is ---- */

/* The one line that is called so. */
static bool find_scale_line(struct job *job) {
    const plans_drawing *drawing = job->input->drawing;
    const char *wanted = job->task->scale.line;
    size_t n = 0;
    for (size_t i = 0; i < drawing->n_lines; i++) {
        if (strcmp(drawing->sources[drawing->lines[i].source].name, wanted) != 0)
            continue;
        job->scale_line = i;
        n++;
    }
    if (n != 1)
        plans_say(job->input, FINDINGS_PLAN_SCALE_LINE, 0, 0, wanted,
                  n ? "several lines" : "no line");
    return n == 1;
}

static bool place_by_line(struct job *job) {
    if (!find_scale_line(job))
        return false;
    const plans_line *line = &job->input->drawing->lines[job->scale_line];
    if (plans_place_line(line, job->task->scale.length_m, &job->place))
        return true;
    plans_say(job->input, FINDINGS_PLAN_POINTS_ONE, 0, 0, NULL, NULL);
    return false;
}

static bool find_place(struct job *job, bool is_svg) {
    enum earshot_scale_kind kind = job->task->scale.kind;
    if (!is_svg && kind != EARSHOT_SCALE_NONE)
        plans_say(job->input, FINDINGS_PLAN_SCALE_UNWANTED, 0, 0, NULL, NULL);
    if (is_svg && kind == EARSHOT_SCALE_NONE)
        plans_say(job->input, FINDINGS_PLAN_NO_SCALE, 0, 0, NULL, NULL);
    if (!is_svg || kind == EARSHOT_SCALE_NONE)
        return false;
    return kind == EARSHOT_SCALE_LINE
               ? place_by_line(job)
               : plans_place_by(job->input, &job->task->scale, &job->place);
}

/* GeoJSON is where it says. */
static plans_point in_survey(const struct job *job, bool is_svg, plans_point point) {
    return is_svg ? plans_placed(&job->place, point) : point;
}

/* ---- of what it is ---- */

/* Says once for each source why its lines are no walls, or are at fault. */
static const char *construction_of(const struct job *job, const plans_source *source) {
    const earshot_walls_task *task = job->task;
    if (source->row != plans_none) {
        const char *construction = job->layers->rows[source->row].construction;
        return construction[0] ? construction : NULL;
    }
    if (task->construction && task->construction[0])
        return task->construction;
    if (job->layers->given)
        say_of(job, FINDINGS_PLAN_LAYER_UNLISTED, source,
               source->layer[0] ? source->layer : "(none)", task->layers->name);
    else if (source->layer[0])
        return source->layer;
    else
        say_of(job, FINDINGS_PLAN_NO_CONSTRUCTION, source, NULL, NULL);
    return NULL;
}

/* The wall of a source but for its ends; without a construction there is none. */
static struct wall describe(const struct job *job, const plans_source *source) {
    static const plans_layer nothing = {.level = "", .bottom_m = NAN, .top_m = NAN};
    const plans_layer *row =
        source->row == plans_none ? &nothing : &job->layers->rows[source->row];
    const char *level = job->task->level, *usual = level && level[0] ? level : "ground";
    return (struct wall){.source = source,
                         .construction = construction_of(job, source),
                         .level = source->level   ? source->level
                                  : row->level[0] ? row->level
                                                  : usual,
                         .bottom_m = isnan(source->bottom_m) ? row->bottom_m : source->bottom_m,
                         .top_m = isnan(source->top_m) ? row->top_m : source->top_m};
}

/* ---- which lines are walls ---- */

static bool is_near(plans_point point) {
    return fabs(point.x) <= reach_m && fabs(point.y) <= reach_m;
}

/* To the survey's own grid, on which two walls are told to be one. */
static plans_point snapped(plans_point point) {
    return (plans_point){geometry_snap(point.x), geometry_snap(point.y)};
}

static const char *name_of(const plans_source *source) {
    return source->name[0] ? source->name : source->layer;
}

/* Adds the wall, if it is one; false when it lies too far off, which is said once a source. */
static bool add_wall(struct job *job, struct wall wall) {
    if (!is_near(wall.a) || !is_near(wall.b)) {
        say_of(job, FINDINGS_PLAN_FAR, wall.source, name_of(wall.source), NULL);
        return false;
    }
    if (hypot(wall.b.x - wall.a.x, wall.b.y - wall.a.y) < shortest_m) {
        say_of(job, FINDINGS_PLAN_SHORT, wall.source, NULL, NULL);
        return true;
    }
    wall.a = snapped(wall.a);
    wall.b = snapped(wall.b);
    wall.order = job->n_walls;
    job->walls[job->n_walls++] = wall;
    return true;
}

/* Lines stand source by source. */
static void gather_walls(struct job *job, bool is_svg) {
    const plans_drawing *drawing = job->input->drawing;
    const plans_line *lines = drawing->lines;
    struct wall wall = {0};
    bool wanted = false;
    for (size_t i = 0; i < drawing->n_lines; i++) {
        if (i == job->scale_line)
            continue;
        const plans_source *source = &drawing->sources[lines[i].source];
        if (source != wall.source) {
            wall = describe(job, source);
            wanted = wall.construction != NULL;
        }
        if (source->row != plans_none)
            job->layers->rows[source->row].used = true;
        wall.a = in_survey(job, is_svg, lines[i].a);
        wall.b = in_survey(job, is_svg, lines[i].b);
        wanted = wanted && add_wall(job, wall);
    }
}

/* ---- walls that are drawn twice ---- */

static int compare(double a, double b) {
    return (a > b) - (a < b);
}

static int compare_points(plans_point a, plans_point b) {
    int x = compare(a.x, b.x);
    return x ? x : compare(a.y, b.y);
}

static plans_point lesser(const struct wall *wall) {
    return compare_points(wall->a, wall->b) < 0 ? wall->a : wall->b;
}

static plans_point greater(const struct wall *wall) {
    return compare_points(wall->a, wall->b) < 0 ? wall->b : wall->a;
}

/* Equal where one wall would stand in the other, of the same kind and as high. */
static int compare_places(const struct wall *a, const struct wall *b) {
    int at = compare_points(lesser(a), lesser(b));
    at = at ? at : compare_points(greater(a), greater(b));
    at = at ? at : strcmp(a->level, b->level);
    at = at ? at : strcmp(a->construction, b->construction);
    at = at ? at
            : compare(isnan(a->bottom_m) ? 0 : a->bottom_m,
                      isnan(b->bottom_m) ? 0 : b->bottom_m);
    return at ? at
              : compare(isnan(a->top_m) ? INFINITY : a->top_m,
                        isnan(b->top_m) ? INFINITY : b->top_m);
}

static int by_place(const void *a, const void *b) {
    const struct wall *left = a, *right = b;
    int at = compare_places(left, right);
    return at ? at : (left->order > right->order) - (left->order < right->order);
}

static int by_order(const void *a, const void *b) {
    const struct wall *left = a, *right = b;
    return (left->order > right->order) - (left->order < right->order);
}

/* Tells which walls lie on one that was drawn before. */
static void mark_doubles(struct job *job) {
    const struct wall *first = NULL;
    qsort(job->walls, job->n_walls, sizeof *job->walls, by_place);
    for (size_t i = 0; i < job->n_walls; i++) {
        job->walls[i].again = first && compare_places(first, &job->walls[i]) == 0;
        if (!job->walls[i].again)
            first = &job->walls[i];
    }
    qsort(job->walls, job->n_walls, sizeof *job->walls, by_order);
}

/* Rooms drawn side by side as rectangles have the wall between them twice. */
static void drop_doubles(struct job *job) {
    size_t n = 0;
    mark_doubles(job);
    for (size_t i = 0; i < job->n_walls; i++) {
        if (job->walls[i].again)
            say_of(job, FINDINGS_PLAN_TWICE, job->walls[i].source, NULL, NULL);
        else
            job->walls[n++] = job->walls[i];
    }
    job->n_walls = n;
}

/* ---- walls.csv ---- */

/* Tenths of a millimeter, which is less than the survey's grid. */
static void write_meters(earshot_text *out, double value_m) {
    text_add(out, ",");
    if (!isnan(value_m))
        text_add_number(out, floor(value_m * 1e4 + 0.5) / 1e4);
}

static void write_wall(const struct wall *wall, const char *name, earshot_text *out) {
    text_add_safe_cell(out, name);
    text_add(out, ",");
    text_add_safe_cell(out, wall->level);
    write_meters(out, wall->a.x);
    write_meters(out, wall->a.y);
    write_meters(out, wall->b.x);
    write_meters(out, wall->b.y);
    text_add(out, ",");
    text_add_safe_cell(out, wall->construction);
    write_meters(out, wall->bottom_m);
    write_meters(out, wall->top_m);
    text_add(out, "\n");
}

/* The beginning of a text as a name, with room for a number. An apostrophe before what would be
 * a formula is none of it: readers of the table take it for a spreadsheet's. */
static void make_name(const char *text, char out[PLANS_NAME_SIZE]) {
    enum { LONGEST = PLANS_NAME_SIZE - 24 };
    while (text[0] == '\'' && text[1] && strchr("'=+-@", text[1]))
        text++;
    size_t length = strlen(text);
    if (length > LONGEST)
        length = text_utf8_valid(text, LONGEST);
    while (length > 0 && text[length - 1] == ' ')
        length--;
    memcpy(out, length ? text : "wall", length ? length : sizeof "wall");
    out[length ? length : sizeof "wall" - 1] = '\0';
}

static enum earshot_status write_walls(const struct job *job, earshot_text *out) {
    plans_names names;
    char(*made)[PLANS_NAME_SIZE] = calloc(job->n_walls + 1, sizeof *made);
    bool good = plans_names_begin(&names, job->n_walls) && made;
    text_add(out, "wall,level,x1_m,y1_m,x2_m,y2_m,construction,bottom_m,top_m\n");
    for (size_t i = 0; good && i < job->n_walls; i++) {
        const struct wall *wall = &job->walls[i];
        make_name(wall->source->name[0] ? wall->source->name : wall->construction, made[i]);
        plans_names_take(&names, made[i]);
        write_wall(wall, made[i], out);
    }
    plans_names_end(&names);
    free(made);
    return good && !earshot_text_cut(out) ? EARSHOT_OK : EARSHOT_NO_MEMORY;
}

/* ---- all of it ---- */

/* What came to be, among the findings; memory is another matter. */
static bool is_sound(const struct job *job) {
    return findings_errors_told(job->input->findings) == job->n_errors_before &&
           !job->input->drawing->lost;
}

static enum earshot_status make_walls(struct job *job, bool is_svg) {
    const plans_drawing *drawing = job->input->drawing;
    job->walls = calloc(drawing->n_lines + 1, sizeof *job->walls);
    if (!job->walls)
        return EARSHOT_NO_MEMORY;
    gather_walls(job, is_svg);
    drop_doubles(job);
    if (job->layers->given)
        plans_layers_unused(job->layers, drawing, job->input->findings);
    if (job->n_walls == 0 && is_sound(job))
        plans_say(job->input, FINDINGS_PLAN_NO_WALLS, 0, 0,
                  is_svg ? "; see the notes for what was left out"
                         : "; see the notes, and if its numbers are degrees, save it in meters",
                  NULL);
    return is_sound(job) ? EARSHOT_OK : EARSHOT_INVALID;
}

static enum earshot_status read_walls(struct job *job, earshot_text *made) {
    bool is_svg = false;
    enum earshot_status status =
        plans_layers_read(job->task->layers, job->input->findings, job->layers);
    if (status == EARSHOT_NO_MEMORY)
        return status;
    read_plan(job->input, &is_svg);
    bool placed = is_sound(job) && (find_place(job, is_svg) || !is_svg);
    if (job->input->drawing->lost)
        return EARSHOT_NO_MEMORY;
    status = placed && is_sound(job) ? make_walls(job, is_svg) : EARSHOT_INVALID;
    return status == EARSHOT_OK ? write_walls(job, made) : status;
}

static bool is_positive(double value) {
    return value > 0 && isfinite(value);
}

static bool is_sense(const earshot_scale *scale) {
    bool finite = isfinite(scale->x1) && isfinite(scale->y1) && isfinite(scale->x2) &&
                  isfinite(scale->y2) && isfinite(scale->x1_m) && isfinite(scale->y1_m) &&
                  isfinite(scale->x2_m) && isfinite(scale->y2_m);
    switch (scale->kind) {
    case EARSHOT_SCALE_NONE:
        return true;
    case EARSHOT_SCALE_POINTS:
        return finite;
    case EARSHOT_SCALE_DISTANCE:
        return finite && is_positive(scale->length_m);
    case EARSHOT_SCALE_LINE:
        return scale->line && is_positive(scale->length_m);
    case EARSHOT_SCALE_PAPER:
        return is_positive(scale->ratio);
    }
    return false;
}

static bool is_whole(const earshot_bytes *file) {
    return file && file->name && (file->data || file->size == 0);
}

enum earshot_status earshot_walls_read(const earshot_bytes *plan,
                                       const earshot_walls_task *task,
                                       earshot_findings *findings, earshot_text *out) {
    if (!is_whole(plan) || !task || (task->layers && !is_whole(task->layers)) || !findings ||
        !out || !is_sense(&task->scale))
        return EARSHOT_MISUSE;
    plans_layers layers = {.n_rows = 0};
    plans_drawing drawing = {.paper = {.mm_per_unit = NAN}};
    const plans_input input = {plan, &layers, findings, &drawing};
    struct job job = {.input = &input,
                      .task = task,
                      .layers = &layers,
                      .scale_line = plans_none,
                      .n_errors_before = findings_errors_told(findings)};
    earshot_text *made = earshot_text_new();
    enum earshot_status status = made ? read_walls(&job, made) : EARSHOT_NO_MEMORY;
    if (findings_lost(findings))
        status = EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK) {
        text_add_bytes(out, earshot_text_data(made), earshot_text_size(made));
        status = earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
    }
    earshot_text_free(made);
    free(job.walls);
    plans_layers_close(&layers);
    plans_close(&drawing);
    return status;
}
