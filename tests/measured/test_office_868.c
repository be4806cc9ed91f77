/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_office_868.c - six links through counted walls, half a year at 868 MHz.
 *
 * Data: office_lora868_siegen, an office of the University of Siegen, data paper arXiv
 * 2505.06375, CC BY 4.0; path loss is 17.26 dB less the mean reading. Shipped losses, nothing
 * tuned: exponent 2 +- 0.3 and a sent power known to 6 dB. Six links cannot show more than
 * order, sign and size; that they lie far under free space plus walls is shown plainly and is
 * what readings are for.
 */
#include "earshot/earshot.h"
#include "folder.h"
#include "quality.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 16 };

struct measured {
    char name[20];
    double distance_m, loss_db, level_dbm;
    int concrete, wood;
};

static size_t read_links(struct measured *links) {
    char path[1000], line[500];
    const char *root = getenv("EARSHOT_MEASURED");
    if (!root)
        cr_skip_test("EARSHOT_MEASURED names no folder");
    snprintf(path, sizeof path, "%s/office-868MHz/readings.csv", root);
    FILE *in = fopen(path, "r");
    cr_assert_not_null(in, "%s", path);
    cr_assert_not_null(fgets(line, sizeof line, in));
    size_t n = 0;
    while (n < MOST && fgets(line, sizeof line, in))
        if (sscanf(line, "%19[^,],%*[^,],%lf,%d,%d,%lf,%lf", links[n].name,
                   &links[n].distance_m, &links[n].concrete, &links[n].wood,
                   &links[n].level_dbm, &links[n].loss_db) == 6)
            n++;
    fclose(in);
    return n;
}

static void survey_of(const struct measured *links, size_t n, folder *tables) {
    char devices[1000] = "device,role,radio\nGW,receiver,long\n", paths[2000];
    char readings[1000] = "heard_at,device,reading,placed\n";
    int size = sprintf(paths, "device,to,length_m,crossings\n");
    for (size_t i = 0; i < n; i++) {
        sprintf(devices + strlen(devices), "%s,sensor,long\n", links[i].name);
        sprintf(readings + strlen(readings), "GW,%s,%g,in place\n", links[i].name,
                links[i].level_dbm);
        size += sprintf(paths + size, "%s,GW,%g,\"", links[i].name, links[i].distance_m);
        for (int j = 0; j < links[i].concrete + links[i].wood; j++)
            size += sprintf(paths + size, "%s%s", j ? ", " : "",
                            j < links[i].concrete ? "concrete" : "timber-frame-wall");
        size += sprintf(paths + size, "\"\n");
    }
    folder_put(tables, "site.csv", "key,value\nname,office\nenvironment,office\n");
    folder_put(tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,eirp_sd_db,sensitivity_dbm,antenna_dbi,source\n"
               "long,867.8,17.26,6,-120,0,made up but for its power\n");
    folder_put(tables, "devices.csv", devices);
    folder_put(tables, "paths.csv", paths);
    folder_put(tables, "readings.csv", readings);
}

Test(office_868, order_and_what_is_missing) {
    struct measured measured[MOST];
    folder tables = {.n = 0};
    size_t n = read_links(measured);
    cr_assert_eq(n, 6);
    survey_of(measured, n, &tables);
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    earshot_link links[MOST];
    earshot_prediction predictions[MOST];
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, links, MOST), n);
    earshot_links_predict(survey, belief, links, n, predictions);
    for (size_t i = 0; i < n; i++) {
        double missing_db = measured[i].loss_db - predictions[i].loss_db;
        /* not logged as a warning, which would end the program with 1 */
        fprintf(
            stderr,
            "%s %2.0f m, %d concrete, %d wood: measured %.1f dB, free space and defaults %.1f "
            "give or take %.1f: %.1f dB under them\n",
            measured[i].name, measured[i].distance_m, measured[i].concrete, measured[i].wood,
            measured[i].loss_db, predictions[i].loss_db, predictions[i].margin_sd_db,
            missing_db);
        /* the size that the data set itself is known for: 23 to 34 dB */
        cr_expect(missing_db > 22.5 && missing_db < 34.5, "%s: %.1f", measured[i].name,
                  missing_db);
        for (size_t j = 0; j < i; j++)
            cr_expect_eq(measured[i].loss_db > measured[j].loss_db,
                         predictions[i].loss_db > predictions[j].loss_db, "order of %s and %s",
                         measured[i].name, measured[j].name);
    }
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}

/* What the six readings make of the walls: concrete 8 to 11.5 dB, wood 2.5 to 5, neither known
 * better than 1.5 dB (90 %), by an analysis apart from the program; and offset and exponent not
 * to be told apart. */
Test(office_868, walls_by_six_readings) {
    struct measured measured[MOST];
    folder tables = {.n = 0};
    size_t n = read_links(measured);
    survey_of(measured, n, &tables);
    earshot_survey *survey = folder_load(&tables);
    earshot_belief *belief = NULL;
    calibration_quality quality;
    cr_assert_eq(earshot_belief_fit(survey, NULL, NULL, NULL, &belief), EARSHOT_OK);
    cr_assert_eq(calibration_quality_of(survey, belief, &quality), EARSHOT_OK);
    for (size_t i = 0; i < quality.n_unknowns; i++) {
        const calibration_unknown *unknown = &quality.unknowns[i];
        size_t construction = unknown->row - ENGINE_FIRST_CONSTRUCTION;
        if (unknown->kind != CALIBRATION_PARAMETER ||
            unknown->row < ENGINE_FIRST_CONSTRUCTION || construction >= survey->n_constructions)
            continue;
        const char *name = survey->constructions[construction].name;
        bool concrete = strcmp(name, "concrete") == 0;
        double half_db = 1.6448536269514722 * unknown->after_sd;
        fprintf(stderr, "%s: %.1f dB by the tables, %.1f give or take %.1f by six readings\n",
                name, unknown->before, unknown->after, unknown->after_sd);
        cr_expect(unknown->after >= (concrete ? 8 : 2.5) &&
                      unknown->after <= (concrete ? 11.5 : 5),
                  "%s", name);
        cr_expect_geq(half_db, 1.5, "%s", name);
    }
    fprintf(stderr, "offset with exponent: correlation %.2f\n", quality.offset_with_exponent);
    cr_expect_geq(fabs(quality.offset_with_exponent), 0.6, "not to be told apart");
    calibration_quality_free(&quality);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    folder_free(&tables);
}
