/* SPDX-License-Identifier: GPL-3.0-or-later */
/* show.c - findings with the line they are about, and answers to stdout.
 */
#include <stdio.h>
#include <string.h>

#include "cli.h"
#include "text.h"

enum { FIRST_FEW = 5, LONGEST_LINE = 200 };

/* The bytes of line `number` of a file, without its end: LF, CR LF or a CR alone, as the tables
 * count them. */
static const char *line_of(const earshot_bytes *file, unsigned number, size_t *length) {
    const char *at = file->data, *end = at + file->size;
    for (; number > 1 && at < end; at++)
        if (*at == '\n' || (*at == '\r' && (at + 1 == end || at[1] != '\n')))
            number--;
    const char *stop = at;
    while (stop < end && *stop != '\n' && *stop != '\r')
        stop++;
    *length = (size_t)(stop - at);
    return at;
}

static const earshot_bytes *file_called(const cli_folder *folder, const char *name) {
    for (size_t i = 0; i < folder->n_tables; i++)
        if (strcmp(folder->tables[i].name, name) == 0)
            return &folder->tables[i];
    return NULL;
}

/* The line, and a mark under the column; nothing for lines too long to be looked at, or with
 * bytes that a terminal might act on. */
static void show_line(const cli_folder *folder, const earshot_finding *finding) {
    const earshot_bytes *file = file_called(folder, finding->file);
    size_t length;
    if (!file || !finding->line || !finding->column)
        return;
    const char *line = line_of(file, finding->line, &length);
    if (length > LONGEST_LINE || text_line_valid(line, length) != length)
        return;
    fprintf(stderr, "    %.*s\n    %*s\n", (int)length, line, (int)finding->column, "^");
}

static void show(const cli_folder *folder, const earshot_finding *finding) {
    fputs(finding->file, stderr);
    if (finding->line)
        fprintf(stderr, ":%u", finding->line);
    if (finding->line && finding->column)
        fprintf(stderr, ":%u", finding->column);
    fprintf(stderr, ": %s%s", finding->severity == EARSHOT_NOTE ? "note: " : "",
            finding->sentence);
    if (finding->times > 1)
        fprintf(stderr, " (%u times)", finding->times);
    fputs("\n", stderr);
    show_line(folder, finding);
}

void cli_show_findings(const earshot_findings *findings, const cli_folder *folder, bool all,
                       const char *command) {
    size_t n = earshot_findings_count(findings), errors = earshot_findings_errors(findings);
    size_t shown = 0;
    for (size_t i = 0; i < n; i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        bool error = finding.severity == EARSHOT_ERROR;
        if (!all && (!error || shown == FIRST_FEW))
            continue;
        show(folder, &finding);
        shown += error;
    }
    if (shown < errors)
        fprintf(stderr, "%zu more: %s\n", errors - shown, command);
}

enum cli_exit cli_refuse_words(const earshot_findings *findings, const cli_folder *folder,
                               const cli_verb *verb) {
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        if (finding.severity != EARSHOT_ERROR)
            continue;
        if (file_called(folder, finding.file))
            fprintf(stderr, "%s: %s\n", finding.file, finding.sentence);
        else
            fprintf(stderr, "earshot %s: %s\n", verb->name, finding.sentence);
    }
    fprintf(stderr, "see: earshot %s --help\n", verb->name);
    return CLI_INVALID;
}

enum cli_exit cli_status_of(enum earshot_status status, const earshot_findings *findings,
                            const cli_folder *folder, const cli_verb *verb) {
    return status == EARSHOT_INVALID ? cli_refuse_words(findings, folder, verb)
                                     : cli_status(status);
}

static enum cli_exit print(const earshot_text *text) {
    cli_hold();
    fwrite(earshot_text_data(text), 1, earshot_text_size(text), stdout);
    bool good = fflush(stdout) == 0 && !ferror(stdout);
    cli_let_go();
    if (good)
        return CLI_DONE;
    fprintf(stderr, "earshot: the answer could not be written to standard output\n");
    return CLI_FILE;
}

enum cli_exit cli_answer(enum earshot_form form, const char *out, const earshot_text *text) {
    bool plain = form == EARSHOT_PLAIN || form == EARSHOT_PLAIN_ALL;
    if (out)
        return cli_save_file(out, earshot_text_data(text), earshot_text_size(text)) ? CLI_DONE
                                                                                    : CLI_FILE;
    enum cli_screen screen = plain ? cli_screen_of_stdout() : CLI_NO_SCREEN;
    if (screen == CLI_NO_SCREEN)
        return print(text);
    earshot_text *fitted = earshot_text_new();
    enum cli_exit result = fitted && cli_fit_screen(text, screen, fitted)
                               ? print(fitted)
                               : cli_status(EARSHOT_NO_MEMORY);
    earshot_text_free(fitted);
    return result;
}

enum cli_exit cli_status(enum earshot_status status) {
    switch (status) {
    case EARSHOT_OK:
        return CLI_DONE;
    case EARSHOT_INVALID:
        return CLI_INVALID;
    case EARSHOT_NO_MEMORY:
        fprintf(stderr, "earshot: memory ran out; close other programs and try again\n");
        return CLI_INTERNAL;
    case EARSHOT_STOPPED:
        return CLI_STOPPED;
    case EARSHOT_MISUSE:
        break;
    }
    fprintf(stderr, "earshot: a fault of the program; please report what you ran\n");
    return CLI_INTERNAL;
}

enum cli_exit cli_give(enum earshot_status status, enum earshot_form form, const char *out,
                       const earshot_text *text) {
    return status == EARSHOT_OK ? cli_answer(form, out, text) : cli_status(status);
}

static const char *first_error(const earshot_findings *findings) {
    size_t i = 0;
    while (earshot_findings_at(findings, i).severity != EARSHOT_ERROR)
        i++;
    return earshot_findings_at(findings, i).code;
}

enum cli_exit cli_refuse_survey(const char *path, const earshot_findings *findings,
                                const cli_folder *folder, enum earshot_form form, bool all,
                                const char *out, earshot_text *text) {
    char command[300];
    if (form == EARSHOT_JSON || form == EARSHOT_CSV) {
        enum earshot_status status = earshot_findings_write(path, findings, form, text);
        enum cli_exit printed = cli_give(status, form, out, text);
        return printed == CLI_DONE ? CLI_INVALID : printed;
    }
    snprintf(command, sizeof command, "earshot check %s --all-faults", path);
    cli_show_findings(findings, folder, all, command);
    size_t n = earshot_findings_errors(findings);
    fprintf(stderr, "%zu %s in %s; no margins until %s mended\n", n,
            n == 1 ? "fault" : "faults", path, n == 1 ? "it is" : "they are");
    fprintf(stderr, "an example of the first: earshot help %s\n", first_error(findings));
    return CLI_INVALID;
}
