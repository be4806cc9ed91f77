/* SPDX-License-Identifier: GPL-3.0-or-later */
/* geojson.c - GeoJSON to lines, by jansson.
 *
 *   [RFC 7946]  The GeoJSON Format, IETF, August 2016
 *
 * Positions are meters of the survey, y up: a coordinate system by agreement, as sec. 4 of the
 * text allows. Heights in a position are passed over. jansson keeps no places, so a finding
 * points at the feature that it is about, whose brace is found again in the bytes; of a file
 * without features, at its beginning.
 */
#include <jansson.h>
#include <math.h>
#include <string.h>

#include "plans.h"
#include "text.h"

enum { MOST_COLLECTIONS = 16 };

struct place {
    unsigned line, column;
};

struct reader {
    const plans_input *input;
    struct place place; /* of the feature being read */
    const char *at;     /* its first byte, to find the next */
    const char *end;
    plans_source source;
};

static void say(const struct reader *reader, enum findings_code code, const char *first,
                const char *second) {
    plans_say(reader->input, code, reader->place.line, reader->place.column, first, second);
}

/* ---- positions ---- */

static bool read_position(const json_t *position, plans_point *out) {
    const json_t *x = json_array_get(position, 0), *y = json_array_get(position, 1);
    if (!json_is_number(x) || !json_is_number(y))
        return false;
    *out = (plans_point){json_number_value(x), json_number_value(y)};
    return true;
}

static void say_position(const struct reader *reader, size_t i, const char *type) {
    char number[TEXT_NUMBER_SIZE];
    text_write_fixed(number, (double)(i + 1), 0);
    say(reader, FINDINGS_PLAN_POSITION, number, type);
}

/* Lines from each position to the next, and back to the first when it is a ring: one that does
 * not end where it began, as sec. 3.1.6 wants, is closed. */
static void read_run(const struct reader *reader, const json_t *run, const char *type,
                     bool is_ring) {
    plans_point first = {0}, last = {0}, point;
    size_t n = json_array_size(run);
    if (!json_is_array(run))
        say(reader, FINDINGS_PLAN_COORDINATES, type, NULL);
    for (size_t i = 0; i < n; i++) {
        if (!read_position(json_array_get(run, i), &point)) {
            say_position(reader, i, type);
            return;
        }
        if (i > 0)
            plans_add(reader->input->drawing, last, point);
        else
            first = point;
        last = point;
    }
    if (is_ring && n > 2 && (first.x != last.x || first.y != last.y))
        plans_add(reader->input->drawing, last, first);
}

/* ---- geometries: [RFC 7946] sec. 3.1 ---- */

static const struct kind {
    const char *type;
    int nested; /* how many arrays lie around a run of positions; -1: there are no lines */
    bool is_ring;
} kinds[] = {{"LineString", 0, false}, {"MultiLineString", 1, false},
             {"Polygon", 1, true},     {"MultiPolygon", 2, true},
             {"Point", -1, false},     {"MultiPoint", -1, false}};

static const struct kind *find_kind(const char *type) {
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(kinds[i].type, type) == 0)
            return &kinds[i];
    return NULL;
}

static void read_nested(const struct reader *reader, const json_t *runs,
                        const struct kind *kind, int nested) {
    if (nested == 0) {
        read_run(reader, runs, kind->type, kind->is_ring);
        return;
    }
    if (!json_is_array(runs))
        say(reader, FINDINGS_PLAN_COORDINATES, kind->type, NULL);
    for (size_t i = 0; i < json_array_size(runs); i++)
        read_nested(reader, json_array_get(runs, i), kind, nested - 1);
}

static void read_geometry(const struct reader *reader, const json_t *geometry, int depth);

static void read_collection(const struct reader *reader, const json_t *collection, int depth) {
    const json_t *geometries = json_object_get(collection, "geometries");
    if (depth == MOST_COLLECTIONS) {
        say(reader, FINDINGS_PLAN_TOO_DEEP, "16", NULL);
        return;
    }
    if (!json_is_array(geometries))
        say(reader, FINDINGS_PLAN_MEMBER, "geometries", "GeometryCollection");
    for (size_t i = 0; i < json_array_size(geometries); i++)
        read_geometry(reader, json_array_get(geometries, i), depth + 1);
}

static const char *type_of(const json_t *object) {
    const char *type = json_string_value(json_object_get(object, "type"));
    return type ? type : "";
}

static void read_geometry(const struct reader *reader, const json_t *geometry, int depth) {
    const char *type = type_of(geometry);
    const struct kind *kind = find_kind(type);
    if (strcmp(type, "GeometryCollection") == 0)
        read_collection(reader, geometry, depth);
    else if (!kind)
        say(reader, FINDINGS_PLAN_GEOMETRY, type, NULL);
    else if (kind->nested < 0)
        say(reader, FINDINGS_PLAN_LEFT_OUT, type, "a point");
    else
        read_nested(reader, json_object_get(geometry, "coordinates"), kind, kind->nested);
}

/* ---- features: sec. 3.2 ---- */

/* A member of the properties that is text; NULL. */
static const char *property(const json_t *properties, const char *name) {
    return json_string_value(json_object_get(properties, name));
}

static double height_of(const struct reader *reader, const json_t *properties,
                        const char *name) {
    const json_t *height = json_object_get(properties, name);
    if (!height || json_is_null(height))
        return NAN;
    if (!json_is_number(height) || !(fabs(json_number_value(height)) <= 50)) {
        say(reader, FINDINGS_PLAN_HEIGHT, name, NULL);
        return NAN;
    }
    return json_number_value(height);
}

static const char *kept(const struct reader *reader, const char *text) {
    return text ? plans_keep(reader->input->drawing, text, strlen(text)) : NULL;
}

/* What tells the layer of a feature, the first that is there; the first of them that the table
 * has tells its row. */
static void find_layer(struct reader *reader, const json_t *properties) {
    static const char *const names[] = {"layer", "construction", "class"};
    plans_source *source = &reader->source;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const char *name = property(properties, names[i]);
        if (!name)
            continue;
        if (!source->layer[0])
            source->layer = kept(reader, name);
        if (source->row == plans_none)
            source->row = plans_layers_find(reader->input->layers, name);
    }
}

/* A wall's name: the property wall or name, or the feature's id. */
static const char *find_name(const struct reader *reader, const json_t *feature,
                             const json_t *properties) {
    const char *name = property(properties, "wall");
    if (!name)
        name = property(properties, "name");
    if (!name)
        name = json_string_value(json_object_get(feature, "id"));
    return name ? kept(reader, name) : "";
}

static plans_source plain_source(const struct reader *reader) {
    return (plans_source){.name = "",
                          .layer = "",
                          .row = plans_none,
                          .bottom_m = NAN,
                          .top_m = NAN,
                          .line = reader->place.line,
                          .column = reader->place.column};
}

static void read_feature(struct reader *reader, const json_t *feature) {
    const json_t *properties = json_object_get(feature, "properties"),
                 *geometry = json_object_get(feature, "geometry");
    reader->source = plain_source(reader);
    if (strcmp(type_of(feature), "Feature") != 0) {
        say(reader, FINDINGS_PLAN_GEOMETRY, type_of(feature), NULL);
        return;
    }
    find_layer(reader, properties);
    const char *level = kept(reader, property(properties, "level"));
    reader->source.name = find_name(reader, feature, properties);
    reader->source.level = level && level[0] ? level : NULL;
    reader->source.bottom_m = height_of(reader, properties, "bottom_m");
    reader->source.top_m = height_of(reader, properties, "top_m");
    plans_begin(reader->input->drawing, &reader->source);
    if (json_is_null(geometry))
        say(reader, FINDINGS_PLAN_LEFT_OUT, "Feature", "without a geometry");
    else
        read_geometry(reader, geometry, 0);
}

/* ---- where features begin ----
 *
 * jansson has found the text in order when these are called, so that quotes and brackets pair.
 */

/* Moves to the next byte; lines and columns as in a table, a column a character. */
static void step(struct reader *reader) {
    unsigned char c = (unsigned char)*reader->at++;
    if (c == '\n') {
        reader->place.line++;
        reader->place.column = 1;
    } else if ((c & 0xC0) != 0x80) {
        reader->place.column++;
    }
}

static void step_over_string(struct reader *reader) {
    for (step(reader); *reader->at != '"'; step(reader))
        if (*reader->at == '\\')
            step(reader);
    step(reader);
}

/* Over what begins here, with all that is inside it. */
static void step_over(struct reader *reader) {
    int depth = 0;
    do {
        char c = *reader->at;
        depth += (c == '{' || c == '[') - (c == '}' || c == ']');
        if (c == '"')
            step_over_string(reader);
        else
            step(reader);
    } while (depth > 0);
}

/* To a bracket at this depth; false when none follows. */
static bool step_to(struct reader *reader, char bracket) {
    while (reader->at < reader->end && *reader->at != bracket)
        step_over(reader);
    return reader->at < reader->end;
}

/* Over the rest of an element of a list, and to the next one. */
static void step_to_next(struct reader *reader) {
    while (*reader->at != ',' && *reader->at != ']')
        step_over(reader);
    while (strchr(", \t\r\n", *reader->at) && *reader->at)
        step(reader);
}

/* Whether the member "features" begins here, and not a text of that word. */
static bool is_features(const struct reader *reader) {
    static const char key[] = "\"features\"";
    const char *at = reader->at;
    if ((size_t)(reader->end - at) < sizeof key || memcmp(at, key, sizeof key - 1) != 0)
        return false;
    return *plans_skip_blanks(at + sizeof key - 1) == ':';
}

/* To the first of the features. A key that is written with escapes is not found. */
static bool step_into_features(struct reader *reader) {
    if (!step_to(reader, '{'))
        return false;
    step(reader);
    while (reader->at < reader->end && !is_features(reader))
        step_over(reader);
    if (!step_to(reader, '['))
        return false;
    do
        step(reader);
    while (strchr(" \t\r\n", *reader->at));
    return true;
}

/* ---- the file ---- */

static const struct place top = {1, 1};

static void read_features(struct reader *reader, const json_t *features) {
    if (!json_is_array(features))
        say(reader, FINDINGS_PLAN_MEMBER, "features", "FeatureCollection");
    bool found = json_is_array(features) && step_into_features(reader);
    if (!found)
        reader->place = top;
    for (size_t i = 0; i < json_array_size(features) && !reader->input->drawing->full; i++) {
        read_feature(reader, json_array_get(features, i));
        if (found)
            step_to_next(reader);
    }
}

static void read_root(struct reader *reader, const json_t *root) {
    const char *type = type_of(root);
    if (strcmp(type, "FeatureCollection") == 0) {
        read_features(reader, json_object_get(root, "features"));
    } else if (strcmp(type, "Feature") == 0) {
        read_feature(reader, root);
    } else {
        reader->source = plain_source(reader);
        plans_begin(reader->input->drawing, &reader->source);
        read_geometry(reader, root, 0);
    }
    if (reader->input->drawing->full)
        say(reader, FINDINGS_PLAN_TOO_MANY, "100000", "lines");
}

/* jansson's reason in words. */
static const char *why(enum json_error_code code) {
    switch (code) {
    case json_error_stack_overflow:
        return "brackets lie too deep in one another";
    case json_error_invalid_utf8:
        return "these bytes are not UTF-8";
    case json_error_premature_end_of_input:
        return "it ends too early";
    case json_error_end_of_input_expected:
        return "something follows behind its end";
    case json_error_null_character:
    case json_error_null_byte_in_key:
        return "a zero byte stands in it";
    case json_error_duplicate_key:
        return "one member is there twice";
    case json_error_numeric_overflow:
        return "a number is larger than anything here can be";
    default:
        return "a comma, a quote or a bracket is missing, or one too many";
    }
}

void plans_geojson(const plans_input *input) {
    const char *data = input->plan->data, *end = data + input->plan->size;
    bool marked = input->plan->size >= 3 && memcmp(data, "\xef\xbb\xbf", 3) == 0;
    struct reader reader = {
        .input = input, .place = top, .at = data + (marked ? 3 : 0), .end = end};
    json_error_t error;
    json_t *root = json_loadb(reader.at, (size_t)(end - reader.at),
                              JSON_REJECT_DUPLICATES | JSON_DECODE_INT_AS_REAL, &error);
    if (root)
        read_root(&reader, root);
    else if (json_error_code(&error) == json_error_out_of_memory)
        input->drawing->lost = true;
    else
        plans_say(input, FINDINGS_PLAN_NOT_JSON, (unsigned)error.line, (unsigned)error.column,
                  why(json_error_code(&error)), NULL);
    json_decref(root);
}
