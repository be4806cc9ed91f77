/* SPDX-License-Identifier: GPL-3.0-or-later */
/* contours.c - marching squares: each cell of the raster is cut by the level into at most two
 * pieces of line, and pieces are chained from cell to cell.
 *
 * Lines that leave the raster are traced first, from its rim, and what is left are rings. Where
 * the value jumps (in the shadow of a wall) a straight line between two points of the raster
 * would put the crossing anywhere; there it is looked for by halves, by asking for the value
 * itself. Jumps run along straight lines, and so does a piece between two crossings set right.
 */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "contours.h"

/* Sides of a cell, and of which bit a corner is: 1 lower left, 2 lower right, 4 upper right, 8
 * upper left. */
enum side { BELOW, RIGHT, ABOVE, LEFT, NO_SIDE };

struct tracing {
    const contours_raster *raster;
    double level;
    unsigned char *seen; /* by cell: which of its pieces, 1 and 2 */
    contours *out;
    bool failed;
};

static double value_at(const contours_raster *raster, size_t column, size_t row) {
    return raster->value[row * raster->nx + column];
}

/* ---- one cell ---- */

/* Which corners are inside. */
static unsigned corners_of(const struct tracing *tracing, size_t column, size_t row) {
    const contours_raster *raster = tracing->raster;
    const double corner[4] = {value_at(raster, column, row), value_at(raster, column + 1, row),
                              value_at(raster, column + 1, row + 1),
                              value_at(raster, column, row + 1)};
    unsigned inside = 0;
    for (unsigned i = 0; i < 4; i++)
        inside |= (corner[i] >= tracing->level ? 1u : 0u) << i;
    return inside;
}

static bool joins_inside(const struct tracing *tracing, size_t column, size_t row) {
    const contours_raster *raster = tracing->raster;
    return (value_at(raster, column, row) + value_at(raster, column + 1, row) +
            value_at(raster, column + 1, row + 1) + value_at(raster, column, row + 1)) /
               4 >=
           tracing->level;
}

/* The side where the piece that comes in by `from` goes out, and which piece it is; NO_SIDE
 * when none comes in there. */
static enum side way_out(const struct tracing *tracing, size_t column, size_t row,
                         enum side from, unsigned *piece) {
    unsigned inside = corners_of(tracing, column, row);
    bool crossed[4];
    *piece = 1;
    for (unsigned side = 0; side < 4; side++)
        crossed[side] = ((inside >> side) & 1) != ((inside >> (side + 1) % 4) & 1);
    if (!crossed[from])
        return NO_SIDE;
    if (inside == 5 || inside == 10) {
        /* Each of two corners is cut off by itself: those outside when the inside is joined. */
        bool cuts_even = (inside == 5) != joins_inside(tracing, column, row);
        /* corner 0 lies between LEFT and BELOW, corner 2 between RIGHT and ABOVE */
        static const enum side even[4] = {LEFT, ABOVE, RIGHT, BELOW};
        static const enum side odd[4] = {RIGHT, BELOW, LEFT, ABOVE};
        enum side to = cuts_even ? even[from] : odd[from];
        *piece = from == BELOW || to == BELOW ? 1 : 2;
        return to;
    }
    for (unsigned side = 0; side < 4; side++)
        if (crossed[side] && side != (unsigned)from)
            return (enum side)side;
    return NO_SIDE;
}

/* ---- where a side is crossed ---- */

static contours_point place_of(const contours_raster *raster, size_t column, size_t row) {
    return (contours_point){raster->x0_m + (double)column * raster->step_m,
                            raster->y0_m + (double)row * raster->step_m};
}

static contours_point between(contours_point a, contours_point b, double share) {
    return (contours_point){a.x_m + share * (b.x_m - a.x_m), a.y_m + share * (b.y_m - a.y_m)};
}

/* From `a`, of value `low`, to `b`: the share of the way where the level is crossed. */
static double crossing(const struct tracing *tracing, contours_point a, double low,
                       contours_point b, double high) {
    static const double close_enough = 0.1;
    enum { HALVES = 9 };
    const contours_raster *raster = tracing->raster;
    double share = (tracing->level - low) / (high - low), begin = 0, end = 1;
    if (!raster->at)
        return share;
    contours_point there = between(a, b, share);
    double value = raster->at(raster->who, there.x_m, there.y_m);
    for (int i = 0; i < HALVES && !(fabs(value - tracing->level) <= close_enough); i++) {
        if ((value >= tracing->level) == (low >= tracing->level))
            begin = share;
        else
            end = share;
        share = (begin + end) / 2;
        there = between(a, b, share);
        value = raster->at(raster->who, there.x_m, there.y_m);
    }
    return share;
}

/* Always worked out from the lower or left end, so that both cells get the same point. */
static contours_point crossing_of(const struct tracing *tracing, size_t column, size_t row,
                                  enum side side) {
    const contours_raster *raster = tracing->raster;
    size_t c0 = column + (side == RIGHT), r0 = row + (side == ABOVE);
    bool flat = side == BELOW || side == ABOVE;
    size_t c1 = c0 + flat, r1 = r0 + !flat;
    contours_point a = place_of(raster, c0, r0), b = place_of(raster, c1, r1);
    return between(a, b,
                   crossing(tracing, a, value_at(raster, c0, r0), b, value_at(raster, c1, r1)));
}

/* ---- chains ---- */

static void add_point(struct tracing *tracing, contours_point point) {
    contours *out = tracing->out;
    if (out->n_points == out->point_room) {
        size_t room = 2 * out->point_room + 256;
        contours_point *points = realloc(out->points, room * sizeof *points);
        tracing->failed = tracing->failed || !points;
        if (!points)
            return;
        out->points = points;
        out->point_room = room;
    }
    out->points[out->n_points++] = point;
}

static void add_chain(struct tracing *tracing, size_t first, bool closed) {
    contours *out = tracing->out;
    if (out->n_points - first < 2) {
        out->n_points = first;
        return;
    }
    if (out->n_chains == out->chain_room) {
        size_t room = 2 * out->chain_room + 32;
        contours_chain *chains = realloc(out->chains, room * sizeof *chains);
        tracing->failed = tracing->failed || !chains;
        if (!chains)
            return;
        out->chains = chains;
        out->chain_room = room;
    }
    out->chains[out->n_chains++] = (contours_chain){first, out->n_points - first, closed};
}

/* Into the neighbor over a side; false: that is outside the raster. */
static bool step_over(const contours_raster *raster, size_t *column, size_t *row,
                      enum side side) {
    if ((side == LEFT && *column == 0) || (side == BELOW && *row == 0) ||
        (side == RIGHT && *column + 2 == raster->nx) ||
        (side == ABOVE && *row + 2 == raster->ny))
        return false;
    *column += (size_t)(side == RIGHT) - (size_t)(side == LEFT);
    *row += (size_t)(side == ABOVE) - (size_t)(side == BELOW);
    return true;
}

/* Follows the piece that comes into a cell by `from`, unless it has been followed. */
static void follow(struct tracing *tracing, size_t column, size_t row, enum side from) {
    const contours_raster *raster = tracing->raster;
    size_t first = tracing->out->n_points;
    bool closed = false;
    unsigned piece;
    for (enum side to; !tracing->failed; from = (enum side)((to + 2) % 4)) {
        to = way_out(tracing, column, row, from, &piece);
        unsigned char *seen = &tracing->seen[row * (raster->nx - 1) + column];
        closed = to != NO_SIDE && (*seen & piece);
        if (to == NO_SIDE || closed)
            break;
        if (tracing->out->n_points == first)
            add_point(tracing, crossing_of(tracing, column, row, from));
        *seen |= (unsigned char)piece;
        add_point(tracing, crossing_of(tracing, column, row, to));
        if (!step_over(raster, &column, &row, to))
            break;
    }
    if (closed && tracing->out->n_points > first)
        tracing->out->n_points--; /* it came back to its first point */
    add_chain(tracing, first, closed);
}

static void follow_from_rim(struct tracing *tracing) {
    size_t nx = tracing->raster->nx - 1, ny = tracing->raster->ny - 1;
    for (size_t column = 0; column < nx; column++) {
        follow(tracing, column, 0, BELOW);
        follow(tracing, column, ny - 1, ABOVE);
    }
    for (size_t row = 0; row < ny; row++) {
        follow(tracing, 0, row, LEFT);
        follow(tracing, nx - 1, row, RIGHT);
    }
}

/* A ring comes into some cell from below. */
static void follow_rings(struct tracing *tracing) {
    for (size_t row = 0; row + 1 < tracing->raster->ny; row++)
        for (size_t column = 0; column + 1 < tracing->raster->nx; column++)
            follow(tracing, column, row, BELOW);
}

static bool has_numbers(const contours_raster *raster) {
    for (size_t i = 0; i < raster->nx * raster->ny; i++)
        if (isnan(raster->value[i]))
            return false;
    return true;
}

bool contours_trace(const contours_raster *raster, double level, contours *out) {
    *out = (contours){0};
    if (raster->nx < 2 || raster->ny < 2 || !has_numbers(raster))
        return true;
    struct tracing tracing = {.raster = raster, .level = level, .out = out};
    tracing.seen = calloc((raster->nx - 1) * (raster->ny - 1), 1);
    if (!tracing.seen)
        return false;
    follow_from_rim(&tracing);
    follow_rings(&tracing);
    free(tracing.seen);
    return !tracing.failed;
}

void contours_free(contours *lines) {
    free(lines->points);
    free(lines->chains);
    *lines = (contours){0};
}
