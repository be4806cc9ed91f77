/* SPDX-License-Identifier: GPL-3.0-or-later */
/* prior.c - the belief of the tables: their medians, their sds, independent of each other.
 *
 * Constructions and mounts are counted in sds of their own rows, so that one number holds at
 * any frequency. Half of a construction's variance is each wall's own (engine.h).
 */
#include <math.h>
#include <stdlib.h>

#include "chance.h"
#include "earshot/belief.h"
#include "record.h"

/* Scatter of one place from visit to visit (doors, people, stock), and a meter's offset when
 * its scale names none. Judgement, no source. */
static const double session_sd_db = 2, meter_sd_db = 3;

static void set_sd(earshot_belief *belief, size_t parameter, double sd) {
    belief->covariance[parameter * belief->n + parameter] = sd * sd;
}

static double meter_offset_sd_db(const earshot_survey *survey) {
    return survey->n_scales ? survey->scales[0].offset_sd_db : meter_sd_db;
}

static void set_losses(const earshot_survey *survey, earshot_belief *belief) {
    for (size_t radio = 0; radio < survey->n_radios; radio++)
        for (size_t i = 0; i < survey->n_constructions; i++)
            belief->losses[radio * survey->n_constructions + i] =
                engine_table_loss(survey, i, survey->radios[radio].freq_mhz);
}

static void set_radios(const earshot_survey *survey, earshot_belief *belief) {
    for (size_t i = 0; i < survey->n_radios; i++) {
        const survey_radio *radio = &survey->radios[i];
        double sd = radio->eirp_sd_db;
        if (radio->rated_range_m > 0)
            sd = engine_rated_range(radio->freq_mhz, radio->rated_range_m).sd_db;
        set_sd(belief, engine_radio(survey, i), sd);
        set_sd(belief, engine_antennas(survey, i),
               radio->antenna_sd_db * sqrt(1 - engine_own_share));
    }
    for (size_t i = 0; i < survey->n_devices; i++) {
        const survey_device *device = &survey->devices[i];
        if (device->listener == EARSHOT_NONE)
            continue;
        const survey_radio *radio = &survey->radios[device->radio];
        set_sd(belief, engine_antenna(survey, device->listener),
               radio->antenna_sd_db * sqrt(engine_own_share));
        set_sd(belief, engine_need(survey, device->listener), radio->sensitivity_sd_db);
    }
}

static void set_prior(const earshot_survey *survey, earshot_belief *belief) {
    const survey_environment *environment = &survey->environment;
    belief->mean[ENGINE_EXPONENT] = environment->exponent;
    belief->mean[ENGINE_SATURATION] = environment->wall_saturation;
    set_sd(belief, ENGINE_EXPONENT, environment->exponent_sd);
    set_sd(belief, ENGINE_SATURATION, environment->wall_saturation_sd);
    for (size_t i = 0; i < survey->n_constructions; i++)
        set_sd(belief, ENGINE_FIRST_CONSTRUCTION + i, sqrt(1 - engine_own_share));
    for (size_t i = 0; i < survey->n_mounts; i++)
        set_sd(belief, engine_mount(survey, i), 1);
    set_radios(survey, belief);
    set_losses(survey, belief);
    belief->shadow_sd_db = environment->shadow_sd_db;
    /* losses are means of dB already, so only the spread of the fade is wanted */
    chance_fade_make(&belief->static_fade, environment->static_k_db);
    belief->static_sd_db = belief->static_fade.sd_db;
    belief->session_sd_db = session_sd_db;
    belief->meter_sd_db = meter_offset_sd_db(survey);
}

enum earshot_status earshot_belief_prior(const earshot_survey *survey, earshot_belief **out) {
    if (!survey || !out)
        return EARSHOT_MISUSE;
    earshot_belief *belief = calloc(1, sizeof *belief);
    size_t n = engine_n_parameters(survey);
    if (!belief)
        return EARSHOT_NO_MEMORY;
    belief->n = n;
    belief->mean = calloc(n, sizeof *belief->mean);
    belief->covariance = calloc(n * n, sizeof *belief->covariance);
    belief->losses =
        calloc(survey->n_radios * survey->n_constructions + 1, sizeof *belief->losses);
    if (!belief->mean || !belief->covariance || !belief->losses) {
        earshot_belief_free(belief);
        return EARSHOT_NO_MEMORY;
    }
    set_prior(survey, belief);
    *out = belief;
    return EARSHOT_OK;
}

static void free_reads(engine_reads *reads) {
    if (!reads)
        return;
    for (size_t i = 0; i < reads->n_fields; i++) {
        free(reads->fields[i].lower);
        free(reads->fields[i].pull);
    }
    free(reads->views);
    free(reads->numbers);
    free(reads->values);
    free(reads->prior_db2);
    free(reads->own_of);
    free(reads->own_mean);
    free(reads->own_variance);
    free(reads->own_alone);
    free(reads->fields);
    free(reads);
}

static void free_record(struct calibration_record *record) {
    if (!record)
        return;
    calibration_observations_free(&record->observations);
    free(record->before);
    free(record->site_value);
    free(record->site_variance);
    free(record->prior_mean);
    free(record);
}

void earshot_belief_free(earshot_belief *belief) {
    if (!belief)
        return;
    free_reads(belief->reads);
    free_record(belief->record);
    free(belief->mean);
    free(belief->covariance);
    free(belief->losses);
    free(belief);
}
