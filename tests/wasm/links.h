/* SPDX-License-Identifier: GPL-3.0-or-later */
/* links.h - what the native program and WebAssembly both predict and write, to be compared. */
#ifndef WASM_LINKS_H
#define WASM_LINKS_H

#include <stdint.h>

#include <earshot/earshot.h>

/* Appends `n` links as CSV, a row each: links of the survey whose ends, radios, mounts and
 * listeners were moved at random. Link k depends on `seed` and k only. Returns how many were
 * written: fewer only when one could not be predicted. */
uint32_t links_write(const earshot_survey *survey, const earshot_belief *belief, uint32_t seed,
                     uint32_t n, earshot_text *out);

#endif
