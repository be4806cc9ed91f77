/* SPDX-License-Identifier: GPL-3.0-or-later */
/* meant.c - which device a meter or a receiver speaks of: it knows a zone number, a label or a
 * serial, seldom the name in devices.csv.
 *
 * All that devices are called stands in one index, a scope for each kind of name. Where two
 * devices are called alike, the second stands in a scope of its own, so that it is seen that
 * nobody can tell them apart.
 */
#include <string.h>

#include "logs.h"
#include "text.h"

/* As it is looked up: a name as it is, a zone as a plain number, all else in lower case; ""
 * when nobody can be called so. */
static void key_of(char out[SURVEY_WORD_SIZE], const char *word, enum log_naming naming) {
    size_t length = strlen(word);
    double zone;
    out[0] = '\0';
    if (naming == LOG_ZONE) {
        if (text_read_number(word, length, '.', &zone) == TEXT_NUMBER_OK && zone >= 1)
            text_write_number(out, zone);
        return;
    }
    if (length + 1 > SURVEY_WORD_SIZE)
        return;
    for (size_t i = 0; i <= length; i++)
        out[i] = naming == LOG_DEVICE ? word[i] : text_lower(word[i]);
}

static void put(survey_load *load, struct survey_names *callings, const char *word,
                enum log_naming naming, size_t device) {
    char key[SURVEY_WORD_SIZE];
    key_of(key, word, naming);
    const char *kept = key[0] ? survey_copy(load->survey->storage, key, strlen(key)) : NULL;
    if (!kept)
        return;
    bool taken = survey_names_find(callings, (size_t)naming, kept) != EARSHOT_NONE;
    survey_names_put(callings, (size_t)naming + (taken ? LOG_N_NAMINGS : 0), kept, device);
}

struct survey_names *log_callings(survey_load *load) {
    const earshot_survey *survey = load->survey;
    struct survey_names *callings =
        survey_names_new(survey->storage, LOG_N_NAMINGS * survey->n_devices);
    for (size_t i = 0; callings && i < survey->n_devices; i++) {
        const survey_device *device = &survey->devices[i];
        char zone[TEXT_NUMBER_SIZE];
        text_write_fixed(zone, device->zone, 0);
        put(load, callings, device->name, LOG_DEVICE, i);
        put(load, callings, zone, LOG_ZONE, i);
        put(load, callings, device->label, LOG_LABEL, i);
        put(load, callings, device->serial, LOG_SERIAL, i);
    }
    return callings;
}

/* Adds the device unless it is there, or there are enough. */
static void add(size_t device, size_t devices[LOG_MOST_MEANT], size_t *n) {
    for (size_t i = 0; i < *n; i++)
        if (devices[i] == device)
            return;
    if (device != EARSHOT_NONE && *n < LOG_MOST_MEANT)
        devices[(*n)++] = device;
}

size_t log_meant(const struct survey_names *callings, const char *word, enum log_naming naming,
                 size_t devices[LOG_MOST_MEANT]) {
    size_t n = 0;
    bool named = false;
    for (int i = LOG_DEVICE; i < LOG_N_NAMINGS && !named; i++) {
        char key[SURVEY_WORD_SIZE];
        key_of(key, word, (enum log_naming)i);
        if (!key[0] || (naming != LOG_ANY && (int)naming != i))
            continue;
        add(survey_names_find(callings, (size_t)i, key), devices, &n);
        add(survey_names_find(callings, (size_t)(i + LOG_N_NAMINGS), key), devices, &n);
        named = n && i == LOG_DEVICE;
    }
    return n;
}
