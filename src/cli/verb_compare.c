/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_compare.c - earshot compare SURVEY [OTHER]: two arrangements side by side.
 */
#include "cli.h"

enum { WITH, ALL, JSON, CSV, MATERIALS, OUT, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [WITH] = CLI_WITH,
    [ALL] = {"--all", NULL, "also the zones that keep their verdict"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each zone, for a spreadsheet"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], words->option[ALL]);
}

static enum cli_exit compare(const cli_opened *one, const cli_arrangement *now,
                             const cli_opened *other, const cli_arrangement *then) {
    const earshot_compared sides[2] = {
        {now->name, one->survey, one->belief, now->posts, now->n_posts},
        {then->name, other->survey, other->belief, then->posts, then->n_posts}};
    enum earshot_status status = earshot_compare_write(&sides[0], &sides[1], other->findings,
                                                       form_of(one->words), one->text);
    return cli_compared(&cli_verb_compare, status, form_of(one->words), one->words->option[OUT],
                        one->text);
}

/* ---- another survey ---- */

static enum cli_exit against(cli_opened *other) {
    const cli_opened *one = other->with;
    cli_arrangement now, then;
    if (!cli_stands(one->survey, one->words->words[0], &now) ||
        !cli_stands(other->survey, other->words->words[0], &then))
        return cli_too_many_posts(&cli_verb_compare);
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

static enum cli_exit answer_with(cli_opened *one) {
    cli_arrangement now, then;
    if (!cli_stands(one->survey, one->words->words[0], &now))
        return cli_too_many_posts(&cli_verb_compare);
    enum cli_exit result =
        cli_arrange(&cli_verb_compare, one->survey, one->words->option[WITH], &then);
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
