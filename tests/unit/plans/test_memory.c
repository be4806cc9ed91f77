/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_memory.c - a plan of each kind, each of its allocations failing in turn: alone, and with
 * all behind it. No crash, no leak, no table that is cut and yet called done.
 *
 * expat's allocations are ours, by the functions that it is handed; jansson's are refused where
 * it is linked into this program.
 */
#include <criterion/criterion.h>
#include <string.h>

#include "earshot/plans.h"
#include "shortage.h"

struct scene {
    const char *name, *plan, *table;
    enum earshot_scale_kind kind;
};

static const char table[] = "layer,construction\nbrick,brick\nother,stud\n";

static const struct scene scenes[] = {
    {"plan.svg",
     "<svg xmlns='http://www.w3.org/2000/svg'><g class='brick'><line id='a' x2='5'/>"
     "<path d='M0,0 h5 v5 a1,1 0 0 0 5,5'/><text>t</text></g><g id='none'><line x2='6'/></g>"
     "</svg>",
     table, EARSHOT_SCALE_DISTANCE},
    {"plan.geojson",
     "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"id\":\"n\","
     "\"properties\":{\"layer\":\"brick\",\"level\":\"up\"},\"geometry\":{\"type\":\"Polygon\","
     "\"coordinates\":[[[0,0],[5,0],[5,5],[0,0]]]}}]}",
     table, EARSHOT_SCALE_NONE},
};

/* One try; how many allocations were refused. What comes out whole must equal `want`. */
static long once(const struct scene *scene, void (*begin)(long n), long n,
                 const earshot_text *want) {
    earshot_findings *findings = earshot_findings_new();
    earshot_text *out = earshot_text_new();
    cr_assert(findings && out);
    const earshot_bytes plan = {scene->name, scene->plan, strlen(scene->plan)};
    const earshot_bytes layers = {"layers.csv", scene->table, strlen(scene->table)};
    const earshot_walls_task task = {.scale = {.kind = scene->kind, .x2 = 1, .length_m = 1},
                                     .layers = &layers};
    begin(n);
    enum earshot_status status = earshot_walls_read(&plan, &task, findings, out);
    long refused = shortage_end();
    cr_expect_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK, "%s, n %ld: %d, %s",
                 scene->name, n, (int)status,
                 earshot_findings_count(findings) ? earshot_findings_at(findings, 0).sentence
                                                  : "");
    if (!refused)
        cr_expect_str_eq(earshot_text_data(out), earshot_text_data(want));
    else
        cr_expect_eq(earshot_text_size(out), 0);
    earshot_text_free(out);
    earshot_findings_free(findings);
    return refused;
}

static earshot_text *whole(const struct scene *scene) {
    earshot_findings *findings = earshot_findings_new();
    earshot_text *out = earshot_text_new();
    const earshot_bytes plan = {scene->name, scene->plan, strlen(scene->plan)};
    const earshot_bytes layers = {"layers.csv", scene->table, strlen(scene->table)};
    const earshot_walls_task task = {.scale = {.kind = scene->kind, .x2 = 1, .length_m = 1},
                                     .layers = &layers};
    cr_assert_eq(earshot_walls_read(&plan, &task, findings, out), EARSHOT_OK);
    earshot_findings_free(findings);
    return out;
}

Test(memory, each_allocation_failing) {
    for (size_t i = 0; i < sizeof scenes / sizeof *scenes; i++) {
        earshot_text *want = whole(&scenes[i]);
        long n = 0;
        while (once(&scenes[i], shortage_begin, n, want) > 0)
            n++;
        cr_expect_gt(n, 10, "%s", scenes[i].name);
        for (long alone = 0; alone < n; alone++)
            once(&scenes[i], shortage_once, alone, want);
        earshot_text_free(want);
    }
}
