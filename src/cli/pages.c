/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pages.c - build step: manual pages and completion from the table of verbs.
 *
 *     pages manual [VERB]
 *     pages findings|tables
 *     pages bash|fish
 *
 * The same table gives --help and takes command lines apart, so that the four can't disagree.
 */
#include <stdio.h>
#include <string.h>

#include "pages.h"

static bool write_page(int argc, char **argv) {
    const cli_verb *verb = argc == 3 ? cli_find_verb(argv[2]) : NULL;
    if (argc == 3 && verb && strcmp(argv[1], "manual") == 0)
        manual_write_verb(verb);
    else if (argc == 2 && strcmp(argv[1], "manual") == 0)
        manual_write_program();
    else if (argc == 2 && strcmp(argv[1], "findings") == 0)
        return manual_write_findings();
    else if (argc == 2 && strcmp(argv[1], "tables") == 0)
        return manual_write_tables();
    else if (argc == 2 && strcmp(argv[1], "bash") == 0)
        completion_write_bash();
    else if (argc == 2 && strcmp(argv[1], "fish") == 0)
        completion_write_fish();
    else
        return false;
    return true;
}

int main(int argc, char **argv) {
    if (!write_page(argc, argv)) {
        fprintf(stderr, "usage: pages manual [VERB], or pages findings|tables|bash|fish\n");
        return CLI_MISUSE;
    }
    return fflush(stdout) == 0 && !ferror(stdout) ? CLI_DONE : CLI_FILE;
}
