/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_bands.c - transmit limits: field strength to EIRP, the shipped bands against the rules,
 * and the notes about radios.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "rows.h"
#include "vectors.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { EIRP, ERP, FIELD };

/* 47 CFR Part 15 field strengths at 3 m as EIRP and ERP; rows that are from memory say so. The
 * ERP column was made with 2.1485 dB, ours is the 2.15 dB that the rules print, to half its
 * last digit. */
Test(bands, field_strength_to_eirp) {
    vectors *rows = vectors_read("us_part15_field_limits.csv");
    cr_assert_geq(vectors_n_rows(rows), 20);
    for (size_t i = 0; i < vectors_n_rows(rows); i++) {
        double eirp_dbm = vectors_number(rows, i, "eirp_dbm");
        cr_expect_float_eq(
            survey_limit_eirp_dbm(vectors_number(rows, i, "field_dbuv_per_m"), FIELD), eirp_dbm,
            2 * vectors_number(rows, i, "tol_db"), "%s %s (%s)", vectors_text(rows, i, "rule"),
            vectors_text(rows, i, "freq_mhz"), vectors_text(rows, i, "confirmed"));
        cr_expect_float_eq(survey_limit_eirp_dbm(vectors_number(rows, i, "erp_dbm"), ERP),
                           eirp_dbm, 0.005);
        cr_expect_eq(survey_limit_eirp_dbm(eirp_dbm, EIRP), eirp_dbm);
    }
    vectors_free(rows);
}

/* The shipped limits of 47 CFR 15.231(b) by its own line, 3750 + (f - 260) 8750/210 uV/m at 3
 * m, from 260 to 470 MHz (from memory), at the frequency each row's source names; to half a
 * printed digit. */
Test(bands, shipped_us_rows) {
    folder materials = folder_read("materials");
    const char *at = folder_text(&materials, "bands.csv");
    size_t n = 0;
    while ((at = strstr(at, "\nus,")) != NULL) {
        double low, high, limit, freq_mhz;
        char kind[12];
        at++;
        cr_assert_eq(sscanf(at, "us,%lf,%lf,%lf,%11[^,]", &low, &high, &limit, kind), 4);
        const char *source = strstr(at, "15.231(b) at ");
        const char *end = strchr(at, '\n');
        if (!source || source > end)
            continue;
        cr_assert_eq(sscanf(source, "15.231(b) at %lf", &freq_mhz), 1);
        cr_expect_str_eq(kind, "field");
        cr_expect(low <= freq_mhz && freq_mhz <= high);
        cr_expect_float_eq(limit, 20 * log10(3750 + (freq_mhz - 260) * 8750 / 210), 0.005,
                           "%g MHz", freq_mhz);
        n++;
    }
    cr_expect_eq(n, 7);
    folder_free(&materials);
}

/* One radio in one country; the code of the only note about it. */
Test(bands, notes) {
    static const struct {
        const char *country, *radio, *code, *why;
    } rows[] = {
        {"IE", "mine,868.3,13,average,-105,x", "",
         "25 mW ERP are 16.1 dBm EIRP at 868.0 to 868.6"},
        {"IE", "mine,868.3,16.1,average,-105,x", "", "just that"},
        {"IE", "mine,868.3,16.3,average,-105,x", "over-limit", "over it"},
        {"IE", "mine,345,-8,peak,-105,x", "no-band", "no such band in Europe"},
        {"US", "mine,868.3,10,average,-105,x", "no-band", "nor this one in the United States"},
        {"US", "mine,345,-18,average,-105,x", "", "average limit -18.0 dBm EIRP"},
        {"US", "mine,345,-17,average,-105,x", "over-limit", "over it on average"},
        {"US", "mine,345,2.0,peak,-105,x", "", "a peak may stand 20 dB over it: 2.03 dBm"},
        {"US", "mine,345,2.2,peak,-105,x", "over-limit", "but no more"},
        {"IE", "mine,868.3,,average,-105,x", "power-from-limit",
         "no power: the limit is taken"},
        {"XX", "mine,868.3,10,average,-105,x", "country-unknown", "no such country"},
        {"", "mine,868.3,40,average,-105,x", "", "no country: nothing to compare with"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char site[300], radios[300];
        folder tables = {.n = 0};
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = NULL;
        snprintf(site, sizeof site,
                 "key,value\nname,x\nenvironment,dwelling\nuse,lasting\ncountry,%s\n",
                 rows[i].country);
        snprintf(radios, sizeof radios,
                 "radio,freq_mhz,eirp_dbm,eirp_kind,sensitivity_dbm,source\n%s\n",
                 rows[i].radio);
        folder_put(&tables, "site.csv", site);
        folder_put(&tables, "radios.csv", radios);
        folder_put(&tables, "devices.csv",
                   "device,role,radio,type\ns,sensor,mine,other\np,receiver,mine,other\n");
        folder_put(&tables, "paths.csv", "device,to,length_m\ns,p,10\n");
        cr_assert_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey),
                     EARSHOT_OK);
        size_t n = earshot_findings_count(findings);
        cr_expect_eq(n, rows[i].code[0] ? 1 : 0, "%s: %zu", rows[i].why, n);
        for (size_t j = 0; j < n; j++)
            cr_expect_str_eq(earshot_findings_at(findings, j).code, rows[i].code, "%s: %s",
                             rows[i].why, earshot_findings_at(findings, j).sentence);
        /* 25 mW ERP less 3 dB for a small antenna, and a wide guess */
        if (strcmp(rows[i].code, "power-from-limit") == 0) {
            for (size_t j = 0; j < survey->n_radios; j++)
                if (strcmp(survey->radios[j].name, "mine") == 0) {
                    cr_expect_float_eq(survey->radios[j].eirp_dbm, 13.98 + 2.15 - 3, 1e-9);
                    cr_expect_eq(survey->radios[j].eirp_sd_db, 6);
                }
        }
        earshot_survey_free(survey);
        earshot_findings_free(findings);
        folder_free(&tables);
    }
}

/* A note names the file that the radio's row is in, shipped or the survey's own, and its line.
 */
Test(bands, notes_name_the_row_of_the_radio) {
    static const char radios[] = "radio,freq_mhz,source\nmine,345,x\n";
    static const char *const devices[] = {
        "device,role,radio,type\ns,sensor,mine,other\np,receiver,mine,\n",
        "device,role,radio,type\ns,sensor,345-us,other\np,receiver,345-us,\n"};
    char *page = folder_page("materials/radios.csv");
    unsigned line = 1; /* of 345-us in the shipped table, counted there */
    for (const char *at = page; at < strstr(page, "\n345-us,") + 1; at++)
        line += *at == '\n';
    for (int shipped = 0; shipped < 2; shipped++) {
        folder tables = {.n = 0};
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = NULL;
        folder_put(&tables, "site.csv",
                   "key,value\nname,x\nenvironment,dwelling\nuse,lasting\ncountry,IE\n");
        folder_put(&tables, "radios.csv", radios);
        folder_put(&tables, "devices.csv", devices[shipped]);
        folder_put(&tables, "paths.csv", "device,to,length_m\ns,p,10\n");
        cr_assert_eq(earshot_survey_load(tables.tables, tables.n, findings, &survey),
                     EARSHOT_OK);
        cr_assert_eq(earshot_findings_count(findings), 1);
        earshot_finding got = earshot_findings_at(findings, 0);
        cr_expect_str_eq(got.code, "no-band");
        cr_expect_str_eq(got.file, shipped ? "shipped/radios.csv" : "radios.csv");
        cr_expect_eq(got.line, shipped ? line : 2, "line %u", got.line);
        earshot_survey_free(survey);
        earshot_findings_free(findings);
        folder_free(&tables);
    }
    free(page);
}
