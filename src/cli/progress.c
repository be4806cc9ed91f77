/* SPDX-License-Identifier: GPL-3.0-or-later */
/* progress.c - how far a long call has come: one line on a terminal, after the first second,
 * written over and taken away again. It also is where a long call hears of Ctrl-C.
 */
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli.h"

void cli_progress_show(cli_progress *progress, const char *line) {
    int width = fprintf(stderr, "\r%-*s", progress->width, line) - 1;
    fflush(stderr);
    progress->width = width > 0 ? width : 0;
}

bool cli_progress_due(cli_progress *progress) {
    long long now = time(NULL);
    if (!progress->seen || now - progress->begun < 2 || now == progress->shown)
        return false;
    progress->shown = now;
    return true;
}

static bool go_on(void *who, double share_done) {
    cli_progress *progress = who;
    char line[80];
    if (cli_progress_due(progress)) {
        snprintf(line, sizeof line, "%s: %.0f %%", progress->what, 100 * share_done);
        cli_progress_show(progress, line);
    }
    return !cli_stopped();
}

void cli_progress_begin(const char *what, cli_progress *out) {
    *out = (cli_progress){.what = what,
                          .begun = time(NULL),
                          .seen = isatty(STDERR_FILENO) == 1,
                          .watch = {.go_on = go_on, .who = out}};
    cli_hold();
}

void cli_progress_end(cli_progress *progress) {
    if (progress->width > 0)
        fprintf(stderr, "\r%*s\r", progress->width, "");
    cli_let_go();
}
