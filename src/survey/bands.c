/* SPDX-License-Identifier: GPL-3.0-or-later */
/* bands.c - transmit limits: what may be sent in the site's country, and which radio is over
 * it.
 *
 * A rule states its limit as EIRP, as ERP against a dipole, or as field strength at 3 m; all
 * become EIRP here, on the way in. A limit on the average lets the peak of a short packet stand
 * higher. A radio over its limit is named and never mended with more power; what a country has
 * taken over of a region's rules, and what else it asks, is for its authority to say.
 *
 *   ERP = EIRP - 2.15 dB (a half-wave dipole against an isotropic antenna)
 *   EIRP[W] = (E d)^2 / 30, so at 3 m EIRP[dBm] = E[dBuV/m] - 95.229
 *   [15.35] 47 CFR 15.35(b): a peak at most 20 dB above the average limit; from memory
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

static const double dipole_dbi = 2.15;
static const double peak_over_average_db = 20; /* [15.35] */
static const double tolerance_db = 0.1;        /* tables round */

/* What a small antenna inside a sensor takes off the legal limit, and how far that is a guess:
 * more the longer the wave. Judgement, no source. */
static const double small_antenna_db = 3, smaller_antenna_db = 5, long_wave_mhz = 600;
static const double guessed_sd_db = 6;

enum { EIRP, ERP, FIELD }; /* the order of the choice in columns.h */

double survey_limit_eirp_dbm(double limit, size_t kind) {
    if (kind == ERP)
        return limit + dipole_dbi;
    if (kind == FIELD) /* 20 log10 of 3 m, uV to V, over 30 ohm, W to mW */
        return limit + 20 * log10(3) - 120 - 10 * log10(30) + 30;
    return limit;
}

/* The region of the site's country; NULL when it is not known. */
static const char *region_of(const survey_load *load) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_COUNTRIES];
    const char *country = load->survey->site.country;
    for (size_t i = 0; country[0] && i < rows->n; i++)
        if (survey_same_word(country, survey_string(&rows->rows[i], COLUMN_COUNTRIES_COUNTRY)))
            return survey_string(&rows->rows[i], COLUMN_COUNTRIES_REGION);
    return NULL;
}

/* The row that lets a radio of this frequency send most there, and that power; NULL: no band.
 */
static const survey_row *widest_band(const survey_load *load, const char *region,
                                     const survey_radio *radio, double *most_dbm) {
    const survey_rows *rows = &load->tables[SURVEY_TABLE_BANDS];
    const survey_row *widest = NULL;
    for (size_t i = 0; i < rows->n; i++) {
        const survey_row *row = &rows->rows[i];
        if (strcmp(survey_string(row, COLUMN_BANDS_REGION), region) != 0 ||
            radio->freq_mhz < survey_number(row, COLUMN_BANDS_LOW, INFINITY) ||
            radio->freq_mhz > survey_number(row, COLUMN_BANDS_HIGH, -INFINITY))
            continue;
        double limit_dbm =
            survey_limit_eirp_dbm(survey_number(row, COLUMN_BANDS_LIMIT, NAN),
                                  survey_get(row, COLUMN_BANDS_LIMIT_KIND)->choice);
        if (survey_get(row, COLUMN_BANDS_DETECTOR)->choice == 0 && !radio->average)
            limit_dbm += peak_over_average_db;
        if (!widest || limit_dbm > *most_dbm) {
            widest = row;
            *most_dbm = limit_dbm;
        }
    }
    return widest;
}

static findings_place radio_place(const survey_load *load, const survey_radio *radio) {
    const survey_row *row = survey_row_named(load, SURVEY_TABLE_RADIOS, radio->name);
    return (findings_place){
        .file = row->sheet->file, .order = SURVEY_TABLE_RADIOS, .line = row->line};
}

/* A radio whose power nobody gave sends what is legal less what a small antenna loses. */
static void assume_limit(survey_load *load, survey_radio *radio, const survey_row *band,
                         double most_dbm) {
    char power[TEXT_NUMBER_SIZE];
    if (!isnan(radio->eirp_dbm))
        return;
    radio->eirp_dbm =
        most_dbm - (radio->freq_mhz < long_wave_mhz ? smaller_antenna_db : small_antenna_db);
    radio->eirp_sd_db = guessed_sd_db;
    text_write_fixed(power, radio->eirp_dbm, 1);
    findings_add(
        load->findings, FINDINGS_POWER_FROM_LIMIT, radio_place(load, radio),
        (const char *const[4]){radio->name, power, survey_string(band, COLUMN_BANDS_SOURCE)});
}

static void check_radio(survey_load *load, const char *region, survey_radio *radio) {
    char power[TEXT_NUMBER_SIZE], most[TEXT_NUMBER_SIZE], freq[TEXT_NUMBER_SIZE];
    double most_dbm = 0;
    if (survey_row_bad(survey_row_named(load, SURVEY_TABLE_RADIOS, radio->name)))
        return;
    const survey_row *band = widest_band(load, region, radio, &most_dbm);
    text_write_number(freq, radio->freq_mhz);
    if (!band) {
        findings_add(load->findings, FINDINGS_NO_BAND, radio_place(load, radio),
                     (const char *const[4]){radio->name, freq, load->survey->site.country});
        return;
    }
    assume_limit(load, radio, band, most_dbm);
    if (radio->eirp_dbm <= most_dbm + tolerance_db)
        return;
    text_write_fixed(power, radio->eirp_dbm, 1);
    text_write_fixed(most, most_dbm, 1);
    findings_add(load->findings, FINDINGS_OVER_LIMIT, radio_place(load, radio),
                 (const char *const[4]){radio->name, power, most,
                                        survey_string(band, COLUMN_BANDS_SOURCE)});
}

/* The environment's exponent and fading hold in a range of frequencies. */
static void check_environment(survey_load *load, const survey_radio *radio) {
    const char *name = load->survey->environment.name;
    const survey_row *row =
        name ? survey_row_named(load, SURVEY_TABLE_ENVIRONMENTS, name) : NULL;
    char freq[TEXT_NUMBER_SIZE], range[SURVEY_HINT_SIZE];
    if (!row)
        return;
    double min_mhz = survey_number(row, COLUMN_ENVIRONMENTS_MIN, 0);
    double max_mhz = survey_number(row, COLUMN_ENVIRONMENTS_MAX, INFINITY);
    if (!(radio->freq_mhz < min_mhz || radio->freq_mhz > max_mhz))
        return;
    text_write_number(freq, radio->freq_mhz);
    survey_limits(range, min_mhz, fmin(max_mhz, 100000), "MHz");
    findings_add(load->findings, FINDINGS_ENVIRONMENT_BAND,
                 survey_place(load, SURVEY_TABLE_SITE),
                 (const char *const[4]){name, range, radio->name, freq});
}

/* Only radios that a device of the survey has; and only with rules that could all be read. */
void survey_check_limits(survey_load *load) {
    earshot_survey *survey = load->survey;
    const char *region = region_of(load);
    bool *in_use = survey_take(survey->storage, survey->n_radios + 1, sizeof *in_use);
    for (size_t i = 0; in_use && i < survey->n_devices; i++)
        in_use[survey->devices[i].radio] = true;
    for (size_t radio = 0; in_use && radio < survey->n_radios; radio++)
        if (in_use[radio])
            check_environment(load, &survey->radios[radio]);
    if (survey_table_bad(load, SURVEY_TABLE_BANDS) ||
        survey_table_bad(load, SURVEY_TABLE_COUNTRIES))
        return;
    if (!region) {
        if (survey->site.country[0])
            findings_add(load->findings, FINDINGS_COUNTRY_UNKNOWN,
                         survey_place(load, SURVEY_TABLE_SITE),
                         (const char *const[4]){survey->site.country});
        return;
    }
    for (size_t radio = 0; in_use && radio < survey->n_radios; radio++)
        if (in_use[radio])
            check_radio(load, region, &survey->radios[radio]);
}
