/* SPDX-License-Identifier: GPL-3.0-or-later */
/* main.c - which verb was asked for.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"

static void list_verbs(void) {
    printf("earshot %s: %s\n\n", earshot_version(), cli_purpose);
    for (size_t i = 0; i < cli_n_verbs; i++)
        printf("  earshot %-11s %s\n", cli_verbs[i]->name, cli_verbs[i]->summary);
    printf("\nFor more: earshot help VERB, or help TABLE.csv, help findings. First try: %s\n",
           cli_verbs[0]->example);
}

static enum cli_exit unknown(const char *name) {
    const char *near = cli_nearest_verb(name);
    fprintf(stderr, "earshot: '%s' is not something it does", name);
    if (near)
        fprintf(stderr, "; did you mean '%s'?", near);
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
    enum cli_exit result = status == EARSHOT_OK       ? cli_answer(EARSHOT_PLAIN, NULL, text)
                           : status == EARSHOT_MISUSE ? unknown(name)
                                                      : cli_status(status);
    earshot_text_free(text);
    return result;
}

static enum cli_exit help(const char *name) {
    const cli_verb *verb = name ? cli_find_verb(name) : NULL;
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
    const cli_verb *verb = cli_find_verb(name);
    return verb ? run_verb(verb, argc - 2, argv + 2) : unknown(name);
}

int main(int argc, char **argv) {
    cli_heed_signals();
    enum cli_exit result = run(argc, argv);
    if (fflush(stdout) != 0 || ferror(stdout)) {
        if (result == CLI_DONE)
            fprintf(stderr, "earshot: the answer could not be written to standard output\n");
        return result == CLI_DONE ? CLI_FILE : (int)result;
    }
    return (int)result;
}
