/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verbs.c - the table of verbs, and what the program as a whole says of itself.
 *
 * Apart from main.c, so that the build can make manual pages and completion from it.
 */
#include <string.h>

#include "cli.h"
#include "text.h"

const char cli_purpose[] = "will every sensor be heard, with margin to spare, for years?";

const cli_verb *const cli_verbs[] = {&cli_verb_reach, &cli_verb_check,   &cli_verb_loss,
                                     &cli_verb_new,   &cli_verb_odd,     &cli_verb_recalibrate,
                                     &cli_verb_final, &cli_verb_compare, &cli_verb_next,
                                     &cli_verb_drift, &cli_verb_where,   &cli_verb_sheet,
                                     &cli_verb_draw,  &cli_verb_walls,   &cli_verb_report};
enum { N_VERBS = sizeof cli_verbs / sizeof *cli_verbs };
const size_t cli_n_verbs = N_VERBS;

const cli_ending cli_endings[] = {
    {CLI_DONE, "done"},
    {CLI_NOT_FIRM, "a zone is not firm, or has not passed (--strict)"},
    {CLI_MISUSE, "misuse"},
    {CLI_INVALID, "the tables or words have errors"},
    {CLI_FILE, "a file cannot be read or written"},
    {CLI_INTERNAL, "memory or a fault of the program"},
    {CLI_STOPPED, "stopped"}};
const size_t cli_n_endings = sizeof cli_endings / sizeof *cli_endings;

const cli_verb *cli_find_verb(const char *name) {
    for (size_t i = 0; i < cli_n_verbs; i++)
        if (strcmp(cli_verbs[i]->name, name) == 0)
            return cli_verbs[i];
    return NULL;
}

const char *cli_nearest_verb(const char *name) {
    const char *names[N_VERBS];
    size_t near;
    for (size_t i = 0; i < N_VERBS; i++)
        names[i] = cli_verbs[i]->name;
    return text_nearest(name, names, N_VERBS, &near, 1) ? names[near] : NULL;
}
