/* SPDX-License-Identifier: GPL-3.0-or-later */
/* transform.c - transform attributes, [SVG 1.1] (W3C, August 2011) sec. 7.4 to 7.6.
 */
#include <math.h>
#include <string.h>

#include "plans.h"

static const double rad_per_deg = 3.14159265358979323846 / 180;

plans_matrix plans_within(plans_matrix outer, plans_matrix inner) {
    return (plans_matrix){.a = outer.a * inner.a + outer.c * inner.b,
                          .b = outer.b * inner.a + outer.d * inner.b,
                          .c = outer.a * inner.c + outer.c * inner.d,
                          .d = outer.b * inner.c + outer.d * inner.d,
                          .e = outer.a * inner.e + outer.c * inner.f + outer.e,
                          .f = outer.b * inner.e + outer.d * inner.f + outer.f};
}

plans_point plans_moved(plans_matrix matrix, plans_point point) {
    return (plans_point){matrix.a * point.x + matrix.c * point.y + matrix.e,
                         matrix.b * point.x + matrix.d * point.y + matrix.f};
}

static plans_matrix as_matrix(const double *v, size_t n) {
    (void)n;
    return (plans_matrix){v[0], v[1], v[2], v[3], v[4], v[5]};
}

static plans_matrix as_translate(const double *v, size_t n) {
    return (plans_matrix){1, 0, 0, 1, v[0], n > 1 ? v[1] : 0};
}

static plans_matrix as_scale(const double *v, size_t n) {
    return (plans_matrix){v[0], 0, 0, n > 1 ? v[1] : v[0], 0, 0};
}

/* Quarter turns come out exact, for most turned plans are turned so. */
static void turn(double angle_deg, double *cosine, double *sine) {
    double quarters = angle_deg / 90;
    *cosine = cos(angle_deg * rad_per_deg);
    *sine = sin(angle_deg * rad_per_deg);
    if (quarters == floor(quarters)) {
        *cosine = round(*cosine);
        *sine = round(*sine);
    }
}

static plans_matrix as_rotate(const double *v, size_t n) {
    double c, s;
    turn(v[0], &c, &s);
    plans_matrix rotated = {c, s, -s, c, 0, 0};
    if (n == 1)
        return rotated;
    const double there[] = {v[1], v[2]}, back[] = {-v[1], -v[2]};
    return plans_within(plans_within(as_translate(there, 2), rotated), as_translate(back, 2));
}

static plans_matrix as_skew_x(const double *v, size_t n) {
    (void)n;
    return (plans_matrix){1, 0, tan(v[0] * rad_per_deg), 1, 0, 0};
}

static plans_matrix as_skew_y(const double *v, size_t n) {
    (void)n;
    return (plans_matrix){1, tan(v[0] * rad_per_deg), 0, 1, 0, 0};
}

enum { MOST_VALUES = 6 };

static const struct kind {
    const char *name;
    size_t n_least, n_most;
    plans_matrix (*make)(const double *values, size_t n);
} kinds[] = {{"matrix", 6, 6, as_matrix}, {"translate", 1, 2, as_translate},
             {"scale", 1, 2, as_scale},   {"rotate", 1, 3, as_rotate},
             {"skewX", 1, 1, as_skew_x},  {"skewY", 1, 1, as_skew_y}};

static const struct kind *find_kind(const char **at) {
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        size_t length = strlen(kinds[i].name);
        if (strncmp(*at, kinds[i].name, length) == 0) {
            *at += length;
            return &kinds[i];
        }
    }
    return NULL;
}

/* "(10, 20)": how many values; 0 when it cannot be read. */
static size_t read_values(const char **at, double values[MOST_VALUES]) {
    size_t n = 0;
    *at = plans_skip_blanks(*at);
    if (**at != '(')
        return 0;
    ++*at;
    *at = plans_skip_blanks(*at);
    while (n < MOST_VALUES && plans_number(at, &values[n])) {
        n++;
        *at = plans_skip(*at);
    }
    if (**at != ')')
        return 0;
    ++*at;
    return n;
}

bool plans_transform(const char *text, plans_matrix *out) {
    plans_matrix all = plans_unmoved;
    for (const char *at = plans_skip(text); *at; at = plans_skip(at)) {
        double values[MOST_VALUES];
        const struct kind *kind = find_kind(&at);
        size_t n = kind ? read_values(&at, values) : 0;
        if (n == 0 || n < kind->n_least || n > kind->n_most ||
            (n == 2 && kind->make == as_rotate))
            return false;
        all = plans_within(all, kind->make(values, n));
    }
    *out = all;
    return true;
}
