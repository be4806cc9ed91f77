/* SPDX-License-Identifier: GPL-3.0-or-later */
/* findings.c - the list of findings, kept sorted while it grows.
 *
 * Findings arrive nearly in order, table by table and line by line, so that one is put in its
 * place by a binary search and seldom moves others; reading needs no sorting then, and a const
 * list may be read by several threads. Finding number i is entry i, but for one shift: once
 * memory ran out, the finding that says so stands in front, and it is made up of constants.
 */
#include <limits.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "findings.h"
#include "text.h"

#define FINDING(name, severity, code, sentence) {EARSHOT_##severity, code, sentence},
const findings_kind findings_kinds[FINDINGS_N_CODES] = {
#include "codes.h"
};
#undef FINDING

enum {
    MOST_PER_FILE = 1000,
    MOST_SLOT_BYTES = 240 /* of one value in a sentence; a cell may hold a whole page */
};

struct file {
    struct file *next;
    unsigned order;
    size_t n_kept;
    size_t n_more[2];      /* past MOST_PER_FILE, by severity */
    struct entry *more[2]; /* the entry that says so, once there is one */
    const char *shown;     /* the name, fit for a line */
    char name[];           /* as the caller gave it, then as it is shown */
};

struct entry {
    struct file *file;
    enum findings_code code;
    enum earshot_severity severity;
    unsigned line, column, times;
    bool last; /* behind all others of its file */
    char sentence[];
};

struct earshot_findings {
    struct entry **entries; /* sorted */
    size_t n_entries, capacity, n_errors;
    size_t n_errors_told; /* those that are only counted too */
    struct file *files;   /* latest first */
    bool lost;
};

/* ---- the list ---- */

earshot_findings *earshot_findings_new(void) {
    return calloc(1, sizeof(earshot_findings));
}

void earshot_findings_free(earshot_findings *findings) {
    if (!findings) {
        return;
    }
    for (size_t i = 0; i < findings->n_entries; i++) {
        free(findings->entries[i]);
    }
    for (struct file *file = findings->files, *next; file; file = next) {
        next = file->next;
        free(file);
    }
    free(findings->entries);
    free(findings);
}

size_t earshot_findings_count(const earshot_findings *findings) {
    return findings->n_entries + findings->lost;
}

size_t earshot_findings_errors(const earshot_findings *findings) {
    return findings->n_errors + findings->lost;
}

size_t findings_errors_told(const earshot_findings *findings) {
    return findings->n_errors_told;
}

int findings_lost(const earshot_findings *findings) {
    return findings->lost;
}

earshot_finding earshot_findings_at(const earshot_findings *findings, size_t i) {
    if (findings->lost && i == 0) {
        const findings_kind *memory = &findings_kinds[FINDINGS_MEMORY];
        return (earshot_finding){.severity = memory->severity,
                                 .code = memory->code,
                                 .file = "",
                                 .sentence = memory->sentence,
                                 .times = 1};
    }
    const struct entry *entry = findings->entries[i - findings->lost];
    return (earshot_finding){.severity = entry->severity,
                             .code = findings_kinds[entry->code].code,
                             .file = entry->file->shown,
                             .line = entry->line,
                             .column = entry->column,
                             .sentence = entry->sentence,
                             .times = entry->times};
}

/* ---- sentences ---- */

/* Bytes of a slot's value that are shown: all, or as many whole characters as fit. */
static size_t shown_length(const char *value) {
    size_t length = strlen(value);
    if (length <= MOST_SLOT_BYTES) {
        return length;
    }
    length = MOST_SLOT_BYTES;
    while (length > 0 && ((unsigned char)value[length] & 0xC0) == 0x80) {
        length--;
    }
    return length;
}

/* Puts a value at `out`, on one line: a quoted cell may hold line ends, and a word from a
 * command line anything. Returns its length; `out` NULL only measures. */
static size_t put_value(char *out, const char *value) {
    static const char cut_short[] = "...";
    size_t length = shown_length(value);
    size_t n_dots = value[length] ? sizeof cut_short - 1 : 0;
    if (out) {
        memcpy(out, value, length);
        text_make_line(out, length);
        memcpy(out + length, cut_short, n_dots);
    }
    return length + n_dots;
}

/* Puts a sentence with its slots filled at `out`, and a NUL. Returns its length; `out` NULL
 * only measures. */
static size_t put_sentence(char *out, const char *sentence,
                           const char *const slots[FINDINGS_N_SLOTS]) {
    size_t length = 0;
    while (*sentence) {
        if (sentence[0] == '{' && sentence[1] >= '1' && sentence[1] <= '0' + FINDINGS_N_SLOTS &&
            sentence[2] == '}') {
            length += put_value(out ? out + length : NULL, slots[sentence[1] - '1']);
            sentence += 3;
            continue;
        }
        if (out) {
            out[length] = *sentence;
        }
        length++;
        sentence++;
    }
    if (out) {
        out[length] = '\0';
    }
    return length;
}

/* ---- adding ---- */

/* The file's record; NULL when nothing has been found in it. */
static struct file *known_file(const earshot_findings *findings, findings_place place) {
    struct file *file = findings->files;
    while (file && (file->order != place.order || strcmp(file->name, place.file) != 0)) {
        file = file->next;
    }
    return file;
}

/* The file's record, made when it is new; NULL when memory ran out. */
static struct file *file_of(earshot_findings *findings, findings_place place) {
    struct file *file = known_file(findings, place);
    if (file) {
        return file;
    }
    size_t size = strlen(place.file) + 1;
    file = calloc(1, sizeof *file + 2 * size);
    if (file) {
        memcpy(file->name, place.file, size);
        char *shown = memcpy(file->name + size, place.file, size);
        text_make_line(shown, size - 1);
        file->shown = shown;
        file->order = place.order;
        file->next = findings->files;
        findings->files = file;
    }
    return file;
}

static enum earshot_severity severity_of(enum findings_code code, findings_place place) {
    return place.aside ? EARSHOT_NOTE : findings_kinds[code].severity;
}

static struct entry *entry_new(enum findings_code code, struct file *file, findings_place place,
                               const char *const slots[FINDINGS_N_SLOTS]) {
    size_t length = put_sentence(NULL, findings_kinds[code].sentence, slots);
    struct entry *entry = malloc(sizeof *entry + length + 1);
    if (entry) {
        *entry = (struct entry){.file = file,
                                .code = code,
                                .severity = severity_of(code, place),
                                .line = place.line,
                                .column = place.column,
                                .times = 1};
        put_sentence(entry->sentence, findings_kinds[code].sentence, slots);
    }
    return entry;
}

static int compare_numbers(unsigned a, unsigned b) {
    return (a > b) - (a < b);
}

static int compare_files(const struct file *a, const struct file *b) {
    int by_order = compare_numbers(a->order, b->order);
    return by_order ? by_order : strcmp(a->name, b->name);
}

static int compare(const struct entry *a, const struct entry *b) {
    int by_file = a->file == b->file ? 0 : compare_files(a->file, b->file);
    int by_last = compare_numbers(a->last, b->last);
    int by_line = compare_numbers(a->line, b->line);
    int by_column = compare_numbers(a->column, b->column);
    return by_file     ? by_file
           : by_last   ? by_last
           : by_line   ? by_line
           : by_column ? by_column
                       : compare_numbers(a->code, b->code);
}

/* The first entry that is to stand behind this one; equal ones stay in order of arrival. */
static size_t place_behind(const earshot_findings *findings, const struct entry *entry) {
    size_t low = 0, high = findings->n_entries;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (compare(findings->entries[middle], entry) <= 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static bool make_room(earshot_findings *findings) {
    if (findings->n_entries < findings->capacity) {
        return true;
    }
    size_t capacity = findings->capacity ? 2 * findings->capacity : 16;
    struct entry **entries = realloc(findings->entries, capacity * sizeof(struct entry *));
    if (!entries) {
        return false;
    }
    findings->entries = entries;
    findings->capacity = capacity;
    return true;
}

/* Puts an entry in its place and owns it from then on; false when memory ran out. */
static bool insert(earshot_findings *findings, struct entry *entry) {
    if (!make_room(findings)) {
        return false;
    }
    size_t at = place_behind(findings, entry);
    memmove(findings->entries + at + 1, findings->entries + at,
            (findings->n_entries - at) * sizeof(struct entry *));
    findings->entries[at] = entry;
    findings->n_entries++;
    findings->n_errors += entry->severity == EARSHOT_ERROR;
    return true;
}

/* Counts a note into an equal one that is there already. The notes of a file lie side by side,
 * at most a thousand and two of them. */
static bool fold(earshot_findings *findings, const struct entry *note) {
    struct entry first = {.file = note->file};
    for (size_t i = place_behind(findings, &first);
         i < findings->n_entries && findings->entries[i]->file == note->file; i++) {
        struct entry *entry = findings->entries[i];
        if (entry->severity == EARSHOT_NOTE && entry->code == note->code &&
            strcmp(entry->sentence, note->sentence) == 0) {
            entry->times += entry->times < UINT_MAX;
            return true;
        }
    }
    return false;
}

/* Counts a finding that its full file has no place for. The sentence is made once, with room
 * for any count, and written anew each time. */
static bool count_more(earshot_findings *findings, struct file *file,
                       enum earshot_severity severity) {
    static const char widest[] = "999999999999999";
    enum findings_code code =
        severity == EARSHOT_ERROR ? FINDINGS_AND_MORE_ERRORS : FINDINGS_AND_MORE;
    if (!file->more[severity]) {
        struct entry *entry = entry_new(code, file, (findings_place){0},
                                        (const char *const[FINDINGS_N_SLOTS]){widest});
        if (!entry) {
            return false;
        }
        entry->last = true;
        if (!insert(findings, entry)) {
            free(entry);
            return false;
        }
        file->more[severity] = entry;
    }
    char count[TEXT_NUMBER_SIZE];
    text_write_fixed(count, (double)++file->n_more[severity], 0);
    put_sentence(file->more[severity]->sentence, findings_kinds[code].sentence,
                 (const char *const[FINDINGS_N_SLOTS]){count});
    return true;
}

/* One cell may be read for two tables, and is told once. */
static bool told(const earshot_findings *findings, const struct entry *error) {
    for (size_t i = place_behind(findings, error); i > 0; i--) {
        const struct entry *before = findings->entries[i - 1];
        if (compare(before, error) != 0) {
            return false;
        }
        if (before->column && strcmp(before->sentence, error->sentence) == 0) {
            return true;
        }
    }
    return false;
}

/* False when memory ran out; the list is then as before. */
static bool add(earshot_findings *findings, enum findings_code code, findings_place place,
                const char *const slots[FINDINGS_N_SLOTS]) {
    struct file *file = file_of(findings, place);
    struct entry *entry = file ? entry_new(code, file, place, slots) : NULL;
    if (!entry) {
        return false;
    }
    enum earshot_severity severity = entry->severity;
    if (severity == EARSHOT_NOTE ? fold(findings, entry) : told(findings, entry)) {
        free(entry);
        return true;
    }
    if (file->n_kept == MOST_PER_FILE) {
        free(entry);
        return count_more(findings, file, severity);
    }
    if (!insert(findings, entry)) {
        free(entry);
        return false;
    }
    file->n_kept++;
    return true;
}

bool findings_full(const earshot_findings *findings, findings_place place) {
    const struct file *file = known_file(findings, place);
    return file && file->n_kept == MOST_PER_FILE;
}

void findings_add(earshot_findings *findings, enum findings_code code, findings_place place,
                  const char *const slots[FINDINGS_N_SLOTS]) {
    findings->n_errors_told += severity_of(code, place) == EARSHOT_ERROR;
    if (code == FINDINGS_MEMORY || !add(findings, code, place, slots)) {
        findings->lost = true;
    }
}
