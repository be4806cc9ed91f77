/* SPDX-License-Identifier: GPL-3.0-or-later */
/* report_office.c - what the answers rest on: the model, every row of a table that was used
 * with its source, what was assumed, how well readings fit, and what changed between visits.
 *
 * Fit and drift are said in the very words of earshot recalibrate and earshot drift, so that
 * whoever asks them again can compare.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "page.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- the model ---- */

static void write_kept(const page *page, const char *what, double value, int decimals,
                       const char *unit) {
    page_row(page);
    page_cell(page, what);
    page_cell_number(page, value, decimals);
    page_cell(page, unit);
    page_row_end(page);
}

static void write_asked(const page *page) {
    static const page_column columns[] = {
        {"what is asked of a zone", false}, {"value", true}, {"unit", false}};
    const survey_site *site = &page->survey->site;
    page_table(page, "what is asked of a zone", columns, COUNT(columns));
    write_kept(page, "required margin", site->required_margin_db, 1, "dB");
    write_kept(page, "required margin, life safety", site->life_safety_margin_db, 1, "dB");
    write_kept(page, "confidence", site->confidence, 3, "");
    write_kept(page, "confidence, life safety", site->life_safety_confidence, 3, "");
    page_table_end(page);
}

static void write_environment(const page *page) {
    static const page_column columns[] = {
        {"environment", false},    {"walls", false},     {"exponent", true},
        {"shadow, dB", true},      {"ways round", true}, {"static fade K, dB", true},
        {"time fade K, dB", true}, {"floors", false},    {"source", false}};
    const survey_environment *environment = &page->survey->environment;
    page_table(page, "environment", columns, COUNT(columns));
    page_row(page);
    page_cell(page, environment->name);
    page_cell(page, environment->walls_drawn ? "drawn" : "not drawn");
    page_cell_doubt(page, environment->exponent, environment->exponent_sd, 2);
    page_cell_number(page, environment->shadow_sd_db, 1);
    page_cell_number(page, environment->wall_saturation, 2);
    page_cell_number(page, environment->static_k_db, 1);
    page_cell_number(page, environment->time_k_db, 1);
    page_cell(page, environment->floors_saturate ? "saturate (COST 231)" : "add up");
    page_cell(page, environment->source);
    page_row_end(page);
    page_table_end(page);
}

static void write_model(const page *page) {
    page_heading(page, "The model");
    text_add(page->out,
             "<p>Loss = free space over the first meter (ITU-R P.525) + 10 n log10(distance) + "
             "walls crossed, with ways round + floors crossed + mounts. Margin = sent power + "
             "antenna - loss - needed power. Readings correct it; what is not known is "
             "in the doubt.</p>\n");
    write_environment(page);
    write_asked(page);
}

/* ---- rows of the tables ---- */

static bool radio_used(const earshot_survey *survey, size_t radio) {
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].radio == radio)
            return true;
    for (size_t i = 0; i < survey->n_readings; i++)
        if (survey->readings[i].radio == radio)
            return true;
    return false;
}

static void write_radio(const page *page, const survey_radio *radio) {
    page_row(page);
    page_cell(page, radio->name);
    page_cell_number(page, radio->freq_mhz, 2);
    page_cell_doubt(page, radio->eirp_dbm, radio->eirp_sd_db, 0);
    page_cell_doubt(page, radio->sensitivity_dbm, radio->sensitivity_sd_db, 0);
    page_cell_doubt(page, radio->antenna_dbi, radio->antenna_sd_db, 0);
    page_cell_number(page, radio->rated_range_m > 0 ? radio->rated_range_m : NAN, 0);
    page_cell(page, radio->two_way ? "yes" : "no");
    page_cell_number(page, radio->check_in_min > 0 ? radio->check_in_min : NAN, 0);
    page_cell(page, radio->source);
    page_row_end(page);
}

static void write_radios(const page *page) {
    static const page_column columns[] = {
        {"radio", false},     {"MHz", true},           {"sent, dBm", true},
        {"needs, dBm", true}, {"antenna, dBi", true},  {"rated range, m", true},
        {"two-way", false},   {"check-in, min", true}, {"source", false}};
    text_add(page->out, "<h3>Radios</h3>\n");
    page_table(page, "radios", columns, COUNT(columns));
    for (size_t i = 0; i < page->survey->n_radios; i++)
        if (radio_used(page->survey, i))
            write_radio(page, &page->survey->radios[i]);
    page_table_end(page);
}

/* The rows next below and above the frequency of a radio: the loss is between theirs. */
static bool row_used(const earshot_survey *survey, const survey_construction *construction,
                     size_t i) {
    const survey_penetration *rows = &survey->penetrations[construction->first_row];
    for (size_t j = 0; j < survey->n_radios; j++) {
        double freq_mhz = survey->radios[j].freq_mhz;
        bool from_below = i == 0 || rows[i - 1].freq_mhz < freq_mhz;
        bool to_above = i + 1 == construction->n_rows || rows[i + 1].freq_mhz > freq_mhz;
        if (radio_used(survey, j) && from_below && to_above)
            return true;
    }
    return false;
}

static void write_penetrations(const page *page, const survey_construction *construction) {
    for (size_t i = 0; i < construction->n_rows; i++) {
        const survey_penetration *row =
            &page->survey->penetrations[construction->first_row + i];
        if (!row_used(page->survey, construction, i))
            continue;
        page_row(page);
        page_cell(page, construction->name);
        page_cell_number(page, row->freq_mhz, 0);
        page_cell_doubt(page, row->loss_db, row->sd_db, 1);
        page_cell(page, construction->effective ? "effective" : "isolated");
        page_cell(page, row->source);
        page_row_end(page);
    }
}

/* Layers count only where no row of penetration.csv does. */
static void write_layers(const page *page, const survey_construction *construction) {
    for (size_t i = 0; construction->n_rows == 0 && i < construction->n_layers; i++) {
        const survey_layer *layer = &page->survey->layers[construction->first_layer + i];
        const survey_dielectric *of = &page->survey->dielectrics[layer->dielectric];
        page_row(page);
        page_cell(page, construction->name);
        page_cell(page, "");
        text_add(page->out, "<td>");
        report_html(page->out, of->name);
        text_add(page->out, ", ");
        text_add_fixed(page->out, layer->thickness_m * 1000, 1);
        text_add(page->out, " mm</td>");
        page_cell(page, "layer");
        page_cell(page, of->source);
        page_row_end(page);
    }
}

static void write_constructions(const page *page) {
    static const page_column columns[] = {{"construction", false},
                                          {"MHz", true},
                                          {"loss, dB", true},
                                          {"kind", false},
                                          {"source", false}};
    text_add(page->out, "<h3>Walls, floors, doors and windows</h3>\n");
    page_table(page, "walls, floors, doors and windows", columns, COUNT(columns));
    for (size_t i = 0; i < page->survey->n_constructions; i++) {
        const survey_construction *construction = &page->survey->constructions[i];
        if (!construction->in_use)
            continue;
        write_penetrations(page, construction);
        write_layers(page, construction);
    }
    page_table_end(page);
}

static bool mount_used(const earshot_survey *survey, size_t mount) {
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].mount == mount)
            return true;
    for (size_t i = 0; i < survey->n_paths; i++)
        if (survey->paths[i].mount == mount)
            return true;
    return false;
}

static void write_mounts(const page *page) {
    static const page_column columns[] = {
        {"mount", false}, {"loss, dB", true}, {"source", false}};
    text_add(page->out, "<h3>Mounts</h3>\n");
    page_table(page, "mounts", columns, COUNT(columns));
    for (size_t i = 0; i < page->survey->n_mounts; i++) {
        const survey_mount *mount = &page->survey->mounts[i];
        if (!mount_used(page->survey, i))
            continue;
        page_row(page);
        page_cell(page, mount->name);
        page_cell_doubt(page, mount->loss_db, mount->sd_db, 0);
        page_cell(page, mount->source);
        page_row_end(page);
    }
    page_table_end(page);
}

static bool scale_used(const earshot_survey *survey, size_t scale) {
    for (size_t i = 0; i < survey->n_readings; i++)
        if (survey->readings[i].scale == scale)
            return true;
    return false;
}

static void write_scales(const page *page) {
    static const page_column columns[] = {
        {"meter's scale", false}, {"may be off by, dB", true}, {"source", false}};
    text_add(page->out, "<h3>Meters</h3>\n");
    page_table(page, "meters", columns, COUNT(columns));
    for (size_t i = 0; i < page->survey->n_scales; i++) {
        const survey_scale *scale = &page->survey->scales[i];
        if (!scale_used(page->survey, i))
            continue;
        page_row(page);
        page_cell(page, scale->name);
        page_cell_number(page, scale->offset_sd_db, 1);
        page_cell(page, scale->source);
        page_row_end(page);
    }
    page_table_end(page);
}

/* ---- what was assumed, and what else was found ---- */

static bool assumed(const earshot_finding *finding) {
    return strcmp(finding->code, "default-used") == 0 ||
           strcmp(finding->code, "radio-assumed") == 0 ||
           strcmp(finding->code, "power-from-limit") == 0;
}

static enum earshot_status write_findings(const page *page, const char *heading,
                                          bool assumptions) {
    enum earshot_status status = EARSHOT_OK;
    size_t n = 0;
    page_heading(page, heading);
    for (size_t i = 0; i < earshot_findings_count(page->findings); i++) {
        const earshot_finding finding = earshot_findings_at(page->findings, i);
        if (assumed(&finding) != assumptions || status != EARSHOT_OK)
            continue;
        text_add(page->out, n++ ? "" : "<ul class=\"small\">\n");
        status = page_note(page, i);
    }
    text_add(page->out, n ? "</ul>\n" : "<p>None.</p>\n");
    return status;
}

/* ---- said elsewhere ---- */

static enum earshot_status write_fit(const page *page, earshot_text *said) {
    enum earshot_status status = earshot_recalibrate_write(
        page->survey, page->belief, page->findings, EARSHOT_PLAIN_ALL, said);
    page_heading(page, "How well readings fit");
    return status == EARSHOT_OK ? page_said(page, said) : status;
}

static enum earshot_status write_drift(const page *page, earshot_text *said) {
    enum earshot_status status =
        earshot_drift_write(page->survey, page->belief, page->findings, EARSHOT_NONE,
                            EARSHOT_NONE, EARSHOT_PLAIN, said);
    page_heading(page, "What changed between visits");
    return status == EARSHOT_OK ? page_said(page, said) : status;
}

/* Into a text of its own. */
static enum earshot_status
say(const page *page, enum earshot_status (*write)(const struct page *, earshot_text *)) {
    earshot_text *said = earshot_text_new();
    enum earshot_status status = said ? write(page, said) : EARSHOT_NO_MEMORY;
    earshot_text_free(said);
    return status;
}

enum earshot_status page_write_office(const page *page) {
    page_begin(page, "office", "What the answers rest on");
    page_summary(page);
    write_model(page);
    page_heading(page, "Rows of the tables, with their sources");
    write_radios(page);
    write_constructions(page);
    write_mounts(page);
    write_scales(page);
    enum earshot_status status = write_findings(page, "Assumed, for nothing was given", true);
    if (status == EARSHOT_OK)
        status = say(page, write_fit);
    if (status == EARSHOT_OK)
        status = say(page, write_drift);
    if (status == EARSHOT_OK)
        status = write_findings(page, "Notes", false);
    page_end(page);
    return status;
}
