/* SPDX-License-Identifier: GPL-3.0-or-later */
/* traces.c - see traces.h. */
#include "traces.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "must.h"
#include "reports.h"
#include "tables.h"
#include "text.h"

static const char layers[] = "layer,construction,bottom_m,top_m,level\n"
                             "walls,brick,,,\nlow,stud-wall,0,1.1,up\nnothing,,,,\n";

const earshot_bytes traces_layers = {"layers.csv", layers, sizeof layers - 1};

enum { WALL, LEVEL, X1, Y1, X2, Y2, CONSTRUCTION, N_NEEDED };

static double number_of(const tables_cell *cell) {
    double value = NAN;
    must(text_read_number(cell->text, cell->length, '.', &value) == TEXT_NUMBER_OK);
    return value;
}

static void check_wall(const tables_cell *row) {
    double x1 = number_of(&row[X1]), y1 = number_of(&row[Y1]), x2 = number_of(&row[X2]),
           y2 = number_of(&row[Y2]);
    must(row[WALL].length > 0 && row[LEVEL].length > 0 && row[CONSTRUCTION].length > 0);
    must(fabs(x1) <= 2048 && fabs(y1) <= 2048 && fabs(x2) <= 2048 && fabs(y2) <= 2048);
    must(hypot(x2 - x1, y2 - y1) > 0.009);
}

static int by_text(const void *a, const void *b) {
    const tables_cell *const *left = a, *const *right = b;
    return strcmp((*left)->text, (*right)->text);
}

static void check_names(const tables_sheet *sheet) {
    const tables_cell **names = calloc(sheet->n_rows + 1, sizeof *names);
    must(names != NULL);
    for (size_t i = 0; i < sheet->n_rows; i++)
        names[i] = &sheet->cells[i * sheet->n_columns + WALL];
    qsort(names, sheet->n_rows, sizeof *names, by_text);
    for (size_t i = 1; i < sheet->n_rows; i++)
        must(strcmp(names[i - 1]->text, names[i]->text) != 0);
    free(names);
}

static void check_table(const earshot_text *out) {
    const earshot_bytes bytes = {"walls.csv", earshot_text_data(out), earshot_text_size(out)};
    earshot_findings *findings = earshot_findings_new();
    tables_sheet sheet;
    must(findings != NULL);
    must(tables_read(&bytes, 0, findings, &sheet) == EARSHOT_OK);
    must(earshot_findings_count(findings) == 0);
    must(sheet.n_rows > 0 && sheet.n_columns > N_NEEDED);
    for (size_t i = 0; i < sheet.n_rows; i++)
        check_wall(&sheet.cells[i * sheet.n_columns]);
    check_names(&sheet);
    tables_close(&sheet);
    earshot_findings_free(findings);
}

static enum earshot_status read_once(const earshot_bytes *plan, const earshot_walls_task *task,
                                     earshot_text *out) {
    earshot_findings *findings = earshot_findings_new();
    must(findings != NULL);
    enum earshot_status status = earshot_walls_read(plan, task, findings, out);
    must(status == EARSHOT_OK || status == EARSHOT_INVALID);
    must((status == EARSHOT_INVALID) == (earshot_findings_errors(findings) > 0));
    must((status == EARSHOT_OK) == (earshot_text_size(out) > 0));
    reports_check_findings(findings);
    earshot_findings_free(findings);
    return status;
}

void traces_check(const earshot_bytes *plan, const earshot_walls_task *task) {
    earshot_text *out = earshot_text_new(), *again = earshot_text_new();
    must(out && again);
    enum earshot_status status = read_once(plan, task, out);
    if (status == EARSHOT_OK)
        check_table(out);
    must(read_once(plan, task, again) == status);
    must(strcmp(earshot_text_data(out), earshot_text_data(again)) == 0);
    earshot_text_free(out);
    earshot_text_free(again);
}
