/* SPDX-License-Identifier: GPL-3.0-or-later */
/* json.c - JSON syntax (RFC 8259): strings escaped, numbers with up to nine decimals, what is
 * not a number as null.
 */
#include <string.h>

#include "write.h"

static void escape_byte(earshot_text *out, char byte) {
    static const char hex[] = "0123456789abcdef";
    unsigned char c = (unsigned char)byte;
    const char *quoted = c == '"' ? "\\\"" : c == '\\' ? "\\\\" : c == '\n' ? "\\n" : NULL;
    if (quoted)
        text_add(out, quoted);
    else if (c < 0x20 || c == 0x7f)
        text_add_bytes(out, (const char[]){'\\', 'u', '0', '0', hex[c >> 4], hex[c & 15]}, 6);
    else
        text_add_bytes(out, &byte, 1);
}

/* A path may be no UTF-8, which JSON must be: U+FFFD stands for what is not. */
static void escape(earshot_text *out, const char *string) {
    const char *end = string + strlen(string);
    text_add(out, "\"");
    while (string < end) {
        const char *good = string + text_utf8_valid(string, (size_t)(end - string));
        while (string < good)
            escape_byte(out, *string++);
        if (string < end) {
            text_add(out, "\\ufffd");
            string++;
        }
    }
    text_add(out, "\"");
}

static void begin(report_json *json, const char *key) {
    if (json->comma)
        text_add(json->out, ",");
    json->comma = true;
    if (!key)
        return;
    escape(json->out, key);
    text_add(json->out, ":");
}

void report_open(report_json *json, const char *key, char bracket) {
    begin(json, key);
    text_add_bytes(json->out, &bracket, 1);
    json->comma = false;
}

void report_close(report_json *json, char bracket) {
    text_add_bytes(json->out, &bracket, 1);
    json->comma = true;
}

void report_string(report_json *json, const char *key, const char *value) {
    begin(json, key);
    if (value)
        escape(json->out, value);
    else
        text_add(json->out, "null");
}

void report_number(report_json *json, const char *key, double value) {
    begin(json, key);
    text_add_number(json->out, value);
}

void report_bool(report_json *json, const char *key, bool value) {
    begin(json, key);
    text_add(json->out, value ? "true" : "false");
}
