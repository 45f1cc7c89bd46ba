// Laws of sections over random shapes: no piece goes across a line but by a short tongue, unless its part was left whole; seams
// on lines lie there to a hundredth of a millimetre; all laws of divisions hold; the same comes out each time.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "seam/section.h"
#include "support/seam_random.h"

#include <stdlib.h>

#define PARTS 24

static const char *papers[] = {"letter", "12x12", "a4"};

static void check_pieces(const SeamCase *c, const SectionPlan *plan)
{
    const int64_t most = (int64_t)(SECTION_OVERHANG_MM * 1e3);
    for (int i = 0; i < c->pieces.piece_count; i++) {
        const Piece *piece = &c->pieces.pieces[i];
        Box box = rings_box(&piece->rings);
        if (plan->whole[0][piece->part]) continue;
        for (int k = 0; k < plan->count[0]; k++)
            assert_false(plan->at[0][k] - box.min.x > most && box.max.x - plan->at[0][k] > most);
        for (int k = 0; k < plan->count[1]; k++)
            assert_false(plan->at[1][k] - box.min.y > most && box.max.y - plan->at[1][k] > most);
    }
}

static int check_seams(const SeamCase *c, const SectionPlan *plan)
{
    int found = 0;
    for (int s = 0; s < c->pieces.seam_count; s++) {
        const Seam *seam = &c->pieces.seams[s];
        bool on = false;
        if (!seam->on_section) continue;
        found++;
        for (int axis = 0; axis < 2 && !on; axis++)
            for (int k = 0; k < plan->count[axis] && !on; k++) {
                on = true;
                for (int i = 0; i < link_point_count(&seam->links[0]); i++) {
                    Point p = link_point(&c->pieces.chains, &seam->links[0], i);
                    on = on && llabs((long long)(axis == 0 ? p.x : p.y) - plan->at[axis][k]) <= 10;
                }
            }
        assert_true(on);
    }
    return found;
}

static void sections__laws_hold_for_random_shapes(void **state)
{
    (void)state;
    int found = 0;
    for (uint64_t i = 0; i < PARTS; i++) {
        uint64_t seed = 91000 + i;
        Rng rng = rng_make(seed);
        SeamCase c;
        SectionPlan plan, again;
        Error err = {0};
        print_message("seed %llu\n", (unsigned long long)seed);
        seam_case_open(&c, papers[rng_below(&rng, 3)]);
        c.options.tries = 5;
        if (i % 3 == 2) seam_random_windows(&c, &rng);
        else seam_random_star_with_holes(&c, &rng);
        Box box = rings_box(&c.layer.rings);
        c.stack.width_mm = box.max.x / 1e3;
        c.stack.height_mm = box.max.y / 1e3;
        const double asked_mm[2] = {seam_random_range(&rng, 250, 700), seam_random_range(&rng, 250, 700)};
        assert_true(section_plan(&c.stack, &c.options.paper, asked_mm, &c.keep, &c.work, &plan, &err));
        assert_true(section_plan(&c.stack, &c.options.paper, asked_mm, &c.keep, &c.work, &again, &err));
        assert_int_equal(plan.line_count, again.line_count);
        for (int axis = 0; axis < 2; axis++)
            for (int k = 0; k < plan.count[axis]; k++) {
                int64_t before = k > 0 ? plan.at[axis][k - 1] : 0;
                assert_int_equal(plan.at[axis][k], again.at[axis][k]);
                assert_true(plan.at[axis][k] > before);
                assert_true((double)(plan.at[axis][k] - before) <= (plan.asked_mm[axis] - SECTION_SPARE_MM) * 1e3 + 1);
            }
        assert_true(section_wish(&plan, 0, &c.keep, &c.options.wishes, &err));
        seam_case_divide(&c);
        check_pieces(&c, &plan);
        found += check_seams(&c, &plan);
        seam_case_close(&c);
    }
    assert_true(found > PARTS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(sections__laws_hold_for_random_shapes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
