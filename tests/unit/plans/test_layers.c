/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_layers.c - the table of layers: which name a line goes by, what is wrong in the table.
 */
#include <criterion/criterion.h>
#include <string.h>

#include "traced.h"

static const char plan[] =
    "<svg xmlns:p='urn:p'>"
    "<g id='layer1' p:label='Outer walls' class='a bearing'><line id='n' x2='5'/>"
    "<g class='thin'><line id='e' y2='5'/><line id='s' class='x glass' x2='6'/></g></g>"
    "<line id='own' x2='7'/></svg>";

static traced trace(const char *table, const char *construction) {
    const earshot_bytes layers = {"layers.csv", table, strlen(table)};
    const earshot_walls_task task = {.scale = traced_scale,
                                     .layers = table[0] ? &layers : NULL,
                                     .construction = construction,
                                     .level = "up"};
    return traced_bytes("plan.svg", plan, strlen(plan), &task);
}

static void expect(const char *table, const char *construction, const char *walls,
                   const char *findings) {
    traced got = trace(table, construction);
    cr_expect_str_eq(got.walls, walls, "%s: got\n%s(%s)", table, got.walls, got.findings);
    cr_expect_str_eq(got.findings, findings, "%s: got %s", table, got.findings);
    traced_free(&got);
}

Test(layers, the_innermost_name_in_the_table_counts) {
    expect("layer,construction\nouter_WALLS,brick\nown,block\n", NULL,
           "n,up,0,0,5,0,brick,,\ne,up,0,0,0,-5,brick,,\ns,up,0,0,6,0,brick,,\n"
           "own,up,0,0,7,0,block,,\n",
           "");
    expect("layer,construction\nbearing,brick\nthin,stud\nglass,glass\nown,block\n", NULL,
           "n,up,0,0,5,0,brick,,\ne,up,0,0,0,-5,stud,,\ns,up,0,0,6,0,glass,,\n"
           "own,up,0,0,7,0,block,,\n",
           "");
    expect("construction;layer;level;bottom_m;top_m\nbrick;layer1;cellar;-0,5;1,5\n;own;;;\n",
           NULL,
           "n,cellar,0,0,5,0,brick,-0.5,1.5\ne,cellar,0,0,0,-5,brick,-0.5,1.5\n"
           "s,cellar,0,0,6,0,brick,-0.5,1.5\n",
           "");
}

Test(layers, what_the_table_has_not) {
    expect("layer,construction\nthin,stud\n", NULL,
           "e,up,0,0,0,-5,stud,,\ns,up,0,0,6,0,stud,,\n",
           "1:77 plan-layer-unlisted 1:180 plan-layer-unlisted");
    expect("layer,construction\nthin,stud\n", "brick",
           "n,up,0,0,5,0,brick,,\ne,up,0,0,0,-5,stud,,\ns,up,0,0,6,0,stud,,\n"
           "own,up,0,0,7,0,brick,,\n",
           "");
    expect("layer,construction\nouter walls,brick\nown,brick\nroof,brick\n", NULL,
           "n,up,0,0,5,0,brick,,\ne,up,0,0,0,-5,brick,,\ns,up,0,0,6,0,brick,,\n"
           "own,up,0,0,7,0,brick,,\n",
           "4:1 plan-layer-unused");
}

/* Without a table: a class, of groups else a label; and a line of neither is at fault. */
Test(layers, without_a_table) {
    expect("", NULL, "", "1:180 plan-no-construction");
    expect("", "brick",
           "n,up,0,0,5,0,brick,,\ne,up,0,0,0,-5,brick,,\ns,up,0,0,6,0,brick,,\n"
           "own,up,0,0,7,0,brick,,\n",
           "");
    static const char named[] =
        "<svg><g id='stud wall'><line x2='5'/><line class='brick' x2='6'/></g></svg>";
    const earshot_walls_task task = {.scale = traced_scale};
    traced got = traced_bytes("plan.svg", named, strlen(named), &task);
    cr_expect_str_eq(got.walls,
                     "stud wall,ground,0,0,5,0,stud wall,,\nbrick,ground,0,0,6,0,brick,,\n");
    traced_free(&got);
}

Test(layers, what_is_wrong_in_it) {
    static const struct {
        const char *table, *findings;
    } rows[] = {
        {"layer\nthin\n", "1:1 column-missing"},
        {"construction\nbrick\n", "1:1 column-missing"},
        {"layer,construction,Layer\na,b,c\n", "1:20 column-twice"},
        {"layer,construction\nthin,stud\nThin,brick\n", "3:1 name-twice"},
        {"layer,construction\n,stud\n", "2:1 cell-blank"},
        {"layer,construction,top_m\nthin,stud,high\n", "2:11 number-unreadable"},
        {"layer,construction,top_m\nthin,stud,51\n", "2:11 out-of-range"},
        {"layer,construction,bottom_m,top_m\nthin,stud,2,1\n", "2:13 top-below-bottom"},
        {"layer,construction\n\"thin,stud\n", "2:1 quote-open"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        traced got = trace(rows[i].table, "brick");
        cr_expect_eq(got.status, EARSHOT_INVALID);
        cr_expect(strncmp(got.findings, rows[i].findings, strlen(rows[i].findings)) == 0 ||
                      strstr(got.findings, rows[i].findings),
                  "%s: got %s", rows[i].table, got.findings);
        traced_free(&got);
    }
    expect("layer,construction,colour\nouter walls,brick,red\nown,brick,red\n", NULL,
           "n,up,0,0,5,0,brick,,\ne,up,0,0,0,-5,brick,,\ns,up,0,0,6,0,brick,,\n"
           "own,up,0,0,7,0,brick,,\n",
           "1:20 column-unknown");
}
