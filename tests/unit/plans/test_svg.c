/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_svg.c - drawings against lines worked out by hand, and what is refused in them, where.
 *
 * One unit of the drawing is a meter here, and y is turned: a line at y = 3 of the drawing is a
 * wall at y = -3. References are sections of [SVG 1.1] (W3C, August 2011).
 */
#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "traced.h"

static void expect(const char *source, const char *plan, const char *walls,
                   const char *findings) {
    traced got = traced_text("plan.svg", plan);
    cr_expect_str_eq(got.walls, walls, "%s: got\n%s(%s)", source, got.walls, got.findings);
    cr_expect_str_eq(got.findings, findings, "%s: got %s", source, got.findings);
    traced_free(&got);
}

Test(svg, shapes) {
    static const struct {
        const char *source, *body, *walls;
    } rows[] = {
        {"sec. 9.5: line", "<line x1='1' y1='2' x2='5' y2='2'/>",
         "brick,ground,1,-2,5,-2,brick,,\n"},
        {"sec. 9.5: what is not given is 0", "<line x2='5'/>",
         "brick,ground,0,0,5,0,brick,,\n"},
        {"sec. 9.2: rect", "<rect x='1' y='1' width='4' height='3'/>",
         "brick,ground,1,-1,5,-1,brick,,\nbrick-2,ground,5,-1,5,-4,brick,,\n"
         "brick-3,ground,5,-4,1,-4,brick,,\nbrick-4,ground,1,-4,1,-1,brick,,\n"},
        {"sec. 9.6: polyline", "<polyline points='0,0 5,0 5,5'/>",
         "brick,ground,0,0,5,0,brick,,\nbrick-2,ground,5,0,5,-5,brick,,\n"},
        {"sec. 9.7: polygon", "<polygon points='0,0 5,0 5,5'/>",
         "brick,ground,0,0,5,0,brick,,\nbrick-2,ground,5,0,5,-5,brick,,\n"
         "brick-3,ground,5,-5,0,0,brick,,\n"},
        {"sec. 8: path", "<path d='M1,1h4'/>", "brick,ground,1,-1,5,-1,brick,,\n"},
        {"sec. 7.10: units, 1in is 96", "<line x1='1in' x2='2in' y1='0px'/>",
         "brick,ground,96,0,192,0,brick,,\n"},
        {"sec. 7.10: percent of the viewBox, 200 wide and 100 high",
         "<line x1='50%' x2='100%' y1='10%' y2='10%'/>",
         "brick,ground,100,-10,200,-10,brick,,\n"},
        {"names: an id", "<line id='north' x2='5'/>", "north,ground,0,0,5,0,brick,,\n"},
        {"names: a label before an id",
         "<line id='l1' x:label='North wall' xmlns:x='urn:x' x2='5'/>",
         "North wall,ground,0,0,5,0,brick,,\n"},
        {"names: an empty label is none", "<line id='l1' x:label='' xmlns:x='urn:x' x2='5'/>",
         "l1,ground,0,0,5,0,brick,,\n"},
        {"names: one twice", "<line id='a' x2='5'/><line id='a' y2='5'/>",
         "a,ground,0,0,5,0,brick,,\na-2,ground,0,0,0,-5,brick,,\n"},
        {"names: a formula", "<line id='=1+1' x2='5'/>", "\"'=1+1\",ground,0,0,5,0,brick,,\n"},
        {"names: a quote, a comma and a line end", "<line id='a&quot;,&#10;b' x2='5'/>",
         "\"a\"\", b\",ground,0,0,5,0,brick,,\n"},
        {"sec. 7.5: groups in groups, translate then scale",
         "<g transform='translate(10,20)'><g transform='scale(2)'><line x2='5'/></g></g>",
         "brick,ground,10,-20,20,-20,brick,,\n"},
        {"sec. 7.6: a shape's own transform is the innermost",
         "<g transform='scale(2)'><line x2='5' transform='translate(1,0)'/></g>",
         "brick,ground,2,0,12,0,brick,,\n"},
        {"sec. 7.4: rotate turns x to y, which is down",
         "<line x2='5' transform='rotate(90)'/>", "brick,ground,0,0,0,-5,brick,,\n"},
        {"a group's end is the end of its transform", "<g transform='scale(9)'/><line x2='5'/>",
         "brick,ground,0,0,5,0,brick,,\n"},
        {"sec. 5.2 and 17.1: a and g hold what is seen", "<a><g><line x2='5'/></g></a>",
         "brick,ground,0,0,5,0,brick,,\n"},
        {"sec. 5.3: definitions are not drawn",
         "<defs><line x2='9'/></defs><clipPath><rect width='9' height='9'/></clipPath>"
         "<line x2='5'/>",
         "brick,ground,0,0,5,0,brick,,\n"},
        {"what other programs keep in a drawing",
         "<p:view xmlns:p='urn:p'><line x2='9'/><p:line x2='9'/></p:view><line x2='5'/>",
         "brick,ground,0,0,5,0,brick,,\n"},
        {"a line without a length is no wall, nor is a rect without an area",
         "<line x1='3' x2='3'/><rect width='5'/><line x2='5'/>",
         "brick,ground,0,0,5,0,brick,,\n"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char plan[1000];
        snprintf(plan, sizeof plan,
                 "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 200 100'>%s</svg>",
                 rows[i].body);
        traced got = traced_text("plan.svg", plan);
        cr_expect_str_eq(got.walls, rows[i].walls, "%s: got\n%s(%s)", rows[i].source, got.walls,
                         got.findings);
        traced_free(&got);
    }
}

Test(svg, what_is_left_out_is_told) {
    static const char wall[] = "brick,ground,0,0,5,0,brick,,\n";
    expect(
        "curves",
        "<svg><line x2='5'/>\n<circle r='1'/>\n<ellipse/>\n<rect width='5' height='5' rx='1'/>"
        "\n<path d='M0,0 a1,1 0 0 0 2,2'/></svg>",
        wall, "2:1 plan-curve 3:1 plan-curve 4:1 plan-curve 5:1 plan-curve");
    expect("no lines",
           "<svg><line x2='5'/>\n<text>a</text>\n<image/>\n<use/>\n<svg><line x2='9'/></svg>"
           "\n<text/></svg>",
           wall, "2:1 plan-left-out x2 3:1 plan-left-out 4:1 plan-left-out 5:1 plan-left-out");
    expect("hidden",
           "<svg><line x2='5'/>\n<g display='none'><line x2='9'/></g>\n"
           "<line style='stroke:red; display : none' x2='9'/>\n"
           "<line visibility='hidden' x2='9'/></svg>",
           wall, "2:1 plan-left-out 3:1 plan-left-out x2");
    expect("a transform of the whole, as SVG 2 (W3C, October 2018) sec. 8.5 has it",
           "<svg transform='scale(2)'><line x2='2.5'/></svg>", wall, "");
    expect("no namespace, a doctype of the W3C",
           "<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" "
           "\"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\"><svg><line x2='5'/></svg>",
           wall, "");
}

Test(svg, all_that_is_wrong_is_told_in_one_run_with_its_place) {
    expect("several",
           "<svg>\n <line x2='5em'/>\n <g transform='turn(5)'/>\n <path d='M0,0 L5'/>\n"
           " <polyline points='x'/>\n <rect width='w' height='h'/>\n</svg>",
           "",
           "2:2 plan-length 3:2 plan-transform 4:2 plan-points 5:2 plan-points 6:2 plan-length "
           "6:2 plan-length");
    expect("columns are characters", "<svg><!-- \xc3\xa4\xc3\xb6 --><line x2='q'/></svg>", "",
           "1:17 plan-length");
    expect("a viewBox", "<svg viewBox='0 0 10'><line x2='5'/></svg>", "", "1:1 plan-length");
    expect("a wall beyond the reach",
           "<svg><line id='far' x2='2048.5'/><line x2='2048'/></svg>", "", "1:6 plan-far");
    expect("a number beyond any", "<svg><g transform='scale(1e290)'/></svg>", "",
           "1:6 plan-transform");
    expect("numbers that grow beyond any",
           "<svg><g transform='scale(1e14)'>" /* 25 times 14 digits are more than 10^308 */
           "<g transform='scale(1e14) scale(1e14) scale(1e14) scale(1e14) scale(1e14) "
           "scale(1e14)'>"
           "<g transform='scale(1e14) scale(1e14) scale(1e14) scale(1e14) scale(1e14) "
           "scale(1e14)'>"
           "<g transform='scale(1e14) scale(1e14) scale(1e14) scale(1e14) scale(1e14) "
           "scale(1e14)'>"
           "<g transform='scale(1e14) scale(1e14) scale(1e14) scale(1e14) scale(1e14) "
           "scale(1e14)'>"
           "\n<line x2='1'/></g></g></g></g></g></svg>",
           "", "2:1 plan-far");
}

/* A document type is refused at its first bracket, or at its end. */
Test(svg, hostile_files_are_refused) {
    static const struct {
        const char *source, *plan, *findings;
    } rows[] = {
        {"entities in entities, which would be 10^9 words",
         "<?xml version='1.0'?>\n<!DOCTYPE svg [<!ENTITY a 'lol'>\n"
         "<!ENTITY b '&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;'>\n<!ENTITY c '&b;&b;&b;&b;&b;&b;&b;&b;'>"
         "]><svg id='&c;'><line x2='5'/></svg>",
         "2:15 plan-definitions"},
        {"an entity that is a file",
         "<!DOCTYPE svg [<!ENTITY f SYSTEM 'file:///etc/passwd'>]><svg>&f;</svg>",
         "1:15 plan-definitions"},
        {"a parameter entity",
         "<!DOCTYPE svg [<!ENTITY % p SYSTEM 'http://example.invalid/'> %p;]><svg/>",
         "1:15 plan-definitions"},
        {"attributes for all elements", "<!DOCTYPE svg [<!ATTLIST g a CDATA 'b'>]><svg/>",
         "1:15 plan-definitions"},
        {"a document type elsewhere", "<!DOCTYPE svg SYSTEM 'http://example.invalid/a'><svg/>",
         "1:48 plan-outside"},
        {"an entity of the document type",
         "<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'a'><svg>&wall;</svg>",
         "1:57 plan-outside"},
        {"an entity of nowhere", "<svg>&wall;</svg>", "1:6 plan-not-xml"},
        {"cut short", "<svg><g>", "1:9 plan-not-xml"},
        {"a prefix without its namespace", "<svg><a:b/></svg>", "1:6 plan-not-xml"},
        {"two values for one attribute", "<svg><line x2='5' x2='6'/></svg>",
         "1:19 plan-not-xml"},
        {"a zero byte is no XML, nor is what is not UTF-8", "<svg>\xff</svg>",
         "1:6 plan-not-xml"},
        {"another encoding that nobody knows", "<?xml version='1.0' encoding='x-no'?><svg/>",
         "1:31 plan-not-xml"},
        {"another language", "<html><line/></html>", "1:1 plan-other-file"},
        {"another namespace", "<svg xmlns='urn:x'><line/></svg>", "1:1 plan-other-file"},
        {"two roots", "<svg/><svg/>", "1:7 plan-not-xml"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        expect(rows[i].source, rows[i].plan, "", rows[i].findings);
}

/* The time is for reading that would look at the rest of a path for each of its pieces. */
Test(svg, limits, .timeout = 60) {
    static const struct {
        const char *what, *before, *text;
        size_t n;
        const char *behind, *findings;
    } rows[] = {
        {"100,000 deep", "<svg>", "<g>", 100000, "", "1:195 plan-too-deep"},
        {"63 groups are not too deep", "<svg>", "<g>", 63, "", "1:195 plan-not-xml"},
        {"inside of what is not looked at, too", "<svg><defs>", "<g>", 100000, "",
         "1:198 plan-too-deep"},
        {"200,001 elements", "<svg>", "<g/>", 200000, "</svg>", "1:800002 plan-too-many"},
        {"100,001 lines in one path", "<svg><path d='M0,0", "h1v1", 50001, "'/></svg>",
         "1:6 plan-too-many"},
        {"11 MB of curves in one path are read in one go", "<svg><path d='M0,0", "C1,1,2,3,4,5",
         900000, "'/></svg>", "0:0 plan-no-walls 1:6 plan-curve"},
        {"more than 16 MB", "<svg>", "<!--0123456789012345678901234567890123456789-->", 400000,
         "</svg>", "0:0 plan-too-large"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *plan = traced_repeat(rows[i].before, rows[i].text, rows[i].n, rows[i].behind);
        expect(rows[i].what, plan, "", rows[i].findings);
        free(plan);
    }
}

/* The same drawing in UTF-16, which XML allows. */
Test(svg, other_encodings) {
    static const char plan[] = "<svg><line id='a' x2='5'/></svg>";
    char wide[2 + 2 * sizeof plan] = "\xff\xfe";
    for (size_t i = 0; i + 1 < sizeof plan; i++) {
        wide[2 + 2 * i] = plan[i];
        wide[3 + 2 * i] = '\0';
    }
    const earshot_walls_task task = {.scale = traced_scale, .construction = "brick"};
    traced got = traced_bytes("plan.svg", wide, 2 * sizeof plan, &task);
    cr_expect_str_eq(got.walls, "a,ground,0,0,5,0,brick,,\n", "%s", got.findings);
    traced_free(&got);
    expect("Latin-1",
           "<?xml version='1.0' encoding='ISO-8859-1'?><svg><line id='\xe4' x2='5'/></svg>",
           "\xc3\xa4,ground,0,0,5,0,brick,,\n", "");
}
