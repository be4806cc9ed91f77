/* SPDX-License-Identifier: GPL-3.0-or-later */
/* lines.c - contour lines of margin on a level: solid where it is sure on which side of what is
 * asked they lie, dashed where it is not, left out where nobody can tell; each with its
 * decibels where it runs straightest.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan.h"
#include "text.h"

const drawing_pen plan_required_pen = {.what = "required", .width_mm = 0.75};
const drawing_pen plan_contour_pen = {.what = "contour", .width_mm = 0.2};
const drawing_pen plan_then_pen = {.what = "then", .width_mm = 0.6, .gray = 0.5};

static const double meaningless_db =
    PLAN_LINES_DB;                    /* of doubt: it may as well be the next line */
static const double step_aside_m = 1; /* how far people slide a sensor without thinking of it */
static const double shortest_mm =
    3; /* of solid or dashed; what is shorter goes with its like */
static const double letters_mm = 2.1;
static const double apart_mm = 0.5; /* of a label from all else */

enum state { SOLID, DASHED, NOTHING };

/* One arrangement's lines. */
struct set {
    const plan *of;
    const drawing_field *field;
    bool then;
    double required_db;
    unsigned short n_chains; /* told apart in the shade */
};

/* One chain on the page. */
struct chain {
    earshot_dot *dots; /* of a ring the first one comes again at the end */
    double *along_mm;
    enum state *state;
    size_t n;
    double level_db;
    unsigned short number;
};

/* ---- how sure a line is ---- */

static double nearest(const drawing_field *field, const double *value, double x_m, double y_m) {
    const earshot_grid *grid = &field->grid;
    double column =
        fmin(fmax(round((x_m - grid->x0_m) / grid->step_m), 0), (double)grid->nx - 1);
    double row = fmin(fmax(round((y_m - grid->y0_m) / grid->step_m), 0), (double)grid->ny - 1);
    return value[(size_t)row * grid->nx + (size_t)column];
}

/* Of the line of what is asked, the doubt is which side is which: it is sure where a step aside
 * settles it. */
static bool settled_aside(const struct set *set, contours_point at, double dx, double dy) {
    double length = hypot(dx, dy), lowest_db = INFINITY, highest_db = -INFINITY, sd_db = 0;
    for (int side = -1; side <= 1 && length > 0; side += 2) {
        double x_m = at.x_m - side * step_aside_m * dy / length;
        double y_m = at.y_m + side * step_aside_m * dx / length;
        double spare_db =
            nearest(set->field, set->field->margin_db, x_m, y_m) - set->required_db;
        lowest_db = fmin(lowest_db, spare_db);
        highest_db = fmax(highest_db, spare_db);
        sd_db = fmax(sd_db, nearest(set->field, set->field->sd_db, x_m, y_m));
    }
    return lowest_db <= -sd_db && highest_db >= sd_db;
}

static enum state state_of(const struct set *set, double level_db, contours_point at, double dx,
                           double dy) {
    double sd_db = nearest(set->field, set->field->sd_db, at.x_m, at.y_m);
    double spare_db = level_db - set->required_db;
    if (sd_db > meaningless_db)
        return NOTHING;
    if (spare_db == 0)
        return settled_aside(set, at, dx, dy) ? SOLID : DASHED;
    return fabs(spare_db) < sd_db ? DASHED : SOLID;
}

/* Short pieces go with what comes before them, the first with what comes after. */
static void even_out(struct chain *chain) {
    size_t begin = 0;
    for (size_t i = 1; i <= chain->n; i++) {
        if (i < chain->n && chain->state[i] == chain->state[begin])
            continue;
        size_t last = i < chain->n ? i : i - 1;
        if (chain->along_mm[last] - chain->along_mm[begin] < shortest_mm &&
            (begin > 0 || i < chain->n)) {
            enum state with = begin > 0 ? chain->state[begin - 1] : chain->state[i];
            for (size_t j = begin; j < i; j++)
                chain->state[j] = with;
            while (begin > 0 && chain->state[begin - 1] == with)
                begin--;
            if (i < chain->n && chain->state[i] == with)
                continue;
        }
        begin = i;
    }
}

/* ---- a chain on the page ---- */

static void free_chain(struct chain *chain) {
    free(chain->dots);
    free(chain->along_mm);
    free(chain->state);
}

static bool lay_chain(struct set *set, const contours *lines, size_t which, double level_db,
                      struct chain *out) {
    const contours_chain *from = &lines->chains[which];
    const contours_point *points = lines->points + from->first_point;
    size_t n = from->n_points + from->closed;
    *out = (struct chain){.dots = malloc(n * sizeof *out->dots),
                          .along_mm = malloc(n * sizeof *out->along_mm),
                          .state = malloc(n * sizeof *out->state),
                          .n = n,
                          .level_db = level_db,
                          .number = ++set->n_chains};
    if (!out->dots || !out->along_mm || !out->state)
        return false;
    for (size_t i = 0; i < n; i++) {
        const contours_point at = points[i % from->n_points];
        const contours_point before = points[i ? i - 1 : 0];
        const contours_point after =
            points[i + 1 < n ? (i + 1) % from->n_points : i % from->n_points];
        out->dots[i] = plan_dot(set->of, at.x_m, at.y_m);
        out->along_mm[i] =
            i ? out->along_mm[i - 1] + hypot(out->dots[i].x_mm - out->dots[i - 1].x_mm,
                                             out->dots[i].y_mm - out->dots[i - 1].y_mm)
              : 0;
        out->state[i] =
            state_of(set, level_db, at, after.x_m - before.x_m, after.y_m - before.y_m);
        if (i)
            labels_shade(set->of->labels, out->dots[i - 1], out->dots[i], 0, out->number);
    }
    even_out(out);
    return true;
}

static earshot_dot dot_at(const struct chain *chain, double along_mm, size_t *hint) {
    size_t i = *hint;
    while (i + 2 < chain->n && chain->along_mm[i + 1] < along_mm)
        i++;
    *hint = i;
    double piece_mm = chain->along_mm[i + 1] - chain->along_mm[i];
    double share = piece_mm > 0 ? (along_mm - chain->along_mm[i]) / piece_mm : 0;
    share = fmin(fmax(share, 0), 1);
    return (earshot_dot){
        chain->dots[i].x_mm + share * (chain->dots[i + 1].x_mm - chain->dots[i].x_mm),
        chain->dots[i].y_mm + share * (chain->dots[i + 1].y_mm - chain->dots[i].y_mm)};
}

/* ---- labels ---- */

struct label {
    double from_mm, to_mm; /* of the chain: what is left out for it; from >= to: none */
    labels_box box;
};

/* A box over the piece of chain, upright, and how crooked that piece is: 0 straight. */
static double over_piece(const struct chain *chain, double from_mm, double wide_mm,
                         size_t *hint, labels_box *box) {
    size_t later = *hint;
    earshot_dot a = dot_at(chain, from_mm, hint);
    later = *hint;
    earshot_dot middle = dot_at(chain, from_mm + wide_mm / 2, &later);
    earshot_dot b = dot_at(chain, from_mm + wide_mm, &later);
    double dx = b.x_mm - a.x_mm, dy = b.y_mm - a.y_mm, chord_mm = hypot(dx, dy);
    double turn_deg = atan2(dy, dx) * 180 / 3.14159265358979323846;
    if (turn_deg > 90)
        turn_deg -= 180;
    if (turn_deg <= -90)
        turn_deg += 180;
    *box = (labels_box){{(a.x_mm + b.x_mm) / 2, (a.y_mm + b.y_mm) / 2},
                        wide_mm + apart_mm,
                        letters_mm + apart_mm,
                        turn_deg};
    double off_mm = hypot(middle.x_mm - box->middle.x_mm, middle.y_mm - box->middle.y_mm);
    return 1 - chord_mm / wide_mm + off_mm / letters_mm;
}

static bool is_drawn(const struct chain *chain, double from_mm, double to_mm) {
    for (size_t i = 0; i < chain->n; i++)
        if (chain->along_mm[i] >= from_mm && chain->along_mm[i] <= to_mm &&
            chain->state[i] == NOTHING)
            return false;
    return true;
}

/* The straightest place for a label between two lengths along the chain. */
static struct label place_label(const struct set *set, const struct chain *chain,
                                double wide_mm, double begin_mm, double end_mm) {
    static const double crooked = 0.25, pace_mm = 1.5, most_covered = 0.12;
    struct label best = {0};
    double least = INFINITY;
    size_t hint = 0;
    for (double from_mm = begin_mm; from_mm + wide_mm <= end_mm; from_mm += pace_mm) {
        labels_box box;
        double cost = over_piece(chain, from_mm, wide_mm, &hint, &box);
        if (cost > crooked || !labels_free_at(set->of->labels, &box) ||
            !is_drawn(chain, from_mm, from_mm + wide_mm))
            continue;
        double covered = labels_shaded(set->of->labels, &box, chain->number);
        cost += covered;
        if (covered > most_covered)
            continue;
        if (cost < least) {
            least = cost;
            best = (struct label){from_mm, from_mm + wide_mm, box};
        }
    }
    return best;
}

static void write_label(const struct set *set, const struct chain *chain,
                        const struct label *label, const char *words) {
    bool required = chain->level_db == set->required_db;
    const drawing_letters letters = {.what = "label",
                                     .size_mm = letters_mm,
                                     .gray = set->then ? plan_then_gray : 0,
                                     .turn_deg = label->box.turn_deg,
                                     .anchor = EARSHOT_MIDDLE,
                                     .bold = required};
    double turn = label->box.turn_deg * 3.14159265358979323846 / 180,
           down_mm = 0.36 * letters_mm;
    drawing_words(set->of->drawing, &letters,
                  (earshot_dot){label->box.middle.x_mm - down_mm * sin(turn),
                                label->box.middle.y_mm + down_mm * cos(turn)},
                  words);
    if (!labels_take(set->of->labels, &label->box))
        drawing_lose(set->of->drawing);
}

/* ---- ink ---- */

static drawing_pen pen_of(const struct set *set, double level_db, enum state state) {
    bool required = level_db == set->required_db;
    drawing_pen pen = set->then  ? plan_then_pen
                      : required ? plan_required_pen
                                 : plan_contour_pen;
    if (set->then && !required)
        pen.width_mm = plan_contour_pen.width_mm;
    if (state == DASHED) {
        pen.dash_mm[0] = required ? 3.2 : 2;
        pen.dash_mm[1] = required ? 1.4 : 1;
        pen.n_dashes = 2;
    }
    return pen;
}

/* The chain from one length to another, in runs of one state; `dots` has room for all. */
static void draw_stretch(const struct set *set, const struct chain *chain, double from_mm,
                         double to_mm, earshot_dot *dots) {
    size_t hint = 0, i = 0;
    if (to_mm - from_mm < 0.05)
        return;
    while (i < chain->n && chain->along_mm[i] <= from_mm)
        i++;
    dots[0] = dot_at(chain, from_mm, &hint);
    size_t n = 1;
    enum state state = chain->state[i ? i - 1 : 0];
    for (; i < chain->n && chain->along_mm[i] < to_mm; i++) {
        dots[n++] = chain->dots[i];
        if (chain->state[i] == state)
            continue;
        const drawing_pen pen = pen_of(set, chain->level_db, state);
        if (state != NOTHING)
            drawing_line(set->of->drawing, &pen, dots, n, false);
        dots[0] = chain->dots[i];
        n = 1;
        state = chain->state[i];
    }
    dots[n++] = dot_at(chain, to_mm, &hint);
    const drawing_pen pen = pen_of(set, chain->level_db, state);
    if (state != NOTHING)
        drawing_line(set->of->drawing, &pen, dots, n, false);
}

static enum earshot_status draw_chain(const struct set *set, const struct chain *chain) {
    static const double every_mm = 130, least_mm = 14;
    double length_mm = chain->along_mm[chain->n - 1], drawn_mm = 0;
    char words[TEXT_NUMBER_SIZE];
    text_write_fixed(words, chain->level_db, 0);
    double wide_mm = drawing_width_mm(words, letters_mm) + 0.8;
    earshot_dot *dots = malloc((chain->n + 3) * sizeof *dots);
    if (!dots)
        return EARSHOT_NO_MEMORY;
    size_t n_labels = length_mm < least_mm ? 0 : 1 + (size_t)(length_mm / every_mm);
    for (size_t i = 0; i < n_labels; i++) {
        const struct label label =
            place_label(set, chain, wide_mm, length_mm * (double)i / (double)n_labels,
                        length_mm * (double)(i + 1) / (double)n_labels);
        if (label.from_mm >= label.to_mm)
            continue;
        draw_stretch(set, chain, drawn_mm, label.from_mm, dots);
        write_label(set, chain, &label, words);
        drawn_mm = label.to_mm;
    }
    draw_stretch(set, chain, drawn_mm, length_mm, dots);
    free(dots);
    return EARSHOT_OK;
}

/* ---- a set ---- */

static double at_place(const void *who, double x_m, double y_m) {
    return drawing_field_at(who, x_m, y_m);
}

enum { MOST_LINES = 24, MOST_CHAINS = 4096 };

struct laid {
    struct chain *chains;
    size_t n, room;
};

static bool keep_chain(struct laid *laid, const struct chain *chain) {
    if (laid->n == laid->room) {
        size_t room = 2 * laid->room + 64;
        struct chain *chains = realloc(laid->chains, room * sizeof *chains);
        if (!chains)
            return false;
        laid->chains = chains;
        laid->room = room;
    }
    laid->chains[laid->n++] = *chain;
    return true;
}

static enum earshot_status lay_level(struct set *set, double level_db, struct laid *laid) {
    const earshot_grid *grid = &set->field->grid;
    const contours_raster raster = {.value = set->field->margin_db,
                                    .nx = grid->nx,
                                    .ny = grid->ny,
                                    .x0_m = grid->x0_m,
                                    .y0_m = grid->y0_m,
                                    .step_m = grid->step_m,
                                    .at = at_place,
                                    .who = set->field};
    contours lines;
    bool good = contours_trace(&raster, level_db, &lines);
    for (size_t i = 0; good && i < lines.n_chains && laid->n < MOST_CHAINS; i++) {
        struct chain chain;
        good = lay_chain(set, &lines, i, level_db, &chain);
        if (good)
            good = keep_chain(laid, &chain);
        if (!good)
            free_chain(&chain);
    }
    contours_free(&lines);
    return good ? EARSHOT_OK : EARSHOT_NO_MEMORY;
}

static double highest(const drawing_field *field) {
    double most_db = -INFINITY;
    for (size_t i = 0; i < field->grid.nx * field->grid.ny; i++)
        most_db = fmax(most_db, field->margin_db[i]);
    return most_db;
}

/* From one line under what is asked upward; of another arrangement the line that counts and the
 * next. */
static enum earshot_status lay_set(struct set *set, struct laid *laid) {
    double most_db = highest(set->field);
    int first = set->then ? 0 : -1, last = set->then ? 1 : MOST_LINES;
    enum earshot_status status = EARSHOT_OK;
    for (int i = first; status == EARSHOT_OK && i <= last; i++) {
        double level_db = set->required_db + i * PLAN_LINES_DB;
        if (level_db <= most_db)
            status = lay_level(set, level_db, laid);
    }
    return status;
}

/* The lines of one arrangement: all are laid first, so that labels know of each other's lines.
 */
static enum earshot_status draw_set(const plan *of, const drawing_hearers *hearers, bool then) {
    drawing_field field = {
        .survey = of->survey, .belief = of->belief, .hearers = hearers, .grid = of->field_grid};
    struct set set = {.of = of,
                      .field = &field,
                      .then = then,
                      .required_db = of->survey->site.required_margin_db,
                      .n_chains = then ? MOST_CHAINS : 0};
    struct laid laid = {0};
    enum earshot_status status = drawing_field_fill(&field);
    if (status == EARSHOT_OK)
        status = lay_set(&set, &laid);
    for (size_t i = 0; i < laid.n; i++) {
        if (status == EARSHOT_OK)
            status = draw_chain(&set, &laid.chains[i]);
        free_chain(&laid.chains[i]);
    }
    free(laid.chains);
    drawing_field_free(&field);
    return status;
}

enum earshot_status plan_draw_lines(const plan *of) {
    enum earshot_status status = EARSHOT_OK;
    if (of->then)
        status = draw_set(of, of->then, true);
    return status == EARSHOT_OK ? draw_set(of, of->now, false) : status;
}
