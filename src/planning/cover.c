/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cover.c - one whole-number program of a cover, by GLPK; the only file that knows it.
 *
 * Yes or no by spot. A zone wants a spot that serves it; of a spot with too little room it
 * wants a share, a share wants the spot, and the shares of a spot are no more than it takes. A
 * spot without a hop of its own wants a relay. Once the spots are whole, shares can be too (the
 * rest is a flow), so that only spots, and zones that are weighed, are yes or no.
 *
 * GLPK has traps, all of them seen in its source (5.0, src/env):
 * - It ends the process when memory runs out, after it has called the error hook. The hook must
 *   not return, so it jumps out, the one long jump of the library; nothing of ours is allocated
 *   in between, and what GLPK leaves behind goes with its environment.
 * - It prints, and before it ends the process it turns printing on again. Only the hook of the
 *   terminal keeps it still then.
 * - A block that could not grow is forgotten by it (env/alloc.c): when memory runs out just
 * there, that one block is lost, and nobody can give it back.
 * - Its environment is by thread. One that was there before we came is the host's, and stays:
 * then what an error leaves behind stays in it, too.
 */
#include <float.h>
#include <glpk.h>
#include <math.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

#include "cover_view.h"
#include "earshot/link.h"

/* Turns of the simplex between two looks at the watch. */
enum { TURNS = 200 };
/* What GLPK calls a whole number may be that much off: its own tolerance is 1e-5 for one
 * variable.
 */
static const double slack = 1e-4;

struct solving {
    const cover_question *question;
    glp_prob *problem;
    int *column; /* by spot; 0: none */
    int *row;    /* by zone; 0: none */
    int *index;  /* scratch */
    double *factor;
    uint64_t *chosen;
    cover_answer answer;
};

/* ---- GLPK, kept still ---- */

static int keep_still(void *info, const char *text) {
    (void)info, (void)text;
    return 1;
}

static void jump_back(void *back) {
    longjmp(*(jmp_buf *)back, 1);
}

static enum earshot_status run(void (*job)(struct solving *), struct solving *solving) {
    jmp_buf back;
    volatile bool done = false;           /* a jump would bring an old value back */
    const int was_there = glp_init_env(); /* 0: now it is; 1: it was; else there is none */
    if (was_there > 1)
        return EARSHOT_NO_MEMORY;
    const int printing = glp_term_out(GLP_OFF);
    glp_term_hook(keep_still, NULL);
    glp_error_hook(jump_back, &back);
    if (setjmp(back) == 0) {
        job(solving);
        done = true;
    }
    glp_error_hook(NULL, NULL);
    glp_term_hook(NULL, NULL);
    glp_term_out(printing);
    if (!was_there)
        glp_free_env();
    return done ? EARSHOT_OK : EARSHOT_NO_MEMORY;
}

/* ---- the program ---- */

static size_t next_spot(const cover_view *view, size_t i) {
    return cover_next(view->live_spots, view->spot_words, i);
}

static size_t next_zone(const cover_view *view, size_t i) {
    return cover_next(view->live_zones, view->zone_words, i);
}

/* A live zone that the spot serves, at or after `i`. */
static size_t next_of_spot(const cover_view *view, size_t spot, size_t i) {
    return cover_next_both(view->zones_of + spot * view->zone_words, view->live_zones,
                           view->zone_words, i);
}

static int add_row(glp_prob *problem, int kind, double bound) {
    int row = glp_add_rows(problem, 1);
    glp_set_row_bnds(problem, row, kind, bound, bound);
    return row;
}

/* Between 0 and 1. */
static int add_column(glp_prob *problem, bool whole, double price) {
    int column = glp_add_cols(problem, 1);
    glp_set_col_bnds(problem, column, GLP_DB, 0, 1);
    if (whole)
        glp_set_col_kind(problem, column, GLP_BV);
    glp_set_obj_coef(problem, column, price);
    return column;
}

static void lay_zones(struct solving *solving) {
    const cover_question *question = solving->question;
    const cover_view *view = question->view;
    for (size_t z = next_zone(view, 0); z != EARSHOT_NONE; z = next_zone(view, z + 1))
        solving->row[z] = add_row(solving->problem, GLP_LO, question->all_zones ? 1 : 0);
}

/* Row 1 counts the spots that are to be chosen. */
static double counts(const cover_view *view, size_t spot) {
    return cover_has(view->standing, spot) ? 0 : 1;
}

static void lay_roomy_spot(struct solving *solving, size_t spot) {
    const cover_view *view = solving->question->view;
    int n = 1;
    solving->index[1] = 1;
    solving->factor[1] = counts(view, spot);
    for (size_t z = next_of_spot(view, spot, 0); z != EARSHOT_NONE;
         z = next_of_spot(view, spot, z + 1)) {
        solving->index[++n] = solving->row[z];
        solving->factor[n] = 1;
    }
    glp_set_mat_col(solving->problem, solving->column[spot], n, solving->index,
                    solving->factor);
}

/* A share of the spot for the zone: no more than the spot, and part of what it takes. */
static int lay_share(struct solving *solving, int zone_row, int room_row) {
    int share_row = add_row(solving->problem, GLP_UP, 0);
    int share = add_column(solving->problem, false, 0);
    const int rows[] = {0, zone_row, room_row, share_row};
    const double factors[] = {0, 1, 1, 1};
    glp_set_mat_col(solving->problem, share, 3, rows, factors);
    return share_row;
}

static void lay_tight_spot(struct solving *solving, size_t spot) {
    const cover_view *view = solving->question->view;
    int room_row = add_row(solving->problem, GLP_UP, 0), n = 2;
    for (size_t z = next_of_spot(view, spot, 0); z != EARSHOT_NONE;
         z = next_of_spot(view, spot, z + 1)) {
        solving->index[++n] = lay_share(solving, solving->row[z], room_row);
        solving->factor[n] = -1;
    }
    solving->index[1] = 1;
    solving->factor[1] = counts(view, spot);
    solving->index[2] = room_row;
    solving->factor[2] = -(double)cover_view_room(view, spot);
    glp_set_mat_col(solving->problem, solving->column[spot], n, solving->index,
                    solving->factor);
}

static void lay_relays(struct solving *solving, size_t spot) {
    const cover_view *view = solving->question->view;
    const uint64_t *relays = view->relays + spot * view->spot_words;
    int row = add_row(solving->problem, GLP_UP, 0), n = 1;
    solving->index[1] = solving->column[spot];
    solving->factor[1] = 1;
    for (size_t r = cover_next_both(relays, view->live_spots, view->spot_words, 0);
         r != EARSHOT_NONE;
         r = cover_next_both(relays, view->live_spots, view->spot_words, r + 1)) {
        solving->index[++n] = solving->column[r];
        solving->factor[n] = -1;
    }
    glp_set_mat_row(solving->problem, row, n, solving->index, solving->factor);
}

static void lay_spots(struct solving *solving) {
    const cover_view *view = solving->question->view;
    double price = solving->question->all_zones ? 1 : 0;
    for (size_t s = next_spot(view, 0); s != EARSHOT_NONE; s = next_spot(view, s + 1)) {
        solving->column[s] = add_column(solving->problem, true, price * counts(view, s));
        if (cover_has(view->must, s))
            glp_set_col_bnds(solving->problem, solving->column[s], GLP_FX, 1, 1);
        if (cover_view_room(view, s) == SIZE_MAX)
            lay_roomy_spot(solving, s);
        else
            lay_tight_spot(solving, s);
    }
    for (size_t s = next_spot(view, 0); s != EARSHOT_NONE; s = next_spot(view, s + 1))
        if (!cover_has(view->linked, s))
            lay_relays(solving, s);
}

/* Row 2 weighs the zones that are served. */
static void lay_weights(struct solving *solving) {
    const cover_view *view = solving->question->view;
    for (size_t z = next_zone(view, 0); z != EARSHOT_NONE; z = next_zone(view, z + 1)) {
        double weight = (double)view->weights[z];
        int served = add_column(solving->problem, true, weight);
        const int rows[] = {0, 2, solving->row[z]};
        const double factors[] = {0, weight, -1};
        glp_set_mat_col(solving->problem, served, 2, rows, factors);
    }
}

static void lay(struct solving *solving) {
    const cover_question *question = solving->question;
    solving->problem = glp_create_prob();
    glp_set_obj_dir(solving->problem, question->all_zones ? GLP_MIN : GLP_MAX);
    add_row(solving->problem, GLP_UP, (double)question->most);
    if (!question->all_zones)
        add_row(solving->problem, GLP_LO, (double)question->least_weight);
    lay_zones(solving);
    lay_spots(solving);
    if (!question->all_zones)
        lay_weights(solving);
}

/* ---- the search ---- */

static bool goes_on(struct solving *solving) {
    const earshot_watch *watch = solving->question->watch;
    if (watch && watch->go_on && !watch->go_on(watch->who, solving->question->share_done))
        solving->answer.stopped = true;
    return !solving->answer.stopped;
}

/* A relaxed answer bounds the whole ones, and those step by ones. */
static void note_bound(struct solving *solving, double relaxed) {
    cover_answer *answer = &solving->answer;
    if (solving->question->all_zones)
        answer->bound = fmax(answer->bound, ceil(relaxed - slack));
    else
        answer->bound = fmin(answer->bound, floor(relaxed + slack));
}

static void look(glp_tree *tree, void *info) {
    struct solving *solving = info;
    int best = glp_ios_best_node(tree);
    if (best && fabs(glp_ios_node_bound(tree, best)) < DBL_MAX)
        note_bound(solving, glp_ios_node_bound(tree, best));
    bool enough = solving->question->any && glp_ios_reason(tree) == GLP_IBINGO;
    if (!goes_on(solving) || enough)
        glp_ios_terminate(tree);
}

/* The relaxed program first: GLPK wants that done before it branches. False: there is no need
 * to, or no way. */
static bool relax(struct solving *solving) {
    glp_smcp how;
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    how.it_lim = TURNS;
    int code;
    do
        code = glp_simplex(solving->problem, &how);
    while (code == GLP_EITLIM && goes_on(solving));
    int status = glp_get_status(solving->problem);
    solving->answer.whole = code == 0 && status == GLP_NOFEAS;
    if (code != 0 || status != GLP_OPT)
        return false;
    note_bound(solving, glp_get_obj_val(solving->problem));
    return true;
}

static void take_answer(struct solving *solving) {
    const cover_view *view = solving->question->view;
    solving->answer.found = true;
    memset(solving->chosen, 0, view->spot_words * sizeof *solving->chosen);
    for (size_t s = next_spot(view, 0); s != EARSHOT_NONE; s = next_spot(view, s + 1))
        if (glp_mip_col_val(solving->problem, solving->column[s]) > 0.5)
            cover_put(solving->chosen, s);
}

static void search(struct solving *solving) {
    lay(solving);
    if (relax(solving)) {
        glp_iocp how;
        glp_init_iocp(&how);
        how.msg_lev = GLP_MSG_OFF;
        how.cb_func = look;
        how.cb_info = solving;
        int code = glp_intopt(solving->problem, &how);
        int status = glp_mip_status(solving->problem);
        solving->answer.whole = code == 0 && (status == GLP_OPT || status == GLP_NOFEAS);
        if (status == GLP_OPT || status == GLP_FEAS)
            take_answer(solving);
    }
    glp_delete_prob(solving->problem);
}

enum earshot_status cover_solve(const cover_question *question, uint64_t *chosen,
                                cover_answer *answer) {
    const cover_view *view = question->view;
    size_t n = view->n_zones + view->n_spots + 3;
    struct solving solving = {.question = question, .chosen = chosen};
    solving.answer.bound = question->all_zones ? 0 : INFINITY;
    solving.column = calloc(view->n_spots + 1, sizeof *solving.column);
    solving.row = calloc(view->n_zones + 1, sizeof *solving.row);
    solving.index = calloc(n, sizeof *solving.index);
    solving.factor = calloc(n, sizeof *solving.factor);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (solving.column && solving.row && solving.index && solving.factor)
        status = run(search, &solving);
    free(solving.column);
    free(solving.row);
    free(solving.index);
    free(solving.factor);
    if (status == EARSHOT_OK)
        *answer = solving.answer;
    return status;
}
