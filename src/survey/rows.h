/* SPDX-License-Identifier: GPL-3.0-or-later */
/* rows.h - sheets to typed rows: names of columns, kinds, limits and units checked once, and
 * which row is called what.
 *
 * Inside the survey room only. A file of this room that builds one table walks its rows and
 * asks for values by column; everything that can be said of a cell alone has been said by then.
 */
#ifndef SURVEY_ROWS_H
#define SURVEY_ROWS_H

#include <stdbool.h>
#include <stddef.h>

#include "lengths.h"
#include "survey.h"
#include "tables.h"
#include "text.h"

enum survey_table {
#define TABLE(table, name, kind) SURVEY_TABLE_##table,
#define COLUMN(table, column, name, kind, needed, min, max, unit)
#include "columns.h"
#undef TABLE
#undef COLUMN
    SURVEY_N_TABLES
};

enum survey_column {
#define TABLE(table, name, kind)
#define COLUMN(table, column, name, kind, needed, min, max, unit) COLUMN_##table##_##column,
#include "columns.h"
#undef TABLE
#undef COLUMN
    SURVEY_N_COLUMNS
};

enum survey_kind {
    SURVEY_ID,
    SURVEY_TEXT,
    SURVEY_VALUE,
    SURVEY_NUMBER,
    SURVEY_COUNT,
    SURVEY_TALLY,
    SURVEY_LENGTH,
    SURVEY_HEIGHT,
    SURVEY_CHOICE
};

/* A line of columns.h. */
typedef struct survey_column_kind {
    const char *name;
    enum survey_table table;
    enum survey_kind kind;
    bool must;
    double min, max;
    const char *unit; /* of a number, or the words of a choice with | between them */
    enum findings_code unreadable; /* what to say of a number that is none; 0: the usual */
} survey_column_kind;
extern const survey_column_kind survey_columns[SURVEY_N_COLUMNS];

/* Heights by where on a body they are. */
enum survey_pick { SURVEY_PICK_NONE, SURVEY_ANKLE, SURVEY_SWITCH, SURVEY_HEAD, SURVEY_CEILING };

typedef struct survey_value {
    const tables_cell *cell; /* never NULL; blank where the column is not in the file */
    double number; /* NUMBER, COUNT, TALLY, LENGTH (m), HEIGHT (m); not a number when blank */
    double of;     /* TALLY: of how many; not a number where it does not say */
    size_t choice; /* CHOICE: from 0 in the order of the list; NONE when blank */
    enum survey_pick pick; /* HEIGHT */
    bool bad; /* a finding has been made of it already: nothing more may follow from it */
} survey_value;

typedef struct survey_row {
    const tables_sheet *sheet;
    const survey_value *values; /* by column, from the table's first */
    unsigned line;
} survey_row;

typedef struct survey_rows {
    survey_row *rows;
    size_t n;
    struct survey_names *names; /* by what stands in the first column */
} survey_rows;

/* ---- units.c ---- */

typedef struct survey_unit {
    const char *name; /* as a sentence has it */
    double meters;    /* 0: the site's pace */
    enum survey_measure measure;
} survey_unit;

/* What one load works on. */
typedef struct survey_load {
    earshot_survey *survey;
    earshot_findings *findings;
    survey_rows tables[SURVEY_N_TABLES];
    const char *files[SURVEY_N_TABLES]; /* as the caller named them; NULL: not given */
    bool broken[SURVEY_N_TABLES]; /* not read, or without its names: say nothing more of it */
    /* What has been built of each table, by name: to the row of the survey. */
    struct survey_names *built[SURVEY_N_TABLES];
    const earshot_bytes *given; /* all files */
    size_t n_given;
    double pace_m;
    const survey_unit *length_unit; /* of columns that say none; NULL: not given */
} survey_load;

/* What a device can be; the order is that of the column. */
enum { SURVEY_N_TYPES = 14 };
extern const char *const survey_types[SURVEY_N_TYPES];

/* What else a type is called. */
enum { SURVEY_N_TYPE_WORDS = 20 };
typedef struct survey_type_word {
    const char *word, *type;
} survey_type_word;
extern const survey_type_word survey_type_words[SURVEY_N_TYPE_WORDS];

/* The number of the type that is called so; SURVEY_N_TYPES: none. */
size_t survey_type_called(const char *word);

/* The unit that is written so ("ft", "Feet", "'"), NULL: none. */
const survey_unit *survey_unit_called(const char *word, size_t length);
double survey_unit_m(const survey_unit *unit, double pace_m);

/* Reads a cell as text_read_number does; with a unit behind the number, or as feet and inches
 * (then in feet), `*unit` is that unit, else NULL. */
enum text_number survey_read_with_unit(const tables_cell *cell, char decimal, double *number,
                                       const survey_unit **unit);

/* Zeroed memory that lives as long as the survey; NULL when there is none, which is remembered.
 */
void *survey_take(struct survey_storage *storage, size_t n, size_t size);
struct survey_storage *survey_storage_new(void);
void survey_storage_free(struct survey_storage *storage);
bool survey_storage_failed(const struct survey_storage *storage);
/* A place for a sheet that the storage closes at the end. */
tables_sheet *survey_storage_sheet(struct survey_storage *storage);
/* The index of the survey's one building; NULL when there is no memory, which is remembered. */
geometry_index *survey_storage_index(struct survey_storage *storage,
                                     const geometry_building *building);
/* A copy of the string. */
const char *survey_copy(struct survey_storage *storage, const char *string, size_t length);

/* ---- names.c ---- */

/* An index of at most `most` names; NULL without memory, and then nothing is found in it. */
struct survey_names *survey_names_new(struct survey_storage *storage, size_t most);

/* Puts a name there, unless it is in this scope already. The string is borrowed. */
void survey_names_put(struct survey_names *names, size_t scope, const char *name, size_t row);

/* The row it was put with, or NONE. */
size_t survey_names_find(const struct survey_names *names, size_t scope, const char *name);

/* How many there are, and all of them in the order they came in. */
size_t survey_names_all(const struct survey_names *names, const char *const **all);

/* ---- headers.c ---- */

enum { SURVEY_MAX_COLUMNS = 24 }; /* of one table */

/* How the columns of a sheet map to those of its table. */
typedef struct survey_mapping {
    size_t first, n;                              /* the table's columns */
    size_t sheet[SURVEY_MAX_COLUMNS];             /* of each: the sheet's column, or NONE */
    const survey_unit *units[SURVEY_MAX_COLUMNS]; /* of each: what holds for it, or NULL */
    bool without_unit[SURVEY_MAX_COLUMNS];        /* a length in nobody knows what */
} survey_mapping;

/* Finds the columns, says which are missing or not known, and the sheet's decimal mark where
 * its numbers tell. */
void survey_map_columns(survey_load *load, enum survey_table table, tables_sheet *sheet,
                        survey_mapping *map);

/* Which column of the table is called so, by its name or another word for it, and the unit of a
 * length where the name says one; SURVEY_N_COLUMNS: none. */
enum survey_column survey_column_called(enum survey_table table, const tables_cell *name,
                                        const survey_unit **unit);

/* Where a comma does not part columns, it may be the decimal mark, and a point too: the numbers
 * that can be read in one way only tell. */
void survey_settle_decimal(tables_sheet *sheet, const survey_mapping *map);

findings_place survey_header_place(const tables_sheet *sheet);

/* A column that is not in the file but should be: `mend` is what to do. */
void survey_say_missing(survey_load *load, const tables_sheet *sheet, enum survey_column column,
                        const char *mend);

/* ---- cells.c ---- */

/* Reads the cell of the value, column number `i` of its table, and makes the findings. */
void survey_read_cell(survey_load *load, const tables_sheet *sheet, const survey_mapping *map,
                      size_t i, survey_value *value);

/* Reads a cell of kind VALUE as a number of a kind that only its row knows; false, and a
 * finding has been made, when it is none. */
bool survey_read_value(survey_load *load, const survey_row *row, enum survey_column column,
                       const survey_column_kind *wanted, double *number);

/* What a spreadsheet makes of a long number: 1.23E+11. */
bool survey_is_rounded(const char *text);

/* Whether a cell has this word, case aside, and blanks, hyphens and underscores taken for each
 * other. */
bool survey_same_word(const char *written, const char *word);

/* ---- rows.c ---- */

/* Reads one sheet into typed rows of `table`, appended to those there are. For materials
 * tables, rows of an earlier file whose name (first column) comes again in this one are
 * dropped. */
void survey_rows_read(survey_load *load, enum survey_table table, tables_sheet *sheet);

/* The same of columns that have been found already. */
void survey_rows_add(survey_load *load, enum survey_table table, const tables_sheet *sheet,
                     const survey_mapping *map);

const char *survey_table_name(enum survey_table table);
bool survey_table_is_materials(enum survey_table table);
/* The table's columns: the first of them, and how many. */
enum survey_column survey_table_first(enum survey_table table);
size_t survey_table_columns(enum survey_table table);
/* As it stands in columns.h: a length in meters. */
const char *survey_column_name(enum survey_column column);
bool survey_column_is_height(enum survey_column column);
/* Whether it is a unit of length: m, ft, in, cm, mm, pace; and the name of the column in it. */
bool survey_is_unit(const char *unit);
void survey_write_header(earshot_text *out, enum survey_column column, const char *unit);
/* Name, whether it is needed, unit and limits or the words it takes. */
void survey_write_column(earshot_text *out, enum survey_column column);
/* The table whose file is called `file` (folders before it and ".csv" after it do not count),
 * or SURVEY_N_TABLES. */
enum survey_table survey_table_of(const char *file);

const survey_value *survey_get(const survey_row *row, enum survey_column column);
const char *survey_string(const survey_row *row, enum survey_column column); /* "" when blank */
/* Left blank, though it may be: nothing is wrong with it. */
bool survey_blank(const survey_row *row, enum survey_column column);
/* Whether any cell of the row is bad; of the table: was not read, or a row of it is. */
bool survey_row_bad(const survey_row *row);
bool survey_table_bad(const survey_load *load, enum survey_table table);
/* The number, or `otherwise` when the cell is blank or bad. */
double survey_number(const survey_row *row, enum survey_column column, double otherwise);
/* The same, but not a number when the cell is bad: no comparison with it holds. */
double survey_sound(const survey_row *row, enum survey_column column, double otherwise);
/* The row of `table` that begins with this name, NULL: none. */
const survey_row *survey_row_named(const survey_load *load, enum survey_table table,
                                   const char *name);

/* A finding at a cell. */
void survey_say(survey_load *load, enum findings_code code, const survey_row *row,
                enum survey_column column, const char *const slots[FINDINGS_N_SLOTS]);

/* "0 and 60 dB", for a sentence; `unit` may be NULL. */
void survey_limits(char out[SURVEY_HINT_SIZE], double min, double max, const char *unit);

/* A table as a whole. */
findings_place survey_place(const survey_load *load, enum survey_table table);

/* As survey_find, by survey_same_word. */
size_t survey_find_word(const char *word, const void *names, size_t n, size_t stride);

/* An index for what is built of the rows of `table`. */
void survey_begin_names(survey_load *load, enum survey_table table);

/* Gives what is built next of `table`, number `number`, the name in the cell, `what` for a
 * sentence. False when the cell is blank, or the name is there already and has been spoken of.
 */
bool survey_name_new(survey_load *load, enum survey_table table, const survey_row *row,
                     enum survey_column column, size_t number, const char *what);

/* What a cell that names something built of table `of` refers to; when it is not there, makes a
 * finding with what to try, unless that table could not be read and has been spoken of. Blank,
 * bad or unknown: NONE. */
size_t survey_refer(survey_load *load, const survey_row *row, enum survey_column column,
                    enum survey_table of);

/* The same for a name that is a part of the cell. */
size_t survey_refer_name(survey_load *load, const survey_row *row, enum survey_column column,
                         enum survey_table of, const char *name);

/* As survey_hint for a finding at that cell, among the names of the index; nothing where the
 * finding would only be counted. */
void survey_hint_at(const survey_load *load, const survey_row *row, enum survey_column column,
                    char out[SURVEY_HINT_SIZE], const char *word,
                    const struct survey_names *names);

/* ---- site.c ---- */

/* The first row of site.csv with this key; NULL: none. */
const survey_row *survey_site_row(const survey_load *load, const char *key);

/* ---- picks.c ---- */

/* Fills the survey's names, constructions first, so that they win, and its looks. */
void survey_build_names(survey_load *load);

/* The word as it is looked up: lower case, hyphens for blanks. Longer words are cut. */
enum { SURVEY_WORD_SIZE = 64 };
void survey_plain_word(char out[SURVEY_WORD_SIZE], const char *word, size_t length);

/* Whether a plain word that is no construction follows from another fault. */
bool survey_pick_spoken_of(const survey_load *load, const char *plain);

/* The construction that a cell names, or calls as people do, marked as in use; NONE when it is
 * blank, or, with a finding, when nobody calls anything so. */
size_t survey_refer_construction(survey_load *load, const survey_row *row,
                                 enum survey_column column);

/* ---- bands.c ---- */

/* A limit of kind 0 (EIRP, dBm), 1 (ERP, dBm) or 2 (field strength at 3 m, dB(uV/m)) as EIRP,
 * dBm. */
double survey_limit_eirp_dbm(double limit, size_t kind);

/* ---- load.c ---- */

/* Whether files of a caller may be read at all. */
bool survey_given_whole(const earshot_bytes *tables, size_t n_tables);

/* Reads the shipped tables and those among `tables` that are materials. */
void survey_read_materials(survey_load *load, const earshot_bytes *tables, size_t n_tables);

/* The builders, in the order they run; each makes its findings and goes on. */
void survey_build_site(survey_load *load);
/* The keys of site.csv: the i-th and what it is for, NULL past the last. */
const char *survey_site_key(size_t i, const char **about);
void survey_build_margins(survey_load *load);
void survey_build_materials(survey_load *load);
void survey_build_levels(survey_load *load);
void survey_build_walls(survey_load *load);
void survey_build_openings(survey_load *load, geometry_panel *panels); /* of those walls */
void survey_build_told(survey_load *load);
void survey_build_devices(survey_load *load);
void survey_build_paths(survey_load *load);
void survey_build_spots(survey_load *load);
/* Adds the rows of logs that columns.csv names to those of readings.csv; whether it names a
 * file (logs.c). */
void survey_read_logs(survey_load *load);
bool survey_is_log(const survey_load *load, const char *file);
void survey_build_readings(survey_load *load);
/* Sets readings aside that stand there twice (twice.c). */
void survey_drop_twice(survey_load *load);
void survey_check_schedule(survey_load *load);
void survey_check_bands(survey_load *load);
void survey_check_limits(survey_load *load);

/* The tables shipped inside the library, as CSV bytes: "shipped/radios.csv". */
extern const earshot_bytes survey_shipped[];
extern const size_t survey_n_shipped;

/* The place of a device, spot or walked point by its four columns, or not a number when it has
 * none; and a note when a table has x without y. */
struct survey_place_columns {
    enum survey_column level, x, y, height;
};
geometry_place survey_place_of(survey_load *load, const survey_row *row,
                               const struct survey_place_columns *columns, size_t *level_row);
void survey_check_place_columns(survey_load *load, const survey_rows *rows,
                                const struct survey_place_columns *columns);

/* ---- readings.c ---- */

/* Whether a unit is a level over a microvolt. */
bool survey_is_microvolts(const char *word);

/* ---- scales.c ---- */

void survey_build_scales(survey_load *load);

/* What a number shown on the reading's scale means, into `reading`. False, with a finding, when
 * the scale has no such step. */
bool survey_read_scale(survey_load *load, const survey_row *row, double shown,
                       survey_reading *reading);

#endif
