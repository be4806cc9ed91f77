/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_csv.c - reports as CSV, read back by a general-purpose library (libcsv, strict: RFC
 * 4180).
 */
#include "reported.h"

#include <criterion/criterion.h>
#include <csv.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* A cell that a spreadsheet would run as a formula is made text; the numbers stay numbers. */
Test(csv, formulas_are_harmless) {
    folder tables = folder_read("surveys/paper");
    folder_put(&tables, "devices.csv",
               "device,role,level,x_m,y_m,height_m,radio,label\n"
               "=1+1,sensor,lower,3,3,1,paper-radio,+a\n-b,sensor,lower,3,3,1,paper-radio,@c\n"
               "p,receiver,lower,2,2,1,paper-radio,\n");
    earshot_text *text = reported(&tables, EARSHOT_CSV);
    const char *csv = earshot_text_data(text);
    for (size_t i = 0; i + 1 < strlen(csv); i++)
        if (csv[i] == '\n' || csv[i] == ',')
            cr_expect(!strchr("=+@", csv[i + 1]), "%s", csv + i);
    cr_expect_not_null(strstr(csv, "\n\"'=1+1\","));
    cr_expect_not_null(strstr(csv, "\n\"'-b\","));
    earshot_text_free(text);
    folder_free(&tables);
}

enum { MOST_CELLS = 400, LONGEST = 200 };

struct sheet {
    char cells[MOST_CELLS][LONGEST];
    size_t n_cells, n_columns, n_rows;
};

static void take_cell(void *text, size_t size, void *who) {
    struct sheet *sheet = who;
    cr_assert(sheet->n_cells < MOST_CELLS && size < LONGEST);
    memcpy(sheet->cells[sheet->n_cells], text, size);
    sheet->cells[sheet->n_cells++][size] = 0;
}

static void end_row(int end, void *who) {
    struct sheet *sheet = who;
    cr_expect_eq(end, '\n');
    if (!sheet->n_columns)
        sheet->n_columns = sheet->n_cells;
    sheet->n_rows++;
    cr_assert_eq(sheet->n_cells, sheet->n_rows * sheet->n_columns, "row %zu", sheet->n_rows);
}

static const char *cell(const struct sheet *sheet, size_t row, const char *column) {
    size_t at = 0;
    while (at < sheet->n_columns && strcmp(sheet->cells[at], column) != 0)
        at++;
    cr_assert_lt(at, sheet->n_columns, "%s", column);
    return sheet->cells[(row + 1) * sheet->n_columns + at];
}

/* Any text comes back as it was, but for the apostrophe before one that begins like a formula.
 */
Test(csv, any_text_comes_back) {
    static const struct {
        const char *in;  /* as a cell of devices.csv */
        const char *out; /* as libcsv reads the report */
    } labels[] = {{"plain", "plain"},
                  {"\"a, b\"", "a, b"},
                  {"\"say \"\"hi\"\"\"", "say \"hi\""},
                  {"\"two\nlines\"", "two\nlines"},
                  {"\"a; b\"", "a; b"},
                  {"K\xC3\xBC"
                   "che",
                   "K\xC3\xBC"
                   "che"},
                  {"=SUM(1)", "'=SUM(1)"},
                  {"+a", "'+a"},
                  {"-a", "'-a"},
                  {"@a", "'@a"},
                  {"a=b", "a=b"},
                  {"\"=\"\"x\"\",1\"", "'=\"x\",1"},
                  {"'quoted'", "'quoted'"}};
    char devices[2000] = "device,role,level,x_m,y_m,height_m,radio,label\n"
                         "p,receiver,lower,2,2,1,paper-radio,\n";
    folder tables = folder_read("surveys/paper");
    for (size_t i = 0; i < COUNT(labels); i++)
        sprintf(devices + strlen(devices), "s%zu,sensor,lower,3,3,1,paper-radio,%s\n", i,
                labels[i].in);
    folder_put(&tables, "devices.csv", devices);
    earshot_text *text = reported(&tables, EARSHOT_CSV);
    struct sheet *sheet = calloc(1, sizeof *sheet);
    struct csv_parser parser;
    cr_assert_not_null(sheet);
    cr_assert_eq(csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI), 0);
    cr_assert_eq(csv_parse(&parser, earshot_text_data(text), earshot_text_size(text), take_cell,
                           end_row, sheet),
                 earshot_text_size(text), "%s", csv_strerror(csv_error(&parser)));
    cr_assert_eq(csv_fini(&parser, take_cell, end_row, sheet), 0);
    csv_free(&parser);
    cr_assert_eq(sheet->n_rows, 1 + COUNT(labels));
    for (size_t i = 0; i < COUNT(labels); i++)
        cr_expect_str_eq(cell(sheet, i, "label"), labels[i].out);
    free(sheet);
    earshot_text_free(text);
    folder_free(&tables);
}

/* A row for each reading to make, and no more of them than places, whoever asks for "all". */
Test(csv, any_count_of_readings) {
    static const size_t counts[] = {0, 1, SIZE_MAX};
    folder tables = {.n = 0};
    earshot_belief *belief = NULL;
    folder_put(&tables, "devices.csv",
               "device,role,radio\na,sensor,868-10mw\nb,sensor,868-10mw\n"
               "p,receiver,868-10mw\n");
    folder_put(&tables, "paths.csv",
               "device,to,length_m,crossings\na,p,30,brick\nb,p,45,brick\n");
    earshot_survey *survey = folder_load(&tables);
    earshot_findings *findings = earshot_findings_new();
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    for (size_t i = 0; i < COUNT(counts); i++) {
        earshot_text *text = earshot_text_new();
        cr_assert_eq(
            earshot_next_write(survey, belief, findings, counts[i], NULL, EARSHOT_CSV, text),
            EARSHOT_OK);
        size_t n_lines = 0;
        for (const char *at = earshot_text_data(text); *at; at++)
            n_lines += *at == '\n';
        cr_expect_eq(n_lines, 1 + (counts[i] < 2 ? counts[i] : 2), "%zu", counts[i]);
        earshot_text_free(text);
    }
    earshot_belief_free(belief);
    earshot_findings_free(findings);
    earshot_survey_free(survey);
    folder_free(&tables);
}
