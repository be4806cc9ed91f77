/* SPDX-License-Identifier: GPL-3.0-or-later */
/* quality.c - how far a corrected belief can be trusted, and what it says of meters and visits.
 */
#include <math.h>

#include "calibration.h"
#include "record.h"

double calibration_shift_db(const earshot_belief *belief, size_t visit) {
    const engine_reads *reads = belief->reads;
    double shift_db = 0;
    for (size_t h = 0; reads && h < reads->n_fields; h++)
        for (size_t i = 0; i < reads->n; i++)
            if (reads->views[i].shift == visit)
                shift_db +=
                    reads->fields[h].weight * reads->shift_db2 * reads->fields[h].pull[i];
    return shift_db;
}
