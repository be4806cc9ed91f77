/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fit.c - what was read beside what was foretold: a row for each link that was read, on one
 * scale of received power. A heavy stroke is what was read, an open dot what the tables alone
 * foretell, a full dot what is believed now, each with a bar of its give or take. Below, on the
 * plan, how far what was read is off the tables.
 *
 * Levels are means of the last visit, doors shut, what a pad takes added.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "drawing.h"
#include "observations.h"
#include "plan.h"
#include "text.h"

static const double left_mm = 66, right_mm = 168, row_mm = 7.5;

/* A link that was read. */
struct read_link {
    earshot_link link;
    earshot_prediction tables, now;
    double low_dbm, high_dbm; /* what was shown; equal: a level; not a number: nothing */
    double sd_db;
    bool silent; /* not heard, with a level or without */
    unsigned trips, heard;
};

struct fit {
    const earshot_survey *survey;
    const earshot_belief *belief;
    earshot_drawing *drawing;
    struct read_link *links;
    size_t n;
    double least_dbm, most_dbm;
};

/* ---- what was read ---- */

struct gathering {
    size_t visit, n_values, n_between;
    double sum_dbm, low_dbm, high_dbm;
    bool any, in_place;
};

static void gather_row(const survey_reading *reading, struct gathering *all,
                       struct read_link *out) {
    if (all->any && reading->visit < all->visit)
        return;
    if (!all->any || reading->visit > all->visit) {
        *all = (struct gathering){.any = true, .visit = reading->visit};
        out->silent = false;
        out->trips = out->heard = 0;
    }
    out->silent = out->silent || reading->none || (reading->trips && !reading->heard);
    out->trips += reading->pad_db > 0 ? 0 : reading->trips;
    out->heard += reading->pad_db > 0 ? 0 : reading->heard;
    all->in_place = all->in_place || reading->placed == SURVEY_IN_PLACE;
    if (isfinite(reading->low_dbm) && reading->low_dbm == reading->high_dbm) {
        all->sum_dbm += reading->low_dbm + reading->pad_db;
        all->n_values++;
    } else if (isfinite(reading->low_dbm) && isfinite(reading->high_dbm)) {
        all->low_dbm = reading->low_dbm + reading->pad_db;
        all->high_dbm = reading->high_dbm + reading->pad_db;
        all->n_between++;
    }
}

/* False: nobody read the link with doors shut. */
static bool gather(const struct fit *fit, struct read_link *out) {
    const earshot_survey *survey = fit->survey;
    struct gathering all = {0};
    out->low_dbm = out->high_dbm = NAN;
    for (size_t i = 0; i < survey->n_readings; i++) {
        const survey_reading *reading = &survey->readings[i];
        if (reading->device == out->link.device && reading->heard_at == out->link.listener &&
            !reading->doors_open)
            gather_row(reading, &all, out);
    }
    if (all.n_values)
        out->low_dbm = out->high_dbm = all.sum_dbm / (double)all.n_values;
    else if (all.n_between) {
        out->low_dbm = all.low_dbm;
        out->high_dbm = all.high_dbm;
    }
    double session_db = fit->belief->session_sd_db, place_db = fit->belief->static_sd_db;
    out->sd_db = sqrt(session_db * session_db + calibration_meter_noise_db2() +
                      (all.in_place ? 0 : place_db * place_db));
    return all.any;
}

static enum earshot_status gather_links(struct fit *fit, const earshot_belief *prior) {
    size_t n = earshot_survey_links(fit->survey, NULL, 0);
    earshot_link *links = calloc(n + 1, sizeof *links);
    fit->links = calloc(n + 1, sizeof *fit->links);
    enum earshot_status status = links && fit->links ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        earshot_survey_links(fit->survey, links, n);
    for (size_t i = 0; status == EARSHOT_OK && i < n; i++) {
        struct read_link *read = &fit->links[fit->n];
        *read = (struct read_link){.link = links[i]};
        if (!gather(fit, read))
            continue;
        status = earshot_links_predict(fit->survey, prior, &links[i], 1, &read->tables);
        if (status == EARSHOT_OK)
            status = earshot_links_predict(fit->survey, fit->belief, &links[i], 1, &read->now);
        fit->n++;
    }
    free(links);
    return status;
}

/* ---- on one scale ---- */

static void widen(struct fit *fit, double low_dbm, double high_dbm) {
    if (isfinite(low_dbm) && isfinite(high_dbm)) {
        fit->least_dbm = fmin(fit->least_dbm, low_dbm);
        fit->most_dbm = fmax(fit->most_dbm, high_dbm);
    }
}

static void find_scale(struct fit *fit) {
    fit->least_dbm = INFINITY;
    fit->most_dbm = -INFINITY;
    for (size_t i = 0; i < fit->n; i++) {
        const struct read_link *read = &fit->links[i];
        const earshot_prediction *both[2] = {&read->tables, &read->now};
        for (int j = 0; j < 2; j++)
            widen(fit, both[j]->expected_reading_dbm - both[j]->reading_sd_db,
                  both[j]->expected_reading_dbm + both[j]->reading_sd_db);
        widen(fit, read->low_dbm - read->sd_db, read->high_dbm + read->sd_db);
    }
    if (fit->least_dbm > fit->most_dbm) {
        fit->least_dbm = -120;
        fit->most_dbm = -20;
    }
    fit->least_dbm = floor(fit->least_dbm / 10) * 10;
    fit->most_dbm = ceil(fit->most_dbm / 10) * 10 + (fit->most_dbm == fit->least_dbm ? 10 : 0);
}

static double on_scale(const struct fit *fit, double dbm) {
    double share = (dbm - fit->least_dbm) / (fit->most_dbm - fit->least_dbm);
    return left_mm + (right_mm - left_mm) * fmin(fmax(share, 0), 1);
}

static void draw_scale(const struct fit *fit, double top_mm, double bottom_mm) {
    static const drawing_pen pen = {.what = "scale", .width_mm = 0.12, .gray = 0.6};
    static const drawing_letters letters = {
        .what = "scale", .size_mm = 2.3, .anchor = EARSHOT_MIDDLE};
    char words[TEXT_NUMBER_SIZE];
    for (double dbm = fit->least_dbm; dbm <= fit->most_dbm + 0.5; dbm += 10) {
        double x_mm = on_scale(fit, dbm);
        drawing_segment(fit->drawing, &pen, (earshot_dot){x_mm, top_mm},
                        (earshot_dot){x_mm, bottom_mm});
        text_write_fixed(words, dbm, 0);
        drawing_words(fit->drawing, &letters, (earshot_dot){x_mm, top_mm - 1}, words);
    }
    drawing_words(fit->drawing, &letters, (earshot_dot){right_mm + 12, top_mm - 1}, "dBm");
}

static void bar(const struct fit *fit, double low_dbm, double high_dbm, double y_mm,
                double width_mm) {
    const drawing_pen pen = {.what = "doubt", .width_mm = width_mm};
    drawing_segment(fit->drawing, &pen, (earshot_dot){on_scale(fit, low_dbm), y_mm},
                    (earshot_dot){on_scale(fit, high_dbm), y_mm});
}

static void dot_and_bar(const struct fit *fit, const earshot_prediction *of, double y_mm,
                        bool full) {
    static const drawing_pen ring = {.what = "foretold", .width_mm = 0.3};
    static const drawing_pen paper = {.what = "foretold", .gray = 1};
    double dbm = of->expected_reading_dbm;
    if (!isfinite(dbm) || !isfinite(of->reading_sd_db))
        return;
    const earshot_dot at = {on_scale(fit, dbm), y_mm};
    bar(fit, dbm - of->reading_sd_db, dbm + of->reading_sd_db, y_mm, 0.25);
    drawing_arc(fit->drawing, full ? &ring : &paper, at, 0.9, 0, 360, true);
    if (!full)
        drawing_arc(fit->drawing, &ring, at, 0.9, 0, 360, false);
}

static void draw_read(const struct fit *fit, const struct read_link *read, double y_mm) {
    static const drawing_pen stroke = {.what = "read", .width_mm = 0.8};
    if (!isfinite(read->low_dbm))
        return;
    double middle_mm = on_scale(fit, (read->low_dbm + read->high_dbm) / 2);
    bar(fit, read->low_dbm - read->sd_db, read->high_dbm + read->sd_db, y_mm, 0.25);
    if (read->low_dbm < read->high_dbm)
        bar(fit, read->low_dbm, read->high_dbm, y_mm, 0.8);
    else
        drawing_segment(fit->drawing, &stroke, (earshot_dot){middle_mm, y_mm - 1.1},
                        (earshot_dot){middle_mm, y_mm + 1.1});
}

/* "7 of 10" or "not heard", beside the row. */
static void say_heard(const struct fit *fit, const struct read_link *read, double y_mm) {
    static const drawing_letters letters = {.what = "read", .size_mm = 2.4};
    char words[2 * TEXT_NUMBER_SIZE + 8] = "not heard";
    if (read->trips) {
        size_t n = text_write_fixed(words, read->heard, 0);
        strcpy(words + n, " of ");
        text_write_fixed(words + n + 4, read->trips, 0);
    } else if (!read->silent) {
        return;
    }
    drawing_words(fit->drawing, &letters, (earshot_dot){right_mm + 5, y_mm + 0.9}, words);
}

static void draw_row(const struct fit *fit, const struct read_link *read, double y_mm) {
    static const drawing_letters letters = {.what = "zone", .size_mm = 2.5};
    const survey_device *device = &fit->survey->devices[read->link.device];
    earshot_text *name = earshot_text_new();
    if (name) {
        if (device->zone) {
            text_add_count(name, device->zone);
            text_add(name, " ");
        }
        text_add(name, drawing_called(device));
        if (fit->survey->n_listeners > 1) {
            text_add(name, ", ");
            text_add(name, drawing_called(&fit->survey->devices[read->link.listener]));
        }
    }
    if (!name || earshot_text_cut(name))
        drawing_lose(fit->drawing);
    else
        drawing_words_in(fit->drawing, &letters, (earshot_dot){PLAN_MARGIN_MM, y_mm + 0.9},
                         left_mm - PLAN_MARGIN_MM - 2, earshot_text_data(name));
    earshot_text_free(name);
    dot_and_bar(fit, &read->tables, y_mm - 2, false);
    draw_read(fit, read, y_mm);
    dot_and_bar(fit, &read->now, y_mm + 2, true);
    say_heard(fit, read, y_mm);
}

static void draw_key(const struct fit *fit, double y_mm) {
    static const drawing_letters letters = {.what = "key", .size_mm = 2.5};
    static const drawing_pen ring = {.what = "foretold", .width_mm = 0.3};
    static const drawing_pen stroke = {.what = "read", .width_mm = 0.8};
    static const char *const words[] = {"foretold by the tables alone", "read",
                                        "believed now, readings counted", "bars: give or take"};
    for (int i = 0; i < 4; i++) {
        const earshot_dot at = {PLAN_MARGIN_MM + 2 + 48 * i, y_mm - 0.9};
        if (i == 1)
            drawing_segment(fit->drawing, &stroke, (earshot_dot){at.x_mm, at.y_mm - 1.1},
                            (earshot_dot){at.x_mm, at.y_mm + 1.1});
        else if (i < 3)
            drawing_arc(fit->drawing, &ring, at, 0.9, 0, 360, i == 2);
        drawing_words(fit->drawing, &letters, (earshot_dot){at.x_mm + (i < 3 ? 3 : 0), y_mm},
                      words[i]);
    }
}

static double draw_rows(const struct fit *fit) {
    static const drawing_letters title = {.what = "title", .size_mm = 5, .bold = true};
    static const double top_mm = 24;
    double bottom_mm = top_mm + row_mm * (double)fit->n;
    drawing_words_in(fit->drawing, &title, (earshot_dot){PLAN_MARGIN_MM, 8}, PLAN_WIDTH_MM,
                     fit->survey->site.name);
    draw_key(fit, 15);
    draw_scale(fit, top_mm - 1, bottom_mm);
    for (size_t i = 0; i < fit->n; i++)
        draw_row(fit, &fit->links[i], top_mm + row_mm * ((double)i + 0.5));
    drawing_panel(fit->drawing, "read and foretold", 0, bottom_mm + 3);
    return bottom_mm + 8;
}

/* ---- on the plan ---- */

static double shown_dbm(const struct read_link *read) {
    return (read->low_dbm + read->high_dbm) / 2;
}

/* By device: what was read less what the tables foretell, of the listener that heard it best;
 * not a number where there is no level. The links of a device come one after the other. */
static double *residuals_of(const struct fit *fit) {
    double *residual_db = malloc((fit->survey->n_devices + 1) * sizeof *residual_db);
    const struct read_link *best = NULL;
    for (size_t i = 0; residual_db && i < fit->survey->n_devices; i++)
        residual_db[i] = NAN;
    for (size_t i = 0; residual_db && i < fit->n; i++) {
        const struct read_link *read = &fit->links[i];
        double off_db = shown_dbm(read) - read->tables.expected_reading_dbm;
        bool other = !best || best->link.device != read->link.device;
        if (!isfinite(off_db) || (!other && shown_dbm(read) <= shown_dbm(best)))
            continue;
        residual_db[read->link.device] = off_db;
        best = read;
    }
    return residual_db;
}

static enum earshot_status draw_residuals(const struct fit *fit, double *bottom_mm) {
    double *residual_db = residuals_of(fit);
    if (!residual_db)
        return EARSHOT_NO_MEMORY;
    enum earshot_status status =
        plan_draw_residuals(fit->survey, fit->belief, residual_db, fit->drawing, bottom_mm);
    free(residual_db);
    return status;
}

static enum earshot_status draw_fit(struct fit *fit, earshot_drawing **out) {
    double bottom_mm;
    find_scale(fit);
    fit->drawing = drawing_begin(PLAN_PAGE_MM);
    if (!fit->drawing)
        return EARSHOT_NO_MEMORY;
    bottom_mm = draw_rows(fit);
    enum earshot_status status = draw_residuals(fit, &bottom_mm);
    if (status == EARSHOT_OK)
        return drawing_end(fit->drawing, bottom_mm, out);
    earshot_drawing_free(fit->drawing);
    return status;
}

enum earshot_status earshot_fit_draw(const earshot_survey *survey, const earshot_belief *belief,
                                     earshot_drawing **out) {
    earshot_belief *prior = NULL;
    struct fit fit = {.survey = survey, .belief = belief};
    if (!survey || !belief || !out)
        return EARSHOT_MISUSE;
    enum earshot_status status = earshot_belief_prior(survey, &prior);
    if (status == EARSHOT_OK)
        status = gather_links(&fit, prior);
    if (status == EARSHOT_OK)
        status = fit.n ? draw_fit(&fit, out) : EARSHOT_MISUSE;
    earshot_belief_free(prior);
    free(fit.links);
    return status;
}
