/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_new.c - earshot new DIR: the folder of a survey, ready to fill; or filled by asking.
 *
 * Asked, a zone is tried as soon as it is told: what was not understood is asked again, and
 * whether it will reach is said at once.
 */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "cli.h"
#include "text.h"

enum { ROOMS, ASK, UNIT, FROM, N_OPTIONS };
static const cli_option options[N_OPTIONS] = {
    [ROOMS] = {"--rooms", NULL,
               "without a plan: a row for each zone, how far and through what"},
    [ASK] = {"--ask", NULL, "ask zone by zone, also when nobody sits at a terminal"},
    [UNIT] = {"--unit", "m|ft|in|cm|mm|pace", "of lengths (default m; rooms: pace)"},
    [FROM] = {"--from", "FILE", "the tables that a technician's report carries"}};

/* ---- the folder ---- */

static bool add_file(cli_folder *folder, const char *name, earshot_text *text) {
    size_t size = earshot_text_size(text);
    char *title = strdup(name), *data = malloc(size + 1);
    if (title && data) {
        memcpy(data, earshot_text_data(text), size);
        if (cli_add_table(folder, title, data, size))
            return true;
    }
    free(title);
    free(data);
    return false;
}

/* The tables of the draft, and what may stand in them. */
static enum earshot_status write_files(const earshot_draft *draft, cli_folder *folder) {
    const char *name;
    enum earshot_status status = EARSHOT_OK;
    for (size_t i = 0; status == EARSHOT_OK; i++) {
        earshot_text *text = earshot_text_new();
        status = text ? earshot_draft_write(draft, i, &name, text) : EARSHOT_NO_MEMORY;
        if (status == EARSHOT_OK && !add_file(folder, name, text))
            status = EARSHOT_NO_MEMORY;
        earshot_text_free(text);
    }
    return status == EARSHOT_MISUSE ? EARSHOT_OK : status; /* there was no further table */
}

static enum earshot_status write_columns(cli_folder *folder) {
    earshot_text *text = earshot_text_new();
    enum earshot_status status = text ? earshot_columns_write(NULL, text) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK && !add_file(folder, "columns.txt", text))
        status = EARSHOT_NO_MEMORY;
    earshot_text_free(text);
    return status;
}

static enum cli_exit save(const earshot_draft *draft, const char *path) {
    cli_folder folder = {0};
    enum earshot_status status = write_files(draft, &folder);
    if (status == EARSHOT_OK)
        status = write_columns(&folder);
    enum cli_exit result = cli_status(status);
    if (result == CLI_DONE && !cli_save_folder(path, &folder))
        result = CLI_FILE;
    if (result == CLI_DONE)
        printf("%s: %s\nthen: earshot check %s\n", path,
               draft->rooms && draft->n_zones && draft->zones[0].length
                   ? "ready; mend in any spreadsheet what you told wrongly"
               : draft->rooms ? "fill a row of paths.csv for each zone (columns.txt says how)"
                              : "fill the tables in any spreadsheet (columns.txt says how)",
               path);
    cli_free_folder(&folder);
    return result;
}

/* ---- zones named on the command line ---- */

/* The type that a name tells: kitchen-smoke, Hall Smoke, lounge-glass-break-2, front-door. */
static const char *type_in(const char *name) {
    static const char *const told[][2] = {{"smoke", "smoke"},     {"heat", "heat"},
                                          {"co", "co"},           {"flood", "flood"},
                                          {"panic", "panic"},     {"motion", "motion"},
                                          {"contact", "contact"}, {"door", "contact"},
                                          {"window", "contact"},  {"break", "glass-break"},
                                          {"keypad", "keypad"},   {"siren", "siren"},
                                          {"fob", "fob"}};
    size_t length = strlen(name);
    while (length && strchr("0123456789-_ ", name[length - 1]))
        length--;
    for (size_t i = 0; i < sizeof told / sizeof *told; i++) {
        size_t tail = strlen(told[i][0]);
        if (length < tail || strncasecmp(name + length - tail, told[i][0], tail) != 0)
            continue;
        if (length == tail || strchr("-_ ", name[length - tail - 1]))
            return told[i][1];
    }
    return NULL;
}

/* A name that no row may have: none, the receiver's, or one that is there already. */
static const char *bad_name(const cli_words *words) {
    for (size_t i = 1; i < words->n_words; i++) {
        bool bad = !words->words[i][0] || strcmp(words->words[i], "receiver") == 0;
        for (size_t j = 1; j < i; j++)
            bad = bad || strcmp(words->words[i], words->words[j]) == 0;
        if (bad)
            return words->words[i];
    }
    return NULL;
}

static enum cli_exit make_named(const cli_words *words, const char *path, const char *unit) {
    size_t n = words->n_words - 1;
    earshot_draft_zone *zones = calloc(n + 1, sizeof *zones);
    if (!zones)
        return cli_status(EARSHOT_NO_MEMORY);
    for (size_t i = 0; i < n; i++)
        zones[i] = (earshot_draft_zone){.device = words->words[i + 1],
                                        .type = type_in(words->words[i + 1])};
    earshot_draft draft = {.rooms = words->option[ROOMS] != NULL,
                           .length_unit = unit,
                           .zones = zones,
                           .n_zones = n};
    enum cli_exit result = save(&draft, path);
    free(zones);
    return result;
}

/* ---- zones asked for ---- */

enum { SHORT = 64, LONG = 512, MOST_ZONES = 500, MOST_WORDS = 260 };

/* One zone as it was told. */
struct told {
    char device[2 * SHORT + 16], type[SHORT], room[SHORT], height[SHORT];
    char mount[SHORT], radio[SHORT];
    char length[EARSHOT_NUMBER_SIZE], crossings[LONG];
};

struct interview {
    char name[SHORT], country[SHORT], radio[SHORT];
    struct told *zones;
    size_t n_zones;
};

static earshot_draft_zone zone_of(const struct told *told) {
    return (earshot_draft_zone){.device = told->device,
                                .type = told->type,
                                .room = told->room,
                                .length = told->length,
                                .crossings = told->crossings,
                                .height = told->height,
                                .mount = told->mount,
                                .radio = told->radio};
}

static void say_errors(const earshot_findings *findings) {
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        if (finding.severity == EARSHOT_ERROR)
            printf("  %s\n", finding.sentence);
    }
}

/* The zone alone as a survey: whether its cells can be read. */
static enum earshot_status try_cells(const struct told *told, earshot_findings *findings) {
    earshot_draft_zone zone = zone_of(told);
    earshot_draft draft = {.rooms = true, .length_unit = "m", .zones = &zone, .n_zones = 1};
    cli_folder folder = {0};
    earshot_survey *survey = NULL;
    enum earshot_status status = write_files(&draft, &folder);
    if (status == EARSHOT_OK)
        status = earshot_survey_load(folder.tables, folder.n_tables, findings, &survey);
    earshot_survey_free(survey);
    cli_free_folder(&folder);
    return status;
}

/* Length, crossings, radio and mount, as the link made of the words has them. */
static enum earshot_status take_link(const earshot_survey *link, struct told *told) {
    earshot_text *text = earshot_text_new();
    enum earshot_status status =
        text ? earshot_path_write(link, 0, told->length, text) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK && earshot_text_size(text) >= LONG) {
        puts("  that is more than one path can have in its way; name fewer");
        status = EARSHOT_INVALID;
    }
    if (status == EARSHOT_OK) {
        memcpy(told->crossings, earshot_text_data(text), earshot_text_size(text) + 1);
        snprintf(told->radio, SHORT, "%s", earshot_survey_radio(link, 0));
        snprintf(told->mount, SHORT, "%s", earshot_survey_mount(link, 0));
    }
    earshot_text_free(text);
    return status;
}

/* What holds for the whole building cannot be told zone by zone. */
static enum earshot_status refuse_environment(const earshot_survey *link) {
    const char *word[] = {"1m"};
    earshot_reach reach = {.words = word, .n_words = 1};
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *plain = NULL;
    enum earshot_status status =
        findings ? earshot_survey_new(&reach, NULL, 0, findings, &plain) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK &&
        strcmp(earshot_survey_environment(link), earshot_survey_environment(plain)) != 0) {
        printf("  '%s' holds for the whole building; write it into site.csv afterwards\n",
               earshot_survey_environment(link));
        status = EARSHOT_INVALID;
    }
    earshot_survey_free(plain);
    earshot_findings_free(findings);
    return status;
}

/* The first line of what reach would say. */
static enum earshot_status say_verdict(const earshot_survey *link,
                                       const earshot_findings *findings) {
    earshot_belief *belief = NULL;
    earshot_text *text = earshot_text_new();
    enum earshot_status status = text ? earshot_belief_prior(link, &belief) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK)
        status = earshot_reach_write(link, belief, findings, EARSHOT_PLAIN, text);
    if (status == EARSHOT_OK)
        printf("  %.*s\n", (int)strcspn(earshot_text_data(text), "\n"),
               earshot_text_data(text));
    earshot_text_free(text);
    earshot_belief_free(belief);
    return status;
}

/* Understands what is between; EARSHOT_INVALID when it must be asked again. */
static enum earshot_status try_link(const char *const *words, size_t n_words, struct told *told,
                                    char radio[SHORT]) {
    earshot_findings *findings = earshot_findings_new();
    earshot_reach reach = {.words = words, .n_words = n_words};
    earshot_survey *link = NULL;
    enum earshot_status status =
        findings ? earshot_survey_new(&reach, NULL, 0, findings, &link) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_INVALID)
        say_errors(findings);
    if (status == EARSHOT_OK)
        status = refuse_environment(link);
    if (status == EARSHOT_OK && told)
        status = take_link(link, told);
    if (status == EARSHOT_OK && told)
        status = say_verdict(link, findings);
    if (status == EARSHOT_OK && radio)
        snprintf(radio, SHORT, "%s", earshot_survey_radio(link, 0));
    earshot_survey_free(link);
    earshot_findings_free(findings);
    return status;
}

/* The cells of a zone as far as they have been told. */
static enum earshot_status check_cells(const struct told *told) {
    struct told zone = *told;
    earshot_findings *findings = earshot_findings_new();
    strcpy(zone.device, "zone");
    strcpy(zone.length, "1");
    enum earshot_status status = findings ? try_cells(&zone, findings) : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_INVALID)
        say_errors(findings);
    earshot_findings_free(findings);
    return status;
}

/* A name of its own: hall-smoke, hall-smoke-2. */
static void name_zone(const struct interview *interview, struct told *told) {
    char base[2 * SHORT];
    snprintf(base, sizeof base, "%s%s%s", told->room, told->room[0] ? "-" : "", told->type);
    for (char *at = base; *at; at++)
        *at = *at == ' ' || *at == ',' ? '-' : *at >= 'A' && *at <= 'Z' ? *at - 'A' + 'a' : *at;
    snprintf(told->device, sizeof told->device, "%s", base);
    size_t twin = 2;
    for (size_t i = 0; i < interview->n_zones; i++)
        if (strcmp(interview->zones[i].device, told->device) == 0) {
            snprintf(told->device, sizeof told->device, "%s-%zu", base, twin++);
            i = (size_t)-1; /* from the first again */
        }
}

/* One zone while it is asked for: what was told of it, and the answers that are words. */
struct asked {
    struct interview *interview;
    struct told *told;
    char length[SHORT], between[LONG];
};

static enum earshot_status check_told(struct asked *asked) {
    return check_cells(asked->told);
}

static enum earshot_status check_length(struct asked *asked) {
    const char *words[MOST_WORDS];
    char length[SHORT];
    memcpy(length, asked->length, SHORT); /* words are broken in place */
    return try_link(words, cli_break_words(length, words, 0, MOST_WORDS), NULL, NULL);
}

/* With all the answers: says whether it will reach. */
static enum earshot_status check_all(struct asked *asked) {
    const char *words[MOST_WORDS];
    char length[SHORT], between[LONG];
    memcpy(length, asked->length, SHORT);
    memcpy(between, asked->between, LONG);
    size_t n = cli_break_words(length, words, 0, MOST_WORDS);
    n = cli_break_words(between, words, n, MOST_WORDS - 2);
    if (asked->interview->radio[0])
        words[n++] = asked->interview->radio;
    words[n++] = asked->told->type;
    return try_link(words, n, asked->told, NULL);
}

/* Asks until the answer is understood; false when the answers came to an end, or memory did. */
static bool ask_until(const char *question, char *answer, size_t size, struct asked *asked,
                      enum earshot_status (*check)(struct asked *),
                      enum earshot_status *status) {
    do {
        *status = EARSHOT_OK; /* what was understood before is kept */
        if (!cli_ask_line(question, answer, size))
            return false;
        *status = check(asked);
    } while (*status == EARSHOT_INVALID);
    return *status == EARSHOT_OK;
}

/* Asks for one zone; false: there is none. */
static bool ask_zone(struct interview *interview, struct told *told,
                     enum earshot_status *status) {
    struct asked asked = {.interview = interview, .told = told};
    char question[2 * SHORT];
    snprintf(question, sizeof question,
             "Zone %zu, what is it (door, motion, smoke, ...; blank: no more)? ",
             interview->n_zones + 1);
    *told = (struct told){0};
    if (!ask_until(question, told->type, SHORT, &asked, check_told, status) || !told->type[0] ||
        !ask_until("  in which room? ", told->room, SHORT, &asked, check_told, status) ||
        !ask_until("  how high (ankle, switch, head, ceiling; blank: switch)? ", told->height,
                   SHORT, &asked, check_told, status) ||
        !ask_until("  how far from the receiver (12m, 40ft, 16paces)? ", asked.length, SHORT,
                   &asked, check_length, status))
        return false;
    name_zone(interview, told);
    if (strcmp(told->type, "door") == 0 || strcmp(told->type, "window") == 0)
        strcpy(told->type, "contact"); /* among words, a door would be in the way */
    return ask_until("  what is between (brick, 2 stud, timber-floor, ?; blank: nothing)? ",
                     asked.between, LONG, &asked, check_all, status);
}

static enum earshot_status ask_radio(struct interview *interview) {
    enum earshot_status status = EARSHOT_INVALID;
    while (status == EARSHOT_INVALID &&
           cli_ask_line("Which radio (433-10mw, 868-10mw, ...; blank: the default)? ",
                        interview->radio, SHORT)) {
        const char *words[] = {"1m", interview->radio};
        status = interview->radio[0] ? try_link(words, 2, NULL, interview->radio) : EARSHOT_OK;
    }
    return status == EARSHOT_INVALID ? EARSHOT_OK : status; /* the answers came to an end */
}

static enum earshot_status ask_zones(struct interview *interview) {
    enum earshot_status status = EARSHOT_OK;
    while (interview->n_zones < MOST_ZONES &&
           ask_zone(interview, &interview->zones[interview->n_zones], &status))
        interview->n_zones++;
    return status;
}

static enum cli_exit save_interview(const struct interview *interview, const char *path) {
    earshot_draft_zone *zones = calloc(interview->n_zones + 1, sizeof *zones);
    if (!zones)
        return cli_status(EARSHOT_NO_MEMORY);
    for (size_t i = 0; i < interview->n_zones; i++)
        zones[i] = zone_of(&interview->zones[i]);
    earshot_draft draft = {.name = interview->name,
                           .country = interview->country,
                           .length_unit = "m",
                           .rooms = true,
                           .zones = zones,
                           .n_zones = interview->n_zones};
    enum cli_exit result = save(&draft, path);
    free(zones);
    return result;
}

static enum cli_exit ask(const char *path) {
    struct interview interview = {.zones = calloc(MOST_ZONES, sizeof *interview.zones)};
    enum earshot_status status = interview.zones ? EARSHOT_OK : EARSHOT_NO_MEMORY;
    if (status == EARSHOT_OK &&
        cli_ask_line("What is the building called? ", interview.name, SHORT) &&
        cli_ask_line("Which country (two letters, IE or US; blank: not said)? ",
                     interview.country, SHORT))
        status = ask_radio(&interview);
    if (status == EARSHOT_OK)
        status = ask_zones(&interview);
    enum cli_exit result = cli_status(status);
    if (result == CLI_DONE)
        result = save_interview(&interview, path);
    free(interview.zones);
    return result;
}

/* ---- out of a report ---- */

static enum cli_exit save_carried(const earshot_carried *carried, const char *path) {
    size_t n = earshot_carried_tables(carried);
    cli_folder folder = {.tables = calloc(n + 1, sizeof *folder.tables), .n_tables = n};
    if (!folder.tables)
        return cli_status(EARSHOT_NO_MEMORY);
    for (size_t i = 0; i < n; i++)
        folder.tables[i] = earshot_carried_table(carried, i);
    bool saved = cli_save_folder(path, &folder);
    free(folder.tables);
    if (!saved)
        return CLI_FILE;
    printf("%s: %zu tables, as the report carried them\nthen: earshot check %s\n", path, n,
           path);
    return CLI_DONE;
}

static enum cli_exit restore(const char *page, const char *path) {
    cli_folder pages = {0};
    earshot_carried *carried = NULL;
    earshot_findings *findings = earshot_findings_new();
    enum cli_exit result = findings ? CLI_FILE : cli_status(EARSHOT_NO_MEMORY);
    if (findings && cli_read_file(page, &pages))
        result = cli_status_of(earshot_carried_load(&pages.tables[0], findings, &carried),
                               findings, &pages, &cli_verb_new);
    if (carried)
        result = save_carried(carried, path);
    earshot_carried_free(carried);
    earshot_findings_free(findings);
    cli_free_folder(&pages);
    return result;
}

/* ---- which of them ---- */

/* The folder that one stands in cannot be put in place of: the shell would stay in the old one.
 */
static bool is_here(const char *path) {
    char *real = realpath(path, NULL), *here = realpath(".", NULL);
    bool same = real && here && strcmp(real, here) == 0;
    free(real);
    free(here);
    return same;
}

/* There is nothing at the path, or an empty folder. */
static bool is_free(const char *path) {
    DIR *folder = opendir(path);
    size_t n = 0;
    if (!folder)
        return access(path, F_OK) != 0;
    while (readdir(folder))
        n++;
    closedir(folder);
    return n <= 2; /* itself and the one above */
}

/* Without the slashes behind it, and not as a name that nothing can take the place of. */
static char *folder_of(const char *path) {
    char *real = realpath(path, NULL), *copy = real ? real : strdup(path);
    for (size_t n = copy ? strlen(copy) : 0; n > 1 && copy[n - 1] == '/'; n--)
        copy[n - 1] = '\0';
    return copy;
}

static bool at_terminal(void) {
    return isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
}

static enum cli_exit run_new(const cli_words *words) {
    const char *unit = words->option[UNIT];
    earshot_text *nothing = earshot_text_new();
    const char *name;
    if (!unit)
        unit = words->option[ROOMS] ? "pace" : "m";
    bool known = nothing && earshot_draft_write(&(earshot_draft){.length_unit = unit}, 0, &name,
                                                nothing) == EARSHOT_OK;
    earshot_text_free(nothing);
    if (!known)
        return cli_misuse(&cli_verb_new, unit, "is no unit; write m, ft, in, cm, mm or pace");
    if (words->n_words == 0)
        return cli_misuse(&cli_verb_new, NULL, "name the folder to make");
    if (words->n_words > 1 && bad_name(words))
        return cli_misuse(&cli_verb_new, bad_name(words),
                          "cannot name a zone here; give it another name");
    if (words->option[ASK] && (words->n_words > 1 || words->option[UNIT]))
        return cli_misuse(&cli_verb_new, NULL,
                          "zones and units are asked for; name the folder alone");
    if (is_here(words->words[0]))
        return cli_misuse(&cli_verb_new, words->words[0],
                          "is the folder you are in; name a new one, to be made in it");
    if (!is_free(words->words[0]))
        return cli_misuse(&cli_verb_new, words->words[0],
                          "is there already; name a new folder, nothing is written over");
    if (words->option[FROM] && (words->n_words > 1 || words->option[ROOMS] ||
                                words->option[ASK] || words->option[UNIT]))
        return cli_misuse(&cli_verb_new, NULL,
                          "a report has all its tables; name it and the folder alone");
    bool bare = words->n_words == 1 && !words->option[ROOMS] && !words->option[UNIT];
    char *path = folder_of(words->words[0]);
    if (!path)
        return cli_status(EARSHOT_NO_MEMORY);
    enum cli_exit result = words->option[FROM] ? restore(words->option[FROM], path)
                           : words->option[ASK] || (bare && at_terminal())
                               ? ask(path)
                               : make_named(words, path, unit);
    free(path);
    return result;
}

const cli_verb cli_verb_new = {
    .name = "new",
    .summary = "Makes the folder of a survey, ready to fill, or asks zone by zone.",
    .about =
        "The tables have their columns, and columns.txt says what may stand in them. Named "
        "zones get a row each. With nothing but the folder's name, on a terminal, it asks "
        "zone by zone and says at once whether each will reach. With --from it is the folder "
        "that a technician's report was made of, byte for byte. Nothing is written over.",
    .usage = "DIR [ZONE ...] [options]\nDIR --from FILE",
    .example = "earshot new my-house --rooms hall-smoke back-door-contact",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_new};
