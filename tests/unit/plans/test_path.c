/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_path.c - paths and points against examples of [SVG 1.1] (W3C, August 2011), chapters 8
 * and 9, and against lines worked out by hand.
 */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "plans.h"

/* What was drawn, as text: "0,0-5,0" for a line, "~" for a curve. */
struct sheet {
    char text[2000];
    size_t length;
};

static void draw(void *who, plans_point a, plans_point b) {
    struct sheet *sheet = who;
    sheet->length +=
        (size_t)snprintf(sheet->text + sheet->length, sizeof sheet->text - sheet->length,
                         "%s%g,%g-%g,%g", sheet->length ? " " : "", a.x, a.y, b.x, b.y);
}

static void curve(void *who) {
    struct sheet *sheet = who;
    sheet->length +=
        (size_t)snprintf(sheet->text + sheet->length, sizeof sheet->text - sheet->length, "%s~",
                         sheet->length ? " " : "");
}

struct row {
    const char *source, *data, *wanted, *rest; /* rest NULL: all of it was read */
};

static void expect(const struct row *row, const char *rest, const struct sheet *sheet) {
    cr_expect_str_eq(sheet->text, row->wanted, "%s: %s: got %s", row->source, row->data,
                     sheet->text);
    cr_expect_eq(rest == NULL, row->rest == NULL, "%s: %s", row->source, row->data);
    if (rest && row->rest)
        cr_expect_str_eq(rest, row->rest, "%s: %s: got '%s'", row->source, row->data, rest);
}

Test(path, commands) {
    static const struct row rows[] = {
        {"sec. 8.1, triangle01", "M 100 100 L 300 100 L 200 300 z",
         "100,100-300,100 300,100-200,300 200,300-100,100", NULL},
        {"sec. 8.3.1: M 100 100 L 200 200 is M100 100L200 200", "M100 100L200 200",
         "100,100-200,200", NULL},
        {"sec. 8.3.1: a letter may be left out", "M 100 200 L 200 100 L -100 -200",
         "100,200-200,100 200,100--100,-200", NULL},
        {"sec. 8.3.1: the same without it", "M 100 200 L 200 100 -100 -200",
         "100,200-200,100 200,100--100,-200", NULL},
        {"sec. 8.3.2: pairs behind M are lines", "M1,1 2,1 2,2", "1,1-2,1 2,1-2,2", NULL},
        {"sec. 8.3.2: pairs behind m too, relative", "m1,1 2,1 0,2", "1,1-3,2 3,2-3,4", NULL},
        {"sec. 8.3.2: a relative m first is absolute", "m 5 5 l 1 0", "5,5-6,5", NULL},
        {"sec. 8.3.3: behind z the next piece begins where it began", "M1,1 h2 v2 z l0,-1",
         "1,1-3,1 3,1-3,3 3,3-1,1 1,1-1,0", NULL},
        {"sec. 8.3.4: H and V", "M0 0 H10 V5 h-4 v-2", "0,0-10,0 10,0-10,5 10,5-6,5 6,5-6,3",
         NULL},
        {"sec. 8.3.4: several values", "M0,0 h1 2", "0,0-1,0 1,0-3,0", NULL},
        {"several pieces", "M0,6 h4.5 M5.4,6 H8", "0,6-4.5,6 5.4,6-8,6", NULL},
        {"numbers that touch", "M0-1l.5.5-.5,1e0", "0,-1-0.5,-0.5 0.5,-0.5-0,0.5", NULL},
        {"nothing", "", "", NULL},
        {"blanks", "  \n\t", "", NULL},
        {"a line without a length is none", "M1,1 L1,1 Z", "", NULL},
        {"it must begin with M", "L1,1", "", "L1,1"},
        {"no such command", "M0,0 L1,1 X2,2", "0,0-1,1", "X2,2"},
        {"a number is missing", "M0,0 L5", "", "L5"},
        {"no number", "M0,0 l1,0 l1,nan", "0,0-1,0", "l1,nan"},
        {"a number behind z", "M0,0 h1 z 5", "0,0-1,0 1,0-0,0", "5"},
        {"too large", "M0,0 H1e999", "", "H1e999"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct sheet sheet = {.length = 0};
        const plans_pen pen = {draw, curve, &sheet};
        expect(&rows[i], plans_path(rows[i].data, &pen), &sheet);
    }
}

Test(path, curves_are_told_and_the_pen_goes_on_where_they_end) {
    static const struct row rows[] = {
        {"sec. 8.3.6, cubic01 and a line",
         "M100,200 C100,100 250,100 250,200 S400,300 400,200 h9", "~ ~ 400,200-409,200", NULL},
        {"sec. 8.3.7, quad01 and a line", "M200,300 Q400,50 600,300 T1000,300 v1",
         "~ ~ 1000,300-1000,301", NULL},
        {"sec. 8.3.8, arcs01 without z, and a line",
         "M300,200 h-150 a150,150 0 1,0 150,-150 h1", "300,200-150,200 ~ 300,50-301,50", NULL},
        {"sec. F.6.2: an arc without a radius is a line", "M0,0 A0,5 0 0 1 3,4", "0,0-3,4",
         NULL},
        {"sec. F.6.2: an arc to where it stands is none", "M3,4 A5,5 0 0 1 3,4", "", NULL},
        {"sec. 8.3.9: flags need no blank", "M0,0 a1,1 0 0110,0 h1", "~ 10,0-11,0", NULL},
        {"a flag is 0 or 1", "M0,0 a1,1 0 2 0 10,0", "", "a1,1 0 2 0 10,0"},
        {"handles on the chord: a line", "M0,0 C1,0 2,0 3,0 c0,1 0,2 0,3", "0,0-3,0 3,0-3,3",
         NULL},
        {"the same, and the handle mirrored", "M0,0 C1,0 2,0 3,0 S5,0 6,0", "0,0-3,0 3,0-6,0",
         NULL},
        {"the same of three points", "M0,0 Q1,1 2,2 T4,4", "0,0-2,2 2,2-4,4", NULL},
        {"S behind no curve has its handle where it stands", "M0,0 S1,0 3,0", "0,0-3,0", NULL},
        {"a handle beyond the end is no straight line", "M0,0 C1,0 5,0 3,0", "~", NULL},
        {"a handle a hundredth beside", "M0,0 C1,0.03 2,0 3,0", "~", NULL},
        {"a loop has no chord to lie on", "M1,1 C5,1 1,5 1,1 h2", "~ 1,1-3,1", NULL},
        {"a curve that goes nowhere is nothing", "M1,1 C1,1 1,1 1,1 h2", "1,1-3,1", NULL},
        {"sec. 9.3 has round corners made of arcs: the sides stay", "M1,0 h8 a1,1 0 0 1 1,1 v3",
         "1,0-9,0 ~ 10,1-10,4", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct sheet sheet = {.length = 0};
        const plans_pen pen = {draw, curve, &sheet};
        expect(&rows[i], plans_path(rows[i].data, &pen), &sheet);
    }
}

Test(path, points) {
    static const struct row rows[] = {
        {"sec. 9.6", "50,375 150,375 150,325", "50,375-150,375 150,375-150,325", NULL},
        {"sec. 9.7.1: commas and blanks", "0 0,1 0 ,1,1", "0,0-1,0 1,0-1,1", NULL},
        {"one point", "3,3", "", NULL},
        {"none", " ", "", NULL},
        {"half a point", "0,0 5", "", "5"},
        {"a word", "0,0 5,0 x", "0,0-5,0", "x"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct sheet sheet = {.length = 0};
        const plans_pen pen = {draw, curve, &sheet};
        expect(&rows[i], plans_points(rows[i].data, false, &pen), &sheet);
    }
}

Test(path, polygons_end_where_they_began) {
    static const struct row rows[] = {
        {"sec. 9.7: closed", "0,0 5,0 5,5", "0,0-5,0 5,0-5,5 5,5-0,0", NULL},
        {"closed already", "0,0 5,0 5,5 0,0", "0,0-5,0 5,0-5,5 5,5-0,0", NULL},
        {"there and back is one line", "0,0 5,0", "0,0-5,0", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct sheet sheet = {.length = 0};
        const plans_pen pen = {draw, curve, &sheet};
        expect(&rows[i], plans_points(rows[i].data, true, &pen), &sheet);
    }
}
