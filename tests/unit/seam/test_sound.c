// Seams may share nothing with the outline or one another but an end that both have.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "seam/sound.h"

// A square of 10 with a node at (5, 0) and one at (5, 10).
static const Stroke outline[] = {
    {{0, 0}, {5, 0}},    {{5, 0}, {10, 0}},  {{10, 0}, {10, 10}},
    {{10, 10}, {5, 10}}, {{5, 10}, {0, 10}}, {{0, 10}, {0, 0}},
};

static const Work NO_STOP;

static bool sound_with(Stroke seam)
{
    return strokes_are_sound(&seam, 1, outline, 6, &NO_STOP);
}

static void sound__seam_from_node_to_node(void **state)
{
    (void)state;
    assert_true(sound_with((Stroke){{5, 0}, {5, 10}}));
    assert_true(sound_with((Stroke){{5, 0}, {5, 5}}));
}

static void not_sound__seam_that_ends_beside_a_node_or_crosses(void **state)
{
    (void)state;
    assert_false(sound_with((Stroke){{4, 0}, {5, 10}}));  // on an edge, but no node there
    assert_false(sound_with((Stroke){{5, -2}, {5, 10}})); // through the outline
    assert_false(sound_with((Stroke){{5, 0}, {8, 0}}));   // along the outline
    assert_false(sound_with((Stroke){{5, 0}, {12, 0}}));  // over a whole edge
}

static void seams__may_meet_at_a_shared_end_only(void **state)
{
    (void)state;
    const Stroke meet[] = {{{5, 0}, {5, 5}}, {{5, 5}, {5, 10}}};
    const Stroke cross[] = {{{5, 0}, {5, 10}}, {{3, 5}, {7, 5}}};
    const Stroke touch[] = {{{5, 0}, {5, 10}}, {{5, 5}, {7, 5}}};
    const Stroke back[] = {{{5, 0}, {5, 5}}, {{5, 5}, {5, 3}}};
    assert_true(strokes_are_sound(meet, 2, outline, 6, &NO_STOP));
    assert_false(strokes_are_sound(cross, 2, outline, 6, &NO_STOP));
    assert_false(strokes_are_sound(touch, 2, outline, 6, &NO_STOP));
    assert_false(strokes_are_sound(back, 2, outline, 6, &NO_STOP));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sound__seam_from_node_to_node),
        cmocka_unit_test(not_sound__seam_that_ends_beside_a_node_or_crosses),
        cmocka_unit_test(seams__may_meet_at_a_shared_end_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
