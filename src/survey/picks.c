/* SPDX-License-Identifier: GPL-3.0-or-later */
/* picks.c - what people call walls and floors.
 *
 * A construction has one name in constructions.csv; walls-by-look.csv gives the words that
 * someone on a ladder or on the phone would use for it. "Timber floors", "timber floor" and
 * "timber-floor" are the same word.
 */
#include <string.h>

#include "rows.h"
#include "text.h"

static size_t construction_of(const survey_load *load, const survey_row *row) {
    return survey_names_find(load->built[SURVEY_TABLE_CONSTRUCTIONS], 0,
                             survey_string(row, COLUMN_BY_LOOK_CONSTRUCTION));
}

/* A company's own table may have capitals and blanks in its names: a plain word finds them too.
 */
static void add_name(earshot_survey *survey, const char *name, size_t construction) {
    char plain[SURVEY_WORD_SIZE];
    survey_plain_word(plain, name, strlen(name));
    const char *word =
        strcmp(plain, name) == 0 ? name : survey_copy(survey->storage, plain, strlen(plain));
    survey->names[survey->n_names++] = (survey_name){name, construction};
    survey_names_put(survey->by_name, 0, name, construction);
    if (word)
        survey_names_put(survey->by_word, 0, word, construction);
}

static void add_look(earshot_survey *survey, const survey_row *row, size_t construction) {
    add_name(survey, survey_string(row, COLUMN_BY_LOOK_PICK), construction);
    survey->looks[survey->n_looks++] =
        (survey_look){.sign = {survey_string(row, COLUMN_BY_LOOK_PICK),
                               survey_string(row, COLUMN_BY_LOOK_LOOK),
                               survey_string(row, COLUMN_BY_LOOK_KNOCK),
                               survey_string(row, COLUMN_BY_LOOK_DRILL_DUST),
                               survey_string(row, COLUMN_BY_LOOK_THICKNESS),
                               survey_string(row, COLUMN_BY_LOOK_HOUSE_AGE)},
                      .construction = construction,
                      .ask = survey_string(row, COLUMN_BY_LOOK_ASK)};
}

void survey_build_names(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *picks = &load->tables[SURVEY_TABLE_BY_LOOK];
    size_t most = survey->n_constructions + picks->n;
    survey->names = survey_take(survey->storage, most + 1, sizeof *survey->names);
    survey->by_name = survey_names_new(survey->storage, most);
    survey->by_word = survey_names_new(survey->storage, most);
    survey->looks = survey_take(survey->storage, picks->n + 1, sizeof *survey->looks);
    if (!survey->names || !survey->looks)
        return;
    for (size_t i = 0; i < survey->n_constructions; i++)
        add_name(survey, survey->constructions[i].name, i);
    for (size_t i = 0; i < picks->n; i++) {
        size_t construction = construction_of(load, &picks->rows[i]);
        if (construction != EARSHOT_NONE)
            add_look(survey, &picks->rows[i], construction);
    }
}

void survey_plain_word(char out[SURVEY_WORD_SIZE], const char *word, size_t length) {
    size_t n = 0;
    for (size_t i = 0; i < length && n + 1 < SURVEY_WORD_SIZE; i++) {
        char c = text_lower(word[i]);
        if (c == ' ' || c == '_')
            c = '-';
        if (c == '-' && n && out[n - 1] == '-')
            continue;
        out[n++] = c;
    }
    out[n] = '\0';
}

static size_t find_word(const earshot_survey *survey, const char *plain) {
    return survey_names_find(survey->by_word, 0, plain);
}

/* "brick-wall" is brick: the word for its class may stand behind a name. Cuts `plain`. */
static size_t find_with_class(const earshot_survey *survey, char *plain) {
    static const char *const classes[] = {"-wall", "-floor", "-door", "-window"};
    size_t length = strlen(plain);
    for (size_t class = 0; class < sizeof classes / sizeof *classes; class ++) {
        size_t tail = strlen(classes[class]);
        if (length <= tail || strcmp(plain + length - tail, classes[class]) != 0)
            continue;
        plain[length - tail] = '\0';
        size_t found = find_word(survey, plain);
        if (strcmp(plain, classes[class] + 1) == 0) /* "wall wall" is two of them */
            return EARSHOT_NONE;
        if (found != EARSHOT_NONE && (size_t)survey->constructions[found].class == class)
            return found;
        break;
    }
    return EARSHOT_NONE;
}

size_t survey_pick(const earshot_survey *survey, const char *word, size_t length) {
    char plain[SURVEY_WORD_SIZE] = "";
    if (length == 0 || length >= SURVEY_WORD_SIZE)
        return EARSHOT_NONE;
    memcpy(plain, word, length);
    size_t found = survey_names_find(survey->by_name, 0, plain); /* as it is written, first */
    if (found != EARSHOT_NONE)
        return found;
    survey_plain_word(plain, word, length);
    found = find_word(survey, plain);
    size_t end = strlen(plain);
    if (found == EARSHOT_NONE && end > 1 && plain[end - 1] == 's') {
        plain[end - 1] = '\0';
        found = find_word(survey, plain);
    }
    return found != EARSHOT_NONE ? found : find_with_class(survey, plain);
}

/* A word that is of a table at fault itself, one that was not read, or a pick of a construction
 * that nobody knows, in the plural or not, has been spoken of. */
bool survey_pick_spoken_of(const survey_load *load, const char *plain) {
    size_t end = strlen(plain);
    char one[SURVEY_WORD_SIZE];
    memcpy(one, plain, end + 1);
    if (end && one[end - 1] == 's')
        one[end - 1] = '\0';
    return load->broken[SURVEY_TABLE_CONSTRUCTIONS] || load->broken[SURVEY_TABLE_BY_LOOK] ||
           survey_row_named(load, SURVEY_TABLE_BY_LOOK, plain) ||
           survey_row_named(load, SURVEY_TABLE_BY_LOOK, one);
}

static void say_unknown(survey_load *load, const survey_row *row, enum survey_column column,
                        const tables_cell *cell) {
    char word[SURVEY_WORD_SIZE], hint[SURVEY_HINT_SIZE];
    survey_plain_word(word, cell->text, cell->length);
    if (survey_pick_spoken_of(load, word))
        return;
    survey_hint_at(load, row, column, hint, cell->text, load->survey->by_name);
    survey_say(load, FINDINGS_CONSTRUCTION_UNKNOWN, row, column,
               (const char *const[4]){cell->text, hint});
}

size_t survey_refer_construction(survey_load *load, const survey_row *row,
                                 enum survey_column column) {
    earshot_survey *survey = load->survey;
    const tables_cell *cell = survey_get(row, column)->cell;
    size_t found = survey_pick(survey, cell->text, cell->length);
    if (found != EARSHOT_NONE)
        survey->constructions[found].in_use = true;
    else if (cell->length)
        say_unknown(load, row, column, cell);
    return found;
}
