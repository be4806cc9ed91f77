/* SPDX-License-Identifier: GPL-3.0-or-later */
/* covers.c - drawn covers and their plain solution; see covers.h. */
#include "covers.h"

#include <glpk.h>
#include <math.h>
#include <stdlib.h>

static uint32_t draw(uint32_t *random) {
    *random ^= *random << 13;
    *random ^= *random >> 17;
    *random ^= *random << 5;
    return *random;
}

static double draw_share(uint32_t *random) {
    return draw(random) / 4294967296.0;
}

static int compare(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

/* Shifts all values so that this share of them is 0 or more. */
static void set_share(covers_drawn *drawn, double share) {
    size_t n = drawn->n_zones * drawn->n_spots;
    double *sorted = malloc(n * sizeof *sorted);
    for (size_t i = 0; i < n; i++)
        sorted[i] = drawn->value[i];
    qsort(sorted, n, sizeof *sorted, compare);
    double least = sorted[(size_t)(share * (double)(n - 1))];
    for (size_t i = 0; i < n; i++)
        drawn->value[i] -= least;
    free(sorted);
}

/* The best spot of a zone that has none serves it just so. */
static void leave_none_out(covers_drawn *drawn) {
    for (size_t z = 0; z < drawn->n_zones; z++) {
        double *of = drawn->value + z * drawn->n_spots;
        size_t best = 0;
        for (size_t s = 0; s < drawn->n_spots; s++)
            if (of[s] > of[best])
                best = s;
        of[best] = fmax(of[best], 0.5);
    }
}

covers_drawn covers_draw(size_t n_zones, size_t n_spots, double share, double near,
                         uint32_t seed) {
    covers_drawn drawn = {n_zones, n_spots, malloc(n_zones * n_spots * sizeof(double))};
    double *at = malloc(2 * (n_zones + n_spots) * sizeof *at);
    uint32_t random = seed * 2654435761u + 1;
    for (size_t i = 0; i < 2 * (n_zones + n_spots); i++)
        at[i] = (i % 2 ? 30 : 60) * draw_share(&random);
    for (size_t z = 0; z < n_zones; z++)
        for (size_t s = 0; s < n_spots; s++) {
            const double *a = at + 2 * z, *b = at + 2 * (n_zones + s);
            double distance_m = hypot(a[0] - b[0], a[1] - b[1]);
            drawn.value[z * n_spots + s] =
                5 * draw_share(&random) - near * 30 * log10(fmax(distance_m, 1));
        }
    set_share(&drawn, share);
    leave_none_out(&drawn);
    free(at);
    return drawn;
}

void covers_free(covers_drawn *drawn) {
    free(drawn->value);
}

static glp_prob *lay(const covers_drawn *drawn) {
    int n_zones = (int)drawn->n_zones, n_spots = (int)drawn->n_spots;
    int *index = malloc((drawn->n_spots + 1) * sizeof *index);
    double *factor = malloc((drawn->n_spots + 1) * sizeof *factor);
    glp_prob *problem = glp_create_prob();
    glp_add_cols(problem, n_spots);
    for (int s = 1; s <= n_spots; s++) {
        glp_set_col_kind(problem, s, GLP_BV);
        glp_set_obj_coef(problem, s, 1);
    }
    glp_add_rows(problem, n_zones);
    for (int z = 1; z <= n_zones; z++) {
        int n = 0;
        for (int s = 1; s <= n_spots; s++)
            if (drawn->value[(size_t)(z - 1) * drawn->n_spots + (size_t)(s - 1)] >= 0) {
                index[++n] = s;
                factor[n] = 1;
            }
        glp_set_row_bnds(problem, z, GLP_LO, 1, 0);
        glp_set_mat_row(problem, z, n, index, factor);
    }
    free(index);
    free(factor);
    return problem;
}

size_t covers_plain(const covers_drawn *drawn, double limit_s) {
    glp_iocp how;
    glp_term_out(GLP_OFF);
    glp_prob *problem = lay(drawn);
    glp_init_iocp(&how);
    how.presolve = GLP_ON;
    how.gmi_cuts = how.mir_cuts = how.cov_cuts = how.clq_cuts = GLP_ON;
    how.tm_lim = (int)(limit_s * 1000);
    int code = glp_intopt(problem, &how);
    size_t n = code == 0 && glp_mip_status(problem) == GLP_OPT
                   ? (size_t)lround(glp_mip_obj_val(problem))
                   : 0;
    glp_delete_prob(problem);
    glp_free_env();
    return n;
}
