/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_faults.c - thirty faults and more planted in one table, for every kind of table: all
 * reported in one run, each at its place, and not one finding more.
 *
 * Faults of a single cell are planted by the list of columns: each column in turn gets each
 * fault that its kind can have, in a row that is good but for it. Faults that take a look at
 * other rows or tables are written out, with a mark ^ before the cell that is to be named; it
 * is taken out before the table is read. Sentences hold the number of the row, since equal
 * notes fold into one.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "rows.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- a house in order ---- */

static const char *const house[][2] = {
    {"site.csv", "key,value\nname,Faults\nenvironment,dwelling\nuse,lasting\n"},
    {"levels.csv", "level,floor_z_m,height_m\nground,0,2.5\n"},
    {"walls.csv",
     "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nlong,ground,-2048,9,2048,9,brick\n"
     "low,ground,0,7,9,7,brick\n"},
    {"devices.csv", "device,role,level,x_m,y_m,height_m,radio,type\n"
                    "panel,receiver,ground,0,0,1,868-10mw,receiver\n"
                    "hall,sensor,ground,1,1,1,868-10mw,motion\n"
                    "gate,sensor,ground,2,1,1,868-10mw,contact\n"
                    "plug,repeater,ground,3,1,1,868-10mw,repeater\n"},
};

/* ---- the tables ---- */

/* A row in order, with its number put in wherever it says %d, and rows with faults that only
 * other rows make. */
struct planted {
    const char *row; /* up to three faults, marked */
    const char *codes[3];
};

enum { MOST_PLANTED = 16, LEAST_FAULTS = 30 };

static const struct table {
    enum survey_table table;
    const char *columns; /* NULL: all */
    const char *good;
    bool named; /* the first column is a name that no two rows share */
    struct planted planted[MOST_PLANTED];
} tables[] = {
    {SURVEY_TABLE_LEVELS,
     NULL,
     "l%d,%d,2.5,timber-floor",
     true,
     {{"ground,0,2.5,", {NULL}},
      {"x1,1,2.5,^brick", {"not-a-floor"}},
      {"x2,1,2.5,^timbr-floor", {"construction-unknown"}},
      {"^l1,^,^0.5,timber-floor", {"name-twice", "cell-blank", "out-of-range"}}}},
    {SURVEY_TABLE_FLOORS,
     NULL,
     "ground,outer,%d,1",
     false,
     {{"ground,^outside,1,1", {"ring-unknown"}},
      {"ground,^Outer,1,1", {"ring-unknown"}},
      {"^grund,outer,1,1", {"level-unknown"}},
      {"ground,^hol 1,1,1", {"ring-unknown"}},
      {"^grund,outer,^1x,1", {"level-unknown", "number-unreadable"}}}},
    {SURVEY_TABLE_WALLS,
     NULL,
     "w%d,ground,%d,0,%d,5,brick,0,2",
     true,
     {{"x1,ground,3,3,^3,3,brick,0,2", {"wall-no-length"}},
      {"x2,ground,3,3,4,3,brick,2,^1", {"top-below-bottom"}},
      {"x3,ground,3,3,4,3,brick,^9,", {"top-below-bottom"}},
      {"x4,^grund,^3q,3,4,3,^briick,0,2",
       {"level-unknown", "number-unreadable", "construction-unknown"}}}},
    {SURVEY_TABLE_OPENINGS,
     NULL,
     "o%d,long,%d.1,%d.5,inside-door,0,2",
     true,
     {{"x1,low,1,^9.5,inside-door,0,2", {"opening-past-wall"}},
      {"x2,low,3,^2,inside-door,0,2", {"opening-backward"}},
      {"x3,low,1,2,inside-door,2,^1", {"top-below-bottom"}},
      {"x4,low,1,2,inside-door,2.6,^3", {"opening-misses-wall"}},
      {"x5,low,1,2,inside-door,-2,^0", {"opening-misses-wall"}},
      {"x6,low,2,3,inside-door,0,^2.6", {"opening-outside"}},
      {"x7,low,4,6,inside-door,0,2", {NULL}},
      {"x8,low,^5,7,inside-door,1,2.1", {"openings-overlap"}},
      {"x9,low,6,6.5,inside-door,2.1,2.4", {NULL}}, /* above x8, beside x7 */
      {"x10,^lo,^1w,2,^insid-door,0,2",
       {"wall-unknown", "number-unreadable", "construction-unknown"}}}},
    {SURVEY_TABLE_DEVICES,
     NULL,
     "d%d,sensor,ground,%d,1,1.1,868-10mw,wall,%d,label,room,S%d,1,motion,yes,",
     true,
     {{"panel,receiver,ground,0,0,1.1,868-10mw,,,,,,,receiver,,", {NULL}},
      {"x1,sensor,ground,0,^,1.1,868-10mw,,,,,,,motion,,", {"half-a-place"}},
      {"x2,sensor,ground,^,0,1.1,868-10mw,,,,,,,motion,,", {"half-a-place"}},
      {"x3,sensor,ground,1,1,1.1,868-10mw,,,,,^S1,,motion,,", {"serial-twice"}},
      {"x4,sensor,ground,1,1,1.1,868-10mw,,^1,,,^S1,1,motion,,",
       {"zone-twice", "serial-twice"}},
      {"x5,sensor,ground,1,1,1.1,868-10mw,,,,,,,motion,,^panel", {"sensor-hears"}},
      {"x6,repeater,ground,1,1,1.1,868-10mw,,,,,,,repeater,,^;", {"hears-nobody"}},
      {"x7,repeater,ground,1,1,1.1,868-10mw,,,,,,,repeater,,^panl", {"device-unknown"}},
      {"x8,sensor,ground,1,1,^3.1,868-10mw,,,,,,,motion,,", {"height-outside"}},
      {"x9,sensor,ground,1,1,1.1,868-10mw,,,^hall motion,,,,motion,,",
       {"label-repeats-type"}}}},
    {SURVEY_TABLE_PATHS,
     "device,to,length_m,crossings,mount,room",
     "s%d,panel,%d,brick,wall,room",
     false,
     {{"^haal,panel,1,brick,wall,room", {"device-unknown"}},
      {"hall,^panl,1,brick,wall,room", {"device-unknown"}},
      {"gate,^hall,1,brick,wall,room", {"path-to-sensor"}},
      {"panel,^panel,1,brick,wall,room", {"path-to-itself"}},
      {"gate,panel,1,^brik,wall,room", {"crossing-unknown"}},
      {"^gate,panel,1,\"brick, brick\",wall,room", {"path-twice"}},
      {"^gate,panel,^-1,brick,wall,room", {"path-twice", "out-of-range"}},
      {"^gte,^plg,1,brick,wall,room", {"device-unknown", "device-unknown"}},
      {"hall,plug,5 m,? ; brick,wall,room", {NULL}},
      {"gate,plug,1,^\"brick, brik\",^shelf,room", {"crossing-unknown", "mount-unknown"}}}},
    {SURVEY_TABLE_SPOTS,
     NULL,
     "p%d,ground,1,1,1.1,yes,no,yes,no,no,note",
     true,
     {{"x1,ground,1,^,1.1,yes,no,yes,no,no,note", {"half-a-place"}},
      {"x2,^grund,^,1,1.1,^maybe,no,yes,no,no,note",
       {"level-unknown", "half-a-place", "choice-unknown"}}}},
    {SURVEY_TABLE_READINGS,
     NULL,
     "panel,hall,10,8,-60,dbm,held,shut,-110,0,%d:00,1,no,note,,,,,,",
     false,
     {{"panel,hall,10,^11,-60,dbm,held,shut,-110,0,t,1,no,note,,,,,,",
       {"more-heard-than-trips"}},
      {"panel,hall,10,^,-60,dbm,held,shut,-110,0,t,1,no,note,,,,,,", {"trips-without-heard"}},
      {"^hall,panel,10,8,-60,dbm,held,shut,-110,0,t,1,no,note,,,,,,", {"heard-at-sensor"}},
      {"^pannel,^haal,10,8,-60,^dbb,held,shut,-110,0,t,1,no,note,,,,,,",
       {"device-unknown", "device-unknown", "scale-unknown"}},
      {"panel,^,10,8,-60,dbm,held,shut,-110,0,t,1,no,note,,,,,,", {"read-nowhere"}},
      {"panel,,10,8,-60,dbm,walked,shut,-110,0,t,1,no,note,^grund,1,1,1,868-10mw,",
       {"level-unknown"}},
      {"panel,,10,8,-60,dbm,walked,shut,-110,0,t,1,no,note,ground,1,1,1,^radi,",
       {"radio-unknown"}},
      {"panel,,10,8,-60,dbm,walked,shut,-110,0,t,1,no,note,ground,1,1,1,868-10mw,", {NULL}},
      {"panel,hall,10,8,^7,bars-5,held,shut,-110,0,t,1,no,note,,,,,,", {"no-such-step"}},
      {"panel,hall,10,8,-60,dbm,held,shut,^-11,0,t,1,no,note,,,,,,", {"noise-loud"}},
      {"panel,hall,10,0,none,,in place,shut,-110,0,t,1,no,note,,,,,,", {NULL}}}},
    {SURVEY_TABLE_DIELECTRICS,
     NULL,
     "m%d,5,0,0.01,1,1,100,source",
     true,
     {{"x1,5,0,0.01,1,100,^1,source", {"range-backward"}},
      {"x2,5,0,0.01,1,2,^2,source", {"range-backward"}}}},
    {SURVEY_TABLE_CONSTRUCTIONS,
     NULL,
     "c%d,wall,wood 22,note",
     true,
     {{"x1,wall,^wood,note", {"layer-unreadable"}},
      {"x2,wall,^wood 0,note", {"layer-unreadable"}},
      {"x3,wall,^wood 9999,note", {"layer-unreadable"}},
      {"x4,wall,^wod 22,note", {"material-unknown"}},
      {"x5,wall,^^wood 22 / wod 22 / wood 1x,note", {"layer-unreadable", "material-unknown"}},
      {"x6,wall,wood 22.5 / air 10 / wood 22,note", {NULL}}}},
    {SURVEY_TABLE_PENETRATION,
     NULL,
     "brick,1%d,4,2,isolated,source",
     false,
     {{"^briick,868,4,2,isolated,source", {"construction-unknown"}}}},
    {SURVEY_TABLE_BY_LOOK,
     NULL,
     "k%d,look,knock,dust,thick,age,brick,,source",
     true,
     {{"x1,look,knock,dust,thick,age,^brik,,^", {"construction-unknown", "cell-blank"}}}},
    {SURVEY_TABLE_ENVIRONMENTS,
     NULL,
     "e%d,drawn,2,0.2,3,0.9,0.1,6,10,linear,0.4,300,1000,source",
     true,
     {{"x1,drawn,2,0.2,3,0.9,0.1,6,10,linear,0.4,1000,^300,source", {"range-backward"}}}},
    {SURVEY_TABLE_RADIOS,
     NULL,
     "r%d,868.3,10,peak,3,-105,100,10,6,2,0,3,100,1,1,60,no,source",
     true,
     {{NULL, {NULL}}}},
    {SURVEY_TABLE_SCALES,
     NULL,
     "s%d,1,-60,bottom,1,2,source",
     false,
     {{"fall,1,-60,bottom,1,2,source", {NULL}},
      {"fall,^2,-70,bottom,1,2,source", {"scale-wrong"}},
      {"alone,^1,-70,value,1,2,source", {"scale-wrong"}},
      {"mixed,1,-70,bottom,1,2,source", {NULL}},
      {"mixed,^2,-60,value,1,2,source", {"scale-wrong"}},
      {"half,^5,,top,1,2,source", {"scale-wrong"}}}},
    {SURVEY_TABLE_BANDS,
     NULL,
     "europe,868,869,14,erp,average,often,source",
     false,
     {{"europe,869,^868,14,erp,average,often,source", {"range-backward"}}}},
    {SURVEY_TABLE_COUNTRIES, NULL, "X%d,europe,source", true, {{NULL, {NULL}}}},
    {SURVEY_TABLE_MARGINS, NULL, "u%d,10,14,0.9,0.95,source", true, {{NULL, {NULL}}}},
    {SURVEY_TABLE_MOUNTS, NULL, "t%d,2,1,source", true, {{NULL, {NULL}}}},
};

/* ---- the faults of one cell ---- */

/* What may be wrong with a cell of these kinds; %d is the number of the row. */
enum kinds { NUMBERS = 1, COUNTS = 2, HEIGHTS = 4, CHOICES = 8, NAMES = 16, VALUES = 32 };
static const struct fault {
    unsigned kinds;
    const char *cell, *code;
} faults[] = {
    {NUMBERS | COUNTS, "%dx", "number-unreadable"},
    {HEIGHTS, "shoulder%d", "height-unreadable"},
    {NUMBERS | COUNTS | HEIGHTS, "1%de400", "number-too-large"},
    {NUMBERS | COUNTS | HEIGHTS, "%d 000", "number-thousands"},
    {NUMBERS | COUNTS | HEIGHTS, "\"%d,5\"", "decimal-comma"},
    {NUMBERS | COUNTS | HEIGHTS, "3-Apr-%d", "number-date"},
    {COUNTS, "%d.5", "not-whole"},
    {NUMBERS | COUNTS | HEIGHTS, "-%d000000000001", "out-of-range"},
    {NUMBERS | COUNTS | HEIGHTS, "%d000000000001", "out-of-range"},
    {NUMBERS | COUNTS | HEIGHTS | CHOICES | NAMES | VALUES, "#%.0d##", "spreadsheet-error"},
    {CHOICES, "q%d", "choice-unknown"},
    {NAMES, "1.%dE+11", "name-rounded"},
};

static unsigned kind_of(const survey_column_kind *column) {
    switch (column->kind) {
    case SURVEY_NUMBER:
    case SURVEY_LENGTH:
        return NUMBERS;
    case SURVEY_COUNT:
    case SURVEY_TALLY:
        return COUNTS;
    case SURVEY_HEIGHT:
        return HEIGHTS;
    case SURVEY_CHOICE:
        return CHOICES;
    case SURVEY_ID:
        return NAMES;
    case SURVEY_VALUE:
        return VALUES;
    default:
        return 0;
    }
}

/* ---- planting ---- */

enum { TEXT_SIZE = 1 << 17, MOST_FAULTS = 512, CELL_SIZE = 300, ROW_SIZE = 400 };

struct wanted {
    unsigned line, column;
    const char *code;
};

struct plot {
    const struct table *table;
    char text[TEXT_SIZE];
    unsigned n_rows; /* written, the header with them */
    struct wanted wanted[MOST_FAULTS];
    size_t n_wanted;
};

/* The good row with every %d replaced. */
static void good_row(const struct plot *plot, unsigned number, char out[ROW_SIZE]) {
    size_t n = 0;
    for (const char *at = plot->table->good; *at; at++)
        if (at[0] == '%' && at[1] == 'd') {
            n += (size_t)snprintf(out + n, ROW_SIZE - n, "%u", number);
            at++;
        } else {
            out[n++] = *at;
        }
    out[n] = '\0';
}

static void want(struct plot *plot, unsigned column, const char *code) {
    cr_assert_lt(plot->n_wanted, MOST_FAULTS);
    plot->wanted[plot->n_wanted++] = (struct wanted){plot->n_rows, column, code};
}

static void add_row(struct plot *plot, const char *row) {
    strcat(strcat(plot->text, row), "\n");
    plot->n_rows++;
}

/* A good row, but for cell number `at`. */
static void plant(struct plot *plot, size_t at, const char *cell, const char *code) {
    char good[ROW_SIZE], row[ROW_SIZE] = "";
    unsigned column = 0;
    size_t i = 0;
    good_row(plot, plot->n_rows, good);
    for (char *rest = good, *next; rest; rest = next, i++) {
        if ((next = strchr(rest, ',')) != NULL)
            *next++ = '\0';
        if (i)
            strcat(row, ",");
        if (i == at)
            column = (unsigned)strlen(row) + 1;
        strcat(row, i == at ? cell : rest);
    }
    add_row(plot, row);
    want(plot, column, code);
}

/* A row that is written out, without its marks. */
static void plant_marked(struct plot *plot, const struct planted *planted) {
    char row[ROW_SIZE];
    size_t n = 0, n_marks = 0;
    unsigned columns[8];
    for (const char *at = planted->row; *at; at++)
        if (*at == '^')
            columns[n_marks++] = (unsigned)n + 1;
        else
            row[n++] = *at;
    row[n] = '\0';
    add_row(plot, row);
    for (size_t i = 0; i < n_marks && i < 3 && planted->codes[i]; i++)
        want(plot, columns[i], planted->codes[i]);
}

static bool in_table(const struct table *table, const survey_column_kind *column) {
    char list[200], name[60];
    if (!table->columns)
        return true;
    snprintf(list, sizeof list, ",%s,", table->columns);
    snprintf(name, sizeof name, ",%s,", column->name);
    return strstr(list, name) != NULL;
}

static void write_header(struct plot *plot) {
    char header[ROW_SIZE] = "";
    size_t first = survey_table_first(plot->table->table);
    for (size_t i = 0; i < survey_table_columns(plot->table->table); i++)
        if (in_table(plot->table, &survey_columns[first + i]))
            strcat(strcat(header, header[0] ? "," : ""), survey_columns[first + i].name);
    add_row(plot, header);
}

static bool aside(const struct plot *plot) {
    return plot->table->table == SURVEY_TABLE_READINGS;
}

/* Every fault that the kind of the column can have. */
static void plant_column(struct plot *plot, size_t at, const survey_column_kind *column) {
    char cell[CELL_SIZE], hashes[CELL_SIZE];
    memset(hashes, '#', sizeof hashes - 1);
    hashes[sizeof hashes - 1] = '\0';
    cr_assert_lt(plot->n_wanted + 3, sizeof hashes);
    for (size_t i = 0; i < COUNT(faults); i++) {
        if (!(faults[i].kinds & kind_of(column)))
            continue;
        if (strcmp(faults[i].code, "spreadsheet-error") == 0) /* each of another length */
            sprintf(cell, "%.*s", (int)(3 + plot->n_wanted), hashes);
        else
            snprintf(cell, sizeof cell, faults[i].cell, (int)plot->n_rows + 1);
        plant(plot, at, cell, faults[i].code);
    }
    if (column->must) /* notes of the same words fold, and a column has one word for it */
        plant(plot, at, "", "cell-blank");
}

static void plant_all(struct plot *plot) {
    const struct table *table = plot->table;
    size_t first = survey_table_first(table->table), at = 0;
    char good[ROW_SIZE];
    write_header(plot);
    good_row(plot, plot->n_rows, good);
    add_row(plot, good);
    for (size_t i = 0; i < MOST_PLANTED && table->planted[i].row; i++)
        plant_marked(plot, &table->planted[i]);
    for (size_t i = 0; i < survey_table_columns(table->table); i++)
        if (in_table(table, &survey_columns[first + i]))
            plant_column(plot, at++, &survey_columns[first + i]);
    for (size_t i = 0; table->named && (i < 3 || plot->n_wanted < LEAST_FAULTS); i++) {
        good[strcspn(good, ",")] = '\0';
        plant(plot, 0, good, "name-twice");
    }
}

/* ---- and finding ---- */

static void expect_wanted(const struct plot *plot, const char *file,
                          const earshot_findings *findings) {
    size_t n = earshot_findings_count(findings);
    for (size_t i = 0; i < n || i < plot->n_wanted; i++) {
        const struct wanted *want = &plot->wanted[i];
        cr_assert_lt(i, n, "%s: %s of line %u is missing", file, want->code, want->line);
        earshot_finding got = earshot_findings_at(findings, i);
        cr_assert_lt(i, plot->n_wanted, "%s:%u:%u: %s: %s follows from another", got.file,
                     got.line, got.column, got.code, got.sentence);
        cr_assert(got.line == want->line && got.column == want->column &&
                      strcmp(got.code, want->code) == 0 && strcmp(got.file, file) == 0 &&
                      got.times == 1,
                  "%s: wanted %u:%u %s, got %s:%u:%u %s, %u times: %s", file, want->line,
                  want->column, want->code, got.file, got.line, got.column, got.code, got.times,
                  got.sentence);
    }
}

/* A sensor for each path: s1, s2, ... */
static void put_senders(folder *tables_of) {
    static char text[TEXT_SIZE];
    strcpy(text, "device,role,level,x_m,y_m,height_m,radio,type\n"
                 "panel,receiver,ground,0,0,1,868-10mw,\nplug,repeater,ground,3,1,1,868-10mw,\n"
                 "hall,sensor,ground,1,1,1,868-10mw,motion\n"
                 "gate,sensor,ground,2,1,1,868-10mw,contact\n");
    size_t n = strlen(text);
    for (int i = 1; i < 100; i++)
        n += (size_t)snprintf(text + n, TEXT_SIZE - n,
                              "s%d,sensor,ground,1,1,1,868-10mw,motion\n", i);
    folder_put(tables_of, "devices.csv", text);
}

static void try_table(const struct table *table) {
    static struct plot plot;
    char file[60];
    memset(&plot, 0, sizeof plot);
    plot.table = table;
    snprintf(file, sizeof file, "%s.csv", survey_table_name(table->table));
    plant_all(&plot);
    cr_expect_geq(plot.n_wanted, LEAST_FAULTS, "%s has only %zu faults", file, plot.n_wanted);
    folder tables_of = {.n = 0};
    for (size_t i = 0; i < COUNT(house); i++)
        folder_put(&tables_of, house[i][0], house[i][1]);
    if (table->table == SURVEY_TABLE_PATHS)
        put_senders(&tables_of);
    folder_put(&tables_of, file, plot.text);
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_expect_eq(earshot_survey_load(tables_of.tables, tables_of.n, findings, &survey),
                 aside(&plot) ? EARSHOT_OK : EARSHOT_INVALID, "%s", file);
    expect_wanted(&plot, file, findings);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    folder_free(&tables_of);
}

Test(faults, thirty_and_more_in_every_table) {
    for (size_t i = 0; i < COUNT(tables); i++)
        try_table(&tables[i]);
}

/* The keys of the site are few, so that many of its thirty faults are keys that are none. */
Test(faults, thirty_in_the_site) {
    static const struct planted rows[] = {
        {"name,Faults,", {NULL}},
        {"environment,^dweling,", {"environment-unknown"}},
        {"use,^lastin,", {"choice-unknown"}},
        {"required_margin_db,^1O,", {"number-unreadable"}},
        {"life_safety_margin_db,^10 %,", {"number-percent"}},
        {"confidence,^95,", {"out-of-range"}},
        {"life_safety_confidence,^1e400,", {"number-too-large"}},
        {"pace_m,^2 ft 13 in,", {"number-unreadable"}},
        {"north_deg,^3-Apr,", {"number-date"}},
        {"wired_zones,^one to four,", {"wired-zones-unreadable"}},
        {"tables,^2,", {"tables-too-new"}},
        {"length_unit,^cubits,", {"choice-unknown"}},
        {"surroundings,^downtown,", {"choice-unknown"}},
        {"country,^#REF!,", {"spreadsheet-error"}},
        {"^,10,", {"cell-blank"}},
        {"^#N/A,10,", {"spreadsheet-error"}},
        {"^1.5E+10,10,", {"name-rounded"}},
        {"^reqired_margin_db,10,", {"site-key-unknown"}},
        {"^margin,10,", {"site-key-unknown"}},
        {"^confidance,0.9,", {"site-key-unknown"}},
        {"^pace,0.75,", {"site-key-unknown"}},
        {"^pace_ft,2.5,", {"site-key-unknown"}},
        {"^adress,x,", {"site-key-unknown"}},
        {"^north,0,", {"site-key-unknown"}},
        {"^wired,1-4,", {"site-key-unknown"}},
        {"^unit,m,", {"site-key-unknown"}},
        {"^Name,Twice,", {"name-twice"}},
        {"^required margin dB,10,", {"name-twice"}},
        {"^Confidence,0.9,", {"name-twice"}},
        {"^PACE_M,0.75,", {"name-twice"}},
        {"^wired-zones,1-4,", {"name-twice"}},
    };
    static const struct table site = {.table = SURVEY_TABLE_SITE};
    static struct plot plot = {.table = &site};
    write_header(&plot);
    for (size_t i = 0; i < COUNT(rows); i++)
        plant_marked(&plot, &rows[i]);
    cr_expect_geq(plot.n_wanted, LEAST_FAULTS);
    folder tables_of = {.n = 0};
    for (size_t i = 1; i < COUNT(house); i++)
        folder_put(&tables_of, house[i][0], house[i][1]);
    folder_put(&tables_of, "site.csv", plot.text);
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_expect_eq(earshot_survey_load(tables_of.tables, tables_of.n, findings, &survey),
                 EARSHOT_INVALID);
    expect_wanted(&plot, "site.csv", findings);
    earshot_findings_free(findings);
    folder_free(&tables_of);
}
