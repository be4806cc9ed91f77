/* SPDX-License-Identifier: GPL-3.0-or-later */
/* section.c - one link in section: a stair of falling level, from what is sent down to what the
 * listener needs. Each step is a line of the ledger and has its name beside it; what is left at
 * the end is the margin. Walls come in the order that the signal meets them.
 *
 * Heights are dB above what the listener needs, so that the foot of the picture is where it
 * stops to hear.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "drawing.h"
#include "engine.h"
#include "plan.h"
#include "text.h"

static const double stair_left_mm = 20, stair_right_mm = 116, names_mm = 124, high_mm = 100;
static const double head_mm = 15, foot_mm = 10, row_mm = 4.4;

/* One way: who sends, who listens. */
struct hop {
    earshot_link link;
    const char *from, *to, *to_what; /* to_what: before the name; "" */
};

struct step {
    earshot_part part;
    double order; /* along the way */
    double before_db, after_db;
    double name_mm; /* where its name stands */
};

struct stair {
    const earshot_survey *survey;
    earshot_drawing *drawing;
    const struct hop *hop;
    earshot_prediction prediction;
    struct step *steps;
    size_t n_steps;
    double sent_db, low_db, high_db; /* over what is needed */
    double top_mm;
};

/* ---- the steps, in order ---- */

/* How far along the way a crossing is, 0 to 1. */
static double share_of(const earshot_survey *survey, const engine_crossing *crossing) {
    const engine_way *way = crossing->way;
    if (!way)
        return 0;
    double dx = way->to.x_m - way->from.x_m, dy = way->to.y_m - way->from.y_m;
    if (!crossing->panel) {
        size_t floor = crossing->thing - survey->n_walls - survey->n_openings;
        double rise_m = way->to.z_m - way->from.z_m;
        return floor < survey->building.n_floors && rise_m != 0
                   ? (survey->building.floors[floor].z_m - way->from.z_m) / rise_m
                   : 0;
    }
    const geometry_panel *panel = crossing->panel;
    double wx = panel->b.x_m - panel->a.x_m, wy = panel->b.y_m - panel->a.y_m;
    double across = dx * wy - dy * wx;
    return across != 0
               ? ((panel->a.x_m - way->from.x_m) * wy - (panel->a.y_m - way->from.y_m) * wx) /
                     across
               : 0;
}

struct ordering {
    struct stair *stair;
    bool floors; /* which are looked at: the ledger has walls first, then floors */
    size_t at;
};

static bool is_crossing(enum earshot_part_kind kind, bool floors) {
    return floors ? kind == EARSHOT_FLOOR
                  : kind == EARSHOT_WALL || kind == EARSHOT_DOOR || kind == EARSHOT_WINDOW;
}

static void order_crossing(void *who, const engine_crossing *crossing) {
    struct ordering *ordering = who;
    struct stair *stair = ordering->stair;
    if (crossing->floor != ordering->floors)
        return;
    while (ordering->at < stair->n_steps &&
           !is_crossing(stair->steps[ordering->at].part.kind, ordering->floors))
        ordering->at++;
    if (ordering->at < stair->n_steps)
        stair->steps[ordering->at++].order = 2 + share_of(stair->survey, crossing);
}

static double order_of(enum earshot_part_kind kind) {
    switch (kind) {
    case EARSHOT_FIRST_METER:
        return 0;
    case EARSHOT_DISTANCE:
        return 1;
    case EARSHOT_WAYS_ROUND:
        return 4;
    case EARSHOT_FLOORS_TOGETHER:
        return 5;
    default:
        return 6;
    }
}

static void order_steps(struct stair *stair) {
    for (size_t i = 0; i < stair->n_steps; i++)
        stair->steps[i].order = order_of(stair->steps[i].part.kind);
    for (int floors = 0; floors < 2; floors++) {
        struct ordering ordering = {.stair = stair, .floors = floors};
        engine_walk(stair->survey, &stair->hop->link, NULL, order_crossing, &ordering);
    }
    for (size_t i = 1; i < stair->n_steps; i++) { /* few, and equal ones keep their order */
        const struct step step = stair->steps[i];
        size_t at = i;
        for (; at > 0 && stair->steps[at - 1].order > step.order; at--)
            stair->steps[at] = stair->steps[at - 1];
        stair->steps[at] = step;
    }
}

static enum earshot_status take_steps(struct stair *stair, const earshot_belief *belief) {
    size_t n = 0;
    enum earshot_status status = earshot_link_ledger(stair->survey, belief, &stair->hop->link,
                                                     NULL, 0, &n, &stair->prediction);
    if (status != EARSHOT_OK)
        return status;
    earshot_part *parts = calloc(n + 1, sizeof *parts);
    stair->steps = calloc(n + 1, sizeof *stair->steps);
    status = parts && stair->steps
                 ? earshot_link_ledger(stair->survey, belief, &stair->hop->link, parts, n,
                                       &stair->n_steps, &stair->prediction)
                 : EARSHOT_NO_MEMORY;
    for (size_t i = 0; status == EARSHOT_OK && i < n; i++)
        stair->steps[i].part = parts[i];
    free(parts);
    return status;
}

static void lay_steps(struct stair *stair) {
    double level_db = stair->prediction.margin_db + stair->prediction.loss_db;
    stair->sent_db = level_db;
    stair->low_db = fmin(0, stair->prediction.margin_db) - 6;
    stair->high_db = level_db;
    for (size_t i = 0; i < stair->n_steps; i++) {
        struct step *step = &stair->steps[i];
        step->before_db = level_db;
        level_db -= step->part.loss_db;
        step->after_db = level_db;
        stair->high_db = fmax(stair->high_db, level_db);
        stair->low_db = fmin(stair->low_db, level_db - 3);
    }
    stair->high_db += 4;
}

/* ---- on paper ---- */

static double level_mm(const struct stair *stair, double level_db) {
    return stair->top_mm + head_mm +
           high_mm * (stair->high_db - level_db) / (stair->high_db - stair->low_db);
}

static double riser_mm(const struct stair *stair, size_t step) {
    return stair_left_mm +
           (stair_right_mm - stair_left_mm) * (double)(step + 1) / (double)(stair->n_steps + 1);
}

static void name_step(const struct stair *stair, const earshot_part *part, earshot_text *out) {
    bool twice = part->of && strcmp(part->of, part->name) != 0;
    switch (part->kind) {
    case EARSHOT_FIRST_METER:
        text_add(out, "the first meter");
        return;
    case EARSHOT_DISTANCE:
        text_add(out, "the rest of ");
        text_add_fixed(out, stair->prediction.distance_m, 1);
        text_add(out, " m");
        return;
    case EARSHOT_WAYS_ROUND:
        text_add(out, "what comes round these walls");
        return;
    case EARSHOT_FLOORS_TOGETHER:
        text_add(out, "floors together take less");
        return;
    case EARSHOT_GROUND:
        text_add(out, "the ground, so far away");
        return;
    case EARSHOT_READ:
        text_add(out, "what readings say of this place");
        return;
    default:
        break;
    }
    text_add(out, earshot_part_word(part->kind));
    text_add(out, " ");
    text_add(out, part->name);
    if (!twice)
        return;
    text_add(out, part->kind == EARSHOT_MOUNT ? " of the " : ", ");
    text_add(out, part->of);
}

/* Names stand as near to their steps as they can without running into each other. */
static void place_names(struct stair *stair) {
    double least_mm = stair->top_mm + head_mm + row_mm;
    double most_mm = stair->top_mm + head_mm + high_mm;
    for (size_t i = 0; i < stair->n_steps; i++) {
        struct step *step = &stair->steps[i];
        step->name_mm = fmax(level_mm(stair, (step->before_db + step->after_db) / 2), least_mm);
        least_mm = step->name_mm + row_mm;
    }
    for (size_t i = stair->n_steps; i-- > 0;) {
        stair->steps[i].name_mm = fmin(stair->steps[i].name_mm, most_mm);
        most_mm = stair->steps[i].name_mm - row_mm;
    }
}

static void write_name(const struct stair *stair, const struct step *step, size_t number) {
    static const drawing_pen lead = {.what = "lead", .width_mm = 0.12, .gray = 0.4};
    static const drawing_letters letters = {.what = "step", .size_mm = 2.5};
    static const drawing_letters figures = {
        .what = "step", .size_mm = 2.5, .anchor = EARSHOT_END};
    double middle_mm = level_mm(stair, (step->before_db + step->after_db) / 2);
    const earshot_dot leads[3] = {{riser_mm(stair, number) + 0.5, middle_mm},
                                  {names_mm - 5, middle_mm},
                                  {names_mm - 1, step->name_mm - 0.8}};
    drawing_line(stair->drawing, &lead, leads, 3, false);
    char loss[TEXT_NUMBER_SIZE + 6];
    text_write_signed(loss, 0.0 - step->part.loss_db, 1);
    strcat(loss, " dB");
    if (loss[0] == '-') {
        memmove(loss + 3, loss + 1, strlen(loss));
        memcpy(loss, "\xE2\x88\x92", 3); /* a true minus */
    }
    drawing_words(stair->drawing, &figures, (earshot_dot){PLAN_PAGE_MM - 4, step->name_mm},
                  loss);
    earshot_text *name = earshot_text_new();
    if (name)
        name_step(stair, &step->part, name);
    if (!name || earshot_text_cut(name))
        drawing_lose(stair->drawing);
    else
        drawing_words_in(stair->drawing, &letters, (earshot_dot){names_mm, step->name_mm}, 56,
                         earshot_text_data(name));
    earshot_text_free(name);
}

/* The stair as one line. */
static void draw_stair(const struct stair *stair) {
    static const drawing_pen pen = {.what = "stair", .width_mm = 0.6};
    size_t n = 2 * stair->n_steps + 2;
    earshot_dot *dots = calloc(n, sizeof *dots);
    if (!dots) {
        drawing_lose(stair->drawing);
        return;
    }
    dots[0] = (earshot_dot){stair_left_mm, level_mm(stair, stair->sent_db)};
    for (size_t i = 0; i < stair->n_steps; i++) {
        dots[2 * i + 1] =
            (earshot_dot){riser_mm(stair, i), level_mm(stair, stair->steps[i].before_db)};
        dots[2 * i + 2] =
            (earshot_dot){riser_mm(stair, i), level_mm(stair, stair->steps[i].after_db)};
    }
    dots[n - 1] = (earshot_dot){stair_right_mm, dots[n - 2].y_mm};
    drawing_line(stair->drawing, &pen, dots, n, false);
    free(dots);
}

static void line_across(const struct stair *stair, double level_db, const drawing_pen *pen,
                        const char *words) {
    static const drawing_letters letters = {.what = "level", .size_mm = 2.4};
    double y_mm = level_mm(stair, level_db);
    drawing_segment(stair->drawing, pen, (earshot_dot){stair_left_mm - 4, y_mm},
                    (earshot_dot){stair_right_mm + 2, y_mm});
    drawing_words(stair->drawing, &letters, (earshot_dot){stair_left_mm - 3.5, y_mm - 1},
                  words);
}

static void draw_levels(const struct stair *stair) {
    static const drawing_pen kept = {.what = "required", .width_mm = 0.6};
    static const drawing_pen needed = {.what = "needed", .width_mm = 0.25};
    char words[TEXT_NUMBER_SIZE + 40];
    size_t n = text_write_number(words, stair->prediction.required_margin_db);
    strcpy(words + n, " dB kept for the years");
    line_across(stair, 0, &needed, "what the listener needs");
    line_across(stair, stair->prediction.required_margin_db, &kept, words);
}

/* What is left over what is kept, and its give or take, at the foot of the stair. */
static void draw_left_over(const struct stair *stair) {
    static const drawing_pen pen = {.what = "doubt", .width_mm = 0.3};
    const earshot_prediction *of = &stair->prediction;
    double x_mm = stair_right_mm - 2.5, y_mm[2];
    y_mm[0] = fmax(level_mm(stair, of->margin_db + of->margin_sd_db), stair->top_mm + head_mm);
    y_mm[1] = fmin(level_mm(stair, of->margin_db - of->margin_sd_db),
                   stair->top_mm + head_mm + high_mm);
    drawing_segment(stair->drawing, &pen, (earshot_dot){x_mm, y_mm[0]},
                    (earshot_dot){x_mm, y_mm[1]});
    for (int i = 0; i < 2; i++)
        drawing_segment(stair->drawing, &pen, (earshot_dot){x_mm - 1, y_mm[i]},
                        (earshot_dot){x_mm + 1, y_mm[i]});
}

/* ---- words above ---- */

static void say_outcome(const struct stair *stair, earshot_text *out) {
    const earshot_prediction *of = &stair->prediction;
    text_add(out,
             of->verdict == EARSHOT_OUT ? "won't reach" : earshot_verdict_word(of->verdict));
    if (isnan(of->spare_db)) {
        text_add(out, ": its place or its radio is not known");
        return;
    }
    text_add(out, ": ");
    text_add_fixed(out, fabs(of->spare_db), 0);
    text_add(out,
             of->spare_db < 0 ? " dB short of what is kept" : " dB left over what is kept");
    text_add(out, ", give or take ");
    text_add_fixed(out, fmax(of->margin_sd_db, 1), 0);
    if (of->notes & EARSHOT_NOTE_WAY_BACK)
        text_add(out, "; the answer back is the weaker way, and is what is shown");
}

/* Else there is no stair below the words. */
static bool is_judged(const struct stair *stair) {
    return isfinite(stair->prediction.margin_db);
}

static void draw_head(const struct stair *stair) {
    static const drawing_letters heading = {.what = "heading", .size_mm = 3.8, .bold = true};
    static const drawing_letters note = {.what = "note", .size_mm = 2.7};
    const struct hop *hop = stair->hop;
    earshot_text *head = earshot_text_new(), *outcome = earshot_text_new();
    if (head && outcome) {
        text_add(head, hop->from);
        text_add(head, " to ");
        text_add(head, hop->to_what);
        text_add(head, hop->to);
        say_outcome(stair, outcome);
    }
    if (!head || !outcome || earshot_text_cut(head) || earshot_text_cut(outcome)) {
        drawing_lose(stair->drawing);
    } else {
        drawing_words_in(stair->drawing, &heading,
                         (earshot_dot){PLAN_MARGIN_MM, stair->top_mm + 4.5}, PLAN_WIDTH_MM,
                         earshot_text_data(head));
        drawing_words_in(stair->drawing, &note,
                         (earshot_dot){PLAN_MARGIN_MM, stair->top_mm + 9.5}, PLAN_WIDTH_MM,
                         earshot_text_data(outcome));
        drawing_panel(stair->drawing, earshot_text_data(head), stair->top_mm,
                      stair->top_mm + head_mm + (is_judged(stair) ? high_mm + foot_mm : 0));
    }
    earshot_text_free(head);
    earshot_text_free(outcome);
}

static void draw_sent(const struct stair *stair) {
    static const drawing_letters letters = {.what = "level", .size_mm = 2.4};
    char words[TEXT_NUMBER_SIZE + 40] = "sent, ";
    text_write_fixed(words + strlen(words), stair->sent_db, 0);
    strcat(words, " dB over what is needed");
    drawing_words(stair->drawing, &letters,
                  (earshot_dot){stair_left_mm, level_mm(stair, stair->sent_db) - 1.2}, words);
}

static enum earshot_status draw_hop(const earshot_survey *survey, const earshot_belief *belief,
                                    const struct hop *hop, earshot_drawing *drawing,
                                    double *top_mm) {
    struct stair stair = {.survey = survey, .drawing = drawing, .hop = hop, .top_mm = *top_mm};
    enum earshot_status status = take_steps(&stair, belief);
    if (status == EARSHOT_OK) {
        draw_head(&stair);
        *top_mm += head_mm;
    }
    if (status == EARSHOT_OK && is_judged(&stair)) {
        order_steps(&stair);
        lay_steps(&stair);
        place_names(&stair);
        draw_levels(&stair);
        draw_sent(&stair);
        for (size_t i = 0; i < stair.n_steps; i++)
            write_name(&stair, &stair.steps[i], i);
        draw_stair(&stair);
        draw_left_over(&stair);
        *top_mm += high_mm + foot_mm;
    }
    free(stair.steps);
    return status;
}

/* ---- which hops ---- */

static const char *called(const earshot_survey *survey, size_t device) {
    return drawing_called(&survey->devices[device]);
}

static struct hop standing_hop(const earshot_survey *survey, const earshot_link *link) {
    return (struct hop){*link, called(survey, link->device), called(survey, link->listener),
                        ""};
}

static struct hop posted_hop(const earshot_survey *survey, const earshot_end *from,
                             const char *name, const earshot_post *to, bool life_safety) {
    bool spot = to->spot != EARSHOT_NONE;
    return (struct hop){.link = {.from = *from,
                                 .to = to->end,
                                 .device = EARSHOT_NONE,
                                 .listener = EARSHOT_NONE,
                                 .path = EARSHOT_NONE,
                                 .life_safety = life_safety},
                        .from = name,
                        .to = spot ? survey->spots[to->spot].name : called(survey, to->device),
                        .to_what = !spot         ? ""
                                   : to->repeats ? "a repeater at "
                                                 : "the receiver at "};
}

/* Adds the best way on from a repeater of the survey, if there is one. */
static enum earshot_status way_on(const earshot_survey *survey, const earshot_belief *belief,
                                  size_t repeater, struct hop *hops, size_t *n_hops) {
    enum earshot_status status = EARSHOT_OK;
    double best = -1;
    for (size_t i = 0; status == EARSHOT_OK && i < survey->n_devices; i++) {
        earshot_prediction way;
        if (survey->devices[i].role != SURVEY_RECEIVER || !survey_hears(survey, i, repeater))
            continue;
        const earshot_link link = survey_link(survey, repeater, i);
        status = earshot_links_predict(survey, belief, &link, 1, &way);
        if (status != EARSHOT_OK || !(way.chance > best))
            continue;
        best = way.chance;
        hops[*n_hops] = standing_hop(survey, &link);
    }
    *n_hops += best >= 0;
    return status;
}

/* The receiver that hears an end best; NULL: none. */
static enum earshot_status best_receiver(const earshot_survey *survey,
                                         const earshot_belief *belief,
                                         const earshot_post *posts, size_t n_posts,
                                         const earshot_end *from, const earshot_post **best) {
    enum earshot_status status = EARSHOT_OK;
    double chance = -1;
    *best = NULL;
    for (size_t i = 0; status == EARSHOT_OK && i < n_posts; i++) {
        const struct hop hop = posted_hop(survey, from, "", &posts[i], false);
        earshot_prediction way;
        if (posts[i].repeats)
            continue;
        status = earshot_links_predict(survey, belief, &hop.link, 1, &way);
        if (status != EARSHOT_OK || !(way.chance > chance))
            continue;
        chance = way.chance;
        *best = &posts[i];
    }
    return status;
}

/* By which post the zone of `device` goes in the other arrangement; NULL: none hears it. */
static enum earshot_status post_for(const earshot_survey *survey, const earshot_belief *belief,
                                    const earshot_post *posts, size_t n_posts, size_t device,
                                    const earshot_post **out) {
    enum { N_DRAWS = 1000, SEED = 1 };
    size_t n = earshot_survey_zones(survey);
    earshot_fate *fates = calloc(n + 1, sizeof *fates);
    unsigned char *stands = malloc(n_posts + 1);
    earshot_score score;
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (fates && stands) {
        memset(stands, 1, n_posts + 1);
        status = earshot_posts_score(survey, belief, posts, n_posts, stands, 1, SEED, 0,
                                     N_DRAWS, fates, NULL, &score);
    }
    *out = NULL;
    for (size_t i = 0; status == EARSHOT_OK && i < n; i++)
        if (fates[i].device == device && fates[i].post != EARSHOT_NONE)
            *out = &posts[fates[i].post];
    free(fates);
    free(stands);
    return status;
}

/* The hops of the other arrangement, into `hops`; their count. */
static enum earshot_status find_posted(const earshot_survey *survey,
                                       const earshot_belief *belief, const earshot_link *link,
                                       const earshot_post *posts, size_t n_posts,
                                       struct hop *hops, size_t *n_hops) {
    const earshot_post *post = NULL, *receiver = NULL;
    enum earshot_status status = post_for(survey, belief, posts, n_posts, link->device, &post);
    if (status != EARSHOT_OK || !post)
        return status;
    hops[(*n_hops)++] =
        posted_hop(survey, &link->from, called(survey, link->device), post, link->life_safety);
    if (post->repeats)
        status = best_receiver(survey, belief, posts, n_posts, &post->end, &receiver);
    if (receiver)
        hops[(*n_hops)++] = posted_hop(
            survey, &post->end,
            post->spot != EARSHOT_NONE ? "the repeater" : called(survey, post->device),
            receiver, link->life_safety);
    return status;
}

static bool is_drawable(const earshot_survey *survey, const earshot_link *link) {
    return engine_link_valid(survey, link) && link->device < survey->n_devices &&
           link->listener < survey->n_devices;
}

enum earshot_status earshot_section_draw(const earshot_survey *survey,
                                         const earshot_belief *belief, const earshot_link *link,
                                         const earshot_post *posts, size_t n_posts,
                                         earshot_drawing **out) {
    enum { MOST_HOPS = 4 };
    struct hop hops[MOST_HOPS];
    size_t n_hops = 0;
    double top_mm = 4;
    if (!survey || !belief || !link || !out || !is_drawable(survey, link))
        return EARSHOT_MISUSE;
    hops[n_hops++] = standing_hop(survey, link);
    enum earshot_status status = EARSHOT_OK;
    if (survey->devices[link->listener].role == SURVEY_REPEATER)
        status = way_on(survey, belief, link->listener, hops, &n_hops);
    if (status == EARSHOT_OK && posts)
        status = find_posted(survey, belief, link, posts, n_posts, hops, &n_hops);
    earshot_drawing *drawing = status == EARSHOT_OK ? drawing_begin(PLAN_PAGE_MM) : NULL;
    if (!drawing)
        return status == EARSHOT_OK ? EARSHOT_NO_MEMORY : status;
    for (size_t i = 0; status == EARSHOT_OK && i < n_hops; i++)
        status = draw_hop(survey, belief, &hops[i], drawing, &top_mm);
    if (status == EARSHOT_OK)
        return drawing_end(drawing, top_mm, out);
    earshot_drawing_free(drawing);
    return status;
}
