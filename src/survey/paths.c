/* SPDX-License-Identifier: GPL-3.0-or-later */
/* paths.c - paths.csv: a survey without a plan, one row for each way a signal takes.
 *
 * "brick, brick, timber floor" says what is crossed, in walking order; blank is nothing, ? is a
 * wall nobody has looked at.
 */
#include <math.h>
#include <string.h>

#include "rows.h"

enum { MOST_OF_A_KIND = 9 }; /* as in words of one link */

/* The part of the text up to the next comma or semicolon, trimmed. Returns where to go on. */
static const char *next_crossing(const char *text, const char **begin, size_t *length) {
    while (*text == ' ')
        text++;
    *begin = text;
    while (*text && *text != ',' && *text != ';')
        text++;
    *length = (size_t)(text - *begin);
    while (*length && (*begin)[*length - 1] == ' ')
        (*length)--;
    return *text ? text + 1 : text;
}

static void say_crossing(survey_load *load, const survey_row *row, const char *begin,
                         size_t length) {
    char word[SURVEY_WORD_SIZE], hint[SURVEY_HINT_SIZE];
    survey_plain_word(word, begin, length);
    if (survey_pick_spoken_of(load, word))
        return;
    survey_hint_at(load, row, COLUMN_PATHS_CROSSINGS, hint, word, load->survey->by_name);
    survey_say(load, FINDINGS_CROSSING_UNKNOWN, row, COLUMN_PATHS_CROSSINGS,
               (const char *const[4]){word, hint});
}

/* "2 brick" is two of them: takes the count off the word; 1 where there is none. */
static size_t count_before(const char **begin, size_t *length) {
    if (*length < 3 || (*begin)[0] < '2' || (*begin)[0] > '0' + MOST_OF_A_KIND ||
        (*begin)[1] != ' ')
        return 1;
    size_t times = (size_t)((*begin)[0] - '0');
    *begin += 2;
    *length -= 2;
    return times;
}

static void read_crossings(survey_load *load, const survey_row *row, survey_path *path,
                           size_t *n_crossings) {
    earshot_survey *survey = load->survey;
    const char *text = survey_string(row, COLUMN_PATHS_CROSSINGS), *begin;
    size_t length;
    path->first_crossing = *n_crossings;
    while (*text) {
        text = next_crossing(text, &begin, &length);
        size_t times = count_before(&begin, &length);
        size_t construction = length ? survey_pick(load->survey, begin, length) : EARSHOT_NONE;
        if (construction != EARSHOT_NONE) {
            survey->constructions[construction].in_use = true;
            while (times-- > 0)
                survey->crossings[(*n_crossings)++] = construction;
        } else if (length) {
            say_crossing(load, row, begin, length);
        }
    }
    path->n_crossings = *n_crossings - path->first_crossing;
}

static size_t count_crossings(const survey_rows *rows) {
    size_t n = 1;
    for (size_t i = 0; i < rows->n; i++)
        for (const char *at = survey_string(&rows->rows[i], COLUMN_PATHS_CROSSINGS); *at; at++)
            n += MOST_OF_A_KIND * (*at == ',' || *at == ';' || at[1] == '\0');
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
