/* SPDX-License-Identifier: GPL-3.0-or-later */
/* covers.h - drawn covers, and the plain way to solve one: all of it as it stands, given to
 * GLPK. */
#ifndef BENCH_COVERS_H
#define BENCH_COVERS_H

#include <stddef.h>
#include <stdint.h>

typedef struct covers_drawn {
    size_t n_zones, n_spots;
    double *value; /* [zone][spot], 0 to 40 where a way is of use */
} covers_drawn;

/* Zones and spots strewn over a floor; a way loses with distance, walls and luck, so that a
 * spot serves about this share of the zones. `near` 0: by luck alone. No zone is without a
 * spot. */
covers_drawn covers_draw(size_t n_zones, size_t n_spots, double share, double near,
                         uint32_t seed);
void covers_free(covers_drawn *drawn);

/* The fewest spots that serve all zones, by GLPK with its own presolver and cuts. 0: it failed,
 * or did not end in `limit_s`. */
size_t covers_plain(const covers_drawn *drawn, double limit_s);

#endif
