// test_ground.c - what of a picture is not cut.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/painted_picture.h"

static void transparency__is_ground_and_holes_too(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, clear);
    disc(&d, 30, 30, 25, white);
    box(&d, 25, 25, 35, 35, (Paint){77, 200, 13, 0}); // wild colour under alpha 0
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(label_at(&d, 30, 30), 0);
    assert_int_equal(label_at(&d, 2, 2), 0);
    assert_colour(&d, label_at(&d, 30, 10), white);
    done(&d);
}

static void half_transparent_edge__belongs_to_the_larger_share(void **state)
{
    (void)state;
    Drawing d = canvas(20, 20, clear);
    box(&d, 5, 5, 15, 15, red);
    for (int y = 5; y < 15; y++) put(&d, 4, y, (Paint){red.r, red.g, red.b, 200});
    for (int y = 5; y < 15; y++) put(&d, 15, y, (Paint){255, 0, 255, 20}); // wild colour at low alpha
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].area_px, 110);
    assert_true(d.s.box_px[0] == 4 && d.s.box_px[2] == 15);
    done(&d);
}

static void art_that_fills_the_frame__has_no_ground(void **state)
{
    (void)state;
    Drawing d = canvas(40, 40, white);
    box(&d, 0, 0, 20, 20, red);
    box(&d, 20, 0, 40, 20, black);
    box(&d, 0, 20, 20, 40, grey);
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 4);
    for (int i = 0; i < 1600; i++) assert_int_not_equal(d.s.label[i], 0);
    done(&d);
}

static void corners_of_paper__are_ground_though_the_frame_is_not(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, red);
    for (int i = 0; i < 4; i++) box(&d, i & 1 ? 55 : 0, i & 2 ? 55 : 0, i & 1 ? 60 : 5, i & 2 ? 60 : 5, white);
    box(&d, 0, 20, 60, 40, black);
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    assert_int_equal(d.s.ground_colour.r, 255);
    assert_int_equal(label_at(&d, 1, 1), 0);
    assert_int_equal(d.s.colour_count, 2);
    done(&d);
}

// Sky and grass, half a flag: a colour that is no bare paper has to go nearly all round to be the ground.
static void colour_on_half_of_the_frame__is_paper_and_told(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, blue);
    box(&d, 0, 30, 60, 60, red);
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 2);
    assert_int_equal(d.s.findings.count, 1);
    assert_string_equal(d.s.findings.items[0].kind, "edge-colour");
    assert_non_null(strstr(d.s.findings.items[0].text, " fills half of the picture's edge and more and is cut as paper"));
    done(&d);
}

static void colour_round_a_figure_that_is_cut_off__is_ground(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, blue);
    box(&d, 10, 10, 60, 60, red); // cut off at the right and below: the blue has three corners and not two thirds
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    done(&d);
    d = canvas(60, 60, blue);
    box(&d, 40, 20, 60, 60, red); // three corners, and two thirds
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    assert_int_equal(d.s.findings.count, 0);
    done(&d);
    d = canvas(60, 60, white); // bare paper needs less: a bust cut off below
    box(&d, 0, 35, 60, 60, red);
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    done(&d);
}

// A frame of dark paper, round corners too, is part of the picture; the same colour round a thing is what lies behind it.
static void colour_that_frames_a_picture__is_paper_and_told(void **state)
{
    (void)state;
    Drawing d = canvas(80, 60, blue);
    box(&d, 4, 4, 76, 56, red);
    box(&d, 4, 4, 6, 6, blue), box(&d, 74, 4, 76, 6, blue), box(&d, 4, 54, 6, 56, blue), box(&d, 74, 54, 76, 56, blue);
    box(&d, 10, 10, 30, 50, black);
    separate_well(&d, 2);
    assert_false(d.s.has_ground_colour);
    assert_colour(&d, label_at(&d, 1, 1), blue);
    assert_int_equal(d.s.colour_count, 3);
    assert_true(found(&d, "edge-colour"));
    done(&d);
}

static void colour_round_what_is_no_picture_in_a_frame__is_ground(void **state)
{
    (void)state;
    const Paint border[3] = {blue, blue, white};
    for (int n = 0; n < 3; n++) {
        Drawing d = canvas(80, 60, border[n]);
        if (n == 0) disc(&d, 40, 30, 27, red);       // no rectangle
        if (n == 1) box(&d, 30, 20, 60, 50, red);    // a rectangle that much lies round
        if (n == 2) box(&d, 4, 4, 76, 56, red);      // bare paper round a picture
        separate_well(&d, 2);
        assert_true(d.s.has_ground_colour);
        assert_int_equal(label_at(&d, 1, 1), 0);
        done(&d);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(transparency__is_ground_and_holes_too),
        cmocka_unit_test(half_transparent_edge__belongs_to_the_larger_share),
        cmocka_unit_test(art_that_fills_the_frame__has_no_ground),
        cmocka_unit_test(corners_of_paper__are_ground_though_the_frame_is_not),
        cmocka_unit_test(colour_on_half_of_the_frame__is_paper_and_told),
        cmocka_unit_test(colour_round_a_figure_that_is_cut_off__is_ground),
        cmocka_unit_test(colour_that_frames_a_picture__is_paper_and_told),
        cmocka_unit_test(colour_round_what_is_no_picture_in_a_frame__is_ground),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
