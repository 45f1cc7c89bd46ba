// Laws of laps over random parts: what is cut beyond a face lies under the neighbour's, clear of the layer's edge and of other laps;
// pieces fit with their laps; faces and seams keep the laws of all divisions; the same comes out each time.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/lap_laws.h"
#include "support/seam_random.h"

#define PARTS 5

static const char *const papers[] = {"letter", "12x12", "a4,grained", "150x210mm", "letter,textured"};

static void count_laps(const LayerPieces *pieces, double *lapped_mm, double *all_mm)
{
    for (int s = 0; s < pieces->seam_count; s++) {
        *all_mm += pieces->seams[s].length_mm;
        if (pieces->seams[s].form == SEAM_LAP) *lapped_mm += pieces->seams[s].length_mm;
    }
}

static void check_same_laps(SeamCase *c, const LayerPieces *a, const LayerPieces *b)
{
    for (int i = 0; i < a->piece_count; i++) {
        Path p, q;
        assert_true(a->pieces[i].has_laps == b->pieces[i].has_laps);
        if (!a->pieces[i].has_laps) continue;
        assert_true(area_path(&a->chains, &a->pieces[i].outline, &c->keep, &p, &c->err));
        assert_true(area_path(&b->chains, &b->pieces[i].outline, &c->keep, &q, &c->err));
        assert_int_equal(p.curve_count, q.curve_count);
        for (int k = 0; k < p.curve_count; k++)
            assert_true(point_equal(p.curves[k].p0, q.curves[k].p0) && point_equal(p.curves[k].p3, q.curves[k].p3));
    }
}

static void check_many(uint64_t kind, void (*make)(SeamCase *, Rng *))
{
    double lapped_mm = 0.0, all_mm = 0.0;
    for (uint64_t i = 0; i < PARTS; i++) {
        uint64_t seed = 7000 * kind + i;
        Rng rng = rng_make(seed);
        SeamCase c;
        seam_case_open(&c, papers[i]);
        make(&c, &rng);
        c.options.form = SEAM_LAP;
        c.options.tries = 24;
        print_message("seed %llu\n", (unsigned long long)seed);
        seam_case_divide(&c);
        lap_laws_check(&c, &c.pieces);
        count_laps(&c.pieces, &lapped_mm, &all_mm);
        LayerPieces again;
        assert_true(seam_divide(&c.stack, 0, &c.options, &c.keep, &c.work, &again, &c.err));
        seam_random_check_same(&c.pieces, &again);
        check_same_laps(&c, &c.pieces, &again);
        seam_case_close(&c);
    }
    print_message("%.0f %% of %.0f mm have laps\n", 100.0 * lapped_mm / all_mm, all_mm);
    assert_true(lapped_mm > 0.8 * all_mm);
}

static void laps_hold__stars_with_holes(void **state)
{
    (void)state;
    check_many(1, seam_random_star_with_holes);
}

static void laps_hold__windows_on_whole_inches(void **state)
{
    (void)state;
    check_many(2, seam_random_windows);
}

static void laps_hold__skylines(void **state)
{
    (void)state;
    check_many(3, seam_random_skyline);
}

static void laps_hold__loops_of_cubics(void **state)
{
    (void)state;
    check_many(4, seam_random_curvy_loop);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(laps_hold__stars_with_holes),
        cmocka_unit_test(laps_hold__windows_on_whole_inches),
        cmocka_unit_test(laps_hold__skylines),
        cmocka_unit_test(laps_hold__loops_of_cubics),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
