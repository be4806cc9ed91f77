/* SPDX-License-Identifier: GPL-3.0-or-later */
/* residuals.c - how far what was read is off the tables, where it was read: a full bar upward
 * where more came in than they foretell, an open one downward where less did, with its
 * decibels.
 */
#include <math.h>

#include "plan.h"
#include "text.h"

static const double mm_per_db = 0.4, half_mm = 0.8, most_mm = 14, letters_mm = 2.3;

void plan_draw_offs(const plan *of) {
    static const drawing_pen pen = {.what = "off", .width_mm = 0.3};
    const drawing_letters letters = {
        .what = "off", .size_mm = letters_mm, .anchor = EARSHOT_MIDDLE};
    for (size_t i = 0; i < of->survey->n_devices; i++) {
        const survey_device *device = &of->survey->devices[i];
        double off_db = of->residual_db[i];
        if (device->level != of->level || isnan(off_db) || !isfinite(device->place.x_m))
            continue;
        const earshot_dot at = plan_dot(of, device->place.x_m, device->place.y_m);
        double up_mm = fmin(fmax(off_db * mm_per_db, -most_mm), most_mm);
        const earshot_dot corners[4] = {{at.x_mm - half_mm, at.y_mm},
                                        {at.x_mm - half_mm, at.y_mm - up_mm},
                                        {at.x_mm + half_mm, at.y_mm - up_mm},
                                        {at.x_mm + half_mm, at.y_mm}};
        drawing_area(of->drawing, "off", up_mm > 0 ? 0 : 1, corners, 4);
        drawing_title(of->drawing, drawing_called(device));
        drawing_line(of->drawing, &pen, corners, 4, true);
        char words[TEXT_NUMBER_SIZE];
        text_write_signed(words, off_db, 0);
        double y_mm = up_mm > 0 ? at.y_mm + letters_mm + 0.3 : at.y_mm - 0.7;
        double wide_mm = drawing_width_mm(words, letters_mm);
        drawing_box(of->drawing, "paper", 1,
                    (earshot_dot){at.x_mm - wide_mm / 2, y_mm - 0.8 * letters_mm}, wide_mm,
                    letters_mm);
        drawing_words(of->drawing, &letters, (earshot_dot){at.x_mm, y_mm}, words);
    }
}
