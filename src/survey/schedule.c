/* SPDX-License-Identifier: GPL-3.0-or-later */
/* schedule.c - the zone schedule: what an installer checks before enrolling anything.
 *
 * Facts of the trade (common practice, no source): a transmission carries a serial and an input
 * number, and that pair is all that tells two zones apart; zone numbers of wired inputs take no
 * wireless device; a label that repeats its type's word is what the receiver will read out
 * twice
 * ("motion motion"); check-ins of a supervised device are what say that it is still in range.
 */
#include <string.h>

#include "rows.h"
#include "text.h"

static const char *number_text(char out[TEXT_NUMBER_SIZE], unsigned number) {
    text_write_number(out, number);
    return out;
}

/* The row of devices.csv that a device was built from. */
static const survey_row *row_of(const survey_load *load, const survey_device *device) {
    return survey_row_named(load, SURVEY_TABLE_DEVICES, device->name);
}

/* A blank input is input 1: most sensors have only one. */
static unsigned input_of(const survey_device *device) {
    return device->input ? device->input : 1;
}

static bool input_read(const survey_load *load, const survey_device *device) {
    return !survey_get(row_of(load, device), COLUMN_DEVICES_INPUT)->bad;
}

static void check_serial(survey_load *load, size_t i) {
    const survey_device *devices = load->survey->devices, *device = &devices[i];
    char input[TEXT_NUMBER_SIZE];
    for (size_t j = 0; device->serial[0] && j < i; j++)
        if (strcmp(devices[j].serial, device->serial) == 0 &&
            input_of(&devices[j]) == input_of(device) && input_read(load, &devices[j]) &&
            input_read(load, device)) {
            survey_say(load, FINDINGS_SERIAL_TWICE, row_of(load, device), COLUMN_DEVICES_SERIAL,
                       (const char *const[4]){device->serial,
                                              number_text(input, input_of(device)),
                                              devices[j].name});
            return;
        }
}

static void check_zone(survey_load *load, size_t i) {
    const earshot_survey *survey = load->survey;
    const survey_device *devices = survey->devices, *device = &devices[i];
    char zone[TEXT_NUMBER_SIZE], low[TEXT_NUMBER_SIZE], high[TEXT_NUMBER_SIZE];
    if (device->zone == 0)
        return;
    number_text(zone, device->zone);
    if (device->zone >= survey->site.wired_low && device->zone <= survey->site.wired_high)
        survey_say(load, FINDINGS_ZONE_WIRED, row_of(load, device), COLUMN_DEVICES_ZONE,
                   (const char *const[4]){zone, number_text(low, survey->site.wired_low),
                                          number_text(high, survey->site.wired_high)});
    for (size_t j = 0; j < i; j++)
        if (devices[j].zone == device->zone) {
            survey_say(load, FINDINGS_ZONE_TWICE, row_of(load, device), COLUMN_DEVICES_ZONE,
                       (const char *const[4]){zone, devices[j].name});
            return;
        }
}

static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Letters of other alphabets, and those with accents, have bytes of 0x80 and more in UTF-8. */
static bool letter(char c) {
    return (lower(c) >= 'a' && lower(c) <= 'z') || (unsigned char)c >= 0x80;
}

static bool same_letter(char written, char of_type) {
    return lower(written) == of_type || (written == ' ' && of_type == '-');
}

/* Whether `word` stands in `text` as a word of its own, case ignored; "glass break" too. */
static bool has_word(const char *text, const char *word) {
    size_t length = strlen(word);
    for (size_t i = 0; text[i]; i++) {
        size_t same = 0;
        while (same < length && same_letter(text[i + same], word[same]))
            same++;
        if (same == length && (i == 0 || !letter(text[i - 1])) && !letter(text[i + length]))
            return true;
    }
    return false;
}

static void check_notes(survey_load *load, const survey_device *device) {
    if (device->label[0] && device->type[0] && has_word(device->label, device->type))
        survey_say(load, FINDINGS_LABEL_REPEATS_TYPE, row_of(load, device),
                   COLUMN_DEVICES_LABEL, (const char *const[4]){device->label, device->type});
    if (device->unsupervised)
        survey_say(load, FINDINGS_UNSUPERVISED, row_of(load, device), COLUMN_DEVICES_SUPERVISED,
                   (const char *const[4]){device->name});
}

void survey_check_schedule(survey_load *load) {
    const earshot_survey *survey = load->survey;
    for (size_t i = 0; i < survey->n_devices; i++) {
        if (survey->devices[i].role != SURVEY_SENSOR)
            continue;
        check_serial(load, i);
        check_zone(load, i);
        check_notes(load, &survey->devices[i]);
    }
}
