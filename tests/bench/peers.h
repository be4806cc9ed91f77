/* SPDX-License-Identifier: GPL-3.0-or-later */
/* peers.h - the same sums by general-purpose libraries, where they are installed: GEOS's tree
 * of boxes (STRtree, C API), and Embree's rays, one by one and in packets.
 */
#ifndef BENCH_PEERS_H
#define BENCH_PEERS_H

#include <stdbool.h>

#include "geometry.h"

enum { PEERS_PACKET = 16 };

struct peers;

bool peers_have_tree(void);
bool peers_have_rays(void);

struct peers *peers_build(const geometry_building *building,
                          unsigned (*weight_of)(size_t panel));
void peers_free(struct peers *peers);

/* The sum of weights along a path. */
double peers_tree(struct peers *peers, geometry_place from, geometry_place to);
double peers_ray(struct peers *peers, geometry_place from, geometry_place to);
/* `coherent`: the paths lie close together. */
void peers_packet(struct peers *peers, const geometry_place *from, const geometry_place *to,
                  size_t n, bool coherent, double *sums);

#endif
