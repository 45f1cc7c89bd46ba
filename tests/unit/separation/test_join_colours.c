// test_join_colours.c - no more colours than asked for, and the sentence on the picture.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "separation/join_colours.h"
#include "separation/verdict.h"

#include <string.h>

#define SIDE 60

static const Srgb8 NAVY = {29, 47, 90}, BLUE = {40, 60, 120}, RED = {200, 40, 40}, WHITE = {255, 255, 255};

static Palette palette_of(const Srgb8 *colours, int count)
{
    Palette p = {.count = 0};
    for (int i = 0; i < count; i++) p.colours[p.count++] = (PaletteColour){colours[i], lab_from_srgb8(colours[i]), 100};
    return p;
}

static void near_colours__become_the_larger_one(void **state)
{
    (void)state;
    const Srgb8 three[3] = {NAVY, BLUE, RED};
    Palette p = palette_of(three, 3);
    int64_t area[SEPARATION_MAX_COLOURS] = {400, 900, 600};
    uint8_t into[SEPARATION_MAX_COLOURS];
    assert_int_equal(join_colours(&p, area, 2, into), 2);
    assert_int_equal(into[0], 1);
    assert_int_equal(into[1], 1);
    assert_int_equal(into[2], 2);
}

static void speck_of_a_far_colour__goes_before_large_near_ones(void **state)
{
    (void)state;
    const Srgb8 three[3] = {NAVY, BLUE, RED};
    Palette p = palette_of(three, 3);
    int64_t area[SEPARATION_MAX_COLOURS] = {500000, 500000, 10};
    uint8_t into[SEPARATION_MAX_COLOURS];
    assert_int_equal(join_colours(&p, area, 2, into), 2);
    assert_int_equal(into[0], 0);
    assert_int_equal(into[1], 1);
    assert_int_not_equal(into[2], 2);
}

static void enough_colours__stay(void **state)
{
    (void)state;
    const Srgb8 two[2] = {NAVY, RED};
    Palette p = palette_of(two, 2);
    int64_t area[SEPARATION_MAX_COLOURS] = {5, 7};
    uint8_t into[SEPARATION_MAX_COLOURS];
    assert_int_equal(join_colours(&p, area, 4, into), 2);
    for (int i = 0; i < SEPARATION_MAX_COLOURS; i++) assert_int_equal(into[i], i);
}

typedef struct Drawn {
    Arena keep;
    Work work;
    uint8_t rgba[4 * SIDE * SIDE];
    Separation s;
} Drawn;

// Stripes of navy, blue and red on white, and a white window in the navy one.
static void separate(Drawn *d, int most_colours)
{
    *d = (Drawn){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    for (int i = 0; i < SIDE * SIDE; i++) {
        int x = i % SIDE, y = i / SIDE;
        bool in = x >= 5 && x < 55 && y >= 5 && y < 55, window = x >= 10 && x < 16 && y >= 20 && y < 40;
        Srgb8 c = !in || window ? WHITE : x < 22 ? NAVY : x < 42 ? BLUE : RED;
        const uint8_t px[4] = {c.r, c.g, c.b, 255};
        memcpy(d->rgba + 4 * i, px, 4);
    }
    Picture picture = {.width_px = SIDE, .height_px = SIDE, .rgba = d->rgba};
    SeparationOptions o = separation_defaults();
    o.smallest_area_px = 4;
    o.most_colours = most_colours;
    Error err = {0};
    assert_true(separation_make(&picture, &o, &d->keep, &d->work, &d->s, &err));
}

static void done(Drawn *d)
{
    arena_free(&d->keep);
    arena_free(&d->work.scratch);
}

static int count_kind(const Separation *s, const char *kind)
{
    int n = 0;
    for (size_t i = 0; i < s->findings.count; i++) n += strcmp(s->findings.items[i].kind, kind) == 0;
    return n;
}

static void asked_for_fewer__neighbours_are_one_region(void **state)
{
    (void)state;
    Drawn d;
    separate(&d, 0);
    assert_int_equal(d.s.colour_count, 4); // white is paper in the window
    done(&d);
    separate(&d, 3);
    assert_int_equal(d.s.colour_count, 3);
    assert_int_equal(d.s.label[10 * SIDE + 18], d.s.label[10 * SIDE + 30]); // navy and blue
    assert_int_equal(d.s.label[0], 0);                                      // the ground stays
    assert_int_equal(count_kind(&d.s, "colour-joined"), 1);
    assert_int_equal(count_kind(&d.s, "colour-gone"), 0);
    done(&d);
}

static void asked_for_more_than_there_are__says_so(void **state)
{
    (void)state;
    Drawn d;
    separate(&d, 7);
    assert_int_equal(d.s.colour_count, 4);
    assert_int_equal(count_kind(&d.s, "fewer-colours"), 1);
    done(&d);
}

static void sentence__tells_good_vanishing_and_soft(void **state)
{
    (void)state;
    Arena keep = arena_make(0);
    const struct { Separation s; Verdict verdict; const char *word; } cases[] = {
        {{.edge_px = 0.8}, VERDICT_GOOD, "good"},
        {{.edge_px = 1.9, .is_noisy = true}, VERDICT_GOOD, "good"},
        {{.edge_px = 0.8, .gone_count = 1}, VERDICT_DETAILS_VANISH, "1 detail vanishes at a height of 813 mm: it is"},
        {{.edge_px = 0.8, .gone_count = 12}, VERDICT_DETAILS_VANISH, "12 details vanish at a height of 813 mm: they are"},
        {{.edge_px = 4.0, .gone_count = 3}, VERDICT_TOO_SOFT, "too soft: its edges"},
        {{.edge_px = 0.8, .has_shading = true, .gone_count = 3}, VERDICT_TOO_SOFT, "too soft in places: a shadow"},
        {{.edge_px = 4.0, .has_shading = true}, VERDICT_TOO_SOFT, "too soft in places"},
        {{.edge_px = 0.8, .is_photo = true}, VERDICT_TOO_SOFT, "photograph"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Text text = text_make(&keep);
        Error err = {0};
        assert_int_equal(verdict_of(&cases[i].s), cases[i].verdict);
        verdict_say(&cases[i].s, 812.8, &text);
        assert_true(text_is_whole(&text, &err));
        char said[256] = "";
        memcpy(said, text.bytes, text.size_bytes < 255 ? text.size_bytes : 255);
        assert_non_null(strstr(said, cases[i].word));
    }
    arena_free(&keep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(near_colours__become_the_larger_one),
        cmocka_unit_test(speck_of_a_far_colour__goes_before_large_near_ones),
        cmocka_unit_test(enough_colours__stay),
        cmocka_unit_test(asked_for_fewer__neighbours_are_one_region),
        cmocka_unit_test(asked_for_more_than_there_are__says_so),
        cmocka_unit_test(sentence__tells_good_vanishing_and_soft),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
