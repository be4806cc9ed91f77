/* SPDX-License-Identifier: GPL-3.0-or-later */
/* devices.c - devices.csv: sensors, receivers, repeaters, where they are and who hears whom.
 *
 * A blank level is the first of levels.csv, a blank height the height of a light switch, a
 * blank radio the first of the radios table; each default is said in a note. A device with a
 * fault keeps its name, so that rows which refer to it are not at fault too.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "text.h"

/* Heights by where on a body they are, m; under the ceiling. Common practice, no source. */
static const double ankle_m = 0.15, switch_m = 1.1, head_m = 1.8, under_ceiling_m = 0.1;

/* So far under the floor or over the ceiling a device is hardly of that level. Judgement. */
static const double outside_m = 0.5;

enum { N_LIFE_SAFETY = 5 }; /* the first of them */

static double pick_height_m(enum survey_pick pick, const survey_level *level) {
    switch (pick) {
    case SURVEY_ANKLE:
        return ankle_m;
    case SURVEY_HEAD:
        return head_m;
    case SURVEY_CEILING:
        return level->height_m - under_ceiling_m;
    default:
        return switch_m;
    }
}

/* The column is not in the file. */
static bool is_absent(const survey_value *value) {
    return value->cell->column == 0;
}

static bool is_placed(const survey_row *row, const struct survey_place_columns *columns) {
    return !isnan(survey_get(row, columns->x)->number) &&
           !isnan(survey_get(row, columns->y)->number);
}

static void say_no_level_column(survey_load *load, const survey_row *row,
                                const struct survey_place_columns *columns) {
    char hint[SURVEY_HINT_SIZE];
    survey_hint_at(load, row, columns->level, hint, "", load->built[SURVEY_TABLE_LEVELS]);
    findings_add(load->findings, FINDINGS_LEVEL_COLUMN_MISSING, survey_header_place(row->sheet),
                 (const char *const[4]){hint});
}

/* Columns that a place wants, and the table has not: said once, not for every row. */
void survey_check_place_columns(survey_load *load, const survey_rows *rows,
                                const struct survey_place_columns *columns) {
    if (rows->n == 0)
        return;
    const survey_row *row = &rows->rows[0], *end = row + rows->n;
    bool no_x = is_absent(survey_get(row, columns->x));
    if (no_x != is_absent(survey_get(row, columns->y)))
        survey_say_missing(load, row->sheet, no_x ? columns->x : columns->y,
                           "a place needs both x and y");
    if (load->survey->n_levels < 2 || !is_absent(survey_get(row, columns->level)))
        return;
    while (row < end && !is_placed(row, columns))
        row++;
    if (row < end)
        say_no_level_column(load, row, columns);
}

/* A height above the floor of another level, or above sea, is easily given by mistake. */
static void check_height(survey_load *load, const survey_row *row,
                         const struct survey_place_columns *columns,
                         const survey_level *level) {
    char height[TEXT_NUMBER_SIZE];
    double height_m = survey_get(row, columns->height)->number;
    if (!(height_m < -outside_m || height_m > level->height_m + outside_m))
        return;
    text_write_fixed(height, level->height_m, 1);
    survey_say(
        load, FINDINGS_HEIGHT_OUTSIDE, row, columns->height,
        (const char *const[4]){survey_string(row, columns->height), level->name, height});
}

/* The first level would do for a house that has no other; where there are several it takes the
 * floors out of the way of what hangs upstairs. A column that is not there was spoken of, but
 * for readings, which are set aside one by one. */
static void say_level_blank(survey_load *load, const survey_row *row,
                            const struct survey_place_columns *columns) {
    char hint[SURVEY_HINT_SIZE];
    if (is_absent(survey_get(row, columns->level)) &&
        row->sheet->order != SURVEY_TABLE_READINGS)
        return;
    survey_hint_at(load, row, columns->level, hint, "", load->built[SURVEY_TABLE_LEVELS]);
    survey_say(load, FINDINGS_LEVEL_BLANK, row, columns->level,
               (const char *const[4]){survey_column_name(columns->level), hint});
}

geometry_place survey_place_of(survey_load *load, const survey_row *row,
                               const struct survey_place_columns *columns, size_t *level_row) {
    earshot_survey *survey = load->survey;
    const geometry_place nowhere = {NAN, NAN, NAN};
    size_t level = survey_refer(load, row, columns->level, SURVEY_TABLE_LEVELS);
    *level_row = level;
    const survey_value *x = survey_get(row, columns->x), *y = survey_get(row, columns->y);
    bool no_x = survey_blank(row, columns->x), no_y = survey_blank(row, columns->y);
    if (no_x != no_y && !is_absent(no_x ? x : y))
        survey_say(load, FINDINGS_HALF_A_PLACE, row, no_x ? columns->x : columns->y,
                   (const char *const[4]){no_x ? "x" : "y"});
    if (isnan(x->number) || isnan(y->number))
        return nowhere;
    bool level_known = level != EARSHOT_NONE || survey_blank(row, columns->level);
    if (survey_blank(row, columns->level) && survey->n_levels > 1)
        say_level_blank(load, row, columns);
    if (level == EARSHOT_NONE)
        *level_row = level = 0;
    const survey_value *height = survey_get(row, columns->height);
    double height_m = height->number;
    if (isnan(height_m))
        height_m = pick_height_m(height->pick, &survey->levels[level]);
    else if (level_known)
        check_height(load, row, columns, &survey->levels[level]);
    return (geometry_place){geometry_snap(x->number), geometry_snap(y->number),
                            survey->levels[level].floor_z_m + height_m};
}

static void say_default(survey_load *load, const char *what, const char *value,
                        const char *why) {
    findings_add(load->findings, FINDINGS_DEFAULT_USED,
                 survey_place(load, SURVEY_TABLE_DEVICES),
                 (const char *const[4]){what, value, why});
}

static void say_place_defaults(survey_load *load, const survey_row *row) {
    if (survey_blank(row, COLUMN_DEVICES_X) || survey_blank(row, COLUMN_DEVICES_Y))
        return;
    if (survey_blank(row, COLUMN_DEVICES_HEIGHT))
        say_default(load, "height", "switch (1.1 m)", "where the cell is blank");
}

static size_t radio_of(survey_load *load, const survey_row *row) {
    earshot_survey *survey = load->survey;
    if (survey_blank(row, COLUMN_DEVICES_RADIO) && survey->n_radios)
        say_default(load, "radio", survey->radios[0].name,
                    "the first of the radios table, where the cell is blank");
    size_t radio = survey_refer(load, row, COLUMN_DEVICES_RADIO, SURVEY_TABLE_RADIOS);
    return radio == EARSHOT_NONE ? 0 : radio;
}

/* At ankle height the floor takes its part, as the mount of that name has it. */
static size_t mount_of(survey_load *load, const survey_row *row) {
    static const char at_ankle[] = "floor-level";
    size_t low = survey_names_find(load->built[SURVEY_TABLE_MOUNTS], 0, at_ankle);
    if (!survey_blank(row, COLUMN_DEVICES_MOUNT) || low == EARSHOT_NONE ||
        survey_get(row, COLUMN_DEVICES_HEIGHT)->pick != SURVEY_ANKLE)
        return survey_refer(load, row, COLUMN_DEVICES_MOUNT, SURVEY_TABLE_MOUNTS);
    say_default(load, "mount", at_ankle, "at ankle height, where the cell is blank");
    return low;
}

static const struct survey_place_columns device_columns = {
    COLUMN_DEVICES_LEVEL, COLUMN_DEVICES_X, COLUMN_DEVICES_Y, COLUMN_DEVICES_HEIGHT};

static void build_device(survey_load *load, const survey_row *row, survey_device *device) {
    earshot_survey *survey = load->survey;
    size_t role = survey_get(row, COLUMN_DEVICES_ROLE)->choice;
    size_t type = survey_get(row, COLUMN_DEVICES_TYPE)->choice;
    *device = (survey_device){
        .name = survey_string(row, COLUMN_DEVICES_DEVICE),
        .label = survey_string(row, COLUMN_DEVICES_LABEL),
        .room = survey_string(row, COLUMN_DEVICES_ROOM),
        .serial = survey_string(row, COLUMN_DEVICES_SERIAL),
        .type = type == EARSHOT_NONE ? "" : survey_types[type],
        /* a word nobody knows: from a repeater nothing more follows */
        .role = role == EARSHOT_NONE ? SURVEY_REPEATER : (enum survey_role)role,
        .life_safety = type < N_LIFE_SAFETY,
        .not_relayed = type != EARSHOT_NONE && load->survey->site.not_relayed >> type & 1,
        .unsupervised = survey_get(row, COLUMN_DEVICES_SUPERVISED)->choice == 1,
        .zone = (unsigned)survey_number(row, COLUMN_DEVICES_ZONE, 0),
        .input = (unsigned)survey_number(row, COLUMN_DEVICES_INPUT, 0),
        .listener = EARSHOT_NONE,
        .table_line = row->line};
    device->place = survey_place_of(load, row, &device_columns, &device->level);
    say_place_defaults(load, row);
    device->radio = radio_of(load, row);
    device->mount = mount_of(load, row);
    if (device->role == SURVEY_SENSOR)
        return;
    device->listener = survey->n_listeners++;
    survey->listeners[device->listener] = (size_t)(device - survey->devices);
}

/* ---- who hears whom ---- */

/* Calls `found` for each part of a cell between semicolons, trimmed; in a file whose separator
 * is a semicolon the cell is in quotes, which changes nothing here. */
static const char *next_part(const char *text, const char **begin, size_t *length) {
    while (*text == ' ' || *text == ';')
        text++;
    *begin = text;
    while (*text && *text != ';')
        text++;
    *length = (size_t)(text - *begin);
    while (*length && (*begin)[*length - 1] == ' ')
        (*length)--;
    return text;
}

static void add_heard(survey_load *load, const survey_row *row, survey_device *listener,
                      const char *name) {
    size_t found =
        survey_refer_name(load, row, COLUMN_DEVICES_HEARS, SURVEY_TABLE_DEVICES, name);
    if (found != EARSHOT_NONE)
        load->survey->heard[listener->first_heard + listener->n_heard++] = found;
}

static void build_hears(survey_load *load, const survey_row *row, survey_device *listener,
                        size_t *n_heard) {
    const char *text = survey_string(row, COLUMN_DEVICES_HEARS), *begin;
    size_t length;
    bool any = false;
    listener->first_heard = *n_heard;
    if (*text && listener->role == SURVEY_SENSOR) {
        survey_say(load, FINDINGS_SENSOR_HEARS, row, COLUMN_DEVICES_HEARS,
                   (const char *const[4]){listener->name});
        return;
    }
    for (text = next_part(text, &begin, &length); length;
         text = next_part(text, &begin, &length)) {
        any = true;
        const char *name = survey_copy(load->survey->storage, begin, length);
        if (name)
            add_heard(load, row, listener, name);
    }
    if (*survey_string(row, COLUMN_DEVICES_HEARS) && !any)
        survey_say(load, FINDINGS_HEARS_NOBODY, row, COLUMN_DEVICES_HEARS,
                   (const char *const[4]){survey_string(row, COLUMN_DEVICES_HEARS)});
    *n_heard += listener->n_heard;
}

static size_t count_parts(const survey_rows *rows) {
    size_t n = 1;
    for (size_t i = 0; i < rows->n; i++)
        for (const char *at = survey_string(&rows->rows[i], COLUMN_DEVICES_HEARS); *at; at++)
            n += *at == ';' || at[1] == '\0';
    return n;
}

/* The row of the device in the table, though rows without a name or with one used twice are not
 * devices. */
static void build_all_hears(survey_load *load, const size_t *row_of) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_DEVICES];
    survey->heard = survey_take(survey->storage, count_parts(rows), sizeof *survey->heard);
    size_t n_heard = 0;
    for (size_t i = 0; survey->heard && i < survey->n_devices; i++)
        build_hears(load, &rows->rows[row_of[i]], &survey->devices[i], &n_heard);
}

/* 868 and 869 share one, 868 and 915 do not. Judgement. */
bool survey_share_band(const earshot_survey *survey, size_t radio, size_t other) {
    static const double widest_factor = 1.04;
    double one_mhz = survey->radios[radio].freq_mhz;
    double other_mhz = survey->radios[other].freq_mhz;
    return fmax(one_mhz, other_mhz) < widest_factor * fmin(one_mhz, other_mhz);
}

bool survey_hears(const earshot_survey *survey, size_t listener, size_t device) {
    const survey_device *at = &survey->devices[listener], *from = &survey->devices[device];
    if (listener == device || at->role == SURVEY_SENSOR || from->role == SURVEY_RECEIVER ||
        (at->role == SURVEY_REPEATER && (from->role == SURVEY_REPEATER || from->not_relayed)) ||
        !survey_share_band(survey, at->radio, from->radio))
        return false;
    if (at->n_heard == 0)
        return true;
    for (size_t i = 0; i < at->n_heard; i++)
        if (survey->heard[at->first_heard + i] == device)
            return true;
    return false;
}

static bool is_heard(const earshot_survey *survey, size_t device) {
    for (size_t i = 0; i < survey->n_listeners; i++)
        if (survey_hears(survey, survey->listeners[i], device))
            return true;
    return false;
}

/* A sensor that some listener would hear, were it of its band. */
void survey_check_bands(survey_load *load) {
    const earshot_survey *survey = load->survey;
    for (size_t i = 0; i < survey->n_devices; i++) {
        const survey_device *device = &survey->devices[i];
        if (device->role != SURVEY_SENSOR || survey->n_listeners == 0 || is_heard(survey, i))
            continue;
        size_t other = survey->listeners[0];
        if (survey_share_band(survey, device->radio, survey->devices[other].radio))
            continue;
        char sent[TEXT_NUMBER_SIZE], heard[TEXT_NUMBER_SIZE];
        text_write_number(sent, survey->radios[device->radio].freq_mhz);
        text_write_number(heard, survey->radios[survey->devices[other].radio].freq_mhz);
        findings_place place = survey_place(load, SURVEY_TABLE_DEVICES);
        place.line = device->table_line;
        findings_add(
            load->findings, FINDINGS_OTHER_BAND, place,
            (const char *const[4]){device->name, sent, survey->devices[other].name, heard});
    }
}

/* ---- the table ---- */

/* Whether some row is a receiver's, or could be: its role is misspelled. */
static bool any_receiver(const survey_rows *rows) {
    for (size_t i = 0; i < rows->n; i++) {
        size_t role = survey_get(&rows->rows[i], COLUMN_DEVICES_ROLE)->choice;
        if (role == SURVEY_RECEIVER || role == EARSHOT_NONE)
            return true;
    }
    return false;
}

static void check_roles(survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_DEVICES];
    if (load->broken[SURVEY_TABLE_DEVICES] || any_receiver(rows))
        return;
    findings_add(load->findings, rows->n ? FINDINGS_NO_RECEIVER : FINDINGS_NO_DEVICES,
                 survey_place(load, SURVEY_TABLE_DEVICES), (const char *const[4]){NULL});
}

void survey_build_devices(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_DEVICES];
    survey->devices = survey_take(survey->storage, rows->n + 1, sizeof *survey->devices);
    survey->listeners = survey_take(survey->storage, rows->n + 1, sizeof *survey->listeners);
    size_t *row_of = survey_take(survey->storage, rows->n + 1, sizeof *row_of);
    if (!survey->devices || !survey->listeners || !row_of)
        return;
    survey_check_place_columns(load, rows, &device_columns);
    survey_begin_names(load, SURVEY_TABLE_DEVICES);
    for (size_t i = 0; i < rows->n; i++) {
        if (!survey_name_new(load, SURVEY_TABLE_DEVICES, &rows->rows[i], COLUMN_DEVICES_DEVICE,
                             survey->n_devices, "device"))
            continue;
        row_of[survey->n_devices] = i;
        build_device(load, &rows->rows[i], &survey->devices[survey->n_devices++]);
    }
    build_all_hears(load, row_of);
    check_roles(load);
}

void survey_build_spots(survey_load *load) {
    static const struct survey_place_columns columns = {COLUMN_SPOTS_LEVEL, COLUMN_SPOTS_X,
                                                        COLUMN_SPOTS_Y, COLUMN_SPOTS_HEIGHT};
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_SPOTS];
    survey->spots = survey_take(survey->storage, rows->n + 1, sizeof *survey->spots);
    if (!survey->spots)
        return;
    survey_check_place_columns(load, rows, &columns);
    survey_begin_names(load, SURVEY_TABLE_SPOTS);
    for (size_t i = 0; i < rows->n; i++) {
        const survey_row *row = &rows->rows[i];
        size_t level;
        if (!survey_name_new(load, SURVEY_TABLE_SPOTS, row, COLUMN_SPOTS_SPOT, survey->n_spots,
                             "spot"))
            continue;
        survey->spots[survey->n_spots++] = (survey_spot){
            .name = survey_string(row, COLUMN_SPOTS_SPOT),
            .note = survey_string(row, COLUMN_SPOTS_NOTE),
            .place = survey_place_of(load, row, &columns, &level),
            .mains = survey_get(row, COLUMN_SPOTS_MAINS)->choice == 0,
            .protected = survey_get(row, COLUMN_SPOTS_PROTECTED)->choice == 0,
            .network = survey_get(row, COLUMN_SPOTS_NETWORK)->choice == 0,
            .near_metal = survey_get(row, COLUMN_SPOTS_NEAR_METAL)->choice == 0,
            .reachable_by_intruder = survey_get(row, COLUMN_SPOTS_REACHABLE)->choice == 0};
    }
}

/* ---- what people call a device ---- */

static bool same_word(const char *name, const char *word, size_t length, bool any_case) {
    size_t i = 0;
    while (i < length && name[i] &&
           (name[i] == word[i] || (any_case && text_lower(name[i]) == text_lower(word[i]))))
        i++;
    return i == length && !name[i];
}

static bool is_zone(const survey_device *device, const char *word, size_t length) {
    double zone;
    return device->zone && text_read_number(word, length, '.', &zone) == TEXT_NUMBER_OK &&
           zone == device->zone;
}

size_t earshot_survey_meant(const earshot_survey *survey, const char *word, size_t length,
                            size_t *rows, size_t capacity) {
    size_t n = 0;
    for (int by_name = 1; by_name >= 0 && n == 0; by_name--)
        for (size_t i = 0; i < survey->n_devices; i++) {
            const survey_device *device = &survey->devices[i];
            if (by_name ? !same_word(device->name, word, length, false)
                        : !is_zone(device, word, length) &&
                              !(length && same_word(device->label, word, length, true)))
                continue;
            if (n < capacity)
                rows[n] = i;
            n++;
        }
    return n;
}
