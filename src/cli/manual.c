/* SPDX-License-Identifier: GPL-3.0-or-later */
/* manual.c - earshot(1), a page for each verb, and those of tables and findings.
 */
#include <stdio.h>
#include <string.h>

#include "pages.h"
#include "roff.h"

enum { NAME_SIZE = 40 };

static void name_of(const cli_verb *verb, char out[NAME_SIZE]) {
    snprintf(out, NAME_SIZE, "earshot-%s", verb->name);
}

/* "Says what holds." as the list of all pages wants it: "says what holds". */
static void write_name(const char *page, const char *sentence) {
    size_t length = strlen(sentence);
    char first = sentence[0];
    if (first >= 'A' && first <= 'Z')
        first = (char)(first - 'A' + 'a');
    roff_heading("NAME");
    roff_text(page);
    fputs(" \\- ", stdout);
    roff_bytes(&first, 1);
    roff_bytes(sentence + 1, length - 1 - (sentence[length - 1] == '.'));
    roff_end_line();
}

static void write_sentence(const char *text) {
    roff_text(text);
    roff_end_line();
}

static void write_endings(void) {
    roff_heading("EXIT STATUS");
    for (size_t i = 0; i < cli_n_endings; i++) {
        char code[16];
        snprintf(code, sizeof code, "%d", (int)cli_endings[i].code);
        roff_item();
        roff_bold(code);
        roff_end_line();
        write_sentence(cli_endings[i].meaning);
    }
}

/* The program's page, and those of all verbs but the one. */
static void write_others(const cli_verb *but) {
    roff_heading("SEE ALSO");
    const char *between = "";
    if (but) {
        roff_bold("earshot");
        roff_text("(1)");
        between = ", ";
    }
    for (size_t i = 0; i < cli_n_verbs; i++) {
        char name[NAME_SIZE];
        if (cli_verbs[i] == but)
            continue;
        name_of(cli_verbs[i], name);
        fputs(between, stdout);
        roff_bold(name);
        roff_text("(1)");
        between = ", ";
    }
    roff_end_line();
}

/* ---- a verb ---- */

static void write_usage(const cli_verb *verb) {
    roff_heading("SYNOPSIS");
    for (const char *way = verb->usage; way;) {
        size_t length = strcspn(way, "\n");
        if (way != verb->usage)
            roff_break();
        roff_bold("earshot ");
        roff_bold(verb->name);
        roff_text(" ");
        roff_bytes(way, length);
        roff_end_line();
        way = way[length] ? way + length + 1 : NULL;
    }
}

static void write_option(const cli_option *option) {
    roff_item();
    roff_bold(option->name);
    if (option->value) {
        roff_text(" ");
        roff_italic(option->value);
    }
    roff_end_line();
    write_sentence(option->help);
}

void manual_write_verb(const cli_verb *verb) {
    char name[NAME_SIZE];
    name_of(verb, name);
    roff_title(name, 1, earshot_version());
    write_name(name, verb->summary);
    write_usage(verb);
    roff_heading("DESCRIPTION");
    write_sentence(verb->summary);
    if (verb->about) {
        roff_paragraph();
        write_sentence(verb->about);
    }
    roff_heading("OPTIONS");
    for (size_t i = 0; i < verb->n_options; i++)
        write_option(&verb->options[i]);
    roff_heading("EXAMPLE");
    roff_example(verb->example);
    write_endings();
    write_others(verb);
}

/* ---- the program ---- */

void manual_write_program(void) {
    roff_title("earshot", 1, earshot_version());
    write_name("earshot", cli_purpose);
    roff_heading("SYNOPSIS");
    roff_bold("earshot");
    roff_text(" VERB [words] [options]");
    roff_end_line();
    roff_break();
    roff_bold("earshot help");
    roff_text(" [VERB | TABLE | findings | CODE]");
    roff_end_line();
    roff_break();
    roff_bold("earshot version");
    roff_end_line();
    roff_heading("VERBS");
    for (size_t i = 0; i < cli_n_verbs; i++) {
        roff_item();
        roff_bold(cli_verbs[i]->name);
        roff_end_line();
        write_sentence(cli_verbs[i]->summary);
    }
    roff_heading("EXAMPLE");
    for (size_t i = 0; i < cli_n_verbs; i++) {
        if (i > 0)
            roff_paragraph();
        roff_example(cli_verbs[i]->example);
    }
    write_endings();
    write_others(NULL);
}

/* ---- tables and findings ---- */

/* The same lines as `earshot help` gives. */
static bool write_lines(enum earshot_status status, const earshot_text *text) {
    if (status == EARSHOT_OK)
        roff_lines(earshot_text_data(text), earshot_text_size(text));
    return status == EARSHOT_OK;
}

bool manual_write_tables(void) {
    roff_title("earshot-tables", 5, earshot_version());
    write_name("earshot-tables", "The tables of a survey.");
    roff_heading("DESCRIPTION");
    write_sentence(
        "A survey is a folder of CSV files that open in any spreadsheet. Columns go by "
        "their names, in any order; a length says its unit in the column's name.");
    earshot_text *text = earshot_text_new();
    bool good = text && write_lines(earshot_columns_write(NULL, text), text);
    earshot_text_free(text);
    write_others(NULL);
    return good;
}

bool manual_write_findings(void) {
    earshot_manual entry;
    bool good = true;
    roff_title("earshot-findings", 7, earshot_version());
    write_name("earshot-findings",
               "What is said of a survey, with examples and how to mend them.");
    for (size_t i = 0; good && earshot_manual_at(i, &entry); i++) {
        earshot_text *text = earshot_text_new();
        enum earshot_status status =
            text ? earshot_manual_write(entry.code, text) : EARSHOT_NO_MEMORY;
        roff_heading(entry.code);
        good = write_lines(status, text);
        earshot_text_free(text);
    }
    write_others(NULL);
    return good;
}
