/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_html.c - text from outside inside HTML: the five characters that mean something there
 * (HTML Standard, 13.1.2 and 13.1.4) as character references, control characters as blanks.
 */
#include "write.h"

#include <criterion/criterion.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

Test(html, escaped) {
    static const struct {
        const char *in, *out;
    } cases[] = {{"", ""},
                 {"hall", "hall"},
                 {"<b>", "&lt;b&gt;"},
                 {"a & b", "a &amp; b"},
                 {"&amp;", "&amp;amp;"},
                 {"\" onload='x'", "&quot; onload=&#39;x&#39;"},
                 {"two\nlines\t\x01", "two lines  "},
                 {"K\xC3\xBC"
                  "che",
                  "K\xC3\xBC"
                  "che"},
                 {"a\xFF", "a?"}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        earshot_text *text = earshot_text_new();
        report_html(text, cases[i].in);
        cr_expect_str_eq(earshot_text_data(text), cases[i].out);
        earshot_text_free(text);
    }
}
