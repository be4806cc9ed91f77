/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_reach.c - one link from words, for somebody on the phone: seven lines at most, whatever
 * is asked.
 */
#include "earshot/earshot.h"

#include <criterion/criterion.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const lengths[] = {"1m",   "12m",  "40ft",   "16paces",
                                      "400m", "0.3m", "12'6\"", "4096m"};
static const char *const environments[] = {"dwelling", "office", "hall", "racking"};
static const char *const mounts[] = {"wall", "floor-level", "metal-frame", "inside-metal",
                                     "body"};
static const char *const radios[] = {"868-10mw", "433-fob", "345-us", "915-us", "315"};
static const char *const crossed[] = {"brick", "concrete", "timber floor", "floor", "?",
                                      "door",  "window",   "foil",         "stud",  "cladding",
                                      "lift",  "cavity",   "front door",   "stone"};
static const char *const types[] = {"smoke", "co", "flood", "panic button", "motion", "fob"};
static const char *const claims[] = {"500m", "90m", "1500ft"};

static const char *any(const char *const *words, size_t n, gsl_rng *rng) {
    return words[gsl_rng_uniform_int(rng, n)];
}

/* The report on one link; the test fails when the words are not understood. */
static earshot_text *written(const earshot_reach *reach) {
    earshot_findings *findings = earshot_findings_new();
    earshot_text *text = earshot_text_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    enum earshot_status status = earshot_survey_new(reach, NULL, 0, findings, &survey);
    cr_assert_eq(status, EARSHOT_OK, "%s",
                 earshot_findings_count(findings) ? earshot_findings_at(findings, 0).sentence
                                                  : "");
    cr_assert_eq(earshot_belief_prior(survey, &belief), EARSHOT_OK);
    cr_assert_eq(earshot_reach_write(survey, belief, findings, EARSHOT_PLAIN, text),
                 EARSHOT_OK);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return text;
}

static bool begins_with_a_verdict(const char *text) {
    static const char *const verdicts[] = {"Firm: ", "Thin: ", "Won't reach: ", "Not judged: "};
    for (size_t i = 0; i < COUNT(verdicts); i++)
        if (strncmp(text, verdicts[i], strlen(verdicts[i])) == 0)
            return true;
    return false;
}

Test(reach, seven_lines_at_most) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(rng, 1);
    for (int trial = 0; trial < 400; trial++) {
        const char *words[20];
        earshot_reach reach = {.words = words};
        words[reach.n_words++] = any(lengths, COUNT(lengths), rng);
        if (gsl_rng_uniform_int(rng, 2))
            words[reach.n_words++] = any(environments, COUNT(environments), rng);
        if (gsl_rng_uniform_int(rng, 2))
            words[reach.n_words++] = any(radios, COUNT(radios), rng);
        if (gsl_rng_uniform_int(rng, 2))
            words[reach.n_words++] = any(mounts, COUNT(mounts), rng);
        if (gsl_rng_uniform_int(rng, 2))
            words[reach.n_words++] = any(types, COUNT(types), rng);
        for (size_t n = gsl_rng_uniform_int(rng, 9); n > 0; n--)
            words[reach.n_words++] = any(crossed, COUNT(crossed), rng);
        if (gsl_rng_uniform_int(rng, 3) == 0)
            reach.rated_range = any(claims, COUNT(claims), rng);
        if (gsl_rng_uniform_int(rng, 2)) {
            reach.trips = 1 + (unsigned)gsl_rng_uniform_int(rng, 20);
            reach.heard = (unsigned)gsl_rng_uniform_int(rng, reach.trips + 1);
        }
        earshot_text *text = written(&reach);
        size_t n_lines = 0;
        for (const char *at = earshot_text_data(text); *at; at++)
            n_lines += *at == '\n';
        cr_expect(n_lines >= 4 && n_lines <= 7, "%zu lines:\n%s", n_lines,
                  earshot_text_data(text));
        cr_expect(begins_with_a_verdict(earshot_text_data(text)), "%s",
                  earshot_text_data(text));
        cr_expect_eq(earshot_text_data(text)[earshot_text_size(text) - 1], '\n');
        earshot_text_free(text);
    }
    gsl_rng_free(rng);
}

/* All ten trips heard show by themselves no more than 0.05^(1/10) = 74 % at 95 %: the rule of
 * the exact binomial bound. */
Test(reach, what_trips_show) {
    static const char *const words[] = {"12m", "brick"};
    earshot_text *text =
        written(&(earshot_reach){.words = words, .n_words = 2, .heard = 10, .trips = 10});
    cr_expect_not_null(
        strstr(earshot_text_data(text),
               "Trips: heard 10 of 10 shows by itself only 74 % or better, 95 % sure"));
    earshot_text_free(text);
    text = written(&(earshot_reach){.words = words, .n_words = 2, .heard = 2, .trips = 10});
    cr_expect_not_null(
        strstr(earshot_text_data(text), "heard 2 of 10, though these words predict"));
    earshot_text_free(text);
}

/* The report on words parted by blanks; `heard` of `trips`. */
static earshot_text *told(const char *string, unsigned heard, unsigned trips) {
    return written(
        &(earshot_reach){.words = &string, .n_words = 1, .heard = heard, .trips = trips});
}

static void expect_told(const char *string, unsigned heard, unsigned trips, const char *want,
                        bool there) {
    earshot_text *text = told(string, heard, trips);
    cr_expect_eq(strstr(earshot_text_data(text), want) != NULL, there, "%s, '%s':\n%s", string,
                 want, earshot_text_data(text));
    earshot_text_free(text);
}

/* What guards life keeps 14 dB and is cautioned, whatever was predicted or heard. */
Test(reach, life_safety_is_cautioned) {
    static const char *const guards[] = {"smoke", "heat", "co", "flood", "panic"};
    for (size_t i = 0; i < COUNT(guards); i++) {
        char string[40] = "12m brick ";
        strcat(string, guards[i]);
        expect_told(string, 0, 0, "Life safety: a prediction is no sign-off; test it on its",
                    true);
        expect_told(string, 0, 0, "and 14 dB of it is kept", true);
        expect_told(string, 10, 10, "Life safety: ", true);
        expect_told(string, 0, 10, "Life safety: ", true);
    }
    expect_told("12m brick motion", 0, 0, "ife safety", false);
    expect_told("12m brick motion", 0, 0, "and 10 dB of it is kept", true);
}

/* Trips that speak against the words: one sentence, which does not praise what is to spare. */
Test(reach, one_sentence_of_few_heard) {
    static const struct {
        const char *string;
        unsigned heard, trips;
        const char *first;
    } rows[] = {
        {"12m", 0, 1, "Thin: heard 0 of 1, though these words predict "},
        {"12m", 0, 3, "Won't reach: heard 0 of 3, though these words predict "},
        {"12m brick", 0, 10, "Won't reach: heard 0 of 10, though these words predict "},
        {"12m brick", 2, 10, "Won't reach: heard 2 of 10, though these words predict "},
        {"12m brick", 6, 10, "Thin: heard 6 of 10, though these words predict "},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        earshot_text *text = told(rows[i].string, rows[i].heard, rows[i].trips);
        const char *data = earshot_text_data(text);
        size_t line = strcspn(data, "\n");
        cr_expect_eq(strncmp(data, rows[i].first, strlen(rows[i].first)), 0, "%s", data);
        const char *spare = strstr(data, "to spare");
        cr_expect(!spare || (size_t)(spare - data) > line, "%s", data);
        cr_expect_null(strstr(data, "such houses"), "%s", data);
        earshot_text_free(text);
    }
}

/* 500 of 1,000 heard fix a margin within a fraction of a dB by arithmetic; nobody knows one so
 * well. */
Test(reach, never_sure_to_less_than_a_decibel) {
    expect_told("150m 4 concrete", 500, 1000, "give or take 1.", true);
    expect_told("150m 4 concrete", 500, 1000, "give or take 0", false);
}

Test(reach, how_many_houses) {
    expect_told("1m", 0, 0, "Holds in nearly all such houses.", true);
    expect_told("1m office", 0, 0, "Holds in nearly all such buildings.", true);
    expect_told("4000m 4 cladding", 0, 0, "Holds in hardly any such houses.", true);
    expect_told("1m", 0, 0, "10 of ten", false);
}

/* What was not said is told: the radio and why that one, and a distance under 1 m. */
Test(reach, what_was_assumed) {
    expect_told("40ft", 0, 0,
                "no radio is named, so 345-us is taken, of a band that is usual where people "
                "measure in feet",
                true);
    expect_told("12m", 0, 0, "no radio is named, so 868-10mw is taken, the first of the", true);
    expect_told("40ft 915", 0, 0, "no radio is named", false);
    expect_told("12m 868-10mw", 0, 0, "no radio is named", false);
    expect_told("0.5m", 0, 0, "under 1 m counts as 1 m", true);
    expect_told("1m", 0, 0, "under 1 m", false);
    expect_told("61m", 0, 0, "past 60 m this is outside what the model is made for", true);
    expect_told("60m", 0, 0, "past 60 m", false);
    /* past 103 m plane earth is more than 31.2 + 21 log10 d at 868 MHz */
    expect_told("110m 868", 0, 0, ", ground ", true);
    expect_told("100m 868", 0, 0, "ground", false);
}

/* Advice to count trips does not tell how many were heard. */
Test(reach, trips_are_asked_for_openly) {
    expect_told("12m brick", 0, 0, "add --heard K/10, K the times it was heard", true);
    expect_told("12m brick", 0, 0, "10/10", false);
    expect_told("12m brick", 8, 10, "--heard", false);
}
