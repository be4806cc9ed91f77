/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sheet_pages.c - what fits on which page of the sheet, so that "page n of m" is so on paper.
 *
 * Every row has one height, and so have the parts around them. The foot stands on the last
 * page, with one row at least above it: signing an empty page is signing anything.
 */
#include "sheet.h"

static size_t fits(bool first, bool last) {
    double left_mm = SHEET_HEIGHT_MM - SHEET_HEAD_MM -
                     (first ? SHEET_TOP_MM : SHEET_TOP_AGAIN_MM) - (last ? SHEET_FOOT_MM : 0);
    return (size_t)(left_mm / SHEET_ROW_MM);
}

sheet_page sheet_page_at(size_t first, size_t n_rows) {
    size_t left = n_rows - first, most = fits(first == 0, false);
    if (left <= fits(first == 0, true))
        return (sheet_page){first, left, true};
    return (sheet_page){first, left <= most ? left - 1 : most, false};
}

size_t sheet_count_pages(size_t n_rows) {
    size_t n = 1;
    for (sheet_page page = sheet_page_at(0, n_rows); !page.last; n++)
        page = sheet_page_at(page.first + page.n, n_rows);
    return n;
}
