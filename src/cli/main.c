/* SPDX-License-Identifier: GPL-3.0-or-later */
/* main.c - the table of verbs, and which of them was asked for.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "text.h"

static const cli_verb *const verbs[] = {&cli_verb_reach, &cli_verb_check, &cli_verb_loss,
                                        &cli_verb_new, &cli_verb_odd};
enum { N_VERBS = sizeof verbs / sizeof *verbs };

static const cli_verb *find_verb(const char *name) {
    for (size_t i = 0; i < N_VERBS; i++)
        if (strcmp(verbs[i]->name, name) == 0)
            return verbs[i];
    return NULL;
}

static void list_verbs(void) {
    printf("earshot %s: will every sensor be heard, with margin to spare, for years?\n\n",
           earshot_version());
    for (size_t i = 0; i < N_VERBS; i++)
        printf("  earshot %-7s %s\n", verbs[i]->name, verbs[i]->summary);
    printf("\nFor more: earshot help VERB, or help TABLE, help findings. First try: %s\n",
           verbs[0]->example);
}

static enum cli_exit unknown(const char *name) {
    const char *names[N_VERBS];
    size_t near;
    for (size_t i = 0; i < N_VERBS; i++)
        names[i] = verbs[i]->name;
    fprintf(stderr, "earshot: '%s' is not something it does", name);
    if (text_nearest(name, names, N_VERBS, &near, 1))
        fprintf(stderr, "; did you mean '%s'?", names[near]);
    fprintf(stderr, "\nsee: earshot help\n");
    return CLI_MISUSE;
}

static void list_findings(void) {
    earshot_manual entry;
    for (size_t i = 0; earshot_manual_at(i, &entry); i++)
        printf("  %-24s %s\n", entry.code, entry.when);
    printf("\nFor one with an example: earshot help CODE\n");
}

/* A finding by its code, or the columns of a table. */
static enum cli_exit look_up(const char *name) {
    earshot_text *text = earshot_text_new();
    enum earshot_status status = text ? earshot_manual_write(name, text) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_MISUSE)
        status = earshot_columns_write(name, text);
    enum cli_exit result = status == EARSHOT_OK       ? cli_answer(NULL, text)
                           : status == EARSHOT_MISUSE ? unknown(name)
                                                      : cli_status(status);
    earshot_text_free(text);
    return result;
}

static enum cli_exit help(const char *name) {
    const cli_verb *verb = name ? find_verb(name) : NULL;
    if (!name)
        list_verbs();
    else if (verb)
        cli_help(verb);
    else if (strcmp(name, "findings") == 0)
        list_findings();
    else
        return look_up(name);
    return CLI_DONE;
}

static bool asks_for_help(int argc, char **argv) {
    for (int i = 0; i < argc && strcmp(argv[i], "--") != 0; i++)
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0)
            return true;
    return false;
}

static enum cli_exit run_verb(const cli_verb *verb, int argc, char **argv) {
    if (asks_for_help(argc, argv))
        return help(verb->name);
    cli_words words = {.words = calloc((size_t)argc + 1, sizeof *words.words)};
    if (!words.words)
        return cli_status(EARSHOT_NO_MEMORY);
    enum cli_exit result = cli_parse(verb, argc, argv, &words) ? verb->run(&words) : CLI_MISUSE;
    free(words.words);
    return result;
}

static enum cli_exit run(int argc, char **argv) {
    const char *name = argc > 1 ? argv[1] : "help";
    if (strcmp(name, "help") == 0 || strcmp(name, "--help") == 0 || strcmp(name, "-h") == 0)
        return help(argc > 2 ? argv[2] : NULL);
    if (strcmp(name, "version") == 0 || strcmp(name, "--version") == 0) {
        printf("earshot %s\n", earshot_version());
        return CLI_DONE;
    }
    const cli_verb *verb = find_verb(name);
    return verb ? run_verb(verb, argc - 2, argv + 2) : unknown(name);
}

int main(int argc, char **argv) {
    enum cli_exit result = run(argc, argv);
    if (fflush(stdout) != 0 || ferror(stdout)) {
        if (result == CLI_DONE)
            fprintf(stderr, "earshot: the answer could not be written to standard output\n");
        return result == CLI_DONE ? CLI_FILE : (int)result;
    }
    return (int)result;
}
