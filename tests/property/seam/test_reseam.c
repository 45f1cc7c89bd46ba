// Laws of two pieces parted anew, over random stars with a hole and a cover: what is found is cheaper, its pieces fit and
// add up to the part, its seams lie inside, and it is found again.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "support/seam_parted.h"
#include "support/seam_random.h"

enum { SEEDS = 60, LEAST_FOUND = 20, LOOKS = 50 };

// At most 10.2 in across, so that either side of a line near its middle fits on letter.
static void part_random(SeamParted *p, uint64_t seed)
{
    Rng rng = rng_make(seed);
    SeamCase *c = &p->b.c;
    seam_case_open(c, "letter");
    Ring rings[2] = {seam_random_star(c, &rng, 6, 6, 3.6, 5.1, 9 + (int)rng_below(&rng, 30), false),
                     seam_random_star(c, &rng, 5.5, 6.5, 0.4, 1.6, 5 + (int)rng_below(&rng, 6), true)};
    Ring cover = seam_random_star(c, &rng, 6, 6, 1, 8, 6 + (int)rng_below(&rng, 9), false);
    seam_case_set_cover(c, &cover, 1);
    // 0.3 um beside whole places, so that the line meets no corner.
    seam_parted_anew(p, rings, 1 + (int)rng_below(&rng, 2), seam_random_range(&rng, 5.0, 7.0) + 0.00001);
}

static void check_seams_inside(const SeamParted *p)
{
    for (int s = 0; s < p->anew.segment_count; s++) {
        Point a = p->anew.nodes[p->anew.segments[s].a].at, b = p->anew.nodes[p->anew.segments[s].b].at;
        for (int i = 1; i < LOOKS; i++) {
            double t = (double)i / LOOKS;
            Point at = {a.x + (int32_t)((b.x - a.x) * t), a.y + (int32_t)((b.y - a.y) * t)};
            assert_true(cover_contains(&p->b.on.outline, at));
        }
    }
}

static void check_pieces(const SeamParted *p)
{
    Fit fit;
    double sum = 0.0, holes = 0.0;
    assert_int_equal(p->anew.face_count, 2);
    for (int f = 0; f < 2; f++) {
        const NetFace *face = &p->anew.faces[f];
        assert_true(hull_fits(face->hull, face->hull_count, p->b.on.ground.space, &fit));
        sum += face->area_mm2;
    }
    const Part *part = &p->group.part; // holes that no seam touches are not taken off a face
    for (int r = 1; r < part->ring_count; r++) {
        bool touched = false;
        for (int n = 0; n < p->anew.node_count; n++)
            touched |= p->anew.nodes[n].edge >= part->first[r] && p->anew.nodes[n].edge < part->first[r + 1];
        if (!touched) holes += part->swept_mm2[part->first[r + 1]] - part->swept_mm2[part->first[r]];
    }
    assert_true(fabs(sum + holes - part->area_mm2) <= 0.006 * part->length_mm);
}

static void check_again(const SeamParted *p, uint64_t seed)
{
    SeamParted again = {.found = false};
    part_random(&again, seed);
    assert_int_equal(again.found, p->found);
    assert_int_equal(again.anew.node_count, p->anew.node_count);
    for (int n = 0; n < p->anew.node_count; n++)
        assert_true(point_equal(again.anew.nodes[n].at, p->anew.nodes[n].at));
    seam_case_close(&again.b.c);
}

static void laws_hold__two_pieces_parted_anew(void **state)
{
    (void)state;
    int found = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        SeamParted p = {.found = false};
        print_message("seed %llu\n", (unsigned long long)seed);
        part_random(&p, seed);
        if (p.found) {
            assert_true(p.after.cost_in < p.before.cost_in);
            check_seams_inside(&p);
            check_pieces(&p);
            check_again(&p, seed);
        }
        found += p.found;
        seam_case_close(&p.b.c);
    }
    print_message("%d of %d made cheaper\n", found, SEEDS);
    assert_true(found >= LEAST_FOUND);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(laws_hold__two_pieces_parted_anew),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
