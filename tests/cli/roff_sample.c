/* SPDX-License-Identifier: GPL-3.0-or-later */
/* roff_sample.c - a page with a paragraph for each argument, for tests/cli/manual. */
#include "roff.h"

int main(int argc, char **argv) {
    roff_title("sample", 7, "0");
    roff_heading("TEXTS");
    for (int i = 1; i < argc; i++) {
        if (i > 1)
            roff_paragraph();
        roff_text(argv[i]);
        roff_end_line();
    }
    return 0;
}
