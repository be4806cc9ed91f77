/* SPDX-License-Identifier: GPL-3.0-or-later */
/* legend.c - what may stand in each column of a table, for somebody who fills it in.
 *
 * Limits and words come from columns.h; what neither says, what a column is for and what a
 * blank means, stands here. Names of radios, mounts and scales come from the shipped tables.
 */
#include "rows.h"
#include "text.h"

static const struct {
    enum survey_column column;
    const char *about;
} abouts[] = {
    {COLUMN_LEVELS_LEVEL, "a name of your own, like ground"},
    {COLUMN_LEVELS_FLOOR_Z, "height of its floor over that of the lowest"},
    {COLUMN_LEVELS_FLOOR_CONSTRUCTION,
     "the slab it stands on, like timber-floor or reinforced-floor; blank: none"},
    {COLUMN_FLOORS_RING, "outer, hole 1, hole 2, ...: a row for each corner"},
    {COLUMN_WALLS_WALL, "a name of your own"},
    {COLUMN_WALLS_LEVEL, "of levels.csv"},
    {COLUMN_WALLS_CONSTRUCTION, "like brick, stud or cavity-wall; earshot loss lists all"},
    {COLUMN_WALLS_TOP, "blank: to the ceiling"},
    {COLUMN_OPENINGS_OPENING, "a name of your own"},
    {COLUMN_OPENINGS_WALL, "of walls.csv"},
    {COLUMN_OPENINGS_FROM, "along the wall, from its first end"},
    {COLUMN_OPENINGS_CONSTRUCTION,
     "like inside-door, steel-door or double-glazing; earshot loss lists all"},
    {COLUMN_DEVICES_DEVICE, "a name of your own"},
    {COLUMN_DEVICES_LEVEL, "of levels.csv; may be blank where there is one"},
    {COLUMN_DEVICES_HEIGHT, "over its own floor; blank: switch"},
    {COLUMN_DEVICES_INPUT, "of a sensor with several"},
    {COLUMN_DEVICES_SUPERVISED, "whether it checks in; blank: yes"},
    {COLUMN_DEVICES_HEARS, "of a receiver or repeater: devices, with ; between; blank: all"},
    {COLUMN_PATHS_DEVICE, "the sensor"},
    {COLUMN_PATHS_TO, "the receiver or repeater"},
    {COLUMN_PATHS_CROSSINGS,
     "what is between, like brick, 2 stud, timber-floor; ?: not known; blank: nothing"},
    {COLUMN_READINGS_HEARD_AT, "the receiver: name, zone, label or serial"},
    {COLUMN_READINGS_DEVICE, "the sensor, likewise"},
    {COLUMN_READINGS_TRIPS, "how many were made"},
    {COLUMN_READINGS_HEARD, "of those; or both here, 8/10"},
    {COLUMN_READINGS_READING, "what the meter shows; none: not heard"},
    {COLUMN_READINGS_PLACED, "blank: held"},
    {COLUMN_READINGS_DOORS, "blank: shut"},
    {COLUMN_READINGS_NOISE, "at the receiver, with nothing sent"},
    {COLUMN_READINGS_PAD, "where a pad was in between"},
    {COLUMN_READINGS_TIME, "year first: 2026-03-10, or with the time behind"},
    {COLUMN_READINGS_VISIT, "to part one day from another: 1, 2"},
    {COLUMN_READINGS_AS_LEFT, "yes: read after it was mended"},
    {COLUMN_READINGS_LEVEL, "this and the place: of a walked point that is no device"},
    {COLUMN_READINGS_USE, "accept: looked at again and right; reject: does not count"},
    {COLUMN_SPOTS_SPOT, "a name of your own, of a place for a receiver or repeater"},
    {COLUMN_SPOTS_LEVEL, "of levels.csv; may be blank where there is one"},
    {COLUMN_COLUMNS_FILE, "the log; * stands for anything"},
    {COLUMN_COLUMNS_THEIRS, "the name over its column, or column F"},
    {COLUMN_COLUMNS_OURS, "of readings.csv"},
    {COLUMN_COLUMNS_VALUE, "for all rows, where their_column is blank"},
};

static void write_about(enum survey_column column, earshot_text *out) {
    for (size_t i = 0; i < sizeof abouts / sizeof *abouts; i++)
        if (abouts[i].column == column) {
            text_add(out, "; ");
            text_add(out, abouts[i].about);
        }
}

static void write_names(const void *names, size_t n, size_t stride, const char *blank,
                        earshot_text *out) {
    for (size_t i = 0; i < n; i++) {
        const char *const *name = (const void *)((const char *)names + i * stride);
        text_add(out, i ? ", " : "; one of ");
        text_add(out, *name);
    }
    text_add(out, "; blank: ");
    text_add(out, blank);
}

static void write_shipped(const earshot_survey *shipped, enum survey_column column,
                          earshot_text *out) {
    if (column == COLUMN_DEVICES_RADIO || column == COLUMN_PATHS_RADIO ||
        column == COLUMN_READINGS_RADIO)
        write_names(shipped->radios, shipped->n_radios, sizeof *shipped->radios,
                    "the first of them", out);
    else if (column == COLUMN_DEVICES_MOUNT || column == COLUMN_PATHS_MOUNT)
        write_names(shipped->mounts, shipped->n_mounts, sizeof *shipped->mounts,
                    "wall, but floor-level at ankle height", out);
    else if (column == COLUMN_READINGS_SCALE)
        write_names(shipped->scales, shipped->n_scales, sizeof *shipped->scales, "dbm", out);
}

static void write_table(const earshot_survey *shipped, enum survey_table table,
                        earshot_text *out) {
    size_t first = survey_table_first(table), n = survey_table_columns(table);
    text_add(out, survey_table_name(table));
    text_add(out, ".csv\n");
    for (size_t i = 0; i < n; i++) {
        enum survey_column column = (enum survey_column)(first + i);
        text_add(out, "  ");
        survey_write_column(out, column);
        write_about(column, out);
        write_shipped(shipped, column, out);
        text_add(out, "\n");
    }
}

enum earshot_status earshot_columns_write(const char *table, earshot_text *out) {
    enum survey_table wanted = table ? survey_table_of(table) : SURVEY_N_TABLES;
    if (!out || (table && wanted == SURVEY_N_TABLES))
        return EARSHOT_MISUSE;
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *shipped = NULL;
    enum earshot_status status =
        findings ? earshot_materials_load(NULL, 0, findings, &shipped) : EARSHOT_NO_MEMORY;
    earshot_findings_free(findings);
    if (status != EARSHOT_OK)
        return status;
    if (!table)
        text_add(out, "A length may be in another unit, said in its column's name: x_ft, x_in, "
                      "x_cm, x_mm or x_pace for x_m.\n");
    for (int i = 0; i < SURVEY_N_TABLES; i++)
        if (table ? i == (int)wanted : !survey_table_is_materials((enum survey_table)i))
            write_table(shipped, (enum survey_table)i, out);
    earshot_survey_free(shipped);
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
