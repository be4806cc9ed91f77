/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_draw.c - earshot draw SURVEY: the plan with its lines of margin, one link as a stair of
 * falling level, or what was read beside what was predicted.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "text.h"

enum { LINK, FIT, WITH, LEVEL, HEIGHT, STEP, JSON, CSV, WITHOUT, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [LINK] = {"--link", "ZONE[:LISTENER]", "one link as a stair; default listener: its best"},
    [FIT] = {"--fit", NULL, "what was read beside what was predicted, and where it is off"},
    [WITH] = {"--with", "WHAT=SPOT,...",
              "lighter: receiver=SPOT moves it there, repeater=SPOT puts one there"},
    [LEVEL] = {"--level", "LEVEL", "that one alone; default: all"},
    [HEIGHT] = {"--height", "M", "of the sensor, or receiver, above the floor; default 1.5"},
    [STEP] = {"--step", "M", "between points, 0.02 to 100; default: by the size of the plan"},
    [JSON] = {"--json", NULL, "the margin at each point, for programs"},
    [CSV] = {"--csv", NULL, "the same, a row for each point"},
    [WITHOUT] = {"--without-readings", NULL, "as if there were no readings.csv"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = {"--out", "FILE", "write it there, whole or not at all; .pdf and .png too"}};

static enum earshot_form form_of(const cli_words *words) {
    if (words->option[JSON] || words->option[CSV])
        return cli_form(words->option[JSON], words->option[CSV], NULL);
    return EARSHOT_SVG;
}

/* ---- the answer: SVG, or what the name of the file ends with ---- */

static bool ends_with(const char *name, const char *end) {
    size_t n = name ? strlen(name) : 0;
    return n > strlen(end) && strcmp(name + n - strlen(end), end) == 0;
}

static bool is_painted(const cli_words *words) {
    return ends_with(words->option[OUT], ".pdf") || ends_with(words->option[OUT], ".png");
}

static enum cli_exit paint(const cli_opened *opened, const earshot_drawing *drawing) {
    const char *out = opened->words->option[OUT];
    cli_painted painted;
    if (!cli_paint(drawing, ends_with(out, ".pdf"), &painted))
        return cli_status(EARSHOT_NO_MEMORY);
    bool good = cli_save_file(out, painted.data, painted.size);
    free(painted.data);
    return good ? CLI_DONE : CLI_FILE;
}

/* Writes a drawing that could be made, and lets go of it. */
static enum cli_exit finish(const cli_opened *opened, enum earshot_status status,
                            earshot_drawing *drawing) {
    enum cli_exit result = CLI_DONE;
    bool painted = is_painted(opened->words);
    if (status == EARSHOT_OK && !painted)
        status = earshot_drawing_write(drawing, EARSHOT_SVG, opened->text);
    if (status != EARSHOT_OK)
        result = cli_status(status);
    else
        result = painted ? paint(opened, drawing)
                         : cli_answer(EARSHOT_SVG, opened->words->option[OUT], opened->text);
    earshot_drawing_free(drawing);
    return result;
}

static enum cli_exit refuse(const char *value, const char *why) {
    return cli_misuse(&cli_verb_draw, value, why);
}

/* Of an option that has been looked at. */
static double number_of(const char *option) {
    double value = 0;
    text_read_number(option, strlen(option), '.', &value);
    return value;
}

/* ---- the plan ---- */

/* Says why the task cannot be drawn. */
static enum cli_exit refuse_task(const cli_opened *opened, const earshot_plan_task *task) {
    const cli_words *words = opened->words;
    const char *asked = words->option[LEVEL];
    if (!earshot_survey_has_plan(opened->survey)) {
        fprintf(stderr,
                "earshot draw: '%s' has no plan; give walls.csv and places in devices.csv, or "
                "--link ZONE for one link as a stair\n",
                words->words[0]);
        return CLI_INVALID;
    }
    if (asked && task->level == earshot_survey_levels(opened->survey))
        return refuse(asked, "is not a level of levels.csv");
    return refuse(asked, "has nothing on it to draw");
}

static enum cli_exit draw_plan(cli_opened *opened, const cli_arrangement *with) {
    const cli_words *words = opened->words;
    earshot_plan_task task = {.level = EARSHOT_NONE, .height_m = NAN};
    if (words->option[LEVEL])
        task.level = earshot_survey_find_level(opened->survey, words->option[LEVEL]);
    if (words->option[HEIGHT])
        task.height_m = number_of(words->option[HEIGHT]);
    if (words->option[STEP])
        task.step_m = number_of(words->option[STEP]);
    if (with) {
        task.posts = with->posts;
        task.n_posts = with->n_posts;
        task.posts_name = with->name;
    }
    if (!earshot_plan_task_valid(opened->survey, &task))
        return refuse_task(opened, &task);
    if (form_of(words) == EARSHOT_SVG) {
        earshot_drawing *drawing = NULL;
        enum earshot_status status =
            earshot_plan_draw(opened->survey, opened->belief, &task, &drawing);
        return finish(opened, status, drawing);
    }
    enum earshot_status status =
        earshot_plan_write(opened->survey, opened->belief, &task, form_of(words), opened->text);
    return cli_give(status, form_of(words), words->option[OUT], opened->text);
}

/* ---- one link ---- */

static enum cli_exit draw_link(cli_opened *opened, const cli_arrangement *with) {
    const cli_words *words = opened->words;
    earshot_link link;
    enum cli_exit result = cli_find_link(&cli_verb_draw, opened, words->option[LINK], &link);
    if (result != CLI_DONE)
        return result;
    earshot_drawing *drawing = NULL;
    enum earshot_status status =
        earshot_section_draw(opened->survey, opened->belief, &link, with ? with->posts : NULL,
                             with ? with->n_posts : 0, &drawing);
    return finish(opened, status, drawing);
}

/* ---- readings ---- */

static enum cli_exit draw_fit(cli_opened *opened) {
    earshot_drawing *drawing = NULL;
    enum earshot_status status = earshot_fit_draw(opened->survey, opened->belief, &drawing);
    if (status == EARSHOT_MISUSE) {
        fprintf(stderr,
                "earshot draw: '%s' has no readings to compare with; add readings.csv\n",
                opened->words->words[0]);
        return CLI_INVALID;
    }
    return finish(opened, status, drawing);
}

/* ---- the verb ---- */

static enum cli_exit answer(cli_opened *opened) {
    const cli_words *words = opened->words;
    cli_arrangement with;
    enum cli_exit result = CLI_DONE;
    if (words->option[FIT])
        return draw_fit(opened);
    if (words->option[WITH])
        result = cli_arrange(&cli_verb_draw, opened->survey, words->option[WITH], &with);
    if (result != CLI_DONE)
        return result;
    const cli_arrangement *other = words->option[WITH] ? &with : NULL;
    return words->option[LINK] ? draw_link(opened, other) : draw_plan(opened, other);
}

static bool is_number(const char *option, double least, double most) {
    double value;
    return !option ||
           (text_read_number(option, strlen(option), '.', &value) == TEXT_NUMBER_OK &&
            value >= least && value <= most);
}

static enum cli_exit run_draw(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words),
                             .without_readings = words->option[WITHOUT] != NULL};
    if (!is_number(words->option[HEIGHT], -100, 100))
        return refuse(words->option[HEIGHT], "is not a height in meters, from -100 to 100");
    if (!is_number(words->option[STEP], 0.02, 100))
        return refuse(words->option[STEP], "is not a step in meters, from 0.02 to 100");
    if (how.form != EARSHOT_SVG && (words->option[LINK] || words->option[FIT]))
        return refuse(NULL, "--json and --csv are of the plan; leave --link and --fit out");
    if (how.form == EARSHOT_SVG && is_painted(words) && !cli_can_paint())
        return refuse(words->option[OUT],
                      "can't be made: this earshot was built without cairo; write .svg");
    return cli_open_survey(&cli_verb_draw, words, &how, answer);
}

const cli_verb cli_verb_draw = {
    .name = "draw",
    .summary = "Draws the plan with lines of margin, or one link as a stair of falling level.",
    .about =
        "One SVG file, or PDF or PNG by the name of --out, black on white, a panel for each "
        "level: walls by what they are built "
        "of, "
        "devices by verdict, and lines of equal margin for a sensor at one height; inside the "
        "heavy line it holds. With --link one link from what is sent to what the listener "
        "needs, with all that takes of it in between; with --fit what was read beside what was "
        "predicted. With --csv or --json the numbers: the margin of a sensor at each point, "
        "and "
        "for a receiver there the smallest spare over all zones.",
    .usage = "SURVEY [options]",
    .example = "earshot draw surveys/demo --level ground",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_draw};
