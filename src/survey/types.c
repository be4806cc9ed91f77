/* SPDX-License-Identifier: GPL-3.0-or-later */
/* types.c - what a device is, and what else people call it.
 *
 * A sheet from the office says "Door" and "Smoke alarm", the phone says "pir": one list of
 * words for tables and for `reach`, so that what is understood in one place is in the other.
 */
#include <string.h>

#include "rows.h"

const char *const survey_types[SURVEY_N_TYPES] = {
    "smoke",       "heat",   "co",    "flood", "panic",    "motion",   "contact",
    "glass-break", "keypad", "siren", "fob",   "receiver", "repeater", "other"};

/* Common practice, no source. */
const survey_type_word survey_type_words[SURVEY_N_TYPE_WORDS] = {
    {"smoke-detector", "smoke"},
    {"smoke-alarm", "smoke"},
    {"heat-detector", "heat"},
    {"heat-alarm", "heat"},
    {"carbon-monoxide", "co"},
    {"co-detector", "co"},
    {"co-alarm", "co"},
    {"water", "flood"},
    {"leak", "flood"},
    {"water-leak", "flood"},
    {"panic-button", "panic"},
    {"pir", "motion"},
    {"motion-detector", "motion"},
    {"motion-sensor", "motion"},
    {"door", "contact"},
    {"window", "contact"},
    {"door-contact", "contact"},
    {"window-contact", "contact"},
    {"glassbreak", "glass-break"},
    {"key-fob", "fob"},
};

size_t survey_type_called(const char *word) {
    for (size_t i = 0; i < SURVEY_N_TYPE_WORDS; i++)
        if (survey_same_word(word, survey_type_words[i].word)) {
            word = survey_type_words[i].type;
            break;
        }
    size_t type = 0;
    while (type < SURVEY_N_TYPES && !survey_same_word(word, survey_types[type]))
        type++;
    return type;
}
