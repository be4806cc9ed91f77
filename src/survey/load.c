/* SPDX-License-Identifier: GPL-3.0-or-later */
/* load.c - bytes to a checked survey: which file is which table, in what order, and what only
 * the whole survey can tell.
 *
 * Everything goes on after a fault, so that one run reports them all; whether there is a survey
 * is decided once, at the end.
 */
#include <string.h>

#include "rows.h"
#include "text.h"

static const char *copy_name(survey_load *load, const char *name) {
    return survey_copy(load->survey->storage, name, strlen(name));
}

/* What is missing in a shipped table is to be added to the survey's own. */
static const char *own_name(const char *name) {
    static const char shipped[] = "shipped/";
    return strncmp(name, shipped, sizeof shipped - 1) == 0 ? name + sizeof shipped - 1 : name;
}

static void read_file(survey_load *load, enum survey_table table, const earshot_bytes *bytes) {
    tables_sheet *sheet = survey_storage_sheet(load->survey->storage);
    load->files[table] = copy_name(load, own_name(bytes->name));
    if (!sheet || !load->files[table])
        return;
    if (tables_read(bytes, table, load->findings, sheet) == EARSHOT_OK)
        survey_rows_read(load, table, sheet);
    else
        load->broken[table] = true;
}

static void read_given(survey_load *load, enum survey_table table, const earshot_bytes *tables,
                       size_t n_tables) {
    for (size_t i = 0; i < n_tables; i++) {
        if (survey_table_of(tables[i].name) != table)
            continue;
        if (load->files[table] && !survey_table_is_materials(table))
            findings_add(load->findings, FINDINGS_TABLE_TWICE,
                         (findings_place){.file = tables[i].name, .order = table},
                         (const char *const[4]){survey_table_name(table)});
        else
            read_file(load, table, &tables[i]);
    }
}

void survey_read_materials(survey_load *load, const earshot_bytes *tables, size_t n_tables) {
    for (int table = 0; table < SURVEY_N_TABLES; table++) {
        if (!survey_table_is_materials((enum survey_table)table))
            continue;
        read_given(load, (enum survey_table)table, survey_shipped, survey_n_shipped);
        read_given(load, (enum survey_table)table, tables, n_tables);
    }
}

/* The table that a file name was perhaps meant to be: Walls.csv, opening.csv; or
 * SURVEY_N_TABLES. */
static size_t table_meant(const char *file) {
    const char *names[SURVEY_N_TABLES], *slash = strrchr(file, '/');
    char word[SURVEY_WORD_SIZE];
    const char *name = slash ? slash + 1 : file;
    size_t length = strcspn(name, "."), near;
    for (int table = 0; table < SURVEY_N_TABLES; table++)
        names[table] = survey_table_name((enum survey_table)table);
    survey_plain_word(word, name, length);
    bool found = length > 3 && text_nearest(word, names, SURVEY_N_TABLES, &near, 1);
    return found ? near : SURVEY_N_TABLES;
}

static bool is_csv(const char *file) {
    const char *point = strrchr(file, '.');
    return point && survey_same_word(point, ".csv");
}

/* What the tables' columns take, as a new survey has it beside them: to be read by people. */
static bool is_legend(const char *file) {
    const char *slash = strrchr(file, '/');
    return strcmp(slash ? slash + 1 : file, "columns.txt") == 0;
}

/* "~$walls.csv" is what an office program keeps beside a table while it is open there. */
static bool is_owner_file(const char *file) {
    const char *slash = strrchr(file, '/');
    return strncmp(slash ? slash + 1 : file, "~$", 2) == 0;
}

/* Before all else: what the other tables miss in it would hide it, and goes unsaid. */
static void say_misnamed(survey_load *load, const char *file, enum survey_table meant) {
    load->broken[meant] |= !load->files[meant];
    findings_add(load->findings, FINDINGS_FILE_MISNAMED,
                 (findings_place){.file = file, .order = SURVEY_TABLE_SITE},
                 (const char *const[4]){file, survey_table_name(meant)});
}

/* A file that is nearly a table must not be left out in silence: without its walls a house is
 * all open air. */
static void note_other_files(survey_load *load, const earshot_bytes *tables, size_t n_tables) {
    if (load->broken[SURVEY_TABLE_COLUMNS])
        return; /* nobody knows which of them are logs */
    for (size_t i = 0; i < n_tables; i++) {
        if (survey_table_of(tables[i].name) != SURVEY_N_TABLES ||
            survey_is_log(load, tables[i].name) || is_legend(tables[i].name) ||
            is_owner_file(tables[i].name))
            continue;
        size_t meant = table_meant(tables[i].name);
        if (meant < SURVEY_N_TABLES)
            say_misnamed(load, tables[i].name, (enum survey_table)meant);
        else if (is_csv(tables[i].name))
            findings_add(load->findings, FINDINGS_FILE_UNKNOWN,
                         (findings_place){.file = tables[i].name, .order = SURVEY_N_TABLES},
                         (const char *const[4]){tables[i].name});
    }
}

static void read_tables(survey_load *load, const earshot_bytes *tables, size_t n_tables) {
    read_given(load, SURVEY_TABLE_SITE, tables, n_tables);
    survey_build_site(load); /* first: it knows how long a pace is */
    for (int table = SURVEY_TABLE_SITE + 1; table < SURVEY_N_TABLES; table++)
        if (!survey_table_is_materials((enum survey_table)table))
            read_given(load, (enum survey_table)table, tables, n_tables);
    survey_read_materials(load, tables, n_tables);
    note_other_files(load, tables, n_tables);
}

/* ---- what only the whole survey can tell ---- */

static bool path_crosses_walls(const earshot_survey *survey, const survey_path *path) {
    for (size_t i = 0; i < path->n_crossings; i++) {
        size_t construction = survey->crossings[path->first_crossing + i];
        if (survey->constructions[construction].class != SURVEY_CLASS_FLOOR)
            return true;
    }
    return false;
}

/* An exponent with ordinary walls inside it must not meet the same walls again (design: walls
 * must not count twice). */
static void check_mixing(survey_load *load) {
    const earshot_survey *survey = load->survey;
    const survey_environment *environment = &survey->environment;
    if (!environment->name || environment->walls_drawn)
        return;
    const char *const slots[4] = {environment->name};
    if (survey->n_walls)
        findings_add(load->findings, FINDINGS_WALLS_COUNT_TWICE,
                     survey_place(load, SURVEY_TABLE_WALLS), slots);
    for (size_t i = 0; i < survey->n_paths; i++)
        if (path_crosses_walls(survey, &survey->paths[i]))
            survey_say(load, FINDINGS_WALLS_COUNT_TWICE,
                       &load->tables[SURVEY_TABLE_PATHS].rows[i], COLUMN_PATHS_CROSSINGS,
                       slots);
}

static void check_drawn(survey_load *load) {
    const earshot_survey *survey = load->survey;
    if (survey->environment.name && survey->environment.walls_drawn && survey->n_walls == 0 &&
        survey->n_paths == 0 && !load->broken[SURVEY_TABLE_WALLS] &&
        !load->broken[SURVEY_TABLE_PATHS])
        findings_add(load->findings, FINDINGS_NO_WALLS, survey_place(load, SURVEY_TABLE_WALLS),
                     (const char *const[4]){survey->environment.name});
}

/* Its loss is nowhere in the tables, not even in a row or in layers with a fault. */
static bool lacks_loss(const survey_load *load, const survey_construction *construction) {
    const survey_row *row =
        survey_row_named(load, SURVEY_TABLE_CONSTRUCTIONS, construction->name);
    return construction->in_use && construction->n_rows == 0 && construction->n_layers == 0 &&
           !load->broken[SURVEY_TABLE_PENETRATION] &&
           !survey_row_named(load, SURVEY_TABLE_PENETRATION, construction->name) &&
           survey_blank(row, COLUMN_CONSTRUCTIONS_LAYERS);
}

static void check_losses(survey_load *load) {
    const earshot_survey *survey = load->survey;
    for (size_t i = 0; i < survey->n_constructions; i++)
        if (lacks_loss(load, &survey->constructions[i]))
            findings_add(load->findings, FINDINGS_NO_LOSS,
                         survey_place(load, SURVEY_TABLE_PENETRATION),
                         (const char *const[4]){survey->constructions[i].name});
}

/* Half a place, or one that could not be read, has been spoken of already. */
static bool lacks_place(const survey_load *load, const survey_device *device) {
    const survey_row *row = survey_row_named(load, SURVEY_TABLE_DEVICES, device->name);
    return survey_blank(row, COLUMN_DEVICES_X) && survey_blank(row, COLUMN_DEVICES_Y);
}

static void check_places(survey_load *load) {
    const earshot_survey *survey = load->survey;
    bool *on_path = survey_take(survey->storage, survey->n_devices + 1, sizeof *on_path);
    if (!on_path || load->broken[SURVEY_TABLE_PATHS])
        return;
    for (size_t i = 0; i < survey->n_paths; i++) {
        const survey_path *path = &survey->paths[i];
        on_path[path->device == EARSHOT_NONE ? survey->n_devices : path->device] = true;
        on_path[path->to == EARSHOT_NONE ? survey->n_devices : path->to] = true;
    }
    for (size_t i = 0; i < survey->n_devices; i++) {
        const survey_device *device = &survey->devices[i];
        if (!on_path[i] && lacks_place(load, device))
            findings_add(load->findings, FINDINGS_NO_PLACE,
                         (findings_place){.file = survey_place(load, SURVEY_TABLE_DEVICES).file,
                                          .order = SURVEY_TABLE_DEVICES,
                                          .line = device->table_line},
                         (const char *const[4]){device->name});
    }
}

static void keep_files(survey_load *load) {
    load->survey->files =
        (survey_files){.levels = survey_place(load, SURVEY_TABLE_LEVELS),
                       .walls = survey_place(load, SURVEY_TABLE_WALLS),
                       .openings = survey_place(load, SURVEY_TABLE_OPENINGS),
                       .devices = survey_place(load, SURVEY_TABLE_DEVICES),
                       .paths = survey_place(load, SURVEY_TABLE_PATHS),
                       .readings = survey_place(load, SURVEY_TABLE_READINGS),
                       .penetration = survey_place(load, SURVEY_TABLE_PENETRATION)};
}

findings_place survey_line(findings_place file, unsigned line) {
    file.line = line;
    return file;
}

typedef void (*builder)(survey_load *);

static void run(survey_load *load, const builder *builders, size_t n) {
    for (size_t i = 0; i < n && !survey_storage_failed(load->survey->storage); i++)
        builders[i](load);
}

/* Begins a load; false when there is no memory for it. */
static bool begin(survey_load *load, earshot_findings *findings) {
    struct survey_storage *storage = survey_storage_new();
    earshot_survey *survey = storage ? survey_take(storage, 1, sizeof *survey) : NULL;
    if (!survey) {
        survey_storage_free(storage);
        return false;
    }
    survey->storage = storage;
    *load = (survey_load){.survey = survey, .findings = findings};
    return true;
}

/* Every file has a name and its bytes: one without would be left out in silence. */
bool survey_given_whole(const earshot_bytes *tables, size_t n_tables) {
    if (!tables && n_tables)
        return false;
    for (size_t i = 0; i < n_tables; i++)
        if (!tables[i].name || (!tables[i].data && tables[i].size))
            return false;
    return true;
}

/* Of a building without faults only: one with them may have walls without ends. */
static bool add_index(earshot_survey *survey) {
    survey->index = survey_storage_index(survey->storage, &survey->building);
    return survey->index != NULL;
}

/* Decides, once for all faults, whether there is a survey. */
static enum earshot_status finish(survey_load *load, size_t errors_before,
                                  earshot_survey **out) {
    enum earshot_status status = EARSHOT_OK;
    if (survey_storage_failed(load->survey->storage) || findings_lost(load->findings))
        status = EARSHOT_NO_MEMORY;
    else if (findings_errors_told(load->findings) > errors_before)
        status = EARSHOT_INVALID;
    else if (!add_index(load->survey))
        status = EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        *out = load->survey;
    else
        earshot_survey_free(load->survey);
    return status;
}

enum earshot_status earshot_survey_load(const earshot_bytes *tables, size_t n_tables,
                                        earshot_findings *findings, earshot_survey **out) {
    static const builder builders[] = {survey_build_margins,
                                       survey_build_materials,
                                       survey_build_names,
                                       survey_build_levels,
                                       survey_build_walls,
                                       survey_build_told,
                                       survey_build_devices,
                                       survey_build_paths,
                                       survey_build_spots,
                                       survey_read_logs,
                                       survey_build_readings,
                                       survey_check_schedule,
                                       survey_check_limits,
                                       survey_check_bands,
                                       check_mixing,
                                       check_drawn,
                                       check_losses,
                                       check_places,
                                       keep_files};
    survey_load load;
    if (!survey_given_whole(tables, n_tables) || !findings || !out)
        return EARSHOT_MISUSE;
    if (!begin(&load, findings))
        return EARSHOT_NO_MEMORY;
    size_t errors_before = findings_errors_told(findings);
    load.given = tables;
    load.n_given = n_tables;
    read_tables(&load, tables, n_tables);
    run(&load, builders, sizeof builders / sizeof *builders);
    return finish(&load, errors_before, out);
}

enum earshot_status earshot_readings_files(const earshot_bytes *tables, size_t n_tables,
                                           unsigned char *of) {
    if (!survey_given_whole(tables, n_tables) || !of)
        return EARSHOT_MISUSE;
    earshot_findings *findings = earshot_findings_new();
    survey_load load;
    bool begun = findings && begin(&load, findings);
    if (begun)
        read_given(&load, SURVEY_TABLE_COLUMNS, tables, n_tables);
    bool lost = !begun || survey_storage_failed(load.survey->storage);
    for (size_t i = 0; i < n_tables && !lost; i++) {
        enum survey_table table = survey_table_of(tables[i].name);
        of[i] = table == SURVEY_TABLE_READINGS || table == SURVEY_TABLE_COLUMNS ||
                survey_is_log(&load, tables[i].name);
    }
    if (begun)
        earshot_survey_free(load.survey);
    earshot_findings_free(findings);
    return lost ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}

enum earshot_status earshot_materials_load(const earshot_bytes *tables, size_t n_tables,
                                           earshot_findings *findings, earshot_survey **out) {
    static const builder builders[] = {survey_build_materials, survey_build_names};
    survey_load load;
    if (!survey_given_whole(tables, n_tables) || !findings || !out)
        return EARSHOT_MISUSE;
    if (!begin(&load, findings))
        return EARSHOT_NO_MEMORY;
    size_t errors_before = findings_errors_told(findings);
    survey_build_site(&load);
    survey_read_materials(&load, tables, n_tables);
    const survey_rows *places = &load.tables[SURVEY_TABLE_ENVIRONMENTS];
    if (places->n) /* any will do here, and which is not worth a note */
        load.survey->site.environment =
            survey_string(&places->rows[0], COLUMN_ENVIRONMENTS_ENVIRONMENT);
    run(&load, builders, sizeof builders / sizeof *builders);
    return finish(&load, errors_before, out);
}

void earshot_survey_free(earshot_survey *survey) {
    if (survey)
        survey_storage_free(survey->storage);
}

const char *earshot_survey_name(const earshot_survey *survey) {
    return survey->site.name;
}

size_t earshot_survey_devices(const earshot_survey *survey) {
    return survey->n_devices;
}

const char *earshot_survey_device(const earshot_survey *survey, size_t row) {
    return survey->devices[row].name;
}

size_t earshot_survey_find(const earshot_survey *survey, const char *device) {
    return survey_find(device, survey->devices, survey->n_devices, sizeof *survey->devices);
}

const char *earshot_survey_radio(const earshot_survey *survey, size_t row) {
    return survey->radios[survey->devices[row].radio].name;
}

const char *earshot_survey_mount(const earshot_survey *survey, size_t row) {
    size_t mount = survey->devices[row].mount;
    return mount == EARSHOT_NONE ? "" : survey->mounts[mount].name;
}

const char *earshot_survey_environment(const earshot_survey *survey) {
    return survey->environment.name;
}
