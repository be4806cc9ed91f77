/* SPDX-License-Identifier: GPL-3.0-or-later */
/* reports.h - what holds of every report, whatever it is about. */
#ifndef FUZZ_REPORTS_H
#define FUZZ_REPORTS_H

#include "earshot/earshot.h"

/* Checks a report that was just written, and releases it. */
void reports_check(enum earshot_status status, enum earshot_form form, earshot_text *report);

/* Checks what is said of the input: lines of UTF-8 in order, with a place and a count. */
void reports_check_findings(const earshot_findings *findings);

#endif
