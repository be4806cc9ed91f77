/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_read.c - a plan to walls.csv: what is no plan, what is no wall, and that a survey reads
 * what is written.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "folder.h"
#include "traced.h"

Test(read, what_is_no_plan) {
    static const struct {
        const char *plan, *findings;
    } rows[] = {{"", "0:0 plan-other-file"},
                {" \n", "0:0 plan-other-file"},
                {"%PDF-1.4", "0:0 plan-other-file"},
                {"\x1f\x8b\x08", "0:0 plan-other-file"},
                {"wall,level\n", "0:0 plan-other-file"},
                {"[1,2]", "0:0 plan-other-file"},
                {"<svg/>", "0:0 plan-no-walls"},
                {"\xef\xbb\xbf <svg/>", "0:0 plan-no-walls"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        traced got = traced_text("plan.svg", rows[i].plan);
        cr_expect_str_eq(got.findings, rows[i].findings, "%s: got %s", rows[i].plan,
                         got.findings);
        cr_expect_eq(got.status, EARSHOT_INVALID);
        traced_free(&got);
    }
}

Test(read, scales_that_are_not_told_or_not_wanted) {
    static const char svg[] = "<svg><line x2='5'/></svg>";
    static const char json[] = "{\"type\":\"LineString\",\"coordinates\":[[0,0],[5,0]]}";
    traced got =
        traced_bytes("plan.svg", svg, strlen(svg), &(earshot_walls_task){.level = "a"});
    cr_expect_str_eq(got.findings, "0:0 plan-no-scale");
    traced_free(&got);
    got = traced_bytes("p.geojson", json, strlen(json),
                       &(earshot_walls_task){.scale = traced_scale});
    cr_expect_str_eq(got.findings, "0:0 plan-scale-unwanted");
    traced_free(&got);
}

Test(read, short_lines_and_doubles) {
    static const char plan[] =
        "<svg>"
        "<rect id='left' width='4' height='3'/><rect id='right' x='4' width='4' height='3'/>\n"
        "<line x1='9' x2='9.0099'/>\n"
        "<line id='just' x1='10' x2='10.02'/>\n"
        "<line id='back' x1='4' x2='0'/></svg>";
    traced got = traced_text("plan.svg", plan);
    cr_expect_str_eq(got.walls,
                     "left,ground,0,0,4,0,brick,,\nleft-2,ground,4,0,4,-3,brick,,\n"
                     "left-3,ground,4,-3,0,-3,brick,,\nleft-4,ground,0,-3,0,0,brick,,\n"
                     "right,ground,4,0,8,0,brick,,\nright-2,ground,8,0,8,-3,brick,,\n"
                     "right-3,ground,8,-3,4,-3,brick,,\njust,ground,10,0,10.02,0,brick,,\n",
                     "%s", got.walls);
    cr_expect_str_eq(got.findings, "1:44 plan-twice x2 2:1 plan-short");
    traced_free(&got);
}

/* Two kinds of wall in one place are two walls: foil behind brick. So are walls of two heights.
 */
Test(read, not_every_double_is_one) {
    static const char plan[] = "<svg><g class='brick'><line x2='5'/></g>"
                               "<g class='foil'><line x2='5'/></g></svg>";
    static const char table[] =
        "layer,construction,bottom_m,top_m\nbrick,brick,,\nfoil,brick,1,2\n";
    const earshot_bytes layers = {"layers.csv", table, strlen(table)};
    traced got = traced_bytes("plan.svg", plan, strlen(plan),
                              &(earshot_walls_task){.scale = traced_scale});
    cr_expect_str_eq(got.findings, "");
    cr_expect_str_eq(got.walls, "brick,ground,0,0,5,0,brick,,\nfoil,ground,0,0,5,0,foil,,\n");
    traced_free(&got);
    got = traced_bytes("plan.svg", plan, strlen(plan),
                       &(earshot_walls_task){.scale = traced_scale, .layers = &layers});
    cr_expect_str_eq(got.findings, "");
    traced_free(&got);
}

/* What stands in the text, and in the findings, before a call is not the call's. */
Test(read, what_is_there_already_stays) {
    earshot_findings *findings = earshot_findings_new();
    earshot_text *out = earshot_text_new();
    const earshot_bytes bad = {"a.svg", "<svg", 4},
                        good = {"b.svg", "<svg><line x2='5'/></svg>", 25};
    const earshot_walls_task task = {.scale = traced_scale, .construction = "brick"};
    cr_expect_eq(earshot_walls_read(&bad, &task, findings, out), EARSHOT_INVALID);
    cr_expect_eq(earshot_text_size(out), 0);
    cr_expect_eq(earshot_walls_read(&good, &task, findings, out), EARSHOT_OK);
    size_t once = earshot_text_size(out);
    cr_expect_eq(earshot_walls_read(&bad, &task, findings, out), EARSHOT_INVALID);
    cr_expect_eq(earshot_text_size(out), once);
    cr_expect_eq(earshot_walls_read(&good, &task, findings, out), EARSHOT_OK);
    cr_expect_eq(earshot_text_size(out), 2 * once);
    earshot_text_free(out);
    earshot_findings_free(findings);
}

/* Names that would break a table, or a spreadsheet, come back as names. */
Test(read, a_survey_reads_what_is_written) {
    static const char plan[] =
        "<svg><line id='=SUM(A1)' x2='5'/><line id='a,&quot;b&quot;' y1='1' x2='5' y2='1'/>"
        "<line id='x&#10;y' y1='2' x2='5' y2='2'/><line id='&lt;b&gt;' y1='3' x2='5' y2='3'/>"
        "<line id='@x' y1='4' x2='5' y2='4'/><line id='&apos;@x' x1='1' x2='3' y2='4'/>"
        "<line id='&#xa0;@x ' x1='2' x2='4' y2='4'/><line id='-7' y1='5' x2='5' y2='5'/></svg>";
    const earshot_walls_task task = {.scale = traced_scale, .construction = "brick"};
    const earshot_bytes bytes = {"plan.svg", plan, strlen(plan)};
    earshot_findings *findings = earshot_findings_new();
    earshot_text *out = earshot_text_new();
    cr_assert_eq(earshot_walls_read(&bytes, &task, findings, out), EARSHOT_OK);
    folder tables = {.n = 0};
    folder_put(&tables, "levels.csv", "level,floor_z_m,height_m\nground,0,2.6\n");
    folder_put(&tables, "site.csv", "key,value\nenvironment,dwelling\n");
    folder_put(&tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio\np,receiver,ground,1,1,1,868-10mw\n"
               "s,sensor,ground,2,-9,1,868-10mw\n");
    folder_put(&tables, "openings.csv",
               "opening,wall,from_m,to_m,construction\na,=SUM(A1),1,2,inside-door\n"
               "b,\"a,\"\"b\"\"\",1,2,inside-door\nc,x y,1,2,inside-door\n"
               "d,<b>,1,2,inside-door\ne,@x,1,2,inside-door\nf,-7,1,2,inside-door\n");
    folder_put(&tables, "walls.csv", earshot_text_data(out));
    earshot_survey *survey = folder_load(&tables);
    earshot_survey_free(survey);
    folder_free(&tables);
    earshot_text_free(out);
    earshot_findings_free(findings);
}

/* Numbers 0 to 1 from a seed: a linear congruential generator, constants from Knuth's MMIX,
 * from memory. */
static double drawn(unsigned long long *seed) {
    *seed = *seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

/* Walls drawn at 1:75 in hundredths of a millimeter of paper, in a group for each construction,
 * come back within 1 mm of the building. The paper is 400 mm high, and its lower left corner
 * the origin. */
Test(read, a_drawing_is_traced_back_within_a_millimeter) {
    enum { N = 200 };
    static double ends_m[N][4];
    static char plan[N * 100];
    unsigned long long seed = 1;
    size_t length = (size_t)sprintf(plan, "<svg width='300mm' height='400mm' "
                                          "viewBox='0 0 300 400'><g class='brick'>");
    for (size_t i = 0; i < N; i++) {
        for (size_t j = 0; j < 4; j++)
            ends_m[i][j] = 20 * drawn(&seed);
        length += (size_t)sprintf(plan + length, "<path d='M%.2f %.2fL%.2f %.2f'/>",
                                  ends_m[i][0] / 0.075, 400 - ends_m[i][1] / 0.075,
                                  ends_m[i][2] / 0.075, 400 - ends_m[i][3] / 0.075);
    }
    strcpy(plan + length, "</g></svg>");
    traced got = traced_bytes(
        "plan.svg", plan, strlen(plan),
        &(earshot_walls_task){.scale = {.kind = EARSHOT_SCALE_PAPER, .ratio = 75}});
    const char *row = got.walls;
    for (size_t i = 0; i < N; i++, row = strchr(row, '\n') + 1) {
        double read_m[4];
        cr_assert_eq(sscanf(strchr(row, ','), ",ground,%lf,%lf,%lf,%lf", &read_m[0], &read_m[1],
                            &read_m[2], &read_m[3]),
                     4, "row %zu", i);
        for (size_t j = 0; j < 4; j++)
            cr_expect(fabs(read_m[j] - ends_m[i][j]) <= 0.001, "wall %zu: %g for %g", i,
                      read_m[j], ends_m[i][j]);
    }
    cr_expect_eq(*row, '\0');
    traced_free(&got);
}

/* The shipped example, against its drawing worked out by hand: 10 mm of the sheet are a meter,
 * and 50,230 is the origin. The stairs are turned by a quarter, the wall with a doorway has two
 * pieces. */
Test(read, the_traced_house) {
    char *plan = folder_page("surveys/traced/plan/house.svg"),
         *table = folder_page("surveys/traced/plan/layers.csv"),
         *walls = folder_page("surveys/traced/walls.csv");
    const earshot_bytes layers = {"layers.csv", table, strlen(table)};
    const earshot_walls_task task = {
        .scale = {.kind = EARSHOT_SCALE_LINE, .line = "known", .length_m = 8},
        .layers = &layers};
    traced got = traced_bytes("plan.svg", plan, strlen(plan), &task);
    cr_expect_str_eq(got.walls, "outside,ground,0,11,8,11,cavity-wall,,\n"
                                "outside-2,ground,8,11,8,0,cavity-wall,,\n"
                                "outside-3,ground,8,0,0,0,cavity-wall,,\n"
                                "outside-4,ground,0,0,0,11,cavity-wall,,\n"
                                "spine,ground,0,6,4.5,6,brick,,\n"
                                "spine-2,ground,5.4,6,8,6,brick,,\n"
                                "kitchen,ground,3,0,3,2.5,stud-wall,,\n"
                                "kitchen-2,ground,3,2.5,0,2.5,stud-wall,,\n"
                                "stairs,ground,5,6,5,11,stud-wall,,\n"
                                "counter,ground,3,1,4.2,1,brick,0,1.1\n");
    cr_expect_str_eq(strchr(walls, '\n') + 1, got.walls);
    traced_free(&got);
    free(plan);
    free(table);
    free(walls);
}
