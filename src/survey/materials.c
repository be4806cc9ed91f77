/* SPDX-License-Identifier: GPL-3.0-or-later */
/* materials.c - the materials tables as the engine wants them.
 *
 * Shipped rows and the survey's own have been merged by name before. Effective rows (per
 * crossing, measured in buildings with ways round counted) win over isolated ones of the same
 * construction.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "text.h"

/* Doubt where the row gives none; the row's own wins. Judgement, no source. */
static const double eirp_sd_db = 3, sensitivity_sd_db = 2, antenna_sd_db = 3;
static const double thickest_mm = 5000; /* of one layer: a castle wall */
static const double cost231_b = 0.46;   /* COST 231 final report, Table 4.7.2 */

static void *take(survey_load *load, size_t n, size_t size) {
    return survey_take(load->survey->storage, n ? n : 1, size);
}

/* ---- layers ---- */

static void build_dielectrics(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_DIELECTRICS];
    survey->dielectrics = take(load, rows->n, sizeof *survey->dielectrics);
    survey_begin_names(load, SURVEY_TABLE_DIELECTRICS);
    if (!survey->dielectrics)
        return;
    for (size_t i = 0; i < rows->n; i++) {
        const survey_row *row = &rows->rows[i];
        if (!survey_name_new(load, SURVEY_TABLE_DIELECTRICS, row, COLUMN_DIELECTRICS_MATERIAL,
                             survey->n_dielectrics, "material"))
            continue;
        survey->dielectrics[survey->n_dielectrics++] =
            (survey_dielectric){.name = survey_string(row, COLUMN_DIELECTRICS_MATERIAL),
                                .source = survey_string(row, COLUMN_DIELECTRICS_SOURCE),
                                .a = survey_number(row, COLUMN_DIELECTRICS_A, 1),
                                .b = survey_number(row, COLUMN_DIELECTRICS_B, 0),
                                .c = survey_number(row, COLUMN_DIELECTRICS_C, 0),
                                .d = survey_number(row, COLUMN_DIELECTRICS_D, 0),
                                .min_ghz = survey_number(row, COLUMN_DIELECTRICS_MIN, 0),
                                .max_ghz = survey_number(row, COLUMN_DIELECTRICS_MAX, 0)};
    }
}

static void say_layer(survey_load *load, const survey_row *row, const char *layer) {
    survey_say(load, FINDINGS_LAYER_UNREADABLE, row, COLUMN_CONSTRUCTIONS_LAYERS,
               (const char *const[4]){layer});
}

/* "brick 100": a material and a thickness in mm. */
static bool read_layer(survey_load *load, const survey_row *row, const char *text,
                       size_t length, survey_layer *layer) {
    struct survey_storage *storage = load->survey->storage;
    const char *word = survey_copy(storage, text, length);
    size_t name = length;
    double thickness_mm = 0;
    if (!word)
        return false;
    while (name && word[name - 1] != ' ')
        name--;
    if (!name ||
        text_read_number(word + name, length - name, row->sheet->decimal, &thickness_mm) !=
            TEXT_NUMBER_OK ||
        thickness_mm <= 0 || thickness_mm > thickest_mm) {
        say_layer(load, row, word);
        return false;
    }
    while (name && word[name - 1] == ' ')
        name--;
    const char *material = survey_copy(storage, word, name);
    if (!material)
        return false;
    layer->thickness_m = thickness_mm / 1000;
    layer->dielectric = survey_refer_name(load, row, COLUMN_CONSTRUCTIONS_LAYERS,
                                          SURVEY_TABLE_DIELECTRICS, material);
    return layer->dielectric != EARSHOT_NONE;
}

static void read_layers(survey_load *load, const survey_row *row,
                        survey_construction *construction) {
    earshot_survey *survey = load->survey;
    const char *text = survey_string(row, COLUMN_CONSTRUCTIONS_LAYERS);
    construction->first_layer = survey->n_layers;
    while (*text) {
        text += strspn(text, " ");
        size_t length = strcspn(text, "/"), used = length;
        while (used && text[used - 1] == ' ')
            used--;
        if (survey->n_layers - construction->first_layer == SURVEY_MAX_LAYERS) {
            survey_say(load, FINDINGS_TOO_MANY_LAYERS, row, COLUMN_CONSTRUCTIONS_LAYERS,
                       (const char *const[4]){"16"});
            break;
        }
        survey->n_layers +=
            read_layer(load, row, text, used, &survey->layers[survey->n_layers]);
        text += length + (text[length] == '/');
    }
    construction->n_layers = survey->n_layers - construction->first_layer;
}

static size_t count_layers(const survey_rows *rows) {
    size_t n = 1;
    for (size_t i = 0; i < rows->n; i++)
        for (const char *at = survey_string(&rows->rows[i], COLUMN_CONSTRUCTIONS_LAYERS); *at;
             at++)
            n += *at == '/' || at[1] == '\0';
    return n;
}

/* ---- constructions and what they lose ---- */

static int by_frequency(const void *a, const void *b) {
    const survey_penetration *left = a, *right = b;
    return (left->freq_mhz > right->freq_mhz) - (left->freq_mhz < right->freq_mhz);
}

enum { ISOLATED, EFFECTIVE }; /* the order of the choice in columns.h */

/* The construction that a row of penetration.csv is for; NULL: none that is known. */
static survey_construction *penetrated(survey_load *load, const survey_row *row) {
    size_t found = survey_names_find(load->built[SURVEY_TABLE_CONSTRUCTIONS], 0,
                                     survey_string(row, COLUMN_PENETRATION_CONSTRUCTION));
    return found == EARSHOT_NONE ? NULL : &load->survey->constructions[found];
}

/* Whether the row counts: effective ones alone, where its construction has any. */
static bool counts(const survey_construction *construction, const survey_row *row) {
    size_t kind = survey_get(row, COLUMN_PENETRATION_KIND)->choice;
    return construction && kind == (construction->effective ? EFFECTIVE : ISOLATED) &&
           !isnan(survey_number(row, COLUMN_PENETRATION_FREQ, NAN));
}

/* Finds which kind of rows each construction has, and room for them side by side. */
static void place_penetrations(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_PENETRATION];
    for (size_t i = 0; i < rows->n; i++) {
        survey_construction *construction = penetrated(load, &rows->rows[i]);
        if (construction &&
            survey_get(&rows->rows[i], COLUMN_PENETRATION_KIND)->choice == EFFECTIVE)
            construction->effective = true;
    }
    for (size_t i = 0; i < rows->n; i++) {
        survey_construction *construction = penetrated(load, &rows->rows[i]);
        if (counts(construction, &rows->rows[i]))
            construction->n_rows++;
    }
    for (size_t i = 0; i < survey->n_constructions; i++) {
        survey->constructions[i].first_row = survey->n_penetrations;
        survey->n_penetrations += survey->constructions[i].n_rows;
        survey->constructions[i].n_rows = 0;
    }
}

static void sort_penetrations(survey_load *load, const survey_construction *construction) {
    survey_penetration *rows = load->survey->penetrations + construction->first_row;
    qsort(rows, construction->n_rows, sizeof *rows, by_frequency);
    for (size_t i = 1; i < construction->n_rows; i++)
        if (rows[i].freq_mhz == rows[i - 1].freq_mhz)
            findings_add(load->findings, FINDINGS_FREQUENCY_TWICE,
                         survey_place(load, SURVEY_TABLE_PENETRATION),
                         (const char *const[4]){construction->name});
}

static void build_penetrations(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_PENETRATION];
    place_penetrations(load);
    for (size_t i = 0; i < rows->n; i++) {
        const survey_row *row = &rows->rows[i];
        survey_construction *construction = penetrated(load, row);
        if (!counts(construction, row))
            continue;
        survey->penetrations[construction->first_row + construction->n_rows++] =
            (survey_penetration){.freq_mhz = survey_number(row, COLUMN_PENETRATION_FREQ, NAN),
                                 .loss_db = survey_number(row, COLUMN_PENETRATION_LOSS, 0),
                                 .sd_db = survey_number(row, COLUMN_PENETRATION_SD, 0),
                                 .source = survey_string(row, COLUMN_PENETRATION_SOURCE)};
    }
    for (size_t i = 0; i < survey->n_constructions; i++)
        sort_penetrations(load, &survey->constructions[i]);
}

static void build_constructions(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_CONSTRUCTIONS];
    survey->constructions = take(load, rows->n, sizeof *survey->constructions);
    survey->penetrations =
        take(load, load->tables[SURVEY_TABLE_PENETRATION].n, sizeof *survey->penetrations);
    survey->layers = take(load, count_layers(rows), sizeof *survey->layers);
    survey_begin_names(load, SURVEY_TABLE_CONSTRUCTIONS);
    if (!survey->constructions || !survey->penetrations || !survey->layers)
        return;
    for (size_t i = 0; i < rows->n; i++) {
        const survey_row *row = &rows->rows[i];
        size_t class = survey_get(row, COLUMN_CONSTRUCTIONS_CLASS)->choice;
        if (!survey_name_new(load, SURVEY_TABLE_CONSTRUCTIONS, row,
                             COLUMN_CONSTRUCTIONS_CONSTRUCTION, survey->n_constructions,
                             "construction"))
            continue;
        if (survey->n_constructions == SURVEY_MAX_CONSTRUCTIONS) {
            survey_say(load, FINDINGS_TOO_MANY_CONSTRUCTIONS, row,
                       COLUMN_CONSTRUCTIONS_CONSTRUCTION, (const char *const[4]){"256"});
            return;
        }
        survey_construction *construction = &survey->constructions[survey->n_constructions++];
        construction->name = survey_string(row, COLUMN_CONSTRUCTIONS_CONSTRUCTION);
        construction->note = survey_string(row, COLUMN_CONSTRUCTIONS_NOTE);
        construction->class = /* a word nobody knows: as a floor nothing more follows from it */
            class == EARSHOT_NONE ? SURVEY_CLASS_FLOOR : (enum survey_class) class;
        read_layers(load, row, construction);
    }
}

static void check_penetration_names(survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_PENETRATION];
    for (size_t i = 0; i < rows->n; i++)
        survey_refer(load, &rows->rows[i], COLUMN_PENETRATION_CONSTRUCTION,
                     SURVEY_TABLE_CONSTRUCTIONS);
}

/* The tables whose rows are looked up by name and kept nowhere: a second row would be passed
 * over without a word. */
static void check_names(survey_load *load) {
    static const struct {
        enum survey_table table;
        enum survey_column column;
        const char *what;
    } named[] = {{SURVEY_TABLE_BY_LOOK, COLUMN_BY_LOOK_PICK, "pick"},
                 {SURVEY_TABLE_ENVIRONMENTS, COLUMN_ENVIRONMENTS_ENVIRONMENT, "environment"},
                 {SURVEY_TABLE_COUNTRIES, COLUMN_COUNTRIES_COUNTRY, "country"},
                 {SURVEY_TABLE_MARGINS, COLUMN_MARGINS_USE, "use"}};
    for (size_t i = 0; i < sizeof named / sizeof *named; i++) {
        const survey_rows *rows = &load->tables[named[i].table];
        survey_begin_names(load, named[i].table);
        for (size_t row = 0; row < rows->n; row++)
            survey_name_new(load, named[i].table, &rows->rows[row], named[i].column, row,
                            named[i].what);
    }
}

/* A range whose ends stand the wrong way round holds nowhere. */
static void check_ranges(survey_load *load) {
    static const struct {
        enum survey_table table;
        enum survey_column min, max;
    } ranges[] = {{SURVEY_TABLE_DIELECTRICS, COLUMN_DIELECTRICS_MIN, COLUMN_DIELECTRICS_MAX},
                  {SURVEY_TABLE_ENVIRONMENTS, COLUMN_ENVIRONMENTS_MIN, COLUMN_ENVIRONMENTS_MAX},
                  {SURVEY_TABLE_BANDS, COLUMN_BANDS_LOW, COLUMN_BANDS_HIGH}};
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++)
        for (size_t j = 0; j < load->tables[ranges[i].table].n; j++) {
            const survey_row *row = &load->tables[ranges[i].table].rows[j];
            if (survey_number(row, ranges[i].min, -INFINITY) >=
                survey_number(row, ranges[i].max, INFINITY))
                survey_say(load, FINDINGS_RANGE_BACKWARD, row, ranges[i].max,
                           (const char *const[4]){survey_string(row, ranges[i].min),
                                                  survey_string(row, ranges[i].max)});
        }
}

static void check_picks(survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_BY_LOOK];
    for (size_t i = 0; i < rows->n; i++)
        survey_refer(load, &rows->rows[i], COLUMN_BY_LOOK_CONSTRUCTION,
                     SURVEY_TABLE_CONSTRUCTIONS);
}

/* ---- the environment ---- */

static const survey_row *pick_environment(survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_ENVIRONMENTS];
    const char *name = load->survey->site.environment;
    for (size_t i = 0; i < rows->n; i++)
        if (name[0] == '\0' ||
            survey_same_word(name,
                             survey_string(&rows->rows[i], COLUMN_ENVIRONMENTS_ENVIRONMENT)))
            return &rows->rows[i];
    return NULL;
}

static void say_environment_unknown(survey_load *load) {
    const survey_row *row = survey_site_row(load, "environment");
    const char *name = load->survey->site.environment;
    char hint[SURVEY_HINT_SIZE];
    if (!row)
        return;
    survey_hint_at(load, row, COLUMN_SITE_VALUE, hint, name,
                   load->tables[SURVEY_TABLE_ENVIRONMENTS].names);
    survey_say(load, FINDINGS_ENVIRONMENT_UNKNOWN, row, COLUMN_SITE_VALUE,
               (const char *const[4]){name, hint});
}

static void build_environment(survey_load *load) {
    const survey_row *row = pick_environment(load);
    if (!row) {
        if (!load->broken[SURVEY_TABLE_ENVIRONMENTS])
            say_environment_unknown(load);
        return;
    }
    load->survey->environment = (survey_environment){
        .name = survey_string(row, COLUMN_ENVIRONMENTS_ENVIRONMENT),
        .source = survey_string(row, COLUMN_ENVIRONMENTS_SOURCE),
        .walls_drawn = survey_get(row, COLUMN_ENVIRONMENTS_WALLS)->choice != 1,
        .exponent = survey_number(row, COLUMN_ENVIRONMENTS_EXPONENT, 2),
        .exponent_sd = survey_number(row, COLUMN_ENVIRONMENTS_EXPONENT_SD, 0),
        .shadow_sd_db = survey_number(row, COLUMN_ENVIRONMENTS_SHADOW_SD, 0),
        .wall_saturation = survey_number(row, COLUMN_ENVIRONMENTS_SATURATION, 1),
        .wall_saturation_sd = survey_number(row, COLUMN_ENVIRONMENTS_SATURATION_SD, 0),
        .static_k_db = survey_number(row, COLUMN_ENVIRONMENTS_STATIC_K, -INFINITY),
        .time_k_db = survey_number(row, COLUMN_ENVIRONMENTS_TIME_K, -INFINITY),
        .floors_saturate = survey_get(row, COLUMN_ENVIRONMENTS_FLOORS)->choice == 0,
        .floor_b = survey_number(row, COLUMN_ENVIRONMENTS_FLOOR_B, cost231_b)};
    if (load->survey->site.environment[0] == '\0' && !load->broken[SURVEY_TABLE_SITE])
        findings_add(load->findings, FINDINGS_DEFAULT_USED,
                     survey_place(load, SURVEY_TABLE_SITE),
                     (const char *const[4]){"environment", load->survey->environment.name,
                                            "the first of the environments table"});
}

/* ---- radios ---- */

static void build_radio(const survey_row *row, survey_radio *radio) {
    *radio = (survey_radio){
        .name = survey_string(row, COLUMN_RADIOS_RADIO),
        .source = survey_string(row, COLUMN_RADIOS_SOURCE),
        .freq_mhz = survey_number(row, COLUMN_RADIOS_FREQ, NAN),
        .eirp_dbm = survey_number(row, COLUMN_RADIOS_EIRP, NAN),
        .eirp_sd_db = survey_number(row, COLUMN_RADIOS_EIRP_SD, eirp_sd_db),
        .sensitivity_dbm = survey_number(row, COLUMN_RADIOS_SENSITIVITY, NAN),
        .bandwidth_khz = survey_number(row, COLUMN_RADIOS_BANDWIDTH, NAN),
        .noise_figure_db = survey_number(row, COLUMN_RADIOS_NOISE_FIGURE, NAN),
        .snr_needed_db = survey_number(row, COLUMN_RADIOS_SNR, NAN),
        .sensitivity_sd_db =
            survey_number(row, COLUMN_RADIOS_SENSITIVITY_SD, sensitivity_sd_db),
        .antenna_dbi = survey_number(row, COLUMN_RADIOS_ANTENNA, 0),
        .antenna_sd_db = survey_number(row, COLUMN_RADIOS_ANTENNA_SD, antenna_sd_db),
        .rated_range_m = survey_number(row, COLUMN_RADIOS_RATED_RANGE, 0),
        .hops = (unsigned)survey_number(row, COLUMN_RADIOS_HOPS, 1),
        .check_in_min = survey_number(row, COLUMN_RADIOS_CHECK_IN, 0),
        .two_way = survey_get(row, COLUMN_RADIOS_TWO_WAY)->choice == 0,
        .average = survey_get(row, COLUMN_RADIOS_EIRP_KIND)->choice == 0};
}

static void build_radios(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_RADIOS];
    survey->radios = take(load, rows->n, sizeof *survey->radios);
    survey_begin_names(load, SURVEY_TABLE_RADIOS);
    if (!survey->radios)
        return;
    for (size_t i = 0; i < rows->n; i++)
        if (survey_name_new(load, SURVEY_TABLE_RADIOS, &rows->rows[i], COLUMN_RADIOS_RADIO,
                            survey->n_radios, "radio"))
            build_radio(&rows->rows[i], &survey->radios[survey->n_radios++]);
}

/* ---- mounts ---- */

static void build_mounts(survey_load *load) {
    earshot_survey *survey = load->survey;
    const survey_rows *rows = &load->tables[SURVEY_TABLE_MOUNTS];
    survey->mounts = take(load, rows->n, sizeof *survey->mounts);
    survey_begin_names(load, SURVEY_TABLE_MOUNTS);
    if (!survey->mounts)
        return;
    for (size_t i = 0; i < rows->n; i++)
        if (survey_name_new(load, SURVEY_TABLE_MOUNTS, &rows->rows[i], COLUMN_MOUNTS_MOUNT,
                            survey->n_mounts, "mount"))
            survey->mounts[survey->n_mounts++] =
                (survey_mount){.name = survey_string(&rows->rows[i], COLUMN_MOUNTS_MOUNT),
                               .source = survey_string(&rows->rows[i], COLUMN_MOUNTS_SOURCE),
                               .loss_db = survey_number(&rows->rows[i], COLUMN_MOUNTS_LOSS, 0),
                               .sd_db = survey_number(&rows->rows[i], COLUMN_MOUNTS_SD, 0)};
}

void survey_build_materials(survey_load *load) {
    build_dielectrics(load);
    build_constructions(load);
    if (survey_storage_failed(load->survey->storage))
        return;
    build_penetrations(load);
    check_penetration_names(load);
    check_names(load);
    check_ranges(load);
    check_picks(load);
    build_environment(load);
    build_radios(load);
    build_mounts(load);
    survey_build_scales(load);
}
