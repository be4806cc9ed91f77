/* SPDX-License-Identifier: GPL-3.0-or-later */
/* paths.c - paths.csv: a survey without a plan, one row for each way a signal takes.
 *
 * "brick, brick, timber floor" says what is crossed, in walking order; blank or none is
 * nothing, ? is a wall nobody has looked at.
 */
#include <math.h>
#include <string.h>

#include "rows.h"

enum { MOST_OF_A_KIND = 9 }; /* as in words of one link */

/* One walks through "brick, brick", and writes "brick + brick" and "brick / brick". */
static bool parts_crossings(char c) {
    return c && strchr(",;+&/", c) != NULL;
}

/* The part of the text up to the next separator, trimmed. Returns where to go on. */
static const char *next_crossing(const char *text, const char **begin, size_t *length) {
    while (*text == ' ')
        text++;
    *begin = text;
    while (*text && !parts_crossings(*text))
        text++;
    *length = (size_t)(text - *begin);
    while (*length && (*begin)[*length - 1] == ' ')
        (*length)--;
    return *text ? text + 1 : text;
}

static void say_crossing(survey_load *load, const survey_row *row, const char *begin,
                         size_t length) {
    char plain[SURVEY_WORD_SIZE], hint[SURVEY_HINT_SIZE];
    const char *written = survey_copy(load->survey->storage, begin, length);
    survey_plain_word(plain, begin, length);
    if (!written || survey_pick_spoken_of(load, plain))
        return;
    survey_hint_at(load, row, COLUMN_PATHS_CROSSINGS, hint, plain, load->survey->by_name);
    survey_say(load, FINDINGS_CROSSING_UNKNOWN, row, COLUMN_PATHS_CROSSINGS,
               (const char *const[4]){written, hint});
}

/* "2 brick", "2x brick" and "2 x brick" are two of them: how many, and how long that is. */
static size_t count_before(const char *text, size_t length, size_t *taken) {
    size_t at = 1;
    *taken = 0;
    if (length < 3 || text[0] < '2' || text[0] > '0' + MOST_OF_A_KIND)
        return 1;
    at += text[at] == ' ' && text[at + 1] == 'x';
    at += text[at] == 'x';
    if (at >= length || text[at] != ' ')
        return 1;
    *taken = at + 1;
    return (size_t)(text[0] - '0');
}

static size_t word_length(const char *text, size_t length) {
    const char *blank = memchr(text, ' ', length);
    return blank ? (size_t)(blank - text) : length;
}

/* The longest name that the text begins with, a whole number of words; EARSHOT_NONE. */
static size_t longest_name(const earshot_survey *survey, const char *text, size_t length,
                           size_t *taken) {
    for (*taken = length; *taken;) {
        size_t construction = survey_pick(survey, text, *taken);
        if (construction != EARSHOT_NONE)
            return construction;
        while (*taken && text[*taken - 1] != ' ')
            --*taken;
        while (*taken && text[*taken - 1] == ' ')
            --*taken;
    }
    return EARSHOT_NONE;
}

/* Adds the crossings of a part, of which there may be several, "brick and 2 stud". Returns how
 * much of it is left where a name is unknown, and adds none then. */
static size_t add_crossings(earshot_survey *survey, const char *text, size_t length,
                            size_t *n_crossings) {
    size_t n = *n_crossings;
    while (length) {
        size_t taken, times = count_before(text, length, &taken);
        text += taken;
        length -= taken;
        size_t construction = longest_name(survey, text, length, &taken);
        if (construction != EARSHOT_NONE) {
            survey->constructions[construction].in_use = true;
            for (; times > 0; times--)
                survey->crossings[n++] = construction;
        } else {
            taken = word_length(text, length);
            if (times != 1 || taken != strlen("and") || memcmp(text, "and", taken) != 0)
                return length;
        }
        for (; taken < length && text[taken] == ' ';)
            taken++;
        text += taken;
        length -= taken;
    }
    *n_crossings = n;
    return 0;
}

/* Somebody looked, and nothing is in the way. */
static bool is_nothing(const char *text) {
    static const char *const words[] = {"none", "nothing", "-"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (survey_same_word(text, words[i]))
            return true;
    return false;
}

static void read_crossings(survey_load *load, const survey_row *row, survey_path *path,
                           size_t *n_crossings) {
    const char *text = survey_string(row, COLUMN_PATHS_CROSSINGS), *begin;
    size_t length;
    path->first_crossing = *n_crossings;
    while (*text && !is_nothing(text)) {
        text = next_crossing(text, &begin, &length);
        size_t left = add_crossings(load->survey, begin, length, n_crossings);
        if (left)
            say_crossing(load, row, begin + length - left, left);
    }
    path->n_crossings = *n_crossings - path->first_crossing;
}

/* At least as many as there are: a count for each word. */
static size_t count_crossings(const survey_rows *rows) {
    size_t n = 1;
    for (size_t i = 0; i < rows->n; i++)
        for (const char *at = survey_string(&rows->rows[i], COLUMN_PATHS_CROSSINGS); *at; at++)
            n += MOST_OF_A_KIND * (*at == ' ' || parts_crossings(*at) || at[1] == '\0');
    return n;
}

static void check_ends(survey_load *load, const survey_row *row, const survey_path *path) {
    const earshot_survey *survey = load->survey;
    if (path->to != EARSHOT_NONE && survey->devices[path->to].role == SURVEY_SENSOR)
        survey_say(load, FINDINGS_PATH_TO_SENSOR, row, COLUMN_PATHS_TO,
                   (const char *const[4]){survey->devices[path->to].name});
    if (path->device == EARSHOT_NONE || path->to == EARSHOT_NONE)
        return;
    if (path->device == path->to)
        survey_say(load, FINDINGS_PATH_TO_ITSELF, row, COLUMN_PATHS_TO,
                   (const char *const[4]){survey->devices[path->to].name});
    else if (survey_path_between(survey, path->device, path->to) < survey->n_paths)
        survey_say(load, FINDINGS_PATH_TWICE, row, COLUMN_PATHS_DEVICE,
                   (const char *const[4]){survey->devices[path->device].name,
                                          survey->devices[path->to].name});
}

void survey_build_paths(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_PATHS];
    survey->paths = survey_take(survey->storage, rows->n + 1, sizeof *survey->paths);
    survey->crossings =
        survey_take(survey->storage, count_crossings(rows), sizeof *survey->crossings);
    survey->path_names = survey_names_new(survey->storage, rows->n);
    if (!survey->paths || !survey->crossings || !survey->path_names)
        return;
    size_t n_crossings = 0;
    for (size_t i = 0; i < rows->n; i++) {
        const survey_row *row = &rows->rows[i];
        survey_path path = {
            .device = survey_refer(load, row, COLUMN_PATHS_DEVICE, SURVEY_TABLE_DEVICES),
            .to = survey_refer(load, row, COLUMN_PATHS_TO, SURVEY_TABLE_DEVICES),
            .length_m = survey_number(row, COLUMN_PATHS_LENGTH, NAN),
            .table_line = row->line};
        path.mount = survey_refer(load, row, COLUMN_PATHS_MOUNT, SURVEY_TABLE_MOUNTS);
        read_crossings(load, row, &path, &n_crossings);
        check_ends(load, row, &path);
        if (path.device != EARSHOT_NONE && path.to != EARSHOT_NONE)
            survey_names_put(survey->path_names, path.device, survey->devices[path.to].name,
                             survey->n_paths);
        survey->paths[survey->n_paths++] = path;
    }
}

size_t survey_path_between(const earshot_survey *survey, size_t device, size_t listener) {
    size_t row = survey_names_find(survey->path_names, device, survey->devices[listener].name);
    return row == EARSHOT_NONE ? survey->n_paths : row;
}
