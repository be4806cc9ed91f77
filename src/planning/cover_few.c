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
    unsigned long long settled, most_weight; /* of zones that are decided; of live ones */
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
        unsigned long long weight = cover_view_serve(view, trying->set) - trying->settled;
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
        if (cover_has(view->must, s) || cover_has(view->standing, s))
            continue;
        cover_put(trying->set, s);
        bool over = try_sets(trying, s + 1, more - 1);
        cover_drop(trying->set, s);
        if (over)
            return true;
    }
    return false;
}

enum earshot_status cover_solve(const cover_question *question, uint64_t *chosen,
                                cover_answer *answer) {
    cover_view *view = question->view;
    size_t n_must = cover_view_count(view, view->must);
    struct trying trying = {.question = question,
                            .best = chosen,
                            .settled = cover_view_settled(view),
                            .set = calloc(view->spot_words + 1, sizeof *trying.set)};
    if (!trying.set)
        return EARSHOT_NO_MEMORY;
    for (size_t w = 0; w < view->spot_words; w++)
        trying.set[w] = view->must[w] | view->standing[w];
    size_t n_live = cover_view_count(view, view->live_spots);
    size_t most = question->most < n_live ? question->most : n_live, n = n_must;
    for (; n <= most && !try_sets(&trying, 0, n - n_must); n++)
        ;
    trying.answer.whole = !trying.answer.stopped;
    trying.answer.bound = question->all_zones    ? (double)n
                          : !trying.answer.whole ? INFINITY
                                                 : (double)trying.most_weight;
    free(trying.set);
    *answer = trying.answer;
    return EARSHOT_OK;
}
