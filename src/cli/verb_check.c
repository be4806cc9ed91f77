/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verb_check.c - earshot check SURVEY: which zones hold, which don't, and why; of many surveys
 * a line each (many.c).
 */
#include <stdio.h>
#include <stdlib.h>

#include "cli.h"

enum {
    ALL,
    LINK,
    WITHOUT,
    JSON,
    CSV,
    STRICT,
    ALL_FAULTS,
    MATERIALS,
    OUT,
    FROM,
    JOBS,
    SHARD,
    N_OPTIONS
};
static const cli_option options[N_OPTIONS] = {
    [ALL] = {"--all", NULL, "the whole table, and all notes"},
    [LINK] = {"--link", "DEVICE[:LISTENER]",
              "where the signal goes on one link; a name, a zone or a label"},
    [WITHOUT] = {"--without-readings", NULL, "as if there were no readings.csv and no log"},
    [JSON] = {"--json", NULL, "everything, for programs"},
    [CSV] = {"--csv", NULL, "a row for each link (of many: each survey)"},
    [STRICT] = {"--strict", NULL, "end with 1 when a zone is not firm"},
    [ALL_FAULTS] = {"--all-faults", NULL, "every fault of the tables, not the first five"},
    [MATERIALS] = {"--materials", "DIR", "tables that win over the shipped ones"},
    [OUT] = CLI_OUT,
    [FROM] = {"--from", "FILE", "the folders of many, one a line; - is standard input"},
    [JOBS] = CLI_JOBS,
    [SHARD] = {"--shard", "I/N", "of many, the I-th of N stretches of the list"}};

static enum earshot_form form_of(const cli_words *words) {
    return cli_form(words->option[JSON], words->option[CSV], words->option[ALL]);
}

/* ---- --link ---- */

static enum cli_exit write_link(cli_opened *run) {
    earshot_link link;
    enum cli_exit result = cli_find_link(&cli_verb_check, run, run->words->option[LINK], &link);
    if (result != CLI_DONE)
        return result;
    return cli_status(
        earshot_ledger_write(run->survey, run->belief, &link, form_of(run->words), run->text));
}

/* ---- the whole survey ---- */

static enum cli_exit strictly(const cli_opened *run) {
    size_t most = earshot_survey_devices(run->survey), n = 0;
    earshot_zone *zones = calloc(most + 1, sizeof *zones);
    if (!zones)
        return cli_status(EARSHOT_NO_MEMORY);
    enum earshot_status status = earshot_zones_judge(run->survey, run->belief, zones, most, &n);
    enum cli_exit result = cli_status(status);
    for (size_t i = 0; result == CLI_DONE && i < n; i++)
        if (zones[i].prediction.verdict != EARSHOT_FIRM)
            result = CLI_NOT_FIRM;
    free(zones);
    return result;
}

static enum cli_exit answer(cli_opened *run) {
    const cli_words *words = run->words;
    enum cli_exit result =
        cli_status(earshot_survey_doubts(run->survey, run->belief, run->findings));
    if (result == CLI_DONE && words->option[LINK])
        result = write_link(run);
    else if (result == CLI_DONE)
        result = cli_status(earshot_check_write(run->survey, run->belief, run->findings,
                                                form_of(words), run->text));
    if (result == CLI_DONE)
        result = cli_answer(form_of(words), words->option[OUT], run->text);
    if (result == CLI_DONE && words->option[STRICT])
        result = strictly(run);
    return result;
}

static enum cli_exit check_one(const cli_words *words) {
    const cli_opening how = {.materials = words->option[MATERIALS],
                             .out = words->option[OUT],
                             .form = form_of(words),
                             .all_faults = words->option[ALL_FAULTS],
                             .without_readings = words->option[WITHOUT]};
    return cli_open_survey(&cli_verb_check, words, &how, answer);
}

/* ---- many ---- */

/* "3/20"; false: it is no such thing. */
static bool read_shard(const char *option, cli_many *how) {
    char *slash, *end;
    how->shard = how->n_shards = 1;
    if (!option)
        return true;
    unsigned long shard = strtoul(option, &slash, 10);
    if (option[0] < '0' || option[0] > '9' || slash[0] != '/' || slash[1] < '0' ||
        slash[1] > '9')
        return false;
    unsigned long n_shards = strtoul(slash + 1, &end, 10);
    how->shard = shard;
    how->n_shards = n_shards;
    return !*end && shard >= 1 && shard <= n_shards && n_shards <= 1000000;
}

static enum cli_exit check_many(const cli_words *words, const cli_buildings *buildings) {
    static const int of_one[] = {ALL, LINK, ALL_FAULTS};
    cli_many how = {.materials = words->option[MATERIALS],
                    .out = words->option[OUT],
                    .form = words->option[CSV] ? EARSHOT_CSV : EARSHOT_JSON,
                    .without_readings = words->option[WITHOUT],
                    .strict = words->option[STRICT],
                    .n_jobs = cli_count_jobs(words->option[JOBS])};
    for (size_t i = 0; i < sizeof of_one / sizeof *of_one; i++)
        if (words->option[of_one[i]])
            return cli_misuse(&cli_verb_check, options[of_one[i]].name,
                              "goes with one survey, and these are many");
    if (how.n_jobs == 0)
        return cli_misuse(&cli_verb_check, words->option[JOBS], "is no number from 1 to 1024");
    if (!read_shard(words->option[SHARD], &how))
        return cli_misuse(&cli_verb_check, words->option[SHARD],
                          "is no shard; the third of twenty is 3/20");
    return cli_check_many(buildings, &how);
}

static enum cli_exit check_listed(const cli_words *words, const cli_buildings *buildings) {
    if (words->option[FROM] || words->n_words > 1 || buildings->in_folders)
        return check_many(words, buildings);
    if (words->option[JOBS] || words->option[SHARD])
        return cli_misuse(&cli_verb_check, options[words->option[JOBS] ? JOBS : SHARD].name,
                          "goes with many surveys, and this is one");
    return check_one(words);
}

static enum cli_exit run_check(const cli_words *words) {
    cli_buildings buildings = {0};
    enum cli_exit result = CLI_DONE;
    if (!words->option[FROM] && words->n_words == 0)
        return check_one(words); /* which says what is missing */
    if (words->option[FROM] && words->n_words > 0)
        return cli_misuse(&cli_verb_check, words->words[0], "and --from are one too many");
    for (size_t i = 0; result == CLI_DONE && i < words->n_words; i++)
        if (!cli_add_building(&buildings, words->words[i]))
            result = cli_status(EARSHOT_NO_MEMORY);
    if (words->option[FROM] && !cli_add_buildings_from(&buildings, words->option[FROM]))
        result = CLI_FILE;
    if (result == CLI_DONE)
        result = check_listed(words, &buildings);
    cli_free_buildings(&buildings);
    return result;
}

const cli_verb cli_verb_check = {
    .name = "check",
    .summary = "Says which zones of a survey hold, which don't, and why.",
    .about =
        "SURVEY is a folder of CSV files. The answer is one sentence, then a line for each "
        "zone that is not firm, life safety first: the likeliest cause and the cheapest "
        "thing to try. A mistake in the tables is told with its file, line and column, and "
        "how to mend it; there are no margins until then. What readings.csv says counts, for "
        "zones that were never read too. "
        "Of several folders, or of one that holds the folders of surveys and is none itself, "
        "the answer is a line of JSON each (--csv: a row), in the order in which they are "
        "named, in a folder by name. One that cannot be judged has its line too and is named "
        "again at the end, and the program ends with 3, or 4 when something could not be "
        "read. Shards are stretches of the list, and --csv has its header in the first only: "
        "their answers one behind the other are the answer for all.",
    .usage = "SURVEY [options]\nSURVEY... [options]\n--from FILE [options]",
    .example = "earshot check surveys/demo",
    .options = options,
    .n_options = N_OPTIONS,
    .run = run_check};
