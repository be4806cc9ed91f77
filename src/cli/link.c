/* SPDX-License-Identifier: GPL-3.0-or-later */
/* link.c - a link in words: ZONE or ZONE:LISTENER, by name, zone number or label.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "text.h"

static enum cli_exit say_no_device(const cli_verb *verb, const earshot_survey *survey,
                                   const char *name) {
    size_t n = earshot_survey_devices(survey), near;
    const char **names = calloc(n + 1, sizeof *names);
    char sentence[160] = "is not a device of this survey";
    for (size_t i = 0; names && i < n; i++)
        names[i] = earshot_survey_device(survey, i);
    if (names && text_nearest(name, names, n, &near, 1))
        snprintf(sentence, sizeof sentence, "is not a device here; did you mean '%.80s'?",
                 names[near]);
    free(names);
    return cli_misuse(verb, name, sentence);
}

enum { MOST_MEANT = 6 };

/* "may be 'a', 'b' or 'c' here; give the device's name". */
static enum cli_exit say_several(const cli_verb *verb, const earshot_survey *survey,
                                 const char *name, const size_t *rows, size_t n) {
    earshot_text *text = earshot_text_new();
    size_t shown = n < MOST_MEANT ? n : MOST_MEANT;
    if (!text)
        return cli_status(EARSHOT_NO_MEMORY);
    text_add(text, "may be ");
    for (size_t i = 0; i < shown; i++) {
        text_add(text, i == 0 ? "'" : i + 1 == n ? " or '" : ", '");
        text_add_in_line(text, earshot_survey_device(survey, rows[i]));
        text_add(text, "'");
    }
    text_add(text, shown < n ? " and more here; give the device's name"
                             : " here; give the device's name");
    enum cli_exit result = cli_misuse(verb, name, earshot_text_data(text));
    earshot_text_free(text);
    return result;
}

/* The device that is called by its name, its zone number or its label. */
static enum cli_exit find_device(const cli_verb *verb, const earshot_survey *survey,
                                 const char *name, size_t length, size_t *row) {
    size_t rows[MOST_MEANT];
    size_t n = earshot_survey_meant(survey, name, length, rows, MOST_MEANT);
    char *said = n == 1 ? NULL : calloc(length + 1, 1);
    if (n != 1 && !said)
        return cli_status(EARSHOT_NO_MEMORY);
    enum cli_exit result = CLI_DONE;
    if (n == 1)
        *row = rows[0];
    else
        result = n ? say_several(verb, survey, memcpy(said, name, length), rows, n)
                   : say_no_device(verb, survey, memcpy(said, name, length));
    free(said);
    return result;
}

/* The link from a device to a listener; to the one that hears it best when none is named. */
static bool find_link(const cli_opened *run, size_t device, size_t listener,
                      earshot_link *out) {
    size_t n = earshot_survey_links(run->survey, NULL, 0);
    earshot_link *links = calloc(n + 1, sizeof *links);
    earshot_prediction best = {0}, prediction;
    bool found = false;
    if (!links)
        return false;
    earshot_survey_links(run->survey, links, n);
    for (size_t i = 0; i < n; i++) {
        if (links[i].device != device ||
            (listener != EARSHOT_NONE && links[i].listener != listener) ||
            earshot_links_predict(run->survey, run->belief, &links[i], 1, &prediction) !=
                EARSHOT_OK ||
            (found && !(prediction.chance > best.chance)))
            continue;
        best = prediction;
        *out = links[i];
        found = true;
    }
    free(links);
    return found;
}

/* DEVICE or DEVICE:LISTENER; a whole that is a device is one, whatever colons are in it. */
static enum cli_exit find_ends(const cli_verb *verb, const cli_opened *run, const char *name,
                               size_t *device, size_t *listener) {
    const char *colon = strrchr(name, ':');
    size_t row;
    if (!colon || earshot_survey_meant(run->survey, name, strlen(name), &row, 1))
        return find_device(verb, run->survey, name, strlen(name), device);
    enum cli_exit result = find_device(verb, run->survey, name, (size_t)(colon - name), device);
    return result == CLI_DONE
               ? find_device(verb, run->survey, colon + 1, strlen(colon + 1), listener)
               : result;
}

enum cli_exit cli_find_link(const cli_verb *verb, const cli_opened *opened, const char *name,
                            earshot_link *out) {
    size_t device = EARSHOT_NONE, listener = EARSHOT_NONE;
    enum cli_exit result = find_ends(verb, opened, name, &device, &listener);
    if (result != CLI_DONE || find_link(opened, device, listener, out))
        return result;
    return cli_misuse(verb, name, "is no link: nothing hears it there");
}
