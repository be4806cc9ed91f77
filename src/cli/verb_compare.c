/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_compare.c - earshot compare SURVEY [OTHER]: two arrangements side by side.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"

enum { WITH, ALL, JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [WITH] = {"--with", "WHAT=SPOT,...",
              "receiver=SPOT moves the receiver there, repeater=SPOT puts one there"},
    [ALL] = {"--all", NULL, "also the zones that keep their verdict"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each zone, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

enum { MOST_POSTS = 64, NAME_SIZE = 400 };

/* One side: its listeners, and what it is called. */
struct side {
    char name[NAME_SIZE];
    earshot_post posts[MOST_POSTS];
    size_t n_posts;
};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], words->option[ALL]);
}

static bool as_it_stands(const earshot_survey *survey, const char *name, struct side *side) {
    snprintf(side->name, sizeof side->name, "%.300s", name);
    side->n_posts = earshot_survey_posts(survey, side->posts, MOST_POSTS);
    return side->n_posts < MOST_POSTS;
}

static enum cli_exit too_many(void) {
    fprintf(stderr, "earshot compare: more than %d listeners are more than it compares\n",
            MOST_POSTS - 1);
    return CLI_INVALID;
}

static enum cli_exit compare(const cli_opened *one, const struct side *now,
                             const cli_opened *other, const struct side *then) {
    const earshot_compared sides[2] = {
        {now->name, one->survey, one->belief, now->posts, now->n_posts},
        {then->name, other->survey, other->belief, then->posts, then->n_posts}};
    enum earshot_status status = earshot_compare_write(&sides[0], &sides[1], other->findings,
                                                       form_of(one->words), one->text);
    return status == EARSHOT_OK ? cli_answer(one->words->option[OUT], one->text)
                                : cli_status(status);
}

/* ---- another survey ---- */

static enum cli_exit against(cli_opened *other) {
    const cli_opened *one = other->with;
    struct side now, then;
    if (!as_it_stands(one->survey, one->words->words[0], &now) ||
        !as_it_stands(other->survey, other->words->words[0], &then))
        return too_many();
    return compare(one, &now, other, &then);
}

static enum cli_exit answer_other(cli_opened *one) {
    cli_words words = *one->words;
    const cli_opening how = {.materials = words.option[MATERIALS],
                             .out = words.option[OUT],
                             .form = form_of(&words),
                             .with = one};
    words.words++;
    words.n_words = 1;
    return cli_open_survey(&cli_verb_compare, &words, &how, against);
}

/* ---- another arrangement ---- */

static enum cli_exit refuse(const char *part, size_t length, const char *why) {
    char value[NAME_SIZE];
    snprintf(value, sizeof value, "%.*s", (int)(length < 200 ? length : 200), part);
    return cli_misuse(&cli_verb_compare, value, why);
}

/* The one receiver of the survey among its posts, or none. */
static earshot_post *only_receiver(struct side *side) {
    earshot_post *found = NULL;
    for (size_t i = 0; i < side->n_posts; i++) {
        if (side->posts[i].repeats)
            continue;
        if (found)
            return NULL;
        found = &side->posts[i];
    }
    return found;
}

static enum cli_exit put(const earshot_survey *survey, const char *part, size_t length,
                         struct side *side) {
    char spot_name[NAME_SIZE];
    const char *equals = memchr(part, '=', length);
    bool moves = length > 8 && strncmp(part, "receiver", 8) == 0 && part[8] == '=';
    bool repeats = length > 8 && strncmp(part, "repeater", 8) == 0 && part[8] == '=';
    if (!moves && !repeats)
        return refuse(part, length, "is neither receiver=SPOT nor repeater=SPOT");
    snprintf(spot_name, sizeof spot_name, "%.*s", (int)(part + length - equals - 1),
             equals + 1);
    size_t spot = earshot_survey_find_spot(survey, spot_name);
    if (spot == earshot_survey_spots(survey))
        return refuse(part, length,
                      earshot_survey_spots(survey)
                          ? "is not a spot of spots.csv"
                          : "needs a row in spots.csv, and there is none");
    earshot_post *receiver = only_receiver(side);
    if (!receiver)
        return refuse(part, length,
                      "can't be placed: the survey has not exactly one receiver; write the "
                      "other arrangement as a survey of its own");
    if (side->n_posts == MOST_POSTS)
        return too_many();
    size_t used = strlen(side->name);
    snprintf(side->name + used, sizeof side->name - used, "%s%s at %.100s", used ? ", " : "",
             moves ? "receiver" : "repeater", spot_name);
    if (moves)
        *receiver = earshot_post_moved(survey, receiver, spot);
    else
        side->posts[side->n_posts++] = earshot_post_repeater(survey, receiver->end.radio, spot);
    return CLI_DONE;
}

static enum cli_exit answer_with(cli_opened *one) {
    struct side now, then;
    if (!as_it_stands(one->survey, one->words->words[0], &now) ||
        !as_it_stands(one->survey, "", &then))
        return too_many();
    enum cli_exit result = CLI_DONE;
    for (const char *part = one->words->option[WITH]; result == CLI_DONE && part;) {
        size_t length = strcspn(part, ",");
        result = put(one->survey, part, length, &then);
        part = part[length] ? part + length + 1 : NULL;
    }
    return result == CLI_DONE ? compare(one, &now, one, &then) : result;
}

static enum cli_exit run_compare(const cli_words *words) {
    cli_words first = *words;
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words)};
    bool other = words->n_words == 2, with = words->option[WITH] != NULL;
    if (words->n_words >= 1 && other == with)
        return cli_misuse(&cli_verb_compare, NULL,
                          with ? "give another survey, or --with, not both"
                               : "give another survey, or --with receiver=SPOT");
    first.n_words -= other;
    return cli_open_survey(&cli_verb_compare, &first, &how, other ? answer_other : answer_with);
}

const cli_verb cli_verb_compare = {
    .name = "compare",
    .summary = "Says what another arrangement would change, zone by zone.",
    .about = "Another arrangement is the receiver at another spot of spots.csv, a repeater at "
             "one, or another survey of the same devices. Both are worked out on the same "
             "draws of all that is not known of the house. The first line is the conclusion.",
    .usage = "SURVEY --with WHAT=SPOT,... [options]\nSURVEY OTHER [options]",
    .example = "earshot compare surveys/demo --with receiver=study-shelf",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_compare};
