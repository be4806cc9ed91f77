/* SPDX-License-Identifier: GPL-3.0-or-later */
/* marks.c - verdicts as marks inside HTML: told by shape, so that a copier and an eye without
 * colors keep them; life safety under a small roof.
 */
#include "write.h"

static const char *shape(enum earshot_verdict verdict) {
    static const char *const shapes[] = {
        "<circle cx=\"10\" cy=\"16\" r=\"7\"/>",
        "<circle cx=\"10\" cy=\"16\" r=\"6.2\" fill=\"none\" stroke=\"#000\" "
        "stroke-width=\"1.6\"/><path d=\"M10 9a7 7 0 0 0 0 14z\"/>",
        "<path d=\"M13.1 10.6A6.2 6.2 0 1 1 6.9 10.6\" fill=\"none\" stroke=\"#000\" "
        "stroke-width=\"1.8\"/>",
        "<circle cx=\"10\" cy=\"16\" r=\"6.2\" fill=\"none\" stroke=\"#000\" "
        "stroke-width=\"2\" stroke-linecap=\"round\" stroke-dasharray=\"0.1 4.77\"/>"};
    return shapes[verdict];
}

void report_mark(enum earshot_verdict verdict, bool life_safety, const char *word,
                 earshot_text *out) {
    text_add(out, "<svg viewBox=\"0 0 20 24\"");
    if (word) {
        text_add(out, " role=\"img\" aria-label=\"");
        report_html(out, word);
        text_add(out, life_safety ? ", life safety\">" : "\">");
    } else {
        text_add(out, " aria-hidden=\"true\">");
    }
    text_add(out, shape(verdict));
    if (life_safety)
        text_add(out, "<path d=\"M2 7 10 1.5 18 7\" fill=\"none\" stroke=\"#000\" "
                      "stroke-width=\"2\"/>");
    text_add(out, "</svg>");
}
