/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_transform.c - transforms against [SVG 1.1], Scalable Vector Graphics (SVG) 1.1 (Second
 * Edition), W3C, August 2011, chapter 7, and against points moved by hand.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "plans.h"

static plans_matrix read(const char *text) {
    plans_matrix matrix = {0};
    cr_assert(plans_transform(text, &matrix), "%s", text);
    return matrix;
}

static void expect_near(double got, double wanted, double within, const char *what) {
    cr_expect(fabs(got - wanted) <= within, "%s: wanted %.9g, got %.9g", what, wanted, got);
}

static void expect_matrix(plans_matrix got, plans_matrix wanted, double within,
                          const char *what) {
    expect_near(got.a, wanted.a, within, what);
    expect_near(got.b, wanted.b, within, what);
    expect_near(got.c, wanted.c, within, what);
    expect_near(got.d, wanted.d, within, what);
    expect_near(got.e, wanted.e, within, what);
    expect_near(got.f, wanted.f, within, what);
}

/* [SVG 1.1] sec. 7.5, the nested transforms and their product. The text multiplies with cos 45
 * degrees rounded to .707, and 290 * .00011 = 0.031 off is what that makes of 255.03. */
Test(transform, the_nested_example_of_the_standard) {
    plans_matrix got = plans_within(plans_within(read("translate(50,90)"), read("rotate(-45)")),
                                    read("translate(130,160)"));
    expect_matrix(got, (plans_matrix){.707, -.707, .707, .707, 255.03, 111.21}, 0.04,
                  "sec. 7.5");
    expect_near(got.a, .707, 0.0005, "sec. 7.5");
    expect_near(got.f, 111.21, 0.005, "sec. 7.5");
    expect_matrix(read("translate(50 90),rotate(-45) translate(130,160)"), got, 1e-12,
                  "sec. 7.6: a list is the same as nested groups");
}

/* [SVG 1.1] sec. 7.4 and 7.6: the matrix of each. */
Test(transform, each_kind) {
    static const struct {
        const char *text;
        plans_matrix wanted;
    } rows[] = {
        {"", {1, 0, 0, 1, 0, 0}},
        {"matrix(1 2 3 4 5 6)", {1, 2, 3, 4, 5, 6}},
        {"translate(3,4)", {1, 0, 0, 1, 3, 4}},
        {"translate(3)", {1, 0, 0, 1, 3, 0}},
        {"scale(2,3)", {2, 0, 0, 3, 0, 0}},
        {"scale(2)", {2, 0, 0, 2, 0, 0}},
        {"rotate(90)", {0, 1, -1, 0, 0, 0}},
        {"rotate(-450)", {0, -1, 1, 0, 0, 0}},
        {" rotate ( 90 10 20 ) ", {0, 1, -1, 0, 30, 10}}, /* 10,20 stays; 0,0 comes to 30,10 */
        {"rotate(30)", {0.866025404, 0.5, -0.5, 0.866025404, 0, 0}},
        {"skewX(45)", {1, 0, 1, 1, 0, 0}},
        {"skewY(-45)", {1, -1, 0, 1, 0, 0}},
        {"scale(2)translate(5,6)", {2, 0, 0, 2, 10, 12}},
        {"scale(1,-1), translate(0,-100)", {1, 0, 0, -1, 0, 100}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect_matrix(read(rows[i].text), rows[i].wanted, 1e-9, rows[i].text);
}

Test(transform, quarter_turns_are_exact) {
    plans_point at = plans_moved(read("rotate(90)"), (plans_point){5, 0});
    cr_expect(at.x == 0 && at.y == 5);
    at = plans_moved(read("rotate(180)"), (plans_point){5, 3});
    cr_expect(at.x == -5 && at.y == -3);
}

Test(transform, what_cannot_be_read_leaves_the_matrix_alone) {
    static const char *const texts[] = {"turn(90)",          "rotate",        "rotate(",
                                        "rotate()",          "rotate(1 2)",   "rotate(1 2 3 4)",
                                        "matrix(1 2 3 4 5)", "scale(x)",      "skewX(1 2)",
                                        "translate(1) x",    "translate(1,2", "SCALE(2)",
                                        "translate(1e999)"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        plans_matrix matrix = {7, 7, 7, 7, 7, 7};
        cr_expect_not(plans_transform(texts[i], &matrix), "%s", texts[i]);
        cr_expect_eq(matrix.a, 7);
        cr_expect_eq(matrix.f, 7);
    }
}
