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

static const char *const lengths[] = {"1m", "12m", "40ft", "16paces", "400m", "0.3m"};
static const char *const environments[] = {"dwelling", "office", "hall", "racking"};
static const char *const mounts[] = {"wall", "floor-level", "metal-frame", "inside-metal",
                                     "body"};
static const char *const radios[] = {"868-10mw", "433-fob", "345-us", "915-us", "315"};
static const char *const crossed[] = {"brick", "concrete", "timber floor", "floor", "?",
                                      "door",  "window",   "foil",         "stud",  "cladding",
                                      "lift",  "cavity",   "front door",   "stone"};
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
    cr_expect_not_null(strstr(earshot_text_data(text),
                              "Heard 10 of 10 shows by itself only 74 % or better, 95 % sure"));
    earshot_text_free(text);
    text = written(&(earshot_reach){.words = words, .n_words = 2, .heard = 2, .trips = 10});
    cr_expect_not_null(strstr(earshot_text_data(text), "far fewer than these words allow"));
    earshot_text_free(text);
}
