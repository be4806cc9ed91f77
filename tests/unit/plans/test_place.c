/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_place.c - scales, worked out by hand.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "traced.h"

/* A rectangle of 400 by 300 units, its lower left corner at 100,350: south, east. */
static const char body[] = "<line id='south' x1='100' y1='350' x2='500' y2='350'/>"
                           "<line id='east' x1='500' y1='350' x2='500' y2='50'/>";

static void expect(const char *what, const char *root, earshot_scale scale, const char *walls,
                   const char *findings) {
    char plan[500];
    strcat(strcat(strcpy(plan, root), body), "</svg>");
    const earshot_walls_task task = {.scale = scale, .construction = "brick"};
    traced got = traced_bytes("plan.svg", plan, strlen(plan), &task);
    cr_expect_str_eq(got.walls, walls, "%s: got\n%s(%s)", what, got.walls, got.findings);
    cr_expect_str_eq(got.findings, findings, "%s: got %s", what, got.findings);
    traced_free(&got);
}

Test(place, a_distance) {
    const earshot_scale scale = {.kind = EARSHOT_SCALE_DISTANCE,
                                 .x1 = 100,
                                 .y1 = 350,
                                 .x2 = 500,
                                 .y2 = 50, /* 3-4-5: 500 units */
                                 .length_m = 10};
    expect("1 m is 50 units", "<svg>", scale,
           "south,ground,0,0,8,0,brick,,\neast,ground,8,0,8,6,brick,,\n", "");
    earshot_scale one = scale;
    one.x2 = one.x1;
    one.y2 = one.y1;
    expect("one point twice", "<svg>", one, "", "0:0 plan-points-one");
}

Test(place, a_line_by_its_name) {
    earshot_scale scale = {.kind = EARSHOT_SCALE_LINE, .line = "south", .length_m = 8};
    expect("it is no wall", "<svg>", scale, "east,ground,8,0,8,6,brick,,\n", "");
    scale.line = "north";
    expect("none", "<svg>", scale, "", "0:0 plan-scale-line");
    scale.line = "x";
    expect("several", "<svg><polyline id='x' points='0,0 5,0 5,5'/>", scale, "",
           "0:0 plan-scale-line");
}

Test(place, two_known_points) {
    const earshot_scale straight = {.kind = EARSHOT_SCALE_POINTS,
                                    .x1 = 100,
                                    .y1 = 350,
                                    .x2 = 500,
                                    .y2 = 350,
                                    .x1_m = 2,
                                    .y1_m = 3,
                                    .x2_m = 10,
                                    .y2_m = 3};
    expect("shifted", "<svg>", straight,
           "south,ground,2,3,10,3,brick,,\neast,ground,10,3,10,9,brick,,\n", "");
    earshot_scale turned = straight;
    turned.x2_m = 2;
    turned.y2_m = 11;
    expect("a quarter turn to the left: south runs north, east runs west", "<svg>", turned,
           "south,ground,2,3,2,11,brick,,\neast,ground,2,11,-4,11,brick,,\n", "");
    earshot_scale aslant = straight; /* 400 units to 3,4: 5 m, and a turn of atan(4/3) */
    aslant.x1_m = aslant.y1_m = 0;
    aslant.x2_m = 3;
    aslant.y2_m = 4;
    expect("aslant: 300 units up are 3.75 m along -4/5, 3/5", "<svg>", aslant,
           "south,ground,0,0,3,4,brick,,\neast,ground,3,4,0,6.25,brick,,\n", "");
    aslant.x2_m = aslant.y2_m = 0;
    expect("no distance in the survey", "<svg>", aslant, "", "0:0 plan-points-one");
}

Test(place, on_paper) {
    const earshot_scale scale = {.kind = EARSHOT_SCALE_PAPER, .ratio = 50};
    expect("600 units are 300 mm, and at 1:50 15 m",
           "<svg width='300mm' height='200mm' viewBox='0 0 600 400'>", scale,
           "south,ground,2.5,1.25,12.5,1.25,brick,,\neast,ground,12.5,1.25,12.5,8.75,brick,,\n",
           "");
    expect("the viewBox may begin anywhere",
           "<svg width='300mm' height='200mm' viewBox='100 -50 600 400'>", scale,
           "south,ground,0,0,10,0,brick,,\neast,ground,10,0,10,7.5,brick,,\n", "");
    expect("[SVG 1.1] sec. 7.8: the smaller of two sizes, all of it is seen",
           "<svg width='300mm' height='400mm' viewBox='100 -50 600 400'>", scale,
           "south,ground,0,0,10,0,brick,,\neast,ground,10,0,10,7.5,brick,,\n", "");
    expect("without a viewBox a unit is 1/96 inch: 96 * 1:100 is 2.54 m",
           "<svg width='10in' height='350'>",
           (earshot_scale){.kind = EARSHOT_SCALE_PAPER, .ratio = 96},
           "south,ground,2.54,0,12.7,0,brick,,\neast,ground,12.7,0,12.7,7.62,brick,,\n", "");
    expect("no size", "<svg viewBox='0 0 600 400'>", scale, "", "0:0 plan-no-size");
    expect("in percent", "<svg width='100%' height='100%' viewBox='0 0 600 400'>", scale, "",
           "0:0 plan-no-size");
    expect("stretched, so that a meter is not the same both ways",
           "<svg width='300mm' height='400mm' viewBox='0 0 600 400' "
           "preserveAspectRatio='none'>",
           scale, "", "0:0 plan-no-size");
}

Test(place, what_makes_no_sense_is_misuse) {
    static const earshot_scale scales[] = {
        {.kind = EARSHOT_SCALE_DISTANCE, .x2 = 1},
        {.kind = EARSHOT_SCALE_DISTANCE, .x2 = 1, .length_m = -1},
        {.kind = EARSHOT_SCALE_DISTANCE, .x2 = 1, .length_m = INFINITY},
        {.kind = EARSHOT_SCALE_DISTANCE, .x2 = NAN, .length_m = 1},
        {.kind = EARSHOT_SCALE_POINTS, .x2 = INFINITY},
        {.kind = EARSHOT_SCALE_LINE, .length_m = 1},
        {.kind = EARSHOT_SCALE_PAPER},
    };
    earshot_findings *findings = earshot_findings_new();
    earshot_text *out = earshot_text_new();
    const earshot_bytes plan = {"plan.svg", "<svg/>", 6};
    for (size_t i = 0; i < sizeof scales / sizeof *scales; i++) {
        const earshot_walls_task task = {.scale = scales[i]};
        cr_expect_eq(earshot_walls_read(&plan, &task, findings, out), EARSHOT_MISUSE, "%zu", i);
    }
    cr_expect_eq(earshot_walls_read(NULL, &(earshot_walls_task){.level = NULL}, findings, out),
                 EARSHOT_MISUSE);
    cr_expect_eq(earshot_walls_read(&plan, NULL, findings, out), EARSHOT_MISUSE);
    const earshot_bytes lost = {"layers.csv", NULL, 6}, nameless = {NULL, "layer\n", 6};
    const earshot_walls_task without_bytes = {.layers = &lost},
                             without_name = {.layers = &nameless};
    cr_expect_eq(earshot_walls_read(&plan, &without_bytes, findings, out), EARSHOT_MISUSE);
    cr_expect_eq(earshot_walls_read(&plan, &without_name, findings, out), EARSHOT_MISUSE);
    cr_expect_eq(earshot_text_size(out), 0);
    earshot_text_free(out);
    earshot_findings_free(findings);
}
