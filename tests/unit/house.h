/* SPDX-License-Identifier: GPL-3.0-or-later */
/* house.h - a house by path rows, written out in the test.
 */
#ifndef UNIT_HOUSE_H
#define UNIT_HOUSE_H

#include "earshot/belief.h"
#include "folder.h"

typedef struct house {
    folder tables;
    earshot_survey *survey;
    earshot_belief *belief;
} house;

/* Rows without their headers: device,role,radio,mount,type,hears and
 * device,to,length_m,crossings. The environment is a dwelling; besides the shipped radios there
 * is one, "faint", that won't reach 30 m. To be closed. */
void house_open(const char *devices, const char *paths, house *house);
void house_close(house *house);

#endif
