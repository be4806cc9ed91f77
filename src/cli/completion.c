/* SPDX-License-Identifier: GPL-3.0-or-later */
/* completion.c - scripts by which bash and fish complete a command line.
 *
 * What can be offered is read from the table: verbs, options, the choices of an option
 * ("te|tm"), folders and files. A zone or a wall would need the program to be run at each key.
 */
#include <stdio.h>
#include <string.h>

#include "pages.h"

enum offer { NOTHING, CHOICES, FOLDERS, FILES };

static bool begins(const char *text, const char *word) {
    size_t length = strlen(word);
    return strncmp(text, word, length) == 0 && !(text[length] >= 'A' && text[length] <= 'Z');
}

/* By the first word of what an option takes, or of a verb's usage. */
static enum offer offer_of(const char *takes) {
    if (begins(takes, "SURVEY") || begins(takes, "DIR"))
        return FOLDERS;
    if (begins(takes, "FILE"))
        return FILES;
    return strcspn(takes, "| ") < strcspn(takes, " ") ? CHOICES : NOTHING;
}

/* "te|tm" as "te tm". */
static void write_choices(const char *takes) {
    for (; *takes && *takes != ' '; takes++)
        putchar(*takes == '|' ? ' ' : *takes);
}

static void write_verbs(void) {
    for (size_t i = 0; i < cli_n_verbs; i++)
        printf("%s ", cli_verbs[i]->name);
}

/* What there is help on, but the tables, whose names are everyday words. */
static void write_topics(void) {
    earshot_manual entry;
    write_verbs();
    fputs("findings", stdout);
    for (size_t i = 0; earshot_manual_at(i, &entry); i++)
        printf(" %s", entry.code);
}

/* ---- bash ---- */

static const char bash_begin[] =
    "# Completion of earshot for bash, made from the tables behind earshot --help.\n"
    "_earshot() {\n"
    "    local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD - 1]} words= paths=\n"
    "    # bash takes --option=value apart at the =\n"
    "    if [[ $cur == = ]]; then\n"
    "        cur=\n"
    "    elif [[ $prev == = ]]; then\n"
    "        prev=${COMP_WORDS[COMP_CWORD - 2]}\n"
    "    fi\n"
    "    case $COMP_CWORD:${COMP_WORDS[1]}:$prev in\n";

static const char bash_end[] =
    "    esac\n"
    "    if [[ $paths && $cur != -* ]]; then\n"
    "        compopt -o filenames 2>/dev/null\n"
    "        mapfile -t COMPREPLY < <(compgen $paths -- \"$cur\")\n"
    "    else\n"
    "        mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$cur\")\n"
    "    fi\n"
    "}\n"
    "complete -F _earshot earshot\n";

static void write_bash_offer(const char *takes) {
    switch (offer_of(takes)) {
    case CHOICES:
        fputs(" words='", stdout);
        write_choices(takes);
        putchar('\'');
        break;
    case FOLDERS:
        fputs(" paths=-d", stdout);
        break;
    case FILES:
        fputs(" paths=-f", stdout);
        break;
    case NOTHING:
        break;
    }
}

static void write_bash_verb(const cli_verb *verb) {
    for (size_t i = 0; i < verb->n_options; i++) {
        if (!verb->options[i].value)
            continue;
        printf("    *:%s:%s)", verb->name, verb->options[i].name);
        write_bash_offer(verb->options[i].value);
        puts(" ;;");
    }
    printf("    *:%s:*) words='", verb->name);
    for (size_t i = 0; i < verb->n_options; i++)
        printf("%s ", verb->options[i].name);
    fputs("--help'", stdout);
    write_bash_offer(verb->usage);
    puts(" ;;");
}

void completion_write_bash(void) {
    fputs(bash_begin, stdout);
    fputs("    1:*) words='", stdout);
    write_verbs();
    puts("help version' ;;");
    fputs("    2:help:*) words='", stdout);
    write_topics();
    puts("' ;;");
    for (size_t i = 0; i < cli_n_verbs; i++)
        write_bash_verb(cli_verbs[i]);
    fputs(bash_end, stdout);
}

/* ---- fish ---- */

/* In single quotes, in which fish knows two escapes. */
static void write_quoted(const char *text) {
    putchar('\'');
    for (; *text; text++) {
        if (*text == '\'' || *text == '\\')
            putchar('\\');
        putchar(*text);
    }
    putchar('\'');
}

static void write_fish_offer(const char *takes) {
    switch (offer_of(takes)) {
    case CHOICES:
        fputs(" -x -a '", stdout);
        write_choices(takes);
        putchar('\'');
        break;
    case FOLDERS:
        fputs(" -x -a '(__fish_complete_directories)'", stdout);
        break;
    case FILES:
        fputs(" -r -F", stdout);
        break;
    case NOTHING:
        fputs(" -x", stdout);
        break;
    }
}

static void write_fish_verb(const cli_verb *verb) {
    printf("complete -c earshot -n __fish_use_subcommand -a %s -d ", verb->name);
    write_quoted(verb->summary);
    puts("");
    if (offer_of(verb->usage) == FOLDERS)
        printf("complete -c earshot -n '__fish_seen_subcommand_from %s' -a "
               "'(__fish_complete_directories)'\n",
               verb->name);
    for (size_t i = 0; i < verb->n_options; i++) {
        const cli_option *option = &verb->options[i];
        printf("complete -c earshot -n '__fish_seen_subcommand_from %s' -l %s", verb->name,
               option->name + strlen("--"));
        if (option->value)
            write_fish_offer(option->value);
        fputs(" -d ", stdout);
        write_quoted(option->help);
        puts("");
    }
}

void completion_write_fish(void) {
    puts("# Completion of earshot for fish, made from the tables behind earshot --help.\n"
         "complete -c earshot -f\n"
         "complete -c earshot -n __fish_use_subcommand -a 'help version'");
    fputs("complete -c earshot -n '__fish_seen_subcommand_from help' -a '", stdout);
    write_topics();
    puts("'");
    for (size_t i = 0; i < cli_n_verbs; i++)
        write_fish_verb(cli_verbs[i]);
}
