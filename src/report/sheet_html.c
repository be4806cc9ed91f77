/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_html.c - the sheet as paper: one HTML file with everything in it, no script, no
 * network.
 *
 * It is broken into pages here and not by the browser: each page is a box that fits both A4 and
 * Letter, so that "page n of m" is right on paper (sheet_pages.c). Black on white, 12 pt, boxes
 * of 8 mm and more for a pencil. Marks are told by shape, so that a copier keeps them.
 */
#include <math.h>

#include "sheet.h"

/* ---- style ---- */

static void write_mm(earshot_text *out, const char *before, double mm) {
    text_add(out, before);
    text_add_number(out, mm);
    text_add(out, "mm");
}

static const double line_mm = 0.8; /* the thickest between rows */

static void write_sizes(earshot_text *out) {
    write_mm(out, "@page{margin:", SHEET_MARGIN_MM);
    write_mm(out, "}\n.page{width:", SHEET_WIDTH_MM);
    write_mm(out, ";height:", SHEET_HEIGHT_MM);
    write_mm(out, "}\n.top{height:", SHEET_TOP_MM);
    write_mm(out, "}\n.again{height:", SHEET_TOP_AGAIN_MM);
    write_mm(out, "}\nthead tr{height:", SHEET_HEAD_MM);
    write_mm(out, "}\ntbody tr{height:", SHEET_ROW_MM);
    write_mm(out, "}\ntbody td>div{height:", SHEET_ROW_MM - line_mm);
    write_mm(out, "}\n.foot{height:", SHEET_FOOT_MM);
    text_add(out, "}\n");
}

static const char style[] =
    "*{box-sizing:border-box;margin:0;padding:0}\n"
    "html{font:12pt/4.7mm Arial,Helvetica,'Liberation Sans','Nimbus Sans',sans-serif;"
    "font-size-adjust:0.52;color:#000;background:#fff}\n"
    ".page{overflow:hidden;break-after:page;margin:0 auto}\n"
    ".page:last-child{break-after:auto}\n"
    "@media screen{.page{margin:8mm auto;outline:1px solid #999;outline-offset:8mm}"
    ".page+.page{margin-top:24mm}}\n"
    ".top,.again,.foot{overflow:hidden}\n"
    ".line{display:flex;justify-content:space-between;align-items:center;gap:2mm;"
    "white-space:nowrap}\n"
    ".title{font-weight:bold;height:6.5mm}\n"
    ".title span:first-child{overflow:hidden;text-overflow:ellipsis}\n"
    "h1{font-size:14pt;overflow:hidden;text-overflow:ellipsis}\n"
    ".boxes{height:9.4mm;justify-content:flex-start;gap:1.5mm}\n"
    "u{display:inline-block;width:8.8mm;height:8.7mm;border:0.3mm solid #000;"
    "text-decoration:none;flex:none;vertical-align:middle}\n"
    "u.w16{width:16mm}u.w20{width:20mm}u.name{flex:2}u.signature{flex:3}\n"
    "svg{width:6mm;height:7.2mm;margin-top:1.5mm}\n"
    "thead svg{width:3.7mm;height:4.4mm;margin:0;vertical-align:-0.8mm}\n"
    "table{border-collapse:collapse;table-layout:fixed;width:100%}\n"
    "th{font-weight:normal;text-align:left;vertical-align:bottom}\n"
    "thead th.c{text-align:center}\n"
    "thead span{writing-mode:vertical-rl;transform:rotate(180deg);display:inline-block;"
    "white-space:nowrap;height:17mm;text-align:left}\n"
    "thead .group{height:4.9mm;border-bottom:0.2mm solid #000;text-align:center;"
    "vertical-align:top;white-space:nowrap;overflow:hidden}\n"
    "thead tr.names{height:auto}\n"
    ".names p{line-height:4.4mm;white-space:nowrap;overflow:hidden}\n"
    "tbody tr{border-top:0.2mm solid #000}\n"
    "tbody tr.level{border-top:0.8mm solid #000}\n"
    "tbody td>div{overflow:hidden;padding-top:0.3mm;line-height:4.5mm}\n"
    "td.b{text-align:center}\n"
    "td.b i{display:block;height:4.7mm;font-style:italic;white-space:nowrap}\n"
    "td.first{border-left:0.2mm solid #000}\n"
    ".what b{display:block;white-space:nowrap;overflow:hidden;text-overflow:ellipsis;"
    "padding-right:1mm}\n"
    ".what em{font-style:normal;text-transform:uppercase}\n"
    ".foot{border-top:0.8mm solid #000}\n";

/* ---- text composed elsewhere ---- */

static void write_composed(const sheet *sheet, const sheet_row *row,
                           void (*compose)(const struct sheet *, const struct sheet_row *,
                                           earshot_text *),
                           earshot_text *out) {
    earshot_text *text = earshot_text_new();
    if (text)
        compose(sheet, row, text);
    if (!text || earshot_text_cut(text))
        text_lose(out);
    else
        report_html(out, earshot_text_data(text));
    earshot_text_free(text);
}

/* ---- the top ---- */

static void write_page_of(size_t page, size_t n_pages, earshot_text *out) {
    text_add(out, "<span>page ");
    text_add_count(out, page);
    text_add(out, " of ");
    text_add_count(out, n_pages);
    text_add(out, "</span>");
}

static void write_receiver(const sheet *sheet, const survey_device *device, earshot_text *out) {
    const earshot_survey *survey = sheet->gathered.survey;
    report_html(out, report_name(device));
    if (device->room[0]) {
        text_add(out, ", ");
        report_html(out, device->room);
    }
    if (device->level != EARSHOT_NONE && survey->n_levels > 1) {
        text_add(out, ", ");
        report_html(out, survey->levels[device->level].name);
    }
}

/* "2 h 40 min", to ten minutes. */
static void write_time(double minutes, earshot_text *out) {
    size_t tens = (size_t)ceil(minutes / 10);
    if (tens >= 6) {
        text_add_count(out, tens / 6);
        text_add(out, " h ");
    }
    if (tens % 6) {
        text_add_count(out, tens % 6 * 10);
        text_add(out, " min");
    }
}

enum { MOST_RECEIVERS = 2 }; /* that are named */

static void write_where(const sheet *sheet, earshot_text *out) {
    const earshot_survey *survey = sheet->gathered.survey;
    size_t n = 0;
    text_add(out, "<div class=\"line\"><span><b>Receiver:</b> ");
    for (size_t i = 0; i < survey->n_devices; i++) {
        if (survey->devices[i].role != SURVEY_RECEIVER)
            continue;
        if (n < MOST_RECEIVERS) {
            text_add(out, n ? "; " : "");
            write_receiver(sheet, &survey->devices[i], out);
        }
        n++;
    }
    if (n > MOST_RECEIVERS) {
        text_add(out, "; ");
        text_add_count(out, n - MOST_RECEIVERS);
        text_add(out, " more");
    }
    text_add(out, "</span><span>");
    text_add_count(out, sheet->n_rows);
    text_add(out, sheet->n_rows == 1 ? " zone, about " : " zones, about ");
    write_time(sheet->minutes, out);
    text_add(out, "</span></div>\n");
}

/* Common practice, no source. */
static void write_bring(const sheet *sheet, earshot_text *out) {
    text_add(out, "<p><b>Bring</b> this sheet, a pencil, ");
    if (sheet->ladder)
        text_add(out, "a ladder and who holds it, ");
    text_add(out, "the meter (");
    report_html(out, sheet_unit(sheet));
    text_add(out, ") or somebody at the receiver, fresh batteries, screwdriver, fixings, tape "
                  "measure, magnet.</p>\n");
}

static void write_first(earshot_text *out) {
    text_add(
        out,
        "<div class=\"line boxes\"><b>First</b> put the account on test <u></u> tell the "
        "occupants <u></u> shut all doors <u></u></div>\n"
        "<div class=\"line boxes\"><b>Noise</b> two minutes at the receiver "
        "<u class=\"w20\"></u> dBm at <u class=\"w16\"></u> another hour "
        "<u class=\"w20\"></u> at <u class=\"w16\"></u></div>\n"
        "<p>No open flame at smoke detectors, no mains work, someone holds the ladder.</p>\n");
}

/* Common practice, no source. */
static void write_how(const sheet *sheet, earshot_text *out) {
    text_add(
        out,
        "<p><b>1</b> Hold it where it goes, doors shut, trip it ten times; write what was "
        "heard and shown.</p>\n<p><b>2</b> Screw it on, cover on: three trips, the lowest "
        "shown; then again on reduced power. A missed trip is a reason to stop too.</p>\n");
    if (sheet->motion)
        text_add(
            out,
            "<p><b>Motion</b> sensors on battery sleep three minutes after a trip, so three "
            "trips take nine to ten; but not in the ten minutes after the battery went in, "
            "once warm (30 to 60 s). Fit the battery last, read at once.</p>\n");
}

static void write_title(const sheet *sheet, size_t page, size_t n_pages, bool first,
                        earshot_text *out) {
    text_add(out, first ? "<div class=\"top\"><div class=\"line title\"><h1>"
                        : "<div class=\"again\"><div class=\"line title\"><span>");
    report_html(out, earshot_survey_name(sheet->gathered.survey));
    text_add(out, first ? "</h1>" : "</span>");
    write_page_of(page, n_pages, out);
    text_add(out, "</div>\n");
}

static void write_top(const sheet *sheet, size_t page, size_t n_pages, earshot_text *out) {
    write_title(sheet, page, n_pages, page == 1, out);
    if (page == 1) {
        write_where(sheet, out);
        write_bring(sheet, out);
        write_first(out);
        write_how(sheet, out);
    }
    text_add(out, "</div>\n");
}

/* ---- rows ---- */

static void write_meaning(enum earshot_verdict verdict, bool life_safety, const char *word,
                          earshot_text *out) {
    report_mark(verdict, life_safety, report_verdict(verdict), out);
    text_add(out, " ");
    report_html(out, word);
    text_add(out, " ");
}

/* What the marks mean, and the first column, on every page. */
static void write_legend(const sheet *sheet, earshot_text *out) {
    text_add(out, "<p>");
    for (int verdict = EARSHOT_FIRM; verdict <= EARSHOT_NOT_JUDGED; verdict++)
        write_meaning((enum earshot_verdict)verdict, false,
                      report_verdict((enum earshot_verdict)verdict), out);
    text_add(out, "</p><p>");
    write_meaning(EARSHOT_FIRM, true, "guards life", out);
    if (sheet->since) {
        text_add(out, " <i>above a box: since ");
        report_html(out, sheet->since);
        text_add(out, "</i>");
    }
    text_add(out, "</p><p>number and room, in walking order;</p><p>what to expect (4 in 5 lie "
                  "between)</p>");
}

static void write_head(const sheet *sheet, earshot_text *out) {
    text_add(out,
             "<table><colgroup><col style=\"width:7mm\"><col>"
             "<col style=\"width:11mm\"><col style=\"width:11mm\"><col style=\"width:10mm\">"
             "<col style=\"width:10mm\"><col style=\"width:11mm\"><col style=\"width:11mm\">"
             "<col style=\"width:10mm\"><col style=\"width:20mm\"><col style=\"width:10mm\">"
             "</colgroup>\n<thead><tr class=\"names\"><th colspan=\"2\" rowspan=\"2\">");
    write_legend(sheet, out);
    text_add(out, "</th><th colspan=\"3\" class=\"group\">1 held</th>"
                  "<th colspan=\"4\" class=\"group\">2 final, cover on</th>"
                  "<th rowspan=\"2\" class=\"c\">wall is<br>really</th>"
                  "<th rowspan=\"2\" class=\"c\"><span>minutes</span></th></tr>\n"
                  "<tr class=\"names\"><th class=\"c\"><span>heard<br>of 10</span></th>"
                  "<th class=\"c\"><span>");
    report_html(out, sheet_unit(sheet));
    text_add(out, "</span></th><th class=\"c\"><span>doors<br>shut</span></th>"
                  "<th class=\"c\"><span>screwed<br>on</span></th>"
                  "<th class=\"c\"><span>heard<br>of 3</span></th>"
                  "<th class=\"c\"><span>lowest<br>");
    report_html(out, sheet_unit(sheet));
    text_add(out, "</span></th><th class=\"c\"><span>reduced<br>power</span></th></tr>"
                  "</thead>\n<tbody>\n");
}

/* A box, and above it what was there last time. */
static void begin_box(bool first, earshot_text *out) {
    text_add(out, first ? "<td class=\"b first\"><div><i>" : "<td class=\"b\"><div><i>");
}

static void end_box(bool wide, earshot_text *out) {
    text_add(out,
             wide ? "</i><u style=\"width:10mm\"></u></div></td>" : "</i><u></u></div></td>");
}

static void write_empty_box(bool first, earshot_text *out) {
    begin_box(first, out);
    end_box(false, out);
}

static void write_heard_box(const planning_last *last, bool first, earshot_text *out) {
    begin_box(first, out);
    if (last->trips) {
        text_add_count(out, last->heard);
        text_add(out, "/");
        text_add_count(out, last->trips);
    }
    end_box(true, out);
}

static void write_level_box(const sheet *sheet, const planning_last *last, earshot_text *out) {
    begin_box(false, out);
    if (!isnan(last->level_dbm))
        text_add_fixed(out, sheet_shown(sheet, last->level_dbm), 0);
    end_box(true, out);
}

static void write_boxes(const sheet *sheet, const sheet_row *row, earshot_text *out) {
    write_heard_box(&row->held, true, out);
    write_level_box(sheet, &row->held, out);
    write_empty_box(false, out);
    write_empty_box(true, out);
    write_heard_box(&row->in_place, false, out);
    write_level_box(sheet, &row->in_place, out);
    write_empty_box(false, out);
    text_add(out,
             "<td class=\"b first\"><div><i></i><u style=\"width:18.5mm\"></u></div></td>");
    write_empty_box(false, out);
}

/* The name of the level where it begins, and again at the head of a page. */
static void write_row(const sheet *sheet, const sheet_row *row, bool first_on_page,
                      earshot_text *out) {
    const earshot_survey *survey = sheet->gathered.survey;
    enum earshot_verdict verdict = row->zone->zone.prediction.verdict;
    size_t level = row->stop.where.level;
    text_add(out,
             row->level && !first_on_page ? "<tr class=\"level\"><td><div>" : "<tr><td><div>");
    report_mark(verdict, row->device->life_safety, report_verdict(verdict), out);
    text_add(out, "</div></td><td class=\"what\"><div><b>");
    if (level != EARSHOT_NONE && survey->n_levels > 1 && (row->level || first_on_page)) {
        text_add(out, "<em>");
        report_html(out, survey->levels[level].name);
        text_add(out, "</em>: ");
    }
    write_composed(sheet, row, sheet_name, out);
    text_add(out, "</b>");
    write_composed(sheet, row, sheet_expect, out);
    text_add(out, "</div></td>");
    write_boxes(sheet, row, out);
    text_add(out, "</tr>\n");
}

/* ---- the foot ---- */

static void compose_undated(const sheet *sheet, const sheet_row *row, earshot_text *out) {
    (void)row;
    sheet_undated(sheet, out);
}

static void write_foot(const sheet *sheet, earshot_text *out) {
    text_add(out, "<div class=\"foot\"><div class=\"line boxes\">all zones restored <u></u> "
                  "account off test <u></u> time <u class=\"w16\"></u> name "
                  "<u class=\"name\"></u> signature <u class=\"signature\"></u></div>\n<p>");
    if (sheet->life_safety)
        text_add(out,
                 "Where life is guarded a prediction is no sign-off: local codes, the maker's "
                 "instructions and licensed practice decide. ");
    text_add(out, "This sheet shows weak spots: take it with you.");
    if (sheet->n_undated) {
        text_add(out, " ");
        write_composed(sheet, NULL, compose_undated, out);
        text_add(out, ".");
    }
    text_add(out, "</p></div>\n");
}

/* ---- all ---- */

static void write_page(const sheet *sheet, const sheet_page *page, size_t number,
                       size_t n_pages, earshot_text *out) {
    text_add(out, "<section class=\"page\">\n");
    write_top(sheet, number, n_pages, out);
    write_head(sheet, out);
    for (size_t i = 0; i < page->n; i++)
        write_row(sheet, &sheet->rows[page->first + i], i == 0, out);
    text_add(out, "</tbody></table>\n");
    if (page->last)
        write_foot(sheet, out);
    text_add(out, "</section>\n");
}

void sheet_write_html(const sheet *sheet, earshot_text *out) {
    size_t n_pages = sheet_count_pages(sheet->n_rows), number = 1;
    sheet_page page = sheet_page_at(0, sheet->n_rows);
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                  "style-src 'unsafe-inline'\">\n<title>");
    report_html(out, earshot_survey_name(sheet->gathered.survey));
    text_add(out, "</title>\n<style>\n");
    text_add(out, style);
    write_sizes(out);
    text_add(out, "</style></head><body>\n");
    write_page(sheet, &page, number, n_pages, out);
    while (!page.last) {
        page = sheet_page_at(page.first + page.n, sheet->n_rows);
        write_page(sheet, &page, ++number, n_pages, out);
    }
    text_add(out, "</body></html>\n");
}
