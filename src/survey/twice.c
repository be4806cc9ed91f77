/* SPDX-License-Identifier: GPL-3.0-or-later */
/* twice.c - the same row of readings twice, as a log pasted twice has it.
 *
 * Two rows that agree in everything and in a time that is given were one reading; without a
 * time two alike may well be two trips. The later one is set aside, unless it is accepted.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "text.h"

static int compare_sizes(size_t a, size_t b) {
    return (a > b) - (a < b);
}

/* What is not a number is like its like, and stands last. */
static int compare_numbers(double a, double b) {
    if (isnan(a) || isnan(b))
        return isnan(a) - isnan(b);
    return (a > b) - (a < b);
}

static int compare_what(const survey_reading *a, const survey_reading *b) {
    const size_t sizes[][2] = {{a->heard_at, b->heard_at},     {a->device, b->device},
                               {a->radio, b->radio},           {a->scale, b->scale},
                               {a->trips, b->trips},           {a->heard, b->heard},
                               {a->placed, b->placed},         {a->none, b->none},
                               {a->doors_open, b->doors_open}, {a->visit, b->visit}};
    const double numbers[][2] = {{a->low_dbm, b->low_dbm},     {a->high_dbm, b->high_dbm},
                                 {a->noise_dbm, b->noise_dbm}, {a->pad_db, b->pad_db},
                                 {a->place.x_m, b->place.x_m}, {a->place.y_m, b->place.y_m},
                                 {a->place.z_m, b->place.z_m}};
    int order = strcmp(a->time, b->time);
    for (size_t i = 0; order == 0 && i < sizeof sizes / sizeof *sizes; i++)
        order = compare_sizes(sizes[i][0], sizes[i][1]);
    for (size_t i = 0; order == 0 && i < sizeof numbers / sizeof *numbers; i++)
        order = compare_numbers(numbers[i][0], numbers[i][1]);
    return order;
}

static int compare(const void *a, const void *b) {
    const survey_reading *const *left = a, *const *right = b;
    int order = compare_what(*left, *right);
    return order ? order : (*left > *right) - (*left < *right);
}

/* Between two files, such as a log and what was in it already at the visit before, there may be
 * hundreds: these fold. */
static void say(survey_load *load, const survey_reading *first, const survey_reading *again) {
    char line[TEXT_NUMBER_SIZE];
    bool one_file = strcmp(first->file, again->file) == 0;
    findings_place place =
        survey_line(survey_place(load, SURVEY_TABLE_READINGS), again->table_line);
    place.file = again->file;
    text_write_fixed(line, first->table_line, 0);
    findings_add(load->findings, one_file ? FINDINGS_READING_TWICE : FINDINGS_READING_AGAIN,
                 place, (const char *const[4]){one_file ? line : first->file});
}

/* Each row set aside, with the first that it repeats; what is accepted stays. */
static void say_dropped(survey_load *load, survey_reading *const *sorted, unsigned char *drop) {
    const earshot_survey *survey = load->survey;
    for (size_t i = 1, first = 0; i < survey->n_readings; i++) {
        size_t row = (size_t)(sorted[i] - survey->readings);
        if (compare_what(sorted[first], sorted[i]) != 0)
            first = i;
        drop[row] = drop[row] && !sorted[i]->accepted;
        if (drop[row])
            say(load, sorted[first], sorted[i]);
    }
}

enum { RUNNING = 3 };

/* Whether the rows from `b` on repeat those from `a` on. */
static bool repeats(const earshot_survey *survey, size_t a, size_t b) {
    const survey_reading *rows = survey->readings;
    bool several = false;
    if (b + RUNNING > survey->n_readings || a + RUNNING > b)
        return false;
    for (size_t i = 0; i < RUNNING; i++) {
        if (compare_what(&rows[a + i], &rows[b + i]) != 0)
            return false;
        several = several || rows[a + i].device != rows[a].device;
    }
    return several;
}

void survey_drop_twice(survey_load *load) {
    earshot_survey *survey = load->survey;
    size_t n = survey->n_readings, kept = 0;
    survey_reading **sorted = survey_take(survey->storage, n + 1, sizeof *sorted);
    unsigned char *drop = survey_take(survey->storage, n + 1, sizeof *drop);
    if (!sorted || !drop)
        return;
    for (size_t i = 0; i < n; i++)
        sorted[i] = &survey->readings[i];
    qsort(sorted, n, sizeof(survey_reading *), compare);
    for (size_t i = 1, first = 0; i < n; i++) {
        if (compare_what(sorted[first], sorted[i]) != 0) {
            first = i;
            continue;
        }
        size_t before = (size_t)(sorted[i - 1] - survey->readings);
        size_t row = (size_t)(sorted[i] - survey->readings);
        if (sorted[i]->time[0])
            drop[row] = 1;
        for (size_t j = 0; repeats(survey, before, row) && j < RUNNING; j++)
            drop[row + j] = 1;
    }
    say_dropped(load, sorted, drop);
    for (size_t i = 0; i < n; i++)
        if (!drop[i])
            survey->readings[kept++] = survey->readings[i];
    survey->n_readings = kept;
}
