/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_words.c - one link from words: order, units, counts, names, and what is said of the
 * rest.
 *
 * Distances and crossings are read back from the ledger, so that what is checked is what is
 * used.
 */
#include "earshot/earshot.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* "12m|brick" to words; returns how many. */
static size_t split(char *text, const char **words) {
    size_t n = 0;
    for (char *word = strtok(text, "|"); word; word = strtok(NULL, "|"))
        words[n++] = word;
    return n;
}

struct answer {
    double distance_m, loss_db;
    size_t n_crossed;
    char crossed[200]; /* constructions and mounts in order, with blanks between */
};

static struct answer ask(const char *text, earshot_reach reach) {
    char copy[200];
    const char *words[30];
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    earshot_link link;
    earshot_part parts[40];
    earshot_prediction prediction;
    size_t n_parts = 0;
    struct answer answer = {.n_crossed = 0};
    reach.n_words = split(strcpy(copy, text), words);
    reach.words = words;
    cr_assert_eq(
        earshot_survey_new(&reach, NULL, 0, findings, &survey), EARSHOT_OK, "%s: %s", text,
        earshot_findings_count(findings) ? earshot_findings_at(findings, 0).sentence : "");
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_survey_links(survey, &link, 1), 1);
    cr_assert_eq(
        earshot_link_ledger(survey, belief, &link, parts, COUNT(parts), &n_parts, &prediction),
        EARSHOT_OK);
    for (size_t i = 0; i < n_parts; i++)
        if (parts[i].of) {
            strcat(strcat(answer.crossed, answer.n_crossed++ ? " " : ""), parts[i].name);
        }
    answer.distance_m = prediction.distance_m;
    answer.loss_db = prediction.loss_db;
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return answer;
}

Test(words, lengths) {
    static const struct {
        const char *text;
        double distance_m;
    } rows[] = {
        {"12m", 12},
        {"12|m", 12},
        {"12.5m", 12.5},
        {"12meters", 12},
        {"40ft", 40 * 0.3048}, /* international foot, 1959 */
        {"40|feet", 40 * 0.3048},
        {"10yd", 9.144},
        {"16paces", 16 * 0.75}, /* a pace is 0.75 m: common practice, no source */
        {"16|paces", 16 * 0.75},
        {"1200cm", 12},
        {"brick|12m|floor", 12},
        {"2|brick|12m", 12},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        cr_expect_float_eq(ask(rows[i].text, (earshot_reach){0}).distance_m, rows[i].distance_m,
                           1e-12, "%s", rows[i].text);
}

/* Walls are told before floors, and mounts last; so the order of the words shows only among
 * walls. */
Test(words, what_is_crossed) {
    static const struct {
        const char *text, *crossed;
    } rows[] = {
        {"12m", ""},
        {"12m|brick|brick|floor", "brick brick some-floor"},
        {"floor|brick|12m|brick", "brick brick some-floor"},
        {"12m|2|brick", "brick brick"},
        {"12m|2x|brick", "brick brick"},
        {"12m|2|bricks", "brick brick"},
        {"12m|timber|floor", "timber-floor"},
        {"12m|2|timber|floors", "timber-floor timber-floor"},
        {"12m|Timber-Floor", "timber-floor"},
        {"12m|timber floor", "timber-floor"},
        {"12m|wall", "some-inside-wall"},
        {"12m|?", "some-inside-wall"},
        {"12m|drywall|drywall", "stud-wall stud-wall"},
        {"12m|metal-frame|brick", "brick metal-frame"},
        {"12m|2|brick|walls|1|floor", "brick brick some-floor"},
        {"12m|brick|wall", "brick"},
        {"12m|brick|brick|wall", "brick brick"},
        {"12m|wall|wall", "some-inside-wall some-inside-wall"},
        {"12m|brick|floor", "brick some-floor"},
        {"12m|two|brick", "brick brick"},
        {"12m|upstairs", "some-floor"},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        cr_expect_str_eq(ask(rows[i].text, (earshot_reach){0}).crossed, rows[i].crossed, "%s",
                         rows[i].text);
    cr_expect_str_eq(ask("12m|brick", (earshot_reach){.mount = "metal frame"}).crossed,
                     "brick metal-frame");
}

/* A radio, by name or by band; first meter by ITU-R P.525, 20 log10(4 pi f / c). */
Test(words, radios) {
    static const struct {
        const char *text;
        double band_mhz, freq_mhz;
    } rows[] = {{"1m", 0, 868.3},          {"1m", 868, 868.3},    {"1m", 433, 433.92},
                {"1m", 345, 345},          {"1m", 319.5, 319.5},  {"1m", 315, 315},
                {"1m", 915, 915},          {"1m|345-us", 0, 345}, {"1m|433", 0, 433.92},
                {"433-10mw|1m", 0, 433.92}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        double loss_db =
            ask(rows[i].text, (earshot_reach){.band_mhz = rows[i].band_mhz}).loss_db;
        cr_expect_float_eq(loss_db,
                           20 * log10(4 * acos(-1) * rows[i].freq_mhz * 1e6 / 299792458.0),
                           1e-9, "%s %g", rows[i].text, rows[i].band_mhz);
    }
}

/* The column of a word is its number; the mixing of walls is found in the path row that the
 * words became, whose crossings begin behind "sensor,receiver,12,". */
Test(words, faults) {
    static const struct {
        const char *text;
        earshot_reach reach;
        const char *code;
        unsigned column;
        const char *mend; /* part of the sentence */
    } rows[] = {
        {"12m|brik", {0}, "word-unknown", 2, "did you mean 'brick'?"},
        {"12|brick|5m", {0}, "number-without-unit", 1, "12m, 40ft or 16paces"},
        {"12,5m", {0}, "word-comma", 1, "12.5m"},
        {"brick", {0}, "no-length", 2, "like 12m, 40ft or 16paces"},
        {"12m|3m", {0}, "length-twice", 2, "give one"},
        {"9000m", {0}, "length-too-far", 1, "check the number and its unit"},
        {"12m", {.band_mhz = 100}, "band-unknown", 2, "known: 868-10mw"},
        {"12m", {.mount = "shelf"}, "mount-unknown", 2, "known: wall"},
        {"12m", {.rated_range = "500"}, "claim-unreadable", 2, "500m, 1500ft"},
        {"12m", {.rated_range = "0m"}, "claim-unreadable", 2, "500m, 1500ft"},
        {"12m|brick|dwelling-by-distance", {0}, "walls-count-twice", 20, "leave the walls out"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char copy[200];
        const char *words[30];
        earshot_reach reach = rows[i].reach;
        earshot_findings *findings = earshot_findings_new();
        earshot_survey *survey = NULL;
        reach.n_words = split(strcpy(copy, rows[i].text), words);
        reach.words = words;
        if (strcmp(rows[i].code, "no-length") == 0 ||
            strcmp(rows[i].code, "length-too-far") == 0)
            cr_log_info("%s", rows[i].text);
        cr_expect_eq(earshot_survey_new(&reach, NULL, 0, findings, &survey), EARSHOT_INVALID,
                     "%s", rows[i].text);
        cr_expect_null(survey);
        bool found = false;
        for (size_t j = 0; j < earshot_findings_count(findings); j++) {
            earshot_finding finding = earshot_findings_at(findings, j);
            if (strcmp(finding.code, rows[i].code) != 0)
                continue;
            found = true;
            cr_expect_eq(finding.column, rows[i].column, "%s: %u", rows[i].text,
                         finding.column);
            cr_expect_not_null(strstr(finding.sentence, rows[i].mend), "%s: %s", rows[i].text,
                               finding.sentence);
        }
        cr_expect(found, "%s: no %s", rows[i].text, rows[i].code);
        earshot_findings_free(findings);
    }
}

Test(words, misuse_is_told_apart) {
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    earshot_reach reach = {.heard = 2, .trips = 1};
    cr_expect_eq(earshot_survey_new(&reach, NULL, 0, findings, &survey), EARSHOT_MISUSE);
    cr_expect_eq(earshot_survey_new(NULL, NULL, 0, findings, &survey), EARSHOT_MISUSE);
    cr_expect_null(survey);
    earshot_findings_free(findings);
}
