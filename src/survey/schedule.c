/* SPDX-License-Identifier: GPL-3.0-or-later */
/* schedule.c - the zone schedule: what an installer checks before enrolling anything.
 *
 * Facts of the trade (common practice, no source): a transmission carries a serial and an input
 * number, and that pair is all that tells two zones apart; zone numbers of wired inputs take no
 * wireless device; a label that repeats its type's word ("motion motion") is what the receiver
 * will read out twice; check-ins of a supervised device are what say that it is still in range.
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

/* What earlier devices have taken. */
struct taken {
    struct survey_names *serials; /* by input */
    struct survey_names *zones;   /* all with the same name, by number */
};

static void check_serial(survey_load *load, const struct taken *taken, size_t i) {
    const survey_device *devices = load->survey->devices, *device = &devices[i];
    char input[TEXT_NUMBER_SIZE];
    if (device->serial[0] == '\0' || !input_read(load, device))
        return;
    size_t other = survey_names_find(taken->serials, input_of(device), device->serial);
    if (other != EARSHOT_NONE && device->role == SURVEY_SENSOR)
        survey_say(load, FINDINGS_SERIAL_TWICE, row_of(load, device), COLUMN_DEVICES_SERIAL,
                   (const char *const[4]){device->serial, number_text(input, input_of(device)),
                                          devices[other].name});
    survey_names_put(taken->serials, input_of(device), device->serial, i);
}

static void say_wired(survey_load *load, const survey_device *device, const char *zone,
                      const survey_wired *wired) {
    char low[TEXT_NUMBER_SIZE], range[2 * TEXT_NUMBER_SIZE];
    strcpy(range, number_text(low, wired->low));
    if (wired->high > wired->low)
        strcat(strcat(range, "-"), number_text(low, wired->high));
    survey_say(load, FINDINGS_ZONE_WIRED, row_of(load, device), COLUMN_DEVICES_ZONE,
               (const char *const[4]){zone, range});
}

static void check_zone(survey_load *load, const struct taken *taken, size_t i) {
    const earshot_survey *survey = load->survey;
    const survey_device *device = &survey->devices[i];
    char zone[TEXT_NUMBER_SIZE];
    if (device->zone == 0)
        return;
    number_text(zone, device->zone);
    bool sensor = device->role == SURVEY_SENSOR;
    for (size_t k = 0; sensor && k < survey->site.n_wired; k++)
        if (device->zone >= survey->site.wired[k].low &&
            device->zone <= survey->site.wired[k].high) {
            say_wired(load, device, zone, &survey->site.wired[k]);
            break;
        }
    size_t other = survey_names_find(taken->zones, device->zone, "");
    if (sensor && other != EARSHOT_NONE)
        survey_say(load, FINDINGS_ZONE_TWICE, row_of(load, device), COLUMN_DEVICES_ZONE,
                   (const char *const[4]){zone, survey->devices[other].name});
    survey_names_put(taken->zones, device->zone, "", i);
}

/* Letters of other alphabets, and those with accents, have bytes of 0x80 and more in UTF-8. */
static bool letter(char c) {
    return (text_lower(c) >= 'a' && text_lower(c) <= 'z') || (unsigned char)c >= 0x80;
}

static bool same_letter(char written, char of_type) {
    return text_lower(written) == of_type || (written == ' ' && of_type == '-');
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

/* A blank type is no life safety, and nobody would notice: said once. */
static void check_types(survey_load *load) {
    const earshot_survey *survey = load->survey;
    size_t n = 0, n_without = 0;
    for (size_t i = 0; i < survey->n_devices; i++)
        if (survey->devices[i].role == SURVEY_SENSOR) {
            n++;
            n_without += survey_blank(row_of(load, &survey->devices[i]), COLUMN_DEVICES_TYPE);
        }
    char without[TEXT_NUMBER_SIZE], all[TEXT_NUMBER_SIZE];
    text_write_fixed(without, (double)n_without, 0);
    text_write_fixed(all, (double)n, 0);
    if (n_without)
        findings_add(load->findings, FINDINGS_TYPE_BLANK,
                     survey_place(load, SURVEY_TABLE_DEVICES),
                     (const char *const[4]){without, all});
}

void survey_check_schedule(survey_load *load) {
    const earshot_survey *survey = load->survey;
    check_types(load);
    const struct taken taken = {survey_names_new(survey->storage, survey->n_devices),
                                survey_names_new(survey->storage, survey->n_devices)};
    for (size_t i = 0; i < survey->n_devices; i++) {
        check_serial(load, &taken, i);
        check_zone(load, &taken, i);
        if (survey->devices[i].role == SURVEY_SENSOR)
            check_notes(load, &survey->devices[i]);
    }
}
