/* SPDX-License-Identifier: GPL-3.0-or-later */
/* house.c - a house by path rows; see house.h. */
#include "house.h"

#include <criterion/criterion.h>
#include <stdio.h>

static void put_rows(folder *tables, const char *name, const char *header, const char *rows) {
    char text[4000];
    int size = snprintf(text, sizeof text, "%s\n%s", header, rows);
    cr_assert(size > 0 && (size_t)size < sizeof text, "%s: too many rows", name);
    folder_put(tables, name, text);
}

void house_open(const char *devices, const char *paths, house *house) {
    house->tables = (folder){.n = 0};
    folder_put(&house->tables, "site.csv", "key,value\nname,x\nenvironment,dwelling\n");
    put_rows(&house->tables, "devices.csv", "device,role,radio,mount,type,hears", devices);
    put_rows(&house->tables, "paths.csv", "device,to,length_m,crossings", paths);
    folder_put(&house->tables, "radios.csv",
               "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\n"
               "faint,868.3,-50,-105,made up: won't reach 30 m\n");
    house->survey = folder_load(&house->tables);
    cr_assert_eq(earshot_belief_prior(house->survey, &house->belief), EARSHOT_OK);
}

void house_close(house *house) {
    earshot_belief_free(house->belief);
    earshot_survey_free(house->survey);
    folder_free(&house->tables);
}
