/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_svg.c - names that would do harm in a picture or in a spreadsheet are harmless there,
 * and stay text. By the rules of XML 1.0: sections 2.2 (which characters there are) and 2.4
 * (which must be escaped).
 */
#include "earshot/earshot.h"
#include "folder.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const char devices[] =
    "device,role,level,x_m,y_m,height_m,radio,label,zone\n"
    "panel,receiver,ground,1,1,1.5,868-10mw,<script>,\n"
    "\"=1+1\",sensor,ground,3,3,1.5,868-10mw,\"\"\"><svg onload='x'>&amp;\n\x0b second\",\n"
    "@a,sensor,ground,5,2,1.5,868-10mw,]]>\xEF\xBF\xBE\xEF\xBF\xBFz,\n";
static const char levels[] = "level,floor_z_m,height_m\nground,0,2.5\n";
static const char site[] = "key,value\nname,\"A <b> & \"\"c\"\"\"\nenvironment,dwelling\n";

struct scene {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
};

static void open_scene(struct scene *out) {
    *out = (struct scene){0};
    folder_put(&out->tables, "site.csv", site);
    folder_put(&out->tables, "levels.csv", levels);
    folder_put(&out->tables, "devices.csv", devices);
    out->survey = folder_load(&out->tables);
    cr_assert_eq(earshot_belief_prior(out->survey, &out->belief), EARSHOT_OK);
}

static void close_scene(struct scene *scene) {
    earshot_belief_free(scene->belief);
    earshot_survey_free(scene->survey);
    folder_free(&scene->tables);
}

static earshot_text *written(const struct scene *scene, enum earshot_form form) {
    const earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN, .step_m = 1};
    earshot_text *text = earshot_text_new();
    cr_assert_eq(earshot_plan_write(scene->survey, scene->belief, &task, form, text),
                 EARSHOT_OK);
    return text;
}

static void expect_harmless(const char *svg) {
    static const char *const gone[] = {"<script", "onload='",     "<b>",         "]]>",
                                       "\x0b",    "\xEF\xBF\xBE", "\xEF\xBF\xBF"};
    static const char *const kept[] = {"&lt;script&gt;",
                                       "&quot;&gt;&lt;svg onload=&#39;x&#39;&gt;&amp;amp;",
                                       "]]&gt;??z", "A &lt;b&gt; &amp; &quot;c&quot;"};
    for (size_t i = 0; i < sizeof gone / sizeof *gone; i++)
        cr_expect_null(strstr(svg, gone[i]), "'%s' is there", gone[i]);
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        cr_expect_not_null(strstr(svg, kept[i]), "'%s' is not there", kept[i]);
}

Test(svg, names_are_text) {
    struct scene scene;
    open_scene(&scene);
    earshot_text *text = written(&scene, EARSHOT_SVG);
    expect_harmless(earshot_text_data(text));
    cr_expect_eq(strncmp(earshot_text_data(text), "<?xml ", 6), 0);
    earshot_text_free(text);
    text = written(&scene, EARSHOT_HTML);
    expect_harmless(earshot_text_data(text));
    cr_expect_eq(strncmp(earshot_text_data(text), "<svg ", 5), 0, "an element alone");
    earshot_text_free(text);
    close_scene(&scene);
}

Test(svg, names_are_no_formulas) {
    struct scene scene;
    open_scene(&scene);
    earshot_text *text = written(&scene, EARSHOT_CSV);
    cr_expect(strstr(earshot_text_data(text), ",\"'=1+1\"\n") ||
              strstr(earshot_text_data(text), ",\"'@a\"\n"));
    cr_expect_null(strstr(earshot_text_data(text), ",=1+1"));
    cr_expect_null(strstr(earshot_text_data(text), ",@a"));
    earshot_text_free(text);
    close_scene(&scene);
}

/* One sensor that nothing is in the way of: an open ring, a disc, words; and a form that no
 * picture has. */
Test(svg, forms_and_misuse) {
    struct scene scene;
    const earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN};
    open_scene(&scene);
    earshot_text *text = earshot_text_new();
    cr_expect_eq(earshot_plan_write(scene.survey, scene.belief, &task, EARSHOT_PLAIN, text),
                 EARSHOT_MISUSE);
    cr_expect_eq(earshot_fit_write(scene.survey, scene.belief, text), EARSHOT_MISUSE);
    cr_expect_eq(earshot_drawing_write(NULL, EARSHOT_SVG, text), EARSHOT_MISUSE);
    cr_expect_eq(earshot_text_size(text), 0);
    earshot_text_free(text);
    close_scene(&scene);
}
