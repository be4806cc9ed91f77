/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cells.c - one cell to one value: all that can be said of a cell alone, in one place.
 *
 * Cells blank that must not be, numbers that are none, values out of their limits, words not on
 * their list, and what a spreadsheet does to numbers and names behind one's back: errors like
 * #REF!, dates made of fractions, long numbers rounded. Lengths become meters.
 */
#include <math.h>
#include <string.h>

#include "rows.h"
#include "text.h"

static const char *const pick_words[] = {"", "ankle", "switch", "head", "ceiling"};

/* What one cell is read with. */
struct reading_cell {
    survey_load *load;
    const tables_sheet *sheet;
    const survey_column_kind *column;
    const survey_unit *unit; /* of its header; NULL: none */
    bool without_unit;       /* it may be anything, and that has been said */
    const char *header;      /* as the file has it */
};

static void say_cell(const struct reading_cell *at, survey_value *value,
                     enum findings_code code, const char *second, const char *third) {
    findings_place place = tables_place(at->sheet, value->cell);
    place.aside = at->sheet->order == SURVEY_TABLE_READINGS;
    findings_add(at->load->findings, code, place,
                 (const char *const[4]){value->cell->text, second, third});
    value->bad = true;
}

/* ---- numbers ---- */

/* What to say of a text that is no number; FINDINGS_N_CODES when it is one. */
static enum findings_code fault_of(enum text_number answer) {
    switch (answer) {
    case TEXT_NUMBER_OK:
        return FINDINGS_N_CODES;
    case TEXT_NUMBER_COMMA:
        return FINDINGS_DECIMAL_COMMA;
    case TEXT_NUMBER_THOUSANDS:
        return FINDINGS_NUMBER_THOUSANDS;
    case TEXT_NUMBER_PERCENT:
        return FINDINGS_NUMBER_PERCENT;
    case TEXT_NUMBER_DATE:
        return FINDINGS_NUMBER_DATE;
    case TEXT_NUMBER_TOO_LARGE:
        return FINDINGS_NUMBER_TOO_LARGE;
    default:
        return FINDINGS_NUMBER_UNREADABLE;
    }
}

/* 90% where a share between 0 and 1 is wanted. */
static bool read_share(const tables_cell *cell, char decimal, const survey_column_kind *column,
                       double *number) {
    if (column->unit || column->min < 0 || column->max > 1 ||
        text_read_number(cell->text, cell->length - 1, decimal, number) != TEXT_NUMBER_OK)
        return false;
    *number /= 100;
    return true;
}

/* " of dBm", for a sentence; nothing where the number has no unit or the header says it. */
static const char *of_unit(const survey_column_kind *column, char out[SURVEY_HINT_SIZE]) {
    out[0] = '\0';
    if (column->kind == SURVEY_NUMBER && column->unit)
        strcat(strcpy(out, " of "), column->unit);
    return out;
}

static void say_unreadable(const struct reading_cell *at, survey_value *value,
                           enum text_number answer) {
    char unit[SURVEY_HINT_SIZE];
    enum findings_code code = fault_of(answer);
    const char *second = of_unit(at->column, unit);
    if (code == FINDINGS_NUMBER_UNREADABLE && at->column->unreadable)
        code = at->column->unreadable;
    if (code == FINDINGS_NUMBER_THOUSANDS)
        second = at->sheet->decimal == ',' ? "a comma" : "a point";
    say_cell(at, value, code, second, "");
}

/* -110 dBm where the column is of dBm: what stands before its own unit. */
static enum text_number read_before_unit(const tables_cell *cell, char decimal,
                                         const survey_column_kind *column, double *number) {
    size_t length = column->unit ? strlen(column->unit) : 0;
    if (!length || cell->length <= length ||
        !survey_same_word(cell->text + cell->length - length, column->unit))
        return TEXT_NUMBER_NOT;
    return text_read_number(cell->text, cell->length - length, decimal, number);
}

/* The number and what it is to be multiplied with; false when there is none. */
static bool read_number(const struct reading_cell *at, survey_value *value,
                        const survey_unit **unit) {
    const tables_cell *cell = value->cell;
    bool length = at->column->kind == SURVEY_LENGTH || at->column->kind == SURVEY_HEIGHT;
    double number;
    enum text_number answer =
        length ? survey_read_with_unit(cell, at->sheet->decimal, &number, unit)
               : text_read_number(cell->text, cell->length, at->sheet->decimal, &number);
    if (answer == TEXT_NUMBER_PERCENT &&
        read_share(cell, at->sheet->decimal, at->column, &number))
        answer = TEXT_NUMBER_OK;
    if ((answer == TEXT_NUMBER_NOT || answer == TEXT_NUMBER_PERCENT) && !length) {
        enum text_number before =
            read_before_unit(cell, at->sheet->decimal, at->column, &number);
        answer = before == TEXT_NUMBER_NOT ? answer : before;
    }
    if (answer != TEXT_NUMBER_OK) {
        say_unreadable(at, value, answer);
        return false;
    }
    if (length && !*unit && at->without_unit) {
        value->bad = true;
        return false;
    }
    value->number = number;
    return true;
}

static void check_limits(const struct reading_cell *at, survey_value *value, double factor,
                         const char *unit) {
    const survey_column_kind *column = at->column;
    if (column->min >= column->max ||
        (value->number >= column->min && value->number <= column->max))
        return;
    char limits[SURVEY_HINT_SIZE];
    if (factor == 1)
        survey_limits(limits, column->min, column->max, unit);
    else /* to a tenth, and within the limits themselves */
        survey_limits(limits, ceil(column->min / factor * 10) / 10,
                      floor(column->max / factor * 10) / 10, unit);
    value->number = NAN;
    say_cell(at, value, FINDINGS_OUT_OF_RANGE, limits, "");
}

static void read_quantity(const struct reading_cell *at, survey_value *value) {
    const survey_unit *unit = NULL;
    if (!read_number(at, value, &unit))
        return;
    if ((at->column->kind == SURVEY_COUNT || at->column->kind == SURVEY_TALLY) &&
        value->number != floor(value->number)) {
        value->number = NAN;
        say_cell(at, value, FINDINGS_NOT_WHOLE, "", "");
        return;
    }
    unit = unit ? unit : at->unit;
    double factor = unit ? survey_unit_m(unit, at->load->pace_m) : 1;
    value->number *= factor;
    check_limits(at, value, factor, unit ? unit->name : at->column->unit);
}

static bool is_count(const survey_column_kind *column, double number) {
    return number == floor(number) && number >= column->min && number <= column->max;
}

/* "8/10" and "8 of 10". */
static void read_tally(const struct reading_cell *at, survey_value *value) {
    static const char between[] = " of ";
    const char *text = value->cell->text, *slash = strchr(text, '/');
    const char *word = strstr(text, between), *end = slash ? slash : word;
    const char *rest = slash ? slash + 1 : word ? word + strlen(between) : "";
    double heard, of;
    if (end &&
        text_read_number(text, (size_t)(end - text), at->sheet->decimal, &heard) ==
            TEXT_NUMBER_OK &&
        text_read_number(rest, strlen(rest), at->sheet->decimal, &of) == TEXT_NUMBER_OK &&
        is_count(at->column, heard) && is_count(at->column, of)) {
        value->number = heard;
        value->of = of;
    } else {
        read_quantity(at, value);
    }
}

/* ---- words ---- */

static char as_compared(char c) {
    return c == ' ' || c == '_' ? '-' : text_lower(c);
}

bool survey_same_word(const char *written, const char *word) {
    while (*written && as_compared(*written) == as_compared(*word)) {
        written++;
        word++;
    }
    return *written == '\0' && *word == '\0';
}

static void read_height(const struct reading_cell *at, survey_value *value) {
    for (size_t i = 1; i < sizeof pick_words / sizeof *pick_words; i++)
        if (survey_same_word(value->cell->text, pick_words[i])) {
            value->pick = (enum survey_pick)i;
            return;
        }
    read_quantity(at, value);
}

/* Splits the words of a choice; returns how many. */
enum { MAX_CHOICES = 16, CHOICES_SIZE = 160 };
static size_t split_choices(const char *list, char copy[CHOICES_SIZE],
                            const char *words[MAX_CHOICES]) {
    size_t length = strlen(list), n = 0;
    memcpy(copy, list, length + 1);
    words[n++] = copy;
    for (size_t i = 0; i < length; i++)
        if (copy[i] == '|') {
            copy[i] = '\0';
            words[n++] = copy + i + 1;
        }
    return n;
}

/* What spreadsheets and people write for yes and no. */
static const char *yes_or_no(const char *written) {
    static const char *const words[][2] = {{"y", "yes"}, {"true", "yes"}, {"1", "yes"},
                                           {"x", "yes"}, {"n", "no"},     {"false", "no"},
                                           {"0", "no"}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (survey_same_word(written, words[i][0]))
            return words[i][1];
    return written;
}

/* How a sensor was held when it was read, doors, and roles, as people write them (common
 * practice, no source). */
static const char *other_word(const char *written) {
    static const char *const words[][2] = {
        {"closed", "shut"},        {"fixed", "in place"},
        {"mounted", "in place"},   {"installed", "in place"},
        {"in situ", "in place"},   {"on final fixing", "in place"},
        {"panel", "receiver"},     {"control panel", "receiver"},
        {"transmitter", "sensor"}, {"detector", "sensor"},
        {"final", "in place"},     {"hand held", "held"},
        {"handheld", "held"}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (survey_same_word(written, words[i][0]))
            return words[i][1];
    return written;
}

static const char *type_word(const char *written) {
    size_t type = survey_type_called(written);
    return type < SURVEY_N_TYPES ? survey_types[type] : written;
}

static void read_choice(const struct reading_cell *at, survey_value *value) {
    char copy[CHOICES_SIZE], hint[SURVEY_HINT_SIZE];
    const char *words[MAX_CHOICES], *written = value->cell->text;
    size_t n = split_choices(at->column->unit, copy, words), found = 0;
    if (strcmp(words[0], "yes") == 0)
        written = yes_or_no(written);
    else if (strcmp(words[0], survey_types[0]) == 0)
        written = type_word(written);
    else
        written = other_word(written);
    while (found < n && !survey_same_word(written, words[found]))
        found++;
    if (found < n) {
        value->choice = found;
        return;
    }
    survey_hint(hint, written, words, n, sizeof *words);
    say_cell(at, value, FINDINGS_CHOICE_UNKNOWN, at->column->name, hint);
}

/* ---- what spreadsheets do ---- */

/* #N/A, #REF!, and a column too narrow for its numbers. */
static bool is_spreadsheet_error(const char *text) {
    static const char *const errors[] = {"#N/A",   "#REF!", "#VALUE!", "#DIV/0!",
                                         "#NAME?", "#NUM!", "#NULL!",  "#SPILL!"};
    for (size_t i = 0; i < sizeof errors / sizeof *errors; i++)
        if (strcmp(text, errors[i]) == 0)
            return true;
    size_t length = strlen(text);
    return length >= 3 && strspn(text, "#") == length;
}

/* 1.23E+11, where a name is wanted. */
bool survey_is_rounded(const char *text) {
    size_t digits = strspn(text, "0123456789.,");
    const char *exponent = text + digits;
    return digits && (*exponent == 'E' || *exponent == 'e') && exponent[1] == '+' &&
           exponent[2] && strspn(exponent + 2, "0123456789") == strlen(exponent + 2);
}

/* A name that cannot be used is as good as none: nothing is looked up by it. */
static void blank_out(const struct reading_cell *at, survey_value *value) {
    tables_cell *blank = survey_take(at->load->survey->storage, 1, sizeof *blank);
    if (!blank)
        return;
    *blank = *value->cell;
    blank->text = "";
    blank->length = 0;
    value->cell = blank;
}

static void read_name(const struct reading_cell *at, survey_value *value) {
    if (!survey_is_rounded(value->cell->text))
        return;
    say_cell(at, value, FINDINGS_NAME_ROUNDED, "", "");
    blank_out(at, value);
}

/* Length of the blank that begins at `text`: blanks, line ends, and those of other widths that
 * nobody can tell from a blank (U+00A0, U+2000 to U+200B, U+202F, U+3000, U+FEFF); or 0. */
static size_t blank_length(const char *text) {
    static const char *const blanks[] = {"\xC2\xA0", "\xE2\x80\xAF", "\xE3\x80\x80",
                                         "\xEF\xBB\xBF"};
    if (*text == ' ' || *text == '\t' || *text == '\r' || *text == '\n')
        return 1;
    if ((unsigned char)*text < 0x80) /* nearly all there is */
        return 0;
    for (size_t i = 0; i < sizeof blanks / sizeof *blanks; i++)
        if (strncmp(text, blanks[i], strlen(blanks[i])) == 0)
            return strlen(blanks[i]);
    return strncmp(text, "\xE2\x80", 2) == 0 && (unsigned char)text[2] >= 0x80 &&
                   (unsigned char)text[2] <= 0x8B
               ? 3
               : 0;
}

/* Whether somewhere blanks come two together, or in another shape than a plain blank. */
static bool has_odd_blanks(const char *text) {
    for (; *text; text++) {
        size_t length = blank_length(text);
        if (length && (*text != ' ' || blank_length(text + 1)))
            return true;
    }
    return false;
}

/* Any blanks in a row, line ends in a quoted cell too, become one plain blank. */
static void even_blanks(const struct reading_cell *at, survey_value *value) {
    if (!has_odd_blanks(value->cell->text))
        return;
    struct survey_storage *storage = at->load->survey->storage;
    tables_cell *even = survey_take(storage, 1, sizeof *even);
    char *text = survey_take(storage, value->cell->length + 1, 1);
    if (!even || !text)
        return;
    *even = *value->cell;
    even->text = text;
    even->length = 0;
    for (const char *from = value->cell->text; *from;) {
        size_t blank = blank_length(from);
        if (!blank)
            text[even->length++] = *from++;
        else if (even->length && text[even->length - 1] != ' ')
            text[even->length++] = ' ';
        from += blank;
    }
    even->length -= even->length && text[even->length - 1] == ' ';
    text[even->length] = '\0';
    value->cell = even;
}

/* '=a, as our own tables have it: the apostrophe keeps a spreadsheet from taking the text for a
 * formula, and is no part of it. */
static void unguard(const struct reading_cell *at, survey_value *value) {
    const char *text = value->cell->text;
    if (text[0] != '\'' || !text[1] || !strchr("=+-@", text[1]))
        return;
    tables_cell *bare = survey_take(at->load->survey->storage, 1, sizeof *bare);
    if (!bare)
        return;
    *bare = *value->cell;
    bare->text++;
    bare->length--;
    value->cell = bare;
}

/* ---- the cell ---- */

static void read_value(const struct reading_cell *at, survey_value *value) {
    if (at->column->kind != SURVEY_TEXT)
        even_blanks(at, value);
    unguard(at, value);
    if (value->cell->length == 0) {
        if (at->column->must)
            say_cell(at, value, FINDINGS_CELL_BLANK, at->header, "");
        return;
    }
    if (at->column->kind != SURVEY_TEXT && is_spreadsheet_error(value->cell->text)) {
        say_cell(at, value, FINDINGS_SPREADSHEET_ERROR, "", "");
        blank_out(at, value);
        return;
    }
    switch (at->column->kind) {
    case SURVEY_NUMBER:
    case SURVEY_COUNT:
    case SURVEY_LENGTH:
        read_quantity(at, value);
        break;
    case SURVEY_TALLY:
        read_tally(at, value);
        break;
    case SURVEY_HEIGHT:
        read_height(at, value);
        break;
    case SURVEY_CHOICE:
        read_choice(at, value);
        break;
    case SURVEY_ID:
        read_name(at, value);
        break;
    case SURVEY_VALUE:
    case SURVEY_TEXT:
        break;
    }
}

void survey_read_cell(survey_load *load, const tables_sheet *sheet, const survey_mapping *map,
                      size_t i, survey_value *value) {
    struct reading_cell how = {load,
                               sheet,
                               &survey_columns[map->first + i],
                               map->units[i],
                               map->without_unit[i],
                               sheet->header[map->sheet[i]].text};
    read_value(&how, value);
}

bool survey_read_value(survey_load *load, const survey_row *row, enum survey_column column,
                       const survey_column_kind *wanted, double *number) {
    static const survey_unit meters = {"m", 1, SURVEY_METRIC};
    survey_value value = *survey_get(row, column);
    struct reading_cell how = {load,   row->sheet,
                               wanted, wanted->kind == SURVEY_LENGTH ? &meters : NULL,
                               false,  wanted->name};
    if (!value.bad)
        read_quantity(&how, &value);
    if (!value.bad)
        *number = value.number;
    return !value.bad;
}
