/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_materials.c - the shipped tables: no finding, a source for every number, mixtures that
 * are what their notes say, and the numbers that others can be held to.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "survey.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static earshot_survey *shipped(void) {
    const char devices[] =
        "device,role,x_m,y_m,height_m,radio,type\np,receiver,0,0,1,868-10mw,other\n"
        "s,sensor,0,5,1,868-10mw,other\n";
    const char site[] =
        "key,value\nname,x\nenvironment,dwelling\nrequired_margin_db,10\n"
        "life_safety_margin_db,14\nconfidence,0.9\nlife_safety_confidence,0.95\n";
    const char walls[] =
        "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nw,ground,9,9,8,8,brick\n";
    const earshot_bytes tables[] = {{"site.csv", site, sizeof site - 1},
                                    {"devices.csv", devices, sizeof devices - 1},
                                    {"walls.csv", walls, sizeof walls - 1}};
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    cr_assert_eq(earshot_survey_load(tables, COUNT(tables), findings, &survey), EARSHOT_OK);
    for (size_t i = 0; i < earshot_findings_count(findings); i++)
        cr_expect_fail("%s", earshot_findings_at(findings, i).sentence);
    earshot_findings_free(findings);
    return survey;
}

static const survey_construction *construction(const earshot_survey *survey, const char *name) {
    for (size_t i = 0; i < survey->n_constructions; i++)
        if (strcmp(survey->constructions[i].name, name) == 0)
            return &survey->constructions[i];
    cr_assert_fail("no construction %s", name);
    return NULL;
}

static const survey_penetration *at(const earshot_survey *survey, const survey_construction *of,
                                    double freq_mhz) {
    for (size_t i = 0; i < of->n_rows; i++)
        if (survey->penetrations[of->first_row + i].freq_mhz == freq_mhz)
            return &survey->penetrations[of->first_row + i];
    cr_assert_fail("%s has no row at %g MHz", of->name, freq_mhz);
    return NULL;
}

/* The project's own default losses (judgement over the published ones, no single source):
 * median and sd at 300 to 450 MHz, then at 800 to 930 MHz, dB. */
Test(materials, default_losses) {
    static const struct {
        const char *name;
        double low_db, low_sd_db, high_db, high_sd_db;
    } rows[] = {{"stud-wall", 1.2, 1.0, 2.0, 1.2},
                {"brick", 3.5, 2, 4, 2},
                {"brick-220", 5.5, 2.5, 6.5, 2.5},
                {"cavity-wall", 6, 2.5, 6.5, 3},
                {"concrete-100", 4, 2.5, 5, 2.5},
                {"concrete", 5, 3, 6.5, 3.5},
                {"reinforced-floor", 8, 4, 13, 4},
                {"timber-floor", 3, 2, 4, 2},
                {"inside-door", 1, 1, 1.5, 1},
                {"solid-door", 3, 2, 3, 2},
                {"steel-door", 10, 5, 11, 5},
                {"glass", 0.5, 0.5, 0.7, 0.7},
                {"double-glazing", 0.7, 0.7, 1.5, 1},
                {"coated-glass", 18, 7, 20, 6},
                {"foil-insulation", 8, 5, 8, 5},
                {"metal-cladding", 18, 6, 20, 6},
                {"lift-shaft", 9, 4, 9, 4}};
    earshot_survey *survey = shipped();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const survey_construction *of = construction(survey, rows[i].name);
        static const double low_mhz[] = {300, 450}, high_mhz[] = {800, 930};
        for (int j = 0; j < 2; j++) {
            cr_expect_float_eq(at(survey, of, low_mhz[j])->loss_db, rows[i].low_db, 1e-12, "%s",
                               of->name);
            cr_expect_float_eq(at(survey, of, low_mhz[j])->sd_db, rows[i].low_sd_db, 1e-12,
                               "%s", of->name);
            cr_expect_float_eq(at(survey, of, high_mhz[j])->loss_db, rows[i].high_db, 1e-12,
                               "%s", of->name);
            cr_expect_float_eq(at(survey, of, high_mhz[j])->sd_db, rows[i].high_sd_db, 1e-12,
                               "%s", of->name);
        }
    }
    earshot_survey_free(survey);
}

Test(materials, every_construction_has_sourced_losses) {
    earshot_survey *survey = shipped();
    for (size_t i = 0; i < survey->n_constructions; i++) {
        const survey_construction *of = &survey->constructions[i];
        cr_expect_geq(of->n_rows, 4, "%s", of->name);
        for (size_t j = 0; j < of->n_rows; j++) {
            const survey_penetration *row = &survey->penetrations[of->first_row + j];
            cr_expect_gt(strlen(row->source), 5, "%s", of->name);
            cr_expect_gt(row->sd_db, 0, "%s is not known exactly", of->name);
        }
    }
    for (size_t i = 0; i < survey->n_radios; i++)
        cr_expect_gt(strlen(survey->radios[i].source), 5, "%s", survey->radios[i].name);
    for (size_t i = 0; i < survey->n_mounts; i++)
        cr_expect_gt(strlen(survey->mounts[i].source), 5, "%s", survey->mounts[i].name);
    earshot_survey_free(survey);
}

/* "mixture: a + b": mean of the medians; variance is the mean of the variances and the variance
 * of the medians (law of total variance), to half a unit of the tables' one decimal. */
Test(materials, mixtures_are_what_they_say) {
    static const double freqs_mhz[] = {300, 450, 800, 930};
    earshot_survey *survey = shipped();
    size_t n_mixtures = 0;
    for (size_t i = 0; i < survey->n_constructions; i++) {
        const survey_construction *of = &survey->constructions[i];
        if (strncmp(of->note, "mixture: ", 9) != 0)
            continue;
        n_mixtures++;
        for (size_t f = 0; f < COUNT(freqs_mhz); f++) {
            char parts[200];
            double sum = 0, squares = 0, variances = 0;
            int n = 0;
            strcpy(parts, of->note + 9);
            for (char *name = strtok(parts, " +"); name; name = strtok(NULL, " +"), n++) {
                const survey_penetration *row =
                    at(survey, construction(survey, name), freqs_mhz[f]);
                sum += row->loss_db;
                squares += row->loss_db * row->loss_db;
                variances += row->sd_db * row->sd_db;
            }
            cr_assert_gt(n, 1);
            double mean = sum / n, sd = sqrt(variances / n + squares / n - mean * mean);
            const survey_penetration *row = at(survey, of, freqs_mhz[f]);
            cr_expect_float_eq(row->loss_db, mean, 0.0501, "%s %g", of->name, freqs_mhz[f]);
            cr_expect_float_eq(row->sd_db, sd, 0.0501, "%s %g: %g", of->name, freqs_mhz[f], sd);
        }
    }
    cr_expect_geq(n_mixtures, 5);
    earshot_survey_free(survey);
}

/* Mounts: the project's own defaults, judgement; common practice, no source. */
Test(materials, mounts) {
    static const struct {
        const char *name;
        double loss_db, sd_db;
    } rows[] = {{"floor-level", 4, 3},
                {"metal-frame", 5, 4},
                {"inside-metal", 15, 8},
                {"body", 8, 5},
                {"behind-furniture", 2, 2}};
    earshot_survey *survey = shipped();
    for (size_t i = 0; i < COUNT(rows); i++) {
        size_t j = 0;
        while (j < survey->n_mounts && strcmp(survey->mounts[j].name, rows[i].name) != 0)
            j++;
        cr_assert_lt(j, survey->n_mounts, "%s", rows[i].name);
        cr_expect_eq(survey->mounts[j].loss_db, rows[i].loss_db, "%s", rows[i].name);
        cr_expect_eq(survey->mounts[j].sd_db, rows[i].sd_db, "%s", rows[i].name);
    }
    earshot_survey_free(survey);
}

/* CEPT ERC/REC 70-03: 10 mW ERP is 12.15 dBm EIRP, 25 mW is 16.13 (2.15 dB between ERP and
 * EIRP): no European class may send more. 47 CFR 15.249 at 915 MHz: -1.23 dBm EIRP average. */
Test(materials, radios_keep_their_limits) {
    static const struct {
        const char *name;
        double limit_dbm;
    } rows[] = {{"868-10mw", 12.15}, {"868-25mw", 16.13}, {"433-10mw", 12.15},
                {"868-fob", 12.15},  {"433-fob", 12.15},  {"915-us", -1.23}};
    earshot_survey *survey = shipped();
    for (size_t i = 0; i < COUNT(rows); i++)
        for (size_t j = 0; j < survey->n_radios; j++)
            if (strcmp(survey->radios[j].name, rows[i].name) == 0)
                cr_expect_leq(survey->radios[j].eirp_dbm, rows[i].limit_dbm, "%s",
                              rows[i].name);
    earshot_survey_free(survey);
}

/* 3GPP TR 38.901 Table 7.4.3-1: what the sources in penetration.csv quote from it at 868 MHz is
 * what its formulas give, to the quoted digit. */
Test(materials, quotes_of_tr38901) {
    static const struct {
        const char *construction, *material, *quote;
        double quoted_db;
    } rows[] = {{"concrete", "concrete", "38.901: 8.5 dB at 868 MHz", 8.5},
                {"coated-glass", "irr_glass", "coated glass 23.3 dB at 868 MHz", 23.3},
                {"double-glazing", "standard_multi_pane_glass", "glass 2.2 dB at 868 MHz", 2.2},
                {"solid-door", "wood", "wood 5.0 dB at 868 MHz", 5.0}};
    vectors *table = vectors_read("tr38901_material_loss.csv");
    earshot_survey *survey = shipped();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const survey_construction *of = construction(survey, rows[i].construction);
        cr_expect_not_null(strstr(survey->penetrations[of->first_row].source, rows[i].quote),
                           "%s", rows[i].construction);
        size_t j = 0;
        while (j < vectors_n_rows(table) &&
               strcmp(vectors_text(table, j, "material"), rows[i].material) != 0)
            j++;
        cr_assert_lt(j, vectors_n_rows(table), "%s", rows[i].material);
        cr_expect_float_eq(vectors_number(table, j, "loss_868_db"), rows[i].quoted_db, 0.05,
                           "%s", rows[i].material);
    }
    vectors_free(table);
    earshot_survey_free(survey);
}

/* ITU-R P.2040-3, Table 3: the shipped dielectrics, row by row. */
Test(materials, dielectrics_of_p2040) {
    vectors *table = vectors_read("p2040_materials.csv");
    earshot_survey *survey = shipped();
    cr_expect_geq(survey->n_dielectrics, 8);
    for (size_t i = 0; i < survey->n_dielectrics; i++) {
        const survey_dielectric *of = &survey->dielectrics[i];
        size_t j = 0;
        while (j < vectors_n_rows(table) &&
               strcmp(vectors_text(table, j, "material"), of->name) != 0)
            j++;
        cr_assert_lt(j, vectors_n_rows(table), "%s", of->name);
        cr_expect_eq(of->a, vectors_number(table, j, "a"), "%s", of->name);
        cr_expect_eq(of->b, vectors_number(table, j, "b"), "%s", of->name);
        cr_expect_eq(of->c, vectors_number(table, j, "c"), "%s", of->name);
        cr_expect_eq(of->d, vectors_number(table, j, "d"), "%s", of->name);
        cr_expect_eq(of->min_ghz, vectors_number(table, j, "min_ghz"), "%s", of->name);
    }
    vectors_free(table);
    earshot_survey_free(survey);
}

/* Presets of what is kept, by use (materials/margins.csv); the site's own keys win. */
Test(materials, margins_by_use) {
    static const struct {
        const char *keys;
        double required_db, life_db, confidence;
    } rows[] = {{"", 10, 14, 0.90},
                {"use,lasting\n", 10, 14, 0.90},
                {"use,busy\n", 14, 18, 0.90},
                {"use,temporary\n", 6, 10, 0.90},
                {"use,critical\n", 14, 18, 0.95},
                {"use,busy\nrequired_margin_db,12\n", 12, 18, 0.90}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        char site[200] = "key,value\nname,x\nenvironment,dwelling\n";
        folder tables = {.n = 0};
        folder_put(&tables, "site.csv", strcat(site, rows[i].keys));
        folder_put(
            &tables, "devices.csv",
            "device,role,radio,type\ns,sensor,868-10mw,other\np,receiver,868-10mw,other\n");
        folder_put(&tables, "paths.csv", "device,to,length_m\ns,p,10\n");
        earshot_survey *survey = folder_load(&tables);
        cr_expect_eq(survey->site.required_margin_db, rows[i].required_db, "%s", rows[i].keys);
        cr_expect_eq(survey->site.life_safety_margin_db, rows[i].life_db, "%s", rows[i].keys);
        cr_expect_eq(survey->site.confidence, rows[i].confidence, "%s", rows[i].keys);
        earshot_survey_free(survey);
        folder_free(&tables);
    }
}

/* A company's own table of constructions: its names have capitals and blanks, and people write
 * them as they like. One that differs from a shipped name by case alone is another wall. */
Test(materials, own_names) {
    static const struct {
        const char *written, *meant;
    } rows[] = {{"Our Panel", "Our Panel"},
                {"our panel", "Our Panel"},
                {"OUR-PANEL", "Our Panel"},
                {"our panels", "Our Panel"},
                {"2 Our Panel", "Our Panel"},
                {"our panel wall", "Our Panel"},
                {"Brick", "Brick"},
                {"brick", "brick"},
                {"BRICK", "brick"}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        char paths[200];
        folder tables = {.n = 0};
        snprintf(paths, sizeof paths, "device,to,length_m,crossings\ns,p,10,%s\n",
                 rows[i].written);
        folder_put(&tables, "constructions.csv",
                   "construction,class,layers\nOur Panel,wall,\nBrick,wall,\n");
        folder_put(&tables, "penetration.csv",
                   "construction,freq_mhz,loss_db,sd_db,kind,source\n"
                   "Our Panel,868,9,2,effective,own\nBrick,868,9,2,effective,own\n");
        folder_put(&tables, "devices.csv",
                   "device,role,radio\ns,sensor,868-10mw\np,receiver,868-10mw\n");
        folder_put(&tables, "paths.csv", paths);
        earshot_survey *survey = folder_load(&tables);
        cr_assert_geq(survey->paths[0].n_crossings, 1, "%s", rows[i].written);
        cr_expect_str_eq(survey->constructions[survey->crossings[0]].name, rows[i].meant, "%s",
                         rows[i].written);
        earshot_survey_free(survey);
        folder_free(&tables);
    }
}
