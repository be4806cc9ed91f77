/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_findings.c - the list of findings: its order, its folding, its limits. */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "findings.h"
#include "shortage.h"

/* For the tests: an error with three slots, and a note with one. */
static const enum findings_code error_code = FINDINGS_HEADER_TWICE;
static const enum findings_code note_code = FINDINGS_AND_MORE;

static void add(earshot_findings *list, enum findings_code code, const char *file,
                unsigned order, unsigned line, unsigned column, const char *value) {
    findings_add(list, code,
                 (findings_place){.file = file, .order = order, .line = line, .column = column},
                 (const char *const[FINDINGS_N_SLOTS]){value, "A", "B"});
}

Test(findings, an_empty_list) {
    earshot_findings *list = earshot_findings_new();
    cr_assert_not_null(list);
    cr_expect_eq(earshot_findings_count(list), 0);
    cr_expect_eq(earshot_findings_errors(list), 0);
    cr_expect_not(findings_lost(list));
    earshot_findings_free(list);
    earshot_findings_free(NULL);
}

Test(findings, sorted_whatever_the_order_of_arrival) {
    static const struct {
        const char *file;
        unsigned order, line, column;
        const char *value;
    } sorted[] = {
        {"site.csv", 0, 9, 1, "a"},    {"walls.csv", 1, 0, 0, "b"},
        {"walls.csv", 1, 2, 0, "c"},   {"walls.csv", 1, 2, 11, "d"},
        {"walls.csv", 1, 10, 1, "e"},  {"devices.csv", 2, 1, 1, "f"},
        {"devices.csv", 2, 1, 2, "g"}, {"doors.csv", 2, 1, 1, "h"},
    };
    enum { N = sizeof sorted / sizeof sorted[0] };
    for (size_t step = 1; step < N; step += 2) { /* N is 8: every odd step visits all */
        earshot_findings *list = earshot_findings_new();
        for (size_t i = 0; i < N; i++) {
            size_t k = i * step % N;
            add(list, error_code, sorted[k].file, sorted[k].order, sorted[k].line,
                sorted[k].column, sorted[k].value);
        }
        cr_assert_eq(earshot_findings_count(list), N);
        cr_expect_eq(earshot_findings_errors(list), N);
        for (size_t i = 0; i < N; i++) {
            earshot_finding got = earshot_findings_at(list, i);
            cr_expect_str_eq(got.file, sorted[i].file);
            cr_expect_eq(got.line, sorted[i].line);
            cr_expect_eq(got.column, sorted[i].column);
            cr_expect_eq(got.sentence[1], sorted[i].value[0], "%s", got.sentence);
            cr_expect_eq(got.severity, EARSHOT_ERROR);
            cr_expect_str_eq(got.code, "header-twice");
            cr_expect_eq(got.times, 1);
        }
        earshot_findings_free(list);
    }
}

Test(findings, one_place_sorts_by_code_and_then_by_arrival) {
    earshot_findings *list = earshot_findings_new();
    add(list, error_code, "a.csv", 0, 3, 1, "second");
    add(list, error_code, "a.csv", 0, 3, 1, "third");
    add(list, note_code, "a.csv", 0, 3, 1, "first");
    cr_assert(note_code < error_code);
    cr_assert_eq(earshot_findings_count(list), 3);
    cr_expect_eq(earshot_findings_errors(list), 2);
    cr_expect(strstr(earshot_findings_at(list, 0).sentence, "first") != NULL);
    cr_expect(strstr(earshot_findings_at(list, 1).sentence, "second") != NULL);
    cr_expect(strstr(earshot_findings_at(list, 2).sentence, "third") != NULL);
    earshot_findings_free(list);
}

Test(findings, sentences) {
    char value[400];
    memset(value, 'x', sizeof value);
    value[sizeof value - 1] = '\0';
    memcpy(value + 239, "\xE2\x82\xAC", 3); /* a euro sign across the limit of 240 bytes */
    static const char tail[] =
        "' is the name of column A and of column B; rename or delete one of "
        "them";
    earshot_findings *list = earshot_findings_new();
    add(list, error_code, "a.csv", 0, 1, 1, "x_m");
    add(list, error_code, "a.csv", 0, 2, 1, "two\r\nlines\tand {2}\x7F");
    add(list, error_code, "a.csv", 0, 3, 1, value);
    add(list, error_code, "a.csv", 0, 4, 1, "gr\xFCn\xC2\x9B\x1B[2J");
    char want[400];
    snprintf(want, sizeof want, "'x_m%s", tail);
    cr_expect_str_eq(earshot_findings_at(list, 0).sentence, want);
    snprintf(want, sizeof want, "'two  lines and {2} %s", tail);
    cr_expect_str_eq(earshot_findings_at(list, 1).sentence, want);
    snprintf(want, sizeof want, "'%.239s...%s", value, tail);
    cr_expect_str_eq(earshot_findings_at(list, 2).sentence, want);
    snprintf(want, sizeof want, "'gr?n   [2J%s", tail);
    cr_expect_str_eq(earshot_findings_at(list, 3).sentence, want);
    earshot_findings_free(list);
}

/* A file may be called anything; two names that look alike are two files all the same. */
Test(findings, names_of_files) {
    earshot_findings *list = earshot_findings_new();
    for (unsigned line = 1; line <= 2; line++) {
        add(list, note_code, "\x1B.csv", 0, line, 1, "v");
        add(list, note_code, "\n.csv", 0, line, 1, "v");
    }
    cr_assert_eq(earshot_findings_count(list), 2);
    for (size_t i = 0; i < 2; i++) {
        cr_expect_str_eq(earshot_findings_at(list, i).file, " .csv");
        cr_expect_eq(earshot_findings_at(list, i).times, 2);
    }
    earshot_findings_free(list);
}

Test(findings, equal_notes_fold_and_errors_do_not) {
    earshot_findings *list = earshot_findings_new();
    for (unsigned line = 1; line <= 5; line++) {
        add(list, note_code, "a.csv", 0, line, 2, "3");
        add(list, error_code, "a.csv", 0, line, 1, "3");
    }
    add(list, note_code, "a.csv", 0, 2, 2, "4"); /* another sentence */
    add(list, note_code, "b.csv", 0, 2, 2, "3"); /* another file of the same order */
    add(list, note_code, "a.csv", 1, 2, 2, "3"); /* another order */
    cr_assert_eq(earshot_findings_count(list), 5 + 1 + 3);
    cr_expect_eq(earshot_findings_errors(list), 5);
    earshot_finding folded = earshot_findings_at(list, 1);
    cr_expect_eq(folded.severity, EARSHOT_NOTE);
    cr_expect_eq(folded.line, 1);
    cr_expect_eq(folded.times, 5);
    cr_expect_eq(earshot_findings_at(list, 0).times, 1);
    earshot_findings_free(list);
}

static void add_aside(earshot_findings *list, unsigned line, const char *value) {
    findings_add(list, error_code,
                 (findings_place){.file = "a.csv", .line = line, .column = 1, .aside = true},
                 (const char *const[FINDINGS_N_SLOTS]){value, "A", "B"});
}

/* One cell that two tables read is one fault; another word in it, or the next cell, is another.
 */
Test(findings, an_error_of_one_cell_is_told_once) {
    earshot_findings *list = earshot_findings_new();
    add(list, error_code, "paths.csv", 0, 2, 5, "a");
    add(list, error_code, "paths.csv", 0, 2, 5, "b");
    add(list, error_code, "paths.csv", 0, 2, 5, "a");
    cr_expect_eq(earshot_findings_errors(list), 2);
    add(list, error_code, "paths.csv", 0, 2, 6, "a");
    add(list, error_code, "walls.csv", 1, 2, 5, "a");
    cr_expect_eq(earshot_findings_errors(list), 4);
    cr_expect_eq(earshot_findings_count(list), 4);
    earshot_findings_free(list);
}

Test(findings, an_error_set_aside_is_a_note) {
    earshot_findings *list = earshot_findings_new();
    add_aside(list, 3, "v");
    cr_assert_eq(earshot_findings_count(list), 1);
    cr_expect_eq(earshot_findings_errors(list), 0);
    earshot_finding aside = earshot_findings_at(list, 0);
    cr_expect_eq(aside.severity, EARSHOT_NOTE);
    cr_expect_str_eq(aside.code, "header-twice");
    cr_expect_eq(aside.line, 3);
    earshot_findings_free(list);
}

Test(findings, errors_set_aside_fold_as_notes_do) {
    earshot_findings *list = earshot_findings_new();
    add(list, error_code, "a.csv", 0, 1, 1, "v");
    add_aside(list, 2, "v"); /* the same, but no note stands there yet */
    add_aside(list, 3, "v");
    add_aside(list, 4, "w"); /* another sentence */
    add(list, error_code, "a.csv", 0, 5, 1, "v");
    static const struct {
        enum earshot_severity severity;
        unsigned line, times;
    } want[] = {{EARSHOT_ERROR, 1, 1},
                {EARSHOT_NOTE, 2, 2},
                {EARSHOT_NOTE, 4, 1},
                {EARSHOT_ERROR, 5, 1}};
    cr_assert_eq(earshot_findings_count(list), sizeof want / sizeof want[0]);
    cr_expect_eq(earshot_findings_errors(list), 2);
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        earshot_finding got = earshot_findings_at(list, i);
        cr_expect_eq(got.severity, want[i].severity, "%zu", i);
        cr_expect_eq(got.line, want[i].line, "%zu", i);
        cr_expect_eq(got.times, want[i].times, "%zu", i);
    }
    earshot_findings_free(list);
}

/* A full file says how many more of each there were: an error set aside is no error there
 * either, so that it never stops an answer. */
Test(findings, errors_set_aside_past_the_thousand_are_notes) {
    earshot_findings *list = earshot_findings_new();
    for (unsigned i = 0; i < 1003; i++) {
        char value[16];
        snprintf(value, sizeof value, "%u", i);
        add_aside(list, i + 1, value);
    }
    cr_assert_eq(earshot_findings_count(list), 1001);
    cr_expect_eq(earshot_findings_errors(list), 0);
    cr_expect_str_eq(earshot_findings_at(list, 1000).code, "and-more");
    cr_expect_str_eq(earshot_findings_at(list, 1000).sentence,
                     "and 3 more in this file; mend the first ones and run again");
    add(list, error_code, "a.csv", 0, 9, 1, "v");
    cr_expect_eq(earshot_findings_errors(list), 1);
    earshot_findings_free(list);
}

Test(findings, a_file_keeps_a_thousand) {
    enum { N = 1234 };
    earshot_findings *list = earshot_findings_new();
    add(list, error_code, "b.csv", 1, 1, 1, "other");
    for (unsigned i = 0; i < N; i++) {
        char value[16];
        snprintf(value, sizeof value, "%u", i);
        add(list, error_code, "a.csv", 0, N - i, 1, value);
    }
    for (unsigned i = 0; i < 7; i++) {
        char value[16];
        snprintf(value, sizeof value, "n%u", i);
        add(list, note_code, "a.csv", 0, 1, 1, value);
    }
    cr_assert_eq(earshot_findings_count(list), 1000 + 2 + 1);
    cr_expect_eq(earshot_findings_errors(list), 1000 + 1 + 1);
    cr_expect_eq(earshot_findings_at(list, 0).line, N - 999);
    cr_expect_eq(earshot_findings_at(list, 999).line, N);
    earshot_finding notes = earshot_findings_at(list, 1000);
    cr_expect_str_eq(notes.code, "and-more");
    cr_expect_eq(notes.severity, EARSHOT_NOTE);
    cr_expect_str_eq(notes.sentence,
                     "and 7 more in this file; mend the first ones and run again");
    cr_expect_eq(notes.line, 0);
    earshot_finding errors = earshot_findings_at(list, 1001);
    cr_expect_str_eq(errors.code, "and-more-errors");
    cr_expect_eq(errors.severity, EARSHOT_ERROR);
    cr_expect_str_eq(errors.file, "a.csv");
    cr_expect_str_eq(errors.sentence,
                     "and 234 more in this file; mend the first ones and run again");
    cr_expect_str_eq(earshot_findings_at(list, 1002).file, "b.csv");
    earshot_findings_free(list);
}

Test(findings, a_full_file_still_folds_notes) {
    earshot_findings *list = earshot_findings_new();
    add(list, note_code, "a.csv", 0, 1, 1, "same");
    for (unsigned i = 1; i < 1000; i++) {
        add(list, error_code, "a.csv", 0, i, 1, "e");
    }
    add(list, note_code, "a.csv", 0, 2000, 1, "same");
    cr_expect_eq(earshot_findings_count(list), 1000);
    cr_expect_eq(earshot_findings_at(list, 0).times, 2);
    earshot_findings_free(list);
}

/* Thirty files, each full, their findings coming in turn and backward: the worst for a list
 * kept sorted. It has to be done long before the test runner loses its patience. */
Test(findings, thirty_thousand, .timeout = 30) {
    earshot_findings *list = earshot_findings_new();
    for (unsigned i = 0; i < 30000; i++) {
        char file[16];
        snprintf(file, sizeof file, "%u.csv", i % 30);
        add(list, error_code, file, i % 30, 1000 - i / 30, 1, "v");
    }
    cr_assert_eq(earshot_findings_count(list), 30000);
    for (size_t i = 0; i < 30000; i++) {
        cr_assert_eq(earshot_findings_at(list, i).line, i % 1000 + 1);
    }
    earshot_findings_free(list);
}

Test(findings, memory_running_out_is_an_error_that_stands_first) {
    for (long n = 0; n < 5;
         n++) { /* the file, the finding and the list are three allocations */
        earshot_findings *list = earshot_findings_new();
        shortage_begin(n);
        add(list, error_code, "a.csv", 0, 1, 1, "v");
        bool short_of_memory = shortage_end() > 0;
        cr_expect_eq(short_of_memory, n < 3);
        cr_expect_eq(findings_lost(list) != 0, short_of_memory);
        cr_assert_eq(earshot_findings_count(list), 1);
        cr_expect_eq(earshot_findings_errors(list), 1);
        cr_expect_str_eq(earshot_findings_at(list, 0).code,
                         short_of_memory ? "memory" : "header-twice");
        add(list, error_code, "a.csv", 0, 1, 1, "w"); /* the list goes on */
        cr_assert_eq(earshot_findings_count(list), 2);
        cr_expect_str_eq(earshot_findings_at(list, 1).file, "a.csv");
        earshot_findings_free(list);
    }
    shortage_begin(0);
    cr_expect_null(earshot_findings_new());
    shortage_end();

    earshot_findings *list = earshot_findings_new();
    findings_add(list, FINDINGS_MEMORY, (findings_place){.file = "a.csv"}, NULL);
    cr_assert_eq(earshot_findings_count(list), 1);
    earshot_finding memory = earshot_findings_at(list, 0);
    cr_expect_eq(memory.severity, EARSHOT_ERROR);
    cr_expect_str_eq(memory.file, "");
    cr_expect_str_eq(memory.sentence,
                     "memory ran out; close other programs or split the survey");
    earshot_findings_free(list);
}

/* The rules at the head of codes.h. */
Test(findings, codes_and_sentences_keep_the_rules) {
#define FINDING(name, severity, code, sentence) {code, sentence},
    static const struct {
        const char *code, *sentence;
    } kinds[] = {
#include "codes.h"
    };
#undef FINDING
    for (size_t i = 0; i < FINDINGS_N_CODES; i++) {
        const char *sentence = kinds[i].sentence;
        cr_expect(sentence[0] != '\0' && !(sentence[0] >= 'A' && sentence[0] <= 'Z'), "%s",
                  sentence);
        cr_expect_neq(sentence[strlen(sentence) - 1], '.', "%s", sentence);
        cr_expect_eq(strspn(kinds[i].code, "abcdefghijklmnopqrstuvwxyz0123456789-"),
                     strlen(kinds[i].code), "%s", kinds[i].code);
        for (size_t j = 0; j < i; j++) {
            cr_expect_str_neq(kinds[i].code, kinds[j].code);
        }
    }
}
