// Backing strips of bases cut as told.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "seam/backing.h"
#include "support/seam_wish.h"

#define IN 25.4

typedef struct StripCase {
    SeamCase c;
    Backing backing;
    BackingOptions options;
} StripCase;

static void open_rings(StripCase *s, const char *paper, const Ring *rings, int count)
{
    seam_case_set_layer(&s->c, rings, count);
    Space space = paper_fit_space(&s->c.options.paper);
    s->options = backing_defaults(fmax(space.width_mm, space.height_mm));
    (void)paper;
}

static void open_box(StripCase *s, const char *paper, double width_in, double height_in)
{
    *s = (StripCase){0};
    seam_case_open(&s->c, paper);
    const double box[][2] = {{0, 0}, {width_in, 0}, {width_in, height_in}, {0, height_in}};
    Ring ring = seam_case_ring_in(&s->c, box, 4, false);
    open_rings(s, paper, &ring, 1);
}

static void back(StripCase *s)
{
    assert_true(backing_make(&s->c.layer.rings, &s->c.pieces, &s->options, &s->c.keep, &s->c.work, &s->backing, &s->c.err));
}

static void divide(StripCase *s)
{
    seam_case_divide(&s->c);
    back(s);
}

// Of all corners and of the middles of all sides: inside the base, this far from its edge, on no other strip.
static void assert_sound(const StripCase *s)
{
    const Rings *base = &s->c.layer.rings;
    for (int i = 0; i < s->backing.count; i++) {
        const BackingStrip *strip = &s->backing.strips[i];
        Ring ring = {(Point *)strip->corners, 4};
        assert_true(fabs(ring_area_mm2(&ring) - strip->length_mm * strip->width_mm) < 0.5); // clockwise, square ends
        for (int k = 0; k < 4; k++) {
            Point p = strip->corners[k], q = strip->corners[(k + 1) % 4];
            Point looks[2] = {p, {(p.x + q.x) / 2, (p.y + q.y) / 2}};
            for (int n = 0; n < 2; n++) {
                assert_true(rings_contain(base, looks[n]));
                for (int r = 0; r < base->count; r++)
                    for (int e = 0; e < base->items[r].count; e++)
                        assert_true(point_segment_distance_mm(looks[n], base->items[r].points[e],
                                                              base->items[r].points[(e + 1) % base->items[r].count]) >= s->options.edge_mm);
                for (int o = 0; o < s->backing.count; o++) {
                    Ring other = {(Point *)s->backing.strips[o].corners, 4};
                    const Rings one = {&other, 1};
                    if (o != i) assert_false(rings_contain(&one, looks[n]));
                }
            }
        }
    }
}

static void backing__strip_lies_on_its_seam_3_mm_inside_the_edges(void **state)
{
    (void)state;
    static const double cut[][2] = {{6, 0}, {6, 6}};
    StripCase s;
    open_box(&s, "letter", 12, 6);
    SEAM_WISH_FIXED(&s.c, cut);
    divide(&s);
    assert_int_equal(s.backing.count, 1);
    const BackingStrip *strip = &s.backing.strips[0];
    assert_int_equal(strip->seam, 0);
    assert_true(fabs(strip->length_mm - (152.4 - 6)) < 0.05);
    assert_true(fabs(strip->width_mm - 32) < 1e-9);
    for (int k = 0; k < 4; k++) assert_true(fabs(fabs(strip->corners[k].x / 1000.0 - 152.4) - 16) < 0.01);
    assert_true(fabs(s.backing.held_mm - strip->length_mm) < 0.1);
    assert_sound(&s);
    seam_case_close(&s.c);
}

// Pieces of 10 x 6 in round one place: of the two lines that cross there one is bridged, the other stops beside it.
static void backing__bridges_the_place_where_seams_cross(void **state)
{
    (void)state;
    static const double down[][2] = {{10, 0}, {10, 12}}, across[][2] = {{0, 6}, {20, 6}};
    StripCase s;
    open_box(&s, "11x24", 20, 12);
    SEAM_WISH_FIXED(&s.c, down);
    SEAM_WISH_FIXED(&s.c, across);
    divide(&s);
    bool bridged = false;
    Point middle = point_from_mm(10 * IN, 6 * IN);
    for (int i = 0; i < s.backing.count; i++) {
        Ring ring = {s.backing.strips[i].corners, 4};
        const Rings one = {&ring, 1};
        bridged = bridged || rings_contain(&one, middle);
    }
    assert_true(bridged);
    assert_true(s.backing.held_mm > 0.85 * s.backing.seam_mm);
    assert_sound(&s);
    seam_case_close(&s.c);
}

static void backing__long_line_gets_several_that_meet_away_from_crossings(void **state)
{
    (void)state;
    static const double along[][2] = {{0, 8}, {36, 8}};
    StripCase s;
    open_box(&s, "letter", 36, 16);
    SEAM_WISH_FIXED(&s.c, along);
    divide(&s);
    int seams = s.c.pieces.seam_count, long_strips = 0;
    for (int i = 0; i < s.backing.count; i++) {
        const BackingStrip *strip = &s.backing.strips[i];
        assert_true(strip->length_mm <= s.options.longest_mm + 1e-6);
        if (strip->corners[0].y != strip->corners[1].y) continue;
        long_strips++;
        for (int end = 0; end < 2; end++) {
            double x = strip->corners[end].x / 1000.0;
            if (x < 10 || x > 36 * IN - 10) continue;
            for (int k = 0; k < seams; k++)
                for (int l = 0; l < 2; l++) {
                    const Seam *seam = &s.c.pieces.seams[k];
                    Point p = l ? link_end(&s.c.pieces.chains, &seam->links[seam->link_count - 1]) : link_start(&s.c.pieces.chains, &seam->links[0]);
                    if (fabs(p.y / 1000.0 - 8 * IN) < 1) assert_true(fabs(p.x / 1000.0 - x) > 23);
                }
        }
    }
    assert_true(long_strips >= 4);
    assert_sound(&s);
    seam_case_close(&s.c);
}

static void backing__bent_seam_gets_a_strip_a_stretch(void **state)
{
    (void)state;
    static const double cut[][2] = {{4, 0}, {4, 4}, {8, 7}, {8, 10}};
    StripCase s;
    open_box(&s, "11x24", 12, 10);
    SEAM_WISH_FIXED(&s.c, cut);
    divide(&s);
    assert_in_range(s.backing.count, 3, 4);
    assert_true(s.backing.held_mm > 0.75 * s.backing.seam_mm);
    assert_sound(&s);
    seam_case_close(&s.c);
}

// A hole of 1 in beside the seam: the strip is parted there, or narrower.
static void backing__keeps_from_holes(void **state)
{
    (void)state;
    static const double cut[][2] = {{6, 0}, {6, 10}};
    StripCase s = {0};
    seam_case_open(&s.c, "11x24");
    const double box[][2] = {{0, 0}, {12, 0}, {12, 10}, {0, 10}}, hole[][2] = {{6.2, 4}, {6.2, 5}, {7.2, 5}, {7.2, 4}};
    Ring rings[2] = {seam_case_ring_in(&s.c, box, 4, false), seam_case_ring_in(&s.c, hole, 4, false)};
    open_rings(&s, "11x24", rings, 2);
    SEAM_WISH_FIXED(&s.c, cut);
    divide(&s);
    assert_in_range(s.backing.count, 2, 3);
    assert_sound(&s);
    seam_case_close(&s.c);
}

static void backing__laps_and_seams_joined_later_have_none(void **state)
{
    (void)state;
    static const double cut[][2] = {{6, 0}, {6, 6}};
    for (int later = 0; later < 2; later++) {
        StripCase s;
        open_box(&s, "letter", 12, 6);
        SEAM_WISH_FIXED(&s.c, cut);
        seam_case_divide(&s.c);
        if (later) s.c.pieces.seams[0].on_section = true;
        else s.c.pieces.seams[0].form = SEAM_LAP;
        back(&s);
        assert_int_equal(s.backing.count, 0);
        assert_true(s.backing.seam_mm == 0.0);
        seam_case_close(&s.c);
    }
}

static void backing_halve__gives_two_end_to_end(void **state)
{
    (void)state;
    static const double cut[][2] = {{6, 0}, {6, 10}};
    StripCase s;
    Backing halves;
    bool marked = true;
    open_box(&s, "11x24", 12, 10);
    SEAM_WISH_FIXED(&s.c, cut);
    divide(&s);
    assert_int_equal(s.backing.count, 1);
    assert_true(backing_halve(&s.c.pieces, &s.options, &s.backing, &marked, &s.c.keep, &s.c.work, &halves, &s.c.err));
    assert_int_equal(halves.count, 2);
    assert_true(fabs(halves.strips[0].length_mm + halves.strips[1].length_mm + s.options.apart_mm - s.backing.strips[0].length_mm) < 0.1);
    marked = false;
    assert_true(backing_halve(&s.c.pieces, &s.options, &s.backing, &marked, &s.c.keep, &s.c.work, &halves, &s.c.err));
    assert_int_equal(halves.count, 1);
    assert_true(point_equal(halves.strips[0].corners[0], s.backing.strips[0].corners[0]));
    seam_case_close(&s.c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(backing__strip_lies_on_its_seam_3_mm_inside_the_edges),
        cmocka_unit_test(backing__bridges_the_place_where_seams_cross),
        cmocka_unit_test(backing__long_line_gets_several_that_meet_away_from_crossings),
        cmocka_unit_test(backing__bent_seam_gets_a_strip_a_stretch),
        cmocka_unit_test(backing__keeps_from_holes),
        cmocka_unit_test(backing__laps_and_seams_joined_later_have_none),
        cmocka_unit_test(backing_halve__gives_two_end_to_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
