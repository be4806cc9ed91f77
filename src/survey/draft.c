/* SPDX-License-Identifier: GPL-3.0-or-later */
/* draft.c - the tables of a survey that is still to be made, ready to fill in a spreadsheet.
 *
 * Headers come from columns.h and site keys from site.c, so that a draft has what the reader
 * reads and nothing else.
 */
#include <string.h>

#include "rows.h"
#include "text.h"

static const char first_level[] = "ground";

static const enum survey_table with_plan[] = {
    SURVEY_TABLE_SITE,    SURVEY_TABLE_LEVELS, SURVEY_TABLE_WALLS,   SURVEY_TABLE_OPENINGS,
    SURVEY_TABLE_DEVICES, SURVEY_TABLE_SPOTS,  SURVEY_TABLE_READINGS};
static const enum survey_table rooms_only[] = {SURVEY_TABLE_SITE, SURVEY_TABLE_PATHS,
                                               SURVEY_TABLE_READINGS};
enum {
    N_WITH_PLAN = sizeof with_plan / sizeof *with_plan,
    N_ROOMS_ONLY = sizeof rooms_only / sizeof *rooms_only
};

/* What stands in a cell of a row; NULL: nothing. */
struct filled {
    enum survey_column column;
    const char *text;
};

static void write_cell(earshot_text *out, const struct filled *cells, size_t n,
                       enum survey_column column) {
    for (size_t i = 0; i < n; i++)
        if (cells[i].column == column && cells[i].text)
            text_add_cell(out, cells[i].text);
}

/* One row of `table`: what `cells` fill, and blanks. */
static void write_row(earshot_text *out, enum survey_table table, const struct filled *cells,
                      size_t n) {
    size_t first = survey_table_first(table), n_columns = survey_table_columns(table);
    for (size_t i = 0; i < n_columns; i++) {
        text_add(out, i ? "," : "");
        write_cell(out, cells, n, (enum survey_column)(first + i));
    }
    text_add(out, "\n");
}

/* Lengths that are walked count in the draft's unit; a height is a pick or in meters or feet,
 * never in paces. */
static void write_head(earshot_text *out, enum survey_table table, const char *unit) {
    size_t first = survey_table_first(table), n = survey_table_columns(table);
    for (size_t i = 0; i < n; i++) {
        enum survey_column column = (enum survey_column)(first + i);
        bool paced_height = survey_column_is_height(column) && strcmp(unit, "pace") == 0;
        text_add(out, i ? "," : "");
        survey_write_header(out, column, paced_height ? "m" : unit);
    }
    text_add(out, "\n");
}

static void write_site(const earshot_draft *draft, earshot_text *out) {
    const char *about, *key;
    for (size_t i = 0; (key = survey_site_key(i, &about)); i++) {
        const char *value = strcmp(key, "name") == 0      ? draft->name
                            : strcmp(key, "country") == 0 ? draft->country
                            : strcmp(key, "tables") == 0  ? "1"
                                                          : NULL;
        write_row(out, SURVEY_TABLE_SITE,
                  (const struct filled[]){{COLUMN_SITE_KEY, key},
                                          {COLUMN_SITE_VALUE, value},
                                          {COLUMN_SITE_NOTE, about}},
                  3);
    }
}

static const char *receiver_of(const earshot_draft *draft) {
    return draft->receiver ? draft->receiver : "receiver";
}

static void write_devices(const earshot_draft *draft, earshot_text *out) {
    write_row(out, SURVEY_TABLE_DEVICES,
              (const struct filled[]){{COLUMN_DEVICES_DEVICE, receiver_of(draft)},
                                      {COLUMN_DEVICES_ROLE, "receiver"},
                                      {COLUMN_DEVICES_LEVEL, first_level}},
              3);
    for (size_t i = 0; i < draft->n_zones; i++) {
        const earshot_draft_zone *zone = &draft->zones[i];
        write_row(out, SURVEY_TABLE_DEVICES,
                  (const struct filled[]){{COLUMN_DEVICES_DEVICE, zone->device},
                                          {COLUMN_DEVICES_ROLE, "sensor"},
                                          {COLUMN_DEVICES_LEVEL, first_level},
                                          {COLUMN_DEVICES_HEIGHT, zone->height},
                                          {COLUMN_DEVICES_RADIO, zone->radio},
                                          {COLUMN_DEVICES_MOUNT, zone->mount},
                                          {COLUMN_DEVICES_ROOM, zone->room},
                                          {COLUMN_DEVICES_TYPE, zone->type}},
                  8);
    }
}

static void write_paths(const earshot_draft *draft, earshot_text *out) {
    for (size_t i = 0; i < draft->n_zones; i++) {
        const earshot_draft_zone *zone = &draft->zones[i];
        write_row(out, SURVEY_TABLE_PATHS,
                  (const struct filled[]){{COLUMN_PATHS_DEVICE, zone->device},
                                          {COLUMN_PATHS_TO, receiver_of(draft)},
                                          {COLUMN_PATHS_LENGTH, zone->length},
                                          {COLUMN_PATHS_CROSSINGS, zone->crossings},
                                          {COLUMN_PATHS_MOUNT, zone->mount},
                                          {COLUMN_PATHS_ROOM, zone->room},
                                          {COLUMN_PATHS_HEIGHT, zone->height},
                                          {COLUMN_PATHS_RADIO, zone->radio},
                                          {COLUMN_PATHS_TYPE, zone->type}},
                  9);
    }
}

static void write_readings(const earshot_draft *draft, earshot_text *out) {
    for (size_t i = 0; i < draft->n_zones; i++)
        write_row(out, SURVEY_TABLE_READINGS,
                  (const struct filled[]){{COLUMN_READINGS_HEARD_AT, receiver_of(draft)},
                                          {COLUMN_READINGS_DEVICE, draft->zones[i].device}},
                  2);
}

static void write_levels(const earshot_draft *draft, earshot_text *out) {
    (void)draft;
    write_row(out, SURVEY_TABLE_LEVELS,
              (const struct filled[]){{COLUMN_LEVELS_LEVEL, first_level},
                                      {COLUMN_LEVELS_FLOOR_Z, "0"}},
              2);
}

static void write_rows(const earshot_draft *draft, enum survey_table table, earshot_text *out) {
    static void (*const writers[SURVEY_N_TABLES])(const earshot_draft *, earshot_text *) = {
        [SURVEY_TABLE_SITE] = write_site,
        [SURVEY_TABLE_LEVELS] = write_levels,
        [SURVEY_TABLE_DEVICES] = write_devices,
        [SURVEY_TABLE_PATHS] = write_paths,
        [SURVEY_TABLE_READINGS] = write_readings};
    if (writers[table])
        writers[table](draft, out);
}

static const char *const file_names[SURVEY_N_TABLES] = {
#define TABLE(table, name, kind) name ".csv",
#define COLUMN(table, column, name, kind, needed, min, max, unit)
#include "columns.h"
#undef TABLE
#undef COLUMN
};

enum earshot_status earshot_draft_write(const earshot_draft *draft, size_t i, const char **name,
                                        earshot_text *out) {
    if (!draft || !name || !out || (!draft->zones && draft->n_zones) ||
        !survey_is_unit(draft->length_unit) || i >= (draft->rooms ? N_ROOMS_ONLY : N_WITH_PLAN))
        return EARSHOT_MISUSE;
    enum survey_table table = draft->rooms ? rooms_only[i] : with_plan[i];
    *name = file_names[table];
    write_head(out, table, draft->length_unit);
    write_rows(draft, table, out);
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}

enum earshot_status earshot_path_write(const earshot_survey *survey, size_t row,
                                       char length_m[EARSHOT_NUMBER_SIZE],
                                       earshot_text *crossings) {
    if (!survey || !crossings || row >= survey->n_paths)
        return EARSHOT_MISUSE;
    const survey_path *path = &survey->paths[row];
    for (size_t i = 0; i < path->n_crossings; i++) {
        text_add(crossings, i ? ", " : "");
        text_add(crossings,
                 survey->constructions[survey->crossings[path->first_crossing + i]].name);
    }
    text_write_number(length_m, path->length_m);
    return earshot_text_cut(crossings) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
