/* SPDX-License-Identifier: GPL-3.0-or-later */
/* progress.c - how far a long call has come: one line on a terminal, after the first second,
 * written over and taken away again.
 */
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli.h"

static bool show(void *who, double share_done) {
    cli_progress *progress = who;
    if (time(NULL) - progress->begun < 2)
        return true;
    progress->width = fprintf(stderr, "\r%s: %.0f %%", progress->what, 100 * share_done);
    fflush(stderr);
    return true;
}

void cli_progress_begin(const char *what, cli_progress *out) {
    *out = (cli_progress){.what = what, .begun = time(NULL), .watch = {.who = out}};
    if (isatty(STDERR_FILENO))
        out->watch.go_on = show;
}

void cli_progress_end(cli_progress *progress) {
    if (progress->width > 0)
        fprintf(stderr, "\r%*s\r", progress->width, "");
}
