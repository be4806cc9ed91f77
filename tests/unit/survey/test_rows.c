/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_rows.c - headers and cells by the list of columns: units, limits, words, what is
 * missing.
 *
 * The list is walked whole, so that a column added later is held to the same. That its limits
 * are the ones we tell people is checked against the pages that tell them.
 */
#include "folder.h"
#include "rows.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

enum { MUST = 1, MAY = 0 };
static const struct column {
    enum survey_table table;
    const char *name;
    enum survey_kind kind;
    bool must;
    double min, max;
    const char *unit;
} columns[] = {
#define TABLE(table, name, kind)
#define COLUMN(table, column, name, kind, needed, min, max, unit)                              \
    {SURVEY_TABLE_##table, name, SURVEY_##kind, needed, min, max, unit},
#include "columns.h"
#undef TABLE
#undef COLUMN
};

/* 1 ft = 0.3048 m and 1 in = 0.0254 m, exactly: international yard and pound agreement, 1959. A
 * pace is 0.75 m where the site says nothing: common practice, no source. */
static const struct {
    const char *suffix;
    double meters;
} units[] = {{"m", 1},     {"ft", 0.3048}, {"in", 0.0254},
             {"cm", 0.01}, {"mm", 0.001},  {"pace", 0.75}};

/* ---- one table, read ---- */

static survey_load begin(void) {
    survey_load load = {.findings = earshot_findings_new(), .pace_m = 0.75};
    struct survey_storage *storage = survey_storage_new();
    cr_assert(storage && load.findings);
    load.survey = survey_take(storage, 1, sizeof *load.survey);
    cr_assert_not_null(load.survey);
    load.survey->storage = storage;
    return load;
}

static void read_table(survey_load *load, enum survey_table table, const char *text) {
    tables_sheet *sheet = survey_storage_sheet(load->survey->storage);
    const earshot_bytes bytes = {survey_table_name(table), text, strlen(text)};
    cr_assert_eq(tables_read(&bytes, table, load->findings, sheet), EARSHOT_OK, "%s", text);
    survey_rows_read(load, table, sheet);
}

static void end(survey_load *load) {
    survey_storage_free(load->survey->storage);
    earshot_findings_free(load->findings);
}

/* The only finding there is, and it has this code. */
static earshot_finding only(const survey_load *load, const char *code, const char *what) {
    size_t n = earshot_findings_count(load->findings);
    cr_assert_eq(n, 1, "%s: %zu findings, wanted %s", what, n, code);
    earshot_finding finding = earshot_findings_at(load->findings, 0);
    cr_expect_str_eq(finding.code, code, "%s: %s", what, finding.sentence);
    return finding;
}

static void expect_part(const char *sentence, const char *part) {
    cr_expect_not_null(strstr(sentence, part), "'%s' is not in: %s", part, sentence);
}

/* ---- a table made to measure ---- */

static bool is_length(const struct column *column) {
    return column->kind == SURVEY_LENGTH || column->kind == SURVEY_HEIGHT;
}

static bool is_number(const struct column *column) {
    return is_length(column) || column->kind == SURVEY_NUMBER || column->kind == SURVEY_COUNT ||
           column->kind == SURVEY_TALLY;
}

/* A cell that nobody could object to. */
static void put_good_cell(char out[40], const struct column *column) {
    if (is_number(column))
        snprintf(out, 40, "%.17g", column->max);
    else if (column->kind == SURVEY_CHOICE)
        snprintf(out, 40, "%.*s", (int)strcspn(column->unit, "|"), column->unit);
    else
        strcpy(out, "a");
}

enum { TEXT_SIZE = 2000 };

/* A table of one good row, but that column number `odd` is called `header` (NULL: is not there)
 * and holds `cell`. Returns the column of that cell, in characters from 1. */
static unsigned put_table(char out[TEXT_SIZE], size_t odd, const char *header,
                          const char *cell) {
    char row[TEXT_SIZE / 2] = "", good[40];
    unsigned at = 0;
    out[0] = '\0';
    for (size_t i = 0; i < COUNT(columns); i++) {
        if (columns[i].table != columns[odd].table || (i == odd && !header))
            continue;
        put_good_cell(good, &columns[i]);
        if (out[0]) {
            strcat(out, ",");
            strcat(row, ",");
        }
        if (i == odd)
            at = (unsigned)strlen(row) + 1;
        strcat(out, i == odd ? header : columns[i].name);
        strcat(row, i == odd ? cell : good);
    }
    strcat(strcat(strcat(out, "\n"), row), "\n");
    return at;
}

/* Reads such a table; the value of the odd column is at `*value` when it is wanted. */
static survey_load with(size_t odd, const char *header, const char *cell, unsigned *at,
                        const survey_value **value) {
    char text[TEXT_SIZE];
    survey_load load = begin();
    unsigned column = put_table(text, odd, header, cell);
    read_table(&load, columns[odd].table, text);
    cr_assert_eq(load.tables[columns[odd].table].n, 1);
    if (at)
        *at = column;
    if (value)
        *value = survey_get(&load.tables[columns[odd].table].rows[0], (enum survey_column)odd);
    return load;
}

/* "x_m" to "x_ft". */
static const char *in_unit(char out[40], const struct column *column, size_t unit) {
    snprintf(out, 40, "%.*s_%s", (int)strlen(column->name) - 2, column->name,
             units[unit].suffix);
    return out;
}

/* ---- what is in the file ---- */

Test(rows, columns_that_must_and_may_be_there) {
    for (size_t i = 0; i < COUNT(columns); i++) {
        survey_load load = with(i, NULL, "", NULL, NULL);
        if (columns[i].must) {
            earshot_finding missing = only(&load, "column-missing", columns[i].name);
            cr_expect_eq(missing.line, 1, "%s", columns[i].name);
            expect_part(missing.sentence, columns[i].name);
        } else {
            cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", columns[i].name);
        }
        end(&load);
    }
}

Test(rows, cells_that_must_and_may_be_filled) {
    for (size_t i = 0; i < COUNT(columns); i++) {
        unsigned at;
        const survey_value *value;
        survey_load load = with(i, columns[i].name, "", &at, &value);
        if (columns[i].must) {
            earshot_finding blank = only(&load, "cell-blank", columns[i].name);
            cr_expect_eq(blank.line, 2);
            cr_expect_eq(blank.column, at, "%s", columns[i].name);
        } else {
            cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", columns[i].name);
        }
        cr_expect(isnan(value->number), "a blank is no number: %s", columns[i].name);
        cr_expect_eq(value->choice, EARSHOT_NONE, "nor a choice: %s", columns[i].name);
        end(&load);
    }
}

/* The mend names the column that was perhaps meant. A note where the rest can be used; an error
 * where it cannot. */
Test(rows, headers) {
    static const struct {
        const char *text, *code, *part;
        enum earshot_severity severity;
        unsigned line, column;
    } table[] = {
        {"wall,level,x1_m,y1_m,x2_m,y2_m,construction,bottm_m\nw,g,0,0,1,1,brick,\n",
         "column-unknown", "did you mean 'bottom_m'?", EARSHOT_NOTE, 1, 45},
        {"wall,level,x1_m,y1_m,x2_m,y2_m,construction,painted\nw,g,0,0,1,1,brick,\n",
         "column-unknown", "column 'painted'", EARSHOT_NOTE, 1, 45},
        {"wall,level,x1_m,y1_m,x2_m,y2_m,construction,top_ell\nw,g,0,0,1,1,brick,\n",
         "column-unknown", "column 'top_ell'", EARSHOT_NOTE, 1, 45},
        {"wall,level,x1_m,y1_m,x2_m,x2_ft,y2_m,construction\nw,g,0,0,1,,1,brick\n",
         "column-in-two-units", "'x2_ft' and 'x2_m'", EARSHOT_ERROR, 1, 27},
        {"wall,level,x1_m,y1_m,x2_m,X 2 [m],y2_m,construction\nw,g,0,0,1,,1,brick\n",
         "column-twice", "'X 2 [m]' and 'x2_m'", EARSHOT_ERROR, 1, 27},
        {"wall,level,x1_m,y1_m,x2_m,y2_m,construction,Material\nw,g,0,0,1,1,brick,\n",
         "column-twice", "'Material' and 'construction'", EARSHOT_ERROR, 1, 45},
        {"wall,level,x1,y1_m,x2_m,y2_m,construction\nw,g,0,0,1,1,brick\n",
         "length-without-unit", "'x1' does not say its unit; name it x1_m or x1_ft",
         EARSHOT_ERROR, 1, 12},
        {"wall,level,X 1 (cubits),y1_m,x2_m,y2_m,construction,x1_m\nw,g,0,0,1,1,brick,0\n",
         "column-unknown", "column 'X 1 (cubits)'", EARSHOT_NOTE, 1, 12},
        {"wall,level,x1_m,y1_m,x2_m,construction\nw,g,0,0,1,brick\n", "column-missing",
         "'y2_m' is missing; add it", EARSHOT_ERROR, 1, 0},
    };
    for (size_t i = 0; i < COUNT(table); i++) {
        survey_load load = begin();
        read_table(&load, SURVEY_TABLE_WALLS, table[i].text);
        earshot_finding got = only(&load, table[i].code, table[i].text);
        expect_part(got.sentence, table[i].part);
        cr_expect_eq(got.severity, table[i].severity, "%s", table[i].text);
        cr_expect_eq(got.line, table[i].line, "%s", table[i].text);
        cr_expect_eq(got.column, table[i].column, "%s: %u", table[i].text, got.column);
        end(&load);
    }
    survey_load load = begin();
    read_table(&load, SURVEY_TABLE_WALLS,
               "wal,level,x1_m,y1_m,x2_m,y2_m,construction\nw,g,0,0,1,1,brick\n");
    cr_assert_eq(earshot_findings_count(load.findings), 2); /* unknown, and the one missing */
    expect_part(earshot_findings_at(load.findings, 0).sentence, "rename 'wal' to it");
    end(&load);
}

/* ---- numbers ---- */

Test(rows, units_of_length) {
    static const struct {
        const char *header, *cell;
        double meters;
    } table[] = {{"x_m", "12.5", 12.5},   {"x_ft", "1", 0.3048},  {"x_ft", "40", 12.192},
                 {"x_in", "1", 0.0254},   {"x_in", "100", 2.54},  {"x_cm", "1250", 12.5},
                 {"x_mm", "12500", 12.5}, {"x_pace", "16", 12},   {"x_pace", "-4", -3},
                 {"x_m", "+1e1", 10},     {"x_ft", "-10", -3.048}};
    for (size_t i = 0; i < COUNT(table); i++) {
        const survey_value *value;
        survey_load load = with(COLUMN_DEVICES_X, table[i].header, table[i].cell, NULL, &value);
        cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", table[i].header);
        cr_expect_float_eq(value->number, table[i].meters, 1e-14, "%s %s: %.17g",
                           table[i].header, table[i].cell, value->number);
        end(&load);
    }
}

/* A unit in the cell wins over the header's. By hand: 12 ft 6 in = 150 in = 3.81 m; 6 1/2 in =
 * 0.1651 m. */
Test(rows, units_in_cells) {
    static const struct {
        const char *cell;
        double meters;
    } table[] = {{"\"12' 6\"\"\"", 3.81},
                 {"12' 6\"", 3.81}, /* without quotes around the cell */
                 {"12'6", 3.81},
                 {"12ft6in", 3.81},
                 {"12 ft 6 in", 3.81},
                 {"12 Ft. 6 In.", 3.81},
                 {"12'-6\"", 3.81},
                 {"12' 6''", 3.81},
                 {"12\xE2\x80\x99 6\xE2\x80\x9D", 3.81}, /* U+2019, U+201D */
                 {"12\xE2\x80\xB2 6\xE2\x80\xB3", 3.81}, /* primes */
                 {"12 feet 6 inches", 3.81},
                 {"-12' 6\"", -3.81},
                 {"\xE2\x88\x92"
                  "12' 6\"",
                  -3.81},
                 {"12.5 ft", 3.81},
                 {"12'", 3.6576},
                 {"12' 0\"", 3.6576},
                 {"6\"", 0.1524},
                 {"6 1/2\"", 0.1651},
                 {"6 1/2 in", 0.1651},
                 {"1/2\"", 0.0127},
                 {"12' 6 1/2\"", 3.8227},
                 {"3.5 m", 3.5},
                 {"3.5m", 3.5},
                 {"350 cm", 3.5},
                 {"3500mm", 3.5},
                 {"3.5 Metres", 3.5},
                 {"1e1 m", 10},
                 {"4 paces", 3},
                 {"5 yd", 4.572},
                 {"'3 m", 3}, /* a spreadsheet's mark of text */
                 {"  3\xC2\xA0m ", 3}};
    for (size_t i = 0; i < COUNT(table); i++) {
        const survey_value *value;
        survey_load load = with(COLUMN_DEVICES_X, "x_ft", table[i].cell, NULL, &value);
        cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", table[i].cell);
        cr_expect_float_eq(value->number, table[i].meters, 1e-14, "%s: %.17g", table[i].cell,
                           value->number);
        end(&load);
    }
    const survey_value *value; /* what spreadsheets do to numbers, but they can still be read */
    survey_load load = with(COLUMN_DEVICES_X, "x_ft", "'10", NULL, &value);
    cr_expect_float_eq(value->number, 3.048, 1e-14);
    end(&load);
    load = with(COLUMN_DEVICES_X, "x_m", "1E+03", NULL, &value);
    cr_expect_eq(value->number, 1000);
    end(&load);
    load = with(COLUMN_MARGINS_CONFIDENCE, "confidence", "90%", NULL, &value);
    cr_expect_eq(value->number, 0.9);
    cr_expect_eq(earshot_findings_count(load.findings), 0);
    end(&load);
}

/* What else people write above columns; the value tells which column it became. */
Test(rows, other_names_of_columns) {
    static const struct {
        enum survey_column column;
        const char *header, *cell;
        double number; /* not a number: compare the text */
    } table[] = {{COLUMN_DEVICES_X, "X", "5 ft", 1.524},
                 {COLUMN_DEVICES_X, "X [ft]", "5", 1.524},
                 {COLUMN_DEVICES_X, "x (m)", "5", 5},
                 {COLUMN_DEVICES_X, "x in cm", "5", 0.05},
                 {COLUMN_DEVICES_X, "x (in)", "100", 2.54},
                 {COLUMN_DEVICES_X, "x_in", "100", 2.54},
                 {COLUMN_WALLS_X1, "x 1 (m)", "5", 5},
                 {COLUMN_WALLS_X1, "X1 [ft]", "5", 1.524},
                 {COLUMN_DEVICES_HEIGHT, "Mounting height (ft)", "5", 1.524},
                 {COLUMN_DEVICES_HEIGHT, "height", "5'", 1.524},
                 {COLUMN_DEVICES_HEIGHT, "Height above floor / m", "1.5", 1.5},
                 {COLUMN_DEVICES_DEVICE, "Sensor", "a", NAN},
                 {COLUMN_DEVICES_DEVICE, "Device name", "a", NAN},
                 {COLUMN_DEVICES_ZONE, "Zone No.", "7", 7},
                 {COLUMN_DEVICES_ZONE, "ZONE NUMBER", "7", 7},
                 {COLUMN_DEVICES_ZONE, "zone #", "7", 7},
                 {COLUMN_DEVICES_ROOM, "Location", "a", NAN},
                 {COLUMN_DEVICES_SERIAL, "Serial no", "a", NAN},
                 {COLUMN_DEVICES_TYPE, "Kind", "smoke", NAN},
                 {COLUMN_PATHS_LENGTH, "Distance (paces)", "16", 12},
                 {COLUMN_PENETRATION_LOSS, "Loss [dB]", "16", 16},
                 {COLUMN_READINGS_NOISE, "Noise (dBm)", "-110", -110},
                 {COLUMN_READINGS_PLACED, "placed\xC2\xA0", "held", NAN}};
    for (size_t i = 0; i < COUNT(table); i++) {
        const survey_value *value;
        survey_load load = with(table[i].column, table[i].header, table[i].cell, NULL, &value);
        cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", table[i].header);
        if (isnan(table[i].number))
            cr_expect_str_eq(value->cell->text, table[i].cell, "%s", table[i].header);
        else
            cr_expect_float_eq(value->number, table[i].number, 1e-14, "%s: %.17g",
                               table[i].header, value->number);
        end(&load);
    }
}

/* Whether the word is one of those with | between them. */
static bool stands_in(const char *words, const char *word) {
    char list[200], wanted[60];
    snprintf(list, sizeof list, "|%s|", words);
    snprintf(wanted, sizeof wanted, "|%s|", word);
    return strstr(list, wanted) != NULL;
}

/* No word may mean two columns of one table, nor be the name of another. */
Test(rows, no_word_means_two_columns) {
    static const struct {
        enum survey_column column;
        const char *words;
    } also[] = {
#define ALSO(table, column, words) {COLUMN_##table##_##column, words},
#include "headers.h"
#undef ALSO
    };
    for (size_t i = 0; i < COUNT(also); i++) {
        char list[200], *rest = list;
        strcpy(list, also[i].words);
        for (char *word = strtok_r(rest, "|", &rest); word; word = strtok_r(NULL, "|", &rest)) {
            enum survey_table table = columns[also[i].column].table;
            size_t first = 0, n = 0;
            for (; columns[first].table != table; first++)
                ;
            char text[TEXT_SIZE] = "";
            for (size_t j = first; j < COUNT(columns) && columns[j].table == table; j++, n++)
                if (j != also[i].column)
                    strcat(strcat(text, columns[j].name), ",");
            strcat(strcat(strcat(text, word), is_length(&columns[also[i].column]) ? " m" : ""),
                   "\n");
            survey_load load = begin();
            read_table(&load, table, text);
            cr_expect_eq(earshot_findings_count(load.findings), 0, "%s: %s", word, text);
            end(&load);
            for (size_t j = 0; j < COUNT(also); j++)
                cr_expect(j == i || columns[also[j].column].table != table ||
                              !stands_in(also[j].words, word),
                          "%s stands twice", word);
        }
    }
}

/* What a length is in when the header says nothing. */
Test(rows, the_site_may_give_a_unit) {
    static const char text[] = "level,ring,x,y_m\ng,outer,10,10\ng,outer,10 m,10 ft\n";
    survey_load load = begin();
    load.length_unit = survey_unit_called("feet", 4);
    read_table(&load, SURVEY_TABLE_FLOORS, text);
    const survey_row *rows = load.tables[SURVEY_TABLE_FLOORS].rows;
    cr_expect_eq(earshot_findings_count(load.findings), 0);
    cr_expect_float_eq(survey_number(&rows[0], COLUMN_FLOORS_X, NAN), 3.048, 1e-14);
    cr_expect_eq(survey_number(&rows[0], COLUMN_FLOORS_Y, NAN), 10);
    cr_expect_eq(survey_number(&rows[1], COLUMN_FLOORS_X, NAN), 10);
    cr_expect_float_eq(survey_number(&rows[1], COLUMN_FLOORS_Y, NAN), 3.048, 1e-14);
    end(&load);
}

/* Names: blanks of any shape and number are one, a line end too; what a spreadsheet made of a
 * long number is no name. */
Test(rows, names_as_they_come) {
    static const struct {
        const char *cell, *name, *code;
    } table[] = {{"front\xC2\xA0"
                  "door",
                  "front door", NULL},
                 {"front   door", "front door", NULL},
                 {"\"front\r\ndoor\"", "front door", NULL},
                 {"\xEF\xBB\xBFgate", "gate", NULL},
                 {"1.23E+11", "", "name-rounded"},
                 {"#REF!", "", "spreadsheet-error"},
                 {"12E", "12E", NULL}};
    for (size_t i = 0; i < COUNT(table); i++) {
        const survey_value *value;
        survey_load load = with(COLUMN_WALLS_WALL, "wall", table[i].cell, NULL, &value);
        cr_expect_str_eq(value->cell->text, table[i].name);
        if (table[i].code)
            only(&load, table[i].code, table[i].cell);
        else
            cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", table[i].cell);
        end(&load);
    }
}

/* The same length in each unit, in every column that is one. */
Test(rows, units_in_every_column) {
    for (size_t i = 0; i < COUNT(columns); i++)
        for (size_t unit = 0; is_length(&columns[i]) && unit < COUNT(units); unit++) {
            char header[40], cell[40];
            const survey_value *value;
            double meters = columns[i].min + 0.25 * (columns[i].max - columns[i].min);
            snprintf(cell, sizeof cell, "%.15g", meters / units[unit].meters);
            survey_load load = with(i, in_unit(header, &columns[i], unit), cell, NULL, &value);
            cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", header);
            cr_expect_float_eq(value->number, meters, 1e-12 * fabs(meters), "%s", header);
            end(&load);
        }
}

/* A hundred-thousand-millionth past a limit is past it. The sentence has the value, the limits
 * and the unit of the header, so that nobody compares feet with meters. */
static void expect_limits(size_t i, size_t unit) {
    const struct column *column = &columns[i];
    const double factor = is_length(column) ? units[unit].meters : 1;
    const double limits[2] = {column->min / factor, column->max / factor};
    char header[40], cell[40], last[40];
    if (is_length(column))
        in_unit(header, column, unit);
    else
        strcpy(header, column->name);
    for (int side = 0; side < 2; side++) {
        double step = column->kind == SURVEY_COUNT || column->kind == SURVEY_TALLY
                          ? 1
                          : 1e-9 * fmax(1, fabs(limits[side]));
        double sign = side ? 1 : -1;
        /* division may round a limit in feet past itself; in meters it is met exactly */
        double inside = factor == 1 ? limits[side] : limits[side] - sign * step;
        const survey_value *value;
        unsigned at;
        snprintf(cell, sizeof cell, "%.9f", inside);
        survey_load load = with(i, header, cell, NULL, &value);
        cr_expect_eq(earshot_findings_count(load.findings), 0, "%s %s", header, cell);
        cr_expect_float_eq(value->number, inside * factor, step, "%s %s", header, cell);
        end(&load);
        snprintf(cell, sizeof cell, "%.9f", limits[side] + sign * step);
        load = with(i, header, cell, &at, &value);
        earshot_finding got = only(&load, "out-of-range", header);
        cr_expect_eq(got.severity,
                     column->table == SURVEY_TABLE_READINGS ? EARSHOT_NOTE : EARSHOT_ERROR);
        cr_expect_eq(got.column, at, "%s", header);
        cr_expect(isnan(value->number), "%s", header);
        expect_part(got.sentence, cell);
        const char *of = is_length(column) ? units[unit].suffix : column->unit;
        if (is_length(column) && strcmp(of, "pace") == 0)
            of = "paces";
        snprintf(last, sizeof last, "%s%s", of ? " " : "", of ? of : "");
        size_t end_at = strlen(got.sentence), length = strlen(last);
        cr_expect_str_eq(got.sentence + end_at - length, last, "%s: %s", header, got.sentence);
        cr_expect_neq(got.sentence[end_at - 1], ' ', "%s: %s", header, got.sentence);
        end(&load);
    }
}

Test(rows, limits_on_both_sides) {
    for (size_t i = 0; i < COUNT(columns); i++) {
        if (!is_number(&columns[i]))
            continue;
        cr_expect_lt(columns[i].min, columns[i].max, "%s", columns[i].name);
        for (size_t unit = 0; unit < (is_length(&columns[i]) ? COUNT(units) : 1); unit++)
            expect_limits(i, unit);
    }
}

static const struct column *find_column(const char *table, const char *name) {
    for (size_t i = 0; i < COUNT(columns); i++)
        if (strcmp(survey_table_name(columns[i].table), table) == 0 &&
            strcmp(columns[i].name, name) == 0)
            return &columns[i];
    cr_assert_fail("%s has no column %s", table, name);
    return NULL;
}

/* materials/README.md tells "a | - | 1 to 100" of each column; several may share a row. */
static size_t compare_limits(const char *table, char *line) {
    double min, max;
    char *names = strtok(line + 1, "|"), *unit = strtok(NULL, "|"), *told = strtok(NULL, "|");
    size_t n = 0;
    if (!unit || !told || sscanf(told, " %lf to %lf", &min, &max) != 2)
        return 0;
    for (char *name = strtok(names, ", "); name; name = strtok(NULL, ", "), n++) {
        const struct column *column = find_column(table, name);
        cr_expect_eq(column->min, min, "%s %s: %g", table, name, column->min);
        cr_expect_eq(column->max, max, "%s %s: %g", table, name, column->max);
    }
    return n;
}

Test(rows, limits_are_the_ones_told) {
    char *text = folder_page("materials/README.md"), table[40] = "";
    size_t n = 0;
    for (char *line = text, *next; line; line = next) {
        if ((next = strchr(line, '\n')) != NULL)
            *next++ = '\0';
        if (strncmp(line, "## ", 3) == 0)
            snprintf(table, sizeof table, "%.*s", (int)strcspn(line + 3, ". "), line + 3);
        else if (line[0] == '|')
            n += compare_limits(table, line);
    }
    cr_expect_geq(n, 42, "only %zu limits found", n); /* counted on the page by hand */
    free(text);
}

Test(rows, numbers_that_are_none) {
    static const struct {
        enum survey_column column;
        const char *cell, *code, *part;
    } table[] = {
        {COLUMN_DEVICES_X, "4q", "number-unreadable", "'4q' is not a number"},
        {COLUMN_DEVICES_X, "l2", "number-unreadable", "letter among the digits"},
        {COLUMN_DEVICES_X, "twelve", "number-unreadable", "'twelve'"},
        {COLUMN_DEVICES_X, "1 2", "number-unreadable", "'1 2'"},
        {COLUMN_DEVICES_X, "nan", "number-unreadable", "'nan'"},
        {COLUMN_DEVICES_X, "inf", "number-unreadable", "'inf'"},
        {COLUMN_DEVICES_X, "0x10", "number-unreadable", "'0x10'"},
        {COLUMN_DEVICES_X, "1e400", "number-too-large", "'1e400'"},
        {COLUMN_DEVICES_X, "\"3,5\"", "decimal-comma", "write a point"},
        {COLUMN_DEVICES_X, "\"1,234\"", "number-thousands", "a point before a fraction"},
        {COLUMN_DEVICES_X, "\"1,234.5\"", "number-thousands", "'1,234.5'"},
        {COLUMN_DEVICES_X, "1.234.567", "number-thousands", "'1.234.567'"},
        {COLUMN_DEVICES_X, "1 234", "number-thousands", "'1 234'"},
        {COLUMN_DEVICES_X,
         "1\xC2\xA0"
         "234",
         "number-thousands", "'1 234'"},
        {COLUMN_DEVICES_X, "1'234", "number-thousands", "'1'234'"},
        {COLUMN_DEVICES_X, "3-Apr", "number-date", "'3-Apr' is a date"},
        {COLUMN_DEVICES_X, "Apr-03", "number-date", "'Apr-03'"},
        {COLUMN_DEVICES_X, "03.04.2026", "number-date", "'03.04.2026'"},
        {COLUMN_DEVICES_X, "2026-04-03", "number-date", "'2026-04-03'"},
        {COLUMN_DEVICES_X, "2026-04-03 00:00:00", "number-date", "'2026-04-03 00:00:00'"},
        {COLUMN_DEVICES_X, "50%", "number-percent", "a plain number"},
        {COLUMN_RADIOS_EIRP, "50 %", "number-percent", "a plain number of dBm"},
        {COLUMN_DEVICES_X, "#N/A", "spreadsheet-error", "'#N/A'"},
        {COLUMN_DEVICES_X, "#REF!", "spreadsheet-error", "'#REF!'"},
        {COLUMN_DEVICES_X, "#DIV/0!", "spreadsheet-error", "'#DIV/0!'"},
        {COLUMN_DEVICES_X, "#####", "spreadsheet-error", "'#####'"},
        {COLUMN_DEVICES_X, "12' 13\"", "number-unreadable", "'12' 13\"'"},
        {COLUMN_DEVICES_X, "12.5' 6\"", "number-unreadable", "'12.5' 6\"'"},
        {COLUMN_DEVICES_X, "12 m 6 in", "number-unreadable", "'12 m 6 in'"},
        {COLUMN_DEVICES_X, "1/0 in", "number-unreadable", "'1/0 in'"},
        {COLUMN_DEVICES_X, "ft", "number-unreadable", "'ft'"},
        {COLUMN_DEVICES_X, "12 ft 6 in 3", "number-unreadable", "'12 ft 6 in 3'"},
        {COLUMN_DEVICES_X, "10 leagues", "number-unreadable", "'10 leagues'"},
        {COLUMN_DEVICES_X, "2 mi", "out-of-range", " mi"},
        {COLUMN_DEVICES_X, "3000 m", "out-of-range", "-2048 and 2048 m"},
        {COLUMN_DEVICES_X, "9000 ft", "out-of-range", "ft"},
        {COLUMN_DEVICES_ZONE, "2.5", "not-whole", "'2.5'"},
        {COLUMN_DEVICES_ZONE, "five", "number-unreadable", "'five'"},
        {COLUMN_DEVICES_HEIGHT, "shoulder", "height-unreadable", "ankle, switch, head"},
        {COLUMN_DEVICES_HEIGHT, "\"1,1\"", "decimal-comma", "write a point"},
        {COLUMN_RADIOS_EIRP, "-7l", "number-unreadable", "'-7l' is not a number of dBm"},
        {COLUMN_PENETRATION_LOSS, "x", "number-unreadable", "a number of dB;"},
    };
    for (size_t i = 0; i < COUNT(table); i++) {
        const survey_value *value;
        unsigned at;
        survey_load load =
            with(table[i].column, columns[table[i].column].name, table[i].cell, &at, &value);
        earshot_finding got = only(&load, table[i].code, table[i].cell);
        expect_part(got.sentence, table[i].part);
        cr_expect_eq(got.column, at, "%s", table[i].cell);
        cr_expect(isnan(value->number) && value->bad, "%s", table[i].cell);
        end(&load);
    }
}

/* A comma is the decimal sign where semicolons part the columns, and nowhere else. */
Test(rows, decimal_commas) {
    survey_load load = begin();
    read_table(&load, SURVEY_TABLE_FLOORS,
               "level;ring;x_m;y_m\nground;outer;-1,5;2\nground;outer;\"0,25\";1e1\n");
    cr_expect_eq(earshot_findings_count(load.findings), 0);
    const survey_row *rows = load.tables[SURVEY_TABLE_FLOORS].rows;
    cr_expect_eq(survey_number(&rows[0], COLUMN_FLOORS_X, NAN), -1.5);
    cr_expect_eq(survey_number(&rows[0], COLUMN_FLOORS_Y, NAN), 2);
    cr_expect_eq(survey_number(&rows[1], COLUMN_FLOORS_X, NAN), 0.25);
    cr_expect_eq(survey_number(&rows[1], COLUMN_FLOORS_Y, NAN), 10);
    end(&load);
}

/* Where no comma parts the columns, the numbers that can be read in one way only say what the
 * others are; a mark that may stand between thousands is refused where nothing tells. */
Test(rows, decimal_marks_by_file) {
    static const struct {
        const char *separator, *first, *second;
        double x_m, y_m; /* not a number: refused */
    } table[] = {
        {";", "3,5", "1,234", 3.5, 1.234},  {";", "3.5", "1.234", 3.5, 1.234},
        {";", "1.234", "12", NAN, 12},      {";", "1,234", "12", 1.234, 12},
        {";", "3.5", "2,5", 3.5, 2.5},      {";", "2,5", "1.234", 2.5, NAN},
        {";", "1.234,5", "1", NAN, 1},      {"\t", "3,5", "1,234", 3.5, 1.234},
        {"\t", "3.5", "1.234", 3.5, 1.234}, {"\t", "1.234", "12", 1.234, 12},
        {"\t", "1,234", "12", NAN, 12},     {"|", "3,5 m", "0,75 m", 3.5, 0.75},
    };
    for (size_t i = 0; i < COUNT(table); i++) {
        const char *s = table[i].separator;
        char text[200];
        snprintf(text, sizeof text, "level%sring%sx_m%sy_m\nground%souter%s%s%s%s\n", s, s, s,
                 s, s, table[i].first, s, table[i].second);
        survey_load load = begin();
        read_table(&load, SURVEY_TABLE_FLOORS, text);
        const survey_row *row = load.tables[SURVEY_TABLE_FLOORS].rows;
        double x_m = survey_number(row, COLUMN_FLOORS_X, -1);
        double y_m = survey_number(row, COLUMN_FLOORS_Y, -1);
        cr_expect_eq(x_m, isnan(table[i].x_m) ? -1 : table[i].x_m, "%s: %g", text, x_m);
        cr_expect_eq(y_m, isnan(table[i].y_m) ? -1 : table[i].y_m, "%s: %g", text, y_m);
        if (isnan(table[i].x_m) || isnan(table[i].y_m))
            only(&load, "number-thousands", text);
        else
            cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", text);
        end(&load);
    }
}

/* ---- words ---- */

Test(rows, words_of_every_choice) {
    for (size_t i = 0; i < COUNT(columns); i++) {
        if (columns[i].kind != SURVEY_CHOICE)
            continue;
        size_t n = 0;
        for (const char *at = columns[i].unit; *at; n++) {
            char word[40], wrong[44];
            const survey_value *value;
            unsigned column;
            size_t length = strcspn(at, "|");
            snprintf(word, sizeof word, "%.*s", (int)length, at);
            survey_load load = with(i, columns[i].name, word, NULL, &value);
            cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", word);
            cr_expect_eq(value->choice, n, "%s %s", columns[i].name, word);
            end(&load);
            snprintf(wrong, sizeof wrong, "%c%s", word[0] - 'a' + 'A', word + 1);
            for (char *blank = wrong; (blank = strpbrk(blank, " -")) != NULL;)
                *blank = '_';
            load = with(i, columns[i].name, wrong, NULL, &value);
            cr_expect_eq(value->choice, n, "%s", wrong); /* case and blanks do not matter */
            end(&load);
            snprintf(wrong, sizeof wrong, "q%s", word);
            load = with(i, columns[i].name, wrong, &column, &value);
            earshot_finding got = only(&load, "choice-unknown", wrong);
            cr_expect_eq(got.column, column, "%s", wrong);
            cr_expect_eq(value->choice, EARSHOT_NONE, "%s", wrong);
            snprintf(wrong, sizeof wrong, "'%s'", word); /* is what was meant */
            expect_part(got.sentence, wrong);
            end(&load);
            at += length + (at[length] == '|');
        }
        cr_expect_geq(n, 2, "%s", columns[i].name);
    }
}

Test(rows, picks_of_heights) {
    static const struct {
        const char *cell;
        enum survey_pick pick;
    } table[] = {{"ankle", SURVEY_ANKLE},
                 {"switch", SURVEY_SWITCH},
                 {"head", SURVEY_HEAD},
                 {"ceiling", SURVEY_CEILING},
                 {"1.3", SURVEY_PICK_NONE}};
    for (size_t i = 0; i < COUNT(table); i++) {
        const survey_value *value; /* a pick has no unit: any header will do */
        survey_load load = with(COLUMN_SPOTS_HEIGHT, "height_ft", table[i].cell, NULL, &value);
        cr_expect_eq(earshot_findings_count(load.findings), 0, "%s", table[i].cell);
        cr_expect_eq(value->pick, table[i].pick, "%s", table[i].cell);
        cr_expect_eq(isnan(value->number), table[i].pick != SURVEY_PICK_NONE);
        end(&load);
    }
}

/* ---- later rows ---- */

/* Of two materials files the later wins name by name; all rows of a name are one thing. */
Test(rows, later_names_win) {
    survey_load load = begin();
    const char header[] = "mount,loss_db,sd_db,source\n";
    char text[200];
    snprintf(text, sizeof text, "%sa,1,1,x\nb,2,1,x\na,3,1,x\nc,4,1,x\n", header);
    read_table(&load, SURVEY_TABLE_MOUNTS, text);
    snprintf(text, sizeof text, "%sd,5,1,y\na,6,1,y\na,7,1,y\n", header);
    read_table(&load, SURVEY_TABLE_MOUNTS, text);
    static const double losses_db[] = {2, 4, 5, 6, 7}; /* b, c; d, a, a */
    const survey_rows *rows = &load.tables[SURVEY_TABLE_MOUNTS];
    cr_assert_eq(rows->n, COUNT(losses_db));
    for (size_t i = 0; i < rows->n; i++)
        cr_expect_eq(survey_number(&rows->rows[i], COLUMN_MOUNTS_LOSS, NAN), losses_db[i]);
    end(&load);
}

/* A table is known by the last part of its file's name. */
Test(rows, names_of_files) {
    static const struct {
        const char *file;
        enum survey_table table;
    } table[] = {{"walls.csv", SURVEY_TABLE_WALLS},
                 {"walls", SURVEY_TABLE_WALLS},
                 {"a/b.c/walls.csv", SURVEY_TABLE_WALLS},
                 {"materials/walls-by-look.csv", SURVEY_TABLE_BY_LOOK},
                 {"walls.csv/x", SURVEY_N_TABLES},
                 {"Walls.csv", SURVEY_N_TABLES},
                 {"walls-old.csv", SURVEY_N_TABLES},
                 {"walls.csv.csv", SURVEY_N_TABLES},
                 {".csv", SURVEY_N_TABLES},
                 {"", SURVEY_N_TABLES}};
    for (size_t i = 0; i < COUNT(table); i++)
        cr_expect_eq(survey_table_of(table[i].file), table[i].table, "%s", table[i].file);
}
