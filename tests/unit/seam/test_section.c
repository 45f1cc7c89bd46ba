// Where a finished piece parts: worked-out cases. An inch is 25.4 mm; a section keeps half an inch clear of what was asked.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "seam/section.h"
#include "support/seam_case.h"

#define IN 25.4

typedef struct SectionCase {
    SeamCase seam;
    Layer layers[2];
    Paper papers[2];
    SectionPlan plan;
} SectionCase;

// A base of the finished size, and squares on it: x, y and side in inches.
static void open_case(SectionCase *c, double width_in, double height_in, const double (*squares)[3], int count)
{
    *c = (SectionCase){0};
    seam_case_open(&c->seam, "letter");
    const double base[][2] = {{0, 0}, {width_in, 0}, {width_in, height_in}, {0, height_in}};
    SEAM_CASE_LAYER(&c->seam, base);
    c->layers[0] = c->seam.layer;
    Ring *rings = arena_new(&c->seam.keep, Ring, count + 1);
    for (int i = 0; i < count; i++) {
        double x = squares[i][0], y = squares[i][1], s = squares[i][2];
        const double corners[][2] = {{x, y}, {x + s, y}, {x + s, y + s}, {x, y + s}};
        rings[i] = seam_case_ring_in(&c->seam, corners, 4, false);
    }
    if (count > 0) {
        seam_case_set_layer(&c->seam, rings, count);
        c->layers[1] = c->seam.layer;
        c->layers[0].cover = c->layers[1].rings;
    }
    c->seam.stack.layers = c->layers;
    c->seam.stack.layer_count = count > 0 ? 2 : 1;
    c->seam.stack.width_mm = width_in * IN;
    c->seam.stack.height_mm = height_in * IN;
    for (int l = 0; l < 2; l++) c->papers[l] = c->seam.options.paper;
}

static void plan(SectionCase *c, double width_in, double height_in)
{
    const double asked_mm[2] = {width_in * IN, height_in * IN};
    if (!section_plan(&c->seam.stack, c->papers, asked_mm, &c->seam.keep, &c->seam.work, &c->plan, &c->seam.err))
        fail_msg("%s", c->seam.err.text);
}

static void divide(SectionCase *c, int layer)
{
    SeamWishes *wishes = &c->seam.options.wishes;
    *wishes = (SeamWishes){0};
    assert_true(section_wish(&c->plan, layer, &c->seam.keep, wishes, &c->seam.err));
    c->seam.options.tries = 10;
    c->seam.layer = c->layers[layer];
    if (!seam_divide(&c->seam.stack, layer, &c->seam.options, &c->seam.keep, &c->seam.work, &c->seam.pieces, &c->seam.err))
        fail_msg("%s", c->seam.err.text);
}

static double section_length_mm(const LayerPieces *pieces)
{
    double sum = 0;
    for (int s = 0; s < pieces->seam_count; s++) sum += pieces->seams[s].on_section ? pieces->seams[s].length_mm : 0.0;
    return sum;
}

// 60 in: 36 less a half goes twice, 30 less a half three times. Nothing speaks for another place than the even ones.
static void section_plan__plain_square_parts_evenly(void **state)
{
    (void)state;
    SectionCase c;
    open_case(&c, 60, 60, NULL, 0);
    plan(&c, 36, 30);
    assert_int_equal(c.plan.count[0], 1);
    assert_int_equal(c.plan.count[1], 2);
    assert_int_equal(c.plan.at[0][0], 762000);
    assert_int_equal(c.plan.at[1][0], 508000);
    assert_int_equal(c.plan.at[1][1], 1016000);
    assert_int_equal(c.plan.line_count, 3);
    seam_case_close(&c.seam);
}

static void section_plan__every_layer_is_cut_on_the_lines(void **state)
{
    (void)state;
    SectionCase c;
    open_case(&c, 60, 60, NULL, 0);
    plan(&c, 36, 30);
    divide(&c, 0);
    assert_true(fabs(section_length_mm(&c.seam.pieces) - 3 * 60 * IN) < 1e-3);
    seam_case_check_laws(&c.seam, &c.seam.pieces);
    for (int i = 0; i < c.seam.pieces.piece_count; i++) {
        Box box = rings_box(&c.seam.pieces.pieces[i].rings);
        assert_false(box.min.x < 762000 && box.max.x > 762000);
        for (int k = 0; k < 2; k++) assert_false(box.min.y < c.plan.at[1][k] && box.max.y > c.plan.at[1][k]);
    }
    assert_int_equal(c.seam.pieces.findings.count, 0); // lines are no wishes of the maker: nothing is told of them
    seam_case_close(&c.seam);
}

// A section may be turned by a quarter: 50 x 28 in in one section of 52 x 30, however it is asked for.
static void section_plan__size_is_turned_when_that_makes_fewer(void **state)
{
    (void)state;
    SectionCase c;
    open_case(&c, 50, 28, NULL, 0);
    plan(&c, 30, 52);
    assert_int_equal(c.plan.line_count, 0);
    seam_case_close(&c.seam);
    open_case(&c, 70, 28, NULL, 0);
    plan(&c, 30, 40);
    assert_int_equal(c.plan.line_count, 1); // two of 40 x 30, not three of 30 x 40
    assert_true(c.plan.asked_mm[0] > c.plan.asked_mm[1]);
    seam_case_close(&c.seam);
}

static void section_plan__what_fits_does_not_part(void **state)
{
    (void)state;
    SectionCase c;
    open_case(&c, 35.5, 29.5, NULL, 0);
    plan(&c, 36, 30);
    assert_int_equal(c.plan.line_count, 0);
    seam_case_close(&c.seam);
    open_case(&c, 35.6, 29.5, NULL, 0);
    plan(&c, 36, 30);
    assert_int_equal(c.plan.line_count, 1);
    seam_case_close(&c.seam);
}

// The even line at 30 in would cut the square from 28 to 34: the line goes beside it, at least a narrowest piece away from
// neither, as near as the search looks.
static void section_plan__lines_pass_by_small_parts(void **state)
{
    (void)state;
    static const double square[][3] = {{28, 28, 6}};
    SectionCase c;
    open_case(&c, 60, 60, square, 1);
    plan(&c, 36, 36);
    assert_int_equal(c.plan.line_count, 2);
    for (int axis = 0; axis < 2; axis++)
        assert_true(c.plan.at[axis][0] <= 28 * 25400 || c.plan.at[axis][0] >= 34 * 25400);
    assert_false(c.plan.whole[1][0]); // none meets it
    seam_case_close(&c.seam);
}

// Two rows of squares of 7 in, one shifted by half: every upright line meets one of them, which fits letter and stays whole.
static void section_plan__what_fits_its_sheet_stays_whole(void **state)
{
    (void)state;
    double squares[16][3];
    int count = 0;
    for (int i = 0; i < 8; i++) {
        const double first[3] = {0.5 + 7.1 * i, 2, 7}, second[3] = {2.0 + 7.1 * i, 12, 7};
        for (int k = 0; k < 3; k++) squares[count][k] = first[k], squares[count + 1][k] = second[k];
        count += 2;
    }
    SectionCase c;
    open_case(&c, 60, 24, (const double(*)[3])squares, count);
    plan(&c, 36, 30);
    assert_int_equal(c.plan.count[0], 1);
    assert_int_equal(c.plan.count[1], 0);
    assert_int_equal(c.plan.part_count[1], 16);
    divide(&c, 1);
    seam_case_check_laws(&c.seam, &c.seam.pieces);
    assert_int_equal(c.seam.pieces.piece_count, 16);
    assert_int_equal(c.seam.pieces.seam_count, 0);
    int across = 0;
    for (int i = 0; i < 16; i++) {
        Box box = rings_box(&c.seam.pieces.pieces[i].rings);
        across += box.min.x < c.plan.at[0][0] && box.max.x > c.plan.at[0][0];
    }
    assert_true(across >= 1);
    divide(&c, 0);
    assert_true(fabs(section_length_mm(&c.seam.pieces) - 24 * IN) < 1e-3); // the base parts all the same
    seam_case_close(&c.seam);
}

// Nothing lies under the base: whole it would be a piece without a place.
static void section_plan__parts_of_the_base_are_cut(void **state)
{
    (void)state;
    SectionCase c;
    open_case(&c, 7, 9.5, NULL, 0);
    plan(&c, 10, 7);
    assert_int_equal(c.plan.line_count, 1);
    assert_false(c.plan.whole[0][0]);
    seam_case_close(&c.seam);
}

static void section_plan__too_small_sections_are_refused(void **state)
{
    (void)state;
    const double asked_mm[2] = {800, 100};
    SectionCase c;
    open_case(&c, 60, 60, NULL, 0);
    assert_false(section_plan(&c.seam.stack, c.papers, asked_mm, &c.seam.keep, &c.seam.work, &c.plan, &c.seam.err));
    assert_int_equal(c.seam.err.kind, ERROR_JOB);
    seam_case_close(&c.seam);
}

// A tongue of the base that reaches 4 mm across the even line stays on its piece; one of 30 mm is cut off.
static void fixed_cut__short_tongues_stay_on_their_piece(void **state)
{
    (void)state;
    for (int far = 0; far < 2; far++) {
        SectionCase c;
        open_case(&c, 20, 8, NULL, 0);
        double tip = 10 + (far ? 30 : 4) / IN;
        const double shape[][2] = {{0, 0}, {9, 0}, {9, 2}, {tip, 2}, {tip, 5}, {9, 5}, {9, 8}, {0, 8}};
        SEAM_CASE_LAYER(&c.seam, shape);
        static const Point ends[2] = {{254000, -20000}, {254000, 300000}};
        c.seam.options.wishes = (SeamWishes){.fixed = &(SeamLine){ends, 2}, .fixed_count = 1, .section_count = 1};
        c.seam.stack.layers = &c.seam.layer;
        seam_case_divide(&c.seam);
        assert_true((section_length_mm(&c.seam.pieces) > 0) == (far == 1));
        seam_case_close(&c.seam);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(section_plan__plain_square_parts_evenly),
        cmocka_unit_test(section_plan__every_layer_is_cut_on_the_lines),
        cmocka_unit_test(section_plan__size_is_turned_when_that_makes_fewer),
        cmocka_unit_test(section_plan__what_fits_does_not_part),
        cmocka_unit_test(section_plan__lines_pass_by_small_parts),
        cmocka_unit_test(section_plan__what_fits_its_sheet_stays_whole),
        cmocka_unit_test(section_plan__parts_of_the_base_are_cut),
        cmocka_unit_test(section_plan__too_small_sections_are_refused),
        cmocka_unit_test(fixed_cut__short_tongues_stay_on_their_piece),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
