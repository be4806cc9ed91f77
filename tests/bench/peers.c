/* SPDX-License-Identifier: GPL-3.0-or-later */
/* peers.c - see peers.h. WITH_GEOS and WITH_EMBREE come from the build.
 *
 * The tree answers with all panels whose box touches the path's box; each is then tested as the
 * plain loop does. Rays meet quads, and a filter counts each and lets the ray go on; packets
 * that lie close together may report a quad twice, which is counted too.
 */
#include "peers.h"

#include <stdio.h>
#include <stdlib.h>

#if WITH_GEOS
#include <geos_c.h>
#endif
#if WITH_EMBREE
#include <embree3/rtcore.h>
#endif

struct peers {
    const geometry_building *building;
    unsigned (*weight_of)(size_t panel);
#if WITH_GEOS
    GEOSContextHandle_t geos;
    GEOSSTRtree *tree;
    GEOSGeometry **boxes;
#endif
#if WITH_EMBREE
    RTCDevice device;
    RTCScene scene;
#endif
};

bool peers_have_tree(void) {
    return WITH_GEOS;
}

bool peers_have_rays(void) {
    return WITH_EMBREE;
}

/* ---- the tree ---- */

#if WITH_GEOS
struct asking {
    struct peers *peers;
    geometry_place from, to;
    double sum;
};

static void add_crossing(void *who, const geometry_crossing *crossing) {
    struct asking *asking = who;
    asking->sum += asking->peers->weight_of(crossing->panel);
}

static void look(void *item, void *who) {
    struct asking *asking = who;
    size_t panel = (size_t)item - 1;
    geometry_cross_some(asking->peers->building, &panel, 1, asking->from, asking->to,
                        add_crossing, asking);
}

static GEOSGeometry *segment(GEOSContextHandle_t geos, double x0_m, double y0_m, double x1_m,
                             double y1_m) {
    GEOSCoordSequence *ends = GEOSCoordSeq_create_r(geos, 2, 2);
    GEOSCoordSeq_setXY_r(geos, ends, 0, x0_m, y0_m);
    GEOSCoordSeq_setXY_r(geos, ends, 1, x1_m, y1_m);
    return GEOSGeom_createLineString_r(geos, ends);
}

static void build_tree(struct peers *peers) {
    const geometry_building *building = peers->building;
    peers->geos = GEOS_init_r();
    peers->tree = GEOSSTRtree_create_r(peers->geos, 10);
    peers->boxes = calloc(building->n_panels + 1, sizeof *peers->boxes);
    for (size_t i = 0; i < building->n_panels; i++) {
        const geometry_panel *panel = &building->panels[i];
        peers->boxes[i] =
            segment(peers->geos, panel->a.x_m, panel->a.y_m, panel->b.x_m, panel->b.y_m);
        GEOSSTRtree_insert_r(peers->geos, peers->tree, peers->boxes[i], (void *)(i + 1));
    }
}

double peers_tree(struct peers *peers, geometry_place from, geometry_place to) {
    struct asking asking = {peers, from, to, 0};
    GEOSGeometry *path = segment(peers->geos, from.x_m, from.y_m, to.x_m, to.y_m);
    GEOSSTRtree_query_r(peers->geos, peers->tree, path, look, &asking);
    GEOSGeom_destroy_r(peers->geos, path);
    return asking.sum;
}

static void free_tree(struct peers *peers) {
    GEOSSTRtree_destroy_r(peers->geos, peers->tree);
    for (size_t i = 0; i < peers->building->n_panels; i++)
        GEOSGeom_destroy_r(peers->geos, peers->boxes[i]);
    free(peers->boxes);
    GEOS_finish_r(peers->geos);
}
#else
double peers_tree(struct peers *peers, geometry_place from, geometry_place to) {
    (void)peers, (void)from, (void)to;
    return 0;
}
#endif

/* ---- rays ---- */

#if WITH_EMBREE
struct counting {
    struct RTCIntersectContext context; /* first, as the filter gets it */
    struct peers *peers;
    double *sums;
};

/* Rays and hits come as arrays of each member, N long; the header's own way to them is C++
 * only. Members are counted in struct RTCRay and struct RTCHit. */
enum { RAY_ID = 10, HIT_PRIMITIVE = 5 };

static unsigned member(const void *arrays, int which, unsigned n, unsigned i) {
    return ((const unsigned *)arrays)[(unsigned)which * n + i];
}

/* Counts each hit, and lets every ray go on. */
static void count(const struct RTCFilterFunctionNArguments *args) {
    struct counting *counting = (struct counting *)args->context;
    for (unsigned i = 0; i < args->N; i++) {
        if (args->valid[i] != -1)
            continue;
        counting->sums[member(args->ray, RAY_ID, args->N, i)] +=
            counting->peers->weight_of(member(args->hit, HIT_PRIMITIVE, args->N, i));
        args->valid[i] = 0;
    }
}

static void set_quad(const geometry_panel *panel, float *corners) {
    const float quad[12] = {(float)panel->a.x_m, (float)panel->a.y_m, (float)panel->bottom_m,
                            (float)panel->b.x_m, (float)panel->b.y_m, (float)panel->bottom_m,
                            (float)panel->b.x_m, (float)panel->b.y_m, (float)panel->top_m,
                            (float)panel->a.x_m, (float)panel->a.y_m, (float)panel->top_m};
    for (int i = 0; i < 12; i++)
        corners[i] = quad[i];
}

static void build_rays(struct peers *peers) {
    const geometry_building *building = peers->building;
    peers->device = rtcNewDevice("threads=1");
    peers->scene = rtcNewScene(peers->device);
    rtcSetSceneFlags(peers->scene, RTC_SCENE_FLAG_CONTEXT_FILTER_FUNCTION);
    RTCGeometry quads = rtcNewGeometry(peers->device, RTC_GEOMETRY_TYPE_QUAD);
    float *corners = rtcSetNewGeometryBuffer(quads, RTC_BUFFER_TYPE_VERTEX, 0,
                                             RTC_FORMAT_FLOAT3, 12, 4 * building->n_panels);
    unsigned *rows = rtcSetNewGeometryBuffer(quads, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT4,
                                             16, building->n_panels);
    for (size_t i = 0; i < building->n_panels; i++) {
        set_quad(&building->panels[i], corners + 12 * i);
        for (unsigned k = 0; k < 4; k++)
            rows[4 * i + k] = (unsigned)(4 * i) + k;
    }
    rtcCommitGeometry(quads);
    rtcAttachGeometry(peers->scene, quads);
    rtcReleaseGeometry(quads);
    rtcCommitScene(peers->scene);
}

static struct counting start(struct peers *peers, double *sums, bool coherent) {
    struct counting counting = {.peers = peers, .sums = sums};
    rtcInitIntersectContext(&counting.context);
    counting.context.filter = count;
    counting.context.flags =
        coherent ? RTC_INTERSECT_CONTEXT_FLAG_COHERENT : RTC_INTERSECT_CONTEXT_FLAG_INCOHERENT;
    return counting;
}

double peers_ray(struct peers *peers, geometry_place from, geometry_place to) {
    double sum = 0;
    struct counting counting = start(peers, &sum, false);
    struct RTCRayHit ray = {.ray = {.org_x = (float)from.x_m,
                                    .org_y = (float)from.y_m,
                                    .org_z = (float)from.z_m,
                                    .dir_x = (float)(to.x_m - from.x_m),
                                    .dir_y = (float)(to.y_m - from.y_m),
                                    .dir_z = (float)(to.z_m - from.z_m),
                                    .tfar = 1,
                                    .mask = ~0u},
                            .hit = {.geomID = RTC_INVALID_GEOMETRY_ID}};
    rtcIntersect1(peers->scene, &counting.context, &ray);
    return sum;
}

void peers_packet(struct peers *peers, const geometry_place *from, const geometry_place *to,
                  size_t n, bool coherent, double *sums) {
    struct counting counting = start(peers, sums, coherent);
    _Alignas(64) struct RTCRayHit16 rays = {0};
    _Alignas(64) int valid[PEERS_PACKET];
    for (size_t i = 0; i < PEERS_PACKET; i++) {
        const size_t k = i < n ? i : 0;
        valid[i] = i < n ? -1 : 0;
        rays.ray.org_x[i] = (float)from[k].x_m;
        rays.ray.org_y[i] = (float)from[k].y_m;
        rays.ray.org_z[i] = (float)from[k].z_m;
        rays.ray.dir_x[i] = (float)(to[k].x_m - from[k].x_m);
        rays.ray.dir_y[i] = (float)(to[k].y_m - from[k].y_m);
        rays.ray.dir_z[i] = (float)(to[k].z_m - from[k].z_m);
        rays.ray.tfar[i] = 1;
        rays.ray.mask[i] = ~0u;
        rays.ray.id[i] = (unsigned)k;
        rays.hit.geomID[i] = RTC_INVALID_GEOMETRY_ID;
        if (i < n)
            sums[i] = 0;
    }
    rtcIntersect16(valid, peers->scene, &counting.context, &rays);
}

static void free_rays(struct peers *peers) {
    rtcReleaseScene(peers->scene);
    rtcReleaseDevice(peers->device);
}
#else
double peers_ray(struct peers *peers, geometry_place from, geometry_place to) {
    (void)peers, (void)from, (void)to;
    return 0;
}

void peers_packet(struct peers *peers, const geometry_place *from, const geometry_place *to,
                  size_t n, bool coherent, double *sums) {
    (void)peers, (void)from, (void)to, (void)n, (void)coherent, (void)sums;
}
#endif

/* ---- both ---- */

struct peers *peers_build(const geometry_building *building,
                          unsigned (*weight_of)(size_t panel)) {
    struct peers *peers = calloc(1, sizeof *peers);
    if (!peers)
        exit(1);
    peers->building = building;
    peers->weight_of = weight_of;
#if WITH_GEOS
    build_tree(peers);
#endif
#if WITH_EMBREE
    build_rays(peers);
#endif
    return peers;
}

void peers_free(struct peers *peers) {
#if WITH_GEOS
    free_tree(peers);
#endif
#if WITH_EMBREE
    free_rays(peers);
#endif
    free(peers);
}
