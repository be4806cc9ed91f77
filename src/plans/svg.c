/* SPDX-License-Identifier: GPL-3.0-or-later */
/* svg.c - SVG to lines, by expat.
 *
 *   [SVG 1.1]  Scalable Vector Graphics (SVG) 1.1 (Second Edition), W3C, August 2011
 *
 * Nothing outside the file is asked for and nothing that it defines is put in: a file with an
 * internal subset of the document type, where entities are declared, is refused at its first
 * bracket, before expat has kept one of them. The W3C's own document type is passed over.
 */
#include <expat.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plans.h"
#include "text.h"

/* An element that is open: where it draws, and what its lines would be. */
struct open {
    plans_matrix matrix;
    size_t row;        /* of the table of layers */
    const char *layer; /* what the lines of groups are called by */
};

struct reader {
    const plans_input *input;
    XML_Parser parser;
    struct open open[PLANS_MOST_DEEP];
    size_t depth, n_elements;
    size_t skipped;       /* how deep the element is whose inside is not looked at; 0: none */
    double width, height; /* what percents are of */
    const char *element;  /* being read */
    bool curved, refused;
};

/* ---- findings ---- */

static void say(const struct reader *reader, enum findings_code code, const char *first,
                const char *second) {
    plans_say(reader->input, code, (unsigned)XML_GetCurrentLineNumber(reader->parser),
              (unsigned)XML_GetCurrentColumnNumber(reader->parser) + 1, first, second);
}

/* Nothing more is read. */
static void refuse(struct reader *reader, enum findings_code code, const char *first,
                   const char *second) {
    if (reader->refused)
        return;
    reader->refused = true;
    say(reader, code, first, second);
    XML_StopParser(reader->parser, XML_FALSE);
}

/* ---- attributes ---- */

typedef const XML_Char *const *attributes;

/* Behind the namespace, which expat puts before a name with a blank. */
static const char *local(const char *name) {
    const char *blank = strrchr(name, ' ');
    return blank ? blank + 1 : name;
}

static const char *get(attributes given, const char *name) {
    for (; given[0]; given += 2)
        if (strcmp(given[0], name) == 0)
            return given[1];
    return NULL;
}

/* A label, in whatever namespace a drawing program keeps it. */
static const char *get_label(attributes given) {
    for (; given[0]; given += 2)
        if (strcmp(local(given[0]), "label") == 0)
            return given[1];
    return NULL;
}

/* A length; `usual` where it is not given. False, with a finding, when it cannot be read. */
static bool get_length(const struct reader *reader, attributes given, const char *name,
                       double whole, double usual, double *value) {
    const char *text = get(given, name);
    *value = usual;
    if (!text || plans_length(text, whole, value))
        return true;
    say(reader, FINDINGS_PLAN_LENGTH, text, name);
    return false;
}

/* Whether a style says name:value. */
static bool style_has(const char *style, const char *name, const char *value) {
    for (const char *at = style; at && (at = strstr(at, name)); at++) {
        const char *colon = plans_skip_blanks(at + strlen(name));
        if (*colon != ':')
            continue;
        if (strncmp(plans_skip_blanks(colon + 1), value, strlen(value)) == 0)
            return true;
    }
    return false;
}

static bool is_hidden(attributes given) {
    const char *display = get(given, "display"), *visibility = get(given, "visibility"),
               *style = get(given, "style");
    return (display && strcmp(display, "none") == 0) ||
           (visibility && strcmp(visibility, "hidden") == 0) ||
           style_has(style, "display", "none") || style_has(style, "visibility", "hidden");
}

/* ---- which layer ---- */

/* The row of one of a list of classes, of the first few that are as long as a name. */
static size_t find_class(const plans_layers *layers, const char *classes) {
    enum { MOST_CLASSES = 16 };
    size_t row = plans_none, length = 0;
    for (size_t i = 0; i < MOST_CLASSES && row == plans_none; i++, classes += length) {
        char word[PLANS_NAME_SIZE];
        length = plans_word(&classes);
        if (length == 0 || length >= sizeof word)
            continue;
        memcpy(word, classes, length);
        word[length] = '\0';
        row = plans_layers_find(layers, word);
    }
    return row;
}

/* The row of an id, else of a label, else of a class. */
static size_t find_row(const plans_layers *layers, attributes given) {
    const char *id = get(given, "id"), *label = get_label(given), *class = get(given, "class");
    size_t row = id ? plans_layers_find(layers, id) : plans_none;
    if (row == plans_none && label)
        row = plans_layers_find(layers, label);
    return row == plans_none && class ? find_class(layers, class) : row;
}

/* What tells the wall where no table does: a class; of groups also a label or an id, which
 * drawing programs give to every line by themselves. "" where nothing does. */
static const char *find_layer(const struct reader *reader, attributes given, bool is_group) {
    plans_drawing *drawing = reader->input->drawing;
    const char *class = get(given, "class"), *label = get_label(given), *id = get(given, "id");
    size_t length = class ? plans_word(&class) : 0;
    const char *name = label && label[0] ? label : id;
    if (length > 0)
        return plans_keep(drawing, class, length);
    return is_group && name ? plans_keep(drawing, name, strlen(name)) : "";
}

/* What an element is, within the one that is given. */
static struct open inside(const struct reader *reader, struct open open, attributes given,
                          bool is_group) {
    size_t row = find_row(reader->input->layers, given);
    const char *layer = find_layer(reader, given, is_group),
               *transform = get(given, "transform");
    plans_matrix own = plans_unmoved;
    if (transform && !plans_transform(transform, &own))
        say(reader, FINDINGS_PLAN_TRANSFORM, transform, NULL);
    open.matrix = plans_within(open.matrix, own);
    open.row = row == plans_none ? open.row : row;
    open.layer = layer[0] ? layer : open.layer;
    return open;
}

/* ---- shapes ---- */

static void draw(void *who, plans_point a, plans_point b) {
    const struct reader *reader = who;
    plans_matrix matrix = reader->open[reader->depth].matrix;
    plans_add(reader->input->drawing, plans_moved(matrix, a), plans_moved(matrix, b));
}

static void meet_curve(void *who) {
    struct reader *reader = who;
    reader->curved = true;
}

static void read_line(struct reader *reader, attributes given, const plans_pen *pen) {
    plans_point a, b;
    bool good = get_length(reader, given, "x1", reader->width, 0, &a.x);
    good = get_length(reader, given, "y1", reader->height, 0, &a.y) && good;
    good = get_length(reader, given, "x2", reader->width, 0, &b.x) && good;
    good = get_length(reader, given, "y2", reader->height, 0, &b.y) && good;
    if (good)
        pen->line(pen->who, a, b);
}

/* [SVG 1.1] sec. 9.2, from the upper left corner. One with round corners is no line. */
static void read_rect(struct reader *reader, attributes given, const plans_pen *pen) {
    double x, y, w, h, rx, ry;
    bool good = get_length(reader, given, "x", reader->width, 0, &x);
    good = get_length(reader, given, "y", reader->height, 0, &y) && good;
    good = get_length(reader, given, "width", reader->width, 0, &w) && good;
    good = get_length(reader, given, "height", reader->height, 0, &h) && good;
    good = get_length(reader, given, "rx", reader->width, 0, &rx) && good;
    good = get_length(reader, given, "ry", reader->height, 0, &ry) && good;
    const plans_point corners[] = {{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}};
    reader->curved = rx > 0 || ry > 0;
    for (size_t i = 0; good && !reader->curved && w > 0 && h > 0 && i < 4; i++)
        pen->line(pen->who, corners[i], corners[(i + 1) % 4]);
}

static void read_outline(struct reader *reader, attributes given, const plans_pen *pen) {
    bool is_path = strcmp(reader->element, "path") == 0;
    const char *data = get(given, is_path ? "d" : "points");
    bool closed = strcmp(reader->element, "polygon") == 0;
    const char *rest = !data     ? NULL
                       : is_path ? plans_path(data, pen)
                                 : plans_points(data, closed, pen);
    if (rest)
        say(reader, FINDINGS_PLAN_POINTS, reader->element, rest);
}

static void read_curve(struct reader *reader, attributes given, const plans_pen *pen) {
    (void)reader;
    (void)given;
    pen->curve(pen->who);
}

typedef void reads(struct reader *reader, attributes given, const plans_pen *pen);

static const struct shape {
    const char *element;
    reads *read;
} shapes[] = {{"line", read_line},    {"polyline", read_outline}, {"polygon", read_outline},
              {"path", read_outline}, {"rect", read_rect},        {"circle", read_curve},
              {"ellipse", read_curve}};

static void read_shape(struct reader *reader, const struct shape *shape, attributes given) {
    const char *label = get_label(given), *id = get(given, "id"),
               *name = label && label[0] ? label : id;
    plans_drawing *drawing = reader->input->drawing;
    struct open *own = &reader->open[reader->depth];
    const plans_pen pen = {.line = draw, .curve = meet_curve, .who = reader};
    *own = inside(reader, own[-1], given, false);
    const plans_source source = {.name = name ? plans_keep(drawing, name, strlen(name)) : "",
                                 .layer = own->layer,
                                 .row = own->row,
                                 .bottom_m = NAN,
                                 .top_m = NAN,
                                 .line = (unsigned)XML_GetCurrentLineNumber(reader->parser),
                                 .column =
                                     (unsigned)XML_GetCurrentColumnNumber(reader->parser) + 1};
    plans_begin(drawing, &source);
    reader->curved = false;
    shape->read(reader, given, &pen);
    if (reader->curved)
        say(reader, FINDINGS_PLAN_CURVE, shape->element, NULL);
}

/* ---- the root: [SVG 1.1] sec. 7.7 to 7.10 ---- */

/* Millimeters of a unit along one side; not a number when it is not told. */
static double mm_per_unit(const char *length, double units) {
    double size;
    if (!length || strchr(length, '%') || !plans_length(length, 0, &size) || !(units > 0))
        return NAN;
    return size / units * 25.4 / 96;
}

static void read_root(struct reader *reader, attributes given) {
    const char *view = get(given, "viewBox"), *fits = get(given, "preserveAspectRatio");
    const char *width = get(given, "width"), *height = get(given, "height");
    double box[4] = {0, 0, NAN, NAN};
    size_t n = 0;
    for (const char *at = view ? plans_skip(view) : ""; n < 4 && plans_number(&at, &box[n]);
         n++)
        at = plans_skip(at);
    if (view && n < 4)
        say(reader, FINDINGS_PLAN_LENGTH, view, "viewBox");
    if (!view && width)
        plans_length(width, NAN, &box[2]);
    if (!view && height)
        plans_length(height, NAN, &box[3]);
    reader->width = box[2];
    reader->height = box[3];
    double wide = mm_per_unit(width, box[2]), high = mm_per_unit(height, box[3]);
    bool stretched = fits && strstr(fits, "none") && !(fabs(wide - high) <= 1e-3 * wide);
    reader->input->drawing->paper =
        (plans_paper){.left = box[0],
                      .bottom = isnan(box[3]) ? 0 : box[1] + box[3],
                      .mm_per_unit = stretched ? NAN : fmin(wide, high)};
}

/* ---- elements ---- */

static bool is_one_of(const char *name, const char *const *names, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (strcmp(name, names[i]) == 0)
            return true;
    return false;
}

static bool is_group(const char *name) {
    static const char *const groups[] = {"g", "a", "switch"};
    return is_one_of(name, groups, sizeof groups / sizeof *groups);
}

/* What can be seen and is no line: said, unlike definitions, styles and the like. */
static const char *why_left_out(const char *name) {
    static const struct {
        const char *name, *why;
    } others[] = {
        {"text", "text"},
        {"image", "a picture; draw its walls over it as lines"},
        {"use", "a copy of something else; unlink it in the drawing program if it has walls"},
        {"svg", "a drawing inside the drawing; ungroup it if it has walls"},
        {"foreignObject", "something else than a drawing"}};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (strcmp(name, others[i].name) == 0)
            return others[i].why;
    return NULL;
}

/* The name of an element of SVG, or of none; NULL for those of drawing programs. */
static const char *name_in_svg(const char *name) {
    static const char svg[] = "http://www.w3.org/2000/svg ";
    bool own = strncmp(name, svg, sizeof svg - 1) == 0;
    return own || !strchr(name, ' ') ? local(name) : NULL;
}

static const struct shape *find_shape(const char *name) {
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++)
        if (strcmp(shapes[i].element, name) == 0)
            return &shapes[i];
    return NULL;
}

/* An element below the root; false when its inside is not looked at. */
static bool enter(struct reader *reader, const char *name, attributes given) {
    const struct shape *shape = name ? find_shape(name) : NULL;
    const char *why = name ? why_left_out(name) : NULL;
    if (!shape && !why && !(name && is_group(name)))
        return false;
    if (!why && is_hidden(given))
        why = "hidden; show it in the drawing program if it has walls";
    reader->element = name;
    if (why)
        say(reader, FINDINGS_PLAN_LEFT_OUT, name, why);
    else if (shape)
        read_shape(reader, shape, given);
    else
        reader->open[reader->depth] =
            inside(reader, reader->open[reader->depth - 1], given, true);
    return !why && !shape;
}

static void begin_root(struct reader *reader, const char *name, attributes given) {
    if (!name || strcmp(name, "svg") != 0) {
        refuse(reader, FINDINGS_PLAN_OTHER_FILE, "XML, but no SVG", NULL);
        return;
    }
    const struct open outside = {plans_unmoved, plans_none, ""};
    reader->open[0] = inside(reader, outside, given, false);
    read_root(reader, given);
}

static void XMLCALL begin(void *who, const XML_Char *full, const XML_Char **given) {
    struct reader *reader = who;
    const char *name = name_in_svg(full);
    size_t depth = reader->depth;
    if (depth == PLANS_MOST_DEEP) {
        refuse(reader, FINDINGS_PLAN_TOO_DEEP, "64", NULL);
        return;
    }
    if (++reader->n_elements > PLANS_MOST_ELEMENTS) {
        refuse(reader, FINDINGS_PLAN_TOO_MANY, "200000", "elements");
        return;
    }
    if (depth == 0)
        begin_root(reader, name, (attributes)given);
    else if (!reader->skipped && !enter(reader, name, (attributes)given))
        reader->skipped = depth;
    reader->depth++;
    if (reader->input->drawing->full)
        refuse(reader, FINDINGS_PLAN_TOO_MANY, "100000", "lines");
    if (reader->input->drawing->lost)
        XML_StopParser(reader->parser, XML_FALSE);
}

static void XMLCALL end(void *who, const XML_Char *full) {
    struct reader *reader = who;
    (void)full;
    reader->depth--;
    if (reader->skipped == reader->depth)
        reader->skipped = 0;
}

/* ---- what may be hostile ---- */

static void XMLCALL meet_doctype(void *who, const XML_Char *name, const XML_Char *system,
                                 const XML_Char *public, int has_own_definitions) {
    static const char w3c[] = "-//W3C//DTD SVG ";
    struct reader *reader = who;
    if (has_own_definitions)
        refuse(reader, FINDINGS_PLAN_DEFINITIONS, NULL, NULL);
    else if (system && !(public && strncmp(public, w3c, sizeof w3c - 1) == 0))
        refuse(reader, FINDINGS_PLAN_OUTSIDE, system, NULL);
    (void)name;
}

/* &brick; in a file whose document type is elsewhere. */
static void XMLCALL meet_entity(void *who, const XML_Char *name, int is_parameter) {
    (void)is_parameter;
    refuse(who, FINDINGS_PLAN_OUTSIDE, name, NULL);
}

/* ---- the file ---- */

/* What expat ended with. Where it was stopped, that has been said. */
static void say_syntax(const struct reader *reader) {
    enum XML_Error error = XML_GetErrorCode(reader->parser);
    if (error == XML_ERROR_NO_MEMORY)
        reader->input->drawing->lost = true;
    else if (error != XML_ERROR_ABORTED)
        say(reader, FINDINGS_PLAN_NOT_XML, XML_ErrorString(error), NULL);
}

void plans_svg(const plans_input *input) {
    static const XML_Memory_Handling_Suite memory = {malloc, realloc, free};
    struct reader reader = {.input = input, .parser = XML_ParserCreate_MM(NULL, &memory, " ")};
    if (!reader.parser) {
        input->drawing->lost = true;
        return;
    }
    XML_SetUserData(reader.parser, &reader);
    XML_SetElementHandler(reader.parser, begin, end);
    XML_SetStartDoctypeDeclHandler(reader.parser, meet_doctype);
    XML_SetSkippedEntityHandler(reader.parser, meet_entity);
    if (XML_Parse(reader.parser, input->plan->data, (int)input->plan->size, XML_TRUE) !=
        XML_STATUS_OK)
        say_syntax(&reader);
    XML_ParserFree(reader.parser);
}
