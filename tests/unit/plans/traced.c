/* SPDX-License-Identifier: GPL-3.0-or-later */
/* traced.c - see traced.h. */
#include "traced.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char header[] = "wall,level,x1_m,y1_m,x2_m,y2_m,construction,bottom_m,top_m\n";

const earshot_scale traced_scale = {.kind = EARSHOT_SCALE_DISTANCE, .x2 = 1, .length_m = 1};

static char *say_findings(const earshot_findings *findings) {
    size_t n = earshot_findings_count(findings);
    char *said = calloc(n + 1, 80);
    cr_assert_not_null(said);
    for (size_t i = 0; i < n; i++) {
        earshot_finding finding = earshot_findings_at(findings, i);
        sprintf(said + strlen(said), "%s%u:%u %s", i ? " " : "", finding.line, finding.column,
                finding.code);
        if (finding.times > 1)
            sprintf(said + strlen(said), " x%u", finding.times);
    }
    return said;
}

static char *copy(const char *text) {
    char *copied = malloc(strlen(text) + 1);
    cr_assert_not_null(copied);
    return strcpy(copied, text);
}

traced traced_bytes(const char *name, const void *plan, size_t size,
                    const earshot_walls_task *task) {
    earshot_findings *findings = earshot_findings_new();
    earshot_text *out = earshot_text_new();
    cr_assert(findings && out);
    const earshot_bytes bytes = {name, plan, size};
    traced result = {.status = earshot_walls_read(&bytes, task, findings, out)};
    const char *text = earshot_text_data(out);
    bool good = result.status == EARSHOT_OK;
    cr_assert_eq(earshot_text_size(out) > 0, good);
    cr_assert_eq(good, earshot_findings_errors(findings) == 0);
    if (good)
        cr_assert_eq(strncmp(text, header, strlen(header)), 0);
    result.walls = copy(good ? text + strlen(header) : "");
    result.findings = say_findings(findings);
    earshot_text_free(out);
    earshot_findings_free(findings);
    return result;
}

traced traced_text(const char *name, const char *plan) {
    earshot_walls_task task = {.construction = "brick"};
    if (strstr(name, ".svg"))
        task.scale = traced_scale;
    return traced_bytes(name, plan, strlen(plan), &task);
}

void traced_free(traced *traced) {
    free(traced->walls);
    free(traced->findings);
}

char *traced_repeat(const char *before, const char *text, size_t n, const char *behind) {
    size_t length = strlen(text);
    char *all = malloc(strlen(before) + n * length + strlen(behind) + 1);
    cr_assert_not_null(all);
    char *at = strcpy(all, before) + strlen(before);
    for (size_t i = 0; i < n; i++, at += length)
        memcpy(at, text, length);
    strcpy(at, behind);
    return all;
}
