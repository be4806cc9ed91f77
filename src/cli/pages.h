/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pages.h - what the build makes of the table of verbs, on stdout. Not part of the program. */
#ifndef CLI_PAGES_H
#define CLI_PAGES_H

#include "cli.h"

/* ---- manual.c ---- */

void manual_write_program(void);
void manual_write_verb(const cli_verb *verb);
bool manual_write_findings(void); /* false: memory ran out */
bool manual_write_tables(void);

/* ---- completion.c ---- */

void completion_write_bash(void);
void completion_write_fish(void);

#endif
