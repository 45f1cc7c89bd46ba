// Laps whose shape is known from a drawing on paper, and which piece has them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "seam/lap.h"
#include "seam/lap_shape.h"
#include "support/lap_laws.h"
#include "support/seam_wish.h"

static Point mm(double x, double y)
{
    return point_from_mm(x, y);
}

typedef struct ShapeCase {
    Arena keep;
    Work work;
    Cover obstacles;
    LapShape shape;
    Error err;
} ShapeCase;

static void shape_of(ShapeCase *c, const Point *seam, int count, bool right, CoverEdge *edges, int edge_count)
{
    *c = (ShapeCase){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    assert_true(cover_index(edges, edge_count, &c->keep, &c->obstacles, &c->err));
    assert_true(lap_shape(seam, count, right, &c->obstacles, 12.0, &c->keep, &c->work, &c->shape, &c->err));
    assert_true(point_equal(c->shape.points[0], seam[0]));
    assert_true(point_equal(c->shape.points[c->shape.count - 1], seam[count - 1]));
}

static void shape_close(ShapeCase *c)
{
    arena_free(&c->keep);
    arena_free(&c->work.scratch);
}

static bool has_point(const LapShape *shape, Point p)
{
    for (int i = 0; i < shape->count; i++)
        if (point_distance_mm(shape->points[i], p) < 0.15) return true;
    return false;
}

// Of the ring that the lap and its seam make.
static double area_with(const LapShape *shape, const Point *seam, int count)
{
    Point points[400];
    Ring ring = {points, 0};
    for (int i = 0; i < shape->count; i++) points[ring.count++] = shape->points[i];
    for (int i = count - 2; i > 0; i--) points[ring.count++] = seam[i];
    return ring_area_mm2(&ring);
}

// 100 mm: 3 mm of seam, 12 mm of slope, and so back: a trapezoid of 94 and 70 mm, 12 mm high.
static void lap_shape__straight_seam_has_a_trapezoid_between_two_shoulders(void **state)
{
    (void)state;
    ShapeCase c;
    const Point seam[] = {mm(0, 50), mm(100, 50)};
    shape_of(&c, seam, 2, false, NULL, 0);
    assert_int_equal(c.shape.count, 6);
    assert_true(has_point(&c.shape, mm(3, 50)) && has_point(&c.shape, mm(15, 38)) && has_point(&c.shape, mm(85, 38)) && has_point(&c.shape, mm(97, 50)));
    assert_true(fabs(area_with(&c.shape, seam, 2) - 12.0 * (94.0 + 70.0) / 2.0) < 1.0);
    shape_close(&c);
    shape_of(&c, seam, 2, true, NULL, 0);
    assert_true(has_point(&c.shape, mm(15, 62)));
    shape_close(&c);
}

// An edge 9 mm beside the seam leaves 9 mm - LAP_CLEAR_MM.
static void lap_shape__is_narrower_where_the_neighbour_is(void **state)
{
    (void)state;
    ShapeCase c;
    const Point seam[] = {mm(0, 50), mm(100, 50)};
    CoverEdge edges[] = {{mm(-20, 41), mm(120, 41)}};
    shape_of(&c, seam, 2, false, edges, 1);
    for (int i = 0; i < c.shape.count; i++) assert_true(c.shape.points[i].y >= 43500 - 60);
    assert_true(has_point(&c.shape, mm(10, 43.5)));
    assert_true(c.shape.wide_mm > 75.0 && c.shape.wide_mm < 88.0);
    shape_close(&c);
}

static void lap_shape__goes_round_a_hole_and_stays_clear_of_it(void **state)
{
    (void)state;
    ShapeCase c;
    const Point seam[] = {mm(0, 50), mm(100, 50)};
    CoverEdge edges[] = {{mm(48, 46), mm(52, 46)}, {mm(52, 46), mm(52, 44)}, {mm(52, 44), mm(48, 44)}, {mm(48, 44), mm(48, 46)}};
    shape_of(&c, seam, 2, false, edges, 4);
    for (int i = 0; i + 1 < c.shape.count; i++)
        for (int k = 0; k < 20; k++) {
            Point a = c.shape.points[i], b = c.shape.points[i + 1];
            Point p = mm((a.x + k / 20.0 * (b.x - a.x)) / 1000.0, (a.y + k / 20.0 * (b.y - a.y)) / 1000.0);
            assert_true(cover_distance_mm(&c.obstacles, p, 20.0) >= LAP_LAW_CLEAR_MM);
        }
    assert_true(has_point(&c.shape, mm(15, 38)) && has_point(&c.shape, mm(85, 38)));
    assert_false(has_point(&c.shape, mm(50, 38)));
    shape_close(&c);
}

// Shoulders and slopes leave 2 mm in the middle of 10: nothing.
static void lap_shape__short_seam_has_none(void **state)
{
    (void)state;
    ShapeCase c;
    const Point seam[] = {mm(0, 50), mm(10, 50)};
    shape_of(&c, seam, 2, false, NULL, 0);
    assert_true(c.shape.wide_mm == 0.0);
    assert_int_equal(c.shape.count, 2);
    shape_close(&c);
}

// A corner has a notch on either side, whichever way it turns, and no edge of the lap crosses another.
static void lap_shape__corner_of_a_seam_is_left_out(void **state)
{
    (void)state;
    static const double ENDS[][2] = {{60, 60}, {60, -60}, {-10, 40}, {-10, -40}, {110, 3}, {60, 0.5}};
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++)
        for (int right = 0; right < 2; right++) {
            ShapeCase c;
            const Point seam[] = {mm(0, 100), mm(60, 100), mm(ENDS[i][0] + 60 * (i < 2), 100 + ENDS[i][1])};
            shape_of(&c, seam, 3, right, NULL, 0);
            for (int k = 0; k < c.shape.count - 1; k++) {
                Point a = c.shape.points[k], b = c.shape.points[k + 1];
                for (int n = 0; n < k - 1; n++)
                    assert_false(segments_cross(a, b, c.shape.points[n], c.shape.points[n + 1]));
            }
            if (i < 4) assert_true(has_point(&c.shape, seam[1])); // the others bend by a degree, or end at once
            shape_close(&c);
        }
}

// ---- in a division ----

static int lap_count(const LayerPieces *pieces)
{
    int count = 0;
    for (int s = 0; s < pieces->seam_count; s++) count += pieces->seams[s].form == SEAM_LAP;
    return count;
}

// 28 x 7 in: three pieces of up to 9.98 in with a lap of 0.47 in. 177.8 mm of seam: a trapezoid of 171.8 and 147.8 mm.
static void divide__bar_of_three_has_a_lap_at_each_seam(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {28, 0}, {28, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 3);
    assert_int_equal(lap_count(&c.pieces), 2);
    assert_int_equal(c.pieces.findings.count, 0);
    lap_laws_check(&c, &c.pieces);
    double more = 0.0;
    for (int i = 0; i < 3; i++) more += rings_area_mm2(piece_cut(&c.pieces.pieces[i])) - c.pieces.pieces[i].area_mm2;
    assert_true(fabs(more - 2.0 * 12.0 * (171.8 + 147.8) / 2.0) < 10.0); // corners are sampled, a millimetre apart
    seam_case_close(&c);
}

static void divide__butt_form_has_none(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {28, 0}, {28, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, bar);
    seam_case_divide(&c);
    assert_int_equal(lap_count(&c.pieces), 0);
    lap_laws_check(&c, &c.pieces);
    seam_case_close(&c);
}

// 14.6 x 7 in, cut at 10.2 in: the larger piece comes first, but has no room for 0.47 in on 10.46; the smaller one has.
static void divide__piece_without_room_leaves_the_lap_to_its_neighbour(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {14.6, 0}, {14.6, 7.5}, {0, 7.5}}, cut[][2] = {{10.2, 0}, {10.2, 7.5}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    SEAM_WISH_FIXED(&c, cut);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_int_equal(lap_count(&c.pieces), 1);
    assert_true(c.pieces.pieces[0].area_mm2 > c.pieces.pieces[1].area_mm2);
    assert_int_equal(c.pieces.seams[0].lap_of, 1);
    lap_laws_check(&c, &c.pieces);
    seam_case_close(&c);
}

// Three strips across, cut at 10.2 and 12.5 in: the middle one, 2.3 in, has room on both sides, the outer ones have none. It comes
// last, so that it has no lap of its own choice; the lap of either seam goes to it because nothing else fits.
static void divide__small_piece_between_full_ones_has_both_laps(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {22.7, 0}, {22.7, 7.5}, {0, 7.5}}, left[][2] = {{10.2, 0}, {10.2, 7.5}},
                        right[][2] = {{12.5, 0}, {12.5, 7.5}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    SEAM_WISH_FIXED(&c, left);
    SEAM_WISH_FIXED(&c, right);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 3);
    assert_int_equal(lap_count(&c.pieces), 2);
    for (int s = 0; s < 2; s++) assert_int_equal(c.pieces.seams[s].lap_of, 1);
    lap_laws_check(&c, &c.pieces);
    seam_case_close(&c);
}

// Four pieces in a row: 9.6, 10.2, 9.9 and 4 in. The second one, the largest, can have no lap; the third one has room for one of
// 0.47 in and gives it, as the larger one, to the seam with the fourth. Then the seam of the second and third finds no room, until
// the fourth takes that lap over.
static void divide__lap_goes_over_to_make_room_for_another(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {33.7, 0}, {33.7, 7.5}, {29.7, 7.9}, {19.8, 7.9}, {19.8, 7.5}, {0, 7.5}};
    static const double cuts[3][2][2] = {{{9.6, -1}, {9.6, 8}}, {{19.8, -1}, {19.8, 7.5}}, {{29.7, -1}, {29.7, 7.9}}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    for (int i = 0; i < 3; i++) SEAM_WISH_FIXED(&c, cuts[i]);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 4);
    assert_int_equal(lap_count(&c.pieces), 3);
    assert_int_equal(c.pieces.findings.count, 0);
    for (int s = 0; s < 3; s++) assert_int_equal(c.pieces.seams[s].lap_of, s == 0 ? 0 : s + 1);
    lap_laws_check(&c, &c.pieces);
    seam_case_close(&c);
}

// Both halves of 20.6 x 7.7 in fill their sheets.
static void divide__seam_without_room_on_either_side_stays_butt_and_is_told(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {20.6, 0}, {20.6, 7.7}, {0, 7.7}}, cut[][2] = {{10.3, 0}, {10.3, 7.7}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    SEAM_WISH_FIXED(&c, cut);
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 2);
    assert_int_equal(lap_count(&c.pieces), 0);
    assert_int_equal(c.pieces.findings.count, 1);
    assert_string_equal(c.pieces.findings.items[0].kind, "lap-left-out");
    assert_string_equal(c.pieces.findings.items[0].text,
                        "layer A: 1 of 1 seams stays a butt seam, to be taped: neither piece would fit its sheet with one: A-s1");
    seam_case_close(&c);
}

// What fits a sheet stays whole, although a piece with a lap would have to be smaller.
static void divide__part_that_fits_is_not_divided_for_laps(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double box[][2] = {{0, 0}, {7.8, 0}, {7.8, 10.2}, {0, 10.2}};
    SEAM_CASE_LAYER(&c, box);
    c.options.form = SEAM_LAP;
    seam_case_divide(&c);
    assert_int_equal(c.pieces.piece_count, 1);
    seam_case_close(&c);
}

// Four pieces, and between their seams a short one without room for a lap: the laps of the others keep apart from one another.
static void divide__laps_of_seams_that_meet_do_not(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double box[][2] = {{0, 0}, {14, 0}, {14, 18}, {0, 18}};
    SEAM_CASE_LAYER(&c, box);
    c.options.form = SEAM_LAP;
    seam_case_divide(&c);
    assert_int_equal(c.pieces.seam_count, 5);
    for (int s = 0; s < 5; s++) assert_true((c.pieces.seams[s].form == SEAM_LAP) == (c.pieces.seams[s].length_mm > 27.0));
    lap_laws_check(&c, &c.pieces);
    seam_case_close(&c);
}

static int piece_of(const LayerPieces *pieces, const char *id)
{
    for (int i = 0; i < pieces->piece_count; i++)
        if (strcmp(pieces->pieces[i].id, id) == 0) return i;
    return -1;
}

// A piece that was cut with laps is cut as it was, and its seams keep their form, when butt seams are asked for later.
static void divide__piece_that_is_cut_already_keeps_its_laps(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {28, 0}, {28, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    seam_case_divide(&c);
    LayerPieces was = c.pieces;
    for (int p = 0; p < 3; p++) {
        Path face, outline, again;
        if (!was.pieces[p].has_laps) continue;
        assert_true(area_path(&was.chains, &was.pieces[p].face, &c.keep, &face, &c.err));
        assert_true(area_path(&was.chains, &was.pieces[p].outline, &c.keep, &outline, &c.err));
        FrozenPiece frozen = {.id = was.pieces[p].id, .outline = &outline, .face = &face};
        c.options.wishes = (SeamWishes){.frozen = &frozen, .frozen_count = 1};
        for (int form = 0; form < 2; form++) {
            c.options.form = form ? SEAM_LAP : SEAM_BUTT;
            seam_case_divide(&c);
            int now = piece_of(&c.pieces, frozen.id), laps = 0, before = 0;
            assert_true(now >= 0 && c.pieces.pieces[now].has_laps);
            assert_true(area_path(&c.pieces.chains, &c.pieces.pieces[now].outline, &c.keep, &again, &c.err));
            assert_int_equal(again.curve_count, outline.curve_count);
            assert_memory_equal(again.curves, outline.curves, (size_t)outline.curve_count * sizeof *outline.curves);
            for (int s = 0; s < c.pieces.seam_count; s++) laps += c.pieces.seams[s].lap_of == now;
            for (int s = 0; s < was.seam_count; s++) before += was.seams[s].lap_of == p;
            assert_int_equal(laps, before);
            lap_laws_check(&c, &c.pieces);
        }
    }
    seam_case_close(&c);
}

// A seam that must run 5 mm beside a piece with a lap of 12 mm parts what the lap lies under: no kit comes of it.
static void divide__seam_across_a_lap_that_is_cut_already_is_refused(void **state)
{
    (void)state;
    SeamCase c;
    int refused = 0;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {28, 0}, {28, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    seam_case_divide(&c);
    LayerPieces was = c.pieces;
    for (int p = 0; p < was.piece_count; p++) {
        Path face, outline;
        Box cut = rings_box(piece_cut(&was.pieces[p])), of = rings_box(&was.pieces[p].rings);
        if (!was.pieces[p].has_laps) continue;
        assert_true(area_path(&was.chains, &was.pieces[p].face, &c.keep, &face, &c.err));
        assert_true(area_path(&was.chains, &was.pieces[p].outline, &c.keep, &outline, &c.err));
        int32_t x = cut.max.x > of.max.x ? of.max.x + 5000 : of.min.x - 5000;
        Point line[2] = {{x, of.min.y}, {x, of.max.y}};
        FrozenPiece frozen = {.id = was.pieces[p].id, .outline = &outline, .face = &face};
        SeamLine fixed = {line, 2};
        c.options.wishes = (SeamWishes){.frozen = &frozen, .frozen_count = 1, .fixed = &fixed, .fixed_count = 1};
        assert_false(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err));
        assert_int_equal(c.err.kind, ERROR_JOB);
        assert_non_null(strstr(c.err.text, "its lap would lie under other pieces"));
        refused++;
    }
    assert_true(refused > 0);
    seam_case_close(&c);
}

// Wherever memory ends, it is told; a lap is never half there.
static void divide__lack_of_memory_is_told(void **state)
{
    (void)state;
    SeamCase c;
    seam_case_open(&c, "letter");
    static const double bar[][2] = {{0, 0}, {28, 0}, {28, 7}, {0, 7}};
    SEAM_CASE_LAYER(&c, bar);
    c.options.form = SEAM_LAP;
    for (int64_t step = 0; step < 120; step++) {
        c.keep.fail_after = step;
        if (!seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err)) assert_int_equal(c.err.kind, ERROR_SYSTEM);
    }
    c.keep.fail_after = -1;
    seam_case_divide(&c);
    LayerPieces whole = c.pieces;
    for (int64_t step = 0; step < 60; step++) {
        for (int s = 0; s < whole.seam_count; s++) whole.seams[s].form = SEAM_BUTT, whole.seams[s].lap_of = -1;
        for (int p = 0; p < whole.piece_count; p++) whole.pieces[p].has_laps = false;
        c.work.scratch.fail_after = step;
        if (!lap_seams(&c.options, &c.keep, &c.work, &whole, &c.err)) assert_int_equal(c.err.kind, ERROR_SYSTEM);
    }
    c.work.scratch.fail_after = -1;
    seam_case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lap_shape__straight_seam_has_a_trapezoid_between_two_shoulders),
        cmocka_unit_test(lap_shape__is_narrower_where_the_neighbour_is),
        cmocka_unit_test(lap_shape__goes_round_a_hole_and_stays_clear_of_it),
        cmocka_unit_test(lap_shape__short_seam_has_none),
        cmocka_unit_test(lap_shape__corner_of_a_seam_is_left_out),
        cmocka_unit_test(divide__bar_of_three_has_a_lap_at_each_seam),
        cmocka_unit_test(divide__butt_form_has_none),
        cmocka_unit_test(divide__piece_without_room_leaves_the_lap_to_its_neighbour),
        cmocka_unit_test(divide__small_piece_between_full_ones_has_both_laps),
        cmocka_unit_test(divide__lap_goes_over_to_make_room_for_another),
        cmocka_unit_test(divide__seam_without_room_on_either_side_stays_butt_and_is_told),
        cmocka_unit_test(divide__part_that_fits_is_not_divided_for_laps),
        cmocka_unit_test(divide__laps_of_seams_that_meet_do_not),
        cmocka_unit_test(divide__piece_that_is_cut_already_keeps_its_laps),
        cmocka_unit_test(divide__seam_across_a_lap_that_is_cut_already_is_refused),
        cmocka_unit_test(divide__lack_of_memory_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
