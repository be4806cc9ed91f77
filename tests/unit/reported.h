/* SPDX-License-Identifier: GPL-3.0-or-later */
/* reported.h - the report on a folder's tables, as the command line makes it.
 */
#ifndef UNIT_REPORTED_H
#define UNIT_REPORTED_H

#include "earshot/report.h"
#include "folder.h"

/* Loads, adds the model's own notes, writes; the test fails when any of it does. To be freed.
 */
earshot_text *reported(const folder *tables, enum earshot_form form);

#endif
