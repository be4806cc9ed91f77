/* SPDX-License-Identifier: GPL-3.0-or-later */
/* fuzz_svg.c - any bytes at all as a drawing, with each kind of scale. */
#include <stdint.h>

#include "traces.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static const earshot_walls_task tasks[] = {
        {.scale = {.kind = EARSHOT_SCALE_DISTANCE, .x2 = 10, .length_m = 1},
         .construction = "brick"},
        {.scale = {.kind = EARSHOT_SCALE_POINTS, .x2 = 10, .y2 = 5, .x2_m = 1, .y2_m = 2},
         .layers = &traces_layers},
        {.scale = {.kind = EARSHOT_SCALE_LINE, .line = "scale", .length_m = 2}},
        {.scale = {.kind = EARSHOT_SCALE_PAPER, .ratio = 50},
         .layers = &traces_layers,
         .construction = "brick",
         .level = "up"},
    };
    const earshot_bytes plan = {"plan.svg", data, size};
    for (size_t i = 0; i < sizeof tasks / sizeof *tasks; i++)
        traces_check(&plan, &tasks[i]);
    return 0;
}
