/* SPDX-License-Identifier: GPL-3.0-or-later */
/* quote.c - how many repeaters to price, and what to ask to know it better: for a person, as
 * JSON (schema earshot/quote/1) and as CSV, a row for each number.
 */
#include <math.h>

#include "earshot/earshot.h"
#include "places.h"
#include "write.h"

struct writing {
    report_survey gathered;
    planning_search search;
    planning_quote quote;
    planning_question questions[PLANNING_MAX_QUESTIONS];
    size_t n_questions;
    earshot_text *out;
};

/* That so many or fewer are enough. */
static double enough(const planning_quote *quote, size_t n) {
    double sum = 0;
    for (size_t i = 0; i <= n; i++)
        sum += quote->chance[i];
    return fmin(sum, 1);
}

/* ---- for a person ---- */

static void write_price(const planning_quote *quote, earshot_text *out) {
    double more = 1 - enough(quote, quote->price);
    if (quote->price == 0) {
        text_add(out, "Price no repeater; the chance that one is needed is ");
    } else {
        text_add(out, "Price ");
        text_add_count(out, quote->price);
        text_add(out, quote->price == 1 ? " repeater; the chance of needing more is "
                                        : " repeaters; the chance of needing more is ");
    }
    report_percent(out, more < 1e-9 ? 0 : more);
    text_add(out, ".\n");
}

static void write_chances(const planning_quote *quote, earshot_text *out) {
    for (size_t n = 0; n <= PLANNING_QUOTE_MOST; n++) {
        text_add(out, n == 0 ? "  none needed: " : "  ");
        if (n > 0) {
            text_add_count(out, n);
            text_add(out, " needed: ");
        }
        report_percent(out, quote->chance[n]);
        text_add(out, "\n");
    }
    text_add(out, quote->by_rooms ? "  more than that: "
                                  : "  more than that, or none of these places does: ");
    report_percent(out, quote->chance_more);
    text_add(out, "\n");
}

static void write_basis(const planning_quote *quote, earshot_text *out) {
    if (quote->by_rooms) {
        text_add(out, "There are no places to try, so one is reckoned half way to each room "
                      "that falls short, and two where that is not enough.\n");
    } else {
        text_add(out, "Reckoned over the ");
        text_add_count(out, quote->n_places);
        text_add(out,
                 quote->n_places == 1 ? " most useful place.\n" : " most useful places.\n");
    }
    if (quote->n_never) {
        text_add(out, "Not counted: ");
        text_add_count(out, quote->n_never);
        text_add(out, quote->n_never == 1 ? " zone of which nothing can be said.\n"
                                          : " zones of which nothing can be said.\n");
    }
}

static void write_plain(const struct writing *writing) {
    earshot_text *out = writing->out;
    write_price(&writing->quote, out);
    write_chances(&writing->quote, out);
    write_basis(&writing->quote, out);
    if (!isinf(writing->gathered.survey->site.zones_per_repeater))
        text_add(out, "How many zones a repeater has room for is not counted here: earshot "
                      "where with --repeaters does.\n");
    if (writing->n_questions)
        text_add(out, "What narrows it most:\n");
    report_questions(&writing->gathered, writing->questions, writing->n_questions, out);
    text_add(out,
             "A repeater needs mains (electricians' work) and must be one that this system "
             "allows; for what guards life ask the authority having jurisdiction.\n");
}

/* ---- for programs ---- */

static void write_json(const struct writing *writing) {
    const planning_quote *quote = &writing->quote;
    report_json json = {.out = writing->out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/quote/1");
    report_string(&json, "version", earshot_version());
    report_string(&json, "survey", earshot_survey_name(writing->gathered.survey));
    report_number(&json, "repeaters", (double)quote->price);
    report_number(&json, "chance_of_more", 1 - enough(quote, quote->price));
    report_open(&json, "chance", '[');
    for (size_t n = 0; n <= PLANNING_QUOTE_MOST; n++)
        report_number(&json, NULL, quote->chance[n]);
    report_number(&json, NULL, quote->chance_more);
    report_close(&json, ']');
    report_string(&json, "by", quote->by_rooms ? "rooms" : "places");
    report_number(&json, "places", (double)quote->n_places);
    report_number(&json, "not_counted", (double)quote->n_never);
    report_open(&json, "questions", '[');
    for (size_t i = 0; i < writing->n_questions; i++) {
        earshot_text *text = earshot_text_new();
        if (text)
            report_question(text, writing->gathered.survey, &writing->questions[i]);
        if (!text || earshot_text_cut(text))
            text_lose(writing->out);
        report_string(&json, NULL, text ? earshot_text_data(text) : "");
        earshot_text_free(text);
    }
    report_close(&json, ']');
    report_findings_json(&json, writing->gathered.findings);
    report_close(&json, '}');
    text_add(writing->out, "\n");
}

static void write_csv(const struct writing *writing) {
    earshot_text *out = writing->out;
    text_add(out, "repeaters,chance,chance_enough\n");
    for (size_t n = 0; n <= PLANNING_QUOTE_MOST; n++) {
        report_cell_number(out, (double)n, false);
        report_cell_number(out, writing->quote.chance[n], false);
        report_cell_number(out, enough(&writing->quote, n), true);
    }
    report_cell(out, "more", false);
    report_cell_number(out, writing->quote.chance_more, false);
    report_cell_number(out, 1, true);
}

static enum earshot_status work_out(struct writing *writing, const planning_task *task) {
    const earshot_survey *survey = writing->gathered.survey;
    const earshot_belief *belief = writing->gathered.belief;
    enum earshot_status status = planning_search_run(survey, belief, task, &writing->search);
    if (status != EARSHOT_OK)
        return status;
    status = planning_quote_of(survey, belief, &writing->search, &writing->quote);
    if (status == EARSHOT_OK)
        status = report_ask(&writing->gathered, writing->questions, &writing->n_questions);
    planning_search_release(&writing->search);
    return status;
}

enum earshot_status earshot_quote_write(const earshot_survey *survey,
                                        const earshot_belief *belief,
                                        const earshot_findings *findings,
                                        const earshot_where *what, enum earshot_form form,
                                        earshot_text *out) {
    struct writing writing = {.out = out};
    const planning_task task = {.anywhere = what->anywhere || survey->n_spots == 0,
                                .watch = what->watch};
    enum earshot_status status = report_gather(survey, belief, findings, &writing.gathered);
    if (status != EARSHOT_OK)
        return status;
    status = work_out(&writing, &task);
    if (status == EARSHOT_OK && form == EARSHOT_JSON)
        write_json(&writing);
    else if (status == EARSHOT_OK && form == EARSHOT_CSV)
        write_csv(&writing);
    else if (status == EARSHOT_OK)
        write_plain(&writing);
    report_release(&writing.gathered);
    if (status == EARSHOT_OK && earshot_text_cut(out))
        status = EARSHOT_NO_MEMORY;
    return status;
}
