/* SPDX-License-Identifier: GPL-3.0-or-later */
/* loss.c - one wall: what the tables say, what slab theory says, what the model uses and why.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "findings.h"
#include "slab.h"
#include "write.h"

static const double pi = 3.14159265358979323846;
static const double least_mhz = 10, most_mhz = 100000, steepest_deg = 89;
enum { MOST_ROWS = 100000 };

/* One wall at one frequency and angle. */
struct wall_row {
    double freq_mhz, angle_deg;
    engine_loss table; /* no rows: not a number */
    double slab_db;    /* in the polarization asked for; not a number without layers */
    double used_db, used_sd_db;
    const char *used_by, *why;
};

static enum engine_polarization engine_word(enum earshot_polarization polarization) {
    return polarization == EARSHOT_TE   ? ENGINE_TE
           : polarization == EARSHOT_TM ? ENGINE_TM
                                        : ENGINE_BOTH;
}

static const char *polarization_word(enum earshot_polarization polarization) {
    return polarization == EARSHOT_TE ? "te" : polarization == EARSHOT_TM ? "tm" : "both";
}

static double slab_db(const earshot_survey *survey, const survey_construction *of,
                      double freq_mhz, double angle_rad,
                      enum earshot_polarization polarization) {
    engine_layer layers[SURVEY_MAX_LAYERS];
    engine_layers(survey, of, freq_mhz, layers);
    return of->n_layers ? engine_slab_db(layers, of->n_layers, freq_mhz, angle_rad,
                                         engine_word(polarization))
                        : NAN;
}

static void say_why(const survey_construction *of, struct wall_row *row) {
    if (of->n_rows && of->effective) {
        row->used_by = "table";
        row->why = "its rows count ways round already, have no angle term, and win";
    } else if (of->n_rows) {
        row->used_by = "table";
        row->why = "it has no rows measured in buildings, so those of the wall alone are taken";
    } else if (of->n_layers) {
        row->used_by = "layers";
        row->why =
            "it has no rows in the table, so slab theory is taken, within 6 dB of straight "
            "on and 26 dB in all";
    } else {
        row->used_by = "nothing";
        row->why = "it has neither rows nor layers";
    }
}

static struct wall_row solve(const earshot_survey *survey, size_t construction, double freq_mhz,
                             double angle_deg, enum earshot_polarization polarization) {
    const survey_construction *of = &survey->constructions[construction];
    double angle_rad = angle_deg * pi / 180;
    engine_loss loss = engine_table_loss(survey, construction, freq_mhz);
    struct wall_row row = {.freq_mhz = freq_mhz,
                           .angle_deg = angle_deg,
                           .table = loss,
                           .slab_db = slab_db(survey, of, freq_mhz, angle_rad, polarization),
                           .used_db = loss.loss_db,
                           .used_sd_db = loss.sd_db};
    if (loss.by_layers)
        row.used_db = engine_layers_db(survey, construction, freq_mhz, angle_rad);
    if (!of->n_rows)
        row.table.loss_db = row.table.sd_db = NAN;
    say_why(of, &row);
    return row;
}

/* ---- how far from what is known ---- */

/* The frequency of the nearest row; not a number without rows. */
static double nearest_mhz(const earshot_survey *survey, const survey_construction *of,
                          double freq_mhz) {
    double nearest = NAN;
    for (size_t i = 0; i < of->n_rows; i++) {
        double row_mhz = survey->penetrations[of->first_row + i].freq_mhz;
        if (isnan(nearest) || fabs(log(row_mhz / freq_mhz)) < fabs(log(nearest / freq_mhz)))
            nearest = row_mhz;
    }
    return nearest;
}

double report_apart(const earshot_survey *survey, size_t construction, double freq_mhz) {
    double row_mhz = nearest_mhz(survey, &survey->constructions[construction], freq_mhz);
    return isnan(row_mhz) ? 1 : fmax(freq_mhz / row_mhz, row_mhz / freq_mhz);
}

/* ---- for a person ---- */

static void write_number(earshot_text *out, double value_db, double sd_db) {
    report_db(out, value_db);
    text_add(out, " dB");
    if (sd_db > 0) {
        text_add(out, ", give or take ");
        report_db(out, sd_db);
    }
}

static void write_table(const survey_construction *of, const struct wall_row *row,
                        earshot_text *out) {
    text_add(out, "  table        ");
    if (!of->n_rows) {
        text_add(out, "no row\n");
        return;
    }
    write_number(out, row->table.loss_db, row->table.sd_db);
    text_add(out, of->effective ? " (effective, per crossing)" : " (isolated wall)");
    text_add(out, row->table.far ? ", far from the frequencies of its rows\n" : "\n");
    text_add(out, "               ");
    text_add_in_line(out, row->table.source);
    text_add(out, "\n");
}

static void write_layers(const earshot_survey *survey, const survey_construction *of,
                         earshot_text *out) {
    for (size_t i = 0; i < of->n_layers; i++) {
        const survey_layer *layer = &survey->layers[of->first_layer + i];
        text_add(out, i ? " / " : "");
        text_add_in_line(out, survey->dielectrics[layer->dielectric].name);
        text_add(out, " ");
        text_add_number(out, layer->thickness_m * 1000);
    }
}

static void write_slab(const earshot_survey *survey, const survey_construction *of,
                       const struct wall_row *row, earshot_text *out) {
    double angle_rad = row->angle_deg * pi / 180;
    text_add(out, "  slab theory  ");
    if (!of->n_layers) {
        text_add(out, "no layers\n");
        return;
    }
    report_db(out, slab_db(survey, of, row->freq_mhz, angle_rad, EARSHOT_BOTH));
    text_add(out, " dB (TE ");
    report_db(out, slab_db(survey, of, row->freq_mhz, angle_rad, EARSHOT_TE));
    text_add(out, ", TM ");
    report_db(out, slab_db(survey, of, row->freq_mhz, angle_rad, EARSHOT_TM));
    text_add(out, "): ");
    write_layers(survey, of, out);
    text_add(out, "\n               ITU-R P.2040-3, eqs. (43), (44), Attachment 1");
    text_add(out, engine_layers_outside(survey, of, row->freq_mhz)
                      ? "; outside the frequencies of its table\n"
                      : "\n");
}

/* Far from every row the answer is a guess, however exact it looks. */
static void write_apart(const earshot_survey *survey, size_t construction,
                        const struct wall_row *row, earshot_text *out) {
    double apart = report_apart(survey, construction, row->freq_mhz);
    if (!(apart > REPORT_FAR_APART))
        return;
    text_add(out, "  a guess      the nearest frequency it is known for is ");
    text_add_number(out,
                    nearest_mhz(survey, &survey->constructions[construction], row->freq_mhz));
    text_add(out, " MHz, ");
    text_add_fixed(out, apart, 1);
    text_add(out, " times away: the loss there is taken as it stands\n");
}

static void write_plain(const earshot_survey *survey, size_t construction,
                        const struct wall_row *row, earshot_text *out) {
    const survey_construction *of = &survey->constructions[construction];
    text_add_in_line(out, of->name);
    if (of->note[0]) {
        text_add(out, " (");
        text_add_in_line(out, of->note);
        text_add(out, ")");
    }
    text_add(out, " at ");
    text_add_number(out, row->freq_mhz);
    text_add(out, " MHz, ");
    if (row->angle_deg > 0) {
        text_add_number(out, row->angle_deg);
        text_add(out, " degrees from straight on\n");
    } else {
        text_add(out, "straight on\n");
    }
    write_table(of, row, out);
    write_slab(survey, of, row, out);
    text_add(out, "  used         ");
    write_number(out, row->used_db, row->used_sd_db);
    text_add(out, ": ");
    text_add(out, row->why);
    text_add(out, "\n");
    write_apart(survey, construction, row, out);
}

/* ---- for programs ---- */

static void write_json_row(const survey_construction *of, const struct wall_row *row,
                           const earshot_loss_query *query, report_json *json) {
    report_open(json, NULL, '{');
    report_string(json, "construction", of->name);
    report_number(json, "freq_mhz", row->freq_mhz);
    report_number(json, "angle_deg", row->angle_deg);
    report_string(json, "polarization", polarization_word(query->polarization));
    report_number(json, "table_db", row->table.loss_db);
    report_number(json, "table_sd_db", row->table.sd_db);
    report_number(json, "slab_db", row->slab_db);
    report_number(json, "used_db", row->used_db);
    report_number(json, "used_sd_db", row->used_sd_db);
    report_string(json, "used_by", row->used_by);
    report_string(json, "source", row->table.source);
    report_close(json, '}');
}

static void write_csv_row(const survey_construction *of, const struct wall_row *row,
                          const earshot_loss_query *query, earshot_text *out) {
    report_cell(out, of->name, false);
    report_cell_number(out, row->freq_mhz, false);
    report_cell_number(out, row->angle_deg, false);
    report_cell(out, polarization_word(query->polarization), false);
    report_cell_number(out, row->table.loss_db, false);
    report_cell_number(out, row->table.sd_db, false);
    report_cell_number(out, row->slab_db, false);
    report_cell_number(out, row->used_db, false);
    report_cell_number(out, row->used_sd_db, false);
    report_cell(out, row->used_by, false);
    report_cell(out, row->table.source, true);
}

/* ---- ranges ---- */

/* How many values; 1e9 where a step is too fine to count. */
static double count_steps(double low, double high, double step) {
    return step > 0 && high > low ? fmin(floor((high - low) / step + 1e-9) + 1, 1e9) : 1;
}

static bool within(const earshot_loss_query *query, size_t n_walls) {
    return query->low_mhz >= least_mhz && query->low_mhz <= query->high_mhz &&
           query->high_mhz <= most_mhz && query->low_deg >= 0 &&
           query->low_deg <= query->high_deg && query->high_deg <= steepest_deg &&
           query->step_mhz >= 0 && query->step_deg >= 0 &&
           count_steps(query->low_mhz, query->high_mhz, query->step_mhz) *
                   count_steps(query->low_deg, query->high_deg, query->step_deg) *
                   (double)n_walls <=
               MOST_ROWS;
}

static void write_rows(const earshot_survey *survey, size_t construction,
                       const earshot_loss_query *query, enum earshot_form form,
                       report_json *json, earshot_text *out) {
    const survey_construction *of = &survey->constructions[construction];
    size_t n_freqs = (size_t)count_steps(query->low_mhz, query->high_mhz, query->step_mhz);
    size_t n_angles = (size_t)count_steps(query->low_deg, query->high_deg, query->step_deg);
    for (size_t i = 0; i < n_freqs; i++)
        for (size_t j = 0; j < n_angles; j++) {
            struct wall_row row =
                solve(survey, construction, query->low_mhz + (double)i * query->step_mhz,
                      query->low_deg + (double)j * query->step_deg, query->polarization);
            if (form == EARSHOT_JSON)
                write_json_row(of, &row, query, json);
            else if (form == EARSHOT_CSV)
                write_csv_row(of, &row, query, out);
            else
                write_plain(survey, construction, &row, out);
        }
}

static const char csv_header[] = "construction,freq_mhz,angle_deg,polarization,table_db,"
                                 "table_sd_db,slab_db,used_db,used_sd_db,used_by,source\n";

/* All constructions when none is named: each at the first frequency and angle. */
static void write_list(const earshot_survey *survey, const earshot_loss_query *query,
                       earshot_text *out) {
    static const char *const classes[] = {"wall", "floor", "door", "window"};
    for (size_t class = 0; class < 4; class ++) {
        text_add(out, classes[class]);
        text_add(out, "s at ");
        text_add_number(out, query->low_mhz);
        text_add(out, " MHz\n");
        for (size_t i = 0; i < survey->n_constructions; i++) {
            const survey_construction *of = &survey->constructions[i];
            if ((size_t)of->class != class)
                continue;
            struct wall_row row =
                solve(survey, i, query->low_mhz, query->low_deg, query->polarization);
            text_add(out, "  ");
            text_add_in_line(out, of->name);
            for (size_t at = text_utf8_count(of->name, strlen(of->name)); at < 20; at++)
                text_add(out, " ");
            write_number(out, row.used_db, row.used_sd_db);
            if (report_apart(survey, i, query->low_mhz) > REPORT_FAR_APART)
                text_add(out, ", a guess so far from its frequencies");
            text_add(out, of->note[0] ? "  " : "");
            text_add_in_line(out, of->note);
            text_add(out, "\n");
        }
    }
}

static void say_unknown(const earshot_survey *survey, const char *word,
                        earshot_findings *findings) {
    char hint[SURVEY_HINT_SIZE];
    survey_hint(hint, word, survey->names, survey->n_names, sizeof *survey->names);
    findings_add(findings, FINDINGS_NO_SUCH_WALL,
                 (findings_place){.file = "words", .line = 1, .column = 1},
                 (const char *const[4]){word, hint});
}

enum earshot_status earshot_loss_write(const earshot_survey *survey, const char *word,
                                       const earshot_loss_query *query,
                                       earshot_findings *findings, enum earshot_form form,
                                       earshot_text *out) {
    report_json json = {.out = out};
    size_t construction = word ? survey_pick(survey, word, strlen(word)) : 0;
    if (!within(query, word ? 1 : survey->n_constructions))
        return EARSHOT_MISUSE;
    if (construction == EARSHOT_NONE) {
        say_unknown(survey, word, findings);
        return EARSHOT_INVALID;
    }
    size_t last = word ? construction + 1 : survey->n_constructions;
    if (form == EARSHOT_JSON) {
        report_open(&json, NULL, '{');
        report_string(&json, "schema", "earshot/loss/1");
        report_string(&json, "version", earshot_version());
        report_open(&json, "rows", '[');
    } else if (form == EARSHOT_CSV) {
        text_add(out, csv_header);
    }
    if (!word && form != EARSHOT_JSON && form != EARSHOT_CSV)
        write_list(survey, query, out);
    else
        for (size_t i = construction; i < last; i++)
            write_rows(survey, i, query, form, &json, out);
    if (form == EARSHOT_JSON) {
        report_close(&json, ']');
        report_close(&json, '}');
        text_add(out, "\n");
    }
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
