/* SPDX-License-Identifier: GPL-3.0-or-later */
/* path.c - the data of paths and the points of polylines, [SVG 1.1] (W3C, August 2011) sec. 8.3
 * and 9.6.
 *
 * Straight pieces go to the pen as lines. A curve is told as a curve and the pen goes on where
 * it ends, for in plans curves are the swings of doors: as chords they would be walls across
 * every doorway. A curve whose handles lie on its chord is straight, and some programs write
 * every line so.
 */
#include <math.h>
#include <string.h>

#include "plans.h"

/* How far off its chord a handle may lie and the curve be straight, in lengths of the chord. */
static const double straight_within = 1e-3;

struct path {
    const plans_pen *pen;
    plans_point begun, at;
    plans_point
        handle; /* the last one of the curve before, for S and T; else where it stands */
    char last;  /* the command before, in capitals */
};

/* ---- geometry ---- */

static void draw_line(const plans_pen *pen, plans_point a, plans_point b) {
    if (a.x != b.x || a.y != b.y)
        pen->line(pen->who, a, b);
}

static void line_to(struct path *path, plans_point to) {
    draw_line(path->pen, path->at, to);
    path->at = path->handle = to;
}

static bool lies_on(plans_point a, plans_point b, plans_point p) {
    double x = b.x - a.x, y = b.y - a.y, length2 = x * x + y * y;
    double along = (p.x - a.x) * x + (p.y - a.y) * y;
    double beside = (p.x - a.x) * y - (p.y - a.y) * x;
    if (length2 == 0) /* a loop, unless it goes nowhere */
        return p.x == a.x && p.y == a.y;
    return fabs(beside) <= straight_within * length2 && along >= -straight_within * length2 &&
           along <= (1 + straight_within) * length2;
}

static void curve_to(struct path *path, plans_point first, plans_point second, plans_point to) {
    if (lies_on(path->at, to, first) && lies_on(path->at, to, second))
        draw_line(path->pen, path->at, to);
    else
        path->pen->curve(path->pen->who);
    path->at = to;
    path->handle = second;
}

/* The handle of the curve before, seen through the point where it ended. */
static plans_point mirrored(const struct path *path, const char *kinds) {
    if (!path->last || !strchr(kinds, path->last))
        return path->at;
    return (plans_point){2 * path->at.x - path->handle.x, 2 * path->at.y - path->handle.y};
}

/* ---- commands ---- */

enum { MOST_VALUES = 7 };

/* `v`: as written. Relative values count from where the pen stands, sec. 8.3.1. */
static plans_point pair(const struct path *path, const double *v, bool relative) {
    return relative ? (plans_point){path->at.x + v[0], path->at.y + v[1]}
                    : (plans_point){v[0], v[1]};
}

/* Flat arcs are lines: sec. F.6.2. */
static void arc_to(struct path *path, const double *v, plans_point to) {
    if (v[0] == 0 || v[1] == 0) {
        line_to(path, to);
        return;
    }
    if (to.x != path->at.x || to.y != path->at.y)
        path->pen->curve(path->pen->who);
    path->at = path->handle = to;
}

static void obey(struct path *path, char command, const double *v, bool relative) {
    plans_point from = path->at;
    switch (command) {
    case 'M':
        path->begun = path->at = path->handle = pair(path, v, relative);
        break;
    case 'L':
        line_to(path, pair(path, v, relative));
        break;
    case 'H':
        line_to(path, (plans_point){relative ? from.x + v[0] : v[0], from.y});
        break;
    case 'V':
        line_to(path, (plans_point){from.x, relative ? from.y + v[0] : v[0]});
        break;
    case 'Z':
        line_to(path, path->begun);
        break;
    case 'C':
        curve_to(path, pair(path, v, relative), pair(path, v + 2, relative),
                 pair(path, v + 4, relative));
        break;
    case 'S':
        curve_to(path, mirrored(path, "CS"), pair(path, v, relative),
                 pair(path, v + 2, relative));
        break;
    case 'Q': {
        plans_point handle = pair(path, v, relative);
        curve_to(path, handle, handle, pair(path, v + 2, relative));
        break;
    }
    case 'T': {
        plans_point handle = mirrored(path, "QT");
        curve_to(path, handle, handle, pair(path, v, relative));
        break;
    }
    default: /* A */
        arc_to(path, v, pair(path, v + 5, relative));
    }
    path->last = command;
}

/* ---- data ---- */

static const char letters[] = "MLHVZCSQTA";
static const size_t n_values[] = {2, 2, 1, 1, 0, 6, 4, 4, 2, 7};

/* A flag of an arc is one digit, with nothing needed behind it. */
static bool read_flag(const char **at, double *value) {
    if (**at != '0' && **at != '1')
        return false;
    *value = *(*at)++ - '0';
    return true;
}

static bool read_values(const char **at, char command, size_t n, double values[MOST_VALUES]) {
    for (size_t i = 0; i < n; i++) {
        *at = i > 0 ? plans_skip(*at) : *at;
        bool flag = command == 'A' && (i == 3 || i == 4);
        if (!(flag ? read_flag(at, &values[i]) : plans_number(at, &values[i])))
            return false;
    }
    return true;
}

/* The command at *at in capitals, which is the one before where a number stands; 0: none. */
static char read_command(const char **at, char before, bool *relative) {
    char c = **at, capital = c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
    if (strchr(letters, capital)) {
        *relative = c != capital;
        ++*at;
        *at = plans_skip_blanks(*at);
        return before || capital == 'M' ? capital : '\0';
    }
    return before == 'Z' ? '\0' : before == 'M' ? 'L' : before;
}

const char *plans_path(const char *data, const plans_pen *pen) {
    struct path path = {.pen = pen};
    bool relative = false;
    for (const char *at = plans_skip_blanks(data); *at; at = plans_skip(at)) {
        const char *from = at;
        double values[MOST_VALUES] = {0};
        char command = read_command(&at, path.last, &relative);
        size_t n = command ? n_values[strchr(letters, command) - letters] : 0;
        if (!command || !read_values(&at, command, n, values))
            return from;
        obey(&path, command, values, relative);
    }
    return NULL;
}

const char *plans_points(const char *points, bool closed, const plans_pen *pen) {
    plans_point first = {0}, last = {0};
    size_t n = 0;
    for (const char *at = plans_skip_blanks(points); *at; at = plans_skip(at)) {
        const char *from = at;
        plans_point point;
        if (!plans_number(&at, &point.x))
            return from;
        at = plans_skip(at);
        if (!plans_number(&at, &point.y))
            return from;
        if (n++ > 0)
            draw_line(pen, last, point);
        else
            first = point;
        last = point;
    }
    if (closed && n > 2)
        draw_line(pen, last, first);
    return NULL;
}
