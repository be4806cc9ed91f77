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
#include <stdio.h>
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
    double distance_m, loss_db, margin_db, required_margin_db;
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
    answer.margin_db = prediction.margin_db;
    answer.required_margin_db = prediction.required_margin_db;
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
        {"12M", 12},
        {"12.5|m", 12.5},
        {"12.5m,|brick", 12.5},
        {"12|Meters", 12},
        {"12'", 12 * 0.3048},
        {"12'6\"", 12.5 * 0.3048}, /* 12 inches to the foot, 1959 too */
        {"12'6", 12.5 * 0.3048},
        {"12'-6\"", 12.5 * 0.3048},
        {"12\xe2\x80\x99"
         "6\xe2\x80\x9d",
         12.5 * 0.3048}, /* curly, as telephones write */
        {"12ft6in", 12.5 * 0.3048},
        {"12ft|6in", 12.5 * 0.3048},
        {"12|ft|6|in", 12.5 * 0.3048},
        {"12'|6\"|brick", 12.5 * 0.3048},
        {"12ft|6|bricks", 12 * 0.3048}, /* six walls, no inches */
        {"150in", 12.5 * 0.3048},
        {"2km", 2000},
        {"0.5mi", 0.5 * 5280 * 0.3048}, /* 5,280 feet to the mile */
        {"0.5|miles", 0.5 * 5280 * 0.3048},
        {"12m brick, floor", 12}, /* all in one word */
        {"12m,brick", 12},
        {"12|m,", 12},
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
        {"12m,|brick,|brick", "brick brick"},
        {"12m,brick,timber floor", "brick timber-floor"},
        {"12m , brick", "brick"},
        {"12m|door|contact", ""}, /* the sensor, not a door on the way */
        {"12m|door|smoke", "some-door"},
        {"12m|glass-break", ""},
        {"12m|glass|break|glass", "glass"},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        cr_expect_str_eq(ask(rows[i].text, (earshot_reach){0}).crossed, rows[i].crossed, "%s",
                         rows[i].text);
    cr_expect_str_eq(ask("12m|brick", (earshot_reach){.mount = "metal frame"}).crossed,
                     "brick metal-frame");
}

/* A radio, by name or by band, or the usual one of where lengths are measured so; first meter
 * by ITU-R P.525, 20 log10(4 pi f / c). Under 1 m counts as 1 m. */
Test(words, radios) {
    static const struct {
        const char *text;
        double band_mhz;
        const char *rated_range;
        double freq_mhz;
    } rows[] = {{"1m", 0, NULL, 868.3},
                {"1m", 868, NULL, 868.3},
                {"1m", 433, NULL, 433.92},
                {"1m", 345, NULL, 345},
                {"1m", 319.5, NULL, 319.5},
                {"1m", 315, NULL, 315},
                {"1m", 915, NULL, 915},
                {"1m|345-us", 0, NULL, 345},
                {"1m|433", 0, NULL, 433.92},
                {"1m|433mhz", 0, NULL, 433.92},
                {"1m|433|MHz", 0, NULL, 433.92},
                {"433-10mw|1m", 0, NULL, 433.92},
                {"868|1m|868-25mw", 868, NULL, 868.3},
                {"3ft", 0, NULL, 345},
                {"3'", 0, NULL, 345},
                {"36in", 0, NULL, 345},
                {"3ft", 868, NULL, 868.3},
                {"3ft|868-10mw", 0, NULL, 868.3},
                {"1pace", 0, NULL, 868.3},
                {"1pace", 0, "1500ft", 345},
                {"3ft", 0, "500m", 868.3}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        double loss_db = ask(rows[i].text, (earshot_reach){.band_mhz = rows[i].band_mhz,
                                                           .rated_range = rows[i].rated_range})
                             .loss_db;
        cr_expect_float_eq(loss_db,
                           20 * log10(4 * acos(-1) * rows[i].freq_mhz * 1e6 / 299792458.0),
                           1e-9, "%s %g", rows[i].text, rows[i].band_mhz);
    }
}

/* Each type of devices.csv is a word, and those that guard life ask for the 14 dB of the site's
 * default; README.md names which do. */
Test(words, types_of_device) {
    static const char *const guards[] = {"smoke", "heat",           "co",          "flood",
                                         "panic", "smoke|detector", "panic|button"};
    static const char *const others[] = {"motion", "contact", "glass-break", "keypad", "siren",
                                         "fob",    "other",   "key|fob",     "Motion"};
    for (size_t i = 0; i < COUNT(guards); i++) {
        char text[60] = "12m|";
        cr_expect_eq(ask(strcat(text, guards[i]), (earshot_reach){0}).required_margin_db, 14,
                     "%s", text);
    }
    for (size_t i = 0; i < COUNT(others); i++) {
        char text[60] = "12m|";
        cr_expect_eq(ask(strcat(text, others[i]), (earshot_reach){0}).required_margin_db, 10,
                     "%s", text);
    }
}

/* The maker's claim in the units of data sheets: the same claim, the same margin. */
Test(words, claims) {
    static const struct {
        const char *claim;
        double same_m;
    } rows[] = {{"500m", 500},  {"5km", 5000},          {"1500ft", 457.2}, {"0.5mi", 804.672},
                {"5 km", 5000}, {"0.5 miles", 804.672}, {"1500'", 457.2}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        char meters[40];
        snprintf(meters, sizeof meters, "%.3fm", rows[i].same_m);
        double got_db = ask("12m|868", (earshot_reach){.rated_range = rows[i].claim}).margin_db;
        double same_db = ask("12m|868", (earshot_reach){.rated_range = meters}).margin_db;
        cr_expect_float_eq(got_db, same_db, 1e-9, "%s", rows[i].claim);
    }
    /* and ten times the range is worth 20 to 40 dB: between free space and plane earth */
    double near_db = ask("12m|868", (earshot_reach){.rated_range = "500m"}).margin_db;
    double far_db = ask("12m|868", (earshot_reach){.rated_range = "5km"}).margin_db;
    cr_expect(far_db - near_db > 20 && far_db - near_db < 40);
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
        {"brick|12km", {0}, "length-too-far", 2, "'12km' is farther than this is for, 4096 m"},
        {"12|km", {0}, "length-too-far", 1, "'12 km'"},
        {"-5m", {0}, "length-none", 1, "write one above 0"},
        {"0m", {0}, "length-none", 1, "write one above 0"},
        {"0|m", {0}, "length-none", 1, "'0 m'"},
        {"-5", {0}, "number-without-unit", 1, "12m, 40ft or 16paces"},
        {"12,5|m", {0}, "word-comma", 1, "12.5m"},
        {"12ft6kg", {0}, "number-without-unit", 1, "12m, 40ft or 16paces"},
        {"12m|brick, brik", {0}, "word-unknown", 2, "did you mean 'brick'?"},
        {"12m|smok", {0}, "word-unknown", 2, "did you mean 'smoke'?"},
        {"12m|868-10mw|345-us", {0}, "said-twice", 3, "radio beside '868-10mw'; give one"},
        {"12m|868|433", {0}, "said-twice", 3, "'433' is a second radio beside '868'"},
        {"12m|868|345-us", {0}, "said-twice", 3, "'345-us' is a second radio beside '868'"},
        {"12m|345-us|868", {0}, "said-twice", 3, "'868' is a second radio beside '345-us'"},
        {"12m|345-us", {.band_mhz = 868}, "said-twice", 3, "second radio beside '345-us'"},
        {"12m|433", {.band_mhz = 868}, "said-twice", 3, "'868' is a second radio"},
        {"12m|body|metal-frame", {0}, "said-twice", 3, "second mount beside 'body'"},
        {"12m|body", {.mount = "metal frame"}, "said-twice", 3, "second mount beside 'body'"},
        {"12m|hall|office", {0}, "said-twice", 3, "second environment beside 'hall'"},
        {"12m|smoke|heat", {0}, "said-twice", 3, "second kind of device beside 'smoke'"},
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

/* The same said twice is no conflict. */
Test(words, agreement_is_no_fault) {
    static const struct {
        const char *text;
        earshot_reach reach;
    } rows[] = {{"12m|868|868-25mw|868", {.band_mhz = 868}},
                {"12m|body|body", {.mount = "body"}},
                {"12m|office|office", {0}},
                {"12m|smoke|smoke-detector", {0}}};
    for (size_t i = 0; i < COUNT(rows); i++)
        cr_expect_float_eq(ask(rows[i].text, rows[i].reach).distance_m, 12, 1e-12);
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
