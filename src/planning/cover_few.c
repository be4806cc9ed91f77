/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cover_few.c - the whole-number program of a cover without GLPK, for hosts that cannot carry
 * it (DEVELOPERS.md): every set of spots in turn, small ones first. Exact for the few spots of
 * one building; for more the watch is the way out.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cover_view.h"
#include "earshot/link.h"

struct trying {
    const cover_question *question;
    uint64_t *best, *set;
    cover_answer answer;
    unsigned long long most_weight;
    size_t n_tried;
};

static bool goes_on(struct trying *trying) {
    enum { SELDOM = 256 };
    const earshot_watch *watch = trying->question->watch;
    if (trying->n_tried++ % SELDOM == 0 && watch && watch->go_on &&
        !watch->go_on(watch->who, trying->question->share_done))
        trying->answer.stopped = true;
    return !trying->answer.stopped;
}

/* Whether the search is over with this set. */
static bool take(struct trying *trying) {
    const cover_question *question = trying->question;
    cover_view *view = question->view;
    bool better;
    if (question->all_zones) {
        better = cover_view_serves_all(view, trying->set);
    } else {
        unsigned long long weight = cover_view_serve(view, trying->set);
        better = weight >= question->least_weight &&
                 (!trying->answer.found || weight > trying->most_weight);
        trying->most_weight = better ? weight : trying->most_weight;
    }
    if (better) {
        trying->answer.found = true;
        memcpy(trying->best, trying->set, view->spot_words * sizeof *trying->best);
    }
    return better && (question->all_zones || question->any);
}

/* Every set of so many more spots from `first` on. True: it is over. */
static bool try_sets(struct trying *trying, size_t first, size_t more) {
    const cover_view *view = trying->question->view;
    if (more == 0)
        return !goes_on(trying) || take(trying);
    for (size_t s = cover_next(view->live_spots, view->spot_words, first); s != EARSHOT_NONE;
         s = cover_next(view->live_spots, view->spot_words, s + 1)) {
        if (cover_has(view->must, s))
            continue;
        cover_put(trying->set, s);
        bool over = try_sets(trying, s + 1, more - 1);
        cover_drop(trying->set, s);
        if (over)
            return true;
    }
    return false;
}

/* Of the weight of all zones that of those which are still to be decided. */
static double live_part(const cover_view *view, unsigned long long weight) {
    double settled = (double)cover_view_weight(view);
    for (size_t z = cover_next(view->live_zones, view->zone_words, 0); z != EARSHOT_NONE;
         z = cover_next(view->live_zones, view->zone_words, z + 1))
        settled -= (double)view->weights[z];
    return fmax((double)weight - settled, 0);
}

enum earshot_status cover_solve(const cover_question *question, uint64_t *chosen,
                                cover_answer *answer) {
    cover_view *view = question->view;
    size_t n_must = cover_count(view->must, view->spot_words);
    struct trying trying = {.question = question,
                            .best = chosen,
                            .set = calloc(view->spot_words + 1, sizeof *trying.set)};
    if (!trying.set)
        return EARSHOT_NO_MEMORY;
    memcpy(trying.set, view->must, view->spot_words * sizeof *trying.set);
    size_t n_live = cover_count(view->live_spots, view->spot_words);
    size_t most = question->most < n_live ? question->most : n_live, n = n_must;
    for (; n <= most && !try_sets(&trying, 0, n - n_must); n++)
        ;
    trying.answer.whole = !trying.answer.stopped;
    trying.answer.bound = question->all_zones    ? (double)n
                          : !trying.answer.whole ? INFINITY
                                                 : live_part(view, trying.most_weight);
    free(trying.set);
    *answer = trying.answer;
    return EARSHOT_OK;
}
