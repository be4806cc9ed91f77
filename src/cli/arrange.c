/* SPDX-License-Identifier: GPL-3.0-or-later */
/* arrange.c - an arrangement of listeners in words: as the survey has them, and what is to
 * stand elsewhere ("receiver=study-shelf,repeater=kitchen-top").
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "text.h"

bool cli_stands(const earshot_survey *survey, const char *name, cli_arrangement *out) {
    snprintf(out->name, sizeof out->name, "%.300s", name);
    out->n_posts = earshot_survey_posts(survey, out->posts, CLI_MOST_POSTS);
    return out->n_posts < CLI_MOST_POSTS;
}

enum cli_exit cli_too_many_posts(const cli_verb *verb) {
    fprintf(stderr, "earshot %s: more than %d listeners are more than it compares\n",
            verb->name, CLI_MOST_POSTS - 1);
    return CLI_INVALID;
}

enum cli_exit cli_compared(const cli_verb *verb, enum earshot_status status,
                           enum earshot_form form, const char *out, const earshot_text *text) {
    if (status != EARSHOT_MISUSE)
        return cli_give(status, form, out, text);
    fprintf(stderr,
            "earshot %s: too many zones and listeners to compare: one times the other may be "
            "about 1,900; give a part of the survey\n",
            verb->name);
    return CLI_INVALID;
}

static enum cli_exit refuse(const cli_verb *verb, const char *part, size_t length,
                            const char *why) {
    char value[CLI_ARRANGEMENT_SIZE];
    snprintf(value, sizeof value, "%.*s", (int)(length < 200 ? length : 200), part);
    return cli_misuse(verb, value, why);
}

/* Names the spot that was perhaps meant, or the first few that there are. */
static enum cli_exit refuse_spot(const cli_verb *verb, const earshot_survey *survey,
                                 const char *part, size_t length, const char *name) {
    size_t n = earshot_survey_spots(survey), near, listed = 0;
    const char **names = calloc(n + 1, sizeof *names);
    char why[400] = "needs a row in spots.csv, and there is none";
    if (n)
        strcpy(why, "is not a spot of spots.csv");
    for (size_t i = 0; names && i < n; i++)
        names[i] = earshot_survey_spot(survey, i);
    if (names && text_nearest(name, names, n, &near, 1)) {
        snprintf(why, sizeof why, "is not a spot of spots.csv; did you mean '%.80s'?",
                 names[near]);
    } else if (names) {
        for (; listed < n && listed < 3; listed++) {
            size_t used = strlen(why);
            snprintf(why + used, sizeof why - used, "%s%.80s", listed ? ", " : "; there are ",
                     names[listed]);
        }
        strcat(why, listed < n ? ", ..." : "");
    }
    free(names);
    return refuse(verb, part, length, why);
}

/* The first receiver of the survey among its posts, or none; and whether it is the only one. */
static earshot_post *first_receiver(cli_arrangement *arrangement, bool *only) {
    earshot_post *found = NULL;
    *only = true;
    for (size_t i = 0; i < arrangement->n_posts; i++) {
        if (arrangement->posts[i].repeats)
            continue;
        *only = !found;
        found = found ? found : &arrangement->posts[i];
    }
    return found;
}

static enum cli_exit put(const cli_verb *verb, const earshot_survey *survey, const char *part,
                         size_t length, cli_arrangement *out) {
    char spot_name[CLI_ARRANGEMENT_SIZE];
    const char *equals = memchr(part, '=', length);
    bool moves = length > 8 && strncmp(part, "receiver", 8) == 0 && part[8] == '=';
    bool repeats = length > 8 && strncmp(part, "repeater", 8) == 0 && part[8] == '=';
    if (!moves && !repeats)
        return refuse(verb, part, length, "is neither receiver=SPOT nor repeater=SPOT");
    snprintf(spot_name, sizeof spot_name, "%.*s", (int)(part + length - equals - 1),
             equals + 1);
    size_t spot = earshot_survey_find_spot(survey, spot_name);
    if (spot == earshot_survey_spots(survey))
        return refuse_spot(verb, survey, part, length, spot_name);
    bool only;
    earshot_post *receiver = first_receiver(out, &only);
    if (!receiver || (moves && !only))
        return refuse(verb, part, length,
                      "can't be moved: the survey has not exactly one receiver; write the "
                      "other arrangement as a survey of its own");
    if (out->n_posts == CLI_MOST_POSTS)
        return cli_too_many_posts(verb);
    size_t used = strlen(out->name);
    snprintf(out->name + used, sizeof out->name - used, "%s%s at %.100s", used ? ", " : "",
             moves ? "receiver" : "repeater", spot_name);
    if (moves)
        *receiver = earshot_post_moved(survey, receiver, spot);
    else
        out->posts[out->n_posts++] = earshot_post_repeater(survey, receiver->end.radio, spot);
    return CLI_DONE;
}

enum cli_exit cli_arrange(const cli_verb *verb, const earshot_survey *survey, const char *with,
                          cli_arrangement *out) {
    if (!cli_stands(survey, "", out))
        return cli_too_many_posts(verb);
    enum cli_exit result = CLI_DONE;
    for (const char *part = with; result == CLI_DONE && part;) {
        size_t length = strcspn(part, ",");
        result = put(verb, survey, part, length, out);
        part = part[length] ? part + length + 1 : NULL;
    }
    return result;
}
