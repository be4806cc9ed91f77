/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_carried.c - tables into a page and out of it: the same bytes, whatever they are; and
 * nothing out of a page that somebody made up or that was damaged.
 */
#include "carried.h"
#include "folder.h"
#include "shortage.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static earshot_bytes bytes_of(const char *name, const char *text) {
    return (earshot_bytes){name, text, strlen(text)};
}

static void expect_same(const earshot_bytes *tables, size_t n) {
    earshot_text *page = earshot_text_new();
    earshot_findings *findings = earshot_findings_new();
    earshot_carried *carried = NULL;
    carried_write(tables, n, page);
    const earshot_bytes whole = bytes_of("page.html", earshot_text_data(page));
    cr_assert_eq(earshot_carried_load(&whole, findings, &carried), EARSHOT_OK);
    cr_assert_eq(earshot_carried_tables(carried), n);
    for (size_t i = 0; i < n; i++) {
        earshot_bytes back = earshot_carried_table(carried, i);
        cr_expect_str_eq(back.name, tables[i].name);
        cr_assert_eq(back.size, tables[i].size);
        cr_expect_eq(memcmp(back.data, tables[i].data, back.size), 0, "%s", back.name);
    }
    earshot_carried_free(carried);
    earshot_findings_free(findings);
    earshot_text_free(page);
}

Test(carried, comes_back_byte_for_byte) {
    static const char *const paths[] = {"surveys/demo", "surveys/messy", "surveys/paper",
                                        "surveys/no-plan"};
    for (size_t i = 0; i < COUNT(paths); i++) {
        folder tables = folder_read(paths[i]);
        expect_same(tables.tables, tables.n);
        folder_free(&tables);
    }
    const earshot_bytes odd[] = {{"a&b's.csv", "\0\xFF<pre>\r\n</pre>\"", 16},
                                 {"empty.txt", "", 0},
                                 {"materials/radios.csv", "x", 1},
                                 {"K\xC3\xBC"
                                  "che.TSV",
                                  "ab", 2},
                                 {"radios.csv", "x\n", 2}};
    expect_same(odd, COUNT(odd));
}

static const char *finding_of(const char *text, size_t size) {
    const earshot_bytes page = {"page.html", text, size};
    earshot_findings *findings = earshot_findings_new();
    earshot_carried *carried = NULL;
    const char *code = "none";
    cr_assert_eq(earshot_carried_load(&page, findings, &carried), EARSHOT_INVALID, "%s", text);
    cr_expect_null(carried);
    for (size_t i = earshot_findings_count(findings); i-- > 0;) {
        earshot_manual entry;
        cr_assert(earshot_manual_find(earshot_findings_at(findings, i).code, &entry));
        code = entry.code; /* lasting */
    }
    earshot_findings_free(findings);
    return code;
}

/* "foo", whose sum is 8c736521 (python3: zlib.crc32). */
#define FOO "\" data-bytes=\"3\" data-sum=\"8c736521\">Zm9v</pre>"

Test(carried, hostile_names) {
    static const char *const names[] = {"../site.csv",
                                        "/etc/site.csv",
                                        "materials/../a.csv",
                                        "materials//a.csv",
                                        "materials/b/a.csv",
                                        "sub/a.csv",
                                        "..",
                                        ".csv",
                                        ".hidden.csv",
                                        "a.exe",
                                        "a.csv.sh",
                                        "c:a.csv",
                                        "a\\b.csv",
                                        "",
                                        "materials/",
                                        "a\nb.csv",
                                        "a\xFF.csv",
                                        "materials/.csv",
                                        "NUL|.csv",
                                        "&#x2e;./a.csv",
                                        "Materials/a.csv",
                                        " a.csv"};
    char page[200];
    for (size_t i = 0; i < COUNT(names); i++) {
        snprintf(page, sizeof page, "<pre hidden data-table=\"%s" FOO, names[i]);
        cr_expect_str_eq(finding_of(page, strlen(page)), "carried-name", "%s", names[i]);
        cr_expect(!carried_name_good(names[i]) || strchr(names[i], '&'));
    }
}

Test(carried, damaged_or_not_ours) {
    static const struct {
        const char *page, *code;
    } cases[] = {
        {"", "carried-none"},
        {"<html><pre>data-table=\"a.csv" FOO, "carried-none"},
        {"<prey data-table=\"a.csv" FOO, "carried-none"},
        {"<pre", "carried-none"},
        {"<pre ", "carried-none"},
        {"<pre ==== = = \"", "carried-none"},
        {"<pre data-table=\"a.csv", "carried-damaged"},
        {"<pre data-table=a.csv>Zm9v</pre>", "carried-damaged"},
        {"<pre data-table=a.csv data-bytes=3 data-sum=8c736522>Zm9v</pre>", "carried-damaged"},
        {"<pre data-table=a.csv data-bytes=4 data-sum=8c736521>Zm9v</pre>", "carried-damaged"},
        {"<pre data-table=a.csv data-bytes=3 data-sum=8c736521>Zm9w</pre>", "carried-damaged"},
        {"<pre data-table=a.csv data-bytes=3 data-sum=8c736521>Zm9v", "carried-damaged"},
        {"<pre data-table=a.csv data-bytes=3 data-sum=8c736521>Zm<b>9v</pre>",
         "carried-damaged"},
        {"<pre data-table=\"a.csv" FOO "<pre data-table=\"a.csv" FOO, "carried-twice"}};
    for (size_t i = 0; i < COUNT(cases); i++)
        cr_expect_str_eq(finding_of(cases[i].page, strlen(cases[i].page)), cases[i].code, "%s",
                         cases[i].page);
}

Test(carried, misuse) {
    earshot_findings *findings = earshot_findings_new();
    earshot_carried *carried = NULL;
    const earshot_bytes nameless = {NULL, "x", 1}, empty = {"page.html", NULL, 1};
    cr_expect_eq(earshot_carried_load(&nameless, findings, &carried), EARSHOT_MISUSE);
    cr_expect_eq(earshot_carried_load(&empty, findings, &carried), EARSHOT_MISUSE);
    cr_expect_null(carried);
    earshot_findings_free(findings);
}

/* As a browser writes it when it saves the page, and as hand or mail may bend it. */
Test(carried, as_others_write_it) {
    static const char *const pages[] = {
        "<pre hidden=\"\" data-table=\"a.csv" FOO,
        "<PRE DATA-SUM='8c736521' data-bytes=3\n data-table = a.csv hidden>\r\n Zm 9v\r\n</PRE "
        ">",
        "<pre>x</pre><p><pre class=\"<>\" data-table=\"a.csv" FOO "<pre>Zm9v</pre>"};
    for (size_t i = 0; i < COUNT(pages); i++) {
        const earshot_bytes page = bytes_of("page.html", pages[i]);
        earshot_findings *findings = earshot_findings_new();
        earshot_carried *carried = NULL;
        cr_assert_eq(earshot_carried_load(&page, findings, &carried), EARSHOT_OK, "%s",
                     pages[i]);
        cr_expect_eq(earshot_carried_tables(carried), 1);
        cr_expect_eq(memcmp(earshot_carried_table(carried, 0).data, "foo", 3), 0);
        earshot_carried_free(carried);
        earshot_findings_free(findings);
    }
}

Test(carried, short_memory) {
    const char *text = "<pre data-table=\"a.csv" FOO "<pre data-table=\"b.csv" FOO;
    const earshot_bytes page = bytes_of("page.html", text);
    static void (*const shortages[])(long) = {shortage_begin, shortage_once};
    for (size_t i = 0; i < COUNT(shortages); i++)
        for (long n = 0, refused = 1; refused; n++) {
            earshot_findings *findings = earshot_findings_new();
            earshot_carried *carried = NULL;
            shortages[i](n);
            enum earshot_status status = earshot_carried_load(&page, findings, &carried);
            refused = shortage_end();
            cr_expect_eq(status, refused ? EARSHOT_NO_MEMORY : EARSHOT_OK, "%ld", n);
            cr_expect_eq(carried != NULL, !refused);
            earshot_carried_free(carried);
            earshot_findings_free(findings);
        }
}
