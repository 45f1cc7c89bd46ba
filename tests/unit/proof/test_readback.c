// test_readback.c - numbers, path data and sheet SVGs as the proof reads them.
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "proof/read_xml.h"
#include "proof/readback.h"

#include <string.h>

static double number(const char *text)
{
    const char *at = text;
    double value = -99.0;
    assert_true(read_number(&at, text + strlen(text), &value));
    assert_int_equal(at - text, strlen(text));
    return value;
}

static bool is_number(const char *text)
{
    const char *at = text;
    double value;
    return read_number(&at, text + strlen(text), &value) && *at == '\0';
}

static void read_number__one_value_however_written(void **state)
{
    (void)state;
    const char *const forms[] = {"1.5", "1.50", "+1.5", "15e-1", "0.15E1", "0000001.500000", "150e-02"};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) assert_true(number(forms[i]) == 1.5);
    assert_true(number(".001") == 0.001);
    assert_true(number("-123.456") == -123.456);
    assert_true(number("123456.789012345678") == 123456.789012345678);
    assert_true(number("0.1e-30") == 0.1e-30);
    assert_true(number("7.") == 7.0);
}

static void read_number__refuses_what_is_none(void **state)
{
    (void)state;
    const char *const wrong[] = {"", "-", ".", "e5", "nan", "inf", "0x10", "1e999", "--1", "1.2.3", "1,5"};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) assert_false(is_number(wrong[i]));
}

static const char *problem_of(const char *data, ReadEnds ends)
{
    Arena arena = arena_make(0);
    ReadPath path;
    const char *problem;
    Error err;
    assert_true(read_path(data, strlen(data), ends, &arena, &path, &problem, &err));
    arena_free(&arena);
    return problem;
}

static void read_path__takes_what_the_standard_allows_of_m_l_c_z(void **state)
{
    (void)state;
    assert_null(problem_of("M0,0L10 0C10,5-5.5.5,0 10Z", READ_ENDS_CLOSED));
    assert_null(problem_of("  M 0 0 10 0 10 10 Z M 20 20 L 30 20 30 30z ", READ_ENDS_CLOSED));
    assert_null(problem_of("M 0 0 L 1 1 M 2 2 L 3 3", READ_ENDS_OPEN));
}

static void read_path__refuses_the_rest(void **state)
{
    (void)state;
    const char *const wrong[] = {"",
                                 "L 1 1",
                                 "M 0 0",
                                 "M 0 0 Z",
                                 "M 0 0 l 1 1 Z",
                                 "M 0 0 H 5 Z",
                                 "M 0 0 A 1 1 0 0 1 5 5 Z",
                                 "M 0 0 L 1 Z",
                                 "M 0 0 L 1 1 Z L 2 2",
                                 "M 0 0 L nan 1 Z",
                                 "M 0 0 L 1e9 1 L 0 1 Z",
                                 "M 0 0 L 1 1",
                                 "M 0 0 L 1 1 Z Z",
                                 "Z"};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        if (!problem_of(wrong[i], READ_ENDS_CLOSED)) fail_msg("accepted: %s", wrong[i]);
    assert_non_null(problem_of("M 0 0 L 1 1 Z", READ_ENDS_OPEN));
}

static void read_path__closing_is_a_line_of_its_own(void **state)
{
    (void)state;
    Arena arena = arena_make(0);
    ReadPath path;
    const char *problem, *data = "M 0 0 L 4 0 L 4 4 Z M 0 0 L 4 0 L 4 4 L 0 0 Z";
    Error err;
    assert_true(read_path(data, strlen(data), READ_ENDS_CLOSED, &arena, &path, &problem, &err));
    assert_null(problem);
    assert_int_equal(path.part_count, 2);
    assert_int_equal(path.parts[0].count, 3);
    assert_int_equal(path.parts[1].count, 3);
    assert_int_equal(measure_compare(&path.curves[2], &path.curves[5]), 0);
    arena_free(&arena);
}

static const char *xml_problem(const char *text)
{
    XmlReader xml = xml_make(text, strlen(text));
    for (;;) {
        XmlToken token = xml_next(&xml);
        if (token == XML_DONE) return NULL;
        if (token == XML_WRONG) return xml.problem;
    }
}

static void xml__balanced_elements_are_read(void **state)
{
    (void)state;
    assert_null(xml_problem("<?xml version='1.0'?>\n<!-- <b> -->\n<a x=\"1\" y='&lt;2'><b/>t &amp; t<c ></c ></a>\n"));
}

static void xml__what_is_not_well_formed_is_refused(void **state)
{
    (void)state;
    const char *const wrong[] = {"",
                                 "text",
                                 "<a>",
                                 "<a></b>",
                                 "</a>",
                                 "<a/><b/>",
                                 "<a x=1/>",
                                 "<a x='1' x='2'/>",
                                 "<a x='<'/>",
                                 "<a>&</a>",
                                 "<!DOCTYPE a><a/>",
                                 "<a><![CDATA[x]]></a>",
                                 "<a x='1'y='2'/>",
                                 "<a",
                                 "<a/",
                                 "<!-- <a/>",
                                 "<a/>text"};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        if (!xml_problem(wrong[i])) fail_msg("accepted: %s", wrong[i]);
}

static bool drawing_is_good(const char *text)
{
    Arena arena = arena_make(0);
    Faults faults;
    Error err;
    ReadDrawing drawing;
    FileBytes file = {"sheets/x.svg", text, strlen(text)};
    bool good;
    assert_true(faults_make(&arena, &faults, &err));
    assert_true(read_drawing(&file, &arena, &faults, "x-1", &good, &drawing, &err));
    assert_int_equal(faults.count, good ? 0 : 1);
    arena_free(&arena);
    return good;
}

#define HEAD "<svg width='10mm' height='20mm' viewBox='0 0 10 20'>"
#define CUT "<g id='cut'><path fill='#123456' d='M 0 0 L 1 0 L 0 1 Z'/></g>"

static void read_drawing__takes_only_what_a_sheet_may_hold(void **state)
{
    (void)state;
    assert_true(drawing_is_good(HEAD CUT "</svg>"));
    assert_true(drawing_is_good(HEAD "<title>t</title>" CUT "<g id='pen'><path d='M 0 0 L 1 1'/></g></svg>"));
    assert_false(drawing_is_good(HEAD "</svg>"));
    assert_false(drawing_is_good(HEAD CUT CUT "</svg>"));
    assert_false(drawing_is_good(HEAD CUT "<rect/></svg>"));
    assert_false(drawing_is_good(HEAD CUT "words</svg>"));
    assert_false(drawing_is_good(HEAD CUT "<path d='M 0 0 L 1 1'/></svg>"));
    assert_false(drawing_is_good(HEAD CUT "<g id='pen'></g></svg>"));
    assert_false(drawing_is_good(HEAD "<g id='cut' transform='scale(2)'><path d='M 0 0 L 1 0 L 0 1 Z'/></g></svg>"));
    assert_false(drawing_is_good("<svg width='10in' height='20mm' viewBox='0 0 10 20'>" CUT "</svg>"));
    assert_false(drawing_is_good("<svg width='10mm' height='20mm'>" CUT "</svg>"));
}

static void read_drawing__groups_may_hold_groups_with_a_name_but_no_deeper(void **state)
{
    (void)state;
    static const char grouped[] = HEAD "<g id='cut'><g id='corners'><path fill='#123456' d='M 0 0 L 1 0 L 0 1 Z'/></g>"
                                       "<path fill='#234567' d='M 5 5 L 6 5 L 5 6 Z M 7 7 L 8 7 L 7 8 Z'/></g>"
                                       "<g id='score'><g id='A1-score'><path stroke='#b4581a' d='M 0 0 L 1 1'/></g></g></svg>";
    Arena arena = arena_make(0);
    Faults faults;
    Error err;
    ReadDrawing d;
    FileBytes file = {"sheets/x.svg", grouped, strlen(grouped)};
    bool good;
    assert_true(faults_make(&arena, &faults, &err));
    assert_true(read_drawing(&file, &arena, &faults, "x-1", &good, &d, &err));
    assert_true(good);
    assert_int_equal(d.object_count, 3);
    assert_string_equal(d.objects[0].group, "corners");
    assert_string_equal(d.objects[1].group, "");
    assert_string_equal(d.objects[2].group, "A1-score");
    assert_int_equal(d.paths[READ_CUT].part_count, 3);
    assert_int_equal(d.paths[READ_CUT].parts[0].object, 0);
    assert_int_equal(d.paths[READ_CUT].parts[2].object, 1);
    assert_true(d.paths[READ_CUT].curves[d.paths[READ_CUT].parts[2].first].p[0].x == 7.0);
    assert_int_equal(d.paths[READ_SCORE].part_count, 1);
    assert_string_equal(d.objects[2].stroke, "#b4581a");
    arena_free(&arena);
    assert_false(drawing_is_good(HEAD "<g id='cut'><g id='a'><g id='b'><path d='M 0 0 L 1 0 L 0 1 Z'/></g></g></g></svg>"));
    assert_false(drawing_is_good(HEAD "<g id='cut'><g><path d='M 0 0 L 1 0 L 0 1 Z'/></g></g></svg>"));
    assert_false(drawing_is_good(HEAD "<g id='cut'><g id='a'></g><path d='M 0 0 L 1 0 L 0 1 Z'/></g></svg>"));
    assert_false(drawing_is_good(HEAD "<g id='cut' fill='#123456'><path d='M 0 0 L 1 0 L 0 1 Z'/></g></svg>"));
    assert_false(drawing_is_good(HEAD "<g id='A1'><path d='M 0 0 L 1 0 L 0 1 Z'/></g></svg>"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(read_number__one_value_however_written),
        cmocka_unit_test(read_number__refuses_what_is_none),
        cmocka_unit_test(read_path__takes_what_the_standard_allows_of_m_l_c_z),
        cmocka_unit_test(read_path__refuses_the_rest),
        cmocka_unit_test(read_path__closing_is_a_line_of_its_own),
        cmocka_unit_test(xml__balanced_elements_are_read),
        cmocka_unit_test(xml__what_is_not_well_formed_is_refused),
        cmocka_unit_test(read_drawing__takes_only_what_a_sheet_may_hold),
        cmocka_unit_test(read_drawing__groups_may_hold_groups_with_a_name_but_no_deeper),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
