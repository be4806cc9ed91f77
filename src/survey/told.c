/* SPDX-License-Identifier: GPL-3.0-or-later */
/* told.c - a survey without devices.csv: the rows of paths.csv tell which devices there are.
 *
 * Each `device` of a path is a sensor, each `to` a receiver, and what is both a repeater. Rows
 * of devices.csv are made of the cells of paths.csv, so that whatever is wrong with them points
 * into that file, and the builder of devices need not know.
 */
#include <math.h>
#include <string.h>

#include "rows.h"

/* Columns that tell of a device, in both tables. */
static const struct {
    enum survey_column told, device;
} shared[] = {
    {COLUMN_PATHS_HEIGHT, COLUMN_DEVICES_HEIGHT}, {COLUMN_PATHS_RADIO, COLUMN_DEVICES_RADIO},
    {COLUMN_PATHS_MOUNT, COLUMN_DEVICES_MOUNT},   {COLUMN_PATHS_ZONE, COLUMN_DEVICES_ZONE},
    {COLUMN_PATHS_LABEL, COLUMN_DEVICES_LABEL},   {COLUMN_PATHS_ROOM, COLUMN_DEVICES_ROOM},
    {COLUMN_PATHS_TYPE, COLUMN_DEVICES_TYPE}};
enum {
    N_SHARED = sizeof shared / sizeof *shared,
    N_COLUMNS = COLUMN_DEVICES_HEARS - COLUMN_DEVICES_DEVICE + 1,
    COLUMN_ROLE = COLUMN_DEVICES_ROLE - COLUMN_DEVICES_DEVICE
};

/* A blank cell at the place of the path's first. */
static const tables_cell *blank_cell(survey_load *load, const survey_row *path) {
    tables_cell *cell = survey_take(load->survey->storage, 1, sizeof *cell);
    const tables_cell *first = survey_get(path, COLUMN_PATHS_DEVICE)->cell;
    if (cell)
        *cell = (tables_cell){.text = "", .line = first->line};
    return cell;
}

/* Another path of a device may tell what the first left blank, but nothing else than it. A
 * mount may differ: the path's own is taken. */
static void compare(survey_load *load, const survey_row *path, const survey_row *known) {
    for (size_t i = 0; i < N_SHARED; i++) {
        const survey_value *told = survey_get(path, shared[i].told);
        survey_value *before = (survey_value *)survey_get(known, shared[i].device);
        if (told->cell->length == 0 || shared[i].told == COLUMN_PATHS_MOUNT)
            continue;
        if (before->cell->length == 0)
            *before = *told;
        else if (strcmp(before->cell->text, told->cell->text) != 0 &&
                 (told->choice == EARSHOT_NONE || told->choice != before->choice))
            survey_say(load, FINDINGS_TOLD_OTHERWISE, path, shared[i].told,
                       (const char *const[4]){
                           told->cell->text, survey_column_name(shared[i].told),
                           survey_string(path, COLUMN_PATHS_DEVICE), before->cell->text});
    }
}

/* The row of the device that `name` of the path names, unless there is one already. */
static void tell(survey_load *load, const survey_row *path, enum survey_column name,
                 enum survey_role role) {
    survey_rows *devices = &load->tables[SURVEY_TABLE_DEVICES];
    if (survey_string(path, name)[0] == '\0')
        return;
    const survey_row *known =
        survey_row_named(load, SURVEY_TABLE_DEVICES, survey_string(path, name));
    if (known) {
        if (name == COLUMN_PATHS_DEVICE)
            compare(load, path, known);
        return;
    }
    survey_value *values = survey_take(load->survey->storage, N_COLUMNS, sizeof *values);
    const tables_cell *blank = blank_cell(load, path);
    if (!values || !blank)
        return;
    for (size_t i = 0; i < N_COLUMNS; i++)
        values[i] =
            (survey_value){.cell = blank, .number = NAN, .of = NAN, .choice = EARSHOT_NONE};
    values[0] = *survey_get(path, name);
    values[COLUMN_ROLE].choice = (size_t)role;
    for (size_t i = 0; i < N_SHARED; i++) /* of a receiver the path tells only its radio */
        if (name == COLUMN_PATHS_DEVICE || shared[i].told == COLUMN_PATHS_RADIO)
            values[shared[i].device - COLUMN_DEVICES_DEVICE] =
                *survey_get(path, shared[i].told);
    survey_names_put(devices->names, 0, survey_string(path, name), devices->n);
    devices->rows[devices->n++] =
        (survey_row){.sheet = path->sheet, .values = values, .line = path->line};
}

/* What paths.csv tells of devices where devices.csv tells it too. */
static void say_unused(survey_load *load) {
    const survey_rows *paths = &load->tables[SURVEY_TABLE_PATHS];
    for (size_t i = 0; paths->n && i < N_SHARED; i++)
        if (shared[i].told != COLUMN_PATHS_MOUNT && shared[i].told != COLUMN_PATHS_ROOM &&
            survey_get(&paths->rows[0], shared[i].told)->cell->column)
            findings_add(load->findings, FINDINGS_TOLD_TWICE,
                         survey_place(load, SURVEY_TABLE_PATHS),
                         (const char *const[4]){survey_column_name(shared[i].told)});
}

void survey_build_told(survey_load *load) {
    const survey_rows *paths = &load->tables[SURVEY_TABLE_PATHS];
    if (load->files[SURVEY_TABLE_DEVICES]) {
        say_unused(load);
        return;
    }
    load->files[SURVEY_TABLE_DEVICES] = load->files[SURVEY_TABLE_PATHS];
    load->broken[SURVEY_TABLE_DEVICES] |= load->broken[SURVEY_TABLE_PATHS];
    survey_rows *devices = &load->tables[SURVEY_TABLE_DEVICES];
    struct survey_storage *storage = load->survey->storage;
    struct survey_names *listeners = survey_names_new(storage, paths->n);
    devices->rows = survey_take(storage, 2 * paths->n + 1, sizeof *devices->rows);
    devices->names = survey_names_new(storage, 2 * paths->n);
    if (survey_storage_failed(storage))
        return;
    for (size_t i = 0; i < paths->n; i++)
        survey_names_put(listeners, 0, survey_string(&paths->rows[i], COLUMN_PATHS_TO), i);
    for (size_t i = 0; i < paths->n; i++) {
        const survey_row *path = &paths->rows[i];
        const char *name = survey_string(path, COLUMN_PATHS_DEVICE);
        bool listens = survey_names_find(listeners, 0, name) != EARSHOT_NONE;
        tell(load, path, COLUMN_PATHS_DEVICE, listens ? SURVEY_REPEATER : SURVEY_SENSOR);
    }
    for (size_t i = 0; i < paths->n; i++)
        tell(load, &paths->rows[i], COLUMN_PATHS_TO, SURVEY_RECEIVER);
}
