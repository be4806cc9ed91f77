/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_report.c - any bytes at all as a page that carries tables.
 *
 * What comes out has names of a survey's own files, each once, and comes out the same when it
 * is carried again. A breach aborts.
 */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "carried.h"
#include "earshot/earshot.h"
#include "must.h"
#include "reports.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST_TABLES = 1000, MOST_BYTES = 1 << 16 };

static void check_names(const earshot_bytes *tables, size_t n) {
    for (size_t i = 0; i < n; i++) {
        must(carried_name_good(tables[i].name));
        must(!strstr(tables[i].name, "..") || !strchr(tables[i].name, '\\'));
        must(tables[i].name[0] != '/' && strncmp(tables[i].name, "../", 3) != 0);
        for (size_t j = 0; j < i; j++) {
            must(strcmp(tables[i].name, tables[j].name) != 0);
        }
    }
}

static void check_again(const earshot_bytes *tables, size_t n) {
    earshot_text *page = earshot_text_new();
    earshot_findings *findings = earshot_findings_new();
    earshot_carried *carried = NULL;
    must(page && findings);
    carried_write(tables, n, page);
    const earshot_bytes whole = {"page.html", earshot_text_data(page), earshot_text_size(page)};
    must(earshot_carried_load(&whole, findings, &carried) == EARSHOT_OK);
    must(earshot_carried_tables(carried) == n);
    for (size_t i = 0; i < n; i++) {
        const earshot_bytes table = earshot_carried_table(carried, i);
        must(strcmp(table.name, tables[i].name) == 0 && table.size == tables[i].size);
        must(memcmp(table.data, tables[i].data, table.size) == 0);
    }
    earshot_carried_free(carried);
    earshot_findings_free(findings);
    earshot_text_free(page);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static earshot_bytes tables[MOST_TABLES];
    if (size > MOST_BYTES) {
        return 0;
    }
    char *copy = malloc(size > 0 ? size : 1);
    earshot_findings *findings = earshot_findings_new();
    earshot_carried *carried = NULL;
    must(copy && findings);
    memcpy(copy, data, size);
    const earshot_bytes page = {"page.html", copy, size};
    enum earshot_status status = earshot_carried_load(&page, findings, &carried);
    must(status == EARSHOT_OK || status == EARSHOT_INVALID);
    must((status == EARSHOT_OK) == (carried != NULL));
    must((status == EARSHOT_OK) == (earshot_findings_errors(findings) == 0));
    free(copy);
    if (carried) {
        size_t n = earshot_carried_tables(carried);
        must(n > 0 && n <= MOST_TABLES);
        for (size_t i = 0; i < n; i++) {
            tables[i] = earshot_carried_table(carried, i);
        }
        check_names(tables, n);
        check_again(tables, n);
    }
    reports_check_findings(findings);
    earshot_carried_free(carried);
    earshot_findings_free(findings);
    return 0;
}
