/* SPDX-License-Identifier: GPL-3.0-or-later */
/* picks.c - what people call walls and floors.
 *
 * A construction has one name in constructions.csv; walls-by-look.csv gives the words that
 * someone on a ladder or on the phone would use for it. "Timber floors", "timber floor" and
 * "timber-floor" are the same word.
 */
#include <string.h>

#include "rows.h"

void survey_build_names(survey_load *load) {
    const earshot_survey *survey = load->survey;
    const survey_rows *picks = &load->tables[SURVEY_TABLE_BY_LOOK];
    load->names = survey_take(survey->storage, survey->n_constructions + picks->n + 1,
                              sizeof *load->names);
    if (!load->names)
        return;
    for (size_t i = 0; i < survey->n_constructions; i++)
        load->names[load->n_names++] = (survey_name){survey->constructions[i].name, i};
    for (size_t i = 0; i < picks->n; i++) {
        size_t construction = survey_find(
            survey_string(&picks->rows[i], COLUMN_BY_LOOK_CONSTRUCTION), survey->constructions,
            survey->n_constructions, sizeof *survey->constructions);
        if (construction < survey->n_constructions)
            load->names[load->n_names++] = (survey_name){
                survey_string(&picks->rows[i], COLUMN_BY_LOOK_PICK), construction};
    }
}

void survey_plain_word(char out[SURVEY_WORD_SIZE], const char *word, size_t length) {
    size_t n = 0;
    for (size_t i = 0; i < length && n + 1 < SURVEY_WORD_SIZE; i++) {
        char c = word[i];
        if (c >= 'A' && c <= 'Z')
            c = (char)(c - 'A' + 'a');
        if (c == ' ' || c == '_')
            c = '-';
        if (c == '-' && n && out[n - 1] == '-')
            continue;
        out[n++] = c;
    }
    out[n] = '\0';
}

size_t survey_pick(const survey_load *load, const char *word, size_t length) {
    char plain[SURVEY_WORD_SIZE];
    if (length >= SURVEY_WORD_SIZE)
        return EARSHOT_NONE;
    survey_plain_word(plain, word, length);
    size_t found = survey_find(plain, load->names, load->n_names, sizeof *load->names);
    size_t end = strlen(plain);
    if (found == load->n_names && end > 1 && plain[end - 1] == 's') {
        plain[end - 1] = '\0';
        found = survey_find(plain, load->names, load->n_names, sizeof *load->names);
    }
    return found < load->n_names ? load->names[found].construction : EARSHOT_NONE;
}
