/* SPDX-License-Identifier: GPL-3.0-or-later */
/* layers.c - the user's table of layers: which layer of the drawing is which wall.
 *
 * Names count by letters and digits, case aside: programs write "Outer walls" as Outer_walls
 * where it has to be an id.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plans.h"
#include "text.h"

enum column { LAYER, CONSTRUCTION, BOTTOM, TOP, LEVEL, N_COLUMNS };
static const char *const names[N_COLUMNS] = {"layer", "construction", "bottom_m", "top_m",
                                             "level"};
enum { MOST_ROWS = 1000, MOST_NAMES = 100 };
static const double most_m = 50; /* of bottom and top, as in walls.csv */

struct columns {
    const tables_sheet *sheet;
    earshot_findings *findings;
    size_t at[N_COLUMNS]; /* or none */
};

static void say(const struct columns *columns, enum findings_code code, const tables_cell *cell,
                const char *first, const char *second) {
    const char *const slots[FINDINGS_N_SLOTS] = {first, second};
    findings_add(columns->findings, code, tables_place(columns->sheet, cell), slots);
}

/* ---- the header ---- */

/* Which of our columns goes by this name; N_COLUMNS: none. */
static size_t column_called(const char *name) {
    size_t i = 0;
    while (i < N_COLUMNS && !tables_same_name(name, names[i]))
        i++;
    return i;
}

static void find_columns(struct columns *columns) {
    const tables_sheet *sheet = columns->sheet;
    for (size_t i = 0; i < N_COLUMNS; i++)
        columns->at[i] = plans_none;
    for (size_t i = 0; i < sheet->n_columns; i++) {
        const tables_cell *cell = &sheet->header[i];
        size_t column = column_called(cell->text);
        if (column == N_COLUMNS)
            say(columns, FINDINGS_COLUMN_UNKNOWN, cell, cell->text,
                "it knows layer, construction, bottom_m, top_m and level");
        else if (columns->at[column] != plans_none)
            say(columns, FINDINGS_COLUMN_TWICE, cell, cell->text, names[column]);
        else
            columns->at[column] = i;
    }
    for (size_t i = LAYER; i <= CONSTRUCTION; i++)
        if (columns->at[i] == plans_none)
            say(columns, FINDINGS_COLUMN_MISSING, &sheet->header[0], names[i],
                "name a column so in the first row");
}

/* ---- rows ---- */

static const tables_cell *cell_of(const struct columns *columns, size_t row, size_t column) {
    size_t at = columns->at[column];
    return at == plans_none ? NULL
                            : &columns->sheet->cells[row * columns->sheet->n_columns + at];
}

static const char *text_of(const struct columns *columns, size_t row, size_t column) {
    const tables_cell *cell = cell_of(columns, row, column);
    return cell ? cell->text : "";
}

/* Not a number where it is blank. */
static double height_of(const struct columns *columns, size_t row, size_t column) {
    const tables_cell *cell = cell_of(columns, row, column);
    double value = NAN;
    if (!cell || cell->length == 0)
        return NAN;
    if (text_read_number(cell->text, cell->length, columns->sheet->decimal, &value) !=
        TEXT_NUMBER_OK)
        say(columns, FINDINGS_NUMBER_UNREADABLE, cell, cell->text, " of meters");
    else if (!(fabs(value) <= most_m))
        say(columns, FINDINGS_OUT_OF_RANGE, cell, cell->text, "-50 and 50 m");
    return value;
}

static void read_row(const struct columns *columns, size_t row, plans_layers *out) {
    const tables_cell *layer = cell_of(columns, row, LAYER);
    plans_layer read = {.layer = layer->text,
                        .construction = text_of(columns, row, CONSTRUCTION),
                        .level = text_of(columns, row, LEVEL),
                        .bottom_m = height_of(columns, row, BOTTOM),
                        .top_m = height_of(columns, row, TOP),
                        .line = layer->line,
                        .column = layer->column};
    if (layer->length == 0)
        say(columns, FINDINGS_CELL_BLANK, layer, "", names[LAYER]);
    else if (plans_layers_find(out, read.layer) != plans_none)
        say(columns, FINDINGS_NAME_TWICE, layer, read.layer, "layer");
    if (read.top_m <= read.bottom_m)
        say(columns, FINDINGS_TOP_BELOW_BOTTOM, cell_of(columns, row, TOP), read.layer, NULL);
    out->rows[out->n_rows++] = read;
}

static enum earshot_status read_rows(const struct columns *columns, plans_layers *out) {
    size_t n = columns->sheet->n_rows;
    if (n > MOST_ROWS) {
        const tables_cell *beyond =
            &columns->sheet->cells[MOST_ROWS * columns->sheet->n_columns];
        say(columns, FINDINGS_TOO_MANY_ROWS, beyond, "1000", NULL);
        return EARSHOT_INVALID;
    }
    out->rows = calloc(n + 1, sizeof *out->rows);
    if (!out->rows)
        return EARSHOT_NO_MEMORY;
    for (size_t i = 0; i < n; i++)
        read_row(columns, i, out);
    return EARSHOT_OK;
}

enum earshot_status plans_layers_read(const earshot_bytes *bytes, earshot_findings *findings,
                                      plans_layers *out) {
    struct columns columns = {.sheet = &out->sheet, .findings = findings};
    if (!bytes)
        return EARSHOT_OK;
    enum earshot_status status = tables_read(bytes, 1, findings, &out->sheet);
    if (status != EARSHOT_OK)
        return status;
    out->given = true;
    find_columns(&columns);
    if (columns.at[LAYER] == plans_none || columns.at[CONSTRUCTION] == plans_none)
        return EARSHOT_INVALID;
    return read_rows(&columns, out);
}

void plans_layers_close(plans_layers *layers) {
    free(layers->rows);
    tables_close(&layers->sheet);
}

/* ---- looking up ---- */

size_t plans_layers_find(const plans_layers *layers, const char *name) {
    for (size_t i = 0; i < layers->n_rows; i++)
        if (tables_same_name(layers->rows[i].layer, name))
            return i;
    return plans_none;
}

/* The first hundred names that the drawing has for its layers. */
static size_t gather_names(const plans_drawing *drawing, const char *found[MOST_NAMES]) {
    size_t n = 0;
    for (size_t i = 0; i < drawing->n_sources && n < MOST_NAMES; i++) {
        const char *name = drawing->sources[i].layer;
        size_t j = 0;
        while (j < n && strcmp(found[j], name) != 0)
            j++;
        if (j == n && name[0])
            found[n++] = name;
    }
    return n;
}

static void say_unused(const plans_layers *layers, const plans_layer *row,
                       const char *const *known, size_t n_known, earshot_findings *findings) {
    size_t near = 0;
    bool meant = text_nearest(row->layer, known, n_known, &near, 1) > 0;
    const char *const slots[FINDINGS_N_SLOTS] = {row->layer, meant ? "; did you mean '" : "",
                                                 meant ? known[near] : "", meant ? "'?" : ""};
    findings_add(findings, FINDINGS_PLAN_LAYER_UNUSED,
                 (findings_place){.file = layers->sheet.file,
                                  .order = layers->sheet.order,
                                  .line = row->line,
                                  .column = row->column},
                 slots);
}

void plans_layers_unused(const plans_layers *layers, const plans_drawing *drawing,
                         earshot_findings *findings) {
    const char *known[MOST_NAMES];
    size_t n_known = gather_names(drawing, known);
    for (size_t i = 0; i < layers->n_rows; i++)
        if (!layers->rows[i].used)
            say_unused(layers, &layers->rows[i], known, n_known, findings);
}
