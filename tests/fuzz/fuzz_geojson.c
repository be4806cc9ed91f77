/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_geojson.c - any bytes at all as GeoJSON, with a table of layers and without. */
#include <stdint.h>

#include "traces.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static const earshot_walls_task tasks[] = {
        {.construction = "brick"}, {.layers = &traces_layers}, {.level = "up"}};
    const earshot_bytes plan = {"plan.geojson", data, size};
    for (size_t i = 0; i < sizeof tasks / sizeof *tasks; i++)
        traces_check(&plan, &tasks[i]);
    return 0;
}
