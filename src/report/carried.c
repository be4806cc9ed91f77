/* SPDX-License-Identifier: GPL-3.0-or-later */
/* carried.c - the tables of a survey inside the technician's page, and out of it again.
 *
 * Each is an element <pre hidden data-table="NAME" data-bytes="SIZE" data-sum="CRC-32">, its
 * bytes as base64: browsers and mail programs keep it when they save the page anew, and nothing
 * in it can end the element early. Read back it may come from anybody. So the names that are
 * taken are those of a survey's own files: in its folder or in its folder "materials", a table
 * or a log, no hidden file; nothing that leads elsewhere, and nothing that is a program.
 */
#include <stdlib.h>
#include <string.h>

#include "base64.h"
#include "carried.h"
#include "findings.h"
#include "write.h"

enum { MOST_TABLES = 1000, MOST_NAME = 200 };

struct earshot_carried {
    earshot_bytes *tables;
    size_t n;
};

/* ---- names ---- */

static bool same_letters(const char *a, const char *b, size_t n) {
    size_t i = 0;
    while (i < n && text_lower(a[i]) == text_lower(b[i]))
        i++;
    return i == n;
}

static bool ends_as_table(const char *name, size_t length) {
    static const char *const ends[] = {".csv", ".tsv", ".txt"};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
        if (length > 4 && same_letters(name + length - 4, ends[i], 4))
            return true;
    return false;
}

/* Backslashes, colons and the like part paths, or are refused, on other systems. */
bool carried_name_good(const char *name) {
    static const char materials[] = "materials/";
    const char *file = name;
    if (strncmp(name, materials, sizeof materials - 1) == 0)
        file += sizeof materials - 1;
    size_t length = strlen(file);
    return length > 0 && length <= MOST_NAME && file[0] != '.' && file[0] != ' ' &&
           strcspn(file, "/\\:*?\"<>|") == length && text_line_valid(file, length) == length &&
           ends_as_table(file, length);
}

/* ---- writing ---- */

static void write_sum(uint32_t sum, earshot_text *out) {
    char digits[8];
    for (int i = 0; i < 8; i++)
        digits[i] = "0123456789abcdef"[sum >> (28 - 4 * i) & 15];
    text_add_bytes(out, digits, sizeof digits);
}

static void write_table(const earshot_bytes *table, earshot_text *out) {
    text_add(out, "<pre hidden data-table=\"");
    report_html(out, table->name);
    text_add(out, "\" data-bytes=\"");
    text_add_count(out, table->size);
    text_add(out, "\" data-sum=\"");
    write_sum(base64_sum(table->data, table->size), out);
    text_add(out, "\">\n");
    base64_write(out, table->data, table->size);
    text_add(out, "</pre>\n");
}

/* Of two files of one name the later one counts, as it does for materials. */
static bool named_again(const earshot_bytes *tables, size_t n_tables, size_t i) {
    for (size_t j = i + 1; j < n_tables; j++)
        if (strcmp(tables[i].name, tables[j].name) == 0)
            return true;
    return false;
}

void carried_write(const earshot_bytes *tables, size_t n_tables, earshot_text *out) {
    for (size_t i = 0, n = 0; i < n_tables && n < MOST_TABLES; i++)
        if (carried_name_good(tables[i].name) && !named_again(tables, n_tables, i)) {
            write_table(&tables[i], out);
            n++;
        }
}

/* ---- reading ---- */

/* Where the reader is, and how to say where something is wrong. */
struct reader {
    const char *at, *end;
    findings_place place; /* the line counts to `counted` */
    const char *counted;
    earshot_findings *findings;
    struct earshot_carried *carried;
};

/* Says what is wrong with the element that was read last; `name` may be NULL. */
static void say(const struct reader *reader, enum findings_code code, const char *name) {
    findings_add(reader->findings, code, reader->place, (const char *const[4]){name});
}

static void count_lines(struct reader *reader) {
    for (; reader->counted < reader->at; reader->counted++)
        reader->place.line += *reader->counted == '\n';
}

static bool begins(const struct reader *reader, const char *word) {
    size_t length = strlen(word);
    return (size_t)(reader->end - reader->at) >= length &&
           same_letters(reader->at, word, length);
}

/* Goes behind the next "<pre" that is a whole word. */
static bool find_element(struct reader *reader) {
    const char *next = memchr(reader->at, '<', (size_t)(reader->end - reader->at));
    for (; next; next = memchr(reader->at, '<', (size_t)(reader->end - reader->at))) {
        reader->at = next;
        bool found = begins(reader, "<pre");
        reader->at += found ? 4 : 1;
        if (found && reader->at < reader->end && *reader->at && strchr(" \t\r\n/", *reader->at))
            return true;
    }
    return false;
}

struct attribute {
    const char *name, *value;
    size_t n_name, n_value;
};

static void skip(struct reader *reader, const char *letters) {
    while (reader->at < reader->end && *reader->at && strchr(letters, *reader->at))
        reader->at++;
}

/* All up to one of these letters, or the end. */
static size_t take(struct reader *reader, const char *letters) {
    const char *from = reader->at;
    while (reader->at < reader->end && !(*reader->at && strchr(letters, *reader->at)))
        reader->at++;
    return (size_t)(reader->at - from);
}

/* Takes a name and its value, a letter at least; what has no name is none. */
static void read_attribute(struct reader *reader, struct attribute *out) {
    *out = (struct attribute){.name = reader->at, .value = ""};
    out->n_name = take(reader, "= \t\r\n/>");
    skip(reader, " \t\r\n");
    if (reader->at == reader->end || *reader->at != '=')
        return;
    reader->at++;
    skip(reader, " \t\r\n");
    char quote = reader->at < reader->end ? *reader->at : '\0';
    const char *ends = quote == '"' ? "\"" : quote == '\'' ? "'" : " \t\r\n>";
    reader->at += ends[1] == '\0';
    out->value = reader->at;
    out->n_value = take(reader, ends);
    reader->at += ends[1] == '\0' && reader->at < reader->end;
}

/* The next attribute of the tag; false behind its '>' or at the end. */
static bool next_attribute(struct reader *reader, struct attribute *out) {
    for (;;) {
        skip(reader, " \t\r\n/");
        if (reader->at == reader->end)
            return false;
        if (*reader->at == '>') {
            reader->at++;
            return false;
        }
        read_attribute(reader, out);
        if (out->n_name)
            return true;
    }
}

static bool is_called(const struct attribute *attribute, const char *name) {
    return attribute->n_name == strlen(name) &&
           same_letters(attribute->name, name, attribute->n_name);
}

/* A value with its entities made letters again; NULL when memory ran out. */
static char *plain_value(const struct attribute *attribute) {
    static const struct {
        const char *entity;
        char letter;
    } entities[] = {
        {"&amp;", '&'}, {"&lt;", '<'}, {"&gt;", '>'}, {"&quot;", '"'}, {"&#39;", '\''}};
    char *value = calloc(attribute->n_value + 1, 1), *to = value;
    for (size_t i = 0; value && i < attribute->n_value; i++) {
        *to = attribute->value[i];
        for (size_t j = 0; j < sizeof entities / sizeof *entities; j++) {
            size_t length = strlen(entities[j].entity);
            if (attribute->n_value - i >= length &&
                memcmp(attribute->value + i, entities[j].entity, length) == 0) {
                *to = entities[j].letter;
                i += length - 1;
                break;
            }
        }
        to++;
    }
    return value;
}

/* What the tag says of a table. */
struct announced {
    char *name; /* NULL: it is no table */
    struct attribute bytes, sum;
    bool lost; /* memory ran out */
};

static struct announced read_tag(struct reader *reader) {
    struct announced announced = {.name = NULL};
    struct attribute attribute;
    while (next_attribute(reader, &attribute)) {
        if (is_called(&attribute, "data-table") && !announced.name) {
            announced.name = plain_value(&attribute);
            announced.lost = !announced.name;
        } else if (is_called(&attribute, "data-bytes")) {
            announced.bytes = attribute;
        } else if (is_called(&attribute, "data-sum")) {
            announced.sum = attribute;
        }
    }
    return announced;
}

/* Whether a value is what we would have written. */
static bool agrees(const struct attribute *attribute, const earshot_text *wanted) {
    return !earshot_text_cut(wanted) && attribute->n_value == earshot_text_size(wanted) &&
           memcmp(attribute->value, earshot_text_data(wanted), attribute->n_value) == 0;
}

static enum earshot_status check_whole(const struct announced *announced,
                                       const unsigned char *data, size_t size, bool *whole) {
    earshot_text *bytes = earshot_text_new(), *sum = earshot_text_new();
    enum earshot_status status = EARSHOT_NO_MEMORY;
    if (bytes && sum) {
        text_add_count(bytes, size);
        write_sum(base64_sum(data, size), sum);
        *whole = agrees(&announced->bytes, bytes) && agrees(&announced->sum, sum);
        if (!earshot_text_cut(bytes) && !earshot_text_cut(sum))
            status = EARSHOT_OK;
    }
    earshot_text_free(bytes);
    earshot_text_free(sum);
    return status;
}

static bool is_there(const struct earshot_carried *carried, const char *name) {
    for (size_t i = 0; i < carried->n; i++)
        if (strcmp(carried->tables[i].name, name) == 0)
            return true;
    return false;
}

static bool add_table(struct earshot_carried *carried, char *name, unsigned char *data,
                      size_t size) {
    earshot_bytes *tables =
        realloc(carried->tables, (carried->n + 1) * sizeof *carried->tables);
    if (!tables)
        return false;
    carried->tables = tables;
    tables[carried->n++] = (earshot_bytes){name, data, size};
    return true;
}

/* Takes what stands in the element behind the reader for a table; owns its name then. */
static enum earshot_status take_table(struct reader *reader, struct announced *announced) {
    const char *text = reader->at;
    size_t length = take(reader, "<"), size = 0;
    unsigned char *data = malloc(length / 4 * 3 + 4);
    bool whole = false;
    enum earshot_status status = data ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (data && begins(reader, "</pre") && base64_read(text, length, data, &size))
        status = check_whole(announced, data, size, &whole);
    if (status == EARSHOT_OK && !whole)
        say(reader, FINDINGS_CARRIED_DAMAGED, announced->name);
    if (status == EARSHOT_OK && whole) {
        if (add_table(reader->carried, announced->name, data, size)) {
            announced->name = NULL;
            return EARSHOT_OK;
        }
        status = EARSHOT_NO_MEMORY;
    }
    free(data);
    return status;
}

static enum earshot_status read_element(struct reader *reader) {
    count_lines(reader);
    struct announced announced = read_tag(reader);
    enum earshot_status status = announced.lost ? EARSHOT_NO_MEMORY : EARSHOT_OK;
    if (announced.name && !carried_name_good(announced.name))
        say(reader, FINDINGS_CARRIED_NAME, announced.name);
    else if (announced.name && is_there(reader->carried, announced.name))
        say(reader, FINDINGS_CARRIED_TWICE, announced.name);
    else if (announced.name && reader->carried->n == MOST_TABLES)
        say(reader, FINDINGS_CARRIED_TOO_MANY, announced.name);
    else if (announced.name)
        status = take_table(reader, &announced);
    free(announced.name);
    return status;
}

static enum earshot_status read_all(const earshot_bytes *page, earshot_findings *findings,
                                    struct earshot_carried *carried) {
    size_t errors_before = findings_errors_told(findings);
    struct reader reader = {.at = page->data,
                            .end = (const char *)page->data + page->size,
                            .place = {.file = page->name, .line = 1},
                            .counted = page->data,
                            .findings = findings,
                            .carried = carried};
    enum earshot_status status = EARSHOT_OK;
    while (status == EARSHOT_OK && find_element(&reader))
        status = read_element(&reader);
    if (status != EARSHOT_OK || findings_lost(findings))
        return EARSHOT_NO_MEMORY;
    reader.place.line = 0;
    if (carried->n == 0 && findings_errors_told(findings) == errors_before)
        say(&reader, FINDINGS_CARRIED_NONE, NULL);
    if (findings_lost(findings))
        return EARSHOT_NO_MEMORY;
    return findings_errors_told(findings) > errors_before ? EARSHOT_INVALID : EARSHOT_OK;
}

enum earshot_status earshot_carried_load(const earshot_bytes *page, earshot_findings *findings,
                                         earshot_carried **out) {
    if (!page || !page->name || (!page->data && page->size) || !findings || !out)
        return EARSHOT_MISUSE;
    struct earshot_carried *carried = calloc(1, sizeof *carried);
    const earshot_bytes given = {page->name, page->data ? page->data : "", page->size};
    enum earshot_status status =
        carried ? read_all(&given, findings, carried) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        *out = carried;
    else
        earshot_carried_free(carried);
    return status;
}

size_t earshot_carried_tables(const earshot_carried *carried) {
    return carried->n;
}

earshot_bytes earshot_carried_table(const earshot_carried *carried, size_t i) {
    return carried->tables[i];
}

void earshot_carried_free(earshot_carried *carried) {
    for (size_t i = 0; carried && i < carried->n; i++) {
        free((void *)carried->tables[i].name);
        free((void *)carried->tables[i].data);
    }
    if (carried)
        free(carried->tables);
    free(carried);
}
