/* SPDX-License-Identifier: GPL-3.0-or-later */
/* report.c - the page handed over: gathered once, written for who reads it. */
#include <stdlib.h>

#include "page.h"

static enum earshot_status gather(page *page) {
    size_t n;
    enum earshot_status status =
        report_gather(page->survey, page->belief, page->findings, &page->gathered);
    if (status != EARSHOT_OK)
        return status;
    status = report_test_zones(page->survey, page->belief, &page->tested, &n);
    if (status != EARSHOT_OK)
        report_release(&page->gathered);
    return status;
}

enum earshot_status earshot_report_write(const earshot_survey *survey,
                                         const earshot_belief *belief,
                                         const earshot_findings *findings,
                                         enum earshot_audience audience,
                                         const earshot_report *report, earshot_text *out) {
    static enum earshot_status (*const writers[])(const struct page *) = {
        [EARSHOT_CUSTOMER] = page_write_customer,
        [EARSHOT_TECHNICIAN] = page_write_technician,
        [EARSHOT_OFFICE] = page_write_office};
    page page = {
        .survey = survey, .belief = belief, .findings = findings, .asked = report, .out = out};
    if ((size_t)audience >= sizeof writers / sizeof *writers)
        return EARSHOT_MISUSE;
    enum earshot_status status = gather(&page);
    if (status != EARSHOT_OK)
        return status;
    status = writers[audience](&page);
    report_release(&page.gathered);
    free(page.tested);
    return status == EARSHOT_OK && earshot_text_cut(out) ? EARSHOT_NO_MEMORY : status;
}
