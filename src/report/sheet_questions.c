/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_questions.c - the sheet for the phone: one numbered question a line, in plain words,
 * for somebody who reads them to an owner and writes the answers down.
 */
#include <math.h>
#include <string.h>

#include "sheet.h"

/* Begins a question. */
static void ask(size_t *number, earshot_text *out) {
    text_add_count(out, ++*number);
    text_add(out, ". ");
}

/* How a device is tripped by somebody who lives there. Common practice, no source. */
static const char *trip_of(const char *type) {
    static const struct {
        const char *type, *trip;
    } trips[] = {{"contact", "open and shut it"},
                 {"motion", "fit its battery, wait a minute, then walk past it"},
                 {"smoke", "press its test button, no flame,"},
                 {"heat", "press its test button, no flame,"},
                 {"co", "press its test button"},
                 {"flood", "touch its contacts with a wet cloth"},
                 {"panic", "press it"},
                 {"keypad", "press a key"},
                 {"fob", "press a key"},
                 {"siren", "press its test button"},
                 {"glass-break", "press its test button"}};
    for (size_t i = 0; i < sizeof trips / sizeof *trips; i++)
        if (strcmp(type, trips[i].type) == 0)
            return trips[i].trip;
    return "trip it";
}

/* A fob hangs nowhere. */
static bool is_carried(const sheet_row *row) {
    return strcmp(row->device->type, "fob") == 0;
}

static void write_last_heard(const planning_last *last, earshot_text *out) {
    if (!last->trips)
        return;
    text_add(out, " (Last time ");
    text_add_count(out, last->heard);
    text_add(out, " of ");
    text_add_count(out, last->trips);
    text_add(out, ".)");
}

static void write_last_shown(const sheet *sheet, const planning_last *last, earshot_text *out) {
    if (isnan(last->level_dbm))
        return;
    text_add(out, " (Last time ");
    text_add_fixed(out, sheet_shown(sheet, last->level_dbm), 0);
    text_add(out, ".)");
}

static void ask_heard(const sheet *sheet, const sheet_row *row, size_t *number,
                      earshot_text *out) {
    ask(number, out);
    sheet_name(sheet, row, out);
    text_add(out, is_carried(row)
                      ? ": go where it is used farthest from the receiver, doors shut, "
                        "and "
                      : ": hold it where it will hang, doors shut, and ");
    text_add(out, trip_of(row->device->type));
    text_add(out, " ten times; how many of the ten did the receiver hear?");
    write_last_heard(&row->held, out);
    text_add(out, "\n");
}

static void ask_shown(const sheet *sheet, const sheet_row *row, size_t *number,
                      earshot_text *out) {
    ask(number, out);
    sheet_name(sheet, row, out);
    text_add(out, ": what did the receiver show, in ");
    text_add_in_line(out, sheet_unit(sheet));
    text_add(out, "? [");
    sheet_expect(sheet, row, out);
    text_add(out, "]");
    write_last_shown(sheet, &row->held, out);
    text_add(out, "\n");
}

static void ask_final(const sheet *sheet, const sheet_row *row, size_t *number,
                      earshot_text *out) {
    ask(number, out);
    sheet_name(sheet, row, out);
    text_add(out, is_carried(row) ? ": from there by whoever carries it, "
                                  : ": now screwed on, cover on, doors shut, ");
    text_add(out, "three times more; how many were heard, and what was the lowest shown?");
    write_last_heard(&row->in_place, out);
    write_last_shown(sheet, &row->in_place, out);
    text_add(out, "\n");
}

static void ask_first(const sheet *sheet, size_t *number, earshot_text *out) {
    ask(number, out);
    text_add(out, "Is the account on test, and does everybody in the building know?\n");
    ask(number, out);
    text_add(out, "Who stands at the receiver and calls out what it shows?\n");
    if (sheet->ladder) {
        ask(number, out);
        text_add(out, "Who holds the ladder?\n");
    }
    ask(number, out);
    text_add(out,
             "Watch the receiver for two minutes: what is the most noise it shows, in dBm, "
             "if it shows any?\n");
}

static void ask_last(size_t *number, earshot_text *out) {
    ask(number, out);
    text_add(out, "At another hour, two minutes more: what is the most noise it shows?\n");
    ask(number, out);
    text_add(out, "Are all zones restored and the account off test, and what time is it?\n");
}

void sheet_write_questions(const sheet *sheet, earshot_text *out) {
    size_t number = 0;
    ask_first(sheet, &number, out);
    for (size_t i = 0; i < sheet->n_rows; i++) {
        ask_heard(sheet, &sheet->rows[i], &number, out);
        ask_shown(sheet, &sheet->rows[i], &number, out);
        ask_final(sheet, &sheet->rows[i], &number, out);
    }
    ask_last(&number, out);
    if (sheet->n_undated) {
        text_add(out, "note: ");
        sheet_undated(sheet, out);
        text_add(out, "\n");
    }
}
