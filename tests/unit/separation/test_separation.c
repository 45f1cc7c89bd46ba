// Tiny pictures drawn in code: what becomes a colour, what is said about pictures that cannot be cut.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/painted_picture.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void assert_refused(Drawing *d, ErrorKind kind, const char *words)
{
    separate(d, 1);
    assert_false(d->good);
    assert_null(d->s.label);
    assert_int_equal(d->err.kind, kind);
    if (!strstr(d->err.text, words)) fail_msg("\"%s\" should say \"%s\"", d->err.text, words);
    done(d);
}

static void disc_on_white__two_regions_and_exact_colour(void **state)
{
    (void)state;
    Drawing d = canvas(60, 50, white);
    disc(&d, 30.3, 24.7, 18.2, red);
    separate_well(&d, 2);
    assert_true(d.s.has_ground_colour);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].region_count, 1);
    assert_colour(&d, label_at(&d, 30, 25), red);
    assert_string_equal(d.s.colours[0].name, "red");
    assert_int_equal(label_at(&d, 0, 0), 0);
    double area = 3.14159265 * 18.2 * 18.2;
    assert_true(fabs((double)d.s.colours[0].area_px - area) < 8.0);
    assert_false(d.s.hard_edged);
    assert_false(d.s.is_noisy);
    done(&d);
}

static void grey_between_black_and_white__never_edges_them(void **state)
{
    (void)state;
    Drawing d = canvas(120, 60, white);
    disc(&d, 30, 30, 22.4, black);
    disc(&d, 90, 30, 20.6, grey); // a true grey elsewhere, which is also what black on white blends to
    separate_well(&d, 1);
    assert_int_equal(d.s.colour_count, 2);
    for (int i = 0; i < 2; i++) assert_int_equal(d.s.colours[i].region_count, 1);
    for (int y = 0; y < 60; y++)
        for (int x = 0; x < 60; x++)
            if (label_at(&d, x, y)) assert_colour(&d, label_at(&d, x, y), black);
    assert_int_equal(d.s.findings.count, 0);
    done(&d);
}

static void white_that_is_closed_in__stays_paper(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, white);
    disc(&d, 30, 30, 25, red);
    disc(&d, 30, 30, 12, white);
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 2);
    assert_int_equal(label_at(&d, 1, 1), 0);
    assert_colour(&d, label_at(&d, 30, 30), white);
    done(&d);
}

static void hard_edges__keep_thin_lines_exactly(void **state)
{
    (void)state;
    Drawing d = canvas(60, 60, white);
    box(&d, 5, 5, 55, 55, grey);
    for (int i = 8; i < 52; i++) put(&d, i, 20, red); // one pixel wide, a colour of its own
    for (int i = 8; i < 52; i++) put(&d, 12, i, red);
    separate_well(&d, 2);
    assert_true(d.s.hard_edged);
    assert_int_equal(d.s.colour_count, 2);
    assert_colour(&d, label_at(&d, 30, 20), red);
    assert_int_equal(d.s.colours[1].area_px, 87);
    assert_int_equal(d.s.findings.count, 1);
    assert_string_equal(d.s.findings.items[0].kind, "thin-colour");
    done(&d);
}

static void near_twins__are_one_colour(void **state)
{
    (void)state;
    Drawing d = canvas(60, 40, white);
    box(&d, 5, 5, 30, 35, red);
    box(&d, 30, 5, 50, 35, (Paint){221, 31, 41, 255});
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].region_count, 1);
    assert_colour(&d, 1, red); // the larger one's value
    done(&d);
}

static void tiny_pictures__work_pixel_by_pixel(void **state)
{
    (void)state;
    Drawing two = canvas(2, 2, clear);
    put(&two, 0, 0, red);
    separate_well(&two, 1);
    assert_int_equal(two.s.colour_count, 1);
    assert_int_equal(label_at(&two, 0, 0), 1);
    assert_int_equal(label_at(&two, 1, 1), 0);
    done(&two);
    Drawing row = canvas(9, 1, red);
    box(&row, 3, 0, 6, 1, black);
    separate_well(&row, 1);
    assert_int_equal(row.s.colour_count, 1);
    assert_int_equal(label_at(&row, 4, 0), 1);
    done(&row);
    Drawing column = canvas(1, 9, red);
    box(&column, 0, 3, 1, 6, black);
    separate_well(&column, 1);
    assert_int_equal(label_at(&column, 0, 4), 1);
    done(&column);
    Drawing checks = canvas(8, 8, clear);
    for (int i = 0; i < 64; i++) put(&checks, i % 8, i / 8, (i % 8 + i / 8) % 2 ? black : red);
    separate_well(&checks, 1);
    assert_int_equal(checks.s.colour_count, 2);
    assert_int_equal(checks.s.colours[0].region_count, 32);
    done(&checks);
}

static void specks__are_listed_with_place_and_sizes(void **state)
{
    (void)state;
    Drawing d = canvas(100, 100, white);
    box(&d, 10, 10, 90, 90, red);
    box(&d, 40, 50, 43, 53, black); // 3 px: 30 mm at 800 mm for 80 px
    SeparationOptions options = separation_defaults();
    options.figure_height_mm = 800.0;
    options.smallest_part_mm = 45.0;
    assert_true(separation_make(&d.picture, &options, &d.keep, &d.work, &d.s, &d.err));
    assert_int_equal(d.s.colour_count, 1);
    assert_int_equal(d.s.colours[0].area_px, 6400);
    assert_int_equal(d.s.findings.count, 2);
    const Finding *f = &d.s.findings.items[0];
    assert_string_equal(f->kind, "speck-joined");
    assert_string_equal(f->text, "a speck of black, 30 x 30 mm, joined red");
    assert_true(f->x_mm == 41.5 && f->y_mm == 51.5);
    assert_string_equal(d.s.findings.items[1].kind, "colour-gone");
    options.smallest_part_mm = 42.0; // the circle round 3 x 3 has a diameter of 42.4
    assert_true(separation_make(&d.picture, &options, &d.keep, &d.work, &d.s, &d.err));
    assert_int_equal(d.s.colour_count, 2);
    done(&d);
}

// A picture of `size` pixels, 800 mm tall, with a square speck of `speck_px` in it and a part of its colour.
static void separate_with_speck(Drawing *d, int size, int speck_px)
{
    *d = canvas(size, size, white);
    box(d, 10, 10, size - 10, size - 10, red);
    box(d, 100, 100, 100 + size / 15, 100 + size / 15, black);
    box(d, 40, 50, 40 + speck_px, 50 + speck_px, black);
    SeparationOptions options = separation_defaults();
    options.figure_height_mm = 800.0;
    options.smallest_part_mm = 45.0;
    assert_true(separation_make(&d->picture, &options, &d->keep, &d->work, &d->s, &d->err));
}

static void crumbs__are_counted_at_the_end(void **state)
{
    (void)state;
    Drawing d;
    separate_with_speck(&d, 1020, 1); // 0.8 mm
    assert_int_equal(d.s.findings.count, 1);
    const Finding *f = &d.s.findings.items[0];
    assert_string_equal(f->kind, "specks-joined");
    assert_string_equal(f->text, "1 speck too small to list joined its neighbour");
    assert_true(f->x_mm == 40.5 && f->y_mm == 50.5);
    done(&d);
    separate_with_speck(&d, 1020, 2); // 1.6 mm, of four pixels
    assert_string_equal(d.s.findings.items[0].kind, "specks-joined");
    done(&d);
    separate_with_speck(&d, 1020, 3); // 2.4 mm
    assert_string_equal(d.s.findings.items[0].kind, "speck-joined");
    done(&d);
}

static void crumbs__of_a_coarse_picture_are_specks(void **state)
{
    (void)state;
    Drawing d;
    separate_with_speck(&d, 220, 1); // 4 mm
    assert_string_equal(d.s.findings.items[0].kind, "speck-joined");
    assert_string_equal(d.s.findings.items[0].text, "a speck of black, 4 x 4 mm, joined red");
    done(&d);
}

// A pixel of a coarse picture may be an eye, but not a hundred of them.
static void crumbs__that_are_many_are_counted_in_a_coarse_picture_too(void **state)
{
    (void)state;
    Drawing d = canvas(220, 220, white);
    box(&d, 10, 10, 210, 210, red);
    box(&d, 100, 100, 120, 120, black);
    for (int i = 0; i < 13; i++) box(&d, 20 + 12 * i, 50, 21 + 12 * i, 51, black);
    box(&d, 50, 70, 53, 73, black); // 3 x 3 pixels: a speck as ever
    SeparationOptions options = separation_defaults();
    options.figure_height_mm = 800.0; // 4 mm a pixel
    options.smallest_part_mm = 45.0;
    assert_true(separation_make(&d.picture, &options, &d.keep, &d.work, &d.s, &d.err));
    assert_int_equal(d.s.findings.count, 2);
    assert_string_equal(d.s.findings.items[0].text, "a speck of black, 12 x 12 mm, joined red");
    assert_string_equal(d.s.findings.items[1].text, "13 specks too small to list joined their neighbours");
    done(&d);
}

static void names__are_unique(void **state)
{
    (void)state;
    Drawing d = canvas(60, 40, white);
    box(&d, 5, 5, 25, 35, (Paint){130, 130, 130, 255});
    box(&d, 30, 5, 50, 20, (Paint){142, 142, 142, 255});
    separate_well(&d, 2);
    assert_int_equal(d.s.colour_count, 2);
    assert_string_equal(d.s.colours[0].name, "grey");
    assert_string_equal(d.s.colours[1].name, "grey b");
    done(&d);
}

static void nothing_to_cut__is_said(void **state)
{
    (void)state;
    Drawing all_clear = canvas(30, 30, clear), one_colour = canvas(30, 30, red), specks = canvas(200, 200, white);
    assert_refused(&all_clear, ERROR_JOB, "there is nothing to cut");
    assert_refused(&one_colour, ERROR_JOB, "one colour (#dc1e28)");
    box(&specks, 100, 100, 104, 104, red);
    SeparationOptions options = separation_defaults();
    options.smallest_area_px = 50;
    assert_false(separation_make(&specks.picture, &options, &specks.keep, &specks.work, &specks.s, &specks.err));
    assert_int_equal(specks.err.kind, ERROR_JOB);
    assert_non_null(strstr(specks.err.text, "make it taller"));
    done(&specks);
}

static void memory_that_runs_out__is_said_at_each_step(void **state)
{
    (void)state;
    int64_t step = 0;
    for (bool good = false; !good; step++) {
        assert_true(step < 2000);
        Drawing d = canvas(40, 40, white);
        disc(&d, 20, 20, 12, red);
        disc(&d, 20, 20, 3, black);
        if (step % 2)
            d.keep.fail_after = step / 2;
        else
            d.work.scratch.fail_after = step / 2;
        separate(&d, 40);
        good = d.good && step > 100;
        if (!d.good) {
            assert_int_equal(d.err.kind, ERROR_SYSTEM);
            assert_null(d.s.label);
        }
        done(&d);
    }
}

static void wish_to_stop__is_heard(void **state)
{
    (void)state;
    Drawing d = canvas(40, 40, white);
    disc(&d, 20, 20, 12, red);
    atomic_bool cancel = true;
    d.work.cancel = &cancel;
    assert_refused(&d, ERROR_CANCELLED, "stopped");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(disc_on_white__two_regions_and_exact_colour),
        cmocka_unit_test(grey_between_black_and_white__never_edges_them),
        cmocka_unit_test(white_that_is_closed_in__stays_paper),
        cmocka_unit_test(hard_edges__keep_thin_lines_exactly),
        cmocka_unit_test(near_twins__are_one_colour),
        cmocka_unit_test(tiny_pictures__work_pixel_by_pixel),
        cmocka_unit_test(specks__are_listed_with_place_and_sizes),
        cmocka_unit_test(crumbs__are_counted_at_the_end),
        cmocka_unit_test(crumbs__of_a_coarse_picture_are_specks),
        cmocka_unit_test(crumbs__that_are_many_are_counted_in_a_coarse_picture_too),
        cmocka_unit_test(names__are_unique),
        cmocka_unit_test(nothing_to_cut__is_said),
        cmocka_unit_test(memory_that_runs_out__is_said_at_each_step),
        cmocka_unit_test(wish_to_stop__is_heard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
