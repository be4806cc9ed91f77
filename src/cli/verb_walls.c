/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_walls.c - earshot walls PLAN: walls.csv out of a plan that somebody has drawn.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "text.h"

enum { SCALE, POINTS, LAYERS, CONSTRUCTION, LEVEL, ALL_FAULTS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [SCALE] = {"--scale", "SIZE",
               "\"LINE 4.5m\": a line's name and length; \"X,Y X,Y 4.5m\"; or 1:50"},
    [POINTS] = {"--points", "PLACES",
                "\"X,Y=X_M,Y_M X,Y=X_M,Y_M\": two points, and where they are in meters"},
    [LAYERS] = {"--layers", "FILE",
                "a table: layer, construction (blank: no wall), bottom_m, top_m, level"},
    [CONSTRUCTION] = {"--construction", "NAME", "what lines are made of that no row is for"},
    [LEVEL] = {"--level", "NAME", "of walls that no row gives one (ground)"},
    [ALL_FAULTS] = {"--all-faults", NULL, "all that is wrong, not the first five"},
    [OUT] = {"--out", "FILE", "write walls.csv there, whole or not at all"}};

/* ---- values of options ---- */

/* "12.5,40" up to `end`. */
static bool read_pair(const char *text, const char *end, double *x, double *y) {
    const char *comma = memchr(text, ',', (size_t)(end - text));
    return comma && text_read_number(text, (size_t)(comma - text), '.', x) == TEXT_NUMBER_OK &&
           text_read_number(comma + 1, (size_t)(end - comma - 1), '.', y) == TEXT_NUMBER_OK;
}

/* "4.5", "4.5m", "15ft"; above 0. */
static bool read_length(const char *text, double *length_m) {
    size_t length = strlen(text);
    double unit_m = 1;
    if (length > 2 && strcmp(text + length - 2, "ft") == 0) {
        unit_m = 0.3048;
        length -= 2;
    } else if (length > 1 && text[length - 1] == 'm') {
        length -= 1;
    }
    if (text_read_number(text, length, '.', length_m) != TEXT_NUMBER_OK)
        return false;
    *length_m *= unit_m;
    return *length_m > 0;
}

static bool read_ratio(const char *text, earshot_scale *scale) {
    if (strncmp(text, "1:", 2) != 0 ||
        text_read_number(text + 2, strlen(text + 2), '.', &scale->ratio) != TEXT_NUMBER_OK)
        return false;
    scale->kind = EARSHOT_SCALE_PAPER;
    return scale->ratio > 0;
}

/* "0,0 100,0" up to `end`. */
static bool read_two_points(const char *text, const char *end, earshot_scale *scale) {
    const char *blank = memchr(text, ' ', (size_t)(end - text));
    return blank && read_pair(text, blank, &scale->x1, &scale->y1) &&
           read_pair(blank + 1, end, &scale->x2, &scale->y2);
}

/* Cuts the length off `text`; what stands before it are points, or the name of a line. */
static bool read_scale(char *text, earshot_scale *scale) {
    char *blank = strrchr(text, ' ');
    if (!blank)
        return read_ratio(text, scale);
    if (blank == text || !read_length(blank + 1, &scale->length_m))
        return false;
    *blank = '\0';
    scale->kind =
        read_two_points(text, blank, scale) ? EARSHOT_SCALE_DISTANCE : EARSHOT_SCALE_LINE;
    scale->line = text;
    return true;
}

/* "0,0=2,3" up to `end`. */
static bool read_known(const char *text, const char *end, double at[2], double at_m[2]) {
    const char *equals = memchr(text, '=', (size_t)(end - text));
    return equals && read_pair(text, equals, &at[0], &at[1]) &&
           read_pair(equals + 1, end, &at_m[0], &at_m[1]);
}

static bool read_points(const char *text, earshot_scale *scale) {
    const char *blank = strchr(text, ' ');
    double at[2], at_m[2], to[2], to_m[2];
    if (!blank || !read_known(text, blank, at, at_m) ||
        !read_known(blank + 1, text + strlen(text), to, to_m))
        return false;
    *scale = (earshot_scale){.kind = EARSHOT_SCALE_POINTS,
                             .x1 = at[0],
                             .y1 = at[1],
                             .x2 = to[0],
                             .y2 = to[1],
                             .x1_m = at_m[0],
                             .y1_m = at_m[1],
                             .x2_m = to_m[0],
                             .y2_m = to_m[1]};
    return true;
}

/* `copy` is what --scale says, and is cut to pieces that the scale keeps. */
static enum cli_exit read_options(const cli_words *words, char *copy, earshot_scale *scale) {
    const char *size = words->option[SCALE], *points = words->option[POINTS];
    if (size && points)
        return cli_misuse(&cli_verb_walls, points, "is a second scale; give one");
    if (size && !read_scale(copy, scale))
        return cli_misuse(&cli_verb_walls, size,
                          "is no scale; write \"LINE 4.5m\", \"X,Y X,Y 4.5m\" or 1:50");
    if (points && !read_points(points, scale))
        return cli_misuse(&cli_verb_walls, points,
                          "are not two points; write \"X,Y=X_M,Y_M X,Y=X_M,Y_M\"");
    return CLI_DONE;
}

/* ---- the walls ---- */

struct work {
    cli_folder files; /* the plan, and the table of layers */
    earshot_findings *findings;
    earshot_text *text;
    char *scale; /* a copy of the option */
};

static void show(const cli_words *words, const struct work *work, bool failed) {
    char command[300];
    snprintf(command, sizeof command, "earshot walls %s ... --all-faults", words->words[0]);
    cli_show_findings(work->findings, &work->files, !failed || words->option[ALL_FAULTS],
                      command);
}

static enum cli_exit write_walls(const cli_words *words, const struct work *work,
                                 const earshot_scale *scale) {
    const earshot_walls_task task = {.scale = *scale,
                                     .layers =
                                         words->option[LAYERS] ? &work->files.tables[1] : NULL,
                                     .construction = words->option[CONSTRUCTION],
                                     .level = words->option[LEVEL]};
    enum earshot_status status =
        earshot_walls_read(&work->files.tables[0], &task, work->findings, work->text);
    if (status == EARSHOT_OK || status == EARSHOT_INVALID)
        show(words, work, status == EARSHOT_INVALID);
    return cli_give(status, EARSHOT_CSV, words->option[OUT], work->text);
}

static enum cli_exit work_on(const cli_words *words, struct work *work) {
    const char *layers = words->option[LAYERS], *size = words->option[SCALE];
    earshot_scale scale = {.kind = EARSHOT_SCALE_NONE};
    work->scale = cli_join("", size ? size : "");
    if (!work->findings || !work->text || !work->scale)
        return cli_status(EARSHOT_NO_MEMORY);
    enum cli_exit read = read_options(words, work->scale, &scale);
    if (read != CLI_DONE)
        return read;
    if (!cli_read_file(words->words[0], &work->files) ||
        (layers && !cli_read_file(layers, &work->files)))
        return CLI_FILE;
    return write_walls(words, work, &scale);
}

static enum cli_exit run_walls(const cli_words *words) {
    if (words->n_words != 1)
        return cli_misuse(&cli_verb_walls, words->n_words ? words->words[1] : NULL,
                          words->n_words ? "is one plan too many"
                                         : "name the file of a plan, SVG or GeoJSON");
    struct work work = {.findings = earshot_findings_new(), .text = earshot_text_new()};
    enum cli_exit result = work_on(words, &work);
    earshot_findings_free(work.findings);
    earshot_text_free(work.text);
    cli_free_folder(&work.files);
    free(work.scale);
    return result;
}

const cli_verb cli_verb_walls = {
    .name = "walls",
    .summary = "Makes walls.csv of a plan drawn as SVG, or as GeoJSON in meters.",
    .about =
        "Draw a line along the middle of each wall, in any drawing program, on a layer (or "
        "with a class) for each kind of wall, and save it as plain SVG. Name one line whose "
        "length you know and give both to --scale; it is no wall then, and its first end "
        "becomes 0,0. Or give two points of the drawing and how far apart they are; or, if "
        "the paper has a scale, 1:50, and the lower left corner becomes 0,0. What is curved, "
        "hidden or no line is left out and told.",
    .usage = "FILE [options]",
    .example =
        "earshot walls surveys/traced/plan/house.svg --layers surveys/traced/plan/layers.csv "
        "--scale \"known 8m\"",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_walls};
