/* SPDX-License-Identifier: GPL-3.0-or-later */
/* judge.c - an example of a host: the tables of a survey in, a line for each zone out.
 *
 *     cc judge.c $(pkg-config --cflags --libs earshot) -o judge
 *     cd surveys/demo && judge *.csv
 *
 * The library opens no file: the host reads the tables, from wherever it keeps them, and hands
 * over their bytes.
 */
#include <stdio.h>
#include <stdlib.h>

#include <earshot/earshot.h>

/* All of one file. The caller frees the data, which is NULL when the file cannot be read. */
static earshot_bytes read_table(const char *path) {
    earshot_bytes table = {.name = path};
    FILE *in = fopen(path, "rb");
    if (!in)
        return table;
    long size = fseek(in, 0, SEEK_END) == 0 ? ftell(in) : -1;
    char *data = size >= 0 ? malloc((size_t)size + 1) : NULL;
    rewind(in);
    if (data && fread(data, 1, (size_t)size, in) == (size_t)size) {
        table.data = data;
        table.size = (size_t)size;
    } else {
        free(data);
    }
    fclose(in);
    return table;
}

/* What was found wrong, and what is odd. */
static void tell_findings(const earshot_findings *findings) {
    for (size_t i = 0; i < earshot_findings_count(findings); i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        fprintf(stderr, "%s:%u:%u: %s%s\n", finding.file, finding.line, finding.column,
                finding.severity == EARSHOT_NOTE ? "note: " : "", finding.sentence);
    }
}

static int tell_zones(const earshot_survey *survey, const earshot_belief *belief) {
    size_t n_zones = 0, most = earshot_survey_devices(survey);
    earshot_zone *zones = calloc(most + 1, sizeof *zones);
    if (!zones || earshot_zones_judge(survey, belief, zones, most, &n_zones) != EARSHOT_OK) {
        free(zones);
        return EXIT_FAILURE;
    }
    for (size_t i = 0; i < n_zones; i++)
        printf("%-16s %-10s %7.3f dB to spare\n",
               earshot_survey_device(survey, zones[i].device),
               earshot_verdict_word(zones[i].prediction.verdict), zones[i].prediction.spare_db);
    free(zones);
    return EXIT_SUCCESS;
}

static int judge(const earshot_bytes *tables, size_t n_tables) {
    earshot_findings *findings = earshot_findings_new();
    earshot_survey *survey = NULL;
    earshot_belief *belief = NULL;
    int result = EXIT_FAILURE;
    if (!findings)
        return result;
    enum earshot_status status = earshot_survey_load(tables, n_tables, findings, &survey);
    tell_findings(findings);
    if (status == EARSHOT_OK &&
        earshot_belief_fit(survey, NULL, NULL, findings, &belief) == EARSHOT_OK)
        result = tell_zones(survey, belief);
    earshot_belief_free(belief);
    earshot_survey_free(survey);
    earshot_findings_free(findings);
    return result;
}

int main(int argc, char **argv) {
    size_t n_tables = argc > 1 ? (size_t)argc - 1 : 0, n_read = 0;
    earshot_bytes *tables = calloc(n_tables + 1, sizeof *tables);
    if (!tables)
        return EXIT_FAILURE;
    while (n_read < n_tables && (tables[n_read] = read_table(argv[n_read + 1])).data)
        n_read++;
    if (n_read < n_tables)
        fprintf(stderr, "cannot read '%s'\n", argv[n_read + 1]);
    int result = n_read == n_tables ? judge(tables, n_tables) : EXIT_FAILURE;
    for (size_t i = 0; i < n_read; i++)
        free((void *)tables[i].data);
    free(tables);
    return result;
}
