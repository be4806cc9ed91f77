/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan.c - the plan of a survey: its picture as SVG, its numbers as CSV and JSON (schema
 * earshot/draw/1): margins of a sensor standing anywhere, and the smallest spare over all zones
 * for a receiver standing there.
 */
#include <stdlib.h>

#include "earshot/earshot.h"
#include "write.h"

static enum earshot_status write_picture(const earshot_survey *survey,
                                         const earshot_belief *belief,
                                         const earshot_plan_task *task, enum earshot_form form,
                                         earshot_text *out) {
    earshot_drawing *drawing = NULL;
    enum earshot_status status = earshot_plan_draw(survey, belief, task, &drawing);
    if (status == EARSHOT_OK)
        status = earshot_drawing_write(drawing, form, out);
    earshot_drawing_free(drawing);
    return status;
}

enum earshot_status earshot_plan_write(const earshot_survey *survey,
                                       const earshot_belief *belief,
                                       const earshot_plan_task *task, enum earshot_form form,
                                       earshot_text *out) {
    return write_picture(survey, belief, task, form, out);
}
