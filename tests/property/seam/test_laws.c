// Laws of every division, over random parts: pieces fit, are connected and simple, add up to the layer, share their
// seams to the bit, and come out the same each time. The seed of a part is printed when a law fails.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_random.h"

#define PARTS 12

#define PARTS_WITH_DIRECTION 3

static const char *papers[] = {"letter", "12x12", "a4", "150x210mm"};
static const char *papers_with_direction[] = {"letter,grained", "12x24,textured", "a4,grained", "11x8.5,grained"};

// Settled away from lines that lie where its own seams do, a division is one all the same, and the same each time.
static void check_settled(SeamCase *c)
{
    SeamOptions options = c->options;
    LayerPieces settled, again;
    bool changed, changed_again;
    assert_true(seam_lines(&c->pieces, 1, &c->keep, &options.above, &options.above_count, &c->err));
    assert_true(seam_settle(&c->stack, 0, &options, &c->pieces, &c->keep, &c->work, &settled, &changed, &c->err));
    assert_true(seam_settle(&c->stack, 0, &options, &c->pieces, &c->keep, &c->work, &again, &changed_again, &c->err));
    assert_int_equal(changed, changed_again);
    if (!changed) return;
    seam_case_check_laws(c, &settled);
    assert_true(settled.piece_count <= c->pieces.piece_count);
    seam_random_check_same(&settled, &again);
}

static void check_parts(uint64_t kind, int parts, const char *const four_papers[4], void (*make)(SeamCase *, Rng *))
{
    for (uint64_t i = 0; i < (uint64_t)parts; i++) {
        uint64_t seed = 1000 * kind + i;
        Rng rng = rng_make(seed);
        SeamCase c;
        seam_case_open(&c, four_papers[rng_below(&rng, 4)]);
        make(&c, &rng);
        if (rng_below(&rng, 2)) {
            Ring cover = seam_random_star(&c, &rng, 16, 14, 4, 15, 24, false);
            seam_case_set_cover(&c, &cover, 1);
        }
        print_message("seed %llu\n", (unsigned long long)seed);
        LayerPieces grid, again;
        seam_case_divide(&c);
        assert_true(seam_divide_grid(&c.stack, 0, &c.options, &c.keep, &c.work, &grid, &c.err));
        seam_case_check_laws(&c, &grid);
        assert_true(c.pieces.piece_count <= grid.piece_count);
        assert_true(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &again, &c.err));
        seam_random_check_same(&c.pieces, &again);
        check_settled(&c);
        seam_case_close(&c);
    }
}

static void check_many(uint64_t kind, void (*make)(SeamCase *, Rng *))
{
    check_parts(kind, PARTS, papers, make);
}

// Pieces fit without being turned (seam_case_check_laws).
static void laws_hold__papers_with_a_direction(void **state)
{
    (void)state;
    check_parts(5, PARTS_WITH_DIRECTION, papers_with_direction, seam_random_star_with_holes);
    check_parts(6, PARTS_WITH_DIRECTION, papers_with_direction, seam_random_windows);
    check_parts(7, PARTS_WITH_DIRECTION, papers_with_direction, seam_random_skyline);
    check_parts(8, PARTS_WITH_DIRECTION, papers_with_direction, seam_random_curvy_loop);
}

static void laws_hold__stars_with_holes(void **state)
{
    (void)state;
    check_many(1, seam_random_star_with_holes);
}

static void laws_hold__windows_on_whole_inches(void **state)
{
    (void)state;
    check_many(2, seam_random_windows);
}

static void laws_hold__skylines(void **state)
{
    (void)state;
    check_many(3, seam_random_skyline);
}

static void laws_hold__loops_of_cubics(void **state)
{
    (void)state;
    check_many(4, seam_random_curvy_loop);
}

static void lack_of_memory__is_told_and_nothing_breaks(void **state)
{
    (void)state;
    SeamCase c;
    Rng rng = rng_make(7);
    seam_case_open(&c, "letter");
    seam_random_star_with_holes(&c, &rng);
    bool done = false;
    for (int64_t step = 0; !done && step < 4000000; step = step * 2 + 1) {
        c.work.scratch.fail_after = step;
        done = seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err);
        if (!done) assert_int_equal(c.err.kind, ERROR_SYSTEM);
    }
    c.work.scratch.fail_after = -1;
    assert_true(done);
    SeamOptions options = c.options;
    assert_true(seam_lines(&c.pieces, 1, &c.keep, &options.above, &options.above_count, &c.err));
    done = false;
    for (int64_t step = 0; !done && step < 4000000; step = step * 2 + 1) {
        LayerPieces settled;
        bool changed;
        c.work.scratch.fail_after = step;
        done = seam_settle(&c.stack, 0, &options, &c.pieces, &c.keep, &c.work, &settled, &changed, &c.err);
        if (!done) assert_int_equal(c.err.kind, ERROR_SYSTEM);
    }
    c.work.scratch.fail_after = -1;
    assert_true(done);
    for (int64_t step = 0; step < 200; step += 7) {
        c.keep.fail_after = step;
        if (!seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &c.pieces, &c.err))
            assert_int_equal(c.err.kind, ERROR_SYSTEM);
    }
    c.keep.fail_after = -1;
    seam_case_close(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(laws_hold__stars_with_holes),
        cmocka_unit_test(laws_hold__windows_on_whole_inches),
        cmocka_unit_test(laws_hold__skylines),
        cmocka_unit_test(laws_hold__loops_of_cubics),
        cmocka_unit_test(laws_hold__papers_with_a_direction),
        cmocka_unit_test(lack_of_memory__is_told_and_nothing_breaks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
