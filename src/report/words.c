/* SPDX-License-Identifier: GPL-3.0-or-later */
/* words.c - what an installer reads: names, verdicts, causes, things to try.
 */
#include <math.h>
#include <string.h>

#include "write.h"

const char *report_name(const survey_device *device) {
    return device->label[0] ? device->label : device->name;
}

void report_zone_name(earshot_text *out, const survey_device *device) {
    if (device->zone) {
        text_add_count(out, device->zone);
        text_add(out, " ");
    }
    text_add_in_line(out, report_name(device));
}

static bool begins_with(const char *text, const char *word) {
    while (*word && text_lower(*text) == text_lower(*word)) {
        text++;
        word++;
    }
    return *word == '\0';
}

static bool says(const char *text, const char *word) {
    for (; *text; text++)
        if (begins_with(text, word))
            return true;
    return false;
}

void report_room(earshot_text *out, const survey_device *device) {
    if (says(report_name(device), device->room))
        return;
    text_add(out, ", ");
    text_add_in_line(out, device->room);
}

const char *report_verdict(enum earshot_verdict verdict) {
    return verdict == EARSHOT_OUT ? "won't reach" : earshot_verdict_word(verdict);
}

void report_db(earshot_text *out, double value_db) {
    text_add_fixed(out, value_db, 1);
}

void report_capital(earshot_text *out, const char *string) {
    if (string[0] >= 'a' && string[0] <= 'z') {
        char first = (char)(*string++ - 'a' + 'A');
        text_add_bytes(out, &first, 1);
    }
    text_add_in_line(out, string);
}

void report_set_aside(earshot_text *out, size_t n) {
    if (n == 0)
        return;
    text_add_count(out, n);
    text_add(out, n == 1 ? " row of readings does" : " rows of readings do");
    text_add(out, " not count as written: the notes of earshot check --all say why.\n");
}

void report_spare(earshot_text *out, double spare_db) {
    text_add_fixed(out, fabs(spare_db), 0);
    text_add(out, spare_db < 0 ? " dB short" : " dB to spare");
}

void report_doubt(earshot_text *out, double sd_db) {
    text_add(out, ", give or take ");
    text_add_fixed(out, fmax(sd_db, 1), 0);
}

const char *const report_life_safety =
    "a prediction is no sign-off; test it on its final fixing, local codes and the maker's "
    "instructions decide";

void report_say_verdict(earshot_text *out, enum earshot_verdict verdict) {
    const char *word = report_verdict(verdict);
    text_mark(out, earshot_text_size(out), strlen(word), verdict);
    text_add(out, word);
}

bool report_untested(const earshot_link *link, const earshot_prediction *prediction) {
    return link->life_safety && prediction->verdict == EARSHOT_FIRM &&
           prediction->basis != EARSHOT_READ_IN_PLACE;
}

/* "steel-door (front door)": what it is built of first, for that is what can be doubted. */
static void part_name(earshot_text *out, const earshot_part *part) {
    if (part->kind == EARSHOT_DISTANCE) {
        text_add(out, "the distance");
        return;
    }
    if (part->kind == EARSHOT_MOUNT) {
        text_add(out, "the mount ");
        text_add_in_line(out, part->name);
        return;
    }
    text_add_in_line(out, part->of);
    if (part->name != part->of) {
        text_add(out, " (");
        text_add_in_line(out, part->name);
        text_add(out, ")");
    }
}

void report_wrap(earshot_text *out, const char *string, size_t at, size_t indent) {
    enum { WIDTH = 80 };
    while (*string) {
        size_t bytes = strcspn(string, " "), width = text_utf8_count(string, bytes);
        if (at + width + 1 > WIDTH) {
            text_add(out, "\n");
            for (at = 0; at < indent; at++)
                text_add(out, " ");
        }
        text_add(out, at ? " " : "");
        text_add_bytes_in_line(out, string, bytes);
        at += width + (at > 0);
        string += bytes + strspn(string + bytes, " ");
    }
    text_add(out, "\n");
}

void report_percent(earshot_text *out, double chance) {
    bool hardly = chance > 0 && chance < 0.01;
    text_add(out, hardly ? "under " : "");
    text_add_fixed(out, hardly ? 1 : fmin(100 * chance, chance < 1 ? 99 : 100), 0);
    text_add(out, " %");
}

void report_cause(earshot_text *out, const planning_advice *advice, const earshot_part *parts) {
    switch (advice->step) {
    case PLANNING_GIVE_PLACE:
        text_add(out, "no coordinates and no path row");
        return;
    case PLANNING_GIVE_RADIO:
        text_add(out, "its radio has no sent or needed power");
        return;
    case PLANNING_GIVE_HEARER:
        text_add(out, "no receiver hears it");
        return;
    default:
        break;
    }
    if (advice->step == PLANNING_LOOK)
        text_add(out, "read or heard far less than all else says");
    if (advice->step == PLANNING_SEEK) {
        text_add(out, "something that nobody drew takes ");
        text_add_fixed(out, advice->gain_db, 0);
        text_add(out, " dB");
    }
    if (advice->cause == EARSHOT_NONE)
        return;
    const earshot_part *part = &parts[advice->cause];
    part_name(out, part);
    text_add(out, " takes ");
    text_add_fixed(out, part->loss_db, 0);
    text_add(out, " dB");
    if (advice->by_doubt)
        report_doubt(out, part->sd_db);
}

void report_try(earshot_text *out, const planning_advice *advice, const earshot_part *parts) {
    switch (advice->step) {
    case PLANNING_NOTHING:
        return;
    case PLANNING_GIVE_PLACE:
        text_add(out, "add its coordinates, or a row in paths.csv");
        return;
    case PLANNING_GIVE_RADIO:
        text_add(out, "add them to radios.csv, or its rated range");
        return;
    case PLANNING_GIVE_HEARER:
        text_add(out, "name it in the hears column of a receiver");
        return;
    case PLANNING_READ:
        text_add(out, "read it in place: that leaves give or take ");
        text_add_fixed(out, fmax(advice->left_sd_db, 1), 0);
        return;
    case PLANNING_TRUST:
        text_add(out, "go by the reading it has, which says more than this prediction");
        return;
    case PLANNING_LOOK:
        text_add(out,
                 "look for metal or foil that nobody drew, and at its antenna and battery; "
                 "then read it again");
        return;
    case PLANNING_SEEK:
        text_add(out,
                 "look along its way for metal, foil, a mirror or a duct, draw it, and find "
                 "a place past it");
        return;
    case PLANNING_SLIDE:
        text_add(out, "slide it ");
        text_add_fixed(out, advice->slide_m * 100, 0);
        text_add(out, " cm along the wall and read it again");
        return;
    case PLANNING_REMOUNT:
        text_add(out, "fix it another way, which gives back up to ");
        text_add_fixed(out, advice->gain_db, 0);
        text_add(out, " dB");
        return;
    case PLANNING_AVOID:
        text_add(out, "find a place whose way misses ");
        part_name(out, &parts[advice->cause]);
        return;
    case PLANNING_MOVE:
        text_add(out, "move the receiver nearer, or plan a repeater");
        return;
    }
}

void report_odds(earshot_text *out, double chance) {
    double tenths = fmin(fmax(round(10 * chance), 1), 9);
    text_add_fixed(out, tenths, 0);
    text_add(out, " in 10");
}

/* What takes more than the tables say, in a few words. */
void report_likeliest(earshot_text *out, const earshot_survey *survey,
                      const calibration_cause *cause) {
    if (cause->kind == CALIBRATION_BY_PLACE) {
        text_add(out, "this place or this device alone");
        return;
    }
    if (cause->kind == CALIBRATION_BY_UNDRAWN) {
        text_add(out, "something across its way that nobody drew");
        return;
    }
    if (cause->kind == CALIBRATION_BY_THING) {
        text_add_in_line(out, report_thing(survey, cause->row));
        return;
    }
    const planning_question about = planning_about(survey, cause->row);
    switch (about.topic) {
    case PLANNING_EXPONENT:
        text_add(out, "the distance");
        return;
    case PLANNING_SATURATION:
        text_add(out, "what walls add up to");
        return;
    case PLANNING_CONSTRUCTION:
        text_add(out, "all ");
        text_add_in_line(out, survey->constructions[about.row].name);
        return;
    case PLANNING_MOUNT:
        text_add(out, "the mount ");
        text_add_in_line(out, survey->mounts[about.row].name);
        return;
    case PLANNING_RADIO:
        text_add(out, "what ");
        text_add_in_line(out, survey->radios[about.row].name);
        text_add(out, " sends");
        return;
    case PLANNING_ANTENNAS:
        text_add(out, "all antennas that hear ");
        text_add_in_line(out, survey->radios[about.row].name);
        return;
    case PLANNING_ANTENNA:
    case PLANNING_NEED:
        text_add(out, about.topic == PLANNING_NEED ? "what " : "the place of ");
        text_add_in_line(out, report_name(&survey->devices[about.row]));
        text_add(out, about.topic == PLANNING_NEED ? " needs" : "");
        return;
    }
}

void report_question(earshot_text *out, const earshot_survey *survey,
                     const planning_question *question) {
    switch (question->topic) {
    case PLANNING_EXPONENT:
        text_add(out, "how open the building is: one reading over a long distance");
        return;
    case PLANNING_SATURATION:
        text_add(out, "how much comes round the walls: one reading behind several walls");
        return;
    case PLANNING_CONSTRUCTION:
        text_add(out, "what '");
        text_add_in_line(out, survey->constructions[question->row].name);
        text_add(out, "' really is, by a look at it or a reading behind it");
        return;
    case PLANNING_MOUNT:
        text_add(out, "how bad the mount '");
        text_add_in_line(out, survey->mounts[question->row].name);
        text_add(out, "' is: one reading in place");
        return;
    case PLANNING_RADIO:
        if (survey->radios[question->row].rated_range_m > 0) {
            text_add(out, "whether the maker's claim of range holds here: one reading");
            return;
        }
        text_add(out, "what radio '");
        text_add_in_line(out, survey->radios[question->row].name);
        text_add(out, "' really sends: its data sheet, or its rated range");
        return;
    case PLANNING_ANTENNAS:
        text_add(out, "how well antennas that hear '");
        text_add_in_line(out, survey->radios[question->row].name);
        text_add(out, "' hear: any few readings at two receivers");
        return;
    case PLANNING_ANTENNA:
        text_add(out, "how well the antenna of '");
        text_add_in_line(out, report_name(&survey->devices[question->row]));
        text_add(out, "' hears: any few readings at it");
        return;
    case PLANNING_NEED:
        text_add(out, "what power '");
        text_add_in_line(out, report_name(&survey->devices[question->row]));
        text_add(out, "' needs: its data sheet, or trips counted near the limit");
        return;
    }
}
