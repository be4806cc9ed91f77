/* SPDX-License-Identifier: GPL-3.0-or-later */
/* looks.c - which wall it is, by what an eye, a knuckle, a magnet and a drill can tell.
 *
 * Each word counts for every row of walls-by-look.csv in which it stands; the rows with most
 * words win. When several constructions of one class win alike, the answer is their honest
 * mixture: the mean of their losses, and a doubt in which their spread counts too; a wall and a
 * door are never mixed, for who looks knows which it is. Losses are told as ranges of whole dB,
 * one sd either way: a look tells no more. What looks harmless and is not is asked about by
 * name, where it can stand in such a place.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"
#include "findings.h"
#include "text.h"
#include "write.h"

static bool letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
}

/* Whether a word of the text begins with `word`: "red" is in "red or gray", not in "fired". */
static bool holds(const char *text, const char *word) {
    size_t length = strlen(word);
    char before = ' ';
    for (; length && *text; before = text_lower(*text++)) {
        size_t same = 0;
        while (!letter(before) && same < length &&
               text_lower(text[same]) == text_lower(word[same]))
            same++;
        if (same == length)
            return true;
    }
    return false;
}

static size_t score(const survey_look *look, const char *const *words, size_t n_words) {
    size_t n = 0;
    for (size_t i = 0; i < n_words; i++)
        for (size_t sign = 0; sign < SURVEY_N_SIGNS; sign++)
            if (holds(look->sign[sign], words[i])) {
                n++;
                break;
            }
    return n;
}

/* The constructions that fit best, in table order, each once. */
struct fitting {
    size_t construction[SURVEY_MAX_CONSTRUCTIONS], look[SURVEY_MAX_CONSTRUCTIONS];
    size_t n, words;
};

static bool has(const struct fitting *fitting, size_t construction) {
    for (size_t i = 0; i < fitting->n; i++)
        if (fitting->construction[i] == construction)
            return true;
    return false;
}

static void fit(const earshot_survey *survey, const char *const *words, size_t n_words,
                struct fitting *out) {
    out->n = out->words = 0;
    for (size_t i = 0; i < survey->n_looks; i++) {
        size_t n = score(&survey->looks[i], words, n_words);
        if (n == 0 || n < out->words)
            continue;
        if (n > out->words)
            *out = (struct fitting){.words = n};
        if (has(out, survey->looks[i].construction))
            continue;
        out->construction[out->n] = survey->looks[i].construction;
        out->look[out->n++] = i;
    }
}

/* ---- one class of them ---- */

enum { N_CLASSES = 4 };
static const char *const classes[N_CLASSES] = {"wall", "floor", "door", "window"};

static enum survey_class class_of(const earshot_survey *survey, const struct fitting *fitting,
                                  size_t i) {
    return survey->constructions[fitting->construction[i]].class;
}

/* Those of a class, in order; empty when none is. */
static struct fitting of_class(const earshot_survey *survey, const struct fitting *fitting,
                               enum survey_class class) {
    struct fitting only = {.words = fitting->words};
    for (size_t i = 0; i < fitting->n; i++)
        if (class_of(survey, fitting, i) == class) {
            only.construction[only.n] = fitting->construction[i];
            only.look[only.n++] = fitting->look[i];
        }
    return only;
}

/* Law of total variance over equal shares. */
static engine_loss mixture(const earshot_survey *survey, const struct fitting *fitting,
                           double freq_mhz) {
    double sum = 0, squares = 0, variances = 0, n = (double)fitting->n;
    for (size_t i = 0; i < fitting->n; i++) {
        engine_loss loss = engine_table_loss(survey, fitting->construction[i], freq_mhz);
        sum += loss.loss_db;
        squares += loss.loss_db * loss.loss_db;
        variances += loss.sd_db * loss.sd_db;
    }
    double mean = sum / n;
    return (engine_loss){.loss_db = mean,
                         .sd_db = sqrt(fmax(variances / n + squares / n - mean * mean, 0))};
}

/* ---- for a person ---- */

/* "2 to 6 dB": one sd either way, rounded outward. */
static void write_loss(earshot_text *out, const engine_loss *loss) {
    double low_db = fmax(floor(loss->loss_db - loss->sd_db), 0);
    double high_db = ceil(loss->loss_db + loss->sd_db);
    text_add_fixed(out, low_db, 0);
    if (high_db > low_db) {
        text_add(out, " to ");
        text_add_fixed(out, high_db, 0);
    }
    text_add(out, " dB");
}

static void write_one(const earshot_survey *survey, size_t construction, size_t look,
                      double freq_mhz, earshot_text *out) {
    engine_loss loss = engine_table_loss(survey, construction, freq_mhz);
    text_add(out, "  ");
    text_add_in_line(out, survey->constructions[construction].name);
    text_add(out, " ");
    write_loss(out, &loss);
    if (report_apart(survey, construction, freq_mhz) > REPORT_FAR_APART)
        text_add(out, ", a guess so far from the frequencies it is known for");
    for (size_t sign = 1; sign < SURVEY_N_SIGNS; sign++)
        if (survey->looks[look].sign[sign][0]) {
            text_add(out, "; ");
            text_add_in_line(out, survey->looks[look].sign[sign]);
        }
    text_add(out, "\n");
}

/* "wall: brick or block, 1 to 8 dB at 868.3 MHz", and a line for each. */
static void write_class(const earshot_survey *survey, const struct fitting *fitting,
                        double freq_mhz, earshot_text *out) {
    engine_loss all = mixture(survey, fitting, freq_mhz);
    text_add(out, classes[class_of(survey, fitting, 0)]);
    text_add(out, ": ");
    for (size_t i = 0; i < fitting->n; i++) {
        text_add(out, i == 0 ? "" : i + 1 == fitting->n ? " or " : ", ");
        text_add_in_line(out, survey->constructions[fitting->construction[i]].name);
    }
    text_add(out, ", ");
    write_loss(out, &all);
    text_add(out, " at ");
    text_add_number(out, freq_mhz);
    text_add(out, " MHz\n");
    for (size_t i = 0; i < fitting->n; i++)
        write_one(survey, fitting->construction[i], fitting->look[i], freq_mhz, out);
}

/* Whether to ask about a look: it can be where the ones found are, and is none of them. */
static bool asks(const earshot_survey *survey, const struct fitting *fitting,
                 const survey_look *look) {
    bool fits = false;
    for (size_t i = 0; i < fitting->n; i++)
        fits |= class_of(survey, fitting, i) == survey->constructions[look->construction].class;
    return look->ask[0] && fits && !has(fitting, look->construction);
}

static void write_asks(const earshot_survey *survey, const struct fitting *fitting,
                       double freq_mhz, earshot_text *out) {
    bool any = false;
    for (size_t i = 0; i < survey->n_looks; i++) {
        const survey_look *look = &survey->looks[i];
        if (!asks(survey, fitting, look))
            continue;
        if (!any)
            text_add(out, "Ask too, for each takes more than it looks, and add its word to the "
                          "way:\n");
        any = true;
        engine_loss loss = engine_table_loss(survey, look->construction, freq_mhz);
        text_add(out, "  ");
        text_add_in_line(out, look->ask);
        text_add(out, "? ");
        text_add_in_line(out, look->sign[0]);
        text_add(out, ", ");
        write_loss(out, &loss);
        text_add(out, "\n");
    }
}

static void write_plain(const earshot_survey *survey, const struct fitting *fitting,
                        double freq_mhz, earshot_text *out) {
    for (size_t class = 0; class < N_CLASSES; class ++) {
        struct fitting only = of_class(survey, fitting, (enum survey_class) class);
        if (only.n)
            write_class(survey, &only, freq_mhz, out);
    }
    write_asks(survey, fitting, freq_mhz, out);
}

/* ---- for programs ---- */

static void write_class_json(const earshot_survey *survey, const struct fitting *fitting,
                             double freq_mhz, report_json *json) {
    engine_loss all = mixture(survey, fitting, freq_mhz);
    report_open(json, NULL, '{');
    report_string(json, "class", classes[class_of(survey, fitting, 0)]);
    report_number(json, "loss_db", all.loss_db);
    report_number(json, "sd_db", all.sd_db);
    report_open(json, "constructions", '[');
    for (size_t i = 0; i < fitting->n; i++)
        report_string(json, NULL, survey->constructions[fitting->construction[i]].name);
    report_close(json, ']');
    report_close(json, '}');
}

static void write_json(const earshot_survey *survey, const struct fitting *fitting,
                       double freq_mhz, earshot_text *out) {
    report_json json = {.out = out};
    report_open(&json, NULL, '{');
    report_string(&json, "schema", "earshot/looks/2");
    report_string(&json, "version", earshot_version());
    report_number(&json, "freq_mhz", freq_mhz);
    report_open(&json, "classes", '[');
    for (size_t class = 0; class < N_CLASSES; class ++) {
        struct fitting only = of_class(survey, fitting, (enum survey_class) class);
        if (only.n)
            write_class_json(survey, &only, freq_mhz, &json);
    }
    report_close(&json, ']');
    report_open(&json, "ask", '[');
    for (size_t i = 0; i < survey->n_looks; i++)
        if (asks(survey, fitting, &survey->looks[i]))
            report_string(&json, NULL, survey->looks[i].ask);
    report_close(&json, ']');
    report_close(&json, '}');
    text_add(out, "\n");
}

/* A row for each construction that fits, as many as the mixture of its class is of. */
static void write_csv(const earshot_survey *survey, const struct fitting *fitting,
                      double freq_mhz, earshot_text *out) {
    text_add(out, "class,construction,freq_mhz,loss_db,sd_db\n");
    for (size_t class = 0; class < N_CLASSES; class ++) {
        struct fitting only = of_class(survey, fitting, (enum survey_class) class);
        for (size_t i = 0; i < only.n; i++) {
            engine_loss loss = engine_table_loss(survey, only.construction[i], freq_mhz);
            report_cell(out, classes[class], false);
            report_cell(out, survey->constructions[only.construction[i]].name, false);
            report_cell_number(out, freq_mhz, false);
            report_cell_number(out, loss.loss_db, false);
            report_cell_number(out, loss.sd_db, true);
        }
    }
}

enum earshot_status earshot_looks_write(const earshot_survey *survey, const char *const *words,
                                        size_t n_words, double freq_mhz,
                                        earshot_findings *findings, enum earshot_form form,
                                        earshot_text *out) {
    struct fitting fitting;
    if (!(freq_mhz >= 10 && freq_mhz <= 100000))
        return EARSHOT_MISUSE;
    fit(survey, words, n_words, &fitting);
    if (fitting.n == 0) {
        findings_add(findings, FINDINGS_NOTHING_TOLD,
                     (findings_place){.file = "words", .line = 1, .column = 1},
                     (const char *const[4]){NULL});
        return EARSHOT_INVALID;
    }
    if (form == EARSHOT_JSON)
        write_json(survey, &fitting, freq_mhz, out);
    else if (form == EARSHOT_CSV)
        write_csv(survey, &fitting, freq_mhz, out);
    else
        write_plain(survey, &fitting, freq_mhz, out);
    return earshot_text_cut(out) ? EARSHOT_NO_MEMORY : EARSHOT_OK;
}
