/* SPDX-License-Identifier: GPL-3.0-or-later */
/* penetration.c - what one wall, floor, door or window loses at one frequency, by the tables.
 *
 * Between two rows loss and sd go straight in log f; a row is trusted within a factor 1.5 of
 * its frequency, and beyond that its doubt grows by 2 dB. Without rows the layers decide, by
 * slab theory: plain slabs leave out studs, wiring, moisture and ways round, and the editions
 * of the table differ by 2 dB for 200 mm of concrete, so their doubt is wide (4 dB, 6 where a
 * layer is used below the frequencies of its row). The sds are judgement, no source.
 */
#include <math.h>

#include "engine.h"
#include "slab.h"

static const double trusted_factor = 1.5, far_sd_db = 2;
static const double layers_sd_db = 4, extrapolated_sd_db = 6;

static bool beyond(double freq_mhz, double row_mhz) {
    return fmax(freq_mhz / row_mhz, row_mhz / freq_mhz) > trusted_factor;
}

void engine_layers(const earshot_survey *survey, const survey_construction *of, double freq_mhz,
                   struct engine_layer *layers) {
    for (size_t i = 0; i < of->n_layers; i++) {
        const survey_layer *layer = &survey->layers[of->first_layer + i];
        const survey_dielectric *material = &survey->dielectrics[layer->dielectric];
        layers[i] =
            engine_dielectric(material->a, material->b, material->c, material->d, freq_mhz);
        layers[i].thickness_m = layer->thickness_m;
    }
}

double engine_layers_db(const earshot_survey *survey, size_t construction, double freq_mhz,
                        double angle_rad) {
    const survey_construction *of = &survey->constructions[construction];
    engine_layer layers[SURVEY_MAX_LAYERS];
    engine_layers(survey, of, freq_mhz, layers);
    return engine_slab_panel_db(layers, of->n_layers, freq_mhz, angle_rad);
}

bool engine_layers_outside(const earshot_survey *survey, const survey_construction *of,
                           double freq_mhz) {
    for (size_t i = 0; i < of->n_layers; i++) {
        const survey_dielectric *material =
            &survey->dielectrics[survey->layers[of->first_layer + i].dielectric];
        if (freq_mhz < material->min_ghz * 1e3 || freq_mhz > material->max_ghz * 1e3)
            return true;
    }
    return false;
}

static engine_loss loss_by_layers(const earshot_survey *survey, size_t construction,
                                  double freq_mhz) {
    const survey_construction *of = &survey->constructions[construction];
    if (of->n_layers == 0)
        return (engine_loss){.source = ""};
    bool outside = engine_layers_outside(survey, of, freq_mhz);
    return (engine_loss){.loss_db = engine_layers_db(survey, construction, freq_mhz, 0),
                         .sd_db = outside ? extrapolated_sd_db : layers_sd_db,
                         .source = "layers by ITU-R P.2040-3, eqs. (43), (44), Attachment 1",
                         .by_layers = true,
                         .extrapolated = outside};
}

engine_loss engine_table_loss(const earshot_survey *survey, size_t construction,
                              double freq_mhz) {
    const survey_construction *of = &survey->constructions[construction];
    if (of->n_rows == 0)
        return loss_by_layers(survey, construction, freq_mhz);
    const survey_penetration *rows = survey->penetrations + of->first_row;
    size_t above = 0;
    while (above < of->n_rows && rows[above].freq_mhz < freq_mhz)
        above++;
    const survey_penetration *high = &rows[above < of->n_rows ? above : of->n_rows - 1];
    const survey_penetration *low = above > 0 ? &rows[above - 1] : high;
    double share = 1;
    if (above > 0 && above < of->n_rows)
        share = log(freq_mhz / low->freq_mhz) / log(high->freq_mhz / low->freq_mhz);
    bool nearer_high = freq_mhz / low->freq_mhz > high->freq_mhz / freq_mhz;
    engine_loss loss = {.loss_db = low->loss_db + share * (high->loss_db - low->loss_db),
                        .sd_db = low->sd_db + share * (high->sd_db - low->sd_db),
                        .source = nearer_high ? high->source : low->source,
                        .far = beyond(freq_mhz, low->freq_mhz) &&
                               beyond(freq_mhz, high->freq_mhz)};
    if (loss.far)
        loss.sd_db += far_sd_db;
    return loss;
}
