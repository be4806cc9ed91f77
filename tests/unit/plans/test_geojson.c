/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_geojson.c - [RFC 7946], The GeoJSON Format (IETF, August 2016): the examples of its
 * appendix A, and what is refused, where.
 */
#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "traced.h"

struct row {
    const char *source, *plan, *walls, *findings;
};

static void expect(const struct row *row) {
    traced got = traced_text("plan.geojson", row->plan);
    cr_expect_str_eq(got.walls, row->walls, "%s: got\n%s(%s)", row->source, got.walls,
                     got.findings);
    cr_expect_str_eq(got.findings, row->findings, "%s: got %s", row->source, got.findings);
    traced_free(&got);
}

/* Positions of the appendix as they stand there; our names, numbers cut as we cut them. */
Test(geojson, the_examples_of_appendix_a) {
    static const struct row rows[] = {
        {"A.1 Points are no walls", "{\"type\":\"Point\",\"coordinates\":[100.0,0.0]}", "",
         "0:0 plan-no-walls 1:1 plan-left-out"},
        {"A.2 LineStrings",
         "{\"type\":\"LineString\",\"coordinates\":[[100.0,0.0],[101.0,1.0]]}",
         "brick,ground,100,0,101,1,brick,,\n", ""},
        {"A.3 Polygons, no holes",
         "{\"type\":\"Polygon\",\"coordinates\":[[[100.0,0.0],[101.0,0.0],[101.0,1.0],"
         "[100.0,1.0],[100.0,0.0]]]}",
         "brick,ground,100,0,101,0,brick,,\nbrick-2,ground,101,0,101,1,brick,,\n"
         "brick-3,ground,101,1,100,1,brick,,\nbrick-4,ground,100,1,100,0,brick,,\n",
         ""},
        {"A.3 with holes: the walls of a hole too",
         "{\"type\":\"Polygon\",\"coordinates\":[[[100.0,0.0],[101.0,0.0],[101.0,1.0],"
         "[100.0,1.0],[100.0,0.0]],[[100.8,0.8],[100.8,0.2],[100.2,0.2],[100.2,0.8],"
         "[100.8,0.8]]]}",
         "brick,ground,100,0,101,0,brick,,\nbrick-2,ground,101,0,101,1,brick,,\n"
         "brick-3,ground,101,1,100,1,brick,,\nbrick-4,ground,100,1,100,0,brick,,\n"
         "brick-5,ground,100.8,0.8,100.8,0.2,brick,,\nbrick-6,ground,100.8,0.2,100.2,0.2,brick,"
         ",\n"
         "brick-7,ground,100.2,0.2,100.2,0.8,brick,,\nbrick-8,ground,100.2,0.8,100.8,0.8,brick,"
         ",\n",
         ""},
        {"A.4 MultiPoints",
         "{\"type\":\"MultiPoint\",\"coordinates\":[[100.0,0.0],[101.0,1.0]]}", "",
         "0:0 plan-no-walls 1:1 plan-left-out"},
        {"A.5 MultiLineStrings",
         "{\"type\":\"MultiLineString\",\"coordinates\":[[[100.0,0.0],[101.0,1.0]],"
         "[[102.0,2.0],[103.0,3.0]]]}",
         "brick,ground,100,0,101,1,brick,,\nbrick-2,ground,102,2,103,3,brick,,\n", ""},
        {"A.6 MultiPolygons, the first of its two",
         "{\"type\":\"MultiPolygon\",\"coordinates\":[[[[102.0,2.0],[103.0,2.0],[103.0,3.0],"
         "[102.0,3.0],[102.0,2.0]]]]}",
         "brick,ground,102,2,103,2,brick,,\nbrick-2,ground,103,2,103,3,brick,,\n"
         "brick-3,ground,103,3,102,3,brick,,\nbrick-4,ground,102,3,102,2,brick,,\n",
         ""},
        {"A.7 GeometryCollections",
         "{\"type\":\"GeometryCollection\",\"geometries\":[{\"type\":\"Point\","
         "\"coordinates\":[100.0,0.0]},{\"type\":\"LineString\",\"coordinates\":"
         "[[101.0,0.0],[102.0,1.0]]}]}",
         "brick,ground,101,0,102,1,brick,,\n", "1:1 plan-left-out"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect(&rows[i]);
}

#define LINE(x) "{\"type\":\"LineString\",\"coordinates\":[[0,0],[" x ",0]]}"
#define FEATURE(properties, geometry)                                                          \
    "{\"type\":\"Feature\",\"properties\":" properties ",\"geometry\":" geometry "}"
#define COLLECTION(features) "{\"type\":\"FeatureCollection\",\"features\":[" features "]}"

Test(geojson, features) {
    static const struct row rows[] = {
        {"sec. 3.2: properties may be null", FEATURE("null", LINE("5")),
         "brick,ground,0,0,5,0,brick,,\n", ""},
        {"a name, a level, heights",
         FEATURE("{\"wall\":\"n\",\"level\":\"up\",\"bottom_m\":0,\"top_m\":1.1}", LINE("5")),
         "n,up,0,0,5,0,brick,0,1.1\n", ""},
        {"a feature's id as its name",
         "{\"type\":\"Feature\",\"id\":\"@n\",\"properties\":{},\"geometry\":" LINE("5") "}",
         "\"'@n\",ground,0,0,5,0,brick,,\n", ""},
        {"sec. 3.3: several", COLLECTION(FEATURE("{}", LINE("5")) "," FEATURE("{}", LINE("6"))),
         "brick,ground,0,0,5,0,brick,,\nbrick-2,ground,0,0,6,0,brick,,\n", ""},
        {"sec. 3.2: no place", COLLECTION(FEATURE("{}", "null") "," FEATURE("{}", LINE("6"))),
         "brick,ground,0,0,6,0,brick,,\n", "1:41 plan-left-out"},
        {"sec. 3.1.1: a height in a position",
         "{\"type\":\"LineString\",\"coordinates\":[[0,0,7],[5,0,7]]}",
         "brick,ground,0,0,5,0,brick,,\n", ""},
        {"sec. 3.1.6 wants rings closed; one that is not is",
         "{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[5,0],[5,5]]]}",
         "brick,ground,0,0,5,0,brick,,\nbrick-2,ground,5,0,5,5,brick,,\n"
         "brick-3,ground,5,5,0,0,brick,,\n",
         ""},
        {"sec. 6.1: other members",
         "{\"a\":{\"features\":[{}]},\"type\":\"LineString\","
         "\"coordinates\":[[0,0],[5,0]],\"crs\":null}",
         "brick,ground,0,0,5,0,brick,,\n", ""},
        {"a mark of UTF-8, which RFC 8259 sec. 8.1 lets a reader pass over",
         "\xef\xbb\xbf" LINE("5"), "brick,ground,0,0,5,0,brick,,\n", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect(&rows[i]);
}

Test(geojson, findings_point_at_their_feature) {
    static const struct row rows[] = {
        {"each begins where its brace is",
         "{\"type\":\"FeatureCollection\",\n\"name\":\"features\", \"bbox\":[{\"a\":1},2],\n"
         "\"features\" :\n[\n" FEATURE(
             "{\"note\":\"} ] \\\" {\"}",
             LINE("5")) ",\n"
                        "\"\xc3\xa4\", " FEATURE("{}", LINE("\"x\"")) ",\n  " FEATURE(
                            "{\"top_m\":99}", LINE("5")) "]}",
         "", "6:1 plan-geometry 6:6 plan-position 7:3 plan-height"},
        {"a key with escapes is not found again; the beginning is named",
         "\n{\"type\":\"FeatureCollection\",\"featur\\u0065s\":[" FEATURE("{}",
                                                                          LINE("\"x\"")) "]}",
         "", "1:1 plan-position"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect(&rows[i]);
}

Test(geojson, what_is_wrong) {
    static const struct row rows[] = {
        {"no such type", "{\"type\":\"Line\",\"coordinates\":[[0,0],[5,0]]}", "",
         "1:1 plan-geometry"},
        {"no type", "{}", "", "1:1 plan-geometry"},
        {"a type that is no text", "{\"type\":5}", "", "1:1 plan-geometry"},
        {"positions that are none",
         "{\"type\":\"LineString\",\"coordinates\":[[0,0],[5],[6,0]]}", "",
         "1:1 plan-position"},
        {"a position of text", "{\"type\":\"LineString\",\"coordinates\":[\"0,0\"]}", "",
         "1:1 plan-position"},
        {"no coordinates", "{\"type\":\"LineString\"}", "", "1:1 plan-coordinates"},
        {"a list too few", "{\"type\":\"Polygon\",\"coordinates\":[[0,0],[5,0]]}", "",
         "1:1 plan-position"}, /* both are, in one feature: it is told once */
        {"a collection without a list", "{\"type\":\"FeatureCollection\"}", "",
         "1:1 plan-member"},
        {"a collection of geometries without a list", "{\"type\":\"GeometryCollection\"}", "",
         "1:1 plan-member"},
        {"something else than a feature", COLLECTION("5,{\"type\":\"Point\"}"), "",
         "1:41 plan-geometry 1:43 plan-geometry"},
        {"heights", FEATURE("{\"top_m\":\"high\",\"bottom_m\":99}", LINE("5")), "",
         "1:1 plan-height 1:1 plan-height"},
        {"too far", LINE("2048.01"), "", "1:1 plan-far"},
        {"degrees: all of it a hand's breadth", LINE("0.0001"), "",
         "0:0 plan-no-walls 1:1 plan-short"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect(&rows[i]);
}

/* Columns: jansson's, which are those of the last character that it took. */
Test(geojson, what_is_no_json) {
    static const struct row rows[] = {
        {"a comma too many", "{\"type\":,}", "", "1:9 plan-not-json"},
        {"cut short", "{\"type\":\n", "", "2:0 plan-not-json"},
        {"more behind it", LINE("5") "x", "", "1:50 plan-not-json"},
        {"a member twice", "{\"type\":\"Point\",\"type\":\"LineString\"}", "",
         "1:22 plan-not-json"},
        {"a number without an end", LINE("1e999"), "", "1:48 plan-not-json"},
        {"no number", LINE("NaN"), "", "1:46 plan-not-json"},
        {"a zero in a text", "{\"type\":\"\\u0000\"}", "", "1:16 plan-not-json"},
        {"bytes that are not UTF-8", "{\"type\":\"\xff\"}", "", "1:9 plan-not-json"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect(&rows[i]);
}

Test(geojson, limits) {
    char *deep = traced_repeat("{\"coordinates\":", "[", 100000, "");
    expect(&(struct row){"100,000 deep", deep, "", "1:2063 plan-not-json"});
    free(deep);
    deep = traced_repeat("", "{\"type\":\"GeometryCollection\",\"geometries\":[", 17,
                         "]}]}]}]}]}]}]}]}]}]}]}]}]}]}]}]}]}");
    expect(&(struct row){"collections in collections", deep, "", "1:1 plan-too-deep"});
    free(deep);
    deep = traced_repeat("{\"type\":\"LineString\",\"coordinates\":[[0,0]", ",[0,0],[5,0]",
                         50001, "]}");
    expect(&(struct row){"100,001 lines", deep, "", "1:1 plan-too-many"});
    free(deep);
}
