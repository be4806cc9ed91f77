/* SPDX-License-Identifier: GPL-3.0-or-later */
/* stop.c - Ctrl-C, a closed terminal, a polite kill, and a reader that went away.
 *
 * Each ends the program with CLI_STOPPED: at once, except while it holds, because a file is
 * half written or threads are at work. Then whoever holds asks cli_stopped(), clears up and
 * lets go, and the end comes there. So no caller has to tell "stopped" from "went wrong".
 */
#include <signal.h>
#include <stdatomic.h>
#include <unistd.h>

#include "cli.h"

/* Atomic and not sig_atomic_t: threads read what the handler wrote. */
static atomic_int n_holds, stopped;

static void stop(int signal_number) {
    (void)signal_number;
    if (n_holds == 0)
        _exit(CLI_STOPPED);
    stopped = 1;
}

void cli_heed_signals(void) {
    static const int asked[] = {SIGINT, SIGTERM, SIGHUP, SIGPIPE};
    /* No SA_RESTART: a write that nobody reads must not outlast Ctrl-C. */
    const struct sigaction action = {.sa_handler = stop};
    struct sigaction old;
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        /* nohup, and a shell's `&`, have some ignored; that stays so. A pipe without a reader
         * must end the program even where whoever started it ignores that. */
        if (asked[i] == SIGPIPE ||
            (sigaction(asked[i], NULL, &old) == 0 && old.sa_handler != SIG_IGN))
            sigaction(asked[i], &action, NULL);
    }
}

void cli_hold(void) {
    n_holds++;
}

void cli_let_go(void) {
    if (--n_holds == 0 && stopped)
        _exit(CLI_STOPPED);
}

bool cli_stopped(void) {
    return stopped != 0;
}
