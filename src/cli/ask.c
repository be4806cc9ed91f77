/* SPDX-License-Identifier: GPL-3.0-or-later */
/* ask.c - a few questions on a terminal, for somebody who was given no words.
 */
#include <stdio.h>
#include <string.h>

#include "cli.h"

size_t cli_break_words(char *answer, const char **words, size_t n, size_t capacity) {
    static const char between[] = " ,\t\r\n";
    for (char *at = answer + strspn(answer, between); *at && n < capacity;) {
        words[n++] = at;
        at += strcspn(at, between);
        if (*at)
            *at++ = '\0';
        at += strspn(at, between);
    }
    return n;
}

bool cli_ask_line(const char *question, char *answer, size_t answer_size) {
    fputs(question, stdout);
    fflush(stdout);
    if (!fgets(answer, (int)answer_size, stdin))
        return false;
    if (!strchr(answer, '\n')) /* the rest of a long line is no answer to what is asked next */
        for (int c = getchar(); c != EOF && c != '\n';)
            c = getchar();
    answer[strcspn(answer, "\r\n")] = '\0';
    return true;
}

size_t cli_ask(const char *const *questions, size_t n_questions, size_t answer_size,
               char *answers, const char **words, size_t capacity) {
    size_t n = 0;
    for (size_t i = 0; i < n_questions; i++) {
        char *answer = answers + i * answer_size;
        if (!cli_ask_line(questions[i], answer, answer_size))
            break;
        n = cli_break_words(answer, words, n, capacity);
    }
    return n;
}
