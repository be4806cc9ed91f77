/* SPDX-License-Identifier: GPL-3.0-or-later */
/* options.c - command lines by a verb's table of options, and its help from the same table.
 */
#include <stdio.h>
#include <string.h>

#include "cli.h"
#include "text.h"

enum cli_exit cli_misuse(const cli_verb *verb, const char *value, const char *sentence) {
    fprintf(stderr, "earshot %s: ", verb->name);
    if (value)
        fprintf(stderr, "'%s' ", value);
    fprintf(stderr, "%s\n", sentence);
    fprintf(stderr, "see: earshot %s --help\n", verb->name);
    return CLI_MISUSE;
}

enum earshot_form cli_form(const char *json, const char *csv, const char *all) {
    if (json)
        return EARSHOT_JSON;
    if (csv)
        return EARSHOT_CSV;
    return all ? EARSHOT_PLAIN_ALL : EARSHOT_PLAIN;
}

bool cli_names_survey(const cli_verb *verb, const cli_words *words) {
    if (words->n_words == 0)
        cli_misuse(verb, NULL, "name the folder of a survey");
    else if (words->n_words > 1)
        cli_misuse(verb, words->words[1], "is one survey too many");
    return words->n_words == 1;
}

static size_t find_option(const cli_verb *verb, const char *word) {
    size_t length = strcspn(word, "=");
    size_t i = 0;
    while (i < verb->n_options && (strlen(verb->options[i].name) != length ||
                                   strncmp(verb->options[i].name, word, length) != 0))
        i++;
    return i;
}

static void say_unknown(const cli_verb *verb, const char *word) {
    const char *names[CLI_MAX_OPTIONS];
    char sentence[96] = "is not an option of this";
    size_t near;
    for (size_t i = 0; i < verb->n_options; i++)
        names[i] = verb->options[i].name;
    if (text_nearest(word, names, verb->n_options, &near, 1))
        snprintf(sentence, sizeof sentence, "is not an option; did you mean '%s'?",
                 names[near]);
    cli_misuse(verb, word, sentence);
}

/* Takes the option at argv[*i]; false when it is misused. */
static bool take_option(const cli_verb *verb, int argc, char **argv, int *i, cli_words *out) {
    const char *word = argv[*i], *given = strchr(word, '=');
    size_t at = find_option(verb, word);
    if (at == verb->n_options) {
        say_unknown(verb, word);
        return false;
    }
    const cli_option *option = &verb->options[at];
    if (!option->value && given) {
        cli_misuse(verb, word, "takes no value");
        return false;
    }
    if (option->value && !given && *i + 1 == argc) {
        cli_misuse(verb, word, "wants a value behind it");
        return false;
    }
    out->option[at] = !option->value ? "" : given ? given + 1 : argv[++*i];
    return true;
}

/* "--json", but not "-5m": that is a number, and the verb's to judge. */
static bool is_option(const char *word) {
    return word[0] == '-' && word[1] && !(word[1] >= '0' && word[1] <= '9');
}

bool cli_parse(const cli_verb *verb, int argc, char **argv, cli_words *out) {
    bool options = true;
    for (int i = 0; i < argc; i++) {
        if (options && strcmp(argv[i], "--") == 0)
            options = false;
        else if (options && is_option(argv[i])) {
            if (!take_option(verb, argc, argv, &i, out))
                return false;
        } else {
            out->words[out->n_words++] = argv[i];
        }
    }
    return true;
}

/* Each way to use it on a line of its own. */
static void print_usage(const cli_verb *verb) {
    const char *lead = "usage:";
    for (const char *way = verb->usage; way; lead = "      ") {
        size_t length = strcspn(way, "\n");
        printf("%s earshot %s %.*s\n", lead, verb->name, (int)length, way);
        way = way[length] ? way + length + 1 : NULL;
    }
}

void cli_help(const cli_verb *verb) {
    printf("%s\n\n", verb->summary);
    print_usage(verb);
    for (size_t i = 0; i < verb->n_options; i++) {
        const cli_option *option = &verb->options[i];
        char left[40];
        snprintf(left, sizeof left, "%s %s", option->name, option->value ? option->value : "");
        printf("  %-25s  %s\n", left, option->help);
    }
    printf("\nexample: %s\n", verb->example);
    for (size_t i = 0; i < cli_n_endings; i++)
        printf("%s %d %s\n", i ? "          " : "ends with:", (int)cli_endings[i].code,
               cli_endings[i].meaning);
}
