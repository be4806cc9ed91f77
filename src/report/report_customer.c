/* SPDX-License-Identifier: GPL-3.0-or-later */
/* report_customer.c - one page for who lives there, two where there are many rooms: rooms with
 * marks, what was tested and how, what a repeater buys, what spoils it, and whom to call.
 *
 * No decibels, no serials, no zone by name: a list of weak spots is a burglar's map. What is
 * only predicted is called not tested yet. What the warnings look like, how often to test and
 * what spoils a radio link are common practice, no source.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "page.h"
#include "repeats.h"

static const char *mark_words(enum earshot_verdict verdict) {
    static const char *const words[] = {"holds, with plenty kept in hand",
                                        "works, with less in hand than we ask",
                                        "still has work to be done", "still to be tested"};
    return words[verdict];
}

static void write_mark(const page *page, enum earshot_verdict verdict, bool life_safety) {
    report_mark(verdict, life_safety, mark_words(verdict), page->out);
}

static void write_room_name(const page *page, const page_room *room) {
    text_add(page->out, "<b>");
    report_html(page->out, room->name[0] ? room->name : "elsewhere");
    text_add(page->out, "</b>");
}

/* A day where the time is written year first; as it stands otherwise. */
static void write_date(const page *page, const char *time) {
    size_t day = page_date_length(time);
    report_html_bytes(page->out, time, day ? day : strlen(time));
}

/* What stands on one page, headings and all; the rooms may go on over the next. */
static void begin_whole(const page *page) {
    text_add(page->out, "<section class=\"whole\">\n");
}

static void end_whole(const page *page) {
    text_add(page->out, "</section>\n");
}

/* ---- rooms ---- */

static void write_done(const page *page, const page_room *room) {
    earshot_text *out = page->out;
    if (room->n_done == room->n_zones) {
        text_add(out, "Tested");
    } else {
        text_add_count(out, room->n_done);
        text_add(out, " of ");
        text_add_count(out, room->n_zones);
        text_add(out, " tested");
    }
    if (room->date[0]) {
        text_add(out, " ");
        write_date(page, room->date);
    }
    text_add(out, ", all heard");
}

static const char *rest_of(const page_room *room) {
    if (room->n_done == room->n_zones)
        return room->mark == EARSHOT_THIN ? ", with less in hand than we ask." : ".";
    if (room->n_done)
        return "; the rest not yet.";
    return room->mark == EARSHOT_FIRM ? "Not tested yet; expected to hold." : "Not tested yet.";
}

static void write_room(const page *page, const page_room *room) {
    text_add(page->out, "<li>");
    write_mark(page, room->mark, room->life_safety);
    text_add(page->out, "<span>");
    write_room_name(page, room);
    text_add(page->out, " ");
    if (room->mark == EARSHOT_OUT) {
        text_add(page->out, "Not signed off: work is still to be done here.");
    } else {
        if (room->n_done)
            write_done(page, room);
        text_add(page->out, rest_of(room));
    }
    text_add(page->out, "</span></li>\n");
}

static void write_rooms(const page *page, const page_room *rooms, size_t n) {
    page_heading(page, "Room by room");
    page_key(page, mark_words, NULL);
    text_add(page->out, "<ul class=\"rooms\">\n");
    for (size_t i = 0; i < n; i++)
        write_room(page, &rooms[i]);
    text_add(page->out, "</ul>\n");
}

/* ---- what was tested ---- */

static size_t count_done(const page *page) {
    size_t n = 0;
    for (size_t i = 0; i < page->gathered.n_zones; i++)
        n += page->tested[i].final.state >= PLANNING_PASSED;
    return n;
}

/* The first and the last day of tests that passed; "" where none has a date. */
static void find_days(const page *page, const char **first, const char **last) {
    *first = *last = "";
    for (size_t i = 0; i < page->gathered.n_zones; i++) {
        if (page->tested[i].final.state < PLANNING_PASSED)
            continue;
        const char *time = page_test_time(page->survey, &page->tested[i]);
        if (!page_date_length(time))
            continue;
        *first = (*first)[0] && strcmp(*first, time) <= 0 ? *first : time;
        *last = strcmp(*last, time) >= 0 ? *last : time;
    }
}

static void write_days(const page *page) {
    const char *first, *last;
    find_days(page, &first, &last);
    size_t length = page_date_length(first);
    if (length == 0)
        return;
    bool one = length == page_date_length(last) && memcmp(first, last, length) == 0;
    text_add(page->out, one ? " on " : " between ");
    write_date(page, first);
    if (!one) {
        text_add(page->out, " and ");
        write_date(page, last);
    }
}

/* The most that is missed of all that is firm and does not guard life, if the link is among the
 * worst tenth of such links; 0: there is none. */
static double most_missed(const page *page) {
    static const double worst_tenth_sd = 1.281551566; /* normal distribution */
    double most = 0;
    for (size_t i = 0; i < page->gathered.n_zones; i++) {
        const earshot_zone *zone = &page->gathered.zones[i].zone;
        const earshot_prediction *prediction = &zone->prediction;
        if (zone->link.life_safety || prediction->verdict != EARSHOT_FIRM)
            continue;
        engine_traffic traffic = engine_traffic_of(
            page->survey, &zone->link,
            prediction->margin_db - worst_tenth_sd * prediction->margin_sd_db);
        most = fmax(most, engine_missed_alarm(&traffic));
    }
    return most;
}

/* Powers of ten, for nothing here is known better, and nothing of what guards life. */
static void write_missed(const page *page) {
    double most = most_missed(page);
    if (most == 0 || engine_one_in(most) < 10)
        return;
    text_add(page->out, " Over the years up to one alarm in ");
    text_add_fixed(page->out, engine_one_in(most), 0);
    text_add(page->out, " may be missed where the mark is a full disc, as far as that can be "
                        "worked out; of what guards life nothing of the kind is said.");
}

static void write_tested(const page *page) {
    earshot_text *out = page->out;
    size_t n = page->gathered.n_zones, done = count_done(page);
    begin_whole(page);
    page_heading(page, "What was tested, and how");
    text_add(out, "<p>");
    text_add_count(out, done);
    text_add(out, " of ");
    text_add_count(out, n);
    text_add(out, n == 1 ? " sensor was tested as it is left"
                         : " sensors were tested as they are left");
    if (done)
        write_days(page);
    text_add(out, done ? ": on the final fixing, cover on, doors shut, three test alarms or "
                         "more, each of them heard by the receiver."
                       : ".");
    if (done < n)
        text_add(out, " The others are <b>not tested yet</b>: what stands here of them is "
                      "worked out from the building and from readings elsewhere in it.");
    write_missed(page);
    text_add(out, "</p>\n");
    end_whole(page);
}

/* ---- what is proposed ---- */

static enum earshot_status score(const page *page, earshot_fate **out) {
    enum { N_DRAWS = 1000, SEED = 1 };
    const earshot_report *asked = page->asked;
    earshot_score total;
    earshot_fate *fates = calloc(page->gathered.n_zones + 1, sizeof *fates);
    unsigned char *stands = malloc(asked->n_posts + 1);
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (fates && stands) {
        memset(stands, 1, asked->n_posts + 1);
        status = earshot_posts_score(page->survey, page->belief, asked->posts, asked->n_posts,
                                     stands, 1, SEED, 0, N_DRAWS, fates, NULL, &total);
    }
    free(stands);
    if (status == EARSHOT_OK)
        *out = fates;
    else
        free(fates);
    return status;
}

static void write_change(const page *page, const page_room *room) {
    text_add(page->out, "<li>");
    write_mark(page, room->mark, room->life_safety);
    text_add(page->out, "<span aria-hidden=\"true\">\xE2\x86\x92</span>");
    write_mark(page, room->then, room->life_safety);
    text_add(page->out, "<span>");
    write_room_name(page, room);
    text_add(page->out, "</span></li>\n");
}

static bool changes(const page_room *room) {
    return room->mark != room->then &&
           !(room->then == EARSHOT_NOT_JUDGED && room->n_done == room->n_zones);
}

static void write_proposed(const page *page, const page_room *rooms, size_t n) {
    earshot_text *out = page->out;
    size_t n_changes = 0;
    begin_whole(page);
    page_heading(page, "Before and after");
    text_add(out, "<p>Proposed: <b>");
    report_html(out, page->asked->proposed);
    for (size_t i = 0; i < n; i++)
        n_changes += changes(&rooms[i]);
    text_add(out, n_changes ? "</b>. These rooms change, from what they are now to what is "
                              "expected; it is <b>not tested yet</b>, and is tested once it "
                              "hangs:</p>\n<ul class=\"rooms\">\n"
                            : "</b>. No room changes its mark by it.</p>\n");
    for (size_t i = 0; i < n; i++)
        if (changes(&rooms[i]))
            write_change(page, &rooms[i]);
    text_add(out, n_changes ? "</ul>\n" : "");
    end_whole(page);
}

/* ---- what to know afterwards ---- */

static void write_spoilers(const page *page) {
    static const char *const spoilers[] = {
        "a mirror hung near a sensor or the receiver: its back is metal",
        "foil: on insulation boards, under a floor, in wallpaper",
        "a steel cabinet, a refrigerator or a safe put in the way",
        "the receiver moved, were it only to the next shelf",
        "a new metal door, or new windows with coated glass"};
    page_heading(page, "Five things that spoil it");
    page_list(page, spoilers, sizeof spoilers / sizeof *spoilers);
    text_add(page->out,
             "<p>After any of them, after building work, new furniture or a new battery, and "
             "once a year, have it tested again.</p>\n");
}

static void write_warnings(const page *page) {
    page_heading(page, "When it warns");
    text_add(page->out,
             "<p><b>A sensor is missing:</b> the receiver has not heard from it for some "
             "hours. It beeps now and then, or a lamp stays lit, and it names a place with a "
             "word like missing, lost or fault. <b>A battery is low:</b> the same, with a word "
             "like battery, and the sensor itself may chirp. Neither is an alarm, and neither "
             "is gone when it is silenced: call, and read what the maker says of it.</p>\n"
             "<div class=\"fields\">\n");
    page_field(page, "Call", page->survey->site.company);
    page_field(page, "Phone", page->survey->site.phone);
    text_add(page->out, "</div>\n");
}

static void write_care(const page *page) {
    page_heading(page, "What this page is, and is not");
    text_add(page->out,
             "<p>A planning aid and no certificate. Where detectors must be, which equipment "
             "is approved and the final decision belong to local codes, the makers' "
             "instructions, the authority having jurisdiction and licensed practice. Test "
             "smoke, heat and carbon monoxide alarms every month, as the maker says; no "
             "open flame. If one sounds, get out first.</p>\n");
}

static void write_signature(const page *page) {
    page_heading(page, "Handed over");
    text_add(page->out, "<div class=\"fields sign\">\n");
    page_field(page, "By", page->survey->site.technician);
    page_field(page, "Date", page->asked->date);
    page_field(page, "Signature", NULL);
    page_field(page, "To", NULL);
    page_field(page, "Date", page->asked->date);
    page_field(page, "Signature", NULL);
    text_add(page->out, "</div>\n");
}

enum earshot_status page_write_customer(const page *page) {
    earshot_fate *then = NULL;
    page_room *rooms = NULL;
    size_t n = 0;
    enum earshot_status status = page->asked->proposed ? score(page, &then) : EARSHOT_OK;
    if (status == EARSHOT_OK)
        status = page_rooms(page, then, &rooms, &n);
    if (status == EARSHOT_OK) {
        page_begin(page, "customer",
                   "Wireless alarm sensors: what holds, and how to keep it so");
        write_rooms(page, rooms, n);
        write_tested(page);
        if (then)
            write_proposed(page, rooms, n);
        begin_whole(page); /* what to know afterwards, and the signatures */
        text_add(page->out, "<div class=\"two\">\n<section>\n");
        write_spoilers(page);
        text_add(page->out, "</section>\n<section>\n");
        write_warnings(page);
        text_add(page->out, "</section>\n</div>\n");
        write_care(page);
        write_signature(page);
        end_whole(page);
        page_end(page);
    }
    free(rooms);
    free(then);
    return status;
}
