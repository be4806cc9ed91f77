/* SPDX-License-Identifier: GPL-3.0-or-later */
/* carried.h - inside the report room: the tables that a page has with it. */
#ifndef REPORT_CARRIED_H
#define REPORT_CARRIED_H

#include "earshot/report.h"

/* Whether a file of this name may be carried, and put into a folder again. */
bool carried_name_good(const char *name);

/* Those of the tables that may be carried, as elements that no reader sees. */
void carried_write(const earshot_bytes *tables, size_t n_tables, earshot_text *out);

#endif
