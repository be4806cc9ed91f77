/* SPDX-License-Identifier: GPL-3.0-or-later */
/* manual.c - what the manual says of each code: codes.h and manual.h side by side.
 */
#include <string.h>

#include "findings.h"

/* Parts of the examples of plans: a drawing with a line that tells its scale, a wall in it, and
 * a feature of one geometry. */
#define PLAN_IN_SVG(shapes) "<svg><line id=\"scale\" x2=\"10\"/>" shapes "</svg>\n"
#define BRICK_LINE "<line class=\"brick\" x2=\"50\"/>"
#define PLAN_IN_GEOJSON(type, coordinates)                                                     \
    "{\"type\":\"Feature\",\"properties\":{\"layer\":\"brick\"},"                              \
    "\"geometry\":{\"type\":\"" type "\",\"coordinates\":" coordinates "}}\n"

/* A code without an entry would leave blanks here; a test walks them all. */
static const struct {
    const char *when, *where, *wrong, *mended;
} entries[FINDINGS_N_CODES] = {
#define MANUAL(name, when, where, wrong, mended)                                               \
    [FINDINGS_##name] = {when, where, wrong, mended},
#include "manual.h"
#undef MANUAL
};
#undef PLAN_IN_SVG
#undef BRICK_LINE
#undef PLAN_IN_GEOJSON

bool earshot_manual_at(size_t i, earshot_manual *out) {
    if (i >= FINDINGS_N_CODES)
        return false;
    *out = (earshot_manual){.severity = findings_kinds[i].severity,
                            .code = findings_kinds[i].code,
                            .sentence = findings_kinds[i].sentence,
                            .when = entries[i].when,
                            .where = entries[i].where,
                            .wrong = entries[i].wrong,
                            .mended = entries[i].mended};
    return true;
}

bool earshot_manual_find(const char *code, earshot_manual *out) {
    for (size_t i = 0; i < FINDINGS_N_CODES; i++)
        if (strcmp(findings_kinds[i].code, code) == 0)
            return earshot_manual_at(i, out);
    return false;
}
