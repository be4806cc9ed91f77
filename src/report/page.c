/* SPDX-License-Identifier: GPL-3.0-or-later */
/* page.c - what the pages handed over have in common: one HTML file with everything in it, no
 * script, no network; for a screen, a phone, and paper of A4 or Letter.
 */
#include "page.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"

/* ---- frame ---- */

static const char style[] =
    "*{box-sizing:border-box;margin:0;padding:0}\n"
    "html{font:16px/1.4 Arial,Helvetica,'Liberation Sans','Nimbus Sans',sans-serif;color:#000;"
    "background:#fff;overflow-wrap:break-word}\n"
    "body{max-width:76rem;margin:0 auto;padding:1rem}\n"
    "body.customer{max-width:50rem}\n"
    "h1{font-size:1.6rem;line-height:1.2}\n"
    "h2{font-size:1.05rem;margin:1.1rem 0 .3rem;padding-top:.25rem;border-top:2px solid #000}\n"
    "h3{font-size:1rem;margin:.7rem 0 .1rem}\n"
    "p,ul,pre{margin:.25rem 0}\n"
    "ul{padding-left:1.2rem}\n"
    ".about{font-size:1.05rem}\n"
    ".small{font-size:.85rem}\n"
    "svg{width:1.25em;height:1.5em;vertical-align:-.35em;flex:none}\n"
    "pre{font:.8rem/1.35 'Liberation Mono','Nimbus Mono PS',monospace;white-space:pre-wrap;"
    "overflow-wrap:anywhere}\n"
    "pre[hidden]{display:none}\n"
    ".wide{overflow-x:auto;margin-bottom:.6rem}\n"
    "table{border-collapse:collapse;font-size:.85rem;line-height:1.3}\n"
    "th,td{text-align:left;vertical-align:top;padding:.2rem 1rem .2rem 0;"
    "border-bottom:1px solid #999}\n"
    "th{font-weight:normal;font-style:italic;vertical-align:bottom}\n"
    ".n{text-align:right}\n"
    "td.n{white-space:nowrap;font-variant-numeric:tabular-nums}\n"
    "td svg{margin:-.3em 0;vertical-align:-.1em}\n"
    ".fields{display:grid;grid-template-columns:repeat(auto-fill,minmax(16rem,1fr));"
    "gap:.15rem 1.5rem}\n"
    ".fields div{display:flex;gap:.4rem;align-items:baseline}\n"
    ".fields i{flex:1;border-bottom:1px solid #000;height:1.5rem}\n"
    ".fields.line{grid-template-columns:1fr}\n"
    ".rooms{list-style:none;padding:0;display:grid;gap:0 1.5rem;"
    "grid-template-columns:repeat(auto-fit,minmax(19rem,1fr))}\n"
    ".rooms li{display:flex;gap:.5rem;line-height:1.25;padding-top:.3rem}\n"
    ".rooms svg{margin-top:-.3em}\n"
    ".rooms b{display:block}\n"
    ".legend{display:flex;flex-wrap:wrap;gap:.1rem "
    "1.2rem;font-size:.9rem;margin-bottom:.5rem}\n"
    ".two{display:grid;gap:0 1.5rem;grid-template-columns:repeat(auto-fit,minmax(19rem,1fr))}\n"
    "@media screen{.wide td:first-child,.wide th:first-child{position:sticky;left:0;"
    "background:#fff}.office td:nth-child(n+4):last-child{min-width:18rem}}\n"
    ".plan{margin:.5rem 0;overflow-x:auto}\n"
    ".plan svg{width:auto;height:auto;max-width:100%;vertical-align:top}\n"
    "@page{margin:12mm}\n"
    "@media print{html{font-size:10pt}body,body.customer{max-width:none;padding:0}"
    "h2,h3,.legend{break-after:avoid}.small:last-child{break-before:avoid}tr,li,figure,.whole{"
    "break-inside:avoid}.plan "
    "svg{max-height:240mm}.wide{overflow:visible}"
    "table{font-size:8pt}th,td{padding:.1rem .45rem .1rem 0}"
    ".rooms,.two{grid-template-columns:1fr 1fr}.sign{grid-template-columns:5fr 3fr 5fr}"
    ".customer{font-size:9.5pt;line-height:1.27}.customer h2{margin-top:.4rem}"
    ".customer .fields i{height:1.2rem}}\n";

void page_begin(const page *page, const char *class, const char *about) {
    earshot_text *out = page->out;
    text_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                  "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                  "style-src 'unsafe-inline'\">\n<title>");
    report_html(out, earshot_survey_name(page->survey));
    text_add(out, "</title>\n<style>\n");
    text_add(out, style);
    text_add(out, "</style>\n</head>\n<body class=\"");
    text_add(out, class);
    text_add(out, "\">\n<main>\n<h1>");
    report_html(out, earshot_survey_name(page->survey));
    text_add(out, "</h1>\n<p class=\"about\">");
    text_add(out, about);
    if (page->asked->date) {
        text_add(out, ", ");
        report_html(out, page->asked->date);
    }
    text_add(out, "</p>\n");
}

void page_end(const page *page) {
    text_add(page->out, "<p class=\"small\">");
    report_html(page->out, earshot_survey_name(page->survey)); /* again: pages get apart */
    text_add(page->out, ", written by earshot ");
    text_add(page->out, earshot_version());
    text_add(page->out, ".</p>\n</main>\n</body>\n</html>\n");
}

void page_summary(const page *page) {
    const report_survey *gathered = &page->gathered;
    size_t done = 0;
    text_add(page->out, "<p>");
    text_add_count(page->out, gathered->n_zones);
    text_add(page->out, gathered->n_zones == 1 ? " zone: " : " zones: ");
    for (int i = EARSHOT_FIRM; i <= EARSHOT_NOT_JUDGED; i++) {
        text_add_count(page->out, gathered->count[i]);
        text_add(page->out, " ");
        report_html(page->out, report_verdict((enum earshot_verdict)i));
        text_add(page->out, i < EARSHOT_NOT_JUDGED ? ", " : "; ");
    }
    for (size_t i = 0; i < gathered->n_zones; i++)
        done += page->tested[i].final.state >= PLANNING_PASSED;
    text_add_count(page->out, done);
    text_add(page->out, " passed the final test; ");
    text_add_count(page->out, page->survey->n_readings);
    text_add(page->out, page->survey->n_readings == 1 ? " reading.</p>\n" : " readings.</p>\n");
}

void page_heading(const page *page, const char *words) {
    text_add(page->out, "<h2>");
    text_add(page->out, words);
    text_add(page->out, "</h2>\n");
}

/* ---- tables ---- */

void page_table(const page *page, const char *name, const page_column *columns, size_t n) {
    earshot_text *out = page->out;
    text_add(out, "<section class=\"wide\" tabindex=\"0\" aria-label=\"");
    text_add(out, name);
    text_add(out, "\"><table>\n<thead><tr>");
    for (size_t i = 0; i < n; i++) {
        text_add(out,
                 columns[i].number ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">");
        text_add(out, columns[i].name);
        text_add(out, "</th>");
    }
    text_add(out, "</tr></thead>\n<tbody>");
}

void page_row(const page *page) {
    text_add(page->out, "\n<tr>");
}

void page_row_end(const page *page) {
    text_add(page->out, "</tr>");
}

void page_table_end(const page *page) {
    text_add(page->out, "\n</tbody></table></section>\n");
}

void page_cell(const page *page, const char *string) {
    text_add(page->out, "<td>");
    report_html(page->out, string);
    text_add(page->out, "</td>");
}

static void begin_number(const page *page) {
    text_add(page->out, "<td class=\"n\">");
}

void page_cell_count(const page *page, size_t count) {
    begin_number(page);
    if (count)
        text_add_count(page->out, count);
    text_add(page->out, "</td>");
}

void page_cell_number(const page *page, double value, int decimals) {
    begin_number(page);
    if (isfinite(value))
        text_add_fixed(page->out, value, decimals);
    text_add(page->out, "</td>");
}

void page_cell_doubt(const page *page, double value, double sd, int decimals) {
    begin_number(page);
    if (isfinite(value)) {
        text_add_fixed(page->out, value, decimals);
        text_add(page->out, "\xC2\xA0\xC2\xB1\xC2\xA0"); /* plus-minus, kept together */
        text_add_fixed(page->out, decimals ? sd : fmax(sd, 1), decimals);
    }
    text_add(page->out, "</td>");
}

void page_cell_mark(const page *page, enum earshot_verdict verdict, bool life_safety) {
    text_add(page->out, "<td>");
    report_mark(verdict, life_safety, report_verdict(verdict), page->out);
    text_add(page->out, "</td>");
}

static void write_entry(const page *page, enum earshot_verdict verdict, bool life_safety,
                        const char *words) {
    text_add(page->out, "<span>");
    report_mark(verdict, life_safety, NULL, page->out);
    text_add(page->out, " ");
    report_html(page->out, words);
    text_add(page->out, "</span>\n");
}

void page_key(const page *page, const char *(*words)(enum earshot_verdict), const char *more) {
    text_add(page->out, "<p class=\"legend\">");
    for (int i = EARSHOT_FIRM; i <= EARSHOT_NOT_JUDGED; i++)
        write_entry(page, (enum earshot_verdict)i, false, words((enum earshot_verdict)i));
    write_entry(page, EARSHOT_FIRM, true, "guards life");
    text_add(page->out, more ? "<span>" : "");
    text_add(page->out, more ? more : "");
    text_add(page->out, more ? "</span></p>\n" : "</p>\n");
}

/* ---- text ---- */

void page_list(const page *page, const char *const *items, size_t n) {
    text_add(page->out, "<ul>\n");
    for (size_t i = 0; i < n; i++) {
        text_add(page->out, "<li>");
        text_add(page->out, items[i]);
        text_add(page->out, "</li>\n");
    }
    text_add(page->out, "</ul>\n");
}

void page_field(const page *page, const char *name, const char *value) {
    text_add(page->out, "<div><span>");
    text_add(page->out, name);
    text_add(page->out, ":</span>");
    if (value && value[0]) {
        text_add(page->out, " <b>");
        report_html(page->out, value);
        text_add(page->out, "</b></div>\n");
    } else {
        text_add(page->out, "<i></i></div>\n");
    }
}

enum earshot_status page_said(const page *page, const earshot_text *text) {
    const char *line = earshot_text_data(text);
    if (earshot_text_cut(text))
        return EARSHOT_NO_MEMORY;
    text_add(page->out, "<pre>");
    while (*line) {
        size_t length = strcspn(line, "\n");
        report_html_bytes(page->out, line, length);
        text_add(page->out, "\n");
        line += length + (line[length] != '\0');
    }
    text_add(page->out, "</pre>\n");
    return EARSHOT_OK;
}

enum earshot_status page_note(const page *page, size_t i) {
    const earshot_finding finding = earshot_findings_at(page->findings, i);
    earshot_text *note = earshot_text_new();
    if (!note)
        return EARSHOT_NO_MEMORY;
    report_note(&finding, note);
    bool whole = !earshot_text_cut(note);
    text_add(page->out, "<li>");
    report_html_bytes(page->out, earshot_text_data(note),
                      strcspn(earshot_text_data(note), "\n"));
    text_add(page->out, "</li>\n");
    earshot_text_free(note);
    return whole ? EARSHOT_OK : EARSHOT_NO_MEMORY;
}
