/* SPDX-License-Identifier: GPL-3.0-or-later */
/* search_score.c - arrangements scored on joint draws of all their links, and who is firm by
 * which way. Where repeaters have room for so many zones only and it is known who goes by
 * which, a full one is closed to all others: the draws know nothing of room.
 */
#include <stdlib.h>
#include <string.h>

#include "search.h"

struct together {
    earshot_post *posts;
    size_t n_posts;
    planning_arrangement *all;
    size_t n;
};

static bool goes_by(const planning_way *way, const earshot_post *repeater) {
    return repeater->device == EARSHOT_NONE ? way->place == repeater->spot
                                            : way->standing == repeater->device;
}

static size_t find_post(const struct together *together, bool repeats, size_t place) {
    size_t at = 0;
    while (at < together->n_posts &&
           (together->posts[at].repeats != repeats || together->posts[at].spot != place))
        at++;
    return at;
}

static void add_post(const searching *searching, struct together *together, bool repeats,
                     size_t place) {
    if (find_post(together, repeats, place) < together->n_posts)
        return;
    const planning_place *at = &searching->search->places[place];
    together->posts[together->n_posts++] =
        repeats
            ? planning_post_repeater(searching->survey, search_receiver(searching), at, place)
            : planning_post_moved(searching->survey, search_receiver(searching), at, place);
}

static void add_posts(const searching *searching, struct together *together,
                      const planning_arrangement *arrangement) {
    if (arrangement->receiver != EARSHOT_NONE)
        add_post(searching, together, false, arrangement->receiver);
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        add_post(searching, together, true, arrangement->repeaters[i]);
}

static void set_stands(const searching *searching, const struct together *together,
                       const planning_arrangement *arrangement, unsigned char *stands) {
    memset(stands, 0, together->n_posts);
    memset(stands, 1, searching->n_own);
    if (arrangement->receiver != EARSHOT_NONE) {
        stands[searching->receiver] = 0;
        stands[find_post(together, false, arrangement->receiver)] = 1;
    }
    for (size_t i = 0; i < arrangement->n_repeaters; i++)
        stands[find_post(together, true, arrangement->repeaters[i])] = 1;
}

/* By zone: whether it is firm by a receiver alone, and by each standing repeater. */
static void note_stood(const searching *searching, const struct together *together,
                       const unsigned char *firm, planning_arrangement *arrangement) {
    for (size_t z = 0; z < searching->search->n_zones; z++, firm += together->n_posts) {
        unsigned char *stood = search_stood(searching, arrangement, z);
        stood[0] = 0;
        for (size_t p = 0; p < together->n_posts; p++)
            stood[0] |= !together->posts[p].repeats && firm[p];
        for (size_t s = 0; s < searching->n_standing; s++)
            stood[1 + s] = firm[searching->standing[s]];
    }
}

static bool is_full(const searching *searching, const planning_arrangement *arrangement,
                    const earshot_post *repeater) {
    size_t n = 0;
    for (size_t z = 0; z < searching->search->n_zones; z++)
        n += goes_by(&arrangement->ways[z], repeater);
    return (double)n >= searching->survey->site.zones_per_repeater;
}

/* A repeater that is full takes nobody else. */
static void close_full(const searching *searching, const struct together *together,
                       const planning_arrangement *arrangement, unsigned char *closed) {
    for (size_t p = 0; p < together->n_posts; p++) {
        const earshot_post *post = &together->posts[p];
        if (!post->repeats || !is_full(searching, arrangement, post))
            continue;
        for (size_t z = 0; z < searching->search->n_zones; z++)
            closed[z * together->n_posts + p] = !goes_by(&arrangement->ways[z], post);
    }
}

static void lay_sets(const searching *searching, const struct together *together,
                     unsigned char *stands, unsigned char *closed) {
    size_t each = searching->search->n_zones * together->n_posts;
    for (size_t i = 0; i < together->n; i++) {
        const planning_arrangement *arrangement = &together->all[i];
        set_stands(searching, together, arrangement, stands + i * together->n_posts);
        if (arrangement->allotted)
            close_full(searching, together, arrangement, closed + i * each);
    }
}

/* Scores and fates of some arrangements, on draws that they share. */
static enum earshot_status score_together(const searching *searching,
                                          const struct together *together, size_t first_draw) {
    size_t n_zones = searching->search->n_zones, each = n_zones * together->n_posts;
    unsigned char *stands = calloc(together->n * together->n_posts + 1, 1);
    unsigned char *closed = calloc(together->n * each + 1, 1);
    unsigned char *firm = calloc(together->n * each + 1, 1);
    earshot_score *scores = calloc(together->n + 1, sizeof *scores);
    earshot_fate *fates = calloc(together->n * n_zones + 1, sizeof *fates);
    const planning_by_way by_way = {.closed = closed, .firm = firm};
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (stands && closed && firm && scores && fates) {
        lay_sets(searching, together, stands, closed);
        status = planning_posts_score(searching->survey, searching->belief, together->posts,
                                      together->n_posts, stands, together->n, SEARCH_SEED,
                                      first_draw, SEARCH_DRAWS, fates, NULL, &by_way, scores);
    }
    for (size_t i = 0; status == EARSHOT_OK && i < together->n; i++) {
        planning_arrangement *arrangement = &together->all[i];
        arrangement->score = scores[i];
        if (n_zones)
            memcpy(arrangement->fates, fates + i * n_zones, n_zones * sizeof *fates);
        if (!arrangement->allotted)
            note_stood(searching, together, firm + i * each, arrangement);
    }
    free(stands);
    free(closed);
    free(firm);
    free(scores);
    free(fates);
    return status;
}

enum earshot_status search_score(const searching *searching, planning_arrangement *all,
                                 size_t n, size_t first_draw, double from_share,
                                 double to_share) {
    size_t most_posts = searching->n_own + n * (1 + PLANNING_MOST_FEWEST);
    struct together together = {.posts = calloc(most_posts + 1, sizeof *together.posts)};
    enum earshot_status status = together.posts ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < n; i += together.n) {
        memcpy(together.posts, searching->own, searching->n_own * sizeof *searching->own);
        together.n_posts = searching->n_own;
        together.all = all + i;
        together.n = 0;
        while (i + together.n < n) {
            size_t before = together.n_posts;
            add_posts(searching, &together, &all[i + together.n]);
            if (together.n > 0 &&
                together.n_posts * searching->search->n_zones > PLANNING_MOST_TOGETHER) {
                together.n_posts = before;
                break;
            }
            together.n++;
        }
        status = search_look(searching,
                             from_share + (to_share - from_share) * (double)i / (double)n);
        if (status == EARSHOT_OK)
            status = score_together(searching, &together, first_draw);
    }
    free(together.posts);
    return status;
}
