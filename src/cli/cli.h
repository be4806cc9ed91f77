/* SPDX-License-Identifier: GPL-3.0-or-later */
/* cli.h - argv -> files read -> library calls -> exit code.
 *
 * To add a verb: write verb_<name>.c with its options, its help and its body; declare its
 * cli_verb here; add it to the list in verbs.c and its name to that in meson.build; add a case
 * file tests/cli/<name>.case. Help, manual page and completion are made from its table.
 */
#ifndef CLI_CLI_H
#define CLI_CLI_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/earshot.h"

/* What the program ends with; cli_endings says it in words. */
enum cli_exit {
    CLI_DONE = 0,
    CLI_NOT_FIRM = 1, /* --strict, and a zone is not firm or has not passed */
    CLI_MISUSE = 2,   /* the command makes no sense */
    CLI_INVALID = 3,  /* the survey has errors */
    CLI_FILE = 4,     /* a file cannot be read or written */
    CLI_INTERNAL = 5, /* memory ran out, or a fault of the program */
    CLI_STOPPED = 130 /* by the person at the keyboard, or nobody reads the answer */
};

enum { CLI_MAX_OPTIONS = 16 };

/* Of what an option takes, completion knows SURVEY and DIR (a folder), FILE, and words to
 * choose from, "te|tm". */
typedef struct cli_option {
    const char *name;  /* "--band" */
    const char *value; /* what it takes, "MHZ"; NULL: nothing */
    const char *help;  /* one line, with the unit and the default */
} cli_option;

/* What a command line came to: words, and for each option its value ("" for one that takes
 * none), or NULL when it was not given. */
typedef struct cli_words {
    const char **words;
    size_t n_words;
    const char *option[CLI_MAX_OPTIONS];
} cli_words;

typedef struct cli_verb {
    const char *name, *summary;
    const char *about;   /* a paragraph for the manual page; NULL: the summary is enough */
    const char *usage;   /* a line for each way, beginning with what completion should offer */
    const char *example; /* a whole command, which works where surveys/ is */
    const cli_option *options;
    size_t n_options;
    enum cli_exit (*run)(const cli_words *words);
} cli_verb;

extern const cli_verb cli_verb_reach, cli_verb_check, cli_verb_loss, cli_verb_new, cli_verb_odd,
    cli_verb_recalibrate, cli_verb_final, cli_verb_compare, cli_verb_next, cli_verb_drift,
    cli_verb_where, cli_verb_sheet, cli_verb_draw, cli_verb_walls, cli_verb_report;

/* ---- verbs.c ---- */

extern const cli_verb *const cli_verbs[];
extern const size_t cli_n_verbs;
/* What the program is for, in one line. */
extern const char cli_purpose[];

typedef struct cli_ending {
    enum cli_exit code;
    const char *meaning;
} cli_ending;
extern const cli_ending cli_endings[];
extern const size_t cli_n_endings;

/* NULL when there is none of that name. */
const cli_verb *cli_find_verb(const char *name);
/* The name that was meant; NULL when none is near. */
const char *cli_nearest_verb(const char *name);

/* ---- options.c ---- */

/* Reads what follows the verb; the words array is the caller's, as long as argv. Misuse is told
 * on stderr in two lines, and false comes back. */
bool cli_parse(const cli_verb *verb, int argc, char **argv, cli_words *out);
void cli_help(const cli_verb *verb);
/* Says `sentence` on stderr, about `value` unless that is NULL, and where the help is. */
enum cli_exit cli_misuse(const cli_verb *verb, const char *value, const char *sentence);
/* The form that options ask for; NULL: not given. */
enum earshot_form cli_form(const char *json, const char *csv, const char *all);
/* Whether the words name one survey; misuse is told otherwise. */
bool cli_names_survey(const cli_verb *verb, const cli_words *words);

/* ---- folder.c ---- */

/* The tables of a folder, read whole. */
typedef struct cli_folder {
    earshot_bytes *tables;
    size_t n_tables;
    earshot_text *why; /* where it is told what can't be read; NULL: stderr */
} cli_folder;

/* Adds the CSV files of `path`, in order of name, and those of its folder "materials"; each is
 * called by what follows `path`. False, with a sentence, when something can't be read. */
bool cli_read_folder(const char *path, cli_folder *folder);
/* Adds the CSV files of `path` alone, called by their whole path. */
bool cli_read_materials(const char *path, cli_folder *folder);
/* Adds one file, called by its path. */
bool cli_read_file(const char *path, cli_folder *folder);
/* Adds the tables of `materials`, unless that is NULL, and the folder of a survey. */
bool cli_read_survey(const char *materials, const char *path, cli_folder *folder);
/* Without readings.csv and the logs it goes with; false: memory ran out. */
bool cli_drop_readings(cli_folder *folder);
void cli_free_folder(cli_folder *folder);
/* Takes table number `at` out; the later ones move up. */
void cli_drop_at(cli_folder *folder, size_t at);
/* Adds a table; the folder owns its name and bytes then. False: memory ran out, and it doesn't.
 */
bool cli_add_table(cli_folder *folder, char *name, char *data, size_t size);
/* `left`/`right` in new memory, or `right` when `left` is empty; NULL when memory ran out. */
char *cli_join(const char *left, const char *right);

/* ---- show.c ---- */

/* The errors among the findings on stderr, with the line and a mark under the place: the first
 * five, or all of them and the notes. `command` is what shows all. */
void cli_show_findings(const earshot_findings *findings, const cli_folder *folder, bool all,
                       const char *command);
/* The same for a survey that has errors, in the form that was asked for; CLI_INVALID. */
enum cli_exit cli_refuse_survey(const char *path, const earshot_findings *findings,
                                const cli_folder *folder, enum earshot_form form, bool all,
                                const char *out, earshot_text *text);
/* Words that are in no file: errors on stderr behind the command's name; CLI_INVALID. */
enum cli_exit cli_refuse_words(const earshot_findings *findings, const cli_folder *folder,
                               const cli_verb *verb);
/* What a call came to, with its errors told as by cli_refuse_words. */
enum cli_exit cli_status_of(enum earshot_status status, const earshot_findings *findings,
                            const cli_folder *folder, const cli_verb *verb);

/* ---- screen.c ---- */

/* How standard output wants a text for people. */
enum cli_screen {
    CLI_NO_SCREEN,     /* as it is: a file, a pipe */
    CLI_PLAIN_SCREEN,  /* in lines of 80 */
    CLI_STYLED_SCREEN, /* the same, with verdicts in bold, underlined and in a hue */
};
enum cli_screen cli_screen_of_stdout(void);
/* Appends the text as `screen` wants it; false: memory ran out. */
bool cli_fit_screen(const earshot_text *text, enum cli_screen screen, earshot_text *out);

/* ---- progress.c ---- */

/* A long call being watched: `watch` is for the library, and stops it when the person at the
 * keyboard asks. Not to be moved until it ends; it holds (see stop.c) until then. */
typedef struct cli_progress {
    const char *what;
    long long begun, shown;
    bool seen; /* there is a terminal to show it on */
    int width;
    earshot_watch watch;
} cli_progress;
void cli_progress_begin(const char *what, cli_progress *out);
void cli_progress_end(cli_progress *progress);
/* For what counts otherwise than in percent: whether a new line is due, and the line. */
bool cli_progress_due(cli_progress *progress);
void cli_progress_show(cli_progress *progress, const char *line);

/* ---- stop.c ---- */

/* From now on Ctrl-C and its like end the program with CLI_STOPPED: at once, or, between
 * cli_hold and cli_let_go, in the latter. Holds nest. */
void cli_heed_signals(void);
void cli_hold(void);
void cli_let_go(void);
/* Whether to clear up and let go; in any thread. */
bool cli_stopped(void);

/* ---- jobs.c ---- */

/* Numbered tasks, for several threads. `work` is done in any of them, and gives what is handed
 * over, in order, to the caller of cli_do_jobs: `hand` owns it and says whether to go on. Long
 * work asks cli_stopped(). `drop` frees what was worked out in vain. */
typedef struct cli_jobs {
    size_t n_tasks, n_threads;
    void *(*work)(const void *who, size_t task);
    bool (*hand)(void *who, size_t task, void *result);
    void (*drop)(void *result);
    void *who;
} cli_jobs;
/* To be called between cli_hold and cli_let_go. CLI_DONE: all were handed over; CLI_STOPPED: no
 * more were wanted; CLI_INTERNAL, which is told. */
enum cli_exit cli_do_jobs(const cli_jobs *jobs);
/* What --jobs asks for: NULL is as many as there are processors to use; 0: it is no number. */
enum { CLI_MOST_JOBS = 1024 };
size_t cli_count_jobs(const char *option);
#define CLI_JOBS                                                                               \
    { "--jobs", "N", "how many at a time, to 1024 (one a processor)" }

/* ---- buildings.c ---- */

/* Folders of surveys, in the order in which they were named. */
typedef struct cli_buildings {
    char **paths;
    size_t n;
    bool in_folders; /* a folder stood for those in it */
} cli_buildings;

/* Adds a folder; in place of one that has subfolders with surveys, and is none itself, all its
 * subfolders in order of name. False: memory ran out. */
bool cli_add_building(cli_buildings *buildings, const char *path);
/* Adds those that a file names, one a line; "-" is standard input. False, with a sentence on
 * stderr, when it can't be read. */
bool cli_add_buildings_from(cli_buildings *buildings, const char *file);
void cli_free_buildings(cli_buildings *buildings);

/* ---- many.c ---- */

typedef struct cli_many {
    const char *materials, *out; /* as the options say; NULL */
    enum earshot_form form;      /* CSV, else JSON */
    bool without_readings, strict;
    size_t n_jobs;
    size_t shard, n_shards; /* the first is 1 */
} cli_many;
/* Checks all of them, or the share of a shard: a line each. */
enum cli_exit cli_check_many(const cli_buildings *buildings, const cli_many *how);

/* ---- open.c ---- */

/* A survey with its readings merged, and a text to answer into. */
typedef struct cli_opened {
    const cli_words *words;
    cli_folder folder;
    earshot_findings *findings;
    earshot_survey *survey;
    earshot_belief *belief;
    earshot_text *text;
    const void *with; /* as the opening has it */
} cli_opened;

typedef struct cli_opening {
    const char *materials, *out; /* as the options say; NULL */
    enum earshot_form form;
    bool all_faults, without_readings;
    const void *with; /* what the answer needs besides; NULL */
} cli_opening;

typedef enum cli_exit cli_answer_of(cli_opened *opened);

/* Opens the survey that the words name, and has it answered; faults are told instead. */
enum cli_exit cli_open_survey(const cli_verb *verb, const cli_words *words,
                              const cli_opening *how, cli_answer_of *answer);

/* ---- arrange.c ---- */

enum { CLI_MOST_POSTS = 64, CLI_ARRANGEMENT_SIZE = 400 };

/* Listeners, and what the arrangement is called. */
typedef struct cli_arrangement {
    char name[CLI_ARRANGEMENT_SIZE];
    earshot_post posts[CLI_MOST_POSTS];
    size_t n_posts;
} cli_arrangement;

#define CLI_WITH                                                                               \
    {                                                                                          \
        "--with", "WHAT=SPOT,...",                                                             \
            "receiver=SPOT moves the receiver there, repeater=SPOT puts one there"             \
    }
/* As the survey has them; false when there are too many, which cli_too_many_posts tells. */
bool cli_stands(const earshot_survey *survey, const char *name, cli_arrangement *out);
enum cli_exit cli_too_many_posts(const cli_verb *verb);
/* Gives the answer, or says that the survey is too large for arrangements of it: the only
 * misuse that the library can find of what a survey and places are given for. */
enum cli_exit cli_compared(const cli_verb *verb, enum earshot_status status,
                           enum earshot_form form, const char *out, const earshot_text *text);
/* As `with` has it; misuse is told. */
enum cli_exit cli_arrange(const cli_verb *verb, const earshot_survey *survey, const char *with,
                          cli_arrangement *out);

/* ---- paint.c, or unpainted.c where cairo is not there ---- */

typedef struct cli_painted {
    char *data; /* to be freed */
    size_t size;
} cli_painted;

/* Whether drawings can be painted at all. */
bool cli_can_paint(void);
/* A drawing as PDF, a page for each panel, or else as PNG. False: memory ran out, or it is too
 * large. */
bool cli_paint(const earshot_drawing *drawing, bool pdf, cli_painted *out);

/* ---- link.c ---- */

/* The link that `name` means, ZONE or ZONE:LISTENER, by name, number or label; to the listener
 * that hears it best where none is named. Misuse is told. */
enum cli_exit cli_find_link(const cli_verb *verb, const cli_opened *opened, const char *name,
                            earshot_link *out);

/* ---- ask.c ---- */

/* Asks questions on the terminal and breaks the answers into words, at blanks and commas.
 * `answers` is the caller's, n_questions x answer_size bytes, and holds the words. Returns how
 * many. */
size_t cli_ask(const char *const *questions, size_t n_questions, size_t answer_size,
               char *answers, const char **words, size_t capacity);

/* Asks one question; the answer is the line without its end. False: there are no more. */
bool cli_ask_line(const char *question, char *answer, size_t answer_size);
/* Breaks an answer into words behind the `n` there are; returns how many there are then. */
size_t cli_break_words(char *answer, const char **words, size_t n, size_t capacity);

/* ---- save.c ---- */

/* Writes a file whole or not at all: the old bytes or the new stand there, whatever happens
 * meanwhile. False, with a sentence on stderr, when it can't. */
bool cli_save_file(const char *path, const char *data, size_t size);

/* The same piece by piece. What was begun must be ended, with `keep` false to have the old
 * bytes stay; it holds (see stop.c) until then. False from any of them: tell the end not to
 * keep it. The end tells what went wrong. */
typedef struct cli_saving {
    const char *path;
    char *target, *part; /* the file that is meant, and the one beside; part NULL: no file, but
                            a pipe or a terminal */
    int file;
    int why; /* errno of the first that failed; 0: none did */
} cli_saving;
bool cli_save_begin(const char *path, cli_saving *out);
bool cli_save_add(cli_saving *saving, const char *data, size_t size);
bool cli_save_end(cli_saving *saving, bool keep);
/* Makes a folder with these files in it, all or none; a file may stand in its folder
 * "materials". */
bool cli_save_folder(const char *path, const cli_folder *files);

/* The text into the file called `out`, or to stdout when that is NULL, and whether it got
 * there. Of a text for people (`form` is plain) a terminal gets what screen.c makes of it. */
enum cli_exit cli_answer(enum earshot_form form, const char *out, const earshot_text *text);
#define CLI_OUT                                                                                \
    { "--out", "FILE", "write the answer there, whole or not at all" }
/* The exit code of a call, and on stderr why it came to nothing. */
enum cli_exit cli_status(enum earshot_status status);
/* Its answer where it came to one. */
enum cli_exit cli_give(enum earshot_status status, enum earshot_form form, const char *out,
                       const earshot_text *text);

#endif
